//! How a shape moves with what is known only roughly, to first order: nothing is solved again.

use super::{PartShape, ShapeKind, Solution, plain_heights};
use crate::part::pressure_exponent;
use crate::solid::Solid;
use crate::stuffing::Change;

/// What the shape of a part depends on and is known only roughly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// Stitch width, at the same height to width.
    Width,
    /// Height to width.
    Height,
    /// Pressure of the stuffing; of a weighed one, that at the same density.
    Pressure,
    /// Stiffness of the fabric.
    Stiffness,
    /// Stiffness of gathered fabric.
    Gathers,
}

/// Step of the load's logarithm at which the slope of the room is taken.
const STEP: f64 = 1e-3;

/// How the logarithm of the load p·R/K moves with those of its causes, the pressure staying as it is.
fn on_load(changes: &[(Cause, f64)]) -> f64 {
    let by = |(cause, log_change): &(Cause, f64)| match cause {
        Cause::Width | Cause::Pressure => *log_change,
        Cause::Stiffness => -log_change,
        Cause::Height | Cause::Gathers => 0.0,
    };
    changes.iter().map(by).sum()
}

/// The logarithm by which one cause is moved.
fn of(changes: &[(Cause, f64)], cause: Cause) -> f64 {
    changes.iter().filter(|(c, _)| *c == cause).map(|(_, log_change)| log_change).sum()
}

impl PartShape {
    /// The same part with some of its causes times e^`log_change` each, to first order: no new solve. The pressure of its
    /// filling follows where it is not set: that of a weighed one falls as its room grows, that of one at the most that the
    /// fabric holds stays at it.
    pub fn varied(&self, changes: &[(Cause, f64)]) -> PartShape {
        let log_load = self.log_load(changes);
        let mut varied = self.moved(changes, log_load);
        if let Some(fill) = &mut varied.fill {
            let log_pressure = of(changes, Cause::Pressure) + log_load - on_load(changes);
            fill.pressure_kpa.figure = fill.pressure_kpa.figure.scaled(log_pressure.exp());
        }
        varied
    }

    /// How the logarithm of the load p·R/K moves. With n the slope of the pressure's logarithm over the density's and
    /// ln V = v + s·ln(load) for the room, v what the causes do to it at the same load, a weighed filling has
    /// ln(load) = (what the causes do to it) − n·(v + s·ln(load)).
    fn log_load(&self, changes: &[(Cause, f64)]) -> f64 {
        let direct = on_load(changes);
        let Some(solution) = self.stuffed.as_deref().filter(|s| s.solved.converged) else { return direct };
        if solution.load_stays {
            return 0.0;
        }
        let Some(fill) = self.fill.filter(|f| f.weighed_by().is_some()) else { return direct };
        let exponent = pressure_exponent(fill.density_g_per_l.value());
        let room = self.filled_volume_mm3();
        let log_room = |moved: PartShape| (moved.filled_volume_mm3() / room).ln();
        let by_load = *solution.room_by_load.get_or_init(|| log_room(self.moved(&[], STEP)) / STEP);
        let log_load = (direct - exponent * log_room(self.moved(changes, 0.0))) / (1.0 + exponent * by_load);
        if log_load.is_finite() { log_load } else { 0.0 }
    }

    /// The same part with its causes moved and, whatever they do to it, with its load times e^`log_load`.
    fn moved(&self, changes: &[(Cause, f64)], log_load: f64) -> PartShape {
        // What follows from the nodes is worked out anew; stretches are asked of the toy itself only.
        let mut moved = PartShape {
            kind: self.kind,
            fabric: self.fabric,
            rest: self.rest.clone(),
            nodes: Vec::new(),
            outer: Solid::default(),
            inner: Solid::default(),
            before_stuffing_z_mm: Vec::new(),
            stretch_around: Vec::new(),
            stretch_along: Vec::new(),
            fill: self.fill,
            filled_links: self.filled_links,
            flat: self.flat,
            overstuffed: self.overstuffed,
            converged: self.converged,
            stuffed: None,
            made_from: None,
        };
        let length = of(changes, Cause::Width).exp();
        let height = of(changes, Cause::Height).exp();
        let rest = &mut moved.rest;
        for x in rest.radius_mm.iter_mut().chain(&mut rest.core_half_mm).chain(&mut rest.link_mm) {
            *x *= length;
        }
        rest.link_mm.iter_mut().for_each(|x| *x *= height);
        match self.stuffed.as_deref() {
            Some(solution @ Solution { solved, from, .. }) if solved.converged => {
                let (mut radius, mut rise) = (solved.radius_mm.clone(), solved.rise_mm.clone());
                let steps = [
                    (Change::Load, log_load),
                    (Change::Links, of(changes, Cause::Height)),
                    (Change::CompressionShare, of(changes, Cause::Gathers)),
                ];
                for (change, step) in steps.into_iter().filter(|(_, step)| *step != 0.0) {
                    let answer = solution.answer(change);
                    radius.iter_mut().zip(&answer.d_radius).for_each(|(r, d)| *r += step * d);
                    rise.iter_mut().zip(&answer.d_rise).for_each(|(r, d)| *r += step * d);
                }
                radius.iter_mut().for_each(|r| *r = length * r.max(0.0));
                let mut z = Vec::with_capacity(radius.len());
                z.push(0.0);
                for (i, rise) in rise.iter().enumerate() {
                    z.push(z[i] + length * rise.max(0.0));
                }
                moved.set_middle(*from, &radius, &z);
            }
            _ => match self.kind {
                ShapeKind::Stuffed | ShapeKind::Open => {
                    moved.before_stuffing_z_mm = plain_heights(&moved.rest, 1.0);
                    moved.as_fabric_stands();
                }
                ShapeKind::FoldedFlat => moved.fold(),
                ShapeKind::Disc => moved.lie_flat(),
            },
        }
        moved.skin();
        moved
    }
}
