//! The fuel gauge along the rounds: how much is left falls from left to right, with the parts under it. A click
//! chooses part and round.

use egui::{Align2, Color32, FontId, Key, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use crate::ui::bench::Bench;
use crate::ui::look::{self, colour};
use crate::view::ink::{Ink, brightness, line_on};
use crate::view::yarn_strip::YarnStrip;

/// Height of the gauge, and of the parts under it, logical pixels.
const GAUGE: f32 = 42.0;
const PARTS: f32 = 18.0;

/// Shows the strip of a yarn.
pub(super) fn show(ui: &mut Ui, bench: &mut Bench, strip: &YarnStrip) {
    let size = vec2(ui.available_width(), GAUGE + PARTS);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let share = |x: f32| f64::from((x - rect.left()) / rect.width().max(1.0));
    let mut go = None;
    if response.clicked() {
        response.request_focus();
        go = response.interact_pointer_pos().and_then(|p| strip.row_at(share(p.x)));
    }
    let now = now(ui, bench, strip, response.id);
    if response.has_focus() {
        let filter = egui::EventFilter { horizontal_arrows: true, ..Default::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
        let pressed = |key| ui.input(|i| i.key_pressed(key) && i.modifiers.is_none());
        let last = strip.rows.len().saturating_sub(1);
        if pressed(Key::ArrowRight) {
            go = Some(now.map_or(0, |row| (row + 1).min(last)));
        }
        if pressed(Key::ArrowLeft) {
            go = Some(now.map_or(0, |row| row.saturating_sub(1)));
        }
    }
    if let Some(row) = go {
        ui.data_mut(|d| d.insert_temp(response.id, row));
        bench.choose(strip.chosen_by(row));
        ui.request_repaint();
    }
    let now = self::now(ui, bench, strip, response.id);
    let rows: Vec<usize> = bench.chosen().map_or(Vec::new(), |c| strip.rows_of(c).collect());
    if ui.is_rect_visible(rect) {
        paint(ui, bench, strip, rect, &rows, response.has_focus());
    }
    let label = format!("{} along the rounds", if strip.yarn.is_empty() { "Yarn" } else { &strip.yarn });
    let value = now.map_or_else(|| words(strip), |row| strip.told(row));
    response.widget_info(move || {
        let mut info = WidgetInfo::labeled(Role::Image, true, label.clone());
        info.current_text_value = Some(value.clone());
        info
    });
    if let Some(row) = response.hover_pos().and_then(|p| strip.row_at(share(p.x))) {
        response.on_hover_text_at_pointer(strip.told(row));
    }
}

/// The chosen row. Copies of a part have the same rounds: the one that was stepped to last counts among them.
fn now(ui: &Ui, bench: &Bench, strip: &YarnStrip, id: egui::Id) -> Option<usize> {
    let chosen = bench.chosen()?;
    let kept: Option<usize> = ui.data(|d| d.get_temp(id));
    kept.filter(|row| strip.rows_of(chosen).any(|r| r == *row)).or_else(|| strip.rows_of(chosen).next())
}

fn words(strip: &YarnStrip) -> String {
    let parts: Vec<&str> = strip.legs.iter().map(|l| l.name.as_str()).collect();
    let out = strip.runs_out.map_or(String::new(), |row| format!(". It runs out: {}", strip.told(row)));
    format!("{} rounds in the order made: {}{out}", strip.rows.len(), parts.join(", "))
}

fn paint(ui: &Ui, bench: &Bench, strip: &YarnStrip, rect: Rect, chosen: &[usize], focused: bool) {
    let ground = look::ground(ui);
    let ink = |ink: Ink| colour(ink, ground);
    let painter = ui.painter().with_clip_rect(rect.expand(1.0).intersect(ui.clip_rect()));
    let gauge = Rect::from_min_size(rect.min, vec2(rect.width(), GAUGE));
    let parts = Rect::from_min_max(pos2(rect.left(), gauge.bottom()), rect.max);
    let x = |share: f64| rect.left() + rect.width() * share as f32;
    let [r, g, b] = bench.toy().yarn(&strip.yarn).map_or([160, 150, 140], |y| y.colour);
    let yarn = Color32::from_rgb(r, g, b);
    let edge = ink(Ink::yarn(line_on([r, g, b])));
    painter.rect_filled(gauge, 3, ui.visuals().extreme_bg_color);
    // Rounds narrower than half a pixel are drawn together.
    let step = (strip.rows.len() as f32 / (2.0 * rect.width().max(1.0))).ceil().max(1.0) as usize;
    let column = |row: usize| {
        let (left, _) = strip.across(row);
        let (_, right) = strip.across((row + step - 1).min(strip.rows.len() - 1));
        let top = gauge.bottom() - (GAUGE - 3.0) * strip.left(row) as f32;
        Rect::from_min_max(pos2(x(left), top), pos2(x(right), gauge.bottom()))
    };
    let mut line = Vec::new();
    for row in (0..strip.rows.len()).step_by(step) {
        let bar = column(row);
        painter.rect_filled(bar, 0, yarn);
        line.extend([bar.left_top(), bar.right_top()]);
    }
    // A line along the top, for yarns as pale as the ground.
    painter.add(egui::Shape::line(line, Stroke::new(1.2, edge)));
    for row in chosen {
        let bar = column(*row);
        let wide = Rect::from_center_size(bar.center(), vec2(bar.width().max(3.0), bar.height()));
        painter.rect_filled(Rect::from_x_y_ranges(wide.x_range(), gauge.y_range()), 0, ink(Ink::GLOW_FILL));
    }
    for (row, ball) in &strip.ball_ends {
        let at = x(strip.across(*row).1);
        let dashes = [pos2(at, gauge.top()), pos2(at, gauge.bottom())];
        painter.extend(egui::Shape::dashed_line(&dashes, Stroke::new(1.4, ink(Ink::OUTLINE)), 3.0, 2.5));
        if Some(*row) != strip.runs_out {
            tag(ui, &painter, pos2(at, gauge.top() + 1.0), &format!("ball {ball} ends"), ink(Ink::OUTLINE), rect);
        }
    }
    if let Some(row) = strip.runs_out {
        let at = x(strip.across(row).1);
        let none = Rect::from_min_max(pos2(at, gauge.top()), gauge.max);
        hatch(&painter, none, Stroke::new(1.0, ink(Ink::BAD).gamma_multiply(0.55)));
        painter.vline(at, gauge.y_range(), Stroke::new(2.0, ink(Ink::BAD)));
        tag(ui, &painter, pos2(at, gauge.top() + 1.0), "runs out", ink(Ink::BAD), rect);
    }
    painter.rect_stroke(gauge, 3, ui.visuals().window_stroke, StrokeKind::Inside);
    for leg in &strip.legs {
        let (left, right) = (strip.across(leg.first).0, strip.across(leg.first + leg.rows - 1).1);
        let cell = Rect::from_min_max(pos2(x(left), parts.top() + 1.0), pos2(x(right), parts.bottom()))
            .shrink2(vec2(0.5, 0.0));
        painter.rect_filled(cell, 3, ui.visuals().extreme_bg_color);
        if leg.made > 0 {
            let upto = strip.across(leg.first + leg.made - 1).1;
            painter.rect_filled(Rect::from_min_max(cell.min, pos2(x(upto).min(cell.right()), cell.bottom())), 3, yarn);
        }
        let is_chosen = bench.chosen_part() == Some(leg.piece);
        let stroke = if is_chosen { Stroke::new(2.0, ink(Ink::GLOW)) } else { ui.visuals().window_stroke };
        painter.rect_stroke(cell, 3, stroke, StrokeKind::Inside);
        // Words over the yarn are black or white; beside it as everywhere.
        let words = match () {
            () if leg.made * 2 < leg.rows => ui.visuals().text_color(),
            () if brightness([r, g, b]) > 0.5 => Color32::BLACK,
            () => Color32::WHITE,
        };
        let mut job = egui::text::LayoutJob::simple_singleline(leg.name.clone(), FontId::proportional(10.5), words);
        job.wrap = egui::text::TextWrapping::truncate_at_width((cell.width() - 5.0).max(0.0));
        if cell.width() > 22.0 {
            let galley = painter.layout_job(job);
            painter.galley(pos2(cell.left() + 3.0, cell.center().y - galley.size().y / 2.0), galley, words);
        }
    }
    if focused {
        painter.rect_stroke(rect, 4, ui.visuals().selection.stroke, StrokeKind::Inside);
    }
}

/// Small words on a plate beside a line, on the side that has room.
fn tag(ui: &Ui, painter: &egui::Painter, at: egui::Pos2, text: &str, ink: Color32, within: Rect) {
    let galley = painter.layout_no_wrap(text.to_owned(), FontId::proportional(10.5), ink);
    let fits = at.x + galley.size().x + 6.0 < within.right();
    let anchor = if fits { Align2::LEFT_TOP } else { Align2::RIGHT_TOP };
    let from = if fits { at + vec2(3.0, 0.0) } else { at - vec2(3.0, 0.0) };
    let plate = anchor.anchor_size(from, galley.size());
    painter.rect_filled(plate.expand2(vec2(2.0, 0.0)), 2, ui.visuals().window_fill.gamma_multiply(0.88));
    painter.galley(plate.min, galley, ink);
}

/// Slanting lines: here nothing is left.
fn hatch(painter: &egui::Painter, rect: Rect, stroke: Stroke) {
    let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    let mut from = rect.left() - rect.height();
    while from < rect.right() {
        painter.line_segment([pos2(from, rect.bottom()), pos2(from + rect.height(), rect.top())], stroke);
        from += 6.0;
    }
}
