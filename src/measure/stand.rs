//! The toy as made, put on the floor: which parts bear, what nods, how sure the tip angle is.

use glam::DVec3;

use super::carried::Carried;
use super::made::Made;
use super::necks::{Neck, neck_at};
use super::rest_poses::{self, RestPose};
use super::spread::{Effects, jumping_figure};
use super::standing::{self, Bearer, Flat, Load, Nod, PartBearer, Standing};
use super::weigh::placed;
use crate::figure::Figure;
use crate::part::End;
use crate::solid::{Placed, Ring};
use crate::toy::Toy;

/// Parts that bear, one entry for each copy: the index of the piece and the bearer.
pub(super) fn bearers(made: &Made) -> Vec<(usize, PartBearer)> {
    let bearing = (0..made.poses.len()).filter(|i| made.poses[*i].bears);
    bearing
        .flat_map(|i| {
            let mut first: Option<PartBearer> = None;
            made.outsides_of(i).map(move |solid| {
                let pressure_kpa = pressure_below_kpa(made, i, &solid);
                let copy = first.as_ref().map(|f| f.copied(solid.toy_from_part, pressure_kpa));
                (i, copy.unwrap_or_else(|| first.insert(bearer(made, i, &solid, pressure_kpa)).clone()))
            })
        })
        .collect()
}

/// A part that bears, in one of its places.
fn bearer(made: &Made, part: usize, solid: &Placed, pressure: f64) -> PartBearer {
    let shape = &made.shapes[part];
    let flat = shape.flat.and_then(|flat| {
        let at = match flat.end {
            End::Start => shape.outer.rings.first()?,
            End::Finish => shape.outer.rings.last()?,
        };
        let core_half_mm = shape.nodes[flat.edge_node].core_half_mm;
        let radius_mm = flat.radius_mm;
        Some(Flat { ring: Ring { z_mm: at.z_mm, radius_mm, core_half_mm }, end: flat.end })
    });
    match flat {
        Some(flat) => PartBearer::with_flat(solid, pressure, flat),
        None => PartBearer::soft(solid, pressure),
    }
}

/// Pressure with which a part in one of its places stands on the floor, kPa: the firmest of its rounds that come down to
/// it as far as a part may sink in at all. Rounds left empty give way until filled ones meet the floor.
fn pressure_below_kpa(made: &Made, part: usize, solid: &Placed) -> f64 {
    let shape = &made.shapes[part];
    if shape.filled_links + 1 >= shape.nodes.len() {
        return made.pressure_at_kpa(part, 0.0);
    }
    let deepest = standing::SINK_SHARE * (solid.support_mm(DVec3::NEG_Z) + solid.support_mm(DVec3::Z));
    let level = solid.support_mm(DVec3::NEG_Z) - deepest;
    let nodes = (0..solid.solid.rings.len()).filter(|node| solid.ring_support_mm(*node, DVec3::NEG_Z) >= level);
    nodes.map(|node| made.pressure_at_kpa(part, node as f64)).fold(0.0, f64::max)
}

fn load(made: &Made) -> Load {
    let whole = placed(&made.poses, &made.masses);
    Load::of_mass(whole.mass_g, whole.centre_mm)
}

/// What nods over when the toy leans: every copy of what lies above a joint that cannot hold it in every position.
fn nods(toy: &Toy, made: &Made, necks: &[Neck]) -> Vec<Nod> {
    let carried = Carried::of(made);
    let copies = necks.iter().flat_map(|n| {
        let carried = &carried;
        let copies = made.poses[n.part].toy_from_part.len();
        (0..copies).filter_map(move |copy| neck_at(toy, made, carried, n.part, n.place, copy))
    });
    copies
        .filter(|n| n.load.centre_mm.z > n.pivot_mm.z)
        .filter_map(|n| {
            let nod_deg = n.joint.nod_deg()?;
            Some(Nod { pivot: n.pivot_mm, mass_g: n.load.mass_g, centre_of_mass: n.load.centre_mm, nod_deg })
        })
        .collect()
}

/// How the toy stands; `None` where nothing that bears is placed.
pub(super) fn stand(toy: &Toy, made: &Made, necks: &[Neck]) -> Option<Standing> {
    let bearers = bearers(made);
    let list: Vec<&dyn Bearer> = bearers.iter().map(|(_, b)| b as &dyn Bearer).collect();
    standing::stand(&list, &load(made), &nods(toy, made, necks))
}

/// The pieces that touch the floor, each once.
pub(super) fn stands_on(made: &Made, standing: &Standing) -> Vec<usize> {
    let bearers: Vec<usize> = made.outsides().map(|(i, _)| i).filter(|i| made.poses[*i].bears).collect();
    let mut found: Vec<usize> = standing.touching.iter().filter_map(|t| bearers.get(t.bearer).copied()).collect();
    found.dedup();
    found
}

/// The least tip angle with its give or take, degrees: the rough assumptions, and every part sewn on one stitch
/// off to either side of the weakest direction. Beside it what each of them does to it.
pub(super) fn tip_figure(toy: &Toy, made: &Made, necks: &[Neck], standing: &Standing) -> (Figure, Effects) {
    let toward_deg = standing.weakest.toward_deg;
    let own = bearers(made);
    let tip = |moved: &Made, shift: DVec3| {
        // Other yarn and stuffing in the same shapes bear alike.
        let others = (!moved.is_shaped_as(made)).then(|| bearers(moved));
        let bearers = others.as_ref().unwrap_or(&own);
        let list: Vec<&dyn Bearer> = bearers.iter().map(|(_, b)| b as &dyn Bearer).collect();
        let mut load = load(moved);
        load.centre_of_mass += shift;
        let nods = nods(toy, moved, necks);
        let settled = standing::settled_down(&list, &load, DVec3::NEG_Z);
        let tip = |down: DVec3| standing::tip_in_direction(&list, &load, &nods, -down, toward_deg);
        settled.and_then(tip).unwrap_or(0.0)
    };
    let off = sewn_off_mm(made);
    let (sin, cos) = toward_deg.to_radians().sin_cos();
    let sewn = [off, -off].map(|off| tip(made, DVec3::new(sin, cos, 0.0) * off));
    let (figure, effects) = jumping_figure(toy, made, standing.weakest.tip_deg, &|made| tip(made, DVec3::ZERO), &sewn);
    (Figure { low: figure.low.max(0.0), high: figure.high.min(180.0), ..figure }, effects)
}

/// How far the centre of mass moves if every part is sewn on a stitch off, mm.
fn sewn_off_mm(made: &Made) -> f64 {
    let total = placed(&made.poses, &made.masses).mass_g;
    let mut square = 0.0;
    for (pose, (mass, shape)) in made.poses.iter().zip(made.masses.iter().zip(&made.shapes)) {
        if pose.parent.is_some() && total > 0.0 {
            let off = shape.fabric.w_mm.value() * mass.whole.mass_g / total;
            square += off * off * pose.toy_from_part.len() as f64;
        }
    }
    square.sqrt()
}

/// How the toy lands; `None` where it cannot be told. Parts that are empty, dangle or flop do not prop it up, unless they
/// outweigh the rest.
pub(super) fn lands(made: &Made) -> Option<Vec<RestPose>> {
    let props = made.props_when_dropped();
    let solids: Vec<_> = made.outsides().filter(|(i, _)| props[*i]).map(|(_, s)| s).collect();
    let poses = rest_poses::rest_poses(&solids, placed(&made.poses, &made.masses).centre_mm, rest_poses::SEGMENTS);
    (!poses.is_empty()).then_some(poses)
}
