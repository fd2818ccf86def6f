//! The solid view as a pane of the window.

use egui::{Pos2, Rect, Sense, Ui};
use egui_wgpu::RenderState;
use glam::{DVec2, DVec3};

use super::bench::Bench;
use super::canvas::plate;
use super::solid_view::SolidView;
use crate::document::history::EditKind;
use crate::toy::Seat;
use crate::view::elevation::Chosen;
use crate::view::place;
use crate::view::scene::{Scene, SceneStore, Selection};
use crate::view::toy_scene::scene_input;

/// What a scene was made from: the toy's number, with the plumb line, lying in this way, as far as made.
type MadeOf = (u64, bool, Option<usize>, bool);

/// A part in the hand.
#[derive(Clone, Copy, Debug)]
struct Grip {
    part: usize,
    copy: usize,
    /// From the hand to where the part is fixed, in logical pixels.
    to_seat: egui::Vec2,
}

/// The solid view with the scene it shows.
#[derive(Default)]
pub struct SolidPane {
    view: SolidView,
    store: Option<SceneStore>,
    scene: Option<(MadeOf, Scene)>,
    grip: Option<Grip>,
}

impl SolidPane {
    /// Fits the whole toy when shown next.
    pub fn fit(&mut self) {
        self.view.fit_next();
    }

    /// Shows the toy in all the space left; a click chooses part and round, the chosen part can be pulled.
    pub fn show(&mut self, ui: &mut Ui, bench: &mut Bench, plumb: bool, state: Option<&RenderState>) {
        let made_of = (bench.generation(), plumb, bench.lying(), bench.as_made().is_some());
        if self.scene.as_ref().is_none_or(|(of, _)| *of != made_of) {
            let first = self.scene.is_none();
            let footing = bench.shown_footing().filter(|_| plumb);
            let centre = bench.shown_centre_mm().filter(|_| plumb);
            let input = scene_input(bench.shown_toy(), bench.shown(), footing, centre);
            let store = self.store.get_or_insert_with(SceneStore::new);
            self.scene = Some((made_of, store.build(input)));
            if first {
                self.view.fit_next();
            }
        }
        let Some((_, scene)) = &self.scene else { return };
        let chosen = bench.chosen();
        let selection = Selection {
            part_id: chosen.and_then(|c| u32::try_from(c.part).ok()),
            round: chosen.and_then(|c| c.round).and_then(|r| u32::try_from(r).ok()),
        };
        let answer = self.view.show(ui, state, scene, selection, |_| {});
        if let Some(Some(pick)) = answer.clicked {
            bench.choose(Some(Chosen { part: pick.part_id as usize, round: Some(pick.round as usize) }));
            ui.request_repaint();
        }
        if answer.shown && bench.can_be_placed() {
            self.pull(ui, bench, answer.response.rect);
        }
    }

    /// While the pointer is over the chosen part, a drag moves the part in place of turning the toy: a widget that
    /// senses drags alone lies over the view there.
    fn pull(&mut self, ui: &mut Ui, bench: &mut Bench, rect: Rect) {
        let Some((_, scene)) = &self.scene else { return };
        let pointer = ui.input(|i| i.pointer.interact_pos());
        let over = pointer.filter(|p| rect.contains(*p) && !ui.input(|i| i.pointer.any_down())).and_then(|p| {
            let pick = self.view.pick_at(scene, rect, p)?;
            let part = pick.part_id as usize;
            let movable = bench.chosen_part() == Some(part) && place::can_be_pulled(bench.toy(), part);
            movable.then_some((part, pick.point, p))
        });
        let id = ui.scope_id().with("pulled");
        let ready: Option<(usize, DVec3, Pos2)> =
            over.or_else(|| ui.data(|d| d.get_temp::<Option<(usize, DVec3, Pos2)>>(id)).flatten());
        let keep = if ui.input(|i| i.pointer.any_down()) { ready } else { over };
        ui.data_mut(|d| d.insert_temp(id, keep));
        if keep.is_none() && self.grip.is_none() {
            return;
        }
        let response = ui.interact(rect, id, Sense::drag());
        if response.drag_started()
            && let Some((part, point, at)) = keep
            && let Some((copy, seat)) = nearest_copy(bench, part, point)
            && let Some(seat) = self.view.place_of(seat, rect)
        {
            self.grip = Some(Grip { part, copy, to_seat: seat - at });
        }
        let Some(grip) = self.grip else {
            ui.set_cursor_icon(egui::CursorIcon::Grab);
            return;
        };
        if !response.dragged() || grip.part >= bench.toy().pieces.len() {
            self.grip = None;
            bench.seal();
            return;
        }
        ui.set_cursor_icon(egui::CursorIcon::Grabbing);
        if response.drag_delta() != egui::Vec2::ZERO
            && let Some(hand) = pointer
        {
            let eye = self.view.camera.eye();
            let flat = |p: Pos2| DVec2::new(f64::from(p.x), f64::from(p.y));
            let view = place::View {
                place: &|p| self.view.place_of(p, rect).map(flat),
                faces: &|at, out| out.dot((eye - at).normalize_or_zero()),
                per_mm: 1.0 / self.view.camera.mm_per_px(f64::from(rect.height())),
            };
            let to = flat(hand + grip.to_seat);
            let seat = match bench.toy().pieces[grip.part].placement.seat {
                Seat::Floor { .. } => self
                    .on_floor(hand + grip.to_seat, rect)
                    .and_then(|at| place::pull_on_floor(bench.toy(), grip.part, grip.copy, at)),
                _ => place::pull_over(bench.toy(), bench.shown(), grip.part, grip.copy, to, &view),
            };
            if let Some(seat) = seat {
                let kind = EditKind::Setting { part: Some(grip.part), name: "place of a part" };
                bench.edit(kind, |toy| toy.pieces[grip.part].placement.seat = seat);
                ui.request_repaint();
            }
        }
        let told = place::told(bench.toy(), &bench.toy().pieces[grip.part].placement.seat);
        plate(ui.painter(), rect, ui, &told);
    }

    /// The place on the floor under a place of the window, x and y of the toy's frame; none above the horizon.
    fn on_floor(&self, at: Pos2, rect: Rect) -> Option<DVec2> {
        let flat = |v: egui::Vec2| DVec2::new(f64::from(v.x), f64::from(v.y));
        let ray = self.view.camera.ray(flat(at - rect.min), flat(rect.size()));
        let away = -ray.origin.z / ray.direction.z;
        let point = ray.origin + ray.direction * away;
        (away > 0.0 && point.is_finite()).then(|| point.truncate())
    }
}

/// The copy of a part whose seat is nearest to a point of it, and that seat.
fn nearest_copy(bench: &Bench, part: usize, point: DVec3) -> Option<(usize, DVec3)> {
    let copies = bench.shown().poses.get(part)?.toy_from_part.len();
    let seats = (0..copies).filter_map(|copy| Some((copy, place::seat_at(bench.toy(), bench.shown(), part, copy)?)));
    seats.min_by(|a, b| a.1.distance(point).total_cmp(&b.1.distance(point)))
}
