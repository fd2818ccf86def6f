//! Integrals of the square root of a quadratic, stable for ellipse, parabola and hyperbola alike, and the
//! quadrature for what has no closed form.

use super::Span;

/// The curve y = √Q(t) over a stretch of t, Q a quadratic that is nowhere negative on it.
pub(super) struct Arc {
    /// y at the start.
    pub start: f64,
    /// y at the end.
    pub end: f64,
    /// The coefficient of t² in Q.
    pub curvature: f64,
    /// Length of the stretch.
    pub length: f64,
}

impl Arc {
    /// ∫ y dt and ∫ (t − middle) y dt.
    ///
    /// With m = y₀ + y₁, Δ = y₁ − y₀, x = a·h²/m² and g = artanh(√x)/√x (arctan for x < 0), which is
    /// ∫ dt/y = (2h/m)·g, the textbook antiderivatives become ∫ y dt = (h/4)·[m·(2 − x·k) + Δ²·k/m] and
    /// ∫ (t − middle)·y dt = (Δh²/12)·[3k/2 + (Δ²/m²)·n], where x·k = 1 − (1 − x)·g and x·n = 1 − 3k/2. Both
    /// k = 2/3 + 2x/15 + … and n = −1/5 − 3x/35 − … stay smooth through x = 0, where the conic changes its kind.
    pub(super) fn integrals(&self) -> (f64, f64) {
        let &Arc { start, end, curvature: a, length: h } = self;
        let m = start + end;
        let delta = end - start;
        let square = a * h * h;
        if square.abs() < 0.04 * m * m {
            let per_m = 1.0 / m;
            let x = square * per_m * per_m;
            // 1 − (1 − x)(1 + x/3 + x²/5 + …) = Σ xʲ·2/((2j − 1)(2j + 1))
            let (mut k, mut n) = (0.0, 0.0);
            for j in (0..SERIES.len()).rev() {
                k = k * x + SERIES[j];
            }
            for j in (1..SERIES.len()).rev() {
                n = n * x - 1.5 * SERIES[j];
            }
            let lean = delta * per_m;
            let ratio = lean * lean;
            let area = 0.25 * h * m * (2.0 - x * k + ratio * k);
            return (area, delta * h * h / 12.0 * (1.5 * k + ratio * n));
        }
        let root = square.abs().sqrt();
        // (1 − x)·g·m, in a form that needs no division by m, which is 0 for a whole ellipse.
        let bulk = if a < 0.0 {
            (m * m + root * root) / root * root.atan2(m)
        } else {
            let gap = (m - root).max(0.0);
            if gap == 0.0 { 0.0 } else { gap * (m + root) / root * 0.5 * ((m + root) / gap).ln() }
        };
        // Δ²·k/m = Δ²·(m − bulk)/(x·m²)
        let tilt = delta * delta * (m - bulk) / square;
        let area = 0.25 * h * (m + bulk + tilt);
        let lean = delta / (12.0 * a) * (3.0 * m * m + delta * delta - 6.0 * m * area / h);
        (area, lean)
    }
}

/// 2/((2j + 1)(2j + 3)): the series of k.
const SERIES: [f64; 7] = {
    let mut terms = [0.0; 7];
    let mut j = 0;
    while j < 7 {
        terms[j] = 2.0 / ((2 * j + 1) as f64 * (2 * j + 3) as f64);
        j += 1;
    }
    terms
};

/// Gauss–Legendre nodes and weights for 10 points, the positive half (Abramowitz & Stegun, table 25.4).
const GAUSS: [(f64, f64); 5] = [
    (0.148_874_338_981_631_2, 0.295_524_224_714_752_9),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_3),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_6),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_1),
];

/// Calls `add(t, weight)` so that Σ weight·f(t) is ∫ f dt over the span. The nodes crowd at the ends, where a
/// chord grows as a square root from nothing.
pub(super) fn quadrature(span: Span, mut add: impl FnMut(f64, f64)) {
    let length = span.to - span.from;
    for (node, weight) in GAUSS {
        for v in [0.5 - 0.5 * node, 0.5 + 0.5 * node] {
            // t = v²(3 − 2v): dt = 6v(1 − v) dv
            let t = v * v * (3.0 - 2.0 * v);
            add(span.from + length * t, 0.5 * weight * length * 6.0 * v * (1.0 - v));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Simpson's rule on a substitution that is smooth at both ends.
    fn by_hand(q: impl Fn(f64) -> f64, h: f64) -> (f64, f64) {
        let n = 4000;
        let (mut area, mut lean) = (0.0, 0.0);
        for i in 0..=n {
            let v = f64::from(i) / f64::from(n);
            let t = h * v * v * (3.0 - 2.0 * v);
            let w = if i == 0 || i == n { 1.0 } else { f64::from(2 + 2 * (i % 2)) } / (3.0 * f64::from(n));
            let y = q(t).max(0.0).sqrt() * 6.0 * v * (1.0 - v) * h * w;
            area += y;
            lean += y * (t - 0.5 * h);
        }
        (area, lean)
    }

    #[test]
    fn arcs_of_every_conic_agree_with_simpson() {
        for h in [0.3, 1.0, 2.5] {
            for a in [-3.0, -0.5, -0.05, -1e-9, 0.0, 1e-9, 0.05, 0.5, 3.0] {
                for (y0, y1) in [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (0.7, 0.7), (0.2, 1.4), (3.0, 2.0)] {
                    let b = ((y1 * y1 - y0 * y0) / h) - a * h;
                    let q = |t: f64| y0 * y0 + b * t + a * t * t;
                    if (0..=200).any(|i| q(h * f64::from(i) / 200.0) < -1e-12) || (y0 + y1 == 0.0 && a >= 0.0) {
                        continue;
                    }
                    let (area, lean) = Arc { start: y0, end: y1, curvature: a, length: h }.integrals();
                    let (want, want_lean) = by_hand(q, h);
                    assert!((area - want).abs() < 2e-7 * h.max(want), "a {a} h {h} {y0} {y1}: {area} {want}");
                    assert!(
                        (lean - want_lean).abs() < 2e-7 * h * h.max(want),
                        "a {a} h {h} {y0} {y1}: {lean} {want_lean}"
                    );
                }
            }
        }
    }

    #[test]
    fn half_disc_and_parabola() {
        let (area, lean) = Arc { start: 0.0, end: 0.0, curvature: -1.0, length: 2.0 }.integrals();
        assert!((area - std::f64::consts::FRAC_PI_2).abs() < 1e-15 && lean == 0.0);
        // √t from 0 to 1: area 2/3, first moment about the middle 2/5 − 1/3.
        let (area, lean) = Arc { start: 0.0, end: 1.0, curvature: 0.0, length: 1.0 }.integrals();
        assert!((area - 2.0 / 3.0).abs() < 1e-15 && (lean - (0.4 - 1.0 / 3.0)).abs() < 1e-15);
    }
}
