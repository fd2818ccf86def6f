//! Small figures that paper draws itself: hatched bars, scale bars, dimension lines.

use glam::DVec2;

use super::setting::width_mm;
use super::{MM_PER_PT, Mark, Page, Style, rectangle};
use crate::view::ink::Ink;
use crate::view::picture::Across;

/// How a bar is filled; each is told from the others without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filling {
    /// Slanted lines.
    Hatched,
    /// All one tone.
    Solid,
}

/// A bar from its upper left to its lower right corner.
pub fn bar(page: &mut Page, low: DVec2, high: DVec2, filling: Filling, ink: Ink) {
    match filling {
        Filling::Solid => page.block(low, high, ink),
        Filling::Hatched => {
            page.block(low, high, ink.faded(40));
            hatch(page, low, high, 1.7, ink);
        }
    }
    page.marks.push(Mark::Outline { points: rectangle(low, high), width_pt: 0.8, ink });
}

/// Slanted lines a step apart, cut off at a rectangle's sides.
fn hatch(page: &mut Page, low: DVec2, high: DVec2, step: f64, ink: Ink) {
    let size = high - low;
    let mut shift = step;
    while shift < size.x + size.y {
        // The line x + y = shift within the rectangle.
        let from = DVec2::new((shift - size.y).max(0.0), shift.min(size.y));
        let to = DVec2::new(shift.min(size.x), (shift - size.x).max(0.0));
        page.rule(low + from, low + to, 0.6, ink);
        shift += step;
    }
}

/// A dimension line with ticks at both ends.
pub fn dimension(page: &mut Page, from: DVec2, to: DVec2) {
    let across = (to - from).perp().normalize_or(DVec2::X) * 1.1;
    page.rule(from, to, 0.6, Ink::NOTE);
    for end in [from, to] {
        page.rule(end - across, end + across, 0.8, Ink::NOTE);
    }
}

/// A scale bar in cm and one in inches under it, from a point to the right: lengths of the toy, not of the paper.
/// The bars' height is 8 mm, their words included.
pub fn scale_bars(page: &mut Page, at: DVec2, longest_mm: f64, mm_of_toy_per_mm: f64) {
    let most = longest_mm * mm_of_toy_per_mm;
    let style = Style::quiet(7.0);
    for (unit_mm, name, y) in [(10.0, "cm", 0.0), (25.4, "in", 4.2)] {
        let number = whole_units(most / unit_mm);
        let length = number * unit_mm / mm_of_toy_per_mm;
        let steps = if number.fract() == 0.0 && (2.0..=10.0).contains(&number) { number as u32 } else { 5 };
        for i in 0..steps {
            let (a, b) = (f64::from(i) / f64::from(steps), f64::from(i + 1) / f64::from(steps));
            let (low, high) = (at + DVec2::new(length * a, y), at + DVec2::new(length * b, y + 1.5));
            page.block(low, high, if i % 2 == 0 { Ink::WORDS } else { Ink::yarn([255, 255, 255]) });
        }
        let (low, high) = (at + DVec2::new(0.0, y), at + DVec2::new(length, y + 1.5));
        page.marks.push(Mark::Outline { points: rectangle(low, high), width_pt: 0.5, ink: Ink::WORDS });
        let words = format!("{number} {name}");
        page.words(at + DVec2::new(length + 1.5, y + 1.5), words, style);
    }
}

/// A whole number no larger than this; 1, 2, 5 times a power of ten from 10 on and below 1.
fn whole_units(most: f64) -> f64 {
    if (1.0..10.5).contains(&most) {
        return most.min(10.0).floor();
    }
    let most = most.max(1e-3);
    let ten = 10f64.powf(most.log10().floor());
    [5.0, 2.0, 1.0].iter().map(|n| n * ten).find(|n| *n <= most * (1.0 + 1e-9)).unwrap_or(ten)
}

/// A word in a box that is as wide as it needs, its left end at a point; gives back its width.
pub fn tag(page: &mut Page, at: DVec2, text: &str, size_pt: f64) -> f64 {
    let style = Style::strong(size_pt);
    let wide = (width_mm(text, style) + 1.8).max(1.6 * size_pt * MM_PER_PT);
    let tall = 1.45 * size_pt * MM_PER_PT;
    let low = at - DVec2::new(0.0, 1.08 * size_pt * MM_PER_PT);
    let points = rectangle(low, low + DVec2::new(wide, tall));
    page.marks.push(Mark::Outline { points, width_pt: 0.7, ink: Ink::WORDS });
    page.words_at(at + DVec2::new(wide / 2.0, 0.0), text, style, Across::Middle);
    wide
}
