//! A wanted outline: half of it, from start to finish.

use glam::DVec2;

use super::curve::Curve;

/// Largest extent of an outline, mm: more than any toy, little enough that its rounds can be counted.
pub const LARGEST_MM: f64 = 5000.0;

/// Ends nearer to the axis than this share of the largest radius are meant to lie on it.
const ON_AXIS: f64 = 0.01;

/// Half the outline of a part as it is wanted: the **outside** of the fabric, its thickness included, as
/// `widest_mm` of the report is. A polyline of (radius, height) in mm from the start of the part to its finish, in the
/// part's own frame: x is the distance from the axis, y grows from start to finish. An end on the axis is closed, any
/// other is an open rim.
#[derive(Clone, Debug, PartialEq)]
pub struct HalfOutline {
    points: Vec<DVec2>,
}

/// Why a list of points is no half outline. Points are numbered from 1.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum HalfError {
    /// Too few.
    #[error(
        "the outline has {points} different points; expected at least 2. Draw it from one end of the part to the other"
    )]
    TooFew {
        /// Points given that differ.
        points: usize,
    },
    /// A coordinate that is no number or out of bounds.
    #[error("point {point} of the outline is no place within {LARGEST_MM} mm; expected numbers in mm")]
    NoPlace {
        /// The point.
        point: usize,
    },
    /// Left of the axis.
    #[error(
        "point {point} of the outline lies {by_mm:.1} mm across the axis; expected one half only. Cut it at the axis"
    )]
    Across {
        /// The point.
        point: usize,
        /// How far, mm.
        by_mm: f64,
    },
    /// It touches the axis between its ends.
    #[error(
        "the outline meets its axis at point {point}, between its ends: it is two parts. Draw each as its own outline"
    )]
    Pinched {
        /// The point.
        point: usize,
    },
    /// It starts above its finish.
    #[error(
        "the outline ends at the height it starts from; expected a start below and a finish above. A flat piece is worked as a disc, not from an outline"
    )]
    NoHeight,
}

impl HalfOutline {
    /// A half outline of these points (radius, height) in mm, checked. Points that repeat are left out, ends that
    /// nearly lie on the axis are put on it. An outline drawn downward is turned upside down, so that it begins at
    /// the same point with height 0.
    ///
    /// # Errors
    /// When a point is no place, lies across the axis, or there are too few.
    pub fn new(points: &[DVec2]) -> Result<Self, HalfError> {
        for (i, p) in points.iter().enumerate() {
            if !(p.x.abs() <= LARGEST_MM && p.y.abs() <= LARGEST_MM) {
                return Err(HalfError::NoPlace { point: i + 1 });
            }
        }
        let widest = points.iter().map(|p| p.x).fold(0.0, f64::max);
        let near = ON_AXIS * widest;
        let mut kept: Vec<DVec2> = Vec::with_capacity(points.len());
        for (i, p) in points.iter().enumerate() {
            if p.x < -near {
                return Err(HalfError::Across { point: i + 1, by_mm: -p.x });
            }
            let p = DVec2::new(p.x.max(0.0), p.y);
            if kept.last().is_none_or(|last| last.distance(p) > 1e-6 * widest) {
                kept.push(p);
            }
        }
        let last = kept.len().saturating_sub(1);
        for end in [0, last] {
            if let Some(p) = kept.get_mut(end).filter(|p| p.x <= near) {
                p.x = 0.0;
            }
        }
        if kept.len() < 2 || widest <= 0.0 {
            return Err(HalfError::TooFew { points: kept.len() });
        }
        // A line along the axis is no wall.
        while kept.len() > 2 && kept[0].x == 0.0 && kept[1].x <= 1e-9 * widest {
            kept.remove(0);
        }
        while kept.len() > 2 && kept[kept.len() - 1].x == 0.0 && kept[kept.len() - 2].x <= 1e-9 * widest {
            kept.pop();
        }
        if let Some(i) = (1..kept.len() - 1).find(|i| kept[*i].x <= 1e-9 * widest) {
            return Err(HalfError::Pinched { point: i + 1 });
        }
        let rise = kept[kept.len() - 1].y - kept[0].y;
        if rise.abs() <= 1e-3 * widest {
            return Err(HalfError::NoHeight);
        }
        let (from, sign) = (kept[0].y, rise.signum());
        for p in &mut kept {
            p.y = sign * (p.y - from);
        }
        Ok(HalfOutline { points: kept })
    }

    /// Its points, (radius, height) in mm, the first at height 0.
    pub fn points(&self) -> &[DVec2] {
        &self.points
    }

    /// The same outline worked from its other end.
    pub fn reversed(&self) -> Self {
        let top = self.points[self.points.len() - 1].y;
        HalfOutline { points: self.points.iter().rev().map(|p| DVec2::new(p.x, top - p.y)).collect() }
    }

    /// Whether it starts on the axis.
    pub fn starts_closed(&self) -> bool {
        self.points[0].x == 0.0
    }

    /// Whether it finishes on the axis.
    pub fn finishes_closed(&self) -> bool {
        self.points[self.points.len() - 1].x == 0.0
    }

    /// Greatest width, mm.
    pub fn widest_mm(&self) -> f64 {
        2.0 * self.points.iter().map(|p| p.x).fold(0.0, f64::max)
    }

    /// Extent along the axis, mm.
    pub fn height_mm(&self) -> f64 {
        let low = self.points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let high = self.points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        high - low
    }

    pub(super) fn curve(&self) -> Curve {
        Curve::new(self.points.clone())
    }

    /// Radius of the flat disc that the outline starts with (from its end where `at_finish`), mm: as far as it runs
    /// straight away from the axis, if it then turns; 0 where it starts rounded or open.
    pub fn flat_end_mm(&self, at_finish: bool) -> f64 {
        let n = self.points.len();
        let at = |i: usize| if at_finish { self.points[n - 1 - i] } else { self.points[i] };
        if at(0).x != 0.0 {
            return 0.0;
        }
        // Within 6 degrees of flat: what a hand draws flat.
        let flat = |i: usize| (at(i).y - at(0).y).abs() <= 0.105 * at(i).x && at(i).x > at(i - 1).x;
        let edge = (1..n).take_while(|i| flat(*i)).last().unwrap_or(0);
        let (Some(edge), Some(beyond)) = (edge.checked_sub(0).filter(|e| *e > 0), (edge + 1 < n).then_some(edge + 1))
        else {
            return 0.0;
        };
        // An edge, not the flattest place of a curve: over 40 degrees within a tenth of the radius.
        let out = at(edge);
        let onward = (beyond..n).map(at).find(|p| p.distance(out) >= 0.1 * out.x).unwrap_or(at(n - 1)) - out;
        let steep = onward.y.abs() > 0.84 * onward.x;
        if steep { out.x } else { 0.0 }
    }
}
