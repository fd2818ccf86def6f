//! The toys that come with the program, in scenes of the project's own invention.

/// A toy that comes with the program.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// Its title.
    pub title: &'static str,
    /// What it shows.
    pub about: &'static str,
    /// The text of its file.
    pub text: &'static str,
}

/// All samples, simplest first.
pub fn samples() -> &'static [Sample] {
    &SAMPLES
}

const SAMPLES: [Sample; 0] = [];
