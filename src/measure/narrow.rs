//! What to measure first: how much of each figure's give or take every assumption causes, and which one measurement
//! would take most of it away where a verdict hangs on it. The effects are those that `measure::spread` works out for
//! the ranges; nothing is worked out twice.

use serde::Serialize;

use super::figures::{HEIGHT, Layout, MASS, grams_at, load_share_at};
use super::findings::must_stand;
use super::joint::{HOLDS_FROM, NODS_FROM};
use super::made::Made;
use super::report::Report;
use super::spread::{Effects, Unknown, largest_spread};
use super::standing::StandVerdict;
use crate::figure::{Assumed, Figure, Origin};
use crate::part::WEIGHED;
use crate::toy::Toy;
use crate::toy::shape::{Cause, PRESSURE_OF_WEIGHED, PartShape};
use crate::yarn::{LABEL, SWATCH};

/// A joint that carries less of the toy's mass than this decides nothing while another carries more: arms dangle
/// without harm (from memory; a default).
const MUCH: f64 = 0.12;
/// A toy of a size that nothing prescribes is known well enough within this factor either way (from memory; a default).
const SIZE_KNOWN: f64 = 1.10;
/// A measurement that takes away less than this of a figure's variance does not decide it (from memory; a default).
const DECIDES: f64 = 0.25;
/// What each rough assumption alone does to the figures by which a maker decides.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Causes {
    /// To the height: change of its logarithm.
    pub height: Effects,
    /// To the mass: change of its logarithm.
    pub mass: Effects,
    /// To the least tip angle: degrees, the farthest it goes either way. Not a slope: an angle may jump.
    pub tip_deg: Effects,
    /// To the load share of the least joint: change of its logarithm.
    pub neck: Effects,
    /// The least joint, by its place in [`Report::necks`]: of those that carry a good part of the toy's mass.
    pub least_neck: Option<usize>,
    /// To the grams of each yarn: change of the logarithm.
    pub yarns: Vec<Effects>,
}

impl Causes {
    pub(super) fn of(
        toy: &Toy,
        layout: &Layout,
        effects: &[(Unknown, Vec<f64>)],
        tip_deg: Effects,
        report: &Report,
    ) -> Causes {
        let at = |index: usize| -> Effects {
            effects.iter().map(|(unknown, logs)| (*unknown, logs.get(index).copied().unwrap_or(0.0))).collect()
        };
        let least_neck = least_neck(report);
        Causes {
            height: at(HEIGHT),
            mass: at(MASS),
            tip_deg,
            neck: least_neck.map(|joint| at(load_share_at(toy, joint))).unwrap_or_default(),
            least_neck,
            yarns: (0..layout.yarns.len()).map(|yarn| at(grams_at(toy, layout, yarn))).collect(),
        }
    }
}

/// The joint on which most depends: the least load share of those that carry much, else of all.
pub fn least_neck(report: &Report) -> Option<usize> {
    let much = MUCH * report.toy.mass_g.value;
    let least = |heavy: bool| {
        let counted = report.necks.iter().enumerate().filter(|(_, n)| !heavy || n.carries_g >= much);
        counted.min_by(|a, b| a.1.load_share.value.total_cmp(&b.1.load_share.value)).map(|(i, _)| i)
    };
    least(true).or_else(|| least(false))
}

/// The share of a figure's variance that each assumption causes. Sums to 1, or is 0 throughout where nothing moves the
/// figure. Effects are taken as independent, as the ranges are: they add in quadrature.
pub fn shares(effects: &[(Unknown, f64)]) -> Effects {
    let sum: f64 = effects.iter().map(|(_, e)| e * e).sum();
    effects.iter().map(|(u, e)| (*u, if sum > 0.0 { e * e / sum } else { 0.0 })).collect()
}

/// A measurement that a maker can take.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measurement {
    /// A swatch: stitches and rounds in 10 cm.
    Swatch,
    /// The stuffing on the scale: how dense it is packed, and with it how hard it presses.
    Stuffing,
    /// The yarn on the scale after the first part.
    Yarn,
    /// The metres in 100 g on the label.
    Label,
}

impl Measurement {
    /// All of them.
    pub const ALL: [Measurement; 4] =
        [Measurement::Swatch, Measurement::Stuffing, Measurement::Yarn, Measurement::Label];

    /// What to do, as the beginning of a sentence.
    fn deed(self) -> &'static str {
        match self {
            Measurement::Swatch => "Crochet a swatch",
            Measurement::Stuffing => "Weigh your stuffing",
            Measurement::Yarn => "Weigh your yarn after the first part",
            Measurement::Label => "Read the metres in 100 g off the yarn's label",
        }
    }

    /// The factor to which it brings the spread of an assumption about a figure; `None` where it tells nothing of it.
    fn leaves(self, unknown: Unknown, about: Decision) -> Option<f64> {
        match (self, unknown) {
            (Measurement::Swatch, Unknown::Shape(Cause::Width | Cause::Height)) => Some(SWATCH),
            (Measurement::Stuffing, Unknown::Density) => Some(WEIGHED),
            (Measurement::Stuffing, Unknown::Shape(Cause::Pressure)) => Some(PRESSURE_OF_WEIGHED),
            (Measurement::Yarn, Unknown::YarnLength | Unknown::YarnMass) => Some(SWATCH),
            // A weighed stitch holds as much yarn however wide it is.
            (Measurement::Yarn, Unknown::Shape(Cause::Width)) if about == Decision::Yarn => Some(SWATCH),
            (Measurement::Label, Unknown::YarnMass) => Some(LABEL),
            _ => None,
        }
    }

    /// Whether it is still to be taken for a part. What was measured, or set by the maker, is not asked for again.
    fn is_open(self, shape: &PartShape) -> bool {
        let guessed = |a: Assumed| a.from == Origin::Estimate;
        let fabric = &shape.fabric;
        match self {
            Measurement::Swatch => guessed(fabric.w_mm),
            Measurement::Stuffing => shape
                .fill
                .is_some_and(|f| f.weighed_g.is_none() && guessed(f.density_g_per_l) && guessed(f.pressure_kpa)),
            Measurement::Yarn => !fabric.weighed && guessed(fabric.widths_per_stitch),
            Measurement::Label => !fabric.weighed && guessed(fabric.tex),
        }
    }

    /// The share of a figure's variance that it would take away.
    fn takes(self, made: &Made, effects: &[(Unknown, f64)], about: Decision) -> f64 {
        let taken = |(unknown, share): (Unknown, f64)| {
            let after = self.leaves(unknown, about)?.ln();
            let before = largest_spread(made, unknown, &|shape| self.is_open(shape));
            (before > after).then(|| share * (1.0 - (after / before).powi(2)))
        };
        shares(effects).into_iter().filter_map(taken).sum()
    }
}

/// What can hang on a measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// Whether the neck holds, nods or flops.
    Neck,
    /// Whether it stands, tips easily or topples.
    Standing,
    /// Its height: that of the pattern, or any.
    Size,
    /// Whether the yarn lasts, or how much to get.
    Yarn,
}

impl Decision {
    fn words(self) -> &'static str {
        match self {
            Decision::Neck => "the neck",
            Decision::Standing => "how it stands",
            Decision::Size => "the size",
            Decision::Yarn => "the yarn",
        }
    }
}

/// One measurement, with what hangs on it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasureFirst {
    /// The measurement.
    pub what: Measurement,
    /// What it decides, most pressing first.
    pub decides: Vec<Decision>,
    /// The share of the variance of the first of these figures that it takes away, 0 to 1.
    pub share: f64,
    /// The same as a sentence.
    pub message: String,
}

/// A decision that the figures leave open.
struct Open<'a> {
    decision: Decision,
    effects: &'a [(Unknown, f64)],
    /// Two verdicts lie in the range; else the range is merely wide.
    verdict: bool,
}

/// Decisions whose figure's range holds more than one verdict, or, where there is no verdict, is wide.
fn open_decisions<'a>(toy: &Toy, causes: &'a Causes, report: &Report) -> Vec<Open<'a>> {
    let mut open = Vec::new();
    let neck = causes.least_neck.and_then(|i| report.necks.get(i)).filter(|n| n.verdict != "held");
    if neck.is_some_and(|n| [NODS_FROM, HOLDS_FROM].into_iter().any(|limit| crosses(n.load_share, limit))) {
        open.push(Open { decision: Decision::Neck, effects: &causes.neck, verdict: true });
    }
    let tip = report.stand.as_ref().map(|s| s.tip_deg).filter(|_| must_stand(toy.purpose));
    if tip.is_some_and(|tip| StandVerdict::of(tip.low) != StandVerdict::of(tip.high)) {
        open.push(Open { decision: Decision::Standing, effects: &causes.tip_deg, verdict: true });
    }
    // The yarn that hangs on most is asked about: first one that may or may not last.
    let mut yarns: Vec<Open> = Vec::new();
    for (yarn, effects) in report.yarn.iter().zip(&causes.yarns) {
        let grams = yarn.stock.need.grams;
        let verdict = yarn.stock.have_g.is_some_and(|have| crosses(grams, have));
        // A range within what is taken beyond the need changes nothing that is bought.
        let wide = yarn.stock.have_g.is_none() && grams.log_spread() > yarn.stock.take.allowance.ln_1p();
        if verdict || wide {
            yarns.push(Open { decision: Decision::Yarn, effects, verdict });
        }
    }
    yarns.sort_by_key(|y| !y.verdict);
    open.extend(yarns.into_iter().next());
    if let Some(height) = report.toy.size_mm.map(|s| s.z) {
        let verdict = toy.settings.pattern_height_mm.is_some_and(|said| crosses(height, said));
        if verdict || height.half_log_range() > SIZE_KNOWN.ln() {
            open.push(Open { decision: Decision::Size, effects: &causes.height, verdict });
        }
    }
    open.sort_by_key(|o| !o.verdict);
    open
}

fn crosses(figure: Figure, limit: f64) -> bool {
    figure.low < limit && limit <= figure.high
}

/// Measurements that decide something, what decides most first: open verdicts before figures that are merely rough, then
/// by the share taken away. Each decision is with the measurement that takes most.
pub(super) fn measure_first(toy: &Toy, made: &Made, causes: &Causes, report: &Report) -> Vec<MeasureFirst> {
    let mut found: Vec<(bool, MeasureFirst)> = Vec::new();
    for open in open_decisions(toy, causes, report) {
        let taken = Measurement::ALL.map(|what| (what, what.takes(made, open.effects, open.decision)));
        let best = taken.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((what, share)) = best.filter(|(_, share)| *share >= DECIDES) else { continue };
        match found.iter_mut().find(|(_, m)| m.what == what) {
            Some((_, known)) => known.decides.push(open.decision),
            None => found.push((
                open.verdict,
                MeasureFirst { what, decides: vec![open.decision], share, message: String::new() },
            )),
        }
    }
    found.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.share.total_cmp(&a.1.share)));
    let told = found.into_iter().map(|(_, mut m)| {
        m.message = format!("{}: it decides {}.", m.what.deed(), list(&m.decides));
        m
    });
    told.collect()
}

fn list(decides: &[Decision]) -> String {
    let words: Vec<&str> = decides.iter().map(|d| d.words()).collect();
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// The one sentence for a maker on what to measure first; `None` where nothing that can be measured decides anything.
pub fn first_sentence(report: &Report) -> Option<&str> {
    report.measure_first.first().map(|m| m.message.as_str())
}
