//! Every sample with the verdict it was made for.

use toppleknot::document::{TextScene, load, open, samples, to_text};
use toppleknot::measure::{FindingKind, Severity, derive, land};
use toppleknot::toy::{Seat, Toy};

use super::sample_path;

fn toy(file: &str) -> Toy {
    load(&sample_path(file)).unwrap_or_else(|e| panic!("{e}")).toy
}

fn has(toy: &Toy, kind: FindingKind, severity: Severity) -> bool {
    derive(toy).report.findings.iter().any(|f| f.kind == kind && f.severity == severity)
}

#[test]
fn every_sample_opens_is_placed_and_solved() {
    assert!(samples().len() >= 6);
    let mut on_disk: Vec<String> = std::fs::read_dir(sample_path(""))
        .expect("the samples folder")
        .filter_map(|e| e.ok()?.file_name().into_string().ok())
        .filter(|n| n.ends_with(".toy.ron"))
        .collect();
    on_disk.sort();
    assert_eq!(on_disk.len(), samples().len(), "every sample file is in the program: {on_disk:?}");
    for file in on_disk {
        let toy = toy(&file);
        let derived = derive(&toy);
        for part in &derived.report.parts {
            assert!(part.converged && part.placed, "{file}: {} is solved and placed", part.name);
        }
        // Stitches follow from one another: a sample must not itself show a slip.
        for finding in &derived.report.findings {
            assert!(
                !matches!(
                    finding.kind,
                    FindingKind::StitchesDiffer | FindingKind::TooManyDecreases | FindingKind::UnknownName
                ),
                "{file}: {}",
                finding.message
            );
        }
        let shares: f64 = land(&derived).expect("a toy lands somehow").iter().map(|p| p.share).sum();
        assert!((shares - 1.0).abs() < 1e-9, "{file}: {shares}");
        let again = toppleknot::document::parse(&to_text(&load(&sample_path(&file)).expect("a sample")), &file);
        assert_eq!(again.expect("what is written is read").toy, toy, "{file}");
    }
}

#[test]
fn the_crier_is_head_heavy() {
    let toy = toy("puppet-booth-crier.toy.ron");
    assert!(has(&toy, FindingKind::HeadHeavy, Severity::Severe));
    assert!(derive(&toy).report.toy.head_to_body_mass.expect("it has a head").value > 1.0);
}

#[test]
fn the_herons_neck_flops_and_a_firmer_wider_one_does_not() {
    let mut toy = toy("reed-heron.toy.ron");
    assert!(has(&toy, FindingKind::FloppyNeck, Severity::Severe));
    let mut counts = toy.pieces[0].part.counts();
    let last = counts.len() - 1;
    for count in &mut counts[4..last] {
        *count = (*count).max(21);
    }
    toy.pieces[0].part.rounds = toppleknot::rounds::rounds_of_counts(&counts).expect("counts above zero");
    assert!(!has(&toy, FindingKind::FloppyNeck, Severity::Severe), "a neck twice as wide holds");
}

#[test]
fn the_seal_stands_well() {
    let derived = derive(&toy("tide-pool-seal.toy.ron"));
    assert_eq!(derived.report.stand.expect("it stands").verdict, "stands");
    assert!(derived.report.findings.iter().all(|f| f.severity == Severity::Note), "{:?}", derived.report.findings);
}

#[test]
fn the_bears_verdict_changes_when_its_legs_move() {
    let mut toy = toy("sea-wall-bear.toy.ron");
    let verdict = |toy: &Toy| derive(toy).report.stand.expect("it has a floor").verdict;
    assert_eq!(verdict(&toy), "stands");
    let leg = toy.piece_named("Leg").expect("it has legs");
    // Up at the sides, off the floor: nothing props it any more.
    if let Seat::OnSurface { at, .. } = &mut toy.pieces[leg].placement.seat {
        at.round = 11.0;
        at.angle_deg = 90.0;
    }
    toy.pieces[leg].placement.nod_deg = 0.0;
    assert_ne!(verdict(&toy), "stands");
}

#[test]
fn the_hare_has_folded_ears_and_an_oval_foot() {
    let toy = toy("shop-window-hare.toy.ron");
    let derived = derive(&toy);
    let part = |name: &str| derived.report.parts.iter().position(|p| p.name == name).expect("a part of the hare");
    assert_eq!(derived.report.parts[part("Ear")].stuffing_g.value, 0.0);
    let foot = &derived.made.shapes[part("Foot")];
    assert!(foot.nodes[1].core_half_mm > 5.0, "longer than wide: {:?}", foot.nodes[1]);
    let standing = derived.report.stand.expect("it stands on something");
    assert_eq!(standing.stands_on, ["Foot"]);
}

#[test]
fn the_imps_legs_carry_its_body_side_by_side() {
    let toy = toy("boot-room-imp.toy.ron");
    let derived = derive(&toy);
    let leg = toy.piece_named("Leg").expect("it has legs");
    let at: Vec<f64> = derived.made.poses[leg].toy_from_part.iter().map(|m| m.translation.x).collect();
    assert_eq!(at.len(), 2);
    assert!((at[0] + at[1]).abs() < 1e-9 && (at[0] - at[1]).abs() > 20.0, "{at:?}");
    assert_eq!(derived.report.stand.expect("it stands").stands_on, ["Leg"]);
}

#[test]
fn long_bases_rest_level_whatever_the_chain() {
    // Symmetric toys have no reason to lean: an oval base must not end in a keel.
    for (chain, counts) in [(1, vec![8, 14, 20, 26, 32, 32, 32, 26]), (8, vec![20, 26, 32, 38, 38, 38, 38, 38, 32, 26])]
    {
        let rounds = toppleknot::rounds::rounds_of_counts(&counts).expect("counts above zero");
        let mut piece = toppleknot::toy::Piece::default();
        piece.part.name = "Body".to_owned();
        piece.part.rounds = rounds;
        piece.part.start = toppleknot::rounds::Start::ChainOval { chain };
        piece.part.finish = toppleknot::rounds::Finish::Open;
        piece.part.base = toppleknot::part::Base::Rounded;
        piece.placement.seat = Seat::Floor { down: toppleknot::part::End::Start, x_mm: 0.0, y_mm: 0.0 };
        let stand = derive(&Toy { pieces: vec![piece], ..Toy::default() }).report.stand.expect("it has a floor");
        assert_eq!(stand.verdict, "stands", "chain {chain}");
        assert!(stand.settles_deg.is_some_and(|deg| deg < 1.0), "chain {chain}: {:?}", stand.settles_deg);
    }
}

#[test]
fn an_empty_body_cannot_be_stood_on() {
    let mut toy = toy("tide-pool-seal.toy.ron");
    let body = toy.piece_named("Body").expect("it has a body");
    toy.pieces[body].part.stuffing.amount = toppleknot::part::Amount::None;
    assert!(has(&toy, FindingKind::NothingToStandOn, Severity::Severe));
}

#[test]
fn samples_in_words_read_without_a_doubt_and_like_their_files() {
    let mut seen = 0;
    for entry in std::fs::read_dir(sample_path("")).expect("the samples folder").flatten() {
        let path = entry.path();
        if path.extension().is_none_or(|e| e != "txt") {
            continue;
        }
        seen += 1;
        let opened = open(&path, None, &TextScene::default()).unwrap_or_else(|e| panic!("{e}"));
        let doubts: Vec<&str> =
            opened.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| p.message.as_str()).collect();
        assert!(doubts.is_empty(), "{}: {doubts:?}", path.display());
        let twin = path.with_extension("toy.ron");
        let twin = load(&twin).unwrap_or_else(|e| panic!("{e}")).toy;
        for (read, kept) in opened.document.toy.pieces.iter().zip(&twin.pieces) {
            assert_eq!(read.part.counts(), kept.part.counts(), "{}: {}", path.display(), kept.part.name);
        }
        assert_eq!(opened.document.toy.pieces.len(), twin.pieces.len(), "{}", path.display());
    }
    assert!(seen >= 3, "some samples are there as written rounds too");
}
