//! Sheets of paper: measured back from their files by readers that are not ours.

mod command;
mod files;
mod hard;
mod layout;
mod measured;
mod work;

use std::path::PathBuf;

use toppleknot::document::{TextScene, open_text, samples};
use toppleknot::measure::{Derived, derive};
use toppleknot::part::{End, Part};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::{Address, Joint, Piece, Placement, Seat, Toy};

fn sample(title: &str) -> Toy {
    let sample = samples().iter().find(|s| s.title == title).expect("a sample of this title");
    open_text(sample.text, title, true, &TextScene::default()).expect("samples open").document.toy
}

fn all_samples() -> Vec<(&'static str, Toy, Derived)> {
    let each = samples().iter().map(|s| (s.title, sample(s.title)));
    each.map(|(title, toy)| (title, toy.clone(), derive(&toy))).collect()
}

/// A body with many parts on it.
fn toy_of(names: &[String]) -> Toy {
    let pieces = names.iter().enumerate().map(|(i, name)| {
        let many = i as u32;
        let counts = [6, 12, 18, 24, 24, 24 + many % 5, 24, 18, 12];
        let seat = if i == 0 {
            Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 }
        } else {
            let at = Address { round: f64::from(3 + many % 5), angle_deg: 47.0 * f64::from(many) };
            Seat::OnSurface { part: names[0].clone(), at }
        };
        let rounds = rounds_of_counts(&counts).expect("counts above zero");
        let part = Part { name: name.clone(), rounds, finish: Finish::Open, ..Part::default() };
        Piece { part, placement: Placement { seat, joint: Joint::RimOnSurface, ..Placement::default() } }
    });
    Toy { name: names.first().cloned().unwrap_or_default(), pieces: pieces.collect(), ..Toy::default() }
}

/// A folder of this test's own, empty.
fn folder(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("toppleknot-paper-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).expect("a folder for the test");
    path
}
