//! The proportion sketch of a worked-out toy as a file, and the sheets as PDF.
//!
//! `cargo bench --no-default-features --bench paper`

use divan::Bencher;
use toppleknot::document::{TextScene, open_text, samples};
use toppleknot::export::paper::{pdf, png, svg};
use toppleknot::measure::{Derived, derive};
use toppleknot::toy::Toy;
use toppleknot::view::sheet::full_size::{FullSizeOptions, full_size};
use toppleknot::view::sheet::sketch::{SketchOptions, sketch};
use toppleknot::view::sheet::work::{WorkOptions, work_sheet};

fn main() {
    divan::main();
}

const TITLES: [&str; 2] = ["Puppet-booth crier", "Sea-wall bear"];

fn made(title: &str) -> (Toy, Derived) {
    let sample = samples().iter().find(|s| s.title == title).expect("a sample");
    let toy = open_text(sample.text, title, true, &TextScene::default()).expect("samples open").document.toy;
    let derived = derive(&toy);
    (toy, derived)
}

#[divan::bench(args = TITLES)]
fn sketch_svg(bencher: Bencher, title: &str) {
    let (toy, derived) = made(title);
    bencher.bench_local(|| {
        let sheet = sketch(&toy, &derived, SketchOptions::default());
        svg(&sheet, &sheet.pages[0])
    });
}

#[divan::bench(args = TITLES)]
fn sketch_png_300_dpi(bencher: Bencher, title: &str) {
    let (toy, derived) = made(title);
    bencher.bench_local(|| {
        let sheet = sketch(&toy, &derived, SketchOptions::default());
        png(&sheet, &sheet.pages[0], 300.0)
    });
}

#[divan::bench(args = TITLES)]
fn sketch_pdf(bencher: Bencher, title: &str) {
    let (toy, derived) = made(title);
    bencher.bench_local(|| pdf(&sketch(&toy, &derived, SketchOptions::default())));
}

#[divan::bench(args = TITLES)]
fn work_sheet_pdf(bencher: Bencher, title: &str) {
    let (toy, derived) = made(title);
    bencher.bench_local(|| pdf(&work_sheet(&toy, &derived, WorkOptions::default())));
}

#[divan::bench(args = TITLES)]
fn full_size_pdf(bencher: Bencher, title: &str) {
    let (toy, derived) = made(title);
    bencher.bench_local(|| full_size(&toy, &derived, FullSizeOptions::default()).map(|s| pdf(&s)));
}
