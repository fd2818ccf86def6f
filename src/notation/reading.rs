//! What reading a text gives: pieces with their rounds, what the text says of yarn, hook and gauge, and
//! the problems.

use std::ops::Range;

use super::diagnostic::Problem;
use crate::rounds::{Finish, Round, Start};

/// Which country's stitch names are meant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Terms {
    /// US terms: `sc`, `hdc`, `dc`, `tr`.
    #[default]
    Us,
    /// UK terms: `dc`, `htr`, `tr`, `dtr`.
    Uk,
}

impl Terms {
    /// `us` or `uk`.
    pub fn name(self) -> &'static str {
        match self {
            Terms::Us => "us",
            Terms::Uk => "uk",
        }
    }
}

/// How the terms were known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TermsKnown {
    /// Told to the reader, or said in so many words by the text.
    Told,
    /// Inferred from the stitch words or the way the rounds grow.
    Inferred,
    /// Nothing tells them apart (or nothing depends on them): US terms are taken.
    Assumed,
}

/// What the reader may be told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReadOptions {
    /// The terms of the text; `None` leaves them to be found out.
    pub terms: Option<Terms>,
}

/// How a round was known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Known {
    /// Its instruction was understood stitch by stitch.
    WorkedOut,
    /// Only its count is known; increases or decreases are spread evenly.
    TotalOnly,
    /// Something was left open and chosen; a problem at the round says what.
    Guessed,
}

impl Known {
    /// `worked_out`, `total_only` or `guessed`.
    pub fn name(self) -> &'static str {
        match self {
            Known::WorkedOut => "worked_out",
            Known::TotalOnly => "total_only",
            Known::Guessed => "guessed",
        }
    }
}

/// Something the text says, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Said<T> {
    /// What it says.
    pub value: T,
    /// Bytes of the text that say it.
    pub span: Range<usize>,
}

/// A gauge as the text gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WrittenGauge {
    /// Stitches in 10 cm of a round, if said.
    pub stitches_per_10cm: Option<f64>,
    /// Rounds in 10 cm, if said.
    pub rounds_per_10cm: Option<f64>,
}

/// What the text says around the rounds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heading {
    /// Stitches and rounds in 10 cm.
    pub gauge: Option<Said<WrittenGauge>>,
    /// Hook, in mm.
    pub hook_mm: Option<Said<f64>>,
    /// Yarn category, 0 (lace) to 7 (jumbo).
    pub yarn_category: Option<Said<u8>>,
    /// Metres of yarn in 100 g.
    pub metres_per_100g: Option<Said<f64>>,
    /// Finished height of the toy in mm.
    pub height_mm: Option<Said<f64>>,
}

/// One round as read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadRound {
    /// Its label as printed (of a range, this round's own: `Rnd 8`), or its place in the piece if none is.
    pub label: String,
    /// Its stitches.
    pub round: Round,
    /// How it was known.
    pub known: Known,
    /// Bytes of the text that tell it; the rounds of a range share them.
    pub span: Range<usize>,
    /// Line of the text, from 1.
    pub line: usize,
}

/// A stuffing note of a piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StuffingNote {
    /// The words.
    pub text: String,
    /// Rounds of the piece that are written before the note.
    pub after_round: usize,
}

/// One piece of the toy as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Its name as the text gives it, or `piece 2` by its place.
    pub name: String,
    /// How many are made, at least 1.
    pub copies: u32,
    /// How it is begun.
    pub start: Start,
    /// How it is ended.
    pub finish: Finish,
    /// Whether the text says so itself; otherwise it is the custom (gathered with 12 or fewer, else open).
    pub finish_said: bool,
    /// Its rounds in the order they are worked.
    pub rounds: Vec<ReadRound>,
    /// Bytes of the text from its heading to its last round.
    pub span: Range<usize>,
    /// What the text says of stuffing it.
    pub stuffing: Option<Said<StuffingNote>>,
    /// Names of parts crocheted in on the way, with the round (counted from 1) in which.
    pub worked_in: Vec<(usize, String)>,
}

/// Everything that reading a text gives. Reading never fails: what could not be understood is in `problems`.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The pieces in the order of the text.
    pub pieces: Vec<Piece>,
    /// What is the matter, in the order of the text.
    pub problems: Vec<Problem>,
    /// The terms by which stitch words were understood.
    pub terms: Terms,
    /// How the terms were known.
    pub terms_known: TermsKnown,
    /// Gauge, hook, yarn and size.
    pub heading: Heading,
}
