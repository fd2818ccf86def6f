//! The solid view in the whole window: a click on the toy chooses, and the chosen part is pulled over the one it sits
//! on.

use egui::{Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::Queryable;
use toppleknot::document;
use toppleknot::toy::Seat;
use toppleknot::ui::{Settings, Start};

use super::super::window::{Window, copy_of, drawn_window};
use super::with_renderer;

const NAME: &str = "Solid view of the toy";

fn button(window: &mut Window, pos: Pos2, pressed: bool) {
    let modifiers = Modifiers::NONE;
    window.hover_at(pos);
    window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers });
    window.step();
    window.step();
}

#[test]
fn a_part_is_chosen_and_pulled_by_the_hand() {
    with_renderer(|_| {
        let mut window = drawn_window(vec2(1100.0, 760.0), Settings::default());
        window.state_mut().start(Start { path: Some(copy_of("puppet-booth-crier")), text: None });
        window.run();
        let pieces = &window.state().document().toy.pieces;
        let on_surface = |part: usize| matches!(pieces[part].placement.seat, Seat::OnSurface { .. });
        let movable: Vec<usize> = (0..pieces.len()).filter(|p| on_surface(*p)).collect();
        let before = document::to_text(window.state().document());
        let view = window.get_by_label(NAME).rect();
        // Somewhere in the view a part that sits on another is seen: a click there chooses it.
        let mut spots = (4..20).flat_map(|j| (4..20).map(move |i| (i, j)));
        let found = spots.find_map(|(i, j)| {
            let at = view.min + vec2(view.width() * i as f32 / 24.0, view.height() * j as f32 / 24.0);
            button(&mut window, at, true);
            button(&mut window, at, false);
            match window.state().chosen() {
                Some((part, Some(_))) if movable.contains(&part) => Some((at, part)),
                _ => None,
            }
        });
        let (from, part) = found.expect("a part on another is seen");
        assert_eq!(document::to_text(window.state().document()), before, "choosing changes nothing");
        // So that it is no double click.
        window.run_steps(60);
        button(&mut window, from, true);
        for step in 1..8 {
            window.hover_at(from + vec2(0.0, -5.0 * step as f32));
            window.step();
        }
        button(&mut window, from + vec2(0.0, -35.0), false);
        window.run();
        let seat = |document: &document::Document| document.toy.pieces[part].placement.seat.clone();
        let was = document::parse(&before, "before").expect("it was written");
        let now = window.state().document();
        assert_ne!(seat(now), seat(&was), "{part}");
        let mut other = was.clone();
        other.toy.pieces[part].placement.seat = seat(now);
        assert_eq!(*now, other, "nothing but its seat changes");
        let pulled = document::to_text(now);
        window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        window.run();
        assert_eq!(document::to_text(window.state().document()), before, "one pull is one step");
        window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
        window.run();
        assert_eq!(document::to_text(window.state().document()), pulled);
    });
}
