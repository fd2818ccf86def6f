//! Written rounds to rounds and back.
//!
//! [`read`] takes a text as makers write or paste it and never fails: what it could not understand or had
//! to choose is in [`Reading::problems`], at its place. [`write`] prints rounds cleanly, in US or UK terms.
//!
//! The way of a text: `lexer` (tokens; `words` is the vocabulary, `spelling` its slips) → `terms` → `lines`
//! (which line is what, by `looks`, `labels`, `titles`, `header`) → `build` (pieces, notes; `sorting` says
//! which piece a round belongs to, `commands` reads rounds told by others) → `rounds_of`, which for each
//! round asks `fit` for the reading of its words that suits the round below and the printed total, under
//! all `habits` that matter, and `settle` or `starts` for what the round comes to. The parser is `grammar`
//! (with the whole grammar in words) and its parts `groups`, `element`, `changes`, `place`, `repeats`,
//! `asides`, `colours`, `limbs`; `expand` makes stitches of what it gives.

mod asides;
mod build;
mod changes;
mod colours;
mod commands;
mod diagnostic;
mod element;
mod expand;
mod fit;
mod grammar;
mod groups;
mod habits;
mod header;
mod labels;
mod legend;
mod letters;
mod lexer;
mod limbs;
mod lines;
mod looks;
mod place;
mod reading;
mod repeats;
mod rounds_of;
mod sequence;
mod settle;
mod sorting;
mod spelling;
mod starts;
mod terms;
mod titles;
mod tongues;
mod words;
mod write;

pub use diagnostic::{Problem, ProblemKind, Severity};
pub use reading::{
    Heading, Known, Piece, ReadOptions, ReadRound, Reading, Said, StuffingNote, Terms, TermsKnown, WrittenGauge,
};
pub use write::{WriteOptions, WrittenLine, finish_line, write, write_piece, written_lines};

/// Reads a text of written rounds. Never fails and never panics; the time grows with the length of the text.
pub fn read(text: &str, options: &ReadOptions) -> Reading {
    let lines = lexer::lex(text);
    let mut found = Vec::new();
    let (terms, terms_known) = terms::infer(text, &lines, options.terms, &mut found);
    let heading = header::read(text, &lines);
    let entries = lines::classify(text, &lines);
    let legend = legend::of_text(text, &lines);
    let (pieces, more) = build::Builder::new(text, &lines, entries, terms, &heading, &legend).run();
    found.extend(more);
    let starts: Vec<usize> = lines.iter().map(|l| l.start).collect();
    let problems = diagnostic::place(text, &starts, found);
    Reading { pieces, problems, terms, terms_known, heading }
}
