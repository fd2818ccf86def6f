//! From the nodes of a part's outline, one a round, to the rings of its mesh, several a round: the outline is
//! smoothed (a round bends, it has no corner) and each round bulges a little between its grooves, as
//! crocheted rounds do.

use std::f64::consts::PI;

use glam::{DVec2, DVec3};

use super::{FlatSheet, Node};

/// One ring of the mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ring {
    /// Height along the axis in mm.
    pub z_mm: f64,
    /// Radius of the section's round ends in mm.
    pub radius_mm: f64,
    /// Half the straight part in mm.
    pub core_half_mm: f64,
    /// Change of radius, core and height along the outline (not of unit length).
    pub slope: DVec3,
    /// Rounds from the start: 2.5 lies in the middle of the third round.
    pub round_coord: f64,
}

/// Depth of the groove between two rounds, as a share of the round's height along the surface. About what a
/// thick yarn leaves to be seen on the edge of a toy; a matter of looks alone.
const GROOVE_SHARE: f64 = 0.055;

/// Rounds of one part that are drawn one by one. A longer list, which no maker works, is thinned, so that an odd
/// file can not fill the memory.
const LINKS_MAX: usize = 4000;

/// Rings to a round: three show its bulge; with hundreds of rounds two must do, so that twenty such parts stay
/// below a million triangles.
fn rings_per_round(rounds: usize) -> usize {
    if rounds <= 70 { 3 } else { 2 }
}

/// The nodes of a flat sheet: a section whose round ends are half as thick as the sheet. Toward a pointed end
/// the sheet thins out within its last round.
pub(super) fn sheet_nodes(nodes: &[Node], sheet: &FlatSheet) -> Vec<Node> {
    let half_thickness = 0.5 * sheet.thickness_mm.max(0.1);
    nodes
        .iter()
        .enumerate()
        .map(|(i, node)| {
            let half_width = sheet.half_width_mm.get(i).copied().unwrap_or(0.0).max(0.0);
            let radius_mm = half_thickness.min(half_width);
            Node { z_mm: node.z_mm, radius_mm, core_half_mm: half_width - radius_mm }
        })
        .collect()
}

/// The rings of a part, from start to finish. Fewer than two nodes give none.
pub(super) fn rings(nodes: &[Node]) -> Vec<Ring> {
    if nodes.len() < 2 {
        return Vec::new();
    }
    let all = nodes.len() - 1;
    let drawn: Vec<usize> = (0..all).step_by(all.div_ceil(LINKS_MAX)).chain([all]).collect();
    let nodes: Vec<Node> = drawn.iter().map(|i| nodes[*i]).collect();
    let links = nodes.len() - 1;
    let steps = rings_per_round(links);
    let tangents: Vec<DVec3> = (0..nodes.len()).map(|i| tangent(&nodes, i)).collect();
    let mut rings = Vec::with_capacity(links * steps + 1);
    for link in 0..links {
        let last = usize::from(link + 1 == links);
        for step in 0..steps + last {
            let t = step as f64 / steps as f64;
            let mut ring = ring_on_link(&nodes, &tangents, link, t);
            ring.round_coord = drawn[link] as f64 + t * (drawn[link + 1] - drawn[link]) as f64;
            rings.push(ring);
        }
    }
    rings
}

/// A node as a point: radius, core, height.
fn point(node: &Node) -> DVec3 {
    DVec3::new(node.radius_mm, node.core_half_mm, node.z_mm)
}

/// The outline past a pole, mirrored, so that a closed end is round and not a spike. A pole of a chain keeps
/// its core.
fn mirrored(pole: DVec3, next: DVec3) -> DVec3 {
    DVec3::new(-next.x, 2.0 * pole.y - next.y, next.z)
}

/// Slope of the outline at node `i` for a step of the shorter round beside it.
fn tangent(nodes: &[Node], i: usize) -> DVec3 {
    let here = point(&nodes[i]);
    let is_pole = here.x < 1e-6;
    let last = nodes.len() - 1;
    let before = match i {
        0 if is_pole => mirrored(here, point(&nodes[1])),
        0 => here,
        _ => point(&nodes[i - 1]),
    };
    let after = match i {
        _ if i == last && is_pole => mirrored(here, point(&nodes[last - 1])),
        _ if i == last => here,
        _ => point(&nodes[i + 1]),
    };
    let (back, forth) = ((here - before).length(), (after - here).length());
    if back < 1e-9 || forth < 1e-9 {
        return after - before;
    }
    // The parabola through the three points, scaled to the shorter link: no overshoot where a short round
    // meets a tall one.
    let slope = ((here - before) * (forth / back) + (after - here) * (back / forth)) / (back + forth);
    slope * back.min(forth)
}

/// The ring a share `t` (0 to 1) along a link.
fn ring_on_link(nodes: &[Node], tangents: &[DVec3], link: usize, t: f64) -> Ring {
    let (a, b) = (point(&nodes[link]), point(&nodes[link + 1]));
    let (ta, tb) = (tangents[link], tangents[link + 1]);
    let (t2, t3) = (t * t, t * t * t);
    let mut at =
        (2.0 * t3 - 3.0 * t2 + 1.0) * a + (t3 - 2.0 * t2 + t) * ta + (3.0 * t2 - 2.0 * t3) * b + (t3 - t2) * tb;
    let slope = 6.0 * (t2 - t) * a + (3.0 * t2 - 4.0 * t + 1.0) * ta + 6.0 * (t - t2) * b + (3.0 * t2 - 2.0 * t) * tb;
    // On the line of a pole the ring stays a pole, else the groove pulls it in along the normal.
    if at.x > 1e-6 {
        let inward = GROOVE_SHARE * (b - a).length() * (1.0 - (PI * t).sin());
        let normal = DVec2::new(slope.z, -slope.x).try_normalize().unwrap_or(DVec2::X);
        at.x = (at.x - inward * normal.x).max(0.0);
        at.z -= inward * normal.y;
    }
    Ring { z_mm: at.z, radius_mm: at.x.max(0.0), core_half_mm: at.y.max(0.0), slope, round_coord: link as f64 + t }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ball(links: usize) -> Vec<Node> {
        (0..=links)
            .map(|i| {
                let a = PI * i as f64 / links as f64;
                Node { z_mm: 40.0 * (1.0 - a.cos()), radius_mm: (40.0 * a.sin()).max(0.0), core_half_mm: 0.0 }
            })
            .collect()
    }

    #[test]
    fn a_ball_of_few_rounds_is_round_between_its_nodes() {
        let groove = GROOVE_SHARE * 40.0 * PI / 16.0;
        for ring in rings(&ball(16)) {
            let from_centre = ring.radius_mm.hypot(ring.z_mm - 40.0);
            assert!(from_centre < 40.05 && from_centre > 39.95 - groove, "{from_centre}");
        }
    }

    #[test]
    fn rounds_bulge_between_their_grooves() {
        let rings = rings(&ball(16));
        let at = |coord: f64| {
            rings
                .iter()
                .find(|r| (r.round_coord - coord).abs() < 1e-9)
                .map(|r| r.radius_mm.hypot(r.z_mm - 40.0))
                .unwrap()
        };
        // Groove and crest: 0.055 of a round 7.85 mm tall, of which a third of the way up 0.87 is regained.
        let crest = at(7.0 + 1.0 / 3.0);
        assert!(crest > at(7.0) + 0.3 && crest > at(8.0) + 0.3);
    }

    #[test]
    fn an_endless_list_is_thinned_and_keeps_its_rounds() {
        let rings = rings(&ball(100_000));
        assert!(rings.len() < 10_000);
        assert_eq!(rings.last().map(|r| r.round_coord), Some(100_000.0));
        assert!(rings.windows(2).all(|r| r[0].round_coord < r[1].round_coord));
    }

    #[test]
    fn one_node_is_no_surface() {
        assert!(rings(&ball(16)[..1]).is_empty());
    }
}
