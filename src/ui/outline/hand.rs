//! The outline of the chosen part pulled by hand at the chosen round, in a flat view.

use egui::{CursorIcon, Pos2, Rect, Stroke, Ui, Vec2, vec2};
use glam::DVec2;

use crate::advise::outline::{Rules, pull};
use crate::document::edits;
use crate::measure::shape_input;
use crate::part::Part;
use crate::toy::shape::ShapeInput;
use crate::ui::canvas::{Shown, plate};
use crate::ui::look::{self, colour};
use crate::ui::paint::Placing;
use crate::view::ink::Ink;
use crate::view::outline_handles::{Handle, handles};

/// How near the pointer has to be to a handle, logical pixels.
const NEAR: f32 = 11.0;
/// Half the length of the mark of the wanted outline, logical pixels.
const MARK: f64 = 34.0;

/// A handle in the hand, and the part as it was when it was taken: every move is reckoned from that.
#[derive(Clone, Debug)]
struct Grip {
    handle: Handle,
    /// From the hand to the handle, mm.
    to_handle: DVec2,
    before: Part,
    input: ShapeInput,
    wanted_mm: f64,
}

/// What the hand does.
#[derive(Clone, Debug, Default)]
pub struct Hand {
    grip: Option<Grip>,
}

impl Hand {
    /// Whether it holds a handle.
    pub fn holds(&self) -> bool {
        self.grip.is_some()
    }

    fn found(shown: &Shown) -> Vec<Handle> {
        let chosen = shown.chosen.zip(shown.round);
        chosen.map(|(part, round)| handles(shown.made, shown.side, part, round)).unwrap_or_default()
    }

    /// The handle under a place on screen.
    fn under(shown: &Shown, placing: Placing, at: Pos2) -> Option<Handle> {
        let away = |h: &Handle| placing.to_screen(h.at()).distance(at);
        // Inward it reaches less far on a thin part, so that the part itself can still be taken by its middle.
        let reach = |h: &Handle| {
            let inward = (placing.to_mm(at) - h.at()).dot(h.out) < 0.0;
            let half = (h.half_mm * placing.px_per_mm) as f32;
            if inward { NEAR.min(0.4 * half) } else { NEAR }
        };
        let found = Hand::found(shown).into_iter().filter(|h| away(h) <= reach(h));
        found.min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    /// Takes a handle and pulls it. Answers the part as the pull makes it, and whether the hand lets go.
    pub fn pull(
        &mut self,
        ui: &Ui,
        response: &egui::Response,
        shown: &Shown,
        placing: Placing,
    ) -> (Option<(usize, Part)>, bool) {
        if response.drag_started_by(egui::PointerButton::Primary)
            && let Some(at) = ui.input(|i| i.pointer.press_origin())
            && let Some(handle) = Hand::under(shown, placing, at)
        {
            let before = shown.toy.pieces[handle.part].part.clone();
            let input = shape_input(shown.toy, handle.part);
            let to_handle = handle.at() - placing.to_mm(at);
            self.grip = Some(Grip { handle, to_handle, before, input, wanted_mm: handle.half_mm });
        }
        let Some(grip) = &mut self.grip else { return (None, false) };
        let part = grip.handle.part;
        if part >= shown.toy.pieces.len() || response.drag_stopped() || !response.dragged() {
            self.grip = None;
            return (None, true);
        }
        ui.set_cursor_icon(cursor(grip.handle.out));
        if response.drag_delta() == Vec2::ZERO {
            return (None, false);
        }
        let Some(hand) = response.interact_pointer_pos() else { return (None, false) };
        grip.wanted_mm = grip.handle.pulled_to(placing.to_mm(hand) + grip.to_handle);
        let counts = pull(&grip.before, &grip.input, grip.handle.round, grip.wanted_mm, &Rules::default());
        let mut worked = grip.before.clone();
        edits::set_counts(&mut worked, &counts);
        (Some((part, worked)), false)
    }

    /// Paints the handles, and while one is pulled where the outline is wanted. Answers whether the pointer is over one.
    pub fn paint(&self, ui: &Ui, response: &egui::Response, shown: &Shown, placing: Placing, rect: Rect) -> bool {
        let found = Hand::found(shown);
        if found.is_empty() {
            return false;
        }
        let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
        let ground = look::ground(ui);
        let (ink, glow, paper) = (colour(Ink::OUTLINE, ground), colour(Ink::GLOW, ground), ui.visuals().window_fill);
        let under = response.hover_pos().and_then(|at| Hand::under(shown, placing, at));
        for handle in &found {
            let at = placing.to_screen(handle.at());
            let held = self.grip.as_ref().is_some_and(|g| g.handle.copy == handle.copy && g.handle.out == handle.out);
            let lit = held || under.as_ref() == Some(handle);
            let out = vec2(handle.out.x as f32, -handle.out.y as f32);
            let along = out.rot90();
            // A small bar across the way of the pull, a point to either side of it.
            for way in [1.0, -1.0] {
                let tip = at + out * (11.0 * way);
                let foot = at + out * (6.5 * way);
                let corners = vec![tip, foot + along * 4.0, foot - along * 4.0];
                painter.add(egui::Shape::convex_polygon(
                    corners,
                    if lit { glow } else { paper },
                    Stroke::new(1.2, ink),
                ));
            }
            painter.circle(at, 5.0, if lit { glow } else { paper }, Stroke::new(1.6, ink));
        }
        if let Some(grip) = &self.grip {
            let same = |h: &&Handle| h.copy == grip.handle.copy && h.out.dot(grip.handle.out) > 0.7;
            let now = found.iter().find(same).unwrap_or(&grip.handle);
            let mark = now.mark(grip.wanted_mm, MARK / placing.px_per_mm).map(|p| placing.to_screen(p));
            painter.line_segment(mark, Stroke::new(4.0, paper));
            painter.line_segment(mark, Stroke::new(1.6, colour(Ink::GOOD, ground)));
            let part = &shown.toy.pieces[now.part].part;
            let count = part.rounds.get(now.round).map_or(0, crate::rounds::Round::count);
            let words = format!(
                "Round {}: {count} stitches, {:.1} mm off",
                now.round + 1,
                (grip.wanted_mm - now.half_mm).abs()
            );
            plate(&painter, rect, ui, &words);
            return true;
        }
        let Some(handle) = under.filter(|_| !response.dragged()) else { return false };
        ui.set_cursor_icon(cursor(handle.out));
        response.clone().on_hover_text_at_pointer(format!(
            "Drag to make the toy wider or narrower at round {}; its counts follow.\nAlt+Up and Alt+Down change the one round.",
            handle.round + 1
        ));
        true
    }
}

/// The pointer that shows which way the pull goes.
fn cursor(out: DVec2) -> CursorIcon {
    let deg = out.y.atan2(out.x).to_degrees().rem_euclid(180.0);
    match deg {
        d if !(22.5..157.5).contains(&d) => CursorIcon::ResizeHorizontal,
        d if d < 67.5 => CursorIcon::ResizeNeSw,
        d if d < 112.5 => CursorIcon::ResizeVertical,
        _ => CursorIcon::ResizeNwSe,
    }
}
