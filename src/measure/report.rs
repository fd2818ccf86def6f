//! The report: every figure and finding about a toy, in the form that programs read (`check --json`) and from
//! which the maker's text and the window are made. Field names carry their units; `{value, low, high}` is a
//! figure with its give or take; what is absent is `null`.

mod cautions;
mod fabric;
mod placements;
mod time;

pub use cautions::{Caution, CautionsReport, DEFERS};
pub use fabric::{FabricReport, FabricRound};
pub use placements::{
    FacePlace, PlacementsReport, RoundCover, SeamCopy, SeamReport, SewnOff, StepReport, StepsReport, WorkedPlace,
};
pub use time::{PartTime, Saving, TimeReport};

use serde::Serialize;

use super::narrow::MeasureFirst;
use super::need::YarnNeed;
use super::standing::StandVerdict;
use crate::figure::{Assumed, Figure};

/// Version of the report's form.
pub const SCHEMA: u32 = 1;

/// Everything the program says about a toy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// [`SCHEMA`].
    pub schema: u32,
    /// What the figures rest on.
    pub assumed: AssumedBlock,
    /// The toy as a whole.
    pub toy: ToyReport,
    /// Part by part, in the order they are made; figures for one copy.
    pub parts: Vec<PartReport>,
    /// How it stands; `null` where nothing is placed on the floor.
    pub stand: Option<StandReport>,
    /// Every seam and narrow round with what it carries.
    pub necks: Vec<NeckReport>,
    /// Yarn by yarn.
    pub yarn: Vec<YarnReport>,
    /// Hours, days, what would save some.
    pub time: TimeReport,
    /// Part by part: whether stuffing shows.
    pub fabric: Vec<FabricReport>,
    /// Where faces and seams lie on the worked fabric, and the steps; absent until
    /// [`super::placements`] has been asked.
    pub placements: Option<PlacementsReport>,
    /// What the safety checks say.
    pub cautions: CautionsReport,
    /// What to measure next, what tells most first; empty where nothing that can be measured decides anything.
    pub measure_first: Vec<MeasureFirst>,
    /// What to look at, worst first.
    pub findings: Vec<Finding>,
}

/// The assumptions, so that any figure can be worked out again outside.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AssumedBlock {
    /// Stitch width of the main yarn.
    pub w_mm: Assumed,
    /// Height of its single crochet rounds.
    pub h_mm: Assumed,
    /// Its yarn count, g per km.
    pub tex: Assumed,
    /// Yarn in one single crochet, in stitch widths.
    pub yarn_widths_per_stitch: Assumed,
    /// Packed density of the stuffing of the part that stands, or of the first stuffed part.
    pub density_g_per_l: Assumed,
    /// Its pressure on the fabric.
    pub pressure_kpa: Assumed,
    /// Stiffness of the fabric.
    pub fabric_n_per_m: Assumed,
    /// Stiffness of gathered fabric against stretched.
    pub compression_share: Assumed,
    /// Shift of each round's start.
    pub drift_stitches: Assumed,
}

/// Lengths along the toy's axes: x to its left, y to its front, z up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct SizeMm {
    /// Width.
    pub x: Figure,
    /// Depth.
    pub y: Figure,
    /// Height.
    pub z: Figure,
}

/// The toy as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ToyReport {
    /// Its name.
    pub name: String,
    /// Size with the fabric's thickness, placed parts only; `null` where nothing is placed.
    pub size_mm: Option<SizeMm>,
    /// Mass of everything, parts that are not placed included.
    pub mass_g: Figure,
    /// Centre of mass of what is placed; the floor is z = 0.
    pub centre_of_mass_mm: Option<[f64; 3]>,
    /// Moments and products of inertia of what is placed about its centre of mass, rows x, y, z.
    pub inertia_g_mm2: Option<[[f64; 3]; 3]>,
    /// Mass of the head and all it carries, against the rest.
    pub head_to_body_mass: Option<Figure>,
    /// Height of the toy in heights of its head.
    pub heads_tall: Option<Figure>,
    /// Name of the part taken for the head.
    pub head: Option<String>,
}

/// One part; figures for one copy.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PartReport {
    /// Its name.
    pub name: String,
    /// How many there are.
    pub copies: u32,
    /// Counts round by round.
    pub rounds: Vec<u32>,
    /// Stitches of one copy.
    pub stitches: u64,
    /// Greatest width, with the fabric's thickness.
    pub widest_mm: Figure,
    /// Length along the axis, with the fabric's thickness.
    pub length_mm: Figure,
    /// Greatest width of the middle of the fabric.
    pub stuffed_widest_mm: Figure,
    /// Length of the middle of the fabric.
    pub stuffed_length_mm: Figure,
    /// Room for stuffing, less what another part takes from it; 0 for an empty part.
    pub volume_ml: Figure,
    /// Mass of its yarn.
    pub fabric_g: Figure,
    /// Mass of its stuffing.
    pub stuffing_g: Figure,
    /// Yarn in it, without tails.
    pub yarn_m: Figure,
    /// Length of the plain revolved surface, before stuffing.
    pub unstuffed_length_mm: Figure,
    /// Packed density of its stuffing; `null` for an empty part.
    pub density_g_per_l: Option<Assumed>,
    /// Pressure of its stuffing on the fabric; `null` for an empty part.
    pub pressure_kpa: Option<Assumed>,
    /// Its yarn.
    pub yarn: String,
    /// Its place in the toy is known.
    pub placed: bool,
    /// Centre of mass of the first copy, in the toy's frame.
    pub centre_of_mass_mm: Option<[f64; 3]>,
    /// The stuffed shape was found. Where not, the shape before stuffing is shown.
    pub converged: bool,
}

/// How the toy stands.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct StandReport {
    /// Least lean before it falls.
    pub tip_deg: Figure,
    /// The direction of that lean: 0 the front, 90 the toy's left.
    pub tip_toward_deg: f64,
    /// `stands`, `tips_easily`, `topples` or `rocks`.
    pub verdict: &'static str,
    /// How far it leans by itself before it rests; `null` where it finds no rest near upright.
    pub settles_deg: Option<f64>,
    /// Lean before falling in evenly spaced directions, from the front toward the left.
    pub tip_by_direction_deg: Vec<f64>,
    /// Names of the parts it stands on.
    pub stands_on: Vec<String>,
    /// How it lands: share of the ways it can be dropped, and the direction in the toy that then points up.
    /// `null` where they were not asked for or cannot be told.
    pub rest_poses: Option<Vec<RestPoseReport>>,
}

/// A lean smaller than this is neither shown nor told, degrees.
pub const SHOWN_LEAN_DEG: f64 = 1.0;

impl StandReport {
    /// How far it leans by itself where it comes to rest, if that is worth saying, degrees. The lean before it falls is told
    /// from there.
    pub fn rests_leaning_deg(&self) -> Option<f64> {
        self.settles_deg.filter(|deg| *deg >= SHOWN_LEAN_DEG)
    }

    /// Where the give or take of the lean spans more than one verdict: its ends with what the toy does there, such as
    /// "0° (rolls over by itself) to 64° (stands well)".
    pub fn not_settled(&self) -> Option<String> {
        let Figure { low, high, .. } = self.tip_deg;
        let [worst, best] = [low, high].map(StandVerdict::of);
        let settled = worst == best && best.word() == self.verdict;
        (!settled).then(|| format!("{low:.0}° ({}) to {high:.0}° ({})", worst.plain(), best.plain()))
    }
}

/// One way to land.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RestPoseReport {
    /// Share of all ways to be dropped.
    pub share: f64,
    /// Direction in the toy's frame that points up.
    pub up: [f64; 3],
    /// It rolls on the way it lies.
    pub rolls: bool,
}

impl RestPoseReport {
    /// How it then lies, in words.
    pub fn way_up(&self) -> &'static str {
        let up = self.up;
        let ways = [
            (up[2], "upright"),
            (-up[2], "upside down"),
            (up[1], "on its back"),
            (-up[1], "on its face"),
            (up[0], "on its right side"),
            (-up[0], "on its left side"),
        ];
        match ways.iter().max_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((_, way)) if self.rolls && !way.starts_with("up") => "on its side, rolling",
            Some((_, way)) => way,
            None => "",
        }
    }
}

/// A seam or a narrow round, with what lies beyond it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NeckReport {
    /// The part that is carried.
    pub part: String,
    /// The part it is on; the same one for a narrow round.
    pub onto: String,
    /// For a narrow round: which, counted from 1. For a seam: the round of the part sat on, as a fraction.
    pub round: Option<f64>,
    /// Radius of the joint; half the narrow width of a long one.
    pub radius_mm: Figure,
    /// What it can carry against what it has to, held level.
    pub load_share: Figure,
    /// Leaning at which it nods over, where it does.
    pub nods_beyond_deg: Option<f64>,
    /// What it carries presses the joint flat.
    pub sinks: bool,
    /// Mass of everything beyond, g.
    pub carries_g: f64,
    /// `holds`, `nods`, `flops` or `held`.
    pub verdict: &'static str,
}

/// One yarn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct YarnReport {
    /// Its name.
    pub name: String,
    /// Length in all stitches of the toy, without tails and sewing.
    pub metres: Figure,
    /// Mass of that.
    pub grams: Figure,
    /// Craft Yarn Council category taken, 0 to 7.
    pub category: u8,
    /// Hook taken.
    pub hook_mm: f64,
    /// Stitch width.
    pub w_mm: Assumed,
    /// Height of a single crochet round.
    pub h_mm: Assumed,
    /// Yarn count, g per km.
    pub tex: Assumed,
    /// What it takes with tails and sewing, against what is at hand.
    #[serde(flatten)]
    pub stock: YarnNeed,
}

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// Worth a change.
    Warning,
    /// The toy will disappoint or harm.
    Severe,
}

impl Severity {
    /// The word programs read.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Severe => "severe",
        }
    }
}

macro_rules! finding_kinds {
    ($($(#[$doc:meta])* $name:ident => $word:literal,)*) => {
        /// What a finding is about.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum FindingKind { $($(#[$doc])* $name,)* }
        impl FindingKind {
            /// Every kind.
            pub const ALL: &[FindingKind] = &[$(FindingKind::$name,)*];
            /// The word programs read.
            pub fn word(self) -> &'static str {
                match self { $(FindingKind::$name => $word,)* }
            }
        }
    };
}

finding_kinds! {
    /// The head pulls the toy over or is too much for what it stands on.
    HeadHeavy => "head_heavy",
    /// It falls at a small lean.
    TipsEasily => "tips_easily",
    /// It rocks on a round base.
    Rocks => "rocks",
    /// It leans by itself before it rests.
    LeansByItself => "leans_by_itself",
    /// The base is too soft for the weight on it.
    TooSoft => "too_soft",
    /// The neck does not hold what it carries.
    FloppyNeck => "floppy_neck",
    /// What a neck carries presses it flat.
    NeckSinks => "neck_sinks",
    /// More stitches than the fabric has room for.
    Ruffles => "ruffles",
    /// Fewer stitches than a flat disc would need.
    Cups => "cups",
    /// The fabric is stretched until its stitches gape.
    Overstretched => "overstretched",
    /// Stuffing shows between the stitches.
    StuffingShows => "stuffing_shows",
    /// More stuffing than the fabric can hold.
    Overstuffed => "overstuffed",
    /// More than double in one round.
    TooManyIncreases => "too_many_increases",
    /// Several stitches in one.
    ManyInOne => "many_in_one",
    /// More stitches used than there are, or less than half left.
    TooManyDecreases => "too_many_decreases",
    /// A round takes up another number of stitches than there are below it.
    StitchesDiffer => "stitches_differ",
    /// A round of no stitches.
    EmptyRound => "empty_round",
    /// An opening that nothing covers.
    OpenEnd => "open_end",
    /// Too many stitches to draw shut.
    DoesNotClose => "does_not_close",
    /// A base that the part cannot have.
    BaseIgnored => "base_ignored",
    /// It is to stand, and nothing that bears is on the floor.
    NothingToStandOn => "nothing_to_stand_on",
    /// A part has no place in the toy.
    Unplaced => "unplaced",
    /// A name that nothing has.
    UnknownName => "unknown_name",
    /// Nothing to work out.
    NothingThere => "nothing_there",
    /// The stuffed shape could not be found.
    ShapeNotFound => "shape_not_found",
    /// A small or hard thing, cord or filling that can harm a child.
    Safety => "safety",
    /// The toy comes out at another size than its pattern says.
    SizeDiffers => "size_differs",
    /// A yarn does not last, or may not.
    YarnShort => "yarn_short",
    /// A field of the file that nothing reads.
    UnknownField => "unknown_field",
    /// A place where the written rounds and their reading need a look.
    WrittenRounds => "written_rounds",
}

impl FindingKind {
    /// Those about how the toy stands.
    pub const STANDING: [FindingKind; 5] = [
        FindingKind::TipsEasily,
        FindingKind::HeadHeavy,
        FindingKind::Rocks,
        FindingKind::TooSoft,
        FindingKind::LeansByItself,
    ];
    /// Those about a neck.
    pub const NECK: [FindingKind; 2] = [FindingKind::FloppyNeck, FindingKind::NeckSinks];
}

/// Something the maker should look at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// What it is about.
    pub kind: FindingKind,
    /// How grave it is.
    pub severity: Severity,
    /// Name of the part, where it is about one.
    pub part: Option<String>,
    /// Round, counted from 1, where it is about one.
    pub round: Option<u32>,
    /// What is the matter.
    pub message: String,
    /// What to do about it.
    pub remedy: String,
}
