//! How fast written rounds are read where it is hard: a megabyte with every total wrong, so that each round is tried
//! under all habits; and a single page. A plain megabyte: `sh tests/speed`.
//!
//! `cargo bench --no-default-features --bench reader`

#[path = "common/texts.rs"]
mod texts;

use divan::Bencher;
use divan::counter::BytesCount;
use texts::{PAGE, pages};
use toppleknot::notation::{ReadOptions, read};

fn main() {
    divan::main();
}

#[divan::bench(sample_count = 10)]
fn one_megabyte_with_wrong_totals(bencher: Bencher) {
    let wrong = PAGE.replace("(18)", "(17)").replace("(24)", "(23)").replace("[14]", "[15]");
    let text = pages(&wrong, 1_000_000);
    bencher.counter(BytesCount::of_str(&text)).bench(|| read(&text, &ReadOptions::default()));
}

#[divan::bench]
fn one_page(bencher: Bencher) {
    bencher.counter(BytesCount::of_str(PAGE)).bench(|| read(PAGE, &ReadOptions::default()));
}
