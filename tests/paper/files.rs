//! Files read by independent readers: lopdf, the `image` crate, roxmltree, and pdftotext where it is installed.

use std::process::Command;

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object};
use toppleknot::export::paper::{PngError, pdf, png, svg};
use toppleknot::measure::derive;
use toppleknot::notation::Terms;
use toppleknot::view::sheet::full_size::{FullSizeOptions, TEST_SQUARE_MM, full_size};
use toppleknot::view::sheet::sketch::{SketchOptions, sketch};
use toppleknot::view::sheet::work::{WorkOptions, work_sheet};
use toppleknot::view::sheet::{Paper, Sheet};

use super::{all_samples, folder, sample};

pub(super) fn read(sheet: &Sheet) -> Document {
    Document::load_mem(&pdf(sheet)).expect("a PDF that lopdf reads")
}

/// All text of a document by lopdf, blanks taken out.
pub(super) fn text(document: &Document) -> String {
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    let text = document.extract_text(&pages).expect("text can be taken out");
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

/// All text of a PDF by pdftotext; `None` where that is not installed.
pub(super) fn pdftotext(bytes: &[u8], name: &str) -> Option<String> {
    let path = folder(name).join("sheet.pdf");
    std::fs::write(&path, bytes).expect("a writable folder");
    let output = Command::new("pdftotext").arg("-layout").arg(&path).arg("-").output().ok()?;
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(String::from_utf8(output.stdout).expect("UTF-8"))
}

#[test]
fn every_sample_gives_every_file_twice_the_same() {
    for (title, toy, derived) in all_samples() {
        for paper in [Paper::A4, Paper::Letter] {
            let drawn = || sketch(&toy, &derived, SketchOptions { paper, ..SketchOptions::default() });
            let (one, two) = (drawn(), drawn());
            assert_eq!(svg(&one, &one.pages[0]), svg(&two, &two.pages[0]), "{title}");
            assert!(roxmltree::Document::parse(&svg(&one, &one.pages[0])).is_ok(), "{title}");
            assert_eq!(pdf(&one), pdf(&two), "{title}");
            let picture = png(&one, &one.pages[0], 50.0).expect("a small picture");
            assert_eq!(picture, png(&two, &two.pages[0], 50.0).expect("a small picture"), "{title}");
            assert_eq!(read(&one).get_pages().len(), 1, "{title}");
            for terms in [Terms::Us, Terms::Uk] {
                let sheet = || work_sheet(&toy, &derived, WorkOptions { paper, terms, ..WorkOptions::default() });
                assert_eq!(pdf(&sheet()), pdf(&sheet()), "{title}");
                assert_eq!(read(&sheet()).get_pages().len(), sheet().pages.len(), "{title}");
            }
            let sheet = || {
                full_size(&toy, &derived, FullSizeOptions { paper, ..FullSizeOptions::default() }).expect("not large")
            };
            assert_eq!(pdf(&sheet()), pdf(&sheet()), "{title}");
            assert_eq!(read(&sheet()).get_pages().len(), sheet().pages.len(), "{title}");
        }
    }
}

/// Every font of a PDF has its outlines inside (ISO 32000-1, 9.9: FontFile2 or FontFile3 of its descriptor).
fn fonts_inside(document: &Document) -> usize {
    let is_font = |d: &&Dictionary| d.get(b"Type").and_then(Object::as_name).is_ok_and(|t| t == b"FontDescriptor");
    let descriptors: Vec<&Dictionary> =
        document.objects.values().filter_map(|o| o.as_dict().ok()).filter(is_font).collect();
    for descriptor in &descriptors {
        let file = descriptor.get(b"FontFile2").or_else(|_| descriptor.get(b"FontFile3")).expect("outlines");
        let stream = document.get_object(file.as_reference().expect("a reference")).and_then(Object::as_stream);
        let bytes = stream.and_then(lopdf::Stream::decompressed_content).expect("outlines that unpack");
        assert!(bytes.len() > 500, "{}", bytes.len());
        // A part of the font, not all of it: Cabin alone is 55 kB.
        assert!(bytes.len() < 45_000, "{}", bytes.len());
    }
    descriptors.len()
}

#[test]
fn words_can_be_taken_out_of_the_pdf() {
    let toy = sample("Boot-room imp");
    let derived = derive(&toy);
    let sheet = sketch(&toy, &derived, SketchOptions::default());
    let document = read(&sheet);
    assert_eq!(fonts_inside(&document), 2);
    let found = text(&document);
    for wanted in ["Boot-roomimp", "Standswell", "Neckholds", "Yarnandhook", "173mm"] {
        assert!(found.contains(wanted), "{wanted} in {found}");
    }
    let work = work_sheet(&toy, &derived, WorkOptions { terms: Terms::Uk, ..WorkOptions::default() });
    let found = text(&read(&work));
    for wanted in
        ["UKterms", "Leg(make2)", "inBLO:dcineachstaround", "Sewingmap", "Facemap", "Cautions", "Firmly,about"]
    {
        assert!(found.contains(wanted), "{wanted} in {found}");
    }
    let Some(found) = pdftotext(&pdf(&work), "words") else {
        eprintln!("pdftotext is not installed: read by lopdf alone");
        return;
    };
    for wanted in ["Boot-room imp", "in BLO: dc in each st around", "Sewing map"] {
        assert!(found.contains(wanted), "{wanted} in {found}");
    }
}

/// 1 mm is 72/25.4 points (ISO 32000-1, 8.3.2.3: a point is 1/72 inch).
const PT_PER_MM: f64 = 72.0 / 25.4;

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(i) => *i as f64,
        Object::Real(r) => f64::from(*r),
        other => panic!("no number: {other:?}"),
    }
}

/// Squares of a page, by their sides in points: closed paths of four corners with equal sides along the axes. There
/// must be no transformation, so that the numbers are points of the page.
fn squares(document: &Document, page: lopdf::ObjectId) -> Vec<f64> {
    let content = document.get_page_content(page);
    let mut corners: Vec<(f64, f64)> = Vec::new();
    let mut found = Vec::new();
    for operation in Content::decode(&content).expect("content that decodes").operations {
        let at = |o: &[Object]| (number(&o[0]), number(&o[1]));
        match operation.operator.as_str() {
            "cm" => panic!("a transformation"),
            "m" => corners = vec![at(&operation.operands)],
            "l" => corners.push(at(&operation.operands)),
            "h" if corners.len() == 4 => {
                let side = |i: usize| {
                    let ((a, b), (c, d)) = (corners[i], corners[(i + 1) % 4]);
                    (c - a).abs() + (d - b).abs()
                };
                if (1..4).all(|i| (side(i) - side(0)).abs() < 1e-3) {
                    found.push(side(0));
                }
            }
            _ => {}
        }
    }
    found
}

#[test]
fn every_full_size_page_has_a_test_square_of_50_mm() {
    assert_eq!(TEST_SQUARE_MM, 50.0);
    for title in ["Puppet-booth crier", "Boot-room imp"] {
        let toy = sample(title);
        for (paper, size) in [(Paper::A4, (210.0, 297.0)), (Paper::Letter, (215.9, 279.4))] {
            let options = FullSizeOptions { paper, top: true, ..FullSizeOptions::default() };
            let sheet = full_size(&toy, &derive(&toy), options).expect("not large");
            let document = read(&sheet);
            for page in document.get_pages().into_values() {
                let squares = squares(&document, page);
                let true_ones = squares.iter().filter(|s| (**s - 50.0 * PT_PER_MM).abs() < 0.01).count();
                assert_eq!(true_ones, 1, "{squares:?}");
                let dictionary = document.get_dictionary(page).expect("a page");
                let media = dictionary.get(b"MediaBox").and_then(Object::as_array).expect("a media box");
                let media: Vec<f64> = media.iter().map(number).collect();
                assert!((media[2] - size.0 * PT_PER_MM).abs() < 0.01 && (media[3] - size.1 * PT_PER_MM).abs() < 0.01);
            }
        }
    }
}

#[test]
fn a_png_has_the_pixels_that_were_asked_for() {
    let toy = sample("Puppet-booth crier");
    let sheet = sketch(&toy, &derive(&toy), SketchOptions::default());
    // 210 by 297 mm at n dots in 25.4 mm.
    for (dpi, width, height) in [(300.0, 2480, 3508), (72.0, 595, 842), (96.0, 794, 1123)] {
        let bytes = png(&sheet, &sheet.pages[0], dpi).expect("a picture");
        let picture = image::load_from_memory(&bytes).expect("a PNG that image reads").into_rgb8();
        assert_eq!((picture.width(), picture.height()), (width, height));
        let yarn = toy.yarns[0].colour;
        let share = picture.pixels().filter(|p| p.0 == yarn).count() as f64 / f64::from(width * height);
        assert!((0.02..0.4).contains(&share), "{share} of the page is straw");
        assert_eq!(picture.get_pixel(2, 2).0, [255, 255, 255]);
    }
}

#[test]
fn a_picture_too_large_or_too_coarse_is_refused() {
    let toy = sample("Glass float");
    let sheet = sketch(&toy, &derive(&toy), SketchOptions::default());
    assert!(matches!(png(&sheet, &sheet.pages[0], 1e9), Err(PngError::TooLarge { .. })));
    assert!(matches!(png(&sheet, &sheet.pages[0], f64::INFINITY), Err(PngError::TooCoarse { .. })));
    assert!(matches!(png(&sheet, &sheet.pages[0], 0.5), Err(PngError::TooCoarse { .. })));
    let PngError::TooLarge { most_dpi, .. } = png(&sheet, &sheet.pages[0], 5000.0).expect_err("250 million pixels")
    else {
        panic!("another error")
    };
    // A4 of 10⁸ pixels: √(10⁸ / (8.268 · 11.693)) = 1017 dots per inch.
    assert!((1010.0..1020.0).contains(&most_dpi), "{most_dpi}");
}
