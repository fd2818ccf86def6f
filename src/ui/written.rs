//! The written rounds of the chosen part, read as they are typed.

use egui::text::{LayoutJob, TextFormat};
use egui::{RichText, Stroke, TextEdit, Ui};

use super::bench::Bench;
use super::fields::hint;
use super::look::{self, Mood};
use super::text::Text;
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
    let (part, options) = (&piece.part, WriteOptions { terms, say_terms: true });
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
            let WrittenDraft { text, problems, .. } = draft;
            let mut layouter = |ui: &Ui, text: &dyn egui::TextBuffer, wrap_width: f32| {
                let mut job = underlined(ui, text.as_str(), problems);
                job.wrap.max_width = wrap_width;
                ui.painter().layout_job(job)
            };
            let mut field = Text(text);
            let edit = TextEdit::multiline(&mut field).desired_width(f32::INFINITY).desired_rows(8);
            let edit = edit.font(egui::TextStyle::Monospace).hint_text("Rnd 1: 6 sc in a magic ring (6)");
            let shown = edit.layouter(&mut layouter).show(ui);
            let response = shown.response.response.accessible_name("Written rounds of the part");
            let under = response.hover_pos().and_then(|pos| {
                let at = shown.galley.cursor_from_pos(pos - shown.galley_pos).index.0;
                problem_at(text, problems, at)
            });
            let changed = response.changed();
            if let Some(problem) = under {
                response.on_hover_ui_at_pointer(|ui| problem_line(ui, problem));
            }
            changed
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

/// The text with every problem underlined in place: thick where the counts may be wrong, thin for a note.
fn underlined(ui: &Ui, text: &str, problems: &[Problem]) -> LayoutJob {
    let font = egui::TextStyle::Monospace.resolve(ui.style());
    let colour = ui.visuals().text_color();
    let plain = TextFormat::simple(font, colour);
    let mut job = LayoutJob::default();
    let mut at = 0;
    let mut spans: Vec<&Problem> = problems.iter().collect();
    spans.sort_by_key(|p| (p.span.start, p.span.end));
    for problem in spans {
        // The text may have changed since it was read: what no longer fits is left plain.
        let (from, to) = (problem.span.start.max(at), problem.span.end.min(text.len()));
        let (Some(before), Some(inside)) = (text.get(at..from), text.get(from..to)) else { continue };
        if inside.is_empty() {
            continue;
        }
        let mood = mood_of(problem);
        let width = if mood == Mood::Plain { 1.0 } else { 2.0 };
        job.append(before, 0.0, plain.clone());
        job.append(
            inside,
            0.0,
            TextFormat { underline: Stroke::new(width, look::colour(mood.ink(), look::ground(ui))), ..plain.clone() },
        );
        at = to;
    }
    job.append(text.get(at..).unwrap_or(""), 0.0, plain);
    job
}

/// The problem at a character of the text.
fn problem_at<'a>(text: &str, problems: &'a [Problem], character: usize) -> Option<&'a Problem> {
    let byte = text.char_indices().nth(character).map_or(text.len(), |(byte, _)| byte);
    problems.iter().find(|p| p.span.contains(&byte))
}

fn mood_of(problem: &Problem) -> Mood {
    match problem.severity {
        notation::Severity::Note => Mood::Plain,
        notation::Severity::Warning => Mood::Care,
        notation::Severity::Severe => Mood::Bad,
    }
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
    let mood = mood_of(problem);
    ui.horizontal_top(|ui| {
        look::mood_label(ui, 14.0, mood);
        let text = format!("Line {}: {} {}", problem.line, problem.message, problem.remedy);
        ui.add(egui::Label::new(RichText::new(text).small()).wrap());
    });
}
