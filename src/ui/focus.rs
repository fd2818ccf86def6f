//! The keyboard's place: what has it is brought into sight.

use egui::{Id, Ui};

/// Called within an area that scrolls, before its content: scrolls to what has the keyboard since the last frame.
pub fn follow(ui: &mut Ui) {
    let focused = ui.memory(|m| m.focused());
    let key = ui.scope_id().with("focus that was followed");
    let before: Option<Id> = ui.data(|d| d.get_temp(key));
    if focused == before {
        return;
    }
    let Some(id) = focused else {
        ui.data_mut(|d| d.remove::<Id>(key));
        return;
    };
    ui.data_mut(|d| d.insert_temp(key, id));
    let Some(found) = ui.ctx().read_response(id).filter(|r| r.layer_id == ui.layer_id()) else { return };
    let (rect, sight) = (found.rect, ui.clip_rect());
    // Beside or above the area it is another's.
    let inside = sight.x_range().contains(rect.center().x) && ui.max_rect().top() <= rect.bottom();
    if inside && (rect.top() < sight.top() || rect.bottom() > sight.bottom()) {
        ui.scroll_to_rect(rect.expand(4.0), None);
        ui.ctx().request_repaint();
    }
}

/// Shows that the edge between two panels has the keyboard; of itself the toolkit does not.
pub fn show_edge(ui: &Ui) {
    let focused = ui.memory(|m| m.focused()).and_then(|id| ui.ctx().read_response(id));
    if let Some(edge) = focused.map(|r| r.rect).filter(|r| r.width() < 14.0 && r.height() > 20.0 * r.width()) {
        ui.painter().vline(
            edge.center().x,
            edge.y_range(),
            egui::Stroke::new(3.0, ui.visuals().selection.stroke.color),
        );
    }
}

/// Whether this is the first sight of what `of` stands for: then its first field takes the keyboard.
pub fn is_new<T: PartialEq + Clone + Send + Sync + 'static>(ui: &Ui, of: T) -> bool {
    let key = Id::unique("seen until now");
    let now = ui.ctx().cumulative_pass_nr();
    let seen: Option<(T, u64, u64)> = ui.data(|d| d.get_temp(key));
    let first = match &seen {
        Some((what, first, last)) if *what == of && now <= last + 1 => *first,
        _ => now,
    };
    ui.data_mut(|d| d.insert_temp(key, (of, first, now)));
    // The first pass only measures.
    now <= first + 1
}
