//! Thousands of clicks, keys, drags and scrolls at random: the window must not panic, and undoing everything must
//! lead back to the toy that was opened.

use egui::{Event, Key, Modifiers, MouseWheelUnit, PointerButton, Pos2, TouchPhase, pos2, vec2};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use toppleknot::ui::{Settings, Start};

use super::window::{Window, copy_of, window_of};

const KEYS: [Key; 22] = [
    Key::ArrowUp,
    Key::ArrowDown,
    Key::ArrowLeft,
    Key::ArrowRight,
    Key::Enter,
    Key::Escape,
    Key::Tab,
    Key::Space,
    Key::Delete,
    Key::Backspace,
    Key::Home,
    Key::Z,
    Key::D,
    Key::U,
    Key::K,
    Key::N,
    Key::V,
    Key::Num0,
    Key::Num1,
    Key::Num4,
    Key::Plus,
    Key::Minus,
];

fn spot(rng: &mut ChaCha8Rng, size: egui::Vec2) -> Pos2 {
    pos2(rng.random_range(0.0..size.x), rng.random_range(0.0..size.y))
}

fn press(window: &mut Window, at: Pos2, pressed: bool) {
    window.event(Event::PointerButton { pos: at, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
}

fn one(window: &mut Window, rng: &mut ChaCha8Rng, size: egui::Vec2) {
    let at = spot(rng, size);
    match rng.random_range(0..10) {
        0..=4 => {
            window.hover_at(at);
            press(window, at, true);
            press(window, at, false);
        }
        5..=6 => {
            window.hover_at(at);
            press(window, at, true);
            window.step();
            for _ in 0..3 {
                window.hover_at(at + vec2(rng.random_range(-90.0..90.0), rng.random_range(-90.0..90.0)));
                window.step();
            }
            press(window, at, false);
        }
        7 => {
            let keys = KEYS[rng.random_range(0..KEYS.len())];
            let modifiers = Modifiers {
                command: rng.random_bool(0.4),
                shift: rng.random_bool(0.2),
                alt: rng.random_bool(0.15),
                ..Modifiers::NONE
            };
            window.key_press_modifiers(modifiers, keys);
        }
        8 => {
            window.hover_at(at);
            let delta = vec2(0.0, rng.random_range(-60.0..60.0));
            let modifiers = if rng.random_bool(0.3) { Modifiers::COMMAND } else { Modifiers::NONE };
            window.event(Event::MouseWheel {
                unit: MouseWheelUnit::Point,
                delta,
                phase: TouchPhase::Move,
                modifiers,
                source: egui::MouseWheelSource::Wheel,
            });
        }
        _ => {
            let texts = ["7", "Rnd 1: 6 sc", "(sc, inc) x 6", "é…", "-3", "1e99", "\n", "6 12 18"];
            window.event(Event::Text(texts[rng.random_range(0..texts.len())].to_owned()));
        }
    }
    window.step();
}

fn run(seed: u64, name: &str, events: usize) {
    println!("seed {seed}, {name}, {events} events");
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let size = vec2(1100.0, 760.0);
    let (mut window, _) = window_of(size, Settings::default());
    window.state_mut().start(Start { path: Some(copy_of(name)), text: None });
    window.step();
    for _ in 0..events {
        one(&mut window, &mut rng, size);
        for piece in &window.state().document().toy.pieces {
            assert!(piece.part.rounds.len() < 100_000);
        }
    }
    let now = window.state().document().clone();
    let (mut undone, state) = (0, window.state_mut());
    while state.undo() {
        undone += 1;
    }
    for _ in 0..undone {
        assert!(state.redo());
    }
    assert_eq!(*state.document(), now, "seed {seed}: undoing and redoing all {undone} steps");
}

#[test]
fn random_events_neither_panic_nor_lose_anything() {
    for (seed, name) in [(1, "shop-window-hare"), (2, "puppet-booth-crier"), (3, "boot-room-imp"), (4, "glass-float")] {
        run(seed, name, 500);
    }
}

/// The long run: `cargo test --test ui -- --ignored`.
#[test]
#[ignore = "takes minutes"]
fn twenty_thousand_random_events() {
    for seed in 100..110 {
        run(seed, ["sea-wall-bear", "reed-heron", "tide-pool-seal", "shop-window-hare"][seed as usize % 4], 2000);
    }
}
