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

macro_rules! sample {
    ($file:literal, $title:literal, $about:literal) => {
        Sample { title: $title, about: $about, text: include_str!(concat!("../../samples/", $file, ".toy.ron")) }
    };
}

const SAMPLES: [Sample; 7] = [
    sample!("glass-float", "Glass float", "A single ball, from a chandler's window"),
    sample!("tide-pool-seal", "Tide-pool seal", "Wide and low on a flat base: it stands well"),
    sample!("puppet-booth-crier", "Puppet-booth crier", "Its head is too heavy for its round base"),
    sample!("reed-heron", "Reed heron", "Worked in one: its long neck flops"),
    sample!("sea-wall-bear", "Sea-wall bear", "Sits as long as its legs point forward"),
    sample!("shop-window-hare", "Shop-window hare", "Folded ears and oval feet"),
    sample!("boot-room-imp", "Boot-room imp", "Two legs joined into one body"),
];
