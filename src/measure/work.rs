//! The yarn in the order in which it is used: part by part as they are made, copy by copy, round by round, with
//! the tails that are left hanging and those that sew.

use crate::figure::Figure;
use crate::part::{End, Part};
use crate::rounds::{Finish, Start};
use crate::toy::pose::{fixed_by, sewn_folded};
use crate::toy::{Joint, Piece, Seat, Toy};
use crate::yarn::length_per_stitch_factor;

/// A tail that is woven in, mm: 15 to 25 cm (common practice, no source).
const PLAIN_TAIL_MM: Figure = Figure { value: 200.0, low: 150.0, high: 250.0 };
/// A tail that sews a seam, in lengths of the seam: three to four (common practice, no source).
const SEWING: Figure = Figure { value: 3.5, low: 3.0, high: 4.0 };
/// The least of it, mm (common practice, no source).
const LEAST_SEWING_MM: f64 = 300.0;
/// A yarn that rests for more rounds than this is cut, not carried (from memory; a default).
const CARRIED_ROUNDS: usize = 2;

/// Yarn of one round of one copy.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RoundUse {
    /// In its stitches, in lengths of a single crochet's yarn.
    pub stitches: f64,
    /// In tails that are woven in, mm.
    pub tails_mm: Figure,
    /// In the tail that sews the part on, mm.
    pub sewing_mm: Figure,
}

/// One yarn in one part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PartUse {
    /// Index of the part.
    pub piece: usize,
    /// Copies that are made of it.
    pub copies: u32,
    /// Round by round, for one copy.
    pub rounds: Vec<RoundUse>,
}

/// One yarn in the whole toy, in the order of work.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YarnWork {
    /// Name of the yarn.
    pub name: String,
    /// The parts that have any of it.
    pub parts: Vec<PartUse>,
}

fn add(a: Figure, b: Figure) -> Figure {
    Figure { value: a.value + b.value, low: a.low + b.low, high: a.high + b.high }
}

impl RoundUse {
    /// Both together.
    pub fn plus(self, other: RoundUse) -> RoundUse {
        RoundUse {
            stitches: self.stitches + other.stitches,
            tails_mm: add(self.tails_mm, other.tails_mm),
            sewing_mm: add(self.sewing_mm, other.sewing_mm),
        }
    }
}

impl PartUse {
    /// In the first `rounds` rounds of one copy.
    pub fn up_to(&self, rounds: usize) -> RoundUse {
        self.rounds.iter().take(rounds).fold(RoundUse::default(), |sum, r| sum.plus(*r))
    }
}

/// The name under which a yarn goes that a part or colour change speaks of.
pub fn yarn_name<'a>(toy: &'a Toy, spoken: &'a str) -> &'a str {
    toy.yarn(spoken).map_or(spoken, |y| y.name.as_str())
}

/// Length of the seam by which a part is sewn on, mm, for stitches `w_mm` wide; `None` where nothing is sewn. The rim
/// of a seam keeps the length of its stitches.
pub fn seam_mm(toy: &Toy, piece: &Piece, w_mm: f64) -> Option<f64> {
    let placement = &piece.placement;
    let sewn = match &placement.seat {
        Seat::OnEnd { .. } | Seat::OnSurface { .. } => !matches!(placement.joint, Joint::WorkedInOne | Joint::Thread),
        Seat::Beside => piece.part.finish != Finish::Gathered && !is_worked_on(toy, &piece.part),
        Seat::Floor { .. } => false,
    };
    if !sewn || is_worked_on(toy, &piece.part) {
        return None;
    }
    let part = &piece.part;
    let widest = |part: &Part| part.rounds.iter().map(|r| r.count()).max().unwrap_or(0);
    let rim = match (placement.seam_round, fixed_by(piece)) {
        (Some(round), _) => {
            let i = (round.max(1.0) as usize).min(part.rounds.len()).saturating_sub(1);
            f64::from(part.rounds.get(i).map_or(0, |r| r.count()))
        }
        (None, End::Finish) if !part.closes() => f64::from(part.rounds.last().map_or(0, |r| r.count())),
        (None, End::Start) if !part.start_is_closed() => f64::from(part.rounds.first().map_or(0, |r| r.count())),
        _ => {
            // A closed part is sewn around a circle of half the narrower one.
            let onto =
                placement.seat.part().and_then(|name| toy.piece_named(name)).map(|i| widest(&toy.pieces[i].part));
            0.5 * f64::from(onto.map_or(widest(part), |n| n.min(widest(part))))
        }
    };
    Some(rim * w_mm * if sewn_folded(piece) { 0.5 } else { 1.0 })
}

/// Whether another part goes on from this one, so that it needs no seam.
fn is_worked_on(toy: &Toy, part: &Part) -> bool {
    toy.pieces.iter().any(|other| match &other.part.start {
        Start::Rim { part: name } => *name == part.name,
        Start::JoinedParts { parts, .. } => parts.contains(&part.name),
        Start::MagicRing | Start::ChainRing | Start::ChainOval { .. } => false,
    })
}

/// The tail that sews a seam of this length, mm.
pub fn sewing_tail_mm(seam_mm: f64) -> Figure {
    let least = |x: f64| x.max(LEAST_SEWING_MM);
    let tail = SEWING.scaled(seam_mm.max(0.0));
    Figure { value: least(tail.value), low: least(tail.low), high: least(tail.high) }
}

/// All yarns in the order of work: the toy's own first, then names that only parts or colour changes speak of.
/// `w_mm` gives the stitch width of a part, on which its seam depends.
pub fn work(toy: &Toy, w_mm: &dyn Fn(usize) -> f64) -> Vec<YarnWork> {
    let named = |name: &str| YarnWork { name: name.to_owned(), parts: Vec::new() };
    let mut yarns: Vec<YarnWork> = toy.yarns.iter().map(|y| named(&y.name)).collect();
    for (index, piece) in toy.pieces.iter().enumerate() {
        if piece.part.rounds.is_empty() {
            continue;
        }
        let number = toy.copies_of(index);
        let seam = seam_mm(toy, piece, w_mm(index));
        for (yarn, rounds) in part_use(toy, piece, seam, &mut yarns) {
            yarns[yarn].parts.push(PartUse { piece: index, copies: number, rounds });
        }
    }
    yarns
}

/// Each yarn of one copy, by its place in `yarns`, which grows by names that are new.
fn part_use(toy: &Toy, piece: &Piece, seam_mm: Option<f64>, yarns: &mut Vec<YarnWork>) -> Vec<(usize, Vec<RoundUse>)> {
    let part = &piece.part;
    let mut find = |spoken: &str| {
        let name = yarn_name(toy, spoken);
        yarns.iter().position(|y| y.name == name).unwrap_or_else(|| {
            yarns.push(YarnWork { name: name.to_owned(), parts: Vec::new() });
            yarns.len() - 1
        })
    };
    let own = find(&part.yarn);
    let mut used: Vec<(usize, Vec<RoundUse>)> = Vec::new();
    let mut last_colour: Option<(&str, usize)> = None;
    let mut last_yarn = own;
    for (round, worked) in part.rounds.iter().enumerate() {
        for run in &worked.runs {
            let yarn = match (&run.colour, last_colour) {
                (None, _) => own,
                (Some(colour), Some((name, yarn))) if *name == **colour => yarn,
                (Some(colour), _) => {
                    let yarn = find(colour);
                    last_colour = Some((colour, yarn));
                    yarn
                }
            };
            let stitches = f64::from(run.times) * f64::from(run.stitch.makes);
            if stitches <= 0.0 {
                continue;
            }
            last_yarn = yarn;
            let at = used.iter().position(|(y, _)| *y == yarn).unwrap_or_else(|| {
                used.push((yarn, vec![RoundUse::default(); part.rounds.len()]));
                used.len() - 1
            });
            used[at].1[round].stitches += stitches * length_per_stitch_factor(run.stitch.kind);
        }
    }
    let sewing = seam_mm.map(sewing_tail_mm);
    for (yarn, rounds) in &mut used {
        leave_tails(rounds, sewing.filter(|_| *yarn == last_yarn));
    }
    used
}

/// A tail where a yarn begins and where it ends, every time it is cut; the last of the part sews it on.
fn leave_tails(rounds: &mut [RoundUse], sewing: Option<Figure>) {
    let mut last: Option<usize> = None;
    for i in 0..rounds.len() {
        if rounds[i].stitches <= 0.0 {
            continue;
        }
        match last {
            Some(before) if i - before <= CARRIED_ROUNDS + 1 => {}
            before => {
                if let Some(before) = before {
                    rounds[before].tails_mm = add(rounds[before].tails_mm, PLAIN_TAIL_MM);
                }
                rounds[i].tails_mm = add(rounds[i].tails_mm, PLAIN_TAIL_MM);
            }
        }
        last = Some(i);
    }
    if let Some(last) = last {
        match sewing {
            Some(tail) => rounds[last].sewing_mm = tail,
            None => rounds[last].tails_mm = add(rounds[last].tails_mm, PLAIN_TAIL_MM),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_yarn_that_rests_long_is_cut_and_one_that_rests_short_is_carried() {
        let stitches = |list: &[f64]| -> Vec<RoundUse> {
            list.iter().map(|s| RoundUse { stitches: *s, ..RoundUse::default() }).collect()
        };
        let total = |list: &[f64], sewing| {
            let mut rounds = stitches(list);
            leave_tails(&mut rounds, sewing);
            let sum = rounds.iter().fold(RoundUse::default(), |s, r| s.plus(*r));
            (sum.tails_mm.value, sum.sewing_mm.value)
        };
        assert_eq!(total(&[6.0, 0.0, 0.0, 6.0], None), (400.0, 0.0));
        assert_eq!(total(&[6.0, 0.0, 0.0, 0.0, 6.0], None), (800.0, 0.0));
        assert_eq!(total(&[6.0, 6.0], Some(Figure::exact(350.0))), (200.0, 350.0));
    }

    #[test]
    fn a_short_seam_still_gets_thirty_centimetres() {
        assert_eq!(sewing_tail_mm(50.0), Figure::exact(300.0));
        assert_eq!(sewing_tail_mm(200.0), Figure { value: 700.0, low: 600.0, high: 800.0 });
    }
}
