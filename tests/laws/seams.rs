//! Where parts are sewn on: what the seam is as wide as, where it lies, how it runs.

use std::f64::consts::{PI, TAU};

use glam::DVec3;
use toppleknot::measure::joint::{STANDARD_GRAVITY, alike_radius_mm, narrow_rounds};
use toppleknot::measure::necks::{Neck, Place, necks};
use toppleknot::measure::work::seam_mm;
use toppleknot::measure::{Derived, derive, placements};
use toppleknot::part::{Amount, Base, End, Part};
use toppleknot::rounds::{Finish, Start, rounds_of_counts};
use toppleknot::solid::Ring;
use toppleknot::toy::address::surface_point;
use toppleknot::toy::{Address, Joint, Piece, Placement, Seat, Toy};
use toppleknot::yarn::Yarn;

/// Stitch width of the swatch below, mm.
const W_MM: f64 = 5.0;

pub fn piece(name: &str, counts: &[u32], finish: Finish, seat: Seat) -> Piece {
    let rounds = rounds_of_counts(counts).expect("counts above zero");
    let part = Part { name: name.into(), rounds, start: Start::MagicRing, finish, ..Part::default() };
    Piece { part, placement: Placement { seat, ..Placement::default() } }
}

pub fn toy(pieces: Vec<Piece>) -> Toy {
    let yarn = Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(21.0), ..Yarn::default() };
    Toy { yarns: vec![yarn], pieces, ..Toy::default() }
}

pub fn on_floor() -> Seat {
    Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 }
}

/// A ball of 36 stitches, worked down to so many.
pub fn ball(last: u32) -> Vec<u32> {
    let up = (1..=6).map(|i| 6 * i).chain([36; 6]);
    up.chain([30, 24, 18, 12, 6].into_iter().filter(|n| *n >= last)).collect()
}

fn neck(toy: &Toy, derived: &Derived) -> Neck {
    let [neck] = necks(toy, &derived.made)[..] else { panic!("one seam") };
    neck
}

/// Follows from geometry: a rim gathered onto a narrower one opens no wider than that, and a tube of radius r under
/// the pressure p folds at π·p·r³ (Comer & Levy 1963), whichever of the two rims is the narrow one.
#[test]
fn two_rims_hold_as_the_narrower_one_does() {
    for (below, above) in [(12, 30), (30, 12), (18, 18)] {
        let mut body = piece("Body", &ball(below), Finish::Open, on_floor());
        body.part.base = Base::PressedFlat { radius_mm: None };
        let mut head = piece("Head", &ball(above), Finish::Open, Seat::OnEnd { part: "Body".into(), end: End::Finish });
        head.placement.joint = Joint::RimToRim;
        let toy = toy(vec![body, head]);
        let derived = derive(&toy);
        let neck = neck(&toy, &derived);
        let r = f64::from(below.min(above)) * W_MM / TAU;
        let load = neck.load.mass_g * STANDARD_GRAVITY * neck.joint.lever_mm;
        let want = PI * neck.joint.pressure_kpa * r.powi(3) / load;
        let told = &derived.report.necks[0];
        assert!((told.radius_mm.value - r).abs() < 0.01, "{below} on {above}: {} for {r}", told.radius_mm.value);
        assert!(
            (told.load_share.value / want - 1.0).abs() < 0.01,
            "{below} on {above}: {:?} for {want}",
            told.load_share
        );
    }
}

/// Follows from geometry: a closed ball on an open foot is sewn around no more than the foot's rim, wherever it would
/// else be sewn around half its own width.
#[test]
fn a_ball_on_a_thin_rim_holds_as_the_rim_does() {
    let foot = piece("Foot", &[6, 12, 18, 18, 12, 6, 6, 6], Finish::Open, on_floor());
    let mut body = piece("Body", &ball(6), Finish::Gathered, Seat::OnEnd { part: "Foot".into(), end: End::Finish });
    body.placement.by = Some(End::Start);
    let toy = toy(vec![foot, body]);
    let seam = derive(&toy).report.necks.into_iter().find(|n| n.part == "Body").expect("it is sewn on");
    let rim = 6.0 * W_MM / TAU;
    assert!((seam.radius_mm.value - rim).abs() < 0.01, "{:?} for {rim}", seam.radius_mm);
}

/// A waist of a part on an oval base, as far from round as it is. Comer & Levy's collapse moment π·p·r³ of the round tube
/// whose radius is the narrow half width is less than what it carries, that of the wide half width more: the long
/// section's own is p·A·r, by the same statics.
#[test]
fn a_long_waist_holds_by_its_narrow_width() {
    let counts = [52, 58, 58, 58, 58, 46, 34, 30, 30, 30, 36, 48, 58, 58, 58, 46, 34, 22, 10, 6];
    let mut body = piece("Body", &counts, Finish::Gathered, on_floor());
    body.part.start = Start::ChainOval { chain: 20 };
    let toy = toy(vec![body]);
    let derived = derive(&toy);
    let neck = neck(&toy, &derived);
    let Place::Round { node } = neck.place else { panic!("a waist") };
    assert!((7..=10).contains(&node), "{node}");
    let ring = derived.made.shapes[0].nodes[node];
    let (r, c) = (ring.radius_mm, ring.core_half_mm);
    assert!(c > r, "a long one: {r}, {c}");
    let load = neck.load.mass_g * STANDARD_GRAVITY * neck.joint.lever_mm;
    let want = neck.joint.pressure_kpa * (PI * r * r + 4.0 * r * c) * r / load;
    let told = &derived.report.necks[0];
    assert!((told.load_share.value / want - 1.0).abs() < 1e-9, "{:?} for {want}", told.load_share);
    assert!((told.radius_mm.value - r).abs() < 1e-9);
}

/// A part pinched only from front to back, as wide as ever seen from the front, has a waist there.
#[test]
fn a_waist_that_is_not_seen_from_the_front_is_found() {
    let ring = |radius_mm: f64| Ring { radius_mm, core_half_mm: 40.0 - radius_mm, ..Ring::default() };
    let radii = [12.0, 18.0, 20.0, 18.0, 12.0, 9.0, 12.0, 18.0, 20.0, 14.0];
    let carry: Vec<f64> = radii.iter().map(|r| alike_radius_mm(ring(*r))).collect();
    let z: Vec<f64> = (0..radii.len()).map(|i| 5.0 * i as f64).collect();
    let found: Vec<usize> = narrow_rounds(&carry, &z, End::Start).iter().map(|n| n.node).collect();
    assert_eq!(found, [5]);
}

fn on_side() -> Seat {
    Seat::OnSurface { part: "Body".into(), at: Address { round: 9.0, angle_deg: 90.0 } }
}

/// However it is said that the edge is folded flat, everything takes it so: 24 stitches of 5 mm make a line of 60 mm,
/// which needs the least tail (300 mm, common practice, no source), and what hangs on it dangles.
#[test]
fn an_edge_that_is_folded_flat_is_so_for_all() {
    let counts = [6, 12, 18, 24, 24, 24, 24, 24, 24];
    let by_finish = |joint: Joint| {
        let mut arm = piece("Arm", &counts, Finish::FoldedFlat, on_side());
        arm.placement.joint = joint;
        arm
    };
    let mut open = piece("Arm", &counts, Finish::Open, on_side());
    open.placement.joint = Joint::FoldedFlat;
    for arm in [by_finish(Joint::RimOnSurface), by_finish(Joint::FoldedFlat), open] {
        let told = format!("{:?}, {:?}", arm.part.finish, arm.placement.joint);
        let toy = toy(vec![piece("Body", &ball(6), Finish::Gathered, on_floor()), arm]);
        let derived = derive(&toy);
        let seam = placements(&toy, &derived).seams.remove(0);
        assert_eq!(seam.joint, "folded_flat", "{told}");
        assert!((seam.length_mm - 60.0).abs() < 0.1, "{told}: {}", seam.length_mm);
        assert_eq!(seam.tail_mm.expect("it is sewn").value, 300.0, "{told}");
        assert!((seam_mm(&toy, &toy.pieces[1], W_MM).expect("it is sewn") - 60.0).abs() < 1e-9, "{told}");
        assert!(derived.report.necks.is_empty() && !derived.made.poses[1].firm, "{told}");
    }
}

/// An arm sewn on by its open start is no less firm for having its far end folded flat.
#[test]
fn the_far_end_of_a_part_does_not_fold_its_seam() {
    let mut arm = piece("Arm", &[24, 24, 24, 24, 24, 24], Finish::FoldedFlat, on_side());
    arm.part.start = Start::ChainRing;
    arm.placement.by = Some(End::Start);
    let toy = toy(vec![piece("Body", &ball(6), Finish::Gathered, on_floor()), arm]);
    let derived = derive(&toy);
    assert_eq!(placements(&toy, &derived).seams[0].joint, "rim_on_surface");
    assert!((seam_mm(&toy, &toy.pieces[1], W_MM).expect("it is sewn") - 120.0).abs() < 1e-9);
    assert_eq!(derived.report.necks.len(), 1);
    assert!(derived.made.poses[1].firm);
}

/// Follows from geometry: an edge folded flat touches the surface with its middle and bends along it, however wide it
/// is. So the seam is as long as half the rim, and the ear stands out as far whatever its width.
#[test]
fn an_ear_sewn_on_flat_sinks_into_nothing() {
    for n in [6, 12, 18, 24, 36, 48] {
        let counts: Vec<u32> = (1..=10).map(|i| n.min(6 * i)).collect();
        let mut ear = piece("Ear", &counts, Finish::FoldedFlat, on_side());
        ear.part.stuffing.amount = Amount::None;
        ear.placement.joint = Joint::FoldedFlat;
        for seat in [on_side(), Seat::OnEnd { part: "Body".into(), end: End::Finish }] {
            ear.placement.seat = seat;
            let toy = toy(vec![piece("Body", &ball(6), Finish::Gathered, on_floor()), ear.clone()]);
            let derived = derive(&toy);
            let pose = &derived.made.poses[1];
            let seam = pose.seam.expect("it is sewn on");
            let middle = pose.toy_from_part[0].transform_point3(DVec3::new(0.0, 0.0, seam.own_z_mm));
            let surface = match &ear.placement.seat {
                Seat::OnSurface { at, .. } => {
                    let point = surface_point(&derived.made.shapes[0].outer.rings, *at).expect("a surface");
                    derived.made.poses[0].toy_from_part[0].transform_point3(point.at)
                }
                _ => {
                    let top = derived.made.shapes[0].nodes.last().expect("nodes").z_mm;
                    derived.made.poses[0].toy_from_part[0].transform_point3(DVec3::new(0.0, 0.0, top))
                }
            };
            assert!(middle.distance(surface) < 1e-9, "{n}: {middle} for {surface}");
            let length = placements(&toy, &derived).seams[0].length_mm;
            let half_rim = f64::from(n) * W_MM / 2.0;
            assert!((length / half_rim - 1.0).abs() < 2e-3, "{n}: {length} for {half_rim}");
        }
    }
}
