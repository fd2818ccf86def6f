//! How a part for an outline is begun and ended, and the part that counts make.

use crate::part::{Base, End, Part};
use crate::rounds::{Finish, Loops, Round, Start, rounds_of_counts};

use super::rules::Ends;

/// How a part for an outline is begun and ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plan {
    /// It starts on the axis: a magic ring. Else an open chain ring.
    pub(super) ring: bool,
    /// Rounds of the flat disc that it starts with; 0 where it starts rounded.
    pub(super) disc: usize,
    /// It ends on the axis: gathered shut. Else open.
    pub(super) gathered: bool,
}

impl Plan {
    pub(super) fn ends(&self) -> Ends {
        Ends { ring: self.ring, gathered: self.gathered, disc: self.disc }
    }

    /// The part with these counts, increases spread evenly and staggered. `None` where a count is 0 or absurd.
    pub(super) fn part(&self, counts: &[u32]) -> Option<Part> {
        let mut rounds = rounds_of_counts(counts).ok()?;
        let base = self.base(&mut rounds);
        Some(Part {
            name: "Part".to_owned(),
            start: if self.ring { Start::MagicRing } else { Start::ChainRing },
            finish: if self.gathered { Finish::Gathered } else { Finish::Open },
            rounds,
            base,
            base_end: End::Start,
            ..Part::default()
        })
    }

    /// The flat disc: a wall whose first round, worked in back loops, makes its edge.
    fn base(&self, rounds: &mut [Round]) -> Base {
        let Some(wall) = (self.disc > 0).then(|| rounds.get_mut(self.disc)).flatten() else { return Base::Rounded };
        wall.runs.iter_mut().for_each(|run| run.stitch.loops = Loops::Back);
        Base::BackLoopEdge { round: u32::try_from(self.disc + 1).unwrap_or(u32::MAX) }
    }
}
