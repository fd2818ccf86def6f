//! The toy drawn flat, true to scale, from the front, from its left or from above: yarn colours, round lines, outline,
//! floor, and over it what the maker asks for ([`overlay`](super::overlay)). The picture also knows which part and
//! round lie where, so that a click can choose them.

use glam::{DAffine3, DVec2, DVec3};

use super::colour_work::{laid, seen_pieces, stretches};
use super::eyes::eyes;
use super::ink::{Ink, colour_of_word, line_on};
use super::picture::{Extent, Picture, convex_outline, ellipse, holds};
use super::smooth::{SmoothRing, smooth};
use crate::measure::Made;
use crate::measure::maps::likely_fabric;
use crate::solid::Ring;
use crate::toy::Toy;
use crate::toy::shape::ShapeKind;

/// From where the toy is seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Side {
    /// Its face.
    #[default]
    Front,
    /// Its left side; its front is on the left of the picture, next to the front view.
    Left,
    /// From above; its front is at the bottom of the picture.
    Top,
}

impl Side {
    /// Every one.
    pub const ALL: [Side; 3] = [Side::Front, Side::Left, Side::Top];

    /// What the picture is called.
    pub fn name(self) -> &'static str {
        match self {
            Side::Front => "Front",
            Side::Left => "Side",
            Side::Top => "Top",
        }
    }

    /// Where a point of the toy lies in the picture.
    pub fn flat(self, p: DVec3) -> DVec2 {
        match self {
            Side::Front => DVec2::new(p.x, p.z),
            Side::Left => DVec2::new(-p.y, p.z),
            Side::Top => DVec2::new(p.x, -p.y),
        }
    }

    /// How near a point (or direction) of the toy is to who looks.
    pub fn near(self, p: DVec3) -> f64 {
        match self {
            Side::Front => p.y,
            Side::Left => p.x,
            Side::Top => p.z,
        }
    }
}

/// A part, or one of its rounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Chosen {
    /// The part, by its place in the list.
    pub part: usize,
    /// The round, counted from 0.
    pub round: Option<usize>,
}

/// A round of a copy of a part as it lies in the picture.
#[derive(Clone, Debug)]
pub struct Band {
    /// The part, by its place in the list.
    pub part: usize,
    /// The copy of it.
    pub copy: usize,
    /// The round, counted from 0.
    pub round: usize,
    /// Its convex outline, mm.
    pub outline: Vec<DVec2>,
}

/// The toy as seen from one side.
#[derive(Clone, Debug, Default)]
pub struct Elevation {
    /// The picture.
    pub picture: Picture,
    /// Rounds from back to front.
    pub bands: Vec<Band>,
    /// The room the toy itself needs.
    pub toy: Option<Extent>,
}

impl Elevation {
    /// The part and round at a point, the nearest to who looks.
    pub fn at(&self, point: DVec2) -> Option<Chosen> {
        self.band_at(point).map(|band| Chosen { part: band.part, round: Some(band.round) })
    }

    /// The round of a copy of a part at a point, the nearest to who looks.
    pub fn band_at(&self, point: DVec2) -> Option<&Band> {
        self.bands.iter().rev().find(|b| holds(&b.outline, point))
    }
}

/// Colour of a named yarn or colour word: the toy's yarn of that name, else the word's own, else the part's yarn.
pub fn yarn_colour(toy: &Toy, part: usize, named: Option<&str>) -> [u8; 3] {
    let own = |name: &str| toy.yarns.iter().find(|y| y.name == name).map(|y| y.colour);
    let usual = || toy.yarn(&toy.pieces[part].part.yarn).map_or(crate::yarn::Yarn::default().colour, |y| y.colour);
    named.and_then(|name| own(name).or_else(|| colour_of_word(name))).unwrap_or_else(usual)
}

/// Colour of an eye.
const EYE: [u8; 3] = [28, 24, 26];
/// Corners of a ring's round end that are drawn, the whole circle.
const RING_CORNERS: usize = 24;
/// An axis that leans less than this out of the picture's plane is drawn as if it lay in it.
const IN_PLANE: f64 = 0.02;

/// A part's frame as the picture sees it.
pub(super) struct Sight {
    /// The axis toward who looks, −1 to 1.
    pub(super) axis_near: f64,
    /// How near each axis of the frame is to who looks, −1 to 1.
    near: DVec3,
    /// The frame's axes and origin in the picture.
    pub(super) x: DVec2,
    pub(super) y: DVec2,
    pub(super) z: DVec2,
    origin: DVec2,
    /// Corners of a circle: cosine, sine, how much it faces who looks there.
    circle: Vec<(f64, f64, f64)>,
}

impl Sight {
    pub(super) fn new(side: Side, toy_from_part: DAffine3) -> Sight {
        let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|a| toy_from_part.transform_vector3(a));
        let circle = (0..RING_CORNERS).map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * (i as f64 + 0.5) / RING_CORNERS as f64).sin_cos();
            (cos, sin, cos * side.near(x) + sin * side.near(y))
        });
        Sight {
            axis_near: side.near(z),
            near: DVec3::new(side.near(x), side.near(y), side.near(z)),
            circle: circle.collect(),
            x: side.flat(x),
            y: side.flat(y),
            z: side.flat(z),
            origin: side.flat(toy_from_part.translation),
        }
    }

    /// How much a direction of the part's frame points to who looks.
    pub(super) fn faces(&self, direction: DVec3) -> f64 {
        self.near.dot(direction)
    }

    /// A point of the axis.
    pub(super) fn on_axis(&self, z_mm: f64) -> DVec2 {
        self.origin + self.z * z_mm
    }

    /// Corners of a ring (a stadium), in order around it.
    fn ring(&self, ring: Ring) -> impl Iterator<Item = DVec2> {
        let middle = self.on_axis(ring.z_mm);
        self.circle.iter().map(move |(cos, sin, _)| {
            middle
                + self.x * (ring.radius_mm * cos + ring.core_half_mm * cos.signum())
                + self.y * (ring.radius_mm * sin)
        })
    }

    /// The ends of a ring whose axis lies in the picture's plane: its whole outline there.
    pub(super) fn edge(&self, ring: Ring) -> [DVec2; 2] {
        let across = self.z.perp().normalize_or(DVec2::X);
        let (x, y) = (self.x.dot(across), self.y.dot(across));
        let half = across * (ring.radius_mm * x.hypot(y) + ring.core_half_mm * x.abs());
        let middle = self.on_axis(ring.z_mm);
        [middle - half, middle + half]
    }

    fn in_plane(&self) -> bool {
        self.axis_near.abs() < IN_PLANE
    }

    /// The outline of the band between two rings.
    fn band(&self, a: Ring, b: Ring) -> Vec<DVec2> {
        if self.in_plane() {
            return convex_outline(&[self.edge(a), self.edge(b)].concat());
        }
        let points: Vec<DVec2> = self.ring(a).chain(self.ring(b)).collect();
        convex_outline(&points)
    }

    /// The half of a ring that is seen, as a line.
    fn seen(&self, ring: Ring) -> Vec<DVec2> {
        if self.in_plane() {
            return self.edge(ring).to_vec();
        }
        let corners: Vec<DVec2> = self.ring(ring).collect();
        // Begin after the last corner that looks away, so that the seen ones follow each other.
        let n = corners.len();
        let hidden = |i: usize| self.circle[i % n].2 < 0.0;
        let Some(first) = (0..n).find(|i| hidden(*i) && !hidden(i + 1)) else { return corners };
        (first + 1..first + 1 + n).take_while(|i| !hidden(*i)).map(|i| corners[i % n]).collect()
    }
}

/// One copy of a part in the picture, from back to front.
pub(super) struct Placed {
    pub(super) part: usize,
    pub(super) copy: usize,
    pub(super) sight: Sight,
    /// How near its middle is, mm.
    near_mm: f64,
}

pub(super) fn placed(made: &Made, side: Side) -> Vec<Placed> {
    let mut all = Vec::new();
    for (part, pose) in made.poses.iter().enumerate() {
        let rings = &made.shapes[part].outer.rings;
        let (Some(first), Some(last)) = (rings.first(), rings.last()) else { continue };
        for (copy, toy_from_part) in pose.toy_from_part.iter().enumerate() {
            let middle = toy_from_part.transform_point3(DVec3::new(0.0, 0.0, (first.z_mm + last.z_mm) / 2.0));
            let sight = Sight::new(side, *toy_from_part);
            all.push(Placed { part, copy, sight, near_mm: side.near(middle) });
        }
    }
    // What sits on another and is no nearer to who looks lies behind it; half a millimetre is no depth.
    all.sort_by(|a, b| {
        let depth = (2.0 * a.near_mm).round().total_cmp(&(2.0 * b.near_mm).round());
        depth.then(b.part.cmp(&a.part))
    });
    all
}

/// Draws the toy from one side; what is chosen glows.
pub fn elevation(toy: &Toy, made: &Made, side: Side, chosen: Option<Chosen>) -> Elevation {
    let mut drawn = Elevation::default();
    for placed in placed(made, side) {
        draw(toy, made, &placed, chosen, &mut drawn);
    }
    for eye in eyes(toy, made).iter().filter(|eye| side.near(eye.out) > 0.05) {
        // Seen from the side an eye is as narrow as it is turned away.
        let across = DVec2::new(side.flat(eye.out).x, side.flat(eye.out).y).normalize_or(DVec2::X);
        let narrow = side.near(eye.out).clamp(0.25, 1.0);
        let round = ellipse(DVec2::ZERO, DVec2::splat(eye.radius_mm), 20);
        let turned = |p: DVec2| side.flat(eye.at) + p + across * (p.dot(across) * (narrow - 1.0));
        drawn.picture.fill(round.iter().map(|p| turned(*p)).collect(), Ink::yarn(EYE));
        let glint = side.flat(eye.at) + DVec2::new(-0.3, 0.35) * eye.radius_mm;
        drawn.picture.fill(ellipse(glint, DVec2::splat(0.22 * eye.radius_mm), 10), Ink::yarn([235, 232, 228]));
    }
    drawn.toy = (!drawn.bands.is_empty()).then_some(drawn.picture.extent);
    drawn.picture.words = words(toy, made, side, chosen);
    drawn
}

fn words(toy: &Toy, made: &Made, side: Side, chosen: Option<Chosen>) -> String {
    let from = match side {
        Side::Front => "from the front",
        Side::Left => "from its left",
        Side::Top => "from above",
    };
    let parts = made.poses.iter().filter(|p| !p.toy_from_part.is_empty()).count();
    let parts = if parts == 1 { "1 part".to_owned() } else { format!("{parts} parts") };
    let chosen = chosen.and_then(|c| Some((toy.pieces.get(c.part)?, c.round))).map_or(
        String::new(),
        |(piece, round)| match round {
            Some(round) => format!("; chosen: {}, round {}", piece.part.name, round + 1),
            None => format!("; chosen: {}", piece.part.name),
        },
    );
    format!("{parts} seen {from}{chosen}")
}

fn draw(toy: &Toy, made: &Made, placed: &Placed, chosen: Option<Chosen>, drawn: &mut Elevation) {
    let (part, sight) = (placed.part, &placed.sight);
    let shape = &made.shapes[part];
    let rings = smooth(&shape.outer.rings, shape.flat.map(|f| f.edge_node));
    let rounds = &toy.pieces[part].part.rounds;
    let steps = rings.len().saturating_sub(1);
    let is_chosen = chosen.is_some_and(|c| c.part == part);
    // Only colour changes within a round ask where it begins.
    let mut fabric = None;
    // From the far end of the axis to the near one; a disc from its rim inward.
    let outward = shape.kind == ShapeKind::Disc || sight.axis_near < 0.0;
    let order: Vec<usize> = if outward { (0..steps).rev().collect() } else { (0..steps).collect() };
    let bands: Vec<(usize, Vec<DVec2>)> =
        order.into_iter().map(|i| (i, sight.band(rings[i].ring, rings[i + 1].ring))).collect();
    let picture = &mut drawn.picture;
    let (edge, edge_pt) = if is_chosen { (Ink::GLOW, 4.0) } else { (Ink::OUTLINE, 1.3) };
    for (_, outline) in &bands {
        picture.halo(outline.clone(), edge, edge_pt);
    }
    if is_chosen {
        for (_, outline) in &bands {
            picture.halo(outline.clone(), Ink::OUTLINE, 1.3);
        }
    }
    for (step, outline) in bands {
        let link = rings[step + 1].link;
        let round = link.min(rounds.len().saturating_sub(1));
        let named = rounds.get(round).and_then(|r| r.colour()).map(|c| &**c);
        let colour = yarn_colour(toy, part, named);
        picture.fill(outline.clone(), Ink::yarn(colour));
        if let Some(stretches) = rounds.get(round).map(|r| stretches(toy, part, r)).filter(|s| !s.is_empty()) {
            let fabric = fabric.get_or_insert_with(|| likely_fabric(toy, made, part, placed.copy));
            let stretches = fabric.as_ref().map_or(Vec::new(), |fabric| laid(fabric, round, stretches));
            let both = shape.kind == ShapeKind::Disc;
            let between = (rings[step].ring, rings[step + 1].ring);
            for (piece, colour) in seen_pieces(sight, between, &stretches, both) {
                picture.fill(piece, Ink::yarn(colour));
            }
        }
        let glows = is_chosen && chosen.and_then(|c| c.round) == Some(round);
        if glows {
            picture.fill(outline.clone(), Ink::GLOW_FILL);
        }
        // The edge of the round, on its seen side; the outermost ones are the part's outline already.
        let SmoothRing { ring, is_node, .. } = rings[step + usize::from(!outward)];
        if is_node && ring.radius_mm + ring.core_half_mm > 1e-6 {
            let back_loop = rounds.get(link + 1).is_some_and(crate::rounds::Round::is_back_loop);
            let width_pt = if back_loop { 2.0 } else { 0.8 };
            picture.line(sight.seen(ring), Ink::yarn(line_on(colour)), width_pt);
        }
        drawn.bands.push(Band { part, copy: placed.copy, round, outline });
    }
}

/// Each part's silhouette before stuffing, as lines, where its axis lies near the picture's plane.
pub fn before_stuffing(made: &Made, side: Side) -> Vec<Vec<DVec2>> {
    let mut lines = Vec::new();
    for placed in placed(made, side) {
        let shape = &made.shapes[placed.part];
        if shape.kind != ShapeKind::Stuffed || placed.sight.axis_near.abs() > 0.25 {
            continue;
        }
        // Both outlines are laid on each other where the part is fixed.
        let seam = made.poses[placed.part].seam.map_or(0.0, |s| s.own_node);
        let fixed = match made.poses[placed.part].by {
            crate::part::End::Start => seam.round() as usize,
            crate::part::End::Finish if made.poses[placed.part].seam.is_some() => seam.round() as usize,
            crate::part::End::Finish => shape.nodes.len().saturating_sub(1),
        };
        let (Some(now), Some(then)) = (shape.nodes.get(fixed), shape.before_stuffing_z_mm.get(fixed)) else { continue };
        let lift = now.z_mm - then;
        let across = placed.sight.z.perp().normalize_or(DVec2::X);
        // Of a long section the straight core is seen as far as it lies across the picture.
        let seen = placed.sight.x.dot(across).abs();
        let half = shape.rest.radius_mm.iter().zip(&shape.rest.core_half_mm).map(|(r, core)| r + seen * core);
        let profile = half.zip(&shape.before_stuffing_z_mm);
        let middle: Vec<(DVec2, f64)> = profile.map(|(half, z)| (placed.sight.on_axis(z + lift), half)).collect();
        for way in [1.0, -1.0] {
            lines.push(middle.iter().map(|(p, r)| *p + across * (*r * way)).collect());
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::make;
    use crate::rounds::rounds_of_counts;
    use crate::toy::{Piece, Seat};

    fn ball() -> Toy {
        let mut piece = Piece::default();
        piece.part.name = "ball".into();
        piece.part.rounds = rounds_of_counts(&[6, 12, 18, 24, 24, 24, 24, 18, 12, 6]).expect("counts above zero");
        piece.placement.seat = Seat::Floor { down: crate::part::End::Start, x_mm: 0.0, y_mm: 0.0 };
        Toy { pieces: vec![piece], ..Toy::default() }
    }

    #[test]
    fn the_picture_is_as_large_as_the_part() {
        let toy = ball();
        let made = make(&toy);
        for side in [Side::Front, Side::Left] {
            let drawn = elevation(&toy, &made, side, None);
            let size = drawn.picture.extent.size();
            assert!((size.x - made.shapes[0].widest_mm()).abs() < 1e-6, "{side:?}: {size}");
            assert!((size.y - made.shapes[0].length_mm()).abs() < 1e-6, "{side:?}: {size}");
        }
        // From above a circle of 24 corners, within the polygon's shortfall r·(1 − cos(π/24)).
        let top = elevation(&toy, &made, Side::Top, None).picture.extent.size();
        assert!((top.x / made.shapes[0].widest_mm() - 1.0).abs() < 0.009);
    }

    #[test]
    fn a_click_finds_the_round() {
        let toy = ball();
        let made = make(&toy);
        let drawn = elevation(&toy, &made, Side::Front, None);
        let rings = &made.shapes[0].outer.rings;
        for round in 0..10 {
            let height = (rings[round].z_mm + rings[round + 1].z_mm) / 2.0 - rings[0].z_mm;
            assert_eq!(drawn.at(DVec2::new(0.5, height)), Some(Chosen { part: 0, round: Some(round) }));
        }
        assert_eq!(drawn.at(DVec2::new(500.0, 10.0)), None);
    }

    #[test]
    fn left_is_right_for_who_stands_before_the_toy() {
        assert_eq!(Side::Front.flat(DVec3::new(5.0, 0.0, 0.0)), DVec2::new(5.0, 0.0));
        // Seen from its left, the toy looks to the left of the picture.
        assert_eq!(Side::Left.flat(DVec3::new(0.0, 5.0, 0.0)), DVec2::new(-5.0, 0.0));
    }
}
