//! How far two outlines are apart.

use glam::DVec2;

use super::curve::Curve;

/// How far a stuffed outline is from the wanted one: distances between the two lines, taken **both ways** (from
/// points of each, evenly spaced by arc length, to the nearest place of the other), so that neither may have what the
/// other lacks. Both are outsides of the fabric; the stuffed one is laid along the axis so that the middles of the two
/// heights meet.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineError {
    /// Largest distance, mm.
    pub max_mm: f64,
    /// Root mean square of the distances by arc length, both ways alike, mm. Counts are ranked by it.
    pub rms_mm: f64,
    /// Where the largest distance is: (radius, height) in the frame of the wanted outline, mm.
    pub worst_at_mm: DVec2,
    /// Distance of each node of the stuffed outline from the wanted one, mm; above 0 where it lies outside.
    pub node_mm: Vec<f64>,
}

/// Measures stuffed outlines against one wanted outline.
pub(super) struct Ruler {
    /// The wanted outline, evenly spaced.
    wanted: Vec<DVec2>,
    middle_z: f64,
}

/// Largest and mean square distance.
#[derive(Clone, Copy, Default)]
struct Sum {
    squares: f64,
    points: f64,
    max: f64,
    at: DVec2,
}

impl Sum {
    fn add(&mut self, distance: f64, at: DVec2) {
        self.squares += distance * distance;
        self.points += 1.0;
        if distance > self.max {
            (self.max, self.at) = (distance, at);
        }
    }

    fn mean(&self) -> f64 {
        if self.points > 0.0 { self.squares / self.points } else { 0.0 }
    }
}

fn middle_z(points: &[DVec2]) -> f64 {
    let low = points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    0.5 * (low + high)
}

/// A distance, above 0 where the stuffed outline lies outside, and the place of the stuffed outline that it is taken at.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    pub(super) distance: f64,
    pub(super) piece: usize,
    /// 0 at the start of the piece, 1 at its end.
    pub(super) share: f64,
}

/// Distance from p to the nearest of the pieces `from..to` of a line, above 0 where p lies to its left.
fn nearest(p: DVec2, line: &[DVec2], from: usize, to: usize) -> Sample {
    let (mut best, mut side, mut piece, mut share) = (f64::INFINITY, 0.0, from, 0.0);
    for i in from..to.min(line.len() - 1) {
        let (way, to) = (line[i + 1] - line[i], p - line[i]);
        let square = way.length_squared();
        let at = if square > 0.0 { (to.dot(way) / square).clamp(0.0, 1.0) } else { 0.0 };
        let off = (to - at * way).length_squared();
        if off < best {
            (best, side, piece, share) = (off, way.perp_dot(to), i, at);
        }
    }
    Sample { distance: if side >= 0.0 { best.sqrt() } else { -best.sqrt() }, piece, share }
}

impl Ruler {
    /// A ruler for the wanted outline, in this many pieces.
    pub(super) fn new(wanted: &Curve, pieces: usize) -> Self {
        Ruler { wanted: wanted.even(pieces.max(4)), middle_z: middle_z(&wanted.points) }
    }

    /// Moves a stuffed outline along the axis to where it is measured.
    pub(super) fn lay(&self, stuffed: &mut [DVec2]) {
        let by = self.middle_z - middle_z(stuffed);
        stuffed.iter_mut().for_each(|p| p.y += by);
    }

    /// Distances of the wanted points from a stuffed outline that is laid on, above 0 where it lies outside, followed
    /// by those of points of the stuffed one from the wanted. Looks only near the same share of both lengths.
    pub(super) fn distances(&self, stuffed: &Curve, out: &mut Vec<Sample>) {
        out.clear();
        let (n, m) = (stuffed.points.len() - 1, self.wanted.len() - 1);
        let length = stuffed.length().max(1e-12);
        let near = 3 + n / 16;
        let mut piece = 0;
        for (k, p) in self.wanted.iter().enumerate() {
            let along = length * k as f64 / m as f64;
            while piece + 1 < n && stuffed.along[piece + 1] < along {
                piece += 1;
            }
            out.push(nearest(*p, &stuffed.points, piece.saturating_sub(near), piece + near + 1));
        }
        let near = 6 + m / 16;
        for i in 0..n {
            for share in [0.0, 0.5] {
                let p = stuffed.points[i].lerp(stuffed.points[i + 1], share);
                let along = stuffed.along[i] + share * (stuffed.along[i + 1] - stuffed.along[i]);
                let at = (m as f64 * along / length) as usize;
                let distance = -nearest(p, &self.wanted, at.saturating_sub(near), at + near + 1).distance;
                out.push(Sample { distance, piece: i, share });
            }
        }
        let distance = -nearest(stuffed.points[n], &self.wanted, m.saturating_sub(near), m).distance;
        out.push(Sample { distance, piece: n - 1, share: 1.0 });
    }

    /// Points of the wanted outline that [`Ruler::distances`] begins with.
    pub(super) fn points(&self) -> usize {
        self.wanted.len()
    }

    /// What the square of each of so many distances weighs in their mean square, the two ways alike: those of the
    /// wanted points, those of the stuffed.
    pub(super) fn weights(&self, samples: usize) -> [f64; 2] {
        let there = self.points().min(samples);
        [there, samples - there].map(|n| 0.5 / n.max(1) as f64)
    }

    /// Mean square of distances, mm².
    pub(super) fn mean_square(&self, samples: &[Sample]) -> f64 {
        let sum = |s: &[Sample]| s.iter().map(|s| s.distance * s.distance).sum::<f64>();
        let (there, back) = samples.split_at(self.points().min(samples.len()));
        let [a, b] = self.weights(samples.len());
        a * sum(there) + b * sum(back)
    }
}

/// Points on each line, for the error that is shown.
const FINE: usize = 600;

/// How far a stuffed outline, which is laid on, is from the wanted one, every piece looked at.
pub(super) fn outline_error(wanted: &Curve, stuffed: &[DVec2]) -> OutlineError {
    let stuffed = Curve::new(stuffed.to_vec());
    let pieces = |curve: &Curve| curve.points.len() - 1;
    let one_way = |from: &Curve, to: &Curve| {
        let mut sum = Sum::default();
        for p in from.even(FINE) {
            sum.add(nearest(p, &to.points, 0, pieces(to)).distance.abs(), p);
        }
        sum
    };
    let (there, back) = (one_way(wanted, &stuffed), one_way(&stuffed, wanted));
    let worst = if there.max >= back.max { there } else { back };
    OutlineError {
        max_mm: worst.max,
        rms_mm: (0.5 * (there.mean() + back.mean())).sqrt(),
        worst_at_mm: worst.at,
        node_mm: stuffed.points.iter().map(|p| -nearest(*p, &wanted.points, 0, pieces(wanted)).distance).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn half_circle(radius: f64, pieces: usize) -> Vec<DVec2> {
        let at = |i: usize| PI * i as f64 / pieces as f64;
        (0..=pieces).map(|i| radius * DVec2::new(at(i).sin(), 1.0 - at(i).cos())).collect()
    }

    #[test]
    fn two_spheres_are_their_radii_apart() {
        let wanted = Curve::new(half_circle(20.0, 400));
        let mut stuffed = half_circle(21.0, 400);
        Ruler::new(&wanted, 100).lay(&mut stuffed);
        let error = outline_error(&wanted, &stuffed);
        assert!((error.max_mm - 1.0).abs() < 1e-3 && (error.rms_mm - 1.0).abs() < 1e-3, "{error:?}");
        assert!(error.node_mm.iter().all(|d| (d - 1.0).abs() < 1e-3));
    }

    #[test]
    fn what_only_one_of_them_has_counts() {
        // A spike that the stuffed outline lacks: from its own points nothing is far away.
        let wanted = Curve::new(vec![
            DVec2::new(10.0, 0.0),
            DVec2::new(10.0, 20.0),
            DVec2::new(18.0, 21.0),
            DVec2::new(10.0, 22.0),
            DVec2::new(10.0, 42.0),
        ]);
        let stuffed = [DVec2::new(10.0, 0.0), DVec2::new(10.0, 42.0)];
        assert!((outline_error(&wanted, &stuffed).max_mm - 8.0).abs() < 0.1);
    }
}
