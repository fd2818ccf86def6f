//! The yarn of the chosen part and its hook: what is known, and what is estimated until then.

use egui::{TextEdit, Ui};

use super::bench::Bench;
use super::fields::{choice, hint, maybe, name_choice, row, set, yarn_colour};
use crate::document::history::EditKind;
use crate::toy::Toy;
use crate::view::units::short;
use crate::yarn::{CATEGORIES, Yarn, fabric};

/// Shows the panel.
pub fn show(ui: &mut Ui, bench: &mut Bench) {
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
            bench.edit(EditKind::Once("removed yarn"), |toy| drop(toy.yarns.remove(index)));
        }
    });
    if index < bench.toy().yarns.len() {
        ui.separator();
        yarn(ui, bench, index);
    }
}

/// Adds a yarn like the one in hand and works the part in it.
fn add(toy: &mut Toy, like: usize, part: usize) {
    let mut yarn = toy.yarns.get(like).cloned().unwrap_or_default();
    let taken: Vec<String> = toy.yarns.iter().map(|y| y.name.clone()).collect();
    let name = (2..).map(|n| format!("Yarn {n}")).find(|n| !taken.contains(n));
    yarn.name = name.unwrap_or_default();
    yarn.colour = [116, 150, 140];
    toy.pieces[part].part.yarn.clone_from(&yarn.name);
    toy.yarns.push(yarn);
}

fn rename(toy: &mut Toy, index: usize, name: String) {
    if toy.yarns.iter().any(|y| y.name == name) {
        return;
    }
    let old = std::mem::replace(&mut toy.yarns[index].name, name.clone());
    for piece in &mut toy.pieces {
        if piece.part.yarn == old {
            piece.part.yarn.clone_from(&name);
        }
        for run in piece.part.rounds.iter_mut().flat_map(|r| &mut r.runs) {
            if run.colour.as_deref() == Some(old.as_str()) {
                run.colour = Some(name.as_str().into());
            }
        }
    }
}

fn yarn(ui: &mut Ui, bench: &mut Bench, index: usize) {
    let yarn = bench.toy().yarns[index].clone();
    let made = fabric(&yarn);
    let put = |bench: &mut Bench, name: &'static str, change: &dyn Fn(&mut Yarn)| {
        bench.edit(EditKind::Setting { part: None, name }, |toy| change(&mut toy.yarns[index]));
    };
    row(ui, "Name of the yarn", |ui| {
        let mut name = yarn.name.clone();
        let edit =
            TextEdit::singleline(&mut name).char_limit(60).desired_width((ui.available_width() - 14.0).min(150.0));
        if ui.add(edit).accessible_name("Name of the yarn").changed() {
            bench.edit(EditKind::Setting { part: None, name: "name of a yarn" }, |toy| rename(toy, index, name));
        }
    });
    if let Some(colour) = yarn_colour(ui, "Colour", yarn.colour) {
        put(bench, "colour of the yarn", &|y| y.colour = colour);
    }
    hint(ui, "Tick what you know; the rest is estimated.");
    let labels: Vec<String> = CATEGORIES.iter().map(|c| format!("{} {}", c.number, c.name)).collect();
    let mut categories: Vec<(Option<u8>, &str)> = vec![(None, "not known")];
    categories.extend(CATEGORIES.iter().zip(&labels).map(|(c, l)| (Some(c.number), l.as_str())));
    if let Some(category) = choice(ui, "Weight on the label", &yarn.category, &categories) {
        put(bench, "category of the yarn", &|y| y.category = category);
    }
    if let Some(hook) = maybe(ui, "Hook", yarn.hook_mm, made.hook_mm, 0.5..=30.0, " mm") {
        put(bench, "hook", &|y| y.hook_mm = hook);
    }
    let metres = 1e5 / made.tex.value().max(1e-6);
    if let Some(metres) = maybe(ui, "Metres in 100 g", yarn.metres_per_100g, metres, 5.0..=5000.0, " m") {
        put(bench, "metres in 100 g", &|y| y.metres_per_100g = metres);
    }
    ui.separator();
    ui.add(egui::Label::new("From your swatch, worked as tightly as the toy:").wrap());
    let (stitches, rounds) = (100.0 / made.w_mm.value(), 100.0 / made.h_mm.value());
    if let Some(n) = maybe(ui, "Stitches in 10 cm", yarn.stitches_per_10cm, stitches, 2.0..=100.0, "") {
        put(bench, "stitches in 10 cm", &|y| y.stitches_per_10cm = n);
    }
    if let Some(n) = maybe(ui, "Rounds in 10 cm", yarn.rounds_per_10cm, rounds, 2.0..=100.0, "") {
        put(bench, "rounds in 10 cm", &|y| y.rounds_per_10cm = n);
    }
    let (w, h) = (made.w_mm.value(), made.h_mm.value());
    let known = yarn.stitches_per_10cm.is_some() && yarn.rounds_per_10cm.is_some();
    let end = if known { "from your swatch." } else { "partly estimated. A swatch narrows every size and weight." };
    hint(ui, format!("One stitch is {} mm wide and {} mm high, {end}", short(w), short(h)));
}
