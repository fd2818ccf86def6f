//! The small-parts cylinder: whether a thing fits in entirely, any way it is turned and without pressing it.
//!
//! The cylinder is 31.7 mm across with a slanted bottom, 25.4 mm deep on one side and 57.1 mm on the other
//! (16 CFR 1501.4 figure 1; EN 71-1; Canada SOR/2011-17). The bottom so slopes by 45°.

use glam::DVec3;

use crate::solid::Solid;

/// Width of the cylinder, mm.
pub const CYLINDER_MM: f64 = 31.7;
/// Least and greatest depth, mm.
pub const DEPTH_MM: (f64, f64) = (25.4, 57.1);
/// Width of the template for small balls, mm (EN 71-1).
pub const SMALL_BALL_MM: f64 = 44.5;

/// The outline of a thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    /// A ball.
    Ball {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// A disc or rod: a round thing of this diameter and length along its axis.
    Round {
        /// Diameter, mm.
        diameter_mm: f64,
        /// Length along the axis, mm.
        length_mm: f64,
    },
}

/// Slack against round-off, mm: a thing of exactly the cylinder's size fits.
const SLACK: f64 = 1e-9;

/// Whether a thing fits the cylinder entirely. Errs to "fits": a leaning rod is tried by its outline in the plane of
/// the slant alone.
pub fn fits_cylinder(outline: Outline) -> bool {
    match outline {
        Outline::Ball { diameter_mm } => {
            // Resting on the slant against the deep side, its top lies at 57.1 − r·(2 + √2) below the rim.
            let r = diameter_mm / 2.0;
            diameter_mm <= CYLINDER_MM + SLACK && r * (2.0 + std::f64::consts::SQRT_2) <= DEPTH_MM.1 + SLACK
        }
        Outline::Round { diameter_mm, length_mm } => {
            // Across its axis it is as wide as its diameter whichever way it lies.
            let reach = |u: DVec3| 0.5 * (diameter_mm * u.x.abs() + length_mm * u.z.abs());
            diameter_mm <= CYLINDER_MM + SLACK && fits_leaning(&reach)
        }
    }
}

/// Whether a part fits the cylinder entirely, by its own outline: with its axis in the plane of the slant, the long
/// way of its sections along that plane or across it, or with its axis across. Errs to "fits": it is tried leaning in
/// that plane alone, and its plan by how wide it is in twelve directions.
pub fn part_fits_cylinder(outer: &Solid) -> bool {
    let solid = outer.convex_profile();
    let reach = |x: f64, y: f64, z: f64| solid.support_mm(DVec3::new(x, y, z));
    let across = |axis: DVec3| solid.support_mm(axis) + solid.support_mm(-axis) <= CYLINDER_MM + SLACK;
    let long = solid.rings.iter().any(|r| r.core_half_mm > 0.0);
    (across(DVec3::Y) && fits_leaning(&|u| reach(u.x, u.y, u.z)))
        || (long && across(DVec3::X) && fits_leaning(&|u| reach(u.y, u.x, u.z)))
        || (across(DVec3::Z) && fits_leaning(&|u| reach(u.x, u.z, u.y)))
}

/// Whether an outline fits the cylinder at some lean in the plane of the slant. `reach_mm`: how far it reaches in a
/// direction of its own frame, y across that plane; in proportion to the direction's length.
fn fits_leaning(reach_mm: &dyn Fn(DVec3) -> f64) -> bool {
    let extent = |u: DVec3| reach_mm(u) + reach_mm(-u);
    let most = CYLINDER_MM.hypot(DEPTH_MM.1);
    if extent(DVec3::X).max(extent(DVec3::Z)) > most + SLACK {
        return false;
    }
    // From a scan of all leans the best, then finer around it: the lean that fits best lies at a kink. All the way
    // round, since the two ends of a thing may differ.
    let (mut best, mut at, mut step) = (f64::INFINITY, 0.0, 1_f64.to_radians());
    let mut steps = -180..180;
    for _ in 0..4 {
        let middle = at;
        for i in steps {
            let lean = middle + f64::from(i) * step;
            let over = overlap_mm(reach_mm, lean);
            if over <= SLACK {
                return true;
            }
            if over < best {
                (best, at) = (over, lean);
            }
        }
        steps = -20..21;
        step /= 15.0;
    }
    false
}

/// How far the outline sticks out of the cylinder at one lean from upright, radians, above 0 with its upper end toward
/// the shallow side; mm, 0 or less where it fits.
fn overlap_mm(reach_mm: &dyn Fn(DVec3) -> f64, lean: f64) -> f64 {
    let (sin, cos) = lean.sin_cos();
    // x from the shallow side to the deep one, y across, z down from the rim.
    let reach = |x: f64, y: f64, z: f64| reach_mm(DVec3::new(x * cos - z * sin, y, x * sin + z * cos));
    let width = |x: f64, y: f64| reach(x, y, 0.0) + reach(-x, -y, 0.0) - CYLINDER_MM;
    // Pushed against the deep side, its highest point at the rim: no point below the slant.
    let (to_side, to_rim) = (CYLINDER_MM - reach(1.0, 0.0, 0.0), reach(0.0, 0.0, -1.0));
    let below = reach(-1.0, 0.0, 1.0) + to_rim - to_side;
    let over = width(1.0, 0.0).max(below - DEPTH_MM.0);
    if over > SLACK {
        return over;
    }
    // What lies in a circle is nowhere wider than it.
    let slanted = (1..12).map(|i| (f64::from(i) * std::f64::consts::PI / 12.0).sin_cos());
    slanted.fold(over, |most, (y, x)| most.max(width(x, y)))
}

/// Whether a ball passes the template for small balls.
pub fn passes_ball_template(diameter_mm: f64) -> bool {
    diameter_mm <= SMALL_BALL_MM + SLACK
}
