//! Files of toys: whole, broken, foreign, of a later version.

use toppleknot::document::{Document, FileError, load, parse, save, to_text};

use super::sample_path;

#[test]
fn a_saved_toy_comes_back_and_a_failed_save_leaves_the_old_file() {
    let folder = std::env::temp_dir().join(format!("toppleknot-files-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let path = folder.join("crier.toy.ron");
    let document = load(&sample_path("puppet-booth-crier.toy.ron")).expect("a sample");
    save(&document, &path).expect("a writable folder");
    assert_eq!(load(&path).expect("what was saved"), document);
    // A folder stands where the file should go: nothing is left behind and the error says so.
    let taken = folder.join("taken.toy.ron");
    std::fs::create_dir_all(taken.join("inside")).expect("a folder for the test");
    let refused = save(&document, &taken).expect_err("a folder cannot be written over");
    assert!(matches!(refused, FileError::Unwritable { .. }), "{refused}");
    let left: Vec<_> = std::fs::read_dir(&folder).expect("the folder").flatten().map(|e| e.file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
    std::fs::remove_dir_all(&folder).expect("the test's own folder");
}

#[test]
fn every_cut_of_a_file_is_an_error_with_a_place() {
    let text = std::fs::read_to_string(sample_path("sea-wall-bear.toy.ron")).expect("a sample");
    let end = text.trim_end().len();
    for cut in (0..end).step_by(97).filter(|c| text.is_char_boundary(*c)) {
        match parse(&text[..cut], "cut.toy.ron") {
            Err(FileError::Malformed { line, column, .. }) => assert!(line >= 1 && column >= 1),
            other => panic!("cut at {cut}: {other:?}"),
        }
    }
}

#[test]
fn a_slip_in_a_round_is_named_with_its_place() {
    let text = to_text(&load(&sample_path("glass-float.toy.ron")).expect("a sample")).replace("42sc", "42xc");
    let error = parse(&text, "float.toy.ron").expect_err("xc is no stitch").to_string();
    assert!(error.starts_with("float.toy.ron:") && error.contains("expected sl, sc, hdc, dc or tr"), "{error}");
}

#[test]
fn a_later_version_is_refused_in_plain_words() {
    let text = to_text(&Document::default()).replace("version: 1", "version: 9");
    let error = parse(&text, "new.toy.ron").expect_err("a later version");
    assert!(matches!(error, FileError::Newer { version: 9, .. }), "{error}");
}

#[test]
fn fields_that_a_file_lacks_have_their_defaults() {
    let document = parse("(version: 1, toy: (name: \"Pebble\"))", "short.toy.ron").expect("a short file");
    assert_eq!(document.toy.name, "Pebble");
    assert!(document.toy.pieces.is_empty());
}
