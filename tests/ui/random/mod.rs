//! Thousands of clicks, keys, drags and scrolls at random: the window must not panic, and undoing everything must
//! lead back to the toy that was opened.

use egui::{Event, Key, Modifiers, MouseWheelUnit, PointerButton, Pos2, TouchPhase, pos2, vec2};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use toppleknot::document;
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

/// All that happens in one frame.
fn frame(window: &mut Window, events: impl IntoIterator<Item = Event>) {
    window.input_mut().events.extend(events);
    window.step();
}

fn button(pos: Pos2, pressed: bool) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE }
}

fn one(window: &mut Window, rng: &mut ChaCha8Rng, size: egui::Vec2) {
    let at = spot(rng, size);
    match rng.random_range(0..10) {
        0..=4 => {
            frame(window, [Event::PointerMoved(at), button(at, true)]);
            frame(window, [button(at, false)]);
        }
        5..=6 => {
            frame(window, [Event::PointerMoved(at), button(at, true)]);
            let mut to = at;
            for _ in 0..3 {
                to = at + vec2(rng.random_range(-90.0..90.0), rng.random_range(-90.0..90.0));
                frame(window, [Event::PointerMoved(to)]);
            }
            frame(window, [button(to, false)]);
        }
        7 => {
            let key = KEYS[rng.random_range(0..KEYS.len())];
            let modifiers = Modifiers {
                command: rng.random_bool(0.4),
                shift: rng.random_bool(0.2),
                alt: rng.random_bool(0.15),
                ..Modifiers::NONE
            };
            let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
            let held = Event::ModifiersChanged(modifiers);
            frame(window, [held, event(true), event(false), Event::ModifiersChanged(Modifiers::NONE)]);
        }
        8 => {
            let delta = vec2(0.0, rng.random_range(-60.0..60.0));
            let modifiers = if rng.random_bool(0.3) { Modifiers::COMMAND } else { Modifiers::NONE };
            let source = egui::MouseWheelSource::Wheel;
            let wheel =
                Event::MouseWheel { unit: MouseWheelUnit::Point, delta, phase: TouchPhase::Move, modifiers, source };
            frame(window, [Event::PointerMoved(at), wheel]);
        }
        _ => {
            let texts = ["7", "Rnd 1: 6 sc", "(sc, inc) x 6", "é…", "-3", "1e99", "\n", "6 12 18"];
            frame(window, [Event::Text(texts[rng.random_range(0..texts.len())].to_owned())]);
        }
    }
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
    let state = window.state_mut();
    let now = document::to_text(state.document());
    // What is in hand can be kept: its file reads back as the same toy.
    let back = document::parse(&now, "kept").unwrap_or_else(|e| panic!("seed {seed}: {e}"));
    assert_eq!(document::to_text(&back), now, "seed {seed}: written and read");
    let mut undone = 0;
    while state.undo() {
        undone += 1;
    }
    let first = document::to_text(state.document());
    for _ in 0..undone {
        assert!(state.redo());
    }
    assert_eq!(document::to_text(state.document()), now, "seed {seed}: undoing and redoing all {undone} steps");
    while state.undo() {}
    assert_eq!(document::to_text(state.document()), first, "seed {seed}: undoing all a second time");
}

#[test]
fn random_events_neither_panic_nor_lose_anything() {
    for (seed, name) in [(1, "shop-window-hare"), (2, "puppet-booth-crier"), (3, "boot-room-imp")] {
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
