//! How far every figure may be off: one small change of each rough assumption, followed through shapes, places
//! and masses to first order, all added in quadrature. Nothing is solved again.

use std::sync::Arc;

use super::made::Made;
use crate::figure::Figure;
use crate::toy::Toy;
use crate::toy::shape::{Cause, PartShape};
use crate::yarn::Fabric;

/// A small step, as a share of an assumption's spread, from which the change is extrapolated.
const STEP: f64 = 0.05;
/// Spread of the stiffness of gathered fabric: two times either way (from memory; a default).
const GATHERS: f64 = std::f64::consts::LN_2;

/// What is known only roughly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// A cause of shapes.
    Shape(Cause),
    /// Yarn in a stitch.
    YarnLength,
    /// Mass of a length of yarn.
    YarnMass,
    /// Density of the stuffing.
    Density,
    /// Where parts are sewn on: a stitch off. Moves the balance alone, and no measurement tells it beforehand.
    Sewing,
}

impl Unknown {
    /// What it is, in a maker's words.
    pub fn words(self) -> &'static str {
        match self {
            Unknown::Shape(Cause::Width) => "stitch width",
            Unknown::Shape(Cause::Height) => "height to width",
            Unknown::Shape(Cause::Pressure) => "pressure of the stuffing",
            Unknown::Shape(Cause::Stiffness) => "stiffness of the fabric",
            Unknown::Shape(Cause::Gathers) => "stiffness of gathered fabric",
            Unknown::YarnLength => "yarn in a stitch",
            Unknown::YarnMass => "weight of a metre of yarn",
            Unknown::Density => "density of the stuffing",
            Unknown::Sewing => "parts sewn on a stitch off",
        }
    }
}

/// What one assumption does to a figure when it is moved by its whole spread: the change of the figure's natural
/// logarithm, or degrees for an angle.
pub type Effects = Vec<(Unknown, f64)>;

/// All assumptions of which figures are made, in the order in which they are moved.
pub const UNKNOWNS: [Unknown; 8] = [
    Unknown::Shape(Cause::Width),
    Unknown::Shape(Cause::Height),
    Unknown::Shape(Cause::Pressure),
    Unknown::Shape(Cause::Stiffness),
    Unknown::Shape(Cause::Gathers),
    Unknown::YarnLength,
    Unknown::YarnMass,
    Unknown::Density,
];

/// Those that move the balance: a toy scaled as a whole stands alike, and the mass of all yarn scales the mass of
/// all parts. Stuffing that was weighed does not scale with the toy: then the width counts too.
fn move_balance(made: &Made) -> Vec<Unknown> {
    let mut all =
        vec![Unknown::Shape(Cause::Height), Unknown::Shape(Cause::Pressure), Unknown::YarnMass, Unknown::Density];
    if made.shapes.iter().any(|s| s.fill.is_some_and(|f| f.weighed_g.is_some())) {
        all.push(Unknown::Shape(Cause::Width));
    }
    all
}

/// Half the logarithm of the upper end of a figure over its lower one.
fn half(f: &Figure) -> f64 {
    if f.low > 0.0 { 0.5 * (f.high / f.low).ln() } else { 0.0 }
}

/// Spread of what is not known of a yarn, as the logarithm of a factor; 0 for what is no matter of the yarn.
fn log_spread_of_yarn(unknown: Unknown, fabric: &Fabric) -> f64 {
    match unknown {
        Unknown::YarnLength => half(&fabric.widths_per_stitch.figure),
        Unknown::YarnMass => half(&fabric.tex.figure),
        Unknown::Shape(_) | Unknown::Density | Unknown::Sewing => 0.0,
    }
}

/// Spread of an unknown for one part, as the logarithm of a factor.
fn log_spread(unknown: Unknown, shape: &PartShape) -> f64 {
    match unknown {
        // What height to width does to the width is counted with that.
        Unknown::Shape(Cause::Width) if shape.fabric.width_from_height => half(&shape.fabric.h_mm.figure),
        Unknown::Shape(Cause::Width) => half(&shape.fabric.w_mm.figure),
        Unknown::Shape(Cause::Height) => half(&shape.fabric.height_to_width.figure),
        Unknown::Shape(Cause::Pressure) => shape.fill.map_or(0.0, |f| half(&f.pressure_kpa.figure)),
        Unknown::Shape(Cause::Stiffness) => half(&shape.fabric.stiffness_n_per_m.figure),
        Unknown::Shape(Cause::Gathers) => GATHERS,
        Unknown::YarnLength | Unknown::YarnMass => log_spread_of_yarn(unknown, &shape.fabric),
        Unknown::Density => shape.fill.map_or(0.0, |f| half(&f.density_g_per_l.figure)),
        Unknown::Sewing => 0.0,
    }
}

/// The largest spread of an unknown among the parts for which `counts` holds, as the logarithm of a factor.
pub(super) fn largest_spread(made: &Made, unknown: Unknown, counts: &dyn Fn(&PartShape) -> bool) -> f64 {
    made.shapes.iter().filter(|s| counts(s)).map(|s| log_spread(unknown, s)).fold(0.0, f64::max)
}

/// The toy with one assumption moved by a share of its spread, to first order.
fn varied(toy: &Toy, made: &Made, unknown: Unknown, share: f64) -> Made {
    let step = |shape: &PartShape| share * log_spread(unknown, shape);
    // All yarns are off to the same side, each by its own spread.
    let yarn_grown = |fabric: &Fabric| (share * log_spread_of_yarn(unknown, fabric)).exp();
    match unknown {
        Unknown::Shape(cause) => {
            let shapes = made.shapes.iter().map(|s| Arc::new(vary_shape(s, cause, step(s)))).collect();
            made.with_shapes(toy, shapes)
        }
        Unknown::YarnLength => made.with_masses(&|fabric| (yarn_grown(fabric), 1.0), &|_| 1.0),
        // A weighed stitch keeps its mass: of a heavier yarn it has less.
        Unknown::YarnMass => {
            let of_yarn = |fabric: &Fabric| {
                let grown = yarn_grown(fabric);
                (if fabric.weighed { grown.recip() } else { 1.0 }, grown)
            };
            made.with_masses(&of_yarn, &|_| 1.0)
        }
        Unknown::Density => made.with_masses(&|_| (1.0, 1.0), &|shape| step(shape).exp()),
        Unknown::Sewing => made.clone(),
    }
}

fn vary_shape(shape: &PartShape, cause: Cause, log_change: f64) -> PartShape {
    let wider = match cause {
        Cause::Width => log_change,
        Cause::Height if shape.fabric.width_from_height => -log_change,
        Cause::Height | Cause::Pressure | Cause::Stiffness | Cause::Gathers => 0.0,
    };
    let width = (cause != Cause::Width && wider != 0.0).then_some((Cause::Width, wider));
    let changes: Vec<(Cause, f64)> = width.into_iter().chain([(cause, log_change)]).collect();
    let mut varied = shape.varied(&changes);
    let grown = wider.exp();
    varied.fabric.w_mm.figure.value *= grown;
    if varied.fabric.weighed {
        // As much yarn in a wider stitch.
        varied.fabric.widths_per_stitch.figure.value /= grown;
    }
    varied
}

/// The toy with each of these assumptions that is not exact moved alone by `share` of its spread.
fn variations<'a>(
    toy: &'a Toy,
    made: &'a Made,
    unknowns: &'a [Unknown],
    share: f64,
) -> impl Iterator<Item = (Unknown, Made)> + use<'a> {
    let is_rough = move |unknown: Unknown| {
        let of_yarn = |fabric: &Fabric| log_spread_of_yarn(unknown, fabric) > 0.0;
        made.shapes.iter().any(|s| log_spread(unknown, s) > 0.0) || made.fabrics().any(of_yarn)
    };
    let rough = unknowns.iter().filter(move |u| is_rough(**u));
    rough.map(move |u| (*u, varied(toy, made, *u, share)))
}

/// The toy with each rough assumption that moves outlines moved alone by a small share of its spread.
#[derive(Clone, Debug)]
pub struct OutlineSpread {
    /// The share by which each is moved: a movement over this share is the give or take that it alone brings.
    pub step: f64,
    /// The toy as made.
    pub base: Made,
    /// The toy with one assumption moved, one entry for each.
    pub varied: Vec<Made>,
}

/// How outlines move with all that is known only roughly, to first order. Add what each brings in quadrature.
pub fn outline_spread(toy: &Toy, made: &Made) -> OutlineSpread {
    let shapes: Vec<Unknown> = UNKNOWNS.into_iter().filter(|u| matches!(u, Unknown::Shape(_))).collect();
    OutlineSpread {
        step: STEP,
        base: made.clone(),
        varied: variations(toy, made, &shapes, STEP).map(|v| v.1).collect(),
    }
}

/// Figures with their give or take: `of` lists the values of a toy in a fixed order. Values above 0 spread by
/// a factor; a value of 0 has none. Beside them what each assumption does to each figure.
pub(super) fn figures(
    toy: &Toy,
    made: &Made,
    of: &dyn Fn(&Made) -> Vec<f64>,
) -> (Vec<Figure>, Vec<(Unknown, Vec<f64>)>) {
    let base = of(made);
    let mut square = vec![0.0; base.len()];
    let mut effects = Vec::with_capacity(UNKNOWNS.len());
    for (unknown, moved) in variations(toy, made, &UNKNOWNS, STEP) {
        let mut logs = of(&moved);
        for (sum, (b, m)) in square.iter_mut().zip(base.iter().zip(&mut logs)) {
            *m = if *b > 0.0 && *m > 0.0 { (*m / b).ln() / STEP } else { 0.0 };
            *sum += *m * *m;
        }
        effects.push((unknown, logs));
    }
    let spread = |(value, square): (&f64, f64)| Figure::times_or_divided(*value, square.sqrt().exp());
    (base.iter().zip(square).map(spread).collect(), effects)
}

/// One figure that may jump (an angle at which something gives way), where no slope means anything: each assumption
/// that moves the balance is moved by its whole spread, up and down, and the range is that of all values met. `sewn` are
/// further values it may take, by where parts are sewn. Beside it how far from its value each assumption alone takes it.
pub(super) fn jumping_figure(
    toy: &Toy,
    made: &Made,
    value: f64,
    of: &dyn Fn(&Made) -> f64,
    sewn: &[f64],
) -> (Figure, Effects) {
    let unknowns = move_balance(made);
    let moved = [-1.0, 1.0].into_iter().flat_map(|share| variations(toy, made, &unknowns, share));
    let met = moved.map(|(unknown, made)| (unknown, of(&made))).chain(sewn.iter().map(|v| (Unknown::Sewing, *v)));
    let mut range = Figure::exact(value);
    let mut effects = Effects::new();
    for (unknown, v) in met.filter(|(_, v)| v.is_finite()) {
        range = Figure { low: range.low.min(v), high: range.high.max(v), ..range };
        let off = (v - value).abs();
        match effects.iter_mut().find(|(u, _)| *u == unknown) {
            Some((_, most)) => *most = off.max(*most),
            None => effects.push((unknown, off)),
        }
    }
    (range, effects)
}
