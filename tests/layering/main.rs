//! The house rule as a test: a module imports only from modules above it in `src/lib.rs`, the core names no
//! window toolkit, and no source file outgrows its reader.

use std::fs;
use std::path::{Path, PathBuf};

#[path = "../common/rust_files.rs"]
mod rust_files;
use rust_files::rust_files;

const WINDOW_CRATES: [&str; 7] = ["egui", "eframe", "egui_wgpu", "egui_extras", "wgpu", "rfd", "winit"];

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// The modules in the order `lib.rs` lists them.
fn order() -> Vec<String> {
    let text = fs::read_to_string(source().join("lib.rs")).expect("lib.rs is there");
    text.lines().filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';')).map(str::to_owned).collect()
}

/// Words that follow `crate::` in code, comments left out.
fn crate_paths(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let code = line.split("//").next().unwrap_or("");
        for part in code.split("crate::").skip(1) {
            if let Some(group) = part.strip_prefix('{') {
                let names = group.split([',', '}']).map(|s| s.trim().split("::").next().unwrap_or("").to_owned());
                found.extend(names.filter(|n| !n.is_empty()).map(|n| (number + 1, n)));
            } else {
                let name: String = part.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                found.push((number + 1, name));
            }
        }
    }
    found
}

#[test]
fn modules_import_only_from_those_above_them() {
    let order = order();
    assert!(order.len() > 8, "lib.rs lists the modules one a line: {order:?}");
    let mut wrong = Vec::new();
    for (rank, module) in order.iter().enumerate() {
        for file in rust_files(&source().join(module)) {
            let text = fs::read_to_string(&file).expect("a source file");
            for (line, name) in crate_paths(&text) {
                match order.iter().position(|m| *m == name) {
                    Some(other) if other > rank => {
                        wrong.push(format!("{}:{line} imports crate::{name}", file.display()))
                    }
                    _ => {}
                }
            }
        }
    }
    assert!(wrong.is_empty(), "imports against the layer order of src/lib.rs:\n{}", wrong.join("\n"));
}

#[test]
fn only_the_window_knows_the_toolkit() {
    let mut wrong = Vec::new();
    for file in rust_files(&source()) {
        if file.starts_with(source().join("ui")) || file == source().join("main.rs") {
            continue;
        }
        let text = fs::read_to_string(&file).expect("a source file");
        for (number, line) in text.lines().enumerate() {
            let code = line.split("//").next().unwrap_or("");
            if WINDOW_CRATES.iter().any(|c| code.contains(&format!("{c}::")) || code.contains(&format!("use {c}"))) {
                wrong.push(format!("{}:{}", file.display(), number + 1));
            }
        }
    }
    assert!(wrong.is_empty(), "the toolkit is named outside src/ui: {}", wrong.join(", "));
}

#[test]
fn no_source_file_outgrows_its_reader() {
    let long: Vec<String> = rust_files(&source())
        .into_iter()
        .filter_map(|f| {
            let lines = fs::read_to_string(&f).expect("a source file").lines().count();
            (lines > 600).then(|| format!("{} ({lines} lines)", f.display()))
        })
        .collect();
    assert!(long.is_empty(), "split these near 600 lines: {}", long.join(", "));
}
