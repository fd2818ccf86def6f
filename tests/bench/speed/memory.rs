//! The most memory that a process takes for a toy, its report, pictures and meshes. Each size is a process of its own.

use std::hint::black_box;
use std::process::Command;

use super::picture::Hand;
use super::table::Row;

const PARTS: [u32; 3] = [1, 100, 1000];

/// In the process: works a toy out and says the most that it took, kB.
pub fn run(parts: &str) {
    let mut hand = Hand::of(parts.parse().unwrap_or(1));
    black_box(hand.show());
    // One change, so that the toy before it is still in hand.
    black_box(hand.change());
    println!("{}", peak_kb().unwrap_or(0));
}

/// The high-water mark of resident memory, kB (proc(5): VmHWM).
fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}

fn of_process(parts: u32) -> Option<f64> {
    let own = std::env::current_exe().ok()?;
    let output = Command::new(own).args(["memory-of", &parts.to_string()]).output().ok()?;
    let kb: f64 = String::from_utf8_lossy(&output.stdout).trim().parse().ok()?;
    (kb > 0.0).then_some(kb)
}

pub fn rows() -> Vec<Row> {
    let what = "peak memory of a process: report, pictures and meshes, one change";
    let Some(peaks) = PARTS.into_iter().map(of_process).collect::<Option<Vec<f64>>>() else {
        return vec![Row::absent(what, "the system does not say")];
    };
    let each = |from: usize, to: usize| (peaks[to] - peaks[from]) / f64::from(PARTS[to] - PARTS[from]);
    vec![Row {
        what: what.to_owned(),
        here: format!(
            "{:.1} / {:.1} / {:.0} MB with 1 / 100 / 1,000 parts of 50 rounds: {:.0} kB a part",
            peaks[0] / 1e3,
            peaks[1] / 1e3,
            peaks[2] / 1e3,
            each(1, 2)
        ),
        against: format!("a part between 1 and 100: {:.0} kB", each(0, 1)),
        ratio: format!("{:.2}", each(1, 2) / each(0, 1)),
        aim: "1 (linear)".to_owned(),
    }]
}
