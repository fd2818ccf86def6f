//! The strip chart of counts by round: drag a bar to change its count, click it to choose the round.

use egui::{Align2, FontId, Key, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::bench::Bench;
use super::look::{self, colour};
use crate::document::edits;
use crate::document::history::EditKind;
use crate::view::elevation::yarn_colour;
use crate::view::ink::{Ink, line_on};
use crate::view::strip::Strip;

/// Height of the chart in logical pixels: least and most.
const HEIGHT: (f32, f32) = (76.0, 122.0);

/// The bar in hand and the chart as it was when the drag began, so that it does not rescale under the hand.
#[derive(Clone, Copy)]
struct Drag {
    round: usize,
    strip: Strip,
}

/// Shows the chart of the chosen part.
pub fn show(ui: &mut Ui, bench: &mut Bench) {
    let Some(part) = bench.chosen_part() else { return };
    let counts = bench.toy().pieces[part].part.counts();
    let height = (ui.available_height() * 0.28).clamp(HEIGHT.0, HEIGHT.1);
    let size = vec2(ui.available_width(), height);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let drag_id = response.id.with("bar");
    let mut drag: Option<Drag> = ui.data(|d| d.get_temp::<Option<Drag>>(drag_id)).flatten();
    // Room on the right for the numbers of the faint lines.
    let inner = egui::Rect::from_min_max(rect.min + vec2(5.0, 5.0), rect.max - vec2(24.0, 5.0));
    let strip = drag.map_or_else(|| Strip::of(&counts, inner.width(), inner.height()), |d| d.strip);
    let at = |ui: &Ui| {
        response.interact_pointer_pos().or_else(|| ui.input(|i| i.pointer.interact_pos())).map(|p| p - inner.min)
    };
    let pressed_at = ui.input(|i| i.pointer.press_origin()).map(|p| p - inner.min);

    if response.drag_started() {
        drag = pressed_at.and_then(|p| strip.round_at(p.x)).map(|round| Drag { round, strip });
        bench.seal();
        if let Some(drag) = drag {
            bench.choose_round(Some(drag.round));
        }
    }
    if let Some(drag) = drag.filter(|_| response.dragged())
        && let Some(at) = at(ui)
    {
        let count = drag.strip.count_at(at.y);
        bench.edit(EditKind::Count { part, round: drag.round }, |toy| {
            edits::set_count(&mut toy.pieces[part].part, drag.round, count)
        });
    }
    if response.drag_stopped() {
        drag = None;
        bench.seal();
    }
    ui.data_mut(|d| d.insert_temp(drag_id, drag));
    if response.clicked()
        && let Some(round) = at(ui).and_then(|p| strip.round_at(p.x))
    {
        bench.choose_round(Some(round));
        response.request_focus();
    }
    keys(ui, bench, &response);
    paint(ui, bench, part, &strip, rect, inner, &response);
    describe(bench, part, &response);
}

/// Arrows choose a round and change its count while the chart has the keyboard.
fn keys(ui: &Ui, bench: &mut Bench, response: &egui::Response) {
    let Some(part) = bench.chosen_part().filter(|_| response.has_focus()) else { return };
    let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |key| ui.input(|i| i.key_pressed(key) && i.modifiers.is_none());
    let round = bench.chosen_round();
    if pressed(Key::ArrowRight) {
        bench.choose_round(Some(round.map_or(0, |r| r + 1)));
    }
    if pressed(Key::ArrowLeft) {
        bench.choose_round(Some(round.map_or(0, |r| r.saturating_sub(1))));
    }
    let by = i64::from(pressed(Key::ArrowUp)) - i64::from(pressed(Key::ArrowDown));
    if let Some(round) = round.filter(|_| by != 0) {
        change_count(bench, part, round, by);
    }
}

/// Adds stitches to a round, or takes them away.
pub fn change_count(bench: &mut Bench, part: usize, round: usize, by: i64) {
    bench.edit(EditKind::Count { part, round }, |toy| {
        let part = &mut toy.pieces[part].part;
        let Some(count) = part.rounds.get(round).map(|r| i64::from(r.count())) else { return };
        edits::set_count(part, round, u32::try_from((count + by).max(1)).unwrap_or(1));
    });
}

fn paint(
    ui: &Ui,
    bench: &Bench,
    part: usize,
    strip: &Strip,
    rect: egui::Rect,
    inner: egui::Rect,
    response: &egui::Response,
) {
    if !ui.is_rect_visible(rect) {
        return;
    }
    let ground = look::ground(ui);
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect(rect, 6, ui.visuals().extreme_bg_color, ui.visuals().window_stroke, egui::StrokeKind::Inside);
    for line in strip.lines() {
        let y = inner.top() + strip.top(line);
        painter.hline(inner.left()..=rect.right() - 4.0, y, Stroke::new(1.0, colour(Ink::TRACK, ground)));
    }
    let rounds = &bench.toy().pieces[part].part.rounds;
    let hovered = response.hover_pos().and_then(|p| strip.round_at(p.x - inner.left()));
    for (i, round) in rounds.iter().enumerate() {
        let (left, right) = strip.across(i);
        let top = inner.top() + strip.top(round.count());
        let bar = egui::Rect::from_min_max(pos2(inner.left() + left, top), pos2(inner.left() + right, inner.bottom()));
        let yarn = yarn_colour(bench.toy(), part, round.colour().map(|c| &**c));
        let chosen = bench.chosen_round() == Some(i);
        painter.rect_filled(bar, 2, colour(if chosen { Ink::GLOW } else { Ink::yarn(yarn) }, ground));
        let edge = if chosen || hovered == Some(i) {
            Stroke::new(1.6, colour(Ink::OUTLINE, ground))
        } else {
            Stroke::new(0.8, colour(Ink::yarn(line_on(yarn)), ground))
        };
        if strip.step() > 4.0 || chosen {
            painter.rect_stroke(bar, 2, edge, egui::StrokeKind::Inside);
        }
    }
    for line in strip.lines() {
        let y = inner.top() + strip.top(line);
        painter.text(
            pos2(rect.right() - 4.0, y),
            Align2::RIGHT_BOTTOM,
            line,
            FontId::proportional(10.5),
            colour(Ink::NOTE, ground).gamma_multiply(0.8),
        );
    }
    let told = hovered.or(bench.chosen_round()).filter(|r| *r < rounds.len());
    let text = match told {
        Some(round) => format!("Round {}: {} stitches", round + 1, rounds[round].count()),
        None => "Drag a bar to change its stitches".to_owned(),
    };
    if !rounds.is_empty() {
        let galley = painter.layout_no_wrap(text, FontId::proportional(12.0), ui.visuals().strong_text_color());
        let at = inner.min + vec2(2.0, 0.0);
        let plate = egui::Rect::from_min_size(at, galley.size()).expand2(vec2(4.0, 1.0));
        painter.rect_filled(plate, 4, ui.visuals().window_fill.gamma_multiply(0.9));
        painter.galley(at, galley, ui.visuals().text_color());
    }
    if response.has_focus() {
        painter.rect_stroke(rect, 6, ui.visuals().selection.stroke, egui::StrokeKind::Inside);
    }
    if hovered.is_some() {
        ui.set_cursor_icon(egui::CursorIcon::ResizeVertical);
    }
}

fn describe(bench: &Bench, part: usize, response: &egui::Response) {
    let rounds = &bench.toy().pieces[part].part.rounds;
    let value = match bench.chosen_round().and_then(|r| Some((r, rounds.get(r)?))) {
        Some((r, round)) => format!("Round {} of {}: {} stitches", r + 1, rounds.len(), round.count()),
        None => format!("{} rounds", rounds.len()),
    };
    response.widget_info(move || {
        let mut info = WidgetInfo::labeled(Role::Image, true, "Counts by round");
        info.current_text_value = Some(value.clone());
        info
    });
}
