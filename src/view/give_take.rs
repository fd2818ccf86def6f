//! How far the outline may move: every point of a part's silhouette with the give or take across it, drawn as a pale
//! rim behind the toy (as large as it may come out) and a dashed line in it (as small).

use glam::DVec2;

use super::elevation::{Elevation, Placed, Side, Sight, placed};
use super::ink::Ink;
use super::picture::{Extent, Item, convex_outline, holds};
use super::smooth::smooth;
use crate::measure::{Made, OutlineSpread};
use crate::solid::Ring;
use crate::toy::shape::PartShape;

/// Parts whose axis is turned farther toward who looks are drawn by their whole outline, not by their profile.
const PROFILE: f64 = 0.25;
/// Directions in which a whole outline is followed.
const DIRECTIONS: usize = 72;

/// A point of a silhouette.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Edge {
    at: DVec2,
    /// Unit vector outward.
    out: DVec2,
    /// Give or take along it, mm.
    moves_mm: f64,
}

fn rings(shape: &PartShape) -> Vec<Ring> {
    smooth(&shape.outer.rings, shape.flat.map(|f| f.edge_node)).iter().map(|s| s.ring).collect()
}

fn ways() -> impl Iterator<Item = DVec2> {
    (0..DIRECTIONS).map(|i| DVec2::from_angle(std::f64::consts::TAU * i as f64 / DIRECTIONS as f64))
}

/// The silhouette of one part, closed, mm.
pub(super) fn silhouette(made: &Made, placed: &Placed) -> Vec<DVec2> {
    let own = rings(&made.shapes[placed.part]);
    if placed.sight.axis_near.abs() < PROFILE {
        return profile(&placed.sight, &own, &own);
    }
    ways().filter_map(|way| farthest(&placed.sight, &own, way)).map(|(at, _)| at).collect()
}

/// The silhouette of one part, with its give or take.
fn edges(made: &Made, spread: &OutlineSpread, side: Side, placed: &Placed) -> Vec<Edge> {
    let (part, copy) = (placed.part, placed.copy);
    let Some(shown) = made.poses[part].toy_from_part.get(copy) else { return Vec::new() };
    let Some(laid_out) = spread.base.poses.get(part).and_then(|p| p.toy_from_part.get(copy)) else { return Vec::new() };
    // What is shown may be turned against what was worked out.
    let turn = *shown * laid_out.inverse();
    let own = rings(&made.shapes[part]);
    let moved: Vec<(Sight, Vec<Ring>)> = spread
        .varied
        .iter()
        .filter_map(|v| {
            let motion = v.poses.get(part)?.toy_from_part.get(copy)?;
            Some((Sight::new(side, turn * *motion), rings(&v.shapes[part])))
        })
        .filter(|(_, rings)| rings.len() == own.len())
        .collect();
    if placed.sight.axis_near.abs() < PROFILE {
        let at = profile(&placed.sight, &own, &own);
        let others: Vec<Vec<DVec2>> = moved.iter().map(|(sight, rings)| profile(sight, rings, &own)).collect();
        along(&at, &others, spread.step)
    } else {
        let spread_of = |out: DVec2| {
            let (at, here) = farthest(&placed.sight, &own, out)?;
            let square: f64 = moved
                .iter()
                .filter_map(|(sight, rings)| farthest(sight, rings, out))
                .map(|(_, there)| ((there - here) / spread.step).powi(2))
                .sum();
            Some(Edge { at, out, moves_mm: square.sqrt() })
        };
        ways().filter_map(spread_of).collect()
    }
}

/// Points of a profile, up one side and down the other; `own` says where both sides meet.
fn profile(sight: &Sight, rings: &[Ring], own: &[Ring]) -> Vec<DVec2> {
    let ends: Vec<[DVec2; 2]> = rings.iter().map(|r| sight.edge(*r)).collect();
    let is_pole = |i: usize| own[i].radius_mm + own[i].core_half_mm < 1e-6;
    let up = ends.iter().map(|e| e[1]);
    let down = ends.iter().enumerate().rev().filter(|(i, _)| !is_pole(*i)).map(|(_, e)| e[0]);
    up.chain(down).collect()
}

/// Give or take across a closed outline from the same outline moved by each assumption.
fn along(at: &[DVec2], others: &[Vec<DVec2>], step: f64) -> Vec<Edge> {
    let n = at.len();
    let area: f64 = (0..n).map(|i| at[i].perp_dot(at[(i + 1) % n])).sum();
    let way = if area < 0.0 { 1.0 } else { -1.0 };
    let mut edges = Vec::with_capacity(n);
    for i in 0..n {
        let ahead = (1..n).map(|k| at[(i + k) % n]).find(|p| p.distance_squared(at[i]) > 1e-9);
        let behind = (1..n).map(|k| at[(i + n - k) % n]).find(|p| p.distance_squared(at[i]) > 1e-9);
        let (Some(ahead), Some(behind)) = (ahead, behind) else { continue };
        // The tangent of the parabola through the three points: they are not evenly spaced.
        let (forth, back) = (ahead - at[i], at[i] - behind);
        let (far, near) = (forth.length(), back.length());
        let out = ((forth * (near / far) + back * (far / near)).perp() * way).normalize_or_zero();
        let square: f64 = others.iter().map(|o| ((o[i] - at[i]).dot(out) / step).powi(2)).sum();
        edges.push(Edge { at: at[i], out, moves_mm: square.sqrt() });
    }
    edges
}

/// The point of a part farthest in a direction of the picture, and how far that is.
fn farthest(sight: &Sight, rings: &[Ring], way: DVec2) -> Option<(DVec2, f64)> {
    let points = rings.iter().map(|ring| {
        let (x, y) = (sight.x.dot(way), sight.y.dot(way));
        let long = x.hypot(y);
        let round = if long > 1e-12 { (sight.x * x + sight.y * y) * (ring.radius_mm / long) } else { DVec2::ZERO };
        sight.on_axis(ring.z_mm) + round + sight.x * (ring.core_half_mm * if x < 0.0 { -1.0 } else { 1.0 })
    });
    points.map(|p| (p, p.dot(way))).max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Draws the give or take of all outlines around and over the toy.
/// Returns the room they need.
pub fn give_take(drawn: &mut Elevation, made: &Made, spread: &OutlineSpread, side: Side) -> Extent {
    let mut behind: Vec<Item> = Vec::new();
    let mut over: Vec<Vec<DVec2>> = Vec::new();
    let mut reach = Extent::NOTHING;
    let extents: Vec<Extent> = drawn.bands.iter().map(|b| Extent::of(&b.outline)).collect();
    for placed in placed(made, side) {
        let edges = edges(made, spread, side, &placed);
        let n = edges.len();
        if n < 3 {
            continue;
        }
        let outer: Vec<DVec2> = edges.iter().map(|e| e.at + e.out * e.moves_mm).collect();
        reach = reach.joined(Extent::of(&outer));
        behind.push(Item::Line {
            points: outer.clone(),
            closed: true,
            ink: Ink::SPREAD_LINE,
            width_pt: 2.4,
            dash_pt: None,
        });
        for i in 0..n {
            let j = (i + 1) % n;
            let quad = convex_outline(&[edges[i].at, outer[i], outer[j], edges[j].at]);
            behind.push(Item::Fill { points: quad, ink: Ink::SPREAD });
        }
        // Where a nearer part lies over it the inner line is hidden too, and where the edge lies before another part:
        // the line follows the silhouette of the whole toy.
        let own = |b: &super::elevation::Band| b.part == placed.part && b.copy == placed.copy;
        let after = drawn.bands.iter().rposition(own).map_or(0, |i| i + 1);
        let hidden = |p: DVec2| {
            let near = drawn.bands[after..].iter().zip(&extents[after..]);
            near.filter(|(_, e)| e.low.cmple(p).all() && e.high.cmpge(p).all()).any(|(b, _)| holds(&b.outline, p))
        };
        let inside = |p: DVec2| {
            let others = drawn.bands.iter().zip(&extents).filter(|(b, _)| !own(b));
            let mut near = others.filter(|(_, e)| e.low.cmple(p).all() && e.high.cmpge(p).all());
            near.any(|(b, _)| holds(&b.outline, p))
        };
        let mut run: Vec<DVec2> = Vec::new();
        for i in 0..=n {
            let edge = edges[i % n];
            let p = edge.at - edge.out * edge.moves_mm;
            if hidden(p) || inside(edge.at) {
                over.push(std::mem::take(&mut run));
            } else {
                run.push(p);
            }
        }
        over.push(run);
    }
    // The lines lie under the rims, so that rims that meet have no line between them.
    behind.sort_by_key(|item| matches!(item, Item::Fill { .. }));
    drawn.picture.items.splice(0..0, behind);
    for line in over.into_iter().filter(|line| line.len() > 1) {
        drawn.picture.line(line.clone(), Ink::PAPER.faded(120), 2.0);
        drawn.picture.dashed(line, Ink::SPREAD_LINE, 1.2, (4.0, 3.0));
    }
    drawn.picture.extent = drawn.picture.extent.joined(reach);
    reach
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{derive, make, outline_spread};
    use crate::rounds::rounds_of_counts;
    use crate::toy::{Piece, Seat, Toy};

    /// The rim's reach is the report's give or take of the size: worked out apart, from the same assumptions.
    #[test]
    fn the_rim_is_as_wide_as_the_give_or_take_of_the_size() {
        let mut piece = Piece::default();
        piece.part.name = "ball".into();
        piece.part.rounds = rounds_of_counts(&[6, 12, 18, 24, 24, 24, 24, 18, 12, 6]).expect("counts above zero");
        piece.placement.seat = Seat::Floor { down: crate::part::End::Start, x_mm: 0.0, y_mm: 0.0 };
        let toy = Toy { pieces: vec![piece], ..Toy::default() };
        let made = make(&toy);
        let size = derive(&toy).report.toy.size_mm.expect("a size");
        let spread = outline_spread(&toy, &made);
        for (side, figure) in [(Side::Front, size.x), (Side::Top, size.y)] {
            let found = edges(&made, &spread, side, &placed(&made, side)[0]);
            // Where the outline runs straight up: between two points it is followed by, the give or take changes along.
            let upright = (0..found.len()).find_map(|i| {
                let (a, b) = (found[i], found[(i + 1) % found.len()]);
                let crosses = a.out.x > 0.0 && b.out.x > 0.0 && (a.out.y > 0.0) != (b.out.y > 0.0);
                let share = a.out.y / (a.out.y - b.out.y);
                crosses.then_some(a.moves_mm + (b.moves_mm - a.moves_mm) * share)
            });
            let moves_mm = upright.expect("an upright edge");
            // Both sides move apart: half of the spread of the width, to first order.
            let first_order = 0.5 * figure.value * figure.log_spread();
            assert!((moves_mm / first_order - 1.0).abs() < 0.03, "{side:?}: {moves_mm} {first_order}");
        }
        // On the floor nothing moves, at the top the whole give or take of the height.
        let found = edges(&made, &spread, Side::Front, &placed(&made, Side::Front)[0]);
        let top = found.iter().max_by(|a, b| a.at.y.total_cmp(&b.at.y)).expect("edges");
        let foot = found.iter().min_by(|a, b| a.at.y.total_cmp(&b.at.y)).expect("edges");
        assert!((top.moves_mm / (size.z.value * size.z.log_spread()) - 1.0).abs() < 0.03, "{}", top.moves_mm);
        assert!(foot.moves_mm < 0.05 * top.moves_mm, "{}", foot.moves_mm);
    }
}
