//! Instructions of the four hot paths, counted by valgrind's callgrind: they hardly move on a noisy machine, so that a
//! later change can be judged by them.
//!
//! Each path runs as a process of its own, some times and some more times; the difference is what one run takes, with
//! neither the start of the process nor what is set up before in it.

use std::hint::black_box;
use std::process::Command;

use toppleknot::measure::derive;
use toppleknot::notation::{ReadOptions, read};
use toppleknot::stuffing::solve;

use super::lopsided::lopsided;
use super::picture::Hand;
use super::table::Row;
use super::texts::{PAGE, pages};
use super::toys::{ROUNDS, toy};

const JOBS: [(&str, &str); 4] = [
    ("solve", "one part of 50 rounds solved"),
    ("report", "document to report, 12 parts"),
    ("read", "100 kB of written rounds read"),
    ("pictures", "change to report, pictures, meshes, 12 parts"),
];

/// Runs in the shorter and in the longer process. Even, since a change goes there and back.
const TIMES: [u32; 2] = [2, 6];

/// In the process: does a job so many times.
pub fn run(job: &str, times: &str) {
    let times: u32 = times.parse().unwrap_or(0);
    match job {
        "solve" => {
            let (rest, membrane) = lopsided(50);
            (0..times).for_each(|_| drop(black_box(solve(black_box(&rest), &membrane))));
        }
        "report" => reports(12, times),
        "read" => {
            let text = pages(PAGE, 100_000);
            (0..times).for_each(|_| drop(black_box(read(black_box(&text), &ReadOptions::default()))));
        }
        "pictures" => {
            let mut hand = Hand::of(12);
            (0..times).for_each(|_| _ = black_box(hand.change()));
        }
        other => match other.parse() {
            Ok(parts) => reports(parts, times),
            Err(_) => {
                eprintln!("there is no path {other}; there are solve, report, read, pictures, or a number of parts")
            }
        },
    }
}

fn reports(parts: u32, times: u32) {
    let toy = toy(parts);
    (0..times).for_each(|_| drop(black_box(derive(black_box(&toy)))));
}

/// Instructions of a process that does a job so many times.
fn counted(job: &str, times: u32) -> Result<f64, String> {
    let own = std::env::current_exe().map_err(|e| e.to_string())?;
    let out = std::env::temp_dir().join(format!("toppleknot-callgrind-{}", std::process::id()));
    let output = Command::new("valgrind")
        .args(["--tool=callgrind", &format!("--callgrind-out-file={}", out.display())])
        .arg(own)
        .args(["count", job, &times.to_string()])
        .output()
        .map_err(|e| format!("valgrind does not start ({e})"))?;
    let _ = std::fs::remove_file(out);
    let told = String::from_utf8_lossy(&output.stderr);
    let count = told.lines().find_map(|line| line.split_once("Collected : ")?.1.trim().parse().ok());
    count.ok_or_else(|| format!("valgrind says nothing: {}", told.lines().last().unwrap_or_default()))
}

/// Instructions of one run, from the shorter and the longer process.
fn of_one(job: &str, [few, more]: [u32; 2]) -> Result<f64, String> {
    Ok((counted(job, more)? - counted(job, few)?) / f64::from(more - few))
}

/// How many instructions the report takes for a round, whatever the number of parts.
fn evenness() -> Row {
    const PARTS: [u32; 4] = [1, 12, 100, 1000];
    let what = "instructions a round: document to report, 1 / 12 / 100 / 1,000 parts".to_owned();
    let a_round = |parts: u32| of_one(&parts.to_string(), [1, 2]).map(|count| count / f64::from(parts * ROUNDS));
    match PARTS.into_iter().map(a_round).collect::<Result<Vec<f64>, String>>() {
        Ok(each) => Row {
            what,
            here: each.iter().map(|n| format!("{n:.0}")).collect::<Vec<_>>().join(" / "),
            against: "a round of 12 parts".to_owned(),
            ratio: each.iter().map(|n| format!("{:.2}", n / each[1])).collect::<Vec<_>>().join(" / "),
            aim: "1 within 20 %".to_owned(),
        },
        Err(why) => Row::absent(&what, &why),
    }
}

pub fn rows() -> Vec<Row> {
    let row = |(job, words): (&str, &str)| {
        let what = format!("instructions: {words}");
        let (first, again) = match (of_one(job, TIMES), of_one(job, TIMES)) {
            (Ok(first), Ok(again)) => (first, again),
            (Err(why), _) | (_, Err(why)) => return Row::absent(&what, &why),
        };
        Row {
            what,
            here: format!("{:.4} million", first * 1e-6),
            against: format!("counted again: {:.4} million", again * 1e-6),
            ratio: format!("{:.6}", again / first),
            aim: "fewer than before".to_owned(),
        }
    };
    JOBS.into_iter().map(row).chain([evenness()]).collect()
}
