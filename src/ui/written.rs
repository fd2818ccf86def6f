//! The written rounds of the chosen part, read as they are typed.

use egui::{RichText, TextEdit, Ui};

use super::bench::Bench;
use super::fields::hint;
use super::look::{self, Mood};
use crate::document::history::EditKind;
use crate::notation::{self, Problem, ReadOptions, Reading, Terms, WriteOptions};
use crate::rounds::{Round, Start};
use crate::toy::Piece;

/// The text in hand.
#[derive(Debug, Default)]
pub struct WrittenDraft {
    part: usize,
    /// The rounds that the text stands for; the text is written anew when the part has others.
    rounds: Vec<Round>,
    text: String,
    problems: Vec<Problem>,
    pieces: usize,
    terms: Terms,
    valid: bool,
}

/// The rounds of a part as makers write them.
fn written(piece: &Piece, terms: Terms) -> String {
    let (part, options) = (&piece.part, WriteOptions { terms });
    notation::write(&part.name, piece.placement.copies.number(), &part.start, part.finish, &part.rounds, options)
}

/// Shows the text and what the reader has to say about it.
pub fn show(ui: &mut Ui, bench: &mut Bench, draft: &mut WrittenDraft, terms: Terms) {
    let Some(part) = bench.chosen_part() else { return };
    let rounds = &bench.toy().pieces[part].part.rounds;
    if !draft.valid || draft.part != part || draft.rounds != *rounds || draft.terms != terms {
        *draft = WrittenDraft {
            part,
            rounds: rounds.clone(),
            text: written(&bench.toy().pieces[part], terms),
            terms,
            valid: true,
            ..WrittenDraft::default()
        };
    }
    let words = if terms == Terms::Us { "US" } else { "UK" };
    hint(
        ui,
        format!(
            "In {words} terms. Written rounds or a bare list of counts, such as 6 12 18 24 24 18 12 6; read as you type."
        ),
    );
    let room = (ui.available_height() - 40.0).max(160.0);
    let changed = egui::ScrollArea::vertical()
        .id_salt("written")
        .max_height(room * if draft.problems.is_empty() { 1.0 } else { 0.6 })
        .show(ui, |ui| {
            let edit = TextEdit::multiline(&mut draft.text).desired_width(f32::INFINITY).desired_rows(8);
            let edit = edit.font(egui::TextStyle::Monospace).hint_text("Rnd 1: 6 sc in a magic ring (6)");
            ui.add(edit).accessible_name("Written rounds of the part").changed()
        })
        .inner;
    if changed {
        read(bench, part, draft);
    }
    if draft.pieces > 1 {
        let text = format!(
            "This text has {} parts; the first one is taken here. \"Paste a pattern…\" takes them all.",
            draft.pieces
        );
        ui.label(RichText::new(text).small());
    }
    egui::ScrollArea::vertical().id_salt("reading").auto_shrink([false, true]).show(ui, |ui| {
        for problem in &draft.problems {
            problem_line(ui, problem);
        }
    });
}

fn read(bench: &mut Bench, part: usize, draft: &mut WrittenDraft) {
    let Reading { pieces, problems, .. } = notation::read(&draft.text, &ReadOptions { terms: Some(draft.terms) });
    draft.problems = problems;
    draft.pieces = pieces.len();
    let Some(piece) = pieces.into_iter().next() else {
        if draft.text.trim().is_empty() {
            draft.rounds.clear();
            bench.edit(EditKind::Written { part }, |toy| toy.pieces[part].part.rounds.clear());
        }
        return;
    };
    draft.rounds = piece.rounds.iter().map(|r| r.round.clone()).collect();
    let rounds = draft.rounds.clone();
    bench.edit(EditKind::Written { part }, |toy| {
        let part = &mut toy.pieces[part].part;
        part.rounds = rounds;
        // How it begins and ends is taken over where the text tells; joined parts are told elsewhere.
        if !matches!(part.start, Start::JoinedParts { .. } | Start::Rim { .. }) {
            part.start = piece.start;
        }
        if piece.finish_said {
            part.finish = piece.finish;
        }
    });
}

fn problem_line(ui: &mut Ui, problem: &Problem) {
    let mood = match problem.severity {
        notation::Severity::Note => Mood::Plain,
        notation::Severity::Warning => Mood::Care,
        notation::Severity::Severe => Mood::Bad,
    };
    ui.horizontal_top(|ui| {
        look::mood_label(ui, 14.0, mood);
        let text = format!("Line {}: {} {}", problem.line, problem.message, problem.remedy);
        ui.add(egui::Label::new(RichText::new(text).small()).wrap());
    });
}
