//! The families of changes, each a ladder of whole steps from the least change up.

mod base;
mod feet;
mod length;
mod neck;
mod repair;
mod rescale;
mod stuffing;
mod tilt;
mod weight;
mod width;

use std::rc::Rc;

use serde::{Deserialize, Serialize};

use super::goals::Goal;
use crate::measure::{FindingKind, Glance};
use crate::toy::pose::PiecePose;
use crate::toy::shape::ShapeKind;
use crate::toy::wishes::Limits;
use crate::toy::{Seat, Toy};

macro_rules! families {
    ($($(#[$doc:meta])* $name:ident => $word:literal,)*) => {
        /// A family of changes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Family { $($(#[$doc])* $name,)* }
        impl Family {
            /// Every family.
            pub const ALL: &[Family] = &[$(Family::$name,)*];
            /// The word programs read.
            pub fn word(self) -> &'static str {
                match self { $(Family::$name => $word,)* }
            }
        }
    };
}

families! {
    /// Fewer stitches at the widest rounds.
    Narrower => "narrower",
    /// More stitches at the widest rounds.
    Wider => "wider",
    /// More rounds of increases, so that base and widest rounds grow together.
    WiderBase => "wider_base",
    /// Even rounds added.
    Taller => "taller",
    /// Even rounds taken out.
    Shorter => "shorter",
    /// A part larger or smaller in the same shape.
    PartSize => "part_size",
    /// The whole toy larger or smaller in the same shape.
    ToySize => "toy_size",
    /// A wider neck opening.
    WiderNeck => "wider_neck",
    /// Firmer stuffing.
    Firmer => "firmer",
    /// A stiff stick through the neck.
    NeckStick => "neck_stick",
    /// Weight in the base.
    Weight => "weight",
    /// The base pressed flat.
    FlatBase => "flat_base",
    /// A back-loop round at the edge of the base.
    BackLoopEdge => "back_loop_edge",
    /// A stiff disc in the base.
    BaseDisc => "base_disc",
    /// Feet elsewhere.
    Feet => "feet",
    /// The head tipped back.
    Tilt => "tilt",
    /// Less stuffing.
    LessStuffing => "less_stuffing",
    /// Stuffing in a part that is left empty.
    Stuff => "stuff",
    /// Rounds worked anew so that they fit each other.
    Rounds => "rounds",
    /// Hard things left out.
    NoHardThings => "no_hard_things",
}

/// One family at one place of the toy. What it does to a toy follows from that toy alone, so that it can be tried on
/// others like it.
pub trait Ladder {
    /// The family.
    fn family(&self) -> Family;
    /// Position of the part it changes first of all.
    fn part(&self) -> usize;
    /// Steps there are; step 1 changes least.
    fn steps(&self) -> u32;
    /// The toy with this step taken; `None` where it cannot be.
    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy>;
    /// What to do, as one sentence.
    fn words(&self, before: &Toy, step: u32, after: &Toy) -> String;
}

/// A list of ladders.
pub type Ladders = Vec<Rc<dyn Ladder>>;

/// What the families look at.
pub struct Context<'a> {
    /// The toy.
    pub toy: &'a Toy,
    /// What it comes out like.
    pub look: &'a Glance,
    /// What must stay.
    pub limits: &'a Limits,
    /// What is to be reached.
    pub goals: &'a [Goal],
}

/// Parts whose rounds are tried where the size of all of them matters.
const MOST_PARTS: usize = 8;

impl Context<'_> {
    /// Name of a part.
    pub fn name(&self, index: usize) -> &str {
        &self.toy.pieces[index].part.name
    }

    /// Parts the toy stands on: those that touch the floor, or that have their seat there.
    pub fn base_parts(&self) -> Vec<usize> {
        if !self.look.stands_on.is_empty() {
            return self.look.stands_on.clone();
        }
        let on_floor = |i: &usize| matches!(self.toy.pieces[*i].placement.seat, Seat::Floor { .. });
        (0..self.toy.pieces.len()).filter(on_floor).collect()
    }

    /// Where a part is.
    pub fn pose(&self, index: usize) -> &PiecePose {
        &self.look.made.poses[index]
    }

    /// Whether a part is stuffed.
    pub fn is_stuffed(&self, index: usize) -> bool {
        self.look.made.shapes[index].kind == ShapeKind::Stuffed
    }

    /// Whether the size or the yarn of the whole toy matters.
    pub fn is_about_size(&self) -> bool {
        self.goals.iter().any(|g| matches!(g, Goal::Height { .. } | Goal::Yarn { .. }))
    }

    /// Parts whose rounds are worth changing: what it stands on and what that sits on, the head, both sides of every
    /// joint that does not hold, parts with severe findings; where size or yarn matters, the largest parts.
    pub fn parts_to_work(&self) -> Vec<usize> {
        let mut parts = self.base_parts();
        parts.extend(parts.clone().into_iter().filter_map(|i| self.pose(i).parent));
        let on_floor = |i: &usize| matches!(self.toy.pieces[*i].placement.seat, Seat::Floor { .. });
        parts.extend((0..self.toy.pieces.len()).filter(on_floor));
        parts.extend(self.look.head);
        for neck in self.weak_necks() {
            parts.push(neck.part);
            parts.extend(self.pose(neck.part).parent);
        }
        for finding in super::goals::severe(self.look) {
            parts.extend(finding.part.as_deref().and_then(|p| self.toy.piece_named(p)));
        }
        if self.is_about_size() {
            let mut all: Vec<usize> = (0..self.toy.pieces.len()).collect();
            let stitches = |i: &usize| self.toy.pieces[*i].part.stitches() * u64::from(self.look.copies[*i]);
            all.sort_by_key(|i| std::cmp::Reverse(stitches(i)));
            parts.extend(all.into_iter().take(MOST_PARTS));
        }
        let mut seen = vec![false; self.toy.pieces.len()];
        parts.retain(|i| !std::mem::replace(&mut seen[*i], true));
        parts
    }

    /// Joints that a goal is about or that do not hold what stands on them.
    pub fn weak_necks(&self) -> impl Iterator<Item = &crate::measure::necks::Neck> {
        let wanted = |name: &str| {
            self.goals.iter().any(|g| matches!(g, Goal::Neck { part, .. } if part.as_deref().is_none_or(|p| p == name)))
        };
        let floppy = |name: &str| {
            super::goals::severe(self.look)
                .any(|f| f.kind == FindingKind::FloppyNeck && f.part.as_deref() == Some(name))
        };
        self.look.necks.iter().filter(move |n| {
            let name = self.name(n.part);
            !n.joint.stick && n.load.centre_mm.z > n.pivot_mm.z && (wanted(name) || floppy(name))
        })
    }
}

/// Every ladder for a toy, those that change only how it is put together first.
pub fn ladders(context: &Context) -> Ladders {
    let mut all = Ladders::new();
    repair::ladders(context, &mut all);
    base::ladders(context, &mut all);
    weight::ladders(context, &mut all);
    stuffing::ladders(context, &mut all);
    neck::ladders(context, &mut all);
    tilt::ladders(context, &mut all);
    feet::ladders(context, &mut all);
    width::ladders(context, &mut all);
    length::ladders(context, &mut all);
    rescale::ladders(context, &mut all);
    all.retain(|l| !context.limits.without.iter().any(|word| word == l.family().word()));
    all
}

/// What is left out for safety, in words.
pub fn cautions(context: &Context) -> Vec<String> {
    let mut said = Vec::new();
    neck::caution(context, &mut said);
    weight::caution(context, &mut said);
    said
}

/// Whether a child under three may get it: known, or not known to be older.
fn for_a_small_child(toy: &Toy) -> bool {
    toy.settings.child_months.is_none_or(|m| m < 36)
}

/// A mass in words.
fn grams(g: f64) -> String {
    if g < 9.95 { format!("{g:.1} g") } else { format!("{g:.0} g") }
}
