//! The band of verdicts on the sketch: standing with the lean rose and the support, head against body, the neck.

use glam::DVec2;

use super::figures::{Filling, bar};
use super::setting::{Column, fit};
use super::views::footing;
use super::words::{first_neck, head_against_body, neck, standing};
use super::{Mark, Page, Placed, Style};
use crate::figure::Figure;
use crate::measure::weigh::placed;
use crate::measure::{Derived, FindingKind};
use crate::view::balance::lean_rose;
use crate::view::ink::Ink;
use crate::view::picture::{Item, Picture};
use crate::view::units::Units;

/// Height of the band, mm.
pub(super) const VERDICTS_MM: f64 = 61.0;
/// Room between its columns, mm.
const GAP: f64 = 7.0;
/// Side of the small pictures, mm.
const PICTURE: f64 = 20.5;

/// Draws the band with its upper left corner at a point.
pub(super) fn verdicts(page: &mut Page, derived: &Derived, units: Units, scale: f64, at: DVec2, width: f64) {
    page.rule(at, at + DVec2::new(width, 0.0), 0.6, Ink::RULE);
    page.rule(at + DVec2::new(0.0, VERDICTS_MM - 2.0), at + DVec2::new(width, VERDICTS_MM - 2.0), 0.6, Ink::RULE);
    let wide = (width - 2.0 * GAP) / 3.0;
    let column = |i: f64| Column { left: at.x + i * (wide + GAP), width: wide, y: at.y + 2.4 };
    stand(page, derived, units, scale, column(0.0));
    head(page, derived, units, column(1.0));
    joint(page, derived, units, column(2.0));
}

fn heading(page: &mut Page, column: &mut Column, question: &str, verdict: &str) {
    column.line(page, question, Style::quiet(8.0));
    column.say_up_to(page, verdict, Style::strong(13.0), 2);
    column.skip(1.0);
}

fn mend(page: &mut Page, column: &mut Column, derived: &Derived, kinds: &[FindingKind], bottom: f64) {
    let found = derived.report.findings.iter().find(|f| kinds.contains(&f.kind));
    let Some(found) = found else { return };
    column.skip(1.0);
    let step = super::setting::line_mm(8.5);
    let most = ((bottom - column.y) / step + 0.1).floor().max(0.0) as usize;
    if most > 0 {
        // A small pointer in the margin of the advice: no letter of the fonts.
        let at = DVec2::new(column.left, column.y + 1.9);
        let points = [(0.0, -1.1), (1.7, 0.0), (0.0, 1.1)].map(|(x, y)| at + DVec2::new(x, y)).to_vec();
        page.marks.push(Mark::Fill { points, ink: Ink::PLUMB });
        let mut inset = Column { left: column.left + 3.2, width: column.width - 3.2, ..*column };
        inset.say_up_to(page, &found.remedy, Style::plain(8.5), most);
        column.y = inset.y;
    }
}

fn stand(page: &mut Page, derived: &Derived, units: Units, scale: f64, mut column: Column) {
    let bottom = column.y + VERDICTS_MM - 6.0;
    let report = derived.report.stand.as_ref();
    let (verdict, lines) = standing(report, units);
    heading(page, &mut column, "Standing", verdict);
    if let Some(stand) = report {
        let rose = lean_rose(&stand.tip_by_direction_deg, stand.tip_toward_deg, Ink::GOOD);
        let top = column.y + 1.0;
        place(page, "lean-rose", rose, PICTURE / 100.0, DVec2::new(column.left, top + PICTURE), 0.62);
        if let Some((picture, said)) = support(derived, scale) {
            let centre = DVec2::new(column.left + 0.75 * column.width + 2.0, top + PICTURE / 2.0 - 1.5);
            place(page, "support", picture, 1.0 / said, centre, 0.5);
            let words = format!("support, 1 : {said}");
            let y = top + PICTURE - 0.6;
            page.words_at(DVec2::new(centre.x, y), words, Style::quiet(7.0), super::Across::Middle);
        }
        column.y += PICTURE + 2.2;
    }
    for line in lines {
        column.say_up_to(page, &line, Style::plain(8.5), 2);
    }
    mend(page, &mut column, derived, &FindingKind::STANDING, bottom);
}

/// The support polygon from above with the foot of the plumb line, the toy's front at the bottom; the middle of
/// both is the origin. With it comes the scale it is shown at.
fn support(derived: &Derived, scale: f64) -> Option<(Picture, f64)> {
    let foot = derived.report.toy.centre_of_mass_mm?;
    let corners: Vec<DVec2> = footing(derived)?.polygon.iter().map(|p| DVec2::new(p.x, -p.y)).collect();
    let foot = DVec2::new(foot[0], -foot[1]);
    let extent = crate::view::picture::Extent::of(&corners).with(foot);
    let centre = extent.centre();
    let corners: Vec<DVec2> = corners.iter().map(|p| *p - centre).collect();
    let mut picture = Picture { words: "Support polygon and plumb point from above".to_owned(), ..Picture::default() };
    if corners.len() > 2 {
        picture.fill(corners.clone(), Ink::SUPPORT_FILL);
    }
    picture.outline(corners, Ink::SUPPORT_LINE, 1.8);
    let at = foot - centre;
    for across in [DVec2::X, DVec2::Y] {
        let reach = across * 4.5 * scale;
        picture.line(vec![at - reach, at + reach], Ink::PLUMB, 1.1);
    }
    picture.items.push(Item::Dot { at, radius_pt: 3.6, ink: Ink::PLUMB });
    // A support that is too wide for its place is shown smaller, by a whole number.
    let need = extent.size().max_element() / (PICTURE - 3.0);
    let times = (need / scale).ceil().max(1.0);
    Some((picture, scale * times))
}

fn place(page: &mut Page, name: &str, picture: Picture, scale: f64, origin_mm: DVec2, pt_scale: f64) {
    page.marks.push(Mark::Picture(Placed {
        name: name.to_owned(),
        picture,
        scale,
        origin_mm,
        pt_scale,
        clip_mm: None,
    }));
}

fn head(page: &mut Page, derived: &Derived, units: Units, mut column: Column) {
    let toy = &derived.report.toy;
    let all = placed(&derived.made.poses, &derived.made.masses).mass_g;
    let Some(ratio) = toy.head_to_body_mass.filter(|r| r.value > 0.0) else {
        let weight = units.mass(toy.mass_g);
        heading(page, &mut column, "Weight", &format!("Weighs {}", weight.value()));
        if let Some(range) = weight.range() {
            column.say(page, &format!("Between {range}."), Style::plain(8.5));
        }
        column.say(page, "No part is taken for a head.", Style::plain(8.5));
        return;
    };
    let verdict = head_against_body(ratio.value);
    heading(page, &mut column, "Head and body", &verdict);
    // Mass of the head, by the ratio's own give or take.
    let share = |r: f64| all * r / (1.0 + r);
    let head = Figure { value: share(ratio.value), low: share(ratio.low), high: share(ratio.high) };
    let body = Figure { value: all - head.value, low: all - head.high, high: all - head.low };
    let rows = [
        ("head and all it carries".to_owned(), head, Filling::Hatched, Ink::PLUMB),
        ("the rest".to_owned(), body, Filling::Solid, Ink::SUPPORT_LINE),
    ];
    let most = head.value.max(body.value).max(1e-9);
    for (words, mass, filling, ink) in rows {
        let long = (column.width * mass.value / most).max(0.6);
        bar(page, DVec2::new(column.left, column.y), DVec2::new(column.left + long, column.y + 5.6), filling, ink);
        column.skip(6.2);
        let weight = units.mass(mass).value();
        let style = Style::plain(8.5);
        let said = fit(&words, style, column.width - 18.0);
        column.line(page, &format!("{weight}  {said}"), style);
        column.skip(1.4);
    }
    let ratio_words = format!("Head to body {}.", units.ratio(ratio).both());
    column.say(page, &ratio_words, Style::plain(8.5));
    if let Some(tall) = toy.heads_tall {
        column.say(page, &format!("{} heads tall.", units.ratio(tall).both()), Style::plain(8.5));
    }
}

fn joint(page: &mut Page, derived: &Derived, units: Units, mut column: Column) {
    let bottom = column.y + VERDICTS_MM - 6.0;
    let Some(first) = first_neck(&derived.report) else {
        heading(page, &mut column, "Neck", "No joint to hold");
        column.say(page, "Nothing sits on another part.", Style::plain(8.5));
        return;
    };
    let (verdict, lines) = neck(first, units);
    heading(page, &mut column, "Neck", verdict);
    for line in lines {
        column.say_up_to(page, &line, Style::plain(8.5), 2);
    }
    let weak = |n: &&crate::measure::report::NeckReport| *n != first && !matches!(n.verdict, "holds" | "held");
    let others: Vec<String> = derived.report.necks.iter().filter(weak).map(|n| n.part.clone()).collect();
    if !others.is_empty() {
        column.say_up_to(page, &format!("Weak too: {}.", others.join(", ")), Style::plain(8.5), 2);
    }
    if !matches!(first.verdict, "holds" | "held") || first.sinks {
        mend(page, &mut column, derived, &FindingKind::NECK, bottom);
    }
}
