//! The form of the JSON report, and that its figures can be worked out again from what it says it assumed.

use serde_json::Value;

use super::{out, report, run, sample_path};

fn is_figure(value: &Value) -> bool {
    let number = |name: &str| value[name].as_f64();
    matches!((number("low"), number("value"), number("high")), (Some(l), Some(v), Some(h)) if l <= v && v <= h)
}

fn sample(name: &str) -> Value {
    let output = run(&["check", sample_path(name).to_str().expect("a plain path"), "--json"], "");
    serde_json::from_str(&out(&output)).expect("JSON alone")
}

#[test]
fn every_sized_thing_is_a_figure_with_its_range() {
    for name in ["sea-wall-bear.toy.ron", "boot-room-imp.toy.ron", "glass-float.toy.ron"] {
        let report = sample(name);
        assert_eq!(report["schema"], 1);
        for axis in ["x", "y", "z"] {
            assert!(is_figure(&report["toy"]["size_mm"][axis]), "{name}");
        }
        assert!(is_figure(&report["toy"]["mass_g"]) && is_figure(&report["stand"]["tip_deg"]), "{name}");
        for part in report["parts"].as_array().expect("parts") {
            for field in [
                "widest_mm",
                "length_mm",
                "stuffed_widest_mm",
                "stuffed_length_mm",
                "volume_ml",
                "fabric_g",
                "stuffing_g",
                "yarn_m",
                "unstuffed_length_mm",
            ] {
                assert!(is_figure(&part[field]), "{name}: {} {field}: {}", part["name"], part[field]);
            }
        }
        for neck in report["necks"].as_array().expect("necks") {
            assert!(is_figure(&neck["load_share"]), "{name}: {neck}");
        }
        for block in report["assumed"].as_object().expect("assumed").values() {
            assert!(is_figure(block), "{name}: {block}");
            assert!(["measured", "label", "estimate"].contains(&block["from"].as_str().unwrap_or("")), "{name}");
        }
    }
}

#[test]
fn the_report_begins_with_schema_and_assumptions() {
    let text = out(&run(&["check", "-", "--json"], "6 12 18 12 6"));
    let (schema, assumed, toy) = (text.find("\"schema\""), text.find("\"assumed\""), text.find("\"toy\""));
    assert!(schema < assumed && assumed < toy && schema.is_some());
}

#[test]
fn parts_sum_to_the_toy() {
    for name in ["sea-wall-bear.toy.ron", "boot-room-imp.toy.ron", "shop-window-hare.toy.ron"] {
        let report = sample(name);
        let (mut grams, mut metres) = (0.0, 0.0);
        for part in report["parts"].as_array().expect("parts") {
            let value = |field: &str| part[field]["value"].as_f64().expect("a figure");
            let copies = part["copies"].as_f64().expect("copies");
            grams += copies * (value("fabric_g") + value("stuffing_g"));
            metres += copies * value("yarn_m");
        }
        let toy = report["toy"]["mass_g"]["value"].as_f64().expect("a mass");
        let eyes = toy - grams;
        assert!((0.0..2.0).contains(&eyes), "{name}: parts {grams}, toy {toy}; only the eyes are between them");
        let yarn: f64 =
            report["yarn"].as_array().expect("yarn").iter().filter_map(|y| y["metres"]["value"].as_f64()).sum();
        assert!((yarn - metres).abs() < 1e-6 * metres, "{name}: parts {metres} m, yarns {yarn} m");
    }
}

#[test]
fn yarn_mass_follows_from_what_is_assumed() {
    // Stitches × yarn in a stitch × mass of a length: 144 × 7 widths × 5 mm × 400 g/km, by hand.
    let options = ["--stitches-per-10cm", "20", "--metres-per-100g", "250"];
    let report = report(&options, "6 12 18 24 24 24 18 12 6");
    let grams = report["yarn"][0]["grams"]["value"].as_f64().expect("a mass");
    assert!((grams - 144.0 * 7.0 * 0.005 * 0.4).abs() < 1e-9, "{grams}");
}

#[test]
fn scaling_the_gauge_scales_every_length() {
    // At equal load p·R/K: stitches twice as wide, stiffness twice as high, pressure the same.
    let small = report(
        &["--stitches-per-10cm", "20", "--rounds-per-10cm", "21", "--pressure", "1", "--fabric", "1000"],
        "6 12 18 24 24 24 18 12 6",
    );
    let large = report(
        &["--stitches-per-10cm", "10", "--rounds-per-10cm", "10.5", "--pressure", "1", "--fabric", "2000"],
        "6 12 18 24 24 24 18 12 6",
    );
    for field in ["stuffed_widest_mm", "stuffed_length_mm"] {
        let of = |r: &Value| r["parts"][0][field]["value"].as_f64().expect("a length");
        assert!((of(&large) / of(&small) - 2.0).abs() < 1e-6, "{field}");
    }
}

#[test]
fn mirrored_parts_leave_the_centre_of_mass_in_the_middle() {
    let centre = sample("sea-wall-bear.toy.ron")["toy"]["centre_of_mass_mm"].clone();
    assert!(centre[0].as_f64().expect("x").abs() < 1e-6, "{centre}");
}

#[test]
fn the_yarn_says_what_it_takes_and_where_it_runs_out() {
    let counts = "6 12 18 24 24 24 18 12 6";
    let options = ["--stitches-per-10cm", "20", "--metres-per-100g", "250"];
    let yarn = |more: &[&str]| report(&[&options, more].concat(), counts)["yarn"][0].clone();
    let open = yarn(&[]);
    for field in ["metres", "grams", "stitches_m", "tails_m", "sewing_m"] {
        assert!(is_figure(&open["need"][field]), "{field}: {open}");
    }
    for field in ["have_g", "have_balls", "ball_g", "used_g", "enough", "runs_out"] {
        assert!(open.get(field).is_some_and(Value::is_null), "what was not said is null: {field}");
    }
    assert_eq!(open["ball_ends"], serde_json::json!([]));
    let plenty = yarn(&["--have", "500"]);
    assert_eq!(
        (&plenty["have_g"], &plenty["enough"], &plenty["runs_out"]),
        (&500.0.into(), &"enough".into(), &Value::Null)
    );
    // By hand: 144 stitches of 7 · 5 mm at 0.4 g/m are 2.016 g, two tails of 20 cm 0.16 g. 1 g with the tail of the ring
    // is reached after 65.7 stitches: in round 5, of stitches 61 to 84.
    let short = yarn(&["--have", "1"]);
    assert!((short["need"]["grams"]["value"].as_f64().expect("a mass") - 2.176).abs() < 1e-9, "{short}");
    assert_eq!(short["enough"], "short");
    let part = report(&options, counts)["parts"][0]["name"].clone();
    assert_eq!((&short["runs_out"]["part"], &short["runs_out"]["round"]), (&part, &5.into()));
    let range = short["runs_out"]["range"].as_array().expect("earliest and latest");
    let round = |i: usize| range[i]["round"].as_u64().expect("a round");
    assert!(round(0) <= 5 && 5 <= round(1));
}

#[test]
fn a_short_yarn_is_severe_and_a_close_one_a_warning() {
    let severity = |grams: &str| {
        let report = report(&["--stitches-per-10cm", "20", "--have", grams], "6 12 18 24 24 24 18 12 6");
        let found = report["findings"].as_array().expect("findings").clone();
        found.into_iter().find(|f| f["kind"] == "yarn_short").map(|f| f["severity"].clone())
    };
    assert_eq!(severity("0.5"), Some("severe".into()));
    assert_eq!(severity("100"), None);
    let need = report(&["--stitches-per-10cm", "20"], "6 12 18 24 24 24 18 12 6")["yarn"][0]["need"]["grams"].clone();
    let between = 0.5 * (need["value"].as_f64().expect("a mass") + need["high"].as_f64().expect("a mass"));
    assert_eq!(severity(&between.to_string()), Some("warning".into()));
}

/// Absent is null, never 0: a ball with a weight on its side finds no rest as it was laid out, one with it low down does.
#[test]
fn how_far_it_settles_is_null_where_it_finds_no_rest() {
    let ball = |spot: &str| {
        let toy = format!(
            "(version: 1, toy: (purpose: Sit, yarns: [(category: 4, hook_mm: 3.5)], pieces: [(part: (name: \"Ball\", start: \
             MagicRing, rounds: [\"6sc\", \"6sc+\", \"6sc+ 6sc\", \"6sc+ 12sc\", \"24sc\", \"24sc\", \"24sc\", \"24sc\", \
             \"6sc- 12sc\", \"6sc- 6sc\", \"6sc-\"], finish: Gathered, base: Rounded), placement: (seat: Floor(down: \
             Start, x_mm: 0.0, y_mm: 0.0)))], extras: [(name: \"weight\", kind: Weight, mass_g: 40.0, part: \"Ball\", \
             spot: {spot})]))"
        );
        let output = run(&["check", "-", "--format", "toy", "--json"], &toy);
        let report: Value = serde_json::from_str(&out(&output)).expect("JSON alone");
        report["stand"].clone()
    };
    let aside = ball("Surface((round: 6.0, angle_deg: 90.0))");
    assert_eq!(aside["verdict"], "rocks");
    assert!(aside["settles_deg"].is_null(), "{aside}");
    let low = ball("Inside(share: 0.1)");
    assert_eq!(low["verdict"], "stands", "{low}");
    assert!(low["settles_deg"].as_f64().is_some_and(|deg| deg < 1.0), "{low}");
}
