//! Files that are broken, foreign or of a later program: a clear error with its place and a remedy, and nothing
//! opened half-way.

use std::path::PathBuf;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use toppleknot::document::{Document, FileError, TextScene, load, open, open_text, parse, to_text};
use toppleknot::measure::derive;

use super::{err, out, run, sample_path};

fn sample() -> Vec<u8> {
    std::fs::read(sample_path("sea-wall-bear.toy.ron")).expect("a sample")
}

/// The error has a place and says what to do; what opens is a whole toy that can be worked out and saved again.
fn judge(bytes: &[u8], what: &str) -> bool {
    let opened = match std::str::from_utf8(bytes) {
        Ok(text) => open_text(text, "odd.toy.ron", true, &TextScene::default()),
        Err(_) => return false,
    };
    match opened {
        Ok(opened) => {
            let text = to_text(&opened.document);
            assert_eq!(parse(&text, "odd.toy.ron").expect("what is saved opens"), opened.document, "{what}");
            true
        }
        Err(e) => {
            let said = e.to_string();
            assert!(said.starts_with("odd.toy.ron:"), "{what}: no place in: {said}");
            let remedies = ["Mend the place", "Correct it in the file", "Open it with the later program"];
            assert!(remedies.iter().any(|r| said.contains(r)), "{what}: no remedy in: {said}");
            false
        }
    }
}

#[test]
fn a_flipped_bit_anywhere_is_an_error_with_a_place_or_a_whole_toy() {
    let whole = sample();
    let mut random = ChaCha8Rng::seed_from_u64(11);
    let mut opened = 0;
    for at in 0..whole.len() {
        let mut bytes = whole.clone();
        bytes[at] ^= 1 << random.random_range(0..8);
        opened += usize::from(judge(&bytes, &format!("byte {at}")));
    }
    // Flips in names, numbers and blanks leave a file that is whole; others must not.
    assert!(opened > 0 && opened < whole.len(), "{opened} of {}", whole.len());
}

#[test]
fn many_flips_at_once_never_open_half_way() {
    let whole = sample();
    let mut random = ChaCha8Rng::seed_from_u64(12);
    for turn in 0..2000 {
        let mut bytes = whole.clone();
        for _ in 0..random.random_range(1..40) {
            let at = random.random_range(0..bytes.len());
            match random.random_range(0..3) {
                0 => bytes[at] ^= 1 << random.random_range(0..8),
                1 => drop(bytes.remove(at)),
                _ => bytes.insert(at, *b"(),:[]\"0-9e.x".get(random.random_range(0..13)).unwrap_or(&b' ')),
            }
        }
        judge(&bytes, &format!("turn {turn}"));
    }
}

#[test]
fn a_file_that_a_flip_left_readable_can_be_worked_out() {
    let whole = sample();
    let mut random = ChaCha8Rng::seed_from_u64(13);
    for _ in 0..400 {
        let mut bytes = whole.clone();
        let at = random.random_range(0..bytes.len());
        bytes[at] ^= 1 << random.random_range(0..7);
        let Ok(text) = std::str::from_utf8(&bytes) else { continue };
        if let Ok(opened) = open_text(text, "odd.toy.ron", true, &TextScene::default()) {
            let json = serde_json::to_string(&derive(&opened.document.toy).report).expect("a report is JSON");
            // JSON has no word for what is no number: it would stand as null where a figure must be.
            assert!(!json.contains("\"value\":null"), "byte {at}: a figure that is no number");
        }
    }
}

#[test]
fn every_truncation_is_an_error() {
    let whole = sample();
    let end = String::from_utf8_lossy(&whole).trim_end().len();
    for cut in 0..end {
        assert!(!judge(&whole[..cut], &format!("cut at {cut}")), "cut at {cut} opened");
    }
}

fn in_a_file(name: &str, bytes: &[u8]) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("toppleknot-strangers-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let path = folder.join(name);
    std::fs::write(&path, bytes).expect("a writable folder");
    path
}

#[test]
fn foreign_files_are_called_by_their_name_whatever_their_ending() {
    for (bytes, what) in [
        (&b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"[..], "PNG"),
        (b"PK\x03\x04\x14\0\x06\0", "zip"),
        (b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n", "PDF"),
        (b"\xFF\xD8\xFF\xE0\0\x10JFIF", "JPEG"),
        (b"glTF\x02\0\0\0", "GLB"),
        (b"6 12 18\0\0\0 12 6", "no text"),
    ] {
        for ending in ["txt", "toy.ron"] {
            let path = in_a_file(&format!("foreign-{}.{ending}", what.replace(' ', "-")), bytes);
            let error = open(&path, None, &TextScene::default()).expect_err("no toy").to_string();
            assert!(error.contains(what) && error.contains(":1:1:") && error.contains("Expected"), "{error}");
            let ran = run(&["check", path.to_str().expect("a plain path")], "");
            assert_eq!(ran.status.code(), Some(2));
            assert!(out(&ran).is_empty() && err(&ran).contains(what), "{}", err(&ran));
            std::fs::remove_file(path).expect("the test's own file");
        }
    }
}

#[test]
fn an_oversized_file_is_refused_before_it_is_read_whole() {
    let path = in_a_file("huge.toy.ron", b"(version: 1, toy: (name: \"");
    let file = std::fs::OpenOptions::new().write(true).open(&path).expect("the test's own file");
    // A hole: nothing on the disk, a hundred gigabytes for who reads it.
    file.set_len(100 << 30).expect("a disk with holes");
    let error = open(&path, None, &TextScene::default()).expect_err("too large");
    assert!(matches!(error, FileError::TooLarge { .. }), "{error}");
    std::fs::remove_file(path).expect("the test's own file");
}

#[test]
fn a_later_version_is_refused_whatever_else_it_holds() {
    let document: Document = load(&sample_path("glass-float.toy.ron")).expect("a sample");
    let text = to_text(&document).replace("version: 1", "version: 2").replace("MagicRing", "Knot(loops: 3)");
    let error = parse(&text, "new.toy.ron").expect_err("a later version");
    assert!(matches!(error, FileError::Newer { version: 2, .. }), "{error}");
}

#[test]
fn a_figure_out_of_range_is_named_with_its_line() {
    let text = to_text(&load(&sample_path("boot-room-imp.toy.ron")).expect("a sample"));
    for (from, to, field) in [
        ("lean_deg: 60.0", "lean_deg: inf", "lean_deg"),
        ("diameter_mm: 8.0", "diameter_mm: -8.0", "diameter_mm"),
        ("hook_mm: Some(3.5)", "hook_mm: Some(0.0)", "hook_mm"),
        ("hook_mm: 3.5", "hook_mm: 0.0", "hook_mm"),
        ("angle_deg: 90.0", "angle_deg: NaN", "angle_deg"),
        ("copies: MirroredPair", "copies: Around(4000)", "copies"),
        ("\"4(8sc sc-)\"", "\"4(800000sc sc-)\"", "round 7"),
    ] {
        let Some(at) = text.find(from) else { continue };
        let line = text[..at].matches('\n').count() + 1;
        let broken = text.replacen(from, to, 1);
        let error = open_text(&broken, "imp.toy.ron", true, &TextScene::default()).expect_err(to).to_string();
        assert!(error.starts_with(&format!("imp.toy.ron:{line}")) && error.contains(field), "{to}: {error}");
    }
}
