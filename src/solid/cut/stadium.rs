//! Chords and segments of a stadium: two half discs with a rectangle between.

use std::f64::consts::PI;

use glam::DVec2;

use super::super::Ring;

/// How far a ring reaches along a unit direction across the axis (mm).
pub(super) fn reach(ring: &Ring, side: DVec2) -> f64 {
    ring.radius_mm + ring.core_half_mm * side.x.abs()
}

impl Ring {
    /// The chord at distance `s` along a unit vector `side` across the axis: its ends, measured a quarter turn (from x
    /// toward y) from `side`; both 0 where it lies outside (mm).
    pub fn chord_mm(&self, side: DVec2, s: f64) -> (f64, f64) {
        chord(self, side, s)
    }
}

/// The chord at distance `s` along `side`: its ends, measured a quarter turn from `side`.
pub(super) fn chord(ring: &Ring, side: DVec2, s: f64) -> (f64, f64) {
    let &Ring { radius_mm: r, core_half_mm: c, .. } = ring;
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut take = |a: f64, b: f64| {
        low = low.min(a);
        high = high.max(b);
    };
    for centre in [c, -c] {
        // The end disc's centre lies at (centre·side.x, −centre·side.y) in (along side, a quarter turn on).
        let off = s - centre * side.x;
        let square = (r - off) * (r + off);
        if square >= 0.0 {
            let half = square.sqrt();
            take(-centre * side.y - half, -centre * side.y + half);
        }
    }
    // The rectangle |x| ≤ c, |y| ≤ r, with x = s·side.x − t·side.y and y = s·side.y + t·side.x.
    let clip = |origin: f64, slope: f64, half: f64| {
        if slope.abs() < 1e-300 {
            return if origin.abs() <= half { (f64::NEG_INFINITY, f64::INFINITY) } else { (1.0, -1.0) };
        }
        let (a, b) = ((-half - origin) / slope, (half - origin) / slope);
        (a.min(b), a.max(b))
    };
    let by_x = clip(s * side.x, -side.y, c);
    let by_y = clip(s * side.y, side.x, r);
    let (a, b) = (by_x.0.max(by_y.0), by_x.1.min(by_y.1));
    if a <= b && a.is_finite() && b.is_finite() {
        take(a, b);
    }
    if low <= high { (low, high) } else { (0.0, 0.0) }
}

/// Area of a ring beyond the chord at distance `s` along `side` (mm²).
pub(super) fn segment(ring: &Ring, side: DVec2, s: f64) -> f64 {
    let far = reach(ring, side);
    if s >= far {
        return 0.0;
    }
    if s <= -far {
        return ring.area_mm2();
    }
    let (low, high) = chord(ring, side, s);
    let at = |t: f64| DVec2::new(s * side.x - t * side.y, s * side.y + t * side.x);
    let (a, b) = (at(low), at(high));
    // Green's theorem: along the outline from the lower end to the upper, then back along the chord.
    let whole = ring.area_mm2();
    let mut along = swept(ring, b) - swept(ring, a);
    // The sweep starts at the bottom of the right end, so it may have to be carried round. Seen from the centre
    // the outline beyond the chord sweeps less than half the ring for s ≥ 0, more for s < 0.
    if along < if s >= 0.0 { -0.25 * whole } else { 0.25 * whole } {
        along += whole;
    }
    (along + 0.5 * b.perp_dot(a)).clamp(0.0, whole)
}

/// ∫ ½(x dy − y dx) along the outline, turning left, from the lower end of the right half circle to a point.
fn swept(ring: &Ring, point: DVec2) -> f64 {
    let &Ring { radius_mm: r, core_half_mm: c, .. } = ring;
    let cap = |angle: f64| 0.5 * (r * r * angle + c * r * (1.0 - angle.cos()));
    let full = cap(PI);
    if point.x >= c {
        // Angle from the downward direction.
        return cap((point.x - c).atan2(-point.y));
    }
    if point.x <= -c {
        return full + r * c + cap((-c - point.x).atan2(point.y));
    }
    if point.y > 0.0 { full + 0.5 * r * (c - point.x) } else { 2.0 * full + r * c + 0.5 * r * (point.x + c) }
}
