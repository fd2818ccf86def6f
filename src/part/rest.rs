//! The rest shape of a part: what the fabric alone would be, before anything pulls on it.
//!
//! Node 0 is the start (the pole of a magic ring, the edge of a chain ring); node i is the outer edge of
//! round i, radius n·w/2π; link i joins node i − 1 to node i and is as long as round i is high. A part drawn
//! shut has one link more, as long as its last radius, to a closing pole: the mirror of the magic ring.

use std::f64::consts::{FRAC_2_PI, TAU};

use super::{Base, End, Part};
use crate::rounds::Start;
use crate::yarn::Fabric;

/// More stitches than this do not draw shut (common practice, no source).
pub const MOST_GATHERED: u32 = 12;

/// A flat base: nodes from its end up to an edge lie in one plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BaseFlat {
    /// The end that is flat.
    pub end: End,
    /// The node at the edge.
    pub edge_node: usize,
    /// Radius that bears, mm.
    pub radius_mm: f64,
}

/// Node radii and link lengths of a part at rest.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartRest {
    /// Rest radius of each node, mm; of a section with a straight core, that of its round ends.
    pub radius_mm: Vec<f64>,
    /// Half the straight core of each node's section, mm; 0 for round parts. The way around is 2π·radius + 4·core.
    pub core_half_mm: Vec<f64>,
    /// Rest length of each link, mm.
    pub link_mm: Vec<f64>,
    /// Node 0 is a pole or the closed chain of an oval.
    pub start_closed: bool,
    /// The last node is a closing pole.
    pub finish_closed: bool,
    /// The flat base, where there is one.
    pub flat: Option<BaseFlat>,
}

impl PartRest {
    /// Whether the first node is the single point of a magic ring.
    pub fn starts_at_pole(&self) -> bool {
        self.start_closed && self.radius_mm.first() == Some(&0.0)
    }
}

/// Rest shape of a part in this fabric. `joined_core_mm` is the length between the axes of the outer parts
/// that a joined start is worked around, 0 for every other start. A part without rounds has no nodes.
pub fn rest_shape(part: &Part, fabric: &Fabric, joined_core_mm: f64) -> PartRest {
    let (w, h) = (fabric.w_mm.value(), fabric.h_mm.value());
    let radius_of = |count: u32| f64::from(count) * w / TAU;
    let Some(first) = part.rounds.first() else { return PartRest::default() };

    let mut rest =
        PartRest { start_closed: part.start_is_closed(), finish_closed: part.closes(), ..PartRest::default() };
    let (start_radius, core_mm) = match &part.start {
        Start::MagicRing => (0.0, 0.0),
        Start::ChainOval { chain } => (radius_of(chain.saturating_mul(2)), f64::from(*chain) * w),
        // Worked around the rims and the chain between: as long as the round itself, whatever its stitches say
        // they are worked into.
        Start::JoinedParts { .. } => (radius_of(first.count().max(1)), joined_core_mm.max(0.0)),
        Start::ChainRing | Start::Rim { .. } => {
            let uses = if 2 * first.uses() < first.count() { first.count() } else { first.uses() };
            (radius_of(uses.max(1)), 0.0)
        }
    };
    rest.radius_mm.push(start_radius);
    for round in &part.rounds {
        // A round that leaves nothing is a finding elsewhere; here it must only stay a shape.
        rest.radius_mm.push(radius_of(round.count().max(1)));
        rest.link_mm.push(h * round.height_in_single());
    }
    if rest.finish_closed {
        let last = rest.radius_mm[rest.radius_mm.len() - 1];
        rest.link_mm.push(last);
        rest.radius_mm.push(0.0);
    }
    rest.straighten(core_mm);
    rest.flat = flat_base(part, &rest, w);
    rest
}

impl PartRest {
    /// Gives the sections of an oval or joined start their straight core. It keeps its length in the disc of
    /// increases and dies away over its own length beyond (from memory; a default); the way around stays the
    /// same. The first node of an oval is its chain, with no round ends at all.
    fn straighten(&mut self, core_mm: f64) {
        self.core_half_mm = vec![0.0; self.radius_mm.len()];
        if core_mm <= 0.0 {
            return;
        }
        let mut beyond = 0.0;
        let (mut in_disc, mut rim) = (true, 0);
        for i in 0..self.radius_mm.len() {
            if i > 0 {
                // The radius of the node before is already that of its round ends.
                let before = self.radius_mm[i - 1] + self.core_half_mm[i - 1] * FRAC_2_PI;
                in_disc &= self.start_closed && self.radius_mm[i] > before;
                if !in_disc {
                    beyond += self.link_mm[i - 1];
                }
            }
            // The chain itself is all core; every round has round ends of at least a fifth of its way around.
            let most =
                if i == 0 && self.start_closed { 1.0 } else { 0.8 } * std::f64::consts::FRAC_PI_2 * self.radius_mm[i];
            let core_half = (core_mm / 2.0 * (-beyond / core_mm).exp()).min(most);
            self.core_half_mm[i] = core_half;
            let round = self.radius_mm[i] - core_half * FRAC_2_PI;
            self.radius_mm[i] = if i == 0 && self.start_closed { 0.0 } else { round };
            if in_disc {
                rim = i;
            }
        }
        // The first rounds about a chain have too few stitches for their ends to lie flat. The long sides give
        // before the ends tuck in: up to a tenth of the way around (from memory; a default).
        let mut flat = 0.0;
        for i in 1..rim {
            flat += self.link_mm[i - 1];
            let around = self.radius_mm[i] + self.core_half_mm[i] * FRAC_2_PI;
            self.radius_mm[i] += (flat - self.radius_mm[i]).clamp(0.0, 0.1 * around);
        }
    }
}

/// Nodes counted from the base end inward.
fn from_end(rest: &PartRest, end: End, steps: usize) -> usize {
    match end {
        End::Start => steps,
        End::Finish => rest.radius_mm.len() - 1 - steps,
    }
}

fn flat_base(part: &Part, rest: &PartRest, w: f64) -> Option<BaseFlat> {
    let end = part.base_end;
    let closed = match end {
        End::Start => rest.start_closed,
        End::Finish => rest.finish_closed,
    };
    if !closed {
        return None;
    }
    let nodes = rest.radius_mm.len();
    let at = |steps: usize| rest.radius_mm[from_end(rest, end, steps)];
    // The disc: as long as the radius grows away from the end, and never the whole part.
    let mut disc = 0;
    while disc + 2 < nodes && at(disc + 1) > at(disc) {
        disc += 1;
    }
    let flat = |steps: usize, radius_mm: f64| {
        (steps >= 1 && steps + 1 < nodes).then(|| BaseFlat {
            end,
            edge_node: from_end(rest, end, steps),
            radius_mm: radius_mm.min(at(steps)),
        })
    };
    // Only an edge at the rim of the disc makes a base; a back-loop round higher up is a trim.
    let at_rim = |steps: usize| steps >= 1 && steps <= disc + 1 && at(steps) >= at(disc) - w / 2.0;
    // A back-loop round leaves its ridge at the node below it, whichever end is the base.
    let edge_of = |round: usize| match end {
        End::Start => round.checked_sub(1),
        End::Finish => nodes.checked_sub(round),
    };
    match part.base {
        Base::Rounded => None,
        Base::AsWorked => {
            let round = match end {
                End::Start => part.rounds.iter().position(|r| r.is_back_loop()).map(|i| i + 1),
                End::Finish => part.rounds.iter().rposition(|r| r.is_back_loop()).map(|i| i + 1),
            }?;
            let steps = edge_of(round)?;
            at_rim(steps).then(|| flat(steps, f64::MAX))?
        }
        Base::BackLoopEdge { round } => {
            let steps = edge_of(usize::try_from(round).ok()?)?;
            at_rim(steps).then(|| flat(steps, f64::MAX))?
        }
        Base::PressedFlat { radius_mm } => match radius_mm {
            Some(radius) => flat(steps_within(radius, disc, w, at), radius),
            // Pressed flat with no radius said: as far as the rounds grow at no less than half the pace of a
            // flat disc (from memory; a default).
            None => {
                let mut steps = 0;
                while steps < disc && at(steps + 1) - at(steps) > 0.5 * 6.0 * w / TAU {
                    steps += 1;
                }
                flat(steps, f64::MAX)
            }
        },
        Base::Disc { diameter_mm } => flat(steps_within(diameter_mm / 2.0, disc, w, at), diameter_mm / 2.0),
    }
}

/// How many nodes of the disc lie within a radius, to half a stitch.
fn steps_within(radius_mm: f64, disc: usize, w: f64, at: impl Fn(usize) -> f64) -> usize {
    (1..=disc).take_while(|&s| at(s) <= radius_mm + w / 4.0).last().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::{Loops, Round, rounds_of_counts};
    use crate::yarn::{Yarn, fabric};

    fn counts(list: &[u32]) -> Vec<Round> {
        rounds_of_counts(list).expect("counts above zero")
    }

    fn swatch() -> Fabric {
        fabric(&Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(20.0), ..Yarn::default() })
    }

    #[test]
    fn a_ball_has_a_pole_at_each_end() {
        let part = Part { rounds: counts(&[6, 12, 18, 18, 12, 6]), ..Part::default() };
        let rest = rest_shape(&part, &swatch(), 0.0);
        assert_eq!((rest.radius_mm.len(), rest.link_mm.len()), (8, 7));
        assert_eq!((rest.radius_mm[0], rest.radius_mm[7]), (0.0, 0.0));
        assert!((rest.radius_mm[3] - 18.0 * 5.0 / TAU).abs() < 1e-12);
        assert!((rest.link_mm[6] - rest.radius_mm[6]).abs() < 1e-12);
    }

    #[test]
    fn too_many_stitches_do_not_draw_shut() {
        let part = Part { rounds: counts(&[6, 12, 18]), ..Part::default() };
        assert!(!rest_shape(&part, &swatch(), 0.0).finish_closed);
    }

    #[test]
    fn a_back_loop_round_at_the_rim_of_the_disc_makes_a_base_and_one_higher_up_does_not() {
        let mut part = Part { rounds: counts(&[6, 12, 18, 24, 24, 24, 24, 18]), ..Part::default() };
        for run in &mut part.rounds[4].runs {
            run.stitch.loops = Loops::Back;
        }
        let flat = rest_shape(&part, &swatch(), 0.0).flat.expect("an edged base");
        assert_eq!(flat.edge_node, 4);
        part.rounds.swap(4, 6);
        assert_eq!(rest_shape(&part, &swatch(), 0.0).flat, None);
    }

    #[test]
    fn a_disc_flattens_the_rounds_it_covers() {
        let base = Base::Disc { diameter_mm: 30.0 };
        let part = Part { rounds: counts(&[6, 12, 18, 24, 30, 30, 24]), base, ..Part::default() };
        // 18 stitches of 5 mm have a radius of 14.3 mm, 24 have 19.1.
        let flat = rest_shape(&part, &swatch(), 0.0).flat.expect("a disc");
        assert_eq!(flat.edge_node, 3);
        assert!(flat.radius_mm <= 15.0);
    }

    #[test]
    fn an_absurd_edge_is_no_edge() {
        for round in [0, 1, 6, 7, u32::MAX] {
            let base = Base::BackLoopEdge { round };
            for base_end in [End::Start, End::Finish] {
                let part = Part { rounds: counts(&[6, 12, 18, 18, 12, 6]), base, base_end, ..Part::default() };
                if let Some(flat) = rest_shape(&part, &swatch(), 0.0).flat {
                    assert!(flat.edge_node > 0 && flat.edge_node < 7);
                }
            }
        }
    }
}
