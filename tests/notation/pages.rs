//! What pages do to a pattern: lines broken in the middle of a round or a heading, sizes and counts beside headings,
//! framed headings, examples, lists of bare numbers. All texts are invented; the ways of writing are common practice,
//! no source; each count follows from the words.

use toppleknot::notation::{ReadOptions, Severity, read};

/// A part: its name, how many, its counts.
type Part = (&'static str, u32, &'static [u32]);

const BALL: &str = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n";

/// Each text with the parts it must give, and no warning.
fn check(rows: &[(String, &[Part])]) {
    let mut wrong = Vec::new();
    for (text, parts) in rows {
        let r = read(text, &ReadOptions::default());
        let found: Vec<(String, u32, Vec<u32>)> = r
            .pieces
            .iter()
            .map(|p| (p.name.clone(), p.copies, p.rounds.iter().map(|r| r.round.count()).collect()))
            .collect();
        let same = found.len() == parts.len()
            && found.iter().zip(*parts).all(|(a, b)| (a.0.as_str(), a.1, a.2.as_slice()) == *b);
        let loud: Vec<_> = r.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| &p.message).collect();
        if !same || !loud.is_empty() {
            wrong.push(format!("{text:?}: {found:?} {loud:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), rows.len(), wrong.join("\n"));
}

#[test]
fn broken_lines_are_read_as_one() {
    let breaks = [
        "Rnd 1: 6 sc in a magic\nring (6)\nRnd 2: inc x 6 (12)\n",
        "Rnd 1: 6 sc in a\nmagic ring (6)\nRnd 2: inc x 6 (12)\n",
        "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6. You have\n12 stitches now. (12)\n",
        "Rnd 1: 6 sc in MR (6)\nRnd 2: work 2\nsc in each stitch (12)\n",
        "Rnd 1: 6 single\ncrochet in a magic ring (6)\nRnd 2: 2 sc in\neach stitch around (12)\n",
        "Round\n1: 6 sc in MR (6)\nRound\n2: inc x 6 (12)\n",
        "Rnd 1: 6 sc in MR (6)\r\nRnd 2: inc in each\r\nst around (12)\r\n",
    ];
    let both: &[Part] = &[("Head", 1, &[6, 12]), ("Tail", 1, &[6, 12])];
    let mut rows: Vec<(String, &[Part])> = breaks.iter().map(|b| (format!("Head\n{b}Tail\n{BALL}"), both)).collect();
    let straight: &[Part] = &[("Head", 1, &[6, 12, 12, 12, 12, 6])];
    for range in ["Rounds 3 to\n5:", "Rounds 3\nto 5:", "Rounds 3-\n5:", "Rnds 3 and\n4: sc around\nRnd 5:"] {
        rows.push((format!("Head\n{BALL}{range} sc around\nRnd 6: dec x 6 (6)\n"), straight));
    }
    let legs: &[Part] = &[("LEG", 4, &[6, 12])];
    for legs_text in ["LEG (make\n4)", "LEG, make\nfour", "LEG\n(make 4 alike)", "LEG\n(4x)", "LEG\nx4"] {
        rows.push((format!("{legs_text}\n{BALL}"), legs));
    }
    rows.push((format!("Head\n{BALL}\nTail\n{BALL}"), &[("Head", 1, &[6, 12]), ("Tail", 1, &[6, 12])]));
    check(&rows);
}

#[test]
fn sizes_beside_a_heading_are_no_copies() {
    let mut rows: Vec<(String, &[Part])> = Vec::new();
    let head: &[Part] = &[("Head", 1, &[6, 12])];
    for heading in [
        "Head (6 x 5 cm)",
        "Head (10cm x 4cm)",
        "Head (3 x 3\")",
        "Head - 5 cm",
        "Head (5 cm)",
        "Head (20 g)",
        "Head, 3 mm hook",
        "Head, 2 inch across",
        "[Head]",
        "(Head)",
        "== Head ==",
        "*** Head ***",
        "Head:",
    ] {
        rows.push((format!("{heading}\n{BALL}"), head));
    }
    let ears: &[Part] = &[("Ears", 2, &[6, 12])];
    for heading in [
        "Ears (3 mm hook, make 2)",
        "Ears - you need 2",
        "Ears (you need 2)",
        "Ears (need 2)",
        "Ears (I made 2)",
        "Ears (set of 2)",
        "Ears (2 in total)",
        "Ears, 2 alike",
        "Ears (qty: 2)",
        "Ears twice",
        "Ears (do this twice)",
        "2x Ears",
        "Ears - brown, 2x",
        "Ears – GREEN, 2X",
    ] {
        rows.push((format!("{heading}\n{BALL}"), ears));
    }
    rows.push((format!("Leg 1 x2\n{BALL}"), &[("Leg 1", 2, &[6, 12])]));
    check(&rows);
}

#[test]
fn lines_that_ask_for_no_round_give_none() {
    let rest = "Rnd 3: sc around (12)\nRnd 4: dec x 6 (6)\n";
    let mut rows: Vec<(String, &[Part])> = Vec::new();
    for line in [
        "Continue with grey.",
        "Continue in white yarn",
        "Continue in rounds:",
        "Continue:",
        "Change to white and continue.",
        "Horns: R2, 5 sts apart",
        "Legs: R1-R2, 3 sts apart",
        "Nose: 2 sc below the eyes",
        "Example: (sc, inc) x 6",
        "For example: R3: (sc, inc) x 6 (18)",
        "How to read: Rnd 3: (sc, inc) x 6 (18) has 18 stitches",
        "Back to the head:",
        "2 sc in next = increase",
    ] {
        rows.push((format!("Head\n{BALL}{line}\n{rest}"), &[("Head", 1, &[6, 12, 12, 6])]));
    }
    // These ask for rounds.
    rows.push((
        format!("Head\n{BALL}Continue for 3 more rounds.\nRnd 6: dec x 6 (6)\n"),
        &[("Head", 1, &[6, 12, 12, 12, 12, 6])],
    ));
    rows.push((format!("Head\n{BALL}Rnd 3: continue in white\nRnd 4: dec x 6 (6)\n"), &[("Head", 1, &[6, 12, 12, 6])]));
    check(&rows);
}

#[test]
fn bare_numbers_stand_for_rounds_where_they_are_due() {
    let egg: &[Part] = &[("Egg", 1, &[6, 12, 12, 12, 12, 6])];
    let rows: Vec<(String, &[Part])> = ["3-5. 12", "3-5) 12", "3-5: 12", "3-5. 12 [12]", "3. 12\n4. 12\n5. 12"]
        .iter()
        .map(|range| (format!("Egg\n1. 6 sc in MR\n2. inc x6 (12)\n{range}\n6. dec x 6 (6)\n"), egg))
        .collect();
    check(&rows);
}

#[test]
fn a_comma_behind_a_total_ends_the_round() {
    check(&[(
        format!("Head\n{}\n\nTail\n{BALL}", "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12),"),
        &[("Head", 1, &[6, 12]), ("Tail", 1, &[6, 12])],
    )]);
}

#[test]
fn parts_in_lines_of_their_own_are_told_apart() {
    let text = "Squid body R1: 6sc in MR (6) R2: inc x6 (12) R3: (1sc, inc) x6 (18)\nSquid fins make 2 R1: 4sc in MR (4) R2: inc x4 (8)\n";
    check(&[(text.into(), &[("Squid body", 1, &[6, 12, 18]), ("Squid fins", 2, &[4, 8])])]);
}
