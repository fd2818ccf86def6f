//! What the window holds: the document in hand, what follows from it, what is chosen. No toolkit is known here;
//! every change of the toy goes through [`Bench::edit`], which works the toy out anew at once, so that all views
//! of one frame show the same toy.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use glam::{DVec2, DVec3};

use crate::document::history::{EditKind, History};
use crate::document::{Document, Opened};
use crate::measure::report::RestPoseReport;
use crate::measure::{Derived, Finding, derive};
use crate::toy::Toy;
use crate::view::elevation::{Chosen, Elevation, Side};
use crate::view::overlay::{self, Footing, Overlays, Subject};
use crate::view::units::Units;

use super::landing::Landing;

/// A flat picture and what it was drawn from.
type Drawn = ((u64, Option<Chosen>, Overlays, Units, [i32; 2]), Arc<Elevation>);

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
        // The support is told in the settled pose; it is drawn under the toy as laid out, its distances from the
        // foot of the plumb line kept.
        let foot = self.centre_of_mass_mm().map(|c| c.truncate());
        let standing = self.derived.standing.as_ref().zip(foot).filter(|(s, _)| !s.polygon.is_empty());
        self.footing = standing.map(|(s, foot)| Footing { polygon: s.polygon.iter().map(|p| *p - s.foot + foot).collect() });
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

    /// What the toy stands on.
    pub fn footing(&self) -> Option<&Footing> {
        self.footing.as_ref()
    }

    /// Its centre of mass, mm.
    pub fn centre_of_mass_mm(&self) -> Option<DVec3> {
        self.derived.report.toy.centre_of_mass_mm.map(DVec3::from_array)
    }

    /// How the toy lands, once that is worked out.
    pub fn rest_poses(&self) -> Option<&[RestPoseReport]> {
        self.landing.answer(self.generation)
    }

    /// All that needs a look, worst first: of the toy and of the written rounds.
    pub fn findings(&self) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self.derived.report.findings.iter().chain(&self.problems).collect();
        all.sort_by_key(|f| std::cmp::Reverse(f.severity));
        all
    }

    /// The flat picture from one side, drawn anew only when something in it has changed.
    pub fn elevation(&mut self, side: Side, overlays: Overlays, units: Units, room_pt: DVec2) -> Arc<Elevation> {
        let room = [room_pt.x, room_pt.y].map(|r| (r / 8.0).round() as i32);
        let key = (self.generation, self.chosen, overlays, units, room);
        if let Some((drawn, picture)) = self.drawn.get(&side)
            && *drawn == key
        {
            return Arc::clone(picture);
        }
        let subject = Subject {
            toy: &self.document.toy,
            made: &self.derived.made,
            size_mm: self.derived.report.toy.size_mm.as_ref(),
            centre_of_mass_mm: self.centre_of_mass_mm(),
            footing: self.footing.as_ref(),
            chosen: self.chosen,
        };
        let picture = Arc::new(overlay::draw(&subject, side, overlays, units, room_pt));
        self.drawn.insert(side, (key, Arc::clone(&picture)));
        picture
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::edits;

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
