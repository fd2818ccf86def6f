//! A flat view of the toy: pan, zoom, fit; a click chooses part and round.

use egui::{Key, Rect, Role, Sense, Ui, Vec2, WidgetInfo, vec2};
use glam::DVec2;

use super::look;
use super::paint::{Placing, paint};
use crate::toy::Toy;
use crate::view::elevation::{Chosen, Elevation};

/// What of the picture is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sight {
    px_per_mm: f64,
    centre_mm: DVec2,
}

/// A view's own state.
#[derive(Clone, Copy, Debug, Default)]
pub struct Canvas {
    sight: Option<Sight>,
    /// The maker has moved it: it is not fitted by itself any more.
    moved: bool,
}

/// Room kept around a fitted picture, in logical pixels.
const MARGIN: f32 = 14.0;
/// A fitted picture that has shrunk to this share of its view is fitted anew.
const TOO_SMALL: f64 = 0.6;

impl Canvas {
    /// Fits the whole toy when shown next.
    pub fn fit(&mut self) {
        *self = Canvas::default();
    }

    /// The scale at which the picture fits a view of this size.
    pub fn fitting(picture: &Elevation, size: Vec2) -> f64 {
        Placing::scale(picture.picture.extent, size - Vec2::splat(2.0 * MARGIN))
    }

    /// Shows the picture in all the space left. `scale` is what fits all flat views, so that they show the toy
    /// equally large. Answers what a click fell on; `Some(None)` is the empty space.
    pub fn show(&mut self, ui: &mut Ui, name: &str, toy: &Toy, drawn: &Elevation, scale: f64) -> Option<Option<Chosen>> {
        let size = ui.available_size().max(Vec2::splat(40.0));
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let ground = look::ground(ui);
        let extent = drawn.picture.extent;
        if !extent.is_empty() {
            self.settle(rect, extent.centre(), extent.size(), scale);
        }
        let Some(mut sight) = self.sight else {
            ui.painter().text(rect.center(), egui::Align2::CENTER_CENTER, "Nothing is placed yet", egui::FontId::proportional(14.0), ui.visuals().weak_text_color());
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
            return None;
        };
        self.handle(ui, &response, rect, &mut sight);
        self.sight = Some(sight);
        let placing = Placing { px_per_mm: sight.px_per_mm, centre_mm: sight.centre_mm, rect };
        let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
        paint(&painter, &drawn.picture, placing, ground);
        if response.has_focus() {
            ui.painter().rect_stroke(rect.shrink(1.0), 4, ui.visuals().selection.stroke, egui::StrokeKind::Inside);
        }
        let words = drawn.picture.words.clone();
        let label = format!("{name} of the toy");
        response.widget_info(move || {
            let mut info = WidgetInfo::labeled(Role::Image, true, label.clone());
            info.current_text_value = Some(words.clone());
            info
        });
        let under = |at: egui::Pos2| drawn.at(placing.to_mm(at));
        if let Some(found) = response.hover_pos().filter(|_| !response.dragged()).and_then(under) {
            ui.set_cursor_icon(egui::CursorIcon::PointingHand);
            let piece = &toy.pieces[found.part];
            let round = found.round.and_then(|r| Some((r, piece.part.rounds.get(r)?)));
            let text = match round {
                Some((r, round)) => format!("{}, round {}: {} stitches", piece.part.name, r + 1, round.count()),
                None => piece.part.name.clone(),
            };
            response.clone().on_hover_text_at_pointer(text);
        }
        let clicked = response.clicked().then(|| response.interact_pointer_pos()).flatten();
        clicked.map(under)
    }

    /// Fits what was never fitted, and follows a toy that has outgrown its view or shrunk in it.
    fn settle(&mut self, rect: Rect, centre_mm: DVec2, size_mm: DVec2, scale: f64) {
        let fitted = Sight { px_per_mm: scale, centre_mm };
        match self.sight {
            None => self.sight = Some(fitted),
            Some(sight) if !self.moved => {
                let room = DVec2::new(f64::from(rect.width()), f64::from(rect.height()));
                let need = size_mm * sight.px_per_mm;
                let outgrown = need.x > room.x || need.y > room.y;
                if outgrown || sight.px_per_mm < TOO_SMALL * scale {
                    self.sight = Some(fitted);
                } else {
                    // The scale stays, so that a change of size is seen; the middle follows.
                    self.sight = Some(Sight { centre_mm, ..sight });
                }
            }
            Some(_) => {}
        }
    }

    fn handle(&mut self, ui: &Ui, response: &egui::Response, rect: Rect, sight: &mut Sight) {
        let before = *sight;
        let pan = |sight: &mut Sight, by: Vec2| {
            sight.centre_mm -= DVec2::new(f64::from(by.x), f64::from(-by.y)) / sight.px_per_mm;
        };
        let zoom = |sight: &mut Sight, factor: f64, at: egui::Pos2| {
            let placing = Placing { px_per_mm: sight.px_per_mm, centre_mm: sight.centre_mm, rect };
            let held = placing.to_mm(at);
            sight.px_per_mm = (sight.px_per_mm * factor).clamp(0.02, 200.0);
            // The point under the hand stays there.
            sight.centre_mm = held + (sight.centre_mm - held) * (before.px_per_mm / sight.px_per_mm);
        };
        if response.dragged() {
            pan(sight, response.drag_delta());
        }
        if response.contains_pointer()
            && let Some(at) = response.hover_pos()
        {
            let (scroll, pinch) = ui.input(|i| (f64::from(i.smooth_scroll_delta().y), f64::from(i.zoom_delta())));
            let factor = (scroll * 0.0025).exp() * pinch;
            if factor != 1.0 {
                zoom(sight, factor, at);
            }
        }
        if response.has_focus() {
            let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
            ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
            let pressed = |key| ui.input(|i| i.key_pressed(key) && i.modifiers.is_none());
            for (key, by) in [
                (Key::ArrowLeft, vec2(24.0, 0.0)),
                (Key::ArrowRight, vec2(-24.0, 0.0)),
                (Key::ArrowUp, vec2(0.0, 24.0)),
                (Key::ArrowDown, vec2(0.0, -24.0)),
            ] {
                if pressed(key) {
                    pan(sight, by);
                }
            }
            if pressed(Key::Plus) || pressed(Key::Equals) {
                zoom(sight, 1.15, rect.center());
            }
            if pressed(Key::Minus) {
                zoom(sight, 1.0 / 1.15, rect.center());
            }
        }
        if response.clicked() || response.drag_started() {
            response.request_focus();
        }
        self.moved |= *sight != before;
        let home = response.has_focus() && ui.input(|i| i.key_pressed(Key::Home));
        if response.double_clicked() || home {
            self.fit();
            ui.request_repaint();
        }
    }
}
