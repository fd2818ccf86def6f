//! The outline of a part pulled by hand at one round.

use glam::DVec2;

use super::curve::Curve;
use super::gap::Ruler;
use super::integers::integers;
use super::rules::{Ends, Rules};
use super::search::{Found, Search};
use super::trial::Trial;
use crate::part::Part;
use crate::rounds::{Finish, Start};
use crate::toy::shape::ShapeInput;

/// The pull reaches this many rounds to either side, and further by its own size.
const REACH_ROUNDS: f64 = 4.0;
/// Length that a pull reaches along the outline, for each mm that it moves it.
const REACH: f64 = 2.0;
/// Most stitches that one pull moves a round by.
const MOST_PULL: f64 = 60.0;

/// The counts of a part whose stuffed outside comes nearest to its own outline pulled at one round, which other rounds
/// follow smoothly. `round` counts from 0, the outline at its outer edge goes to `wanted_radius_mm` from the axis,
/// the fabric's thickness included. Rounds farther away keep their counts. What the part itself does against
/// the rules stays allowed.
///
/// The counts as they are where the part is not stuffed, has no shape, no such round, or the radius is no length. Takes
/// a millisecond or two: it may be asked with every move of the pointer, each time with the part as it was when the
/// pull began.
pub fn pull(part: &Part, input: &ShapeInput, round: usize, wanted_radius_mm: f64, rules: &Rules) -> Vec<u32> {
    let counts = part.counts();
    pulled(part, input, round, wanted_radius_mm, rules, &counts).unwrap_or(counts)
}

fn pulled(
    part: &Part,
    input: &ShapeInput,
    round: usize,
    wanted_radius_mm: f64,
    rules: &Rules,
    counts: &[u32],
) -> Option<Vec<u32>> {
    if round >= counts.len() || !wanted_radius_mm.is_finite() {
        return None;
    }
    let ring = matches!(part.start, Start::MagicRing);
    let ends = Ends { ring, gathered: part.finish == Finish::Gathered && part.closes(), disc: 0 };
    let rules = loosened(rules, counts, ends);
    let mut trial = Trial::new(part, input)?;
    let now = trial.outside(counts)?;
    let node = round + 1;
    let unit = input.fabric.w_mm.value() / std::f64::consts::TAU;
    let by = (wanted_radius_mm.max(0.0) - now[node].x).clamp(-MOST_PULL * unit, MOST_PULL * unit);

    let curve = Curve::new(now);
    let reach = REACH_ROUNDS * input.fabric.h_mm.value() + REACH * by.abs();
    let share = |k: usize| {
        let off = (curve.along[k] - curve.along[node]) / reach;
        (1.0 - off * off).max(0.0).powi(2)
    };
    let pole = |k: usize| curve.points[k].x <= 1e-9;
    let wanted: Vec<DVec2> = (curve.points.iter().enumerate())
        .map(|(k, p)| if pole(k) { *p } else { DVec2::new((p.x + by * share(k)).max(0.5 * unit), p.y) })
        .collect();
    let moved: Vec<usize> = (0..counts.len()).filter(|i| share(i + 1) > 0.0).collect();
    let window = *moved.first()?..moved.last()? + 1;

    // As many stitches more as the circle grows by: the fabric's stretch stays nearly the same.
    let grown = |i: usize| {
        let (p, to) = (curve.points[i + 1].x, wanted[i + 1].x);
        f64::from(counts[i]) * if p > unit { to / p } else { 1.0 }
    };
    let real: Vec<f64> =
        (0..counts.len()).map(|i| if window.contains(&i) { grown(i) } else { f64::from(counts[i]) }).collect();
    let first = keep_outside(integers(&real, &rules, ends)?, counts, &window);

    let wanted = Curve::new(wanted);
    let ruler = Ruler::new(&wanted, 2 * counts.len());
    let mut search = Search::new(trial, &ruler, &rules, ends, input.fabric.w_mm.value());
    search.window = window;
    let start = if search.square(&first).is_finite() { first } else { counts.to_vec() };
    let found = search.descend(start);
    let unmoved = Found { counts: counts.to_vec(), square: search.square(counts) };
    Some(if found.square < unmoved.square { found.counts } else { unmoved.counts })
}

/// Counts outside the window as they were.
fn keep_outside(mut found: Vec<u32>, counts: &[u32], window: &std::ops::Range<usize>) -> Vec<u32> {
    for (i, count) in counts.iter().enumerate().filter(|(i, _)| !window.contains(i)) {
        found[i] = *count;
    }
    found
}

/// Rules that allow what the part already does.
fn loosened(rules: &Rules, counts: &[u32], ends: Ends) -> Rules {
    let mut rules = *rules;
    for step in counts.windows(2) {
        rules.most_into_one = rules.most_into_one.max(step[1].div_ceil(step[0].max(1)));
        rules.most_together = rules.most_together.max(step[0].div_ceil(step[1].max(1)));
    }
    let (first, last) = (counts.first().copied().unwrap_or(1), counts.last().copied().unwrap_or(1));
    rules.fewest = rules.fewest.min(counts.iter().copied().min().unwrap_or(1)).max(1);
    if ends.ring {
        rules.ring = (rules.ring.0.min(first), rules.ring.1.max(first));
    }
    if ends.gathered {
        rules.most_gathered = rules.most_gathered.max(last);
    }
    rules
}
