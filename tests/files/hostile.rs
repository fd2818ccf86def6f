//! Drawings that are made to exhaust whoever reads them: an outline or a plain error, with little memory and little
//! processor time. The window reads outlines by the same function (`advise::outline::read_svg_outline`).

use std::fmt::Write as _;
use std::path::PathBuf;
use std::process::{Command, Output};

use super::{err, out};

/// Address space that the program gets, kB.
const ROOM_KB: u32 = 1_000_000;
/// Processor time that it gets, seconds: no measure of speed, but the end of what would never end.
const MOST_S: u32 = 40;

const HEAD: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="90mm" viewBox="0 0 60 90">"#;
const HALF: &str = r#"<path d="M30 0 C55 0 60 30 55 50 C50 80 40 90 30 90"/>"#;

fn svg(inside: &str) -> Vec<u8> {
    format!("{HEAD}{inside}</svg>").into_bytes()
}

fn outline_of(bytes: &[u8], name: &str) -> Output {
    let folder = std::env::temp_dir().join(format!("toppleknot-hostile-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for drawings");
    let file: PathBuf = folder.join(format!("{}.svg", name.replace(' ', "-")));
    std::fs::write(&file, bytes).expect("written");
    let limited = format!("ulimit -v {ROOM_KB}; ulimit -t {MOST_S}; exec \"$0\" \"$@\"");
    let output = Command::new("sh")
        .args(["-c", &limited, env!("CARGO_BIN_EXE_toppleknot"), "outline"])
        .arg(&file)
        .output()
        .expect("the program starts");
    let _ = std::fs::remove_file(file);
    output
}

/// Refused in plain words that have this in them.
fn refused(name: &str, bytes: &[u8], says: &str) {
    let ran = outline_of(bytes, name);
    assert_eq!(ran.status.code(), Some(2), "{name}: {:?} {}", ran.status, err(&ran));
    assert!(err(&ran).contains(says) && err(&ran).len() < 2000, "{name}: {}", err(&ran));
}

fn answered(name: &str, bytes: &[u8]) {
    let ran = outline_of(bytes, name);
    assert_eq!(ran.status.code(), Some(0), "{name}: {:?} {}", ran.status, err(&ran));
    assert!(out(&ran).contains("Wanted") && out(&ran).len() < 100_000, "{name}: {}", out(&ran).len());
}

#[test]
fn entities_are_refused_whatever_they_stand_for() {
    let doctype = |inside: &str, text: &str| format!("<!DOCTYPE svg [{inside}]>{HEAD}{text}{HALF}</svg>").into_bytes();
    let mut laughs = r#"<!ENTITY a0 "ha">"#.to_owned();
    for i in 1..10 {
        let _ = write!(laughs, r#"<!ENTITY a{i} "{}">"#, format!("&a{};", i - 1).repeat(10));
    }
    let long = format!(r#"<!ENTITY a "{}">"#, "x".repeat(100_000));
    for (name, bytes) in [
        ("a billion laughs", doctype(&laughs, "<text>&a9;</text>")),
        ("quadratic blowup", doctype(&long, &format!("<text>{}</text>", "&a;".repeat(100_000)))),
        ("an external entity", doctype(r#"<!ENTITY a SYSTEM "file:///etc/passwd">"#, "<text>&a;</text>")),
        ("a parameter entity", doctype(r#"<!ENTITY % a SYSTEM "http://example.invalid/a.dtd"> %a;"#, "")),
        ("an entity in a path", doctype(r#"<!ENTITY a "M0 0">"#, r#"<path d="&a;"/>"#)),
    ] {
        refused(name, &bytes, "it declares entities");
    }
    refused("an entity that is not declared", &svg("<text>&bomb;</text>"), "expected SVG");
    // What older drawing programs write: it names a file that nobody fetches.
    let public =
        r#"<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">"#;
    answered("a document type", format!("{public}{HEAD}{HALF}</svg>").as_bytes());
}

#[test]
fn what_is_no_plain_svg_is_refused() {
    let utf_16: Vec<u8> = format!("\u{FEFF}{HEAD}{HALF}</svg>").encode_utf16().flat_map(u16::to_le_bytes).collect();
    refused("UTF-16", &utf_16, "UTF-8");
    // RFC 1952, section 2.3.1: a gzip file begins with 31, 139.
    let mut gzip = vec![0x1F, 0x8B, 8, 0, 0, 0, 0, 0, 0, 3];
    gzip.extend(miniz_oxide::deflate::compress_to_vec(&vec![b' '; 20 << 20], 9));
    refused("compressed", &gzip, "not compressed");
    refused("nothing", b"", "expected SVG");
    refused("another kind", b"<html><body/></html>", "expected <svg>");
    refused("too large", &svg(&" ".repeat(10 << 20)), "larger than 10 MB");
    refused("half a file", &svg(HALF)[..120], "expected SVG");
    let picture = format!(r#"<image width="60" height="90" href="data:image/png;base64,{}"/>"#, "A".repeat(5 << 20));
    refused("an embedded picture alone", &svg(&picture), "<image> is not read");
    answered("an embedded picture beside it", &svg(&format!("{picture}{HALF}")));
}

#[test]
fn numbers_beyond_all_bounds_are_refused() {
    let path = |d: &str| svg(&format!("<path d=\"{d}\"/>"));
    refused("endless", &path("M0 0 L1e400 50 L0 90"), "expected");
    refused("the largest number", &path("M0 0 L1.7e308 50 L0 90"), "reaches beyond");
    refused("no number", &path("M0 0 LNaN 50 L0 90"), "path commands");
    refused("infinity", &path("M0 0 Linfinity 50 L0 90"), "path commands");
    refused("a page without end", svg_sized("1e300mm").as_slice(), "width");
    refused("a page of nothing", svg_sized("0mm").as_slice(), "width");
    refused("a circle without end", &svg(r#"<circle cx="1" cy="1" r="1e200"/>"#), "r=\"1e200\" cannot be read");
    refused("a wide circle", &svg(r#"<circle cx="1" cy="1" r="1e11"/>"#), "reaches beyond");
    refused("a flat ellipse", &svg(r#"<ellipse cx="1" cy="1" rx="1e11" ry="1e-11"/>"#), "reaches beyond");
    refused("a round rectangle", &svg(r#"<rect width="1e11" height="1e11" rx="1e10"/>"#), "reaches beyond");
    refused("digits", &path(&format!("M0 0 L{} 50 L0 90", "9".repeat(1 << 20))), "expected");
    let nested = format!("{}{HALF}{}", r#"<g transform="scale(10)">"#.repeat(400), "</g>".repeat(400));
    refused("scales in scales", &svg(&nested), "reaches beyond");
    let shrunk = format!("{}{HALF}{}", r#"<g transform="scale(.1)">"#.repeat(400), "</g>".repeat(400));
    refused("scales to nothing", &svg(&shrunk), "expected");
    let list = "scale(1) ".repeat(200_000);
    answered("a long transform", &svg(&format!("<g transform=\"{list}\">{HALF}</g>")));
}

fn svg_sized(width: &str) -> Vec<u8> {
    format!(r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="90mm" viewBox="0 0 60 90">{HALF}</svg>"#)
        .into_bytes()
}

#[test]
fn endless_lines_are_refused() {
    let line: String = (0..1_000_000).fold("M30 0".to_owned(), |mut line, i| {
        let _ = write!(line, "L{} {}", 31 + i % 9, i % 90);
        line
    });
    refused("a million pieces", &svg(&format!("<path d=\"{line}\"/>")), "over 50000 pieces");
    let points: String = (0..1_000_000).map(|i| format!("{},{} ", 31 + i % 9, i % 90)).collect();
    refused("a million points", &svg(&format!("<polyline points=\"{points}\"/>")), "over 50000 pieces");
    // Each of these would take thousands of points.
    let curves = "C-400000 400000 900000 800000 1 1".repeat(49_000);
    refused("curves without end", &svg(&format!("<path d=\"M0 0{curves}\"/>")), "expected");
    let arcs = "A3000 3000 0 1 1 1 1 ".repeat(10_000);
    refused("arcs without end", &svg(&format!("<path d=\"M0 0{arcs}\"/>")), "expected");
    let circles = "A1 1 0 0 1 2 0A1 1 0 0 1 0 0".repeat(450);
    answered("nine hundred arcs", &svg(&format!("<path d=\"M0 0{circles}\"/>{HALF}")));
    // As fine as may be: 49,000 steps up the wall.
    let wall: String = (1..49_000).fold("M0 0 L20 0".to_owned(), |mut wall, i| {
        let _ = write!(wall, "L{} {:.4}", 20 + i % 2, f64::from(i) * 90.0 / 49_000.0);
        wall
    });
    let ran = outline_of(&svg(&format!("<path d=\"{wall}L0 90\"/>")), "a fine wall");
    assert!(matches!(ran.status.code(), Some(0 | 2)), "{:?} {}", ran.status, err(&ran));
}

#[test]
fn endless_elements_are_refused_or_read() {
    let deep = |n: usize, inside: &str| svg(&format!("{}{inside}{}", "<g>".repeat(n), "</g>".repeat(n)));
    for n in [1_000, 100_000] {
        let ran = outline_of(&deep(n, HALF), "groups in groups");
        assert!(matches!(ran.status.code(), Some(0 | 2)), "{n}: {:?} {}", ran.status, err(&ran));
    }
    refused("unclosed groups", &svg(&"<g>".repeat(1_000_000)), "expected SVG");
    refused("uses of itself", &svg(r##"<use id="a" href="#a"/><g id="b"><use href="#b"/></g>"##), "<use> is not read");
    refused("a million elements", &svg(&"<g/>".repeat(1_000_000)), "expected SVG");
    let small = r#"<path d="M1 1L2 2"/>"#;
    answered("many shapes", &svg(&format!("{}{HALF}", small.repeat(190_000))));
    answered("many shapes on lines", &svg(&format!("{}{HALF}", format!("{small}\n").repeat(90_000))));
    let page = r#"<rect width="60" height="90"/>"#;
    answered("many pages", &svg(&format!("{}{HALF}", page.repeat(190_000))));
    answered("many pieces in one", &svg(&format!("<path d=\"{}\"/>{HALF}", "M1 1L2 2".repeat(49_000))));
    let attributes: String = (0..400_000).map(|i| format!(" a{i}=\"\"")).collect();
    refused("attributes", &svg(&format!("<g{attributes}/>{HALF}")), "line 1: an element has over 5000 attributes");
    let spaces: String = (0..150_000).map(|i| format!(" xmlns:a{i}=\"b{i}\"")).collect();
    refused("namespaces", &svg(&format!("<g{spaces}/>{HALF}")), "line 1: an element has over 5000 attributes");
    let style = format!("<path style=\"{}\" d=\"M0 0\"/>{HALF}", "a:b;".repeat(1_000_000));
    answered("a long style", &svg(&style));
}
