//! The maker's plan: how fast the work goes, how many hours a day there are for it, the day it is wished for, and
//! how far it has come. Days are plain calendar dates; nothing here reads the clock.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::Toy;
use crate::rounds::Finish;

/// How practised the maker is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Experience {
    /// First toys.
    Beginner,
    /// Some toys made.
    Usual,
    /// Many toys made.
    Fast,
}

impl Experience {
    /// Every one, slowest first.
    pub const ALL: [Experience; 3] = [Experience::Beginner, Experience::Usual, Experience::Fast];

    /// The word programs read.
    pub fn word(self) -> &'static str {
        match self {
            Experience::Beginner => "beginner",
            Experience::Usual => "usual",
            Experience::Fast => "fast",
        }
    }
}

/// A stretch of work that the maker timed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Timed {
    /// Name of the part.
    pub part: String,
    /// Minutes of work, for one copy.
    pub minutes: f64,
    /// First round that was timed, counted from 1; the first where not said.
    pub from_round: Option<u32>,
    /// Last round that was timed; the last where not said.
    pub to_round: Option<u32>,
}

/// How far one copy of a part has come.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Progress {
    /// Name of the part.
    pub part: String,
    /// Which copy, counted from 0.
    pub copy: u32,
    /// Rounds that are finished.
    pub rounds: u32,
}

/// A seam that is sewn.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Sewn {
    /// Name of the part that is sewn on.
    pub part: String,
    /// Which copy, counted from 0.
    pub copy: u32,
}

/// The maker's plan and progress.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Plan {
    /// How practised the maker is.
    pub experience: Option<Experience>,
    /// Single crochets a minute, set by the maker; wins over experience and timed parts.
    pub pace_sc_per_min: Option<f64>,
    /// Work that was timed; wins over experience.
    pub timed: Vec<Timed>,
    /// Hours a day for it.
    pub hours_per_day: Option<f64>,
    /// The day it is begun or gone on with.
    pub first_day: Option<Date>,
    /// The day it is wished for.
    pub wished_day: Option<Date>,
    /// Rounds made so far.
    pub made: Vec<Progress>,
    /// Seams sewn so far.
    pub sewn: Vec<Sewn>,
    /// Names of the parts whose face is done.
    pub faces_done: Vec<String>,
}

impl Plan {
    /// Rounds made of one copy of a part.
    pub fn rounds_made(&self, part: &str, copy: u32) -> u32 {
        self.made.iter().filter(|m| m.part == part && m.copy == copy).map(|m| m.rounds).max().unwrap_or(0)
    }

    /// Sets the rounds made of one copy of a part; 0 takes the entry out.
    pub fn set_rounds_made(&mut self, part: &str, copy: u32, rounds: u32) {
        self.made.retain(|m| m.part != part || m.copy != copy);
        if rounds > 0 {
            self.made.push(Progress { part: part.to_owned(), copy, rounds });
        }
    }

    /// Whether a copy of a part is sewn on.
    pub fn is_sewn(&self, part: &str, copy: u32) -> bool {
        self.sewn.iter().any(|s| s.part == part && s.copy == copy)
    }

    /// Marks a seam as sewn, or as not.
    pub fn set_sewn(&mut self, part: &str, copy: u32, sewn: bool) {
        self.sewn.retain(|s| s.part != part || s.copy != copy);
        if sewn {
            self.sewn.push(Sewn { part: part.to_owned(), copy });
        }
    }

    /// Whether the face on a part is done.
    pub fn is_face_done(&self, part: &str) -> bool {
        self.faces_done.iter().any(|p| p == part)
    }

    /// Marks the face on a part as done, or as not.
    pub fn set_face_done(&mut self, part: &str, done: bool) {
        self.faces_done.retain(|p| p != part);
        if done {
            self.faces_done.push(part.to_owned());
        }
    }

    /// Marks everything of a toy as made, sewn and done.
    pub fn set_all_done(&mut self, toy: &Toy) {
        for (index, piece) in toy.pieces.iter().enumerate() {
            let rounds = u32::try_from(piece.part.rounds.len()).unwrap_or(u32::MAX);
            for copy in 0..toy.copies_of(index) {
                self.set_rounds_made(&piece.part.name, copy, rounds);
                self.set_sewn(&piece.part.name, copy, true);
            }
            self.set_face_done(&piece.part.name, true);
        }
    }

    /// Lets entries about a part follow its new name.
    pub fn rename_part(&mut self, old: &str, new: &str) {
        let timed = self.timed.iter_mut().map(|t| &mut t.part);
        let made = self.made.iter_mut().map(|m| &mut m.part);
        let sewn = self.sewn.iter_mut().map(|s| &mut s.part);
        for name in timed.chain(made).chain(sewn).chain(&mut self.faces_done).filter(|name| *name == old) {
            *name = new.to_owned();
        }
    }

    /// Forgets a part that is taken out. A timed stretch of it goes too: its rounds can no longer be counted.
    pub fn forget_part(&mut self, part: &str) {
        self.timed.retain(|t| t.part != part);
        self.made.retain(|m| m.part != part);
        self.sewn.retain(|s| s.part != part);
        self.faces_done.retain(|p| p != part);
    }
}

/// The toy as far as it is made: each part down to the rounds of its most advanced copy, open where it is not
/// finished. Parts keep their position; one not begun has no rounds.
pub fn as_far_as_made(toy: &Toy) -> Toy {
    let copies: Vec<u32> = (0..toy.pieces.len()).map(|i| toy.copies_of(i)).collect();
    let mut toy = toy.clone();
    for (piece, copies) in toy.pieces.iter_mut().zip(copies) {
        let made = (0..copies).map(|copy| toy.plan.rounds_made(&piece.part.name, copy)).max().unwrap_or(0) as usize;
        if made < piece.part.rounds.len() {
            piece.part.rounds.truncate(made);
            piece.part.finish = Finish::Open;
        }
    }
    toy
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::Part;
    use crate::rounds::rounds_of_counts;
    use crate::toy::{Copies, Piece, Placement};

    #[test]
    fn progress_is_kept_by_copy_and_follows_a_name() {
        let mut plan = Plan::default();
        plan.set_rounds_made("Arm", 1, 4);
        plan.set_rounds_made("Arm", 1, 6);
        plan.set_sewn("Arm", 1, true);
        plan.rename_part("Arm", "Wing");
        assert_eq!((plan.rounds_made("Wing", 1), plan.rounds_made("Wing", 0), plan.rounds_made("Arm", 1)), (6, 0, 0));
        assert!(plan.is_sewn("Wing", 1) && !plan.is_sewn("Wing", 0));
        plan.forget_part("Wing");
        assert_eq!(plan, Plan::default());
    }

    #[test]
    fn what_is_made_so_far_is_the_longest_copy_left_open() {
        let rounds = rounds_of_counts(&[6, 12, 12, 12]).expect("counts");
        let part = Part { name: "Arm".into(), rounds, ..Part::default() };
        let placement = Placement { copies: Copies::MirroredPair, ..Placement::default() };
        let mut toy = Toy { pieces: vec![Piece { part, placement }], ..Toy::default() };
        toy.plan.set_rounds_made("Arm", 1, 3);
        let made = as_far_as_made(&toy);
        assert_eq!(made.pieces[0].part.counts(), [6, 12, 12]);
        assert_eq!(made.pieces[0].part.finish, Finish::Open);
        toy.plan.set_all_done(&toy.clone());
        assert_eq!(as_far_as_made(&toy).pieces, toy.pieces);
    }
}
