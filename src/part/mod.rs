//! One worked piece: its rounds, its yarn, how it is begun, ended, stuffed and stood on, and the shape the
//! fabric has before stuffing.

mod fill;
mod rest;

pub(crate) use fill::WEIGHED;
pub use fill::{Fill, filling_pressure_kpa, pressure_exponent};
pub use rest::{BaseFlat, MOST_GATHERED, PartRest, rest_shape};

use serde::{Deserialize, Serialize};

use crate::kept::Kept;
use crate::rounds::{Finish, Round, Start};

/// One end of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum End {
    /// Where the first round is.
    #[default]
    Start,
    /// Where the last round is.
    Finish,
}

impl End {
    /// The other one.
    pub fn other(self) -> End {
        match self {
            End::Start => End::Finish,
            End::Finish => End::Start,
        }
    }
}

/// How much stuffing a part gets.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Amount {
    /// None at all.
    None,
    /// Loosely.
    Light,
    /// As most makers do.
    #[default]
    Medium,
    /// As hard as the fabric bears without gaping.
    Firm,
    /// Weighed by the maker, g for one copy.
    Grams(f64),
}

/// The stuffing of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Stuffing {
    /// How much.
    pub amount: Amount,
    /// Only up to this round, where the maker leaves the rest empty.
    pub up_to_round: Option<u32>,
}

/// What the end that a part stands on is like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Base {
    /// Edged where the rounds have a back-loop round at the foot of the wall, rounded where they have not.
    #[default]
    AsWorked,
    /// Rounded: it bears only where it flattens.
    Rounded,
    /// Pressed flat by the maker, out to this radius in mm, or as far as the disc of increases goes.
    PressedFlat {
        /// Radius of the flat, mm.
        radius_mm: Option<f64>,
    },
    /// Flat to the edge that this back-loop round makes.
    BackLoopEdge {
        /// The first round of the wall, worked in back loops.
        round: u32,
    },
    /// Flat with a stiff disc inside.
    Disc {
        /// Diameter of the disc, mm.
        diameter_mm: f64,
    },
}

/// One worked piece.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Part {
    /// Name, unique in the toy.
    pub name: String,
    /// Name of its yarn; the toy's first yarn where empty or unknown.
    pub yarn: String,
    /// How it is begun.
    pub start: Start,
    /// Its rounds in the order they are worked.
    pub rounds: Vec<Round>,
    /// How it is ended.
    pub finish: Finish,
    /// Its stuffing.
    pub stuffing: Stuffing,
    /// The end it would stand on.
    pub base: Base,
    /// Which end that is.
    pub base_end: End,
    /// What a file says of it in fields that nothing reads; paths run from the piece it is in.
    #[serde(skip)]
    pub kept: Kept,
}

impl Part {
    /// Counts round by round.
    pub fn counts(&self) -> Vec<u32> {
        self.rounds.iter().map(Round::count).collect()
    }

    /// Stitches in all rounds of one copy.
    pub fn stitches(&self) -> u64 {
        self.rounds.iter().map(|r| u64::from(r.count())).sum()
    }

    /// Whether the last round can be drawn shut: gathered, and few enough stitches.
    pub fn closes(&self) -> bool {
        self.finish == Finish::Gathered && self.rounds.last().is_some_and(|r| r.count() <= MOST_GATHERED)
    }

    /// Whether the start is closed by itself.
    pub fn start_is_closed(&self) -> bool {
        matches!(self.start, Start::MagicRing | Start::ChainOval { .. })
    }

    /// Whether it holds any stuffing.
    pub fn is_stuffed(&self) -> bool {
        match self.stuffing.amount {
            Amount::None => false,
            Amount::Grams(g) => g > 0.0,
            Amount::Light | Amount::Medium | Amount::Firm => self.stuffing.up_to_round != Some(0),
        }
    }
}
