//! Doubt that no single round shows: remarks that could be rounds, counts that follow from a doubtful one.

use super::build::Builder;
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::lines::RoundText;

impl Builder<'_> {
    /// A remark among rounds that could be one.
    pub fn doubtful_remark(&mut self, line: usize) {
        if self.cur.as_ref().is_none_or(|c| c.piece.rounds.is_empty()) {
            return;
        }
        let Some(span) = self.lines.get(line).and_then(|l| Some(l.tokens.first()?.start..l.end)) else { return };
        let message = "This line names stitches but is read as a remark: no round is made of it.";
        let remedy = "If it is a round, give it a label and its total.";
        self.found.push(Found::new(K::Unreadable, S::Warning, span, message, remedy));
    }

    /// Carries doubt on: what was found since `before` puts this round's count in doubt; a printed total that the
    /// instruction bears out ends it; a round with no total of its own follows from the doubtful one, and says so.
    pub fn carry_doubt(&mut self, r: &RoundText, before: usize, total: bool, borne_out: bool) {
        let shaken = self.found[before.min(self.found.len())..].iter().any(|f| {
            f.severity > S::Note
                && matches!(
                    f.kind,
                    K::TotalDiffers
                        | K::StitchesDiffer
                        | K::Guessed
                        | K::NoCount
                        | K::ImpossibleRound
                        | K::MeasureOnly
                        | K::Unreadable
                )
        });
        let Some(cur) = &mut self.cur else { return };
        if shaken {
            cur.doubt = Some(r.line);
        } else if total && borne_out {
            cur.doubt = None;
        } else if let Some(line) = cur.doubt.filter(|l| *l != r.line && !total) {
            let message = format!("The count follows from line {}, where something is in doubt.", line + 1);
            let remedy = "Settle that line first, or write the total here.";
            self.found.push(Found::new(K::Guessed, S::Note, r.span.clone(), message, remedy));
        }
    }
}
