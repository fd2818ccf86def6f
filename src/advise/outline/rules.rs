//! What the craft allows between a round and the next, and what makers like to work.

use crate::part::MOST_GATHERED;

/// The rules of the craft that counts are made within.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rules {
    /// Most stitches worked into one: 2 is an increase (common practice, no source).
    pub most_into_one: u32,
    /// Most stitches worked together: 2 is a decrease (common practice, no source).
    pub most_together: u32,
    /// Fewest and most stitches in a magic ring (common practice, no source).
    pub ring: (u32, u32),
    /// Most stitches that the thread draws shut at the end.
    pub most_gathered: u32,
    /// Fewest stitches in any round (common practice, no source).
    pub fewest: u32,
    /// Most stitches in any round.
    pub most: u32,
    /// Makers like counts that are a multiple of this, and changes of it.
    pub friendly: u32,
    /// What a change of pace costs: changes from round to round that differ by one stitch weigh as much as an outline
    /// that is this far off, in stitch widths, both as root mean squares over all rounds.
    pub smoothness: f64,
    /// Outline error that friendlier counts may cost, in stitch widths: so little that it cannot be seen.
    pub friendly_costs: f64,
}

impl Default for Rules {
    fn default() -> Self {
        Rules {
            most_into_one: 2,
            most_together: 2,
            ring: (4, 8),
            most_gathered: MOST_GATHERED,
            fewest: 4,
            most: 2000,
            friendly: 6,
            smoothness: 0.02,
            friendly_costs: 0.02,
        }
    }
}

/// How the two ends of a list of counts are worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ends {
    /// The first round is a magic ring.
    pub(super) ring: bool,
    /// The last round is gathered shut.
    pub(super) gathered: bool,
    /// Rounds of the flat disc that it starts with: they grow, and the wall beyond is no wider than its edge.
    pub(super) disc: usize,
}

impl Rules {
    /// Whether a round of `to` stitches can be worked on one of `from`.
    pub fn allow_step(&self, from: u32, to: u32) -> bool {
        to <= from.saturating_mul(self.most_into_one) && from <= to.saturating_mul(self.most_together)
    }

    /// Fewest and most stitches of the round at `i` of `rounds`, by the ends alone.
    pub(super) fn bounds(&self, i: usize, rounds: usize, ends: Ends) -> (u32, u32) {
        let (mut low, mut high) = (self.fewest.max(1), self.most);
        if i == 0 && ends.ring {
            (low, high) = (low.max(self.ring.0), high.min(self.ring.1));
        }
        if i + 1 == rounds && ends.gathered {
            high = high.min(self.most_gathered);
        }
        (low, high.max(low))
    }

    /// Whether the step to the round at `i` (above 0) may lead from one count to another.
    pub(super) fn allow_at(&self, i: usize, from: u32, to: u32, ends: Ends) -> bool {
        let disc = match i.cmp(&ends.disc) {
            std::cmp::Ordering::Less => to > from,
            std::cmp::Ordering::Equal => to <= from,
            std::cmp::Ordering::Greater => true,
        };
        disc && self.allow_step(from, to)
    }

    /// Whether all of it can be worked.
    #[cfg(test)]
    pub(super) fn allow_all(&self, counts: &[u32], ends: Ends) -> bool {
        let within = |i: usize| {
            let (low, high) = self.bounds(i, counts.len(), ends);
            (low..=high).contains(&counts[i])
        };
        (0..counts.len()).all(within) && (1..counts.len()).all(|i| self.allow_at(i, counts[i - 1], counts[i], ends))
    }

    /// Mean square of the changes of pace, stitches²: of how much each change from round to round differs from the one
    /// before.
    pub(super) fn unevenness(&self, counts: &[u32]) -> f64 {
        let turn = |c: &[u32]| f64::from(c[2]) - 2.0 * f64::from(c[1]) + f64::from(c[0]);
        counts.windows(3).map(|c| turn(c).powi(2)).sum::<f64>() / counts.len().max(1) as f64
    }

    /// What a maker minds about the round at `i`: a count that is no friendly multiple, a change that is none; more, a
    /// change back of the one before, or one that differs from it by over a friendly step.
    fn minds(&self, counts: &[u32], i: usize) -> u32 {
        let friendly = self.friendly.max(1);
        let change = |i: usize| i64::from(counts[i]) - i64::from(counts[i - 1]);
        let mut minded = u32::from(!counts[i].is_multiple_of(friendly));
        if i > 0 {
            minded += u32::from(change(i) % i64::from(friendly) != 0);
        }
        if i > 1 {
            minded += 2 * u32::from(change(i) * change(i - 1) < 0);
            minded += 2 * u32::from((change(i) - change(i - 1)).abs() > i64::from(friendly));
        }
        minded
    }

    /// What a maker minds about the rounds from `first` to two beyond `last`: all that changes with the counts from
    /// `first` to `last`.
    pub(super) fn unfriendly_near(&self, counts: &[u32], first: usize, last: usize) -> u32 {
        (first..(last + 3).min(counts.len())).map(|i| self.minds(counts, i)).sum()
    }

    /// What a maker minds about all of it; 0 for a list such as 6, 12, 18, 18, 12, 6.
    pub(super) fn unfriendly(&self, counts: &[u32]) -> u32 {
        (0..counts.len()).map(|i| self.minds(counts, i)).sum()
    }
}
