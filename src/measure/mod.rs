//! What follows from the toy as made: masses, standing, necks, yarn, and the one [`Report`] of it all.

mod derive;
mod figures;
mod glance;
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

pub use derive::{Derived, derive, derive_again, land};
pub use findings::toward;
pub use glance::{Glance, glance, glance_unstood};
pub use made::{Made, make, make_again};
pub use report::{Finding, FindingKind, Report, Severity};
