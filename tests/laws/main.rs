//! Laws that hold for every input, tried on random ones.

mod plan;
mod advice;
mod copies;
mod filling;
mod landing;
mod legs;
mod narrow;
mod outline;
mod places;
mod seams;
mod solids;
mod standing;
mod stuffing;
mod swap;
mod yarn;
