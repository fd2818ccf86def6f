//! Changes that mend what is wrong with a toy, or bring it to what its maker wants, the least ones first.
//!
//! Every severe finding, all targets together, and (where there are several) everything at once are one *problem*
//! each. A *family* of changes (fewer stitches at the widest, a weight in the base, …) is a ladder of whole steps,
//! from the least change up. For every problem each ladder is climbed to its first step that solves it; where no
//! ladder does, two or three are tried together. A step counts only if the toy as changed, worked out in full, has no
//! severe finding that it did not have before. How much a change changes is one number, see [`change`].

pub mod change;
mod climb;
pub mod families;
pub mod figures;
pub mod goals;
mod locks;
mod reshape;
mod search;
mod tasks;
mod together;

pub use crate::toy::wishes::{Limits, LockedRounds, Targets, YarnAtMost};
pub use change::Change;
pub use families::Family;
pub use figures::Shown;
pub use search::advise;

use serde::Serialize;

use crate::measure::Finding;
use crate::toy::Toy;

/// Version of the form of an [`Advice`] as JSON.
pub const SCHEMA: u32 = 1;

/// What can be changed about a toy, problem by problem.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// [`SCHEMA`].
    pub schema: u32,
    /// Name of the toy.
    pub toy: String,
    /// The toy as it is.
    pub before: Shown,
    /// What is to be mended, with the changes that do.
    pub problems: Vec<Problem>,
    /// What was left out for safety, in words.
    pub cautions: Vec<String>,
    /// The search ran to its end; it was not called off.
    pub complete: bool,
}

/// Something to mend, and what mends it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Problem {
    /// What it is, in words.
    pub what: String,
    /// The severe finding that it is, where it is one.
    pub finding: Option<Finding>,
    /// Changes that solve it, the least first.
    pub suggestions: Vec<Suggestion>,
    /// Said outright where no change within the limits solves it.
    pub nothing: Option<String>,
}

/// A change that solves a problem.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Suggestion {
    /// What to do, a sentence for each step.
    pub words: Vec<String>,
    /// The families of its steps.
    pub families: Vec<Family>,
    /// The finding is gone for good and not only less grave: it stands well, the neck holds in every position.
    pub thorough: bool,
    /// How much it changes the toy.
    pub change: Change,
    /// The toy as it is.
    pub before: Shown,
    /// The toy as changed: the figures of a fresh check of it.
    pub after: Shown,
    /// Findings that it has and the toy as it is has not, in words.
    pub worse: Vec<String>,
    /// The toy as changed.
    pub changed: Toy,
}

/// How far the search has come.
#[derive(Clone, Copy, Debug)]
pub struct Progress<'a> {
    /// Changes tried so far.
    pub tried: u32,
    /// Share of the work that is done, 0 to 1, roughly.
    pub share: f64,
    /// A change just found, with the place of its problem in [`Advice::problems`].
    pub found: Option<(usize, &'a Suggestion)>,
}
