//! How closed the fabric is, as the report says it.

use serde::Serialize;

use crate::figure::Figure;

/// The fabric of one part.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct FabricReport {
    /// The part.
    pub part: String,
    /// Its yarn.
    pub yarn: String,
    /// Hook it is worked with, mm.
    pub hook_mm: f64,
    /// Yarn's area over the fabric's, not stretched.
    pub cover: Figure,
    /// `closed`, `near`, `shows`, or `empty` where there is no stuffing to show.
    pub verdict: &'static str,
    /// The round that gapes most, counted from 1; `null` for an empty part.
    pub worst_round: Option<u32>,
    /// Largest hook with which it would close, mm; `null` where it is closed already or no hook of the table
    /// would.
    pub closing_hook_mm: Option<f64>,
    /// Hook two sizes below the label's, mm, and the label's own; `null` where the table ends.
    pub two_below_label_mm: Option<f64>,
    /// Smallest hook that the label of such a yarn names, mm.
    pub label_hook_mm: f64,
    /// Round by round.
    pub rounds: Vec<FabricRound>,
}

/// The fabric of one round as it is stuffed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct FabricRound {
    /// Stretch around, as a share; below 0 where it gathers.
    pub stretch_around: f64,
    /// Stretch along.
    pub stretch_along: f64,
    /// Yarn's area over the fabric's, stretched.
    pub cover: f64,
    /// `closed`, `near`, `shows` or `empty`.
    pub verdict: &'static str,
}
