//! Fields over and under the pad: shape and size of the whole outline, place and kind of the chosen point.

use egui::{Button, ComboBox, Ui};
use glam::DVec2;

use super::Drawing;
use crate::advise::outline::{HalfOutline, LARGEST_MM, StartShape, stuffed_outline};
use crate::measure::make;
use crate::ui::fields::{Drag, hint};

/// Name of a shape, with a capital.
pub(super) fn capital(shape: StartShape) -> String {
    let mut letters = shape.word().chars();
    letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default() + letters.as_str()
}

/// Shape and size.
pub(super) fn shape(ui: &mut Ui, drawing: &mut Drawing, new: bool) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.label("Begin from");
        let now = drawing.shape.map_or_else(|| "Own".to_owned(), capital);
        let (low, high) = drawing.pad.heights_mm();
        let (mut width, mut height) = (drawing.pad.widest_mm(), high - low);
        let mut start = None;
        let mut of_part = None;
        let combo = ComboBox::from_id_salt("shape").selected_text(now).width(86.0).show_ui(ui, |ui| {
            for shape in StartShape::ALL {
                if ui.selectable_label(drawing.shape == Some(shape), capital(shape)).clicked() {
                    start = Some(shape);
                }
            }
            for (i, piece) in drawing.toy.pieces.iter().enumerate() {
                if ui.selectable_label(false, format!("{} as it is", piece.part.name)).clicked() {
                    of_part = Some(i);
                }
            }
        });
        if new {
            combo.response.request_focus();
        }
        combo.response.accessible_name("Shape to begin from").on_hover_text("Undo brings back what was drawn");
        if let Some(shape) = start {
            let named = drawing.shape.is_some_and(|s| s.word() == drawing.name);
            if drawing.pad.start(shape, clean(width), clean(height)).is_ok() {
                drawing.shape = Some(shape);
                drawing.sight = None;
                if named {
                    drawing.name = shape.word().to_owned();
                }
            }
        }
        if let Some(part) = of_part {
            begin_from_part(drawing, part);
        }
        let mut size = |ui: &mut Ui, value: &mut f64, prefix: &str, name: &str| {
            let range = 1.0..=LARGEST_MM;
            let drag = Drag { range, speed: 0.5, decimals: 1, prefix, unit: " mm", ..Drag::default() };
            let response = drag.show(ui, value).accessible_name(name);
            if response.drag_stopped() || response.lost_focus() {
                drawing.pad.let_go();
            }
            response.changed()
        };
        let wide = size(ui, &mut width, "width ", "Width of the outline");
        let tall = size(ui, &mut height, "height ", "Height of the outline");
        if wide || tall {
            drawing.pad.stretch(width, height);
        }
        let (undo, redo) = drawing.pad.steps();
        let step = |ui: &mut Ui, word: &str, name: &str, what: Option<String>| {
            let button = ui.add_enabled(what.is_some(), Button::new(word)).accessible_name(name);
            button.on_hover_text(what.unwrap_or_default()).clicked()
        };
        if step(ui, "Undo", "Undo in the drawing", undo) {
            drawing.pad.undo();
        }
        if step(ui, "Redo", "Redo in the drawing", redo) {
            drawing.pad.redo();
        }
    });
}

/// Tenths of a mm, so that a size that was measured off the line does not drift.
fn clean(mm: f64) -> f64 {
    ((mm * 10.0).round() / 10.0).clamp(1.0, LARGEST_MM)
}

/// The stuffed outline of a part that is there.
fn begin_from_part(drawing: &mut Drawing, part: usize) {
    let made = make(&drawing.toy);
    let outline = made.shapes.get(part).and_then(|shape| stuffed_outline(shape));
    match outline.map(|points| HalfOutline::new(&points)) {
        Some(Ok(half)) => {
            drawing.pad.put(&half);
            (drawing.shape, drawing.into, drawing.sight) = (None, Some(part), None);
        }
        _ => {
            let name = &drawing.toy.pieces[part].part.name;
            let text = format!("{name} has no stuffed outline. Say under Stuffing how firmly it is stuffed.");
            drawing.told = Some(super::Told { text, is_wrong: true });
        }
    }
}

/// The chosen point.
pub(super) fn point(ui: &mut Ui, drawing: &mut Drawing) {
    let n = drawing.pad.knots().len();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let chosen = drawing.pad.chosen();
        if ui.add_enabled(n > 0 && chosen != Some(0), Button::new("Before")).accessible_name("Point before").clicked() {
            drawing.pad.step(-1);
        }
        let words = chosen.map_or_else(|| format!("{n} points"), |c| format!("Point {} of {n}", c + 1));
        ui.label(words);
        if ui.add_enabled(chosen.is_none_or(|c| c + 1 < n), Button::new("Next")).accessible_name("Next point").clicked()
        {
            drawing.pad.step(1);
        }
        let knot = chosen.and_then(|c| Some((c, *drawing.pad.knots().get(c)?)));
        let Some((point, knot)) = knot else {
            if ui.button("Work it from the other end").on_hover_text("Swaps first and last round").clicked() {
                drawing.pad.turn_round();
            }
            return;
        };
        let mut at = knot.at;
        let place = |ui: &mut Ui, value: &mut f64, prefix: &str, name: &str, low: f64| {
            let range = low..=LARGEST_MM;
            let drag = Drag { range, speed: 0.2, decimals: 1, prefix, unit: " mm", ..Drag::default() };
            drag.show(ui, value).accessible_name(name)
        };
        let across = place(ui, &mut at.x, "across ", "Distance of the point from the axis", 0.0);
        let up = place(ui, &mut at.y, "up ", "Height of the point", -LARGEST_MM);
        if across.changed() || up.changed() {
            drawing.pad.move_to(point, DVec2::new(at.x, at.y), 0.0);
        }
        if across.drag_stopped() || up.drag_stopped() || across.lost_focus() || up.lost_focus() {
            drawing.pad.let_go();
        }
        let mut smooth = knot.smooth;
        if ui.checkbox(&mut smooth, "smooth").on_hover_text("Or a corner").changed() {
            drawing.pad.set_smooth(point, smooth);
        }
        if ui.add_enabled(n > 2, Button::new("Remove")).accessible_name("Remove the point").clicked() {
            drawing.pad.remove(point);
        }
    });
    hint(
        ui,
        "Click: a new point. Drag: move it. Right click or Delete: remove it. Page Up and Page Down choose a point, arrows \
         move it by 1 mm, Insert adds one after it, C makes a corner.",
    );
}
