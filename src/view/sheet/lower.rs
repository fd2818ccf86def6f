//! A page as the few plain strokes that every format knows: fills, lines, circles, words. All sizes are mm of paper.

use glam::DVec2;

use super::letters::Weight;
use super::{MM_PER_PT, Mark, Page, Placed};
use crate::view::ink::{Ground, Ink};
use crate::view::picture::{Across, Extent, Item, Upright, ellipse, grown};

/// A stroke on paper; x to the right, y down, mm. Colours are sRGB with opacity.
#[derive(Clone, Debug, PartialEq)]
pub enum Stroke {
    /// Fills everything inside any of these outlines.
    Fill {
        /// The outlines.
        outlines: Vec<Vec<DVec2>>,
        /// Colour.
        colour: [u8; 4],
    },
    /// Draws a line with round ends and corners.
    Line {
        /// Its corners.
        points: Vec<DVec2>,
        /// It runs back to its start.
        closed: bool,
        /// Width.
        width: f64,
        /// Length of dash and gap.
        dash: Option<(f64, f64)>,
        /// Colour.
        colour: [u8; 4],
    },
    /// Fills a circle.
    Circle {
        /// Its middle.
        centre: DVec2,
        /// Its radius.
        radius: f64,
        /// Colour.
        colour: [u8; 4],
    },
    /// Writes words.
    Words {
        /// A point on the base line.
        at: DVec2,
        /// The words.
        text: String,
        /// Size of the letters.
        size: f64,
        /// Weight.
        weight: Weight,
        /// Which end is at the point.
        across: Across,
        /// Colour.
        colour: [u8; 4],
    },
    /// What follows, up to [`Stroke::End`], is one named picture, and shows inside the rectangle only.
    Begin {
        /// The picture's name.
        name: String,
        /// The picture in words.
        words: String,
        /// mm of paper to a mm of the picture.
        scale: f64,
        /// Where it may show.
        clip: Option<Extent>,
    },
    /// Ends a picture.
    End,
}

/// A page as strokes, the first at the back.
pub fn strokes(page: &Page) -> Vec<Stroke> {
    let mut out = Vec::new();
    for mark in &page.marks {
        match mark {
            Mark::Picture(placed) => picture(placed, &mut out),
            Mark::Words(w) => out.push(Stroke::Words {
                at: w.at,
                text: w.text.clone(),
                size: w.size_pt * MM_PER_PT,
                weight: w.weight,
                across: w.across,
                colour: w.ink.on(Ground::Light),
            }),
            Mark::Rule { from, to, width_pt, ink, dash_pt } => {
                out.push(line(vec![*from, *to], false, *width_pt, *dash_pt, *ink));
            }
            Mark::CheckBox { at, side_mm } => {
                let points = super::rectangle(*at, *at + *side_mm);
                out.push(line(points, true, 0.7, None, Ink::WORDS));
            }
            Mark::Fill { points, ink } => fill(&mut out, points.clone(), ink.on(Ground::Light)),
            Mark::Outline { points, width_pt, ink } => out.push(line(points.clone(), true, *width_pt, None, *ink)),
        }
    }
    out
}

fn line(points: Vec<DVec2>, closed: bool, width_pt: f64, dash_pt: Option<(f64, f64)>, ink: Ink) -> Stroke {
    let dash = dash_pt.map(|(a, b)| (a * MM_PER_PT, b * MM_PER_PT));
    Stroke::Line { points, closed, width: width_pt * MM_PER_PT, dash, colour: ink.on(Ground::Light) }
}

/// Fills of one opaque colour that follow each other become one: no seam shows between them.
fn fill(out: &mut Vec<Stroke>, mut points: Vec<DVec2>, colour: [u8; 4]) {
    if points.len() < 3 {
        return;
    }
    // All one way round: where outlines overlap, windings add up and never cancel.
    let area: f64 = points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.perp_dot(*b)).sum();
    if area < 0.0 {
        points.reverse();
    }
    match out.last_mut() {
        Some(Stroke::Fill { outlines, colour: last }) if *last == colour && colour[3] == 255 => outlines.push(points),
        _ => out.push(Stroke::Fill { outlines: vec![points], colour }),
    }
}

fn picture(placed: &Placed, out: &mut Vec<Stroke>) {
    out.push(Stroke::Begin {
        name: placed.name.clone(),
        words: placed.picture.words.clone(),
        scale: placed.scale,
        clip: placed.clip_mm,
    });
    for item in &placed.picture.items {
        self::item(placed, item, out);
    }
    out.push(Stroke::End);
}

fn item(placed: &Placed, item: &Item, out: &mut Vec<Stroke>) {
    let on_page = |p: &DVec2| placed.origin_mm + DVec2::new(p.x, -p.y) * placed.scale;
    let all = |points: &[DVec2]| points.iter().filter(|p| p.is_finite()).map(on_page).collect::<Vec<DVec2>>();
    // What lies off the clip rectangle by more than its own line width is left out.
    let shows = |points: &[DVec2]| match placed.clip_mm {
        None => true,
        Some(clip) => {
            let own = Extent::of(points).grown(5.0);
            own.low.x <= clip.high.x && clip.low.x <= own.high.x && own.low.y <= clip.high.y && clip.low.y <= own.high.y
        }
    };
    let mm = |pt: f64| pt * placed.pt_scale * MM_PER_PT;
    let colour = |ink: &Ink| ink.on(Ground::Light);
    match item {
        Item::Fill { points, ink } => {
            let points = all(points);
            if shows(&points) {
                fill(out, points, colour(ink));
            }
        }
        Item::Halo { points, ink, width_pt } => {
            let points = all(&grown(points, mm(*width_pt) / placed.scale));
            if shows(&points) {
                fill(out, points, colour(ink));
            }
        }
        Item::Line { points, closed, ink, width_pt, dash_pt } => {
            let points = all(points);
            if points.len() >= 2 && shows(&points) {
                let dash = dash_pt.map(|(a, b)| (mm(a), mm(b)));
                out.push(Stroke::Line { points, closed: *closed, width: mm(*width_pt), dash, colour: colour(ink) });
            }
        }
        Item::Text { at, text, ink, size_pt, across, upright } => {
            let size = mm(*size_pt);
            // Cabin's capitals are 0.7 em high.
            let down = match upright {
                Upright::Top => 0.78 * size,
                Upright::Middle => 0.35 * size,
                Upright::Bottom => -0.12 * size,
            };
            let (at, text) = (on_page(at) + DVec2::new(0.0, down), text.clone());
            if shows(&[at]) {
                let weight = Weight::Regular;
                out.push(Stroke::Words { at, text, size, weight, across: *across, colour: colour(ink) });
            }
        }
        Item::Dot { at, radius_pt, ink } => {
            let centre = on_page(at);
            if shows(&[centre]) {
                out.push(Stroke::Circle { centre, radius: mm(*radius_pt), colour: colour(ink) });
            }
        }
        Item::Bob { tip, height_pt, ink } => {
            if shows(&[on_page(tip)]) {
                bob(out, on_page(tip), mm(*height_pt), colour(ink));
            }
        }
    }
}

/// The weight of a plumb line, its tip at the point: a drop with a cap.
fn bob(out: &mut Vec<Stroke>, tip: DVec2, height: f64, colour: [u8; 4]) {
    const BODY: [(f64, f64); 7] =
        [(0.0, 0.0), (-0.24, 0.42), (-0.3, 0.62), (-0.22, 0.78), (0.22, 0.78), (0.3, 0.62), (0.24, 0.42)];
    let at = |(x, y): (f64, f64)| tip + DVec2::new(x, -y) * height;
    fill(out, BODY.map(at).to_vec(), colour);
    fill(out, [(-0.1, 0.76), (0.1, 0.76), (0.1, 1.0), (-0.1, 1.0)].map(at).to_vec(), colour);
}

/// The corners of a circle for formats that know no circles.
pub fn circle(centre: DVec2, radius: f64) -> Vec<DVec2> {
    ellipse(centre, DVec2::splat(radius), 32)
}
