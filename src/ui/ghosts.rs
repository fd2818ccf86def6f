//! How the toy lands when dropped: small figures in a row, the likeliest way first. A click shows the toy lying so,
//! another stands it up again.

use egui::{Align2, FontId, Rect, Role, Sense, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use super::bench::Bench;
use super::kept::{Kept, Screen};
use super::look;
use super::paint::{self, Placing};
use crate::view::ghost::Ghost;
use crate::view::picture::Picture;

/// Height of the row, of its title and of a figure's words, logical pixels.
const ROW: f32 = 92.0;
const TITLE: f32 = 17.0;
const WORDS: f32 = 27.0;
/// Width of a figure: least and most.
const FIGURE: (f32, f32) = (88.0, 128.0);

/// Where the row lies in a view: along its lower edge.
pub fn row(view: Rect) -> Rect {
    Rect::from_min_max(pos2(view.left(), view.bottom() - ROW), view.max)
}

/// Shows the row in all the space there is.
pub fn show(ui: &mut Ui, bench: &mut Bench) {
    let rect = ui.available_rect_before_wrap();
    let weak = ui.visuals().weak_text_color();
    let line = [pos2(rect.left() + 8.0, rect.top()), pos2(rect.right() - 8.0, rect.top())];
    ui.painter().line_segment(line, ui.visuals().widgets.noninteractive.bg_stroke);
    let roomy = rect.width() > 300.0;
    let title = match (bench.ghosts().is_some(), bench.lying()) {
        (false, _) => "How it lands: one moment…",
        (true, Some(_)) if roomy => "Dropped, it lands like this; click again to stand it up",
        (true, Some(_)) => "Click again to stand it up",
        (true, None) if roomy => "Dropped, it lands like this; click to see it",
        (true, None) => "Lands like this; click it",
    };
    let at = rect.left_top() + vec2(9.0, 3.0);
    let title = ui.painter().layout(title.to_owned(), FontId::proportional(11.5), weak, rect.width() - 14.0);
    ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())).galley(at, title, weak);
    let Some(ghosts) = bench.ghosts() else { return };
    let room = rect.width() - 12.0;
    let fit = ((room / FIGURE.0).floor() as usize).max(1);
    let shown: Vec<Ghost> = ghosts.iter().take(fit).cloned().collect();
    if shown.is_empty() {
        return;
    }
    let each = (room / shown.len() as f32).clamp(FIGURE.0.min(room), FIGURE.1);
    let mut lay = None;
    for (i, ghost) in shown.iter().enumerate() {
        let from = pos2(rect.left() + 6.0 + i as f32 * each, rect.top() + TITLE + 3.0);
        let cell = Rect::from_min_max(from, pos2(from.x + each - 4.0, rect.bottom() - 2.0));
        let on = bench.lying() == Some(ghost.index);
        if figure(ui, cell, ghost, on) {
            lay = Some((!on).then_some(ghost.index));
        }
    }
    if let Some(index) = lay {
        bench.lay(index);
        ui.request_repaint();
    }
}

/// One figure; whether it was clicked.
fn figure(ui: &mut Ui, cell: Rect, ghost: &Ghost, on: bool) -> bool {
    let id = ui.scope_id().with(("way to land", ghost.index));
    let response = ui.interact(cell, id, Sense::click());
    let percent = format!("{:.0} %", 100.0 * ghost.share);
    let label = format!("Lands {} {percent}", ghost.way);
    response.widget_info(move || WidgetInfo::selected(Role::Button, true, on, label.clone()));
    let visuals = ui.style().interact_selectable(&response, on);
    if on || response.hovered() || response.has_focus() {
        ui.painter().rect(cell, 5, visuals.weak_bg_fill, visuals.bg_stroke, StrokeKind::Inside);
    }
    let figure = Rect::from_min_max(cell.min + vec2(4.0, 2.0), pos2(cell.right() - 4.0, cell.bottom() - WORDS));
    let placing = Placing::fit(ghost.picture.extent, figure);
    let painter = ui.painter().with_clip_rect(cell.intersect(ui.clip_rect()));
    let ground = look::ground(ui);
    let screen = Screen::of(ui.ctx(), ground, painter.clip_rect());
    painter.add(ui.data_mut(|kept| {
        let kept = kept.get_temp_mut_or_default::<Option<Kept<Picture>>>(id);
        Kept::shape(kept, &ghost.picture, |picture| picture, placing, screen)
    }));
    paint::texts(&painter, &ghost.picture, placing, ground);
    let colour = if on { visuals.text_color() } else { ui.visuals().text_color() };
    let middle = pos2(cell.center().x, cell.bottom() - WORDS + 1.0);
    painter.text(middle, Align2::CENTER_TOP, percent, FontId::proportional(12.0), colour);
    let way = pos2(cell.center().x, cell.bottom() - 1.0);
    let short = ghost.way.rsplit(", ").next().unwrap_or(ghost.way);
    painter.text(way, Align2::CENTER_BOTTOM, short, FontId::proportional(11.0), colour);
    let hint = if on { "Stand it up".to_owned() } else { format!("Look at it lying {}", ghost.way) };
    response.on_hover_cursor(egui::CursorIcon::PointingHand).on_hover_text(hint).clicked()
}
