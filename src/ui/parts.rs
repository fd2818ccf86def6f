//! The toy and its parts: name, purpose, the list of parts, and the heading of the chosen one.

use egui::{Align2, FontId, RichText, Role, Sense, TextEdit, Ui, WidgetInfo, vec2};

use super::bench::Bench;
use super::command::Command;
use super::fields::{choice, set};
use super::paint::{Placing, paint};
use super::text::Text;
use super::{focus, look, outline};
use crate::document::edits;
use crate::document::history::EditKind;
use crate::notation::Terms;
use crate::part::End;
use crate::toy::{Copies, Purpose};
use crate::view::balance::silhouette;
use crate::view::elevation::{Chosen, yarn_colour};

/// Purposes in words.
pub const PURPOSES: [(Purpose, &str); 6] = [
    (Purpose::Sit, "sit up"),
    (Purpose::StandOnTwo, "stand on two feet"),
    (Purpose::StandOnFour, "stand on four feet"),
    (Purpose::Lie, "lie"),
    (Purpose::Hang, "hang"),
    (Purpose::Floppy, "be floppy"),
];

/// Names being typed, until they are done.
#[derive(Debug, Default)]
pub struct NameDraft {
    part: Option<(usize, String)>,
}

/// Name and purpose of the toy.
pub fn toy(ui: &mut Ui, bench: &mut Bench) {
    ui.horizontal(|ui| {
        let mut name = bench.toy().name.clone();
        let mut field = Text(&mut name);
        let edit =
            TextEdit::singleline(&mut field).hint_text("Name of the toy").char_limit(80).desired_width(f32::INFINITY);
        let response = ui.add(edit.font(egui::TextStyle::Heading)).accessible_name("Name of the toy");
        if response.changed() {
            bench.edit(EditKind::Setting { part: None, name: "name of the toy" }, |toy| toy.name = name);
        }
    });
    let answer = choice(ui, "It is meant to", &bench.toy().purpose, &PURPOSES);
    set(bench, None, "purpose", answer, |toy, purpose| toy.purpose = purpose);
}

/// Height of a row of the list.
const ROW: f32 = 30.0;

/// The list of parts with its buttons.
pub fn list(ui: &mut Ui, bench: &mut Bench, todo: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        look::group_heading(ui, "Parts");
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for (command, short) in
                [(Command::RemovePart, "Remove"), (Command::DoublePart, "Copy"), (Command::AddPart, "Add")]
            {
                if command == Command::AddPart {
                    outline::add_shape(ui, bench, todo);
                }
                let can = command == Command::AddPart || bench.chosen_part().is_some();
                let hint = format!("{} ({})", command.about(), command.keys_text(ui.ctx()));
                let button = ui.add_enabled(can, egui::Button::new(short).small()).accessible_name(command.label());
                if button.on_hover_text(hint).clicked() {
                    todo.push(command);
                }
            }
        });
    });
    let parts = bench.toy().pieces.len();
    let height = (parts as f32 * (ROW + 2.0)).clamp(ROW, (0.3 * ui.ctx().content_rect().height()).max(3.0 * ROW));
    let mut choose = None;
    egui::ScrollArea::vertical().id_salt("parts").max_height(height).auto_shrink([false, true]).show(ui, |ui| {
        focus::follow(ui);
        ui.spacing_mut().item_spacing.y = 2.0;
        for part in 0..parts {
            if row(ui, bench, part).clicked() {
                choose = Some(part);
            }
        }
    });
    if let Some(part) = choose {
        bench.choose(Some(Chosen { part, round: None }));
    }
}

fn row(ui: &mut Ui, bench: &Bench, part: usize) -> egui::Response {
    let piece = &bench.toy().pieces[part];
    let chosen = bench.chosen_part() == Some(part);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let copies = piece.placement.copies.number();
    let rounds = piece.part.rounds.len();
    let name = piece.part.name.clone();
    let placed = bench.derived().made.poses.get(part).is_some_and(|p| p.unplaced.is_none());
    let mut about = if copies > 1 { format!("× {copies}, {rounds} rounds") } else { format!("{rounds} rounds") };
    if !placed {
        about.push_str(", not placed");
    }
    if ui.is_rect_visible(rect) {
        let visuals = ui.visuals();
        let fill = match (chosen, response.hovered()) {
            (true, _) => visuals.selection.bg_fill,
            (false, true) => visuals.widgets.hovered.bg_fill,
            (false, false) => visuals.faint_bg_color,
        };
        let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
        painter.rect_filled(rect, 6, fill);
        if chosen {
            let bar = egui::Rect::from_min_size(rect.min, vec2(4.0, rect.height()));
            painter.rect_filled(bar, 2, look::colour(crate::view::ink::Ink::GLOW, look::ground(ui)));
        }
        if response.has_focus() {
            painter.rect_stroke(rect, 6, visuals.selection.stroke, egui::StrokeKind::Inside);
        }
        let first = piece.part.rounds.first().and_then(|r| r.colour()).map(|c| &**c);
        let up = bench.derived().made.poses.get(part).is_none_or(|p| p.by == End::Start);
        let picture = silhouette(&bench.derived().made.shapes[part], yarn_colour(bench.toy(), part, first), up);
        let picture_rect = egui::Rect::from_min_size(rect.min + vec2(9.0, 3.5), vec2(30.0, ROW - 7.0));
        if !picture.extent.is_empty() {
            paint(&painter, &picture, Placing::fit(picture.extent, picture_rect), look::ground(ui));
        }
        let words = if chosen { visuals.selection.stroke.color } else { visuals.text_color() };
        let small = painter.layout_no_wrap(about.clone(), FontId::proportional(12.0), words.gamma_multiply(0.85));
        let small_at = egui::pos2(rect.right() - 8.0 - small.size().x, rect.center().y - small.size().y / 2.0);
        let room = small_at.x - rect.left() - 54.0;
        let mut job = egui::text::LayoutJob::simple_singleline(name.clone(), FontId::proportional(14.5), words);
        job.wrap = egui::text::TextWrapping::truncate_at_width(room.max(20.0));
        let galley = painter.layout_job(job);
        painter.galley(egui::pos2(rect.left() + 46.0, rect.center().y - galley.size().y / 2.0), galley, words);
        painter.galley(small_at, small, words);
    }
    response.widget_info(move || WidgetInfo::selected(Role::RadioButton, true, chosen, format!("{name}: {about}")));
    response.on_hover_text(piece.part.name.clone())
}

/// Name and copies of the chosen part.
pub fn heading(ui: &mut Ui, bench: &mut Bench, draft: &mut NameDraft) {
    let Some(part) = bench.chosen_part() else { return };
    ui.horizontal(|ui| {
        let now = bench.toy().pieces[part].part.name.clone();
        let mut text = draft.part.as_ref().filter(|(of, _)| *of == part).map_or(now.clone(), |(_, text)| text.clone());
        let width = (ui.available_width() - 128.0).max(80.0);
        let mut field = Text(&mut text);
        let edit = TextEdit::singleline(&mut field).char_limit(80).desired_width(width).hint_text("Name of the part");
        let response = ui.add(edit).accessible_name("Name of the part");
        if response.changed() {
            draft.part = Some((part, text.clone()));
        }
        if response.lost_focus()
            && let Some((of, text)) = draft.part.take()
            && text != now
        {
            bench.edit(EditKind::Once("name of a part"), |toy| edits::rename_part(toy, of, &text));
        }
        let copies = bench.toy().pieces[part].placement.copies;
        let words = |copies: Copies| match copies {
            Copies::One => "one".to_owned(),
            Copies::MirroredPair => "mirrored pair".to_owned(),
            Copies::Around(n) => format!("{n} around"),
        };
        let mut chosen = None;
        let combo =
            egui::ComboBox::from_id_salt("copies").selected_text(words(copies)).width(112.0).show_ui(ui, |ui| {
                let all = [Copies::One, Copies::MirroredPair].into_iter().chain((2..=12).map(Copies::Around));
                for option in all {
                    if ui.selectable_label(option == copies, words(option)).clicked() {
                        chosen = Some(option);
                    }
                }
            });
        combo.response.accessible_name("How many of it").on_hover_text("How many of it there are");
        set(bench, Some(part), "number of copies", chosen, |toy, copies| toy.pieces[part].placement.copies = copies);
    });
}

/// What the chosen round is, under the views.
pub fn told(ui: &mut Ui, bench: &Bench, terms: Terms) {
    let Some(part) = bench.chosen_part() else { return };
    let piece = &bench.toy().pieces[part];
    let text = match bench.chosen_round().and_then(|r| Some((r, piece.part.rounds.get(r)?))) {
        Some((r, round)) => format!(
            "{}, round {}: {} stitches, {}",
            piece.part.name,
            r + 1,
            round.count(),
            super::rounds::worked(round, terms)
        ),
        None => format!("{}: {} rounds, {} stitches", piece.part.name, piece.part.rounds.len(), piece.part.stitches()),
    };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 18.0), Sense::hover());
    let mut job =
        egui::text::LayoutJob::simple_singleline(text.clone(), FontId::proportional(13.0), ui.visuals().text_color());
    job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width().max(10.0));
    let galley = ui.painter().layout_job(job);
    let at = Align2::LEFT_CENTER.anchor_size(rect.left_center(), galley.size()).min;
    ui.painter().galley(at, galley, ui.visuals().text_color());
    response.widget_info(move || WidgetInfo::labeled(Role::Label, true, text.clone()));
}

/// A sentence in place of the part's panels where there is no part.
pub fn nothing(ui: &mut Ui) {
    ui.label(RichText::new("There is no part yet. Add one, or paste a pattern.").weak());
}
