//! The rounds of the chosen part as a table: counts to be changed, what is worked, rounds put in and taken out.

use egui::{DragValue, Ui, vec2};
use egui_extras::{Column, TableBuilder};

use super::bench::Bench;
use super::command::Command;
use super::look;
use super::strip;
use crate::document::edits;
use crate::document::history::EditKind;
use crate::notation::Terms;
use crate::rounds::{Loops, Round, Run, StitchKind};

/// Shows chart, buttons and table.
pub fn show(ui: &mut Ui, bench: &mut Bench, terms: Terms, todo: &mut Vec<Command>) {
    let Some(part) = bench.chosen_part() else { return };
    strip::show(ui, bench);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        ui.spacing_mut().button_padding.x = 5.0;
        for (command, short) in [
            (Command::InsertRound, "Insert"),
            (Command::RepeatRound, "Repeat"),
            (Command::DeleteRound, "Delete"),
            (Command::RoundUp, "Earlier"),
            (Command::RoundDown, "Later"),
        ] {
            let chosen = bench.chosen_round().is_some() || (command == Command::InsertRound);
            let button = ui.add_enabled(chosen, egui::Button::new(short).small());
            let button = button.accessible_name(command.label());
            let hint = format!("{} ({})", command.about(), command.keys_text(ui.ctx()));
            if button.on_hover_text(hint).on_disabled_hover_text("Choose a round first").clicked() {
                todo.push(command);
            }
        }
    });
    table(ui, bench, part, terms);
}

fn table(ui: &mut Ui, bench: &mut Bench, part: usize, terms: Terms) {
    let rounds = bench.toy().pieces[part].part.rounds.len();
    if rounds == 0 {
        ui.label("This part has no rounds yet. Insert one, or write them under Text.");
        return;
    }
    let chosen = bench.chosen_round();
    let scrolled_id = ui.scope_id().with("scrolled to");
    let scrolled: Option<(usize, Option<usize>)> = ui.data(|d| d.get_temp(scrolled_id));
    let height = ui.available_height().max(150.0);
    let mut builder = TableBuilder::new(ui)
        .id_salt("rounds")
        .striped(true)
        // Not for the keyboard, which goes from count to count.
        .sense(egui::Sense::CLICK)
        .max_scroll_height(height)
        .min_scrolled_height(120.0)
        .auto_shrink([false, true])
        .cell_layout(egui::Layout::left_to_right(egui::Align::Center))
        .column(Column::exact(34.0))
        .column(Column::exact(58.0))
        .column(Column::exact(40.0))
        .column(Column::remainder().clip(true));
    if let Some(chosen) = chosen.filter(|_| scrolled != Some((part, chosen))) {
        builder = builder.scroll_to_row(chosen, None);
    }
    let mut choose = None;
    let mut set = None;
    let body = builder.header(20.0, |mut header| {
        for title in ["Rnd", "Stitches", "+ −", "Worked"] {
            header.col(|ui| {
                ui.label(egui::RichText::new(title).small().weak());
            });
        }
    });
    body.body(|body| {
        body.rows(26.0, rounds, |mut row| {
            let i = row.index();
            row.set_selected(chosen == Some(i));
            let round = &bench.toy().pieces[part].part.rounds[i];
            row.col(|ui| {
                ui.label(format!("{}", i + 1));
            });
            row.col(|ui| {
                ui.spacing_mut().interact_size.y = 18.0;
                ui.spacing_mut().button_padding.y = 1.0;
                let mut count = round.count();
                let drag =
                    DragValue::new(&mut count).range(1..=edits::MOST_STITCHES).speed(0.15).min_size(vec2(46.0, 18.0));
                let response = ui.add(drag).accessible_name(format!("Stitches in round {}", i + 1));
                if response.changed() {
                    set = Some((i, count));
                }
                if response.drag_started() || response.gained_focus() {
                    choose = Some(i);
                }
            });
            row.col(|ui| {
                change(ui, round);
            });
            row.col(|ui| {
                ui.add(egui::Label::new(egui::RichText::new(worked(round, terms)).small()).truncate());
            });
            if row.response().clicked() {
                choose = Some(i);
            }
        });
    });
    ui.data_mut(|d| d.insert_temp(scrolled_id, (part, chosen)));
    if let Some(round) = choose {
        bench.choose_round(Some(round));
    }
    if let Some((round, count)) = set {
        bench.choose_round(Some(round));
        bench.edit(EditKind::Count { part, round }, |toy| edits::set_count(&mut toy.pieces[part].part, round, count));
    }
}

fn change(ui: &mut Ui, round: &Round) {
    let by = i64::from(round.count()) - i64::from(round.uses());
    let text = match by {
        0 => return,
        1.. => format!("+{by}"),
        _ => format!("−{}", -by),
    };
    let ink = if by > 0 { crate::view::ink::Ink::SUPPORT_LINE } else { crate::view::ink::Ink::PLUMB };
    let ground = look::ground(ui);
    ui.label(egui::RichText::new(text).color(look::colour(ink, ground)));
}

fn kind_word(kind: StitchKind, terms: Terms) -> &'static str {
    let (us, uk) = match kind {
        StitchKind::Slip => ("sl st", "sl st"),
        StitchKind::Single => ("sc", "dc"),
        StitchKind::HalfDouble => ("hdc", "htr"),
        StitchKind::Double => ("dc", "tr"),
        StitchKind::Treble => ("tr", "dtr"),
    };
    if terms == Terms::Us { us } else { uk }
}

fn stitch_word(run: &Run, terms: Terms) -> String {
    let kind = kind_word(run.stitch.kind, terms);
    let mut word = match (run.stitch.uses, run.stitch.makes) {
        (1, 1) => kind.to_owned(),
        (1, 2) if run.stitch.kind == StitchKind::Single => "inc".to_owned(),
        (2, 1) if run.stitch.kind == StitchKind::Single => "dec".to_owned(),
        (1, 0) => "skip".to_owned(),
        (0, 1) => "ch".to_owned(),
        (1, n) => format!("{n} {kind} in one"),
        (n, 1) => format!("{kind}{n}tog"),
        (uses, makes) => format!("{makes} {kind} in {uses}"),
    };
    match run.stitch.loops {
        Loops::Both => {}
        Loops::Front => word.push_str(" FLO"),
        Loops::Back => word.push_str(" BLO"),
    }
    if let Some(colour) = &run.colour {
        word = format!("{word} {colour}");
    }
    word
}

/// What is worked, in the trade's short words; a repeated group once.
pub fn worked(round: &Round, terms: Terms) -> String {
    // Stitch by stitch, so that a group that begins in the middle of a run is found too.
    let mut words: Vec<String> = Vec::new();
    let mut stitches: Vec<usize> = Vec::new();
    for run in &round.runs {
        let word = stitch_word(run, terms);
        let index = words.iter().position(|w| *w == word).unwrap_or_else(|| {
            words.push(word);
            words.len() - 1
        });
        stitches.extend(std::iter::repeat_n(index, run.times.min(edits::MOST_STITCHES) as usize));
    }
    let spelled = |stitches: &[usize]| {
        let runs = stitches.chunk_by(|a, b| a == b);
        let each = runs
            .map(|run| if run.len() == 1 { words[run[0]].clone() } else { format!("{} {}", run.len(), words[run[0]]) });
        each.collect::<Vec<_>>().join(", ")
    };
    let n = stitches.len();
    let period = (2..=n / 2).find(|p| n.is_multiple_of(*p) && stitches.chunks(*p).all(|c| c == &stitches[..*p]));
    match period {
        Some(period) if stitches[1..].iter().any(|s| *s != stitches[0]) => {
            format!("({}) × {}", spelled(&stitches[..period]), n / period)
        }
        _ => spelled(&stitches),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::spread;

    #[test]
    fn rounds_are_spelled_as_makers_write_them() {
        let spell = |from, to| worked(&spread(from, to, 0.0).expect("counts above zero"), Terms::Us);
        assert_eq!(spell(12, 18), "(sc, inc) × 6");
        assert_eq!(spell(18, 18), "18 sc");
        assert_eq!(spell(6, 12), "6 inc");
        assert_eq!(spell(18, 12), "(sc, dec) × 6");
        // Staggered: the group begins within a run of even stitches.
        assert_eq!(worked(&spread(18, 24, 0.5).expect("counts above zero"), Terms::Uk), "(dc, inc, dc) × 6");
    }
}
