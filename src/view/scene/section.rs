//! The section of a part across its axis, a stadium: two half circles of `radius_mm` whose centres lie
//! `core_half_mm` to either side of the axis along local x. Where `core_half_mm` is 0 it is a circle.
//!
//! Places around it are given as a *share* of the perimeter, 0 at local +x, growing from +x toward +y. On a
//! circle the share is the angle over 2π.

use std::f64::consts::{PI, TAU};

use glam::DVec2;

/// Length around the section in mm.
pub fn perimeter_mm(radius_mm: f64, core_half_mm: f64) -> f64 {
    TAU * radius_mm + 4.0 * core_half_mm
}

/// The share (0 up to 1) of the perimeter at which a point of the surface lies, or the point nearest to it.
pub fn share_at(point: DVec2, core_half_mm: f64) -> f64 {
    let core = core_half_mm.max(0.0);
    if core < 1e-9 {
        return (point.y.atan2(point.x) / TAU).rem_euclid(1.0);
    }
    let out = DVec2::new(point.x - point.x.clamp(-core, core), point.y);
    let radius = out.length();
    let quarter = radius * PI / 2.0;
    let around = perimeter_mm(radius, core);
    let length = if point.x > core {
        radius * out.y.atan2(out.x)
    } else if point.x < -core {
        let turned = out.y.atan2(out.x).rem_euclid(TAU);
        2.0 * core + radius * turned
    } else if point.y >= 0.0 {
        quarter + (core - point.x)
    } else {
        3.0 * quarter + 2.0 * core + (point.x + core)
    };
    (length / around).rem_euclid(1.0)
}

/// The point at a share of the perimeter, and the outward direction there.
pub fn point_at(share: f64, radius_mm: f64, core_half_mm: f64) -> (DVec2, DVec2) {
    let (radius, core) = (radius_mm.max(0.0), core_half_mm.max(0.0));
    let quarter = radius * PI / 2.0;
    let length = share.rem_euclid(1.0) * perimeter_mm(radius, core);
    let on_arc = |arc: f64, centre: f64| {
        let out = if radius > 0.0 { DVec2::from_angle(arc / radius) } else { DVec2::Y };
        (DVec2::new(centre, 0.0) + radius * out, out)
    };
    let marks = [quarter, quarter + 2.0 * core, 3.0 * quarter + 2.0 * core, 3.0 * quarter + 4.0 * core];
    if length < marks[0] {
        on_arc(length, core)
    } else if length < marks[1] {
        (DVec2::new(core - (length - marks[0]), radius), DVec2::Y)
    } else if length < marks[2] {
        on_arc(length - 2.0 * core, -core)
    } else if length < marks[3] {
        (DVec2::new(-core + (length - marks[2]), -radius), DVec2::NEG_Y)
    } else {
        on_arc(length - 4.0 * core, core)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_leads_to_a_point_and_back() {
        for core in [0.0, 4.0, 30.0] {
            for step in 0..97 {
                let share = f64::from(step) / 97.0;
                let (point, out) = point_at(share, 11.0, core);
                assert!((share_at(point, core) - share).abs() < 1e-9, "core {core}, share {share}");
                assert!((out.length() - 1.0).abs() < 1e-12);
            }
        }
    }

    /// Circumference of a circle, and of the athletics track: two straights and two half circles.
    #[test]
    fn perimeter_is_that_of_the_track() {
        assert!((perimeter_mm(10.0, 0.0) - 62.831_853_071_8).abs() < 1e-9);
        // World Athletics' 400 m track: bends of radius 36.50 m measured 0.30 m out, straights of 84.39 m.
        let track_m = perimeter_mm(36.80, 84.39 / 2.0);
        assert!((track_m - 400.0).abs() < 0.01, "{track_m}");
    }
}
