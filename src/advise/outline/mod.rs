//! Rounds from a wanted outline: draw or trace what the stuffed part is to look like, get what to work.

mod curve;
mod fit;
mod gap;
mod half;
mod integers;
mod inverse;
mod plan;
mod pull;
mod remarks;
mod rules;
mod search;
mod starts;
mod svg;
mod trial;

pub use fit::{Fit, FitError, MOST_ROUNDS, rounds_of_outline};
pub use gap::OutlineError;
pub use half::{HalfError, HalfOutline, LARGEST_MM};
pub use pull::pull;
pub use remarks::{Remark, RemarkKind};
pub use rules::Rules;
pub use starts::StartShape;
pub use svg::{MOST_SVG_BYTES, SvgEnd, SvgError, SvgOptions, SvgOutline, read_svg_outline, read_svg_outline_with};
pub use trial::stuffed_outline;
