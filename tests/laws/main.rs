//! Laws that hold for every input, tried on random ones.

mod plan;
mod solids;
mod standing;
mod stuffing;
mod swap;
mod yarn;
