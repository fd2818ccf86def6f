//! The work sheet: the written rounds of every part with a box to tick for each round of each copy, yarn used so far,
//! stuffing, seams, cautions. To be printed, ticked and scribbled on.

use glam::DVec2;

use super::flow::{Block, Room, flow};
use super::parts::{yarn_letter, yarn_of};
use super::running::Running;
use super::setting::{Column, fit, line_mm, size_that_fits, wrap};
use super::words::{category, count, length, purpose};
use super::{Mark, Page, Paper, Sheet, Style, figures, letters::Weight, maps};
use crate::measure::report::{DEFERS, PartReport, PlacementsReport, StepReport};
use crate::measure::{Derived, placements};
use crate::notation::{Terms, WrittenLine, written_lines};
use crate::part::Amount;
use crate::rounds::Start;
use crate::toy::Toy;
use crate::view::ink::Ink;
use crate::view::picture::Across;
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

pub(super) const MARGIN: f64 = 14.0;
/// Side of a box and its step to the next, mm.
pub(super) const BOX: (f64, f64) = (3.6, 4.9);
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
pub(super) const PLAIN: Style = Style::plain(10.0);
pub(super) const QUIET: Style = Style::quiet(8.5);

/// Writes the work sheet of a toy. Where the report has no placements yet they are worked out here.
pub fn work_sheet(toy: &Toy, derived: &Derived, options: WorkOptions) -> Sheet {
    let size = options.paper.size_mm();
    let name = if toy.name.trim().is_empty() { "A toy without a name" } else { toy.name.trim() };
    let found;
    let map = match &derived.report.placements {
        Some(map) => map,
        None => {
            found = placements(toy, derived);
            &found
        }
    };
    let running = Running::new(toy, derived, options.units);
    let mut blocks = Vec::new();
    cautions(&mut blocks, size, derived);
    for (index, report) in derived.report.parts.iter().enumerate() {
        part(&mut blocks, size, toy, map, &running, index, report, options);
    }
    if toy.pieces.is_empty() {
        blocks.push(said(size, "There are no parts yet.", PLAIN, None));
    }
    maps::sewing(&mut blocks, size, toy, derived, map, options.units);
    maps::face(&mut blocks, size, toy, map);
    maps::yarn(&mut blocks, size, derived, options.units);
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
        let note = "Yarn at the right: used so far in the whole toy, in the order of this sheet, tails included. Worked out, not measured.";
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
            format!(
                "{} {}, {hook} mm hook, {}",
                y.name,
                category(y.category),
                options.units.yarn(y.stock.need.metres).value()
            )
        })
        .collect();
    let about = format!("{}{}", purpose(toy.purpose), tall.unwrap_or_default());
    page.words(DVec2::new(MARGIN, 28.0), fit(&about, Style::quiet(9.0), room), Style::quiet(9.0));
    let yarns = fit(&yarns.join(" · "), Style::quiet(9.0), right - MARGIN);
    page.words(DVec2::new(MARGIN, 32.4), yarns, Style::quiet(9.0));
    page.rule(DVec2::new(MARGIN, 35.0), DVec2::new(right, 35.0), 1.2, Ink::WORDS);
}

/// A text as a block of its own.
pub(super) fn said(size: DVec2, text: &str, style: Style, belongs: Option<String>) -> Block {
    let mut page = Page::default();
    let mut column = Column { left: MARGIN, width: size.x - 2.0 * MARGIN, y: 0.0 };
    column.say(&mut page, text, style);
    Block { page, height: column.y, belongs, ..Block::default() }
}

fn gap(mm: f64, leads: bool) -> Block {
    Block { height: mm, leads, ..Block::default() }
}

/// What the safety checks say, before anything is worked; with a bar beside it.
fn cautions(blocks: &mut Vec<Block>, size: DVec2, derived: &Derived) {
    let report = &derived.report.cautions;
    if derived.report.parts.is_empty() {
        return;
    }
    let boxed = |lines: &[(&str, Style)]| {
        let mut page = Page::default();
        let mut column = Column { left: MARGIN + 4.0, width: size.x - 2.0 * MARGIN - 4.0, y: 0.0 };
        for (text, style) in lines {
            column.say(&mut page, text, *style);
        }
        column.skip(1.0);
        page.rule(DVec2::new(MARGIN + 0.8, 0.0), DVec2::new(MARGIN + 0.8, column.y), 2.2, Ink::WORDS);
        Block { page, height: column.y, belongs: Some("Cautions".to_owned()), ..Block::default() }
    };
    // Who decides is said once on a page, below the cautions on it.
    let message = report.message.strip_suffix(DEFERS).unwrap_or(&report.message).trim_end();
    let closing = Some(Box::new(boxed(&[(DEFERS, Style::strong(9.0))])));
    let first = boxed(&[("Cautions", Style::strong(10.0)), (message, Style::plain(9.0))]);
    blocks.push(Block { leads: !report.cautions.is_empty(), closing: closing.clone(), ..first });
    for caution in &report.cautions {
        let said = boxed(&[(&format!("{} {}", caution.message, caution.remedy), Style::plain(9.0))]);
        blocks.push(Block { closing: closing.clone(), ..said });
    }
    blocks.push(boxed(&[(&format!("Checked: {}.", report.checks.join("; ")), Style::quiet(7.5))]));
    blocks.push(gap(3.0, false));
}

#[allow(clippy::too_many_arguments)]
fn part(
    blocks: &mut Vec<Block>,
    size: DVec2,
    toy: &Toy,
    map: &PlacementsReport,
    running: &Running,
    index: usize,
    report: &PartReport,
    options: WorkOptions,
) {
    let part = &toy.pieces[index].part;
    let belongs = Some(report.name.clone());
    blocks.push(gap(3.0, true));
    blocks.push(Block { leads: true, belongs: belongs.clone(), ..heading(size, toy, index, report) });
    if let Some(begun) = begun(&part.start) {
        let block = said(size, &begun, PLAIN, belongs.clone());
        blocks.push(Block { leads: true, height: block.height + 1.0, ..block });
    }
    // Sewing has leaves of its own.
    let steps = map.steps.iter().find(|s| s.part == report.name).map_or(&[][..], |s| &s.steps);
    let steps: Vec<&StepReport> = steps.iter().filter(|s| s.kind != "sew").collect();
    let after = |round: usize| steps.iter().filter(move |s| s.after_round as usize == round);
    let copies = (report.copies as usize).max(1);
    let cuts: Vec<usize> = steps.iter().map(|s| s.after_round as usize).collect();
    let lines = short_lines(written_lines(&part.start, &part.rounds, options.terms), &cuts);
    let many = lines.len();
    if many == 0 {
        blocks.push(said(size, "No rounds yet.", PLAIN, belongs.clone()));
    }
    for (i, line) in lines.iter().enumerate() {
        let mut block = round(size, line, copies, running, index);
        let here: Vec<&&StepReport> = after(line.last).collect();
        // The first two rounds stay with the heading, a round with what is done after it.
        block.leads = i == 0 && many > 1 || !here.is_empty();
        block.belongs.clone_from(&belongs);
        blocks.push(block);
        for (n, what) in here.iter().enumerate() {
            let amount = if what.kind == "stuff" { stuffing(toy, index, report, options.units) } else { None };
            let text = [Some(what.message.clone()), amount].into_iter().flatten().collect::<Vec<_>>().join(" ");
            let leads = n + 1 < here.len() || i == 0 && many > 1;
            blocks.push(Block { leads, belongs: belongs.clone(), ..step(size, &text) });
        }
    }
    // Copies that have no row of boxes of their own: what all of them take.
    let reckoned = running.copies(index);
    if many > 0 && reckoned as usize > shown_copies(copies) {
        let all = running.all_words(index, part.rounds.len());
        let text = format!("Yarn used once all {reckoned} are made: {all}.");
        blocks.push(said(size, &text, QUIET, belongs));
    }
    blocks.push(gap(2.0, false));
}

/// What is done after a round, with a small pointer before it.
fn step(size: DVec2, text: &str) -> Block {
    let mut page = Page::default();
    let points = [(0.0, -1.2), (1.9, 0.0), (0.0, 1.2)].map(|(x, y)| DVec2::new(ROUND_X + x, 2.6 + y)).to_vec();
    page.marks.push(Mark::Fill { points, ink: Ink::WORDS });
    let mut column = Column { left: ROUND_X + 3.6, width: size.x - MARGIN - ROUND_X - 3.6, y: 0.5 };
    column.say(&mut page, text, Style::plain(9.5));
    Block { page, height: column.y + 1.0, ..Block::default() }
}

/// Copies that have a row of boxes of their own.
fn shown_copies(copies: usize) -> usize {
    if copies <= MOST_COPIES { copies } else { 1 }
}

/// Lines of many equal rounds cut into several: so that their boxes fit a page, and where something is to be done
/// after a round among them.
fn short_lines(lines: Vec<WrittenLine>, cuts: &[usize]) -> Vec<WrittenLine> {
    let mut short = Vec::new();
    for line in lines {
        let mut first = line.first;
        for last in line.first..=line.last {
            if last == line.last || last + 1 - first == MOST_ROUNDS || cuts.contains(&last) {
                short.push(WrittenLine { first, last, ..line.clone() });
                first = last + 1;
            }
        }
    }
    short
}

fn heading(size: DVec2, toy: &Toy, index: usize, report: &PartReport) -> Block {
    let mut page = Page::default();
    let right = size.x - MARGIN;
    let style = Style::strong(14.0);
    let copies = if report.copies > 1 { format!(" (make {})", report.copies) } else { String::new() };
    let room = right - MARGIN - 74.0;
    let name = fit(&report.name, style, room - super::setting::width_mm(&copies, style));
    page.words(DVec2::new(MARGIN, 5.4), format!("{name}{copies}"), style);
    let mut about = format!("{}, {} stitches", count(report.rounds.len() as u64, "round"), report.stitches);
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
    Block { page, height: 9.6, leads: true, ..Block::default() }
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
fn round(size: DVec2, line: &WrittenLine, copies: usize, running: &Running, piece: usize) -> Block {
    let mut page = Page::default();
    let right = size.x - MARGIN;
    let rounds = line.last - line.first + 1;
    let step = line_mm(PLAIN.size_pt).max(BOX.1);
    let mut boxes_y = 0.0;
    for copy in 1..=shown_copies(copies) {
        let top = boxes_y;
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
        let mut figures_y = top;
        for words in running.words(piece, copy as u32, line.first, line.last) {
            page.words_at(DVec2::new(right, figures_y + 0.72 * step), words, QUIET, Across::Right);
            figures_y += step;
        }
        boxes_y = boxes_y.max(figures_y);
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
    let height = boxes_y.max(lines.len().max(1) as f64 * step) + 0.8;
    let y = height - 0.2;
    page.marks.push(Mark::Rule {
        from: DVec2::new(ROUND_X, y),
        to: DVec2::new(right, y),
        width_pt: 0.4,
        ink: Ink::RULE,
        dash_pt: Some((0.4, 2.4)),
    });
    Block { page, height: height + 0.4, ..Block::default() }
}

/// How much goes into a part, and how firmly.
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
        Amount::Light => "Loosely",
        Amount::Medium => "Medium firm",
        Amount::Firm => "Firmly",
        Amount::Grams(_) => "By the scale",
    };
    part.is_stuffed().then(|| format!("{how}, {amount}{each}."))
}
