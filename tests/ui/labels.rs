//! What the window says, and how it bears small and large sizes.

use egui::accesskit::Role;
use egui::vec2;
use egui_kittest::kittest::Queryable;
use toppleknot::ui::{App, Settings, Start};

use super::screens::wrong;
use super::window::{click, copy_of, window_of, with_sample};

#[test]
fn a_yarn_is_given_a_colour_by_its_word() {
    let (mut window, _) = with_sample("glass-float");
    click(&mut window, "Yarn");
    window.get_by_role_and_label(Role::Button, "Colour").click();
    window.run();
    assert_eq!(wrong(&window), Vec::<String>::new(), "colours");
    click(&mut window, "mustard");
    let colour = window.state().document().toy.yarns[0].colour;
    assert_eq!(Some(colour), toppleknot::view::ink::colour_of_word("mustard"));
}

/// Words of the model that are no words of the trade.
const NOT_FOR_SCREEN: [&str; 6] = ["membrane", "node", "inertia", "tex ", "strain", "converged"];

#[test]
fn the_screen_speaks_as_makers_do() {
    let (mut window, _) = with_sample("puppet-booth-crier");
    for tab in App::panels() {
        click(&mut window, tab);
        for text in super::window::words(&window) {
            let text = text.to_lowercase();
            assert!(NOT_FOR_SCREEN.iter().all(|word| !text.contains(word)), "{text}");
        }
    }
}

#[test]
fn nothing_is_painted_anew_while_nothing_changes() {
    for name in ["shop-window-hare", "sea-wall-bear"] {
        let (mut window, _) = with_sample(name);
        // `run` ends only once no repaint is asked for; after that one more frame asks for none.
        window.step();
        let wait = window.output().viewport_output.values().map(|v| v.repaint_delay).min();
        assert!(wait.is_some_and(|w| w > std::time::Duration::from_secs(3600)), "{name}: {wait:?}");
    }
}

#[test]
fn a_small_window_holds_every_view_and_the_longest_names() {
    for size in [vec2(760.0, 480.0), vec2(1024.0, 700.0), vec2(2200.0, 1300.0)] {
        let (mut window, _) = window_of(size, Settings::default());
        window.state_mut().start(Start { path: Some(copy_of("shop-window-hare")), text: None });
        window.run();
        window.get_by_label("Name of the part").focus();
        window.run();
        window.get_by_label("Name of the part").type_text(&"a name beyond all measure ".repeat(3));
        window.key_press(egui::Key::Enter);
        window.run();
        for view in ["Front view of the toy", "Side view of the toy"] {
            let rect = window.get_by_label(view).rect();
            assert!(rect.width() > 60.0 && rect.height() > 60.0, "{size}: {view} {rect}");
            assert!(rect.right() <= size.x && rect.bottom() <= size.y, "{size}: {view} {rect}");
        }
    }
}
