//! `toppleknot sketch` and `toppleknot sheet` as a maker meets them.

use std::path::Path;
use std::process::{Command, Output};

use super::folder;

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_toppleknot"))
        .args(args)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .expect("the program starts")
}

fn crier() -> String {
    format!("{}/samples/puppet-booth-crier.toy.ron", env!("CARGO_MANIFEST_DIR"))
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

#[test]
fn sketches_and_sheets_are_written() {
    let folder = folder("written");
    let starts: [(&str, &[&str], &[u8]); 6] = [
        ("sketch.svg", &["sketch", "--units", "imperial", "--top"], b"<?xml"),
        ("sketch.png", &["sketch", "--dpi", "60"], b"\x89PNG\r\n\x1a\n"),
        ("sketch.PDF", &["sketch", "--paper", "letter"], b"%PDF-1.7"),
        ("work.pdf", &["sheet", "--terms", "uk"], b"%PDF-1.7"),
        ("full.pdf", &["sheet", "--full-size", "--top"], b"%PDF-1.7"),
        ("gauge.pdf", &["sheet", "--stitches-per-10cm", "25", "--stuffing", "firm"], b"%PDF-1.7"),
    ];
    for (name, args, start) in starts {
        let path = folder.join(name);
        let crier = crier();
        let all: Vec<&str> = args.iter().copied().chain([crier.as_str(), "-o", text(&path)]).collect();
        let output = run(&all);
        assert!(output.status.success(), "{name}: {}", String::from_utf8_lossy(&output.stderr));
        assert!(output.stdout.is_empty() && output.stderr.is_empty());
        assert!(std::fs::read(&path).expect("a file").starts_with(start), "{name}");
    }
    let left: Vec<_> = std::fs::read_dir(&folder).expect("the folder").flatten().map(|e| e.file_name()).collect();
    assert_eq!(left.len(), 6, "no other file is left beside them: {left:?}");
}

#[test]
fn errors_name_place_and_remedy() {
    let folder = folder("errors");
    let crier = crier();
    let out = |name: &str| text(&folder.join(name)).to_owned();
    let cases: [(Vec<&str>, String, &str); 6] = [
        (vec!["sketch", &crier], out("a.gif"), "Expected .svg, .png, .pdf"),
        (vec!["sheet", &crier], out("a.svg"), "Expected .pdf"),
        (vec!["sketch", &crier, "--dpi", "100000"], out("a.png"), "Expected at most 100 million"),
        (vec!["sketch", &crier, "--dpi", "2"], out("a.png"), "300 prints well"),
        (vec!["sketch", &crier], out("no/such/folder/a.svg"), "choose another place"),
        (vec!["sheet", "no-such-toy.toy.ron"], out("a.pdf"), "no-such-toy"),
    ];
    for (args, path, wanted) in cases {
        let all: Vec<&str> = args.iter().copied().chain(["-o", path.as_str()]).collect();
        let output = run(&all);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(wanted), "{wanted} in {said}");
        assert!(!Path::new(&path).exists());
    }
}

/// A name that is taken by a folder cannot be written: what is there stays, and no half file is left.
#[test]
fn what_cannot_be_written_leaves_everything_as_it_was() {
    let folder = folder("whole");
    let taken = folder.join("taken.pdf");
    std::fs::create_dir_all(taken.join("inside")).expect("a folder");
    let output = run(&["sketch", &crier(), "-o", text(&taken)]);
    assert_eq!(output.status.code(), Some(2));
    assert!(taken.join("inside").is_dir());
    assert_eq!(std::fs::read_dir(&folder).expect("the folder").count(), 1);
    // A file that is there is replaced whole.
    let path = folder.join("old.svg");
    std::fs::write(&path, "old").expect("a writable folder");
    assert!(run(&["sketch", &crier(), "-o", text(&path)]).status.success());
    assert!(std::fs::read_to_string(&path).expect("a file").ends_with("</svg>\n"));
}
