//! Laws that hold for every input, tried on random ones.

mod advice;
mod solids;
mod standing;
mod stuffing;
