//! What is drawn around and over the flat toy: floor, plumb line and support, sizes, scale bar, the outline
//! before stuffing.

use glam::{DVec2, DVec3};

use super::elevation::Chosen;
use super::elevation::{Elevation, Side, before_stuffing, elevation};
use super::give_take::give_take;
use super::ink::Ink;
use super::picture::{Across, Extent, Item, Upright};
use super::rose::{Lean, rose};
use super::units::Units;
use crate::measure::report::SizeMm;
use crate::measure::{Made, OutlineSpread};
use crate::toy::Toy;

/// What the toy stands on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Footing {
    /// Its corners on the floor in order, x and y of the toy's frame, mm.
    pub polygon: Vec<DVec2>,
}

/// What is shown beside the toy itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Overlays {
    /// Dimension lines and a scale bar.
    pub sizes: bool,
    /// The plumb line with what it falls on.
    pub plumb: bool,
    /// The outline before stuffing, dashed.
    pub before_stuffing: bool,
    /// Lines that count the toy's height in heads.
    pub heads: bool,
    /// How far the outline may move.
    pub give_take: bool,
    /// How far it leans before it falls, all around, over the view from above.
    pub rose: bool,
}

impl Default for Overlays {
    fn default() -> Self {
        Overlays { sizes: true, plumb: true, before_stuffing: false, heads: false, give_take: false, rose: false }
    }
}

/// Everything a flat picture follows from.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The toy.
    pub toy: &'a Toy,
    /// The toy as made.
    pub made: &'a Made,
    /// Its size with give or take.
    pub size_mm: Option<&'a SizeMm>,
    /// Its centre of mass, mm.
    pub centre_of_mass_mm: Option<DVec3>,
    /// What it stands on.
    pub footing: Option<&'a Footing>,
    /// How many heads tall it is.
    pub heads_tall: Option<f64>,
    /// What is chosen.
    pub chosen: Option<Chosen>,
    /// How far outlines may move.
    pub spread: Option<&'a OutlineSpread>,
    /// How far it leans before it falls.
    pub lean: Option<&'a Lean>,
    /// Outlines of a toy that could be, as this side shows them, mm.
    pub suggested: Option<&'a [Vec<DVec2>]>,
}

/// Height of words in a picture, points.
pub(super) const WORDS_PT: f64 = 12.5;
/// Height of the plumb line's weight, points.
const BOB_PT: f64 = 17.0;

/// Points to the mm at which the toy of this size fits a view of this many points, with what stands around it.
pub fn pt_per_mm(size_mm: &SizeMm, side: Side, overlays: Overlays, room_pt: DVec2) -> f64 {
    let (x, y, z) = (size_mm.x.value, size_mm.y.value, size_mm.z.value);
    let size = match side {
        Side::Front => DVec2::new(x, z),
        Side::Left => DVec2::new(y, z),
        Side::Top => DVec2::new(x, y),
    };
    let mut free = room_pt - if overlays.sizes { DVec2::new(44.0, 86.0) } else { DVec2::splat(20.0) };
    free.y -= LEGEND_PT * f64::from(u8::from(overlays.give_take) + u8::from(overlays.before_stuffing));
    if side == Side::Top && overlays.rose {
        // In a narrow view the rose's words may run out of it: the toy comes first.
        free -= DVec2::new(60.0, 50.0).min(0.25 * room_pt);
    }
    (free.x / (1.2 * size.x).max(1.0)).min(free.y / size.y.max(1.0)).max(0.05)
}

/// The toy from one side with all that is asked for, laid out for a paper (or a view) that shows it at about this
/// scale: what has a fixed size in points, such as words, keeps clear of each other there.
pub fn draw(subject: &Subject, side: Side, overlays: Overlays, units: Units, pt_per_mm: f64) -> Elevation {
    let mut drawn = elevation(subject.toy, subject.made, side, subject.chosen);
    let Some(toy) = drawn.toy else { return drawn };
    let reach = toy.size().max_element().max(1.0);
    if side == Side::Top {
        // From above the support lies under the toy.
        if let Some(footing) = subject.footing.filter(|f| overlays.plumb && f.polygon.len() > 2) {
            let corners: Vec<DVec2> = footing.polygon.iter().map(|p| side.flat(p.extend(0.0))).collect();
            drawn.picture.items.insert(0, Item::Fill { points: corners.clone(), ink: Ink::SUPPORT_FILL });
            drawn.picture.outline(corners, Ink::SUPPORT_LINE, 2.0);
        }
    } else {
        floor(&mut drawn, toy, reach);
    }
    if overlays.before_stuffing {
        for line in before_stuffing(subject.made, side) {
            drawn.picture.dashed(line, Ink::BEFORE, 1.6, (5.0, 4.0));
        }
    }
    if let Some(heads) = subject.heads_tall.filter(|h| overlays.heads && side != Side::Top && *h > 0.2) {
        count_heads(&mut drawn, toy, heads);
    }
    // Dimension lines keep clear of what lies around the toy.
    let mut around = toy;
    let mut legend: Vec<Key> = Vec::new();
    if let Some(spread) = subject.spread.filter(|_| overlays.give_take) {
        around = around.joined(give_take(&mut drawn, subject.made, spread, side));
        legend.push(Key::GiveTake);
    }
    if overlays.before_stuffing {
        legend.push(Key::Before);
    }
    if let Some(lines) = subject.suggested {
        around = lines.iter().fold(around, |around, line| around.joined(Extent::of(line)));
        drawn.picture.extent = drawn.picture.extent.joined(around);
        for line in lines {
            drawn.picture.line(line.clone(), Ink::PAPER.faded(190), 4.5);
            drawn.picture.dashed(line.clone(), Ink::SUGGESTED, 2.2, SUGGESTED_DASH_PT);
        }
        legend.push(Key::Suggested);
    }
    if let Some((lean, centre)) =
        subject.lean.zip(subject.centre_of_mass_mm).filter(|_| overlays.rose && side == Side::Top)
    {
        let (foot, rim_mm) = (side.flat(centre), (0.6 * reach).max(60.0 / pt_per_mm));
        rose(&mut drawn, lean, foot, rim_mm, pt_per_mm);
        around = around.joined(Extent { low: foot - rim_mm, high: foot + rim_mm });
        around.low.y = around.low.y.min(drawn.picture.extent.low.y);
    }
    if overlays.plumb {
        plumb(&mut drawn, subject, side);
    }
    if overlays.sizes {
        sizes(&mut drawn, subject, side, (toy, around), pt_per_mm, units);
    }
    keys(&mut drawn, toy, &legend, pt_per_mm);
    drawn
}

/// Height of a line of the legend, points.
const LEGEND_PT: f64 = 16.0;

/// Dashes of a suggested outline and the gaps after them, points.
const SUGGESTED_DASH_PT: (f64, f64) = (9.0, 4.0);

/// What a line of the legend explains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Key {
    GiveTake,
    Before,
    Suggested,
}

/// The legend, above the toy: a sample of each mark and its words.
fn keys(drawn: &mut Elevation, toy: Extent, legend: &[Key], pt_per_mm: f64) {
    let pt = |points: f64| points / pt_per_mm;
    let picture = &mut drawn.picture;
    let mut y = picture.extent.high.y + pt(6.0);
    for key in legend.iter().rev() {
        let words = match key {
            Key::GiveTake => "give or take",
            Key::Before => "before stuffing",
            Key::Suggested => "as suggested",
        };
        let long = pt(26.0 + 6.4 * words.len() as f64);
        let from = DVec2::new(toy.centre().x - long / 2.0, y + pt(LEGEND_PT / 2.0));
        let to = from + DVec2::new(pt(20.0), 0.0);
        match key {
            Key::GiveTake => {
                let half = DVec2::new(0.0, pt(4.0));
                picture.fill(vec![from - half, to - half, to + half, from + half], Ink::SPREAD);
                picture.line(vec![from + half, to + half], Ink::SPREAD_LINE, 1.2);
                picture.dashed(vec![from - half, to - half], Ink::SPREAD_LINE, 1.2, (4.0, 3.0));
            }
            Key::Before => picture.dashed(vec![from, to], Ink::BEFORE, 1.6, (5.0, 4.0)),
            Key::Suggested => picture.dashed(vec![from, to], Ink::SUGGESTED, 2.2, SUGGESTED_DASH_PT),
        }
        let at = to + DVec2::new(pt(6.0), 0.0);
        picture.text(at, words, Ink::NOTE, WORDS_PT, (Across::Left, Upright::Middle));
        y += pt(LEGEND_PT);
        picture.extent = picture.extent.with(DVec2::new(from.x, y)).with(from + DVec2::new(long, 0.0));
        picture.words.push_str(&format!("; {words} shown"));
    }
}

fn floor(drawn: &mut Elevation, toy: Extent, reach: f64) {
    let (left, right) = (toy.low.x - 0.12 * reach, toy.high.x + 0.12 * reach);
    let line = Item::Line {
        points: vec![DVec2::new(left, 0.0), DVec2::new(right, 0.0)],
        closed: false,
        ink: Ink::FAINT,
        width_pt: 1.4,
        dash_pt: None,
    };
    drawn.picture.items.insert(0, line);
    drawn.picture.extent = drawn.picture.extent.with(DVec2::new(left, 0.0)).with(DVec2::new(right, -0.05 * reach));
}

/// The picture's signature: a line falls from the centre of mass to the floor, where the support is drawn as a
/// bar; as long as its tip hangs over the bar, the toy stands.
fn plumb(drawn: &mut Elevation, subject: &Subject, side: Side) {
    let Some(centre) = subject.centre_of_mass_mm else { return };
    let at = side.flat(centre);
    let picture = &mut drawn.picture;
    if side != Side::Top {
        let foot = side.flat(DVec3::new(centre.x, centre.y, 0.0));
        if let Some(footing) = subject.footing.filter(|f| !f.polygon.is_empty()) {
            let along = footing.polygon.iter().map(|p| side.flat(p.extend(0.0)).x);
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
            let (low, high) = (DVec2::new(low, 0.0), DVec2::new(high, 0.0));
            picture.line(vec![low, high], Ink::SUPPORT_LINE, 5.0);
            for end in [low, high] {
                picture.items.push(Item::Dot { at: end, radius_pt: 4.0, ink: Ink::SUPPORT_LINE });
            }
        }
        picture.line(vec![at, foot], Ink::PLUMB, 1.8);
        picture.items.push(Item::Bob { tip: foot, height_pt: BOB_PT, ink: Ink::PLUMB });
    }
    picture.items.push(Item::Dot { at, radius_pt: 5.5, ink: Ink::PLUMB });
    picture.items.push(Item::Dot {
        at,
        radius_pt: 2.2,
        ink: Ink { light: [255, 255, 255, 255], dark: [40, 30, 20, 255] },
    });
}

/// Dashed lines a head apart, counted from the top.
fn count_heads(drawn: &mut Elevation, toy: Extent, heads: f64) {
    let head = toy.size().y / heads;
    let picture = &mut drawn.picture;
    for i in 0..=heads.floor().min(20.0) as u32 {
        let y = toy.high.y - head * f64::from(i);
        picture.dashed(vec![DVec2::new(toy.low.x, y), DVec2::new(toy.high.x, y)], Ink::NOTE, 1.2, (2.0, 3.0));
        if i > 0 {
            picture.text(
                DVec2::new(toy.high.x, y),
                format!(" {i}"),
                Ink::NOTE,
                WORDS_PT,
                (Across::Left, Upright::Middle),
            );
        }
    }
}

fn sizes(
    drawn: &mut Elevation,
    subject: &Subject,
    side: Side,
    (toy, around): (Extent, Extent),
    pt_per_mm: f64,
    units: Units,
) {
    let Some(size) = subject.size_mm else { return };
    let (across, up) = match side {
        Side::Front => (size.x, size.z),
        Side::Left => (size.y, size.z),
        Side::Top => (size.x, size.y),
    };
    let pt = |points: f64| points / pt_per_mm;
    let picture = &mut drawn.picture;
    // Beside the toy: how tall.
    let x = around.low.x - pt(20.0);
    picture.line(vec![DVec2::new(x, toy.low.y), DVec2::new(x, toy.high.y)], Ink::NOTE, 1.2);
    for y in [toy.low.y, toy.high.y] {
        picture.line(vec![DVec2::new(x - pt(4.0), y), DVec2::new(x + pt(4.0), y)], Ink::NOTE, 1.2);
    }
    let above = DVec2::new(x - pt(4.0), around.high.y + pt(3.0));
    picture.text(above, units.length(up).both(), Ink::NOTE, WORDS_PT, (Across::Left, Upright::Bottom));
    // Under it: how wide.
    let y = around.low.y - pt(17.0);
    picture.line(vec![DVec2::new(toy.low.x, y), DVec2::new(toy.high.x, y)], Ink::NOTE, 1.2);
    for x in [toy.low.x, toy.high.x] {
        picture.line(vec![DVec2::new(x, y - pt(4.0)), DVec2::new(x, y + pt(4.0))], Ink::NOTE, 1.2);
    }
    let under = DVec2::new(toy.centre().x, y - pt(5.0));
    picture.text(under, units.length(across).both(), Ink::NOTE, WORDS_PT, (Across::Middle, Upright::Top));
    // A scale bar, so that the picture can be measured.
    let (bar, name) = units.scale_bar(pt(90.0));
    let start = DVec2::new(toy.centre().x - bar / 2.0 - pt(10.0), y - pt(38.0));
    let half = DVec2::new(bar / 2.0, 0.0);
    for (from, ink) in [(start, Ink::NOTE), (start + half, Ink::FAINT)] {
        let (a, b) = (from, from + half + DVec2::new(0.0, pt(3.5)));
        picture.fill(vec![a, DVec2::new(b.x, a.y), b, DVec2::new(a.x, b.y)], ink);
    }
    let beside = start + half * 2.0 + DVec2::new(pt(6.0), pt(1.7));
    picture.text(beside, name, Ink::NOTE, WORDS_PT - 1.0, (Across::Left, Upright::Middle));
    picture.extent = picture.extent.with(start - DVec2::new(0.0, pt(6.0))).with(above + DVec2::new(0.0, pt(14.0)));
}
