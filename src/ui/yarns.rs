//! The yarn of the chosen part and its hook: what is known, and what is estimated until then.

use egui::{TextEdit, Ui};

use super::bench::Bench;
use super::command::Command;
use super::fields::{hint, name_choice, row, set, yarn_colour};
use super::look::{self, Mood};
use super::text::Text;
use super::yarn_fields;
use crate::document::edits;
use crate::document::history::EditKind;
use crate::figure::{Figure, Origin};
use crate::measure::need::Enough;
use crate::measure::report::YarnReport;
use crate::toy::Toy;
use crate::view::units::{Units, short};
use crate::yarn::{Yarn, fabric};

/// Shows the panel.
pub fn show(ui: &mut Ui, bench: &mut Bench, units: Units, todo: &mut Vec<Command>) {
    let Some(part) = bench.chosen_part() else { return };
    if bench.toy().yarns.is_empty() {
        hint(ui, "No yarn is said yet: everything is estimated for a medium yarn.");
        if ui.button("Say which yarn").clicked() {
            bench.edit(EditKind::Once("added yarn"), |toy| toy.yarns.push(Yarn::default()));
        }
        return;
    }
    let names: Vec<String> = bench.toy().yarns.iter().map(|y| y.name.clone()).collect();
    let worked_in = bench.toy().pieces[part].part.yarn.clone();
    let index = names.iter().position(|n| *n == worked_in).unwrap_or(0);
    let answer = name_choice(ui, "Worked in", &names[index], &names);
    set(bench, Some(part), "yarn of the part", answer, |toy, name| toy.pieces[part].part.yarn = name);
    ui.horizontal(|ui| {
        if ui.small_button("Add a yarn").clicked() {
            bench.edit(EditKind::Once("added yarn"), |toy| add(toy, index, part));
        }
        let spare = names.len() > 1;
        if ui.add_enabled(spare, egui::Button::new("Remove this yarn").small()).clicked() {
            bench.edit(EditKind::Once("removed yarn"), |toy| edits::remove_yarn(toy, index));
        }
    });
    if index < bench.toy().yarns.len() {
        ui.separator();
        ui.push_id(index, |ui| yarn(ui, bench, index, units, todo));
    }
}

/// Adds a yarn like the one in hand and works the part in it.
fn add(toy: &mut Toy, like: usize, part: usize) {
    let mut yarn = toy.yarns.get(like).cloned().unwrap_or_default();
    let taken: Vec<String> = toy.yarns.iter().map(|y| y.name.clone()).collect();
    let name = (2..).map(|n| format!("Yarn {n}")).find(|n| !taken.contains(n));
    yarn.name = name.unwrap_or_default();
    yarn.colour = [116, 150, 140];
    // What is at hand of one yarn is not at hand of another.
    (yarn.stock.have_g, yarn.stock.have_balls) = (None, None);
    toy.pieces[part].part.yarn.clone_from(&yarn.name);
    toy.yarns.push(yarn);
}

fn yarn(ui: &mut Ui, bench: &mut Bench, index: usize, units: Units, todo: &mut Vec<Command>) {
    let mut yarn = bench.toy().yarns[index].clone();
    let made = fabric(&bench.toy().settings.in_hand(&yarn));
    row(ui, "Name of the yarn", |ui| {
        let mut name = yarn.name.clone();
        let mut field = Text(&mut name);
        let edit =
            TextEdit::singleline(&mut field).char_limit(60).desired_width((ui.available_width() - 14.0).min(150.0));
        if ui.add(edit).accessible_name("Name of the yarn").changed() {
            let kind = EditKind::Setting { part: None, name: "name of a yarn" };
            bench.edit(kind, |toy| edits::rename_yarn(toy, index, &name));
        }
    });
    let mut changed = None;
    if let Some(colour) = yarn_colour(ui, "Colour", yarn.colour) {
        yarn.colour = colour;
        changed = Some("colour of the yarn");
    }
    hint(ui, "Tick what you know; the rest is estimated.");
    changed = changed.or(yarn_fields::label(ui, &mut yarn, &made));
    needed(ui, bench, &yarn.name, units);
    ui.horizontal_wrapped(|ui| {
        for command in [Command::WeighIn, Command::AnotherYarn] {
            let about = format!("{} ({})", command.about(), command.keys_text(ui.ctx()));
            let button = ui.small_button(command.label()).on_hover_text(about);
            if button.clicked() {
                todo.push(command);
            }
        }
    });
    ui.separator();
    changed = changed.or(yarn_fields::swatch(ui, &mut yarn, &made));
    if let Some(report) = bench.derived().report.yarn.iter().find(|y| y.name == yarn.name) {
        hint(ui, stitch(bench.toy(), &yarn, report, units));
    }
    changed = changed.or(yarn_fields::more(ui, &mut yarn, &made));
    if let Some(name) = changed {
        // The name is another field's.
        yarn.name.clone_from(&bench.toy().yarns[index].name);
        bench.edit(EditKind::Setting { part: None, name }, |toy| {
            toy.yarns[index] = yarn;
        });
    }
}

/// What the toy needs of the yarn, against what is at hand.
fn needed(ui: &mut Ui, bench: &Bench, name: &str, units: Units) {
    let Some(need) = bench.derived().report.yarn.iter().find(|y| y.name == name).map(|y| &y.stock) else { return };
    if need.need.grams.value <= 0.0 {
        return;
    }
    let balls = need.need.balls.map_or_else(String::new, |b| format!(", {} balls", short(b.value)));
    let (mood, verdict) = match need.enough {
        Some(Enough::Enough) => (Mood::Good, "Enough: the toy needs"),
        Some(Enough::Close) => (Mood::Care, "Close: the toy needs"),
        Some(Enough::Short) => (Mood::Bad, "Short: the toy needs"),
        None => (Mood::Plain, "The toy needs"),
    };
    let mut text = format!("{verdict} {}{balls}.", units.mass(need.need.grams).both());
    if let Some(end) = &need.runs_out {
        text += &format!(" It runs out in {}, round {}.", end.at.part, end.at.round);
    }
    if let Some(used) = need.used_g {
        text += &format!(" {} of it are weighed as used.", units.mass(used).value());
    }
    ui.add_space(3.0);
    ui.horizontal_top(|ui| {
        if mood != Mood::Plain {
            look::mood_label(ui, 17.0, mood);
        }
        ui.add(egui::Label::new(text).wrap());
    });
}

/// The size of a stitch, and where each figure is from.
fn stitch(toy: &Toy, yarn: &Yarn, report: &YarnReport, units: Units) -> String {
    let own = |part: &str| {
        let yarn_of = |i: usize| toy.yarn(&toy.pieces[i].part.yarn).is_some_and(|y| y.name == yarn.name);
        toy.piece_named(part).is_some_and(yarn_of)
    };
    let sources = [
        (yarn.stitches_per_10cm.is_some(), "your swatch"),
        (yarn.trials.disc.is_some_and(|d| d.gauge().is_some()), "the disc"),
        (yarn.trials.ball.is_some(), "the ball"),
        (toy.records.around.iter().any(|a| own(&a.part)), "the tape around the toy"),
    ];
    let named: Vec<&str> = sources.iter().filter(|(there, _)| *there).map(|(_, name)| *name).collect();
    let width = match report.w_mm.from {
        Origin::Measured if !named.is_empty() => format!("from {}", named.join(" and ")),
        Origin::Measured => "measured".to_owned(),
        Origin::Label | Origin::Estimate if yarn.rounds_per_10cm.is_some() => "from your rounds in 10 cm".to_owned(),
        Origin::Label | Origin::Estimate => format!("estimated from the {} mm hook", short(report.hook_mm)),
    };
    let height = match (report.h_mm.from, yarn.rounds_per_10cm) {
        (Origin::Measured, Some(_)) => "from your swatch",
        (Origin::Measured, None) => "measured",
        (Origin::Label | Origin::Estimate, _) => "estimated from its width",
    };
    let label = yarn.metres_per_100g.or_else(|| yarn.stock.label_metres_per_100g());
    let metres = 1e5 / report.tex.value().max(1e-6);
    let from = if label.is_some() { "by the label" } else { "estimated" };
    let narrower = if report.w_mm.from == Origin::Measured { "" } else { " A swatch narrows every size and weight." };
    format!(
        "One stitch is {} wide, {width}, and {} high, {height}. 100 g are {}, {from}.{narrower}",
        units.length(report.w_mm.figure).value(),
        units.length(report.h_mm.figure).value(),
        units.yarn(Figure::exact(metres)).value(),
    )
}
