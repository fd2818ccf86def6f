//! What follows from the toy as made: masses, standing, necks, yarn, and the one [`Report`] of it all.

pub mod findings;
pub mod joint;
pub mod made;
pub mod necks;
pub mod report;
pub mod rest_poses;
mod spread;
pub mod standing;
pub mod weigh;

pub use made::{Made, make};
pub use report::{Finding, FindingKind, Report, Severity};

use crate::toy::Toy;

/// A toy worked out: what the window and the exports show.
#[derive(Clone, Debug)]
pub struct Derived {
    /// Shapes, places and masses.
    pub made: Made,
    /// How it stands, in full; `None` where nothing is placed on the floor.
    pub standing: Option<standing::Standing>,
    /// All figures and findings. Rest poses are absent until [`land`] has been asked.
    pub report: Report,
}
