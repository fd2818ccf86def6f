//! `toppleknot outline`.

use std::fmt::Write as _;
use std::io::Read as _;
use std::path::Path;
use std::process::ExitCode;

use serde::Serialize;

use super::outline_args::OutlineArgs;
use crate::advise::outline::{
    Fit, MOST_SVG_BYTES, Remark, Rules, SvgEnd, SvgOptions, SvgOutline, read_svg_outline_with, rounds_of_outline,
};
use crate::document::{Document, save};
use crate::export::{finish_word, start_word};
use crate::figure::Figure;
use crate::measure::report::{AssumedBlock, PartReport};
use crate::measure::{derive, shape_input};
use crate::notation::{WriteOptions, write};
use crate::part::{End, Part};
use crate::toy::{Piece, Placement, Seat, Toy};
use crate::yarn::Yarn;

/// Prints the rounds for a drawn outline.
///
/// # Errors
/// Bad input, as one sentence with place and remedy.
pub fn outline(args: &OutlineArgs) -> Result<ExitCode, String> {
    let file = if args.file == Path::new("-") { "standard input".to_owned() } else { args.file.display().to_string() };
    let bytes = read(&args.file)
        .map_err(|e| format!("{file}: cannot be read: {e}. Check that the file is there and that you may read it."))?;
    let options = SvgOptions { axis_mm: args.axis, start: args.start.map(Into::into) };
    let drawn = read_svg_outline_with(&bytes, &options).map_err(|e| format!("{file}: {e}."))?;
    let mut rules = Rules::default();
    if args.steep {
        (rules.most_into_one, rules.most_together) = (3, 3);
    }
    // A part that waits to be placed: its open rims count as sewn on.
    let mut toy = Toy { yarns: vec![Yarn::default()], ..Toy::default() };
    toy.pieces
        .push(Piece { part: Part::default(), placement: Placement { seat: Seat::Beside, ..Placement::default() } });
    args.scene.scene().apply(&mut toy);
    let fit = rounds_of_outline(&drawn.half, &shape_input(&toy, 0), &rules).map_err(|e| format!("{file}: {e}."))?;
    let name = args.name.clone().unwrap_or_else(|| name_of(&args.file));
    let stuffing = toy.pieces[0].part.stuffing;
    let yarn = toy.yarns[0].name.clone();
    toy.pieces[0].part = Part { name: name.clone(), yarn, stuffing, ..fit.part.clone() };
    toy.name.clone_from(&name);
    let report = derive(&toy).report;
    let part = report.parts.first().ok_or("the part has no shape")?;
    if let Some(path) = &args.output {
        let mut saved = toy.clone();
        if drawn.half.starts_closed() && drawn.half.finishes_closed() {
            saved.pieces[0].placement.seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
        }
        save(&Document { toy: saved }, path).map_err(|e| e.to_string())?;
    }
    let options = WriteOptions { terms: args.terms.into(), say_terms: true };
    let written = write(&name, 1, &fit.part.start, fit.part.finish, &fit.part.rounds, options);
    let text = if args.json {
        json(&drawn, &fit, &report.assumed, part, &written)
    } else {
        plain(&drawn, &fit, part, &written)
    };
    super::print(&text)?;
    Ok(ExitCode::SUCCESS)
}

fn read(path: &Path) -> std::io::Result<Vec<u8>> {
    let most = MOST_SVG_BYTES as u64 + 1;
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().lock().take(most).read_to_end(&mut bytes)?;
    } else {
        std::fs::File::open(path)?.take(most).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

fn name_of(path: &Path) -> String {
    let stem = path.file_stem().and_then(|s| s.to_str()).filter(|s| !s.is_empty() && *s != "-");
    stem.unwrap_or("Part").chars().map(|c| if c.is_control() { ' ' } else { c }).take(60).collect()
}

fn end_word(end: SvgEnd) -> &'static str {
    match end {
        SvgEnd::Top => "top",
        SvgEnd::Bottom => "bottom",
    }
}

fn plain(drawn: &SvgOutline, fit: &Fit, part: &PartReport, written: &str) -> String {
    let mut out = String::new();
    let size = |f: &Figure| format!("{:.0} mm ({:.0} to {:.0})", f.value, f.low, f.high);
    let _ = writeln!(out, "{}", written.trim_end());
    let _ = writeln!(out);
    let _ = writeln!(
        out,
        "Wanted   {:.0} mm wide, {:.0} mm high, outside; worked from the {} of the drawing.",
        fit.wanted.widest_mm(),
        fit.wanted.height_mm(),
        end_word(drawn.start)
    );
    let _ = writeln!(
        out,
        "Comes out {} wide, {} high, in {} rounds, {} stitches.",
        size(&part.widest_mm),
        size(&part.length_mm),
        part.rounds.len(),
        part.stitches
    );
    let _ = writeln!(
        out,
        "Outline  off by {:.1} mm on average (root mean square), {:.1} mm at most{}.",
        fit.error.rms_mm,
        fit.error.max_mm,
        if fit.within { ", less than half a stitch" } else { ", more than half a stitch" }
    );
    for remark in &fit.remarks {
        let _ = writeln!(out, "- {}", remark.message);
    }
    for note in &drawn.notes {
        let _ = writeln!(out, "- {note}");
    }
    out
}

#[derive(Serialize)]
struct OutlineJson<'a> {
    schema: u32,
    assumed: &'a AssumedBlock,
    start: &'static str,
    finish: &'static str,
    worked_from: &'static str,
    rounds: &'a [u32],
    stitches: u64,
    written: &'a str,
    wanted: Wanted,
    widest_mm: Figure,
    length_mm: Figure,
    outline_error: Off,
    outline_mm: Vec<[f64; 2]>,
    remarks: &'a [Remark],
    notes: &'a [String],
}

#[derive(Serialize)]
struct Wanted {
    widest_mm: f64,
    length_mm: f64,
}

#[derive(Serialize)]
struct Off {
    max_mm: f64,
    rms_mm: f64,
    half_stitch_mm: f64,
    within_half_stitch: bool,
    worst_at_mm: [f64; 2],
    by_node_mm: Vec<f64>,
}

fn json(drawn: &SvgOutline, fit: &Fit, assumed: &AssumedBlock, part: &PartReport, written: &str) -> String {
    let report = OutlineJson {
        schema: crate::measure::report::SCHEMA,
        assumed,
        start: start_word(&fit.part.start),
        finish: finish_word(fit.part.finish),
        worked_from: end_word(drawn.start),
        rounds: &part.rounds,
        stitches: part.stitches,
        written,
        wanted: Wanted { widest_mm: fit.wanted.widest_mm(), length_mm: fit.wanted.height_mm() },
        widest_mm: part.widest_mm,
        length_mm: part.length_mm,
        outline_error: Off {
            max_mm: fit.error.max_mm,
            rms_mm: fit.error.rms_mm,
            half_stitch_mm: 0.5 * fit.shape.fabric.w_mm.value(),
            within_half_stitch: fit.within,
            worst_at_mm: fit.error.worst_at_mm.to_array(),
            by_node_mm: fit.error.node_mm.clone(),
        },
        outline_mm: fit.outline.iter().map(|p| p.to_array()).collect(),
        remarks: &fit.remarks,
        notes: &drawn.notes,
    };
    // Plain data of numbers and texts: it cannot fail, and an empty object would be a lie.
    serde_json::to_string_pretty(&report).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |text| text + "\n")
}
