//! The rounds of the outline in hand: for which part, counts, how near they come, what cannot be.

use egui::{ComboBox, Label, RichText, Role, Sense, TextEdit, Ui, WidgetInfo, pos2, vec2};

use super::super::text::Text;
use super::Drawing;
use crate::advise::outline::Fit;
use crate::ui::look::{self, Mood, colour};
use crate::view::elevation::yarn_colour;
use crate::view::ink::{Ink, line_on};
use crate::view::strip::Strip;

/// Height of the strip of counts.
const STRIP: f32 = 74.0;

/// Shows them.
pub(super) fn show(ui: &mut Ui, drawing: &mut Drawing) {
    target(ui, drawing);
    ui.add_space(4.0);
    if let Some(why) = drawing.fitting.wrong() {
        told(ui, Mood::Bad, why);
        return;
    }
    let Some(fit) = drawing.fitting.fit() else {
        ui.label(RichText::new("The rounds are being worked out.").weak());
        return;
    };
    let counts = fit.counts();
    let stitches: u64 = counts.iter().map(|c| u64::from(*c)).sum();
    let strong = ui.visuals().strong_text_color();
    let words = format!("{} rounds, {stitches} stitches", counts.len());
    ui.label(RichText::new(&words).family(look::strong_family()).color(strong));
    strip(ui, drawing, &counts);
    let list: Vec<String> = counts.iter().map(u32::to_string).collect();
    ui.add(Label::new(RichText::new(list.join(" ")).small()).wrap());
    near(ui, fit);
    for remark in &fit.remarks {
        told(ui, if fit.within { Mood::Plain } else { Mood::Care }, &remark.message);
    }
}

/// How near the stuffed outline comes.
fn near(ui: &mut Ui, fit: &Fit) {
    let half = 0.5 * fit.shape.fabric.w_mm.value();
    let words = format!(
        "Stuffed, it is {:.1} mm off on average and {:.1} mm at most, {} than half a stitch ({half:.1} mm).",
        fit.error.rms_mm,
        fit.error.max_mm,
        if fit.within { "less" } else { "more" }
    );
    told(ui, if fit.within { Mood::Good } else { Mood::Care }, &words);
}

/// A sentence with its mark.
pub(super) fn told(ui: &mut Ui, mood: Mood, words: &str) {
    ui.horizontal_top(|ui| {
        ui.add_space(1.0);
        look::mood_label(ui, 15.0, mood);
        ui.add(Label::new(words).wrap());
    });
}

/// For which part it is, and its name.
fn target(ui: &mut Ui, drawing: &mut Drawing) {
    ui.horizontal(|ui| {
        ui.label("For");
        let named = |i: usize| drawing.toy.pieces.get(i).map(|p| p.part.name.clone());
        let now = drawing.into.and_then(named).unwrap_or_else(|| "a new part".to_owned());
        let mut into = drawing.into;
        let combo = ComboBox::from_id_salt("for").selected_text(now).width(112.0).truncate().show_ui(ui, |ui| {
            ui.selectable_value(&mut into, None, "a new part");
            for (i, piece) in drawing.toy.pieces.iter().enumerate() {
                ui.selectable_value(&mut into, Some(i), &piece.part.name);
            }
        });
        combo.response.accessible_name("The part it is for").on_hover_text("Its yarn and stuffing are reckoned with");
        drawing.into = into;
        if drawing.into.is_none() {
            let mut field = Text(&mut drawing.name);
            let edit = TextEdit::singleline(&mut field).char_limit(80).desired_width(f32::INFINITY);
            ui.add(edit.hint_text("Name")).accessible_name("Name of the new part");
        }
    });
}

/// A bar for every round.
fn strip(ui: &mut Ui, drawing: &Drawing, counts: &[u32]) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width() - 2.0, STRIP), Sense::hover());
    let ground = look::ground(ui);
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect(rect, 6, ui.visuals().extreme_bg_color, ui.visuals().window_stroke, egui::StrokeKind::Inside);
    let inner = rect.shrink(5.0);
    let chart = Strip::of(counts, inner.width(), inner.height());
    let part = drawing.into.filter(|i| *i < drawing.toy.pieces.len());
    let yarn = match part {
        Some(part) => yarn_colour(&drawing.toy, part, None),
        None => drawing.toy.yarns.first().map_or_else(|| crate::yarn::Yarn::default().colour, |y| y.colour),
    };
    for (i, count) in counts.iter().enumerate() {
        let (left, right) = chart.across(i);
        let top = inner.top() + chart.top(*count);
        let bar = egui::Rect::from_min_max(pos2(inner.left() + left, top), pos2(inner.left() + right, inner.bottom()));
        painter.rect_filled(bar, 2, colour(Ink::yarn(yarn), ground));
        if chart.step() > 4.0 {
            let edge = egui::Stroke::new(0.8, colour(Ink::yarn(line_on(yarn)), ground));
            painter.rect_stroke(bar, 2, edge, egui::StrokeKind::Inside);
        }
    }
    let most = counts.iter().max().copied().unwrap_or(0);
    let words = format!("{} rounds, up to {most} stitches", counts.len());
    if let Some(round) = response.hover_pos().and_then(|p| chart.round_at(p.x - inner.left())) {
        response.clone().on_hover_text_at_pointer(format!("Round {}: {} stitches", round + 1, counts[round]));
    }
    response.widget_info(move || {
        let mut info = WidgetInfo::labeled(Role::Image, true, "Rounds of the outline");
        info.current_text_value = Some(words.clone());
        info
    });
}
