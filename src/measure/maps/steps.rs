//! When in the work of a part to do what: lay the base in, set the eyes, stuff, close, sew.

use crate::measure::made::Made;
use crate::measure::report::{FacePlace, SeamReport, StepReport, StepsReport};
use crate::part::{Base, End};
use crate::rounds::{Finish, Start};
use crate::toy::shape::PartShape;
use crate::toy::{ExtraKind, Spot, Toy};

/// Opening through which two fingers stuff and press a washer home, mm (from memory; a default).
const TWO_FINGERS_MM: f64 = 25.0;
/// Rounds that are worked past an eye before it is set, so that its place can be seen (common practice, no source).
const PAST_THE_EYES: u32 = 2;

/// The steps of every part that has rounds.
pub(super) fn steps(toy: &Toy, made: &Made, face: &[FacePlace], seams: &[SeamReport]) -> Vec<StepsReport> {
    let with_rounds = (0..toy.pieces.len()).filter(|i| !toy.pieces[*i].part.rounds.is_empty());
    with_rounds
        .map(|index| StepsReport {
            part: toy.pieces[index].part.name.clone(),
            steps: Steps::of(toy, made, index).all(face, seams),
        })
        .collect()
}

struct Steps<'a> {
    toy: &'a Toy,
    index: usize,
    shape: &'a PartShape,
    last: u32,
    found: Vec<StepReport>,
}

impl<'a> Steps<'a> {
    fn of(toy: &'a Toy, made: &'a Made, index: usize) -> Self {
        let last = u32::try_from(toy.pieces[index].part.rounds.len()).unwrap_or(u32::MAX);
        Steps { toy, index, shape: &made.shapes[index], last, found: Vec::new() }
    }

    /// Width of the work's edge after a round, mm, as it lies before stuffing.
    fn opening_mm(&self, round: u32) -> f64 {
        let at = round as usize;
        let of = |list: &[f64]| list.get(at).copied().unwrap_or(0.0);
        2.0 * (of(&self.shape.rest.radius_mm) + of(&self.shape.rest.core_half_mm))
    }

    fn push(&mut self, kind: &'static str, after_round: u32, opening_mm: Option<f64>, message: String) {
        self.found.push(StepReport { kind, after_round, opening_mm, message });
    }

    /// The last round, from the widest on, after which two fingers still go in.
    fn last_open_round(&self) -> u32 {
        let widest = (1..=self.last)
            .max_by(|a, b| self.opening_mm(*a).total_cmp(&self.opening_mm(*b)).then(b.cmp(a)))
            .unwrap_or(1);
        let wide = (widest..=self.last).take_while(|round| self.opening_mm(*round) >= TWO_FINGERS_MM);
        wide.last().unwrap_or(widest)
    }

    fn all(mut self, face: &[FacePlace], seams: &[SeamReport]) -> Vec<StepReport> {
        self.base();
        self.eyes(face);
        self.inside();
        self.stuff();
        self.close(seams);
        self.sew(seams);
        // What is done after the same round stays in the order of the hand.
        self.found.sort_by_key(|s| s.after_round);
        self.found
    }

    fn base(&mut self) {
        let part = &self.toy.pieces[self.index].part;
        let (Base::Disc { diameter_mm }, Some(flat)) = (part.base, self.shape.flat) else { return };
        let edge = u32::try_from(flat.edge_node).unwrap_or(self.last);
        let after = if flat.end == End::Start { (edge + PAST_THE_EYES).min(self.last_open_round()) } else { edge };
        let opening = self.opening_mm(after);
        self.push("base", after, Some(opening), format!("After round {after} lay in the disc of {diameter_mm:.0} mm."));
    }

    fn eyes(&mut self, face: &[FacePlace]) {
        let part = &self.toy.pieces[self.index].part;
        for extra in self.toy.extras.iter().filter(|e| e.part == part.name) {
            let (ExtraKind::Eye { .. }, Spot::Surface(_)) = (extra.kind, extra.spot) else { continue };
            let places = face.iter().filter(|f| f.extra == extra.name && f.part == part.name && f.part_copy == 0);
            let places: Vec<&FacePlace> = places.collect();
            let Some(highest) = places.iter().map(|f| f.place.round).max() else { continue };
            let mut after = (highest + PAST_THE_EYES).min(self.last);
            while after > highest && self.opening_mm(after) < TWO_FINGERS_MM {
                after -= 1;
            }
            let opening = self.opening_mm(after);
            let stitches: Vec<String> = places.iter().map(|f| f.place.stitch.to_string()).collect();
            let word = if stitches.len() == 1 { "stitch" } else { "stitches" };
            let list = stitches.join(" and ");
            let message = format!(
                "After round {after} set {}: round {highest}, {word} {list}. The opening is then {opening:.0} mm; once stuffed, a washer cannot be reached.",
                extra.name
            );
            self.push("eyes", after, Some(opening), message);
        }
    }

    fn inside(&mut self) {
        let part = &self.toy.pieces[self.index].part;
        let (after, opening) = self.stuffed_after();
        for extra in self.toy.extras.iter().filter(|e| e.part == part.name) {
            let how = match extra.kind {
                ExtraKind::Pellets => "in its sewn inner bag",
                ExtraKind::Weight => "in an inner bag",
                ExtraKind::NeckStick => "with capped ends",
                ExtraKind::Magnet { .. } => "sewn into a pocket",
                _ => continue,
            };
            self.push("inside", after, Some(opening), format!("After round {after} put in {}, {how}.", extra.name));
        }
    }

    /// Round after which the part is stuffed, and the opening it is stuffed through.
    fn stuffed_after(&self) -> (u32, f64) {
        let part = &self.toy.pieces[self.index].part;
        let at_finish = self.opening_mm(self.last);
        let open_start = matches!(part.start, Start::ChainRing) && self.opening_mm(0) >= TWO_FINGERS_MM;
        match part.finish {
            Finish::Open if at_finish >= TWO_FINGERS_MM => (self.last, at_finish),
            _ if open_start => (self.last, self.opening_mm(0)),
            Finish::FoldedFlat if at_finish >= TWO_FINGERS_MM => (self.last, at_finish),
            _ => {
                let after = self.last_open_round();
                (after, self.opening_mm(after))
            }
        }
    }

    fn stuff(&mut self) {
        let part = &self.toy.pieces[self.index].part;
        if self.shape.fill.is_none() {
            return;
        }
        let (after, opening) = self.stuffed_after();
        let only = part.stuffing.up_to_round.filter(|r| *r < self.last);
        let only = only.map_or(String::new(), |r| format!(", no higher than round {r}"));
        let message = if opening < TWO_FINGERS_MM {
            format!("Stuff as you go, with a stick{only}: the opening is never wider than {opening:.0} mm.")
        } else if after >= self.last {
            format!("Stuff after the last round{only}: the opening is then {opening:.0} mm.")
        } else {
            format!(
                "Stuff before round {}{only}: the opening is then {opening:.0} mm. Top up as it narrows.",
                after + 1
            )
        };
        self.push("stuff", after, Some(opening), message);
    }

    fn close(&mut self, seams: &[SeamReport]) {
        let part = &self.toy.pieces[self.index].part;
        let count = part.rounds.last().map_or(0, |r| r.count());
        let tail = seams.iter().find(|s| s.part == part.name).and_then(|s| s.tail_mm);
        let tail = tail.map_or(String::new(), |t| format!("; leave a tail of {:.0} mm for sewing", t.value));
        let last = self.last;
        let message = match part.finish {
            Finish::Gathered => {
                format!("After round {last} draw the thread through the {count} stitches and pull it shut{tail}.")
            }
            Finish::FoldedFlat => format!("After round {last} fold the edge flat and close it{tail}."),
            Finish::Open => match seams.iter().find(|s| s.part == part.name && s.joint == "worked_in_one") {
                Some(seam) => format!("After round {last} leave it open: it is worked in one with {}.", seam.onto),
                None => format!("After round {last} leave it open{tail}."),
            },
        };
        let opening = (part.finish == Finish::Open).then(|| self.opening_mm(last));
        self.push("close", last, opening, message);
    }

    fn sew(&mut self, seams: &[SeamReport]) {
        let part = &self.toy.pieces[self.index].part;
        let Some(seam) = seams.iter().find(|s| s.part == part.name && s.joint != "worked_in_one") else { return };
        let onto = &seam.onto;
        let rounds: Vec<u32> = seam.copies.first().map_or(Vec::new(), |c| c.rounds.iter().map(|r| r.round).collect());
        let over = match (rounds.iter().min(), rounds.iter().max()) {
            (Some(low), Some(high)) if low == high => format!(" at round {low}"),
            (Some(low), Some(high)) => format!(" over rounds {low} to {high}"),
            _ => seam.copies.first().map_or(String::new(), |c| format!(" at round {}", c.middle.round)),
        };
        self.push("sew", self.last, None, format!("Sew it to {onto}{over}, once {onto} is stuffed."));
    }
}
