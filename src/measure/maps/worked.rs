//! From a place on the stuffed surface of a part to the round and stitch that lie there, and back.
//!
//! Stitches share their round's length evenly, from where the round begins. Rounds worked in a spiral begin each a
//! little further on: the beginnings lie where `drift_starts` puts them. Which way the stitches follow each other
//! as an address's angle grows depends on the hand, on the side that is outside, and on whether the part's frame is
//! mirrored in the toy: the toy's own frame is left-handed.

use std::f64::consts::TAU;

use crate::rounds::Round;
use crate::solid::Ring;
use crate::toy::address::{angle_deg_of, outline_at_share, ring_at};
use crate::toy::{Address, Settings};

/// Angle at which round 1 begins where the maker says nothing: the back.
const BACK_DEG: f64 = 180.0;

/// A place by round and stitch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Worked {
    /// Round, counted from 0.
    pub round: usize,
    /// Height within it, 0 at its lower edge, 1 at its upper.
    pub within: f64,
    /// Stitches from where the round begins, in the direction of work; 0 up to the round's count.
    pub stitches: f64,
}

/// The worked fabric of one copy of a part.
#[derive(Clone, Debug)]
pub struct WorkedFabric<'a> {
    nodes: &'a [Ring],
    counts: Vec<u32>,
    /// Where each round begins, as a share of the way around in the direction of work, from address angle 0.
    starts: Vec<f64>,
    /// Angles of addresses grow in the direction of work.
    with_work: bool,
}

impl<'a> WorkedFabric<'a> {
    /// The fabric of a part: its nodes (middle of the fabric), its rounds, the maker's hand, the shift of round
    /// starts in stitches a round, and whether the copy's motion into the toy's frame mirrors it.
    pub fn new(nodes: &'a [Ring], rounds: &[Round], settings: &Settings, drift_stitches: f64, mirrored: bool) -> Self {
        // In the toy's left-handed frame an unmirrored part's angles grow to the right, seen from outside with its
        // later rounds up.
        let with_work = settings.runs_leftward() == mirrored;
        let first_deg = settings.first_stitch_deg.filter(|d| d.is_finite()).unwrap_or(BACK_DEG);
        let mut fabric = WorkedFabric {
            nodes,
            counts: rounds.iter().map(|r| r.count().max(1)).collect(),
            starts: Vec::new(),
            with_work,
        };
        // The worker's right, for a right hand, is against the direction of work.
        let drift = if drift_stitches.is_finite() { drift_stitches.clamp(-100.0, 100.0) } else { 0.0 };
        let starts = drift_starts(rounds, -drift);
        let begins = |(round, drifted): (usize, f64)| fabric.share(round as f64 + 0.5, first_deg) + drifted / TAU;
        fabric.starts = starts.into_iter().enumerate().map(begins).collect();
        fabric
    }

    /// Rounds.
    pub fn rounds(&self) -> usize {
        self.counts.len()
    }

    /// Stitches in a round, counted from 0.
    pub fn count(&self, round: usize) -> u32 {
        self.counts.get(round).copied().unwrap_or(1)
    }

    /// Where a round begins, as a share of the way around in the direction of work from address angle 0; not wrapped.
    pub fn start_share(&self, round: usize) -> f64 {
        self.starts.get(round).copied().unwrap_or(0.0)
    }

    /// Where a round begins in the part's own frame, as a share (0 up to 1) of the way around from +x toward +y: how
    /// pictures go around a section.
    pub fn begins_from_x(&self, round: usize) -> f64 {
        // Addresses go from +y toward +x: a quarter of every section lies between the two.
        let from_y = if self.with_work { self.start_share(round) } else { -self.start_share(round) };
        (0.25 - from_y).rem_euclid(1.0)
    }

    /// Whether stitches follow each other from +x toward +y of the part's own frame.
    pub fn runs_x_to_y(&self) -> bool {
        !self.with_work
    }

    /// Where a round begins, as an address's angle in (−180, 180], degrees.
    pub fn starts_deg(&self, round: usize) -> f64 {
        let share = self.start_share(round);
        let deg = self.angle_deg(round as f64 + 0.5, share);
        if deg > 180.0 { deg - 360.0 } else { deg }
    }

    /// Share of the way around in the direction of work, from address angle 0, of an angle at a node; not wrapped.
    fn share(&self, node: f64, angle_deg: f64) -> f64 {
        let share = ring_at(self.nodes, node).map_or(angle_deg / 360.0, |r| share_of_angle(r, angle_deg));
        if self.with_work { share } else { -share }
    }

    /// The other way round, in [0, 360).
    fn angle_deg(&self, node: f64, share: f64) -> f64 {
        let share = if self.with_work { share } else { -share };
        ring_at(self.nodes, node).map_or(360.0 * share.rem_euclid(1.0), |r| angle_of_share(r, share))
    }

    /// Round and stitch of an address; `None` for a part without rounds. What lies beyond the last round (where the
    /// part is gathered shut) counts to it.
    pub fn worked(&self, address: Address) -> Option<Worked> {
        let last = self.counts.len().checked_sub(1)?;
        let node = if address.round.is_finite() { address.round.max(0.0) } else { 0.0 };
        // An edge belongs to the round below it.
        let round = ((node.ceil() as usize).max(1) - 1).min(last);
        let count = f64::from(self.counts[round]);
        let share = (self.share(node, address.angle_deg) - self.starts[round]).rem_euclid(1.0);
        // Rounding must not turn the round's beginning into its end.
        let stitches = if share > 1.0 - 1e-12 { 0.0 } else { share * count };
        Some(Worked { round, within: (node - round as f64).min(1.0), stitches })
    }

    /// Address of a round and stitch, its angle in [0, 360).
    pub fn address(&self, at: Worked) -> Address {
        let last = self.counts.len().saturating_sub(1);
        let round = at.round.min(last);
        let node = round as f64 + at.within;
        let share = self.start_share(round) + at.stitches / f64::from(self.count(round));
        Address { round: node, angle_deg: self.angle_deg(node, share) }
    }

    /// Stitches of the first place's round from it to another place, the short way: above 0 in the direction of
    /// work.
    pub fn stitches_between(&self, from: Worked, to: Worked) -> f64 {
        let share = |at: Worked| self.starts[at.round] + at.stitches / f64::from(self.counts[at.round]);
        let count = f64::from(self.counts[from.round]);
        let turn = share(to) - share(from);
        (turn - turn.round()) * count
    }
}

/// Angle that the start of each round has drifted to, radians, in the direction of work: rounds worked in a
/// spiral lean by `shift` stitches a round. One entry a round.
fn drift_starts(rounds: &[Round], shift: f64) -> Vec<f64> {
    let mut angle = 0.0;
    rounds
        .iter()
        .map(|round| {
            let here = angle;
            angle += shift * TAU / f64::from(round.count().max(1));
            here
        })
        .collect()
}

/// Share of a section's length from the front to the place of an address's angle, growing with the angle; whole
/// turns are kept. On a long section the place is that of the same x (see `surface_point`).
fn share_of_angle(ring: Ring, angle_deg: f64) -> f64 {
    let turns = (angle_deg / 360.0).floor();
    let (r, c) = (ring.radius_mm.max(0.0), ring.core_half_mm.max(0.0));
    if c <= 1e-9 || !angle_deg.is_finite() {
        return angle_deg / 360.0;
    }
    let angle = (angle_deg / 360.0 - turns) * TAU;
    let (sin, cos) = angle.sin_cos();
    let x = (r + c) * sin;
    let length = TAU * r + 4.0 * c;
    // Length from the front's middle to the side, for a place on the front half of that side.
    let quarter = |x: f64| if x <= c { x } else { c + r * ((x - c) / r).min(1.0).asin() };
    let reach = quarter(x.abs());
    let (front, left) = (cos >= 0.0, sin >= 0.0);
    let along = match (front, left) {
        (true, true) => reach,
        (false, true) => length / 2.0 - reach,
        (false, false) => length / 2.0 + reach,
        (true, false) => length - reach,
    };
    turns + along / length
}

/// The angle in [0, 360) of a share of a section's length.
fn angle_of_share(ring: Ring, share: f64) -> f64 {
    let share = share.rem_euclid(1.0);
    if ring.core_half_mm <= 1e-9 {
        return 360.0 * share;
    }
    angle_deg_of(ring, outline_at_share(ring, share)).rem_euclid(360.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::rounds_of_counts;

    fn tube(radius_mm: f64, core_half_mm: f64, rounds: usize) -> Vec<Ring> {
        (0..=rounds).map(|i| Ring { z_mm: i as f64 * 5.0, radius_mm, core_half_mm }).collect()
    }

    #[test]
    fn long_sections_go_there_and_back() {
        for (r, c) in [(10.0, 0.0), (10.0, 6.0), (3.0, 40.0), (0.0, 12.0)] {
            let ring = Ring { z_mm: 0.0, radius_mm: r, core_half_mm: c };
            for i in 0..72 {
                let share = f64::from(i) / 72.0 + 0.003;
                let back = share_of_angle(ring, angle_of_share(ring, share));
                assert!((back - share).abs() < 1e-7, "{r} {c} {share}: {back}");
            }
        }
    }

    #[test]
    fn hands_and_sides_mirror_each_other() {
        let nodes = tube(20.0, 0.0, 8);
        let rounds = rounds_of_counts(&[24; 8]).expect("counts");
        let at = Address { round: 6.5, angle_deg: 130.0 };
        let stitches = |settings: Settings, mirrored: bool, angle_deg: f64| {
            let fabric = WorkedFabric::new(&nodes, &rounds, &settings, 0.3, mirrored);
            fabric.worked(Address { angle_deg, ..at }).expect("rounds").stitches
        };
        let right = stitches(Settings::default(), false, 130.0);
        let left = Settings { left_handed: true, ..Settings::default() };
        let turned = Settings { wrong_side_out: true, ..Settings::default() };
        assert!((stitches(left, false, -130.0) - right).abs() < 1e-9);
        assert!((stitches(turned, false, -130.0) - right).abs() < 1e-9);
        assert!((stitches(Settings::default(), true, -130.0) - right).abs() < 1e-9);
    }
}
