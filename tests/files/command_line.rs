//! The command line as a maker or a program meets it.

use super::{err, out, report, run, sample_path};

const HEAD_AND_BODY: &str = "Head\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\nRnd 3: (sc, inc) x 6 (18)\n\
    Rnd 4: (2 sc, inc) x 6 (24)\nRnds 5-9: sc around (24)\nRnd 10: (2 sc, dec) x 6 (18)\n\n\
    Body\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\nRnd 3: (sc, inc) x 6 (18)\nRnds 4-9: sc around (18)\n";

#[test]
fn every_sample_gives_a_report() {
    for entry in std::fs::read_dir(sample_path("")).expect("the samples folder").flatten() {
        let name = entry.file_name().into_string().expect("a plain name");
        if !(name.ends_with(".ron") || name.ends_with(".txt")) {
            continue;
        }
        let output = run(&["check", sample_path(&name).to_str().expect("a plain path")], "");
        assert!(output.status.success(), "{name}: {}", err(&output));
        let text = out(&output);
        for word in ["Size", "Weight", "Stands", "Yarn", "This rests on"] {
            assert!(text.contains(word), "{name} lacks {word}:\n{text}");
        }
        assert!(err(&output).is_empty(), "{name}: {}", err(&output));
    }
}

#[test]
fn a_text_of_head_and_body_is_stacked() {
    let report = report(&["--yarn", "worsted", "--hook", "3.5"], HEAD_AND_BODY);
    let names: Vec<&str> =
        report["parts"].as_array().expect("parts").iter().filter_map(|p| p["name"].as_str()).collect();
    assert_eq!(names, ["Head", "Body"]);
    assert_eq!(report["parts"][0]["rounds"][3], 24);
    assert_eq!(report["necks"][0]["part"], "Head");
    assert_eq!(report["necks"][0]["onto"], "Body");
    assert!(report["toy"]["head_to_body_mass"]["value"].as_f64().expect("a ratio") > 1.0);
    assert_eq!(report["stand"]["stands_on"][0], "Body");
}

#[test]
fn a_pattern_size_that_does_not_come_out_is_said() {
    let ball = "Pebble\nFinished size: about 30 cm tall\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\nRnds 3-5: sc around (12)\nRnd 6: dec x 6 (6)\n";
    let found = |text: &str| {
        let report = report(&[], text);
        report["findings"].as_array().expect("findings").iter().any(|f| f["kind"] == "size_differs")
    };
    assert!(found(ball));
    assert!(!found(&ball.replace("about 30 cm tall", "about 2.2 cm tall")));
}

#[test]
fn a_bare_list_is_a_part() {
    let report = report(&[], "6 12 18 24 24 24 18 12 6");
    assert_eq!(report["parts"][0]["stitches"], 144);
    assert!(report["toy"]["head_to_body_mass"].is_null());
}

#[test]
fn options_win_over_estimates() {
    let given = report(
        &["--stitches-per-10cm", "25", "--rounds-per-10cm", "26", "--metres-per-100g", "250"],
        "6 12 18 18 12 6",
    );
    assert_eq!(given["assumed"]["w_mm"]["value"], 4.0);
    assert_eq!(given["assumed"]["w_mm"]["from"], "measured");
    assert_eq!(given["assumed"]["tex"]["value"], 400.0);
    assert_eq!(given["assumed"]["tex"]["from"], "label");
    let set = report(&["--density", "50", "--fabric", "1000", "--pressure", "1,5"], "6 12 18 18 12 6");
    for (name, value) in [("density_g_per_l", 50.0), ("fabric_n_per_m", 1000.0), ("pressure_kpa", 1.5)] {
        assert_eq!(set["assumed"][name]["value"], value, "{name}");
        assert_eq!(set["assumed"][name]["from"], "measured", "{name}");
    }
}

#[test]
fn strict_ends_with_one_for_something_severe_only() {
    let crier = sample_path("puppet-booth-crier.toy.ron");
    let seal = sample_path("tide-pool-seal.toy.ron");
    let code = |path: &std::path::Path, strict: bool| {
        let mut args = vec!["check", path.to_str().expect("a plain path")];
        args.extend(strict.then_some("--strict"));
        run(&args, "").status.code()
    };
    assert_eq!(code(&crier, true), Some(1));
    assert_eq!(code(&crier, false), Some(0));
    assert_eq!(code(&seal, true), Some(0));
}

#[test]
fn bad_input_ends_with_two_and_says_where_and_what() {
    for (args, input, words) in [
        (vec!["check", "no-such-file.txt"], "", vec!["no-such-file.txt", "cannot be read"]),
        (
            vec!["check", "-"],
            "Dear all, thank you for your order.",
            vec!["standard input:1:1", "no rounds found", "Expected"],
        ),
        (vec!["check", "-", "--format", "toy"], "(version: 1, toy: (name: 7))", vec!["standard input:1:", "xpected"]),
        (vec!["check", "-", "--hook", "-3"], "6 12 6", vec!["--hook"]),
        (vec!["check", "-", "--yarn", "rope"], "6 12 6", vec!["category 0 to 7"]),
    ] {
        let output = run(&args, input);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(out(&output).is_empty(), "{args:?}: nothing on standard output");
        for word in words {
            assert!(err(&output).contains(word), "{args:?} lacks {word:?}: {}", err(&output));
        }
    }
}

#[test]
fn with_no_display_the_report_stands_in_for_the_window() {
    let path = sample_path("reed-heron.toy.ron");
    let output = run(&[path.to_str().expect("a plain path")], "");
    assert!(output.status.success(), "{}", err(&output));
    assert!(out(&output).contains("Reed heron"), "{}", out(&output));
    assert!(err(&output).contains("report instead"), "{}", err(&output));
}

#[test]
fn the_closed_lists_of_words_are_in_the_help() {
    let help = out(&run(&["check", "--help"], ""));
    for word in ["tips_easily", "rocks", "nods", "flops", "held", "worked_out", "total_only", "severe", "estimate"] {
        assert!(help.contains(word), "{word}");
    }
}

#[test]
fn read_shows_the_place_and_write_reads_back() {
    let text = "Rnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\nRnd 3: (sc, inc) x 6 (17)\nRnd 4: sc around (17)\n";
    let output = run(&["read", "-"], text);
    assert!(output.status.success());
    assert!(out(&output).contains("3 | Rnd 3: (sc, inc) x 6 (17)") && out(&output).contains('^'), "{}", out(&output));
    let json = run(&["read", "-", "--json"], text);
    let json: serde_json::Value = serde_json::from_str(&out(&json)).expect("JSON alone");
    assert_eq!(json["problems"][0]["kind"], "total_differs");
    assert_eq!(json["problems"][0]["line"], 3);
    assert_eq!(json["pieces"][0]["rounds"][2]["count"], 17);
    assert_eq!(json["pieces"][0]["rounds"][2]["known"], "total_only");
    let uk = run(&["write", "-", "--terms", "uk"], text);
    let again = run(&["read", "-", "--json"], &out(&uk));
    let again: serde_json::Value = serde_json::from_str(&out(&again)).expect("JSON alone");
    let counts = |v: &serde_json::Value| -> Vec<u64> {
        v["pieces"][0]["rounds"].as_array().expect("rounds").iter().filter_map(|r| r["count"].as_u64()).collect()
    };
    assert_eq!(counts(&again), counts(&json));
}

#[test]
fn old_letters_and_wide_letters_are_read() {
    let folder = std::env::temp_dir().join(format!("toppleknot-letters-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let text = "Tête\nRnd 1: 6 sc in magic ring (6)\nRnd 2: inc x 6 (12)\n";
    let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).expect("an old letter")).collect();
    let wide: Vec<u8> = std::iter::once(0xFEFF).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    for (name, bytes) in [("latin.txt", latin), ("wide.txt", wide)] {
        let path = folder.join(name);
        std::fs::write(&path, bytes).expect("a writable folder");
        let output = run(&["read", path.to_str().expect("a plain path")], "");
        assert!(out(&output).contains("Tête"), "{name}: {}{}", out(&output), err(&output));
    }
    std::fs::remove_dir_all(&folder).expect("the test's own folder");
}
