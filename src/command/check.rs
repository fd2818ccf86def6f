//! `toppleknot check`.

use std::process::ExitCode;

use super::args::CheckArgs;
use crate::export::{report_json, report_text};
use crate::measure::{Severity, derive, land};

/// Prints the report of a file.
///
/// # Errors
/// Bad input, as one sentence with place and remedy.
pub fn check(args: &CheckArgs) -> Result<ExitCode, String> {
    let opened = args.open.open()?;
    let toy = &opened.document.toy;
    let derived = derive(toy);
    let poses = land(&derived);
    let mut report = derived.report;
    if let Some(stand) = &mut report.stand {
        stand.rest_poses = poses;
    }
    report.findings.extend(opened.problems);
    report.findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
    super::print(&if args.json { report_json(&report) } else { report_text(&report) })?;
    let severe = report.findings.iter().any(|f| f.severity == Severity::Severe);
    Ok(if args.strict && severe { ExitCode::from(1) } else { ExitCode::SUCCESS })
}
