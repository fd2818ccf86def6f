//! Whole counts near real ones, by dynamic programming under the rules of the craft.

use super::rules::{Ends, Rules};

/// Weight of the change between rounds against the counts themselves: what keeps a slope smooth.
const SMOOTH: f64 = 0.5;
/// What a count or a change that is no friendly multiple costs, in squares of a stitch.
const FRIENDLY: f64 = 0.02;
/// Counts looked at on each side of the real one, at first.
const BAND: u32 = 4;

/// Counts that the rules allow, nearest to the real ones: least Σ (n − n*)² + SMOOTH·Σ (Δn − Δn*)², friendly ones first
/// among equals. `None` where the rules allow no list of this many rounds at all.
pub(super) fn integers(real: &[f64], rules: &Rules, ends: Ends) -> Option<Vec<u32>> {
    let limits = reach(real.len(), rules, ends)?;
    let mut band = BAND;
    loop {
        if let Some(counts) = within(real, &limits, band, rules, ends) {
            return Some(counts);
        }
        if band > rules.most {
            return None;
        }
        band *= 4;
    }
}

/// Fewest and most stitches of each round that can be reached from both ends.
fn reach(rounds: usize, rules: &Rules, ends: Ends) -> Option<Vec<(u32, u32)>> {
    let mut limits: Vec<(u32, u32)> = (0..rounds).map(|i| rules.bounds(i, rounds, ends)).collect();
    let (into, together) = (rules.most_into_one.max(1), rules.most_together.max(1));
    for i in 1..rounds {
        let (low, high) = limits[i - 1];
        limits[i] = (limits[i].0.max(low.div_ceil(together)), limits[i].1.min(high.saturating_mul(into)));
    }
    for i in (1..rounds).rev() {
        let (low, high) = limits[i];
        let before = &mut limits[i - 1];
        *before = (before.0.max(low.div_ceil(into)), before.1.min(high.saturating_mul(together)));
    }
    limits.iter().all(|(low, high)| low <= high).then_some(limits)
}

fn within(real: &[f64], limits: &[(u32, u32)], band: u32, rules: &Rules, ends: Ends) -> Option<Vec<u32>> {
    let states: Vec<Vec<u32>> = real
        .iter()
        .zip(limits)
        .map(|(n, (low, high))| {
            let middle = (n.round().max(0.0) as u32).clamp(*low, *high);
            (middle.saturating_sub(band).max(*low)..=(middle + band).min(*high)).collect()
        })
        .collect();
    let odd = |n: i64| if n % i64::from(rules.friendly.max(1)) == 0 { 0.0 } else { FRIENDLY };
    let own = |i: usize, n: u32| (f64::from(n) - real[i]).powi(2) + odd(i64::from(n));
    let mut cost: Vec<f64> = states.first()?.iter().map(|n| own(0, *n)).collect();
    let mut from: Vec<Vec<usize>> = Vec::with_capacity(real.len());
    for i in 1..real.len() {
        let wanted = real[i] - real[i - 1];
        let mut next = vec![f64::INFINITY; states[i].len()];
        let mut back = vec![0; states[i].len()];
        for (k, &to) in states[i].iter().enumerate() {
            for (j, &below) in states[i - 1].iter().enumerate() {
                if !rules.allow_at(i, below, to, ends) {
                    continue;
                }
                let change = i64::from(to) - i64::from(below);
                let sum = cost[j] + SMOOTH * (change as f64 - wanted).powi(2) + odd(change);
                if sum < next[k] {
                    (next[k], back[k]) = (sum, j);
                }
            }
            next[k] += own(i, to);
        }
        cost = next;
        from.push(back);
    }
    let mut k = (0..cost.len()).min_by(|a, b| cost[*a].total_cmp(&cost[*b])).filter(|k| cost[*k].is_finite())?;
    let mut counts = vec![states[real.len() - 1][k]];
    for i in (1..real.len()).rev() {
        k = from[i - 1][k];
        counts.push(states[i - 1][k]);
    }
    counts.reverse();
    Some(counts)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CLOSED: Ends = Ends { ring: true, gathered: true, disc: 0 };

    #[test]
    fn whole_counts_that_are_allowed_stay() {
        let real = [6.0, 12.0, 18.0, 24.0, 24.0, 18.0, 12.0];
        assert_eq!(integers(&real, &Rules::default(), CLOSED), Some(vec![6, 12, 18, 24, 24, 18, 12]));
    }

    #[test]
    fn a_leap_is_spread_over_the_rounds_that_it_needs() {
        let rules = Rules::default();
        let counts = integers(&[6.0, 40.0, 40.0, 40.0, 40.0, 6.0], &rules, CLOSED).expect("six rounds");
        assert!(rules.allow_all(&counts, CLOSED), "{counts:?}");
        // A ring of 8 and two doublings are the most there is.
        assert_eq!(counts[..2], [8, 16]);
    }

    #[test]
    fn the_least_sum_of_all_lists() {
        let rules = Rules::default();
        let real = [5.2, 9.4, 16.7, 13.1];
        let cost = |n: &[u32]| {
            let odd = |n: i64| if n % 6 == 0 { 0.0 } else { FRIENDLY };
            let own = |i: usize| (f64::from(n[i]) - real[i]).powi(2) + odd(n[i].into());
            let step = |i: usize| {
                let change = f64::from(n[i]) - f64::from(n[i - 1]);
                SMOOTH * (change - real[i] + real[i - 1]).powi(2) + odd(change as i64)
            };
            (0..4).map(own).sum::<f64>() + (1..4).map(step).sum::<f64>()
        };
        let mut best: (f64, [u32; 4]) = (f64::INFINITY, [0; 4]);
        for a in 4..=8 {
            for b in 4..=16 {
                for c in 4..=32 {
                    for d in 4..=12 {
                        let list = [a, b, c, d];
                        if rules.allow_all(&list, CLOSED) && cost(&list) < best.0 {
                            best = (cost(&list), list);
                        }
                    }
                }
            }
        }
        let found = integers(&real, &rules, CLOSED).expect("four rounds");
        assert!((cost(&found) - best.0).abs() < 1e-12, "{found:?} against {:?}", best.1);
    }
}
