//! The toy as its maker describes it: yarns, parts, where each part sits, what is added, what it is to do.
//! From that follow the stuffed shape of every part ([`shape`]) and its place in the toy ([`pose`]).

pub mod address;
mod hand;
pub mod plan;
pub mod pose;
pub mod records;
pub mod renumber;
pub mod shape;
mod stack;
pub mod wishes;

pub use plan::Plan;
pub use records::Records;
pub use renumber::Renumbered;
pub use stack::{head_by_name, seat_by_default, stack_by_default};
pub use wishes::Wishes;

use serde::{Deserialize, Serialize};

use crate::kept::Kept;
use crate::part::{End, Part};
use crate::yarn::Yarn;

/// What the toy is meant to do. Findings follow from it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Purpose {
    /// Sit up by itself.
    #[default]
    Sit,
    /// Stand on two feet.
    StandOnTwo,
    /// Stand on four feet.
    StandOnFour,
    /// Lie.
    Lie,
    /// Hang by a loop.
    Hang,
    /// Be floppy: nothing needs to hold.
    Floppy,
}

/// How a part is fixed to the one it sits on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Joint {
    /// Its open rim sewn to an open rim.
    RimToRim,
    /// Its rim sewn onto a surface.
    #[default]
    RimOnSurface,
    /// Folded flat and sewn along a line: it dangles.
    FoldedFlat,
    /// Worked in one with it.
    WorkedInOne,
    /// Held by a thread or button: it swivels.
    Thread,
}

/// Where a part sits.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Seat {
    /// Not placed yet: it lies beside the toy and counts in yarn only.
    #[default]
    Beside,
    /// It carries the toy: its axis upright before nod and lean.
    Floor {
        /// The end that is down.
        down: End,
        /// Sideways from the toy's centre line, toward its left, mm.
        x_mm: f64,
        /// Forward, mm.
        y_mm: f64,
    },
    /// On the axis of another part, against one of its ends: rim to rim, or where that part is as wide as the
    /// rim.
    OnEnd {
        /// Name of the part it sits on.
        part: String,
        /// Which end of it.
        end: End,
    },
    /// On the surface of another part.
    OnSurface {
        /// Name of the part it sits on.
        part: String,
        /// The address there.
        at: Address,
    },
}

impl Seat {
    /// Name of the part it sits on.
    pub fn part(&self) -> Option<&str> {
        match self {
            Seat::Beside | Seat::Floor { .. } => None,
            Seat::OnEnd { part, .. } | Seat::OnSurface { part, .. } => Some(part),
        }
    }
}

/// A place on the stuffed surface of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Address {
    /// Round, as a node: 0 is the start, 3.0 the outer edge of round 3, 2.5 the middle of round 3.
    pub round: f64,
    /// Angle about the part's axis as it stands, degrees: 0 the front, 90 the toy's left. Around a long section the place
    /// of the same share of its width ([`address`]).
    pub angle_deg: f64,
}

/// How many there are of a part, and how they are arranged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Copies {
    /// One.
    #[default]
    One,
    /// Two, mirrored left and right.
    MirroredPair,
    /// This many, evenly around the axis of the part they sit on.
    Around(u32),
}

impl Copies {
    /// How many.
    pub fn number(self) -> u32 {
        match self {
            Copies::One => 1,
            Copies::MirroredPair => 2,
            Copies::Around(n) => n.max(1),
        }
    }
}

/// Where a part sits and how it is turned there.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Placement {
    /// Where.
    pub seat: Seat,
    /// How it is fixed.
    pub joint: Joint,
    /// How often.
    pub copies: Copies,
    /// The end by which it is fixed; an open end where there is one, else the last round, where not said.
    pub by: Option<End>,
    /// Round (node) along which a closed part is sewn; where not said, a circle of half the narrower part.
    pub seam_round: Option<f64>,
    /// Tipped toward the front, degrees.
    pub nod_deg: f64,
    /// Tipped toward the toy's left, degrees; a mirrored copy the other way.
    pub lean_deg: f64,
    /// Turned about its own axis, degrees.
    pub turn_deg: f64,
    /// Moved outward along its axis, mm.
    pub offset_mm: f64,
}

/// A part and its place.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Piece {
    /// What is worked.
    pub part: Part,
    /// Where it goes.
    pub placement: Placement,
}

/// Something added that has a mass.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Extra {
    /// Name, for the maker.
    pub name: String,
    /// What it is.
    pub kind: ExtraKind,
    /// Mass of one, g.
    pub mass_g: f64,
    /// Name of the part it is in or on.
    pub part: String,
    /// Where.
    pub spot: Spot,
    /// How often.
    pub copies: Copies,
    /// What a file says of it in fields that nothing reads; paths run from here.
    #[serde(skip)]
    pub kept: Kept,
}

/// What an added thing is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum ExtraKind {
    /// Anything that has a mass (hair, a hat, a bell).
    #[default]
    Other,
    /// A hard eye or nose with a washer, of this diameter.
    Eye {
        /// Diameter, mm.
        diameter_mm: f64,
    },
    /// Pellets or beads in an inner bag.
    Pellets,
    /// A weight such as a pebble or a metal washer.
    Weight,
    /// A stiff stick through the neck, with capped ends.
    NeckStick,
    /// A cord, ribbon or loop, of this length when pulled straight.
    Cord {
        /// Free length, mm.
        length_mm: f64,
    },
    /// A magnet.
    Magnet {
        /// Greatest width, mm.
        diameter_mm: f64,
        /// Flux index by its maker, kG²·mm², where known.
        flux_index: Option<f64>,
    },
    /// Wire or pins.
    Wire,
}

/// Where an added thing is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Spot {
    /// On the axis, at this share of the part's length from its start.
    Inside {
        /// 0 at the start, 1 at the finish.
        share: f64,
    },
    /// On the surface.
    Surface(Address),
}

impl Default for Spot {
    fn default() -> Self {
        Spot::Inside { share: 0.5 }
    }
}

/// Figures that the maker sets for the whole toy, in place of the program's own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Packed density of the stuffing, g/L.
    pub density_g_per_l: Option<f64>,
    /// Stiffness of the fabric, N/m.
    pub fabric_n_per_m: Option<f64>,
    /// Pressure of the stuffing, kPa.
    pub pressure_kpa: Option<f64>,
    /// Shift of a round's start, stitches a round, to the worker's side.
    pub drift_stitches: Option<f64>,
    /// Worked by a left hand.
    pub left_handed: bool,
    /// Worked with the yarn under the hook, which drifts less and makes narrower stitches.
    pub yarn_under: bool,
    /// The side that faced away while working is outside on the finished toy.
    pub wrong_side_out: bool,
    /// Angle at which round 1 of every part begins: an address's angle, degrees; the back (180) where not said.
    pub first_stitch_deg: Option<f64>,
    /// Height that the pattern says the toy has in its own yarn, mm.
    pub pattern_height_mm: Option<f64>,
    /// Age of the child it is for, months.
    pub child_months: Option<u32>,
}

/// A toy.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Toy {
    /// Name.
    pub name: String,
    /// What it is to do.
    pub purpose: Purpose,
    /// Its yarns; the first is the main one. A toy without any is worked in an unknown yarn.
    pub yarns: Vec<Yarn>,
    /// Its parts, in the order they are made.
    pub pieces: Vec<Piece>,
    /// What is added.
    pub extras: Vec<Extra>,
    /// Figures set by the maker.
    pub settings: Settings,
    /// Plan and progress.
    pub plan: Plan,
    /// What was weighed and measured while it was made.
    pub records: Records,
    /// What is wanted of it, and what must stay.
    pub wishes: Wishes,
    /// What a file says of it in fields that nothing reads; paths run from the root of the file.
    #[serde(skip)]
    pub kept: Kept,
}

/// Most copies of one part, those on copies of others included: no toy has more, and no number in a file may exhaust memory.
const MOST_COPIES: u32 = 400;

impl Toy {
    /// The yarn of a name; the first where none has it.
    pub fn yarn(&self, name: &str) -> Option<&Yarn> {
        self.yarns.iter().find(|y| y.name == name).or_else(|| self.yarns.first())
    }

    /// Position of the part of this name.
    pub fn piece_named(&self, name: &str) -> Option<usize> {
        self.pieces.iter().position(|p| p.part.name == name)
    }

    /// How many are made of a part: its copies on every copy of what it sits on.
    pub fn copies_of(&self, index: usize) -> u32 {
        let mut number = 1u32;
        let mut at = Some(index);
        // No chain of seats is longer than there are parts; a circle ends there.
        for _ in 0..=self.pieces.len() {
            let Some(piece) = at.and_then(|i| self.pieces.get(i)) else { return number };
            number = number.saturating_mul(piece.placement.copies.number()).min(MOST_COPIES);
            at = piece.placement.seat.part().and_then(|name| self.piece_named(name));
        }
        self.pieces[index].placement.copies.number().min(MOST_COPIES)
    }
}
