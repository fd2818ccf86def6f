//! How far the toy leans before it falls, all around, laid over the view from above: a distance from the foot of the
//! plumb line for every direction.

use std::f64::consts::TAU;

use glam::DVec2;

use super::elevation::Elevation;
use super::ink::Ink;
use super::overlay::WORDS_PT;
use super::picture::{Across, Item, Upright, ellipse};
use crate::measure::toward;

/// Lean at the outermost ring; what bears more stands like a brick.
const RIM_DEG: f64 = 30.0;
/// Rings with their leans in words.
const RINGS_DEG: [f64; 3] = [10.0, 20.0, 30.0];

/// How far the toy leans before it falls.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lean {
    /// Evenly all around, from the front toward the toy's left, degrees.
    pub by_direction_deg: Vec<f64>,
    /// Where it is weakest: 0 the front, 90 the toy's left, degrees.
    pub weakest_toward_deg: f64,
    /// How far it leans there, degrees.
    pub weakest_deg: f64,
}

/// Direction in the view from above of an angle from the front toward the toy's left.
fn way(deg: f64) -> DVec2 {
    let (sin, cos) = deg.to_radians().sin_cos();
    DVec2::new(sin, -cos)
}

/// Draws it around the foot of the plumb line, `foot` in the view from above, so that `reach_mm` is its outermost
/// ring.
pub fn rose(drawn: &mut Elevation, lean: &Lean, foot: DVec2, reach_mm: f64, pt_per_mm: f64) {
    let n = lean.by_direction_deg.len();
    if lean.weakest_deg <= 0.0 {
        rolls_over(drawn, foot, pt_per_mm);
        return;
    }
    if n < 3 {
        return;
    }
    let pt = |points: f64| points / pt_per_mm;
    let radius = |deg: f64| reach_mm * deg.clamp(0.0, RIM_DEG) / RIM_DEG;
    let picture = &mut drawn.picture;
    let edge: Vec<DVec2> =
        (0..n).map(|i| foot + way(360.0 * i as f64 / n as f64) * radius(lean.by_direction_deg[i])).collect();
    // A pale line under each keeps it in sight on every yarn.
    for ring in RINGS_DEG {
        let mut circle = ellipse(foot, DVec2::splat(radius(ring)), 72);
        circle.extend(circle.first().copied());
        picture.line(circle.clone(), Ink::PAPER.faded(150), 2.6);
        picture.dashed(circle, Ink::NOTE, 1.0, (2.5, 3.0));
    }
    picture.outline(edge.clone(), Ink::PAPER.faded(210), 5.0);
    picture.outline(edge, Ink::SUPPORT_LINE, 2.4);
    // Words of the rings stand away from the weakest direction.
    let aside = way(lean.weakest_toward_deg + 180.0 + 22.0);
    for ring in RINGS_DEG {
        let at = foot + aside * radius(ring);
        let text = if ring == RIM_DEG { format!("{ring:.0}° and more") } else { format!("{ring:.0}°") };
        let half = DVec2::new(pt(3.4 * text.chars().count() as f64), pt(7.0));
        let plate = vec![at - half, at + DVec2::new(half.x, -half.y), at + half, at + DVec2::new(-half.x, half.y)];
        picture.fill(plate, Ink::PAPER.faded(205));
        picture.text(at, text, Ink::NOTE, WORDS_PT - 1.5, (Across::Middle, Upright::Middle));
    }
    let to = way(lean.weakest_toward_deg);
    let end = foot + to * (reach_mm + pt(7.0));
    picture.line(vec![foot, end], Ink::PAPER.faded(210), 5.0);
    picture.line(vec![foot, end], Ink::PLUMB, 2.2);
    // The head of an arrow.
    for side in [0.88, 1.12] {
        let back = DVec2::from_angle(TAU / 2.0 * side).rotate(to);
        picture.line(vec![end, end + back * pt(9.0)], Ink::PLUMB, 2.2);
    }
    let at = foot + to * radius(lean.weakest_deg);
    picture.items.push(Item::Dot { at, radius_pt: 5.0, ink: Ink::PAPER });
    picture.items.push(Item::Dot { at, radius_pt: 3.8, ink: Ink::PLUMB });
    let words = format!("weakest: {:.0}° toward {}", lean.weakest_deg, toward(lean.weakest_toward_deg));
    let across = match to.x {
        x if x > 0.4 => Across::Left,
        x if x < -0.4 => Across::Right,
        _ => Across::Middle,
    };
    let upright = match to.y {
        y if y > 0.4 => Upright::Bottom,
        y if y < -0.4 => Upright::Top,
        _ => Upright::Middle,
    };
    let at = end + to * pt(4.0);
    let long = DVec2::new(pt(6.4 * words.chars().count() as f64), pt(16.0));
    let from = -across.share();
    for corner in [DVec2::new(from, to.y.min(0.0)), DVec2::new(from + 1.0, to.y.max(0.0))] {
        picture.extent = picture.extent.with(at + corner * long);
    }
    picture.words.push_str(&format!("; {words}"));
    picture.text(at, words, Ink::PLUMB, WORDS_PT, (across, upright));
}

/// What stands in the place of the rose where there is no lean to draw, around the foot of the plumb line.
const ROLLS_OVER: [&str; 3] = ["It rolls over: no lean to draw.", "", "Mending has ways out."];

fn rolls_over(drawn: &mut Elevation, middle: DVec2, pt_per_mm: f64) {
    let line = WORDS_PT * 1.3 / pt_per_mm;
    let longest = ROLLS_OVER.iter().map(|l| l.chars().count()).max().unwrap_or(0) as f64;
    let half = DVec2::new(6.4 * longest / 2.0 / pt_per_mm, line * (ROLLS_OVER.len() as f64 / 2.0 + 0.3));
    let picture = &mut drawn.picture;
    let corners = [DVec2::new(-1.0, -1.0), DVec2::new(1.0, -1.0), DVec2::ONE, DVec2::new(-1.0, 1.0)];
    let plate: Vec<DVec2> = corners.iter().map(|c| middle + *c * half).collect();
    picture.extent = plate.iter().fold(picture.extent, |extent, p| extent.with(*p));
    picture.fill(plate, Ink::PAPER.faded(225));
    for (i, words) in ROLLS_OVER.iter().enumerate() {
        let at = middle + DVec2::new(0.0, line * ((ROLLS_OVER.len() - 1) as f64 / 2.0 - i as f64));
        picture.text(at, *words, Ink::PLUMB, WORDS_PT, (Across::Middle, Upright::Middle));
    }
    picture.words.push_str(&format!("; {} {}", ROLLS_OVER[0], ROLLS_OVER[2]));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_weakest_direction_is_marked_where_it_is() {
        let mut by_direction_deg = vec![15.0; 24];
        by_direction_deg[6] = 6.0;
        let lean = Lean { by_direction_deg, weakest_toward_deg: 90.0, weakest_deg: 6.0 };
        let mut drawn = Elevation::default();
        rose(&mut drawn, &lean, DVec2::new(3.0, 4.0), 60.0, 2.0);
        // Its left is on the right from above: 60 mm are 30°, so 6° are 12 mm.
        let dot = drawn.picture.items.iter().find_map(|i| match i {
            Item::Dot { at, .. } => Some(*at),
            _ => None,
        });
        assert!(dot.is_some_and(|at| at.distance(DVec2::new(15.0, 4.0)) < 1e-9), "{dot:?}");
        assert!(drawn.picture.words.contains("weakest: 6° toward its left"));
    }

    #[test]
    fn what_rolls_over_has_a_sentence_in_place_of_the_rose() {
        let mut drawn = Elevation::default();
        rose(&mut drawn, &Lean { by_direction_deg: vec![0.0; 24], ..Lean::default() }, DVec2::ZERO, 60.0, 2.0);
        assert!(drawn.picture.words.contains("rolls over: no lean to draw"));
        assert!(drawn.picture.words.contains("Mending"));
        let is_rose = |i: &Item| matches!(i, Item::Line { .. } | Item::Dot { .. });
        assert!(!drawn.picture.items.iter().any(is_rose));
        let holds = |p: &DVec2| drawn.picture.extent.low.cmple(*p).all() && drawn.picture.extent.high.cmpge(*p).all();
        assert!(drawn.picture.items.iter().all(|i| !matches!(i, Item::Text { at, .. } if !holds(at))));
    }
}
