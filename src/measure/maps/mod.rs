//! Where things of the finished toy lie on the worked fabric, by round and stitch: faces, seams, and when in the
//! work to do what.

pub mod rim;
mod sewing;
mod steps;
mod worked;

pub use worked::{Worked, WorkedFabric};

use super::Derived;
use super::made::Made;
use super::report::{FacePlace, PlacementsReport, WorkedPlace};
use crate::figure::Figure;
use crate::part::End;
use crate::toy::{Address, Copies, Spot, Toy};

/// Most copies of one thing that are mapped one by one.
const MOST_MAPPED: usize = 64;

/// All placements of a toy. Takes longer than [`super::derive`] (every seam is sewn on four ways): run it beside the
/// window.
pub fn placements(toy: &Toy, derived: &Derived) -> PlacementsReport {
    let face = face(toy, &derived.made);
    let seams = sewing::seams(toy, derived);
    let steps = steps::steps(toy, &derived.made, &face, &seams);
    PlacementsReport { face, seams, steps }
}

/// The worked fabric of one copy of a part, with the drift as likely, least and most.
#[derive(Debug)]
pub(super) struct Drifting<'a> {
    likely: WorkedFabric<'a>,
    ends: [WorkedFabric<'a>; 2],
}

/// The worked fabric of a copy of a part, its rounds drifting by so many stitches; `None` where there is no such
/// copy. The first copy of a part without a place is taken as it would be sewn on.
pub fn worked_fabric<'a>(toy: &Toy, made: &'a Made, part: usize, copy: usize, drift: f64) -> Option<WorkedFabric<'a>> {
    let pose = made.poses.get(part)?;
    let mirrored = match pose.toy_from_part.get(copy) {
        Some(motion) => motion.matrix3.determinant() < 0.0,
        None if pose.toy_from_part.is_empty() && copy == 0 => pose.by == End::Finish,
        None => return None,
    };
    let rounds = &toy.pieces.get(part)?.part.rounds;
    Some(WorkedFabric::new(&made.shapes[part].nodes, rounds, &toy.settings, drift, mirrored))
}

/// The same with the drift that is most likely.
pub fn likely_fabric<'a>(toy: &Toy, made: &'a Made, part: usize, copy: usize) -> Option<WorkedFabric<'a>> {
    worked_fabric(toy, made, part, copy, toy.settings.drift().figure.value)
}

impl<'a> Drifting<'a> {
    fn new(toy: &Toy, made: &'a Made, part: usize, copy: usize) -> Option<Self> {
        let drift = toy.settings.drift().figure;
        let of = |drift| worked_fabric(toy, made, part, copy, drift);
        Some(Drifting { likely: of(drift.value)?, ends: [of(drift.low)?, of(drift.high)?] })
    }

    fn place(&self, address: Address) -> Option<WorkedPlace> {
        let at = self.likely.worked(address)?;
        let count = self.likely.count(at.round);
        let n = f64::from(count);
        // Another drift moves the round's beginning and nothing else; ends may lie more than once around apart.
        let moved = |fabric: &WorkedFabric| (self.likely.start_share(at.round) - fabric.start_share(at.round)) * n;
        let [a, b] = [moved(&self.ends[0]), moved(&self.ends[1])].map(|by| at.stitches + by);
        let stitches = Figure { value: at.stitches, low: a.min(b).min(at.stitches), high: a.max(b).max(at.stitches) };
        Some(WorkedPlace {
            round: u32::try_from(at.round + 1).unwrap_or(u32::MAX),
            within: at.within,
            stitch: stitch_number(at.stitches, count),
            stitches_from_start: stitches,
            of: count,
        })
    }
}

/// Stitch number, counted from 1, of so many stitches from the round's beginning.
fn stitch_number(stitches: f64, count: u32) -> u32 {
    // A hair short of a stitch's edge is that edge.
    ((stitches + 1e-6).floor().max(0.0) as u32).min(count.saturating_sub(1)) + 1
}

/// Addresses of all copies of something on a surface.
fn addresses(copies: Copies, at: Address) -> Vec<Address> {
    let turned = |angle_deg: f64| Address { angle_deg, ..at };
    match copies {
        Copies::One => vec![at],
        Copies::MirroredPair => vec![at, turned(-at.angle_deg)],
        Copies::Around(n) => {
            // A turn about z carries +x toward +y: against the way in which addresses count.
            (0..n.clamp(1, MOST_MAPPED as u32))
                .map(|i| turned(at.angle_deg - 360.0 * f64::from(i) / f64::from(n.max(1))))
                .collect()
        }
    }
}

/// Eyes and whatever else is on a surface.
fn face(toy: &Toy, made: &Made) -> Vec<FacePlace> {
    let mut found = Vec::new();
    for extra in &toy.extras {
        let (Spot::Surface(at), Some(part)) = (extra.spot, toy.piece_named(&extra.part)) else { continue };
        for part_copy in 0..made.poses[part].toy_from_part.len().clamp(1, MOST_MAPPED) {
            let Some(fabric) = Drifting::new(toy, made, part, part_copy) else { continue };
            let addresses = addresses(extra.copies, at);
            let first = addresses.first().and_then(|a| fabric.likely.worked(*a));
            for (copy, address) in addresses.into_iter().enumerate() {
                let (Some(place), Some(first), Some(here)) =
                    (fabric.place(address), first, fabric.likely.worked(address))
                else {
                    continue;
                };
                found.push(FacePlace {
                    extra: extra.name.clone(),
                    part: extra.part.clone(),
                    part_copy: part_copy as u32,
                    copy: copy as u32,
                    place,
                    stitches_from_first: fabric.likely.stitches_between(first, here),
                });
            }
        }
    }
    found
}
