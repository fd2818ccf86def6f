//! Fields that this version does not know: kept, told, written again.

use toppleknot::document::{FILE_MINOR, TextScene, open_text, parse, to_text};
use toppleknot::measure::{FindingKind, Severity};
use toppleknot::toy::Seat;

/// A toy as a later program might write it: with a new field in every place that can have one.
const LATER: &str = r####"#![enable(implicit_some)]
// A maker's own remark.
(
  version: 1,
  minor: 7,
  signature: "abc, (d)",
  toy: (
    name: "Lamp room gull",
    weather: Storm(force: 9, from: ["north", "west"]), // as it was that day
    yarns: [
      (name: "White", hook_mm: 3.0, dye_lot: Some("A\"7")),
      (name: "Grey"),
    ],
    pieces: [
      (part: (name: "Body", rounds: ["6sc", "6sc+", "12sc"], stuffing: (amount: Medium, fibre: Wool)),
       placement: (seat: Floor(down: Start, x_mm: 0.0, y_mm: 0.0, cushion: (1.5, [2, 3])), glue: r##"no "#" here"##)),
      (part: (name: "Wing", rounds: ["6sc", "6sc"], felted: true),
       placement: (seat: OnSurface(part: "Body", at: (round: 2.0, angle_deg: 90.0, depth_mm: 1.0))), mirror: {"x": 1, "y": (2)}),
    ],
    extras: [(name: "Eye", kind: Eye(diameter_mm: 8.0, lid: 'v'), part: "Body", spot: Surface((round: 2.0, angle_deg: 20.0, tilt: -3)), shine: /* high */ 0.9)],
    settings: (left_handed: true, room_c: 21.5),
    wishes: (targets: (tip_deg_min: 12.0, shine_min: 0.4), limits: (without: ["weight", "felting"]), mood: "calm"),
  ),
)
"####;

/// What must be in every file saved from it.
const NEW: [&str; 17] = [
    "minor: 7",
    r#"signature: "abc, (d)""#,
    r#"weather: Storm(force: 9, from: ["north", "west"])"#,
    r#"dye_lot: Some("A\"7")"#,
    "fibre: Wool",
    "cushion: (1.5, [2, 3])",
    r###"glue: r##"no "#" here"##"###,
    "felted: true",
    "depth_mm: 1.0",
    r#"mirror: {"x": 1, "y": (2)}"#,
    "lid: 'v'",
    "tilt: -3",
    "shine: 0.9",
    "room_c: 21.5",
    "\"felting\"",
    "shine_min: 0.4",
    "mood: \"calm\"",
];

#[test]
fn fields_of_a_later_minor_version_survive_a_load_and_save() {
    let document = parse(LATER, "gull.toy.ron").expect("a later minor version opens");
    let text = to_text(&document);
    for new in NEW {
        assert_eq!(text.matches(new).count(), 1, "{new} in\n{text}");
    }
    let again = parse(&text, "gull.toy.ron").expect("what was saved opens");
    assert_eq!(again, document);
    assert_eq!(to_text(&again), text, "saving again changes nothing");
}

#[test]
fn they_are_told_as_a_note_with_their_line() {
    let opened = open_text(LATER, "gull.toy.ron", true, &TextScene::default()).expect("it opens");
    assert_eq!(opened.problems.len(), NEW.len() - 2, "all but the minor version and a word: {:#?}", opened.problems);
    assert!(opened.problems.iter().all(|p| p.kind == FindingKind::UnknownField && p.severity == Severity::Note));
    let weather = opened.problems.iter().find(|p| p.message.contains("weather")).expect("it is told");
    assert!(weather.message.starts_with("Line 9, column 5:"), "{}", weather.message);
}

#[test]
fn they_go_with_their_owner_through_edits() {
    let mut document = parse(LATER, "gull.toy.ron").expect("it opens");
    let toy = &mut document.toy;
    toy.pieces.swap(0, 1);
    toy.pieces[0].part.name = "Flipper".to_owned();
    toy.yarns.remove(1);
    let doubled = toppleknot::document::edits::double_part(toy, 0);
    // The body no longer stands on the floor: what a later program said of its floor is gone, nothing else.
    let body = toy.piece_named("Body").expect("the body");
    toy.pieces[body].placement.seat = Seat::Beside;
    let text = to_text(&document);
    assert_eq!(text.matches("felted: true").count(), 2, "the wing and its double\n{text}");
    assert!(!text.contains("cushion"), "{text}");
    let again = parse(&text, "gull.toy.ron").expect("what was saved opens");
    let kept = |name: &str| {
        let piece = again.toy.piece_named(name).expect("a part of that name");
        again.toy.pieces[piece].part.kept.fields.iter().map(|f| f.name.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(kept("Flipper"), ["mirror", "felted", "depth_mm"]);
    assert_eq!(kept(&again.toy.pieces[doubled].part.name), ["mirror", "felted", "depth_mm"]);
    assert_eq!(kept("Body"), ["fibre", "glue"]);
    assert_eq!(again.toy.yarns[0].kept.fields[0].value, "Some(\"A\\\"7\")");
}

#[test]
fn a_slip_in_a_field_is_told_with_what_was_meant_and_kept() {
    let text = "(version: 1, toy: (\n  name: \"Pebble\",\n  purpos: Lie,\n  yarns: [(name: \"Grey\", colr: (1, 2, 3), zigzag: 4)],\n))";
    let opened = open_text(text, "pebble.toy.ron", true, &TextScene::default()).expect("it opens");
    let told: Vec<(&str, &str)> = opened.problems.iter().map(|p| (p.message.as_str(), p.remedy.as_str())).collect();
    assert_eq!(told.len(), 3, "{told:#?}");
    assert!(opened.problems.iter().all(|p| p.severity == Severity::Warning));
    assert!(told[0].0.starts_with("Line 3, column 3: \"purpos\"") && told[0].1.contains("\"purpose\""), "{told:#?}");
    assert!(told[1].0.starts_with("Line 4, column 26: \"colr\"") && told[1].1.contains("\"colour\""), "{told:#?}");
    assert!(told[2].0.contains("\"zigzag\"") && !told[2].1.contains("is meant"), "{told:#?}");
    let saved = to_text(&opened.document);
    assert!(saved.contains("purpos: Lie,\n") && saved.contains("colr: (1, 2, 3)") && saved.contains("zigzag: 4"));
    assert!(saved.contains(&format!("minor: {FILE_MINOR},")) && !saved.contains("minor: 7"));
}

#[test]
fn a_file_with_nothing_but_unknown_fields_tells_a_few_and_keeps_all() {
    let many: String = (0..500).map(|i| format!("f{i}: {i}, ")).collect();
    let text = format!("(version: 1, toy: ({many}))");
    let opened = open_text(&text, "many.toy.ron", true, &TextScene::default()).expect("it opens");
    assert_eq!(opened.problems.len(), 21);
    assert!(opened.problems[20].message.contains("480 more"), "{}", opened.problems[20].message);
    let saved = to_text(&opened.document);
    assert!((0..500).all(|i| saved.contains(&format!("f{i}: {i},"))));
}
