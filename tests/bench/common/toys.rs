//! Toys of any number of parts, each of 50 rounds.

use toppleknot::part::{End, Part};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::{Address, Copies, Joint, Piece, Placement, Seat, Toy};

/// Rounds of every part. Not every bench asks.
#[allow(dead_code)]
pub const ROUNDS: u32 = 50;

/// Counts of a part of 50 rounds, none like the other.
#[allow(dead_code)]
pub fn counts(seed: u32) -> Vec<u32> {
    let mut counts: Vec<u32> = (1..=6).map(|i| 6 * i).collect();
    counts.extend((0..38).map(|i| 36 + (i * (seed + 3)) % 4));
    counts.extend([36, 30, 24, 18, 12, 9]);
    counts
}

/// A body, a head on it, and limbs around it.
#[allow(dead_code)]
pub fn toy(parts: u32) -> Toy {
    toy_of(parts, counts, |i| (8 + (i * 7) % 30, Joint::RimOnSurface))
}

/// A body, a head on it, and limbs around it, of these counts each; the round of the body that a limb sits on, and how
/// each part is fixed.
pub fn toy_of(parts: u32, counts: impl Fn(u32) -> Vec<u32>, fixed: impl Fn(u32) -> (u32, Joint)) -> Toy {
    let pieces = (0..parts).map(|i| {
        let rounds = rounds_of_counts(&counts(i)).expect("counts above zero");
        let (on_round, joint) = fixed(i);
        let finish = if i == 0 { Finish::Gathered } else { Finish::Open };
        let name = match i {
            0 => "Body".to_owned(),
            1 => "Head".to_owned(),
            _ => format!("Limb {i}"),
        };
        let seat = match i {
            0 => Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 },
            1 => Seat::OnEnd { part: "Body".into(), end: End::Finish },
            _ => Seat::OnSurface {
                part: "Body".into(),
                at: Address { round: f64::from(on_round), angle_deg: f64::from(i) * 47.0 },
            },
        };
        let placement = Placement { seat, joint, copies: Copies::One, ..Placement::default() };
        Piece { part: Part { name, rounds, finish, ..Part::default() }, placement }
    });
    Toy { name: "Bench".into(), pieces: pieces.collect(), ..Toy::default() }
}
