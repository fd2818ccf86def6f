//! Small parts, drift, hooks against the label, time: against published figures, and trade facts marked as such.

use jiff::civil::date;
use toppleknot::measure::maps::WorkedFabric;
use toppleknot::measure::openness::{Openness, below_label_mm, cover};
use toppleknot::measure::small_parts::{Outline, fits_cylinder, part_fits_cylinder, passes_ball_template};
use toppleknot::measure::time::pace_of;
use toppleknot::measure::work::sewing_tail_mm;
use toppleknot::measure::{derive, placements, time};
use toppleknot::part::Part;
use toppleknot::rounds::{Stitch, StitchKind, rounds_of_counts};
use toppleknot::solid::{Ring, Solid};
use toppleknot::toy::plan::{Experience, Timed};
use toppleknot::toy::{Address, Extra, ExtraKind, Piece, Settings, Spot, Toy};
use toppleknot::yarn::HOOKS_MM;
use toppleknot::yarn::{CATEGORIES, Yarn, fabric};

/// 16 CFR 1501.4, figure 1: a cylinder 31.7 mm across, from 25.4 to 57.1 mm deep, its bottom slanted; a thing is a small
/// part if it fits entirely, any way it is turned.
#[test]
fn the_small_parts_cylinder_at_its_edges() {
    let ball = |diameter_mm| fits_cylinder(Outline::Ball { diameter_mm });
    let round = |diameter_mm, length_mm| fits_cylinder(Outline::Round { diameter_mm, length_mm });
    assert!(ball(31.7) && ball(5.0) && !ball(31.71));
    assert!(round(31.7, 1.0) && !round(31.71, 1.0) && !round(200.0, 1.0));
    // Filling the width, it can be no longer than the shallow side is deep.
    assert!(round(31.7, 25.4) && !round(31.7, 25.45));
    // A pin upright at the deep side; leaning from the deep corner to the opposite rim it may be √(57.1² + 31.7²) long.
    assert!(round(1e-6, 57.1) && round(1e-6, 65.3) && !round(1e-6, 65.4));
    // By hand: a rod 10 across, upright against the deep side, has 57.1 − 10 mm of depth below the rim.
    assert!(round(10.0, 47.1));
    assert!(!round(10.0, 62.0));
}

/// The same cylinder, for parts by their own outlines; each figure by hand.
#[test]
fn parts_fit_the_cylinder_by_their_own_outlines() {
    let solid = |rings: &[(f64, f64, f64)]| Solid {
        rings: rings.iter().map(|&(z_mm, radius_mm, core_half_mm)| Ring { z_mm, radius_mm, core_half_mm }).collect(),
    };
    let fits = |rings: &[(f64, f64, f64)]| part_fits_cylinder(&solid(rings));
    // A ball has the limit of a ball, not that of the rod around it.
    let ball = |d: f64| {
        let at = |i: i32| f64::from(i).to_radians();
        (0..=180).map(|i| (-d / 2.0 * at(i).cos(), d / 2.0 * at(i).sin(), 0.0)).collect::<Vec<_>>()
    };
    assert!(fits(&ball(31.0)) && !fits(&ball(31.8)));
    // A rod has the limit of a rod, upright or lying across.
    assert!(fits(&[(0.0, 15.85, 0.0), (25.4, 15.85, 0.0)]) && !fits(&[(0.0, 15.85, 0.0), (25.5, 15.85, 0.0)]));
    assert!(fits(&[(0.0, 5.0, 0.0), (47.0, 5.0, 0.0)]) && !fits(&[(0.0, 5.0, 0.0), (62.0, 5.0, 0.0)]));
    assert!(fits(&[(0.0, 15.0, 0.0), (12.0, 15.0, 0.0)]));
    // An ear folded flat, 36 wide, 20 high, 4 thick: on edge beside the deep wall, 57.1 − 4 deep there.
    let ear = |half: f64, high: f64| [(0.0, 2.0, half - 2.0), (high, 2.0, 0.0)];
    assert!(fits(&ear(18.0, 20.0)));
    // Wider than the cylinder both ways, and longer than its longest line of 65.3.
    assert!(!fits(&ear(18.0, 70.0)) && !fits(&ear(40.0, 20.0)) && !fits(&[(0.0, 2.0, 20.0), (33.0, 2.0, 20.0)]));
    // A cone point down reaches where its box does not: the slant meets the wide end only.
    assert!(fits(&[(0.0, 15.0, 0.0), (34.0, 0.5, 0.0)]) && !fits(&[(0.0, 15.0, 0.0), (34.0, 15.0, 0.0)]));
}

/// EN 71-1: small balls pass a template 44.5 mm across.
#[test]
fn the_template_for_small_balls_at_its_edge() {
    assert!(passes_ball_template(44.5) && !passes_ball_template(44.51));
}

fn toy_with(kind: ExtraKind, months: Option<u32>) -> Toy {
    let rounds = rounds_of_counts(&[6, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6]).expect("counts");
    let mut toy = Toy::default();
    toy.pieces.push(Piece { part: Part { name: "Ball".into(), rounds, ..Part::default() }, ..Piece::default() });
    toy.settings.child_months = months;
    let spot = Spot::Surface(Address { round: 8.0, angle_deg: 20.0 });
    toy.extras.push(Extra { name: "thing".into(), kind, part: "Ball".into(), spot, ..Extra::default() });
    toy
}

fn caution(kind: ExtraKind, months: Option<u32>, word: &str) -> Option<String> {
    let report = derive(&toy_with(kind, months)).report;
    report.cautions.cautions.iter().find(|c| c.kind == word).map(|c| c.severity.word().to_owned())
}

/// Ages and figures: under 36 months (16 CFR 1501.2, EN 71-1); cords 220 mm (older edition of EN 71-1); flux index 50
/// kG²·mm² (16 CFR 1262.2); no pins or wire (16 CFR 1500.18(a)(3)); sleep space under one year (AAP 2022).
#[test]
fn cautions_follow_age_and_figure() {
    let eye = |d| ExtraKind::Eye { diameter_mm: d };
    assert_eq!(caution(eye(31.7), Some(35), "small_part").as_deref(), Some("severe"));
    assert_eq!(caution(eye(31.7), Some(36), "small_part").as_deref(), Some("note"));
    assert_eq!(caution(eye(31.7), None, "small_part").as_deref(), Some("warning"));
    assert_eq!(caution(eye(31.71), Some(6), "small_part"), None);
    let cord = |length_mm| ExtraKind::Cord { length_mm };
    assert_eq!(caution(cord(220.0), Some(10), "cord"), None);
    assert_eq!(caution(cord(220.1), Some(17), "cord").as_deref(), Some("severe"));
    assert_eq!(caution(cord(220.1), Some(18), "cord").as_deref(), Some("note"));
    let magnet = |flux| ExtraKind::Magnet { diameter_mm: 8.0, flux_index: Some(flux) };
    assert_eq!(caution(magnet(49.9), Some(60), "magnet"), None);
    assert_eq!(caution(magnet(50.0), Some(60), "magnet").as_deref(), Some("severe"));
    assert_eq!(caution(ExtraKind::Wire, Some(60), "wire").as_deref(), Some("severe"));
    assert_eq!(caution(ExtraKind::Other, Some(11), "sleep_space").as_deref(), Some("warning"));
    assert_eq!(caution(ExtraKind::Other, Some(12), "sleep_space"), None);
    // EN 71-1 8.4: 50 N up to 6 mm, 90 N above.
    for (d, newton) in [(6.0, "50 N"), (6.1, "90 N")] {
        let report = derive(&toy_with(eye(d), Some(60))).report;
        let attachment = report.cautions.cautions.into_iter().find(|c| c.kind == "attachment").expect("it is attached");
        assert!(
            attachment.message.contains(newton) && attachment.message.contains("0.34 N·m"),
            "{}",
            attachment.message
        );
    }
}

/// The program informs and certifies nothing: no report calls a toy safe.
#[test]
fn no_report_calls_a_toy_safe() {
    for months in [None, Some(6), Some(60)] {
        for kind in [ExtraKind::Other, ExtraKind::Eye { diameter_mm: 10.0 }, ExtraKind::Pellets] {
            let report = derive(&toy_with(kind, months)).report;
            let texts = report.cautions.cautions.iter().flat_map(|c| [c.message.clone(), c.remedy.clone()]);
            for text in texts.chain([report.cautions.message.clone()]) {
                assert!(!text.to_lowercase().contains("safe"), "{text}");
            }
            let none = report.cautions.verdict == "no_concern_found";
            assert_eq!(none, report.cautions.message.starts_with("No concern found by these checks"));
        }
    }
}

/// Rounds worked in a spiral begin each a little further to the worker's right for a right hand, to the left for a
/// left one (published direction, model of spiral drift). Seen from the front, the toy's left is on the right.
#[test]
fn rounds_drift_to_the_workers_right() {
    let nodes: Vec<Ring> =
        (0..=20).map(|i| Ring { z_mm: 5.0 * f64::from(i), radius_mm: 30.0, core_half_mm: 0.0 }).collect();
    let rounds = rounds_of_counts(&[40; 20]).expect("counts");
    for (left_handed, way) in [(false, 1.0), (true, -1.0)] {
        // An upright tube whose rounds begin at the front. A column of 20 rounds at 0.25 shifts by 4.75 of 40 stitches.
        let settings = Settings { left_handed, first_stitch_deg: Some(0.0), ..Settings::default() };
        let fabric = WorkedFabric::new(&nodes, &rounds, &settings, 0.25, false);
        assert!(fabric.starts_deg(0).abs() < 1e-9);
        assert!((fabric.starts_deg(19) - way * 4.75 * 9.0).abs() < 1e-9, "{}", fabric.starts_deg(19));
        // A right hand's stitches run to the left: the next one after the beginning lies on the toy's right.
        let next = fabric.worked(Address { round: 0.5, angle_deg: -way * 9.0 }).expect("rounds");
        assert!((next.stitches - 1.0).abs() < 1e-9, "{next:?}");
        // Straight above a place the stitch number grows.
        let up = fabric.worked(Address { round: 19.5, angle_deg: -way * 9.0 }).expect("rounds");
        assert!((up.stitches - 5.75).abs() < 1e-9, "{up:?}");
    }
}

/// Common practice, no source: worsted two hook sizes below its label's closes, one size below the stuffing shows.
/// Sizes as the Craft Yarn Council names them: I 5.5, H 5, 7 4.5 mm.
#[test]
fn worsted_two_sizes_below_its_label_closes() {
    assert_eq!((below_label_mm(&CATEGORIES[4], 1), below_label_mm(&CATEGORIES[4], 2)), (Some(5.0), Some(4.5)));
    for letter in [2.25, 2.75, 3.25, 3.5, 3.75, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 8.0, 9.0, 10.0] {
        assert!(HOOKS_MM.contains(&letter), "{letter}");
    }
    let ball = |hook_mm: f64| {
        let mut toy = toy_with(ExtraKind::Other, None);
        toy.yarns.push(Yarn { category: Some(4), hook_mm: Some(hook_mm), ..Yarn::default() });
        derive(&toy).report.fabric[0].verdict
    };
    // Toys' own hooks lie below both; the label's own gapes.
    assert_eq!((ball(3.5), ball(5.5)), ("closed", "shows"));
    let plain = |hook_mm| {
        Openness::of(cover(&fabric(&Yarn { category: Some(4), hook_mm: Some(hook_mm), ..Yarn::default() })).value)
    };
    assert!(plain(3.0) >= plain(5.0));
}

/// Common practice, no source: a beginner works 5 to 8 single crochets a minute, a practised maker 12 to 15, a fast one
/// 20 and more; a head of half a toy's stitches (here 2400) takes a practised maker 3 to 4 hours.
#[test]
fn paces_and_a_heads_hours() {
    let range = |e| (pace_of(e).low, pace_of(e).high);
    assert_eq!(range(Experience::Beginner), (5.0, 8.0));
    assert_eq!(range(Experience::Usual), (12.0, 15.0));
    assert_eq!(range(Experience::Fast).0, 20.0);
    let mut toy = Toy::default();
    let rounds = rounds_of_counts(&[60; 40]).expect("counts");
    toy.pieces.push(Piece { part: Part { name: "Head".into(), rounds, ..Part::default() }, ..Piece::default() });
    let hours = time(&toy, None).parts[0].minutes.value / 60.0;
    assert!((3.0..=4.0).contains(&hours), "{hours}");
}

/// Common practice, no source: three to four times the seam, at least 30 cm.
#[test]
fn tails_are_three_to_four_times_the_seam() {
    let tail = sewing_tail_mm(120.0);
    assert_eq!((tail.low, tail.high), (360.0, 480.0));
    assert_eq!(sewing_tail_mm(50.0).high, 300.0);
}

/// Days by the calendar: 10 hours of work from Friday 26 February 2027, 2 hours a day, are done on the fifth day,
/// Tuesday 2 March (2027 has no leap day).
#[test]
fn days_by_hand() {
    let mut toy = Toy::default();
    let rounds = rounds_of_counts(&[60; 100]).expect("counts");
    toy.pieces.push(Piece { part: Part { name: "Tube".into(), rounds, ..Part::default() }, ..Piece::default() });
    // Ten hours of 6000 stitches; the first round's start is no extra work.
    toy.plan.timed.push(Timed { part: "Tube".into(), minutes: 60.0, from_round: Some(1), to_round: Some(10) });
    toy.plan.hours_per_day = Some(2.0);
    toy.plan.wished_day = Some(date(2027, 3, 2));
    let report = time(&toy, Some(date(2027, 2, 26)));
    assert!((report.left_minutes.value - 600.0).abs() < 1e-9, "{:?}", report.left_minutes);
    assert_eq!(report.done_day, Some(date(2027, 3, 2)));
    assert_eq!(report.verdict, Some("just"));
    toy.plan.wished_day = Some(date(2027, 3, 1));
    assert_eq!(time(&toy, Some(date(2027, 2, 26))).verdict, Some("late"));
    toy.plan.wished_day = Some(date(2027, 3, 5));
    assert_eq!(time(&toy, Some(date(2027, 2, 26))).verdict, Some("in_time"));
}

/// Moves of the hook counted by hand from the Craft Yarn Council's instructions: single crochet insert, draw up, draw
/// through: 3. Double crochet yarn over, insert, draw up, twice through two: 5.
#[test]
fn work_in_stitches_by_hand() {
    use toppleknot::measure::time::work_in_stitch;
    assert_eq!(work_in_stitch(&Stitch::SC), 1.0);
    assert_eq!(work_in_stitch(&Stitch::INC), 2.0);
    assert!((work_in_stitch(&Stitch::DEC) - 5.0 / 3.0).abs() < 1e-12);
    assert!((work_in_stitch(&Stitch::plain(StitchKind::Double)) - 5.0 / 3.0).abs() < 1e-12);
}

/// A pair of eyes mirrored about the front lies evenly about it: half of the stitches between them on either side.
#[test]
fn a_pair_of_eyes_is_as_many_stitches_apart_as_its_angle() {
    let mut toy = toy_with(ExtraKind::Eye { diameter_mm: 9.0 }, None);
    toy.extras[0].copies = toppleknot::toy::Copies::MirroredPair;
    let map = placements(&toy, &derive(&toy));
    assert_eq!(map.face.len(), 2);
    // 40° of 36 stitches.
    assert!((map.face[1].stitches_from_first.abs() - 4.0).abs() < 1e-9, "{:?}", map.face);
}
