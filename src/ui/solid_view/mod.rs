//! The solid view: the toy in three dimensions, its fabric drawn stitch by stitch.
//!
//! [`SolidRenderer`] draws a [`Scene`](crate::view::scene::Scene) into a texture of its own; [`SolidView`] is the
//! widget that shows that texture, draws anew only when something changed, and turns the mouse and the keys
//! into a moved camera or a picked stitch; [`render_headless`] makes the same picture without a window.

mod card;
mod frame;
mod geometry;
mod headless;
mod pipelines;
mod renderer;
mod widget;

pub use headless::{HeadlessError, HeadlessRenderer, render_headless};
pub use renderer::{PictureOptions, SolidRenderer};
pub use widget::{SolidView, SolidViewAnswer};
