//! What follows from the toy as made: masses, standing, necks, yarn, and the one [`Report`] of it all.

mod carried;
mod derive;
mod figures;
mod gauges;
mod glance;
pub mod findings;
mod input;
pub mod joint;
pub mod learn;
pub mod made;
pub mod maps;
pub mod necks;
pub mod openness;
pub mod narrow;
pub mod need;
pub mod report;
pub mod rest_poses;
pub mod small_parts;
mod spread;
mod stand;
pub mod standing;
pub mod time;
pub mod weigh;
pub mod work;

pub use derive::{Derived, derive, derive_again, land};
pub use findings::toward;
pub use glance::{Glance, glance, glance_unstood};
pub use input::shape_input;
pub use made::{Made, make, make_again};
pub use maps::placements;
pub use report::{Finding, FindingKind, Report, Severity};
pub use spread::{Effects, OutlineSpread, UNKNOWNS, Unknown, outline_spread};
pub use time::time;
