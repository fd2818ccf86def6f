//! A half outline from a drawing in SVG.
//!
//! Lengths are those of the drawing's own `width`, `height` and `viewBox`; a plain number is a CSS pixel, 1/96 inch
//! (CSS Values and Units, level 3, section 5.2). Paths, polylines, polygons, rectangles, circles, ellipses and lines
//! are read, with the transforms of all groups around them; the largest of them is the outline. An open one is half
//! an outline, its axis through an end; a closed one is whole, symmetric about its vertical middle. y of a drawing
//! points down, heights of a part up.

mod half_of;
mod shapes;

use glam::DVec2;
use kurbo::{Affine, BezPath, Shape};
use roxmltree::{Document, Node, ParsingOptions};
use std::str::FromStr;
use svgtypes::{Align, AspectRatio, Length, LengthUnit, ViewBox};

use super::half::{HalfError, HalfOutline};

/// Largest drawing that is read, bytes.
pub const MOST_SVG_BYTES: usize = 10 << 20;
/// Most elements that are read.
const MOST_ELEMENTS: u32 = 200_000;
/// Attributes of one element.
const MOST_ATTRIBUTES: usize = 5_000;
/// Most pieces of the outline's path.
const MOST_PIECES: usize = 50_000;
/// Most points of the outline's curves.
const MOST_POINTS: usize = 1_000_000;
/// Largest coordinate, mm: the largest outline somewhere on a large page.
const FARTHEST_MM: f64 = 1e6;
/// Points are nowhere farther from the curve, mm, but for drawings larger than 50 m.
const ACCURACY_MM: f64 = 0.01;
/// CSS pixels: 96 an inch.
const PX_MM: f64 = 25.4 / 96.0;

/// What the drawing does not say.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SvgOptions {
    /// Distance of the axis from the left edge of the page, mm; from the outline itself where not said.
    pub axis_mm: Option<f64>,
    /// The end that is worked first; a closed end before an open one, a flat one before a round one, else the lower
    /// one where not said.
    pub start: Option<SvgEnd>,
}

/// An end of a drawn outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SvgEnd {
    /// The upper one on the page.
    Top,
    /// The lower one.
    Bottom,
}

/// A half outline from a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct SvgOutline {
    /// The outline, from its start.
    pub half: HalfOutline,
    /// The end of the drawing that is its start.
    pub start: SvgEnd,
    /// The drawn outline was a closed one.
    pub closed: bool,
    /// What was decided and what was left out, in plain sentences.
    pub notes: Vec<String>,
}

/// Why a drawing has no half outline. Lines and columns are counted from 1.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SvgError {
    /// Too many bytes.
    #[error("larger than {} MB, which no outline is. Save only the outline, without pictures", MOST_SVG_BYTES >> 20)]
    TooLarge,
    /// Not UTF-8.
    #[error("byte {at}: not a text; expected SVG in UTF-8. Save it as plain SVG, not compressed")]
    NotText {
        /// The first byte that is wrong, from 1.
        at: usize,
    },
    /// It declares entities, which can make a small file endless.
    #[error("line {line}: it declares entities; expected plain SVG. Save it as plain SVG, without a document type")]
    Entities {
        /// Where.
        line: usize,
    },
    /// One of its elements has more attributes than any drawing needs; comparing each with all takes for ever.
    #[error(
        "line {line}: an element has over {MOST_ATTRIBUTES} attributes; expected a drawing. Save it as plain SVG again"
    )]
    Attributes {
        /// Line of the element's beginning, from 1.
        line: usize,
    },
    /// Not XML.
    #[error("{why}; expected SVG. Save the drawing as plain SVG again")]
    NotXml {
        /// What is wrong and where.
        why: String,
    },
    /// XML of another kind.
    #[error("line 1: the file is <{name}>; expected <svg>. Save the drawing as plain SVG")]
    NotSvg {
        /// Name of its outermost element.
        name: String,
    },
    /// An attribute that cannot be understood.
    #[error(
        "line {line}: {attribute}=\"{value}\" cannot be read; expected {expected}. Save the drawing as plain SVG again"
    )]
    Attribute {
        /// Where.
        line: u32,
        /// Its name.
        attribute: &'static str,
        /// What is there, shortened.
        value: String,
        /// What should be.
        expected: &'static str,
    },
    /// Nothing drawn.
    #[error(
        "no outline in it; expected a path, polyline, polygon, rectangle, circle or ellipse. Draw half the outline as one path{hint}"
    )]
    Nothing {
        /// What was there instead.
        hint: String,
    },
    /// Coordinates beyond all bounds.
    #[error(
        "line {line}: the outline reaches beyond {FARTHEST_MM:.0} mm; expected a drawing in true size. Set its width and height in mm"
    )]
    Far {
        /// Where.
        line: u32,
    },
    /// Too many pieces, or curves that are too long for them.
    #[error(
        "line {line}: the outline has over {MOST_PIECES} pieces, or far too long ones; expected a drawn line. Simplify the path"
    )]
    TooFine {
        /// Where.
        line: u32,
    },
    /// A closed outline whose halves differ.
    #[error(
        "line {line}: the two halves of the closed outline differ by up to {by_mm:.1} mm; expected one symmetric about its vertical middle. Mirror one half, or leave it open and draw one half only"
    )]
    Lopsided {
        /// Where.
        line: u32,
        /// By how much, mm.
        by_mm: f64,
    },
    /// A closed outline that crosses its middle more than twice.
    #[error(
        "line {line}: the outline crosses its axis {times} times; expected once at each end. Draw each part as an outline of its own"
    )]
    CrossesAxis {
        /// Where.
        line: u32,
        /// How often.
        times: usize,
    },
    /// An open outline with no end on an axis.
    #[error(
        "line {line}: it does not show where the axis is: neither end of the open outline is its innermost place. Draw it from the axis, or say the axis, in mm from the left edge of the page"
    )]
    NoAxis {
        /// Where.
        line: u32,
    },
    /// What it gives is no half outline.
    #[error("line {line}: {error}")]
    Half {
        /// Where.
        line: u32,
        /// Why.
        error: HalfError,
    },
}

/// A drawn line in mm, y down, and where it stands in the file.
struct Drawn {
    path: BezPath,
    /// Byte of the file. Which line that is in is counted for the one that is taken alone: counting takes as long as
    /// the file.
    at: usize,
    name: String,
    /// A rectangle as large as the page.
    page: bool,
}

/// The half outline in an SVG drawing, where the axis and which end is the start follow from the drawing itself.
///
/// # Errors
/// When it is no SVG, asks for too much, or has no outline; the error names place, expectation and remedy.
pub fn read_svg_outline(bytes: &[u8]) -> Result<SvgOutline, SvgError> {
    read_svg_outline_with(bytes, &SvgOptions::default())
}

/// As [`read_svg_outline`], with what the drawing does not say.
///
/// # Errors
/// As [`read_svg_outline`].
pub fn read_svg_outline_with(bytes: &[u8], options: &SvgOptions) -> Result<SvgOutline, SvgError> {
    if bytes.len() > MOST_SVG_BYTES {
        return Err(SvgError::TooLarge);
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let text = std::str::from_utf8(bytes).map_err(|e| SvgError::NotText { at: e.valid_up_to() + 1 })?;
    if let Some(at) = text.find("<!ENTITY") {
        return Err(SvgError::Entities { line: text[..at].matches('\n').count() + 1 });
    }
    if let Some(line) = crowded(text) {
        return Err(SvgError::Attributes { line });
    }
    let parsing = ParsingOptions { allow_dtd: true, nodes_limit: MOST_ELEMENTS, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, parsing).map_err(|e| SvgError::NotXml { why: e.to_string() })?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(SvgError::NotSvg { name: root.tag_name().name().chars().take(40).collect() });
    }
    let mut notes = Vec::new();
    let page = Page::of(&root, &mut notes)?;
    let drawn = shapes::drawn(&root, &page, &mut notes)?;
    let line = |at: usize| document.text_pos_at(at).row;
    let (outline, points, closed) = largest(drawn, &line, &mut notes)?;
    half_of::half_of(&points, closed, line(outline.at), options, notes)
}

/// The line of the first element with too many attributes, from 1. A `<` stands in no value, so that what is between two
/// of them holds all attributes of the first.
fn crowded(text: &str) -> Option<usize> {
    let mut line = 1;
    for element in text.split('<') {
        if element.split('=').skip(1).filter(|v| v.trim_start().starts_with(['"', '\''])).count() > MOST_ATTRIBUTES {
            return Some(line);
        }
        line += element.matches('\n').count();
    }
    None
}

/// The page: its size in the drawing's units, and how they become mm.
struct Page {
    mm_from_user: Affine,
    /// Width, height in user units.
    size: (f64, f64),
    /// Where its corner is, user units.
    corner: (f64, f64),
}

/// An attribute as it is shown in an error.
fn shortened(value: &str) -> String {
    value.chars().take(40).collect()
}

fn line_of(node: &Node<'_, '_>) -> u32 {
    node.document().text_pos_at(node.range().start).row
}

impl Page {
    fn of(root: &Node<'_, '_>, notes: &mut Vec<String>) -> Result<Page, SvgError> {
        let wrong = |attribute: &'static str, expected: &'static str| SvgError::Attribute {
            line: line_of(root),
            attribute,
            value: shortened(root.attribute(attribute).unwrap_or("")),
            expected,
        };
        let view = match root.attribute("viewBox") {
            Some(text) => {
                Some(ViewBox::from_str(text).map_err(|_| wrong("viewBox", "four numbers, the last two above 0"))?)
            }
            None => None,
        };
        let side = |attribute: &'static str| -> Result<Option<f64>, SvgError> {
            let Some(text) = root.attribute(attribute) else { return Ok(None) };
            let length = Length::from_str(text).map_err(|_| wrong(attribute, "a length such as 120mm"))?;
            if matches!(length.unit, LengthUnit::Percent | LengthUnit::Em | LengthUnit::Ex) {
                return Ok(None);
            }
            let mm = length.number * mm_of(length.unit);
            let sound = mm.is_finite() && mm > 1e-3 && mm < FARTHEST_MM;
            if sound { Ok(Some(mm)) } else { Err(wrong(attribute, "a length above 0 and below 1 km")) }
        };
        let (width, height) = (side("width")?, side("height")?);
        let Some(view) = view else {
            let px = |mm: Option<f64>| mm.map_or(f64::INFINITY, |mm| mm / PX_MM);
            if width.is_none() {
                notes.push("The drawing states no size; its units are taken as CSS pixels, 96 to the inch.".to_owned());
            }
            return Ok(Page { mm_from_user: Affine::scale(PX_MM), size: (px(width), px(height)), corner: (0.0, 0.0) });
        };
        let sound = [view.x, view.y, view.w, view.h].iter().all(|x| x.abs() < 1e12) && view.w.min(view.h) > 1e-12;
        if !sound {
            return Err(wrong("viewBox", "four numbers of a usual size"));
        }
        let aspect = match root.attribute("preserveAspectRatio") {
            Some(text) => {
                AspectRatio::from_str(text).map_err(|_| wrong("preserveAspectRatio", "xMidYMid meet or the like"))?
            }
            None => AspectRatio { defer: false, align: Align::XMidYMid, slice: false },
        };
        let (x, y) = match (width, height) {
            (Some(width), Some(height)) => {
                let (x, y) = (width / view.w, height / view.h);
                match aspect {
                    AspectRatio { align: Align::None, .. } => (x, y),
                    AspectRatio { slice: true, .. } => (x.max(y), x.max(y)),
                    AspectRatio { slice: false, .. } => (x.min(y), x.min(y)),
                }
            }
            (Some(width), None) => (width / view.w, width / view.w),
            (None, Some(height)) => (height / view.h, height / view.h),
            (None, None) => {
                notes.push("The drawing states no size; its units are taken as CSS pixels, 96 to the inch.".to_owned());
                (PX_MM, PX_MM)
            }
        };
        let mm_from_user = Affine::scale_non_uniform(x, y) * Affine::translate((-view.x, -view.y));
        Ok(Page { mm_from_user, size: (view.w, view.h), corner: (view.x, view.y) })
    }
}

/// mm in a unit; percentages and font sizes are no lengths of their own.
fn mm_of(unit: LengthUnit) -> f64 {
    match unit {
        LengthUnit::Mm => 1.0,
        LengthUnit::Cm => 10.0,
        LengthUnit::In => 25.4,
        LengthUnit::Pt => 25.4 / 72.0,
        LengthUnit::Pc => 25.4 / 6.0,
        LengthUnit::None | LengthUnit::Px | LengthUnit::Em | LengthUnit::Ex | LengthUnit::Percent => PX_MM,
    }
}

/// The largest of the drawn lines, by the diagonal of its box, as points.
fn largest(
    drawn: Vec<Drawn>,
    line: &dyn Fn(usize) -> u32,
    notes: &mut Vec<String>,
) -> Result<(Drawn, Vec<DVec2>, bool), SvgError> {
    let only_page = drawn.iter().all(|d| d.page);
    if !only_page && drawn.iter().any(|d| d.page) {
        notes.push("A rectangle as large as the page is left out as its background.".to_owned());
    }
    let mut lines: Vec<(Drawn, f64)> = Vec::new();
    for whole in drawn {
        if whole.page && !only_page {
            continue;
        }
        for piece in whole.path.subpaths() {
            let path = BezPath::from_vec(piece.to_vec());
            let size = path.control_box().size().to_vec2().hypot();
            if size > 0.0 {
                lines.push((Drawn { path, at: whole.at, name: whole.name.clone(), page: whole.page }, size));
            }
        }
    }
    let number = lines.len();
    let Some((drawn, _)) = lines.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)) else {
        return Err(SvgError::Nothing { hint: String::new() });
    };
    if number > 1 {
        notes.push(format!("Of {number} lines the largest is taken: {} in line {}.", drawn.name, line(drawn.at)));
    }
    if drawn.path.elements().len() > MOST_PIECES {
        return Err(SvgError::TooFine { line: line(drawn.at) });
    }
    let size = drawn.path.bounding_box().size().to_vec2().hypot();
    let points = super::starts::flattened(&drawn.path, ACCURACY_MM.max(2e-7 * size), MOST_POINTS);
    if points.len() > MOST_POINTS {
        return Err(SvgError::TooFine { line: line(drawn.at) });
    }
    let ends = points.first().zip(points.last()).map_or(0.0, |(a, b)| a.distance(*b));
    let closed = drawn.path.elements().iter().any(|e| matches!(e, kurbo::PathEl::ClosePath)) || ends < 2e-3 * size;
    Ok((drawn, points, closed))
}
