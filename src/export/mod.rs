//! Reports and pictures as bytes.

pub mod mesh;
pub mod paper;
mod advice;
mod reading;
mod text;
mod text_plan;

pub use advice::{advice_json, advice_text};
pub use reading::{finish_word, kind_word, reading_json, reading_text, start_word};
pub use text::report_text;

use std::path::Path;

use crate::measure::Report;

/// Why a file of so many bytes could not be written, in a sentence with its place and the remedy.
pub fn not_written(path: &Path, bytes: usize, why: &std::io::Error) -> String {
    format!(
        "{} cannot be written: {why}. Nothing was changed there; expected a folder that exists and can be written, with \
         room for {} kB. Free some room or choose another place.",
        path.display(),
        bytes.div_ceil(1000)
    )
}

/// The report for programs: JSON, indented, with a line end.
pub fn report_json(report: &Report) -> String {
    // A report has only strings, numbers and lists; there is nothing in it that has no JSON.
    serde_json::to_string_pretty(report).map(|t| t + "\n").unwrap_or_default()
}
