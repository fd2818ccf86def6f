//! Time, fabric, placements and cautions on the command line and in files.

use serde_json::Value;

use toppleknot::document::{load, parse, to_text};
use toppleknot::measure::{FindingKind, derive};
use toppleknot::toy::plan::{Experience, Timed};
use toppleknot::toy::{Extra, ExtraKind};

use super::{err, out, report, run, sample_path};

fn check(name: &str, options: &[&str]) -> Value {
    let path = sample_path(name);
    let mut args = vec!["check", path.to_str().expect("a plain path"), "--json"];
    args.extend(options);
    let output = run(&args, "");
    assert!(output.status.success(), "{}", err(&output));
    serde_json::from_str(&out(&output)).expect("JSON alone")
}

fn is_figure(value: &Value) -> bool {
    let number = |name: &str| value[name].as_f64();
    matches!((number("low"), number("value"), number("high")), (Some(l), Some(v), Some(h)) if l <= v && v <= h)
}

#[test]
fn the_report_carries_time_fabric_placements_and_cautions() {
    let options = ["--hours-per-day", "1,5", "--first-day", "2027-03-01", "--wished-day", "2027-03-02"];
    let bear = check("sea-wall-bear.toy.ron", &options);
    let time = &bear["time"];
    for field in ["pace_sc_per_min", "sewing_minutes", "face_minutes", "total_minutes", "left_minutes", "days_left"] {
        assert!(is_figure(&time[field]), "{field}: {}", time[field]);
    }
    assert_eq!((time["first_day"].as_str(), time["hours_per_day"].as_f64()), (Some("2027-03-01"), Some(1.5)));
    assert_eq!(time["verdict"], "late");
    assert!(time["done_day"].as_str() > Some("2027-03-02"), "{}", time["done_day"]);
    assert!(!time["savings"].as_array().expect("a list").is_empty());
    for fabric in bear["fabric"].as_array().expect("a list") {
        assert!(is_figure(&fabric["cover"]), "{fabric}");
        let name = &fabric["part"];
        let part = bear["parts"].as_array().expect("parts").iter().find(|p| p["name"] == *name).expect("a part");
        assert_eq!(fabric["rounds"].as_array().map(Vec::len), part["rounds"].as_array().map(Vec::len));
    }
    let eyes = bear["placements"]["face"].as_array().expect("a list");
    assert_eq!(eyes.len(), 2);
    assert!(is_figure(&eyes[0]["place"]["stitches_from_start"]));
    assert!(bear["placements"]["seams"].as_array().expect("a list").iter().all(|s| is_figure(&s["tail_mm"])));
    assert_eq!(bear["cautions"]["verdict"], "no_concern_found");
}

#[test]
fn experience_and_age_are_options() {
    let hours = |word: &str| {
        check("tide-pool-seal.toy.ron", &["--experience", word])["time"]["total_minutes"]["value"].as_f64()
    };
    assert!(hours("beginner") > hours("usual") && hours("usual") > hours("fast"));
    let verdict = |months: &str| check("puppet-booth-crier.toy.ron", &["--child-months", months])["cautions"].clone();
    assert_eq!(verdict("12")["verdict"], "concern_found");
    assert_eq!(verdict("12")["cautions"][0]["severity"], "severe");
    assert_eq!(verdict("72")["verdict"], "no_concern_found");
    for (option, value) in [("--wished-day", "2027-02-30"), ("--hours-per-day", "25"), ("--experience", "old")] {
        let output = run(&["check", "-", option, value], "6 12 6");
        assert_eq!(output.status.code(), Some(2), "{option} {value}");
        assert!(err(&output).contains(option), "{}", err(&output));
    }
}

#[test]
fn a_loose_hook_shows_the_stuffing_and_names_the_one_that_closes() {
    let ball = "6 12 18 24 30 36 36 36 36 36 36 36 30 24 18 12 6";
    let shows = |hook: &str| {
        let report = report(&["--yarn", "worsted", "--hook", hook], ball);
        let findings = report["findings"].as_array().expect("findings").clone();
        let found = findings.into_iter().find(|f| f["kind"] == "stuffing_shows");
        (found, report["fabric"][0].clone())
    };
    assert_eq!(shows("3.5").0, None);
    let (finding, fabric) = shows("6");
    let closing = fabric["closing_hook_mm"].as_f64().expect("a hook closes it");
    assert!(closing < 6.0);
    let remedy = finding.expect("it shows")["remedy"].as_str().expect("a remedy").to_owned();
    assert!(remedy.contains(&format!("{closing} mm")) && remedy.contains("two sizes below"), "{remedy}");
    assert_eq!(shows(&closing.to_string()).1["verdict"], "closed");
}

#[test]
fn a_plan_is_kept_in_the_file() {
    let mut document = load(&sample_path("sea-wall-bear.toy.ron")).expect("a sample");
    let plan = &mut document.toy.plan;
    plan.experience = Some(Experience::Fast);
    plan.wished_day = "2028-02-29".parse().ok();
    plan.hours_per_day = Some(0.5);
    plan.timed.push(Timed { part: "Leg".into(), minutes: 31.0, from_round: None, to_round: Some(4) });
    plan.set_rounds_made("Leg", 1, 7);
    plan.set_sewn("Ear", 0, true);
    plan.set_face_done("Head", true);
    document.toy.settings.yarn_under = true;
    document.toy.extras.push(Extra {
        kind: ExtraKind::Cord { length_mm: 90.0 },
        part: "Head".into(),
        ..Extra::default()
    });
    let again = parse(&to_text(&document), "plan").expect("what is written is read");
    assert_eq!(again, document);
    let bad = to_text(&document).replace("2028-02-29", "2027-02-29");
    assert!(parse(&bad, "plan").is_err(), "no such day");
}

#[test]
fn findings_of_one_part_say_a_gap_once() {
    for hook in ["3.5", "5", "6.5", "9"] {
        let report = report(&["--yarn", "4", "--hook", hook, "--stuffing", "firm"], "6 12 18 24 30 30 30 24 18 12 6");
        let findings = report["findings"].as_array().expect("findings");
        let gaps = findings.iter().filter(|f| f["kind"] == "stuffing_shows" || f["kind"] == "overstretched").count();
        assert!(gaps <= 1, "{hook}: {findings:?}");
    }
    let toy = load(&sample_path("glass-float.toy.ron")).expect("a sample").toy;
    assert!(derive(&toy).report.findings.iter().all(|f| f.kind != FindingKind::StuffingShows));
}

/// A sewn-on part that fits the cylinder (31.7 mm across, 16 CFR 1501.4) is told whether or not it has its place yet.
#[test]
fn a_small_part_without_a_place_is_a_caution_too() {
    let text = "Body\n6 12 18 24 30 30 30 24 18\n\nEar (make 2)\n6 6 12 12\n";
    let output = run(&["check", "-", "--json", "--child-months", "20", "--yarn", "4", "--hook", "3.5"], text);
    assert!(output.status.success(), "{}", err(&output));
    let json: Value = serde_json::from_str(&out(&output)).expect("JSON alone");
    assert_eq!(json["parts"][1]["placed"], false);
    assert_eq!(json["cautions"]["verdict"], "concern_found", "{}", json["cautions"]);
    let kinds: Vec<&Value> =
        json["cautions"]["cautions"].as_array().expect("a list").iter().map(|c| &c["kind"]).collect();
    assert!(kinds.contains(&&Value::from("small_crocheted_part")), "{kinds:?}");
}
