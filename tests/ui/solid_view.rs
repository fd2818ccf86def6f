//! The solid view: its camera, its picking, its pictures and its widget.

mod cameras;
mod demo;
mod picking;
mod pictures;
mod pulling;
mod widget;

use std::sync::{Mutex, OnceLock};

use toppleknot::ui::solid_view::{HeadlessError, HeadlessRenderer};

/// One graphics device for all picture tests. Where the machine has no adapter the test is skipped, and says
/// so; every other failure is one.
pub fn with_renderer(test: impl FnOnce(&mut HeadlessRenderer)) {
    static RENDERER: OnceLock<Result<Mutex<HeadlessRenderer>, HeadlessError>> = OnceLock::new();
    match RENDERER.get_or_init(|| HeadlessRenderer::new().map(Mutex::new)) {
        Ok(renderer) => test(&mut renderer.lock().unwrap_or_else(|e| e.into_inner())),
        Err(HeadlessError::NoAdapter(reason)) => println!("skipped, no graphics adapter: {reason}"),
        Err(other) => panic!("{other}"),
    }
}
