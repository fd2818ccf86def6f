//! The work sheet says what the report says: running yarn, cautions, steps, where everything is sewn.

use toppleknot::measure::report::DEFERS;
use toppleknot::measure::{derive, placements};
use toppleknot::toy::{Extra, ExtraKind};
use toppleknot::view::picture::Across;
use toppleknot::view::sewn::seam_place;
use toppleknot::view::sheet::work::{WorkOptions, work_sheet};
use toppleknot::view::sheet::{Mark, Page, Sheet, Words};
use toppleknot::view::units::Units;

use super::files::{read, text};
use super::{all_samples, sample};

fn closed_up(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// Figures at the right edge of the rounds: "12 m", or "A 12 m".
fn figures(page: &Page) -> Vec<&Words> {
    let words = page.marks.iter().filter_map(|m| if let Mark::Words(w) = m { Some(w) } else { None });
    words.filter(|w| w.across == Across::Right && w.size_pt == 8.5 && w.text.ends_with(" m")).collect()
}

fn last_figure(sheet: &Sheet, begins: &str) -> Option<String> {
    let mut all = sheet.pages.iter().flat_map(figures);
    all.rfind(|w| w.text.starts_with(begins)).map(|w| w.text[begins.len()..].to_owned())
}

/// The figure beside the last round that a yarn is in is what the report says that the toy takes of it.
#[test]
fn the_running_yarn_ends_at_the_need() {
    for (title, toy, derived) in all_samples() {
        let sheet = work_sheet(&toy, &derived, WorkOptions::default());
        let many = derived.report.yarn.len() > 1;
        for (i, yarn) in derived.report.yarn.iter().enumerate() {
            let begins = if many { format!("{} ", char::from(b'A' + i as u8)) } else { String::new() };
            let need = Units::Metric.yarn(yarn.stock.need.metres).value();
            assert_eq!(last_figure(&sheet, &begins), Some(need), "{title}, {}", yarn.name);
        }
    }
}

/// It never runs back: from line to line, the copies of each line in their order.
#[test]
fn the_running_yarn_grows() {
    let toy = sample("Glass float");
    let sheet = work_sheet(&toy, &derive(&toy), WorkOptions::default());
    let numbers: Vec<f64> = sheet
        .pages
        .iter()
        .flat_map(figures)
        .map(|w| w.text.trim_end_matches(" m").parse().expect("a number"))
        .collect();
    assert!(numbers.len() > 5 && numbers.windows(2).all(|w| w[0] <= w[1]), "{numbers:?}");
}

#[test]
fn every_caution_step_and_place_can_be_taken_out_of_the_pdf() {
    for (title, toy, mut derived) in all_samples() {
        derived.report.placements = Some(placements(&toy, &derived));
        let found = text(&read(&work_sheet(&toy, &derived, WorkOptions::default())));
        let has = |wanted: &str| assert!(found.contains(&closed_up(wanted)), "{title}: {wanted} in {found}");
        has(derived.report.cautions.message.trim_end_matches(DEFERS).trim_end());
        for caution in &derived.report.cautions.cautions {
            has(&caution.message);
            has(&caution.remedy);
        }
        let map = derived.report.placements.as_ref().expect("just worked out");
        for step in map.steps.iter().flat_map(|s| &s.steps).filter(|s| s.kind != "sew") {
            has(&step.message);
        }
        for seam in map.seams.iter().filter(|s| s.tail_mm.is_some()) {
            has("Sewing map");
            for copy in &seam.copies {
                // A place alone begins with a capital letter.
                has(&seam_place(seam, copy)[1..]);
            }
        }
        for face in &map.face {
            let at = face.place;
            let drift = at.stitches_from_start;
            has(&format!("round {}, stitch {} of {}", at.round, at.stitch, at.of));
            has(&format!("{:.1} ({:.1}–{:.1})", drift.value, drift.low, drift.high));
        }
    }
}

/// Who decides is said on every page that has a caution, once, below the last of them.
#[test]
fn who_decides_is_said_once_on_a_page_of_cautions() {
    let mut toy = sample("Boot-room imp");
    toy.settings.child_months = Some(6);
    let body = toy.pieces[0].part.name.clone();
    for number in 0..40 {
        toy.extras.push(Extra {
            name: format!("button {number}"),
            kind: ExtraKind::Eye { diameter_mm: 9.0 },
            part: body.clone(),
            ..Extra::default()
        });
    }
    let derived = derive(&toy);
    let sheet = work_sheet(&toy, &derived, WorkOptions::default());
    let mut told = 0;
    for page in &sheet.pages {
        let words: Vec<&Words> =
            page.marks.iter().filter_map(|m| if let Mark::Words(w) = m { Some(w) } else { None }).collect();
        let low = |part: &str| words.iter().filter(|w| w.text.contains(part)).map(|w| w.at.y).fold(0.0, f64::max);
        let cautions = words.iter().filter(|w| w.text.contains(": what a child can grip")).count();
        let said = words.iter().filter(|w| w.text.contains(DEFERS)).count();
        assert!(said == usize::from(cautions > 0) || (said == 1 && low("Cautions") > 0.0), "{said} for {cautions}");
        if cautions > 0 {
            assert!(low(DEFERS) > low(": what a child can grip"));
            told += 1;
        }
    }
    assert!(told > 1, "forty cautions take more than a page");
    let plain = work_sheet(&sample("Glass float"), &derive(&sample("Glass float")), WorkOptions::default());
    let said = plain.pages.iter().flat_map(|p| &p.marks);
    assert_eq!(said.filter(|m| matches!(m, Mark::Words(w) if w.text.contains(DEFERS))).count(), 1);
}

/// Where the report has its places already they are taken; where not they are worked out: the sheet is the same.
#[test]
fn the_places_are_the_report_s() {
    let toy = sample("Boot-room imp");
    let mut derived = derive(&toy);
    let before = work_sheet(&toy, &derived, WorkOptions::default());
    derived.report.placements = Some(placements(&toy, &derived));
    assert_eq!(work_sheet(&toy, &derived, WorkOptions::default()), before);
}
