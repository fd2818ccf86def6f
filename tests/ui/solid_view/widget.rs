//! The widget in a window that is not there.

use std::cell::RefCell;
use std::rc::Rc;

use egui::{Key, Modifiers, PointerButton, Pos2, Theme, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use egui_kittest::wgpu::{WgpuTestRenderer, create_render_state, default_wgpu_setup};
use glam::DVec2;
use toppleknot::ui::solid_view::SolidView;
use toppleknot::view::camera::Camera;
use toppleknot::view::pick::{Pick, pick};
use toppleknot::view::scene::{Scene, SceneStore, Selection};

use super::{demo, with_renderer};

const NAME: &str = "Solid view of the toy";

struct State {
    view: SolidView,
    scene: Scene,
    selection: Selection,
    clicked: Option<Option<Pick>>,
}

/// Runs a test with a view in a harness that draws.
fn with_view(test: impl FnOnce(&mut Harness<'_, State>)) {
    with_renderer(|_| {
        let render_state = create_render_state(default_wgpu_setup(), egui_wgpu::RendererOptions::PREDICTABLE);
        let state = State {
            view: SolidView::new(),
            scene: SceneStore::new().build(demo::toy()),
            selection: Selection::default(),
            clicked: None,
        };
        let for_renderer = render_state.clone();
        let mut harness = Harness::builder()
            .with_size(Vec2::new(480.0, 360.0))
            .with_step_dt(1.0 / 60.0)
            .renderer(WgpuTestRenderer::from_render_state(for_renderer))
            .build_ui_state(
                move |ui, state: &mut State| {
                    let answer = state
                        .view
                        .show(ui, Some(&render_state), &state.scene, state.selection, |_| panic!("no canvas wanted"));
                    assert!(answer.shown);
                    if answer.clicked.is_some() {
                        state.clicked = answer.clicked;
                    }
                },
                state,
            );
        harness.run();
        test(&mut harness);
    });
}

fn drag(harness: &mut Harness<'_, State>, way: Vec2, button: PointerButton, modifiers: Modifiers) {
    let from = Pos2::new(240.0, 180.0);
    let press = |pos: Pos2, pressed: bool| egui::Event::PointerButton { pos, button, pressed, modifiers };
    harness.event(egui::Event::ModifiersChanged(modifiers));
    harness.event(egui::Event::PointerMoved(from));
    harness.event(press(from, true));
    harness.step();
    for step in 1..=4 {
        harness.event(egui::Event::PointerMoved(from + way * (step as f32 / 4.0)));
        harness.step();
    }
    harness.event(press(from + way, false));
    harness.step();
    harness.event(egui::Event::ModifiersChanged(Modifiers::NONE));
    harness.run();
}

#[test]
fn without_an_adapter_a_sentence_and_the_canvas_take_its_place() {
    let drawn = Rc::new(RefCell::new(0));
    let seen = Rc::clone(&drawn);
    let scene = SceneStore::new().build(demo::toy());
    let mut view = SolidView::new();
    let mut harness = Harness::new_ui(move |ui| {
        let answer = view.show(ui, None, &scene, Selection::default(), |ui| {
            *seen.borrow_mut() += 1;
            ui.label("canvas");
        });
        assert!(!answer.shown && answer.clicked.is_none());
    });
    harness.run();
    harness.get_by_label_contains("needs a graphics adapter");
    harness.get_by_label("canvas");
    assert!(*drawn.borrow() > 0);
}

#[test]
fn the_view_has_a_name_and_says_what_it_shows() {
    with_view(|harness| {
        let node = harness.get_by_label(NAME);
        let value = node.accesskit_node().value();
        assert_eq!(value.as_deref(), Some("9 parts seen from the front left"), "a camera a little to the toy's left");
        harness.state_mut().view.camera.yaw_deg = 180.0;
        harness.state_mut().selection = Selection { part_id: Some(demo::BODY), round: Some(13) };
        harness.run();
        let value = harness.get_by_label(NAME).accesskit_node().value();
        assert_eq!(value.as_deref(), Some("9 parts seen from the back, round 14 chosen"));
    });
}

#[test]
fn the_mouse_turns_shifts_and_zooms() {
    with_view(|harness| {
        let camera = |h: &Harness<'_, State>| h.state().view.camera;
        let start = camera(harness);
        drag(harness, Vec2::new(60.0, 20.0), PointerButton::Primary, Modifiers::NONE);
        let turned = camera(harness);
        assert_ne!(turned.yaw_deg, start.yaw_deg);
        assert!(turned.pitch_deg > start.pitch_deg);
        assert_eq!(turned.target, start.target);
        drag(harness, Vec2::new(60.0, 20.0), PointerButton::Primary, Modifiers::SHIFT);
        let shifted = camera(harness);
        assert_eq!((shifted.yaw_deg, shifted.pitch_deg), (turned.yaw_deg, turned.pitch_deg));
        assert_ne!(shifted.target, turned.target);
        drag(harness, Vec2::new(-40.0, 0.0), PointerButton::Middle, Modifiers::NONE);
        assert_ne!(camera(harness).target, shifted.target);
        harness.event(egui::Event::MouseWheel {
            unit: egui::MouseWheelUnit::Point,
            delta: Vec2::new(0.0, 80.0),
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Unknown,
            modifiers: Modifiers::NONE,
        });
        harness.run_steps(20);
        assert!(camera(harness).distance_mm < shifted.distance_mm);
    });
}

#[test]
fn a_double_click_fits_the_toy_again() {
    with_view(|harness| {
        let fitted = harness.state().view.camera;
        harness.state_mut().view.camera = Camera { distance_mm: 60.0, ..fitted };
        harness.run();
        let at = Pos2::new(240.0, 180.0);
        harness.hover_at(at);
        for _ in 0..2 {
            for pressed in [true, false] {
                harness.event(egui::Event::PointerButton {
                    pos: at,
                    button: PointerButton::Primary,
                    pressed,
                    modifiers: Modifiers::NONE,
                });
            }
        }
        harness.run();
        assert!((harness.state().view.camera.distance_mm - fitted.distance_mm).abs() < 1e-6);
    });
}

#[test]
fn the_keys_turn_shift_and_zoom_when_it_has_the_focus() {
    with_view(|harness| {
        let start = harness.state().view.camera;
        harness.key_press(Key::ArrowLeft);
        harness.run();
        assert_eq!(harness.state().view.camera, start, "without the focus the keys are not its own");
        harness.get_by_label(NAME).focus();
        harness.run();
        harness.key_press(Key::ArrowLeft);
        harness.run();
        let turned = harness.state().view.camera;
        assert_ne!(turned.yaw_deg, start.yaw_deg);
        harness.key_press(Key::ArrowDown);
        harness.run();
        assert!(harness.state().view.camera.pitch_deg > turned.pitch_deg);
        harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
        harness.run();
        assert_ne!(harness.state().view.camera.target, start.target);
        harness.key_press(Key::Plus);
        harness.run();
        assert!(harness.state().view.camera.distance_mm < start.distance_mm);
        harness.key_press(Key::Home);
        harness.run();
        assert!((harness.state().view.camera.target - start.target).length() < 1e-9);
    });
}

#[test]
fn a_click_picks_the_round_under_it() {
    with_view(|harness| {
        let rect = harness.get_by_label(NAME).rect();
        harness.get_by_label(NAME).click();
        harness.run();
        let picked = harness.state_mut().clicked.take().flatten().expect("the middle of the picture is the toy");
        let size = DVec2::new(f64::from(rect.width()), f64::from(rect.height()));
        let ray = harness.state().view.camera.ray(0.5 * size, size);
        assert_eq!(Some(picked), pick(&harness.state().scene, &ray));
        let corner = Pos2::new(20.0, 20.0);
        for pressed in [true, false] {
            harness.event(egui::Event::PointerMoved(corner));
            harness.event(egui::Event::PointerButton {
                pos: corner,
                button: PointerButton::Primary,
                pressed,
                modifiers: Modifiers::NONE,
            });
        }
        harness.run();
        assert_eq!(harness.state().clicked, Some(None), "beside the toy");
    });
}

#[test]
fn the_picture_is_painted_and_follows_theme_and_size() {
    with_view(|harness| {
        let mean = |h: &mut Harness<'_, State>| {
            let picture = h.render().expect("the harness draws");
            picture.pixels().map(|p| u64::from(p[0])).sum::<u64>() as f64
                / f64::from(picture.width() * picture.height())
        };
        harness.ctx.set_theme(Theme::Light);
        harness.run();
        let light = mean(harness);
        harness.ctx.set_theme(Theme::Dark);
        harness.run();
        let dark = mean(harness);
        assert!(light > 170.0 && dark < 90.0, "light {light}, dark {dark}");
        harness.set_size(Vec2::new(300.0, 500.0));
        harness.run();
        assert!(mean(harness) < 110.0);
    });
}
