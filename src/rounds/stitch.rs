//! The stitch kinds, with how tall they are, and the stitch as "so many in, so many out".

use serde::{Deserialize, Serialize};

/// Stitch kinds, in US terms (Craft Yarn Council abbreviations).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum StitchKind {
    /// Slip stitch, `sl st`.
    Slip,
    /// Single crochet, `sc` (UK `dc`).
    #[default]
    Single,
    /// Half double crochet, `hdc` (UK `htr`).
    HalfDouble,
    /// Double crochet, `dc` (UK `tr`).
    Double,
    /// Treble crochet, `tr` (UK `dtr`).
    Treble,
}

impl StitchKind {
    /// Every kind, shortest first.
    pub const ALL: [StitchKind; 5] =
        [StitchKind::Slip, StitchKind::Single, StitchKind::HalfDouble, StitchKind::Double, StitchKind::Treble];

    /// Stitches that a flat disc of this kind gains each round: sc 6, hdc 8, dc 12 (common practice, no
    /// source). Slip stitch and treble continue the row (from memory: defaults, no source).
    pub fn flat_increase(self) -> f64 {
        match self {
            StitchKind::Slip => 3.0,
            StitchKind::Single => 6.0,
            StitchKind::HalfDouble => 8.0,
            StitchKind::Double => 12.0,
            StitchKind::Treble => 18.0,
        }
    }

    /// Height against single crochet. A disc that gains k stitches a round lies flat when h = k·w/2π, so
    /// heights go as the flat counts.
    pub fn height_in_single(self) -> f64 {
        self.flat_increase() / StitchKind::Single.flat_increase()
    }
}

/// Which loops of the round below the hook goes under.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Loops {
    /// Under both.
    #[default]
    Both,
    /// Front loop only.
    Front,
    /// Back loop only.
    Back,
}

/// One thing that is worked: into how many stitches of the round below, leaving how many.
///
/// A plain stitch is 1 → 1, an increase 1 → 2 (or 3, 4), a decrease 2 → 1 (or 3 → 1), a skipped stitch 1 → 0,
/// a chain stitch inside a round 0 → 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Stitch {
    /// Its kind.
    pub kind: StitchKind,
    /// The loops it is worked into.
    pub loops: Loops,
    /// Stitches of the round below that it takes up.
    pub uses: u16,
    /// Stitches that it leaves.
    pub makes: u16,
}

impl Stitch {
    /// A plain stitch.
    pub const fn plain(kind: StitchKind) -> Self {
        Stitch { kind, loops: Loops::Both, uses: 1, makes: 1 }
    }
    /// Single crochet.
    pub const SC: Stitch = Stitch::plain(StitchKind::Single);
    /// Two single crochets in one stitch.
    pub const INC: Stitch = Stitch { kind: StitchKind::Single, loops: Loops::Both, uses: 1, makes: 2 };
    /// Two stitches worked together.
    pub const DEC: Stitch = Stitch { kind: StitchKind::Single, loops: Loops::Both, uses: 2, makes: 1 };
}
