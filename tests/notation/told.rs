//! Rounds told by the round before them, lists of labels, shaping at the ends of a row, runs of colour, joins:
//! tables of a text and the counts it must give. All texts are invented; the ways of writing are common practice, no
//! source; each count follows from the words.

use toppleknot::notation::{ProblemKind as K, ReadOptions, Reading, Severity, read};

/// A text, the counts of all its rounds, and the kinds of its problems that are no notes.
pub(crate) type Row = (&'static str, &'static [u32], &'static [K]);

pub(crate) fn reading(text: &str) -> Reading {
    read(text, &ReadOptions::default())
}

pub(crate) fn counts(r: &Reading) -> Vec<u32> {
    r.pieces.iter().flat_map(|p| p.rounds.iter()).map(|r| r.round.count()).collect()
}

/// `head` stands before each text; its rounds count `from`.
pub(crate) fn check(head: &str, from: &[u32], rows: &[Row]) {
    let mut wrong = Vec::new();
    for (text, expected, kinds) in rows {
        let r = reading(&format!("{head}\n{text}\n"));
        let all: Vec<u32> = from.iter().chain(*expected).copied().collect();
        let loud: Vec<K> = r.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| p.kind).collect();
        if counts(&r) != all || loud != *kinds {
            wrong.push(format!("{text:?}: {:?}, {loud:?}; expected {all:?}, {kinds:?}", counts(&r)));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), rows.len(), wrong.join("\n"));
}

const TUBE: &str = "Snake\nRnd 1: 6 sc in MR (6)\nRnd 2: sc around (6)";
const DISC: &str = "Hill\nRnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)";
const FLAP: &str = "Ear\nRow 1: ch 9, sc in 2nd ch from hook and in each ch across (8)";

#[test]
fn rounds_told_by_the_one_before_are_worked() {
    let rows: &[Row] = &[
        ("Work 4 more rounds like this.", &[6; 4], &[]),
        ("Work 4 more rounds the same.", &[6; 4], &[]),
        ("Work the next 4 rounds in the same way (6).", &[6; 4], &[]),
        ("Continue like this for 5 more rounds.", &[6; 5], &[]),
        ("Keep going like this for 5 rounds.", &[6; 5], &[]),
        ("Do this for 5 more rounds.", &[6; 5], &[]),
        ("Carry on in this way for three more rows.", &[6; 3], &[]),
        ("Another 4 rounds the same", &[6; 4], &[]),
        ("Work 3 more rounds.", &[6; 3], &[]),
        ("Work 3 more rounds like round 2.", &[6; 3], &[]),
        ("Repeat this round 4 times.", &[6; 4], &[]),
        ("Repeat this round 4 more times.\nRnd 7: inc x 6 (12)", &[6, 6, 6, 6, 12], &[]),
        ("Repeat the last round twice.\nRnd 5: inc x 6 (12)", &[6, 6, 12], &[]),
        ("Repeat the last round 4 times.", &[6; 4], &[]),
        ("Repeat these two rounds 3 more times.", &[6; 6], &[]),
        ("Rnd 3: work 4 more rounds like this.\nRnd 7: inc x 6 (12)", &[6, 6, 6, 6, 12], &[]),
        ("Rnds 3-6: repeat this round 4 times.\nRnd 7: inc x 6 (12)", &[6, 6, 6, 6, 12], &[]),
        ("Rnd 3: inc in each st (12). Repeat this round 1 more time.", &[12, 24], &[]),
        ("Rnd 3: inc x 6 (12)\nRnd 4: sc around (12). Repeat this round 4 times.", &[12; 6], &[]),
        ("Rnd 3: sc around (6), repeat this row 3 more times\nRnd 7: inc x 6 (12)", &[6, 6, 6, 6, 12], &[]),
        ("3 rnds: sc around\nRnd 6: inc x 6 (12)", &[6, 6, 6, 12], &[]),
        // The label of the next round decides.
        ("Work 4 more rounds like this.\nRnd 6: inc x 6 (12)", &[6, 6, 6, 12], &[K::RangeDiffers]),
        ("Rnds 3-6: repeat this round 5 more times.\nRnd 7: inc x 6 (12)", &[6, 6, 6, 6, 12], &[K::RangeDiffers]),
        // Four in all, as the label shows.
        ("Repeat this round 4 times.\nRnd 6: inc x 6 (12)", &[6, 6, 6, 12], &[]),
        ("Work 4 more rounds like this (8).", &[6; 4], &[K::TotalDiffers]),
        ("Work 4 more rounds like this.\nRnd 3: inc x 6 (12)", &[12], &[K::RangeDiffers]),
        // Of another part, of the rounds that follow, or no count: no rounds.
        ("Work the next 3 rounds in this colour.\nRnds 3-5: sc around (6)", &[6; 3], &[]),
        ("Work 2 more rounds like this if you want it longer.", &[], &[]),
        ("Work 3 more rounds like this on the other leg.", &[], &[]),
        ("Repeat this as often as you like.", &[], &[]),
    ];
    check(TUBE, &[6, 6], rows);
    check(
        "6 sc in MR\ninc x 6\nsc around",
        &[6, 12, 12],
        &[("Work 4 more rounds like this.\ndec x 6", &[12, 12, 12, 12, 6], &[])],
    );
}

#[test]
fn labels_may_name_rounds_one_by_one() {
    let rows: &[Row] = &[
        ("Rnds 3, 4, 5: sc around (12)\nRnd 6: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Rnds 3, 4 and 5: sc around\nRnd 6: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("R3,4,5: sc around", &[12; 3], &[]),
        ("Rnds 3, 4 & 5: sc around", &[12; 3], &[]),
        ("Rnds 3 & 4 & 5: sc around", &[12; 3], &[]),
        ("R3, R4, R5: sc around", &[12; 3], &[]),
        ("Rnd 3/4/5: sc around", &[12; 3], &[]),
        ("Rnds 3→5: sc around", &[12; 3], &[]),
        ("From rnd 3 to rnd 5: sc around\nRnd 6: dec x 6 (6)", &[12, 12, 12, 6], &[]),
        ("Rounds 3, 4, 5 (3 rounds): sc around", &[12; 3], &[]),
        ("Rnd 3, 4: sc around", &[12; 2], &[]),
        ("Rnds 3-4 and 6-7: sc around\nRnd 5: (sc, inc) x 6 (18)\nRnd 8: sc around", &[12, 12, 18, 18, 18, 18], &[]),
        (
            "Rnds 3, 5, and 7: sc around\nRnd 4: (sc, inc) x 6 (18)\nRnd 6: (2 sc, inc) x 6 (24)\nRnd 8: dec x 12 (12)",
            &[12, 18, 18, 24, 24, 12],
            &[],
        ),
        ("Rnds 3, 5: sc around\nRnds 4, 6: (sc, inc) around", &[12, 18, 18, 27], &[]),
        // The round between is nowhere.
        ("Rnds 3, 5: sc around", &[12, 12], &[K::LabelOrder]),
    ];
    check(DISC, &[6, 12], rows);
    let boxes = "(3) - (5) sc around (12)\n(6) (sc, inc) x 6 (18)";
    check("Hill\n(1) 6 sc in MR (6)\n(2) inc x 6 (12)", &[6, 12], &[(boxes, &[12, 12, 12, 18], &[])]);
    let labels: Vec<String> =
        reading(&format!("{DISC}\nFrom Rnd 3 to Rnd 4: sc around\nRnds 5, 7: sc around\nRnd 6: sc around"))
            .pieces
            .iter()
            .flat_map(|p| p.rounds.iter().map(|r| r.label.clone()))
            .collect();
    assert_eq!(labels, ["Rnd 1", "Rnd 2", "Rnd 3", "Rnd 4", "Rnd 5", "Rnd 6", "Rnd 7"]);
}

#[test]
fn a_row_is_shaped_at_both_its_ends() {
    let rows: &[Row] = &[
        ("Row 2: dec at each end", &[6], &[]),
        ("Row 2: sc across, dec at both ends", &[6], &[]),
        ("Row 2: inc in first and last st", &[10], &[]),
        ("Row 2: sc across, inc in first and last st", &[10], &[]),
        ("Row 2: inc in the first and in the last stitch, sc across", &[10], &[]),
        ("Row 2: 2 sc in 1st and last st, sc across", &[10], &[]),
        ("Row 2: sc2tog at each side", &[6], &[]),
        ("Row 2: sc 2 tog at both ends", &[6], &[]),
        ("Row 2: dec at beginning and end of row", &[6], &[]),
        ("Row 2: inc at both ends", &[10], &[]),
        ("Row 2: dec 1 at each end", &[6], &[]),
        ("Row 2: inc 1 at each side", &[10], &[]),
        ("Row 2: dec 2 at each end", &[4], &[]),
        ("Row 2: dec at each end (6)", &[6], &[]),
        ("Row 2: sc 6, inc in first and last st (10)", &[10], &[]),
        ("Row 2: ch 1, turn, sc across, decreasing 1 st at each end", &[6], &[]),
        ("Rows 2-4: dec at each end of every row", &[6, 4, 2], &[]),
        ("Row 2: dec at the beginning of the row\nRow 3: dec at end of row", &[7, 6], &[]),
        // The total decides.
        ("Row 2: dec at each end (7)", &[7], &[K::TotalDiffers]),
    ];
    check(FLAP, &[8], rows);
    let around: &[Row] = &[
        ("Rnd 3: sc around, increasing once", &[13], &[]),
        ("Rnd 3: sc around, increasing twice", &[14], &[]),
        ("Rnd 3: sc around, decreasing once", &[11], &[]),
    ];
    check(DISC, &[6, 12], around);
    // The changes stand at the two ends.
    let r = reading(&format!("{FLAP}\nRow 2: sc across, dec at both ends"));
    let uses: Vec<(u16, u32)> = r.pieces[0].rounds[1].round.runs.iter().map(|r| (r.stitch.uses, r.times)).collect();
    assert_eq!(uses, [(2, 1), (1, 4), (2, 1)]);
}

#[test]
fn colours_with_numbers_are_runs() {
    let runs = |text: &str| -> (Vec<(u32, String)>, bool) {
        let r = reading(&format!("{DISC}\n{text}\n"));
        let loud = r.problems.iter().any(|p| p.severity > Severity::Note);
        let last = r.pieces[0].rounds.last().expect("a round");
        let name = |c: Option<&str>| c.unwrap_or("-").to_owned();
        (last.round.runs.iter().map(|r| (r.times, name(r.colour.as_deref()))).collect(), loud)
    };
    let three = [(3, "white"), (6, "black"), (3, "white")];
    let told: &[(&str, &[(u32, &str)])] = &[
        ("Rnd 3: 3 white, 6 black, 3 white", &three),
        ("Rnd 3: 3 white, 6 black, 3 white (12)", &three),
        ("Rnd 3: 3 white - 6 black - 3 white", &three),
        ("Rnd 3: sc 3 (white), sc 6 (black), sc 3 (white)", &three),
        ("Rnd 3: sc 3 [white], sc 6 [black], sc 3 [white] (12)", &three),
        ("Rnd 3: 3 sc (white) 6 sc (black) 3 sc (white)", &three),
        ("Rnd 3: [white] sc 3 [black] sc 6 [white] sc 3", &three),
        ("Rnd 3: (4 white, 2 black) x 2", &[(4, "white"), (2, "black"), (4, "white"), (2, "black")]),
        ("Rnd 3: MC: 4 sc, CC: 4 sc, MC: 4 sc", &[(4, "-"), (4, "cc"), (4, "-")]),
        ("Rnd 3: 5 dark blue, 7 white", &[(5, "dark blue"), (7, "white")]),
        ("Rnd 3: sc around (white)", &[(12, "white")]),
        ("Rnd 3: 3 white, 6 black, 3 white\nRnd 4: sc around", &[(12, "-")]),
        ("Rnd 3: sc 3 (white), sc 9 (black)\nRnd 4: sc around", &[(12, "-")]),
        ("Rnd 3: sc around\nWork 3 more rounds like this in white.", &[(12, "white")]),
        ("Rnd 3: sc around\nWork 3 more rounds like this with dark blue yarn.\nRnd 7: sc around", &[(12, "dark blue")]),
    ];
    for (text, expected) in told {
        let expected: Vec<(u32, String)> = expected.iter().map(|(n, c)| (*n, (*c).to_owned())).collect();
        assert_eq!(runs(text), (expected, false), "{text}");
    }
    // W may be an increase of charts: what is made of it is said.
    assert!(runs("Rnd 3: W: 4 sc, B: 4 sc, W: 4 sc").1);
}

#[test]
fn what_closes_a_round_is_no_stitch() {
    let rows: &[Row] = &[
        ("Rnd 3: ch 1, sc 12, sl st in 1st sc", &[12], &[]),
        ("Rnd 3: sc around, sl st to top of ch 3", &[12], &[]),
        ("Rnd 3: sc around, join with sl st to the top of the beginning ch-3", &[12], &[]),
        ("Rnd 3: ch 3, dc in same st, 2 dc in each st around, sl st to top of ch 3 (24)", &[24], &[]),
        ("Rnd 3: ch 2, hdc around, sl st in top of turning ch 2 (12)", &[12], &[]),
    ];
    check(DISC, &[6, 12], rows);
    let ring = "Rnd 1: sc 18 (18)\nRnd 2: sc around";
    for start in [
        "Ch 18 and join with a sl st to make a ring.",
        "Ch 18, sl st to make a ring",
        "Ch 18, join to form a ring",
        "Ch 18, sl st in 1st ch",
    ] {
        check(&format!("Tube\n{start}"), &[], &[(ring, &[18, 18], &[])]);
    }
}

#[test]
fn what_is_left_out_or_counted_with_doubt_is_said() {
    // Another way to begin makes no round, and nothing severe is said of it.
    let r = reading("Head\n(or: ch 2, 6 sc in 2nd ch from hook)\nRnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n");
    assert_eq!(counts(&r), [6, 12]);
    assert!(r.problems.iter().all(|p| p.severity < Severity::Severe), "{:?}", r.problems);
    let r = reading("Strip\nch 12, sl st in 2nd ch from hook and in each ch\nRow 2: sc across\n");
    assert_eq!(counts(&r), [11, 11]);
    assert!(r.problems.iter().all(|p| p.kind != K::TooLarge), "{:?}", r.problems);
    // New yarn under an unknown heading, behind a part that is done.
    let r = reading(&format!("{DISC}\nFasten off.\n\nEdging\nJoin yarn and sc evenly around.\n"));
    let said = r.problems.iter().find(|p| p.severity > Severity::Note && p.line == 7);
    assert!(said.is_some_and(|p| p.message.contains("Edging")), "{:?}", r.problems);
}

#[test]
fn chains_that_hang_from_a_round_are_no_stitches_of_it() {
    let rows: &[Row] = &[
        ("Rnd 3: *sl st, ch 3* around", &[12], &[]),
        ("Rnd 3: (sc, ch 5) x 12\nRnd 4: sc around (12)", &[12, 12], &[]),
        ("Rnd 3: (sc in next 2 st, ch 4) x 6 (12)", &[12], &[]),
        // The total counts them.
        ("Rnd 3: (sc, ch 2) x 12 (36)", &[36], &[]),
        // Stitches are skipped under them.
        ("Rnd 3: (2 sc, ch 2, skip 2) x 3 (12)", &[12], &[]),
    ];
    check(DISC, &[6, 12], rows);
}

#[test]
fn a_chain_is_worked_from_the_stitch_that_is_named() {
    let rows: &[Row] = &[
        ("Ch 40, hdc in 3rd ch from hook and in each ch across. (38)", &[38], &[]),
        ("Ch 40, hdc in 3rd ch from hook and in each ch across.", &[38], &[]),
        ("Ch 40, sc in 2nd ch from hook and in each ch across.", &[39], &[]),
        ("Row 1: ch 12, dc in 4th ch from hook and in each ch across (9)", &[9], &[]),
    ];
    check("Scarf", &[], rows);
}
