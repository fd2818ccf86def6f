//! The proportion sketch: one page to pin over the work table. The toy from its sides and its parts beside, all at
//! one round scale; under them whether it stands, how heavy its head is, how its neck holds; yarn, hook, and what
//! the figures rest on.

use glam::DVec2;

use super::figures::{dimension, scale_bars};
use super::notes::notes;
use super::parts::{Laid, laid};
use super::setting::{fit, size_that_fits, width_mm};
use super::verdicts::{VERDICTS_MM, verdicts};
use super::views::{View, footing, head_lines, views, with_support};
use super::words::{count, length, purpose};
use super::{Mark, Page, Paper, Placed, Sheet, Style, letters::Weight};
use super::{figures, parts};
use crate::figure::Figure;
use crate::measure::Derived;
use crate::toy::Toy;
use crate::view::elevation::Side;
use crate::view::ink::Ink;
use crate::view::picture::{Across, Item, Picture};
use crate::view::units::Units;

/// What is asked of a sketch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SketchOptions {
    /// The paper.
    pub paper: Paper,
    /// Show the toy from above too.
    pub top: bool,
    /// The units that stand first; the others follow.
    pub units: Units,
}

/// Margin on every side, mm.
pub(super) const MARGIN: f64 = 13.0;
/// Where the views begin, mm from the top.
const VIEWS_TOP: f64 = 36.0;
/// Room left of the views for heights, and right of them for head counts, mm.
const GUTTERS: (f64, f64) = (24.0, 15.0);
/// Room between two views, mm.
const BETWEEN: f64 = 17.0;
/// Room above the views for their names, and under them for widths and the scale bars, mm.
const AROUND: (f64, f64) = (7.0, 24.0);
/// Room for yarns and what the figures rest on, and for the foot of the page, mm.
pub(super) const NOTES: f64 = 27.0;
pub(super) const FOOT: f64 = 8.0;
/// Least width of a part's place, room between two, and height of the words under it, mm.
const CELL: (f64, f64, f64) = (25.0, 4.0, 12.5);
/// Scales: 1 to these.
const SCALES: [f64; 22] = [
    1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0,
    200.0, 500.0,
];
/// Widths of lines and sizes of marks against those on screen.
pub(super) const PT_SCALE: f64 = 0.55;

/// Where everything goes, once the scale is known.
struct Plan {
    scale: f64,
    views_mm: f64,
    rows: Vec<Vec<usize>>,
    row_mm: Vec<f64>,
}

/// Draws the proportion sketch of a toy.
pub fn sketch(toy: &Toy, derived: &Derived, options: SketchOptions) -> Sheet {
    let size = options.paper.size_mm();
    let sides: &[Side] = if options.top { &Side::ALL } else { &[Side::Front, Side::Left] };
    let views = views(toy, derived, sides);
    let laid: Vec<Laid> = (0..toy.pieces.len()).map(|i| laid(toy, &derived.made, i)).collect();
    let plan = plan(size, &views, derived, &laid);
    let mut page = Page { label: "1".to_owned(), ..Page::default() };
    let name = if toy.name.trim().is_empty() { "A toy without a name" } else { toy.name.trim() };
    head(&mut page, size, toy, derived, name, plan.scale);
    let parts_mm: f64 = plan.row_mm.iter().sum();
    let below = VERDICTS_MM + NOTES + FOOT + MARGIN;
    let spare = (size.y - VIEWS_TOP - plan.views_mm - parts_mm - below).max(0.0);
    // White space goes mostly around the toy.
    let views_bottom = VIEWS_TOP + plan.views_mm + 0.6 * spare;
    draw_views(&mut page, size, derived, &views, &plan, views_bottom, options);
    let mut y = views_bottom;
    verdicts(&mut page, derived, options.units, plan.scale, DVec2::new(MARGIN, y), size.x - 2.0 * MARGIN);
    y += VERDICTS_MM;
    draw_parts(&mut page, size, toy, derived, &laid, &plan, y, 0.4 * spare, options.units);
    notes(&mut page, size, toy, derived, options.units);
    Sheet { title: format!("{name}: proportion sketch"), size_mm: size, pages: vec![page] }
}

/// The largest scale at which views and parts fit their room.
fn plan(size: DVec2, views: &[View], derived: &Derived, laid: &[Laid]) -> Plan {
    let room = size - DVec2::new(2.0 * MARGIN, VIEWS_TOP + VERDICTS_MM + NOTES + FOOT + MARGIN);
    let support = footing(derived);
    let across: f64 = views.iter().map(|v| with_support(v, support.as_ref()).size().x).sum();
    let tallest = views.iter().map(|v| v.toy.size().y).fold(0.0, f64::max);
    let gaps = GUTTERS.0 + GUTTERS.1 + BETWEEN * views.len().saturating_sub(1) as f64;
    let mut best = None;
    for scale in SCALES {
        let views_mm = tallest / scale + AROUND.0 + AROUND.1;
        let (rows, row_mm) = rows(laid, scale, room.x);
        let fits = across / scale + gaps <= room.x && views_mm + row_mm.iter().sum::<f64>() <= room.y;
        best = Some(Plan { scale, views_mm, rows, row_mm });
        if fits {
            break;
        }
    }
    let mut plan = best.unwrap_or(Plan { scale: 1.0, views_mm: 30.0, rows: Vec::new(), row_mm: Vec::new() });
    // Even at the smallest scale a hundred parts do not fit: the last rows are left out, and said so.
    while plan.views_mm + plan.row_mm.iter().sum::<f64>() > room.y && plan.rows.len() > 1 {
        plan.rows.pop();
        plan.row_mm.pop();
    }
    plan
}

fn cell_mm(laid: &Laid, scale: f64) -> f64 {
    (laid.extent.size().x / scale).max(CELL.0)
}

/// Parts in rows, and the rows' heights.
fn rows(laid: &[Laid], scale: f64, width: f64) -> (Vec<Vec<usize>>, Vec<f64>) {
    let mut rows: Vec<Vec<usize>> = Vec::new();
    let mut used = f64::INFINITY;
    for (i, part) in laid.iter().enumerate() {
        let need = cell_mm(part, scale);
        if used + CELL.1 + need > width {
            rows.push(Vec::new());
            used = -CELL.1;
        }
        used += CELL.1 + need;
        if let Some(row) = rows.last_mut() {
            row.push(i);
        }
    }
    let tall = |row: &Vec<usize>| row.iter().map(|i| laid[*i].extent.size().y / scale).fold(0.0, f64::max);
    let heights = rows.iter().map(|row| tall(row) + CELL.2 + 2.5).collect();
    (rows, heights)
}

fn head(page: &mut Page, size: DVec2, toy: &Toy, derived: &Derived, name: &str, scale: f64) {
    let right = size.x - MARGIN;
    let said = format!("1 : {scale}");
    let style = Style::strong(20.0);
    let scale_mm = width_mm(&said, style).max(30.0);
    let room = right - MARGIN - scale_mm - 8.0;
    let title = Style::strong(size_that_fits(name, Weight::Strong, &[26.0, 22.0, 18.0, 15.0], room));
    page.words(DVec2::new(MARGIN - 0.4, 22.5), fit(name, title, room), title);
    let stitches: u64 = derived.report.parts.iter().map(|p| p.stitches.saturating_mul(u64::from(p.copies))).sum();
    let copies: u64 = derived.report.parts.iter().map(|p| u64::from(p.copies)).sum();
    let weight = Units::Metric.mass(derived.report.toy.mass_g).both();
    let about = format!(
        "{} · {} · {} · {weight}",
        purpose(toy.purpose),
        count(copies, "piece"),
        count(stitches, "stitch").replace("stitchs", "stitches")
    );
    page.words(DVec2::new(MARGIN, 28.6), fit(&about, Style::quiet(9.0), room), Style::quiet(9.0));
    page.words_at(DVec2::new(right, 22.5), said, style, Across::Right);
    page.words_at(DVec2::new(right, 28.6), "proportion sketch", Style::quiet(9.0), Across::Right);
    page.rule(DVec2::new(MARGIN, 31.8), DVec2::new(right, 31.8), 1.2, Ink::WORDS);
}

fn draw_views(
    page: &mut Page,
    size: DVec2,
    derived: &Derived,
    views: &[View],
    plan: &Plan,
    bottom: f64,
    options: SketchOptions,
) {
    let scale = 1.0 / plan.scale;
    let support = footing(derived);
    if views.is_empty() {
        let at = DVec2::new(size.x / 2.0, (VIEWS_TOP + bottom) / 2.0);
        page.words_at(
            at,
            "Nothing is placed yet: give a part its place on the floor.",
            Style::quiet(10.0),
            Across::Middle,
        );
        return;
    }
    let needs: Vec<f64> = views.iter().map(|v| with_support(v, support.as_ref()).size().x * scale).collect();
    let gaps = BETWEEN * (needs.len() as f64 - 1.0);
    let free = size.x - 2.0 * MARGIN - GUTTERS.0 - GUTTERS.1 - gaps - needs.iter().sum::<f64>();
    // What is left over widens the gaps, so that the views sit evenly on the page.
    let pad = (free / (needs.len() as f64 + 1.0)).max(0.0);
    let gap = BETWEEN + pad;
    // What dangles may reach below the floor.
    let lowest = views.iter().filter(|v| v.side != Side::Top).map(|v| v.toy.low.y).fold(0.0, f64::min);
    let floor = bottom - AROUND.1 + lowest * scale;
    let mut x = MARGIN + GUTTERS.0 + pad;
    let mut span = (x, x);
    let end = x + needs.iter().sum::<f64>() + gap * (needs.len() as f64 - 1.0);
    // One floor for all views; the one from above has none.
    let end = if options.top { end - needs.last().copied().unwrap_or(0.0) - gap } else { end };
    page.rule(DVec2::new(x - 5.0, floor), DVec2::new(end + 5.0, floor), 0.8, Ink::FAINT);
    for (view, need) in views.iter().zip(&needs) {
        let extent = with_support(view, support.as_ref());
        let low = if view.side == Side::Top { extent.low.y } else { 0.0 };
        let origin = DVec2::new(x - extent.low.x * scale, floor + low * scale);
        let on_page = |p: DVec2| origin + DVec2::new(p.x, -p.y) * scale;
        let top = on_page(view.toy.high).y;
        if view.side != Side::Top {
            span.1 = on_page(view.toy.high).x;
        }
        page.words(DVec2::new(x, top - 2.6), view.side.name(), Style::strong(9.0));
        page.marks.push(Mark::Picture(Placed {
            name: view.side.name().to_lowercase(),
            picture: without_floor(view),
            scale,
            origin_mm: origin,
            pt_scale: PT_SCALE,
            clip_mm: None,
        }));
        let Some(measured) = derived.report.toy.size_mm.as_ref() else { continue };
        let across = if view.side == Side::Left { measured.y } else { measured.x };
        let y = floor - if view.side == Side::Top { 0.0 } else { lowest * scale } + 4.5;
        let (a, b) = (on_page(view.toy.low).x, on_page(view.toy.high).x);
        dimension(page, DVec2::new(a, y), DVec2::new(b, y));
        say_length_under(page, DVec2::new((a + b) / 2.0, y + 4.4), across, options.units);
        if view.side == Side::Front {
            let x = MARGIN + GUTTERS.0 + pad - 5.0;
            let low = on_page(view.toy.low).y;
            dimension(page, DVec2::new(x, low), DVec2::new(x, top));
            say_height(page, DVec2::new(x - 2.6, (low + top) / 2.0), measured.z, options.units);
        }
        x += need + gap;
    }
    if let (Some(tall), Some(view)) = (derived.report.toy.heads_tall, views.first()) {
        heads(page, tall, view.toy.high.y, floor, span, scale);
    }
    let bar_mm = 34.0;
    scale_bars(page, DVec2::new(size.x - MARGIN - bar_mm - 9.0, bottom - 9.0), bar_mm, plan.scale);
}

/// A view's picture without its own floor line.
fn without_floor(view: &View) -> Picture {
    let mut picture = view.drawn.picture.clone();
    if view.side != Side::Top && matches!(picture.items.first(), Some(Item::Line { ink: Ink::FAINT, .. })) {
        picture.items.remove(0);
    }
    picture
}

/// Dotted lines a head apart behind all views, counted from the top.
fn heads(page: &mut Page, tall: Figure, top_mm: f64, floor: f64, span: (f64, f64), scale: f64) {
    let lines = head_lines(tall.value, top_mm);
    let right = span.1 + 4.0;
    // Lines that lie close are numbered now and then only.
    let apart = lines.first().zip(lines.get(1)).map_or(f64::INFINITY, |(a, b)| (a - b) * scale);
    let every = (4.0 / apart.max(0.01)).ceil().max(1.0) as usize;
    for (i, height) in lines.iter().enumerate() {
        let y = floor - height * scale;
        let (from, to) = (DVec2::new(span.0 - 2.0, y), DVec2::new(right, y));
        page.marks.insert(0, Mark::Rule { from, to, width_pt: 0.7, ink: Ink::QUIET, dash_pt: Some((0.3, 2.2)) });
        if i > 0 && i % every == 0 {
            page.words(DVec2::new(right + 1.2, y + 1.1), i.to_string(), Style::strong(9.0));
        } else if i == 0 {
            page.words(DVec2::new(right + 1.2, y + 0.9), "heads", Style::quiet(8.0));
        }
    }
}

fn say_length_under(page: &mut Page, at: DVec2, figure: Figure, units: Units) {
    let said = length(figure, units);
    page.words_at(at, format!("{} · {}", said.first, said.second), Style::strong(9.5), Across::Middle);
    if !said.range.is_empty() {
        page.words_at(at + DVec2::new(0.0, 3.7), said.range, Style::quiet(8.0), Across::Middle);
    }
}

fn say_height(page: &mut Page, at: DVec2, figure: Figure, units: Units) {
    let said = length(figure, units);
    page.words_at(at + DVec2::new(0.0, -2.2), said.first, Style::strong(9.5), Across::Right);
    page.words_at(at + DVec2::new(0.0, 2.0), said.second, Style::strong(9.5), Across::Right);
    page.words_at(at + DVec2::new(0.0, 5.8), said.range, Style::quiet(8.0), Across::Right);
}

#[allow(clippy::too_many_arguments)]
fn draw_parts(
    page: &mut Page,
    size: DVec2,
    toy: &Toy,
    derived: &Derived,
    laid: &[Laid],
    plan: &Plan,
    top: f64,
    spare: f64,
    units: Units,
) {
    let scale = 1.0 / plan.scale;
    let shown: usize = plan.rows.iter().map(Vec::len).sum();
    // The fullest row is spread over the page; shorter ones keep to the left.
    let spread = |row: &Vec<usize>| {
        let needs: f64 = row.iter().map(|i| cell_mm(&laid[*i], plan.scale)).sum();
        (size.x - 2.0 * MARGIN - needs) / (row.len() as f64 - 1.0).max(1.0)
    };
    let gap = plan.rows.iter().map(spread).fold(14.0, f64::min).max(CELL.1);
    let mut y = top + spare / 2.0;
    for (row, height) in plan.rows.iter().zip(&plan.row_mm) {
        let base = y + height - CELL.2 - 1.5;
        let mut x = MARGIN;
        for i in row {
            let (part, cell) = (&laid[*i], cell_mm(&laid[*i], plan.scale));
            // The picture stands at the left of its place, over its words.
            let origin = DVec2::new(x - part.extent.low.x * scale, base + part.extent.low.y * scale);
            page.marks.push(Mark::Picture(Placed {
                name: format!("part-{}", i + 1),
                picture: part.picture.clone(),
                scale,
                origin_mm: origin,
                pt_scale: PT_SCALE,
                clip_mm: None,
            }));
            say_part(page, DVec2::new(x, base + 4.4), cell, toy, derived, *i, part, units);
            x += cell + gap;
        }
        y += height;
    }
    if shown < laid.len() {
        let words = format!("and {} more, in the work sheet", count((laid.len() - shown) as u64, "part"));
        page.words_at(DVec2::new(size.x - MARGIN, y), words, Style::quiet(8.0), Across::Right);
    }
}

#[allow(clippy::too_many_arguments)]
fn say_part(
    page: &mut Page,
    at: DVec2,
    width: f64,
    toy: &Toy,
    derived: &Derived,
    index: usize,
    laid: &Laid,
    units: Units,
) {
    let Some(report) = derived.report.parts.get(index) else { return };
    let style = Style::strong(9.0);
    let copies = if report.copies > 1 { format!(" × {}", report.copies) } else { String::new() };
    let letter = if toy.yarns.len() > 1 {
        format!("  {}", parts::yarn_letter(parts::yarn_of(toy, index, None)))
    } else {
        String::new()
    };
    let room = width - width_mm(&format!("{copies}{letter}"), style) - 0.5;
    let name = fit(&report.name, style, room.max(6.0));
    page.words(at, format!("{name}{copies}"), style);
    let after = at.x + width_mm(&format!("{name}{copies} "), style) + 0.6;
    if !letter.is_empty() {
        figures::tag(page, DVec2::new(after, at.y), letter.trim(), 7.0);
    }
    let rounds = report.rounds.len() as u64;
    let wide = length(report.widest_mm, units);
    let place = match laid.widest_rounds {
        Some((a, b)) if rounds > 0 && a == b => format!(", widest {a}"),
        Some((a, b)) if rounds > 0 => format!(", widest {a}–{b}"),
        _ => String::new(),
    };
    let quiet = Style::quiet(7.6);
    page.words(
        at + DVec2::new(0.0, 3.6),
        fit(&format!("{}{place}", count(rounds, "round")), quiet, width + 3.0),
        quiet,
    );
    if rounds > 0 {
        let across = format!("{} · {} wide", wide.first, wide.second);
        page.words(at + DVec2::new(0.0, 7.0), fit(&across, Style::plain(7.6), width + 3.0), Style::plain(7.6));
    }
}
