//! Every screen as those meet it who do not see it: each control has a name and a role, each picture is told in
//! words, and Tab leads everywhere.

use std::collections::BTreeSet;

use egui::accesskit::{Action, Role};
use egui::{Key, Modifiers};
use egui_kittest::kittest::{By, NodeT, Queryable};
use toppleknot::ui::{App, Dialog};

use super::window::{Window, click, folder, window, with_sample};

/// Everything that can be clicked, typed in or reached by the keyboard, and pictures.
struct Met {
    role: Role,
    name: String,
    value: String,
    /// It can have the keyboard.
    is_stop: bool,
    can_be_clicked: bool,
    is_enabled: bool,
    is_focused: bool,
    rect: egui::Rect,
}

impl std::fmt::Display for Met {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:?} \"{}\" at {}", self.role, self.name, self.rect)
    }
}

fn met(window: &Window) -> Vec<Met> {
    let nodes = window.root().query_all(By::new());
    let met = nodes.map(|node| {
        let tree = node.accesskit_node();
        let can = |action| tree.data().supports_action(action);
        Met {
            role: tree.role(),
            name: tree.label().unwrap_or_default().trim().to_owned(),
            value: tree.value().unwrap_or_default().trim().to_owned(),
            is_stop: can(Action::Focus),
            can_be_clicked: can(Action::Click),
            is_enabled: !tree.is_disabled(),
            is_focused: tree.is_focused(),
            rect: tree.data().bounds().map_or(egui::Rect::NOTHING, |b| {
                egui::Rect::from_min_max(egui::pos2(b.x0 as f32, b.y0 as f32), egui::pos2(b.x1 as f32, b.y1 as f32))
            }),
        }
    });
    met.collect()
}

/// Roles that a control may have.
const CONTROLS: [Role; 14] = [
    Role::Button,
    Role::CheckBox,
    Role::ComboBox,
    Role::Slider,
    Role::SpinButton,
    Role::TextInput,
    Role::MultilineTextInput,
    Role::RadioButton,
    Role::Link,
    Role::Image,
    Role::ColorWell,
    Role::Switch,
    Role::MenuItem,
    Role::Splitter,
];

/// What is wrong with the screen.
pub fn wrong(window: &Window) -> Vec<String> {
    let mut wrong = Vec::new();
    for met in met(window) {
        let is_control = CONTROLS.contains(&met.role);
        if (met.is_stop || is_control) && met.name.is_empty() {
            wrong.push(format!("no name: {met}"));
        }
        if met.is_stop && !is_control {
            wrong.push(format!("no control's role: {met}"));
        }
        if met.role == Role::Image && met.is_stop && met.value.is_empty() {
            wrong.push(format!("not told in words: {met}"));
        }
    }
    wrong
}

fn check(window: &Window, screen: &str) {
    assert_eq!(wrong(window), Vec::<String>::new(), "{screen}");
}

/// Presses Tab: in one frame the keyboard goes on, in the next it is seen where it went.
fn tab(window: &mut Window) {
    let (key, modifiers) = (Key::Tab, Modifiers::NONE);
    let event = |pressed| egui::Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
    window.input_mut().events.extend([event(true), event(false)]);
    window.step();
    window.step();
}

/// Goes round by Tab. Everything that can be clicked is come by, and each stop looks other than without the keyboard.
fn check_tab(window: &mut Window, screen: &str) {
    let place = |m: &Met| format!("{:?} {}", m.role, m.name);
    let shot = |window: &Window| window.output().shapes.iter().map(|s| s.shape.clone()).collect::<Vec<_>>();
    let mut reached = BTreeSet::new();
    let mut last = shot(window);
    let mut first = None;
    for _ in 0..400 {
        tab(window);
        let Some(stop) = met(window).into_iter().find(|m| m.is_focused && m.role != Role::Window) else { continue };
        let now = shot(window);
        assert!(now != last, "{screen}: nothing shows that {stop} has the keyboard");
        last = now;
        let stop_place = (place(&stop), stop.rect.center().x as i32);
        if first.as_ref() == Some(&stop_place) {
            break;
        }
        first.get_or_insert(stop_place);
        reached.insert(place(&stop));
    }
    let missed: Vec<String> = met(window)
        .iter()
        .filter(|m| m.can_be_clicked && m.is_enabled && CONTROLS.contains(&m.role) && !reached.contains(&place(m)))
        .map(Met::to_string)
        .collect();
    assert_eq!(missed, Vec::<String>::new(), "{screen}: not reached among {reached:?}");
}

/// Buttons that open menus: those in the line of the first.
fn menus(window: &Window) -> Vec<String> {
    let line = window.get_by_label("Toy").rect();
    let all =
        met(window).into_iter().filter(|m| m.role == Role::Button && (m.rect.center().y - line.center().y).abs() < 3.0);
    all.map(|m| m.name).filter(|name| !name.ends_with('…')).take(3).collect()
}

#[test]
fn the_first_page_is_told_and_walked() {
    let (mut window, _) = window();
    check(&window, "first page");
    check_tab(&mut window, "first page");
}

#[test]
fn every_panel_of_every_part_is_told() {
    for name in ["shop-window-hare", "boot-room-imp"] {
        let (mut window, _) = with_sample(name);
        for part in 0..window.state().document().toy.pieces.len() {
            for tab in App::panels() {
                click(&mut window, tab);
                check(&window, &format!("{name}, part {part}, {tab}"));
            }
            window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowDown);
            window.run();
        }
    }
}

#[test]
fn every_panel_is_walked_with_tab() {
    for tab in App::panels() {
        let (mut window, _) = with_sample("glass-float");
        window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowRight);
        click(&mut window, tab);
        check_tab(&mut window, tab);
    }
}

#[test]
fn every_view_is_told() {
    let (mut window, _) = with_sample("puppet-booth-crier");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num3);
    window.run();
    let views: Vec<Met> = met(&window).into_iter().filter(|m| m.name.ends_with("view of the toy")).collect();
    assert_eq!(views.len(), 3, "front, side and top");
    for view in views {
        assert!(view.value.len() > 20, "{view}: {}", view.value);
    }
    check(&window, "three views");
}

#[test]
fn every_dialog_is_told_and_walked() {
    for dialog in Dialog::each() {
        let (mut window, _) = with_sample("glass-float");
        window.state_mut().ask(dialog.clone());
        window.run();
        check(&window, &format!("{dialog:?}"));
        let mut reached = BTreeSet::new();
        let all = |window: &Window| {
            // What lies under the dialog cannot have the keyboard; a stop of the dialog lies in its middle.
            let dialog = egui::Rect::from_center_size(window.ctx.content_rect().center(), egui::vec2(460.0, 460.0));
            met(window).into_iter().filter(move |m| m.is_stop && dialog.contains_rect(m.rect)).collect::<Vec<_>>()
        };
        for _ in 0..120 {
            tab(&mut window);
            let stop = met(&window).into_iter().find(|m| m.is_focused && m.role != Role::Window);
            let stop = stop.unwrap_or_else(|| panic!("{dialog:?}: the keyboard is nowhere"));
            if !reached.insert(stop.name.clone()) {
                break;
            }
        }
        match &dialog {
            Dialog::Path { .. } => {
                assert!(reached.contains("Path of the file") && reached.contains("Cancel"), "{reached:?}")
            }
            Dialog::Export(_) => {
                for name in ["Work sheet", "Solid", "SVG", "Letter", "Export to a file…", "Export by path…", "Cancel"]
                {
                    assert!(reached.contains(name), "{name}: {reached:?}");
                }
            }
            Dialog::Paste { .. } => assert!(reached.contains("Read these rounds"), "{reached:?}"),
            Dialog::Unsaved(_) | Dialog::Recovered(_) => assert_eq!(reached.len(), 3, "{reached:?}"),
            Dialog::WeighIn(_) => {
                assert!(reached.contains("Grams used") && reached.contains("Cancel"), "{reached:?}");
            }
            Dialog::AnotherYarn(_) => {
                assert!(reached.contains("Take this toy") && reached.contains("Cancel"), "{reached:?}");
            }
            Dialog::Outline(_) => {
                assert!(reached.contains("Make it a part") && reached.contains("Outline being drawn"), "{reached:?}")
            }
            Dialog::Commands { .. } => {
                assert_eq!(reached.len(), toppleknot::ui::Command::ALL.len(), "every command and the search");
            }
        }
        assert!(!all(&window).is_empty());
    }
}

#[test]
fn every_menu_is_told() {
    let (mut window, _) = with_sample("glass-float");
    let menus = menus(&window);
    assert_eq!(menus.len(), 3, "{menus:?}");
    for menu in menus {
        // Opened from the keyboard.
        window.get_by_label(&menu).focus();
        window.run();
        window.key_press(Key::Enter);
        window.run();
        let items = met(&window).len();
        check(&window, &menu);
        window.key_press(Key::Escape);
        window.run();
        assert!(met(&window).len() < items, "{menu} is closed");
    }
}

#[test]
fn a_toy_without_parts_is_told_and_walked() {
    let (mut window, _) = with_sample("glass-float");
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Delete);
    window.run();
    assert!(window.state().document().toy.pieces.is_empty());
    check(&window, "no parts");
    check_tab(&mut window, "no parts");
    assert!(super::window::says(&window, "no part yet"));
}

#[test]
fn recovery_and_messages_are_told() {
    let folder = folder("told");
    let copy = folder.join(format!("unsaved-{}.toy.ron", u32::MAX));
    std::fs::copy(super::window::sample("glass-float"), copy).expect("a copy");
    let (mut window, _) = window();
    window.state_mut().keep_in(None, Some(folder.clone()));
    window.run();
    check(&window, "recovery");
    click(&mut window, "Take it up");
    check(&window, "taken up, with a message");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn a_toy_lying_as_it_lands_is_told() {
    let (mut window, _) = with_sample("glass-float");
    let way = super::window::words(&window)
        .into_iter()
        .find(|w| w.starts_with("on its") && w.ends_with('%'))
        .unwrap_or_else(|| panic!("no way to land: {:?}", super::window::words(&window)));
    click(&mut window, &way);
    assert!(window.state().lying().is_some());
    check(&window, "lying");
    click(&mut window, "Stand it up");
    assert!(window.state().lying().is_none());
}
