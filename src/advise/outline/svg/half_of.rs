//! Half an outline from a drawn line.

use glam::DVec2;

use super::super::half::{HalfError, HalfOutline};
use super::{SvgEnd, SvgError, SvgOptions, SvgOutline};

/// Halves of a closed outline may differ by this share of its width.
const LOPSIDED: f64 = 0.04;
/// An end is on the axis within this share of the width.
const ON_AXIS: f64 = 0.01;
/// A flat end counts in choosing the start from this share of the width on.
const FLAT: f64 = 0.25;

/// The half outline of a drawn line in mm, y down.
pub(super) fn half_of(
    points: &[DVec2],
    closed: bool,
    line: u32,
    options: &SvgOptions,
    mut notes: Vec<String>,
) -> Result<SvgOutline, SvgError> {
    let axis = options.axis_mm.filter(|a| a.is_finite());
    let half =
        if closed { closed_half(points, line, axis, &mut notes)? } else { open_half(points, line, axis, &mut notes)? };
    // (radius, height up), from the lower end to the upper.
    let mut up: Vec<DVec2> = half.iter().map(|p| DVec2::new(p.x, -p.y)).collect();
    if up.first().zip(up.last()).is_some_and(|(a, b)| a.y > b.y) {
        up.reverse();
    }
    let half = HalfOutline::new(&up).map_err(|error| SvgError::Half { line, error })?;
    let flat = |at_top: bool| half.flat_end_mm(at_top) > 0.5 * FLAT * half.widest_mm();
    let start = options.start.unwrap_or(match (half.starts_closed(), half.finishes_closed()) {
        (false, true) => SvgEnd::Top,
        (true, true) if flat(true) && !flat(false) => SvgEnd::Top,
        _ => SvgEnd::Bottom,
    });
    let half = if start == SvgEnd::Top { half.reversed() } else { half };
    Ok(SvgOutline { half, start, closed, notes })
}

/// (distance from the axis, y) of an open line.
fn open_half(points: &[DVec2], line: u32, axis: Option<f64>, notes: &mut Vec<String>) -> Result<Vec<DVec2>, SvgError> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Err(SvgError::Half { line, error: HalfError::TooFew { points: points.len() } });
    };
    let low = points.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max);
    let near = ON_AXIS * (high - low);
    let (inner, outer) = (first.x.min(last.x), first.x.max(last.x));
    let (axis, right) = match axis {
        Some(axis) => (axis, 0.5 * (low + high) >= axis),
        None => {
            let (right, left) = (inner <= low + near, outer >= high - near);
            if !(right || left) || high - low <= 1e-6 * first.distance(*last).max(1e-9) {
                return Err(SvgError::NoAxis { line });
            }
            if right && left {
                notes.push("The axis is taken at the left end of the open outline.".to_owned());
            }
            if right { (low, true) } else { (high, false) }
        }
    };
    Ok(points.iter().map(|p| DVec2::new(if right { p.x - axis } else { axis - p.x }, p.y)).collect())
}

/// (distance from the axis, y) of the right half of a closed line, from one crossing of the axis to the other.
fn closed_half(
    points: &[DVec2],
    line: u32,
    axis: Option<f64>,
    notes: &mut Vec<String>,
) -> Result<Vec<DVec2>, SvgError> {
    let low = points.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max);
    let width = high - low;
    let axis = axis.unwrap_or(0.5 * (low + high));
    // Around once, with a point put in wherever the axis is crossed; points on the axis are taken to its right.
    let side = |p: &DVec2| p.x >= axis;
    let mut runs: Vec<(bool, Vec<DVec2>)> = Vec::new();
    for (i, p) in points.iter().enumerate() {
        let p = DVec2::new(p.x - axis, p.y);
        let before = points[(i + points.len() - 1) % points.len()];
        let before = DVec2::new(before.x - axis, before.y);
        let right = side(&points[i]);
        match runs.last_mut() {
            Some((was, run)) if *was == right => run.push(p),
            last => {
                let step = p.x - before.x;
                let cut = if step != 0.0 { before.lerp(p, (-before.x / step).clamp(0.0, 1.0)) } else { p };
                let cut = DVec2::new(0.0, cut.y);
                if let Some((_, run)) = last {
                    run.push(cut);
                }
                runs.push((right, if i > 0 { vec![cut, p] } else { vec![p] }));
            }
        }
    }
    // The last run goes on into the first.
    if runs.len() > 1 {
        let same = runs[0].0 == runs[runs.len() - 1].0;
        if same {
            let (_, head) = runs.remove(0);
            if let Some((_, tail)) = runs.last_mut() {
                tail.extend(head);
            }
        } else {
            let (a, b) = (points[points.len() - 1], points[0]);
            let (a, b) = (DVec2::new(a.x - axis, a.y), DVec2::new(b.x - axis, b.y));
            let step = b.x - a.x;
            let cut = if step != 0.0 { a.lerp(b, (-a.x / step).clamp(0.0, 1.0)) } else { b };
            let cut = DVec2::new(0.0, cut.y);
            runs[0].1.insert(0, cut);
            if let Some((_, run)) = runs.last_mut() {
                run.push(cut);
            }
        }
    }
    let reach = |run: &[DVec2]| run.iter().map(|p| p.x.abs()).fold(0.0, f64::max);
    runs.retain(|(_, run)| reach(run) > ON_AXIS * width);
    let (right, left): (Vec<_>, Vec<_>) = runs.into_iter().partition(|(right, _)| *right);
    let crossings = right.len() + left.len();
    let ([(_, right)], [(_, left)]) = (right.as_slice(), left.as_slice()) else {
        return if crossings > 2 {
            Err(SvgError::CrossesAxis { line, times: crossings })
        } else {
            Err(SvgError::Lopsided { line, by_mm: 0.5 * width })
        };
    };
    let mirrored: Vec<DVec2> = left.iter().map(|p| DVec2::new(-p.x, p.y)).collect();
    let by_mm = apart_mm(right, &mirrored).max(apart_mm(&mirrored, right));
    if by_mm > LOPSIDED * width {
        return Err(SvgError::Lopsided { line, by_mm });
    }
    if by_mm > 0.2 * LOPSIDED * width {
        notes.push(format!("The two halves differ by up to {by_mm:.1} mm; the right one is taken."));
    }
    Ok(right.clone())
}

/// Largest distance of some points of one line from another.
fn apart_mm(from: &[DVec2], to: &[DVec2]) -> f64 {
    // A thousand places of each say enough and take no time.
    let from = super::super::curve::Curve::new(from.to_vec()).even(300);
    let to = super::super::curve::Curve::new(to.to_vec()).even(1000);
    let nearest = |p: &DVec2| {
        let piece = |ends: &[DVec2]| {
            let (way, at) = (ends[1] - ends[0], *p - ends[0]);
            let square = way.length_squared();
            let share = if square > 0.0 { (at.dot(way) / square).clamp(0.0, 1.0) } else { 0.0 };
            (at - share * way).length()
        };
        to.windows(2).map(piece).fold(f64::INFINITY, f64::min)
    };
    from.iter().map(nearest).fold(0.0, f64::max)
}
