//! The rise of one link, given the radii of its two ends.
//!
//! Along the axis the link's pull balances the pressure: K·2πR̄·e·d/L = p·(π/3)·q. In shares of the link's rest length
//! ℓ, with x = d/ℓ, the tilt α = |Δr|/ℓ, the length L = √(x² + α²) and the push γ = p·q/(6·K·R̄), this is
//! x·(1 − 1/L) = γ. Every link is in tension at the solution (L > 1), and there the left side grows and is convex in
//! x, so there is exactly one root with x > 0, and Newton's method comes down to it from the right.

/// Rise over rest length, > 0, of a link with this tilt (≥ 0) and push (> 0), to round-off. `guess` only saves time.
pub(super) fn rise_share(tilt: f64, push: f64, guess: f64) -> f64 {
    let tilt2 = tilt * tilt;
    // L ≥ 1, and at x = 1 + γ the left side is at least γ: the root lies between.
    let least = (1.0 - tilt2).max(0.0).sqrt();
    let most = 1.0 + push;
    let mut x = guess.clamp(least, most);
    for _ in 0..MOST_STEPS {
        let length2 = x * x + tilt2;
        let length = length2.sqrt();
        // 1 − 1/L with the subtraction done on the squares, which loses least.
        let excess = x * (length2 - 1.0) / (length * (length + 1.0)) - push;
        let slope = 1.0 - tilt2 / (length * length2);
        let next = (x - excess / slope).clamp(least, most);
        let step = (next - x).abs();
        x = next;
        // Quadratic convergence: after a step this small the error left is far below round-off.
        if step <= 1e-8 * x {
            break;
        }
    }
    x
}

/// From the farthest start, a nearly flat link under a push of 1e-18, some 40 steps are needed.
const MOST_STEPS: u32 = 100;

#[cfg(test)]
mod tests {
    use super::rise_share;

    /// The equation itself, at tilts below, at and above 1, and pushes of every size.
    #[test]
    fn solves_its_equation_from_any_guess() {
        for tilt in [0.0, 0.3, 0.9, 0.999_999, 1.0, 1.000_001, 1.5, 20.0] {
            for push in [1e-12, 1e-8, 1e-4, 0.03, 0.25, 5.0] {
                for guess in [0.0, 1e-3, 0.5, 1.0, 1e3] {
                    let x = rise_share(tilt, push, guess);
                    let length = f64::hypot(x, tilt);
                    assert!(x > 0.0 && length >= 1.0, "tilt {tilt} push {push} guess {guess}: {x}");
                    let off = x * (1.0 - 1.0 / length) - push;
                    assert!(off.abs() <= 4e-16 * (1.0 + x), "tilt {tilt} push {push} guess {guess}: {x} off by {off}");
                }
            }
        }
    }

    /// With no tilt the link is a straight tube: e·ℓ/L·x = γ is x − 1 = γ.
    #[test]
    fn upright_link_stretches_by_its_push() {
        assert!((rise_share(0.0, 0.1, 1.0) - 1.1).abs() < 1e-15);
    }
}
