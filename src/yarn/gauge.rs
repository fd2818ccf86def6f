//! What a stitch measures and weighs: from the maker's swatch where there is one, else estimated.

use super::{CATEGORIES, Category, Yarn};
use crate::figure::{Assumed, Origin};
use crate::rounds::StitchKind;

/// A swatch counted by hand is good to about 3 % (from memory; a default).
pub(crate) const SWATCH: f64 = 1.03;
/// Metres on a label hold to about 5 % (from memory; a default).
pub(crate) const LABEL: f64 = 1.05;
/// Spread of an estimated stitch width: ±15 %, and of an estimated height to width: ±8 % (fit to 14 stated
/// gauges, `w/hook` 1.09 to 1.52, `h/w` 0.83 to 1.10).
const WIDTH_ESTIMATE: f64 = 1.15;
const RATIO_ESTIMATE: f64 = 1.08;
/// Height of a tight single crochet round in stitch widths, same fit.
const HEIGHT_TO_WIDTH: f64 = 0.93;
/// Yarn in a single crochet, in stitch widths: about 7, between 5.5 and 8. From two measured figures:
/// 12.37 cm of worsted in a cm² of single crochet at a 5 mm hook, 6.99 cm a stitch in bulky on 6.5 mm
/// (makers' published measurements).
const WIDTHS_PER_STITCH: (f64, f64, f64) = (5.5, 7.0, 8.0);

/// The fabric that a yarn and a hook make, every figure with its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fabric {
    /// Stitch width, mm.
    pub w_mm: Assumed,
    /// Height of a single crochet round, mm.
    pub h_mm: Assumed,
    /// Height to width; its spread is that of the height at a given width.
    pub height_to_width: Assumed,
    /// The height was counted and the width follows from it: what is not known of height to width moves the width, the
    /// other way round, and leaves the height.
    pub width_from_height: bool,
    /// Yarn count, g per km (ISO 1144).
    pub tex: Assumed,
    /// Yarn in one single crochet, in stitch widths.
    pub widths_per_stitch: Assumed,
    /// The yarn in a stitch follows from a weighing: its mass is known better than its length or width, so that a
    /// longer stitch means a lighter yarn and the other way round.
    pub weighed: bool,
    /// Density of the fibre, g/cm³; acrylic's where it is not said.
    pub fibre_g_per_cm3: f64,
    /// Stiffness of the fabric, N/m.
    pub stiffness_n_per_m: Assumed,
    /// Hook taken, mm.
    pub hook_mm: f64,
    /// Category taken, 0 to 7.
    pub category: u8,
}

impl Fabric {
    /// Yarn in one single crochet, mm; other kinds have [`length_per_stitch_factor`] times that.
    pub fn length_per_stitch_mm(&self) -> f64 {
        self.widths_per_stitch.value() * self.w_mm.value()
    }

    /// Mass of one mm of yarn, g.
    pub fn g_per_mm(&self) -> f64 {
        self.tex.value() * 1e-6
    }

    /// Thickness of the fabric, mm: two yarn diameters, the yarn's own diameter by F. T. Peirce's cloth
    /// geometry, d(cm) = 4.44e-3·√(tex/ρ), packing 0.646. Widths by wraps per inch are
    /// about three times that; in a fabric that is stuffed tight the yarn is pressed toward the former.
    pub fn thickness_mm(&self) -> f64 {
        2.0 * 10.0 * 4.44e-3 * (self.tex.value() / self.fibre_g_per_cm3).sqrt()
    }
}

/// Yarn in a stitch of this kind against single crochet: the yarn per area is the same for single, half
/// double and double crochet within 2 % (makers' published measurements), so it goes as the height.
pub fn length_per_stitch_factor(kind: StitchKind) -> f64 {
    kind.height_in_single()
}

fn set(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite() && *v > 0.0)
}

/// Width of a tight single crochet, mm: w = 0.2·W + 1.08·hook, W the width at the label's gauge (a fit to 14
/// stated gauges of toys).
fn width_estimate_mm(category: &Category, hook_mm: f64) -> f64 {
    0.2 * category.label_width_mm() + 1.08 * hook_mm
}

/// The category that best explains what is known; medium where nothing is.
fn likely_category(yarn: &Yarn) -> &'static Category {
    if let Some(row) = yarn.category.and_then(|n| CATEGORIES.get(usize::from(n))) {
        return row;
    }
    let nearest = |of: &dyn Fn(&Category) -> f64, target: f64| {
        let miss = |c: &Category| (of(c) / target).ln().abs();
        CATEGORIES.iter().min_by(|a, b| miss(a).total_cmp(&miss(b))).unwrap_or(&CATEGORIES[4])
    };
    if let Some(metres) = set(yarn.metres_per_100g).or_else(|| yarn.stock.label_metres_per_100g()) {
        nearest(&|c| (c.metres_per_100g.0 * c.metres_per_100g.1).sqrt(), metres)
    } else if let Some(hook) = set(yarn.hook_mm) {
        nearest(&Category::toy_hook_middle_mm, hook)
    } else if let Some(stitches) = set(yarn.stitches_per_10cm) {
        nearest(&|c| width_estimate_mm(c, c.toy_hook_middle_mm()), 100.0 / stitches)
    } else {
        &CATEGORIES[4]
    }
}

/// The fabric of a yarn and its hook: measured where the maker measured, estimated elsewhere.
pub fn fabric(yarn: &Yarn) -> Fabric {
    let category = likely_category(yarn);
    let hook_mm = set(yarn.hook_mm).unwrap_or_else(|| category.toy_hook_middle_mm());
    let swatch = set(yarn.stitches_per_10cm).map(|n| Assumed::new(100.0 / n, SWATCH, Origin::Measured));
    let rounds = set(yarn.rounds_per_10cm).map(|n| 100.0 / n);
    let disc = yarn.trials.disc.and_then(|d| d.gauge());

    let w_mm = match (swatch, disc, rounds) {
        (Some(w), Some((across, _)), _) => w.combined(across),
        (Some(w), None, _) | (None, Some((w, _)), _) => w,
        // A counted height tells the width better than the hook does.
        (None, None, Some(h)) => {
            let spread = RATIO_ESTIMATE.ln().hypot(SWATCH.ln()).exp();
            Assumed::new(h / HEIGHT_TO_WIDTH, spread, Origin::Estimate)
        }
        (None, None, None) => {
            let width = width_estimate_mm(category, hook_mm) * yarn.trials.width_factor();
            Assumed::new(width, WIDTH_ESTIMATE, Origin::Estimate)
        }
    };
    let height_to_width = match (w_mm.from, rounds, disc) {
        (Origin::Measured, Some(h), _) => Assumed::new(h / w_mm.value(), SWATCH, Origin::Measured),
        (_, None, Some((_, ratio))) => ratio,
        _ => Assumed::new(HEIGHT_TO_WIDTH, RATIO_ESTIMATE, Origin::Estimate),
    };
    let h_mm = match rounds {
        Some(h) => Assumed::new(h, SWATCH, Origin::Measured),
        None => {
            let spread = w_mm.figure.log_spread().hypot(height_to_width.figure.log_spread()).exp();
            Assumed::new(height_to_width.value() * w_mm.value(), spread, height_to_width.from)
        }
    };

    let tex = match set(yarn.metres_per_100g).or_else(|| yarn.stock.label_metres_per_100g()) {
        Some(metres) => Assumed::new(1e5 / metres, LABEL, Origin::Label),
        None => {
            let (low, high) = category.metres_per_100g;
            Assumed::new(1e5 / (low * high).sqrt(), (high / low).sqrt(), Origin::Estimate)
        }
    };
    let widths_per_stitch = match set(yarn.widths_per_stitch) {
        Some(q) => Assumed::new(q, SWATCH, Origin::Measured),
        None => {
            let (low, mid, high) = WIDTHS_PER_STITCH;
            let mut q = Assumed::new(mid, high / mid, Origin::Estimate);
            q.figure.low = low;
            q
        }
    };
    // K goes as yarn per mm times the stiffness of the yarn (the root, derived); 1200 N/m at 500 tex and its
    // spread of two either way are from memory: defaults.
    let stiffness_n_per_m = Assumed::new(1200.0 * (tex.value() / 500.0).sqrt(), 2.0, Origin::Estimate);
    Fabric {
        w_mm,
        h_mm,
        height_to_width,
        width_from_height: swatch.is_none() && disc.is_none() && rounds.is_some(),
        tex,
        widths_per_stitch,
        weighed: false,
        fibre_g_per_cm3: yarn.stock.fibre.density_g_per_cm3(),
        stiffness_n_per_m,
        hook_mm,
        category: category.number,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swatch_beats_every_estimate() {
        let yarn = Yarn {
            stitches_per_10cm: Some(20.0),
            rounds_per_10cm: Some(22.0),
            hook_mm: Some(9.0),
            category: Some(6),
            ..Yarn::default()
        };
        let fabric = fabric(&yarn);
        assert_eq!(fabric.w_mm.value(), 5.0);
        assert!((fabric.h_mm.value() - 100.0 / 22.0).abs() < 1e-12);
        assert_eq!(fabric.w_mm.from, Origin::Measured);
    }

    #[test]
    fn the_estimate_follows_the_fit() {
        // w = 0.2·(100/12.5) + 1.08·3.5 for category 4 on 3.5 mm.
        let yarn = Yarn { category: Some(4), hook_mm: Some(3.5), ..Yarn::default() };
        let fabric = fabric(&yarn);
        assert!((fabric.w_mm.value() - (0.2 * 8.0 + 3.78)).abs() < 1e-12);
        assert!((fabric.h_mm.value() / fabric.w_mm.value() - 0.93).abs() < 1e-12);
    }

    #[test]
    fn nonsense_on_a_label_is_as_good_as_nothing() {
        let yarn = Yarn { metres_per_100g: Some(0.0), stitches_per_10cm: Some(f64::NAN), ..Yarn::default() };
        let known = fabric(&yarn);
        assert_eq!(known.tex.from, Origin::Estimate);
        assert!(known.w_mm.value().is_finite());
    }
}
