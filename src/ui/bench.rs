//! What the window holds: the document in hand, what follows from it, what is chosen. No toolkit is known here;
//! every change of the toy goes through [`Bench::edit`], which works the toy out anew at once, so that all views
//! of one frame show the same toy.

use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

use glam::DVec3;

use crate::document::history::{EditKind, History};
use crate::document::{Document, Opened};
use crate::measure::report::{RestPoseReport, SizeMm};
use crate::measure::{Derived, Finding, Made, OutlineSpread, derive, derive_again, outline_spread};
use crate::toy::Toy;
use crate::view::elevation::{Chosen, Elevation, Side};
use crate::view::ghost::{Ghost, ghost};
use crate::view::overlay::{self, Footing, Overlays, Subject};
use crate::view::posed::{lay_dangling, turned};
use crate::view::rose::Lean;
use crate::view::units::Units;

use super::landing::Landing;

/// A flat picture and what it was drawn from.
type Drawn = ((u64, Option<Chosen>, Overlays, Units, i64), Arc<Elevation>);

/// A toy that leans less than this by itself is shown as it is laid out, degrees.
const SHOWN_LEAN_DEG: f64 = 1.0;
/// Ways to land that are shown: the least share, and how many at most.
const LEAST_SHARE: f64 = 0.02;
const MOST_WAYS: usize = 4;

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
    rested: Posed,
    footing: Option<Footing>,
    lean: Option<Lean>,
    /// Grows with every change of the toy.
    generation: u64,
    chosen: Option<Chosen>,
    /// How the toy lands, worked out beside the window.
    pub landing: Landing,
    drawn: HashMap<Side, Drawn>,
    lying: Option<(usize, Posed)>,
    /// The ways to land as figures, and the toy they are of.
    ghosts: Option<(u64, Vec<Ghost>)>,
    /// How outlines move, worked out where it is asked for.
    spread: Option<(u64, OutlineSpread)>,
}

/// The toy as a picture shows it.
#[derive(Debug, Default)]
struct Posed {
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
            rested: Posed::default(),
            footing: None,
            lean: None,
            generation: 1,
            chosen: None,
            landing,
            drawn: HashMap::new(),
            lying: None,
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
        self.derived = Arc::new(derive_again(&self.document.toy, &self.derived));
        self.generation += 1;
        self.lying = None;
        self.rest();
        self.choose(self.chosen);
        self.landing.ask(self.generation, &self.derived);
    }

    /// Lets the toy lean as it does by itself before it rests, so that support and plumb line are where they will be.
    fn rest(&mut self) {
        let standing = self.derived.standing.as_ref();
        let up = standing.and_then(|s| s.settled_up.filter(|_| s.settle_deg >= SHOWN_LEAN_DEG));
        self.rested = self.posed(up);
        // The support is told in the settled pose. Where the lean is too small to be shown it is drawn under the toy
        // as laid out, its distances from the foot of the plumb line kept.
        let foot = self.rested.centre_of_mass_mm.map(|c| c.truncate());
        let standing = standing.zip(foot).filter(|(s, _)| !s.polygon.is_empty());
        self.footing =
            standing.map(|(s, foot)| Footing { polygon: s.polygon.iter().map(|p| *p - s.foot + foot).collect() });
        self.lean = self.derived.report.stand.as_ref().map(|s| Lean {
            by_direction_deg: s.tip_by_direction_deg.clone(),
            weakest_toward_deg: s.tip_toward_deg,
            weakest_deg: s.tip_deg.value,
        });
    }

    /// The toy with a direction of its frame up, what dangles on the floor.
    fn posed(&self, up: Option<DVec3>) -> Posed {
        let centre = self.centre_of_mass_mm();
        let mut posed = match up {
            Some(up) => {
                let (made, turn) = turned(&self.derived.made, up);
                Posed { made, centre_of_mass_mm: centre.map(|c| turn.transform_point3(c)) }
            }
            None => Posed { made: self.derived.made.clone(), centre_of_mass_mm: centre },
        };
        lay_dangling(&mut posed.made);
        posed
    }

    /// The toy's size as it is shown; lying down it has none in the report.
    fn shown_size_mm(&self) -> Option<SizeMm> {
        let size = self.derived.report.toy.size_mm.filter(|_| self.lying.is_none())?;
        if self.shown_lean_deg().is_none() {
            return Some(size);
        }
        // A toy that leans is a little lower and broader, with the same share of give or take.
        let long = |made: &Made, way: DVec3| {
            let far = |way: DVec3| made.outsides().map(|(_, s)| s.support_mm(way)).fold(f64::NEG_INFINITY, f64::max);
            far(way) + far(-way)
        };
        let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|way| {
            let share = long(&self.rested.made, way) / long(&self.derived.made, way);
            if share.is_finite() && share > 0.0 { share } else { 1.0 }
        });
        Some(SizeMm { x: size.x.scaled(x), y: size.y.scaled(y), z: size.z.scaled(z) })
    }

    /// How far the toy leans by itself before it rests, degrees, where that is shown.
    pub fn shown_lean_deg(&self) -> Option<f64> {
        let standing = self.derived.standing.as_ref().filter(|_| self.lying.is_none())?;
        standing.settled_up.map(|_| standing.settle_deg).filter(|deg| *deg >= SHOWN_LEAN_DEG)
    }

    /// The ways to land as figures, the likeliest first, once they are worked out.
    pub fn ghosts(&mut self) -> Option<&[Ghost]> {
        let generation = self.generation;
        if self.ghosts.as_ref().is_none_or(|(of, _)| *of != generation) {
            let poses = self.landing.answer(generation)?;
            let mut ways: Vec<(usize, RestPoseReport)> =
                poses.iter().copied().enumerate().filter(|(_, p)| p.share >= LEAST_SHARE).collect();
            ways.sort_by(|a, b| b.1.share.total_cmp(&a.1.share));
            let figure = |(index, pose): &(usize, RestPoseReport)| Ghost {
                index: *index,
                share: pose.share,
                way: pose.way_up(),
                picture: ghost(&self.document.toy, &self.derived.made, DVec3::from_array(pose.up)),
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
        self.lying = pose.map(|(index, up)| (index, self.posed(Some(DVec3::from_array(up)))));
        self.drawn.clear();
    }

    /// Which of the ways to land is shown.
    pub fn lying(&self) -> Option<usize> {
        self.lying.as_ref().map(|(index, _)| *index)
    }

    /// The toy as it is shown: as it comes to rest where it stands, or as it lies.
    pub fn shown(&self) -> &Made {
        &self.lying.as_ref().map_or(&self.rested, |(_, lying)| lying).made
    }

    /// Its centre of mass as it is shown, mm.
    pub fn shown_centre_mm(&self) -> Option<DVec3> {
        self.lying.as_ref().map_or(&self.rested, |(_, lying)| lying).centre_of_mass_mm
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
        if overlays.give_take && self.spread.as_ref().is_none_or(|(of, _)| *of != self.generation) {
            self.spread = Some((self.generation, outline_spread(&self.document.toy, &self.derived.made)));
        }
        let size_mm = self.shown_size_mm();
        let subject = Subject {
            toy: &self.document.toy,
            made: self.shown(),
            size_mm: size_mm.as_ref(),
            centre_of_mass_mm: self.shown_centre_mm(),
            footing: self.shown_footing(),
            heads_tall: self.derived.report.toy.heads_tall.map(|h| h.value).filter(|_| self.lying.is_none()),
            chosen: self.chosen,
            spread: self.spread.as_ref().filter(|(of, _)| *of == self.generation).map(|(_, spread)| spread),
            lean: self.lean.as_ref().filter(|_| self.lying.is_none()),
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
