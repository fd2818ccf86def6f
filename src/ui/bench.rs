//! What the window holds: the document in hand, what follows from it, what is chosen. No toolkit is known here;
//! every change of the toy goes through [`Bench::edit`], which works the toy out anew at once, so that all views
//! of one frame show the same toy.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use glam::DVec3;

use crate::document::history::{EditKind, History};
use crate::document::{Document, Opened};
use crate::measure::report::SHOWN_LEAN_DEG;
use crate::measure::report::{PlacementsReport, RestPoseReport, SizeMm};
use crate::measure::{Derived, Finding, Made, OutlineSpread, Report, derive, derive_again, outline_spread};
use crate::toy::Toy;
use crate::view::elevation::{Chosen, Elevation, Side};
use crate::view::ghost::{Ghost, ghost, outlines};
use crate::view::overlay::{self, Footing, Overlays, Subject};
use crate::view::units::Units;

use super::landing::{Landing, Places};
use super::rested::{AsMade, Posed, Rested};

/// A flat picture and what it was drawn from.
type Drawn = ((u64, Option<Chosen>, Overlays, Units, i64), Arc<Elevation>);

/// Ways to land that are shown: the least share, and how many at most.
const LEAST_SHARE: f64 = 0.02;
const MOST_WAYS: usize = 4;

/// A toy that could be, as it would come to rest.
#[derive(Debug)]
pub struct LookedAt {
    /// The toy.
    pub toy: Toy,
    /// What it is, in words.
    pub words: String,
    made: Made,
}

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
    /// The toy as it comes to rest on its own feet.
    rested: Rested,
    /// The toy as far as it is made, where that is shown.
    as_made: Option<AsMade>,
    /// Grows with every change of the toy.
    generation: u64,
    /// Documents that were put on the bench so far.
    begun: u64,
    chosen: Option<Chosen>,
    /// How the toy lands, worked out beside the window.
    pub landing: Landing,
    /// Where things go on the worked fabric, worked out beside the window once it is asked for.
    pub places: Places,
    drawn: HashMap<Side, Drawn>,
    lying: Option<(usize, Posed)>,
    /// A toy that could be, whose outline is laid over this one.
    looked_at: Option<LookedAt>,
    /// The ways to land as figures, and the toy they are of.
    ghosts: Option<(u64, Vec<Ghost>)>,
    /// How outlines move, worked out where it is asked for.
    spread: Option<(u64, OutlineSpread)>,
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
            rested: Rested::default(),
            as_made: None,
            generation: 1,
            begun: 0,
            chosen: None,
            landing,
            places: Places::at_once(),
            drawn: HashMap::new(),
            lying: None,
            looked_at: None,
            ghosts: None,
            spread: None,
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
        self.begun += 1;
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

    /// The same, to be worked with beside the window.
    pub fn derived_shared(&self) -> Arc<Derived> {
        Arc::clone(&self.derived)
    }

    /// Grows with every change of the toy.
    pub fn generation(&self) -> u64 {
        self.generation
    }

    /// Documents that were put on the bench so far: undoing leads back to the beginning of the last of them.
    pub fn begun(&self) -> u64 {
        self.begun
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
        if self.history.record(before, &mut self.document, kind) {
            self.work_out();
        }
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
        self.derived = Arc::new(derive_again(&self.document.toy, &self.derived));
        self.generation += 1;
        self.lying = None;
        self.looked_at = None;
        self.rested = Rested::of(&self.derived);
        self.choose(self.chosen);
        self.landing.ask(self.generation, Arc::clone(&self.derived));
    }

    /// The toy's size as it is shown; lying down it has none in the report.
    fn shown_size_mm(&self) -> Option<SizeMm> {
        let size = self.shown_report().toy.size_mm.filter(|_| self.lying.is_none())?;
        if self.shown_lean_deg().is_none() {
            return Some(size);
        }
        // A toy that leans is a little lower and broader, with the same share of give or take.
        let long = |made: &Made, way: DVec3| {
            let far = |way: DVec3| made.outsides().map(|(_, s)| s.support_mm(way)).fold(f64::NEG_INFINITY, f64::max);
            far(way) + far(-way)
        };
        let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|way| {
            let share = long(self.shown(), way) / long(&self.shown_derived().made, way);
            if share.is_finite() && share > 0.0 { share } else { 1.0 }
        });
        Some(SizeMm { x: size.x.scaled(x), y: size.y.scaled(y), z: size.z.scaled(z) })
    }

    /// How far the toy leans by itself before it rests, degrees, where that is shown.
    pub fn shown_lean_deg(&self) -> Option<f64> {
        let standing = self.shown_derived().standing.as_ref().filter(|_| self.lying.is_none())?;
        standing.settled_up.map(|_| standing.settle_deg).filter(|deg| *deg >= SHOWN_LEAN_DEG)
    }

    /// The ways to land as figures, the likeliest first, once they are worked out.
    pub fn ghosts(&mut self) -> Option<&[Ghost]> {
        let generation = self.generation;
        if self.ghosts.as_ref().is_none_or(|(of, _)| *of != generation) {
            let poses = self.landing.answer(&generation)?;
            let mut ways: Vec<(usize, RestPoseReport)> =
                poses.iter().copied().enumerate().filter(|(_, p)| p.share >= LEAST_SHARE).collect();
            ways.sort_by(|a, b| b.1.share.total_cmp(&a.1.share));
            let figure = |(index, pose): &(usize, RestPoseReport)| Ghost {
                index: *index,
                share: pose.share,
                way: pose.way_up(),
                picture: Arc::new(ghost(&self.document.toy, &self.derived.made, DVec3::from_array(pose.up))),
            };
            let figures = ways.iter().take(MOST_WAYS).map(figure).collect();
            self.ghosts = Some((generation, figures));
        }
        self.ghosts.as_ref().map(|(_, ghosts)| &ghosts[..])
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

    /// How the toy lands, once that is worked out.
    pub fn rest_poses(&self) -> Option<&[RestPoseReport]> {
        self.landing.answer(&self.generation).map(Vec::as_slice)
    }

    /// Lays the toy down as it lands in one of the ways, or stands it up again.
    pub fn lay(&mut self, index: Option<usize>) {
        let pose = index.and_then(|i| Some((i, self.rest_poses()?.get(i)?.up)));
        self.lying = pose.map(|(index, up)| (index, Posed::of(&self.derived, Some(DVec3::from_array(up)))));
        self.drawn.clear();
    }

    /// Which of the ways to land is shown.
    pub fn lying(&self) -> Option<usize> {
        self.lying.as_ref().map(|(index, _)| *index)
    }

    /// Lays the outline of a toy that could be over this one, with what it is in words, or puts it away. It goes by
    /// itself when the toy changes.
    pub fn look_at(&mut self, what: Option<(Toy, String)>) {
        if what.is_none() && self.looked_at.is_none() {
            return;
        }
        self.looked_at = what.map(|(toy, words)| {
            let derived = derive_again(&toy, &self.derived);
            LookedAt { toy, words, made: Rested::of(&derived).posed.made }
        });
        self.drawn.clear();
    }

    /// The toy that could be, whose outline is laid over this one.
    pub fn looked_at(&self) -> Option<&LookedAt> {
        self.looked_at.as_ref()
    }

    /// Shows the toy as far as it is made, or whole again.
    pub fn show_as_made(&mut self, on: bool) {
        if self.as_made.as_ref().map(|m| m.of) == on.then_some(self.generation) {
            return;
        }
        if on && self.as_made.is_none() {
            self.lying = None;
        }
        self.as_made = on.then(|| AsMade::of(&self.document.toy, &self.derived, self.generation));
        self.drawn.clear();
    }

    /// The toy as far as it is made, where the views show that.
    pub fn as_made(&self) -> Option<&AsMade> {
        self.as_made.as_ref().filter(|_| self.lying.is_none())
    }

    /// Whether parts can be moved in the views: only a whole toy that stands is worked on.
    pub fn can_be_placed(&self) -> bool {
        self.lying.is_none() && self.as_made.is_none()
    }

    /// The toy that the views show.
    pub fn shown_toy(&self) -> &Toy {
        self.as_made().map_or(&self.document.toy, |m| &m.toy)
    }

    /// What follows from the toy that the views show.
    fn shown_derived(&self) -> &Derived {
        self.as_made().map_or(&*self.derived, |m| &m.derived)
    }

    /// The report of the toy that the views show.
    pub fn shown_report(&self) -> &Report {
        &self.shown_derived().report
    }

    fn shown_rested(&self) -> &Rested {
        self.as_made().map_or(&self.rested, |m| &m.rested)
    }

    fn shown_posed(&self) -> &Posed {
        self.lying.as_ref().map_or(&self.shown_rested().posed, |(_, lying)| lying)
    }

    /// The toy as it is shown: as it comes to rest where it stands, as far as it is made, or as it lies.
    pub fn shown(&self) -> &Made {
        &self.shown_posed().made
    }

    /// Its centre of mass as it is shown, mm.
    pub fn shown_centre_mm(&self) -> Option<DVec3> {
        self.shown_posed().centre_of_mass_mm
    }

    /// What it stands on; where it lies this is not drawn.
    pub fn shown_footing(&self) -> Option<&Footing> {
        self.shown_rested().footing.as_ref().filter(|_| self.lying.is_none())
    }

    /// What is chosen, as far as it is there in what the views show.
    fn shown_chosen(&self) -> Option<Chosen> {
        let pieces = &self.shown_toy().pieces;
        let chosen = self.chosen?;
        let rounds = pieces.get(chosen.part)?.part.rounds.len();
        Some(Chosen { round: chosen.round.filter(|r| *r < rounds), ..chosen })
    }

    /// Where things go on the worked fabric, once that is worked out; asks for it where nobody has.
    pub fn placements(&mut self) -> Option<Arc<PlacementsReport>> {
        if *self.places.asked() != self.generation {
            let question = (Arc::new(self.document.toy.clone()), Arc::clone(&self.derived));
            self.places.ask(self.generation, question);
            self.places.look();
        }
        self.places.answer(&self.generation).cloned()
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
        let as_made = self.as_made().is_some();
        if overlays.give_take && !as_made && self.spread.as_ref().is_none_or(|(of, _)| *of != self.generation) {
            self.spread = Some((self.generation, outline_spread(&self.document.toy, &self.derived.made)));
        }
        let looked_at = self.looked_at.as_ref().filter(|_| self.can_be_placed());
        let suggested = looked_at.map(|l| outlines(&l.toy, &l.made, side));
        let size_mm = self.shown_size_mm();
        let spread = self.spread.as_ref().filter(|(of, _)| *of == self.generation && !as_made);
        let subject = Subject {
            toy: self.shown_toy(),
            made: self.shown(),
            size_mm: size_mm.as_ref(),
            centre_of_mass_mm: self.shown_centre_mm(),
            footing: self.shown_footing(),
            heads_tall: self.shown_report().toy.heads_tall.map(|h| h.value).filter(|_| self.lying.is_none()),
            chosen: self.shown_chosen(),
            spread: spread.map(|(_, spread)| spread),
            lean: self.shown_rested().lean.as_ref().filter(|_| self.lying.is_none()),
            suggested: suggested.as_deref(),
        };
        let picture = Arc::new(overlay::draw(&subject, side, overlays, units, pt_per_mm));
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
