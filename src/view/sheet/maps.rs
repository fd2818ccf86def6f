//! The last leaves of the work sheet: where everything is sewn and where the face goes, by round and stitch; yarn
//! with tails.

use glam::DVec2;

use super::flow::Block;
use super::parts::yarn_letter;
use super::setting::{Column, fit};
use super::words::length;
use super::work::{BOX, MARGIN, PLAIN, QUIET, said};
use super::{Mark, Page, Style, figures};
use crate::figure::Figure;
use crate::measure::Derived;
use crate::measure::report::{PlacementsReport, SeamReport};
use crate::toy::pose::sewn_folded;
use crate::toy::{Copies, Extra, ExtraKind, Joint, Piece, Seat, Spot, Toy};
use crate::view::ink::Ink;
use crate::view::place::told;
use crate::view::sewn::{face_place, seam_place, sewn_off};
use crate::view::units::Units;

/// Width of the names at the left, mm.
const NAMES: f64 = 40.0;

/// A heading that stays with what it leads.
fn heading(size: DVec2, text: &str) -> Block {
    let mut page = Page::default();
    page.words(DVec2::new(MARGIN, 8.4), text, Style::strong(14.0));
    page.rule(DVec2::new(MARGIN, 10.4), DVec2::new(size.x - MARGIN, 10.4), 0.8, Ink::WORDS);
    Block { page, height: 12.6, leads: true, ..Block::default() }
}

/// A note under a heading, which goes with the heading.
fn note(size: DVec2, text: &str, belongs: &str) -> Block {
    let block = said(size, text, QUIET, Some(belongs.to_owned()));
    Block { leads: true, height: block.height + 1.2, ..block }
}

/// A line with a box to tick: a name, and beside it what is to be known. Long lists are cut, so that each piece fits
/// a page.
fn entry(blocks: &mut Vec<Block>, size: DVec2, belongs: &str, name: &str, lines: &[(String, Style)]) {
    const MOST_LINES: usize = 24;
    for (i, some) in lines.chunks(MOST_LINES).enumerate() {
        let mut page = Page::default();
        let mut column = Column { left: MARGIN + 7.0, width: NAMES, y: 0.0 };
        if i == 0 {
            page.marks.push(Mark::CheckBox { at: DVec2::new(MARGIN, 0.7), side_mm: BOX.0 });
            column.say_up_to(&mut page, name, Style::strong(PLAIN.size_pt), 2);
        }
        let left = MARGIN + NAMES + 10.0;
        let mut beside = Column { left, width: size.x - MARGIN - left, y: 0.0 };
        for (line, style) in some {
            beside.say(&mut page, line, *style);
        }
        let height = column.y.max(beside.y) + 1.6;
        blocks.push(Block { page, height, belongs: Some(belongs.to_owned()), ..Block::default() });
    }
}

/// Where every part is sewn.
pub(super) fn sewing(
    blocks: &mut Vec<Block>,
    size: DVec2,
    toy: &Toy,
    derived: &Derived,
    map: &PlacementsReport,
    units: Units,
) {
    const NAME: &str = "Sewing map";
    let placed = |p: &&Piece| matches!(p.placement.seat, Seat::OnEnd { .. } | Seat::OnSurface { .. });
    if !toy.pieces.iter().any(|p| placed(&p)) {
        return;
    }
    blocks.push(heading(size, NAME));
    blocks.push(note(size, "Rounds and stitches are those of the part that is sewn on to, counted from 1.", NAME));
    for piece in toy.pieces.iter().filter(placed) {
        let seam = map.seams.iter().find(|s| s.part == piece.part.name);
        let across = toy
            .piece_named(&piece.part.name)
            .and_then(|i| derived.made.poses.get(i)?.seam)
            .map(|s| 2.0 * s.rim_half_mm())
            .filter(|across_mm| *across_mm > 1.0);
        entry(blocks, size, NAME, &piece.part.name, &seam_lines(toy, piece, seam, across, units));
    }
}

fn seam_lines(
    toy: &Toy,
    piece: &Piece,
    seam: Option<&SeamReport>,
    across_mm: Option<f64>,
    units: Units,
) -> Vec<(String, Style)> {
    let placement = &piece.placement;
    let how = match placement.joint {
        _ if seam.is_some_and(|s| s.joint == "worked_in_one") => "worked in one",
        _ if sewn_folded(piece) => "folded flat, along a line",
        Joint::RimToRim => "rim to rim",
        Joint::RimOnSurface => "by its rim",
        Joint::FoldedFlat => "folded flat, along a line",
        Joint::WorkedInOne => "worked in one",
        Joint::Thread => "by a thread or button",
    };
    let often = match placement.copies {
        Copies::One => String::new(),
        Copies::MirroredPair => "; the other one mirrored".to_owned(),
        Copies::Around(n) => format!("; {n} evenly around"),
    };
    let mm = |value: f64| length(Figure::exact(value), units).first;
    let wide = across_mm.map(|mm_across| format!(", {} across", mm(mm_across))).unwrap_or_default();
    let mut lines = vec![(format!("{}{often}: {how}{wide}.", upper_first(&told(toy, &placement.seat))), PLAIN)];
    let Some(seam) = seam else { return lines };
    for copy in &seam.copies {
        let which = if seam.copies.len() > 1 { format!("{}: ", copy.copy + 1) } else { String::new() };
        let place = seam_place(seam, copy);
        let place = if which.is_empty() { upper_first(&place) } else { place };
        lines.push((format!("{which}{place}."), PLAIN));
    }
    if let Some(tail) = seam.tail_mm {
        let tail = length(tail, units);
        let range = if tail.range.is_empty() { String::new() } else { format!(" ({})", tail.range) };
        lines.push((format!("Seam {}; tail {}{range}.", mm(seam.length_mm), tail.first), QUIET));
    }
    lines.extend(sewn_off(seam).map(|off| (format!("{}.", upper_first(&off)), QUIET)));
    lines
}

fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// Where eyes and whatever else is added go.
pub(super) fn face(blocks: &mut Vec<Block>, size: DVec2, toy: &Toy, map: &PlacementsReport) {
    if toy.extras.is_empty() {
        return;
    }
    let name = if map.face.is_empty() { "Put in" } else { "Face map" };
    blocks.push(heading(size, name));
    if !map.face.is_empty() {
        let drift = "Stitches are counted from where the round begins. Rounds drift as they are worked: the range in \
                     brackets is where the place may come to lie. The count from the first to the next does not drift.";
        blocks.push(note(size, drift, name));
    }
    for extra in &toy.extras {
        let size_mm = match extra.kind {
            ExtraKind::Eye { diameter_mm } => format!(", {diameter_mm} mm"),
            _ => String::new(),
        };
        let often = if extra.copies.number() > 1 { format!(" × {}", extra.copies.number()) } else { String::new() };
        entry(blocks, size, name, &format!("{}{often}{size_mm}", extra.name), &face_lines(toy, extra, map));
    }
}

fn face_lines(toy: &Toy, extra: &Extra, map: &PlacementsReport) -> Vec<(String, Style)> {
    let Spot::Surface(at) = extra.spot else {
        return vec![(format!("Inside {}, before it is closed.", extra.part), PLAIN)];
    };
    let mirrored = if extra.copies == Copies::MirroredPair { "; the other one mirrored" } else { "" };
    let seat = Seat::OnSurface { part: extra.part.clone(), at };
    let mut lines = vec![(format!("{}{mirrored}.", upper_first(&told(toy, &seat))), PLAIN)];
    // A part that is made twice has its face twice, in the same places.
    for face in map.face.iter().filter(|f| f.extra == extra.name && f.part == extra.part && f.part_copy == 0) {
        let which = if extra.copies.number() > 1 { format!("{}: ", face.copy + 1) } else { String::new() };
        let place = face_place(face);
        lines.push((format!("{which}{}.", if which.is_empty() { upper_first(&place) } else { place }), PLAIN));
    }
    lines
}

/// The need of every yarn, tails and sewing included.
pub(super) fn yarn(blocks: &mut Vec<Block>, size: DVec2, derived: &Derived, units: Units) {
    const NAME: &str = "Yarn, all in all";
    let yarns = &derived.report.yarn;
    let used = || yarns.iter().enumerate().filter(|(_, y)| y.stock.need.metres.value > 0.0);
    if used().next().is_none() {
        return;
    }
    blocks.push(heading(size, NAME));
    for (i, yarn) in used() {
        let (need, take) = (&yarn.stock.need, &yarn.stock.take);
        let mut page = Page::default();
        let mut column = Column { left: MARGIN, width: size.x - 2.0 * MARGIN, y: 0.0 };
        if yarns.len() > 1 {
            let wide = figures::tag(&mut page, DVec2::new(MARGIN, 3.9), &yarn_letter(i), 8.0) + 2.0;
            (column.left, column.width) = (column.left + wide, column.width - wide);
        }
        column.line(&mut page, &fit(&yarn.name, Style::strong(10.0), column.width), Style::strong(10.0));
        let tails = Figure::exact(need.tails_m.value + need.sewing_m.value);
        let balls = match take.balls {
            Some(1) => ", 1 ball".to_owned(),
            Some(n) => format!(", {n} balls"),
            None => String::new(),
        };
        let text = format!(
            "{}, {}; of it {} in tails and seams. Take {}{balls}: {:.0} % more than is still to be made.",
            units.yarn(need.metres).both(),
            units.mass(need.grams).both(),
            units.yarn(tails).value(),
            units.mass(Figure::exact(take.grams)).value(),
            100.0 * take.allowance
        );
        column.say(&mut page, &text, PLAIN);
        blocks.push(Block { page, height: column.y + 1.6, belongs: Some(NAME.to_owned()), ..Block::default() });
    }
}
