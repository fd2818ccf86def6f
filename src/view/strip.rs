//! The strip chart: a bar for every round of a part, as tall as its count. Where bars are and what a drag of
//! one means, as pure functions.

/// A strip chart in a box `width` by `height` (y down, the origin at its top left corner).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// Number of rounds.
    pub rounds: usize,
    /// Count at the top of the box.
    pub most: u32,
    /// Width of the box.
    pub width: f32,
    /// Height of the box.
    pub height: f32,
}

/// Widest a bar gets; a short part leaves the rest of the box empty.
const WIDEST: f32 = 26.0;

impl Strip {
    /// The chart of these counts; the highest bar leaves room above it to be drawn taller.
    pub fn of(counts: &[u32], width: f32, height: f32) -> Strip {
        let most = counts.iter().copied().max().unwrap_or(0).max(6);
        Strip { rounds: counts.len(), most: most + most.div_ceil(5), width, height }
    }

    /// Width of a bar with its gap.
    pub fn step(&self) -> f32 {
        (self.width / self.rounds.max(1) as f32).min(WIDEST)
    }

    /// Left and right edge of a bar.
    pub fn across(&self, round: usize) -> (f32, f32) {
        let step = self.step();
        let gap = (step * 0.16).min(2.0);
        (round as f32 * step + gap / 2.0, (round + 1) as f32 * step - gap / 2.0)
    }

    /// Height of the top of a bar in the box, from its upper edge.
    pub fn top(&self, count: u32) -> f32 {
        self.height * (1.0 - count.min(self.most) as f32 / self.most as f32)
    }

    /// The round at a place across.
    pub fn round_at(&self, x: f32) -> Option<usize> {
        let round = (x / self.step()).floor();
        (x >= 0.0 && (round as usize) < self.rounds).then_some(round as usize)
    }

    /// The count that a bar dragged to this height has.
    pub fn count_at(&self, y: f32) -> u32 {
        let share = 1.0 - y / self.height.max(1.0);
        ((share * self.most as f32).round() as i64).clamp(1, i64::from(crate::document::edits::MOST_STITCHES)) as u32
    }

    /// Counts at which faint lines help the eye: multiples of a round number, five at most.
    pub fn lines(&self) -> Vec<u32> {
        let step = [6u32, 12, 24, 48, 96, 192, 384].into_iter().find(|s| self.most / s <= 5).unwrap_or(768);
        (1..=self.most / step).map(|i| i * step).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_top_of_a_bar_gives_its_count_back(counts in proptest::collection::vec(1u32..120, 1..80), height in 130.0f32..400.0) {
            let strip = Strip::of(&counts, 300.0, height);
            for count in &counts {
                prop_assert_eq!(strip.count_at(strip.top(*count)), *count);
            }
        }

        #[test]
        fn the_middle_of_a_bar_is_its_round(rounds in 1usize..90, width in 100.0f32..800.0) {
            let strip = Strip::of(&vec![6; rounds], width, 100.0);
            for round in 0..rounds {
                let (a, b) = strip.across(round);
                prop_assert_eq!(strip.round_at((a + b) / 2.0), Some(round));
            }
            prop_assert_eq!(strip.round_at(-1.0), None);
        }
    }
}
