//! Time, places on the worked fabric, and cautions, on random toys and every sample.

use jiff::civil::date;
use proptest::prelude::*;

use toppleknot::document::{parse, samples};
use toppleknot::figure::Figure;
use toppleknot::measure::maps::{Worked, WorkedFabric};
use toppleknot::measure::{derive, placements, time};
use toppleknot::part::Part;
use toppleknot::rounds::rounds_of_counts;
use toppleknot::solid::Ring;
use toppleknot::toy::{Address, Copies, Piece, Placement, Settings, Toy};

fn toys() -> Vec<Toy> {
    samples().iter().map(|s| parse(s.text, s.title).expect("a sample").toy).collect()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

#[test]
fn minutes_of_parts_seams_and_faces_sum_to_the_toy() {
    for toy in toys() {
        let report = time(&toy, None);
        let ends: [fn(Figure) -> f64; 3] = [|f| f.value, |f| f.low, |f| f.high];
        for of in ends {
            let parts: f64 = report.parts.iter().map(|p| of(p.minutes)).sum();
            let sum = parts + of(report.sewing_minutes) + of(report.face_minutes);
            assert!(near(sum, of(report.total_minutes)), "{}: {sum}", toy.name);
            assert!(of(report.left_minutes) > 0.0);
        }
        assert_eq!(report.left_minutes, report.total_minutes, "nothing is made yet");
    }
}

#[test]
fn what_is_all_made_leaves_nothing_to_do() {
    for mut toy in toys() {
        let all = toy.clone();
        toy.plan.set_all_done(&all);
        let report = time(&toy, Some(date(2027, 1, 1)));
        assert_eq!(report.left_minutes.value, 0.0, "{}", toy.name);
        assert_eq!((report.verdict, report.done_share), (Some("done"), 1.0));
        assert!(report.savings.is_empty(), "{:?}", report.savings);
        // One round less is that round's work.
        let part = &toy.pieces[0].part;
        let (name, rounds) = (part.name.clone(), part.rounds.len() as u32);
        toy.plan.set_rounds_made(&name, 0, rounds - 1);
        let left = time(&toy, None).left_minutes.value;
        let whole = time(&all, None).parts[0].minutes.value;
        assert!(left > 0.0 && left < whole, "{left} of {whole}");
    }
}

#[test]
fn savings_are_never_more_than_what_is_left() {
    for mut toy in toys() {
        // Three minutes a day: no sample is made in six.
        toy.plan.hours_per_day = Some(0.05);
        toy.plan.wished_day = Some(date(2027, 1, 2));
        let report = time(&toy, Some(date(2027, 1, 1)));
        assert_eq!(report.verdict, Some("late"), "{}", toy.name);
        for saving in &report.savings {
            assert!(saving.minutes.value <= report.left_minutes.value, "{saving:?}");
            assert!(saving.reaches_wished_day.is_some());
        }
        assert!(report.savings.windows(2).all(|s| s[0].minutes.value >= s[1].minutes.value));
    }
}

#[test]
fn every_sample_has_its_maps() {
    for toy in toys() {
        let derived = derive(&toy);
        let maps = placements(&toy, &derived);
        let sewn = derived.made.poses.iter().filter(|p| p.parent.is_some()).count();
        assert_eq!(maps.seams.len(), sewn, "{}", toy.name);
        for seam in &maps.seams {
            assert_eq!(seam.tail_mm.is_some(), seam.length_mm > 0.0, "{seam:?}");
            for copy in &seam.copies {
                let parent = &toy.pieces[toy.piece_named(&seam.onto).expect("a part")].part;
                for cover in &copy.rounds {
                    let count = parent.rounds[cover.round as usize - 1].count();
                    assert!((1..=count).contains(&cover.from_stitch) && (1..=count).contains(&cover.to_stitch));
                }
            }
            // A rim laid on a surface is about as long as it is by itself.
            if seam.joint == "rim_on_surface" {
                let index = toy.piece_named(&seam.part).expect("a part");
                let pose = derived.made.poses[index].seam.expect("a seam");
                let rim =
                    toppleknot::toy::address::ring_at(&derived.made.shapes[index].nodes, pose.own_node).expect("rings");
                let own = std::f64::consts::TAU * rim.radius_mm + 4.0 * rim.core_half_mm;
                assert!(
                    (0.75..1.35).contains(&(seam.length_mm / own)),
                    "{}: {} against {own}",
                    seam.part,
                    seam.length_mm
                );
            }
        }
        for part in &maps.steps {
            assert!(part.steps.windows(2).all(|s| s[0].after_round <= s[1].after_round), "{part:?}");
            let kinds: Vec<&str> = part.steps.iter().map(|s| s.kind).collect();
            let at = |kind: &str| kinds.iter().position(|k| *k == kind);
            for (before, after) in [("eyes", "stuff"), ("stuff", "close"), ("close", "sew")] {
                if let (Some(a), Some(b)) = (at(before), at(after)) {
                    assert!(a < b, "{}: {kinds:?}", part.part);
                }
            }
        }
        assert_eq!(derived.report.fabric.len(), toy.pieces.len());
        assert!(derived.report.fabric.iter().all(|f| f.verdict == "closed" || f.verdict == "empty"), "{}", toy.name);
    }
}

/// A lopsided part: radii, cores and counts that have nothing to do with each other.
fn lopsided() -> impl Strategy<Value = (Vec<Ring>, Vec<u32>)> {
    proptest::collection::vec((1u32..70, 0.5f64..40.0, prop_oneof![Just(0.0), 0.5f64..30.0], 0.2f64..9.0), 1..30)
        .prop_map(|rounds| {
            let mut z_mm = 0.0;
            let mut rings = vec![Ring { z_mm, radius_mm: rounds[0].1, core_half_mm: rounds[0].2 }];
            for (_, radius_mm, core_half_mm, rise) in &rounds {
                z_mm += rise;
                rings.push(Ring { z_mm, radius_mm: *radius_mm, core_half_mm: *core_half_mm });
            }
            (rings, rounds.iter().map(|r| r.0).collect())
        })
}

proptest! {
    #[test]
    fn stitch_to_address_and_back(
        (rings, counts) in lopsided(),
        (left_handed, wrong_side_out, mirrored) in any::<(bool, bool, bool)>(),
        drift in -0.5f64..0.5,
        first in proptest::option::of(-400.0f64..400.0),
        (round, within, share) in (0usize..30, 0.001f64..1.0, 0.0f64..1.0),
    ) {
        let rounds = rounds_of_counts(&counts).expect("counts above zero");
        let settings = Settings { left_handed, wrong_side_out, first_stitch_deg: first, ..Settings::default() };
        let fabric = WorkedFabric::new(&rings, &rounds, &settings, drift, mirrored);
        let round = round % counts.len();
        let at = Worked { round, within, stitches: share * f64::from(counts[round]) };
        let address = fabric.address(at);
        let back = fabric.worked(address).expect("rounds");
        prop_assert_eq!(back.round, at.round);
        prop_assert!((back.within - at.within).abs() < 1e-9);
        // At the side of a long section an angle says little of the place: the sine is flat there.
        let off = fabric.stitches_between(at, back).abs();
        prop_assert!(off < 1e-5 * f64::from(counts[round]), "{:?} {:?} {:?}", at, address, back);
    }

    #[test]
    fn address_to_stitch_and_back((rings, counts) in lopsided(), drift in -0.5f64..0.5, angle_deg in -180.0f64..180.0, node in 0.01f64..1.0) {
        let rounds = rounds_of_counts(&counts).expect("counts above zero");
        let fabric = WorkedFabric::new(&rings, &rounds, &Settings::default(), drift, false);
        let address = Address { round: node * counts.len() as f64, angle_deg };
        let back = fabric.address(fabric.worked(address).expect("rounds"));
        prop_assert!((back.round - address.round).abs() < 1e-9);
        let turn = (back.angle_deg - angle_deg) / 360.0;
        prop_assert!((turn - turn.round()).abs() < 1e-6, "{:?} {:?}", address, back);
    }

    #[test]
    fn work_grows_with_copies_and_falls_with_progress(counts in proptest::collection::vec(1u32..60, 1..20), copies in 1u32..5, made in 0u32..25) {
        let part = Part { name: "Limb".into(), rounds: rounds_of_counts(&counts).expect("counts"), ..Part::default() };
        let of = |copies: u32, made: u32| {
            let placement = Placement { copies: Copies::Around(copies), ..Placement::default() };
            let mut toy = Toy { pieces: vec![Piece { part: part.clone(), placement }], ..Toy::default() };
            toy.plan.set_rounds_made("Limb", 0, made);
            time(&toy, None).parts.remove(0)
        };
        let (one, many) = (of(1, 0), of(copies, 0));
        prop_assert!(near(many.minutes.value, f64::from(copies) * one.minutes.value));
        prop_assert!(of(copies, made).left_minutes.value <= many.left_minutes.value);
        let gone = part.rounds.iter().take(made as usize).map(toppleknot::measure::time::work_in_round).sum::<f64>();
        prop_assert!(near(one.minutes.value - of(1, made).left_minutes.value, gone / 13.0));
    }
}
