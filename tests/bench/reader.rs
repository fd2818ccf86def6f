//! How fast written rounds are read: a text of one megabyte (aim: below 200 ms), of a page, and the same
//! megabyte with every total wrong, so that each round is tried under all habits.

use divan::Bencher;
use divan::counter::BytesCount;
use toppleknot::notation::{ReadOptions, read};

fn main() {
    divan::main();
}

const PAGE: &str = "\
Head (make 2)
Rnd 1: 6 sc in MR (6)
Rnd 2: inc x 6 (12)
Rnd 3: (sc, inc) x 6 (18)
Rnd 4: *2 sc, inc; rep from * around (24)
Rnds 5-9: sc in each st around (24)
Place the eyes between rounds 7 and 8, 6 stitches apart.
Rnd 10: (2 sc, dec) x 6 (18)
Rnd 11: 3 sc, (sc, dec) 4 times, sc in next 3 sts [14]
Rnd 12: dec around (7)
Stuff firmly. Fasten off and close the hole.

A line of prose that says how the maker likes to sit by the window.

";

fn text(page: &str) -> String {
    page.repeat(1_000_000 / page.len() + 1)
}

#[divan::bench(sample_count = 20)]
fn one_megabyte(bencher: Bencher) {
    let text = text(PAGE);
    bencher.counter(BytesCount::of_str(&text)).bench(|| read(&text, &ReadOptions::default()));
}

#[divan::bench(sample_count = 10)]
fn one_megabyte_with_wrong_totals(bencher: Bencher) {
    let text = text(&PAGE.replace("(18)", "(17)").replace("(24)", "(23)").replace("[14]", "[15]"));
    bencher.counter(BytesCount::of_str(&text)).bench(|| read(&text, &ReadOptions::default()));
}

#[divan::bench]
fn one_page(bencher: Bencher) {
    bencher.counter(BytesCount::of_str(PAGE)).bench(|| read(PAGE, &ReadOptions::default()));
}
