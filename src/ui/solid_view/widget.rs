//! The widget: shows the picture, moves the camera, tells what was picked.

use egui::{Event, Key, Modifiers, PointerButton, Role, Sense, TextureId, Ui, Vec2, WidgetInfo};
use egui_wgpu::RenderState;
use glam::{DVec2, DVec3};

use crate::view::camera::{Camera, StandardView};
use crate::view::pick::{Pick, pick};
use crate::view::scene::{Scene, Selection, Theme};

use super::renderer::{PictureOptions, SolidRenderer};

/// Degrees turned by one press of an arrow key.
const KEY_TURN_DEG: f64 = 7.5;
/// Logical pixels moved by one press of an arrow key with Shift.
const KEY_PAN_PX: f64 = 24.0;
/// How much nearer one press of plus brings the camera.
const KEY_ZOOM: f64 = 1.15;
/// How much nearer one logical pixel of scrolling brings the camera, as an exponent.
const SCROLL_ZOOM: f64 = 0.0025;

/// What the widget answers.
#[derive(Debug)]
pub struct SolidViewAnswer {
    /// The response of the picture, or of the sentence shown in its place.
    pub response: egui::Response,
    /// What a click fell on: `Some(None)` is the empty space beside the toy.
    pub clicked: Option<Option<Pick>>,
    /// The picture was shown (else the canvas drawn in its place).
    pub shown: bool,
}

/// The solid view with its camera.
#[derive(Debug, Default)]
pub struct SolidView {
    /// The camera; set it to show a standard view.
    pub camera: Camera,
    /// Increases and decreases are not marked.
    pub hide_marks: bool,
    renderer: Option<SolidRenderer>,
    texture: Option<TextureId>,
    drawn: Option<Drawn>,
    fitted: bool,
}

/// What the picture in hand was drawn from.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Drawn {
    generation: u64,
    camera: Camera,
    size_px: [u32; 2],
    options: PictureOptions,
}

impl SolidView {
    /// A view that fits the first scene it is shown.
    pub fn new() -> SolidView {
        SolidView::default()
    }

    /// Fits the scene into the view when it is shown next.
    pub fn fit_next(&mut self) {
        self.fitted = false;
    }

    /// Turns to a standard view and fits the scene when shown next.
    pub fn turn_to(&mut self, view: StandardView) {
        self.camera = self.camera.standard(view);
        self.fitted = false;
    }

    /// What lies under a place of the window, `rect` being the picture's (that of
    /// [`SolidViewAnswer::response`]): for an address that follows the pointer.
    pub fn pick_at(&self, scene: &Scene, rect: egui::Rect, at: egui::Pos2) -> Option<Pick> {
        rect.contains(at).then(|| pick(scene, &self.camera.ray(vector(at - rect.min), vector(rect.size())))).flatten()
    }

    /// Where a point of the toy's frame (mm) appears in the window: for the words beside overlay lines. `None`
    /// behind the camera.
    pub fn place_of(&self, point: DVec3, rect: egui::Rect) -> Option<egui::Pos2> {
        let at = self.camera.project(point, vector(rect.size()))?;
        Some(rect.min + Vec2::new(at.x as f32, at.y as f32))
    }

    /// Shows the scene in all the space left. Without a graphics adapter (`render_state` is `None`) a sentence
    /// says so and `canvas` draws in its place.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        render_state: Option<&RenderState>,
        scene: &Scene,
        selection: Selection,
        canvas: impl FnOnce(&mut Ui),
    ) -> SolidViewAnswer {
        let Some(render_state) = render_state else {
            let response =
                ui.label("The solid view needs a graphics adapter, and this computer offers none. The flat view shows the toy instead.");
            canvas(ui);
            return SolidViewAnswer { response, clicked: None, shown: false };
        };
        let size = ui.available_size().max(Vec2::splat(32.0));
        let (rect, mut response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let size_px = vector(rect.size());
        if !self.fitted {
            self.camera = self.camera.fit(&scene.bounds, size_px.x / size_px.y);
            self.fitted = true;
        }
        let before = self.camera;
        self.handle_pointer(ui, &response, scene, size_px);
        self.handle_keys(ui, &response, scene, size_px);
        if self.camera != before {
            response.mark_changed();
        }
        let click = response.clicked().then(|| response.interact_pointer_pos()).flatten();
        let clicked = click.map(|at| self.pick_at(scene, rect, at));
        if response.clicked() || response.drag_started() {
            response.request_focus();
        }
        let theme = if ui.visuals().dark_mode { Theme::Dark } else { Theme::Light };
        let options =
            PictureOptions { theme, selection, marks: !self.hide_marks, pixels_per_point: ui.ctx().pixels_per_point() };
        if ui.is_rect_visible(rect) {
            self.draw(render_state, scene, rect.size() * options.pixels_per_point, options);
            if let Some(texture) = self.texture {
                let uv = egui::Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(1.0, 1.0));
                ui.painter().image(texture, rect, uv, egui::Color32::WHITE);
            }
            if response.has_focus() {
                let stroke = ui.visuals().selection.stroke;
                ui.painter().rect_stroke(rect.shrink(1.0), 2, stroke, egui::StrokeKind::Inside);
            }
        }
        let value = self.value_text(scene, selection);
        response.widget_info(move || {
            let mut info = WidgetInfo::labeled(Role::Image, true, "Solid view of the toy");
            info.current_text_value = Some(value.clone());
            info
        });
        SolidViewAnswer { response, clicked, shown: true }
    }

    /// The view in words, for those who do not see it.
    fn value_text(&self, scene: &Scene, selection: Selection) -> String {
        let side = match (self.camera.yaw_deg / 45.0).round() as i64 % 8 {
            0 => "front",
            1 => "front left",
            2 => "left side",
            3 => "back left",
            4 => "back",
            5 => "back right",
            6 => "right side",
            _ => "front right",
        };
        let height = match self.camera.pitch_deg {
            p if p > 75.0 => "from above, ",
            p if p > 25.0 => "from obliquely above, ",
            p if p < -25.0 => "from below, ",
            _ => "",
        };
        let parts = match scene.parts.len() {
            1 => "1 part".to_owned(),
            n => format!("{n} parts"),
        };
        let chosen = selection.round.map(|r| format!(", round {} chosen", r + 1)).unwrap_or_default();
        format!("{parts} seen {height}from the {side}{chosen}")
    }

    fn handle_pointer(&mut self, ui: &Ui, response: &egui::Response, scene: &Scene, size_px: DVec2) {
        let shift = ui.input(|i| i.modifiers.shift);
        let drag = vector(response.drag_delta());
        if response.dragged_by(PointerButton::Middle) || (shift && response.dragged_by(PointerButton::Primary)) {
            self.camera = self.camera.pan(drag, size_px.y);
        } else if response.dragged_by(PointerButton::Primary) {
            self.camera = self.camera.orbit(drag);
        }
        if response.hovered() {
            let (scroll, pinch) = ui.input(|i| (f64::from(i.smooth_scroll_delta().y), f64::from(i.zoom_delta())));
            if scroll != 0.0 || pinch != 1.0 {
                self.camera = self.camera.zoom((scroll * SCROLL_ZOOM).exp() * pinch);
            }
        }
        if response.double_clicked() {
            self.camera = self.camera.fit(&scene.bounds, size_px.x / size_px.y);
        }
    }

    fn handle_keys(&mut self, ui: &mut Ui, response: &egui::Response, scene: &Scene, size_px: DVec2) {
        if !response.has_focus() {
            return;
        }
        // The arrows turn the toy; without this they would move the focus away.
        let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
        let pressed: Vec<(Key, Modifiers)> = ui.input(|i| {
            i.events
                .iter()
                .filter_map(|e| match e {
                    Event::Key { key, pressed: true, modifiers, .. } => Some((*key, *modifiers)),
                    _ => None,
                })
                .collect()
        });
        for (key, modifiers) in pressed {
            if modifiers.command || modifiers.alt {
                continue;
            }
            let way = match key {
                Key::ArrowLeft => DVec2::NEG_X,
                Key::ArrowRight => DVec2::X,
                Key::ArrowUp => DVec2::NEG_Y,
                Key::ArrowDown => DVec2::Y,
                Key::Plus | Key::Equals => {
                    self.camera = self.camera.zoom(KEY_ZOOM);
                    continue;
                }
                Key::Minus => {
                    self.camera = self.camera.zoom(1.0 / KEY_ZOOM);
                    continue;
                }
                Key::Home => {
                    self.camera = self.camera.fit(&scene.bounds, size_px.x / size_px.y);
                    continue;
                }
                _ => continue,
            };
            self.camera = if modifiers.shift {
                self.camera.pan(way * KEY_PAN_PX, size_px.y)
            } else {
                self.camera.turn(way * KEY_TURN_DEG)
            };
        }
    }

    /// Draws anew if anything changed since the picture in hand.
    fn draw(&mut self, state: &RenderState, scene: &Scene, size: Vec2, options: PictureOptions) {
        let size_px = [size.x.round().max(1.0) as u32, size.y.round().max(1.0) as u32];
        let wanted = Drawn { generation: scene.generation, camera: self.camera, size_px, options };
        if self.drawn == Some(wanted) && self.texture.is_some() {
            return;
        }
        let same_size = self.drawn.is_some_and(|d| d.size_px == size_px);
        let renderer =
            self.renderer.get_or_insert_with(|| SolidRenderer::new(&state.device, wgpu::TextureFormat::Rgba8Unorm));
        let view = renderer.render(&state.device, &state.queue, scene, &self.camera, size_px, &options);
        let filter = wgpu::FilterMode::Linear;
        let mut textures = state.renderer.write();
        match self.texture {
            Some(id) if !same_size => textures.update_egui_texture_from_wgpu_texture(&state.device, view, filter, id),
            Some(_) => {}
            None => self.texture = Some(textures.register_native_texture(&state.device, view, filter)),
        }
        self.drawn = Some(wanted);
    }
}

fn vector(v: Vec2) -> DVec2 {
    DVec2::new(f64::from(v.x), f64::from(v.y))
}
