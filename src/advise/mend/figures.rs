//! The figures by which a maker compares a toy before and after a change.

use serde::Serialize;

use super::change::STITCHES_PER_MINUTE;
use crate::measure::Report;

/// A toy in a few figures, each as its report has it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Shown {
    /// Least lean before it falls, degrees; absent where nothing stands.
    pub tip_deg: Option<f64>,
    /// `stands`, `tips_easily`, `topples` or `rocks`.
    pub stand: Option<&'static str>,
    /// Load share of the head's joint, or of the weakest one where none is the head's.
    pub neck_share: Option<f64>,
    /// `holds`, `nods`, `flops` or `held`.
    pub neck: Option<&'static str>,
    /// Mass of the head and all it carries against the rest.
    pub head_to_body: Option<f64>,
    /// Height, mm.
    pub height_mm: Option<f64>,
    /// Mass, g.
    pub mass_g: f64,
    /// Yarn in all stitches, without tails, m.
    pub yarn_m: f64,
    /// The same, g.
    pub yarn_g: f64,
    /// Stitches, all copies together.
    pub stitches: u64,
    /// Minutes of crochet at 13 stitches a minute.
    pub minutes: f64,
}

impl Shown {
    /// The figures of a report.
    pub fn of(report: &Report) -> Shown {
        let head = report.toy.head.as_deref();
        let weakest = |of_head: bool| {
            let joints = report.necks.iter().filter(|n| !of_head || Some(n.part.as_str()) == head);
            joints.min_by(|a, b| a.load_share.value.total_cmp(&b.load_share.value))
        };
        let neck = weakest(true).or_else(|| weakest(false));
        let stitches = report.parts.iter().map(|p| p.stitches.saturating_mul(u64::from(p.copies))).sum::<u64>();
        Shown {
            tip_deg: report.stand.as_ref().map(|s| s.tip_deg.value),
            stand: report.stand.as_ref().map(|s| s.verdict),
            neck_share: neck.map(|n| n.load_share.value),
            neck: neck.map(|n| n.verdict),
            head_to_body: report.toy.head_to_body_mass.map(|r| r.value),
            height_mm: report.toy.size_mm.map(|s| s.z.value),
            mass_g: report.toy.mass_g.value,
            yarn_m: report.yarn.iter().map(|y| y.metres.value).sum(),
            yarn_g: report.yarn.iter().map(|y| y.grams.value).sum(),
            stitches,
            minutes: stitches as f64 / STITCHES_PER_MINUTE,
        }
    }
}
