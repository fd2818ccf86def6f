//! A stitch is in one place: where the sewing map says, the solid view shows it.

use toppleknot::measure::derive;
use toppleknot::measure::maps::likely_fabric;
use toppleknot::part::{End, Part};
use toppleknot::rounds::{Finish, Start, rounds_of_counts};
use toppleknot::toy::address::surface_point;
use toppleknot::toy::{Address, Copies, Piece, Placement, Seat, Settings, Toy};
use toppleknot::view::camera::Ray;
use toppleknot::view::pick::pick;
use toppleknot::view::scene::SceneStore;
use toppleknot::view::toy_scene::scene_input;

/// A keel-shaped body with a cone that leans beside it, and fins to both sides: no part is where its mirror image is.
fn lopsided(settings: Settings) -> Toy {
    let part = |name: &str, counts: &[u32], start: Start, finish: Finish| Part {
        name: name.into(),
        rounds: rounds_of_counts(counts).expect("counts above zero"),
        start,
        finish,
        ..Part::default()
    };
    let body =
        part("keel", &[22, 30, 36, 40, 40, 38, 36, 34, 30, 26, 20], Start::ChainOval { chain: 9 }, Finish::Gathered);
    let cone = part("cone", &[6, 10, 13, 16, 19, 22, 24, 24], Start::MagicRing, Finish::Open);
    let fin = part("fin", &[6, 9, 12, 14, 15, 15, 14], Start::MagicRing, Finish::Open);
    let on = |round: f64, angle_deg: f64| Seat::OnSurface { part: "keel".into(), at: Address { round, angle_deg } };
    let pieces = vec![
        Piece {
            part: body,
            placement: Placement {
                seat: Seat::Floor { down: End::Start, x_mm: 4.0, y_mm: -3.0 },
                ..Placement::default()
            },
        },
        Piece {
            part: cone,
            placement: Placement { seat: on(8.0, 205.0), nod_deg: 11.0, lean_deg: -17.0, ..Placement::default() },
        },
        Piece {
            part: fin,
            placement: Placement {
                seat: on(4.5, 62.0),
                copies: Copies::MirroredPair,
                turn_deg: 25.0,
                nod_deg: 20.0,
                ..Placement::default()
            },
        },
    ];
    Toy { pieces, settings, ..Toy::default() }
}

#[test]
fn a_stitch_is_where_the_sewing_map_says_in_the_solid_view_too() {
    let hands = [
        Settings::default(),
        Settings { left_handed: true, drift_stitches: Some(0.4), ..Settings::default() },
        Settings { wrong_side_out: true, first_stitch_deg: Some(35.0), ..Settings::default() },
        Settings { left_handed: true, wrong_side_out: true, yarn_under: true, ..Settings::default() },
    ];
    for settings in hands {
        let toy = lopsided(settings);
        let made = derive(&toy).made;
        // Every copy by itself, so that no other part is in the way of the ray.
        let whole = scene_input(&toy, &made, None, None);
        let mut mirrored = [0; 2];
        let mut tried = 0;
        for (part, pose) in made.poses.iter().enumerate() {
            for (copy, toy_from_part) in pose.toy_from_part.iter().enumerate() {
                let fabric = likely_fabric(&toy, &made, part, copy).expect("a copy that is there");
                mirrored[usize::from(toy_from_part.matrix3.determinant() < 0.0)] += 1;
                let mut input = whole.clone();
                let place = |s: &toppleknot::view::scene::SurfaceInput| s.toy_from_part == *toy_from_part;
                input.surfaces.retain(|s| s.part_id as usize == part && place(s));
                assert_eq!(input.surfaces.len(), 1);
                let scene = SceneStore::new().build(input);
                let rings = &made.shapes[part].outer.rings;
                for round in 1..fabric.rounds() - 1 {
                    for step in 0..24 {
                        let at = Address { round: round as f64 + 0.5, angle_deg: 15.0 * f64::from(step) + 3.7 };
                        let worked = fabric.worked(at).expect("rounds");
                        // The mesh is smoothed and grooved: at a stitch's very edge it may be the next one.
                        let within = worked.stitches.fract();
                        if !(0.2..=0.8).contains(&within) {
                            continue;
                        }
                        let surface = surface_point(rings, at).expect("a surface");
                        let long = rings.iter().any(|r| r.core_half_mm > 0.0);
                        let point = toy_from_part.transform_point3(surface.at);
                        let direction = -toy_from_part.transform_vector3(surface.out);
                        let found = pick(&scene, &Ray { origin: point - direction * 200.0, direction });
                        let found = found.expect("the ray meets the part");
                        assert_eq!(found.round as usize, worked.round, "{settings:?} {part} {copy} {at:?}");
                        // An address on a long section is taken on the middle of the fabric, the ray meets its outside:
                        // where a base is as narrow as the fabric is thick that is up to a stitch.
                        let count = fabric.count(worked.round);
                        let ahead = (found.stitch + count - worked.stitches as u32) % count;
                        let near = ahead == 0 || (long && (ahead == 1 || ahead == count - 1));
                        assert!(
                            near,
                            "{settings:?}: part {part}, copy {copy}, {at:?} is stitch {:.2}, found {}",
                            worked.stitches, found.stitch
                        );
                        tried += 1;
                    }
                }
            }
        }
        assert!(mirrored[0] >= 2 && mirrored[1] >= 1, "{mirrored:?}");
        assert!(tried > 200, "{tried}");
    }
}
