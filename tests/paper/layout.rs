//! What must hold on every page: nothing runs off the paper, words do not run into each other, rounds and headings
//! stay whole.

use toppleknot::measure::{Derived, derive, placements};
use toppleknot::toy::Toy;
use toppleknot::view::picture::{Across, Extent};
use toppleknot::view::sheet::full_size::{FullSizeOptions, full_size};
use toppleknot::view::sheet::letters::Weight;
use toppleknot::view::sheet::setting::width_mm;
use toppleknot::view::sheet::sketch::{SketchOptions, sketch};
use toppleknot::view::sheet::work::{WorkOptions, work_sheet};
use toppleknot::view::sheet::{MM_PER_PT, Mark, Page, Paper, Sheet, Style, Words};
use toppleknot::view::units::Units;

use super::{all_samples, sample, toy_of};

/// Where words are: from the base line up by the height of small letters, which all of them have.
fn room(words: &Words) -> Extent {
    let style = Style { size_pt: words.size_pt, weight: words.weight, ink: words.ink };
    let wide = width_mm(&words.text, style);
    let left = match words.across {
        Across::Left => 0.0,
        Across::Middle => wide / 2.0,
        Across::Right => wide,
    };
    let low = words.at - glam::DVec2::new(left, 0.5 * words.size_pt * MM_PER_PT);
    Extent { low, high: low + glam::DVec2::new(wide, 0.5 * words.size_pt * MM_PER_PT) }
}

fn words(page: &Page) -> Vec<&Words> {
    page.marks.iter().filter_map(|m| if let Mark::Words(w) = m { Some(w) } else { None }).collect()
}

/// Words stay on the paper and apart from each other.
pub(super) fn sound(sheet: &Sheet, what: &str) {
    for page in &sheet.pages {
        let all: Vec<(&Words, Extent)> = words(page).into_iter().map(|w| (w, room(w))).collect();
        for (i, (word, own)) in all.iter().enumerate() {
            assert!(
                own.low.x > 5.0
                    && own.high.x < sheet.size_mm.x - 5.0
                    && own.low.y > 3.0
                    && own.high.y < sheet.size_mm.y - 3.0,
                "{what}, page {}: {:?} at {own:?} runs off the paper",
                page.label,
                word.text
            );
            for (other, room) in &all[i + 1..] {
                let apart = own.high.x <= room.low.x + 0.1
                    || room.high.x <= own.low.x + 0.1
                    || own.high.y <= room.low.y + 0.1
                    || room.high.y <= own.low.y + 0.1;
                assert!(apart, "{what}, page {}: {:?} runs into {:?}", page.label, word.text, other.text);
            }
        }
        for mark in &page.marks {
            if let Mark::CheckBox { at, side_mm } = mark {
                assert!(at.y > 5.0 && at.y + side_mm < sheet.size_mm.y - 12.0, "{what}: a box off the paper");
            }
        }
    }
}

pub(super) fn all_sheets(toy: &Toy, derived: &Derived, what: &str) -> Vec<Sheet> {
    // The places are worked out once for all sheets: with hundreds of parts they take seconds.
    let mut derived = derived.clone();
    derived.report.placements = Some(placements(toy, &derived));
    let derived = &derived;
    let mut sheets = Vec::new();
    for paper in [Paper::A4, Paper::Letter] {
        for units in [Units::Metric, Units::Imperial] {
            for top in [false, true] {
                sheets.push(sketch(toy, derived, SketchOptions { paper, top, units }));
            }
            sheets.push(work_sheet(toy, derived, WorkOptions { paper, units, ..WorkOptions::default() }));
        }
        sheets.push(full_size(toy, derived, FullSizeOptions { paper, top: true, ..Default::default() }).expect("few"));
    }
    for sheet in &sheets {
        sound(sheet, &format!("{what}, {}", sheet.title));
    }
    sheets
}

#[test]
fn words_keep_apart_on_every_sheet_of_every_sample() {
    for (title, toy, derived) in all_samples() {
        all_sheets(&toy, &derived, title);
    }
}

fn boxes(page: &Page) -> usize {
    page.marks.iter().filter(|m| matches!(m, Mark::CheckBox { .. })).count()
}

/// A box for every round of every copy, and one for everything that is sewn on or added.
#[test]
fn every_round_of_every_copy_has_a_box() {
    for (title, toy, derived) in all_samples() {
        let sheet = work_sheet(&toy, &derived, WorkOptions::default());
        let rounds: usize = toy.pieces.iter().map(|p| p.part.rounds.len() * p.placement.copies.number() as usize).sum();
        let sewn = toy.pieces.iter().filter(|p| p.placement.seat.part().is_some()).count() + toy.extras.len();
        assert_eq!(sheet.pages.iter().map(boxes).sum::<usize>(), rounds + sewn, "{title}");
    }
}

/// Of a heading the first two rounds are on the same page, and a round's words are on the page of its boxes.
#[test]
fn headings_and_rounds_stay_whole() {
    let names: Vec<String> = (0..40).map(|i| format!("Part {i}")).collect();
    let toy = toy_of(&names);
    let sheet = work_sheet(&toy, &derive(&toy), WorkOptions::default());
    assert!(sheet.pages.len() > 4);
    for page in &sheet.pages {
        let all = words(page);
        let headings = all.iter().filter(|w| w.weight == Weight::Strong && w.size_pt == 14.0);
        for heading in headings {
            let led = all.iter().any(|w| w.at.y > heading.at.y && w.at.y < heading.at.y + 25.0);
            assert!(led, "{} stands alone on page {}", heading.text, page.label);
            // The leaves after the rounds have no rounds under them.
            if !heading.text.starts_with("Part ") {
                continue;
            }
            let below = page.marks.iter().filter(
                |m| matches!(m, Mark::CheckBox { at, .. } if at.y > heading.at.y && at.y < heading.at.y + 25.0),
            );
            assert!(below.count() >= 2, "{} is left alone on page {}", heading.text, page.label);
        }
        // The first thing under the head of a page that goes on with a part says so.
        let rounds = all.iter().filter(|w| w.text.contains("sc")).count();
        assert!(rounds <= boxes(page), "page {}", page.label);
    }
    let again = sheet.pages.iter().skip(1).filter(|p| words(p).iter().any(|w| w.text.ends_with(", continued"))).count();
    assert!(again > 0);
}

/// Pages of a large toy overlap: the windows of neighbours share the strip that both say they share.
#[test]
fn full_size_pages_overlap() {
    use toppleknot::view::sheet::full_size::OVERLAP_MM;
    let mut toy = sample("Sea-wall bear");
    for yarn in &mut toy.yarns {
        (yarn.stitches_per_10cm, yarn.rounds_per_10cm) = (Some(5.0), Some(5.2));
    }
    let sheet = full_size(&toy, &derive(&toy), FullSizeOptions::default()).expect("not too large");
    let windows: Vec<(&str, &str, Extent)> = sheet
        .pages
        .iter()
        .filter_map(|page| match &page.marks[0] {
            Mark::Picture(p) => {
                let clip = p.clip_mm?;
                assert_eq!(p.scale, 1.0);
                Some((
                    page.label.as_str(),
                    p.name.as_str(),
                    Extent { low: clip.low - p.origin_mm, high: clip.high - p.origin_mm },
                ))
            }
            _ => None,
        })
        .collect();
    let at = |label: &str| windows.iter().find(|w| w.0 == label && w.1 == "front").map(|w| w.2).expect("a front page");
    let (a1, a2, b1) = (at("A1"), at("A2"), at("B1"));
    assert!((a1.high.x - a2.low.x - OVERLAP_MM).abs() < 1e-9);
    assert!((a1.high.y - b1.low.y - OVERLAP_MM).abs() < 1e-9);
    // Together they hold all of the front view.
    let size = derive(&toy).report.toy.size_mm.expect("placed");
    let whole = windows.iter().filter(|w| w.1 == "front").fold(Extent::NOTHING, |e, w| e.joined(w.2)).size();
    assert!(whole.x >= size.x.value && whole.y >= size.z.value);
    let mut huge = toy.clone();
    for yarn in &mut huge.yarns {
        (yarn.stitches_per_10cm, yarn.rounds_per_10cm) = (Some(0.2), Some(0.2));
    }
    let error = full_size(&huge, &derive(&huge), FullSizeOptions::default()).expect_err("metres tall");
    assert!(error.to_string().contains("Expected at most 200"), "{error}");
}
