//! What the maker wants and what must stay, set before the search.

use egui::Ui;

use crate::advise::mend::{Family, Limits, LockedRounds, Targets};
use crate::document::history::EditKind;
use crate::toy::{Toy, Wishes};
use crate::ui::fields::{Drag, hint, row};
use crate::view::elevation::Chosen;

/// A wish that may be left open: a tick says that it is wished.
fn wish(ui: &mut Ui, words: &str, now: &mut Option<f64>, first: f64, range: std::ops::RangeInclusive<f64>, unit: &str) {
    row(ui, words, |ui| {
        let mut wished = now.is_some();
        if ui.checkbox(&mut wished, "").accessible_name(format!("{words} is wished")).changed() {
            *now = wished.then_some(first.clamp(*range.start(), *range.end()));
        }
        match now {
            Some(value) => {
                let speed = (range.end() - range.start()) / 600.0;
                Drag { range, speed, unit, ..Drag::default() }.show(ui, value).accessible_name(words);
            }
            None => {
                ui.weak("as it comes");
            }
        }
    });
}

/// What a change of the wishes is called among the steps: figures that are dragged or typed are one step, a tick is one.
pub fn step(before: &Wishes, now: &Wishes) -> EditKind {
    let set = |w: &Wishes| {
        let (targets, limits) = (&w.targets, &w.limits);
        let figures = [targets.tip_deg_min, targets.neck_share_min, targets.head_to_body_max, targets.height_mm];
        let figures = figures.into_iter().chain([targets.at_most_g_of_yarn]).map(|f| f.is_some());
        let set: Vec<bool> = figures.chain([limits.max_stitches_changed.is_some()]).collect();
        (set, limits.locked_parts.len(), limits.locked_rounds.len(), limits.without.len())
    };
    let name = if before.targets == now.targets { "what must stay" } else { "what is wanted" };
    if set(before) == set(now) { EditKind::Setting { part: None, name } } else { EditKind::Once(name) }
}

/// Shows targets.
pub fn targets(ui: &mut Ui, targets: &mut Targets, height_mm: f64, grams: f64) {
    wish(ui, "Leans at least", &mut targets.tip_deg_min, 15.0, 1.0..=60.0, "°");
    wish(ui, "Head to body, at most", &mut targets.head_to_body_max, 1.0, 0.1..=5.0, " to 1");
    wish(ui, "Neck bears its load", &mut targets.neck_share_min, 1.0, 0.1..=5.0, " times");
    wish(ui, "Height", &mut targets.height_mm, height_mm.round(), 10.0..=2000.0, " mm");
    wish(ui, "Yarn, at most", &mut targets.at_most_g_of_yarn, grams.ceil(), 1.0..=5000.0, " g");
}

/// Kinds of change that makers may not want, in their words.
const UNWANTED: [(&[Family], &str); 7] = [
    (&[Family::Narrower, Family::Wider, Family::WiderBase, Family::WiderNeck], "other counts of stitches"),
    (&[Family::Taller, Family::Shorter], "more or fewer rounds"),
    (&[Family::PartSize, Family::ToySize], "parts in another size"),
    (&[Family::Weight], "a weight in the base"),
    (&[Family::FlatBase, Family::BackLoopEdge, Family::BaseDisc], "another base"),
    (&[Family::Firmer, Family::LessStuffing, Family::Stuff], "other stuffing"),
    (&[Family::Feet, Family::Tilt], "parts put elsewhere"),
];

/// Shows what must stay.
pub fn limits(ui: &mut Ui, limits: &mut Limits, toy: &Toy, chosen: Option<Chosen>) {
    hint(ui, "Ticked parts stay as they are:");
    for piece in &toy.pieces {
        let name = &piece.part.name;
        let mut kept = limits.locked_parts.contains(name);
        if ui.checkbox(&mut kept, format!("Keep {name}")).changed() {
            limits.locked_parts.retain(|n| n != name);
            if kept {
                limits.locked_parts.push(name.clone());
            }
        }
    }
    rounds(ui, limits, toy, chosen);
    hint(ui, "Ways to mend that you would take:");
    for (families, words) in UNWANTED {
        let named = |word: &String| families.iter().any(|f| f.word() == word);
        let mut wanted = !limits.without.iter().any(named);
        if ui.checkbox(&mut wanted, words).changed() {
            limits.without.retain(|word| !named(word));
            if !wanted {
                limits.without.extend(families.iter().map(|f| f.word().to_owned()));
            }
        }
    }
    let mut most = limits.max_stitches_changed.map(f64::from);
    wish(ui, "Stitches changed, at most", &mut most, 60.0, 1.0..=5000.0, "");
    limits.max_stitches_changed = most.map(|n| n as u32);
}

/// Rounds that stay: those made already, say. Kept from the first to the chosen one, or just the chosen one.
fn rounds(ui: &mut Ui, limits: &mut Limits, toy: &Toy, chosen: Option<Chosen>) {
    let mut gone = None;
    for (i, kept) in limits.locked_rounds.iter().enumerate() {
        ui.horizontal_wrapped(|ui| {
            let words = format!("Rounds {} to {} of {} stay.", kept.from, kept.to, kept.part);
            ui.label(&words);
            if ui.small_button("Let them go").accessible_name(format!("Let them go: {words}")).clicked() {
                gone = Some(i);
            }
        });
    }
    if let Some(i) = gone {
        limits.locked_rounds.remove(i);
    }
    let Some((piece, round)) = chosen.and_then(|c| Some((toy.pieces.get(c.part)?, c.round?))) else {
        hint(ui, "To keep single rounds, choose a round in the table first.");
        return;
    };
    let Ok(number) = u32::try_from(round + 1) else { return };
    let name = &piece.part.name;
    ui.horizontal_wrapped(|ui| {
        let mut keep = |ui: &mut Ui, from: u32, words: String| {
            let kept = LockedRounds { part: name.clone(), from, to: number };
            if !limits.locked_rounds.contains(&kept) && ui.small_button(words).clicked() {
                limits.locked_rounds.push(kept);
            }
        };
        keep(ui, number, format!("Keep round {number} of {name}"));
        if number > 1 {
            keep(ui, 1, format!("Keep rounds 1 to {number} of {name}"));
        }
    });
}
