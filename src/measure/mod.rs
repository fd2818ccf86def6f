//! What is measured on a toy.

pub mod standing;
