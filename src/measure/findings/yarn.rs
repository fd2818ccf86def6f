//! Findings about yarn that does not last.

use super::whole;
use crate::measure::need::{Enough, YarnNeed};
use crate::measure::report::{Finding, FindingKind, Severity};

pub(super) fn look(needs: &[YarnNeed], found: &mut Vec<Finding>) {
    for yarn in needs {
        let (Some(enough), Some(have)) = (yarn.enough, yarn.have_g) else { continue };
        let grams = yarn.need.grams;
        let needs = format!("{:.0} g ({:.0}–{:.0})", grams.value, grams.low, grams.high);
        match enough {
            Enough::Enough => {}
            Enough::Close => found.push(whole(
                FindingKind::YarnShort,
                Severity::Warning,
                &format!("{} is close: it needs about {needs} and there are {have:.0} g.", yarn.name),
                "Weigh the ball after a part and say so: that tells whether it lasts. Or get one more of the same lot.",
            )),
            Enough::Short => {
                let end = yarn.runs_out.as_ref().map(|end| (end.at.part.clone(), end.at.round));
                let at = end
                    .as_ref()
                    .map_or_else(String::new, |(part, round)| format!(" It ends in {part}, round {round}."));
                let mut finding = whole(
                    FindingKind::YarnShort,
                    Severity::Severe,
                    &format!("{} does not last: it needs about {needs} and there are {have:.0} g.{at}", yarn.name),
                    "Get more of the same lot before you begin, work a part in another yarn, or make the toy smaller.",
                );
                if let Some((part, round)) = end {
                    (finding.part, finding.round) = (Some(part), Some(round));
                }
                found.push(finding);
            }
        }
    }
}
