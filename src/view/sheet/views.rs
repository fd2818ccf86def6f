//! The toy from its sides for paper: outlines, plumb line and support, round lines that tell the yarns apart, lines
//! that count its height in heads.

use glam::{DVec2, DVec3};

use super::parts::yarn_dash;
use crate::measure::Derived;
use crate::toy::Toy;
use crate::view::elevation::{Elevation, Side};
use crate::view::ink::{Ink, line_on};
use crate::view::overlay::{Footing, Overlays, Subject, draw};
use crate::view::picture::{Extent, Item};
use crate::view::units::Units;

/// A view of the toy.
#[derive(Clone, Debug)]
pub(super) struct View {
    /// From where.
    pub side: Side,
    /// The picture and where parts lie in it.
    pub drawn: Elevation,
    /// The room the toy itself takes, mm; from its outlines alone.
    pub toy: Extent,
}

/// What the toy stands on, in the pose it is laid out in: its distances from the foot of the plumb line are kept.
pub(super) fn footing(derived: &Derived) -> Option<Footing> {
    let foot = DVec3::from_array(derived.report.toy.centre_of_mass_mm?).truncate();
    let standing = derived.standing.as_ref().filter(|s| !s.polygon.is_empty())?;
    Some(Footing { polygon: standing.polygon.iter().map(|p| *p - standing.foot + foot).collect() })
}

/// The toy from these sides; none where nothing is placed.
pub(super) fn views(toy: &Toy, derived: &Derived, sides: &[Side]) -> Vec<View> {
    let footing = footing(derived);
    let subject = Subject {
        toy,
        made: &derived.made,
        size_mm: derived.report.toy.size_mm.as_ref(),
        centre_of_mass_mm: derived.report.toy.centre_of_mass_mm.map(DVec3::from_array),
        footing: footing.as_ref(),
        heads_tall: None,
        chosen: None,
        spread: None,
        lean: None,
        suggested: None,
    };
    let overlays = Overlays { sizes: false, ..Overlays::default() };
    let each = sides.iter().filter_map(|side| {
        let mut drawn = draw(&subject, *side, overlays, Units::Metric, 1.0);
        let toy_extent = drawn.toy?;
        tell_yarns_apart(toy, &mut drawn);
        lift_plumb_line(&mut drawn);
        Some(View { side: *side, drawn, toy: toy_extent })
    });
    each.collect()
}

/// Round lines of the second yarn are dashed, of the third dotted, and so on: black and white tells them too.
fn tell_yarns_apart(toy: &Toy, drawn: &mut Elevation) {
    let inks: Vec<Ink> = toy.yarns.iter().map(|y| Ink::yarn(line_on(y.colour))).collect();
    for item in &mut drawn.picture.items {
        if let Item::Line { ink, dash_pt, closed: false, .. } = item
            && let Some(yarn) = inks.iter().position(|i| i == ink)
        {
            *dash_pt = yarn_dash(yarn);
        }
    }
}

/// Puts white under the plumb line and its marks: on dark yarn they show in black and white too.
fn lift_plumb_line(drawn: &mut Elevation) {
    let white = Ink::yarn([255, 255, 255]);
    let under = |item: &Item| match item {
        Item::Line { points, ink: Ink::PLUMB, width_pt, .. } => Some(Item::Line {
            points: points.clone(),
            closed: false,
            ink: white,
            width_pt: width_pt + 2.4,
            dash_pt: None,
        }),
        Item::Dot { at, radius_pt, ink: Ink::PLUMB } => {
            Some(Item::Dot { at: *at, radius_pt: radius_pt + 1.4, ink: white })
        }
        Item::Bob { tip, height_pt, ink: Ink::PLUMB } => {
            Some(Item::Bob { tip: *tip, height_pt: 1.25 * height_pt, ink: white })
        }
        _ => None,
    };
    let items = std::mem::take(&mut drawn.picture.items);
    drawn.picture.items = items.into_iter().flat_map(|item| [under(&item), Some(item)]).flatten().collect();
}

/// Heights of the lines a head apart, from the top of the toy down, mm; the last is the floor where it falls there.
pub(super) fn head_lines(heads_tall: f64, top_mm: f64) -> Vec<f64> {
    if !(heads_tall.is_finite() && heads_tall > 0.2) {
        return Vec::new();
    }
    let head = top_mm / heads_tall;
    (0..=(heads_tall + 1e-6).floor().min(20.0) as u32).map(|i| top_mm - head * f64::from(i)).collect()
}

/// The extent that holds the toy and its support.
pub(super) fn with_support(view: &View, footing: Option<&Footing>) -> Extent {
    let mut extent = view.toy;
    for p in footing.iter().flat_map(|f| &f.polygon) {
        let flat = view.side.flat(p.extend(0.0));
        extent = extent.with(if view.side == Side::Top { flat } else { DVec2::new(flat.x, 0.0) });
    }
    extent
}
