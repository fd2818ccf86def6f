//! What is measured on a toy.

pub mod rest_poses;
pub mod standing;
