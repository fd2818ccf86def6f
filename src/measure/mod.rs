//! What follows from the toy as made: masses, standing, necks, yarn, and the one [`Report`] of it all.

mod derive;
mod figures;
pub mod findings;
pub mod joint;
pub mod made;
pub mod necks;
pub mod report;
pub mod rest_poses;
mod spread;
mod stand;
pub mod standing;
pub mod weigh;

pub use derive::{Derived, derive, land};
pub use findings::toward;
pub use made::{Made, make, shape_input};
pub use report::{Finding, FindingKind, Report, Severity};
