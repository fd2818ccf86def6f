//! From the toy as made to the scene of the solid view.

use std::f64::consts::TAU;

use glam::{DVec2, DVec3};

use super::elevation::yarn_colour;
use super::eyes::eyes;
use super::ink::Ink;
use super::overlay::Footing;
use super::scene::{Bead, FlatSheet, Node, Plumb, Polygon, RoundLook, SceneInput, Stretch, SurfaceInput};
use crate::measure::Made;
use crate::measure::maps::likely_fabric;
use crate::rounds::Round;
use crate::toy::Toy;
use crate::toy::shape::ShapeKind;

/// Colour of an eye.
const EYE: [u8; 3] = [28, 24, 26];

/// The scene of a toy; `footing` and `centre_of_mass` are drawn where given.
pub fn scene_input(toy: &Toy, made: &Made, footing: Option<&Footing>, centre_of_mass: Option<DVec3>) -> SceneInput {
    let mut input = SceneInput::default();
    for (part, (piece, pose)) in toy.pieces.iter().zip(&made.poses).enumerate() {
        let shape = &made.shapes[part];
        let Ok(part_id) = u32::try_from(part) else { continue };
        if shape.outer.rings.len() < 2 || pose.toy_from_part.is_empty() {
            continue;
        }
        let nodes: Vec<Node> = shape
            .outer
            .rings
            .iter()
            .map(|r| Node { z_mm: r.z_mm, radius_mm: r.radius_mm, core_half_mm: r.core_half_mm })
            .collect();
        let flat = (shape.kind == ShapeKind::FoldedFlat).then(|| FlatSheet {
            half_width_mm: shape.nodes.iter().map(|r| r.radius_mm + r.core_half_mm).collect(),
            thickness_mm: 2.0 * shape.fabric.thickness_mm(),
        });
        let rounds: Vec<RoundLook> = piece.part.rounds.iter().map(|r| look(toy, part, r)).collect();
        for (copy, toy_from_part) in pose.toy_from_part.iter().enumerate() {
            let fabric = likely_fabric(toy, made, part, copy);
            let begins = |round: usize| fabric.as_ref().map_or(0.0, |f| f.begins_from_x(round) * TAU) as f32;
            let backward = fabric.as_ref().is_some_and(|f| !f.runs_x_to_y());
            input.surfaces.push(SurfaceInput {
                part_id,
                nodes: nodes.clone(),
                rounds: rounds.iter().map(|look| RoundLook { backward, ..look.clone() }).collect(),
                drift_start: (0..rounds.len()).map(begins).collect(),
                toy_from_part: *toy_from_part,
                flat: flat.clone(),
            });
        }
    }
    for eye in eyes(toy, made) {
        let centre = eye.at + eye.out * (0.25 * eye.radius_mm);
        input.beads.push(Bead { centre, radius_mm: eye.radius_mm, colour: EYE, gloss: 0.9 });
    }
    if let Some(footing) = footing.filter(|f| f.polygon.len() > 2) {
        let on_floor = |p: &DVec2| p.extend(0.2);
        input.polygons.push(Polygon {
            points: footing.polygon.iter().map(on_floor).collect(),
            fill: Ink::SUPPORT_FILL,
            outline: Ink::SUPPORT_LINE,
            outline_px: 2.0,
            through: 0.35,
        });
    }
    input.plumb = centre_of_mass.map(|centre_of_mass| Plumb { centre_of_mass, floor_z_mm: 0.0 });
    input
}

fn look(toy: &Toy, part: usize, round: &Round) -> RoundLook {
    let total = round.count().max(1) as f32;
    let mut look = RoundLook::plain(round.count().max(1), yarn_colour(toy, part, round.colour().map(|c| &**c)));
    look.height_factor = round.height_in_single() as f32;
    look.back_loop = round.is_back_loop();
    let several = round.runs.iter().any(|r| r.colour != round.runs[0].colour);
    let mut made = 0.0f32;
    for run in &round.runs {
        let (uses, makes) = (run.stitch.uses, f32::from(run.stitch.makes));
        let from = made / total;
        for _ in 0..run.times.min(20_000) {
            let middle = (made + makes / 2.0) / total;
            if run.stitch.makes > uses && uses > 0 {
                look.increase_at.push(middle);
            } else if uses > run.stitch.makes && run.stitch.makes > 0 {
                look.decrease_at.push(middle);
            }
            made += makes;
        }
        if several {
            let colour = yarn_colour(toy, part, run.colour.as_deref());
            look.stretches.push(Stretch { from, to: made / total, colour });
        }
    }
    look
}
