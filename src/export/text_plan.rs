//! The maker's plan in the report: hours and days, fabric, where things go, cautions.

use std::fmt::Write;

use super::text::range;
use crate::figure::Figure;
use crate::measure::report::{CautionsReport, FabricReport, PlacementsReport, Report, SeamReport, TimeReport};
use crate::view::sewn::{face_place, seam_place, sewn_off};

/// Hours and days, beside size and weight.
pub(super) fn write_time(out: &mut String, time: &TimeReport) -> std::fmt::Result {
    let hours = |f: Figure| {
        let f = f.scaled(1.0 / 60.0);
        range(f, usize::from(f.value < 10.0))
    };
    let left =
        if time.done_share > 0.0 { format!(", {} h of them left", hours(time.left_minutes)) } else { String::new() };
    writeln!(
        out,
        "Time       {} h{left}, at {} single crochets a minute, {} seams",
        hours(time.total_minutes),
        range(time.pace_sc_per_min.figure, 0),
        time.seams
    )?;
    let Some(done) = time.done_day else { return Ok(()) };
    let latest =
        time.done_day_high.filter(|d| *d != done).map_or(String::new(), |d| format!(", {d} if it goes slowly"));
    let hours_per_day = time.hours_per_day.unwrap_or_default();
    let wished = match (time.wished_day, time.verdict) {
        (Some(day), Some("in_time")) => format!("; in time for {day}"),
        (Some(day), Some("just")) => format!("; just in time for {day} if all goes well"),
        (Some(day), Some("late")) => format!("; too late for {day}"),
        _ => String::new(),
    };
    writeln!(out, "Done       {done} at {hours_per_day} h a day{latest}{wished}")?;
    if matches!(time.verdict, Some("late" | "just")) {
        for saving in &time.savings {
            let enough = if saving.reaches_wished_day == Some(true) { " Then it is done in time." } else { "" };
            writeln!(out, "           saves {} min: {}{enough}", range(saving.minutes, 0), saving.message)?;
            if saving.reaches_wished_day == Some(true) {
                break;
            }
        }
    }
    Ok(())
}

/// Fabric, faces, seams, steps and cautions, after the parts.
pub(super) fn write_plan(out: &mut String, report: &Report) -> std::fmt::Result {
    write_fabric(out, &report.fabric)?;
    if let Some(placements) = &report.placements {
        write_placements(out, placements)?;
    }
    write_cautions(out, &report.cautions)
}

fn write_fabric(out: &mut String, fabric: &[FabricReport]) -> std::fmt::Result {
    let of = |verdict: &str| -> Vec<&str> {
        fabric.iter().filter(|f| f.verdict == verdict).map(|f| f.part.as_str()).collect()
    };
    let (closed, near) = (of("closed"), of("near"));
    if !closed.is_empty() {
        writeln!(out, "\nFabric     closed: {}", closed.join(", "))?;
    }
    if !near.is_empty() {
        writeln!(out, "           stuffing may show a little: {}", near.join(", "))?;
    }
    for open in fabric.iter().filter(|f| f.verdict == "shows") {
        let round = open.worst_round.map_or(String::new(), |r| format!(" at round {r}"));
        let hook = open.closing_hook_mm.map_or(String::new(), |h| format!("; a hook of {h} mm would close it"));
        writeln!(out, "           stuffing shows: {}{round}{hook}", open.part)?;
    }
    Ok(())
}

fn write_placements(out: &mut String, placements: &PlacementsReport) -> std::fmt::Result {
    if !placements.face.is_empty() || placements.seams.iter().any(|s| !s.copies.is_empty()) {
        writeln!(out, "\nWhere things go (rounds from 1, stitches from where each round begins)")?;
    }
    for face in placements.face.iter().filter(|f| f.part_copy == 0) {
        writeln!(out, "  {} on {}: {}", face.extra, face.part, face_place(face))?;
    }
    for seam in &placements.seams {
        write_seam(out, seam)?;
    }
    if !placements.steps.is_empty() {
        writeln!(out, "\nSteps")?;
    }
    for part in &placements.steps {
        writeln!(out, "  {}", part.part)?;
        for step in &part.steps {
            writeln!(out, "    {}", step.message)?;
        }
    }
    Ok(())
}

fn write_seam(out: &mut String, seam: &SeamReport) -> std::fmt::Result {
    for copy in &seam.copies {
        let which = if seam.copies.len() > 1 { format!(" {}", copy.copy + 1) } else { String::new() };
        write!(out, "  {}{which} on {}: ", seam.part, seam.onto)?;
        writeln!(out, "{}", seam_place(seam, copy))?;
    }
    if let Some(tail) = seam.tail_mm {
        writeln!(out, "    seam {:.0} mm, leave {} mm of tail", seam.length_mm, range(tail, 0))?;
    }
    match sewn_off(seam) {
        Some(off) => writeln!(out, "    {off}"),
        None => Ok(()),
    }
}

fn write_cautions(out: &mut String, cautions: &CautionsReport) -> std::fmt::Result {
    writeln!(out, "\nCautions   {}", cautions.message)?;
    // The others stand among what to look at.
    for caution in cautions.cautions.iter().filter(|c| c.kind == "attachment") {
        writeln!(out, "  {} {}", caution.message, caution.remedy)?;
    }
    Ok(())
}
