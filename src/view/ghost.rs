//! The toy small and faint, as it lies when it has landed in one of its ways.

use glam::{DVec2, DVec3};

use super::elevation::{Side, elevation};
use super::ink::Ink;
use super::picture::{Item, Picture};
use super::posed::{lay_dangling, turned};
use crate::measure::Made;
use crate::toy::Toy;

/// Share of the paper's colour in a ghost's.
const FAINT: f64 = 0.45;

/// A way to land, as a figure to be looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Ghost {
    /// Its place in the list of ways.
    pub index: usize,
    /// Share of all ways to be dropped, 0 to 1.
    pub share: f64,
    /// How it lies, in words.
    pub way: &'static str,
    /// Seen from where its front was as it stood.
    pub picture: Picture,
}

/// The toy with a direction of its frame up, seen from the front.
pub fn ghost(toy: &Toy, made: &Made, up: DVec3) -> Picture {
    let (mut laid, _) = turned(made, up);
    lay_dangling(&mut laid);
    let drawn = elevation(toy, &laid, Side::Front, None);
    let mut picture = Picture { extent: drawn.picture.extent, ..Picture::default() };
    for item in drawn.picture.items {
        match item {
            Item::Fill { points, ink } => picture.fill(points, mixed(ink)),
            Item::Halo { points, .. } => picture.halo(points, Ink::NOTE, 0.9),
            _ => {}
        }
    }
    let (low, high) = (picture.extent.low, picture.extent.high);
    if low.is_finite() {
        let beyond = 0.08 * (high.x - low.x);
        picture.line(vec![DVec2::new(low.x - beyond, 0.0), DVec2::new(high.x + beyond, 0.0)], Ink::NOTE, 1.2);
    }
    picture
}

fn mixed(ink: Ink) -> Ink {
    let mix = |c: [u8; 4], paper: [u8; 4]| {
        let part = |i: usize| (f64::from(c[i]) * (1.0 - FAINT) + f64::from(paper[i]) * FAINT) as u8;
        [part(0), part(1), part(2), c[3]]
    };
    Ink { light: mix(ink.light, Ink::PAPER.light), dark: mix(ink.dark, Ink::PAPER.dark) }
}
