//! What can bear a toy on the floor: soft parts that sink in under their pressure, and flats that do not.

use std::sync::{Arc, OnceLock};

use glam::{DAffine3, DVec3};

use super::rounded::{Outline, most_bulge_mm, rounded};
use crate::part::End;
use crate::solid::{Cut, Placed, ReadyToCut, Ring, Section, Solid};

/// A thing that can touch the floor. Directions are unit vectors of the toy's frame, `down` points to the floor,
/// a level is the plane {x·down = level} (mm). Everything is in mm of the toy's frame.
pub trait Bearer {
    /// How far anything of it reaches down: the largest x·down, soft or hard.
    fn support_mm(&self, down: DVec3) -> f64;
    /// A point that reaches so far.
    fn lowest_point(&self, down: DVec3) -> DVec3;
    /// An upper bound of `support_mm` that costs little, to leave out parts far above the floor.
    fn support_bound_mm(&self, down: DVec3) -> f64 {
        self.support_mm(down)
    }
    /// Its extent along the direction.
    fn thickness_mm(&self, down: DVec3) -> f64 {
        self.support_mm(down) + self.support_mm(-down)
    }
    /// The pressure inside (kPa = mN/mm²) with which its soft surface pushes back.
    fn pressure_kpa(&self) -> f64;
    /// The section of its soft body by a plane; empty for one that is hard all over.
    fn section(&self, down: DVec3, level_mm: f64) -> Section;
    /// That section with the volume beyond it.
    fn cut(&self, down: DVec3, level_mm: f64) -> Cut;
    /// What of it the floor cannot pass: how far it reaches down, and a point that does. `None` if all is soft.
    fn hard_support(&self, _down: DVec3) -> Option<(f64, DVec3)> {
        None
    }
    /// Adds points of what touches the floor at this level: the section's outline, and those points of hard
    /// flats that reach within `slack_mm` of the floor.
    fn outline(&self, down: DVec3, level_mm: f64, slack_mm: f64, points: &mut Vec<DVec3>);
}

/// A hard flat across a part: a base pressed flat, edged by a back-loop round, or with a disc inside. What the
/// solid has beyond it is pressed in and left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flat {
    /// Where it lies along the part's axis and how far it is hard (mm, the part's frame; a stadium for an oval
    /// base).
    pub ring: Ring,
    /// The end that it closes.
    pub end: End,
}

impl Flat {
    /// A flat that closes the end of the first round.
    pub fn at_start(ring: Ring) -> Self {
        Self { ring, end: End::Start }
    }

    /// A flat that closes the end of the last round.
    pub fn at_finish(ring: Ring) -> Self {
        Self { ring, end: End::Finish }
    }
}

/// A stuffed part as it bears on the floor: its solid with the profile rounded between the rounds, since a base of
/// straight walls would rest on their edges.
#[derive(Clone, Debug)]
pub struct PartBearer {
    body: Arc<Body>,
    toy_from_part: DAffine3,
    pressure_kpa: f64,
    /// A ball round all of it: centre (the toy's frame) and radius.
    ball: (DVec3, f64),
}

/// What bears of a part, in the part's frame; all its copies share it.
#[derive(Debug)]
struct Body {
    /// Straight walls between the rounds, pressed in at the flat.
    straight: Solid,
    /// The same rounded, and its outline. Worked out once it is asked for: most parts never come near the floor.
    round: OnceLock<(ReadyToCut, Outline)>,
    /// The flat as a solid of one ring.
    flat: Option<Solid>,
    /// A ball round all of it: height of its centre on the axis, and radius.
    ball: (f64, f64),
}

impl Body {
    fn of(straight: Solid, flat: Option<Solid>) -> Body {
        let rings = || straight.rings.iter().chain(flat.iter().flat_map(|f| &f.rings));
        let (low, high) = rings().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), r| (a.min(r.z_mm), b.max(r.z_mm)));
        let middle = if low <= high { 0.5 * (low + high) } else { 0.0 };
        let reach = rings().map(|r| (r.z_mm - middle).hypot(r.radius_mm + r.core_half_mm)).fold(0.0, f64::max);
        // A hair is added for the outline's bulge between its points.
        let radius = 1.001 * (reach + most_bulge_mm(&straight));
        Body { straight, round: OnceLock::new(), flat, ball: (middle, radius) }
    }

    fn round(&self) -> &(ReadyToCut, Outline) {
        self.round.get_or_init(|| {
            let solid = rounded(&self.straight);
            let outline = Outline::of(&solid);
            (ReadyToCut::new(solid), outline)
        })
    }
}

impl PartBearer {
    /// A part with a plain rounded base, soft all over; its pressure in kPa.
    pub fn soft(placed: &Placed, pressure_kpa: f64) -> Self {
        Self::new(Body::of(placed.solid.clone(), None).into(), placed.toy_from_part, pressure_kpa)
    }

    /// A part with a hard flat: what its solid has beyond the flat is cut away, the rest is soft.
    pub fn with_flat(placed: &Placed, pressure_kpa: f64, flat: Flat) -> Self {
        let body = Body::of(pressed(placed.solid, &flat), Some(Solid { rings: vec![flat.ring] }));
        Self::new(body.into(), placed.toy_from_part, pressure_kpa)
    }

    /// The same part in another place, where it stands on the floor with this pressure (kPa).
    pub fn copied(&self, toy_from_part: DAffine3, pressure_kpa: f64) -> Self {
        Self::new(Arc::clone(&self.body), toy_from_part, pressure_kpa)
    }

    fn new(body: Arc<Body>, toy_from_part: DAffine3, pressure_kpa: f64) -> Self {
        let (middle, radius) = body.ball;
        let centre = toy_from_part.transform_point3(DVec3::new(0.0, 0.0, middle));
        Self { body, toy_from_part, pressure_kpa, ball: (centre, radius) }
    }

    /// The solid that bears (pressed in at the flat, rounded between its rounds), in its place.
    pub fn placed(&self) -> Placed<'_> {
        Placed { solid: self.body.round().0.solid(), toy_from_part: self.toy_from_part }
    }

    /// The hard flat as a solid of one ring, in its place.
    pub fn placed_flat(&self) -> Option<Placed<'_>> {
        self.body.flat.as_ref().map(|solid| Placed { solid, toy_from_part: self.toy_from_part })
    }

    fn curve(&self) -> &Outline {
        &self.body.round().1
    }

    fn soft_support(&self, down: DVec3) -> f64 {
        self.toy_from_part.translation.dot(down) + self.curve().support(self.placed().part_direction(down))
    }
}

impl Bearer for PartBearer {
    fn support_mm(&self, down: DVec3) -> f64 {
        let soft = self.soft_support(down);
        self.placed_flat().map_or(soft, |flat| soft.max(flat.support_mm(down)))
    }

    fn lowest_point(&self, down: DVec3) -> DVec3 {
        match self.placed_flat().and_then(|f| f.extreme(down)) {
            Some(hard) if hard.support_mm >= self.soft_support(down) => hard.point,
            _ => self.toy_from_part.transform_point3(self.curve().extreme(self.placed().part_direction(down))),
        }
    }

    fn support_bound_mm(&self, down: DVec3) -> f64 {
        self.ball.0.dot(down) + self.ball.1
    }

    fn thickness_mm(&self, down: DVec3) -> f64 {
        if self.body.straight.rings.is_empty() { 0.0 } else { self.support_mm(down) + self.support_mm(-down) }
    }

    fn pressure_kpa(&self) -> f64 {
        self.pressure_kpa
    }

    fn section(&self, down: DVec3, level_mm: f64) -> Section {
        self.body.round().0.section(self.toy_from_part, down, level_mm)
    }

    fn cut(&self, down: DVec3, level_mm: f64) -> Cut {
        self.body.round().0.cut(self.toy_from_part, down, level_mm)
    }

    fn hard_support(&self, down: DVec3) -> Option<(f64, DVec3)> {
        let extreme = self.placed_flat()?.extreme(down)?;
        Some((extreme.support_mm, extreme.point))
    }

    fn outline(&self, down: DVec3, level_mm: f64, slack_mm: f64, points: &mut Vec<DVec3>) {
        self.placed().section_outline(down, level_mm, points);
        for ring in self.body.flat.iter().flat_map(|f| &f.rings) {
            ring.outline(48, &mut |x, y| {
                let point = self.toy_from_part.transform_point3(DVec3::new(x, y, ring.z_mm));
                if point.dot(down) >= level_mm - slack_mm {
                    points.push(point);
                }
            });
        }
    }
}

/// The solid without what lies beyond a flat, closed by a lid there.
fn pressed(solid: &Solid, flat: &Flat) -> Solid {
    let z = flat.ring.z_mm;
    let kept = |ring: &Ring| match flat.end {
        End::Start => ring.z_mm > z,
        End::Finish => ring.z_mm < z,
    };
    let lid = solid.rings.windows(2).find_map(|pair| {
        let dz = pair[1].z_mm - pair[0].z_mm;
        let inside = pair[0].z_mm <= z && z <= pair[1].z_mm && dz > 0.0;
        inside.then(|| {
            let t = (z - pair[0].z_mm) / dz;
            let mix = |a: f64, b: f64| a + t * (b - a);
            Ring {
                z_mm: z,
                radius_mm: mix(pair[0].radius_mm, pair[1].radius_mm),
                core_half_mm: mix(pair[0].core_half_mm, pair[1].core_half_mm),
            }
        })
    });
    let mut rings: Vec<Ring> = solid.rings.iter().filter(|r| kept(r)).copied().collect();
    match (flat.end, lid) {
        (_, None) => {}
        (End::Start, Some(lid)) => rings.insert(0, lid),
        (End::Finish, Some(lid)) => rings.push(lid),
    }
    Solid { rings }
}
