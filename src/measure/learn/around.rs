//! Circumferences into stitch width and stuffing.
//!
//! Unknown are a factor on the stitch width and one on the pressure of usual stuffing. Every circumference is held
//! against the solved, stretched shape; Gauss–Newton on logarithms, with the shape's own linear response as slopes, finds
//! the two of least weighted squares: each tape by its error, the pressure by how well it was known before, the width
//! likewise where it was measured (an estimated width has no say). One circumference thus gives the width; a second
//! one, of a part that stretches otherwise, the pressure.

use std::f64::consts::TAU;

use super::Known;
use crate::figure::{Assumed, Figure, Origin};
use crate::measure::input::{fill_before, set, shape_with};
use crate::measure::work::yarn_name;
use crate::part::{Amount, Fill, Part};
use crate::rounds::rounds_of_counts;
use crate::toy::Toy;
use crate::toy::shape::{Cause, Covered, PartShape, ShapeInput, ShapeKind, part_shape};
use crate::yarn::{Ball, Fabric};

/// A tape around something soft is good to about 1.5 % (from memory; a default).
const TAPE: f64 = 0.015;
/// Step of the logarithms at which slopes are taken.
const STEP: f64 = 1e-3;
/// Steps of Gauss–Newton; lengths go nearly as the width, so three bring it within 1e-6.
const STEPS: usize = 4;
/// Farthest the logarithm of the width may go from what was taken before: a slip of the tape, not a gauge.
const FARTHEST: f64 = 1.5;

/// What was measured, and the shape it was measured on.
enum Taped {
    /// A part of the toy.
    Part { index: usize, node: usize },
    /// A ball worked to try the yarn.
    Ball { part: Box<Part>, fill: Fill },
}

struct Tape {
    on: Taped,
    log_mm: f64,
}

/// Around the outside at a node, mm: round ends and straight sides.
fn around_mm(shape: &PartShape, node: usize) -> f64 {
    shape.outer.rings.get(node).map_or(0.0, |r| TAU * r.radius_mm + 4.0 * r.core_half_mm)
}

fn widest(shape: &PartShape) -> usize {
    let radius = |i: &usize| shape.outer.rings[*i].radius_mm;
    (0..shape.outer.rings.len()).max_by(|a, b| radius(a).total_cmp(&radius(b))).unwrap_or(0)
}

fn scaled(fabric: &Fabric, log: f64) -> Fabric {
    let factor = log.exp();
    let grow = |a: Assumed| Assumed { figure: a.figure.scaled(factor), ..a };
    Fabric { w_mm: grow(fabric.w_mm), h_mm: grow(fabric.h_mm), ..*fabric }
}

/// The same filling under a pressure that is `spreads` of its own spread away. One that is set or weighed keeps its
/// own: a set pressure has no spread, and that of a weighed filling follows from its weight.
fn pressed(fill: Option<Fill>, spreads: f64) -> Option<Fill> {
    fill.map(|f| {
        let factor = (spreads * f.pressure_kpa.figure.half_log_range()).exp();
        Fill { pressure_kpa: Assumed { figure: f.pressure_kpa.figure.scaled(factor), ..f.pressure_kpa }, ..f }
    })
}

impl Tape {
    /// The shape at a logarithm of the width and spreads of the pressure, and the node at which it is measured.
    fn shape(&self, toy: &Toy, fabric: &Fabric, logs: [f64; 2]) -> (PartShape, usize) {
        let fabric = scaled(fabric, logs[0]);
        match &self.on {
            Taped::Part { index, node } => {
                (shape_with(toy, *index, fabric, pressed(fill_before(toy, *index), logs[1])), *node)
            }
            Taped::Ball { part, fill } => {
                let input = ShapeInput {
                    fabric,
                    stiffness_n_per_m: fabric.stiffness_n_per_m.value(),
                    fill: Some(*fill),
                    covered: Covered::default(),
                    joined_core_mm: 0.0,
                };
                let shape = part_shape(part, &input);
                let node = widest(&shape);
                (shape, node)
            }
        }
    }

    /// Whether its stuffing is the toy's usual, and of unknown weight.
    fn shares_pressure(&self, shape: &PartShape) -> bool {
        let usual = |f: Fill| f.weighed_g.is_none() && f.pressure_kpa.from == Origin::Estimate;
        matches!(self.on, Taped::Part { .. }) && shape.fill.is_some_and(usual)
    }
}

fn tapes(toy: &Toy, name: &str, ball: Option<&Ball>) -> Vec<Tape> {
    let mut tapes = Vec::new();
    for record in &toy.records.around {
        let (Some(index), Some(mm)) = (toy.piece_named(&record.part), set(Some(record.circumference_mm))) else {
            continue;
        };
        let part = &toy.pieces[index].part;
        let node = record.round as usize;
        if yarn_name(toy, &part.yarn) == name && (1..=part.rounds.len()).contains(&node) {
            tapes.push(Tape { on: Taped::Part { index, node }, log_mm: mm.ln() });
        }
    }
    if let Some(ball) = ball
        && let Some(mm) = set(Some(ball.circumference_mm))
        && let Ok(rounds) = rounds_of_counts(&ball.counts)
        && !rounds.is_empty()
    {
        let amount = set(ball.stuffing_g).map_or(Amount::Medium, Amount::Grams);
        if let Some(fill) = Fill::of(amount, set(toy.settings.density_g_per_l), set(toy.settings.pressure_kpa)) {
            let part = Box::new(Part { rounds, ..Part::default() });
            tapes.push(Tape { on: Taped::Ball { part, fill }, log_mm: mm.ln() });
        }
    }
    tapes
}

/// Sets width, height and pressure of what is known of a yarn to what the tape says.
pub(super) fn measure(toy: &Toy, name: &str, ball: Option<&Ball>, known: &mut Known) {
    let tapes = tapes(toy, name, ball);
    if tapes.is_empty() {
        return;
    }
    let fabric = known.fabric;
    let width_before = match fabric.w_mm.from {
        Origin::Estimate => 0.0,
        Origin::Measured | Origin::Label => fabric.w_mm.figure.half_log_range().max(1e-6).powi(-2),
    };
    let mut logs = [0.0, 0.0];
    let mut matrix = [0.0; 3];
    let mut pressure_sd = 0.0_f64;
    for _ in 0..STEPS {
        matrix = [width_before, 0.0, 1.0];
        let mut right = [-logs[0] * width_before, -logs[1]];
        pressure_sd = 0.0;
        let mut read = false;
        for tape in &tapes {
            let (shape, node) = tape.shape(toy, &fabric, logs);
            let mm = around_mm(&shape, node);
            if shape.kind != ShapeKind::Stuffed || !shape.converged || mm.is_nan() || mm <= 0.0 {
                continue;
            }
            let slope = |cause| (around_mm(&shape.varied(&[(cause, STEP)]), node) / mm).ln() / STEP;
            let spread = shape.fill.map_or(0.0, |f| f.pressure_kpa.figure.half_log_range());
            let by_pressure = slope(Cause::Pressure);
            // The pressure is counted in its own spread, so that its weight is 1.
            let (by_pressure, error) = if tape.shares_pressure(&shape) {
                pressure_sd = pressure_sd.max(spread);
                (by_pressure * spread, TAPE)
            } else {
                (0.0, TAPE.hypot(by_pressure * spread))
            };
            let by_width = slope(Cause::Width);
            let off = tape.log_mm - mm.ln();
            let weight = error.powi(-2);
            matrix[0] += weight * by_width * by_width;
            matrix[1] += weight * by_width * by_pressure;
            matrix[2] += weight * by_pressure * by_pressure;
            right[0] += weight * by_width * off;
            right[1] += weight * by_pressure * off;
            read = true;
        }
        let determinant = matrix[0] * matrix[2] - matrix[1] * matrix[1];
        if !read || determinant.is_nan() || determinant <= 0.0 {
            return;
        }
        // `logs[1]` is in spreads of the pressure.
        let step = [
            (right[0] * matrix[2] - right[1] * matrix[1]) / determinant,
            (right[1] * matrix[0] - right[0] * matrix[1]) / determinant,
        ];
        logs[0] += step[0].clamp(-0.7, 0.7);
        logs[1] += step[1].clamp(-2.0, 2.0);
    }
    if !logs[0].is_finite() || logs[0].abs() > FARTHEST {
        return;
    }
    let determinant = matrix[0] * matrix[2] - matrix[1] * matrix[1];
    take(known, logs, [(matrix[2] / determinant).sqrt(), (matrix[0] / determinant).sqrt()], pressure_sd);
}

/// `logs` and `spread` are those of width, and of pressure in spreads of `pressure_sd`.
fn take(known: &mut Known, logs: [f64; 2], spread: [f64; 2], pressure_sd: f64) {
    let before = known.fabric;
    let fabric = &mut known.fabric;
    fabric.w_mm = Assumed::new(before.w_mm.value() * logs[0].exp(), spread[0].exp(), Origin::Measured);
    fabric.width_from_height = false;
    if before.h_mm.from == Origin::Measured && before.height_to_width.from == Origin::Estimate {
        // The height was counted: it stays, and its ratio to the width is now known.
        let ratio = before.h_mm.value() / fabric.w_mm.value();
        let sd = before.h_mm.figure.half_log_range().hypot(spread[0]);
        fabric.height_to_width = Assumed::new(ratio, sd.exp(), Origin::Measured);
    } else {
        let h = fabric.height_to_width.value() * fabric.w_mm.value();
        let sd = fabric.height_to_width.figure.half_log_range().hypot(spread[0]);
        fabric.h_mm = Assumed::new(h, sd.exp(), fabric.height_to_width.from);
    }
    // Only what the tape has told apart from the width is news of the pressure.
    if pressure_sd > 0.0 && spread[1] < 0.9 {
        let value = (logs[1] * pressure_sd).exp();
        known.pressure = Some(Assumed {
            figure: Figure::times_or_divided(value, (spread[1] * pressure_sd).exp()),
            from: Origin::Measured,
        });
    }
}
