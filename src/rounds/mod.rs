//! What a round is: its stitches in order, each with the stitches it is worked into and the stitches it
//! leaves. No text of patterns here (that is `notation`), no lengths (those are `part`).
//!
//! A round is a list of [`Run`]s in the order they are worked. Everything else (how many stitches it
//! leaves, how many it needs, where its increases sit) follows from that list, so nothing can disagree.

mod compact;
mod spread;
mod stitch;

pub(crate) use compact::best_repeat;
pub use compact::{CompactError, read_with_at_most};
pub use spread::{SpreadError, even, rounds_of_counts, spread};
pub use stitch::{Loops, Stitch, StitchKind};

use std::sync::Arc;

/// A number of equal stitches worked one after the other.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Run {
    /// The stitch that is repeated.
    pub stitch: Stitch,
    /// How many times, at least 1.
    pub times: u32,
    /// Name of the colour or yarn it is worked in; `None` is the part's own yarn.
    pub colour: Option<Arc<str>>,
}

impl Run {
    /// `times` stitches in the part's own yarn.
    pub fn new(stitch: Stitch, times: u32) -> Self {
        Run { stitch, times, colour: None }
    }
}

/// One round, as the list of what is worked, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Round {
    /// The stitches in the order they are worked.
    pub runs: Vec<Run>,
    /// Meant to ruffle (a frill, a skirt): no finding is made of its ruffling.
    pub frill: bool,
}

impl Round {
    /// A round of these runs.
    pub fn of(runs: impl IntoIterator<Item = Run>) -> Self {
        Round { runs: runs.into_iter().collect(), frill: false }
    }

    /// Stitches the round leaves for the next one.
    pub fn count(&self) -> u32 {
        self.sum(|s| s.makes)
    }

    /// Stitches of the round below that it is worked into.
    pub fn uses(&self) -> u32 {
        self.sum(|s| s.uses)
    }

    /// Stitches added by increases, a 3-in-one counting two.
    pub fn increases(&self) -> u32 {
        self.sum(|s| s.makes.saturating_sub(s.uses))
    }

    /// Stitches lost to decreases.
    pub fn decreases(&self) -> u32 {
        self.sum(|s| s.uses.saturating_sub(s.makes))
    }

    /// The kind most of its stitches are; single crochet for an empty round.
    pub fn kind(&self) -> StitchKind {
        let mut best = (0, StitchKind::Single);
        for kind in StitchKind::ALL {
            let n = self.made(|s| s.kind == kind);
            if n > best.0 {
                best = (n, kind);
            }
        }
        best.1
    }

    /// Height of the round in heights of a single crochet round, stitches of different kinds averaged.
    pub fn height_in_single(&self) -> f64 {
        let (mut sum, mut n) = (0.0, 0.0);
        for run in &self.runs {
            let made = f64::from(run.times) * f64::from(run.stitch.makes);
            sum += made * run.stitch.kind.height_in_single();
            n += made;
        }
        if n > 0.0 { sum / n } else { 1.0 }
    }

    /// Whether most of its stitches are worked in the back loops only, which leaves a hard edge.
    pub fn is_back_loop(&self) -> bool {
        let back = self.made(|s| s.loops == Loops::Back);
        back > 0 && 2 * u64::from(back) > u64::from(self.count())
    }

    /// The colour of its first stitch that names one.
    pub fn colour(&self) -> Option<&Arc<str>> {
        self.runs.iter().find_map(|r| r.colour.as_ref())
    }

    fn sum(&self, of: impl Fn(&Stitch) -> u16) -> u32 {
        self.runs.iter().fold(0u32, |n, r| n.saturating_add(u32::from(of(&r.stitch)).saturating_mul(r.times)))
    }

    fn made(&self, keep: impl Fn(&Stitch) -> bool) -> u32 {
        self.sum(|s| if keep(s) { s.makes } else { 0 })
    }
}

/// How the first round is begun.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum Start {
    /// Worked into a magic ring: closed, round 1 is the ring.
    #[default]
    MagicRing,
    /// Worked into a chain joined to a ring: an open tube.
    ChainRing,
    /// Worked around both sides of a chain of this many stitches: closed, long.
    ChainOval {
        /// Stitches of the chain that are worked into, without the turning chain.
        chain: u32,
    },
    /// Continued around parts already made (legs), which close it below.
    JoinedParts {
        /// Names of those parts, in the order they are joined.
        parts: Vec<String>,
        /// Chain stitches made between two of them.
        chain: u32,
    },
    /// Continued from the open rim or from loops left free of another part.
    Rim {
        /// Name of that part.
        part: String,
    },
}

/// How the last round is ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum Finish {
    /// The thread is drawn through the last stitches, which close.
    #[default]
    Gathered,
    /// Left open to be sewn to another part.
    Open,
    /// Folded flat and worked or sewn shut.
    FoldedFlat,
}
