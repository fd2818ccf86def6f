//! The way to the stuffed radii where the plain search makes no headway: by links that stretch more easily.
//!
//! A wide round between narrow ones is drawn in until its links lie nearly flat, and those, stiff as their many
//! stitches make them, are slack or taut with hardly anything between: the energy is full of creases, and a search
//! feels its way from one to the next. So each link's stretch under the pull T, T/R̄, is first T/R̄ + σ·T, which rounds
//! the creases. Then the softness σ goes down to nothing in steps, each shape the start of the next, such that σ·T is
//! about equal in all links: pulls may be 1e5 times as strong beside a rim that is held far out as at the other end.

use super::energy::{Constants, Link};
use super::newton::{Ending, FAR, Search};

/// σ·T to begin with, for the pull T that a link may be expected to bear. Links too soft hold no pressure at all, so a
/// way that leads nowhere is followed by others.
const FIRST: [f64; 4] = [1e-2, 1e-1, 1e-3, 1e-5];
/// From the largest σ·T of one shape to that of the next.
const STEP: f64 = 0.1;
/// The greatest σ·T left is this share of the link's own stretch: from there it is no way to none.
const LAST: f64 = 0.1;
/// Slopes on the way, as multiples of the last limit.
const ROUGHLY: f64 = 1e4;
/// Most trials for one softness. The first may need some hundred, the others a few each; one that needs more is left
/// for the next, which goes on from wherever it is.
const MOST_TRIALS: u32 = 100;
/// Most trials for the links as they are.
const LAST_TRIALS: u32 = 500;
/// Strains this many times those of the start are of a part that the pressure blows up without end.
const BLOWN_UP: f64 = 1e3;

/// From the radii `begin` down to where every slope is below `slope_limit`, in `search`, in at most `most` trials.
/// `constants` are the same before and after.
pub(super) fn search_softened(
    begin: &[f64],
    constants: &mut Constants,
    search: &mut Search,
    slope_limit: f64,
    most: u32,
) -> Ending {
    let own = constants.links.clone();
    let expected: Vec<f64> =
        own.iter().zip(begin.windows(2)).map(|(l, ends)| expected_pull(l, ends, constants)).collect();
    let mut ending = Ending { trials: 0, converged: false };
    for first in FIRST {
        constants.links.copy_from_slice(&own);
        search.radius.copy_from_slice(begin);
        search.now.take(constants, begin);
        let blown_up = BLOWN_UP * search.now.largest_strain.max(1.0);
        let mut softness: Vec<f64> = expected.iter().map(|pull| first / pull).collect();
        while ending.trials < most {
            let last = own.iter().zip(&softness).all(|(own, soft)| soft * own.mean_radius < LAST);
            for ((link, own), soft) in constants.links.iter_mut().zip(&own).zip(&softness) {
                *link = if last { *own } else { own.as_stiff_as(1.0 / (1.0 / own.mean_radius + soft)) };
            }
            let (limit, trials) = if last { (slope_limit, LAST_TRIALS) } else { (ROUGHLY * slope_limit, MOST_TRIALS) };
            let stage = search.run(constants, limit, FAR, trials.min(most - ending.trials));
            ending = Ending { trials: ending.trials + stage.trials, converged: last && stage.converged };
            let bounded = search.now.largest_strain < blown_up;
            if last || !bounded {
                break;
            }
            let links = constants.links.iter().zip(search.radius.windows(2)).zip(&search.now.rise);
            let pulls = links.map(|((link, ends), rise)| link.mean_radius * link.terms(ends[0], ends[1], *rise).along);
            let pulls: Vec<f64> = pulls.collect();
            let largest = softness.iter().zip(&pulls).map(|(soft, pull)| soft * pull).fold(0.0, f64::max);
            for (soft, pull) in softness.iter_mut().zip(&pulls) {
                *soft = soft.min(STEP * largest / pull);
            }
        }
        if ending.converged || ending.trials >= most {
            break;
        }
    }
    constants.links.copy_from_slice(&own);
    ending
}

/// The pull that a link may be expected to bear at these radii, in units of 2πK: that of the pressure along the axis,
/// and that of a gathered round.
fn expected_pull(link: &Link, ends: &[f64], constants: &Constants) -> f64 {
    let (r0, r1) = (ends[0], ends[1]);
    3.0 * link.push * (r0 * r0 + r0 * r1 + r1 * r1) + constants.compression_share * link.length
}
