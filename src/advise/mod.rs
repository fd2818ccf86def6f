//! Advice: rounds from a wanted outline, and changes that mend a toy.

pub mod outline;
