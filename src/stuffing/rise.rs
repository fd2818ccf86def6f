//! The rise of one link, given the radii of its two ends.
//!
//! Along the axis the link's pull balances the pressure: K·2πR̄·e·d/L = p·(π/3)·q. In shares of the link's rest length
//! ℓ, with x = d/ℓ, the tilt α = |Δr|/ℓ, the length L = √(x² + α²) and the push γ = p·q/(6·K·R̄), this is
//! x·(1 − 1/L) = γ. Every link is in tension at the solution (L > 1), and there the left side grows and is convex in
//! x, so there is exactly one root with x > 0, and Newton's method comes down to it from the right.
//!
//! All links of a part are taken together, step by step: no step waits for another link's, so the processor works on
//! several at a time.

/// The rises of all links of a part in shares of their rest lengths, and what they follow from.
#[derive(Default)]
pub(super) struct Rises {
    /// α² of each link.
    tilt2: Vec<f64>,
    /// γ of each link.
    push: Vec<f64>,
    /// x of each link: a guess, then the root.
    share: Vec<f64>,
    /// x one step before.
    before: Vec<f64>,
}

/// Last of the steps of third order, as a share of the rise: its cube is 1e-15.
const CLOSE: f64 = 1e-5;
/// Stands for a slope that round-off has made 0; its square is still a number.
const LEAST_SLOPE: f64 = 1e-100;
/// Steps of third order before the plain ones take over.
const MOST_HALLEY: u32 = 8;
/// From the farthest start, a nearly flat link under a push of 1e-18, some 40 plain steps are needed.
const MOST_NEWTON: u32 = 100;

impl Rises {
    /// Solves every link. `links` gives tilt (α ≥ 0), push (γ > 0) and a guess of x that only saves time; the roots
    /// are all > 0, to round-off.
    pub(super) fn solve(&mut self, links: impl Iterator<Item = (f64, f64, f64)>) -> &[f64] {
        self.tilt2.clear();
        self.push.clear();
        self.share.clear();
        for (tilt, push, guess) in links {
            let link = Tilted { tilt2: tilt * tilt, push };
            self.tilt2.push(link.tilt2);
            self.push.push(push);
            self.share.push(link.within(guess));
        }
        self.before.resize(self.share.len(), 0.0);
        // Two steps at least: the guesses are seldom better than that.
        self.step();
        self.step();
        let links = self.tilt2.iter().zip(&self.push).zip(&self.before).zip(&mut self.share);
        for (((&tilt2, &push), before), x) in links {
            if (*x - before).abs() > CLOSE * *x {
                *x = Tilted { tilt2, push }.search(*x);
            }
        }
        &self.share
    }

    /// One step of third order for every link.
    fn step(&mut self) {
        std::mem::swap(&mut self.share, &mut self.before);
        let links = self.tilt2.iter().zip(&self.push).zip(&self.before);
        for (next, ((&tilt2, &push), &x)) in self.share.iter_mut().zip(links) {
            let link = Tilted { tilt2, push };
            *next = link.within(x - link.halley_step(x));
        }
    }
}

/// f(x) = x·(1 − 1/L) − γ of one link, with f′ = 1 − α²/L³ and f″ = 3α²x/L⁵.
#[derive(Clone, Copy)]
struct Tilted {
    tilt2: f64,
    push: f64,
}

/// The larger; unlike `f64::max` it does not look for NaN, which costs as much as the rest of a step.
#[inline]
fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

impl Tilted {
    /// x brought to where the root is: L ≥ 1, the left side is less than x, and at x = 1 + γ it is at least γ.
    #[inline]
    fn within(self, x: f64) -> f64 {
        let least = larger(1.0 - self.tilt2, self.push * self.push).sqrt();
        let most = 1.0 + self.push;
        let x = larger(x, least);
        if x < most { x } else { most }
    }

    /// f·L³, f′·L³ and L² at x.
    #[inline]
    fn at(self, x: f64) -> (f64, f64, f64) {
        let length2 = x * x + self.tilt2;
        let length = length2.sqrt();
        let excess = length2 * (x * (length - 1.0) - self.push * length);
        (excess, length * length2 - self.tilt2, length2)
    }

    /// Halley's step f·f′/(f′² − f·f″/2): Newton's with the slope half way foreseen. At most twice Newton's, and at
    /// least a quarter, or it would stay for ever where the slope is 0 (α = 1, x tiny).
    #[inline]
    fn halley_step(self, x: f64) -> f64 {
        let (excess, slope, length2) = self.at(x);
        let slope = larger(slope, LEAST_SLOPE);
        let square = slope * slope * length2;
        let foreseen = larger(square - 1.5 * self.tilt2 * x * excess, 0.5 * square);
        let slowest = 4.0 * square;
        excess * slope * length2 / if foreseen < slowest { foreseen } else { slowest }
    }

    /// Goes on from x: some more steps of third order, then Newton's, which are sure to arrive.
    #[cold]
    fn search(self, from: f64) -> f64 {
        let mut x = from;
        for _ in 0..MOST_HALLEY {
            let next = self.within(x - self.halley_step(x));
            let moved = (next - x).abs();
            x = next;
            if moved <= CLOSE * x {
                return x;
            }
        }
        for _ in 0..MOST_NEWTON {
            let (excess, slope, _) = self.at(x);
            let next = self.within(x - excess / larger(slope, LEAST_SLOPE));
            let moved = (next - x).abs();
            x = next;
            // Second order: what is left after a step this small is below round-off.
            if moved <= 1e-8 * x {
                break;
            }
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::Rises;

    /// The equation itself, at tilts below, at and above 1, and pushes of every size.
    #[test]
    fn solves_its_equation_from_any_guess() {
        let mut links = Vec::new();
        for tilt in [0.0, 0.3, 0.9, 0.999_999, 1.0, 1.000_001, 1.5, 20.0] {
            for push in [1e-12, 1e-8, 1e-4, 0.03, 0.25, 5.0] {
                links.extend([0.0, 1e-3, 0.5, 1.0, 1e3].map(|guess| (tilt, push, guess)));
            }
        }
        let mut rises = Rises::default();
        let found = rises.solve(links.iter().copied());
        assert_eq!(found.len(), links.len());
        for (&x, (tilt, push, guess)) in found.iter().zip(links) {
            let length = f64::hypot(x, tilt);
            assert!(x > 0.0 && length >= 1.0, "tilt {tilt} push {push} guess {guess}: {x}");
            let off = x * (1.0 - 1.0 / length) - push;
            assert!(off.abs() <= 4e-16 * (1.0 + x), "tilt {tilt} push {push} guess {guess}: {x} off by {off}");
        }
    }

    /// With no tilt the link is a straight tube: x·(1 − 1/x) = γ is x = 1 + γ.
    #[test]
    fn upright_link_stretches_by_its_push() {
        let mut rises = Rises::default();
        assert!((rises.solve(std::iter::once((0.0, 0.1, 1.0)))[0] - 1.1).abs() < 1e-15);
    }
}
