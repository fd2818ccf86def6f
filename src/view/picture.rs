//! One plain picture for every paper: filled outlines, lines and words in mm, which the window paints and the
//! exports write. x runs to the right, y up. No window toolkit and no file format is known here.

use glam::DVec2;

use super::ink::Ink;

/// Where a text is fastened to its point, across.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Across {
    /// The point is at the left end of the text.
    Left,
    /// At its middle.
    #[default]
    Middle,
    /// At its right end.
    Right,
}

impl Across {
    /// Share of the text's length that lies to the left of its point.
    pub fn share(self) -> f64 {
        match self {
            Across::Left => 0.0,
            Across::Middle => 0.5,
            Across::Right => 1.0,
        }
    }
}

/// Where a text is fastened to its point, up and down.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Upright {
    /// The point is at the top of the text.
    Top,
    /// At its middle.
    #[default]
    Middle,
    /// At its bottom.
    Bottom,
}

/// One thing in a picture. Widths of lines and sizes of texts are in points, 1/72 inch on paper and a logical
/// pixel on screen: they do not grow when the picture is looked at closely.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A filled convex outline.
    Fill {
        /// Its corners in order, mm.
        points: Vec<DVec2>,
        /// Its colour.
        ink: Ink,
    },
    /// What a pen of this width drawn around a convex outline would cover outside and inside of it: laid under
    /// fills that overlap, halos leave one outline around them all.
    Halo {
        /// Its corners in order, mm.
        points: Vec<DVec2>,
        /// Its colour.
        ink: Ink,
        /// How far it stands out, in points.
        width_pt: f64,
    },
    /// A line.
    Line {
        /// Its corners in order, mm.
        points: Vec<DVec2>,
        /// It runs back to its first corner.
        closed: bool,
        /// Its colour.
        ink: Ink,
        /// Its width in points.
        width_pt: f64,
        /// Length of a dash and of the gap after it in points; none for a whole line.
        dash_pt: Option<(f64, f64)>,
    },
    /// A word or number, upright.
    Text {
        /// The point it is fastened to, mm.
        at: DVec2,
        /// The text.
        text: String,
        /// Its colour.
        ink: Ink,
        /// Height of its letters in points.
        size_pt: f64,
        /// Where it is fastened, across.
        across: Across,
        /// Where it is fastened, up and down.
        upright: Upright,
    },
    /// A mark of a size that does not grow: a filled circle.
    Dot {
        /// Its middle, mm.
        at: DVec2,
        /// Its radius in points.
        radius_pt: f64,
        /// Its colour.
        ink: Ink,
    },
    /// The plumb line's weight, its tip at the point: a mark of a size that does not grow.
    Bob {
        /// Its tip, mm.
        tip: DVec2,
        /// Its height in points.
        height_pt: f64,
        /// Its colour.
        ink: Ink,
    },
}

/// An upright rectangle, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Lower left corner.
    pub low: DVec2,
    /// Upper right corner.
    pub high: DVec2,
}

impl Extent {
    /// Holds nothing yet.
    pub const NOTHING: Extent = Extent { low: DVec2::INFINITY, high: DVec2::NEG_INFINITY };

    /// The smallest one that holds these points.
    pub fn of<'a>(points: impl IntoIterator<Item = &'a DVec2>) -> Extent {
        points.into_iter().fold(Extent::NOTHING, |e, p| e.with(*p))
    }

    /// The smallest one that also holds this point.
    #[must_use]
    pub fn with(self, point: DVec2) -> Extent {
        Extent { low: self.low.min(point), high: self.high.max(point) }
    }

    /// The smallest one that holds both.
    #[must_use]
    pub fn joined(self, other: Extent) -> Extent {
        Extent { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// Larger by this much on every side.
    #[must_use]
    pub fn grown(self, by_mm: f64) -> Extent {
        Extent { low: self.low - by_mm, high: self.high + by_mm }
    }

    /// Whether it holds nothing.
    pub fn is_empty(&self) -> bool {
        !(self.low.x <= self.high.x && self.low.y <= self.high.y)
    }

    /// Width and height.
    pub fn size(&self) -> DVec2 {
        if self.is_empty() { DVec2::ZERO } else { self.high - self.low }
    }

    /// Its middle.
    pub fn centre(&self) -> DVec2 {
        if self.is_empty() { DVec2::ZERO } else { (self.low + self.high) / 2.0 }
    }
}

/// A picture: items, the first at the back, and the room they need.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// The items from back to front.
    pub items: Vec<Item>,
    /// What a frame around it has to hold, mm (lines and texts of fixed size may stand out by a few points).
    pub extent: Extent,
    /// The picture in words, for those who do not see it.
    pub words: String,
}

impl Default for Picture {
    fn default() -> Self {
        Picture { items: Vec::new(), extent: Extent::NOTHING, words: String::new() }
    }
}

impl Picture {
    /// Adds a filled convex outline and makes room for it.
    pub fn fill(&mut self, points: Vec<DVec2>, ink: Ink) {
        self.extent = self.extent.joined(Extent::of(&points));
        self.items.push(Item::Fill { points, ink });
    }

    /// Adds a halo around a convex outline and makes room for the outline.
    pub fn halo(&mut self, points: Vec<DVec2>, ink: Ink, width_pt: f64) {
        self.extent = self.extent.joined(Extent::of(&points));
        self.items.push(Item::Halo { points, ink, width_pt });
    }

    /// Adds an open line and makes room for it.
    pub fn line(&mut self, points: Vec<DVec2>, ink: Ink, width_pt: f64) {
        self.extent = self.extent.joined(Extent::of(&points));
        self.items.push(Item::Line { points, closed: false, ink, width_pt, dash_pt: None });
    }

    /// Adds a closed line and makes room for it.
    pub fn outline(&mut self, points: Vec<DVec2>, ink: Ink, width_pt: f64) {
        self.extent = self.extent.joined(Extent::of(&points));
        self.items.push(Item::Line { points, closed: true, ink, width_pt, dash_pt: None });
    }

    /// Adds an open dashed line and makes room for it.
    pub fn dashed(&mut self, points: Vec<DVec2>, ink: Ink, width_pt: f64, dash_pt: (f64, f64)) {
        self.extent = self.extent.joined(Extent::of(&points));
        self.items.push(Item::Line { points, closed: false, ink, width_pt, dash_pt: Some(dash_pt) });
    }

    /// Adds a text; it is for the caller to see that there is room.
    pub fn text(&mut self, at: DVec2, text: impl Into<String>, ink: Ink, size_pt: f64, fastened: (Across, Upright)) {
        let (across, upright) = fastened;
        self.items.push(Item::Text { at, text: text.into(), ink, size_pt, across, upright });
    }
}

/// Corners of a circle (or an ellipse, with unlike half axes), enough of them to look round.
pub fn ellipse(centre: DVec2, half: DVec2, corners: usize) -> Vec<DVec2> {
    (0..corners.max(3))
        .map(|i| centre + half * DVec2::from_angle(std::f64::consts::TAU * i as f64 / corners.max(3) as f64))
        .collect()
}

/// The convex outline of points, against the clock (A. M. Andrew's monotone chain, Information Processing
/// Letters 9, 1979). Fewer than three points that differ come back as they are.
pub fn convex_outline(points: &[DVec2]) -> Vec<DVec2> {
    let mut sorted: Vec<DVec2> = points.iter().copied().filter(|p| p.is_finite()).collect();
    sorted.sort_unstable_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup_by(|a, b| a.distance_squared(*b) < 1e-12);
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |points: &mut dyn Iterator<Item = DVec2>| {
        let mut chain: Vec<DVec2> = Vec::with_capacity(sorted.len());
        for p in points {
            while let [.., a, b] = chain[..] {
                if (b - a).perp_dot(p - b) > 1e-12 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut outline = half(&mut sorted.iter().copied());
    outline.extend(half(&mut sorted.iter().rev().copied()));
    outline
}

/// Sharper corners than this tangent of half their turn are cut when an outline is moved outward.
const SHARP: f64 = 0.6;

/// A convex outline (against the clock) moved outward by a distance, corners cut where they are sharp. A line of
/// two points becomes a strip.
pub fn grown(outline: &[DVec2], by: f64) -> Vec<DVec2> {
    let n = outline.len();
    let edge = |i: usize| (outline[(i + 1) % n] - outline[i % n]).normalize_or_zero();
    let mut points = Vec::with_capacity(n + 4);
    for (i, corner) in outline.iter().enumerate() {
        let (before, after) = (edge(i + n - 1), edge(i));
        let turn = before.perp_dot(after) / (1.0 + before.dot(after)).max(1e-12);
        let away = |along: DVec2| -along.perp() * by;
        if (0.0..=SHARP).contains(&turn) {
            points.push(*corner + away(before) + before * (turn * by));
        } else {
            points.push(*corner + away(before) + before * (0.4 * by));
            points.push(*corner + away(after) - after * (0.4 * by));
        }
    }
    points
}

/// Whether a convex outline (against the clock) holds a point.
pub fn holds(outline: &[DVec2], point: DVec2) -> bool {
    outline.len() >= 3
        && outline.iter().zip(outline.iter().cycle().skip(1)).all(|(a, b)| (*b - *a).perp_dot(point - *a) >= -1e-9)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_outline_holds_all_its_points(points in proptest::collection::vec((-50.0f64..50.0, -50.0f64..50.0), 3..40)) {
            let points: Vec<DVec2> = points.into_iter().map(DVec2::from).collect();
            let outline = convex_outline(&points);
            prop_assume!(outline.len() >= 3);
            for p in &points {
                // A point near an edge may be left out by round-off.
                let near = (*p - Extent::of(&points).centre()) * (1.0 - 1e-9) + Extent::of(&points).centre();
                prop_assert!(holds(&outline, *p) || holds(&outline, near));
            }
            prop_assert!(!holds(&outline, DVec2::new(60.0, 0.0)));
        }
    }

    /// A square of side 2 grown by 1, corners cut: 4 + 4·2·1 + four corners cut at 0.4, each 1 − 0.6²/2.
    #[test]
    fn a_grown_outline_has_cut_corners() {
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)].map(DVec2::from);
        let grown = grown(&square, 1.0);
        let area: f64 = grown.iter().zip(grown.iter().cycle().skip(1)).map(|(a, b)| a.perp_dot(*b) / 2.0).sum();
        let cut = 0.4 * 1.0 * 2.0 - 0.4 * 0.4 + (1.0 - 0.4) * (1.0 - 0.4) / 2.0;
        assert!((area - (4.0 + 8.0 + 4.0 * cut)).abs() < 1e-9, "{area}");
    }

    #[test]
    fn a_square_keeps_its_four_corners() {
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0), (1.0, 1.0), (1.0, 0.0)].map(DVec2::from);
        assert_eq!(convex_outline(&square).len(), 4);
    }
}
