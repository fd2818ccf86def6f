//! What to change: the smallest changes that mend a toy, rounds from a wanted outline.

pub mod mend;
pub mod outline;
