//! What a page has to bear: long names, many parts, none, other scripts, letters no font has.

use toppleknot::export::paper::{pdf, png, svg};
use toppleknot::measure::derive;
use toppleknot::toy::Toy;
use toppleknot::view::sheet::sketch::{SketchOptions, sketch};
use toppleknot::view::sheet::work::{WorkOptions, work_sheet};

use super::files::{pdftotext, text};
use super::layout::all_sheets;
use super::toy_of;

/// Every sheet in every format, read back.
fn try_all(toy: &Toy, what: &str) {
    let derived = derive(toy);
    for (i, sheet) in all_sheets(toy, &derived, what).iter().enumerate() {
        let document = lopdf::Document::load_mem(&pdf(sheet)).expect("a PDF that lopdf reads");
        assert_eq!(document.get_pages().len(), sheet.pages.len(), "{what}");
        let text = svg(sheet, &sheet.pages[0]);
        assert!(roxmltree::Document::parse(&text).is_ok(), "{what}");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{what}");
        if i == 0 {
            let picture = png(sheet, &sheet.pages[0], 40.0).expect("a small picture");
            assert!(image::load_from_memory(&picture).is_ok(), "{what}");
        }
    }
}

#[test]
fn long_names() {
    let word = "Vierwaldstätterseedampfschiffskapitänsmütze".repeat(6);
    let sentence = "the left one of the two small ears that stand up behind the hat ".repeat(5);
    try_all(&toy_of(&[word, sentence.clone(), format!("{sentence}2")]), "long names");
}

#[test]
fn forty_parts_and_three_hundred() {
    for many in [40, 300] {
        let names: Vec<String> = (0..many).map(|i| format!("Part {i}")).collect();
        let toy = toy_of(&names);
        let derived = derive(&toy);
        if many == 40 {
            try_all(&toy, "forty parts");
        }
        let sheet = sketch(&toy, &derived, SketchOptions::default());
        super::layout::sound(&sheet, "many parts");
        let page = svg(&sheet, &sheet.pages[0]);
        let shown = (1..=many).filter(|i| page.contains(&format!("id=\"part-{i}\""))).count();
        assert!(shown >= 40, "{shown} of {many} are laid out");
        let said = sheet.pages[0].marks.iter().any(|m| format!("{m:?}").contains("more, in the work sheet"));
        assert_eq!(said, shown < many, "{shown} of {many} are shown");
    }
}

#[test]
fn no_parts_and_nothing_placed() {
    try_all(&Toy::default(), "no parts");
    let mut toy = toy_of(&["Ball".to_owned()]);
    toy.pieces[0].placement.seat = toppleknot::toy::Seat::Beside;
    try_all(&toy, "nothing placed");
    toy.pieces[0].part.rounds.clear();
    try_all(&toy, "no rounds");
}

#[test]
fn other_scripts_and_accents() {
    let names: Vec<String> = [
        "Żółty miś",
        "דובון קטן",
        "دُبّ صغير",
        "Медвежонок",
        "Αρκουδάκι",
        "Ñandú & <Zoë> \"ő\"",
        "小熊",
        "a\tb\u{7}c\u{202E}d",
    ]
    .map(str::to_owned)
    .to_vec();
    let toy = toy_of(&names);
    try_all(&toy, "scripts");
    let derived = derive(&toy);
    let sheet = work_sheet(&toy, &derived, WorkOptions::default());
    let bytes = pdf(&sheet);
    let found = text(&lopdf::Document::load_mem(&bytes).expect("a PDF"));
    for wanted in ["Żółtymiś", "Медвежонок", "Αρκουδάκι", "Ñandú&<Zoë>\"ő\""] {
        assert!(found.contains(wanted), "{wanted} in {found}");
    }
    // Letters of right-to-left words lie on the page from left to right: any order will do here. What no font has is
    // shown as a box with the letters beside it (`ActualText`), which this reader does not look at.
    for letter in
        ["\u{5D3}", "\u{5D5}", "\u{5D1}", "\u{5DF}", "\u{5E7}", "\u{5D8}", "\u{62F}", "\u{635}", "\u{64F}", "\u{651}"]
    {
        assert!(names.concat().contains(letter) && found.contains(letter), "{letter} in {found}");
    }
    let Some(found) = pdftotext(&bytes, "scripts") else {
        eprintln!("pdftotext is not installed: read by lopdf alone");
        return;
    };
    // It puts right-to-left words back into the order they are read in.
    for wanted in ["Żółty miś", "Медвежонок", "Αρκουδάκι", &names[1], &names[6]] {
        assert!(found.contains(wanted), "{wanted} in {found}");
    }
}

#[test]
fn markup_in_names_stays_text() {
    let name = "<script>&\"'</script>";
    let toy = toy_of(&[name.to_owned()]);
    let sheet = sketch(&toy, &derive(&toy), SketchOptions::default());
    let text = svg(&sheet, &sheet.pages[0]);
    let document = roxmltree::Document::parse(&text).expect("well-formed XML");
    assert!(document.descendants().all(|n| !n.has_tag_name("script")));
    assert!(document.descendants().any(|n| n.text() == Some(name)));
}
