//! Laws of parts that are made several times: every copy counts, those on copies of other parts too.

use toppleknot::measure::{derive, time};
use toppleknot::part::{Amount, Base, End, Part};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::plan::as_far_as_made;
use toppleknot::toy::{Address, Copies, Piece, Placement, Seat, Toy};
use toppleknot::yarn::Yarn;

fn piece(name: &str, counts: &[u32], amount: Amount, seat: Seat, copies: Copies) -> Piece {
    let rounds = rounds_of_counts(counts).expect("counts above zero");
    let finish = if name == "Body" { Finish::Gathered } else { Finish::Open };
    let mut part = Part { name: name.into(), rounds, finish, ..Part::default() };
    part.stuffing.amount = amount;
    Piece { part, placement: Placement { seat, copies, ..Placement::default() } }
}

fn on(part: &str, round: f64, angle_deg: f64) -> Seat {
    Seat::OnSurface { part: part.into(), at: Address { round, angle_deg } }
}

fn body_and(others: Vec<Piece>) -> Toy {
    let counts = [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6];
    let floor = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let mut body = piece("Body", &counts, Amount::Medium, floor, Copies::One);
    body.part.base = Base::PressedFlat { radius_mm: None };
    let yarn = Yarn {
        name: "Plain".into(),
        category: Some(4),
        hook_mm: Some(3.5),
        stitches_per_10cm: Some(20.0),
        rounds_per_10cm: Some(21.0),
        ..Yarn::default()
    };
    let pieces = [vec![body], others].concat();
    Toy { yarns: vec![yarn], pieces, ..Toy::default() }
}

fn end_of(part: &str) -> Seat {
    Seat::OnEnd { part: part.into(), end: End::Start }
}

/// Two arms, a hand at the end of each, three fingers on each hand: by hand 2 + 2 + 6 seams, and as many of each to make.
#[test]
fn what_sits_on_a_copied_part_is_made_for_every_copy() {
    let mut toy = body_and(vec![
        piece("Arm", &[6, 12, 12, 12, 12], Amount::Medium, on("Body", 9.0, 90.0), Copies::MirroredPair),
        piece("Hand", &[6, 12, 12], Amount::Medium, end_of("Arm"), Copies::One),
        piece("Finger", &[4, 4, 4], Amount::Medium, on("Hand", 1.5, 0.0), Copies::Around(3)),
    ]);
    let report = derive(&toy).report;
    assert_eq!(report.parts.iter().map(|p| p.copies).collect::<Vec<_>>(), [1, 2, 2, 6]);
    assert_eq!((report.time.seams, report.time.sewing_minutes.value), (10, 150.0));
    let mut minutes = report.time.sewing_minutes.value;
    for (part, copies) in report.time.parts.iter().zip([1, 2, 2, 6]) {
        assert_eq!(part.rounds_made.len(), copies, "{}", part.part);
        minutes += copies as f64 * part.work_sc / report.time.pace_sc_per_min.value();
    }
    assert!((report.time.total_minutes.value - minutes).abs() < 1e-9);
    // Each of them is counted as made, the last finger too.
    let all = toy.clone();
    toy.plan.set_all_done(&all);
    assert_eq!(time(&toy, None).left_minutes.value, 0.0);
    toy.plan.set_rounds_made("Finger", 5, 1);
    let left = time(&toy, None).left_minutes.value;
    assert!((left - 8.0 / report.time.pace_sc_per_min.value()).abs() < 1e-9, "two rounds of four stitches: {left}");
    toy.plan.made.retain(|made| made.part != "Finger" || made.copy == 5);
    assert_eq!(as_far_as_made(&toy).pieces[3].part.rounds.len(), 1);
}

/// Parts that wait for a place are made for every copy of what they wait with: two hands on each of two arms are four, in
/// the table as in the need.
#[test]
fn what_waits_beside_is_counted_for_every_copy() {
    let toy = body_and(vec![
        piece("Arm", &[6, 12, 12, 12], Amount::Medium, Seat::Beside, Copies::MirroredPair),
        piece("Hand", &[6, 12, 12], Amount::Medium, end_of("Arm"), Copies::Around(2)),
    ]);
    let report = derive(&toy).report;
    assert_eq!(report.parts.iter().map(|p| p.copies).collect::<Vec<_>>(), [1, 2, 4]);
    let yarn = &report.yarn[0];
    assert!((yarn.metres.value - yarn.stock.need.stitches_m.value).abs() < 1e-9, "{:?}", yarn.metres);
    let parts: f64 = report.parts.iter().map(|p| f64::from(p.copies) * (p.fabric_g.value + p.stuffing_g.value)).sum();
    assert!((report.toy.mass_g.value - parts).abs() < 1e-9);
}

/// A limp antenna of 1.9 g is a tenth of a toy that is counted with one of its eight legs, but a twenty-fourth of the whole
/// one, and so a small thing.
#[test]
fn what_a_joint_carries_is_held_against_every_copy_of_every_part() {
    let antenna =
        piece("Antenna", &[5, 9, 12, 12, 9, 6, 5, 5, 5, 5, 5, 5, 5], Amount::Light, on("Body", 16.0, 0.0), Copies::One);
    let counts = [6, 12, 18, 24, 24, 24, 24, 24];
    let legs = piece("Leg", &counts, Amount::Firm, on("Body", 5.0, 0.0), Copies::Around(8));
    let report = derive(&body_and(vec![legs, antenna])).report;
    let carries = report.necks.iter().find(|n| n.part == "Antenna").map_or(0.0, |n| n.carries_g);
    let once: f64 = report.parts.iter().map(|p| p.fabric_g.value + p.stuffing_g.value).sum();
    assert!(carries > 0.08 * once && carries < 0.08 * report.toy.mass_g.value, "{carries} g of {once}");
    let said: Vec<_> = report.findings.iter().filter(|f| f.part.as_deref() == Some("Antenna")).collect();
    let floppy = said.iter().find(|f| f.kind.word() == "floppy_neck").expect("it flops");
    assert_eq!(floppy.severity.word(), "note");
    assert!(said.iter().all(|f| f.kind.word() != "neck_sinks"), "{said:?}");
}
