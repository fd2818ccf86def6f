//! The running use of every yarn beside the rounds, as [`work_rows`] tells it: in the order of the sheet, copies
//! and tails included.

use std::collections::HashMap;

use super::parts::yarn_letter;
use crate::figure::Figure;
use crate::measure::Derived;
use crate::measure::need::{WorkRow, work_rows};
use crate::toy::Toy;
use crate::view::units::Units;

/// What one yarn's use is at the end of some rounds.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Used {
    yarn: usize,
    metres: f64,
    /// The ball that is begun in these rounds, after the first.
    new_ball: Option<u32>,
}

/// The use of all yarns, to be looked up by part, copy and round.
pub(super) struct Running {
    rows: Vec<Vec<WorkRow>>,
    /// By part and copy: the yarns in it, and where their rows begin.
    begins: HashMap<(usize, u32), Vec<(usize, usize)>>,
    /// Copies of each part that the use is told of.
    copies: HashMap<usize, u32>,
    units: Units,
}

impl Running {
    /// Follows every yarn of a toy.
    pub fn new(toy: &Toy, derived: &Derived, units: Units) -> Running {
        let yarns = &derived.report.yarn;
        let rows: Vec<Vec<WorkRow>> = yarns.iter().map(|y| work_rows(toy, &derived.made, &y.name)).collect();
        let mut begins: HashMap<(usize, u32), Vec<(usize, usize)>> = HashMap::new();
        let mut copies: HashMap<usize, u32> = HashMap::new();
        for (yarn, rows) in rows.iter().enumerate() {
            for (at, row) in rows.iter().enumerate().filter(|(_, row)| row.round == 1) {
                begins.entry((row.piece, row.copy)).or_default().push((yarn, at));
                let most = copies.entry(row.piece).or_default();
                *most = row.copy.max(*most);
            }
        }
        Running { rows, begins, copies, units }
    }

    /// Copies of a part that yarn is reckoned for: those on every copy of what it sits on.
    pub fn copies(&self, piece: usize) -> u32 {
        self.copies.get(&piece).copied().unwrap_or(0)
    }

    fn used(&self, piece: usize, copy: u32, first: usize, last: usize) -> Vec<Used> {
        let begins = self.begins.get(&(piece, copy)).map_or(&[][..], Vec::as_slice);
        let used = |(yarn, begin): &(usize, usize)| {
            let rows = &self.rows[*yarn];
            let row = rows.get(begin + last - 1).filter(|r| r.piece == piece && r.copy == copy)?;
            let before = (begin + first).checked_sub(2).and_then(|i| rows.get(i));
            let (metres_before, ball_before) = before.map_or((0.0, Some(1)), |r| (r.metres, r.ball));
            let new_ball = row.ball.filter(|ball| ball_before.is_some_and(|b| *ball > b));
            (row.metres > metres_before + 1e-9).then_some(Used { yarn: *yarn, metres: row.metres, new_ball })
        };
        begins.iter().filter_map(used).collect()
    }

    /// The use of the yarns that rounds `first` to `last` (from 1) of a copy take from, when they are done: "12.4 m",
    /// or "A 12.4 m" where there are several yarns; a ball that is begun in them after it.
    pub fn words(&self, piece: usize, copy: u32, first: usize, last: usize) -> Vec<String> {
        let mut words = Vec::new();
        for used in self.used(piece, copy, first, last) {
            words.push(format!("{}{}", self.letter(used.yarn), self.units.yarn(Figure::exact(used.metres)).value()));
            words.extend(used.new_ball.map(|ball| format!("ball {ball}")));
        }
        words
    }

    /// The same once every copy of a part is done, in one line.
    pub fn all_words(&self, piece: usize, rounds: usize) -> String {
        self.used(piece, self.copies(piece), 1, rounds)
            .into_iter()
            .map(|used| format!("{}{}", self.letter(used.yarn), self.units.yarn(Figure::exact(used.metres)).value()))
            .collect::<Vec<_>>()
            .join(", ")
    }

    fn letter(&self, yarn: usize) -> String {
        if self.rows.len() > 1 { format!("{} ", yarn_letter(yarn)) } else { String::new() }
    }
}
