//! What is measured on a toy: its joints.

pub mod joint;
