//! Rounds made from counts alone: increases and decreases spread evenly.

use super::{Round, Run, Stitch};

/// Why a round cannot lead from one count to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SpreadError {
    /// There is nothing to work into, or nothing would be left.
    #[error("a round needs at least one stitch below it and must leave at least one; {from} to {to} was asked")]
    Zero {
        /// Stitches below.
        from: u32,
        /// Stitches wanted.
        to: u32,
    },
    /// A stitch would have to take or leave more than 65,535.
    #[error("a round from {from} to {to} stitches would put over 65,535 stitches in one")]
    Absurd {
        /// Stitches below.
        from: u32,
        /// Stitches wanted.
        to: u32,
    },
}

/// `n` single crochets, one in each stitch.
pub fn even(n: u32) -> Round {
    Round::of([Run::new(Stitch::SC, n)])
}

/// The round that leads from `from` stitches to `to`, its increases or decreases spread as evenly as whole
/// stitches allow. `shift` (0 to 1) moves them within their gap, so that rounds one above the other can be
/// staggered and no corners form.
///
/// # Errors
/// When either count is 0, or a single stitch would have to hold over 65,535.
pub fn spread(from: u32, to: u32, shift: f64) -> Result<Round, SpreadError> {
    if from == 0 || to == 0 {
        return Err(SpreadError::Zero { from, to });
    }
    // Groups: each group takes in some stitches and leaves some; one side of every group is a single stitch.
    let groups = from.min(to);
    let many = from.max(to);
    if many.div_ceil(groups) > u32::from(u16::MAX) {
        return Err(SpreadError::Absurd { from, to });
    }
    let shift = shift.clamp(0.0, 1.0);
    // The last stitch of group g ends at floor((g + 1)·many/groups + shift·gap), a line that gains many in
    // groups steps: the even spacing of a Bresenham line.
    let (base, extra) = (many / groups, many % groups);
    let offset = (shift * f64::from(groups.saturating_sub(1))).round() as u64;
    let end = |g: u64| (g * u64::from(extra) + offset) / u64::from(groups);
    let mut runs: Vec<Run> = Vec::new();
    for g in 0..u64::from(groups) {
        let size = base + u32::from(end(g + 1) > end(g));
        let size = u16::try_from(size).map_err(|_| SpreadError::Absurd { from, to })?;
        let (uses, makes) = if to >= from { (1, size) } else { (size, 1) };
        let stitch = Stitch { uses, makes, ..Stitch::SC };
        match runs.last_mut() {
            Some(last) if last.stitch == stitch => last.times += 1,
            _ => runs.push(Run::new(stitch, 1)),
        }
    }
    Ok(Round::of(runs))
}

/// Rounds that reach these counts one after the other, the first worked into its own number of stitches (a
/// ring), increases and decreases spread evenly and staggered from round to round so that no corners form.
///
/// # Errors
/// When a count is 0, or one stitch would have to hold over 65,535.
pub fn rounds_of_counts(counts: &[u32]) -> Result<Vec<Round>, SpreadError> {
    let mut rounds = Vec::with_capacity(counts.len());
    let mut below = counts.first().copied().unwrap_or(0);
    for (i, &count) in counts.iter().enumerate() {
        rounds.push(spread(below, count, if i % 2 == 0 { 0.0 } else { 0.5 })?);
        below = count;
    }
    Ok(rounds)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn six_increases_into_twelve_are_every_other_stitch() {
        let round = spread(12, 18, 0.0).expect("12 to 18 is an ordinary round");
        let words: Vec<(u16, u32)> = round.runs.iter().map(|r| (r.stitch.makes, r.times)).collect();
        assert_eq!(
            words,
            [(1, 1), (2, 1), (1, 1), (2, 1), (1, 1), (2, 1), (1, 1), (2, 1), (1, 1), (2, 1), (1, 1), (2, 1)]
        );
    }

    proptest! {
        #[test]
        fn spread_keeps_its_counts(from in 1u32..400, to in 1u32..400, shift in 0.0f64..=1.0) {
            let round = spread(from, to, shift).expect("counts above zero");
            prop_assert_eq!(round.uses(), from);
            prop_assert_eq!(round.count(), to);
        }
    }
}
