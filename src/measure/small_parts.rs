//! The small-parts cylinder: whether a thing fits in entirely, any way it is turned and without pressing it.
//!
//! The cylinder is 31.7 mm across with a slanted bottom, 25.4 mm deep on one side and 57.1 mm on the other
//! (16 CFR 1501.4 figure 1; EN 71-1; Canada SOR/2011-17). The bottom so slopes by 45°.

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
            diameter_mm <= CYLINDER_MM + SLACK && least_overlap_mm(diameter_mm, length_mm) <= SLACK
        }
    }
}

/// How far a rectangle `across` × `long` sticks out of the cylinder's section, leaning as it fits best, mm; 0 or less
/// where it fits.
fn least_overlap_mm(across: f64, long: f64) -> f64 {
    // From a scan of all leans the best, then finer around it: the lean that fits best lies at a kink.
    let (mut best, mut at, mut step) = (f64::INFINITY, 0.0, 0.5_f64.to_radians());
    let mut steps = -180..=180;
    for _ in 0..4 {
        let middle = at;
        for i in steps {
            let lean = middle + f64::from(i) * step;
            let over = overlap_mm(across, long, lean);
            if over < best {
                (best, at) = (over, lean);
            }
        }
        steps = -20..=20;
        step /= 20.0;
    }
    best
}

/// The same at one lean from upright, radians, above 0 with its upper end toward the shallow side.
fn overlap_mm(across: f64, long: f64, lean: f64) -> f64 {
    let (sin, cos) = lean.sin_cos();
    // x from the shallow side to the deep one, z down from the rim.
    let corners = [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)]
        .map(|(a, l)| (0.5 * (a * across * cos + l * long * sin), 0.5 * (l * long * cos - a * across * sin)));
    let most = |of: fn((f64, f64)) -> f64| corners.into_iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let width = most(|c| c.0) + most(|c| -c.0);
    // Pushed against the deep side, its highest corner at the rim: no corner below the slant.
    let (to_side, to_rim) = (CYLINDER_MM - most(|c| c.0), most(|c| -c.1));
    let below = most(|c| c.1 - c.0) + to_rim - to_side;
    (width - CYLINDER_MM).max(below - DEPTH_MM.0)
}

/// Whether a ball passes the template for small balls.
pub fn passes_ball_template(diameter_mm: f64) -> bool {
    diameter_mm <= SMALL_BALL_MM + SLACK
}
