//! Outlines from drawings, and the command that prints their rounds.

use proptest::prelude::*;
use toppleknot::advise::outline::{
    HalfOutline, MOST_SVG_BYTES, SvgEnd, SvgError, SvgOptions, read_svg_outline, read_svg_outline_with,
};

use super::{err, out, run};

fn svg(attributes: &str, content: &str) -> String {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {attributes}>{content}</svg>")
}

/// A page of 100 × 120 mm in mm.
const MM: &str = "width=\"100mm\" height=\"120mm\" viewBox=\"0 0 100 120\"";
/// Half a ball of 60 mm, its axis at x = 50 mm.
const HALF_BALL: &str = "<path d=\"M50 20 A30 30 0 0 1 50 80\"/>";

fn half(text: &str) -> HalfOutline {
    read_svg_outline(text.as_bytes()).expect("an outline").half
}

fn is_ball(half: &HalfOutline, diameter_mm: f64) {
    assert!((half.widest_mm() - diameter_mm).abs() < 0.05, "{}", half.widest_mm());
    assert!((half.height_mm() - diameter_mm).abs() < 0.05, "{}", half.height_mm());
    assert!(half.starts_closed() && half.finishes_closed());
}

/// Sizes by the drawing's own width, height and viewBox; 96 px to the inch (CSS Values and Units, level 3).
#[test]
fn a_drawing_is_in_true_size() {
    is_ball(&half(&svg(MM, HALF_BALL)), 60.0);
    is_ball(&half(&svg("width=\"200mm\" height=\"240mm\" viewBox=\"0 0 100 120\"", HALF_BALL)), 120.0);
    is_ball(&half(&svg("width=\"10cm\" viewBox=\"0 0 100 120\"", HALF_BALL)), 60.0);
    // No size: 60 px are 60 · 25.4 / 96 mm.
    is_ball(&half(&svg("", HALF_BALL)), 60.0 * 25.4 / 96.0);
    is_ball(&half(&svg("width=\"96\" height=\"96\" viewBox=\"0 0 100 100\"", HALF_BALL)), 60.0 * 25.4 / 100.0);
    // Meet: the smaller of the two scales.
    is_ball(&half(&svg("width=\"100mm\" height=\"240mm\" viewBox=\"0 0 100 120\"", HALF_BALL)), 60.0);
}

#[test]
fn shapes_transforms_and_groups_are_read() {
    for shape in [
        "<circle cx=\"50\" cy=\"50\" r=\"30\"/>",
        "<ellipse cx=\"50\" cy=\"50\" rx=\"30\" ry=\"30\"/>",
        "<g transform=\"translate(50 50) scale(2)\"><g transform=\"rotate(90)\"><circle r=\"15\"/></g></g>",
        "<path d=\"M50 20 A30 30 0 1 1 49.99 20 Z\"/>",
        "<path d=\"M50 80 A30 30 0 0 1 50 20\"/>",
        "<rect x=\"20\" y=\"20\" width=\"60\" height=\"60\" rx=\"30\"/>",
    ] {
        is_ball(&half(&svg(MM, shape)), 60.0);
    }
    let polygon = half(&svg(MM, "<polygon points=\"20,80 80,80 60,20 40,20\"/>"));
    assert!((polygon.flat_end_mm(false) - 30.0).abs() < 0.1 && (polygon.flat_end_mm(true) - 10.0).abs() < 0.1);
}

#[test]
fn the_start_is_where_it_is_said() {
    // y of a drawing points down: the rim of this dome is at the bottom, its closed end at the top starts.
    let dome = svg(MM, "<path d=\"M50 20 A30 30 0 0 1 80 50\"/>");
    let read = read_svg_outline(dome.as_bytes()).expect("a dome");
    assert_eq!((read.start, read.half.starts_closed(), read.half.finishes_closed()), (SvgEnd::Top, true, false));
    let from_rim = SvgOptions { start: Some(SvgEnd::Bottom), ..SvgOptions::default() };
    let read = read_svg_outline_with(dome.as_bytes(), &from_rim).expect("a dome");
    assert!(!read.half.starts_closed());
    let tube = svg(MM, "<path d=\"M70 20 L70 80\"/>");
    assert!(matches!(read_svg_outline(tube.as_bytes()), Err(SvgError::NoAxis { line: 1 })));
    let at_50 = SvgOptions { axis_mm: Some(50.0), ..SvgOptions::default() };
    let read = read_svg_outline_with(tube.as_bytes(), &at_50).expect("a tube");
    assert!((read.half.widest_mm() - 40.0).abs() < 1e-6);
}

#[test]
fn the_largest_of_several_is_taken_and_said() {
    let text = svg(MM, &format!("<rect width=\"100\" height=\"120\"/><circle cx=\"9\" cy=\"9\" r=\"3\"/>{HALF_BALL}"));
    let read = read_svg_outline(text.as_bytes()).expect("an outline");
    is_ball(&read.half, 60.0);
    assert!(read.notes.iter().any(|n| n.contains("largest")) && read.notes.iter().any(|n| n.contains("background")));
}

#[test]
fn hostile_and_hopeless_drawings_are_refused() {
    let error = |text: &str| read_svg_outline(text.as_bytes()).expect_err("no outline");
    let bomb = format!("<!DOCTYPE svg [<!ENTITY a \"b\"><!ENTITY c \"&a;&a;&a;\">]>{}", svg(MM, "&c;"));
    assert!(matches!(error(&bomb), SvgError::Entities { line: 1 }));
    assert_eq!(read_svg_outline(&vec![b' '; MOST_SVG_BYTES + 1]), Err(SvgError::TooLarge));
    assert!(matches!(read_svg_outline(&[0x1f, 0x8b, 8, 0]), Err(SvgError::NotText { at: 2 })));
    assert!(matches!(error("round and round"), SvgError::NotXml { .. }));
    assert!(matches!(error("<html/>"), SvgError::NotSvg { .. }));
    assert!(matches!(error(&svg(MM, "<text>ball</text>")), SvgError::Nothing { .. }));
    assert!(matches!(error(&svg(MM, "<path d=\"M0 0\"/>")), SvgError::Nothing { .. }));
    for path in ["M0 0 L1e30 5", "M0 0 L1e308 5 L1e309 9", "M0 0 L9e15 5 20 20"] {
        let error = error(&svg(MM, &format!("<path d=\"{path}\"/>")));
        assert!(matches!(error, SvgError::Far { .. } | SvgError::Attribute { .. }), "{path}: {error:?}");
    }
    for path in ["M0 0 LNaN 5", "M0 0 L5", "walk"] {
        let error = error(&svg(MM, &format!("<path d=\"{path}\"/>")));
        assert!(matches!(error, SvgError::Attribute { attribute: "d", line: 1, .. }), "{path}: {error:?}");
    }
    assert!(matches!(error(&svg("width=\"-4\" viewBox=\"0 0 1 1\"", HALF_BALL)), SvgError::Attribute { .. }));
    assert!(matches!(error(&svg("viewBox=\"0 0 0 0\"", HALF_BALL)), SvgError::Attribute { .. }));
    let lopsided = svg(MM, "<polygon points=\"20,80 80,80 75,20\"/>");
    assert!(matches!(error(&lopsided), SvgError::Lopsided { .. } | SvgError::CrossesAxis { .. }));
    let deep = svg(MM, &format!("{}{HALF_BALL}{}", "<g>".repeat(20_000), "</g>".repeat(20_000)));
    is_ball(&half(&deep), 60.0);
}

proptest! {
    /// Drawings with bytes changed, cut and doubled: an outline or an error, no panic.
    #[test]
    fn damaged_drawings_do_no_harm(
        changes in proptest::collection::vec((0usize..400, any::<u8>(), 0u8..3), 0..8),
    ) {
        let content = "<g transform=\"translate(1 2)\"><circle cx=\"50\" cy=\"50\" r=\"30\"/><path d=\"M50 20 A30 30 0 0 1 50 80 z\"/></g>";
        let mut bytes = svg(MM, content).into_bytes();
        for (at, byte, how) in changes {
            let at = at % bytes.len().max(1);
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                _ => drop(bytes.remove(at)),
            }
        }
        if let Ok(read) = read_svg_outline(&bytes) {
            prop_assert!(read.half.points().iter().all(|p| p.x >= 0.0 && p.is_finite()));
        }
    }
}

#[test]
fn the_command_prints_rounds_that_check_reads() {
    let drawing = svg(MM, HALF_BALL);
    let options = ["--stitches-per-10cm", "20", "--rounds-per-10cm", "21.5"];
    let args = |first: &[&'static str]| first.iter().copied().chain(options).collect::<Vec<_>>();
    let output = run(&args(&["outline", "-"]), &drawing);
    assert!(output.status.success(), "{}", err(&output));
    let text = out(&output);
    for word in ["magic ring", "Wanted", "Comes out", "Outline"] {
        assert!(text.contains(word), "{word} is missing:\n{text}");
    }
    let folder = std::env::temp_dir().join(format!("toppleknot-outline-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let saved = folder.join("ball.toy.ron");
    let saved_text = saved.to_str().expect("a plain path").to_owned();
    let mut args = args(&["outline", "-", "--json", "-o"]);
    args.insert(4, &saved_text);
    let output = run(&args, &drawing);
    assert!(output.status.success(), "{}", err(&output));
    let json: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON alone");
    assert_eq!(json["schema"], 1);
    assert!(json["outline_error"]["within_half_stitch"].as_bool().expect("a verdict"));
    assert!(json["outline_error"]["max_mm"].as_f64().expect("mm") <= 2.5);
    // A fresh check of the saved toy has the same counts and size.
    let output = run(&["check", &saved_text, "--json"], "");
    assert!(output.status.success(), "{}", err(&output));
    let check: serde_json::Value = serde_json::from_str(&out(&output)).expect("JSON alone");
    assert_eq!(check["parts"][0]["rounds"], json["rounds"]);
    assert_eq!(check["parts"][0]["widest_mm"], json["widest_mm"]);
    std::fs::remove_dir_all(&folder).expect("its own folder");
}

#[test]
fn the_command_says_what_is_wrong() {
    let output = run(&["outline", "-"], "<svg>");
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("standard input:") && out(&output).is_empty(), "{}", err(&output));
    let huge = svg(MM, "<circle cx=\"50\" cy=\"50\" r=\"4000\"/>");
    let output = run(&["outline", "-"], &huge);
    assert_eq!(output.status.code(), Some(2));
    assert!(out(&output).is_empty());
}
