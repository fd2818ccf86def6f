//! Words and marks of single rounds that were once misread: rounds called "next", rounds of another part, colours by
//! letter, changes told for each round, totals behind other marks, labels, tables, cords. All texts are invented; the ways
//! of writing are common practice, no source; each count follows from the words.

use toppleknot::notation::{ProblemKind as K, Severity};

use crate::told::{Row, check, counts, reading};

const DISC: &str = "Hill\nRnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)";
const BALL: &str = "Ball\nRnd 1: 6 sc in MR\nRnd 2: inc x 6";

#[test]
fn a_round_called_next_leaves_the_one_before_whole() {
    let rows: &[Row] = &[
        ("Work 1 round straight.\nNext round: dec x 6 (6)", &[12, 6], &[]),
        ("Work even for 3 rounds.\nNext round: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Work even for 3 rounds.\n\nNext round: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Next 3 rounds: sc around.\nNext round: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Work even for 3 rounds.\nThen, next rnd - dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Sc for 2 rounds.\nLast round: dec x 6 (6)", &[12, 12, 6], &[]),
        ("Sc in each st around\nNext round: dec x 6 (6)", &[12, 6], &[]),
        ("Next 2 rounds: sc around.\nnext 2 rounds the same\nRnd 7: dec x 6 (6)", &[12, 12, 12, 12, 6], &[]),
        ("Work even for 3 rounds. (12)\nNext round: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Work even for 3 rounds.\nRnd 6: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        // A round broken over two lines is one.
        ("Rnd 3: sc in next 6 st,\nthen dec x 3 (9)", &[9], &[]),
        ("Rnd 3: 1 sc in next st,\n*inc, sc in next st; rep from * 4 times, inc in last st (18)", &[18], &[]),
    ];
    check(DISC, &[6, 12], rows);
}

#[test]
fn rounds_of_another_part_may_be_told_with_a_label() {
    const HEAD: &str = "Head\nR1: 6 sc in MR (6)\nR2: inc x6 (12)\nR3: (sc, inc) x6 (18)\nR4: (2 sc, inc) x6 (24)";
    let body: &[u32] = &[6, 12, 18, 18, 18];
    let rows: &[Row] = &[
        ("Body\nRnds 1-3: Work as for the head. (18)\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nRnds 1-3: Work as for the head.\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nR1-3: as head\nR4-5: sc (18)", body, &[]),
        ("Body\nRnds 1-3: same as head (6, 12, 18)\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nRnds 1-3: Repeat Rnds 1-3 of Head.\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nRnds 1-3: like the head [18 sts]\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nWork rounds 1-3 of the head.\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nCrochet rnds 1-3 as for the head.\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nRounds 1-3 are the same as for the head.\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nRepeat rounds 1-3 of the head (18)\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nRnds 1-3: same as head, in green\nRnds 4-5: sc (18)", body, &[]),
        ("Body\nR1-R3: as head (9)\nR4: sc (18)", &[6, 12, 18, 18], &[K::TotalDiffers]),
        ("Body\nR1-6: as head\nR7: sc (24)", &[6, 12, 18, 24, 24], &[K::MissingReference]),
        // Within a part, and of the part itself.
        ("R5: dec x 12 (12)\nR6-7: repeat R5 and R5", &[12, 12, 12], &[K::StitchesDiffer, K::StitchesDiffer]),
        ("R5-6: same as round 3", &[24, 24], &[K::StitchesDiffer, K::StitchesDiffer]),
        // A remark on the part that follows.
        ("Body\nRnd 1: 6 sc in MR (6)\nWork rounds 1-3 of the body in green.\nRnd 2: inc x 6 (12)", &[6, 12], &[]),
    ];
    check(HEAD, &[6, 12, 18, 24], rows);
}

#[test]
fn the_letter_of_a_colour_is_no_stitch() {
    let rows: &[Row] = &[
        ("Rnd 3: With color A, sc around", &[12], &[]),
        ("Rnd 3: With color X, sc around", &[12], &[]),
        ("Rnd 3: With yarn A sc around", &[12], &[]),
        ("Rnd 3: Change to color A. Sc around", &[12], &[]),
        ("Rnd 3: using color A, (sc, inc) x 6", &[18], &[]),
        ("Rnd 3: sc around using color A", &[12], &[]),
        ("Rnd 3: sc around - A", &[12], &[]),
        ("Rnd 3: sc around, change to color A (12)\nRnd 4: with color A, sc around (12)", &[12, 12], &[]),
        ("Rnd 3: Color 2: sc around", &[12], &[]),
        ("Rnd 3: color 2, dec x 6", &[6], &[]),
        ("Rnd 3: hook 3.5: sc around", &[12], &[]),
        ("Rnd 3: MC: sc around", &[12], &[]),
        ("Rnd 3: (sc, inc) x 6 RS", &[18], &[]),
        ("Rnd 3: with X: sc around", &[12], &[]),
        ("Rnd 3: B: sc around", &[12], &[]),
        ("Rnd 3: sc around RS\nRnd 4: dec x 6", &[12, 6], &[]),
        // A is a decrease of charts, and x a stitch.
        ("Rnd 3: A x 6", &[6], &[]),
        ("Rnd 3: 6 A", &[6], &[]),
        ("Rnd 3: (4 x, A) x 2", &[10], &[]),
        ("Rnd 3: 10 sc - A", &[11], &[]),
        ("Rnd 3: sc around x3 rs", &[12; 3], &[]),
    ];
    check(BALL, &[6, 12], rows);
    let begun: &[Row] = &[
        ("Rnd 1: With color A, 6 sc in MR\nRnd 2: MC: inc x 6\nRnd 3: sc around", &[6, 12, 12], &[]),
        ("Rnd 1: color 1: 6 sc in MR", &[6], &[]),
        ("Rnd 1: hook 3.5: 6 sc in MR", &[6], &[]),
        ("Rnd 1: MC: 6 sc\nRnd 2: inc x 6", &[6, 12], &[]),
        ("MC: 6\ninc x 6", &[6, 12], &[]),
    ];
    check("Ball", &[], begun);
    let colour = |text: &str| {
        let r = reading(&format!("A = brown, B = white\n{DISC}\n{text}"));
        r.pieces[0].rounds.last().and_then(|r| r.round.colour().map(ToString::to_string))
    };
    assert_eq!(colour("Rnd 3: with color A, sc around").as_deref(), Some("brown"));
    assert_eq!(colour("Rnd 3: change to color B, sc around").as_deref(), Some("white"));
}

#[test]
fn changes_may_be_told_for_each_round_of_a_range() {
    let rows: &[Row] = &[
        ("R3-R6: inc 1 per round (13, 14, 15, 16)", &[13, 14, 15, 16], &[]),
        ("R3-5: inc 6 sts in each round (18, 24, 30)", &[18, 24, 30], &[]),
        ("R3-5: increase 6 in each round (30)", &[18, 24, 30], &[]),
        ("R3-4: inc evenly 3 in each round (15) (18)", &[15, 18], &[]),
        ("R3-5: (inc in first st, sc around) (13-14-15)", &[13, 14, 15], &[]),
        ("R3-5: dec 2 every round (10, 8, 6)", &[10, 8, 6], &[]),
        ("R3-5: inc twice each round", &[14, 16, 18], &[]),
        ("R3-4: sc around (12) (2 rounds)", &[12, 12], &[]),
        ("R3-4: sc around (12, 12)", &[12, 12], &[]),
        ("R3: sc around\nR4-7: repeat R2-R3 twice (24, 24, 48, 48)", &[12, 24, 24, 48, 48], &[]),
        ("R3: sc 11, inc (13)\nR4: sc (13)\nR5-8: repeat R3-R4 twice (14, 14, 15, 15)", &[13, 13, 14, 14, 15, 15], &[]),
        // As many totals as rounds, or none of these.
        ("R3-4: inc in each st around (24, 48)", &[24, 48], &[]),
        ("R3: inc 6 in each round (18)", &[18], &[]),
        ("R3-5: sc around (12)", &[12; 3], &[]),
        ("R3-4: (sc 4, inc) x 2, sc 2 (14, 16)", &[14, 16], &[K::StitchesDiffer, K::TotalDiffers]),
    ];
    check(DISC, &[6, 12], rows);
}

#[test]
fn other_marks_stand_before_totals() {
    for f in
        [" -> #", " => #", " | #", " |#|", " *#*", ", total # sc", ", total of # sts", " - total: #", " → #", " / #"]
    {
        let total = |n: u32| f.replace('#', &n.to_string());
        let text = format!(
            "Head\nRnd 1: 6 sc in MR{}\nRnd 2: inc x 6{}\nRnds 3-4: sc around{}\nRnd 5: (sc, inc) x 6{}",
            total(6),
            total(12),
            total(12),
            total(18)
        );
        let r = reading(&text);
        let loud: Vec<K> = r.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| p.kind).collect();
        assert_eq!((counts(&r), loud), (vec![6, 12, 12, 12, 18], vec![]), "{f}");
    }
    let rows: &[Row] = &[
        // Repeats.
        ("Rnd 3: sc, inc *6", &[18], &[]),
        ("Rnd 3: |sc, inc| x 6", &[18], &[]),
        ("Rnd 3: |sc, inc| 6", &[18], &[]),
        ("Rnd 3: *sc, inc* 6", &[18], &[]),
        ("Rnd 3: *sc, inc *", &[18], &[]),
        ("Rnd 3: (sc, inc) *6*", &[18], &[]),
        ("Rnd 3: (sc, inc) x 6 *18*", &[18], &[]),
        ("Rnd 3: sc around <12>", &[12], &[]),
    ];
    check(DISC, &[6, 12], rows);
}

#[test]
fn labels_of_other_forms_are_read() {
    let two = "Hill\nRound no. 1 – 6 sc in MR (6)\nRound no. 2 – inc x 6 (12)";
    let numbers: &[Row] = &[("Round no. 3 – sc around (12)", &[12], &[]), ("Round No 3: dec x 6", &[6], &[])];
    check(two, &[6, 12], numbers);
    for label in [
        "Rnd #3-#5:",
        "Rnds #3-5:",
        "R3 until R5:",
        "R3 -> R5:",
        "R3..R5:",
        "R3 bis R5:",
        "R3 à R5:",
        "R3 → R5:",
        "R3..5:",
        "R3 to R5:",
    ] {
        let r = reading(&format!("{DISC}\n{label} sc around (12)\nRnd 6: dec x 6 (6)"));
        assert_eq!(counts(&r), [6, 12, 12, 12, 12, 6], "{label}");
        assert!(r.problems.iter().all(|p| p.severity == Severity::Note), "{label}: {:?}", r.problems);
    }
    for (one, range) in [("#/", "3-5/"), ("#°", "3°-5°"), ("#.", "3.-5.")] {
        let at = |n: u32| one.replace('#', &n.to_string());
        let text = format!(
            "Hill\n{} 6 sc in MR (6)\n{} inc x 6 (12)\n{range} sc around (12)\n{} dec x 6 (6)",
            at(1),
            at(2),
            at(6)
        );
        assert_eq!(counts(&reading(&text)), [6, 12, 12, 12, 12, 6], "{range}");
    }
    let rows: &[Row] = &[("Rnd 3. 12 sc", &[12], &[]), ("R3 no inc", &[12], &[])];
    check(DISC, &[6, 12], rows);
}

#[test]
fn words_of_single_rounds_are_read() {
    let rows: &[Row] = &[
        ("Rnd 3: sc in every other st", &[6], &[]),
        ("Rnd 3: hdc in every 2nd stitch", &[6], &[]),
        ("Rnd 3: sc in every other st (12)", &[12], &[]),
        ("Rnd 3: inc in every other st", &[18], &[]),
        ("Rnd 3: 2 sc in every other st", &[18], &[]),
        ("Rnd 3: 2 sc in every 4th st", &[15], &[]),
        ("Rnd 3: sc 3, sc 4 together with arm, sc 5", &[12], &[]),
        ("Rnd 3: sc 5, sc 2 together with the arm, sc 5 (12)", &[12], &[]),
        ("Rnd 3: 3 sc, 2 sc together with the arm, 7 sc (12)", &[12], &[]),
        ("Rnd 3: sc 10, sc 2 together", &[11], &[]),
        ("Rnd 3: sc 10, sc 2 together with white", &[11], &[]),
        ("Rnd 3: (sc 4, sc 2 together with the next st) x 2", &[10], &[]),
        ("Rnd 3: sc around\nRnd 4 same\nRnd 5: dec x 6", &[12, 12, 6], &[]),
        ("Rnd 3: sc around\nRnds 4-5: the same (12)\nRnd 6: dec x 6", &[12, 12, 12, 6], &[]),
        ("Rnd 3: same (12)", &[12], &[]),
        ("Rnd 3: same", &[12], &[K::StitchesDiffer]),
        ("Rnd 3: inc in each st\nRnd 4: same", &[24, 48], &[K::Guessed]),
        ("Rnd 3: All sc", &[12], &[]),
        ("Rnd 3: all sc (12)", &[12], &[]),
        ("Rnd 3: all sc in white", &[12], &[]),
        ("Rnd 3: sc in all st", &[12], &[]),
        ("Rnd 3: crochet every two stitches together", &[6], &[]),
        ("Rnd 3: work 2 together all round", &[6], &[]),
        ("Rnd 3: sc every 2 sts together", &[6], &[]),
        ("Rnd 3: sc 10, sc next two stitches together", &[11], &[]),
        ("Rnd 3: sc 11, inc (13 sts, 1 inc made)", &[13], &[]),
        ("Rnd 3: sc 11, inc (13 sts, +1)", &[13], &[]),
        ("Rnd 3: sc 5, inc, sc 5, inc (7 sc, 7 hdc)", &[14], &[]),
    ];
    check(DISC, &[6, 12], rows);
    let passed = reading(&format!("{DISC}\nRnd 3: sc in every other st"));
    assert!(passed.problems.iter().any(|p| p.kind == K::Guessed && p.severity == Severity::Note));
}

#[test]
fn tables_of_other_forms_are_read() {
    let bars = "Head\n| Rnd 1: 6 sc in MR (6) |\n| Rnd 2: inc x 6 (12) |\n| Rnds 3-5: sc around (12) |\n| Rnd 6: dec x 6 (6) |";
    let blanks = "Beetle\n1        Blue      6 sc in magic ring     6\n2        Blue      inc x 6                12\n\
                  3 - 5    Green     sc around              12\n6        Green     dec x 6                6";
    let first = "Beetle\n(6) 1: mc 6 sc\n(12) 2: 6 inc\n(12) 3-5: 12 sc\n(6) 6: 6 dec";
    for text in [bars, blanks, first] {
        let r = reading(text);
        assert_eq!(counts(&r), [6, 12, 12, 12, 12, 6], "{text}");
        assert!(r.problems.iter().all(|p| p.severity == Severity::Note), "{text}: {:?}", r.problems);
    }
    check(DISC, &[6, 12], &[("Rnd 3: |sc, inc|", &[18], &[])]);
    check("Hill\n(1) 6 sc in MR (6)\n(2) inc x 6 (12)", &[6, 12], &[("(3) sc around (12)", &[12], &[])]);
}

#[test]
fn nothing_is_said_where_the_count_is_right() {
    let rows: &[Row] = &[
        ("Ch 12, 3 sc in 2nd ch from hook and each across (33)", &[33], &[]),
        ("Ch 12, sc in 2nd ch from hook and each ch across (11)", &[11], &[]),
        ("Row 1: ch 2, sc in 2nd ch from hook (1)\nRow 2: Ch 1, 3 sc in the st (3)", &[1, 3], &[]),
        ("Row 1: ch 21 (about 12 cm), sc in 2nd ch from hook and in each ch across (20)", &[20], &[]),
    ];
    check("Scarf", &[], rows);
}

#[test]
fn a_cord_of_chain_is_no_round() {
    for (text, left) in
        [("Mouse tail\nCh 14 (14)", true), ("Antennae\nCh 15 x2, no sc.", true), ("Tail\nCh 40, fasten off.", true)]
    {
        let r = reading(&format!("{DISC}\n{text}\nEar\nRnd 1: 5 sc in MR (5)"));
        assert_eq!(counts(&r), [6, 12, 5], "{text}");
        assert_eq!(r.problems.iter().any(|p| p.message.contains("cord")), left, "{text}: {:?}", r.problems);
    }
    let rows: &[Row] = &[
        ("Ch 18, join to a ring\nRnd 1: 18 sc (18)", &[18], &[]),
        ("Ch 14. Sc back along the chain. (13)", &[13], &[K::StartUnclear]),
        ("Ch 9\nRow 1: sc in 2nd ch from hook and in each ch across (8)", &[8], &[]),
    ];
    check("Tail", &[], rows);
}
