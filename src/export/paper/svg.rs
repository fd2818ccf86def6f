//! Sheets as SVG 1.1: true mm, real text, the fonts that the words need inside.

use std::collections::BTreeSet;
use std::fmt::Write;

use base64::Engine;
use glam::DVec2;

use crate::view::picture::Across;
use crate::view::sheet::letters::{FONTS, FontId, Weight, set};
use crate::view::sheet::lower::{Stroke, strokes};
use crate::view::sheet::{Page, Sheet};

/// A page of a sheet as an SVG file: the width and height in mm, a user unit 1 mm.
///
/// Each picture is a group with its name as `id` and `data-scale`, mm of paper to a mm of the toy.
pub fn svg(sheet: &Sheet, page: &Page) -> String {
    let strokes = strokes(page);
    let mut out = String::with_capacity(64 << 10);
    // Writing to a string cannot fail.
    let _ = write(&mut out, sheet, &strokes);
    out
}

fn write(out: &mut String, sheet: &Sheet, strokes: &[Stroke]) -> std::fmt::Result {
    let DVec2 { x: width, y: height } = sheet.size_mm;
    writeln!(out, r#"<?xml version="1.0" encoding="UTF-8"?>"#)?;
    writeln!(
        out,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">"#
    )?;
    writeln!(out, "<title>{}</title>", escaped(&sheet.title))?;
    fonts(out, strokes)?;
    writeln!(out, r##"<rect width="{width}" height="{height}" fill="#ffffff"/>"##)?;
    writeln!(out, r#"<g stroke-linecap="round" stroke-linejoin="round" fill="none">"#)?;
    let mut clips = 0;
    for stroke in strokes {
        match stroke {
            Stroke::Fill { outlines, colour } => {
                out.push_str("<path d=\"");
                for outline in outlines {
                    path(out, outline, true)?;
                }
                writeln!(out, r#"" {}/>"#, paint("fill", *colour))?;
            }
            Stroke::Line { points, closed, width, dash, colour } => {
                out.push_str("<path d=\"");
                path(out, points, *closed)?;
                write!(out, r#"" {} stroke-width="{}""#, paint("stroke", *colour), short(*width))?;
                if let Some((dash, gap)) = dash {
                    write!(out, r#" stroke-dasharray="{} {}""#, short(*dash), short(*gap))?;
                }
                writeln!(out, "/>")?;
            }
            Stroke::Circle { centre, radius, colour } => writeln!(
                out,
                r#"<circle cx="{}" cy="{}" r="{}" {}/>"#,
                short(centre.x),
                short(centre.y),
                short(*radius),
                paint("fill", *colour)
            )?,
            Stroke::Words { at, text, size, weight, across, colour } => {
                let anchor = match across {
                    Across::Left => "",
                    Across::Middle => r#" text-anchor="middle""#,
                    Across::Right => r#" text-anchor="end""#,
                };
                writeln!(
                    out,
                    r#"<text x="{}" y="{}" font-size="{}" font-family="{FAMILIES}"{}{anchor} {} xml:space="preserve">{}</text>"#,
                    short(at.x),
                    short(at.y),
                    short(*size),
                    if *weight == Weight::Strong { r#" font-weight="600""# } else { "" },
                    paint("fill", *colour),
                    escaped(text)
                )?;
            }
            Stroke::Begin { name, words, scale, clip } => {
                let mut clipped = String::new();
                if let Some(clip) = clip {
                    clips += 1;
                    let (low, size) = (clip.low, clip.size());
                    writeln!(
                        out,
                        r#"<clipPath id="clip-{clips}"><rect x="{}" y="{}" width="{}" height="{}"/></clipPath>"#,
                        short(low.x),
                        short(low.y),
                        short(size.x),
                        short(size.y)
                    )?;
                    clipped = format!(r#" clip-path="url(#clip-{clips})""#);
                }
                writeln!(out, r#"<g id="{name}" data-scale="{scale}"{clipped} role="img">"#)?;
                writeln!(out, "<title>{}</title>", escaped(words))?;
            }
            Stroke::End => writeln!(out, "</g>")?,
        }
    }
    writeln!(out, "</g>\n</svg>")
}

/// Families in the order letters are looked for.
const FAMILIES: &str = "Cabin, Noto Sans, Noto Sans Hebrew, Noto Sans Arabic, sans-serif";

/// The fonts that the words of the page need, whole, so that it looks the same on every machine.
fn fonts(out: &mut String, strokes: &[Stroke]) -> std::fmt::Result {
    let mut needed = BTreeSet::new();
    for stroke in strokes {
        if let Stroke::Words { text, weight, .. } = stroke {
            needed.extend(set(text, *weight).glyphs.iter().map(|g| g.font));
        }
    }
    writeln!(out, "<style>")?;
    for FontId(id) in needed {
        let Some(font) = FONTS.get(id) else { continue };
        let kind = if font.data.starts_with(b"OTTO") { "otf" } else { "ttf" };
        let data = base64::engine::general_purpose::STANDARD.encode(font.data);
        writeln!(
            out,
            "@font-face{{font-family:\"{}\";font-weight:{};src:url(data:font/{kind};base64,{data})}}",
            font.family, font.css_weight
        )?;
    }
    writeln!(out, "</style>")
}

fn paint(what: &str, colour: [u8; 4]) -> String {
    let [r, g, b, a] = colour;
    if a == 255 {
        format!(r##"{what}="#{r:02x}{g:02x}{b:02x}""##)
    } else {
        format!(r##"{what}="#{r:02x}{g:02x}{b:02x}" {what}-opacity="{:.3}""##, f64::from(a) / 255.0)
    }
}

/// A length in mm to the µm, as short as it can be written.
fn short(mm: f64) -> f64 {
    let rounded = (mm * 1000.0).round() / 1000.0;
    // No minus before a zero.
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn path(out: &mut String, points: &[DVec2], closed: bool) -> std::fmt::Result {
    for (i, p) in points.iter().enumerate() {
        write!(out, "{}{} {}", if i == 0 { "M" } else { "L" }, short(p.x), short(p.y))?;
    }
    if closed {
        out.push('Z');
    }
    Ok(())
}

/// Text for XML: what markup means is written out, what XML forbids becomes a blank.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\u{FFFE}' | '\u{FFFF}' => out.push(' '),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
