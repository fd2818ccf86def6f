//! Laws that hold for every input, tried on random ones.

mod outline;
mod solids;
mod standing;
mod stuffing;
