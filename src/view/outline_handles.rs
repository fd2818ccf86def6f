//! Handles on the outline of a part at one of its rounds, in a flat view: where they are and what a pull means.

use glam::DVec2;

use super::elevation::{Side, Sight};
use crate::advise::outline::stuffed_outline;
use crate::measure::Made;

/// An axis that points this much at who looks shows no outline of the part.
const AT_VIEWER: f64 = 0.9;

/// A place of the outline that can be pulled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handle {
    /// The part, by its place in the list.
    pub part: usize,
    /// The copy of it.
    pub copy: usize,
    /// The round, counted from 0; the outline is pulled at its outer edge.
    pub round: usize,
    /// Where the axis passes through that edge, in the picture, mm.
    pub middle: DVec2,
    /// Away from the axis, in the picture; length 1.
    pub out: DVec2,
    /// Half the width of the part there, mm.
    pub half_mm: f64,
    /// What of it is no radius but the straight core of an oval start, which a pull does not change; how much of it is seen.
    core_mm: f64,
    core_seen_mm: f64,
}

impl Handle {
    /// Where it is, mm.
    pub fn at(&self) -> DVec2 {
        self.middle + self.out * (self.half_mm - self.core_mm + self.core_seen_mm)
    }

    /// Half the width that the part is to have when the handle is pulled to a place, mm; never below 0.
    pub fn pulled_to(&self, place: DVec2) -> f64 {
        (self.out.dot(place - self.middle) - self.core_seen_mm + self.core_mm).max(0.0)
    }

    /// A mark across the way of the pull at half a width, as long as this to either side.
    pub fn mark(&self, half_mm: f64, long_mm: f64) -> [DVec2; 2] {
        let at = self.middle + self.out * (half_mm - self.core_mm + self.core_seen_mm);
        [at - self.out.perp() * long_mm, at + self.out.perp() * long_mm]
    }
}

/// The handles of a round of a part: left and right, for each of its copies. None where the part is not stuffed or is seen
/// along its axis.
pub fn handles(made: &Made, side: Side, part: usize, round: usize) -> Vec<Handle> {
    let (Some(shape), Some(pose)) = (made.shapes.get(part), made.poses.get(part)) else { return Vec::new() };
    let Some(ring) = shape.outer.rings.get(round + 1) else { return Vec::new() };
    if stuffed_outline(shape).is_none() {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (copy, toy_from_part) in pose.toy_from_part.iter().enumerate() {
        let sight = Sight::new(side, *toy_from_part);
        if sight.axis_near.abs() > AT_VIEWER {
            continue;
        }
        let across = sight.z.perp().normalize_or(DVec2::X);
        for out in [across, -across] {
            found.push(Handle {
                part,
                copy,
                round,
                middle: sight.on_axis(ring.z_mm),
                out,
                half_mm: ring.radius_mm + ring.core_half_mm,
                core_mm: ring.core_half_mm,
                core_seen_mm: ring.core_half_mm * sight.x.dot(across).abs(),
            });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advise::outline::{Rules, pull};
    use crate::measure::{make, shape_input};
    use crate::toy::{Address, Copies, Toy};
    use crate::view::test_toy::body_with_arm;

    fn toy() -> Toy {
        body_with_arm(Copies::MirroredPair, Address { round: 7.0, angle_deg: 60.0 })
    }

    #[test]
    fn a_handle_lies_on_the_outline_and_tells_its_own_radius() {
        let toy = toy();
        let made = make(&toy);
        for side in [Side::Front, Side::Left] {
            for part in 0..2 {
                for handle in handles(&made, side, part, 2) {
                    assert!((handle.pulled_to(handle.at()) - handle.half_mm).abs() < 1e-9);
                    let farther = handle.at() + 3.0 * handle.out + 5.0 * handle.out.perp();
                    assert!((handle.pulled_to(farther) - handle.half_mm - 3.0).abs() < 1e-9);
                }
            }
        }
        // The body stands upright: as far from the middle as the part is wide there.
        let body = handles(&made, Side::Front, 0, 5);
        let ring = made.shapes[0].outer.rings[6];
        assert_eq!(body.len(), 2);
        assert!((body[0].at().x.abs() - ring.radius_mm).abs() < 1e-6);
        assert!((body[0].at() + body[1].at() - 2.0 * body[0].middle).length() < 1e-9);
        // Two arms, two handles each; mirrored they are mirrored.
        let arms = handles(&made, Side::Front, 1, 2);
        assert_eq!(arms.len(), 4);
        let mirrored = |p: DVec2| DVec2::new(-p.x, p.y);
        assert!(arms[..2].iter().all(|a| arms[2..].iter().any(|b| mirrored(a.at()).distance(b.at()) < 1e-6)));
        // From above the body shows no outline along its axis.
        assert!(handles(&made, Side::Top, 0, 5).is_empty());
    }

    #[test]
    fn what_is_pulled_out_becomes_wider_there() {
        let toy = toy();
        let made = make(&toy);
        let handle = handles(&made, Side::Left, 0, 5)[0];
        let to = handle.pulled_to(handle.at() + 4.0 * handle.out);
        let counts = pull(&toy.pieces[0].part, &shape_input(&toy, 0), 5, to, &Rules::default());
        assert!(counts[5] > 30, "{counts:?}");
    }
}
