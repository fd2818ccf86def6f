//! Polylines by arc length.

use glam::DVec2;

/// A polyline with the length along it to each of its points.
#[derive(Clone, Debug)]
pub(super) struct Curve {
    pub(super) points: Vec<DVec2>,
    pub(super) along: Vec<f64>,
}

impl Curve {
    /// Of at least one point.
    pub(super) fn new(points: Vec<DVec2>) -> Self {
        let mut sum = 0.0;
        let along = (0..points.len())
            .map(|i| {
                if i > 0 {
                    sum += points[i].distance(points[i - 1]);
                }
                sum
            })
            .collect();
        Curve { points, along }
    }

    pub(super) fn length(&self) -> f64 {
        self.along.last().copied().unwrap_or(0.0)
    }

    /// The point at this length along it.
    pub(super) fn at(&self, along: f64) -> DVec2 {
        let i = self.along.partition_point(|s| *s < along).clamp(1, self.points.len().max(2) - 1);
        let (Some(a), Some(b)) = (self.points.get(i - 1), self.points.get(i)) else {
            return self.points.first().copied().unwrap_or(DVec2::ZERO);
        };
        let step = self.along[i] - self.along[i - 1];
        if step > 0.0 { a.lerp(*b, ((along - self.along[i - 1]) / step).clamp(0.0, 1.0)) } else { *b }
    }

    /// `pieces` + 1 points, evenly spaced along it.
    pub(super) fn even(&self, pieces: usize) -> Vec<DVec2> {
        let pieces = pieces.max(1);
        if self.points.len() < 2 {
            return vec![self.points.first().copied().unwrap_or(DVec2::ZERO); pieces + 1];
        }
        let (length, mut i) = (self.length(), 1);
        let last = self.points.len() - 1;
        (0..=pieces)
            .map(|k| {
                let along = length * k as f64 / pieces as f64;
                while i < last && self.along[i] < along {
                    i += 1;
                }
                let step = self.along[i] - self.along[i - 1];
                let share = if step > 0.0 { ((along - self.along[i - 1]) / step).clamp(0.0, 1.0) } else { 1.0 };
                self.points[i - 1].lerp(self.points[i], share)
            })
            .collect()
    }

    /// Moved to the left of its way (inward, for a half outline drawn from start to finish, where `by` > 0), in
    /// `pieces` even pieces; radii stay above 0, ends on the axis stay on it.
    pub(super) fn moved_in(&self, by: f64, pieces: usize) -> Curve {
        let points = self.even(pieces);
        let n = points.len();
        let moved = (0..n).map(|i| {
            let (a, b) = (points[i.saturating_sub(1)], points[(i + 1).min(n - 1)]);
            let way = (b - a).try_normalize().unwrap_or(DVec2::Y);
            let end = i == 0 || i == n - 1;
            if end && points[i].x == 0.0 {
                return DVec2::new(0.0, points[i].y + if i == 0 { by } else { -by });
            }
            let p = points[i] + by * DVec2::new(-way.y, way.x);
            DVec2::new(p.x.max(1e-3 * by.abs()), p.y)
        });
        Curve::new(moved.collect())
    }
}
