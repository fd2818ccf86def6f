//! Laws that hold for every input, tried on random ones.

mod plan;
mod advice;
mod landing;
mod narrow;
mod outline;
mod places;
mod seams;
mod solids;
mod standing;
mod stuffing;
mod swap;
mod yarn;
