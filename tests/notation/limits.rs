//! Texts beyond all sense are answered, and what was not read is said at its place.

use toppleknot::notation::{Problem, ProblemKind, ReadOptions, Reading, Severity, read};

fn reading(text: &str) -> Reading {
    read(text, &ReadOptions::default())
}

fn rounds(r: &Reading) -> usize {
    r.pieces.iter().map(|p| p.rounds.len()).sum()
}

fn too_large(r: &Reading) -> Vec<&Problem> {
    r.problems.iter().filter(|p| p.kind == ProblemKind::TooLarge && p.severity == Severity::Severe).collect()
}

#[test]
fn more_rounds_than_any_pattern_has_are_read_up_to_the_limit() {
    let text = format!("6 sc in MR (6)\n{}", "sc around\n".repeat(60_000));
    let r = reading(&text);
    assert_eq!(rounds(&r), 50_000);
    let said = too_large(&r);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].line, 50_001);
}

#[test]
fn text_behind_the_limit_is_said_to_be_unread() {
    // Whole lines are read; one line of ten megabytes is cut.
    for (line, times) in [("A line about nothing at all.\n", 150_000), ("x", 10_000_000)] {
        let text = line.repeat(times);
        let r = reading(&text);
        let said = too_large(&r);
        assert_eq!(said.len(), 1, "{line}");
        let span = said[0].span.clone();
        assert!(span.start <= 4_000_000 && span.start > 3_999_000 && text.get(span).is_some());
    }
}

#[test]
fn a_text_with_countless_problems_lists_them_up_to_the_limit() {
    let text = "Rnd 1: 6 sc in MR (6)\nRnd 2: foo, 3 bar, inc baz (13)\n".repeat(12_000);
    let r = reading(&text);
    assert!(r.problems.len() <= 20_101, "{}", r.problems.len());
    assert!(too_large(&r).iter().any(|p| p.message.contains("more problems")));
}

#[test]
fn brackets_a_hundred_thousand_deep_are_read() {
    let deep = format!("Rnd 1: 6 sc in MR (6)\nRnd 2: {}sc{}\n", "(".repeat(100_000), ")".repeat(100_000));
    assert_eq!(too_large(&reading(&deep)).len(), 1);
    assert!(reading(&"(".repeat(100_000)).pieces.is_empty());
}

#[test]
fn numbers_and_repeats_beyond_all_sense_are_said() {
    for round in [
        "sc around, repeat 4294967295 times",
        "(sc, inc) x 4294967295",
        "((((6 sc) x 1000) x 1000) x 1000)",
        "((((6 sc) x 1000) x 1000) x 1000) x 4000000000 (6)",
        "4294967295 sc (4294967295)",
    ] {
        let r = reading(&format!("Rnd 1: 6 sc in MR (6)\nRnd 2: {round}\n"));
        assert!(rounds(&r) <= 402, "{round}: {}", rounds(&r));
        let largest = r.pieces.iter().flat_map(|p| &p.rounds).map(|x| x.round.count()).max();
        assert!(largest.unwrap_or(0) <= 5_000, "{round}: {largest:?}");
        assert!(r.problems.iter().any(|p| p.line == 2), "{round}");
    }
    for range in ["Rnds 2-4000000000: sc around (6)", "Rnds 1-4000000000: sc", "Rnds 2-999: sc around"] {
        let r = reading(&format!("Rnd 1: 6 sc in MR (6)\n{range}\n"));
        assert!(rounds(&r) <= 402, "{range}: {}", rounds(&r));
        assert!(r.problems.iter().any(|p| p.line == 2), "{range}: {:?}", r.problems);
    }
}
