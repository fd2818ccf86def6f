//! The toy small and faint, as it lies when it has landed in one of its ways; and the outline alone of a toy that could
//! be, to be laid over the one that is.

use std::sync::Arc;

use glam::{DVec2, DVec3};

use super::elevation::{Side, elevation, placed};
use super::give_take::silhouette;
use super::ink::Ink;
use super::picture::{Extent, Item, Picture, holds};
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
    pub picture: Arc<Picture>,
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

/// The outline of a toy from one side, as lines: each part's silhouette where no other part covers it.
pub fn outlines(toy: &Toy, made: &Made, side: Side) -> Vec<Vec<DVec2>> {
    let drawn = elevation(toy, made, side, None);
    let extents: Vec<Extent> = drawn.bands.iter().map(|b| Extent::of(&b.outline)).collect();
    let mut lines = Vec::new();
    for placed in placed(made, side) {
        let covered = |p: DVec2| {
            let others =
                drawn.bands.iter().zip(&extents).filter(|(b, _)| b.part != placed.part || b.copy != placed.copy);
            let mut near = others.filter(|(_, e)| e.low.cmple(p).all() && e.high.cmpge(p).all());
            near.any(|(b, _)| holds(&b.outline, p))
        };
        let edge = silhouette(made, &placed);
        let mut run: Vec<DVec2> = Vec::new();
        for p in edge.iter().chain(edge.first()) {
            if covered(*p) {
                lines.push(std::mem::take(&mut run));
            } else {
                run.push(*p);
            }
        }
        lines.push(run);
    }
    lines.retain(|line| line.len() > 1);
    lines
}

fn mixed(ink: Ink) -> Ink {
    let mix = |c: [u8; 4], paper: [u8; 4]| {
        let part = |i: usize| (f64::from(c[i]) * (1.0 - FAINT) + f64::from(paper[i]) * FAINT) as u8;
        [part(0), part(1), part(2), c[3]]
    };
    Ink { light: mix(ink.light, Ink::PAPER.light), dark: mix(ink.dark, Ink::PAPER.dark) }
}
