//! The toy and its parts at 1 : 1, over as many pages as they need, to hold work against. Pages overlap; what lies
//! in an overlap is on both, with marks that meet when the pages are laid right. Every page has a test square.

use glam::DVec2;
use thiserror::Error;

use super::figures::dimension;
use super::parts::{Laid, laid};
use super::setting::{Column, fit};
use super::views::{View, views};
use super::words::length;
use super::{Mark, Page, Paper, Placed, Sheet, Style, rectangle};
use crate::measure::Derived;
use crate::part::End;
use crate::toy::Toy;
use crate::toy::shape::ShapeKind;
use crate::view::elevation::Side;
use crate::view::ink::Ink;
use crate::view::picture::{Across, Extent, Item, Picture, Upright};
use crate::view::units::Units;

/// What is asked of a full-size sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FullSizeOptions {
    /// The paper.
    pub paper: Paper,
    /// The toy from above too.
    pub top: bool,
    /// The units that stand first.
    pub units: Units,
}

/// Why there is no full-size sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum FullSizeError {
    /// More pages than anyone would lay out.
    #[error(
        "the toy at full size takes {pages} pages. Expected at most {MOST_PAGES}. Print the proportion sketch instead, \
         which is drawn to a smaller scale."
    )]
    TooLarge {
        /// Pages it would take.
        pages: usize,
    },
}

/// Most pages of one sheet.
pub const MOST_PAGES: usize = 200;
/// Side of the test square, mm.
pub const TEST_SQUARE_MM: f64 = 50.0;
/// Margin that every printer can print to, mm.
const MARGIN: f64 = 10.0;
/// Height of the strip at the bottom with the test square, mm.
const STRIP: f64 = TEST_SQUARE_MM + 4.0;
/// How far pages overlap, mm.
pub const OVERLAP_MM: f64 = 12.0;
/// Room around what is drawn, mm.
const AROUND: f64 = 4.0;
/// Room under a part for its words, mm.
const LABEL: f64 = 12.0;
/// Widths of lines against those on screen.
const PT_SCALE: f64 = 0.75;

/// Something to be shown at full size.
struct Shown {
    name: String,
    title: String,
    sizes: String,
    picture: Picture,
    extent: Extent,
}

/// The window of a page.
fn window_mm(size: DVec2) -> DVec2 {
    size - DVec2::new(2.0 * MARGIN, 2.0 * MARGIN + STRIP)
}

/// How many windows that overlap it takes to show a length.
fn tiles(length: f64, window: f64) -> usize {
    if length <= window { 1 } else { ((length - OVERLAP_MM) / (window - OVERLAP_MM)).ceil().max(1.0) as usize }
}

/// Draws the sheet.
///
/// # Errors
/// When it would take more than [`MOST_PAGES`] pages.
pub fn full_size(toy: &Toy, derived: &Derived, options: FullSizeOptions) -> Result<Sheet, FullSizeError> {
    let size = options.paper.size_mm();
    let window = window_mm(size);
    let shown = shown(toy, derived, options);
    let grids: Vec<(usize, usize)> =
        shown.iter().map(|s| (tiles(s.extent.size().x, window.x), tiles(s.extent.size().y, window.y))).collect();
    let pages = grids.iter().fold(0usize, |sum, (a, b)| sum.saturating_add(a.saturating_mul(*b)));
    if pages > MOST_PAGES {
        return Err(FullSizeError::TooLarge { pages });
    }
    let name = if toy.name.trim().is_empty() { "A toy without a name" } else { toy.name.trim() };
    let mut sheet = Sheet { title: format!("{name}: full size"), size_mm: size, pages: Vec::new() };
    let mut row = 0;
    for (shown, (columns, rows)) in shown.iter().zip(&grids) {
        tile(&mut sheet, name, shown, row, *columns, *rows);
        row += rows;
    }
    if sheet.pages.is_empty() {
        let mut page = Page { label: "A1".to_owned(), ..Page::default() };
        page.words(DVec2::new(MARGIN, MARGIN + 8.0), "There are no rounds yet: nothing to draw.", Style::plain(11.0));
        test_square(&mut page, size);
        sheet.pages.push(page);
    }
    Ok(sheet)
}

fn shown(toy: &Toy, derived: &Derived, options: FullSizeOptions) -> Vec<Shown> {
    let sides: &[Side] = if options.top { &Side::ALL } else { &[Side::Front, Side::Left] };
    let said = |figure| {
        let l = length(figure, options.units);
        format!("{} ({})", l.first, l.second)
    };
    let mut all = Vec::new();
    for View { side, drawn, .. } in views(toy, derived, sides) {
        let sizes = derived.report.toy.size_mm.as_ref().map_or(String::new(), |size| match side {
            Side::Front => format!("{} tall, {} wide", said(size.z), said(size.x)),
            Side::Left => format!("{} tall, {} deep", said(size.z), said(size.y)),
            Side::Top => format!("{} wide, {} deep", said(size.x), said(size.y)),
        });
        let extent = drawn.picture.extent.grown(AROUND);
        all.push(Shown {
            name: side.name().to_lowercase(),
            title: side.name().to_owned(),
            sizes,
            picture: drawn.picture,
            extent,
        });
    }
    all.extend(part_pages(toy, derived, window_mm(options.paper.size_mm()), options.units));
    all
}

/// Parts with their round numbers: small ones share a page, one that is larger than a page has pages of its own.
fn part_pages(toy: &Toy, derived: &Derived, window: DVec2, units: Units) -> Vec<Shown> {
    let mut all: Vec<Shown> = Vec::new();
    // Where the next part goes on the shared page: to the right of the last one, or under its row.
    let (mut next, mut row_mm) = (DVec2::ZERO, 0.0);
    let mut shared = false;
    for (i, report) in derived.report.parts.iter().enumerate().filter(|(_, p)| !p.rounds.is_empty()) {
        let part = numbered(toy, derived, i);
        let need = DVec2::new(part.extent.size().x.max(38.0), part.extent.size().y + LABEL);
        let (long, wide) = (length(report.length_mm, units), length(report.widest_mm, units));
        let title =
            if report.copies > 1 { format!("{} × {}", report.name, report.copies) } else { report.name.clone() };
        if need.x > window.x || need.y > window.y {
            shared = false;
            all.push(Shown {
                name: format!("part-{}", i + 1),
                sizes: format!("{} ({}) long, {} ({}) wide", long.first, long.second, wide.first, wide.second),
                title,
                extent: part.extent.grown(AROUND),
                picture: part.picture,
            });
            continue;
        }
        if next.x + need.x > window.x {
            next = DVec2::new(0.0, next.y + row_mm + AROUND);
            row_mm = 0.0;
        }
        if !shared || next.y + need.y > window.y {
            let extent = Extent { low: DVec2::new(0.0, -window.y), high: DVec2::new(window.x, 0.0) };
            all.push(Shown {
                name: format!("parts-from-{}", i + 1),
                title: String::new(),
                sizes: "Every fifth round is numbered".to_owned(),
                picture: Picture { words: "Parts at full size".to_owned(), ..Picture::default() },
                extent,
            });
            (next, row_mm, shared) = (DVec2::ZERO, 0.0, true);
        }
        let Some(page) = all.last_mut() else { continue };
        if !page.title.is_empty() {
            page.title.push_str(", ");
        }
        page.title.push_str(&title);
        let shift = DVec2::new(next.x - part.extent.low.x, -next.y - part.extent.high.y);
        page.picture.items.extend(part.picture.items.into_iter().map(|item| moved(item, shift)));
        let under = DVec2::new(next.x, -next.y - part.extent.size().y - 2.0);
        let words = [(title, 10.0, 0.0), (format!("{} long, {} wide", long.first, wide.first), 9.0, 4.4)];
        for (text, size, down) in words {
            let style = Style::plain(size);
            let fastened = (Across::Left, Upright::Top);
            let at = under - DVec2::new(0.0, down);
            page.picture.text(at, fit(&text, style, need.x), Ink::WORDS, size / PT_SCALE, fastened);
        }
        next.x += need.x + 2.0 * AROUND;
        row_mm = row_mm.max(need.y);
    }
    all
}

/// A part with the numbers of every fifth round at its right.
fn numbered(toy: &Toy, derived: &Derived, part: usize) -> Laid {
    let mut laid = laid(toy, &derived.made, part);
    let shape = &derived.made.shapes[part];
    if shape.kind == ShapeKind::Disc {
        return laid;
    }
    let way = if derived.made.poses[part].by == End::Start { 1.0 } else { -1.0 };
    for (node, ring) in shape.outer.rings.iter().enumerate().skip(5).step_by(5) {
        if node <= toy.pieces[part].part.rounds.len() {
            let edge = DVec2::new(ring.radius_mm + ring.core_half_mm, way * ring.z_mm);
            laid.picture.line(vec![edge, edge + DVec2::new(2.0, 0.0)], Ink::WORDS, 0.8);
            let at = edge + DVec2::new(2.6, 0.0);
            let fastened = (Across::Left, Upright::Middle);
            laid.picture.text(at, node.to_string(), Ink::WORDS, 8.0 / PT_SCALE, fastened);
            laid.extent = laid.extent.with(at + DVec2::new(6.0, 0.0));
        }
    }
    laid
}

/// A thing of a picture, moved.
fn moved(mut item: Item, by: DVec2) -> Item {
    match &mut item {
        Item::Fill { points, .. } | Item::Halo { points, .. } | Item::Line { points, .. } => {
            points.iter_mut().for_each(|p| *p += by);
        }
        Item::Text { at, .. } | Item::Dot { at, .. } | Item::Bob { tip: at, .. } => *at += by,
    }
    item
}

/// A letter for a row: A, B, … Z, AA …
fn letters(row: usize) -> String {
    let letter = char::from(b'A' + (row % 26) as u8);
    if row < 26 { letter.to_string() } else { format!("{}{letter}", letters(row / 26 - 1)) }
}

fn tile(sheet: &mut Sheet, name: &str, shown: &Shown, first_row: usize, columns: usize, rows: usize) {
    let size = sheet.size_mm;
    let window = window_mm(size);
    let step = window - OVERLAP_MM;
    // What the windows together show more than is needed lies evenly around it.
    let whole = DVec2::new(columns as f64 - 1.0, rows as f64 - 1.0) * step + window;
    let corner = DVec2::new(shown.extent.centre().x - whole.x / 2.0, shown.extent.centre().y + whole.y / 2.0);
    let label = |row: usize, column: usize| format!("{}{}", letters(first_row + row), column + 1);
    for row in 0..rows {
        for column in 0..columns {
            let mut page = Page { label: label(row, column), ..Page::default() };
            let at = DVec2::splat(MARGIN);
            // The picture's point at the window's upper left corner.
            let shift = DVec2::new(column as f64 * step.x, row as f64 * step.y);
            let seen = DVec2::new(corner.x + shift.x, corner.y - shift.y);
            page.marks.push(Mark::Picture(Placed {
                name: shown.name.clone(),
                picture: shown.picture.clone(),
                scale: 1.0,
                origin_mm: at + DVec2::new(-seen.x, seen.y),
                pt_scale: PT_SCALE,
                clip_mm: Some(Extent { low: at, high: at + window }),
            }));
            let ends = [column > 0, column + 1 < columns, row > 0, row + 1 < rows];
            let beside = [
                ends[0].then(|| label(row, column - 1)),
                ends[1].then(|| label(row, column + 1)),
                ends[2].then(|| label(row - 1, column)),
                ends[3].then(|| label(row + 1, column)),
            ];
            overlaps(&mut page, window, &beside);
            strip(&mut page, size, name, shown, (columns, rows), (column, row), &label);
            sheet.pages.push(page);
        }
    }
}

/// Marks in the middle of each overlap: a dashed line, and diamonds that lie on those of the next page.
fn overlaps(page: &mut Page, window: DVec2, beside: &[Option<String>; 4]) {
    let (low, high) = (DVec2::splat(MARGIN), DVec2::splat(MARGIN) + window);
    let half = OVERLAP_MM / 2.0;
    let lines = [
        (DVec2::new(low.x + half, low.y), DVec2::new(low.x + half, high.y)),
        (DVec2::new(high.x - half, low.y), DVec2::new(high.x - half, high.y)),
        (DVec2::new(low.x, low.y + half), DVec2::new(high.x, low.y + half)),
        (DVec2::new(low.x, high.y - half), DVec2::new(high.x, high.y - half)),
    ];
    for ((from, to), label) in lines.into_iter().zip(beside) {
        let Some(label) = label else { continue };
        page.marks.push(Mark::Rule { from, to, width_pt: 0.6, ink: Ink::QUIET, dash_pt: Some((5.0, 3.0)) });
        for share in [0.2, 0.5, 0.8] {
            let at = from.lerp(to, share);
            let points =
                [(-2.0, 0.0), (0.0, -2.0), (2.0, 0.0), (0.0, 2.0)].map(|(x, y)| at + DVec2::new(x, y)).to_vec();
            page.marks.push(Mark::Fill { points, ink: Ink::WORDS });
        }
        let at = from.lerp(to, 0.35) + DVec2::new(0.0, 1.2);
        page.words_at(at, label, Style::strong(9.0), Across::Middle);
    }
}

fn test_square(page: &mut Page, size: DVec2) {
    let low = DVec2::new(MARGIN, size.y - MARGIN - TEST_SQUARE_MM);
    let high = low + TEST_SQUARE_MM;
    page.marks.push(Mark::Outline { points: rectangle(low, high), width_pt: 0.8, ink: Ink::WORDS });
    dimension(page, DVec2::new(low.x, low.y + 9.0), DVec2::new(high.x, low.y + 9.0));
    let middle = (low.x + high.x) / 2.0;
    page.words_at(DVec2::new(middle, low.y + 7.4), "50 mm", Style::strong(10.0), Across::Middle);
    let mut column = Column { left: low.x + 4.0, width: TEST_SQUARE_MM - 8.0, y: low.y + 14.0 };
    column.say(
        page,
        "Measure this square. Where it is not 50 mm, print again at 100 % with no fitting to the page.",
        Style::quiet(8.0),
    );
}

fn strip(
    page: &mut Page,
    size: DVec2,
    name: &str,
    shown: &Shown,
    (columns, rows): (usize, usize),
    (column, row): (usize, usize),
    label: &dyn Fn(usize, usize) -> String,
) {
    test_square(page, size);
    let top = size.y - MARGIN - TEST_SQUARE_MM;
    let left = MARGIN + TEST_SQUARE_MM + 8.0;
    let right = size.x - MARGIN;
    page.words_at(DVec2::new(right, top + 10.0), label(row, column), Style::strong(30.0), Across::Right);
    let mut words = Column { left, width: right - left - 30.0, y: top };
    let one = |text: &str, style: Style, width: f64| fit(text, style, width);
    words.line(page, &one(name, Style::quiet(9.0), words.width), Style::quiet(9.0));
    words.line(page, &one(&shown.title, Style::strong(15.0), words.width), Style::strong(15.0));
    words.say_up_to(page, &format!("Full size, 1 : 1. {}.", shown.sizes), Style::plain(9.5), 3);
    if columns * rows == 1 {
        return;
    }
    words.say(page, "Lay the pages so that the diamonds meet; both show what lies between.", Style::quiet(8.5));
    // Where this page lies among those of the picture.
    let side = (20.0 / rows as f64).min(60.0 / columns as f64).min(8.0);
    let corner = DVec2::new(left, size.y - MARGIN - side * rows as f64);
    for r in 0..rows {
        for c in 0..columns {
            let low = corner + DVec2::new(c as f64, r as f64) * side;
            let points = rectangle(low, low + side);
            if (c, r) == (column, row) {
                page.marks.push(Mark::Fill { points: points.clone(), ink: Ink::RULE });
            }
            page.marks.push(Mark::Outline { points, width_pt: 0.6, ink: Ink::WORDS });
            if side > 5.0 {
                let at = low + DVec2::new(side / 2.0, side / 2.0 + 1.0);
                page.words_at(at, label(r, c), Style::plain(7.5), Across::Middle);
            }
        }
    }
}
