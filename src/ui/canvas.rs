//! A flat view of the toy: pan, zoom, fit; a click chooses part and round, the chosen part can be pulled to another
//! seat.

use std::sync::Arc;

use egui::{Align2, FontId, Key, Rect, Role, Sense, Ui, Vec2, WidgetInfo, vec2};
use glam::DVec2;

use super::kept::{Kept, Screen};
use super::look;
use super::outline::Hand;
use super::paint::{Placing, texts};
use crate::measure::Made;
use crate::part::Part;
use crate::toy::{Seat, Toy};
use crate::view::elevation::{Chosen, Elevation, Side};
use crate::view::place;

/// What of the picture is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sight {
    px_per_mm: f64,
    centre_mm: DVec2,
}

/// A part in the hand.
#[derive(Clone, Copy, Debug)]
struct Grip {
    part: usize,
    copy: usize,
    /// From the hand to where the part is fixed, mm.
    to_seat: DVec2,
}

/// What a flat view shows.
#[derive(Clone, Copy)]
pub struct Shown<'a> {
    /// What it is called.
    pub name: &'a str,
    /// From where the toy is seen.
    pub side: Side,
    /// The toy.
    pub toy: &'a Toy,
    /// The toy as made.
    pub made: &'a Made,
    /// The picture.
    pub drawn: &'a Arc<Elevation>,
    /// The scale that fits all flat views, so that they show the toy equally large.
    pub scale: f64,
    /// The chosen part: it can be pulled.
    pub chosen: Option<usize>,
    /// Its chosen round: the outline can be pulled there.
    pub round: Option<usize>,
}

/// What was done in a flat view.
#[derive(Clone, Debug, Default)]
pub struct CanvasAnswer {
    /// What a click fell on; `Some(None)` is the empty space.
    pub clicked: Option<Option<Chosen>>,
    /// A part was pulled to this seat.
    pub pulled: Option<(usize, Seat)>,
    /// The outline of a part was pulled: the part as that makes it.
    pub worked: Option<(usize, Part)>,
    /// The hand let go of it.
    pub let_go: bool,
}

/// A view's own state.
#[derive(Clone, Debug, Default)]
pub struct Canvas {
    kept: Option<Kept<Elevation>>,
    grip: Option<Grip>,
    hand: Hand,
    sight: Option<Sight>,
    /// The maker has moved it: it is not fitted by itself any more.
    moved: bool,
}

/// Room kept around a fitted picture, in logical pixels.
const MARGIN: f32 = 14.0;
/// The words of a view are cut off by this much sooner than its triangles. What is cut off alike the toolkit puts in one
/// piece, and would copy the toy's many triangles once more and again as words and handles come to them.
const APART: f32 = 1.0 / 64.0;
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

    /// Shows the picture in all the space left.
    pub fn show(&mut self, ui: &mut Ui, shown: &Shown) -> CanvasAnswer {
        let size = ui.available_size().max(Vec2::splat(40.0));
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let ground = look::ground(ui);
        let (name, drawn) = (shown.name, shown.drawn);
        let extent = drawn.picture.extent;
        if !extent.is_empty() && self.grip.is_none() && !self.hand.holds() {
            self.settle(rect, extent.centre(), extent.size(), shown.scale);
        }
        let Some(mut sight) = self.sight else {
            let colour = ui.visuals().weak_text_color();
            ui.painter().text(
                rect.center(),
                Align2::CENTER_CENTER,
                "Nothing is placed yet",
                FontId::proportional(14.0),
                colour,
            );
            let label = name.to_owned();
            response.widget_info(move || WidgetInfo::labeled(Role::Image, true, label.clone()));
            return CanvasAnswer::default();
        };
        let placing = Placing { px_per_mm: sight.px_per_mm, centre_mm: sight.centre_mm, rect };
        let (worked, let_go) = self.hand.pull(ui, &response, shown, placing);
        let mut answer =
            if self.hand.holds() { CanvasAnswer::default() } else { self.pull(ui, &response, shown, placing) };
        answer.worked = worked;
        answer.let_go |= let_go;
        self.handle(ui, &response, rect, &mut sight);
        self.sight = Some(sight);
        let placing = Placing { px_per_mm: sight.px_per_mm, centre_mm: sight.centre_mm, rect };
        let clip = rect.intersect(ui.clip_rect());
        let screen = Screen::of(ui.ctx(), ground, clip);
        ui.painter().with_clip_rect(clip).add(Kept::shape(&mut self.kept, drawn, |d| &d.picture, placing, screen));
        let painter = ui.painter().with_clip_rect(clip.shrink(APART));
        texts(&painter, &drawn.picture, placing, ground);
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
        let on_handle = self.hand.paint(ui, &response, shown, placing, rect);
        if let Some(grip) = self.grip {
            let seat = answer.pulled.as_ref().map_or(&shown.toy.pieces[grip.part].placement.seat, |(_, seat)| seat);
            plate(&painter, rect, ui, &place::told(shown.toy, seat));
        } else if let Some(at) = response.hover_pos().filter(|_| !response.dragged() && !on_handle) {
            hover(ui, &response, shown, drawn.at(placing.to_mm(at)));
        }
        let clicked = response.clicked().then(|| response.interact_pointer_pos()).flatten();
        answer.clicked = clicked.map(|at| drawn.at(placing.to_mm(at)));
        answer
    }

    /// Takes the chosen part into the hand and moves it.
    fn pull(&mut self, ui: &Ui, response: &egui::Response, shown: &Shown, placing: Placing) -> CanvasAnswer {
        let mut answer = CanvasAnswer::default();
        if response.drag_started()
            && let Some(from) = ui.input(|i| i.pointer.press_origin()).map(|p| placing.to_mm(p))
            && let Some(band) = shown.drawn.band_at(from).filter(|b| Some(b.part) == shown.chosen)
            && place::can_be_pulled(shown.toy, band.part)
            && let Some(seat) = place::seat_at(shown.toy, shown.made, band.part, band.copy)
        {
            self.grip = Some(Grip { part: band.part, copy: band.copy, to_seat: shown.side.flat(seat) - from });
        }
        let Some(grip) = self.grip else { return answer };
        if grip.part >= shown.toy.pieces.len() || response.drag_stopped() || !response.dragged() {
            self.grip = None;
            answer.let_go = true;
            return answer;
        }
        ui.set_cursor_icon(egui::CursorIcon::Grabbing);
        if response.drag_delta() != Vec2::ZERO
            && let Some(hand) = response.interact_pointer_pos()
        {
            let to = placing.to_mm(hand) + grip.to_seat;
            let seat = place::pull(shown.toy, shown.made, shown.side, grip.part, grip.copy, to);
            answer.pulled = seat.map(|seat| (grip.part, seat));
        }
        answer
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
        if response.dragged() && self.grip.is_none() && !self.hand.holds() {
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

/// Tells what is under the pointer.
fn hover(ui: &Ui, response: &egui::Response, shown: &Shown, found: Option<Chosen>) {
    let Some(found) = found else { return };
    let piece = &shown.toy.pieces[found.part];
    let movable = shown.chosen == Some(found.part) && place::can_be_pulled(shown.toy, found.part);
    ui.set_cursor_icon(if movable { egui::CursorIcon::Grab } else { egui::CursorIcon::PointingHand });
    let mut text = match found.round.and_then(|r| Some((r, piece.part.rounds.get(r)?))) {
        Some((r, round)) => format!("{}, round {}: {} stitches", piece.part.name, r + 1, round.count()),
        None => piece.part.name.clone(),
    };
    if movable {
        text.push_str("\nDrag to move it");
    }
    response.clone().on_hover_text_at_pointer(text);
}

/// A line of words on a plate at the top of a view.
pub fn plate(painter: &egui::Painter, rect: Rect, ui: &Ui, text: &str) {
    let galley = painter.layout(
        text.to_owned(),
        FontId::proportional(14.0),
        ui.visuals().strong_text_color(),
        rect.width() - 24.0,
    );
    let at = rect.left_top() + vec2(10.0, 8.0);
    let back = Rect::from_min_size(at, galley.size()).expand2(vec2(6.0, 3.0));
    painter.rect(back, 5, ui.visuals().window_fill, ui.visuals().window_stroke, egui::StrokeKind::Outside);
    painter.galley(at, galley, ui.visuals().strong_text_color());
}
