//! What weighing and measuring while working tell of yarn and stuffing. Nothing measured is overwritten by an
//! estimate: a reading replaces the estimate of what is still to be made, and stays itself for what it read.

mod around;
mod weighed;

pub(crate) use weighed::part_fabric_g;
pub use weighed::{Point, points};

use super::input::{fabric_before, fill_before};
use super::weigh::{YarnIn, part_yarn};
use super::work::yarn_name;
use crate::figure::{Assumed, Figure, Origin};
use crate::part::{Amount, Fill};
use crate::toy::Toy;
use crate::yarn::Fabric;

/// A kitchen scale is good to 1 g or 2 %, whichever is more (from memory; a default).
const SCALE_G: f64 = 1.0;
const SCALE_SHARE: f64 = 0.02;

/// Give or take of a weighing, g.
pub(crate) fn scale_g(grams: f64) -> f64 {
    SCALE_G.max(SCALE_SHARE * grams.abs())
}

/// A yarn and the stuffing of what is worked in it, with all that was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// Its fabric.
    pub fabric: Fabric,
    /// Factor on the pressure of usual stuffing in parts of this yarn, where circumferences tell it.
    pub pressure: Option<Assumed>,
}

/// What is known of a yarn by name.
pub fn known(toy: &Toy, name: &str) -> Known {
    let yarn = toy.yarn(name);
    let mut known = Known { fabric: fabric_before(toy, yarn), pressure: None };
    let ball = yarn.and_then(|y| y.trials.ball.as_ref());
    if toy.records.is_empty() && ball.is_none() {
        return known;
    }
    let name = yarn.map_or(name, |y| y.name.as_str());
    around::measure(toy, name, ball, &mut known);
    weighed::weigh(toy, name, &mut known.fabric);
    known
}

/// What is known of the yarn of every part, index for index.
pub fn known_of_parts(toy: &Toy) -> Vec<Known> {
    let mut all: Vec<Known> = Vec::with_capacity(toy.pieces.len());
    for (i, piece) in toy.pieces.iter().enumerate() {
        let same = toy.pieces[..i].iter().position(|p| p.part.yarn == piece.part.yarn);
        all.push(same.map_or_else(|| known(toy, &piece.part.yarn), |j| all[j]));
    }
    all
}

/// The fabric of every part, index for index.
pub fn fabrics(toy: &Toy) -> Vec<Fabric> {
    known_of_parts(toy).iter().enumerate().map(|(i, known)| fabric_of_part(toy, i, known)).collect()
}

/// The fabric of a part: of its yarn, but with its own yarn in a stitch where the finished part was weighed.
pub fn fabric_of_part(toy: &Toy, index: usize, known: &Known) -> Fabric {
    let mut fabric = known.fabric;
    if let Some(grams) = part_fabric_g(toy, index) {
        // Every yarn in it has as much more or less as it weighs more or less than expected.
        let expected = expected_g(toy, index, &fabric, &|name| self::known(toy, name).fabric);
        let widths = fabric.widths_per_stitch.value() * grams / expected;
        if widths.is_finite() && widths > 0.0 {
            let spread = 1.0 + scale_g(grams) / grams;
            fabric.widths_per_stitch = Assumed::new(widths, spread, Origin::Measured);
            fabric.weighed = true;
        }
    }
    fabric
}

/// Yarn expected in one copy of a part, g: of its own as `own` makes it, of each other by name as `other` does, in stitches
/// as wide as the part's.
fn expected_g(toy: &Toy, index: usize, own: &Fabric, other: &dyn Fn(&str) -> Fabric) -> f64 {
    let own_name = yarn_name(toy, &toy.pieces[index].part.yarn);
    let of = |yarn: &YarnIn| {
        let fabric = if yarn.name == own_name { *own } else { other(&yarn.name) };
        yarn.stitches() * fabric.widths_per_stitch.value() * own.w_mm.value() * fabric.g_per_mm()
    };
    part_yarn(toy, index).yarns.iter().map(of).sum()
}

/// The filling of a part, with what the weight of the finished part and circumferences tell of it.
pub fn fill_of_part(toy: &Toy, index: usize, known: &Known) -> Option<Fill> {
    let mut fill = fill_before(toy, index)?;
    if fill.weighed_g.is_some() {
        return Some(fill);
    }
    let part = &toy.pieces[index].part;
    let on_scale = toy.records.parts.iter().rfind(|p| p.part == part.name && p.stuffed);
    if let Some(whole) = on_scale.filter(|p| p.grams.is_finite() && p.grams > 0.0) {
        // All that is no fabric is stuffing.
        let fabric = &known.fabric;
        let yarn_g = expected_g(toy, index, fabric, &|name| self::known(toy, name).fabric);
        let grams = whole.grams - yarn_g;
        if grams > 0.0 {
            let spread = 1.0 + scale_g(whole.grams).hypot(yarn_g * grams_log_spread(fabric)) / grams;
            let set = Some(fill.pressure_kpa.value()).filter(|_| fill.pressure_kpa.from == Origin::Measured);
            let mut weighed = Fill::of(Amount::Grams(grams), Some(fill.density_g_per_l.value()), set)?;
            weighed.density_g_per_l = Assumed::new(weighed.density_g_per_l.value(), spread, Origin::Measured);
            return Some(weighed);
        }
    }
    if let (Some(factor), Origin::Estimate) = (known.pressure, fill.pressure_kpa.from) {
        let kpa = fill.pressure_kpa.value();
        let figure =
            Figure { value: kpa * factor.figure.value, low: kpa * factor.figure.low, high: kpa * factor.figure.high };
        fill.pressure_kpa = Assumed { figure, from: Origin::Measured };
    }
    Some(fill)
}

/// Spread of the mass of a stitch's yarn, as a standard deviation of its logarithm.
pub fn grams_log_spread(fabric: &Fabric) -> f64 {
    let q = fabric.widths_per_stitch.figure.half_log_range();
    if fabric.weighed {
        return q;
    }
    q.hypot(fabric.w_mm.figure.half_log_range()).hypot(fabric.tex.figure.half_log_range())
}

/// Spread of the length of a stitch's yarn, as a standard deviation of its logarithm. Of a weighed yarn only the mass
/// is known: its length is as sure as its metres in 100 g.
pub fn metres_log_spread(fabric: &Fabric) -> f64 {
    let q = fabric.widths_per_stitch.figure.half_log_range();
    let other = if fabric.weighed { fabric.tex.figure } else { fabric.w_mm.figure };
    q.hypot(other.half_log_range())
}
