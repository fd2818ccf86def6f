//! The outline of a part being drawn: points, what a hand does with them, undo. No toolkit is known here.

use glam::DVec2;

use super::drawn_curve::{Knot, PIECES, drawn, knots_of, nearest};
use crate::advise::outline::{HalfError, HalfOutline, LARGEST_MM, StartShape};
use crate::document::history::{EditKind, History};

/// Nearest to the axis that a point between the ends may come, mm.
const LEAST_RADIUS_MM: f64 = 0.5;
/// Points are put on tenths of a mm.
const GRID: f64 = 10.0;
/// Most points.
pub const MOST_POINTS: usize = 200;

/// An outline being drawn, from the start of the part to its finish: (radius, height) in mm, the axis at radius 0.
#[derive(Clone, Debug, Default)]
pub struct Pad {
    knots: Vec<Knot>,
    chosen: Option<usize>,
    history: History<Vec<Knot>>,
}

impl PartialEq for Pad {
    fn eq(&self, other: &Pad) -> bool {
        self.knots == other.knots && self.chosen == other.chosen
    }
}

impl Pad {
    /// An outline that is there already.
    pub fn of(outline: &HalfOutline) -> Pad {
        Pad { knots: knots_of(outline), ..Pad::default() }
    }

    /// Another outline in its place, as one step.
    pub fn put(&mut self, outline: &HalfOutline) {
        self.change(EditKind::Once("outline"), |pad| {
            pad.knots = knots_of(outline);
            pad.chosen = None;
        });
    }

    /// A start shape in its place, as one step.
    ///
    /// # Errors
    /// When a size is no length.
    pub fn start(&mut self, shape: StartShape, width_mm: f64, height_mm: f64) -> Result<(), HalfError> {
        self.put(&shape.outline(width_mm, height_mm)?);
        Ok(())
    }

    /// Its points.
    pub fn knots(&self) -> &[Knot] {
        &self.knots
    }

    /// The chosen point.
    pub fn chosen(&self) -> Option<usize> {
        self.chosen
    }

    /// Chooses a point, or none.
    pub fn choose(&mut self, point: Option<usize>) {
        let point = point.filter(|i| *i < self.knots.len());
        if point != self.chosen {
            self.chosen = point;
            self.history.seal();
        }
    }

    /// Chooses the point so many on; from none the first or the last. The ends hold.
    pub fn step(&mut self, by: i64) {
        let last = self.knots.len() as i64 - 1;
        let to = match self.chosen {
            Some(now) => now as i64 + by,
            None if by > 0 => 0,
            None => last,
        };
        self.choose(usize::try_from(to.clamp(0, last.max(0))).ok());
    }

    /// The point at a place of either half, not farther away than this.
    pub fn point_at(&self, place: DVec2, within_mm: f64) -> Option<usize> {
        let place = folded(place);
        let away = |i: &usize| self.knots[*i].at.distance(place);
        (0..self.knots.len()).filter(|i| away(i) <= within_mm).min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    /// Adds a point: into the stretch of the line that it is nearest to, or beyond an end where it lies beyond that. It is
    /// chosen; the answer is its place. `None` where there are too many.
    pub fn add(&mut self, place: DVec2) -> Option<usize> {
        if self.knots.len() >= MOST_POINTS {
            return None;
        }
        let place = on_grid(folded(place));
        let line = drawn(&self.knots);
        let mut best = (f64::INFINITY, 0);
        for (i, piece) in line.windows(2).enumerate() {
            let (near, _) = nearest(place, piece[0], piece[1]);
            if near.distance(place) < best.0 {
                best = (near.distance(place), i / PIECES + 1);
            }
        }
        let n = self.knots.len();
        let open = |i: usize| self.knots[i].at.x > 0.0;
        let is_near = |i: usize| self.knots[i].at.distance(place) <= best.0 + 1e-9;
        let at = if n < 2 {
            n
        } else if is_near(0) && open(0) {
            0
        } else if is_near(n - 1) && open(n - 1) {
            n
        } else {
            best.1.clamp(1, n - 1)
        };
        self.change(EditKind::Once("added point"), |pad| {
            pad.knots.insert(at, Knot { at: place, smooth: true });
            pad.settle(at, 0.0);
            pad.chosen = Some(at);
        });
        Some(at)
    }

    /// Moves a point; an end comes onto the axis when it is nearer to it than `snap_mm`. Moves of one point that follow
    /// each other are one step until [`Pad::let_go`].
    pub fn move_to(&mut self, point: usize, place: DVec2, snap_mm: f64) {
        if point >= self.knots.len() || !place.is_finite() {
            return;
        }
        self.change(EditKind::Setting { part: Some(point), name: "moved point" }, |pad| {
            pad.knots[point].at = on_grid(place.clamp(DVec2::splat(-LARGEST_MM), DVec2::splat(LARGEST_MM)));
            pad.settle(point, snap_mm);
        });
    }

    /// Moves the chosen point by this much, mm: a step of its own for each point.
    pub fn nudge(&mut self, by: DVec2) {
        if let Some(point) = self.chosen
            && let Some(knot) = self.knots.get(point)
        {
            self.move_to(point, knot.at + by, 0.0);
        }
    }

    /// The hand lets go: the next move is a step of its own.
    pub fn let_go(&mut self) {
        self.history.seal();
    }

    /// Takes a point out; two stay.
    pub fn remove(&mut self, point: usize) {
        if point >= self.knots.len() || self.knots.len() <= 2 {
            return;
        }
        self.change(EditKind::Once("removed point"), |pad| {
            pad.knots.remove(point);
            pad.chosen = pad.chosen.map(|c| if c > point { c - 1 } else { c }).filter(|c| *c < pad.knots.len());
        });
    }

    /// Makes a point smooth, or a corner.
    pub fn set_smooth(&mut self, point: usize, smooth: bool) {
        if point < self.knots.len() {
            self.change(EditKind::Once("corner"), |pad| pad.knots[point].smooth = smooth);
        }
    }

    /// Stretches the whole outline to this width and height, mm.
    pub fn stretch(&mut self, width_mm: f64, height_mm: f64) {
        let (low, high) = self.heights_mm();
        let (wide, tall) = (self.widest_mm(), high - low);
        let good = |now: f64, to: f64| now > 1e-6 && to.is_finite() && (1.0..=LARGEST_MM).contains(&to);
        if !good(wide, width_mm) || !good(tall, height_mm) {
            return;
        }
        let by = DVec2::new(width_mm / wide, height_mm / tall);
        self.change(EditKind::Setting { part: None, name: "size" }, |pad| {
            for knot in &mut pad.knots {
                knot.at = DVec2::new(knot.at.x * by.x, low + (knot.at.y - low) * by.y);
            }
        });
    }

    /// Works it from its other end.
    pub fn turn_round(&mut self) {
        self.change(EditKind::Once("start"), |pad| {
            pad.knots.reverse();
            let last = pad.knots.len().saturating_sub(1);
            pad.chosen = pad.chosen.map(|c| last.saturating_sub(c));
        });
    }

    /// Takes back the last step; `false` where there is none.
    pub fn undo(&mut self) -> bool {
        let done = self.history.undo(&mut self.knots);
        self.chosen = self.chosen.filter(|c| *c < self.knots.len());
        done
    }

    /// Does again what was taken back; `false` where there is nothing.
    pub fn redo(&mut self) -> bool {
        let done = self.history.redo(&mut self.knots);
        self.chosen = self.chosen.filter(|c| *c < self.knots.len());
        done
    }

    /// What undo and redo would do.
    pub fn steps(&self) -> (Option<String>, Option<String>) {
        (self.history.undo_label(), self.history.redo_label())
    }

    /// The line through the points.
    pub fn line(&self) -> Vec<DVec2> {
        drawn(&self.knots)
    }

    /// Greatest width, mm.
    pub fn widest_mm(&self) -> f64 {
        2.0 * self.line().iter().map(|p| p.x).fold(0.0, f64::max)
    }

    /// Lowest and highest place, mm.
    pub fn heights_mm(&self) -> (f64, f64) {
        let line = self.line();
        let low = line.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
        let high = line.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
        if low <= high { (low, high) } else { (0.0, 0.0) }
    }

    /// The outline as it is wanted.
    ///
    /// # Errors
    /// What is wrong with it; places are those of the points of this pad, from 1.
    pub fn outline(&self) -> Result<HalfOutline, HalfError> {
        let named = |point: usize| (point.saturating_sub(1) as f64 / PIECES as f64).round() as usize + 1;
        HalfOutline::new(&self.line()).map_err(|e| match e {
            HalfError::NoPlace { point } => HalfError::NoPlace { point: named(point) },
            HalfError::Across { point, by_mm } => HalfError::Across { point: named(point), by_mm },
            HalfError::Pinched { point } => HalfError::Pinched { point: named(point) },
            other => other,
        })
    }

    /// Places of a line in the frame of [`Pad::outline`], which begins at height 0 and runs up, in the frame of the pad.
    pub fn from_outline(&self, line: &[DVec2]) -> Vec<DVec2> {
        let own = self.line();
        let (Some(first), Some(last)) = (own.first(), own.last()) else { return line.to_vec() };
        let up = if last.y < first.y { -1.0 } else { 1.0 };
        line.iter().map(|p| DVec2::new(p.x, first.y + up * p.y)).collect()
    }

    /// The outline in words, for those who do not see it.
    pub fn words(&self) -> String {
        let (low, high) = self.heights_mm();
        let n = self.knots.len();
        let end = |knot: Option<&Knot>| if knot.is_some_and(|k| k.at.x <= 0.0) { "closed" } else { "open" };
        let mut words = format!(
            "{n} points, {:.0} mm wide, {:.0} mm high, {} at the start, {} at the finish",
            self.widest_mm(),
            high - low,
            end(self.knots.first()),
            end(self.knots.last())
        );
        if let Some((i, knot)) = self.chosen.and_then(|i| Some((i, self.knots.get(i)?))) {
            let kind = if knot.smooth { "smooth" } else { "a corner" };
            words.push_str(&format!(
                "; point {} of {n} is chosen: {:.1} mm from the axis, {:.1} mm high, {kind}",
                i + 1,
                knot.at.x,
                knot.at.y
            ));
        }
        words
    }

    /// Keeps a point on its side of the axis: an end may lie on it, any other may not.
    fn settle(&mut self, point: usize, snap_mm: f64) {
        let is_end = point == 0 || point + 1 == self.knots.len();
        let x = &mut self.knots[point].at.x;
        if !is_end {
            *x = x.max(LEAST_RADIUS_MM);
        } else if *x <= snap_mm.max(LEAST_RADIUS_MM) {
            *x = 0.0;
        }
    }

    fn change(&mut self, kind: EditKind, change: impl FnOnce(&mut Pad)) {
        let before = self.knots.clone();
        change(self);
        self.history.record(before, &mut self.knots, kind);
    }
}

/// A place of either half on the drawn one.
fn folded(place: DVec2) -> DVec2 {
    DVec2::new(place.x.abs(), place.y)
}

fn on_grid(place: DVec2) -> DVec2 {
    (place * GRID).round() / GRID
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ball() -> Pad {
        Pad::of(&StartShape::Ball.outline(60.0, 60.0).expect("a size"))
    }

    #[test]
    fn a_drag_is_one_step() {
        let mut pad = ball();
        let before = pad.knots().to_vec();
        let middle = pad.point_at(DVec2::new(-30.0, 30.0), 3.0).expect("a point at its widest, seen in the mirror");
        for x in [31.0, 34.0, 38.0] {
            pad.move_to(middle, DVec2::new(x, 30.0), 1.0);
        }
        pad.let_go();
        assert!((pad.widest_mm() - 76.0).abs() < 0.5);
        pad.move_to(middle, DVec2::new(40.0, 30.0), 1.0);
        assert!(pad.undo());
        assert!((pad.widest_mm() - 76.0).abs() < 0.5);
        assert!(pad.undo() && !pad.undo());
        assert_eq!(pad.knots(), before);
        assert!(pad.redo() && pad.redo() && !pad.redo());
    }

    #[test]
    fn a_point_goes_where_the_line_is_near() {
        let mut pad = ball();
        let n = pad.knots().len();
        let at = pad.add(DVec2::new(-29.0, 40.0)).expect("there is room");
        assert_eq!((pad.knots().len(), pad.chosen()), (n + 1, Some(at)));
        let heights: Vec<f64> = pad.knots().iter().map(|k| k.at.y).collect();
        assert!(heights.is_sorted(), "{heights:?}");
        // A closed end stays the end.
        let above = pad.add(DVec2::new(3.0, 70.0)).expect("there is room");
        assert_eq!(above, pad.knots().len() - 2);
        pad.remove(above);
        pad.remove(at);
        assert_eq!(pad.knots().len(), n);
        // Beyond an open rim the outline goes on.
        let mut limb = Pad::of(&StartShape::Limb.outline(20.0, 50.0).expect("a size"));
        assert_eq!(limb.add(DVec2::new(12.0, 60.0)), Some(limb.knots().len() - 1));
    }

    #[test]
    fn an_end_snaps_to_the_axis_and_others_keep_off_it() {
        let mut pad = Pad::of(&StartShape::Limb.outline(20.0, 50.0).expect("a size"));
        let last = pad.knots().len() - 1;
        pad.move_to(last, DVec2::new(1.2, 55.0), 2.0);
        assert_eq!(pad.knots()[last].at, DVec2::new(0.0, 55.0));
        assert!(pad.outline().expect("an outline").finishes_closed());
        pad.move_to(1, DVec2::new(-4.0, 5.0), 2.0);
        assert!(pad.knots()[1].at.x > 0.0);
    }

    #[test]
    fn turned_round_it_starts_at_the_other_end() {
        let mut pad = Pad::of(&StartShape::Cone.outline(40.0, 70.0).expect("a size"));
        let line = pad.line();
        pad.turn_round();
        let half = pad.outline().expect("an outline");
        assert!(half.flat_end_mm(true) > 0.0 && half.flat_end_mm(false) == 0.0);
        // And back in the pad's own frame it lies where it was drawn.
        let back = pad.from_outline(half.points());
        assert!(back.iter().all(|p| line.iter().any(|q| p.distance(*q) < 1e-6)));
    }

    #[test]
    fn what_is_wrong_names_the_point() {
        let mut pad = Pad { knots: Vec::new(), ..Pad::default() };
        assert!(matches!(pad.outline(), Err(HalfError::TooFew { .. })));
        for place in [[0.0, 0.0], [10.0, 5.0], [10.0, 30.0]] {
            let at = pad.knots.len();
            pad.knots.insert(at, Knot { at: DVec2::from_array(place), smooth: false });
        }
        assert!(pad.outline().is_ok());
        pad.knots[1].at.x = 0.0;
        pad.knots.insert(1, Knot { at: DVec2::new(9.0, 2.0), smooth: false });
        assert_eq!(pad.outline(), Err(HalfError::Pinched { point: 3 }));
    }

    proptest! {
        #[test]
        fn undoing_all_leads_back(steps in proptest::collection::vec((0usize..7, 0usize..12, -60.0f64..60.0, -20.0f64..90.0), 0..30)) {
            let mut pad = ball();
            let first = pad.knots().to_vec();
            for (what, point, x, y) in steps {
                match what {
                    0 => drop(pad.add(DVec2::new(x, y))),
                    1 => pad.remove(point),
                    2 => pad.set_smooth(point, x > 0.0),
                    3 => pad.stretch(x, y),
                    4 => pad.turn_round(),
                    5 => pad.step(1),
                    _ => pad.move_to(point, DVec2::new(x, y), 2.0),
                }
                let n = pad.knots().len();
                prop_assert!(pad.knots().iter().enumerate().all(|(i, k)| k.at.x > 0.0 || i == 0 || i == n - 1 || what == 4));
            }
            while pad.undo() {}
            prop_assert_eq!(pad.knots(), &first[..]);
        }
    }
}
