//! Rounds to clean written rounds, in US or UK terms, with the abbreviations of the Craft Yarn Council's
//! list (sc, hdc, dc, tr, sl st, inc, dec, sc2tog, ch, BLO, FLO, rnd, st).

use std::fmt::Write as _;
use std::sync::Arc;

use super::reading::{Piece, Terms};
use crate::rounds::{Finish, Loops, Round, Run, Start, Stitch, StitchKind, best_repeat};

/// How rounds are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WriteOptions {
    /// The country whose stitch names are used.
    pub terms: Terms,
    /// Whether the piece begins with a line that names the terms. Of several pieces written one after another
    /// only the first needs it; a text without it may be read in the wrong terms.
    pub say_terms: bool,
}

impl Default for WriteOptions {
    fn default() -> Self {
        WriteOptions { terms: Terms::default(), say_terms: true }
    }
}

/// Where in its gap the first change of the round at this place (from 0) stands, 0 to 1. Steps of the
/// golden section never come back to the same place, so increases of neighbouring rounds do not line up.
pub(super) fn stagger_shift(place: usize) -> f64 {
    (place % 1000) as f64 * 0.618_033_988_749_895 % 1.0
}

/// Writes a piece that was read.
pub fn write_piece(piece: &Piece, options: WriteOptions) -> String {
    let rounds: Vec<&Round> = piece.rounds.iter().map(|r| &r.round).collect();
    write_rounds(&piece.name, piece.copies, &piece.start, piece.finish, &rounds, options)
}

/// Writes rounds as a named piece: heading, rounds with their totals (equal ones folded into ranges), the
/// way it ends. Reading it back gives the same rounds.
pub fn write(
    name: &str,
    copies: u32,
    start: &Start,
    finish: Finish,
    rounds: &[Round],
    options: WriteOptions,
) -> String {
    write_rounds(name, copies, start, finish, &rounds.iter().collect::<Vec<_>>(), options)
}

fn write_rounds(
    name: &str,
    copies: u32,
    start: &Start,
    finish: Finish,
    rounds: &[&Round],
    options: WriteOptions,
) -> String {
    let mut w = Writer::new(options.terms);
    // Writing to a String cannot fail; the results are dropped on purpose.
    if options.say_terms {
        let _ = writeln!(w.out, "{} terms.", if w.uk { "UK" } else { "US" });
    }
    let _ = match copies {
        0 | 1 => writeln!(w.out, "{name}"),
        n => writeln!(w.out, "{name} (make {n})"),
    };
    match start {
        Start::JoinedParts { parts, chain } if !parts.is_empty() => {
            let names = parts.join(" + ");
            let _ = writeln!(w.out, "Join {names} with ch {chain} between them.");
        }
        Start::Rim { part } => {
            let _ = writeln!(w.out, "Continue from the open rim of {part}.");
        }
        _ => {}
    }
    for line in round_lines(start, rounds, options.terms) {
        let _ = if line.last > line.first {
            write!(w.out, "Rnds {}-{}", line.first, line.last)
        } else {
            write!(w.out, "Rnd {}", line.first)
        };
        if line.frill {
            w.out.push_str(" (frill)");
        }
        let _ = writeln!(w.out, ": {} ({})", line.work, line.count);
    }
    w.out.push_str(finish_line(finish));
    w.out.push('\n');
    w.out
}

/// How a part is ended, as a line of written rounds.
pub fn finish_line(finish: Finish) -> &'static str {
    match finish {
        Finish::Gathered => "Close: draw the yarn through the last stitches and pull tight.",
        Finish::Open => "Leave open.",
        Finish::FoldedFlat => "Fold flat and work shut through both layers.",
    }
}

/// A line of written rounds: one round, or several equal ones.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenLine {
    /// The first round, counted from 1.
    pub first: usize,
    /// The last one, the same where it is one alone.
    pub last: usize,
    /// It is meant to ruffle.
    pub frill: bool,
    /// What is worked.
    pub work: String,
    /// Stitches of each of the rounds.
    pub count: u32,
}

/// Rounds as lines, equal ones folded into one.
pub fn written_lines(start: &Start, rounds: &[Round], terms: Terms) -> Vec<WrittenLine> {
    round_lines(start, &rounds.iter().collect::<Vec<_>>(), terms)
}

fn round_lines(start: &Start, rounds: &[&Round], terms: Terms) -> Vec<WrittenLine> {
    let mut w = Writer::new(terms);
    let mut lines = Vec::new();
    let mut i = 0;
    while i < rounds.len() {
        let round = rounds[i];
        let mut same = 1;
        let straight = i > 0 && round.uses() == round.count() && one_colour(round);
        while straight && rounds.get(i + same).is_some_and(|r| *r == round) {
            same += 1;
        }
        w.round(round, if i == 0 { Some(start) } else { None });
        let work = std::mem::take(&mut w.out);
        lines.push(WrittenLine { first: i + 1, last: i + same, frill: round.frill, work, count: round.count() });
        i += same;
    }
    lines
}

fn one_colour(round: &Round) -> bool {
    round.runs.windows(2).all(|w| w[0].colour == w[1].colour)
}

struct Writer {
    out: String,
    uk: bool,
    /// The colour that holds where the text stands.
    colour: Option<Arc<str>>,
    /// The kind most stitches of the last round are.
    kind: StitchKind,
    /// "inc" and "dec" may be written without their kind in this round.
    short: bool,
}

impl Writer {
    fn new(terms: Terms) -> Writer {
        Writer { out: String::new(), uk: terms == Terms::Uk, colour: None, kind: StitchKind::Single, short: true }
    }

    fn word(&self, kind: StitchKind) -> &'static str {
        match (kind, self.uk) {
            (StitchKind::Slip, _) => "sl st",
            (StitchKind::Single, false) | (StitchKind::Double, true) if !self.uk => "sc",
            (StitchKind::Single, _) => "dc",
            (StitchKind::HalfDouble, false) => "hdc",
            (StitchKind::HalfDouble, true) => "htr",
            (StitchKind::Double, false) => "dc",
            (StitchKind::Double, true) => "tr",
            (StitchKind::Treble, false) => "tr",
            (StitchKind::Treble, true) => "dtr",
        }
    }

    fn round(&mut self, round: &Round, start: Option<&Start>) {
        let runs = merged(&round.runs);
        // "inc" is read as the kind its round names, else as the kind of the round before.
        let single = |r: &Run| r.stitch.kind == StitchKind::Single;
        self.short = runs.iter().all(|r| single(r) || r.stitch.kind == StitchKind::Slip)
            && (self.kind == StitchKind::Single || runs.iter().any(|r| single(r) && r.stitch.uses == r.stitch.makes));
        if round.kind() != StitchKind::Slip {
            self.kind = round.kind();
        }
        let loops = runs.first().map_or(Loops::Both, |r| r.stitch.loops);
        let common = loops != Loops::Both && runs.iter().all(|r| r.stitch.loops == loops);
        let mut whole = true;
        match start {
            Some(Start::MagicRing) => {
                if let [run] = runs.as_slice()
                    && run.stitch.uses == 1
                    && run.stitch.makes == 1
                    && run.stitch.loops == Loops::Both
                {
                    self.colour_change(run);
                    let _ = write!(self.out, "{} {} in a magic ring", run.times, self.word(run.stitch.kind));
                    return;
                }
                self.out.push_str("magic ring, ");
                whole = false;
            }
            Some(Start::ChainRing) => {
                let _ = write!(self.out, "ch {}, join with sl st to form a ring, ", round.uses());
                whole = false;
            }
            Some(Start::ChainOval { chain }) => {
                let _ = write!(self.out, "ch {}, along both sides of the chain: ", chain + 1);
                whole = false;
            }
            Some(Start::JoinedParts { .. } | Start::Rim { .. }) => whole = false,
            None => {}
        }
        if common {
            self.out.push_str(if loops == Loops::Back { "in BLO: " } else { "in FLO: " });
        }
        if whole
            && let [run] = runs.as_slice()
            && self.all_round(run)
        {
            return;
        }
        let mut rest = runs.as_slice();
        let mut first = true;
        while !rest.is_empty() {
            if !std::mem::take(&mut first) {
                self.out.push_str(", ");
            }
            let (period, times) = best_repeat(rest);
            if times > 1 {
                self.out.push('(');
                for (i, run) in rest[..period].iter().enumerate() {
                    if i > 0 {
                        self.out.push_str(", ");
                    }
                    self.run(run, common);
                }
                let _ = write!(self.out, ") x {times}");
            } else {
                self.run(&rest[0], common);
            }
            rest = &rest[period * times..];
        }
    }

    fn colour_change(&mut self, run: &Run) {
        if self.colour != run.colour {
            match &run.colour {
                Some(name) => {
                    let _ = write!(self.out, "with {name}: ");
                }
                None => self.out.push_str("with main colour: "),
            }
            self.colour.clone_from(&run.colour);
        }
    }

    /// One kind of stitch all round: `sc in each st around`.
    fn all_round(&mut self, run: &Run) -> bool {
        let Stitch { kind, uses, makes, .. } = run.stitch;
        if uses != 1 || !(1..=4).contains(&makes) || kind == StitchKind::Slip {
            return false;
        }
        if run.stitch.loops != Loops::Both && !self.out.ends_with("LO: ") {
            return false;
        }
        self.colour_change(run);
        let word = self.word(kind);
        let _ = match makes {
            1 => write!(self.out, "{word} in each st around"),
            n => write!(self.out, "{n} {word} in each st around"),
        };
        true
    }

    fn run(&mut self, run: &Run, common_loops: bool) {
        self.colour_change(run);
        let Stitch { kind, loops, uses, makes } = run.stitch;
        let word = self.word(kind);
        let n = run.times;
        let loops = if common_loops { Loops::Both } else { loops };
        let loop_word = match loops {
            Loops::Both => "",
            Loops::Front => "FLO ",
            Loops::Back => "BLO ",
        };
        let single = kind == StitchKind::Single && self.short;
        let _ = match (uses, makes) {
            (1, 1) if n == 1 && loop_word.is_empty() => write!(self.out, "{word}"),
            (1, 1) => write!(self.out, "{n} {loop_word}{word}"),
            (1, 2) if single => match n {
                1 if loop_word.is_empty() => write!(self.out, "inc"),
                _ => write!(self.out, "{n} {loop_word}inc"),
            },
            (2, 1) if single => match n {
                1 if loop_word.is_empty() => write!(self.out, "dec"),
                _ => write!(self.out, "{n} {loop_word}dec"),
            },
            (1, 0) => write!(self.out, "skip {n} st"),
            (0, 1) => write!(self.out, "ch {n}"),
            (1, m) if n == 1 => write!(self.out, "{m} {loop_word}{word} in next st"),
            (1, m) => write!(self.out, "{m} {loop_word}{word} in each of next {n} sts"),
            (u, 1) if n == 1 => write!(self.out, "1 {loop_word}{word}{u}tog"),
            (u, 1) => write!(self.out, "{n} {loop_word}{word}{u}tog"),
            (u, m) => write!(self.out, "{m} {loop_word}{word} in {u} sts together x {n}"),
        };
    }
}

/// Runs with equal neighbours joined.
fn merged(runs: &[Run]) -> Vec<Run> {
    let mut out: Vec<Run> = Vec::with_capacity(runs.len());
    for run in runs.iter().filter(|r| r.times > 0) {
        match out.last_mut() {
            Some(last) if last.stitch == run.stitch && last.colour == run.colour => last.times += run.times,
            _ => out.push(run.clone()),
        }
    }
    out
}
