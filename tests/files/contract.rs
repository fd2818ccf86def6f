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
