//! A smooth line through points that were drawn by hand, and few points for a line that is there already.
//!
//! Between two points the line is a cubic curve whose directions at smooth points are those of the circle through the
//! point and its neighbours, its handles as long as those of the circle's arc: points on a circle give that circle.

use glam::DVec2;

use crate::advise::outline::HalfOutline;

/// A point of a drawn outline: (radius, height), mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Knot {
    /// Where: distance from the axis and height, mm.
    pub at: DVec2,
    /// The line passes smoothly; at an end on the axis it goes over into its mirror image smoothly.
    pub smooth: bool,
}

/// Pieces of the line between two points.
pub const PIECES: usize = 16;
/// A line that turns more than this at a point has a corner there, degrees.
const CORNER_DEG: f64 = 24.0;
/// Points that are put on a line are close enough when the curve through them is nowhere farther from it than this
/// share of its extent.
const CLOSE: f64 = 0.004;
/// Most points put between two corners.
const MOST_BETWEEN: usize = 14;
/// Most points put on a whole line.
const MOST_KNOTS: usize = 60;

/// Direction of the circle through a, b, c at b; straight on where two of them coincide.
fn through(a: DVec2, b: DVec2, c: DVec2) -> DVec2 {
    let (into, out) = (b - a, c - b);
    let (long_in, long_out) = (into.length(), out.length());
    if long_in < 1e-9 || long_out < 1e-9 {
        return (into + out).normalize_or(DVec2::Y);
    }
    (into * (long_out / long_in) + out * (long_in / long_out)).normalize_or(out / long_out)
}

/// Direction at a point, where the points around it say it.
fn direction(knots: &[Knot], i: usize) -> Option<DVec2> {
    let knot = knots.get(i).filter(|k| k.smooth)?;
    match (i.checked_sub(1).and_then(|b| knots.get(b)), knots.get(i + 1)) {
        (Some(before), Some(after)) => Some(through(before.at, knot.at, after.at)),
        // Over the axis the line goes on as its mirror image.
        (None, Some(_)) if knot.at.x <= 0.0 => Some(DVec2::X),
        (Some(_), None) if knot.at.x <= 0.0 => Some(DVec2::NEG_X),
        _ => None,
    }
}

/// Control points of the curve between two points.
fn handles(knots: &[Knot], i: usize) -> [DVec2; 4] {
    let (a, b) = (knots[i].at, knots[i + 1].at);
    let chord = b - a;
    let length = chord.length();
    let (from, to) = (direction(knots, i), direction(knots, i + 1));
    if length < 1e-9 || (from.is_none() && to.is_none()) {
        return [a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b];
    }
    let along = chord / length;
    // One side is free: the same arc as from the other.
    let mirrored = |way: DVec2| 2.0 * way.dot(along) * along - way;
    let from_way = from.or_else(|| to.map(mirrored)).unwrap_or(along);
    let to_way = to.or_else(|| from.map(mirrored)).unwrap_or(along);
    let reach = |way: DVec2| {
        // 1 / (3 cos²(α/2)) of the chord, α between chord and line; never more than two thirds.
        let cos = way.dot(along).clamp(-1.0, 1.0);
        length * (2.0 / (3.0 * (1.0 + cos))).min(2.0 / 3.0)
    };
    [a, a + from_way * reach(from_way), b - to_way * reach(to_way), b]
}

/// The line through the points, [`PIECES`] pieces between each two. It never crosses the axis.
pub fn drawn(knots: &[Knot]) -> Vec<DVec2> {
    let Some(first) = knots.first() else { return Vec::new() };
    let mut line = vec![first.at];
    for i in 0..knots.len() - 1 {
        let [a, b, c, d] = handles(knots, i);
        for step in 1..=PIECES {
            let t = step as f64 / PIECES as f64;
            let s = 1.0 - t;
            let p = s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d;
            line.push(DVec2::new(p.x.max(0.0), p.y));
        }
    }
    line
}

/// Few points whose line is the outline, near enough for the eye: its corners, and between them as many smooth ones as it
/// takes.
pub fn knots_of(outline: &HalfOutline) -> Vec<Knot> {
    let points = outline.points();
    let extent = outline.widest_mm().max(outline.height_mm());
    let last = points.len() - 1;
    let way = |i: usize| (points[i + 1] - points[i]).normalize_or(DVec2::Y);
    let turns = |i: usize| way(i - 1).dot(way(i)).clamp(-1.0, 1.0).acos().to_degrees() > CORNER_DEG;
    let mut corners: Vec<usize> = vec![0];
    corners.extend((1..last).filter(|i| turns(*i)));
    corners.push(last);
    if corners.len() > MOST_KNOTS {
        corners = vec![0, last];
    }
    let end_is_smooth = |i: usize, way: DVec2| points[i].x == 0.0 && way.y.abs() < CORNER_DEG.to_radians().sin();
    let mut knots: Vec<Knot> = corners.iter().map(|i| Knot { at: points[*i], smooth: false }).collect();
    let ends = [(0, way(0)), (last, way(last - 1))];
    knots[0].smooth = end_is_smooth(ends[0].0, ends[0].1);
    let n = knots.len();
    knots[n - 1].smooth = end_is_smooth(ends[1].0, ends[1].1);
    let mut all = vec![knots[0]];
    for (i, ends) in corners.windows(2).enumerate() {
        let run = &points[ends[0]..=ends[1]];
        let room = MOST_KNOTS.saturating_sub(n) / (n - 1).max(1);
        all.extend(between(run, knots[i], knots[i + 1], CLOSE * extent, room.min(MOST_BETWEEN)));
        all.push(knots[i + 1]);
    }
    all
}

/// Smooth points between the ends of a run.
fn between(run: &[DVec2], from: Knot, to: Knot, close: f64, most: usize) -> Vec<Knot> {
    let mut found = Vec::new();
    // None where the ends say it all; else three at least, so that there is something to take hold of.
    for number in std::iter::once(0).chain(3.min(most)..=most) {
        found = even(run, number).into_iter().map(|at| Knot { at, smooth: true }).collect();
        let all: Vec<Knot> = [&[from][..], &found, &[to]].concat();
        let line = drawn(&all);
        if run.iter().all(|p| away(*p, &line) <= close) {
            break;
        }
    }
    found
}

/// So many points within a line, evenly by its length.
fn even(line: &[DVec2], number: usize) -> Vec<DVec2> {
    let length: f64 = line.windows(2).map(|p| p[0].distance(p[1])).sum();
    let at = |along: f64| {
        let mut left = along;
        for p in line.windows(2) {
            let step = p[0].distance(p[1]);
            if left <= step && step > 0.0 {
                return p[0].lerp(p[1], left / step);
            }
            left -= step;
        }
        line[line.len() - 1]
    };
    (1..=number).map(|i| at(length * i as f64 / (number + 1) as f64)).collect()
}

/// Distance of a point from a line.
fn away(p: DVec2, line: &[DVec2]) -> f64 {
    line.windows(2).map(|s| p.distance(nearest(p, s[0], s[1]).0)).fold(f64::INFINITY, f64::min)
}

/// The nearest place of a stretch of line, and its share of it.
pub(super) fn nearest(p: DVec2, a: DVec2, b: DVec2) -> (DVec2, f64) {
    let way = b - a;
    let long = way.length_squared();
    let share = if long > 0.0 { ((p - a).dot(way) / long).clamp(0.0, 1.0) } else { 0.0 };
    (a + way * share, share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advise::outline::StartShape;

    /// Points on a circle give the circle (geometry): radius 30 within 0.1 %.
    #[test]
    fn points_on_a_circle_give_it() {
        for number in [3usize, 5, 8] {
            let at = |i: usize| std::f64::consts::PI * i as f64 / (number - 1) as f64;
            let knots: Vec<Knot> = (0..number)
                .map(|i| {
                    let x = if i == 0 || i == number - 1 { 0.0 } else { 30.0 * at(i).sin() };
                    Knot { at: DVec2::new(x, -30.0 * at(i).cos()), smooth: true }
                })
                .collect();
            for p in drawn(&knots) {
                assert!((p.length() - 30.0).abs() < 0.03, "{number} points: {p} {}", p.length());
            }
        }
    }

    #[test]
    fn every_start_shape_is_drawn_with_few_points() {
        for shape in StartShape::ALL {
            let outline = shape.outline(60.0, 80.0).expect("a size");
            let knots = knots_of(&outline);
            assert!(knots.len() <= 24, "{}: {}", shape.word(), knots.len());
            let line = drawn(&knots);
            for p in outline.points() {
                assert!(away(*p, &line) < 0.4, "{}: {p} is {} off", shape.word(), away(*p, &line));
            }
        }
    }

    #[test]
    fn corners_stay_corners() {
        let cone = knots_of(&StartShape::Cone.outline(40.0, 70.0).expect("a size"));
        assert_eq!(cone.len(), 3);
        assert!(!cone[1].smooth && !cone[2].smooth);
        let line = drawn(&cone);
        assert!(line.contains(&DVec2::new(20.0, 0.0)));
        assert!((line[PIECES / 2].y).abs() < 1e-9, "the base is flat: {:?}", line[PIECES / 2]);
    }
}
