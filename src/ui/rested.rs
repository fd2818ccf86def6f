//! The toy as a picture shows it: as it comes to rest on its own feet, lying, or as far as it is made.

use glam::DVec3;

use crate::measure::report::SHOWN_LEAN_DEG;
use crate::measure::{Derived, Made, derive};
use crate::toy::plan::as_far_as_made;
use crate::toy::{Seat, Spot, Toy};
use crate::view::overlay::Footing;
use crate::view::posed::{lay_dangling, turned};
use crate::view::rose::Lean;

/// Between parts that are laid beside each other, mm.
const BESIDE_MM: f64 = 12.0;

/// A toy in the pose in which it is shown.
#[derive(Debug, Default)]
pub struct Posed {
    /// Its parts.
    pub made: Made,
    /// Its centre of mass there, mm.
    pub centre_of_mass_mm: Option<DVec3>,
}

impl Posed {
    /// The toy with a direction of its frame up, what dangles on the floor; as it is laid out without one.
    pub fn of(derived: &Derived, up: Option<DVec3>) -> Posed {
        let centre = derived.report.toy.centre_of_mass_mm.map(DVec3::from_array);
        let mut posed = match up {
            Some(up) => {
                let (made, turn) = turned(&derived.made, up);
                Posed { made, centre_of_mass_mm: centre.map(|c| turn.transform_point3(c)) }
            }
            None => Posed { made: derived.made.clone(), centre_of_mass_mm: centre },
        };
        lay_dangling(&mut posed.made);
        posed
    }
}

/// A toy at rest where it stands.
#[derive(Debug, Default)]
pub struct Rested {
    /// Its pose.
    pub posed: Posed,
    /// What it stands on.
    pub footing: Option<Footing>,
    /// How far it leans before it falls.
    pub lean: Option<Lean>,
}

impl Rested {
    /// Lets the toy lean as it does by itself before it rests, so that support and plumb line are where they will be.
    pub fn of(derived: &Derived) -> Rested {
        let standing = derived.standing.as_ref();
        let up = standing.and_then(|s| s.settled_up.filter(|_| s.settle_deg >= SHOWN_LEAN_DEG));
        let posed = Posed::of(derived, up);
        // The support is told in the settled pose. Where the lean is too small to be shown it is drawn under the toy
        // as laid out, its distances from the foot of the plumb line kept.
        let foot = posed.centre_of_mass_mm.map(|c| c.truncate());
        let standing = standing.zip(foot).filter(|(s, _)| !s.polygon.is_empty());
        let footing =
            standing.map(|(s, foot)| Footing { polygon: s.polygon.iter().map(|p| *p - s.foot + foot).collect() });
        let lean = derived.report.stand.as_ref().map(|s| Lean {
            by_direction_deg: s.tip_by_direction_deg.clone(),
            weakest_toward_deg: s.tip_toward_deg,
            weakest_deg: s.tip_deg.value,
        });
        Rested { posed, footing, lean }
    }
}

/// The toy as far as it is made, with all that follows from it.
#[derive(Debug)]
pub struct AsMade {
    /// Number of the toy it is of.
    pub of: u64,
    /// The toy.
    pub toy: Toy,
    /// What follows from it.
    pub derived: Derived,
    /// How it is shown.
    pub rested: Rested,
}

impl AsMade {
    /// Cuts a toy back to what is made of it. What sits on a part that is not begun yet is laid beside the rest.
    pub fn of(whole: &Toy, derived: &Derived, generation: u64) -> AsMade {
        let mut toy = as_far_as_made(whole);
        lay_beside(&mut toy, derived);
        let rounds: Vec<(String, f64)> =
            toy.pieces.iter().map(|p| (p.part.name.clone(), p.part.rounds.len() as f64)).collect();
        let made = |name: &str| rounds.iter().find(|(n, _)| n == name).map_or(0.0, |(_, rounds)| *rounds);
        // Eyes above the last round cannot be set yet, and nothing is put inside before there is an inside.
        toy.extras.retain(|extra| match extra.spot {
            Spot::Surface(at) => at.round <= made(&extra.part),
            Spot::Inside { .. } => made(&extra.part) > 0.0,
        });
        let derived = derive(&toy);
        let rested = Rested::of(&derived);
        AsMade { of: generation, toy, derived, rested }
    }

    /// Nothing is made yet.
    pub fn is_empty(&self) -> bool {
        self.toy.pieces.iter().all(|p| p.part.rounds.is_empty())
    }
}

/// Sets parts on the floor that are begun and whose seat is not.
fn lay_beside(toy: &mut Toy, derived: &Derived) {
    let begun: Vec<bool> = toy.pieces.iter().map(|p| !p.part.rounds.is_empty()).collect();
    let half_mm = |i: usize| derived.report.parts.get(i).map_or(0.0, |p| p.stuffed_widest_mm.value / 2.0);
    let carried = |toy: &Toy, i: usize| match toy.pieces[i].placement.seat.part() {
        Some(onto) => toy.piece_named(onto).is_some_and(|parent| begun[parent]),
        None => true,
    };
    let lost: Vec<usize> = (0..begun.len()).filter(|i| begun[*i] && !carried(toy, *i)).collect();
    let stays: Vec<usize> = (0..begun.len()).filter(|i| begun[*i] && !lost.contains(i)).collect();
    let mut x_mm = stays.iter().map(|i| half_mm(*i)).fold(0.0, f64::max);
    for index in lost {
        let half = half_mm(index);
        let down = derived.made.poses.get(index).map(|p| p.by).unwrap_or_default();
        if x_mm > 0.0 {
            x_mm += half + BESIDE_MM;
        }
        let placement = &mut toy.pieces[index].placement;
        placement.seat = Seat::Floor { down, x_mm, y_mm: 0.0 };
        (placement.nod_deg, placement.lean_deg, placement.offset_mm) = (0.0, 0.0, 0.0);
        x_mm += half;
    }
}
