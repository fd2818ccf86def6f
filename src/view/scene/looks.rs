//! Counts, colours and marks of all rounds of a scene in flat tables, as the shader reads them.

use super::theme::linear;
use super::{RoundLook, SurfaceInput};

/// Stitch mark: nothing special.
pub const STITCH_PLAIN: u8 = 0;
/// Stitch mark: an increase.
pub const STITCH_INCREASE: u8 = 1;
/// Stitch mark: a decrease.
pub const STITCH_DECREASE: u8 = 2;

/// Bits of a stitch's byte that hold its mark; the rest is its colour's number in the palette.
const MARK_BITS: u8 = 2;
/// Stitches of a round that are told apart; no maker works more, and a number this large in a file must not
/// fill the memory.
const STITCHES_MAX: u32 = 20_000;
/// Colours of stretches a scene can tell apart; further ones take the round's own colour.
const PALETTE_MAX: usize = 63;

/// What the shader knows of one round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundEntry {
    /// Stitches in the round, at most 20 000.
    pub count: u32,
    /// Start of the first stitch as a share (0 to 1) of the section's perimeter.
    pub start_share: f32,
    /// Stitches follow each other toward smaller shares; in [`LookTable::stitches`] they stand the other way round.
    pub backward: bool,
    /// Height of the stitch over that of a single crochet.
    pub height_factor: f32,
    /// Worked into the back loops.
    pub back_loop: bool,
    /// Colour as linear light.
    pub colour: [f32; 3],
    /// First of the round's stitches in [`LookTable::stitches`].
    pub first_stitch: u32,
}

/// All rounds of a scene.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LookTable {
    /// The rounds, part after part.
    pub rounds: Vec<RoundEntry>,
    /// One byte a stitch: mark in the low two bits, above them the number of its colour (0: the round's own,
    /// else one more than its place in `palette`).
    pub stitches: Vec<u8>,
    /// Colours of stretches as linear light.
    pub palette: Vec<[f32; 3]>,
    /// The colours of the palette, sRGB.
    palette_bytes: Vec<[u8; 3]>,
}

impl LookTable {
    /// Adds a part's rounds. Returns the number of the first and how many there are.
    pub(super) fn add(&mut self, surface: &SurfaceInput) -> (u32, u32) {
        let first = self.rounds.len() as u32;
        for (i, look) in surface.rounds.iter().enumerate() {
            let turn = surface.drift_start.get(i).copied().unwrap_or(0.0) / std::f32::consts::TAU;
            let start_share = if turn.is_finite() { turn.rem_euclid(1.0) } else { 0.0 };
            self.rounds.push(RoundEntry {
                count: look.count.min(STITCHES_MAX),
                start_share,
                backward: look.backward,
                height_factor: look.height_factor,
                back_loop: look.back_loop,
                colour: linear(look.colour),
                first_stitch: self.stitches.len() as u32,
            });
            self.add_stitches(look);
        }
        (first, surface.rounds.len() as u32)
    }

    fn add_stitches(&mut self, look: &RoundLook) {
        let first = self.stitches.len();
        let count = look.count.min(STITCHES_MAX) as usize;
        self.stitches.resize(first + count, STITCH_PLAIN);
        if count == 0 {
            return;
        }
        let index = |share: f32| {
            let share = if share.is_finite() { share.rem_euclid(1.0) } else { 0.0 };
            ((share * count as f32) as usize).min(count - 1)
        };
        for stretch in &look.stretches {
            let Some(number) = self.palette_number(stretch.colour) else { continue };
            let share = |s: f32| if s.is_finite() { s.clamp(0.0, 1.0) } else { 0.0 };
            let from = (share(stretch.from) * count as f32).round() as usize;
            let to = (share(stretch.to) * count as f32).round() as usize;
            for stitch in from..to.min(count) {
                self.stitches[first + stitch] = number << MARK_BITS;
            }
        }
        for (shares, mark) in [(&look.increase_at, STITCH_INCREASE), (&look.decrease_at, STITCH_DECREASE)] {
            for share in shares {
                let stitch = &mut self.stitches[first + index(*share)];
                *stitch = (*stitch & !3) | mark;
            }
        }
        if look.backward {
            self.stitches[first..].reverse();
        }
    }

    /// One more than the colour's place in the palette.
    fn palette_number(&mut self, colour: [u8; 3]) -> Option<u8> {
        if let Some(place) = self.palette_bytes.iter().position(|c| *c == colour) {
            return Some(place as u8 + 1);
        }
        if self.palette.len() >= PALETTE_MAX {
            return None;
        }
        self.palette_bytes.push(colour);
        self.palette.push(linear(colour));
        Some(self.palette.len() as u8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::scene::Stretch;
    use glam::DAffine3;

    #[test]
    fn marks_and_colours_land_on_their_stitches() {
        let mut look = RoundLook::plain(8, [200, 100, 50]);
        look.increase_at = vec![0.5 / 8.0, 4.5 / 8.0];
        look.decrease_at = vec![7.5 / 8.0];
        look.stretches = vec![Stretch { from: 0.25, to: 0.75, colour: [1, 2, 3] }];
        let surface = SurfaceInput {
            part_id: 3,
            nodes: Vec::new(),
            rounds: vec![RoundLook::plain(6, [9, 9, 9]), look],
            drift_start: vec![0.0, -std::f32::consts::FRAC_PI_2],
            toy_from_part: DAffine3::IDENTITY,
            flat: None,
        };
        let mut table = LookTable::default();
        assert_eq!(table.add(&surface), (0, 2));
        assert_eq!(table.rounds[1].first_stitch, 6);
        assert_eq!(table.rounds[1].start_share, 0.75);
        assert_eq!(&table.stitches[6..], &[1, 0, 4, 4, 5, 4, 0, 2]);
        assert_eq!(table.palette.len(), 1);
    }
}
