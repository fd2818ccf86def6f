//! What to change: the smallest changes that mend a toy, rounds from an outline.
pub mod mend;
