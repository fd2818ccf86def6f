//! Dimensions measured back from the SVG's own geometry.

use glam::DVec2;
use roxmltree::{Document, Node};
use toppleknot::export::paper::svg;
use toppleknot::measure::derive;
use toppleknot::toy::Toy;
use toppleknot::toy::shape::ShapeKind;
use toppleknot::view::picture::Extent;
use toppleknot::view::sheet::Paper;
use toppleknot::view::sheet::sketch::{SketchOptions, sketch};

use super::{all_samples, sample};

/// Points of a path that has only M, L and Z.
fn points(path: &str) -> Vec<DVec2> {
    let numbers: Vec<f64> = path
        .split(|c: char| "MLZ ".contains(c))
        .filter(|s| !s.is_empty())
        .map(|s| s.parse().expect("a number in a path"))
        .collect();
    numbers.chunks_exact(2).map(|p| DVec2::new(p[0], p[1])).collect()
}

fn colour(rgb: [u8; 3]) -> String {
    format!("#{:02x}{:02x}{:02x}", rgb[0], rgb[1], rgb[2])
}

/// Extent of everything in a picture that is filled with a yarn's colour, in mm of the toy. The outline around it is
/// drawn outside of it, so this is the toy with its fabric's thickness.
fn yarn_extent(toy: &Toy, picture: &Node) -> Extent {
    let yarns: Vec<String> = toy.yarns.iter().map(|y| colour(y.colour)).collect();
    let scale: f64 = picture.attribute("data-scale").expect("a scale").parse().expect("a number");
    let fills = picture.descendants().filter(|n| n.attribute("fill").is_some_and(|f| yarns.iter().any(|y| y == f)));
    let points: Vec<DVec2> = fills.flat_map(|n| points(n.attribute("d").unwrap_or(""))).map(|p| p / scale).collect();
    Extent::of(&points)
}

fn group<'a>(svg: &'a Document, name: &str) -> Node<'a, 'a> {
    svg.descendants().find(|n| n.attribute("id") == Some(name)).expect("the picture is there")
}

fn near(found: f64, wanted: f64, tolerance: f64, what: &str) {
    assert!((found - wanted).abs() <= tolerance, "{what}: {found} in the picture, {wanted} in the report");
}

/// The paper is as large as it says: 1 user unit is 1 mm.
#[test]
fn the_paper_is_true_to_mm() {
    let toy = sample("Puppet-booth crier");
    for (paper, width, height) in [(Paper::A4, "210", "297"), (Paper::Letter, "215.9", "279.4")] {
        let sheet = sketch(&toy, &derive(&toy), SketchOptions { paper, ..SketchOptions::default() });
        let text = svg(&sheet, &sheet.pages[0]);
        let svg = Document::parse(&text).expect("well-formed XML");
        let root = svg.root_element();
        assert_eq!(root.attribute("width"), Some(format!("{width}mm").as_str()));
        assert_eq!(root.attribute("height"), Some(format!("{height}mm").as_str()));
        assert_eq!(root.attribute("viewBox"), Some(format!("0 0 {width} {height}").as_str()));
    }
}

/// Views against the report's sizes, which come from support functions of the solids and not from drawings. Leaning
/// round parts are drawn with 24 corners: a ring of radius r falls short by r·(1 − cos(π/24)), 0.9 % of r.
#[test]
fn the_views_are_as_large_as_the_report_says() {
    for (title, toy, derived) in all_samples() {
        let sheet = sketch(&toy, &derived, SketchOptions { top: true, ..SketchOptions::default() });
        let text = svg(&sheet, &sheet.pages[0]);
        let svg = Document::parse(&text).expect("well-formed XML");
        let size = derived.report.toy.size_mm.expect("samples are placed");
        let (x, y, z) = (size.x.value, size.y.value, size.z.value);
        for (view, wide, tall) in [("front", x, z), ("side", y, z), ("top", x, y)] {
            let found = yarn_extent(&toy, &group(&svg, view)).size();
            near(found.x, wide, 0.009 * wide, &format!("{title}, {view}, across"));
            near(found.y, tall, 0.009 * tall, &format!("{title}, {view}, up"));
        }
    }
}

/// Parts laid out, to the µm that the file is written in (times the scale).
#[test]
fn the_parts_are_as_large_as_the_report_says() {
    for (title, toy, derived) in all_samples() {
        let sheet = sketch(&toy, &derived, SketchOptions::default());
        let text = svg(&sheet, &sheet.pages[0]);
        let svg = Document::parse(&text).expect("well-formed XML");
        for (i, part) in derived.report.parts.iter().enumerate() {
            if derived.made.shapes[i].kind == ShapeKind::Disc {
                continue;
            }
            let found = yarn_extent(&toy, &group(&svg, &format!("part-{}", i + 1))).size();
            near(found.x, part.widest_mm.value, 0.02, &format!("{title}, {}, wide", part.name));
            near(found.y, part.length_mm.value, 0.02, &format!("{title}, {}, long", part.name));
        }
    }
}

/// The dimension lines beside the views are as long as what is written at them.
#[test]
fn dimension_lines_are_as_long_as_they_say() {
    let toy = sample("Puppet-booth crier");
    let derived = derive(&toy);
    let sheet = sketch(&toy, &derived, SketchOptions::default());
    let text = svg(&sheet, &sheet.pages[0]);
    let svg = Document::parse(&text).expect("well-formed XML");
    let scale: f64 = group(&svg, "front").attribute("data-scale").expect("a scale").parse().expect("a number");
    let lines: Vec<DVec2> = svg
        .descendants()
        .filter(|n| n.attribute("stroke").is_some() && n.parent().is_some_and(|p| p.attribute("id").is_none()))
        .map(|n| points(n.attribute("d").unwrap_or("")))
        .filter(|p| p.len() == 2)
        .map(|p| (p[1] - p[0]).abs() / scale)
        .collect();
    let size = derived.report.toy.size_mm.expect("it is placed");
    for (wanted, said) in [(DVec2::new(size.x.value, 0.0), "wide"), (DVec2::new(size.y.value, 0.0), "deep")] {
        assert!(lines.iter().any(|l| (*l - wanted).length() < 0.009 * wanted.x), "{said}: {wanted}");
    }
    let tall = DVec2::new(0.0, size.z.value);
    assert!(lines.iter().any(|l| (*l - tall).length() < 0.009 * tall.y), "tall: {tall}");
    let words: String = svg.descendants().filter_map(|n| n.text()).collect::<Vec<_>>().join("\n");
    assert!(words.contains(&format!("{:.0} mm", size.z.value)), "{words}");
    // 25.4 mm in an inch (international yard and pound agreement, 1959).
    assert!(words.contains(&format!("{:.1} in", size.z.value / 25.4)), "{words}");
}

/// The scale bars: black and white steps of whole cm and inches of the toy.
#[test]
fn the_scale_bars_are_true() {
    let toy = sample("Sea-wall bear");
    let sheet = sketch(&toy, &derive(&toy), SketchOptions::default());
    let text = svg(&sheet, &sheet.pages[0]);
    let svg = Document::parse(&text).expect("well-formed XML");
    let scale: f64 = group(&svg, "front").attribute("data-scale").expect("a scale").parse().expect("a number");
    let said = |unit: &str| -> f64 {
        let is_bar = |t: &&str| t.strip_suffix(unit).is_some_and(|n| n.parse::<u32>().is_ok());
        let mut all = svg.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).filter(is_bar);
        all.next().and_then(|t| t.strip_suffix(unit)).expect("a scale bar").parse().expect("a number")
    };
    let boxes: Vec<f64> = svg
        .descendants()
        .filter(|n| n.attribute("stroke").is_some())
        .map(|n| points(n.attribute("d").unwrap_or("")))
        .filter(|p| p.len() == 4 && ((p[2].y - p[0].y).abs() - 1.5).abs() < 1e-6)
        .map(|p| (p[2].x - p[0].x).abs() / scale)
        .collect();
    for length in [said(" cm") * 10.0, said(" in") * 25.4] {
        assert!(boxes.iter().any(|b| (b - length).abs() < 0.01), "{length} in {boxes:?}");
    }
}
