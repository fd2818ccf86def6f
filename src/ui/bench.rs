//! What the window holds: the document in hand, what follows from it, what is chosen. No toolkit is known here;
//! every change of the toy goes through [`Bench::edit`], which works the toy out anew at once, so that all views
//! of one frame show the same toy.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use glam::{DAffine3, DQuat, DVec3};

use crate::document::history::{EditKind, History};
use crate::document::{Document, Opened};
use crate::measure::report::RestPoseReport;
use crate::measure::{Derived, Finding, Made, derive};
use crate::toy::Toy;
use crate::view::elevation::{Chosen, Elevation, Side};
use crate::view::overlay::{self, Footing, Overlays, Subject};
use crate::view::units::Units;

use super::landing::Landing;

/// A flat picture and what it was drawn from.
type Drawn = ((u64, Option<Chosen>, Overlays, Units, i64), Arc<Elevation>);

/// The document in hand with all that follows from it.
#[derive(Debug)]
pub struct Bench {
    document: Document,
    /// The document as it is on disk.
    saved: Document,
    history: History<Document>,
    /// Where it is on disk.
    pub path: Option<PathBuf>,
    /// Places in written rounds that need a look.
    pub problems: Vec<Finding>,
    derived: Arc<Derived>,
    footing: Option<Footing>,
    /// Grows with every change of the toy.
    generation: u64,
    chosen: Option<Chosen>,
    /// How the toy lands, worked out beside the window.
    pub landing: Landing,
    drawn: HashMap<Side, Drawn>,
    lying: Option<Lying>,
}

/// The toy laid down as it lands.
#[derive(Debug)]
struct Lying {
    /// Which of the ways to land.
    index: usize,
    made: Made,
    centre_of_mass_mm: Option<DVec3>,
}

impl Bench {
    /// An empty bench.
    pub fn new(landing: Landing) -> Bench {
        let document = Document::default();
        let derived = Arc::new(derive(&document.toy));
        Bench {
            saved: document.clone(),
            document,
            history: History::default(),
            path: None,
            problems: Vec::new(),
            derived,
            footing: None,
            generation: 1,
            chosen: None,
            landing,
            drawn: HashMap::new(),
            lying: None,
        }
    }

    /// Puts another document on the bench; what was there is gone. Without a path it counts as not saved yet
    /// only once it is changed.
    pub fn put(&mut self, opened: Opened, path: Option<PathBuf>) {
        self.document = opened.document;
        self.saved = self.document.clone();
        self.problems = opened.problems;
        self.path = path;
        self.history = History::default();
        self.chosen = (!self.document.toy.pieces.is_empty()).then_some(Chosen { part: 0, round: None });
        self.work_out();
    }

    /// The document.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The toy.
    pub fn toy(&self) -> &Toy {
        &self.document.toy
    }

    /// What follows from the toy.
    pub fn derived(&self) -> &Derived {
        &self.derived
    }

    /// Grows with every change of the toy.
    pub fn generation(&self) -> u64 {
        self.generation
    }

    /// Whether there is anything that is not on disk.
    pub fn is_changed(&self) -> bool {
        self.document != self.saved
    }

    /// Notes that the document is on disk there.
    pub fn is_saved_at(&mut self, path: PathBuf) {
        self.saved = self.document.clone();
        self.path = Some(path);
    }

    /// Notes that what is in hand is on disk nowhere, although it was just put on the bench.
    pub fn is_unsaved(&mut self) {
        self.saved = Document::default();
    }

    /// Changes the toy and works it out anew; undo takes it back.
    pub fn edit(&mut self, kind: EditKind, change: impl FnOnce(&mut Toy)) {
        let before = self.document.clone();
        change(&mut self.document.toy);
        if before == self.document {
            return;
        }
        self.history.record(before, &self.document, kind);
        self.work_out();
    }

    /// Ends the step in hand: the next change is one of its own.
    pub fn seal(&mut self) {
        self.history.seal();
    }

    /// Takes back the last step.
    pub fn undo(&mut self) -> bool {
        let done = self.history.undo(&mut self.document);
        if done {
            self.work_out();
        }
        done
    }

    /// Does again what was taken back.
    pub fn redo(&mut self) -> bool {
        let done = self.history.redo(&mut self.document);
        if done {
            self.work_out();
        }
        done
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<String> {
        self.history.undo_label()
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<String> {
        self.history.redo_label()
    }

    fn work_out(&mut self) {
        self.derived = Arc::new(derive(&self.document.toy));
        self.generation += 1;
        self.lying = None;
        // The support is told in the settled pose; it is drawn under the toy as laid out, its distances from the
        // foot of the plumb line kept.
        let foot = self.centre_of_mass_mm().map(|c| c.truncate());
        let standing = self.derived.standing.as_ref().zip(foot).filter(|(s, _)| !s.polygon.is_empty());
        self.footing =
            standing.map(|(s, foot)| Footing { polygon: s.polygon.iter().map(|p| *p - s.foot + foot).collect() });
        self.choose(self.chosen);
        self.landing.ask(self.generation, &self.derived);
    }

    /// What is chosen.
    pub fn chosen(&self) -> Option<Chosen> {
        self.chosen
    }

    /// Place of the chosen part in the list.
    pub fn chosen_part(&self) -> Option<usize> {
        self.chosen.map(|c| c.part)
    }

    /// The chosen round, counted from 0.
    pub fn chosen_round(&self) -> Option<usize> {
        self.chosen.and_then(|c| c.round)
    }

    /// Chooses a part and a round, as far as they exist.
    pub fn choose(&mut self, chosen: Option<Chosen>) {
        let pieces = &self.document.toy.pieces;
        let chosen = chosen.and_then(|c| {
            let part = c.part.min(pieces.len().checked_sub(1)?);
            let rounds = pieces[part].part.rounds.len();
            let round = c.round.filter(|_| part == c.part && rounds > 0).map(|r| r.min(rounds - 1));
            Some(Chosen { part, round })
        });
        let chosen = chosen.or_else(|| (!pieces.is_empty()).then_some(Chosen { part: 0, round: None }));
        if chosen != self.chosen {
            self.chosen = chosen;
            self.history.seal();
        }
    }

    /// Chooses a round of the chosen part.
    pub fn choose_round(&mut self, round: Option<usize>) {
        if let Some(part) = self.chosen_part() {
            self.choose(Some(Chosen { part, round }));
        }
    }

    /// Its centre of mass, mm.
    pub fn centre_of_mass_mm(&self) -> Option<DVec3> {
        self.derived.report.toy.centre_of_mass_mm.map(DVec3::from_array)
    }

    /// How the toy lands, once that is worked out.
    pub fn rest_poses(&self) -> Option<&[RestPoseReport]> {
        self.landing.answer(self.generation)
    }

    /// Lays the toy down as it lands in one of the ways, or stands it up again.
    pub fn lay(&mut self, index: Option<usize>) {
        let pose = index.and_then(|i| Some((i, self.rest_poses()?.get(i)?.up)));
        self.lying = pose.map(|(index, up)| {
            let (made, turn) = laid(&self.derived.made, DVec3::from_array(up));
            Lying { index, made, centre_of_mass_mm: self.centre_of_mass_mm().map(|c| turn.transform_point3(c)) }
        });
        self.drawn.clear();
    }

    /// Which of the ways to land is shown.
    pub fn lying(&self) -> Option<usize> {
        self.lying.as_ref().map(|l| l.index)
    }

    /// The toy as it is shown: as it stands, or as it lies.
    pub fn shown(&self) -> &Made {
        self.lying.as_ref().map_or(&self.derived.made, |l| &l.made)
    }

    /// Its centre of mass as it is shown, mm.
    pub fn shown_centre_mm(&self) -> Option<DVec3> {
        self.lying.as_ref().map_or_else(|| self.centre_of_mass_mm(), |l| l.centre_of_mass_mm)
    }

    /// What it stands on; where it lies this is not drawn.
    pub fn shown_footing(&self) -> Option<&Footing> {
        self.footing.as_ref().filter(|_| self.lying.is_none())
    }

    /// All that needs a look, worst first: of the toy and of the written rounds.
    pub fn findings(&self) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self.derived.report.findings.iter().chain(&self.problems).collect();
        all.sort_by_key(|f| std::cmp::Reverse(f.severity));
        all
    }

    /// The flat picture from one side, drawn anew only when something in it has changed.
    pub fn elevation(&mut self, side: Side, overlays: Overlays, units: Units, pt_per_mm: f64) -> Arc<Elevation> {
        let key = (self.generation, self.chosen, overlays, units, (pt_per_mm * 1e3) as i64);
        if let Some((drawn, picture)) = self.drawn.get(&side)
            && *drawn == key
        {
            return Arc::clone(picture);
        }
        let subject = Subject {
            toy: &self.document.toy,
            made: self.shown(),
            // Lying down it has no height and width of its own in the report.
            size_mm: self.derived.report.toy.size_mm.as_ref().filter(|_| self.lying.is_none()),
            centre_of_mass_mm: self.shown_centre_mm(),
            footing: self.shown_footing(),
            heads_tall: self.derived.report.toy.heads_tall.map(|h| h.value).filter(|_| self.lying.is_none()),
            chosen: self.chosen,
        };
        let picture = Arc::new(overlay::draw(&subject, side, overlays, units, pt_per_mm));
        self.drawn.insert(side, (key, Arc::clone(&picture)));
        picture
    }
}

/// The toy turned so that a direction of its frame points up, and set on the floor; and that motion.
fn laid(made: &Made, up: DVec3) -> (Made, DAffine3) {
    let turn = DAffine3::from_quat(DQuat::from_rotation_arc(up.normalize_or(DVec3::Z), DVec3::Z));
    let mut laid = made.clone();
    let mut move_all = |by: DAffine3| {
        for pose in &mut laid.poses {
            pose.toy_from_part.iter_mut().chain(&mut pose.toy_from_upright).for_each(|m| *m = by * *m);
        }
        let lowest = laid.outsides().map(|(_, solid)| -solid.support_mm(DVec3::NEG_Z)).fold(f64::INFINITY, f64::min);
        if lowest.is_finite() { lowest } else { 0.0 }
    };
    let lift = DAffine3::from_translation(DVec3::new(0.0, 0.0, -move_all(turn)));
    move_all(lift);
    (laid, lift * turn)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::edits;

    #[test]
    fn a_toy_laid_down_rests_on_the_floor() {
        let mut bench = Bench::new(Landing::at_once());
        bench.edit(EditKind::Once("add"), |toy| {
            let at = edits::add_part(toy);
            toy.pieces[at].placement.seat =
                crate::toy::Seat::Floor { down: crate::part::End::Start, x_mm: 0.0, y_mm: 0.0 };
        });
        let (laid, turn) = laid(&bench.derived().made, DVec3::Y);
        let (_, solid) = laid.outsides().next().expect("one part");
        assert!(solid.support_mm(DVec3::NEG_Z).abs() < 1e-9);
        // What was in front is above now.
        assert!((turn.transform_vector3(DVec3::Y) - DVec3::Z).length() < 1e-9);
        // On its back it is as tall as it was deep.
        let deep = bench.derived().made.shapes[0].widest_mm();
        assert!((solid.support_mm(DVec3::Z) - deep).abs() < 1e-6);
    }

    #[test]
    fn undo_keeps_the_choice_within_the_toy() {
        let mut bench = Bench::new(Landing::at_once());
        bench.edit(EditKind::Once("add"), |toy| {
            edits::add_part(toy);
        });
        bench.choose(Some(Chosen { part: 0, round: Some(99) }));
        assert_eq!(bench.chosen_round(), Some(6));
        assert!(bench.is_changed() && bench.undo());
        assert_eq!(bench.chosen(), None);
        assert!(!bench.is_changed() && bench.redo());
        assert_eq!(bench.toy().pieces.len(), 1);
    }
}
