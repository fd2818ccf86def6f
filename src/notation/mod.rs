//! Written rounds to rounds and back.
//!
//! [`read`] takes a text as makers write or paste it and never fails: what it could not understand or had
//! to choose is in [`Reading::problems`], at its place. [`write`] prints rounds cleanly, in US or UK terms.
//!
//! The way of a text: `lexer` (tokens; `words` is the vocabulary, `spelling` its slips) → `terms` → `rejoin` → `lines`
//! (which line is what, by `looks`, `labels`, `titles`, `copies`, `header`) → `build` (pieces, notes; `sorting` says
//! which piece a round belongs to, `commands` and `onward` read rounds told by others, `likeness` the lines that tell a
//! part by another) → `rounds_of`, which for each
//! round asks `fit` for the reading of its words that suits the round below and the printed total, under
//! all `habits` that matter, and `settle` or `starts` for what the round comes to (`totals`: one for each
//! round of a range). The parser is `grammar` (with the whole grammar in words) and its parts `groups`,
//! `element`, `changes`, `place`, `repeats`, `asides`, `ends`, `joins`, `colours`, `limbs`; `expand` makes
//! stitches of what it gives.

mod asides;
mod build;
mod changes;
mod colours;
mod commands;
mod continued;
mod copies;
mod diagnostic;
mod doubt;
mod element;
mod ends;
mod expand;
mod fit;
mod grammar;
mod groups;
mod habits;
mod header;
mod held;
mod joins;
mod labels;
mod legend;
mod letters;
mod lexer;
mod likeness;
mod limbs;
mod lines;
mod looks;
mod markup;
mod onward;
mod parts;
mod place;
mod reading;
mod rejoin;
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
mod totals;
mod words;
mod write;

pub use diagnostic::{Problem, ProblemKind, Severity};
pub use reading::{
    Heading, Known, Piece, ReadOptions, ReadRound, Reading, Said, StuffingNote, Terms, TermsKnown, WrittenGauge,
};
pub use write::{WriteOptions, WrittenLine, finish_line, write, write_piece, written_lines};

/// More text than this (bytes) is no pattern: a thousand pages. What stands behind is not read, and that is said.
const MOST_TEXT: usize = 4_000_000;

/// Reads a text of written rounds. Never fails and never panics; the time grows with the length of the text, which
/// is read up to its 4,000,000th byte and 50,000th round.
pub fn read(text: &str, options: &ReadOptions) -> Reading {
    let whole = text;
    let text = readable(text);
    let mut lines = lexer::lex(text);
    let mut found = Vec::new();
    let (terms, terms_known) = terms::infer(text, &lines, options.terms, &mut found);
    let heading = header::read(text, &lines);
    rejoin::rejoin(text, &mut lines);
    let entries = lines::classify(text, &lines);
    let legend = legend::of_text(text, &lines);
    let (pieces, more) = build::Builder::new(text, &lines, entries, terms, &heading, &legend).run();
    found.extend(more);
    let mut starts: Vec<usize> = lines.iter().map(|l| l.start).collect();
    if text.len() < whole.len() {
        let end = whole[text.len()..].find('\n').map_or(whole.len(), |n| text.len() + n);
        let message = "The text is longer than any pattern; from here on it is not read.";
        let remedy = "Read it in parts.";
        found.push(diagnostic::Found::new(ProblemKind::TooLarge, Severity::Severe, text.len()..end, message, remedy));
        if text.ends_with('\n') && starts.last() != Some(&text.len()) {
            starts.push(text.len());
        }
    }
    let problems = diagnostic::place(whole, &starts, found);
    Reading { pieces, problems, terms, terms_known, heading }
}

/// The part of a text that is read: all of it, or whole lines up to the limit.
fn readable(text: &str) -> &str {
    if text.len() <= MOST_TEXT {
        return text;
    }
    let mut end = MOST_TEXT;
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    // A line that long is cut where the limit is.
    let lines = text[..end].rfind('\n').map_or(0, |n| n + 1);
    &text[..if lines > 0 { lines } else { end }]
}
