//! Shapes to start from: outlines by their size.

use std::cell::Cell;
use std::f64::consts::PI;

use glam::DVec2;
use kurbo::{BezPath, PathEl, Point};

use super::half::{HalfError, HalfOutline};

/// A shape to start from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StartShape {
    /// Round all over; only the width counts.
    Ball,
    /// Blunt at the start, narrower at the finish.
    Egg,
    /// Flat at the start, pointed at the finish.
    Cone,
    /// Flat at the start, straight, a shallow cap at the finish.
    Cylinder,
    /// Wide at the start, a waist, a smaller head.
    Pear,
    /// Closed at the start, open at its widest.
    Dome,
    /// A cushion: two discs joined at the rim, as thick as the height.
    Disc,
    /// A tube, rounded at the start, open at the finish.
    Limb,
    /// A leaf, rounded at the start, open at the finish.
    Ear,
}

impl StartShape {
    /// Every one, in the order they are offered.
    pub const ALL: [StartShape; 9] = [
        StartShape::Ball,
        StartShape::Egg,
        StartShape::Cone,
        StartShape::Cylinder,
        StartShape::Pear,
        StartShape::Dome,
        StartShape::Disc,
        StartShape::Limb,
        StartShape::Ear,
    ];

    /// Its name, one word.
    pub fn word(self) -> &'static str {
        match self {
            StartShape::Ball => "ball",
            StartShape::Egg => "egg",
            StartShape::Cone => "cone",
            StartShape::Cylinder => "cylinder",
            StartShape::Pear => "pear",
            StartShape::Dome => "dome",
            StartShape::Disc => "disc",
            StartShape::Limb => "limb",
            StartShape::Ear => "ear",
        }
    }

    /// Its outline, this wide and high outside, mm. A ball is as high as it is wide.
    ///
    /// # Errors
    /// When a size is no length above 0 or larger than an outline may be.
    pub fn outline(self, width_mm: f64, height_mm: f64) -> Result<HalfOutline, HalfError> {
        let height_mm = if self == StartShape::Ball { width_mm } else { height_mm };
        let scaled: Vec<DVec2> = self.unit().into_iter().map(|p| DVec2::new(p.x * width_mm, p.y * height_mm)).collect();
        // The tube's cap and the limb's tip are round whatever its length.
        let tip = (0.5 * width_mm).min(height_mm);
        let points = match self {
            StartShape::Limb => {
                let mut points = arc(0.5 * width_mm, tip, false);
                points.push(DVec2::new(0.5 * width_mm, height_mm));
                points
            }
            StartShape::Cylinder => {
                let cap = 0.4 * tip;
                let mut points = vec![DVec2::ZERO, DVec2::new(0.5 * width_mm, 0.0)];
                points.extend(arc(0.5 * width_mm, cap, true).into_iter().map(|p| p + DVec2::new(0.0, height_mm - cap)));
                points
            }
            _ => scaled,
        };
        HalfOutline::new(&points)
    }

    /// The outline of width and height 1; radii up to 0.5.
    fn unit(self) -> Vec<DVec2> {
        let turned = |radius: &dyn Fn(f64) -> f64| -> Vec<DVec2> {
            let at = |i: usize| PI * i as f64 / 120.0;
            let widest = (0..=120).map(|i| radius(at(i))).fold(0.0, f64::max);
            let point = |i: usize| DVec2::new(0.5 * radius(at(i)) / widest, 0.5 - 0.5 * at(i).cos());
            (0..=120).map(point).collect()
        };
        match self {
            StartShape::Ball | StartShape::Disc => turned(&|a| a.sin()),
            StartShape::Egg => turned(&|a| a.sin() * (1.0 + 0.2 * a.cos())),
            StartShape::Cone => vec![DVec2::ZERO, DVec2::new(0.5, 0.0), DVec2::new(0.0, 1.0)],
            StartShape::Cylinder | StartShape::Limb => Vec::new(),
            StartShape::Pear => curved(&[
                [0.34, 0.0, 0.5, 0.12, 0.5, 0.3],
                [0.5, 0.54, 0.28, 0.56, 0.28, 0.76],
                [0.28, 0.92, 0.16, 1.0, 0.0, 1.0],
            ]),
            StartShape::Dome => arc(0.5, 1.0, false),
            StartShape::Ear => curved(&[[0.3, 0.0, 0.5, 0.35, 0.5, 0.6], [0.5, 0.82, 0.4, 0.92, 0.36, 1.0]]),
        }
    }
}

/// A quarter of an ellipse of half axes radius and height: from the axis outward, or where `closing` from the wall to
/// the axis.
fn arc(radius: f64, height: f64, closing: bool) -> Vec<DVec2> {
    let at = |i: usize| 0.5 * PI * i as f64 / 60.0;
    let point = |i: usize| {
        if closing {
            DVec2::new(radius * at(i).cos(), height * at(i).sin())
        } else {
            DVec2::new(radius * at(i).sin(), height * (1.0 - at(i).cos()))
        }
    };
    (0..=60).map(point).collect()
}

/// Cubic curves one after the other from the origin, flattened.
fn curved(pieces: &[[f64; 6]]) -> Vec<DVec2> {
    let mut path = BezPath::new();
    path.move_to((0.0, 0.0));
    for [a, b, c, d, e, f] in pieces {
        path.curve_to((*a, *b), (*c, *d), (*e, *f));
    }
    flattened(&path, 2e-4, usize::MAX)
}

/// A path as points, nowhere farther than `accuracy` from it. Once there are more than `most` the rest of the path is
/// left out.
pub(super) fn flattened(path: &BezPath, accuracy: f64, most: usize) -> Vec<DVec2> {
    let number = Cell::new(0);
    let mut points = Vec::new();
    let mut put = |p: Point| {
        points.push(DVec2::new(p.x, p.y));
        number.set(points.len());
    };
    kurbo::flatten(path.iter().take_while(|_| number.get() <= most), accuracy, |piece| match piece {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => put(p),
        _ => {}
    });
    points
}
