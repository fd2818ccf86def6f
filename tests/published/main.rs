//! Figures from outside the project: published values, handbook formulas, worked examples, general reference
//! libraries. Each check names its source and its tolerance. Values marked [M] in comments (from memory) are
//! defaults of the program and never stand here as an oracle.

mod neck;
mod plan;
mod outline;
mod solids;
mod standing;
mod stuffing;
mod yarn;
