//! Mass properties and overlaps: what must hold for every solid in every place.

use glam::{DAffine3, DMat3, DQuat, DVec3};
use proptest::prelude::*;
use toppleknot::solid::mass::{frustum_lateral_area_mm2, frustum_shell, frustum_solid};
use toppleknot::solid::{MassProperties, Overlap, Placed, Ring, Solid, overlap};

/// A solid of 3 to 12 rings, round or with a core, its lowest ring anywhere.
fn any_solid() -> impl Strategy<Value = Solid> {
    let ring = (0.2f64..9.0, 0.0f64..25.0, 0.0f64..12.0);
    (-30.0f64..30.0, prop::collection::vec(ring, 3..12), any::<bool>()).prop_map(|(start, rings, is_round)| {
        let mut z_mm = start;
        let ring = |(rise, radius_mm, core): (f64, f64, f64)| {
            z_mm += rise;
            Ring { z_mm, radius_mm, core_half_mm: if is_round { 0.0 } else { core } }
        };
        Solid { rings: rings.into_iter().map(ring).collect() }
    })
}

/// A rigid motion, with a reflection or without.
fn any_pose() -> impl Strategy<Value = DAffine3> {
    let three = |r: f64| prop::array::uniform3(-r..r);
    (three(3.0), three(40.0), any::<bool>()).prop_map(|(turn, shift, mirrored)| {
        let moved = DAffine3::from_rotation_translation(DQuat::from_scaled_axis(turn.into()), shift.into());
        let mirror = DAffine3::from_scale(DVec3::new(if mirrored { -1.0 } else { 1.0 }, 1.0, 1.0));
        mirror * moved
    })
}

fn skin(solid: &Solid) -> MassProperties {
    solid.rings.windows(2).map(|p| frustum_shell(p[0], p[1], 0.3 * frustum_lateral_area_mm2(p[0], p[1]))).sum()
}

fn norm(m: DMat3) -> f64 {
    m.to_cols_array().iter().map(|v| v * v).sum::<f64>().sqrt()
}

/// Equal to round-off, for bodies of tens of millimetres.
fn same(a: &MassProperties, b: &MassProperties) -> Result<(), TestCaseError> {
    let size = a.mass_g.abs() + b.mass_g.abs();
    prop_assert!((a.mass_g - b.mass_g).abs() <= 1e-10 * size, "{a:?} {b:?}");
    prop_assert!(a.centre_mm.distance(b.centre_mm) <= 1e-8, "{a:?} {b:?}");
    prop_assert!(norm(a.inertia_g_mm2 - b.inertia_g_mm2) <= 1e-6 * size, "{a:?} {b:?}");
    Ok(())
}

proptest! {
    #[test]
    fn a_band_is_the_sum_of_its_pieces(solid in any_solid(), t in 0.05f64..0.95) {
        let (a, b) = (solid.rings[0], solid.rings[1]);
        let mix = |p: f64, q: f64| p + (q - p) * t;
        let cut = Ring {
            z_mm: mix(a.z_mm, b.z_mm),
            radius_mm: mix(a.radius_mm, b.radius_mm),
            core_half_mm: mix(a.core_half_mm, b.core_half_mm),
        };
        same(&frustum_solid(a, b, 0.04), &(frustum_solid(a, cut, 0.04) + frustum_solid(cut, b, 0.04)))?;
        let wall = |p, q| frustum_shell(p, q, 0.3 * frustum_lateral_area_mm2(p, q));
        same(&wall(a, b), &(wall(a, cut) + wall(cut, b)))?;
    }

    #[test]
    fn what_is_added_and_taken_away_leaves_the_first(
        a in any_solid(), b in any_solid(), place in any_pose(),
    ) {
        let (a, b) = (a.filled(0.05), skin(&b).transformed(&place));
        same(&a, &((a + b) - b))?;
        same(&(a + b), &(b + a))?;
        prop_assert_eq!((a - a).mass_g, 0.0);
        same(&a, &(MassProperties::ZERO + a))?;
        same(&a, &[a, b, b.scaled(-1.0)].into_iter().sum())?;
    }

    #[test]
    fn moving_and_summing_take_turns(a in any_solid(), b in any_solid(), place in any_pose(), moved in any_pose()) {
        let (a, b) = (a.filled(0.05), skin(&b).transformed(&place));
        same(&(a + b).transformed(&moved), &(a.transformed(&moved) + b.transformed(&moved)))?;
        same(&a, &a.transformed(&moved).transformed(&moved.inverse()))?;
    }

    #[test]
    fn a_mirrored_body_is_the_body_mirrored(solid in any_solid(), place in any_pose()) {
        let body = skin(&solid).transformed(&place);
        let mirror = DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0));
        let mirrored = body.transformed(&mirror);
        let (i, j) = (body.inertia_g_mm2, mirrored.inertia_g_mm2);
        prop_assert_eq!(mirrored.centre_mm, body.centre_mm * DVec3::new(-1.0, 1.0, 1.0));
        prop_assert_eq!((j.x_axis.x, j.y_axis.y, j.z_axis.z), (i.x_axis.x, i.y_axis.y, i.z_axis.z));
        prop_assert_eq!((j.x_axis.y, j.x_axis.z, j.y_axis.z), (-i.x_axis.y, -i.x_axis.z, i.y_axis.z));
        // Together they are symmetric: centre on the plane, no products with x.
        let pair = body + mirrored;
        let size = norm(pair.inertia_g_mm2);
        prop_assert!(pair.centre_mm.x.abs() < 1e-9);
        prop_assert!(pair.inertia_g_mm2.x_axis.y.abs() < 1e-9 * size && pair.inertia_g_mm2.x_axis.z.abs() < 1e-9 * size);
    }

    #[test]
    fn twice_as_large_is_eight_times_the_filling_and_four_times_the_fabric(solid in any_solid(), s in 0.3f64..4.0) {
        let scaled = |r: &Ring| Ring {
            z_mm: s * r.z_mm, radius_mm: s * r.radius_mm, core_half_mm: s * r.core_half_mm,
        };
        let large = Solid { rings: solid.rings.iter().map(scaled).collect() };
        for (small, large, power) in [(solid.filled(0.05), large.filled(0.05), 3), (skin(&solid), skin(&large), 2)] {
            let m = s.powi(power);
            let want = MassProperties {
                mass_g: m * small.mass_g,
                centre_mm: s * small.centre_mm,
                inertia_g_mm2: m * s * s * small.inertia_g_mm2,
            };
            let share = norm(want.inertia_g_mm2 - large.inertia_g_mm2) / norm(want.inertia_g_mm2).max(1e-300);
            prop_assert!((large.mass_g / want.mass_g - 1.0).abs() < 1e-10 || want.mass_g == 0.0);
            prop_assert!(share < 1e-9, "{want:?} {large:?}");
            prop_assert!(want.centre_mm.distance(large.centre_mm) < 1e-9 * s.max(1.0) * 100.0);
        }
    }

    /// Moments of real bodies are positive, and no one of them exceeds the sum of the other two.
    #[test]
    fn moments_of_inertia_keep_the_triangle_rule(solid in any_solid(), place in any_pose()) {
        for body in [solid.filled(0.05), skin(&solid), skin(&solid) + solid.filled(0.1).transformed(&place)] {
            let i = body.inertia_g_mm2;
            let (x, y, z) = (i.x_axis.x, i.y_axis.y, i.z_axis.z);
            let slack = 1e-9 * (x + y + z);
            prop_assert!(x >= -slack && y >= -slack && z >= -slack);
            prop_assert!(x <= y + z + slack && y <= z + x + slack && z <= x + y + slack);
        }
    }

    #[test]
    fn an_overlap_is_symmetric_and_never_above_either_volume(
        a in any_solid(), b in any_solid(), pose_a in any_pose(), pose_b in any_pose(),
    ) {
        let (pa, pb) = (Placed { solid: &a, toy_from_part: pose_a }, Placed { solid: &b, toy_from_part: pose_b });
        let shared = overlap(&pa, &pb);
        prop_assert_eq!(shared, overlap(&pb, &pa));
        let least = a.volume_mm3().min(b.volume_mm3());
        prop_assert!(shared.volume_mm3 >= 0.0 && shared.volume_mm3 <= least, "{} of {}", shared.volume_mm3, least);
        prop_assert!(shared.centre_mm.is_finite());
        if shared.volume_mm3 == 0.0 {
            prop_assert_eq!(shared, Overlap::NONE);
        }
    }

    /// A solid shares all of itself with itself.
    #[test]
    fn a_solid_shares_itself_with_itself(solid in any_solid(), place in any_pose()) {
        let placed = Placed { solid: &solid, toy_from_part: place };
        let (shared, whole) = (overlap(&placed, &placed), solid.filled(1.0).transformed(&place));
        let (volume, all) = (shared.volume_mm3, whole.mass_g);
        prop_assert!((volume - all).abs() <= 1e-9 * all, "{volume} of {all}");
        if all > 0.0 {
            prop_assert!(shared.centre_mm.distance(whole.centre_mm) < 1e-7, "{} {}", shared.centre_mm, whole.centre_mm);
        }
    }

    /// A solid inside another shares all of itself.
    #[test]
    fn a_solid_inside_another_shares_all_of_itself(solid in any_solid(), place in any_pose(), size in 1.05f64..3.0) {
        let radius_mm = 2.0 + size * solid.rings.iter().map(|r| r.radius_mm + r.core_half_mm).fold(1.0, f64::max);
        let ring = |z_mm| Ring { z_mm, radius_mm, core_half_mm: 1.0 };
        let (low, high) = (solid.rings[0].z_mm, solid.rings[solid.rings.len() - 1].z_mm);
        let around = Solid { rings: vec![ring(low - 2.0), ring(high + 2.0)] };
        let nudge = DAffine3::from_rotation_translation(DQuat::from_rotation_x(0.01), DVec3::new(0.1, -0.2, 0.1));
        let (inner, outer) =
            (Placed { solid: &solid, toy_from_part: place * nudge }, Placed { solid: &around, toy_from_part: place });
        let (volume, all) = (overlap(&inner, &outer).volume_mm3, solid.volume_mm3());
        prop_assert!((volume - all).abs() <= 1e-9 * all, "{volume} of {all}");
    }

    /// Moving both moves the overlap with them.
    #[test]
    fn an_overlap_goes_with_its_solids(
        a in any_solid(), b in any_solid(), place in any_pose(), moved in any_pose(),
    ) {
        prop_assume!((a.volume_mm3() - b.volume_mm3()).abs() > 1e-6 * a.volume_mm3());
        let shared = |m: DAffine3| overlap(
            &Placed { solid: &a, toy_from_part: m },
            &Placed { solid: &b, toy_from_part: m * place },
        );
        let (here, there) = (shared(DAffine3::IDENTITY), shared(moved));
        let least = a.volume_mm3().min(b.volume_mm3());
        // Which of two lines that graze a wall meets it may turn by a rounding.
        prop_assert!((here.volume_mm3 - there.volume_mm3).abs() < 1e-3 * least);
        if here.volume_mm3 > 0.05 * least {
            prop_assert!(moved.transform_point3(here.centre_mm).distance(there.centre_mm) < 0.05);
        }
    }
}

/// Two parts without a common point share nothing, however near; one inside another shares all of it.
#[test]
fn apart_and_inside() {
    let rod = |r: f64, h: f64| {
        let ring = |z_mm| Ring { z_mm, radius_mm: r, core_half_mm: 0.0 };
        Solid { rings: vec![ring(-h), ring(h)] }
    };
    let (wide, thin) = (rod(20.0, 30.0), rod(4.0, 9.0));
    let at = |x: f64| DAffine3::from_rotation_translation(DQuat::from_rotation_y(1.2), DVec3::new(x, 3.0, 1.0));
    let here = Placed { solid: &wide, toy_from_part: DAffine3::IDENTITY };
    assert_eq!(overlap(&here, &Placed { solid: &thin, toy_from_part: at(31.0) }), Overlap::NONE);
    let inside = overlap(&here, &Placed { solid: &thin, toy_from_part: at(-2.0) });
    assert!((inside.volume_mm3 / thin.volume_mm3() - 1.0).abs() < 2e-3, "{}", inside.volume_mm3);
    assert!(inside.centre_mm.distance(DVec3::new(-2.0, 3.0, 1.0)) < 0.01);
    let none = Solid { rings: vec![] };
    assert_eq!(overlap(&here, &Placed { solid: &none, toy_from_part: at(0.0) }), Overlap::NONE);
}
