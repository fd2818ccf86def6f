//! Places on the worked fabric, as the report says them.

use serde::Serialize;

use crate::figure::Figure;

/// Where everything goes on the worked fabric.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PlacementsReport {
    /// Eyes and whatever else is on a surface.
    pub face: Vec<FacePlace>,
    /// Every seam.
    pub seams: Vec<SeamReport>,
    /// Part by part what to do when.
    pub steps: Vec<StepsReport>,
}

/// A place by round and stitch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct WorkedPlace {
    /// Round, counted from 1.
    pub round: u32,
    /// Height within it, 0 at its lower edge, 1 at its upper.
    pub within: f64,
    /// Stitch of that round, counted from 1 from where the round begins.
    pub stitch: u32,
    /// Stitches from where the round begins, as a number; the range is that of the drift.
    pub stitches_from_start: Figure,
    /// Stitches in that round.
    pub of: u32,
}

/// One copy of something on a surface.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FacePlace {
    /// Name of the added thing.
    pub extra: String,
    /// The part it is on.
    pub part: String,
    /// Which copy of the part, counted from 0.
    pub part_copy: u32,
    /// Which copy of the thing, counted from 0.
    pub copy: u32,
    /// The place.
    pub place: WorkedPlace,
    /// Stitches of that round from the first copy to this one, the short way: above 0 in the direction of work, 0
    /// for the first. The drift does not touch it.
    pub stitches_from_first: f64,
}

/// What a rim covers of one round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct RoundCover {
    /// Round of the part sat on, counted from 1.
    pub round: u32,
    /// First stitch, counted from 1 from where that round begins.
    pub from_stitch: u32,
    /// Last stitch; smaller than the first where the run goes over the round's beginning.
    pub to_stitch: u32,
}

/// One copy of a seam.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SeamCopy {
    /// Which copy, counted from 0.
    pub copy: u32,
    /// Which copy of the part sat on.
    pub onto_copy: u32,
    /// Middle of the seam.
    pub middle: WorkedPlace,
    /// The rim goes all around the part sat on.
    pub all_around: bool,
    /// Rounds from the lowest to the highest, with the stitches that the rim crosses or encloses.
    pub rounds: Vec<RoundCover>,
}

/// How it stands if a part is sewn on elsewhere: tip angle less that of the toy as planned, degrees.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct SewnOff {
    /// One round nearer the start of the part sat on (rim to rim: one round deeper).
    pub round_down_deg: f64,
    /// One round nearer its finish (rim to rim: one round less deep).
    pub round_up_deg: f64,
    /// One stitch on around it (rim to rim: turned by a stitch).
    pub stitch_on_deg: f64,
    /// One stitch back.
    pub stitch_back_deg: f64,
}

/// One seam.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SeamReport {
    /// The part that is sewn on.
    pub part: String,
    /// The part it is sewn to.
    pub onto: String,
    /// `rim_to_rim`, `rim_on_surface`, `folded_flat`, `worked_in_one` or `thread`.
    pub joint: &'static str,
    /// Length of the seam along the surface, one copy; 0 where nothing is sewn.
    pub length_mm: f64,
    /// Tail to leave for it: three to four times its length, at least 300 mm; `null` where nothing is sewn.
    pub tail_mm: Option<Figure>,
    /// Stitches in the rim that is sewn on.
    pub own_stitches: u32,
    /// Copy by copy.
    pub copies: Vec<SeamCopy>,
    /// One round or one stitch off; `null` where the toy does not stand.
    pub sewn_off: Option<SewnOff>,
}

/// What to do with a part, in order.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StepsReport {
    /// The part.
    pub part: String,
    /// The steps.
    pub steps: Vec<StepReport>,
}

/// One step.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StepReport {
    /// `work`, `base`, `inside`, `eyes`, `stuff`, `close` or `sew`.
    pub kind: &'static str,
    /// After this round, counted from 1; 0 before the first.
    pub after_round: u32,
    /// Width of the opening then, mm; `null` where there is none.
    pub opening_mm: Option<f64>,
    /// The step, as a sentence.
    pub message: String,
}
