//! Weighings into yarn per stitch.
//!
//! Every weigh-in, and every finished part on the scale, gives one value f of grams used over grams expected, tails
//! taken off both. They combine to the weighted mean of ln f, each with one over its variance: the scale's error
//! (1 g or 2 %) and that of the tails. Weigh-ins count from the first stitch, so each has an error of its own and their
//! order does not matter. A hand is not the same every day: 2 % are added to what comes out, for what is still to be
//! made. An outcome less sure than the estimate it would replace is left out.

use super::{expected_g, grams_log_spread, scale_g};
use crate::figure::{Assumed, Origin};
use crate::measure::input::fabric_before;
use crate::measure::work::{RoundUse, YarnWork, work, yarn_name};
use crate::part::Amount;
use crate::toy::Toy;
use crate::toy::records::{WeighIn, Weight};
use crate::yarn::Fabric;

/// Unevenness of a hand from part to part (from memory; a default).
const HAND: f64 = 0.02;
/// Tails cannot be more than this share of what was weighed.
const MOST_TAILS: f64 = 0.5;

/// A weigh-in at its place in the order of work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Part in hand.
    pub piece: usize,
    /// Copies of it that were finished.
    pub copies_done: u32,
    /// Rounds of the next that were done.
    pub rounds_done: usize,
    /// Used since the first stitch, g.
    pub used_g: f64,
}

/// The weigh-ins of a yarn in the order of work; those that cannot be read are left out: of a part or yarn that there
/// is not, or from a ball or stock of unknown weight. `tex` is the yarn's.
pub fn points(toy: &Toy, name: &str, tex: f64) -> Vec<Point> {
    let mut points: Vec<Point> = toy.records.weigh_ins.iter().filter_map(|w| point(toy, name, tex, w)).collect();
    points.sort_by(|a, b| {
        let at = |p: &Point| (p.piece, p.copies_done, p.rounds_done);
        at(a).cmp(&at(b)).then(a.used_g.total_cmp(&b.used_g))
    });
    points
}

fn point(toy: &Toy, name: &str, tex: f64, weigh_in: &WeighIn) -> Option<Point> {
    let piece = toy.piece_named(&weigh_in.part)?;
    let part = &toy.pieces[piece].part;
    let spoken = if weigh_in.yarn.is_empty() { &part.yarn } else { &weigh_in.yarn };
    if yarn_name(toy, spoken) != name || (!weigh_in.yarn.is_empty() && !toy.yarns.iter().any(|y| y.name == *spoken)) {
        return None;
    }
    let stock = toy.yarn(name).map(|y| y.stock).unwrap_or_default();
    let used_g = match weigh_in.weight {
        Weight::Used(grams) => grams,
        Weight::LeftOfAll(grams) => stock.at_hand_g(tex)? - grams,
        Weight::LeftOnBall { grams, ball } => f64::from(ball.max(1)) * stock.ball_mass_g(tex)? - grams,
    };
    let rounds_done = (weigh_in.round as usize).min(part.rounds.len());
    let copies_done = weigh_in.copy.max(1) - 1;
    (used_g.is_finite() && used_g > 0.0).then_some(Point { piece, copies_done, rounds_done, used_g })
}

/// What of a yarn is used up to a weigh-in, the stitches in mm of stitch width (times widths per stitch it is yarn).
pub(crate) fn used_up_to(yarn: &YarnWork, point: &Point, w_mm: &dyn Fn(usize) -> f64) -> RoundUse {
    let mut sum = RoundUse::default();
    for part in yarn.parts.iter().filter(|p| p.piece <= point.piece) {
        let done = if part.piece < point.piece { part.copies } else { point.copies_done.min(part.copies) };
        let whole = part.up_to(usize::MAX);
        let mut used = RoundUse {
            stitches: f64::from(done) * whole.stitches,
            tails_mm: whole.tails_mm.scaled(f64::from(done)),
            sewing_mm: whole.sewing_mm.scaled(f64::from(done)),
        };
        if part.piece == point.piece && done < part.copies {
            used = used.plus(part.up_to(point.rounds_done));
        }
        used.stitches *= w_mm(part.piece);
        sum = sum.plus(used);
    }
    sum
}

/// Yarn of one finished copy of a part, g, where it was on the scale and its stuffing is known; the last weighing.
pub(crate) fn part_fabric_g(toy: &Toy, index: usize) -> Option<f64> {
    let part = &toy.pieces[index].part;
    let weight = toy.records.parts.iter().rfind(|p| p.part == part.name)?;
    let stuffing = match (weight.stuffed, part.stuffing.amount) {
        (false, _) | (true, Amount::None) => 0.0,
        (true, Amount::Grams(grams)) => grams,
        (true, Amount::Light | Amount::Medium | Amount::Firm) => return None,
    };
    Some(weight.grams - stuffing).filter(|g| g.is_finite() && *g > 0.0)
}

/// Sets the yarn per stitch of a fabric to what the scale says of the yarn of this name.
pub(super) fn weigh(toy: &Toy, name: &str, fabric: &mut Fabric) {
    let records = &toy.records;
    if records.weigh_ins.is_empty() && records.parts.is_empty() {
        return;
    }
    let own = |i: usize| yarn_name(toy, &toy.pieces[i].part.yarn) == name;
    let widths: Vec<f64> = (0..toy.pieces.len())
        .map(|i| match own(i) {
            true => fabric.w_mm.value(),
            false => fabric_before(toy, toy.yarn(&toy.pieces[i].part.yarn)).w_mm.value(),
        })
        .collect();
    let w_mm = |i: usize| widths[i];
    let (mut weight, mut sum) = (0.0, 0.0);
    let mut add = |log: f64, variance: f64| {
        if log.is_finite() && variance > 0.0 {
            weight += 1.0 / variance;
            sum += log / variance;
        }
    };
    let expected_per_mm = fabric.widths_per_stitch.value() * fabric.g_per_mm();
    let yarns = work(toy, &w_mm);
    if let Some(yarn) = yarns.iter().find(|y| y.name == name) {
        for point in points(toy, name, fabric.tex.value()) {
            let used = used_up_to(yarn, &point, &w_mm);
            let tails = |mm: f64| (mm * fabric.g_per_mm()).min(MOST_TAILS * point.used_g);
            let tails_g = tails(used.tails_mm.value + used.sewing_mm.value);
            let range = tails(used.tails_mm.high + used.sewing_mm.high) - tails(used.tails_mm.low + used.sewing_mm.low);
            let net = point.used_g - tails_g;
            let error = scale_g(point.used_g).hypot(range / 2.0) / net;
            add((net / (used.stitches * expected_per_mm)).ln(), error * error);
        }
    }
    for index in (0..toy.pieces.len()).filter(|i| own(*i)) {
        if let Some(grams) = part_fabric_g(toy, index) {
            let error = scale_g(grams) / grams;
            let expected = expected_g(toy, index, fabric, &|other| fabric_before(toy, toy.yarn(other)));
            add((grams / expected).ln(), error * error);
        }
    }
    let measured = fabric.widths_per_stitch.from == Origin::Measured;
    let before = grams_log_spread(fabric);
    if measured && weight > 0.0 && before > 0.0 {
        // A weighed swatch is one more weighing, of f = 1.
        weight += before.powi(-2);
    }
    let spread = weight.sqrt().recip().hypot(HAND);
    if weight > 0.0 && (measured || spread < before) {
        let widths = fabric.widths_per_stitch.value() * (sum / weight).exp();
        fabric.widths_per_stitch = Assumed::new(widths, spread.exp(), Origin::Measured);
        fabric.weighed = true;
    }
}
