//! The solid view as a pane of the window.

use egui::Ui;
use egui_wgpu::RenderState;

use super::bench::Bench;
use super::solid_view::SolidView;
use crate::view::elevation::Chosen;
use crate::view::scene::{Scene, SceneStore, Selection};
use crate::view::toy_scene::scene_input;

/// What a scene was made from: the toy's number, with the plumb line, lying in this way.
type MadeOf = (u64, bool, Option<usize>);

/// The solid view with the scene it shows.
#[derive(Default)]
pub struct SolidPane {
    view: SolidView,
    store: Option<SceneStore>,
    scene: Option<(MadeOf, Scene)>,
}

impl SolidPane {
    /// Fits the whole toy when shown next.
    pub fn fit(&mut self) {
        self.view.fit_next();
    }

    /// Shows the toy in all the space left; a click chooses part and round.
    pub fn show(&mut self, ui: &mut Ui, bench: &mut Bench, plumb: bool, state: Option<&RenderState>) {
        let key = (bench.generation(), plumb, bench.lying());
        if self.scene.as_ref().is_none_or(|(made_of, _)| *made_of != key) {
            let first = self.scene.is_none();
            let footing = bench.shown_footing().filter(|_| plumb);
            let centre = bench.shown_centre_mm().filter(|_| plumb);
            let input = scene_input(bench.toy(), bench.shown(), footing, centre);
            let store = self.store.get_or_insert_with(SceneStore::new);
            self.scene = Some((key, store.build(input)));
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
    }
}
