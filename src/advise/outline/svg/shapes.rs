//! The drawn lines of an SVG, in mm, y down.

use std::str::FromStr;

use kurbo::{Affine, BezPath, Ellipse, Rect, RoundedRect, RoundedRectRadii, Shape};
use roxmltree::Node;
use svgtypes::{
    Length, LengthUnit, PathParser, PathSegment, PointsParser, SimplePathSegment, SimplifyingPathParser, Transform,
};

use super::{Drawn, FARTHEST_MM, MOST_PIECES, PX_MM, Page, SvgError, line_of, mm_of, shortened};

/// Accuracy of round corners and circles as curves, in units of the drawing.
const ROUND: f64 = 1e-4;
/// Largest length that is a shape's: beyond it the making of a circle's curves never ends.
const MOST_UNITS: f64 = 1e12;

/// Every line drawn under the root, with the transforms of all groups around it.
pub(super) fn drawn(root: &Node<'_, '_>, page: &Page, notes: &mut Vec<String>) -> Result<Vec<Drawn>, SvgError> {
    let mut found = Vec::new();
    let mut left_out: Vec<&str> = Vec::new();
    // A stack of its own: files may nest deeper than the program's.
    let mut open: Vec<(Node<'_, '_>, Affine)> = vec![(*root, page.mm_from_user)];
    while let Some((node, around)) = open.pop() {
        let name = node.tag_name().name();
        let is_root = node == *root;
        if hidden(&node) {
            continue;
        }
        match name {
            "svg" if is_root => {}
            "g" | "a" | "switch" => {}
            "path" | "polyline" | "polygon" | "line" | "rect" | "circle" | "ellipse" => {}
            "defs" | "symbol" | "clipPath" | "mask" | "pattern" | "marker" | "metadata" | "style" | "title"
            | "desc" | "script" | "linearGradient" | "radialGradient" | "filter" | "namedview" => continue,
            other => {
                let known = ["use", "text", "image", "svg", "foreignObject"].into_iter().find(|k| *k == other);
                if let Some(known) = known.filter(|k| !left_out.contains(k)) {
                    left_out.push(known);
                }
                continue;
            }
        }
        let around = if is_root { around } else { around * transform(&node)? };
        match shape(&node, page)? {
            Some((path, is_page)) => {
                let path = around * path;
                let bounds = path.control_box();
                let far =
                    [bounds.x0, bounds.y0, bounds.x1, bounds.y1].iter().any(|x| x.is_nan() || x.abs() > FARTHEST_MM);
                if !path.is_finite() || (far && !path.elements().is_empty()) {
                    return Err(SvgError::Far { line: line_of(&node) });
                }
                let id = node.attribute("id").map(|id| format!(" \"{}\"", shortened(id))).unwrap_or_default();
                found.push(Drawn { path, at: node.range().start, name: format!("the {name}{id}"), page: is_page });
            }
            None => {
                // Last first, so that they are taken in their order.
                let children: Vec<_> = node.children().filter(Node::is_element).collect();
                open.extend(children.into_iter().rev().map(|child| (child, around)));
            }
        }
    }
    let what = left_out.iter().map(|n| format!("<{n}>")).collect::<Vec<_>>().join(", ");
    if found.is_empty() {
        let hint = if what.is_empty() {
            String::new()
        } else {
            format!("; {what} is not read as an outline: turn it into a path")
        };
        return Err(SvgError::Nothing { hint });
    }
    if !what.is_empty() {
        notes.push(format!("Not read: {what}."));
    }
    Ok(found)
}

/// Whether it is switched off.
fn hidden(node: &Node<'_, '_>) -> bool {
    let style = node.attribute("style").unwrap_or("");
    let off =
        style.split(';').filter_map(|s| s.split_once(':')).any(|(k, v)| k.trim() == "display" && v.trim() == "none");
    off || node.attribute("display").is_some_and(|d| d.trim() == "none")
}

fn transform(node: &Node<'_, '_>) -> Result<Affine, SvgError> {
    let Some(text) = node.attribute("transform") else { return Ok(Affine::IDENTITY) };
    let t = Transform::from_str(text).ok().filter(|t| [t.a, t.b, t.c, t.d, t.e, t.f].iter().all(|x| x.is_finite()));
    let t = t.ok_or_else(|| SvgError::Attribute {
        line: line_of(node),
        attribute: "transform",
        value: shortened(text),
        expected: "transforms such as translate(10 20)",
    })?;
    Ok(Affine::new([t.a, t.b, t.c, t.d, t.e, t.f]))
}

/// A length attribute in user units; a percentage is one of `whole`.
fn length(node: &Node<'_, '_>, attribute: &'static str, whole: f64) -> Result<Option<f64>, SvgError> {
    let Some(text) = node.attribute(attribute) else { return Ok(None) };
    let value = Length::from_str(text).ok().map(|l| match l.unit {
        LengthUnit::Percent => l.number / 100.0 * whole,
        LengthUnit::None | LengthUnit::Px => l.number,
        unit => l.number * mm_of(unit) / PX_MM,
    });
    match value.filter(|x| x.abs() <= MOST_UNITS) {
        Some(value) => Ok(Some(value)),
        None => {
            Err(SvgError::Attribute { line: line_of(node), attribute, value: shortened(text), expected: "a length" })
        }
    }
}

/// The path of a shape in its own units, and whether it is a rectangle as large as the page; `None` for a group.
fn shape(node: &Node<'_, '_>, page: &Page) -> Result<Option<(BezPath, bool)>, SvgError> {
    let (wide, high) = page.size;
    let diagonal = (0.5 * (wide * wide + high * high)).sqrt();
    let x = |attribute| length(node, attribute, wide);
    let y = |attribute| length(node, attribute, high);
    let mut path = BezPath::new();
    let mut is_page = false;
    match node.tag_name().name() {
        "path" => path = path_data(node)?,
        name @ ("polyline" | "polygon") => {
            for (x, y) in PointsParser::from(node.attribute("points").unwrap_or("")) {
                if path.elements().is_empty() {
                    path.move_to((x, y))
                } else {
                    path.line_to((x, y))
                }
                if path.elements().len() > MOST_PIECES {
                    return Err(SvgError::TooFine { line: line_of(node) });
                }
            }
            if name == "polygon" && !path.elements().is_empty() {
                path.close_path();
            }
        }
        "line" => {
            path.move_to((x("x1")?.unwrap_or(0.0), y("y1")?.unwrap_or(0.0)));
            path.line_to((x("x2")?.unwrap_or(0.0), y("y2")?.unwrap_or(0.0)));
        }
        "rect" => {
            let corner = (x("x")?.unwrap_or(0.0), y("y")?.unwrap_or(0.0));
            let size = (x("width")?.unwrap_or(0.0), y("height")?.unwrap_or(0.0));
            if size.0 > 0.0 && size.1 > 0.0 {
                let (rx, ry) = (x("rx")?, y("ry")?);
                let radius = rx.or(ry).unwrap_or(0.0).clamp(0.0, 0.5 * size.0.min(size.1));
                let rect = Rect::new(corner.0, corner.1, corner.0 + size.0, corner.1 + size.1);
                path = if radius > 0.0 {
                    RoundedRect::from_rect(rect, RoundedRectRadii::from_single_radius(radius)).to_path(ROUND * radius)
                } else {
                    rect.to_path(ROUND)
                };
                let near = |a: f64, b: f64| (a - b).abs() <= 0.01 * wide.min(high);
                is_page = near(corner.0, page.corner.0)
                    && near(corner.1, page.corner.1)
                    && near(size.0, wide)
                    && near(size.1, high);
            }
        }
        name @ ("circle" | "ellipse") => {
            let centre = (x("cx")?.unwrap_or(0.0), y("cy")?.unwrap_or(0.0));
            let radii = if name == "circle" {
                let r = length(node, "r", diagonal)?.unwrap_or(0.0);
                (r, r)
            } else {
                let (rx, ry) = (x("rx")?, y("ry")?);
                (rx.or(ry).unwrap_or(0.0), ry.or(rx).unwrap_or(0.0))
            };
            if radii.0 > 0.0 && radii.1 > 0.0 {
                path = Ellipse::new(centre, radii, 0.0).to_path(ROUND * radii.0.min(radii.1));
            }
        }
        _ => return Ok(None),
    }
    Ok(Some((path, is_page)))
}

/// Arcs that follow each other. Below, arcs without a length are passed over by recursion, one level for each.
const MOST_ARCS_ON_END: usize = 1_000;

/// Whether more arcs follow each other than are drawn by hand.
fn is_endless(path: &str) -> bool {
    let mut arcs = 0;
    PathParser::from(path).map_while(Result::ok).any(|segment| {
        arcs = if matches!(segment, PathSegment::EllipticalArc { .. }) { arcs + 1 } else { 0 };
        arcs > MOST_ARCS_ON_END
    })
}

fn path_data(node: &Node<'_, '_>) -> Result<BezPath, SvgError> {
    let mut path = BezPath::new();
    let text = node.attribute("d").unwrap_or("");
    if text.trim() == "none" {
        return Ok(path);
    }
    if is_endless(text) {
        return Err(SvgError::TooFine { line: line_of(node) });
    }
    let mut drawn = 0;
    for segment in SimplifyingPathParser::from(text) {
        let segment = segment.map_err(|_| SvgError::Attribute {
            line: line_of(node),
            attribute: "d",
            value: shortened(text),
            expected: "path commands such as M 0 0 L 10 20",
        })?;
        match segment {
            SimplePathSegment::MoveTo { x, y } => path.move_to((x, y)),
            _ if path.elements().is_empty() => continue,
            SimplePathSegment::LineTo { x, y } => path.line_to((x, y)),
            SimplePathSegment::CurveTo { x1, y1, x2, y2, x, y } => path.curve_to((x1, y1), (x2, y2), (x, y)),
            SimplePathSegment::Quadratic { x1, y1, x, y } => path.quad_to((x1, y1), (x, y)),
            SimplePathSegment::ClosePath => path.close_path(),
        }
        drawn += 1;
        if drawn > 4 * MOST_PIECES {
            return Err(SvgError::TooFine { line: line_of(node) });
        }
    }
    Ok(path)
}
