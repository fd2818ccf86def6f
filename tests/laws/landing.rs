//! How a dropped toy lands where a seam of it is limp.

use glam::DVec3;
use toppleknot::measure::{Derived, derive, land};
use toppleknot::part::End;
use toppleknot::rounds::rounds_of_counts;
use toppleknot::toy::{Extra, ExtraKind, Piece, Seat, Toy};
use toppleknot::view::posed::{lay_dangling, turned};

use super::narrow::sample;

/// A body that stands, and a head of this many stitches on a neck of six; with a stick in it or not.
fn toy(head: u32, stick: bool) -> Toy {
    let piece = |name: &str, counts: &[u32], seat: Seat| {
        let mut piece = Piece::default();
        piece.part.name = name.into();
        piece.part.rounds = rounds_of_counts(counts).expect("counts above zero");
        piece.placement.seat = seat;
        piece
    };
    let floor = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let body = piece("body", &[6, 12, 18, 24, 30, 30, 30, 30, 24, 18, 12, 6], floor);
    let mut counts = vec![6];
    counts.extend((1..=head / 6).map(|i| 6 * i));
    counts.extend(vec![head; head as usize / 4]);
    counts.extend((1..=head / 6).rev().map(|i| 6 * i));
    let head = piece("head", &counts, Seat::OnEnd { part: "body".into(), end: End::Finish });
    let kind = ExtraKind::NeckStick;
    let extras = if stick { vec![Extra { kind, part: "head".into(), ..Extra::default() }] } else { Vec::new() };
    Toy { pieces: vec![body, head], extras, ..Toy::default() }
}

fn share_of_head(derived: &Derived) -> f64 {
    let mass_g = |i: usize| derived.made.masses[i].whole.mass_g;
    mass_g(1) / (mass_g(0) + mass_g(1))
}

/// A head that outweighs the body lies on the floor whatever its neck, so a stick in it changes nothing.
#[test]
fn the_heavier_side_of_a_limp_neck_lands() {
    let ups = |derived: &Derived| -> Vec<DVec3> {
        land(derived).expect("it lands").iter().map(|p| DVec3::from_array(p.up)).collect()
    };
    let limp = derive(&toy(54, false));
    let stiff = derive(&toy(54, true));
    assert!(share_of_head(&limp) > 0.6, "{}", share_of_head(&limp));
    assert!(limp.made.poses[1].limp && !limp.made.poses[1].bears && stiff.made.poses[1].bears);
    let (a, b) = (ups(&limp), ups(&stiff));
    assert_eq!(a.len(), b.len());
    assert!(a.iter().zip(&b).all(|(a, b)| a.distance(*b) < 0.05), "{a:?} {b:?}");
}

/// Arms that wobble and are light prop nothing up, standing or dropped.
#[test]
fn what_is_light_and_limp_gives_way() {
    let hare = derive(&sample("Shop-window hare"));
    let arm = hare.report.parts.iter().position(|p| p.name == "Arm").expect("it has arms");
    let pose = &hare.made.poses[arm];
    assert!(pose.limp && pose.firm && !pose.bears);
    assert!(!hare.made.props_when_dropped()[arm]);
}

/// However it lands, what is heavy lies on the floor and not under it.
#[test]
fn nothing_heavy_sinks_through_the_floor() {
    for head in [18, 30, 42, 54, 66] {
        for stick in [false, true] {
            let derived = derive(&toy(head, stick));
            for pose in land(&derived).expect("it lands") {
                let (mut made, _) = turned(&derived.made, DVec3::from_array(pose.up));
                lay_dangling(&mut made);
                for (part, solid) in made.outsides() {
                    let lowest_mm = -solid.support_mm(DVec3::NEG_Z);
                    assert!(lowest_mm > -1.0, "head of {head}, up {:?}: part {part} at {lowest_mm} mm", pose.up);
                }
            }
        }
    }
}
