//! What was read from a text: as JSON for programs, and as the text itself with its problems under their lines.

use std::fmt::Write;

use serde::Serialize;

use crate::notation::{Problem, ReadRound, Reading};
use crate::rounds::{Finish, Start, StitchKind};

#[derive(Serialize)]
struct ReadingJson<'a> {
    schema: u32,
    terms: &'static str,
    pieces: Vec<PieceJson<'a>>,
    problems: Vec<ProblemJson<'a>>,
}

#[derive(Serialize)]
struct PieceJson<'a> {
    name: &'a str,
    copies: u32,
    start: &'static str,
    finish: &'static str,
    rounds: Vec<RoundJson<'a>>,
}

#[derive(Serialize)]
struct RoundJson<'a> {
    label: &'a str,
    count: u32,
    kind: &'static str,
    colour: Option<&'a str>,
    known: &'static str,
    line: usize,
}

#[derive(Serialize)]
struct ProblemJson<'a> {
    kind: &'static str,
    severity: &'static str,
    line: usize,
    column: usize,
    length: usize,
    message: &'a str,
    remedy: &'a str,
}

/// The word programs read for a start: `magic_ring`, `chain_ring`, `chain_oval`, `joined_parts`, `rim`.
pub fn start_word(start: &Start) -> &'static str {
    match start {
        Start::MagicRing => "magic_ring",
        Start::ChainRing => "chain_ring",
        Start::ChainOval { .. } => "chain_oval",
        Start::JoinedParts { .. } => "joined_parts",
        Start::Rim { .. } => "rim",
    }
}

/// The word programs read for a finish: `gathered`, `open`, `folded_flat`.
pub fn finish_word(finish: Finish) -> &'static str {
    match finish {
        Finish::Gathered => "gathered",
        Finish::Open => "open",
        Finish::FoldedFlat => "folded_flat",
    }
}

/// The word programs read for a stitch kind: `sl_st`, `sc`, `hdc`, `dc`, `tr` (US terms).
pub fn kind_word(kind: StitchKind) -> &'static str {
    match kind {
        StitchKind::Slip => "sl_st",
        StitchKind::Single => "sc",
        StitchKind::HalfDouble => "hdc",
        StitchKind::Double => "dc",
        StitchKind::Treble => "tr",
    }
}

fn round_json(round: &ReadRound) -> RoundJson<'_> {
    RoundJson {
        label: &round.label,
        count: round.round.count(),
        kind: kind_word(round.round.kind()),
        colour: round.round.colour().map(|c| &**c),
        known: round.known.name(),
        line: round.line,
    }
}

/// A reading for programs: JSON, indented, with a line end.
pub fn reading_json(reading: &Reading) -> String {
    let json = ReadingJson {
        schema: 1,
        terms: reading.terms.name(),
        pieces: reading
            .pieces
            .iter()
            .map(|p| PieceJson {
                name: &p.name,
                copies: p.copies,
                start: start_word(&p.start),
                finish: finish_word(p.finish),
                rounds: p.rounds.iter().map(round_json).collect(),
            })
            .collect(),
        problems: reading
            .problems
            .iter()
            .map(|p| ProblemJson {
                kind: p.kind.name(),
                severity: p.severity.name(),
                line: p.line,
                column: p.column,
                length: p.length,
                message: &p.message,
                remedy: &p.remedy,
            })
            .collect(),
    };
    // Strings and numbers only: there is nothing in it that has no JSON.
    serde_json::to_string_pretty(&json).map(|t| t + "\n").unwrap_or_default()
}

/// A reading for a maker: what was understood, then the lines of the text that need a look with a caret under
/// the place.
pub fn reading_text(text: &str, reading: &Reading) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write_reading(&mut out, text, reading);
    out
}

fn write_reading(out: &mut String, text: &str, reading: &Reading) -> std::fmt::Result {
    for piece in &reading.pieces {
        let copies = if piece.copies > 1 { format!(" × {}", piece.copies) } else { String::new() };
        writeln!(out, "{}{copies}", piece.name)?;
        let start = match &piece.start {
            Start::MagicRing => "a magic ring".to_owned(),
            Start::ChainRing => "a chain joined to a ring".to_owned(),
            Start::ChainOval { chain } => format!("both sides of a chain of {chain}"),
            Start::JoinedParts { parts, .. } => format!("the rims of {}", parts.join(" and ")),
            Start::Rim { part } => format!("the rim of {part}"),
        };
        let finish = match piece.finish {
            Finish::Gathered => "drawn shut",
            Finish::Open => "left open",
            Finish::FoldedFlat => "folded flat and closed",
        };
        writeln!(out, "  begun on {start}, {finish}")?;
        for round in &piece.rounds {
            let known = match round.known.name() {
                "worked_out" => "",
                "total_only" => "  by its total only",
                _ => "  a guess",
            };
            let colour = round.round.colour().map(|c| format!("  in {c}")).unwrap_or_default();
            let kind = match round.round.kind() {
                StitchKind::Single => String::new(),
                kind => format!(" {}", kind_word(kind).replace('_', " ")),
            };
            writeln!(out, "  {:<10} {:>5}{kind}{colour}{known}", shortened(&round.label, 10), round.round.count())?;
        }
        writeln!(out)?;
    }
    if reading.pieces.is_empty() {
        writeln!(out, "No rounds found.\n")?;
    }
    if reading.problems.is_empty() {
        return writeln!(out, "Nothing in the text needs a look.");
    }
    writeln!(out, "To look at")?;
    let lines: Vec<&str> = text.lines().collect();
    for problem in &reading.problems {
        write_problem(out, lines.get(problem.line.saturating_sub(1)).copied().unwrap_or(""), problem)?;
    }
    Ok(())
}

/// Characters of a line that are shown around a problem.
const SHOWN: usize = 90;

fn write_problem(out: &mut String, line: &str, problem: &Problem) -> std::fmt::Result {
    // A long line is shown from a little before the place.
    let skip = if problem.column > SHOWN - 10 { problem.column - 20 } else { 0 };
    let printable = |c: char| if c == '\t' || c.is_control() { ' ' } else { c };
    let part: String = line.chars().skip(skip).take(SHOWN).map(printable).collect();
    let at = problem.column.saturating_sub(1 + skip);
    let room = part.chars().count().saturating_sub(at).max(1);
    let carets = "^".repeat(problem.length.clamp(1, room));
    let number = problem.line.to_string();
    let margin = " ".repeat(number.len());
    writeln!(out, "  {number} | {part}")?;
    writeln!(out, "  {margin} | {}{carets} {}: {}", " ".repeat(at), problem.severity.name(), problem.message)?;
    writeln!(out, "  {margin} |   {}", problem.remedy)
}

fn shortened(text: &str, most: usize) -> String {
    text.chars().take(most).collect()
}
