//! Cautions, as the report says them.

use serde::Serialize;

use super::Severity;

/// What goes before every check: the end of [`CautionsReport::message`].
pub const DEFERS: &str = "Local law and testing decide.";

/// What the safety checks say. They inform; they certify nothing.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CautionsReport {
    /// Age of the child, months; `null` where not said.
    pub child_months: Option<u32>,
    /// `concern_found` or `no_concern_found`.
    pub verdict: &'static str,
    /// The verdict as a sentence.
    pub message: String,
    /// The checks that were made, one sentence each.
    pub checks: Vec<&'static str>,
    /// What was found, worst first.
    pub cautions: Vec<Caution>,
}

/// One caution.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Caution {
    /// `small_part`, `small_crocheted_part`, `small_ball`, `attachment`, `cord`, `magnet`, `pellets`, `weight`,
    /// `neck_stick`, `wire` or `sleep_space`.
    pub kind: &'static str,
    /// How grave it is at this age.
    pub severity: Severity,
    /// Name of the part, where it is about one.
    pub part: Option<String>,
    /// Name of the added thing, where it is about one.
    pub extra: Option<String>,
    /// The standard or the advice it goes by.
    pub standard: &'static str,
    /// What is the matter.
    pub message: String,
    /// What to do instead.
    pub remedy: String,
}
