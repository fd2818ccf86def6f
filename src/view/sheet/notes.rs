//! The foot of the sketch: yarns with their key, what the figures rest on.

use glam::DVec2;

use super::setting::{Column, fit};
use super::sketch::{FOOT, MARGIN, NOTES, PT_SCALE};
use super::words::{category, count, rests_on};
use super::{Mark, Page, Style, figures, parts};
use crate::measure::Derived;
use crate::toy::Toy;
use crate::view::ink::Ink;
use crate::view::picture::Across;
use crate::view::units::Units;

/// Yarns with their key on the left, what the figures rest on on the right, and the foot of the page.
pub(super) fn notes(page: &mut Page, size: DVec2, toy: &Toy, derived: &Derived, units: Units) {
    let top = size.y - MARGIN - FOOT - NOTES;
    let right = size.x - MARGIN;
    let half = (right - MARGIN - 8.0) / 2.0;
    page.rule(DVec2::new(MARGIN, top), DVec2::new(right, top), 0.6, Ink::RULE);
    let mut left = Column { left: MARGIN, width: half, y: top + 2.0 };
    left.line(page, "Yarn and hook", Style::quiet(8.0));
    left.skip(0.8);
    let yarns = &derived.report.yarn;
    let most = if yarns.len() > 4 { 3 } else { 4 };
    for yarn in yarns.iter().take(most) {
        let place = toy.yarns.iter().position(|y| y.name == yarn.name);
        let colour = place.map_or(crate::yarn::Yarn::default().colour, |p| toy.yarns[p].colour);
        swatch(page, DVec2::new(MARGIN, left.y + 0.4), colour, place.unwrap_or(0));
        let mut beside = Column { left: MARGIN + 11.0, width: half - 11.0, y: left.y };
        let letter = if yarns.len() > 1 { place.map(parts::yarn_letter).unwrap_or_default() } else { String::new() };
        let said = format!(
            "{}, {}, {} mm hook: {}, {}",
            yarn.name,
            category(yarn.category),
            crate::view::units::short(yarn.hook_mm),
            units.yarn(yarn.stock.need.metres).value(),
            units.mass(yarn.stock.need.grams).value(),
        );
        let mut x = 0.0;
        if !letter.is_empty() {
            x = figures::tag(page, DVec2::new(beside.left, beside.y + 3.3), &letter, 7.0) + 1.4;
        }
        beside.left += x;
        beside.width -= x;
        beside.line(page, &fit(&said, Style::plain(8.5), beside.width), Style::plain(8.5));
        left.y = beside.y + 0.9;
    }
    if yarns.len() > most {
        left.line(page, &format!("and {} more", count((yarns.len() - most) as u64, "yarn")), Style::quiet(8.0));
    }
    let mut column = Column { left: MARGIN + half + 8.0, width: half, y: top + 2.0 };
    column.line(page, "Give or take: every range rests on", Style::quiet(8.0));
    column.skip(0.8);
    for line in rests_on(&derived.report) {
        column.say_up_to(page, &line, Style::plain(8.5), 2);
    }
    let foot = size.y - MARGIN + 1.0;
    page.rule(DVec2::new(MARGIN, foot - 5.0), DVec2::new(right, foot - 5.0), 0.6, Ink::RULE);
    let note = "Worked out from the written rounds, not measured. Outlines and sizes include the fabric's thickness. \
                Yarn is with tails and sewing.";
    page.words(DVec2::new(MARGIN, foot - 1.2), fit(note, Style::quiet(7.0), right - MARGIN - 24.0), Style::quiet(7.0));
    page.words_at(DVec2::new(right, foot - 1.2), "Toppleknot", Style::strong(7.5), Across::Right);
}

/// A patch of a yarn's colour with its round lines, which tell it in black and white.
fn swatch(page: &mut Page, at: DVec2, colour: [u8; 3], yarn: usize) {
    let (low, high) = (at, at + DVec2::new(9.0, 3.4));
    page.block(low, high, Ink::yarn(colour));
    let ink = Ink::yarn(crate::view::ink::line_on(colour));
    for share in [0.33, 0.67] {
        let y = low.y + share * (high.y - low.y);
        let dash_pt = parts::yarn_dash(yarn).map(|(a, b)| (a * PT_SCALE, b * PT_SCALE));
        page.marks.push(Mark::Rule {
            from: DVec2::new(low.x, y),
            to: DVec2::new(high.x, y),
            width_pt: 0.6,
            ink,
            dash_pt,
        });
    }
    page.marks.push(Mark::Outline { points: super::rectangle(low, high), width_pt: 0.7, ink: Ink::WORDS });
}
