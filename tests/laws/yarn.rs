//! Laws of the yarn: nothing is lost between rounds, parts and toy; what was weighed stays as it was weighed.

use std::sync::Arc;

use proptest::prelude::*;
use toppleknot::document::{TextScene, open_text, samples};
use toppleknot::figure::{Figure, Origin};
use toppleknot::measure::need::{Enough, YarnNeed, needs, work_rows};
use toppleknot::measure::{derive, make};
use toppleknot::part::{Amount, End, Part};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::records::{Around, PartWeight, WeighIn, Weight};
use toppleknot::toy::{Address, Copies, Piece, Placement, Seat, Toy};
use toppleknot::yarn::{Ball, Stock, Yarn};

fn piece(name: &str, yarn: &str, counts: &[u32], seat: Seat, copies: Copies) -> Piece {
    let rounds = rounds_of_counts(counts).expect("counts above zero");
    let finish = if counts.last().is_some_and(|n| *n <= 12) { Finish::Gathered } else { Finish::Open };
    let part = Part { name: name.into(), yarn: yarn.into(), rounds, finish, ..Part::default() };
    Piece { part, placement: Placement { seat, copies, ..Placement::default() } }
}

/// A body, a head on it, two arms, in two yarns.
fn toy() -> Toy {
    let on = |round, angle_deg| Seat::OnSurface { part: "Body".into(), at: Address { round, angle_deg } };
    let mut head = piece(
        "Head",
        "Plain",
        &[6, 12, 18, 24, 30, 30, 30, 30, 30, 24, 18],
        Seat::OnEnd { part: "Body".into(), end: End::Finish },
        Copies::One,
    );
    for round in 5..7 {
        for run in &mut head.part.rounds[round].runs {
            run.colour = Some(Arc::from("Bright"));
        }
    }
    Toy {
        yarns: vec![
            Yarn {
                name: "Plain".into(),
                category: Some(4),
                hook_mm: Some(3.5),
                stock: Stock { ball_g: Some(20.0), have_g: Some(30.0), ..Stock::default() },
                ..Yarn::default()
            },
            Yarn { name: "Bright".into(), category: Some(4), hook_mm: Some(3.5), ..Yarn::default() },
        ],
        pieces: vec![
            head,
            piece(
                "Body",
                "Plain",
                &[6, 12, 18, 24, 30, 30, 30, 24, 18, 18],
                Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 },
                Copies::One,
            ),
            piece("Arm", "Bright", &[5, 10, 10, 10, 10, 10, 10, 14], on(7.0, 90.0), Copies::MirroredPair),
        ],
        ..Toy::default()
    }
}

fn need_of(toy: &Toy, yarn: &str) -> YarnNeed {
    needs(toy, &make(toy)).into_iter().find(|n| n.name == yarn).expect("a yarn of the toy")
}

fn weigh_in(part: &str, copy: u32, round: u32, used: f64) -> WeighIn {
    WeighIn { part: part.into(), copy, round, weight: Weight::Used(used), ..WeighIn::default() }
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-9)
}

fn sound(figure: Figure) -> bool {
    figure.low.is_finite() && figure.high.is_finite() && figure.low <= figure.value && figure.value <= figure.high
}

#[test]
fn rounds_sum_to_the_need_and_stitches_to_the_report() {
    let toy = toy();
    let made = make(&toy);
    let report = derive(&toy).report;
    for yarn in &report.yarn {
        let rows = work_rows(&toy, &made, &yarn.name);
        let last = rows.last().expect("a yarn that is used");
        let need = yarn.stock.need;
        assert!(same(last.grams, need.grams.value) && same(last.metres, need.metres.value), "{}", yarn.name);
        assert!(same(need.stitches_m.value, yarn.metres.value), "{}", yarn.name);
        assert!(same(need.metres.value, need.stitches_m.value + need.tails_m.value + need.sewing_m.value));
        assert!(rows.windows(2).all(|r| r[0].grams <= r[1].grams), "use never falls");
    }
    // By hand, Plain: Head begins, rests from round 6 to 7 (carried), is sewn by 18 stitches; Body begins and ends.
    let w = report.yarn[0].w_mm.value();
    let plain = &report.yarn[0].stock.need;
    assert!(same(plain.tails_m.value, 0.6));
    assert!(same(plain.sewing_m.value, (3.5 * 18.0 * w / 1e3).max(0.3)));
    // Bright: two tails in the head, one and a sewing tail for each of two arms.
    let bright = &report.yarn[1].stock.need;
    assert!(same(bright.tails_m.value, 0.8));
    assert!(same(bright.sewing_m.value, 2.0 * (3.5 * 14.0 * w / 1e3).max(0.3)));
}

#[test]
fn a_weigh_in_at_the_end_gives_back_the_weighed_total() {
    for grams in [20.0, 33.3, 61.7] {
        let mut toy = toy();
        toy.records.weigh_ins = vec![weigh_in("Body", 1, 10, grams)];
        let need = need_of(&toy, "Plain");
        assert_eq!(need.need.grams.value, grams);
        assert_eq!(need.take.grams, grams, "nothing is left to make, so there is no allowance");
        assert!(need.need.grams.high - grams <= 1.3, "only the scale's own error is left: {:?}", need.need.grams);
        let rows = work_rows(&toy, &make(&toy), "Plain");
        assert_eq!(rows.last().map(|r| r.grams), Some(grams));
    }
}

#[test]
fn what_was_weighed_stays_and_the_rest_is_rescaled() {
    let mut toy = toy();
    let before = work_rows(&toy, &make(&toy), "Plain");
    let expected = before[10].grams;
    assert_eq!((before[10].piece, before[10].round), (0, 11));
    toy.records.weigh_ins = vec![weigh_in("Head", 1, 11, 1.5 * expected)];
    let after = work_rows(&toy, &make(&toy), "Plain");
    assert_eq!(after[10].grams, 1.5 * expected);
    // Stitches alone are half as much again and more (tails are as long as ever): of the rounds without tails exactly so.
    let step = |rows: &[toppleknot::measure::need::WorkRow], i: usize| rows[i].grams - rows[i - 1].grams;
    let factor = step(&after, 14) / step(&before, 14);
    assert!(factor > 1.5 && factor < 1.8, "{factor}");
    assert!(same(factor, step(&after, 16) / step(&before, 16)));
    let (wide, narrow) = (need_of(&self::toy(), "Plain").need.grams, need_of(&toy, "Plain").need.grams);
    assert!(narrow.half_log_range() < 0.5 * wide.half_log_range(), "{wide:?} {narrow:?}");
    // Masses follow: the head's fabric is heavier by the same factor.
    let mass = |toy: &Toy| derive(toy).report.parts[1].fabric_g.value;
    assert!(same(mass(&toy) / mass(&self::toy()), factor));
}

#[test]
fn the_order_of_weigh_ins_does_not_matter_and_each_one_narrows() {
    let list = [weigh_in("Head", 1, 5, 4.0), weigh_in("Head", 1, 11, 14.0), weigh_in("Body", 1, 6, 24.0)];
    let with = |order: &[usize]| {
        let mut toy = toy();
        toy.records.weigh_ins = order.iter().map(|i| list[*i].clone()).collect();
        need_of(&toy, "Plain")
    };
    let all = with(&[0, 1, 2]);
    for order in [[2, 1, 0], [1, 0, 2], [2, 0, 1]] {
        let other = with(&order);
        assert!(same(other.need.grams.value, all.need.grams.value) && same(other.need.grams.high, all.need.grams.high));
        assert_eq!(other.ball_ends, all.ball_ends);
    }
    let spread = |order: &[usize]| with(order).need.grams.half_log_range();
    assert!(spread(&[1]) < spread(&[]) && spread(&[1, 2]) < spread(&[1]));
}

#[test]
fn a_ball_on_the_scale_says_the_same_as_grams_used() {
    let with = |weight| {
        let mut toy = toy();
        toy.records.weigh_ins = vec![WeighIn { weight, ..weigh_in("Body", 1, 4, 0.0) }];
        need_of(&toy, "Plain").need.grams
    };
    let used = with(Weight::Used(26.0));
    assert_eq!(used, with(Weight::LeftOnBall { grams: 14.0, ball: 2 }));
    assert_eq!(used, with(Weight::LeftOfAll(4.0)));
}

#[test]
fn a_weighed_part_weighs_what_the_scale_says() {
    let mut toy = toy();
    toy.records.parts = vec![PartWeight { part: "Body".into(), grams: 9.5, stuffed: false }];
    let two_yarns = derive(&toy).report.parts[0].fabric_g.half_log_range();
    for run in toy.pieces[0].part.rounds.iter_mut().flat_map(|round| &mut round.runs) {
        run.colour = None;
    }
    let report = derive(&toy).report;
    assert!(same(report.parts[1].fabric_g.value, 9.5));
    // 1 g of 9.5 g, and 2 % for the hand: 10.7 %.
    let head = report.parts[0].fabric_g.half_log_range();
    assert!(two_yarns > head, "of another yarn in it nothing was told: {two_yarns}, {head}");
    assert!((head - (1.0_f64 / 9.5).hypot(0.02)).abs() < 0.002, "the yarn's other parts are told by it: {head}");
    // With weighed stuffing in it, the stuffing comes off.
    toy.pieces[1].part.stuffing.amount = Amount::Grams(8.0);
    toy.records.parts[0] = PartWeight { part: "Body".into(), grams: 17.5, stuffed: true };
    let report = derive(&toy).report;
    assert!(same(report.parts[1].fabric_g.value, 9.5) && same(report.parts[1].stuffing_g.value, 8.0));
    // With stuffing of unknown weight, what is no yarn is stuffing.
    toy.pieces[1].part.stuffing.amount = Amount::Medium;
    let report = derive(&toy).report;
    let part = &report.parts[1];
    assert!((part.fabric_g.value + part.stuffing_g.value - 17.5).abs() < 1e-6, "{part:?}");
}

/// By hand, from ISO 1144 (tex is g per km): 500 and 1000 tex, 7 widths of 5 mm in a stitch, so 35 mm of 0.0175 and 0.035 g.
/// 216 stitches of each are 7.56 m, 3.78 and 7.56 g; in a round of 36 stitches there are 0.63 or 1.26 g.
#[test]
fn stitches_in_another_yarn_weigh_what_that_yarn_weighs() {
    let counts = [6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6];
    let seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let mut ball = piece("Ball", "Thin", &counts, seat, Copies::One);
    ball.part.stuffing.amount = Amount::None;
    for run in ball.part.rounds[6..12].iter_mut().flat_map(|round| &mut round.runs) {
        run.colour = Some(Arc::from("Thick"));
    }
    let yarn = |name: &str, metres| Yarn {
        name: name.into(),
        metres_per_100g: Some(metres),
        stitches_per_10cm: Some(20.0),
        widths_per_stitch: Some(7.0),
        ..Yarn::default()
    };
    let mut toy = Toy { yarns: vec![yarn("Thin", 200.0), yarn("Thick", 100.0)], pieces: vec![ball], ..Toy::default() };
    let derived = derive(&toy);
    let report = &derived.report;
    assert!(same(report.parts[0].fabric_g.value, 11.34) && same(report.parts[0].yarn_m.value, 15.12));
    for (used, grams) in report.yarn.iter().zip([3.78, 7.56]) {
        assert!(same(used.metres.value, 7.56) && same(used.grams.value, grams), "{}: {:?}", used.name, used.grams);
        let need = used.stock.need;
        let ends_g = (need.tails_m.value + need.sewing_m.value) * used.tex.value() * 1e-3;
        assert!(same(need.grams.value, grams + ends_g), "the need is of the same stitches: {:?}", need.grams);
    }
    // Every round counts for the balance with its own yarn.
    let mass = &derived.made.masses[0];
    let by_hand = |i: usize| f64::from(counts[i]) * if (6..12).contains(&i) { 0.035 } else { 0.0175 };
    assert!(mass.fabric.iter().enumerate().all(|(i, band)| same(band.mass_g, by_hand(i))));
    let moment: f64 = mass.fabric.iter().enumerate().map(|(i, band)| by_hand(i) * band.z_mm).sum();
    assert!(same(mass.whole.centre_mm.z, moment / 11.34));
    // On the scale it weighs what it weighs, however its yarns share it, and both are then known as well as the scale.
    toy.records.parts = vec![PartWeight { part: "Ball".into(), grams: 15.0, stuffed: false }];
    let report = derive(&toy).report;
    assert!(same(report.parts[0].fabric_g.value, 15.0));
    assert!(same(report.yarn.iter().map(|y| y.grams.value).sum(), 15.0));
    for used in &report.yarn {
        let need = used.stock.need;
        let ends_g = (need.tails_m.value + need.sewing_m.value) * used.tex.value() * 1e-3;
        assert!(same(need.grams.value, used.grams.value + ends_g), "{}: {:?}", used.name, need.grams);
    }
}

#[test]
fn yarn_runs_out_where_the_rows_say() {
    let toy = toy();
    let made = make(&toy);
    let need = need_of(&toy, "Plain");
    let rows = work_rows(&toy, &made, "Plain");
    for end in &need.ball_ends {
        let upto = (f64::from(end.ball) * 20.0).min(30.0);
        let row = rows.iter().find(|r| r.grams >= upto).expect("a round in which it ends");
        let spot = &end.end.at;
        assert_eq!(
            (toy.pieces[row.piece].part.name.as_str(), row.copy, row.round),
            (&*spot.part, spot.copy, spot.round)
        );
    }
    match need.enough.expect("what is at hand was said") {
        Enough::Short => assert_eq!(need.ball_ends.last().map(|b| b.end.clone()), need.runs_out),
        Enough::Close | Enough::Enough => assert_eq!(need.runs_out, None),
    }
}

#[test]
fn enough_close_and_short_follow_the_range() {
    let grams = need_of(&toy(), "Plain").need.grams;
    for (have, word) in [
        (grams.high, Enough::Enough),
        (grams.high - 0.01, Enough::Close),
        (grams.value, Enough::Close),
        (grams.value - 0.01, Enough::Short),
        (0.0, Enough::Short),
    ] {
        let mut toy = toy();
        toy.yarns[0].stock.have_g = Some(have);
        let need = need_of(&toy, "Plain");
        assert_eq!(need.enough, Some(word), "{have}");
        assert_eq!(need.runs_out.is_some(), word == Enough::Short);
    }
}

/// The circumference of the toy's own solved shape gives back the width it was solved with, whatever was taken before.
#[test]
fn a_circumference_gives_back_the_width() {
    let mut truth = toy();
    (truth.yarns[0].stitches_per_10cm, truth.yarns[0].rounds_per_10cm) =
        (Some(19.0), Some(100.0 / (0.93 * 100.0 / 19.0)));
    let around = |round: usize| {
        let shape = &make(&truth).shapes[1];
        std::f64::consts::TAU * shape.outer.rings[round].radius_mm
    };
    let mut toy = toy();
    toy.records.around = vec![Around { part: "Body".into(), round: 6, circumference_mm: around(6) }];
    let report = derive(&toy).report;
    let w = report.yarn[0].w_mm;
    assert!((w.value() / (100.0 / 19.0) - 1.0).abs() < 1e-4, "{w:?}");
    assert_eq!(w.from, Origin::Measured);
    assert!(w.figure.half_log_range() < 0.06);
    assert!(derive(&self::toy()).report.yarn[0].w_mm.figure.half_log_range() > 0.13);
}

/// A ball that was only worked to try the yarn does the same.
#[test]
fn a_finished_ball_gives_the_gauge() {
    let counts = vec![6, 12, 18, 24, 24, 24, 24, 18, 12, 6];
    let ball = |yarn: Yarn| Toy {
        pieces: vec![piece("Ball", "", &counts, Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 }, Copies::One)],
        yarns: vec![yarn],
        ..Toy::default()
    };
    let worsted = Yarn { category: Some(4), ..Yarn::default() };
    let truth = ball(Yarn { stitches_per_10cm: Some(22.0), rounds_per_10cm: Some(22.0 / 0.93), ..worsted.clone() });
    let shape = make(&truth).shapes[0].clone();
    let widest = shape.outer.rings.iter().map(|r| r.radius_mm).fold(0.0, f64::max);
    let mut yarn = worsted;
    yarn.trials.ball =
        Some(Ball { counts: counts.clone(), circumference_mm: std::f64::consts::TAU * widest, stuffing_g: None });
    let w = derive(&ball(yarn)).report.assumed.w_mm;
    assert!((w.value() / (100.0 / 22.0) - 1.0).abs() < 1e-4, "{w:?}");
}

/// Two parts of unlike width, one swatch: circumferences tell the pressure of the stuffing.
#[test]
fn circumferences_with_a_swatch_tell_the_pressure() {
    let swatch = |toy: &mut Toy| {
        for yarn in &mut toy.yarns {
            (yarn.stitches_per_10cm, yarn.rounds_per_10cm) = (Some(20.0), Some(21.0));
        }
    };
    let mut truth = toy();
    swatch(&mut truth);
    truth.settings.pressure_kpa = Some(2.5);
    let made = make(&truth);
    let mut toy = toy();
    swatch(&mut toy);
    let before = derive(&toy).report.parts[1].pressure_kpa.expect("stuffed");
    for (i, rounds) in [(0, [5, 7, 8, 9]), (1, [5, 6, 7, 9])] {
        for round in rounds {
            let circumference_mm = std::f64::consts::TAU * made.shapes[i].outer.rings[round].radius_mm;
            toy.records.around.push(Around {
                part: toy.pieces[i].part.name.clone(),
                round: round as u32,
                circumference_mm,
            });
        }
    }
    let after = derive(&toy).report.parts[1].pressure_kpa.expect("stuffed");
    assert_eq!(after.from, Origin::Measured);
    assert!((after.value() / 2.5).ln().abs() < 0.7 * (before.value() / 2.5).ln().abs(), "{before:?} {after:?}");
    assert!(after.figure.half_log_range() < before.figure.half_log_range());
}

#[test]
fn every_sample_has_finite_figures() {
    for sample in samples() {
        let opened = open_text(sample.text, sample.title, true, &TextScene::default()).expect("a sample opens");
        let mut toy = opened.document.toy;
        for yarn in &mut toy.yarns {
            yarn.stock = Stock { ball_g: Some(50.0), have_balls: Some(1.0), ..Stock::default() };
        }
        for yarn in derive(&toy).report.yarn {
            let need = yarn.stock.need;
            assert!(sound(need.grams) && sound(need.metres), "{}: {need:?}", sample.title);
            assert!(need.balls.is_some_and(sound) && yarn.stock.enough.is_some(), "{}", sample.title);
            assert!(need.grams.value >= yarn.grams.value, "tails only add");
        }
    }
}

fn any_weigh_in() -> impl Strategy<Value = WeighIn> {
    (0usize..4, 0u32..5, 0u32..20, -5.0..80.0f64)
        .prop_map(|(part, copy, round, used)| weigh_in(["Head", "Body", "Arm", "nothing"][part], copy, round, used))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_toy_with_any_records_has_sound_figures(
        counts in proptest::collection::vec(proptest::collection::vec(1u32..50, 1..16), 3),
        copies in 1u32..5,
        weigh_ins in proptest::collection::vec(any_weigh_in(), 0..5),
        part_g in proptest::option::of(0.0..50.0f64),
        around in proptest::collection::vec((0usize..3, 0u32..18, 5.0..400.0f64), 0..3),
        have in 0.0..80.0f64,
        ball in 1.0..60.0f64,
    ) {
        let mut toy = toy();
        for (piece, counts) in toy.pieces.iter_mut().zip(&counts) {
            piece.part.rounds = rounds_of_counts(counts).expect("counts above zero");
        }
        toy.pieces[2].placement.copies = Copies::Around(copies);
        toy.yarns[0].stock = Stock { ball_g: Some(ball), have_g: Some(have), ..Stock::default() };
        toy.records.weigh_ins = weigh_ins;
        toy.records.parts = part_g.map(|grams| PartWeight { part: "Arm".into(), grams, stuffed: false }).into_iter().collect();
        toy.records.around = around
            .into_iter()
            .map(|(i, round, circumference_mm)| Around { part: toy.pieces[i].part.name.clone(), round, circumference_mm })
            .collect();
        let made = make(&toy);
        for yarn in needs(&toy, &made) {
            prop_assert!(sound(yarn.need.grams) && sound(yarn.need.metres), "{:?}", yarn.need);
            prop_assert!(yarn.take.grams.is_finite() && yarn.take.grams >= yarn.need.grams.value - 1e-9);
            let rows = work_rows(&toy, &made, &yarn.name);
            prop_assert!(rows.windows(2).all(|r| r[0].grams <= r[1].grams + 1e-9));
            if let Some(last) = rows.last() {
                prop_assert!((last.grams - yarn.need.grams.value).abs() <= 1e-6 * (1.0 + last.grams));
            }
            let order = |spot: &toppleknot::measure::need::Spot| {
                (toy.piece_named(&spot.part), spot.copy, spot.round)
            };
            for pair in yarn.ball_ends.windows(2) {
                prop_assert!(order(&pair[0].end.at) <= order(&pair[1].end.at));
            }
            for end in &yarn.ball_ends {
                let [early, late] = &end.end.range;
                prop_assert!(early.as_ref().is_some_and(|e| order(e) <= order(&end.end.at)));
                prop_assert!(late.as_ref().is_none_or(|l| order(l) >= order(&end.end.at)));
            }
        }
    }
}
