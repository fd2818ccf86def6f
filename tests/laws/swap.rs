//! Laws of the same toy otherwise: shapes are kept, rounds fit, places go along.

use proptest::prelude::*;
use toppleknot::document::{TextScene, open_text, samples};
use toppleknot::measure::{FindingKind, derive, make};
use toppleknot::part::{Amount, Base, End, Part};
use toppleknot::rounds::{Loops, rounds_of_counts};
use toppleknot::swap::{as_large_as_yarn_allows, resized, same_counts, same_size};
use toppleknot::toy::{Piece, Placement, Seat, Spot, Toy};
use toppleknot::yarn::Yarn;

/// A yarn whose stitches are this wide, mm.
fn yarn(name: &str, w_mm: f64) -> Yarn {
    Yarn {
        name: name.into(),
        category: Some(4),
        stitches_per_10cm: Some(100.0 / w_mm),
        rounds_per_10cm: Some(100.0 / (0.93 * w_mm)),
        ..Yarn::default()
    }
}

fn all_samples() -> Vec<Toy> {
    let open = |text| open_text(text, "a sample", true, &TextScene::default()).expect("a sample opens").document.toy;
    samples().iter().map(|s| open(s.text)).collect()
}

/// A sample in yarns of one known gauge, 5 mm.
fn sample_toys() -> Vec<Toy> {
    let mut toys = all_samples();
    for known in toys.iter_mut().flat_map(|t| &mut t.yarns) {
        *known = Yarn { colour: known.colour, ..yarn(&known.name, 5.0) };
    }
    toys
}

fn height(toy: &Toy) -> f64 {
    derive(toy).report.toy.size_mm.map_or(0.0, |s| s.z.value)
}

fn fault(toy: &Toy) -> Option<String> {
    for piece in &toy.pieces {
        for (i, pair) in piece.part.rounds.windows(2).enumerate() {
            if pair[1].uses() != pair[0].count() {
                return Some(format!(
                    "{}, round {}: into {} of {}",
                    piece.part.name,
                    i + 2,
                    pair[1].uses(),
                    pair[0].count()
                ));
            }
        }
    }
    let wrong =
        [FindingKind::StitchesDiffer, FindingKind::EmptyRound, FindingKind::DoesNotClose, FindingKind::UnknownName];
    derive(toy).report.findings.into_iter().find(|f| wrong.contains(&f.kind)).map(|f| f.message)
}

#[test]
fn the_same_yarn_leaves_every_count() {
    for toy in sample_toys() {
        let same = same_size(&toy, 0, &toy.yarns[0].clone());
        assert_eq!(same.parts, [], "{}", toy.name);
        assert_eq!(same.toy, toy, "{}", toy.name);
        let as_it_is = resized(&toy, 1.0);
        assert_eq!(as_it_is.pieces, toy.pieces, "{}", toy.name);
    }
}

#[test]
fn the_same_counts_in_a_wider_yarn_are_as_much_larger() {
    for toy in sample_toys() {
        let mut wide = toy.clone();
        for i in 0..toy.yarns.len() {
            wide = same_counts(&wide, i, &yarn(&format!("Wide {i}"), 6.0)).toy;
        }
        for (a, b) in toy.pieces.iter().zip(&wide.pieces) {
            assert_eq!(a.part.counts(), b.part.counts());
        }
        // Larger, and a little more stretched: the same pressure loads a larger ball more.
        let grown = height(&wide) / height(&toy);
        assert!((1.17..1.25).contains(&grown), "{}: {grown}", toy.name);
        assert_eq!(fault(&wide), fault(&toy), "{}", toy.name);
    }
}

#[test]
fn the_same_size_in_another_yarn_is_the_same_size() {
    for toy in sample_toys() {
        for w in [2.5, 3.5, 4.4, 6.5] {
            let mut new = toy.clone();
            for i in 0..toy.yarns.len() {
                new = same_size(&new, i, &yarn(&format!("Other {i}"), w)).toy;
            }
            assert_eq!(fault(&new), None, "{} at {w} mm", toy.name);
            let (a, b) = (make(&toy), make(&new));
            for (i, (old, new_shape)) in a.shapes.iter().zip(&b.shapes).enumerate() {
                // A round and half a stitch either way, and some for the load that goes with the yarn's stiffness.
                let slack = 1.2 * w + 2.5 + 0.03 * old.length_mm().max(old.widest_mm());
                let name = &toy.pieces[i].part.name;
                let off = [old.length_mm() - new_shape.length_mm(), old.widest_mm() - new_shape.widest_mm()];
                assert!(off.iter().all(|x| x.abs() < slack), "{}, {name} at {w} mm: off by {off:?}", toy.name);
            }
        }
    }
}

#[test]
fn places_go_along_with_the_rounds() {
    for toy in sample_toys() {
        let mut new = toy.clone();
        for i in 0..toy.yarns.len() {
            new = same_size(&new, i, &yarn(&format!("Fine {i}"), 2.5)).toy;
        }
        let (a, b) = (make(&toy), make(&new));
        for (i, (old, now)) in a.poses.iter().zip(&b.poses).enumerate() {
            for (p, q) in old.toy_from_part.iter().zip(&now.toy_from_part) {
                let moved = (p.translation - q.translation).length();
                assert!(moved < 14.0, "{}, {}: moved {moved} mm", toy.name, toy.pieces[i].part.name);
            }
        }
        for (old, now) in toy.extras.iter().zip(&new.extras) {
            if let (Spot::Surface(old), Spot::Surface(now)) = (old.spot, now.spot) {
                assert!((now.round / old.round - 2.0).abs() < 0.25, "{}: {old:?} {now:?}", toy.name);
            }
        }
    }
}

#[test]
fn half_the_width_is_twice_the_counts() {
    let part = Part {
        name: "Ball".into(),
        rounds: rounds_of_counts(&[6, 12, 18, 24, 24, 24, 24, 18, 12, 6]).expect("counts above zero"),
        ..Part::default()
    };
    let seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let toy = Toy {
        yarns: vec![yarn("Thick", 6.0)],
        pieces: vec![Piece { part, placement: Placement { seat, ..Placement::default() } }],
        ..Toy::default()
    };
    let fine = same_size(&toy, 0, &yarn("Fine", 3.0));
    // By hand: the outline 6 … 24 over four rounds becomes 6 … 48 over eight, eight even rounds, and down again.
    let counts = fine.toy.pieces[0].part.counts();
    assert_eq!(counts[..8], [6, 12, 18, 24, 30, 36, 42, 48]);
    assert_eq!(*counts.last().expect("rounds"), 6);
    assert_eq!(counts.iter().filter(|n| **n == 48).count(), 7);
    assert_eq!(fine.toy.yarns[0].name, "Fine");
    assert!(fine.after.stitches > 3 * fine.before.stitches);
}

#[test]
fn a_back_loop_edge_stays_one_round_at_the_rim_of_its_disc() {
    let mut part = Part {
        name: "Body".into(),
        rounds: rounds_of_counts(&[6, 12, 18, 24, 24, 24, 24, 18, 12, 6]).expect("counts above zero"),
        base: Base::BackLoopEdge { round: 5 },
        ..Part::default()
    };
    part.rounds[4].runs.iter_mut().for_each(|run| run.stitch.loops = Loops::Back);
    part.stuffing.amount = Amount::Grams(10.0);
    let seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let toy = Toy {
        yarns: vec![yarn("Thick", 6.0)],
        pieces: vec![Piece { part, placement: Placement { seat, ..Placement::default() } }],
        ..Toy::default()
    };
    let part = &same_size(&toy, 0, &yarn("Fine", 3.0)).toy.pieces[0].part;
    let back: Vec<usize> = (0..part.rounds.len()).filter(|i| part.rounds[*i].is_back_loop()).collect();
    assert_eq!(back, [8]);
    assert_eq!(part.base, Base::BackLoopEdge { round: 9 });
    assert_eq!(part.stuffing.amount, Amount::Grams(10.0), "the same room");
    assert_eq!(resized(&toy, 2.0).pieces[0].part.stuffing.amount, Amount::Grams(80.0), "eight times the room");
}

#[test]
fn as_large_as_the_yarn_allows_lasts_and_a_little_larger_does_not() {
    for mut toy in sample_toys() {
        let need = derive(&toy).report.yarn[0].stock.need.grams.value;
        for (share, sure) in [(0.5, false), (1.7, false), (1.7, true)] {
            toy.yarns[0].stock.have_g = Some(share * need);
            let Some((size, swapped)) = as_large_as_yarn_allows(&toy, sure) else { panic!("{}: no size", toy.name) };
            let grams = swapped.after.yarns[0].need.grams;
            let taken = if sure { grams.high } else { grams.value };
            assert!(taken <= share * need + 1e-9, "{}", toy.name);
            // Yarn goes as the surface, less what does not shrink with it: the tails.
            assert!(sure || taken > 0.85 * share * need, "{}: {size} takes {taken} of {}", toy.name, share * need);
            assert_eq!(fault(&swapped.toy), None, "{} at {size}", toy.name);
        }
        toy.yarns[0].stock.have_g = None;
        assert!(as_large_as_yarn_allows(&toy, false).is_none(), "nothing was said of what is at hand");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn any_part_comes_out_fitting(
        counts in proptest::collection::vec(1u32..70, 1..20),
        w in 1.5..15.0f64,
        size in 0.2..4.0f64,
    ) {
        let part = Part {
            name: "Part".into(),
            rounds: rounds_of_counts(&counts).expect("counts above zero"),
            ..Part::default()
        };
        let seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
        let toy = Toy {
            yarns: vec![yarn("Old", 5.0)],
            pieces: vec![Piece { part, placement: Placement { seat, ..Placement::default() } }],
            ..Toy::default()
        };
        for new in [same_size(&toy, 0, &yarn("New", w)).toy, resized(&toy, size)] {
            let part = &new.pieces[0].part;
            prop_assert!(!part.rounds.is_empty());
            for pair in part.rounds.windows(2) {
                prop_assert_eq!(pair[1].uses(), pair[0].count());
            }
            // What could be drawn shut still can. (What could not may: fewer, wider stitches.)
            prop_assert!(part.closes() || !toy.pieces[0].part.closes());
            let mass = derive(&new).report.toy.mass_g;
            prop_assert!(mass.low.is_finite() && mass.high.is_finite());
        }
    }
}
