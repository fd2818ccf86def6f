//! Parts laid out beside the toy, each seen from its side with its rounds, standing on the end it is fixed by.

use glam::DVec2;

use crate::measure::Made;
use crate::part::End;
use crate::solid::Ring;
use crate::toy::Toy;
use crate::toy::shape::ShapeKind;
use crate::view::elevation::yarn_colour;
use crate::view::ink::{Ink, brightness, line_on};
use crate::view::picture::{Extent, Picture, convex_outline, ellipse};
use crate::view::smooth::smooth;

/// A part as it is laid out.
#[derive(Clone, Debug)]
pub(super) struct Laid {
    /// Its picture: x from its axis, y from its lowest point, mm.
    pub picture: Picture,
    /// The room it needs, mm.
    pub extent: Extent,
    /// Where it is widest, the first and last such round, counted from 1.
    pub widest_rounds: Option<(usize, usize)>,
}

/// Dash and gap of round lines for yarns in the toy's order: a key that needs no colour.
pub(super) fn yarn_dash(yarn: usize) -> Option<(f64, f64)> {
    [None, Some((4.2, 2.2)), Some((0.2, 2.0)), Some((7.0, 2.5)), Some((2.0, 4.0))][yarn % 5]
}

/// The place in the toy's list of the yarn a round is worked in.
pub(super) fn yarn_of(toy: &Toy, part: usize, named: Option<&str>) -> usize {
    let place = |name: &str| toy.yarns.iter().position(|y| y.name == name);
    named.and_then(place).or_else(|| place(&toy.pieces[part].part.yarn)).unwrap_or(0)
}

/// A letter for a yarn: A, B, … Z, A1 …
pub(super) fn yarn_letter(yarn: usize) -> String {
    let letter = char::from(b'A' + (yarn % 26) as u8);
    if yarn < 26 { letter.to_string() } else { format!("{letter}{}", yarn / 26) }
}

fn half(ring: &Ring) -> f64 {
    ring.radius_mm + ring.core_half_mm
}

/// Draws a part of a toy.
pub(super) fn laid(toy: &Toy, made: &Made, part: usize) -> Laid {
    let shape = &made.shapes[part];
    let rounds = &toy.pieces[part].part.rounds;
    let rings = smooth(&shape.outer.rings, shape.flat.map(|f| f.edge_node));
    let looks = |link: usize| {
        let round = link.min(rounds.len().saturating_sub(1));
        let named = rounds.get(round).and_then(|r| r.colour()).map(|c| &**c);
        let back_loop = rounds.get(link + 1).is_some_and(crate::rounds::Round::is_back_loop);
        (yarn_colour(toy, part, named), yarn_dash(yarn_of(toy, part, named)), if back_loop { 2.0 } else { 0.8 })
    };
    let mut picture = Picture { words: format!("{}, laid out", toy.pieces[part].part.name), ..Picture::default() };
    if shape.kind == ShapeKind::Disc {
        disc(&mut picture, &shape.outer.rings, &looks);
    } else {
        let way = if made.poses[part].by == End::Start { 1.0 } else { -1.0 };
        let bands: Vec<(usize, Vec<DVec2>)> = (0..rings.len().saturating_sub(1))
            .map(|i| {
                let (a, b) = (&rings[i].ring, &rings[i + 1].ring);
                let corner = |x: f64, ring: &Ring| DVec2::new(x, way * ring.z_mm);
                let corners = [corner(-half(a), a), corner(half(a), a), corner(half(b), b), corner(-half(b), b)];
                (i, convex_outline(&corners))
            })
            .filter(|(_, outline)| outline.len() > 2)
            .collect();
        for (_, outline) in &bands {
            picture.halo(outline.clone(), Ink::OUTLINE, 1.3);
        }
        for (i, outline) in bands {
            let (colour, ..) = looks(rings[i + 1].link);
            picture.fill(outline, Ink::yarn(colour));
        }
        for ring in rings.iter().filter(|r| r.is_node && half(&r.ring) > 1e-6) {
            let (colour, dash, width_pt) = looks(ring.link);
            let ends = [-1.0, 1.0].map(|x| DVec2::new(x * half(&ring.ring), way * ring.ring.z_mm));
            let ink = Ink::yarn(line_on(colour));
            match dash {
                Some(dash) => picture.dashed(ends.to_vec(), ink, width_pt, dash),
                None => picture.line(ends.to_vec(), ink, width_pt),
            }
        }
    }
    let extent =
        if picture.extent.is_empty() { Extent { low: DVec2::ZERO, high: DVec2::ZERO } } else { picture.extent };
    let widest = shape.outer.rings.iter().map(half).fold(0.0, f64::max);
    let is_widest = |r: &Ring| half(r) > 0.985 * widest && half(r) > 0.0;
    let first = shape.outer.rings.iter().position(is_widest);
    let last = shape.outer.rings.iter().rposition(is_widest);
    let widest_rounds = first.zip(last).map(|(a, b)| (a.max(1), b.clamp(1, rounds.len().max(1))));
    if let Some(ring) = shape.outer.rings.iter().max_by(|a, b| half(a).total_cmp(&half(b)))
        && shape.kind != ShapeKind::Disc
    {
        let way = if made.poses[part].by == End::Start { 1.0 } else { -1.0 };
        mark_widest(&mut picture, half(ring), way * ring.z_mm, looks(0).0);
    }
    Laid { picture, extent, widest_rounds }
}

/// A thin line across where the part is widest, with ticks at its ends.
fn mark_widest(picture: &mut Picture, half: f64, y: f64, yarn: [u8; 3]) {
    let tone = if brightness(yarn) > 0.4 { [34, 30, 32] } else { [255, 255, 255] };
    picture.line(vec![DVec2::new(-half, y), DVec2::new(half, y)], Ink::yarn(tone), 1.0);
    for x in [-half, half] {
        let tick = (0.08 * half).clamp(1.0, 3.0);
        picture.line(vec![DVec2::new(x, y - tick), DVec2::new(x, y + tick)], Ink::WORDS, 1.2);
    }
}

/// Colour of a link's yarn, dash of its round line, and that line's width in points.
type Look = ([u8; 3], Option<(f64, f64)>, f64);

fn disc(picture: &mut Picture, rings: &[Ring], looks: &dyn Fn(usize) -> Look) {
    let mut outlines: Vec<(usize, Vec<DVec2>)> = rings
        .iter()
        .enumerate()
        .filter(|(_, r)| half(r) > 1e-6)
        .map(|(node, r)| (node, ellipse(DVec2::ZERO, DVec2::new(half(r), r.radius_mm.max(1e-3)), 48)))
        .collect();
    outlines.sort_by(|a, b| half(&rings[b.0]).total_cmp(&half(&rings[a.0])));
    if let Some((_, outline)) = outlines.first() {
        picture.halo(outline.clone(), Ink::OUTLINE, 1.3);
    }
    for (node, outline) in outlines {
        let (colour, dash, width_pt) = looks(node.saturating_sub(1));
        picture.fill(outline.clone(), Ink::yarn(colour));
        let mut around = outline;
        around.extend(around.first().copied());
        let ink = Ink::yarn(line_on(colour));
        match dash {
            Some(dash) => picture.dashed(around, ink, width_pt, dash),
            None => picture.line(around, ink, width_pt),
        }
    }
}
