//! Legs under a load: what presses them flat, and what is too limp to stand on.

use std::f64::consts::PI;

use toppleknot::measure::report::{Finding, FindingKind};
use toppleknot::measure::{Derived, derive};
use toppleknot::part::{Amount, End, Part, Stuffing};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::{Address, Copies, Extra, ExtraKind, Piece, Placement, Purpose, Seat, Spot, Toy};
use toppleknot::yarn::Yarn;

/// Standard gravity, m/s² (CGPM 1901).
const GRAVITY: f64 = 9.806_65;

/// A ball on four legs of this many stitches and rounds, with a weight in the ball.
fn toy(stitches: u32, rounds: usize, amount: Amount, weight_g: f64) -> Toy {
    let piece = |name: &str, counts: &[u32], amount, finish, placement| {
        let rounds = rounds_of_counts(counts).expect("counts above zero");
        let stuffing = Stuffing { amount, ..Stuffing::default() };
        Piece { part: Part { name: name.into(), rounds, stuffing, finish, ..Part::default() }, placement }
    };
    let ball = [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6];
    let floor = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let under = Seat::OnSurface { part: "ball".into(), at: Address { round: 4.0, angle_deg: 45.0 } };
    let on_ball = Placement { seat: under, copies: Copies::Around(4), nod_deg: 0.0, ..Placement::default() };
    let on_floor = Placement { seat: floor, ..Placement::default() };
    let weight = Extra {
        name: "weight".into(),
        kind: ExtraKind::Weight,
        mass_g: weight_g,
        part: "ball".into(),
        spot: Spot::Inside { share: 0.5 },
        ..Extra::default()
    };
    let mut leg = vec![6];
    leg.extend((2..=stitches / 6).map(|i| 6 * i));
    leg.extend(vec![stitches; rounds]);
    Toy {
        purpose: Purpose::StandOnFour,
        yarns: vec![Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(21.0), ..Yarn::default() }],
        pieces: vec![
            piece("ball", &ball, Amount::Medium, Finish::Gathered, on_floor),
            piece("leg", &leg, amount, Finish::Open, on_ball),
        ],
        extras: vec![weight],
        ..Toy::default()
    }
}

fn about_legs(derived: &Derived, kind: FindingKind) -> Option<&Finding> {
    derived.report.findings.iter().find(|f| f.kind == kind && f.part.as_deref() == Some("leg"))
}

/// m·g above p·A (follows from the pressure alone): a leg is pressed flat where its share of the weight is more than its
/// filling bears at its narrowest, whatever it does hanging.
#[test]
fn legs_are_pressed_flat_by_what_stands_on_them() {
    let mut pressed = 0;
    for weight_g in [0.0, 20.0, 60.0, 150.0, 400.0] {
        for stitches in [12, 18, 24] {
            let derived = derive(&toy(stitches, 3, Amount::Medium, weight_g));
            let report = &derived.report;
            assert_eq!(report.stand.as_ref().expect("it stands").stands_on, ["leg"], "{stitches} {weight_g}");
            let part = report.parts.iter().find(|p| p.name == "leg").expect("a leg");
            let each = |p: &toppleknot::measure::report::PartReport| p.fabric_g.value + p.stuffing_g.value;
            let above_mn = (report.toy.mass_g.value - 4.0 * each(part)) / 4.0 * GRAVITY;
            let seam = report.necks.iter().find(|n| n.part == "leg" && n.onto == "ball").expect("its seam");
            let bears_mn = 1.007 * PI * seam.radius_mm.value.powi(2);
            let found = about_legs(&derived, FindingKind::TooSoft).is_some();
            // Not within a tenth of the edge: the pressure is that of medium filling to three digits.
            if (above_mn / bears_mn - 1.0).abs() > 0.1 {
                assert_eq!(found, above_mn > bears_mn, "{stitches} {weight_g}: {above_mn} {bears_mn}");
            }
            pressed += usize::from(found);
        }
    }
    assert!((3..13).contains(&pressed), "{pressed} of 15");
}

/// Legs that cannot hold their own weight fold away: it is said, and the toy is as tall as what stands.
#[test]
fn legs_too_limp_to_stand_on_are_named_and_no_height() {
    let limp = derive(&toy(6, 9, Amount::Light, 60.0));
    assert!(limp.made.poses[1].limp && !limp.made.poses[1].bears);
    let said = about_legs(&limp, FindingKind::FloppyNeck).expect("a word on the legs");
    assert!(said.message.contains("too limp to stand on") && said.message.contains("ball"), "{}", said.message);
    let ball = limp.report.parts.iter().find(|p| p.name == "ball").expect("a ball");
    let tall_mm = limp.report.toy.size_mm.expect("a size").z.value;
    assert!((tall_mm - ball.length_mm.value).abs() < 0.02 * tall_mm, "{tall_mm}");
    // Firm ones hold, are not named, and count.
    let firm = derive(&toy(12, 4, Amount::Firm, 0.0));
    assert!(about_legs(&firm, FindingKind::FloppyNeck).is_none());
    assert!(firm.report.toy.size_mm.expect("a size").z.value > 1.2 * ball.length_mm.value);
}
