//! The work sheet: the written rounds of every part with a box to tick for each round of each copy, yarn used so far,
//! stuffing, seams, cautions. To be printed, ticked and scribbled on.

use glam::DVec2;

use super::flow::{Block, Room, flow};
use super::parts::{yarn_letter, yarn_of};
use super::setting::{Column, fit, line_mm, size_that_fits, wrap};
use super::words::{category, count, length, purpose};
use super::{Mark, Page, Paper, Sheet, Style, figures, letters::Weight};
use crate::figure::Figure;
use crate::measure::report::PartReport;
use crate::measure::{Derived, FindingKind};
use crate::notation::{Terms, WrittenLine, finish_line, written_lines};
use crate::part::Amount;
use crate::rounds::Start;
use crate::toy::{Copies, ExtraKind, Joint, Seat, Spot, Toy};
use crate::view::ink::Ink;
use crate::view::picture::Across;
use crate::view::place::told;
use crate::view::units::Units;

/// What is asked of a work sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WorkOptions {
    /// The paper.
    pub paper: Paper,
    /// Terms of the written rounds.
    pub terms: Terms,
    /// The units that stand first.
    pub units: Units,
}

const MARGIN: f64 = 14.0;
/// Side of a box and its step to the next, mm.
const BOX: (f64, f64) = (3.6, 4.9);
/// Boxes beside each other, at most.
const BOXES: usize = 8;
/// Left edges of the columns: round numbers, work, and from the right: stitches, yarn.
const ROUND_X: f64 = MARGIN + BOXES as f64 * BOX.1 + 1.5;
const WORK_X: f64 = ROUND_X + 17.0;
const COUNT_FROM_RIGHT: f64 = 17.0;
/// Most equal rounds in one line: more are written as several lines.
const MOST_ROUNDS: usize = 40;
/// Most copies with boxes of their own.
const MOST_COPIES: usize = 4;
const PLAIN: Style = Style::plain(10.0);
const QUIET: Style = Style::quiet(8.5);

/// Metres of yarn worked at the end of each round, from the start of the part: for one copy, without tails.
pub fn yarn_so_far_m(derived: &Derived, part: usize) -> Vec<f64> {
    let (Some(yarn), Some(report)) = (derived.made.yarns.get(part), derived.report.parts.get(part)) else {
        return Vec::new();
    };
    let all: f64 = yarn.rounds.iter().sum();
    let per_unit = if all > 0.0 { report.yarn_m.value / all } else { 0.0 };
    let so_far = yarn.rounds.iter().scan(0.0, |sum, round| {
        *sum += round;
        Some(*sum * per_unit)
    });
    so_far.collect()
}

/// Writes the work sheet of a toy.
pub fn work_sheet(toy: &Toy, derived: &Derived, options: WorkOptions) -> Sheet {
    let size = options.paper.size_mm();
    let name = if toy.name.trim().is_empty() { "A toy without a name" } else { toy.name.trim() };
    let mut blocks = Vec::new();
    cautions(&mut blocks, size, derived);
    for (index, report) in derived.report.parts.iter().enumerate() {
        part(&mut blocks, size, toy, derived, index, report, options);
    }
    if toy.pieces.is_empty() {
        blocks.push(said(size, "There are no parts yet.", PLAIN, None));
    }
    sewing(&mut blocks, size, toy, derived);
    let right = size.x - MARGIN;
    let room = Room { first_top: 40.0, top: 22.0, bottom: size.y - 16.0 };
    let mut pages = flow(blocks, room, &|belongs| {
        let style = Style::strong(11.0);
        let text = fit(&format!("{belongs}, continued"), style, right - MARGIN);
        Block { height: line_mm(11.0) + 2.0, leads: true, ..said(size, &text, style, None) }
    });
    let many = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        page.label = (i + 1).to_string();
        if i == 0 {
            head(page, size, toy, derived, name, options);
        } else {
            page.words(
                DVec2::new(MARGIN, 15.0),
                fit(name, Style::quiet(9.0), right - MARGIN - 30.0),
                Style::quiet(9.0),
            );
            page.words_at(DVec2::new(right, 15.0), "work sheet", Style::quiet(9.0), Across::Right);
            page.rule(DVec2::new(MARGIN, 17.5), DVec2::new(right, 17.5), 0.6, Ink::RULE);
        }
        let foot = size.y - 9.5;
        let note = "Yarn: m worked so far in one copy, without tails. Worked out, not measured.";
        page.words(DVec2::new(MARGIN, foot), note, Style::quiet(7.5));
        page.words_at(DVec2::new(right, foot), format!("{} of {many}", i + 1), Style::quiet(8.5), Across::Right);
    }
    Sheet { title: format!("{name}: work sheet"), size_mm: size, pages }
}

fn head(page: &mut Page, size: DVec2, toy: &Toy, derived: &Derived, name: &str, options: WorkOptions) {
    let right = size.x - MARGIN;
    let room = right - MARGIN - 40.0;
    let title = Style::strong(size_that_fits(name, Weight::Strong, &[24.0, 20.0, 16.0, 13.0], room));
    page.words(DVec2::new(MARGIN - 0.4, 22.0), fit(name, title, room), title);
    page.words_at(DVec2::new(right, 22.0), "work sheet", Style::strong(13.0), Across::Right);
    let terms = if options.terms == Terms::Uk { "UK terms" } else { "US terms" };
    page.words_at(DVec2::new(right, 28.0), terms, Style::quiet(9.0), Across::Right);
    let tall = derived.report.toy.size_mm.map(|s| {
        let l = length(s.z, options.units);
        format!(" · {} ({}) tall", l.first, l.second)
    });
    let yarns: Vec<String> = derived
        .report
        .yarn
        .iter()
        .map(|y| {
            let hook = crate::view::units::short(y.hook_mm);
            format!("{} {}, {hook} mm hook, {}", y.name, category(y.category), options.units.yarn(y.metres).value())
        })
        .collect();
    let about = format!("{}{}", purpose(toy.purpose), tall.unwrap_or_default());
    page.words(DVec2::new(MARGIN, 28.0), fit(&about, Style::quiet(9.0), room), Style::quiet(9.0));
    let yarns = fit(&yarns.join(" · "), Style::quiet(9.0), right - MARGIN);
    page.words(DVec2::new(MARGIN, 32.4), yarns, Style::quiet(9.0));
    page.rule(DVec2::new(MARGIN, 35.0), DVec2::new(right, 35.0), 1.2, Ink::WORDS);
}

/// A text as a block of its own.
fn said(size: DVec2, text: &str, style: Style, belongs: Option<String>) -> Block {
    let mut page = Page::default();
    let mut column = Column { left: MARGIN, width: size.x - 2.0 * MARGIN, y: 0.0 };
    column.say(&mut page, text, style);
    Block { page, height: column.y, leads: false, belongs }
}

fn gap(mm: f64, leads: bool) -> Block {
    Block { height: mm, leads, ..Block::default() }
}

/// Findings about safety, in a frame: before anything is worked.
fn cautions(blocks: &mut Vec<Block>, size: DVec2, derived: &Derived) {
    let found = derived.report.findings.iter().filter(|f| f.kind == FindingKind::Safety);
    let mut page = Page::default();
    let mut column = Column { left: MARGIN + 4.0, width: size.x - 2.0 * MARGIN - 8.0, y: 2.5 };
    column.line(&mut page, "Cautions", Style::strong(10.0));
    let top = column.y;
    for finding in found {
        column.say(&mut page, &format!("{} {}", finding.message, finding.remedy), Style::plain(9.0));
        column.skip(0.8);
    }
    if column.y == top {
        return;
    }
    column.skip(1.5);
    let points = super::rectangle(DVec2::new(MARGIN, 0.0), DVec2::new(size.x - MARGIN, column.y));
    page.marks.push(Mark::Outline { points, width_pt: 1.4, ink: Ink::WORDS });
    blocks.push(Block { page, height: column.y + 4.0, leads: false, belongs: None });
}

fn part(
    blocks: &mut Vec<Block>,
    size: DVec2,
    toy: &Toy,
    derived: &Derived,
    index: usize,
    report: &PartReport,
    options: WorkOptions,
) {
    let part = &toy.pieces[index].part;
    let belongs = Some(report.name.clone());
    blocks.push(gap(3.0, true));
    blocks.push(Block { leads: true, belongs: belongs.clone(), ..heading(size, toy, index, report, options.units) });
    if let Some(begun) = begun(&part.start) {
        blocks.push(Block { leads: true, ..said(size, &begun, PLAIN, belongs.clone()) });
    }
    let so_far = yarn_so_far_m(derived, index);
    let stuff = stuffing(toy, index, report, options.units);
    let copies = (report.copies as usize).max(1);
    let lines = short_lines(written_lines(&part.start, &part.rounds, options.terms));
    let many = lines.len();
    for (i, line) in lines.iter().enumerate() {
        let metres = so_far.get(line.last - 1).copied();
        let mut block = round(size, line, copies, metres, options.units);
        // The first two rounds stay with the heading, the last one with how the part is ended.
        block.leads = i == 0 && many > 1 || i + 1 == many;
        block.belongs.clone_from(&belongs);
        blocks.push(block);
    }
    let mut end =
        if part.rounds.is_empty() { "No rounds yet.".to_owned() } else { finish_line(part.finish).to_owned() };
    if let Some(stuff) = stuff {
        end = format!("{stuff} {end}");
    }
    blocks.push(said(size, &end, PLAIN, belongs));
    blocks.push(gap(2.0, false));
}

/// Lines of many equal rounds cut into several, so that their boxes fit a page.
fn short_lines(lines: Vec<WrittenLine>) -> Vec<WrittenLine> {
    let cut = |line: WrittenLine| {
        let starts = (line.first..=line.last).step_by(MOST_ROUNDS);
        starts
            .map(|first| WrittenLine { first, last: (first + MOST_ROUNDS - 1).min(line.last), ..line.clone() })
            .collect::<Vec<_>>()
    };
    lines.into_iter().flat_map(cut).collect()
}

fn heading(size: DVec2, toy: &Toy, index: usize, report: &PartReport, units: Units) -> Block {
    let mut page = Page::default();
    let right = size.x - MARGIN;
    let style = Style::strong(14.0);
    let copies = if report.copies > 1 { format!(" (make {})", report.copies) } else { String::new() };
    let room = right - MARGIN - 74.0;
    let name = fit(&report.name, style, room - super::setting::width_mm(&copies, style));
    page.words(DVec2::new(MARGIN, 5.4), format!("{name}{copies}"), style);
    let metres = units.yarn(report.yarn_m).value();
    let mut about = format!("{}, {} stitches, {metres}", count(report.rounds.len() as u64, "round"), report.stitches);
    if toy.yarns.len() > 1 {
        let yarn = yarn_of(toy, index, None);
        if let Some(yarn) = toy.yarns.get(yarn) {
            about = format!("{} · {about}", fit(&yarn.name, QUIET, 24.0));
        }
        let letter = yarn_letter(yarn);
        let wide = super::setting::width_mm(&about, QUIET);
        figures::tag(&mut page, DVec2::new(right - wide - 6.5, 5.4), &letter, 7.5);
    }
    page.words_at(DVec2::new(right, 5.4), about, QUIET, Across::Right);
    page.rule(DVec2::new(MARGIN, 7.4), DVec2::new(right, 7.4), 0.8, Ink::WORDS);
    Block { page, height: 9.6, leads: true, belongs: None }
}

fn begun(start: &Start) -> Option<String> {
    match start {
        Start::JoinedParts { parts, chain } if !parts.is_empty() => {
            Some(format!("Join {} with ch {chain} between them.", parts.join(" + ")))
        }
        Start::Rim { part } => Some(format!("Continue from the open rim of {part}.")),
        _ => None,
    }
}

/// A line of rounds: a box for each round, a row of them for each copy.
fn round(size: DVec2, line: &WrittenLine, copies: usize, metres: Option<f64>, units: Units) -> Block {
    let mut page = Page::default();
    let right = size.x - MARGIN;
    let rounds = line.last - line.first + 1;
    let step = line_mm(PLAIN.size_pt).max(BOX.1);
    let mut boxes_y = 0.0;
    let rows = if copies <= MOST_COPIES { copies } else { 1 };
    for _ in 0..rows {
        for row in 0..rounds.div_ceil(BOXES) {
            let here = BOXES.min(rounds - row * BOXES);
            // They end beside the round's number.
            let indent = if row == 0 { BOXES - here } else { BOXES - BOXES.min(rounds) };
            for column in 0..here {
                let at = DVec2::new(MARGIN + (indent + column) as f64 * BOX.1, boxes_y + (step - BOX.0) / 2.0);
                page.marks.push(Mark::CheckBox { at, side_mm: BOX.0 });
            }
            boxes_y += step;
        }
    }
    let base = 0.72 * step;
    let label = if rounds > 1 { format!("{}–{}", line.first, line.last) } else { line.first.to_string() };
    page.words(DVec2::new(ROUND_X, base), label, Style::strong(PLAIN.size_pt));
    let mut work = if line.frill { format!("(frill) {}", line.work) } else { line.work.clone() };
    if copies > MOST_COPIES {
        work.push_str(&format!(" (tally for {copies} copies)"));
    }
    let lines = wrap(&work, PLAIN, right - COUNT_FROM_RIGHT - 10.0 - WORK_X);
    for (i, text) in lines.iter().enumerate() {
        page.words(DVec2::new(WORK_X, base + i as f64 * step), text, PLAIN);
    }
    page.words_at(
        DVec2::new(right - COUNT_FROM_RIGHT, base),
        line.count.to_string(),
        Style::strong(PLAIN.size_pt),
        Across::Right,
    );
    if let Some(metres) = metres {
        page.words_at(DVec2::new(right, base), units.yarn(Figure::exact(metres)).value(), QUIET, Across::Right);
    }
    let height = boxes_y.max(lines.len().max(1) as f64 * step) + 0.8;
    let y = height - 0.2;
    page.marks.push(Mark::Rule {
        from: DVec2::new(ROUND_X, y),
        to: DVec2::new(right, y),
        width_pt: 0.4,
        ink: Ink::RULE,
        dash_pt: Some((0.4, 2.4)),
    });
    Block { page, height: height + 0.4, leads: false, belongs: None }
}

/// What goes into a part, and when.
fn stuffing(toy: &Toy, index: usize, report: &PartReport, units: Units) -> Option<String> {
    let part = &toy.pieces[index].part;
    let each = if report.copies > 1 { " each" } else { "" };
    let amount = if report.stuffing_g.value < 0.1 {
        "a pinch".to_owned()
    } else {
        format!("about {}", units.mass(report.stuffing_g).both())
    };
    let how = match part.stuffing.amount {
        Amount::None => return None,
        Amount::Light => "Stuff loosely",
        Amount::Medium => "Stuff",
        Amount::Firm => "Stuff firmly",
        Amount::Grams(_) => "Weigh and stuff",
    };
    let up_to = part.stuffing.up_to_round.map(|r| format!(", up to round {r}")).unwrap_or_default();
    part.is_stuffed().then(|| format!("{how}: {amount}{each}{up_to}."))
}

/// Where everything is sewn, and what is added.
fn sewing(blocks: &mut Vec<Block>, size: DVec2, toy: &Toy, derived: &Derived) {
    let mut lines: Vec<(String, String)> = Vec::new();
    for (i, piece) in toy.pieces.iter().enumerate() {
        let seat = &piece.placement.seat;
        let how = match piece.placement.joint {
            Joint::RimToRim => "rim to rim",
            Joint::RimOnSurface => "by its rim",
            Joint::FoldedFlat => "folded flat, along a line",
            Joint::WorkedInOne => "worked in one",
            Joint::Thread => "by a thread or button",
        };
        let place = match seat {
            Seat::Beside | Seat::Floor { .. } => continue,
            Seat::OnEnd { .. } | Seat::OnSurface { .. } => told(toy, seat),
        };
        let mirrored = match piece.placement.copies {
            Copies::One => String::new(),
            Copies::MirroredPair => "; the other one mirrored".to_owned(),
            Copies::Around(n) => format!("; {n} evenly around"),
        };
        let seam = derived.made.poses.get(i).and_then(|p| p.seam).filter(|s| s.radius_mm > 0.5);
        let wide = seam.map(|s| format!("; the seam {:.0} mm across", 2.0 * s.radius_mm)).unwrap_or_default();
        lines.push((piece.part.name.clone(), format!("{place}{mirrored}: {how}{wide}.")));
    }
    for extra in &toy.extras {
        let place = match extra.spot {
            Spot::Surface(at) => told(toy, &Seat::OnSurface { part: extra.part.clone(), at }),
            Spot::Inside { .. } => format!("inside {}", extra.part),
        };
        let what = match extra.kind {
            ExtraKind::Eye { diameter_mm } => format!(", {} mm", crate::view::units::short(diameter_mm)),
            _ => String::new(),
        };
        let often = if extra.copies.number() > 1 { format!(" × {}", extra.copies.number()) } else { String::new() };
        let mirrored = if extra.copies == Copies::MirroredPair && matches!(extra.spot, Spot::Surface(_)) {
            "; the other one mirrored"
        } else {
            ""
        };
        let when = if matches!(extra.spot, Spot::Surface(_)) { "" } else { ", before it is closed" };
        lines.push((format!("{}{often}{what}", extra.name), format!("{place}{mirrored}{when}.")));
    }
    if lines.is_empty() {
        return;
    }
    let right = size.x - MARGIN;
    let mut page = Page::default();
    page.words(DVec2::new(MARGIN, 8.4), "Sewing up", Style::strong(14.0));
    page.rule(DVec2::new(MARGIN, 10.4), DVec2::new(right, 10.4), 0.8, Ink::WORDS);
    blocks.push(Block { page, height: 12.6, leads: true, belongs: None });
    let belongs = Some("Sewing up".to_owned());
    for (name, place) in lines {
        let mut page = Page::default();
        page.marks.push(Mark::CheckBox { at: DVec2::new(MARGIN, 0.7), side_mm: BOX.0 });
        let mut column = Column { left: MARGIN + 7.0, width: 40.0, y: 0.0 };
        column.say_up_to(&mut page, &name, Style::strong(PLAIN.size_pt), 2);
        let mut beside = Column { left: MARGIN + 50.0, width: right - MARGIN - 50.0, y: 0.0 };
        beside.say(&mut page, &place, PLAIN);
        blocks.push(Block { page, height: column.y.max(beside.y) + 1.2, leads: false, belongs: belongs.clone() });
    }
}
