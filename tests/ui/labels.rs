//! The window as those meet it who do not see it: every control has a name.

use egui::accesskit::Role;
use egui::vec2;
use egui_kittest::kittest::{By, NodeT, Queryable};
use toppleknot::ui::{Settings, Start};

use super::window::{Window, click, copy_of, window, window_of, with_sample};

/// Controls on screen that have no name.
fn unnamed(window: &Window) -> Vec<String> {
    let is_control = |role: Role| {
        matches!(
            role,
            Role::Button
                | Role::CheckBox
                | Role::ComboBox
                | Role::Slider
                | Role::SpinButton
                | Role::TextInput
                | Role::MultilineTextInput
                | Role::RadioButton
                | Role::Link
                | Role::Image
                | Role::ColorWell
                | Role::Switch
                | Role::MenuItem
        )
    };
    let nodes = window.root().query_all(By::new());
    nodes
        .filter(|node| {
            let node = node.accesskit_node();
            is_control(node.role()) && node.label().is_none_or(|l| l.trim().is_empty())
        })
        .map(|node| format!("{:?} at {:?}", node.accesskit_node().role(), node.rect()))
        .collect()
}

#[test]
fn every_control_of_every_panel_has_a_name() {
    for name in ["shop-window-hare", "puppet-booth-crier", "boot-room-imp", "tide-pool-seal"] {
        let (mut window, _) = with_sample(name);
        let parts = window.state().document().toy.pieces.len();
        for part in 0..parts {
            for tab in ["Rounds", "Text", "Stuffing", "Place", "Yarn", "Added"] {
                click(&mut window, tab);
                assert_eq!(unnamed(&window), Vec::<String>::new(), "{name}, part {part}, {tab}");
            }
            window.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::ArrowDown);
            window.run();
        }
    }
}

#[test]
fn every_control_of_dialogs_and_menus_has_a_name() {
    let (mut window, _) = window();
    assert_eq!(unnamed(&window), Vec::<String>::new(), "first page");
    for menu in ["Toy", "Edit", "View"] {
        click(&mut window, menu);
        assert_eq!(unnamed(&window), Vec::<String>::new(), "{menu}");
        window.key_press(egui::Key::Escape);
        window.run();
    }
    use egui::{Key, Modifiers};
    let shift = Modifiers::COMMAND | Modifiers::SHIFT;
    for (modifiers, key) in [(Modifiers::COMMAND, Key::K), (shift, Key::O), (shift, Key::V)] {
        window.key_press_modifiers(modifiers, key);
        window.run();
        assert_eq!(unnamed(&window), Vec::<String>::new(), "{key:?}");
        window.key_press(Key::Escape);
        window.run();
    }
}

#[test]
fn a_yarn_is_given_a_colour_by_its_word() {
    let (mut window, _) = with_sample("glass-float");
    click(&mut window, "Yarn");
    window.get_by_role_and_label(Role::Button, "Colour").click();
    window.run();
    assert_eq!(unnamed(&window), Vec::<String>::new(), "colours");
    click(&mut window, "mustard");
    let colour = window.state().document().toy.yarns[0].colour;
    assert_eq!(Some(colour), toppleknot::view::ink::colour_of_word("mustard"));
}

/// Words of the model that are no words of the trade.
const NOT_FOR_SCREEN: [&str; 6] = ["membrane", "node", "inertia", "tex ", "strain", "converged"];

#[test]
fn the_screen_speaks_as_makers_do() {
    let (mut window, _) = with_sample("puppet-booth-crier");
    for tab in ["Rounds", "Text", "Stuffing", "Place", "Yarn", "Added"] {
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
