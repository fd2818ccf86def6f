//! A neck, or any joint of two stuffed parts: what its fabric carries before it folds, what hangs on it, and
//! where in a part worked in one piece such joints lie.
//!
//! The joint is taken as a short stuffed tube of radius r under the pressure p of its stuffing. The fabric
//! carries tension only, so the tube bends like a beam until the tension on the hollow side is gone, and folds
//! when a single line of fabric carries all of it: Comer & Levy, Deflections of an inflated circular-cylindrical
//! cantilever beam, AIAA Journal 1 (1963). Fibre stuffing carries some compression that gas does not, so this
//! errs to the careful side. All moments are in mN·mm = kPa·mm³; 1000 of them are 1 mN·m.
//!
//! A long section folds over the middle of its long sides, the weaker of its two ways, and is taken so whatever way
//! the toy leans: the pressure's force p·A through its middle, held by the fabric of one side at r from it.

use std::f64::consts::PI;

use crate::part::End;
use crate::solid::Ring;

/// Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901). Grams times this are mN.
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// Load share from which a joint holds whatever way the toy is turned.
pub const HOLDS_FROM: f64 = 1.0;
/// Load share from which a joint holds upright: it then nods at a tilt of 30° or more.
pub const NODS_FROM: f64 = 0.5;

/// Bending moment, in mN·mm, at which a stuffed tube of this section folds the weaker way: p·A·r, from the moments
/// about the one line of fabric that is still taut; π·p·r³ for a round tube (Comer & Levy 1963).
pub fn collapse_moment(pressure_kpa: f64, section: Ring) -> f64 {
    pressure_kpa * section.area_mm2() * section.radius_mm
}

/// Radius, mm, of the round tube that folds at the same moment as one of this section: ∛(A·r/π).
pub fn alike_radius_mm(section: Ring) -> f64 {
    if section.core_half_mm == 0.0 {
        return section.radius_mm;
    }
    (section.area_mm2() * section.radius_mm / PI).cbrt()
}

/// Bending moment, in mN·mm, at which the first wrinkle of a round tube shows: half the collapse moment (Comer & Levy
/// 1963).
pub fn wrinkle_moment(pressure_kpa: f64, radius_mm: f64) -> f64 {
    0.5 * PI * pressure_kpa * radius_mm.powi(3)
}

/// Bending moment, in mN·mm, that a round tube carries when only the fabric within ± `taut_half_deg` of the outermost
/// line is still taut, the rest wrinkled: 180° at the first wrinkle, 0° at the fold (values outside are cut to
/// that range).
///
/// With the stress σ·(cos θ − cos α)/(1 − cos α) over |θ| < α, the force along the tube gives
/// p·π·r² = 2σtr·(sin α − α·cos α)/(1 − cos α) and the moment σtr²·(α − sin α·cos α)/(1 − cos α); so
/// M/(p·r³) = (π/2)·(α − sin α·cos α)/(sin α − α·cos α).
pub fn wrinkled_moment(pressure_kpa: f64, radius_mm: f64, taut_half_deg: f64) -> f64 {
    let a = taut_half_deg.clamp(0.0, 180.0).to_radians();
    let (sin, cos) = a.sin_cos();
    // Both differences go with α³ and would cancel; 2 − α²/5 is their ratio to α⁴.
    let ratio = if a < 1e-3 { 2.0 - 0.2 * a * a } else { (a - sin * cos) / (sin - a * cos) };
    0.5 * PI * ratio * pressure_kpa * radius_mm.powi(3)
}

/// Bending moment, in mN·mm, of what lies beyond a joint when the toy is turned so that it hangs straight out:
/// m·g·L, `lever_mm` being the distance from the joint to the centre of mass of all that lies beyond it.
pub fn load_moment(mass_beyond_g: f64, lever_mm: f64) -> f64 {
    mass_beyond_g * STANDARD_GRAVITY * lever_mm
}

/// Load share: collapse moment over load moment. Infinite when nothing hangs on the joint.
pub fn load_share(pressure_kpa: f64, section: Ring, mass_beyond_g: f64, lever_mm: f64) -> f64 {
    let load = load_moment(mass_beyond_g, lever_mm);
    if load <= 0.0 {
        return f64::INFINITY;
    }
    collapse_moment(pressure_kpa, section) / load
}

/// The tilt of the toy from upright, in degrees, beyond which the joint gives way: asin(share), because the
/// lever's level part is L·sin(tilt). `None` for a share of 1 or more, which holds at every tilt.
pub fn nod_deg(share: f64) -> Option<f64> {
    (share < HOLDS_FROM).then(|| share.max(0.0).asin().to_degrees())
}

/// Whether the weight beyond a joint presses it together: m·g > p·A, more than the stuffing of the joint carries along
/// its axis.
pub fn sinks(pressure_kpa: f64, section: Ring, mass_beyond_g: f64) -> bool {
    mass_beyond_g * STANDARD_GRAVITY > pressure_kpa * section.area_mm2()
}

/// What becomes of a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum JointVerdict {
    /// Holds whatever way the toy is turned (share 1 or more).
    Holds,
    /// Holds upright, nods beyond [`nod_deg`] (share from 0.5 to below 1).
    Nods,
    /// Flops over (share below 0.5, a nod at less than 30°).
    Flops,
    /// A capped stick runs through it from the middle of one part to the middle of the other. It cures no
    /// tipping, and is never for a child's toy.
    Held,
}

impl JointVerdict {
    /// All verdicts, from the best to the worst without a stick.
    pub const ALL: [JointVerdict; 4] =
        [JointVerdict::Holds, JointVerdict::Nods, JointVerdict::Flops, JointVerdict::Held];

    /// The verdict at a load share.
    pub fn at(share: f64, stick: bool) -> Self {
        match share {
            _ if stick => JointVerdict::Held,
            s if s >= HOLDS_FROM => JointVerdict::Holds,
            s if s >= NODS_FROM => JointVerdict::Nods,
            _ => JointVerdict::Flops,
        }
    }

    /// The word that stands for it in reports.
    pub fn word(self) -> &'static str {
        match self {
            JointVerdict::Holds => "holds",
            JointVerdict::Nods => "nods",
            JointVerdict::Flops => "flops",
            JointVerdict::Held => "held",
        }
    }
}

/// A joint with what hangs on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Pressure of the stuffing in the softer of the two parts, kPa.
    pub pressure_kpa: f64,
    /// Stuffed section of the joint; where it is long its radius is half the narrow width.
    pub section: Ring,
    /// Mass of all that lies beyond the joint, seen from the part that bears the toy.
    pub mass_beyond_g: f64,
    /// Distance from the joint to the centre of that mass.
    pub lever_mm: f64,
    /// Whether a capped stick runs through it.
    pub stick: bool,
}

impl Joint {
    /// [`collapse_moment`] of this joint, mN·mm.
    pub fn collapse_moment(&self) -> f64 {
        collapse_moment(self.pressure_kpa, self.section)
    }

    /// [`load_moment`] of this joint, mN·mm.
    pub fn load_moment(&self) -> f64 {
        load_moment(self.mass_beyond_g, self.lever_mm)
    }

    /// [`load_share`] of this joint, the stick left out of account.
    pub fn load_share(&self) -> f64 {
        load_share(self.pressure_kpa, self.section, self.mass_beyond_g, self.lever_mm)
    }

    /// [`nod_deg`] of this joint; `None` also where a stick holds it.
    pub fn nod_deg(&self) -> Option<f64> {
        if self.stick { None } else { nod_deg(self.load_share()) }
    }

    /// [`sinks`] of this joint; a stick carries the weight.
    pub fn sinks(&self) -> bool {
        !self.stick && sinks(self.pressure_kpa, self.section, self.mass_beyond_g)
    }

    /// What becomes of it.
    pub fn verdict(&self) -> JointVerdict {
        JointVerdict::at(self.load_share(), self.stick)
    }
}

/// Why a round counts as a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NarrowKind {
    /// The part widens again beyond it.
    Waist,
    /// A slope ends there and a thin run begins.
    Foot,
}

/// A joint inside a part that is worked in one piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NarrowRound {
    /// Index of the node (outer edge of a round) that folds first: in a run of equal width the one nearest the
    /// root, since the load hangs on its longest lever there.
    pub node: usize,
    /// The least radius of the run that begins at it.
    pub radius_mm: f64,
    /// Why it counts.
    pub kind: NarrowKind,
}

/// Differences of radius up to this share are no waist and no slope. What a joint carries goes with r³, so 3 %
/// of radius is 9 % of load share, where the pressure behind it is only known to a factor of 3; a single stitch
/// more or less in a round of 34 or more stays below it.
const TRIVIAL: f64 = 0.03;
/// A slope leads into a thin run when, within one diameter of the run, the part is this many times as wide as
/// the run: it then carries twice the moment (1.25³ = 1.95), and the fold stays at the foot. Gentler tapers (a
/// limb that thins over its whole length) have no place where they fold.
const SHOULDER: f64 = 1.25;
/// A thin run is at least this many radii long. A shorter one is a rim: the seam or pole at its end has the same
/// radius and nearly the same lever, and is looked at anyway.
const RUN_IN_RADII: f64 = 0.5;

/// The joints inside a part, from the root outward: waists (least radius between two wider places) and feet of
/// slopes into a thin run, from the stuffed radius ([`alike_radius_mm`] of a long section, so that what counts is how
/// much it carries and not how wide it looks from the front) and height of each node. The ends of the part are seams or
/// poles, and are left out; so are ripples below 3 %. Both lists are of equal length (the longer is cut);
/// radii that are no numbers give no joints.
pub fn narrow_rounds(radius_mm: &[f64], z_mm: &[f64], root: End) -> Vec<NarrowRound> {
    let mut nodes: Vec<(f64, f64)> = radius_mm.iter().copied().zip(z_mm.iter().copied()).collect();
    if nodes.iter().any(|(r, z)| !r.is_finite() || !z.is_finite()) {
        return Vec::new();
    }
    if root == End::Finish {
        nodes.reverse();
    }
    let mut found = waists(&nodes);
    let feet = feet(&nodes, &found);
    found.extend(feet);
    found.sort_by_key(|(run, _)| run.0);
    let named = |k: usize| if root == End::Finish { nodes.len() - 1 - k } else { k };
    let narrow = |((first, last), kind): (Run, NarrowKind)| {
        let least = nodes[first..=last].iter().fold(f64::INFINITY, |least, (r, _)| least.min(*r));
        NarrowRound { node: named(first), radius_mm: least, kind }
    };
    found.into_iter().map(narrow).collect()
}

/// First and last node of a run, counted from the root.
type Run = (usize, usize);

/// Falls and rises of more than the trivial share, in turn; between a fall and the next rise lies a waist.
fn waists(nodes: &[(f64, f64)]) -> Vec<(Run, NarrowKind)> {
    let mut found = Vec::new();
    let Some(&(start, _)) = nodes.first() else { return found };
    let (mut falling, mut widest, mut least) = (false, start, 0);
    for (k, &(r, _)) in nodes.iter().enumerate() {
        if !falling {
            widest = r.max(widest);
            if r * (1.0 + TRIVIAL) < widest {
                (falling, least) = (true, k);
            }
            continue;
        }
        let low = nodes[least].0;
        if r < low {
            least = k;
        } else if r > low * (1.0 + TRIVIAL) {
            let even = |n: &(f64, f64)| n.0 <= low * (1.0 + TRIVIAL);
            let before = nodes[..least].iter().rev().take_while(|n| even(n)).count();
            if low > 0.0 {
                found.push(((least - before, k - 1), NarrowKind::Waist));
            }
            (falling, widest) = (false, r);
        }
    }
    found
}

/// Thin runs that follow a shoulder and are no waists.
fn feet(nodes: &[(f64, f64)], waists: &[(Run, NarrowKind)]) -> Vec<(Run, NarrowKind)> {
    let mut found = Vec::new();
    let mut first = 1;
    while first < nodes.len() {
        let (r, z) = nodes[first];
        let even = |n: &(f64, f64)| n.0 <= r * (1.0 + TRIVIAL) && r <= n.0 * (1.0 + TRIVIAL);
        let last = first + nodes[first + 1..].iter().take_while(|n| even(n)).count();
        let long = last >= first + 2 && (nodes[last].1 - z).abs() >= RUN_IN_RADII * r;
        let shoulder = || {
            let near = nodes[..first].iter().rev().take_while(|n| (n.1 - z).abs() <= 2.0 * r);
            near.into_iter().any(|n| n.0 >= SHOULDER * r)
        };
        let free = || waists.iter().all(|((from, to), _)| *to < first || last < *from);
        if r > 0.0 && long && shoulder() && free() {
            found.push(((first, last), NarrowKind::Foot));
            first = last;
        }
        first += 1;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Nodes 4 mm apart in height.
    fn joints(radii: &[f64], root: End) -> Vec<(usize, f64, NarrowKind)> {
        let z: Vec<f64> = (0..radii.len()).map(|i| 4.0 * i as f64).collect();
        narrow_rounds(radii, &z, root).into_iter().map(|n| (n.node, n.radius_mm, n.kind)).collect()
    }

    #[test]
    fn a_waist_is_found_from_either_end() {
        let radii = [0.0, 9.0, 16.0, 20.0, 19.0, 14.0, 10.0, 13.0, 15.0, 12.0, 0.0];
        assert_eq!(joints(&radii, End::Start), [(6, 10.0, NarrowKind::Waist)]);
        assert_eq!(joints(&radii, End::Finish), [(6, 10.0, NarrowKind::Waist)]);
    }

    #[test]
    fn an_even_waist_folds_at_its_end_nearer_the_root() {
        let radii = [0.0, 12.0, 22.0, 24.0, 17.0, 10.1, 10.0, 9.9, 10.15, 16.0, 18.0, 9.0, 0.0];
        assert_eq!(joints(&radii, End::Start), [(5, 9.9, NarrowKind::Waist)]);
        assert_eq!(joints(&radii, End::Finish), [(8, 9.9, NarrowKind::Waist)]);
    }

    #[test]
    fn a_long_thin_neck_folds_at_its_foot_only_seen_from_the_body() {
        let radii = [0.0, 10.0, 20.0, 25.0, 25.0, 20.0, 14.0, 10.0, 9.9, 9.9, 10.0, 10.0];
        assert_eq!(joints(&radii, End::Start), [(7, 9.9, NarrowKind::Foot)]);
        // Borne by its thin end, the seam there is the joint; the body only widens beyond it.
        assert_eq!(joints(&radii, End::Finish), []);
    }

    #[test]
    fn a_slope_that_eases_out_ends_where_the_run_is_even() {
        let radii = [25.0, 20.0, 15.0, 12.0, 11.1, 10.5, 10.2, 10.0, 10.0, 10.0, 10.0];
        assert_eq!(joints(&radii, End::Start), [(6, 10.0, NarrowKind::Foot)]);
    }

    #[test]
    fn every_step_of_a_stepped_part_is_a_foot_and_a_waist_beyond_is_kept() {
        let radii = [0.0, 20.0, 30.0, 20.0, 20.0, 20.0, 20.0, 12.0, 12.0, 12.0, 12.0, 8.0, 11.0, 0.0];
        let expected = [(3, 20.0, NarrowKind::Foot), (7, 12.0, NarrowKind::Foot), (11, 8.0, NarrowKind::Waist)];
        assert_eq!(joints(&radii, End::Start), expected);
    }

    #[test]
    fn balls_tubes_cones_and_rims_have_no_joints() {
        let ball = [0.0, 8.0, 14.0, 18.0, 20.0, 20.0, 20.0, 18.0, 14.0, 8.0, 0.0];
        let tube = [0.0, 9.0, 10.0, 10.02, 9.99, 10.01, 9.98, 10.0, 10.0, 10.0];
        let cone: Vec<f64> = (0..30).map(|i| 20.0 - 0.5 * f64::from(i)).collect();
        let slow: Vec<f64> = (0..60).map(|i| 20.0 - 0.1 * f64::from(i)).collect();
        let rim = [0.0, 15.0, 25.0, 25.0, 20.0, 15.0, 15.0];
        for radii in [&ball[..], &tube, &cone, &slow, &rim, &[], &[3.0], &[3.0, 0.0]] {
            assert_eq!(joints(radii, End::Start), [], "{radii:?}");
            assert_eq!(joints(radii, End::Finish), [], "{radii:?}");
        }
    }

    #[test]
    fn ripples_below_three_per_cent_do_not_count_and_deeper_ones_do() {
        let rippled = |dip: f64| [0.0, 15.0, 20.0, 20.0, 20.0 * (1.0 - dip), 20.0, 20.0, 14.0, 0.0];
        assert_eq!(joints(&rippled(0.028), End::Start), []);
        assert_eq!(joints(&rippled(0.05), End::Start), [(4, 19.0, NarrowKind::Waist)]);
    }

    #[test]
    fn an_open_end_that_is_the_narrowest_place_is_a_seam_not_a_waist() {
        let radii = [8.0, 8.0, 12.0, 18.0, 12.0, 7.0];
        assert_eq!(joints(&radii, End::Start), []);
        assert_eq!(joints(&radii, End::Finish), []);
    }

    #[test]
    fn no_numbers_no_joints() {
        assert_eq!(joints(&[20.0, 10.0, f64::NAN, 20.0], End::Start), []);
    }

    #[test]
    fn nothing_beyond_a_joint_leaves_it_holding() {
        let section = Ring { radius_mm: 10.0, ..Ring::default() };
        let joint = Joint { pressure_kpa: 1.0, section, mass_beyond_g: 0.0, lever_mm: 40.0, stick: false };
        assert_eq!(joint.verdict(), JointVerdict::Holds);
        assert_eq!(joint.nod_deg(), None);
        assert!(!joint.sinks());
    }

    #[test]
    fn a_stick_holds_what_would_flop_and_sink() {
        let section = Ring { radius_mm: 8.0, ..Ring::default() };
        let bare = Joint { pressure_kpa: 0.3, section, mass_beyond_g: 90.0, lever_mm: 50.0, stick: false };
        assert_eq!(bare.verdict(), JointVerdict::Flops);
        assert!(bare.sinks());
        let held = Joint { stick: true, ..bare };
        assert_eq!(held.verdict(), JointVerdict::Held);
        assert_eq!((held.nod_deg(), held.sinks()), (None, false));
    }
}
