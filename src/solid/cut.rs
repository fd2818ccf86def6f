//! What a plane cuts from a solid: the section, the part beyond it, and the section's outline.
//!
//! In the part's frame the plane is {x·u = L}. With a circle at height z its trace is a chord at the distance
//! s(z) = (L − u_z z)/u_h from the axis, u_h the length of u across the axis, and the half chord is √(r² − s²).
//! Along a wall between two rings r and s are linear, so the square of the half chord, (r − s)(r + s), is a
//! quadratic whose root is integrated in closed form. Stadium rings are integrated numerically.

mod conic;
mod ready;
mod stadium;
mod wall;

use glam::{DVec2, DVec3};

use super::{Placed, Ring};
pub use ready::ReadyToCut;
use wall::slanted;

/// A plane section of a solid.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Section {
    /// Area (mm²).
    pub area_mm2: f64,
    /// Area centroid (mm, the toy's frame); the origin where the area is 0.
    pub centroid: DVec3,
}

/// A section and the volume that lies beyond it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cut {
    /// The section.
    pub section: Section,
    /// Volume of the part with x·u ≥ level (mm³).
    pub volume_mm3: f64,
}

/// Below this sine between direction and axis a plane counts as square to the axis; the error is of its order.
const SQUARE: f64 = 1e-7;

/// The plane in a part's own frame.
#[derive(Clone, Copy)]
struct Plane {
    /// Component of the direction along the axis.
    along: f64,
    /// Component across the axis, never negative.
    across: f64,
    /// Unit direction across the axis (x, y of the part's frame).
    side: DVec2,
    /// The plane's level in the part's frame (mm).
    level: f64,
    /// The trace's offset from the axis is `origin` − `slope`·z.
    origin: f64,
    slope: f64,
}

impl Plane {
    fn new(placed: &Placed, down: DVec3, level_mm: f64) -> Self {
        let u = placed.part_direction(down);
        let across = (u.x * u.x + u.y * u.y).sqrt();
        let side = if across > SQUARE { DVec2::new(u.x, u.y) / across } else { DVec2::X };
        let level = level_mm - placed.toy_from_part.translation.dot(down);
        Self { along: u.z, across, side, level, origin: level / across, slope: u.z / across }
    }

    /// Distance of the plane's trace from the axis at a ring, along `side`: what lies further out is cut off.
    fn offset(&self, ring: &Ring) -> f64 {
        self.origin - self.slope * ring.z_mm
    }

    fn is_square(&self) -> bool {
        self.across <= SQUARE
    }
}

/// The stretch of a wall that a plane meets: its parameter runs from 0 at the first ring to 1 at the next.
#[derive(Clone, Copy)]
struct Span {
    from: f64,
    to: f64,
    /// Whether the trace is at the edge of the rings there, so that the chord shrinks to a point.
    from_edge: bool,
    to_edge: bool,
}

/// Where two linear functions, given by their values at the ends, are both positive.
fn span(near: (f64, f64), far: (f64, f64)) -> Option<Span> {
    let mut span = Span { from: 0.0, to: 1.0, from_edge: near.0 <= 0.0, to_edge: near.1 <= 0.0 };
    for (a, b) in [near, far] {
        if a <= 0.0 && b <= 0.0 {
            return None;
        }
        if a <= 0.0 {
            span.from = span.from.max(a / (a - b));
            span.from_edge = true;
        } else if b <= 0.0 {
            span.to = span.to.min(a / (a - b));
            span.to_edge = true;
        }
    }
    (span.to > span.from).then_some(span)
}

/// Sums of a section in the part's frame: area, and area times offset along `side`, across it and height.
#[derive(Clone, Copy, Default)]
struct Sums {
    area: f64,
    moment: DVec3,
}

impl Placed<'_> {
    /// The section by the plane {x·down = level}, `down` a unit vector in the toy's frame (mm).
    pub fn section(&self, down: DVec3, level_mm: f64) -> Section {
        self.cut_or_section(down, level_mm, false).section
    }

    /// The section by the plane {x·down = level} and the volume of what lies beyond, {x·down ≥ level}.
    pub fn cut(&self, down: DVec3, level_mm: f64) -> Cut {
        self.cut_or_section(down, level_mm, true)
    }

    fn cut_or_section(&self, down: DVec3, level_mm: f64, with_volume: bool) -> Cut {
        let plane = Plane::new(self, down, level_mm);
        self.cut_chains(std::iter::once(self.solid.rings.as_slice()), &plane, with_volume)
    }

    /// As `cut`, where the plane meets or lies beyond no wall but those of `chains`: rings that follow each other.
    fn cut_chains<'r>(&self, chains: impl Iterator<Item = &'r [Ring]>, plane: &Plane, with_volume: bool) -> Cut {
        let (sums, volume_mm3) = if plane.is_square() {
            square(&self.solid.rings, plane, with_volume)
        } else {
            slanted(chains, plane, with_volume)
        };
        if sums.area <= 0.0 {
            return Cut { section: Section::default(), volume_mm3 };
        }
        let mean = sums.moment / sums.area;
        let part = DVec3::new(
            mean.x * plane.side.x - mean.y * plane.side.y,
            mean.x * plane.side.y + mean.y * plane.side.x,
            mean.z,
        );
        let centroid = self.toy_from_part.transform_point3(part);
        Cut { section: Section { area_mm2: sums.area, centroid }, volume_mm3 }
    }

    /// Adds points of the section's outline (mm, the toy's frame) to a list; their convex hull is the section's.
    pub fn section_outline(&self, down: DVec3, level_mm: f64, points: &mut Vec<DVec3>) {
        let plane = Plane::new(self, down, level_mm);
        let rings = &self.solid.rings;
        let mut add = |x: f64, y: f64, z: f64| {
            points.push(self.toy_from_part.transform_point3(DVec3::new(x, y, z)));
        };
        if plane.is_square() {
            if let Some(ring) = ring_at(rings, plane.level / plane.along) {
                ring.outline(48, &mut |x, y| add(x, y, ring.z_mm));
            }
            return;
        }
        for pair in rings.windows(2) {
            let offsets = (plane.offset(&pair[0]), plane.offset(&pair[1]));
            let reach = (stadium::reach(&pair[0], plane.side), stadium::reach(&pair[1], plane.side));
            let Some(span) =
                span((reach.0 - offsets.0, reach.1 - offsets.1), (reach.0 + offsets.0, reach.1 + offsets.1))
            else {
                continue;
            };
            for step in 0..=4 {
                let t = span.from + (span.to - span.from) * f64::from(step) / 4.0;
                let ring = between(&pair[0], &pair[1], t);
                let s = offsets.0 + t * (offsets.1 - offsets.0);
                let (low, high) = stadium::chord(&ring, plane.side, s);
                for end in [low, high] {
                    add(s * plane.side.x - end * plane.side.y, s * plane.side.y + end * plane.side.x, ring.z_mm);
                }
            }
        }
    }
}

impl Ring {
    /// Points of the ring's outline (x, y of the part's frame, mm), at least `segments` round it.
    pub fn outline(&self, segments: usize, add: &mut impl FnMut(f64, f64)) {
        let half = segments.div_ceil(2).max(2);
        for side in [1.0, -1.0] {
            let steps = if self.core_half_mm > 0.0 { half + 1 } else { half };
            for step in 0..steps {
                let angle = std::f64::consts::PI * step as f64 / half as f64;
                let (sin, cos) = angle.sin_cos();
                // Half a turn from the bottom of the right end to its top, then the same on the left.
                add(side * (self.core_half_mm + self.radius_mm * sin), -side * self.radius_mm * cos);
            }
        }
    }
}

/// The ring a share `t` of the way from one to another.
fn between(a: &Ring, b: &Ring, t: f64) -> Ring {
    Ring {
        z_mm: a.z_mm + t * (b.z_mm - a.z_mm),
        radius_mm: (a.radius_mm + t * (b.radius_mm - a.radius_mm)).max(0.0),
        core_half_mm: (a.core_half_mm + t * (b.core_half_mm - a.core_half_mm)).max(0.0),
    }
}

/// The solid's ring at a height, the wider one where walls meet in a step.
fn ring_at(rings: &[Ring], z_mm: f64) -> Option<Ring> {
    let mut found: Option<Ring> = None;
    for pair in rings.windows(2) {
        let dz = pair[1].z_mm - pair[0].z_mm;
        if z_mm < pair[0].z_mm || z_mm > pair[1].z_mm {
            continue;
        }
        let ring = between(&pair[0], &pair[1], if dz > 0.0 { (z_mm - pair[0].z_mm) / dz } else { 0.0 });
        if found.is_none_or(|f| ring.area_mm2() > f.area_mm2()) {
            found = Some(ring);
        }
    }
    found
}

/// Volume between two rings (mm³): a frustum with, for stadiums, the straight part between its halves.
fn wall_volume(a: &Ring, b: &Ring) -> f64 {
    let dz = b.z_mm - a.z_mm;
    let round = a.radius_mm * a.radius_mm + a.radius_mm * b.radius_mm + b.radius_mm * b.radius_mm;
    let straight = 2.0 * a.radius_mm * a.core_half_mm
        + a.radius_mm * b.core_half_mm
        + b.radius_mm * a.core_half_mm
        + 2.0 * b.radius_mm * b.core_half_mm;
    dz * (std::f64::consts::PI * round / 3.0 + 2.0 * straight / 3.0)
}

/// A plane square to the axis.
fn square(rings: &[Ring], plane: &Plane, with_volume: bool) -> (Sums, f64) {
    let z = plane.level / plane.along;
    let ring = ring_at(rings, z);
    let mut volume = 0.0;
    if with_volume {
        for pair in rings.windows(2) {
            let (a, b) = (&pair[0], &pair[1]);
            let (low, high) = if plane.along > 0.0 { (z.max(a.z_mm), b.z_mm) } else { (a.z_mm, z.min(b.z_mm)) };
            let dz = b.z_mm - a.z_mm;
            if low < high && dz > 0.0 {
                let (from, to) = ((low - a.z_mm) / dz, (high - a.z_mm) / dz);
                volume += wall_volume(&between(a, b, from), &between(a, b, to));
            }
        }
    }
    let sums = ring.map_or(Sums::default(), |r| {
        let area = r.area_mm2();
        Sums { area, moment: DVec3::new(0.0, 0.0, area * z) }
    });
    (sums, volume)
}
