//! How fast written rounds are read.

use std::hint::black_box;

use toppleknot::notation::{ReadOptions, read};

use super::table::{Row, ratio, span, time};
use super::texts::{PAGE, pages};
use super::timing::{Span, in_turns};

pub fn rows() -> Vec<Row> {
    let (text, tenth) = (pages(PAGE, 1_000_000), pages(PAGE, 100_000));
    let options = ReadOptions::default();
    let [long, short] = in_turns(
        4.0,
        [&mut || drop(black_box(read(black_box(&text), &options))), &mut || {
            drop(black_box(read(black_box(&tenth), &options)))
        }],
    );
    let speed = Span::of(long.0.iter().map(|s| text.len() as f64 * 1e-6 / s).collect());
    vec![Row {
        what: "reading 1 MB of written rounds".to_owned(),
        here: format!("{}: {}", time(long.span()), span(speed, "MB/s")),
        against: format!("ten times 100 kB, each {}", time(short.span())),
        ratio: ratio(long.over(&short).times(tenth.len() as f64 / text.len() as f64)),
        aim: "below 200 ms; 1 (linear)".to_owned(),
    }]
}
