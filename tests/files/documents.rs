//! Files of toys: whole, broken, foreign, of a later version.

use toppleknot::document::{Document, FileError, TextScene, load, open_text, parse, save, to_text};

use super::sample_path;

#[test]
fn a_saved_toy_comes_back_and_a_failed_save_leaves_the_old_file() {
    let folder = std::env::temp_dir().join(format!("toppleknot-files-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let path = folder.join("crier.toy.ron");
    let document = load(&sample_path("puppet-booth-crier.toy.ron")).expect("a sample");
    save(&document, &path).expect("a writable folder");
    assert_eq!(load(&path).expect("what was saved"), document);
    // A folder stands where the file should go: nothing is left behind and the error says so.
    let taken = folder.join("taken.toy.ron");
    std::fs::create_dir_all(taken.join("inside")).expect("a folder for the test");
    let refused = save(&document, &taken).expect_err("a folder cannot be written over");
    assert!(matches!(refused, FileError::Unwritable { .. }), "{refused}");
    let left: Vec<_> = std::fs::read_dir(&folder).expect("the folder").flatten().map(|e| e.file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
    std::fs::remove_dir_all(&folder).expect("the test's own folder");
}

#[test]
fn every_cut_of_a_file_is_an_error_with_a_place() {
    let text = std::fs::read_to_string(sample_path("sea-wall-bear.toy.ron")).expect("a sample");
    let end = text.trim_end().len();
    for cut in (0..end).step_by(97).filter(|c| text.is_char_boundary(*c)) {
        match parse(&text[..cut], "cut.toy.ron") {
            Err(FileError::Malformed { line, column, .. }) => assert!(line >= 1 && column >= 1),
            other => panic!("cut at {cut}: {other:?}"),
        }
    }
}

#[test]
fn a_slip_in_a_round_is_named_with_its_place() {
    let text = to_text(&load(&sample_path("glass-float.toy.ron")).expect("a sample")).replace("42sc", "42xc");
    let error = parse(&text, "float.toy.ron").expect_err("xc is no stitch").to_string();
    assert!(error.starts_with("float.toy.ron:") && error.contains("expected sl, sc, hdc, dc or tr"), "{error}");
}

#[test]
fn a_later_version_is_refused_in_plain_words() {
    let text = to_text(&Document::default()).replace("version: 1", "version: 9");
    let error = parse(&text, "new.toy.ron").expect_err("a later version");
    assert!(matches!(error, FileError::Newer { version: 9, .. }), "{error}");
}

#[test]
fn fields_that_a_file_lacks_have_their_defaults() {
    let document = parse("(version: 1, toy: (name: \"Pebble\"))", "short.toy.ron").expect("a short file");
    assert_eq!(document.toy.name, "Pebble");
    assert!(document.toy.pieces.is_empty());
}

/// A name may look like rounds, or like the file itself: it is a name.
#[test]
fn names_that_look_like_rounds_are_saved_and_opened_again() {
    let names = [
        "20261129(second try) x 6",
        "999999999999(sc, inc) x 6",
        "4294967295(4294967295(sc))",
        "100000(sc@'a', \"",
        "name: \"1000000(sc)\"",
        "r#\"1000000(sc)",
        "(version: 9, toy: (",
        "\\u{28}/* // \u{202e}\u{0}",
    ];
    let first = load(&sample_path("puppet-booth-crier.toy.ron")).expect("a sample");
    for name in names {
        let mut document = first.clone();
        document.toy.name = name.to_owned();
        for yarn in &mut document.toy.yarns {
            yarn.name = format!("{name} {}", yarn.name);
        }
        for piece in &mut document.toy.pieces {
            piece.part.name = format!("{name} {}", piece.part.name);
        }
        let text = to_text(&document);
        let opened = open_text(&text, "named.toy.ron", true, &TextScene::default());
        assert_eq!(opened.unwrap_or_else(|e| panic!("{name}: {e}")).document, document, "{name}");
    }
}

/// Each of these would spoil every figure that follows from it.
#[test]
fn figures_that_cannot_be_meant_are_refused_by_name() {
    let piece = |placement: &str, part: &str| {
        format!(
            "(version: 1, toy: (pieces: [(part: (name: \"Body\", rounds: [\"6sc\", \"6sc+\"]{part}), placement: ({placement}))]))"
        )
    };
    let toy = |rest: &str| format!("(version: 1, toy: ({rest}))");
    let cases = [
        (piece("nod_deg: NaN", ""), "nod_deg"),
        (piece("copies: Around(4000000000)", ""), "copies"),
        (piece("seat: Floor(down: Start, x_mm: 1e300, y_mm: 0.0)", ""), "x_mm"),
        (piece("", ", base: Disc(diameter_mm: -10.0)"), "disc"),
        (piece("", ", stuffing: (amount: Grams(NaN))"), "stuffing"),
        (toy("yarns: [(hook_mm: -3.5)]"), "hook_mm"),
        (toy("yarns: [(category: 99)]"), "category"),
        (toy("settings: (drift_stitches: NaN)"), "drift_stitches"),
        (
            toy("extras: [(name: \"Bow\", mass_g: 1.0, part: \"Body\", spot: Surface((round: 3.0, angle_deg: NaN)))]"),
            "angle_deg",
        ),
        (toy("extras: [(name: \"Bow\", mass_g: -5.0)]"), "mass_g"),
    ];
    for (text, field) in cases {
        match open_text(&text, "odd.toy.ron", true, &TextScene::default()) {
            Err(e @ FileError::Unsound { .. }) => assert!(e.to_string().contains(field), "{e}"),
            other => panic!("{text}: {other:?}"),
        }
    }
}

#[test]
fn a_toy_without_end_is_refused_and_not_worked_on() {
    let text = "24 ".repeat(30_000);
    let error = open_text(&text, "long.txt", false, &TextScene::default()).expect_err("too many rounds").to_string();
    assert!(error.contains("30000 rounds"), "{error}");
}

#[test]
fn a_list_that_is_none_is_named_at_its_place_and_a_short_one_is_a_part() {
    for (text, column) in [("6 0 6", 3), ("6 12.5 18 12 6", 3)] {
        match open_text(text, "list.txt", false, &TextScene::default()) {
            Err(FileError::Malformed { line: 1, column: at, .. }) => assert_eq!(at, column, "{text}"),
            other => panic!("{text}: {other:?}"),
        }
    }
    let opened = open_text("6 12", "short.txt", false, &TextScene::default()).expect("two rounds");
    assert_eq!(opened.document.toy.pieces[0].part.counts(), [6, 12]);
}

#[test]
fn a_toys_file_taken_for_rounds_says_so() {
    let text = std::fs::read_to_string(sample_path("glass-float.toy.ron")).expect("a sample");
    let error = open_text(&text, "-", false, &TextScene::default()).expect_err("no rounds");
    assert!(matches!(error, FileError::LooksLikeToy { .. }), "{error}");
}

/// Files of before told for each yarn whether it goes under the hook, and once more for the hand.
#[test]
fn yarn_under_said_of_a_yarn_is_said_of_the_hand() {
    let old = |yarn: &str, hand: &str| {
        let text = format!("(version: 1, toy: (yarns: [(name: \"Peat\", trials: ({yarn}))], settings: ({hand})))");
        toppleknot::document::parse(&text, "old").expect("an old file opens")
    };
    for (yarn, hand, under) in [
        ("draw: YarnUnder", "", true),
        ("draw: YarnUnder", "yarn_under: true", true),
        ("", "yarn_under: true", true),
        ("draw: YarnOver", "", false),
        ("", "", false),
    ] {
        let document = old(yarn, hand);
        assert_eq!(document.toy.settings.yarn_under, under, "{yarn}; {hand}");
        // Its width is 3 % less where it is estimated, its rounds drift less: both follow from the one figure.
        let plain = old("", "");
        let width =
            |d: &toppleknot::document::Document| toppleknot::measure::made::fabric_of_yarn(&d.toy, "Peat").w_mm.value();
        assert!((width(&document) / width(&plain) - if under { 0.97 } else { 1.0 }).abs() < 1e-12);
        let drift = |d: &toppleknot::document::Document| d.toy.settings.drift().figure.value;
        assert_eq!(drift(&document) < drift(&plain), under);
        let saved = toppleknot::document::to_text(&document);
        assert!(!saved.contains("draw"), "one figure, one place: {saved}");
        assert_eq!(toppleknot::document::parse(&saved, "new").expect("what is written is read"), document);
    }
}
