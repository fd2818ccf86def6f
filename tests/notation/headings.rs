//! Headings of parts in many wordings, remarks that are none, and parts told by others. The wordings are common
//! practice, no source; names, copies and counts follow from the words.

use toppleknot::notation::{ProblemKind, ReadOptions, Reading, Severity, read};

/// Two rounds under each heading.
const BALL: &str = "Rnd 1: 6 sc in MR (6)\nRnd 2: inc x 6 (12)\n";

/// A heading, and the name and copies it gives.
const HEADINGS: &[(&str, &str, u32)] = &[
    // A cross behind a limb.
    ("Arms (2x)", "Arms", 2),
    ("Legs 2x", "Legs", 2),
    ("Leg (2x)", "Leg", 2),
    ("Foot (2x)", "Foot", 2),
    ("ARMS (2X)", "ARMS", 2),
    ("Legs (4x)", "Legs", 4),
    ("Arms, 2x", "Arms", 2),
    ("Front legs (2x)", "Front legs", 2),
    ("Back legs 2x, in grey", "Back legs", 2),
    ("Upper arms (2x)", "Upper arms", 2),
    ("Ears (2x)", "Ears", 2),
    ("Arms: 2x", "Arms", 2),
    ("Arms x2", "Arms", 2),
    // Numbers that only number.
    ("1. Head", "Head", 1),
    ("1) Head", "Head", 1),
    ("1 - Head", "Head", 1),
    ("Step 1: Body", "Body", 1),
    ("Part 1: Body", "Body", 1),
    ("Part 2 – Left wing", "Left wing", 1),
    ("2. EARS (make 2)", "EARS", 2),
    ("3) Legs (2x)", "Legs", 2),
    ("4. Two arms", "arms", 2),
    ("Leg 1", "Leg 1", 1),
    ("Leg 1:", "Leg 1", 1),
    ("Leg 2 (in blue)", "Leg 2", 1),
    // Numbers in a bracket.
    ("Head (colour 1)", "Head", 1),
    ("Body (22 rounds)", "Body", 1),
    ("Tail (5 cm)", "Tail", 1),
    ("Body (about 12.5 cm tall)", "Body", 1),
    ("Left wing (2\" long)", "Left wing", 1),
    ("Ears (make 2, 3 mm hook)", "Ears", 2),
    // How many.
    ("2 arms", "arms", 2),
    ("2 Fins", "Fins", 2),
    ("Two arms", "arms", 2),
    ("Four short legs", "short legs", 4),
    ("Both ears", "ears", 2),
    ("Paws (work 4)", "Paws", 4),
    ("Paws - Work 4", "Paws", 4),
    ("Paws (crochet two)", "Paws", 2),
    ("Paw (twice)", "Paw", 2),
    ("Petals (make a total of 5)", "Petals", 5),
    ("Petals (5 of them)", "Petals", 5),
    ("Ears (2 grey, 2 pink)", "Ears", 4),
    ("Ears (make 2 grey + 2 pink)", "Ears", 4),
    ("Arms (make 1 in red and 1 in blue)", "Arms", 2),
    ("Wings (1 left, 1 right)", "Wings", 2),
    ("Arms, 2", "Arms", 2),
    ("Ears - 2", "Ears", 2),
    ("Arms (both the same)", "Arms", 2),
    ("Arms (make both alike)", "Arms", 2),
    ("Pair of wings", "wings", 2),
    ("A pair of wings", "wings", 2),
    // What tells like parts apart.
    ("Body – top", "Body – top", 1),
    ("Body – bottom", "Body – bottom", 1),
    ("Ear (inner)", "Ear (inner)", 1),
    ("Ear (outer part)", "Ear (outer part)", 1),
    ("Ears (inner, make 2)", "Ears (inner)", 2),
    ("Leg (left)", "Leg (left)", 1),
    ("Body (in blue)", "Body", 1),
    ("Body – in white yarn", "Body", 1),
    // Remarks in the heading, since rounds begin behind it.
    ("Arms: do not stuff", "Arms", 1),
    ("Tail (stuff lightly)", "Tail", 1),
    ("Fins (2), sew on", "Fins", 2),
    ("Tail - sew on", "Tail", 1),
    ("Arms (make 2) / Do not stuff.", "Arms", 2),
    // The line under a heading says how it is worked.
    ("HEAD / Starting with the trunk:", "HEAD", 1),
    ("BODY / Working from the bottom up:", "BODY", 1),
    ("Head / Muzzle first", "Head", 1),
    ("Arms (make 2) / Arms: do not stuff", "Arms", 2),
];

/// A line behind round 2 of a head that begins no part: round 3 goes on.
const REMARKS: &[&str] = &[
    "Eyes: insert between rounds 1 and 2",
    "EYES: place between R3 and R4",
    "Eyes – insert between R1 and R2",
    "Nose: embroider now",
    "Mouth: embroider with black yarn",
    "Ears: sew to rounds 1-2",
    "Arms: sew on now",
    "Head: stuff firmly",
    "Eye placement: between R3 and R4",
    "Eyes: 9 mm safety eyes between R1 and R2",
    "Nose – one 12 mm safety nose, to be fixed later between rounds 1 and 2",
    "Eyes (1 cm)",
    "***Place eyes***",
    "Ears go here",
    "Eyes (between rounds 1 and 2)",
    "Cheeks, sewn on later",
    "Wings: to be attached now",
    "Closing the head",
    "HEAD (continued)",
    "Head, continued",
    "Head cont.",
];

/// What a second part is told by, and whether that must be said to be not followed exactly.
const LIKE: &[(&str, bool)] = &[
    ("Leg 2 / Same as leg 1.", false),
    ("Leg 2 / Same as first leg.", false),
    ("Leg 2 / Work as leg 1, but do not fasten off.", false),
    ("Leg 2 / Same as first leg, but do not cut the yarn.", false),
    ("Leg 2 / Work exactly as the first leg.", false),
    ("Leg 2 / Repeat leg 1.", false),
    ("Leg 2 – see leg 1", false),
    ("Leg 2: make 1 as leg 1.", false),
    ("Second leg: make another one the same", false),
    ("Leg 2 / Same as leg 1, but work one more round.", true),
    ("Leg 2 / Same as leg 1 with 2 rounds less", true),
    ("Leg 2 / Same as the antlers.", true),
];

fn lines(text: &str) -> String {
    text.split(" / ").map(|l| format!("{l}\n")).collect()
}

fn pieces(r: &Reading) -> Vec<(String, u32, Vec<u32>)> {
    let counts = |p: &toppleknot::notation::Piece| p.rounds.iter().map(|r| r.round.count()).collect();
    r.pieces.iter().map(|p| (p.name.clone(), p.copies, counts(p))).collect()
}

fn loud(r: &Reading) -> Vec<String> {
    r.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| p.message.clone()).collect()
}

#[test]
fn headings_give_their_names_and_copies() {
    let mut wrong = Vec::new();
    for (heading, name, copies) in HEADINGS {
        // As the first part of a text, and behind another.
        for before in ["", "Hat\nRnd 1: 5 sc in MR (5)\nRnd 2: sc around (5)\n"] {
            let r = read(&format!("{before}{}{BALL}", lines(heading)), &ReadOptions::default());
            let found = pieces(&r);
            let want = ((*name).to_owned(), *copies, vec![6, 12]);
            let whole = found.len() == 1 + usize::from(!before.is_empty());
            if !whole || found.last() != Some(&want) || !loud(&r).is_empty() {
                wrong.push(format!("{heading}: {found:?} {:?}", loud(&r)));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), 2 * HEADINGS.len(), wrong.join("\n"));
}

#[test]
fn a_remark_about_a_part_does_not_split_the_part_it_stands_in() {
    let mut wrong = Vec::new();
    for remark in REMARKS {
        let r = read(&format!("Head\n{BALL}{remark}\nRnd 3: sc around (12)\n"), &ReadOptions::default());
        let found = pieces(&r);
        if found != [("Head".to_owned(), 1, vec![6, 12, 12])] || !loud(&r).is_empty() {
            wrong.push(format!("{remark}: {found:?} {:?}", loud(&r)));
        }
        // The part behind it keeps its own name.
        let r = read(&format!("Head\n{BALL}{remark}\nTail (make 2)\n{BALL}"), &ReadOptions::default());
        let found: Vec<(String, u32)> = pieces(&r).into_iter().map(|p| (p.0, p.1)).collect();
        if found != [("Head".to_owned(), 1), ("Tail".to_owned(), 2)] {
            wrong.push(format!("{remark}, then a tail: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_part_told_by_another_has_its_rounds() {
    let mut wrong = Vec::new();
    for (like, said) in LIKE {
        let text = format!("Leg 1\n{BALL}Rnds 3-4: sc around (12)\nFasten off.\n{}", lines(like));
        let r = read(&text, &ReadOptions::default());
        let found = pieces(&r);
        let same = found.len() == 2 && found[0].2 == [6, 12, 12, 12] && found[1].2 == found[0].2;
        let named = found.get(1).is_some_and(|p| p.0.to_lowercase().contains("leg") && p.0 != "Leg 1" && p.1 == 1);
        let problem = r.problems.iter().any(|p| {
            p.severity > Severity::Note
                && matches!(p.kind, ProblemKind::Guessed | ProblemKind::MissingReference)
                && text[p.span.clone()].to_lowercase().contains("same as")
        });
        if !same || !named || problem != *said || loud(&r).len() != usize::from(*said) {
            wrong.push(format!("{like}: {found:?} {:?}", loud(&r)));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), LIKE.len(), wrong.join("\n"));
}

#[test]
fn a_part_is_like_the_one_it_names_not_the_one_before() {
    let arm = "Rnd 1: 5 sc in MR (5)\nRnds 2-4: sc around (5)\n";
    for like in ["Right arm\nWork exactly as the left arm.", "Right arm\nRepeat the left arm.", "Legs – see left arm"]
    {
        let r = read(&format!("Left arm\n{arm}Body\n{BALL}{like}\n"), &ReadOptions::default());
        let found = pieces(&r);
        assert_eq!(found.len(), 3, "{like}: {found:?}");
        assert_eq!(found[2].2, [5, 5, 5, 5], "{like}: {found:?}");
    }
    let r = read(&format!("Arms\n{arm}Body\n{BALL}Legs: make 2 as arms.\n"), &ReadOptions::default());
    assert_eq!(pieces(&r)[2], ("Legs".to_owned(), 2, vec![5, 5, 5, 5]));
    let r = read(&format!("Arms\n{arm}Body\n{BALL}Legs\nMake 4 the same as arms.\n"), &ReadOptions::default());
    assert_eq!(pieces(&r)[2], ("Legs".to_owned(), 4, vec![5, 5, 5, 5]));
    // As many as there are of the part it is like.
    let r = read(&format!("Arms (2x)\n{arm}Legs – see arms\nTail\n{BALL}"), &ReadOptions::default());
    assert_eq!(pieces(&r)[1], ("Legs".to_owned(), 2, vec![5, 5, 5, 5]));
    // No heading above: one more of the same part.
    let r = read(&format!("Arm\n{arm}Make another one the same.\nTail\n{BALL}"), &ReadOptions::default());
    assert_eq!(pieces(&r)[0], ("Arm".to_owned(), 2, vec![5, 5, 5, 5]));
    assert_eq!(pieces(&r).len(), 2);
}

#[test]
fn a_part_is_asked_for_once_more() {
    let again = [
        "Repeat for the other wing.",
        "Repeat for the second wing",
        "Repeat this for the other wing",
        "Make the other wing the same way.",
        "Make the second wing",
        "Work another wing in the same way",
        "Do the same for the other wing.",
        "Make another one.",
    ];
    for again in again {
        for name in ["Wing", "Left wing"] {
            let text = format!("{name}\n{BALL}Fasten off.\n{again}\nTail\n{BALL}");
            let found: Vec<_> = pieces(&read(&text, &ReadOptions::default())).into_iter().map(|p| (p.0, p.1)).collect();
            assert_eq!(found, [(name.to_owned(), 2), ("Tail".to_owned(), 1)], "{again}");
        }
    }
    // Another part than the one above, a place, and a number that is said already: as many as before.
    let once = ["Repeat for the other leg.", "Repeat on the other side.", "Work the other side of the wing."];
    for (once, copies) in once.into_iter().map(|o| (o, 1)).chain([("Repeat for the other wing.", 2)]) {
        let made = if copies == 2 { " (make 2)" } else { "" };
        let r = read(&format!("Wing{made}\n{BALL}{once}\n"), &ReadOptions::default());
        assert_eq!(pieces(&r), [("Wing".to_owned(), copies, vec![6, 12])], "{once}");
    }
    let r = read(&format!("Toe\n{BALL}Make 2 more.\nTail\n{BALL}"), &ReadOptions::default());
    assert_eq!(pieces(&r)[0], ("Toe".to_owned(), 3, vec![6, 12]));
    // Its rounds stand there: a part of its own.
    let r = read(&format!("Wing\n{BALL}Make the second wing\n{BALL}"), &ReadOptions::default());
    let found: Vec<u32> = pieces(&r).into_iter().map(|p| p.1).collect();
    assert_eq!(found, [1, 1]);
}

#[test]
fn a_part_goes_on_behind_others() {
    let text =
        format!("Body\n{BALL}Arms (make 2)\n{BALL}BODY (continued)\nRnd 3: sc around (12)\nRnd 4: dec x 6 (6)\n");
    let r = read(&text, &ReadOptions::default());
    let mut found = pieces(&r);
    found.sort();
    assert_eq!(found, [("Arms".to_owned(), 2, vec![6, 12]), ("Body".to_owned(), 1, vec![6, 12, 12, 6])]);
    assert!(loud(&r).is_empty(), "{:?}", loud(&r));
}

#[test]
fn lists_of_abbreviations_are_no_parts() {
    let lists = [
        "sc single crochet / inc increase / dec decrease / MR magic ring / st stitch / hdc half double crochet",
        "Abbreviations / sc single crochet / sl st slip stitch / ch chain / inv dec invisible decrease / BLO back loop only",
        "sc2tog single crochet two together / inc increase (2 sc in the same st) / rnd round / FO fasten off",
        "Stitches: / sc single crochet, inc increase, dec decrease",
        "single crochet (sc) / increase (inc) / magic ring (MR)",
    ];
    for list in lists {
        for head in ["", "Body / "] {
            let r = read(&format!("{}{BALL}", lines(&format!("{list} / {head}"))), &ReadOptions::default());
            let counts: Vec<_> = pieces(&r).into_iter().map(|p| p.2).collect();
            assert_eq!(counts, [[6, 12]], "{list}");
            assert!(head.is_empty() || r.pieces[0].name == "Body", "{list}: {}", r.pieces[0].name);
            assert!(loud(&r).is_empty(), "{list}: {:?}", loud(&r));
        }
    }
    // A ring on a line of its own, above the heading and below it.
    for head in ["Magic ring\nBody\n", "Body\nMagic ring\n"] {
        let r = read(&format!("{head}Rnd 1: 6 sc (6)\nRnd 2: inc x 6 (12)\n"), &ReadOptions::default());
        assert_eq!(pieces(&r), [("Body".to_owned(), 1, vec![6, 12])], "{head}");
    }
}
