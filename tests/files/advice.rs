//! `toppleknot advise` as a maker or a program meets it.

use serde_json::Value;

use super::{err, out, run, sample_path};

fn advise(file: &str, options: &[&str]) -> std::process::Output {
    let path = sample_path(file);
    let args: Vec<&str> =
        ["advise", path.to_str().expect("a plain path")].into_iter().chain(options.iter().copied()).collect();
    run(&args, "")
}

fn json(file: &str, options: &[&str]) -> Value {
    let options: Vec<&str> = options.iter().copied().chain(["--json"]).collect();
    let output = advise(file, &options);
    assert!(output.status.success(), "{}", err(&output));
    serde_json::from_str(&out(&output)).expect("standard output is JSON alone")
}

#[test]
fn the_crier_gets_suggestions_with_figures_before_and_after() {
    let text = out(&advise("puppet-booth-crier.toy.ron", &[]));
    for words in ["Now        rocks", "head to body 3.02", "  1. ", "then   ", "change outline", "points"] {
        assert!(text.contains(words), "{words} is missing:\n{text}");
    }
    let advice = json("puppet-booth-crier.toy.ron", &[]);
    assert_eq!(advice["schema"], 1);
    let problem = &advice["problems"][0];
    assert_eq!(problem["finding"]["kind"], "head_heavy");
    let first = &problem["suggestions"][0];
    assert_eq!(first["before"]["stand"], "rocks");
    assert!(first["after"]["tip_deg"].as_f64().expect("it stands") >= 4.0);
    assert!(first["changed"]["pieces"].is_array() && first["change"]["points"].is_number());
}

#[test]
fn targets_and_locks_are_heard() {
    let advice =
        json("sea-wall-bear.toy.ron", &["--target", "head-to-body=1:2", "--lock", "head", "--without", "weight"]);
    let suggestions = advice["problems"][0]["suggestions"].as_array().expect("a list");
    assert!(!suggestions.is_empty());
    for suggestion in suggestions {
        assert!(suggestion["after"]["head_to_body"].as_f64().expect("a head") <= 0.5);
        let families = suggestion["families"].as_array().expect("a list");
        assert!(!families.contains(&Value::from("weight")), "{suggestion}");
    }
    let met = json("tide-pool-seal.toy.ron", &["--target", "tip=10"]);
    assert!(met["problems"][0]["suggestions"].as_array().expect("a list").is_empty());
    assert!(met["problems"][0]["nothing"].is_null());
}

#[test]
fn what_nothing_mends_is_said_and_strict_ends_with_1() {
    let locks = ["--lock", "Head", "--lock", "Body", "--lock", "Arm", "--lock", "Nose"];
    let plain = advise("puppet-booth-crier.toy.ron", &locks);
    assert_eq!(plain.status.code(), Some(0));
    assert!(out(&plain).contains("Nothing within these limits"));
    let strict: Vec<&str> = locks.iter().copied().chain(["--strict"]).collect();
    assert_eq!(advise("puppet-booth-crier.toy.ron", &strict).status.code(), Some(1));
    let sound = advise("tide-pool-seal.toy.ron", &["--strict"]);
    assert_eq!(sound.status.code(), Some(0));
    assert!(out(&sound).contains("Nothing to mend"));
}

#[test]
fn bad_words_are_refused_with_what_was_expected() {
    for (options, expected) in [
        (["--target", "width=3"], "head-to-body"),
        (["--target", "tip=x"], "a number above 0"),
        (["--lock", "Tail"], "Head"),
        (["--without", "magic"], "family"),
        (["--target", "yarn:Gold=3"], "Straw"),
    ] {
        let output = advise("puppet-booth-crier.toy.ron", &options);
        assert_eq!(output.status.code(), Some(2), "{options:?}");
        assert!(err(&output).contains(expected), "{options:?}: {}", err(&output));
        assert!(out(&output).is_empty());
    }
}

#[test]
fn help_lists_every_family_and_target() {
    let help = out(&run(&["advise", "--help"], ""));
    for family in toppleknot::advise::mend::Family::ALL {
        assert!(help.contains(family.word()), "{}", family.word());
    }
    for target in ["tip=", "neck=", "head-to-body=", "height=", "yarn=", "yarn:NAME="] {
        assert!(help.contains(target), "{target}");
    }
}

#[test]
fn written_rounds_are_opened_as_by_check() {
    let text = "Head\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\nRnd 3: (sc, inc) x 6 (18)\nRnd 4: (2 sc, inc) x 6 (24)\n\
        Rnd 5: (3 sc, inc) x 6 (30)\nRnds 6-12: sc around (30)\nRnd 13: (3 sc, dec) x 6 (24)\nRnd 14: (2 sc, dec) x 6 (18)\n\n\
        Body\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\nRnd 3: (sc, inc) x 6 (18)\nRnds 4-9: sc around (18)\n";
    let output = run(&["advise", "-", "--yarn", "worsted", "--hook", "3.5"], text);
    assert!(output.status.success(), "{}", err(&output));
    assert!(out(&output).contains("  1. "), "{}", out(&output));
}

/// A sample with wishes of its own, in a file.
fn with_wishes(name: &str, change: impl FnOnce(&mut toppleknot::toy::Toy)) -> std::path::PathBuf {
    let mut document = toppleknot::document::load(&sample_path("puppet-booth-crier.toy.ron")).expect("a sample");
    change(&mut document.toy);
    let path = std::env::temp_dir().join(format!("toppleknot-{name}-{}.toy.ron", std::process::id()));
    toppleknot::document::save_alone(&document, &path).expect("a place to write");
    path
}

#[test]
fn the_wishes_of_the_file_count_and_options_win_over_them() {
    let path = with_wishes("wishes", |toy| {
        toy.wishes.targets.set("tip=12").expect("a target");
        toy.wishes.targets.set("height=150").expect("a target");
        toy.wishes.limits.locked_parts = vec!["Body".to_owned()];
        toy.wishes.limits.without = vec!["weight".to_owned(), "felting".to_owned()];
        toy.wishes.limits.max_stitches_changed = Some(400);
    });
    let file = path.to_str().expect("a plain path");
    let advice = |options: &[&str]| -> Value {
        let args: Vec<&str> = ["advise", file, "--json"].into_iter().chain(options.iter().copied()).collect();
        let output = run(&args, "");
        assert!(output.status.success(), "{}", err(&output));
        serde_json::from_str(&out(&output)).expect("standard output is JSON alone")
    };
    let whole = toppleknot::document::load(&path).expect("the file").toy;
    let body = serde_json::to_value(&whole.pieces[whole.piece_named("Body").expect("a body")].part).expect("a part");
    let wanted = |advice: &Value| -> String {
        let all = advice["problems"].as_array().expect("a list").clone();
        let words = all.iter().filter_map(|p| p["what"].as_str()).find(|w| w.starts_with("Wanted: "));
        words.unwrap_or_default().to_owned()
    };
    let suggestions = |advice: &Value| -> Vec<Value> {
        let all = advice["problems"].as_array().expect("a list").clone();
        all.iter().flat_map(|p| p["suggestions"].as_array().expect("a list").clone()).collect()
    };
    let of_file = advice(&[]);
    assert!(wanted(&of_file).contains("at least 12°") && wanted(&of_file).contains("150 mm"), "{}", wanted(&of_file));
    for suggestion in suggestions(&of_file) {
        assert!(!suggestion["families"].to_string().contains("\"weight\""), "{}", suggestion["words"]);
        let pieces = suggestion["changed"]["pieces"].as_array().expect("a list").clone();
        let now = pieces.iter().map(|p| &p["part"]).find(|p| p["name"] == "Body").expect("the body is there");
        assert_eq!(*now, body, "{}", suggestion["words"]);
    }
    let won = advice(&["--target", "tip=20"]);
    assert!(wanted(&won).contains("at least 20°") && wanted(&won).contains("150 mm"), "{}", wanted(&won));
    let plain = advice(&["--ignore-wishes"]);
    assert_eq!(wanted(&plain), "");
    let free = |s: &Value| {
        let pieces = s["changed"]["pieces"].as_array().expect("a list").clone();
        let kept = pieces.iter().any(|p| p["part"] == body);
        !kept || s["families"].to_string().contains("\"weight\"")
    };
    assert!(suggestions(&plain).iter().any(free), "nothing is held fast any more");
    let _ = std::fs::remove_file(path);
}
