//! A toy for the tests of views: a body on the floor with an arm on its side.

use crate::part::End;
use crate::rounds::{Finish, rounds_of_counts};
use crate::toy::{Address, Copies, Piece, Seat, Toy};

/// Body and arm, the arm at this address and so often.
pub fn body_with_arm(copies: Copies, at: Address) -> Toy {
    let mut body = Piece::default();
    body.part.name = "body".into();
    body.part.rounds = rounds_of_counts(&[6, 12, 18, 24, 30, 30, 30, 30, 24, 18, 12, 6]).expect("counts above zero");
    body.placement.seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    let mut arm = Piece::default();
    arm.part.name = "arm".into();
    arm.part.rounds = rounds_of_counts(&[6, 9, 9, 9, 9]).expect("counts above zero");
    arm.part.finish = Finish::Open;
    arm.placement.seat = Seat::OnSurface { part: "body".into(), at };
    arm.placement.copies = copies;
    Toy { pieces: vec![body, arm], ..Toy::default() }
}
