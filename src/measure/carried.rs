//! What every part carries: all that sits on it, for each of its copies.

use super::made::Made;
use super::weigh::{Lump, PartMass};
use crate::part::End;
use crate::toy::pose::PiecePose;

/// Everything on every copy of every part, in the toy's frame. Added up once, from the tips inward, so that a toy of
/// many parts takes as long for each as one of few.
pub(super) struct Carried<'a> {
    poses: &'a [PiecePose],
    masses: &'a [PartMass],
    /// Parts that sit on others, those on part i from `first_on[i]` to `first_on[i + 1]`, in the order of the toy.
    sitting: Vec<usize>,
    first_on: Vec<usize>,
    /// One copy of a part with all that sits on it; those of part i begin at `first_copy[i]`.
    whole: Vec<Lump>,
    first_copy: Vec<usize>,
}

/// Where lists of these lengths begin when they are put end to end, and where the last one ends.
fn starts(lengths: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut sum = 0;
    let mut starts = vec![0];
    starts.extend(lengths.map(|length| {
        sum += length;
        sum
    }));
    starts
}

/// The part that one sits on, where it is sewn to it.
fn seat_of(pose: &PiecePose) -> Option<usize> {
    pose.parent.filter(|_| pose.seam.is_some())
}

impl<'a> Carried<'a> {
    pub(super) fn of(made: &'a Made) -> Carried<'a> {
        let (poses, masses) = (made.poses.as_slice(), made.masses.as_slice());
        let mut on = vec![0; poses.len()];
        for parent in poses.iter().filter_map(seat_of) {
            on[parent] += 1;
        }
        let first_on = starts(on.into_iter());
        let mut next = first_on.clone();
        let mut sitting = vec![0; first_on.last().copied().unwrap_or(0)];
        for (part, pose) in poses.iter().enumerate() {
            if let Some(parent) = seat_of(pose) {
                sitting[next[parent]] = part;
                next[parent] += 1;
            }
        }
        let first_copy = starts(poses.iter().map(|p| p.toy_from_part.len()));
        let whole = vec![Lump::default(); first_copy.last().copied().unwrap_or(0)];
        let mut carried = Carried { poses, masses, sitting, first_on, whole, first_copy };
        // Whatever sits on a part comes after it.
        let mut outward: Vec<usize> = (0..poses.len()).filter(|i| seat_of(&poses[*i]).is_none()).collect();
        let mut done = 0;
        while let Some(part) = outward.get(done).copied() {
            outward.extend_from_slice(carried.sitting_on(part));
            done += 1;
        }
        for part in outward.into_iter().rev() {
            for copy in 0..poses[part].toy_from_part.len() {
                carried.whole[carried.first_copy[part] + copy] = carried.beyond(part, copy, all_of(&poses[part]));
            }
        }
        carried
    }

    fn sitting_on(&self, part: usize) -> &[usize] {
        &self.sitting[self.first_on[part]..self.first_on[part + 1]]
    }

    /// One copy of a part with all that sits on it.
    pub(super) fn with(&self, part: usize, copy: usize) -> Lump {
        let copies = &self.whole[self.first_copy[part]..self.first_copy[part + 1]];
        copies.get(copy).copied().unwrap_or_default()
    }

    /// Everything that lies beyond a node of a part, seen from the end it is fixed by: its own rounds there and the
    /// parts that sit on them, for one copy.
    pub(super) fn beyond(&self, part: usize, copy: usize, node: f64) -> Lump {
        let pose = &self.poses[part];
        let Some(motion) = pose.toy_from_part.get(copy) else { return Lump::default() };
        let own = match pose.by {
            End::Start => self.masses[part].between(node, f64::INFINITY),
            End::Finish => self.masses[part].between(0.0, node),
        };
        let mut sum = own.moved(motion);
        let copies = pose.toy_from_part.len();
        for &child in self.sitting_on(part) {
            let Some(seam) = self.poses[child].seam else { continue };
            let is_beyond = match pose.by {
                End::Start => seam.onto_node >= node,
                End::Finish => seam.onto_node <= node,
            };
            if !is_beyond {
                continue;
            }
            let each = self.poses[child].toy_from_part.len() / copies.max(1);
            for i in copy * each..(copy + 1) * each {
                sum = sum.plus(self.with(child, i));
            }
        }
        sum
    }
}

/// The node beyond which all of a part lies.
fn all_of(pose: &PiecePose) -> f64 {
    match pose.by {
        End::Start => 0.0,
        End::Finish => f64::INFINITY,
    }
}
