//! A fuel gauge along the rounds: what is left of a yarn after every round of every part, in the order in which they
//! are made. Where things lie is told in shares, 0 to 1, of a box that the window gives.

use crate::measure::Made;
use crate::measure::need::{Spot, WorkRow, YarnNeed, work_rows};
use crate::toy::Toy;
use crate::view::elevation::Chosen;

/// One copy of a part on the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// Index of the part.
    pub piece: usize,
    /// Which copy, from 1.
    pub copy: u32,
    /// Its name, with the number of the copy where there are several.
    pub name: String,
    /// Its first row.
    pub first: usize,
    /// How many rows it has.
    pub rows: usize,
    /// How many of them are made.
    pub made: usize,
}

/// The strip of one yarn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YarnStrip {
    /// The yarn's name.
    pub yarn: String,
    /// A row for every round.
    pub rows: Vec<WorkRow>,
    /// Parts and copies, one after the other.
    pub legs: Vec<Leg>,
    /// Grams that a full gauge stands for: what is at hand, or what is needed where that was not said.
    pub full_g: f64,
    /// Rows in which a ball ends, with the ball's number.
    pub ball_ends: Vec<(usize, u32)>,
    /// Row in which all that is at hand has run out.
    pub runs_out: Option<usize>,
}

impl YarnStrip {
    /// The strip of a yarn; `None` for one that nothing is made of.
    pub fn of(toy: &Toy, made: &Made, need: &YarnNeed) -> Option<YarnStrip> {
        let rows = work_rows(toy, made, &need.name);
        let last_g = rows.last()?.grams;
        let mut legs: Vec<Leg> = Vec::new();
        for (at, row) in rows.iter().enumerate() {
            match legs.last_mut() {
                Some(leg) if leg.piece == row.piece && leg.copy == row.copy => leg.rows += 1,
                _ => legs.push(leg(toy, row, at)),
            }
        }
        for leg in &mut legs {
            leg.made = leg.made.min(leg.rows);
        }
        let row_of = |spot: &Spot| {
            let piece = toy.piece_named(&spot.part)?;
            rows.iter().position(|r| r.piece == piece && r.copy == spot.copy && r.round == spot.round)
        };
        let ball_ends = need.ball_ends.iter().filter_map(|b| Some((row_of(&b.end.at)?, b.ball))).collect();
        let runs_out = need.runs_out.as_ref().and_then(|end| row_of(&end.at));
        let full_g = need.have_g.filter(|g| *g > 0.0).unwrap_or(last_g).max(1e-9);
        Some(YarnStrip { yarn: need.name.clone(), rows, legs, full_g, ball_ends, runs_out })
    }

    /// Left and right edge of a row.
    pub fn across(&self, row: usize) -> (f64, f64) {
        let n = self.rows.len().max(1) as f64;
        (row as f64 / n, (row + 1) as f64 / n)
    }

    /// The row at a share of the width.
    pub fn row_at(&self, share: f64) -> Option<usize> {
        let row = (share * self.rows.len() as f64).floor();
        (share >= 0.0 && (row as usize) < self.rows.len()).then_some(row as usize)
    }

    /// What is left when a row is done, as a share of the full gauge; 0 where it has run out.
    pub fn left(&self, row: usize) -> f64 {
        self.rows.get(row).map_or(0.0, |r| (1.0 - r.grams / self.full_g).clamp(0.0, 1.0))
    }

    /// The part and copy that a row is of.
    pub fn leg_of(&self, row: usize) -> Option<&Leg> {
        self.legs.iter().rev().find(|leg| leg.first <= row)
    }

    /// The part and round of a row.
    pub fn chosen_by(&self, row: usize) -> Option<Chosen> {
        let row = self.rows.get(row)?;
        Some(Chosen { part: row.piece, round: Some((row.round as usize).saturating_sub(1)) })
    }

    /// Rows of what is chosen: one for every copy.
    pub fn rows_of(&self, chosen: Chosen) -> impl Iterator<Item = usize> + '_ {
        let is_it = move |r: &WorkRow| {
            r.piece == chosen.part && chosen.round.is_some_and(|round| r.round as usize == round + 1)
        };
        self.rows.iter().enumerate().filter(move |(_, r)| is_it(r)).map(|(at, _)| at)
    }

    /// A row in words.
    pub fn told(&self, row: usize) -> String {
        let (Some(at), Some(leg)) = (self.rows.get(row), self.leg_of(row)) else { return String::new() };
        let ball = at.ball.map_or(String::new(), |ball| format!(", in ball {ball}"));
        format!("{}, round {}: {:.0} g used by then{ball}", leg.name, at.round, at.grams)
    }
}

fn leg(toy: &Toy, row: &WorkRow, first: usize) -> Leg {
    let piece = &toy.pieces[row.piece];
    let name = &piece.part.name;
    let several = toy.copies_of(row.piece) > 1;
    Leg {
        piece: row.piece,
        copy: row.copy,
        name: if several { format!("{name} {}", row.copy) } else { name.clone() },
        first,
        rows: 1,
        made: toy.plan.rounds_made(name, row.copy.saturating_sub(1)) as usize,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{TextScene, open_text};
    use crate::measure::{make, need::needs};

    fn strip(grams: f64) -> YarnStrip {
        let opened =
            open_text("Body\n6 12 18 24 24 24 18 12\n\nHead\n6 12 18 18 12 6\n", "two", false, &TextScene::default());
        let mut toy = opened.expect("it reads").document.toy;
        toy.yarns = vec![crate::yarn::Yarn { name: "Grey".into(), ..Default::default() }];
        for piece in &mut toy.pieces {
            piece.part.yarn = "Grey".into();
        }
        toy.yarns[0].stock.have_g = Some(grams);
        let name = toy.pieces[0].part.name.clone();
        toy.plan.set_rounds_made(&name, 0, 3);
        let made = make(&toy);
        YarnStrip::of(&toy, &made, &needs(&toy, &made)[0]).expect("a strip")
    }

    #[test]
    fn every_round_has_its_place_and_gives_it_back() {
        let strip = strip(1000.0);
        assert_eq!(strip.rows.len(), 14);
        assert_eq!(strip.legs.iter().map(|l| (l.first, l.rows, l.made)).collect::<Vec<_>>(), [(0, 8, 3), (8, 6, 0)]);
        for row in 0..14 {
            let (a, b) = strip.across(row);
            assert_eq!(strip.row_at((a + b) / 2.0), Some(row));
            let chosen = strip.chosen_by(row).expect("a round");
            assert_eq!(strip.rows_of(chosen).collect::<Vec<_>>(), [row]);
        }
        assert!((1..14).all(|row| strip.left(row) < strip.left(row - 1)), "a gauge only falls");
        assert_eq!((strip.row_at(-0.1), strip.row_at(1.0)), (None, None));
        assert_eq!(strip.runs_out, None);
    }

    #[test]
    fn where_it_runs_out_the_gauge_is_empty() {
        let strip = strip(1.0);
        let out = strip.runs_out.expect("one gram does not last");
        assert_eq!(strip.left(out), 0.0);
        assert!(out == 0 || strip.left(out - 1) > 0.0);
    }
}
