//! From whole counts down to the nearest outline, through the full stuffed shape.
//!
//! The distances of the outline answer nearly linearly to a stitch more or less in a round. That model, from one
//! stuffed shape for each round, says which stitches to change together; the full shape then says whether it is true.
//! At the end every change of a single stitch, and of two in rounds near each other, that the model does not
//! clearly rule out is tried in full.

use std::ops::Range;

use glam::DVec2;

use super::curve::Curve;
use super::gap::{Ruler, Sample};
use super::rules::{Ends, Rules};
use super::trial::Trial;

/// Farthest a count may move at once, stitches.
const TRUST: i32 = 3;
/// Rounds of two stitches that are changed together are at most this far apart.
const NEAR: usize = 4;
/// Models made for one number of rounds at most.
const MOST_MODELS: usize = 6;
/// Changes tried in full at the end, times rounds: short parts are searched through, long ones where the model sees
/// a chance.
const MOST_TRIED: usize = 5000;
/// A change that the model says costs more than this share of the mean square is not tried.
const RULED_OUT: f64 = 0.1;
/// Friendlier counts that the full shape refused, at most.
const MOST_REFUSED: usize = 12;
/// Gains below this share of the mean square are none.
const NO_GAIN: f64 = 1e-9;

/// Searches counts of one number of rounds.
pub(super) struct Search<'a> {
    pub(super) trial: Trial,
    pub(super) ruler: &'a Ruler,
    pub(super) rules: &'a Rules,
    pub(super) ends: Ends,
    /// What the unevenness of the counts is multiplied by, mm².
    pace: f64,
    /// Rounds that may change.
    pub(super) window: Range<usize>,
    distances: Vec<Sample>,
    outside: Curve,
}

/// Counts and how far their outline is off.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) counts: Vec<u32>,
    /// Mean square of the distances, mm², the unevenness of the counts with its weight added.
    pub(super) square: f64,
}

impl Found {
    fn changed(&self, change: Change) -> Vec<u32> {
        let mut counts = self.counts.clone();
        for (i, by) in change {
            counts[i] = counts[i].saturating_add_signed(by);
        }
        counts
    }
}

/// Linear answer of the distances to a stitch more in each round.
struct Model {
    /// ½ of the second derivatives of the mean square, row by row.
    gram: Vec<f64>,
    /// Half the slope of the mean square at the place of the model.
    slope: Vec<f64>,
    rounds: usize,
}

/// A change of up to two counts.
type Change = [(usize, i32); 2];

impl<'a> Search<'a> {
    pub(super) fn new(trial: Trial, ruler: &'a Ruler, rules: &'a Rules, ends: Ends, w_mm: f64) -> Self {
        let pace = (rules.smoothness * w_mm).powi(2);
        let window = 0..usize::MAX;
        Search { trial, ruler, rules, ends, pace, window, distances: Vec::new(), outside: Curve::new(Vec::new()) }
    }

    /// Mean square of the distances with these counts, mm², and what their unevenness weighs; infinite where they have no shape.
    pub(super) fn square(&mut self, counts: &[u32]) -> f64 {
        let pace = self.pace * self.rules.unevenness(counts);
        match self.trial.outside(counts) {
            Some(outside) => self.square_of(outside) + pace,
            None => f64::INFINITY,
        }
    }

    fn square_of(&mut self, mut outside: Vec<DVec2>) -> f64 {
        self.ruler.lay(&mut outside);
        self.outside = Curve::new(outside);
        self.ruler.distances(&self.outside, &mut self.distances);
        self.ruler.mean_square(&self.distances)
    }

    /// Down by the model alone, from these counts.
    pub(super) fn descend(&mut self, from: Vec<u32>) -> Found {
        let square = self.square(&from);
        let mut best = Found { counts: from, square };
        let mut trust = TRUST;
        for _ in 0..MOST_MODELS {
            let Some(model) = self.model(&best) else { return best };
            let next = self.leap(&model, &best.counts, trust);
            if next == best.counts {
                break;
            }
            let square = self.square(&next);
            if square < best.square * (1.0 - NO_GAIN) {
                best = Found { counts: next, square };
            } else if trust > 1 {
                trust = 1;
            } else {
                break;
            }
        }
        best
    }

    /// The linear answer of the distances, from the stuffed shape's own.
    fn model(&mut self, at: &Found) -> Option<Model> {
        let rounds = at.counts.len();
        if !self.square(&at.counts).is_finite() {
            return None;
        }
        let moves = self.trial.answers()?;
        let weights = self.ruler.weights(self.distances.len()).map(f64::sqrt);
        let weight = |k: usize| weights[usize::from(k >= self.ruler.points())];
        // The way out at each sample. All are scaled so that plain sums of products are mean squares.
        let places: Vec<(usize, f64, DVec2)> = (self.distances.iter().enumerate())
            .map(|(k, s)| {
                let way = self.outside.points[s.piece + 1] - self.outside.points[s.piece];
                let out = DVec2::new(way.y, -way.x).normalize_or_zero();
                (s.piece, s.share, weight(k) * out)
            })
            .collect();
        let column = |moves: Vec<DVec2>| -> Vec<f64> {
            let ends = moves.first().zip(moves.last()).map_or(0.0, |(a, b)| a.y + b.y);
            let laid = DVec2::new(0.0, -0.5 * ends);
            places.iter().map(|(i, share, out)| out.dot(moves[*i].lerp(moves[i + 1], *share) + laid)).collect()
        };
        let columns: Vec<Vec<f64>> = moves.into_iter().map(column).collect();
        let here: Vec<f64> = self.distances.iter().enumerate().map(|(k, s)| s.distance * weight(k)).collect();
        let mut gram = vec![0.0; rounds * rounds];
        for i in 0..rounds {
            for j in 0..=i {
                let g = dot(&columns[i], &columns[j]);
                gram[i * rounds + j] = g;
                gram[j * rounds + i] = g;
            }
        }
        let mut slope: Vec<f64> = columns.iter().map(|c| dot(c, &here)).collect();
        let pace = self.pace / rounds as f64;
        for (i, c) in at.counts.windows(3).enumerate() {
            let turn = f64::from(c[2]) - 2.0 * f64::from(c[1]) + f64::from(c[0]);
            for (j, a) in [1.0, -2.0, 1.0].into_iter().enumerate() {
                slope[i + j] += pace * a * turn;
                for (k, b) in [1.0, -2.0, 1.0].into_iter().enumerate() {
                    gram[(i + j) * rounds + i + k] += pace * a * b;
                }
            }
        }
        Some(Model { gram, slope, rounds })
    }

    /// Down in the model, always the change that gains most, within `trust` stitches of where it was made.
    fn leap(&self, model: &Model, from: &[u32], trust: i32) -> Vec<u32> {
        let mut counts = from.to_vec();
        let mut moved = vec![0; counts.len()];
        let mut slope = model.slope.clone();
        for _ in 0..8 * counts.len() {
            let mut best: (f64, Option<Change>) = (-1e-12, None);
            for change in self.changes(counts.len()) {
                let far = change.iter().any(|(i, by)| *by != 0 && (moved[*i] + by).abs() > trust);
                let gain = model.gain(&slope, change);
                if !far && gain < best.0 && self.allowed(&counts, change) {
                    best = (gain, Some(change));
                }
            }
            let Some(change) = best.1 else { break };
            for (i, by) in change {
                counts[i] = counts[i].saturating_add_signed(by);
                moved[i] += by;
            }
            model.follow(&mut slope, change);
        }
        counts
    }

    /// Single stitches and pairs, tried in full until none helps.
    pub(super) fn step(&mut self, mut best: Found) -> Found {
        let most = MOST_TRIED / best.counts.len().max(1);
        let mut tried = 0;
        let Some(model) = self.model(&best) else { return best };
        let mut slope = model.slope.clone();
        'again: while tried < most {
            let mut list: Vec<(f64, Change)> = self
                .changes(best.counts.len())
                .map(|c| (model.gain(&slope, c), c))
                .filter(|(gain, c)| *gain < RULED_OUT * best.square && self.allowed(&best.counts, *c))
                .collect();
            list.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (_, change) in list.into_iter().take(most - tried) {
                let counts = best.changed(change);
                tried += 1;
                let square = self.square(&counts);
                if square < best.square * (1.0 - NO_GAIN) {
                    best = Found { counts, square };
                    model.follow(&mut slope, change);
                    continue 'again;
                }
            }
            break;
        }
        best
    }

    /// Counts that a maker likes better, as long as the outline is the same for the eye: its root mean square at most
    /// `more_mm` larger.
    pub(super) fn befriend(&mut self, mut best: Found, more_mm: f64) -> Found {
        // The outline alone, and what makers mind, from here on.
        self.pace = 0.0;
        best.square = self.square(&best.counts);
        let limit = (best.square.sqrt() + more_mm).powi(2);
        let Some(model) = self.model(&best) else { return best };
        let mut slope = model.slope.clone();
        let mut refused: Vec<Change> = Vec::new();
        loop {
            if self.rules.unfriendly(&best.counts) == 0 {
                return best;
            }
            // What it gains a maker for what it costs the outline.
            let worth = |change: &Change| -> Option<(u32, f64)> {
                let cost = model.gain(&slope, *change);
                if best.square + cost > limit {
                    return None;
                }
                let (first, last) = (change[0].0.min(change[1].0), change[0].0.max(change[1].0));
                let minds = |counts: &[u32]| self.rules.unfriendly_near(counts, first, last);
                let less = minds(&best.counts).checked_sub(minds(&best.changed(*change)))?;
                (less > 0).then_some((less, cost))
            };
            let rounds = best.counts.len();
            let open = self
                .changes(rounds)
                .chain(self.to_friendly(&best.counts))
                .filter(|c| !refused.contains(c) && self.allowed(&best.counts, *c));
            let rated = open.filter_map(|c| worth(&c).map(|w| (w, c)));
            let Some((_, change)) = rated.max_by(|(a, _), (b, _)| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1))) else {
                return best;
            };
            let counts = best.changed(change);
            let square = self.square(&counts);
            if square <= limit {
                best = Found { counts, square };
                model.follow(&mut slope, change);
            } else {
                refused.push(change);
                if refused.len() > MOST_REFUSED {
                    return best;
                }
            }
        }
    }

    /// Each round to its nearest friendly multiple, by more than the one stitch of [`Search::changes`].
    fn to_friendly(&self, counts: &[u32]) -> Vec<Change> {
        let friendly = i64::from(self.rules.friendly.max(1));
        let by = |n: u32| {
            let over = i64::from(n) % friendly;
            if 2 * over > friendly { friendly - over } else { -over }
        };
        let all = counts.iter().enumerate().map(|(i, n)| (i, by(*n))).filter(|(_, by)| by.abs() > 1);
        all.filter_map(|(i, by)| i32::try_from(by).ok().map(|by| [(i, by), (i, 0)])).collect()
    }

    /// Every change of one stitch, and of one in each of two rounds near each other, within the window.
    fn changes(&self, rounds: usize) -> impl Iterator<Item = Change> + use<> {
        let (from, to) = (self.window.start, self.window.end.min(rounds));
        (from..to).flat_map(move |i| {
            [1, -1].into_iter().flat_map(move |by| {
                let alone = std::iter::once([(i, by), (i, 0)]);
                let pairs = (i + 1..to.min(i + 1 + NEAR)).flat_map(move |j| [[(i, by), (j, 1)], [(i, by), (j, -1)]]);
                alone.chain(pairs)
            })
        })
    }

    /// Whether the rules allow a change.
    fn allowed(&self, counts: &[u32], change: Change) -> bool {
        let now = |i: usize| {
            let by: i32 = change.iter().filter(|(at, _)| *at == i).map(|(_, by)| by).sum();
            counts[i].saturating_add_signed(by)
        };
        change.iter().filter(|(_, by)| *by != 0).all(|(i, _)| {
            let (low, high) = self.rules.bounds(*i, counts.len(), self.ends);
            (low..=high).contains(&now(*i))
                && i.checked_sub(1).is_none_or(|b| self.rules.allow_at(*i, now(b), now(*i), self.ends))
                && (*i + 1 >= counts.len() || self.rules.allow_at(*i + 1, now(*i), now(*i + 1), self.ends))
        })
    }
}

/// Σ a·b, several sums at a time.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (a8, b8) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f64 = a8.remainder().iter().zip(b8.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in a8.zip(b8) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    sums.iter().sum::<f64>() + rest
}

impl Model {
    /// Takes a change into the slope.
    fn follow(&self, slope: &mut [f64], change: Change) {
        for (i, by) in change.into_iter().filter(|(_, by)| *by != 0) {
            let row = &self.gram[i * self.rounds..(i + 1) * self.rounds];
            slope.iter_mut().zip(row).for_each(|(s, g)| *s += f64::from(by) * g);
        }
    }

    /// How the mean square changes with a change, the slope being that at the place.
    fn gain(&self, slope: &[f64], change: Change) -> f64 {
        let [(i, a), (j, b)] = change;
        let (a, b) = (f64::from(a), f64::from(b));
        let g = |i: usize, j: usize| self.gram[i * self.rounds + j];
        2.0 * (a * slope[i] + b * slope[j]) + a * a * g(i, i) + b * b * g(j, j) + 2.0 * a * b * g(i, j)
    }
}
