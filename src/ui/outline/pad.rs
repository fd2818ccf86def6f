//! The pad itself: half an outline beside its axis, its mirror image, and the stuffed outline over it.

use egui::{
    Align2, Color32, CursorIcon, FontId, Key, Mesh, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo,
    vec2,
};
use glam::DVec2;

use super::{Drawing, Tool};
use crate::ui::look::{self, colour};
use crate::ui::paint::Placing;
use crate::view::ink::{Ground, Ink};

/// What of the pad is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sight {
    px_per_mm: f64,
    centre_mm: DVec2,
    size: egui::Vec2,
}

/// What the hand holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Grip {
    /// A point, on this side of the axis (1 or −1), this far from the hand.
    Point { point: usize, side: f64, to_point: DVec2 },
    /// The picture under the outline.
    Picture,
}

/// How near the pointer has to be to a point or to the line, logical pixels.
const NEAR: f32 = 10.0;
/// An end this near to the axis comes onto it, logical pixels.
const SNAP: f32 = 7.0;
/// Room around the outline, logical pixels.
const MARGIN: f32 = 34.0;
/// What an arrow key moves a point by, and with Shift, mm.
const STEP_MM: (f64, f64) = (1.0, 0.2);

/// Shows the pad in all the space left.
pub(super) fn show(ui: &mut Ui, drawing: &mut Drawing) {
    let size = ui.available_size().max(vec2(60.0, 60.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let placing = settle(drawing, rect);
    pointer(ui, drawing, &response, placing);
    keys(ui, drawing, &response);
    if ui.is_rect_visible(rect) {
        paint(ui, drawing, rect, placing, &response);
    }
    let words = drawing.pad.words();
    response.widget_info(move || {
        let mut info = WidgetInfo::labeled(Role::Image, true, "Outline being drawn");
        info.current_text_value = Some(words.clone());
        info
    });
}

/// Where mm lie on screen: all of the outline in sight, the scale kept while it fits well enough.
fn settle(drawing: &mut Drawing, rect: Rect) -> Placing {
    let (low, high) = drawing.pad.heights_mm();
    let mut half = 0.5 * drawing.pad.widest_mm();
    let (mut bottom, mut top) = (low, high);
    if let Some(under) = &drawing.under {
        let (a, b) = under.corners();
        half = half.max(a.x.abs()).max(b.x.abs());
        (bottom, top) = (bottom.min(a.y), top.max(b.y));
    }
    let need = DVec2::new((2.0 * half).max(4.0), (top - bottom).max(4.0));
    let room = DVec2::new(f64::from(rect.width() - 2.0 * MARGIN), f64::from(rect.height() - 2.0 * MARGIN));
    let fitting = (room / need).min_element().clamp(1e-3, 60.0);
    let centre_mm = DVec2::new(0.0, 0.5 * (bottom + top));
    let sight = drawing.sight.filter(|s| {
        let out = need.x * s.px_per_mm > room.x + 40.0
            || (top - s.centre_mm.y).max(s.centre_mm.y - bottom) * 2.0 * s.px_per_mm > room.y + 40.0;
        drawing.grip.is_some() || (s.size == rect.size() && !out && s.px_per_mm > 0.6 * fitting)
    });
    let sight = sight.unwrap_or(Sight { px_per_mm: fitting, centre_mm, size: rect.size() });
    drawing.sight = Some(sight);
    Placing { px_per_mm: sight.px_per_mm, centre_mm: sight.centre_mm, rect }
}

/// The place on the drawn half that is nearest to the pointer's, and how far away, mm.
fn line_near(drawing: &Drawing, place: DVec2) -> f64 {
    let place = DVec2::new(place.x.abs(), place.y);
    drawing.pad.line().iter().map(|p| p.distance(place)).fold(f64::INFINITY, f64::min)
}

fn pointer(ui: &Ui, drawing: &mut Drawing, response: &egui::Response, placing: Placing) {
    let mm = |px: f32| f64::from(px) / placing.px_per_mm;
    let place = |at: Pos2| placing.to_mm(at);
    if response.clicked() || response.drag_started() || response.secondary_clicked() {
        response.request_focus();
    }
    if drawing.under.is_some() && drawing.tool != Tool::Points {
        return with_picture(ui, drawing, response, placing);
    }
    if response.drag_started_by(egui::PointerButton::Primary)
        && let Some(from) = ui.input(|i| i.pointer.press_origin()).map(place)
    {
        let found = drawing.pad.point_at(from, mm(NEAR));
        // A pull at the line itself takes a new point out of it.
        let point = found.or_else(|| (line_near(drawing, from) < mm(NEAR)).then(|| drawing.pad.add(from)).flatten());
        if let Some(point) = point {
            let side = if from.x < -mm(1.0) { -1.0 } else { 1.0 };
            let at = drawing.pad.knots()[point].at;
            drawing.pad.choose(Some(point));
            drawing.grip = Some(Grip::Point { point, side, to_point: DVec2::new(side * at.x, at.y) - from });
        }
    }
    if let Some(Grip::Point { point, side, to_point }) = drawing.grip {
        if response.drag_stopped() || !response.dragged() {
            drawing.grip = None;
            drawing.pad.let_go();
            ui.request_repaint();
        } else if response.drag_delta() != egui::Vec2::ZERO
            && let Some(hand) = response.interact_pointer_pos()
        {
            let to = place(hand) + to_point;
            drawing.pad.move_to(point, DVec2::new(side * to.x, to.y), mm(SNAP));
            drawing.shape = None;
        }
        ui.set_cursor_icon(CursorIcon::Grabbing);
    }
    let at = response.interact_pointer_pos().map(place);
    if let Some(at) = at.filter(|_| response.clicked()) {
        match drawing.pad.point_at(at, mm(NEAR)) {
            Some(point) => drawing.pad.choose(Some(point)),
            None => {
                drawing.pad.add(at);
                drawing.shape = None;
                ui.request_repaint();
            }
        }
    }
    if let Some(point) = at.filter(|_| response.secondary_clicked()).and_then(|at| drawing.pad.point_at(at, mm(NEAR))) {
        drawing.pad.remove(point);
        drawing.shape = None;
        ui.request_repaint();
    }
    if let Some(at) = response.hover_pos().filter(|_| drawing.grip.is_none()).map(place) {
        let over = drawing.pad.point_at(at, mm(NEAR));
        ui.set_cursor_icon(if over.is_some() { CursorIcon::Grab } else { CursorIcon::Crosshair });
    }
}

/// The picture is moved, or a length marked on it.
fn with_picture(ui: &Ui, drawing: &mut Drawing, response: &egui::Response, placing: Placing) {
    let Some(under) = &mut drawing.under else { return };
    match drawing.tool {
        Tool::MovePicture => {
            drawing.grip = response.dragged().then_some(Grip::Picture);
            let by = response.drag_delta();
            if drawing.grip.is_some() {
                under.move_by(DVec2::new(f64::from(by.x), f64::from(-by.y)) / placing.px_per_mm);
            }
            if response.hovered() {
                ui.set_cursor_icon(CursorIcon::Move);
            }
        }
        Tool::Measure => {
            if let Some(at) = response.interact_pointer_pos().filter(|_| response.clicked()) {
                under.mark(placing.to_mm(at));
                ui.request_repaint();
            }
            if response.hovered() {
                ui.set_cursor_icon(CursorIcon::Crosshair);
            }
        }
        Tool::Points => {}
    }
}

/// Points by the keyboard.
fn keys(ui: &Ui, drawing: &mut Drawing, response: &egui::Response) {
    if !response.has_focus() {
        return;
    }
    let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |key| ui.input(|i| i.key_pressed(key) && !i.modifiers.command && !i.modifiers.alt);
    let pad = &mut drawing.pad;
    if pressed(Key::PageDown) {
        pad.step(1);
    }
    if pressed(Key::PageUp) {
        pad.step(-1);
    }
    let step = if ui.input(|i| i.modifiers.shift) { STEP_MM.1 } else { STEP_MM.0 };
    let arrows = [
        (Key::ArrowLeft, DVec2::NEG_X),
        (Key::ArrowRight, DVec2::X),
        (Key::ArrowUp, DVec2::Y),
        (Key::ArrowDown, DVec2::NEG_Y),
    ];
    for (key, way) in arrows {
        if pressed(key) {
            if pad.chosen().is_none() {
                pad.step(1);
            } else {
                pad.nudge(way * step);
                drawing.shape = None;
            }
        }
    }
    let undo = egui::KeyboardShortcut::new(egui::Modifiers::COMMAND, Key::Z);
    let redo = egui::KeyboardShortcut::new(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, Key::Z);
    if ui.input_mut(|i| i.consume_shortcut(&redo)) {
        pad.redo();
    } else if ui.input_mut(|i| i.consume_shortcut(&undo)) {
        pad.undo();
    }
    let Some(point) = pad.chosen() else { return };
    if pressed(Key::Delete) || pressed(Key::Backspace) {
        pad.remove(point);
        drawing.shape = None;
    } else if pressed(Key::Insert) {
        let after = (point + 1).min(pad.knots().len() - 1);
        let middle = pad.knots()[after].at.midpoint(pad.knots()[after.saturating_sub(1)].at);
        pad.add(middle);
        drawing.shape = None;
    } else if pressed(Key::C) {
        pad.set_smooth(point, !pad.knots()[point].smooth);
    }
}

fn paint(ui: &Ui, drawing: &Drawing, rect: Rect, placing: Placing, response: &egui::Response) {
    let ground = look::ground(ui);
    let visuals = ui.visuals();
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect(rect, 8, visuals.extreme_bg_color, visuals.window_stroke, egui::StrokeKind::Inside);
    if let Some(under) = &drawing.under {
        under.paint(&painter, placing);
    } else {
        fill(&painter, drawing, placing, ground);
    }
    grid(&painter, rect, placing, ground);
    if let Some(under) = &drawing.under {
        under.paint_mark(&painter, placing, ground, visuals.window_fill);
    }
    let line = drawing.pad.line();
    let on = |p: &DVec2, side: f64| placing.to_screen(DVec2::new(side * p.x, p.y));
    let strong = Stroke::new(2.2, colour(Ink::OUTLINE, ground));
    let pale = Stroke::new(1.4, colour(Ink::OUTLINE, ground).gamma_multiply(0.55));
    painter.line(line.iter().map(|p| on(p, -1.0)).collect(), pale);
    painter.line(line.iter().map(|p| on(p, 1.0)).collect(), strong);
    if let Some(fit) = drawing.fitting.fit() {
        let stuffed = drawing.pad.from_outline(&fit.outline);
        let pen = Stroke::new(1.8, colour(Ink::GOOD, ground));
        for side in [1.0, -1.0] {
            let points: Vec<Pos2> = stuffed.iter().map(|p| on(p, side)).collect();
            painter.extend(Shape::dashed_line(&points, pen, 6.0, 3.5));
        }
    }
    knots(&painter, drawing, placing, ground, visuals.extreme_bg_color);
    legend(&painter, rect, drawing, ground, visuals.text_color(), visuals.extreme_bg_color);
    if response.has_focus() {
        painter.rect_stroke(rect.shrink(1.0), 8, visuals.selection.stroke, egui::StrokeKind::Inside);
    }
}

/// The inside, as bands from the line to its mirror image.
fn fill(painter: &Painter, drawing: &Drawing, placing: Placing, ground: Ground) {
    let ink = colour(Ink::TRACK, ground).gamma_multiply(0.75);
    let mut mesh = Mesh::default();
    for p in drawing.pad.line() {
        mesh.colored_vertex(placing.to_screen(p), ink);
        mesh.colored_vertex(placing.to_screen(DVec2::new(-p.x, p.y)), ink);
    }
    let n = mesh.vertices.len() as u32 / 2;
    for i in 1..n {
        mesh.add_triangle(2 * i - 2, 2 * i - 1, 2 * i);
        mesh.add_triangle(2 * i - 1, 2 * i, 2 * i + 1);
    }
    painter.add(mesh);
}

/// Lines every 10 mm (or more where that is too dense), numbers on the left, the axis.
fn grid(painter: &Painter, rect: Rect, placing: Placing, ground: Ground) {
    let step = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]
        .into_iter()
        .find(|s| s * placing.px_per_mm >= 26.0)
        .unwrap_or(2000.0);
    let pen = Stroke::new(1.0, colour(Ink::FAINT, ground).gamma_multiply(0.35));
    let words = colour(Ink::NOTE, ground);
    let (low, high) = (placing.to_mm(rect.left_bottom()), placing.to_mm(rect.right_top()));
    let from = |mm: f64| (mm / step).ceil() as i64;
    for i in from(low.x)..=from(high.x) - 1 {
        painter.vline(placing.to_screen(DVec2::new(i as f64 * step, 0.0)).x, rect.y_range(), pen);
    }
    for i in from(low.y)..=from(high.y) - 1 {
        let y = placing.to_screen(DVec2::new(0.0, i as f64 * step)).y;
        painter.hline(rect.x_range(), y, pen);
        let text = if i == 0 { "0 mm".to_owned() } else { format!("{:.0}", i as f64 * step) };
        painter.text(
            egui::pos2(rect.left() + 5.0, y - 1.0),
            Align2::LEFT_BOTTOM,
            text,
            FontId::proportional(11.0),
            words,
        );
    }
    let axis = placing.to_screen(DVec2::ZERO).x;
    let pen = Stroke::new(1.2, colour(Ink::FAINT, ground));
    let ends = [egui::pos2(axis, rect.top()), egui::pos2(axis, rect.bottom())];
    painter.extend(Shape::dashed_line(&ends, pen, 9.0, 4.0));
}

/// Points: discs where the line is smooth, squares at corners; first and last are named.
fn knots(painter: &Painter, drawing: &Drawing, placing: Placing, ground: Ground, paper: Color32) {
    let (ink, glow) = (colour(Ink::OUTLINE, ground), colour(Ink::GLOW, ground));
    let all = drawing.pad.knots();
    for (i, knot) in all.iter().enumerate() {
        let at = placing.to_screen(knot.at);
        let chosen = drawing.pad.chosen() == Some(i);
        let (r, fill) = if chosen { (6.5, glow) } else { (4.5, paper) };
        if knot.smooth {
            painter.circle(at, r, fill, Stroke::new(1.8, ink));
        } else {
            let square = Rect::from_center_size(at, egui::Vec2::splat(2.0 * r - 1.0));
            painter.rect(square, 0, fill, Stroke::new(1.8, ink), egui::StrokeKind::Middle);
        }
    }
    let up = all.first().zip(all.last()).is_none_or(|(a, b)| b.at.y >= a.at.y);
    for (knot, word, below) in [(all.first(), "first round", up), (all.last(), "last round", !up)] {
        let Some(knot) = knot else { continue };
        let word = if knot.at.x > 0.0 { format!("{word}, open") } else { word.to_owned() };
        let (by, align) = if below { (13.0, Align2::CENTER_TOP) } else { (-13.0, Align2::CENTER_BOTTOM) };
        let at = placing.to_screen(DVec2::new(0.0, knot.at.y)) + vec2(0.0, by);
        plate(painter, at, align, &word, ink, paper);
    }
}

/// Words on a little plate, so that lines do not run through them.
pub(super) fn plate(painter: &Painter, at: Pos2, align: Align2, text: &str, ink: Color32, paper: Color32) {
    let galley = painter.layout_no_wrap(text.to_owned(), FontId::proportional(12.5), ink);
    let rect = align.anchor_size(at, galley.size());
    painter.rect_filled(rect.expand2(vec2(4.0, 1.0)), 4, paper.gamma_multiply(0.88));
    painter.galley(rect.min, galley, ink);
}

/// What the lines are.
fn legend(painter: &Painter, rect: Rect, drawing: &Drawing, ground: Ground, words: Color32, paper: Color32) {
    let font = FontId::proportional(12.0);
    let mut x = rect.right() - 10.0;
    let y = rect.top() + 13.0;
    let stuffed = drawing.fitting.fit().is_some();
    let all = [("as drawn", Ink::OUTLINE, false), ("as it comes out, stuffed", Ink::GOOD, true)];
    for (word, ink, dashed) in all.into_iter().filter(|(_, _, dashed)| stuffed || !dashed).rev() {
        let galley = painter.layout_no_wrap(word.to_owned(), font.clone(), words);
        let at = egui::pos2(x - galley.size().x, y - 0.5 * galley.size().y);
        let back = Rect::from_min_max(at - vec2(28.0, 2.0), at + galley.size() + vec2(3.0, 2.0));
        painter.rect_filled(back, 4, paper.gamma_multiply(0.88));
        painter.galley(at, galley, words);
        let ends = [egui::pos2(at.x - 24.0, y), egui::pos2(at.x - 4.0, y)];
        let pen = Stroke::new(2.0, colour(ink, ground));
        if dashed {
            painter.extend(Shape::dashed_line(&ends, pen, 6.0, 3.5));
        } else {
            painter.line_segment(ends, pen);
        }
        x = back.left() - 8.0;
    }
}
