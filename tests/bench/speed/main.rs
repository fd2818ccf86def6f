//! Speed, in one table: every figure beside what it is held against, measured in turns in one run, so that a noisy
//! machine falls on both sides; medians with the lowest and the highest.
//!
//! `sh tests/speed` prints the whole table, `sh tests/speed solver mass` these sections of it. Single figures in more
//! detail are benches of their own.

#[path = "../common/lopsided.rs"]
mod lopsided;
#[path = "../common/texts.rs"]
mod texts;
#[path = "../common/toys.rs"]
mod toys;

mod counts;
mod limit;
mod mass;
mod memory;
mod picture;
mod reader;
mod report;
mod solver;
mod start;
mod table;
mod timing;
#[cfg(feature = "gui")]
mod window;

use table::Row;

/// The lines of a section.
type Rows = fn() -> Vec<Row>;

/// Sections of the table, in its order.
const SECTIONS: [(&str, Rows); 9] = [
    ("solver", solver::rows),
    ("limit", limit::rows),
    ("mass", mass::rows),
    ("report", report::rows),
    ("picture", picture::rows),
    ("reader", reader::rows),
    ("memory", memory::rows),
    ("start", start::rows),
    ("counts", counts::rows),
];

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words[..] {
        // What the table starts as processes of their own.
        ["count", job, times] => counts::run(job, times),
        ["memory-of", parts] => memory::run(parts),
        _ => {
            table::head();
            let asked = |name: &str| words.is_empty() || words.contains(&name);
            for (_, rows) in SECTIONS.iter().filter(|(name, _)| asked(name)) {
                rows().iter().for_each(table::print);
            }
        }
    }
}
