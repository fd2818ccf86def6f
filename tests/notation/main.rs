//! The reader and writer of written rounds against the texts in this folder (their form: README.md).

mod expect;
mod headings;
mod limits;
mod pages;
mod phrases;
mod random;
mod told;
mod words;

use std::fs;
use std::path::{Path, PathBuf};

use expect::Case;

fn texts(folder: &str) -> Vec<PathBuf> {
    fn walk(folder: &Path, out: &mut Vec<PathBuf>) {
        let Ok(entries) = fs::read_dir(folder) else { return };
        for entry in entries.flatten() {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, out);
            } else if path.extension().is_some_and(|e| e == "txt") {
                out.push(path);
            }
        }
    }
    let mut out = Vec::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/notation").join(folder), &mut out);
    out.sort();
    out
}

fn check(folder: &str) -> (usize, Vec<Case>) {
    let (mut failures, mut cases) = (Vec::new(), Vec::new());
    let mut tally = expect::Tally::default();
    let filter = std::env::var("NOTATION_FILTER").unwrap_or_default();
    for path in texts(folder) {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if !name.contains(&filter) {
            continue;
        }
        let text = fs::read_to_string(&path).expect("a text of this folder");
        // One file may hold several texts, parted by lines of `//----`.
        for (k, part) in text.split("//----").enumerate() {
            let case = match Case::parse(part) {
                Ok(case) => case,
                Err(wrong) => {
                    failures.push(format!("{name} [{k}]: {wrong}"));
                    continue;
                }
            };
            let wrong = case.compare(&mut tally);
            if !wrong.is_empty() {
                failures.push(format!("{name} [{k}] {}:\n    {}", case.title(), wrong.join("\n    ")));
            }
            cases.push(case);
        }
    }
    println!(
        "{folder}: {} texts, {} rounds, {} right, {} of the {} wrong ones flagged at their line",
        cases.len(),
        tally.rounds,
        tally.right,
        tally.flagged,
        tally.rounds - tally.right,
    );
    assert!(failures.is_empty(), "{} of {} texts:\n{}", failures.len(), cases.len(), failures.join("\n"));
    (tally.rounds, cases)
}

#[test]
fn own_texts_are_read_as_they_say() {
    let (_, cases) = check("texts/own");
    if std::env::var("NOTATION_FILTER").is_ok() {
        return;
    }
    let mut per_group = [0usize; 52];
    for g in cases.iter().flat_map(|c| c.groups.iter()) {
        per_group[*g] += 1;
    }
    let thin: Vec<usize> = (1..=51).filter(|g| per_group[*g] < 2).collect();
    assert!(thin.is_empty(), "groups shown by fewer than two texts: {thin:?}");
    assert!(cases.len() >= 130, "{} texts", cases.len());
}

#[test]
fn pages_written_unseen_are_read_as_they_say() {
    check("texts/own2");
}

#[test]
fn corpus_texts_are_read_as_they_say() {
    check("texts/corpus");
}

#[test]
fn makers_ways_of_writing_are_read_as_they_say() {
    let (rounds, cases) = check("texts/makers");
    if std::env::var("NOTATION_FILTER").is_err() {
        assert!(cases.len() >= 150 && rounds > 1_800, "{} texts, {rounds} rounds", cases.len());
    }
}

#[test]
fn whole_patterns_are_read_as_they_say() {
    let (rounds, cases) = check("patterns");
    if std::env::var("NOTATION_FILTER").is_ok() {
        return;
    }
    assert!(cases.len() >= 10 && rounds > 300, "{} patterns, {rounds} rounds", cases.len());
}
