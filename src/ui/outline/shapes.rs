//! A part added as a shape to start from, by its size.

use egui::{Atom, AtomPaintArgs, Button, Mesh, RichText, Ui, pos2, vec2};

use super::points::capital;
use super::{input_for, sentence};
use crate::advise::outline::{Rules, StartShape, rounds_of_outline};
use crate::document::edits;
use crate::document::history::EditKind;
use crate::ui::bench::Bench;
use crate::ui::command::Command;
use crate::ui::fields::{Drag, hint};
use crate::ui::look::{colour, ground};
use crate::view::elevation::Chosen;
use crate::view::ink::Ink;

/// Largest shape that is added from the menu, mm.
const MOST_MM: f64 = 1000.0;

/// What the menu keeps while the window is open.
#[derive(Clone, Debug, PartialEq)]
struct Wanted {
    width_mm: f64,
    height_mm: f64,
    wrong: Option<String>,
}

/// The menu.
pub fn menu(ui: &mut Ui, bench: &mut Bench, todo: &mut Vec<Command>) {
    let key = egui::Id::unique("size of a shape to add");
    let first = Wanted { width_mm: 50.0, height_mm: 60.0, wrong: None };
    let mut wanted: Wanted = ui.data(|d| d.get_temp(key)).unwrap_or_else(|| first.clone());
    let before = wanted.clone();
    let button = Button::new("Shape").small();
    let (response, _) = egui::containers::menu::MenuButton::from_button(button)
        .config(egui::containers::menu::MenuConfig::new().close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside))
        .ui(ui, |ui| {
            ui.set_max_width(190.0);
            ui.label(RichText::new("A part of this size, stuffed:").small().weak());
            let size = |ui: &mut Ui, value: &mut f64, word: &str| {
                ui.horizontal(|ui| {
                    let drag = Drag { range: 5.0..=MOST_MM, speed: 0.5, decimals: 1, unit: " mm", ..Drag::default() };
                    drag.show(ui, value).accessible_name(format!("Shape's {word}"));
                    ui.label(word);
                });
            };
            size(ui, &mut wanted.width_mm, "width");
            size(ui, &mut wanted.height_mm, "height");
            let chosen = list(ui);
            if let Some(shape) = chosen {
                wanted.wrong = add(bench, shape, wanted.width_mm, wanted.height_mm).err();
                if wanted.wrong.is_none() {
                    ui.close();
                }
            }
            if let Some(why) = &wanted.wrong {
                hint(ui, why.clone());
            }
            ui.separator();
            let draw = Button::new(Command::DrawOutline.label());
            if ui.add(draw.min_size(vec2(180.0, 22.0))).on_hover_text(Command::DrawOutline.about()).clicked() {
                todo.push(Command::DrawOutline);
                ui.close();
            }
        });
    response.accessible_name("Add a shape").on_hover_text("Adds a ball, an egg, a limb … by its size");
    if wanted != before {
        ui.data_mut(|d| d.insert_temp(key, wanted));
    }
}

fn list(ui: &mut Ui) -> Option<StartShape> {
    let mut chosen = None;
    egui::Grid::new("shapes").num_columns(2).spacing(vec2(4.0, 2.0)).show(ui, |ui| {
        for (i, shape) in StartShape::ALL.into_iter().enumerate() {
            let mark = Atom::paint(vec2(22.0, 20.0), move |ui: &Ui, args: AtomPaintArgs| icon(ui, args.rect, shape));
            let button = Button::new((mark, capital(shape))).min_size(vec2(92.0, 24.0));
            if ui.add(button).accessible_name(format!("Add a {}", shape.word())).clicked() {
                chosen = Some(shape);
            }
            if i % 2 == 1 {
                ui.end_row();
            }
        }
    });
    chosen
}

/// A shape's silhouette.
fn icon(ui: &Ui, rect: egui::Rect, shape: StartShape) {
    let (width, height) = match shape {
        StartShape::Ball | StartShape::Dome => (1.0, 1.0),
        StartShape::Disc => (1.0, 0.35),
        StartShape::Limb | StartShape::Ear => (0.55, 1.0),
        _ => (0.8, 1.0),
    };
    let Ok(outline) = shape.outline(width, height) else { return };
    let long = f64::from(rect.height() - 2.0);
    let (middle, bottom) = (rect.center().x, rect.bottom() - 1.0);
    let bottom = bottom - (0.5 * (1.0 - outline.height_mm()) * long) as f32;
    let ink = colour(Ink::OUTLINE, ground(ui)).gamma_multiply(0.8);
    let mut mesh = Mesh::default();
    for p in outline.points() {
        let y = bottom - (p.y * long) as f32;
        mesh.colored_vertex(pos2(middle + (p.x * long) as f32, y), ink);
        mesh.colored_vertex(pos2(middle - (p.x * long) as f32, y), ink);
    }
    for i in 1..mesh.vertices.len() as u32 / 2 {
        mesh.add_triangle(2 * i - 2, 2 * i - 1, 2 * i);
        mesh.add_triangle(2 * i - 1, 2 * i, 2 * i + 1);
    }
    ui.painter().add(mesh);
}

/// Adds it beside the toy.
fn add(bench: &mut Bench, shape: StartShape, width_mm: f64, height_mm: f64) -> Result<(), String> {
    let half = shape.outline(width_mm, height_mm).map_err(|e| sentence(&e.to_string()))?;
    let input = input_for(bench.toy(), None);
    let fit = rounds_of_outline(&half, &input, &Rules::default()).map_err(|e| sentence(&e.to_string()))?;
    let mut at = 0;
    bench.edit(EditKind::Once("added shape"), |toy| at = edits::add_worked(toy, &fit.part, shape.word()));
    bench.choose(Some(Chosen { part: at, round: None }));
    Ok(())
}
