//! What the maker weighed and measured while working. Records only say what was read off; what follows from
//! them is worked out in `measure::learn`.
//!
//! Weighed stuffing is no record of its own: it is the part's amount, [`crate::part::Amount::Grams`].

use serde::{Deserialize, Serialize};

/// Everything read off a scale or a tape.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Records {
    /// Yarn weighed while working.
    pub weigh_ins: Vec<WeighIn>,
    /// Finished parts on the scale.
    pub parts: Vec<PartWeight>,
    /// Stuffed parts under the tape.
    pub around: Vec<Around>,
}

impl Records {
    /// Nothing was recorded.
    pub fn is_empty(&self) -> bool {
        self.weigh_ins.is_empty() && self.parts.is_empty() && self.around.is_empty()
    }
}

/// Yarn weighed after a round. The parts are taken as made in the order of the toy's list, all copies of each.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct WeighIn {
    /// Name of the yarn; the part's own where empty.
    pub yarn: String,
    /// Name of the part in hand.
    pub part: String,
    /// Which copy of it is in hand, from 1.
    pub copy: u32,
    /// The last round done of it; 0 before its first.
    pub round: u32,
    /// What the scale said.
    pub weight: Weight,
}

/// What a scale said of a yarn.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Weight {
    /// Used since the first stitch of the toy, g.
    Used(f64),
    /// Left of all that was at hand before the first stitch, g.
    LeftOfAll(f64),
    /// Left on the ball in hand, g. All balls before it are used up.
    LeftOnBall {
        /// On the scale, g.
        grams: f64,
        /// Which ball, from 1.
        ball: u32,
    },
}

impl Default for Weight {
    fn default() -> Self {
        Weight::Used(0.0)
    }
}

/// One finished copy of a part on the scale.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct PartWeight {
    /// Its name.
    pub part: String,
    /// What it weighs, g, without eyes and other added things.
    pub grams: f64,
    /// The stuffing was in it.
    pub stuffed: bool,
}

/// A stuffed part measured around a round.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Around {
    /// Its name.
    pub part: String,
    /// The round, from 1.
    pub round: u32,
    /// Around the outside, mm.
    pub circumference_mm: f64,
}
