//! A hand that does anything: clicks, double clicks and secondary clicks, drags, keys, texts, wheels, pastes, drops,
//! commands, and now and then a way to a certain screen, so that all of them are met.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::accesskit::{Action, ActionData, ActionRequest, Role};
use egui::{Event, Key, Modifiers, MouseWheelUnit, PointerButton, Pos2, TouchPhase, Vec2, ViewportEvent, pos2, vec2};
use egui_kittest::kittest::{By, NodeT, Queryable};
use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use toppleknot::ui::{Command, Dialog, Page, Start, What};

use super::inputs::Inputs;
use super::screens::{Met, glance};
use crate::window::{Dropped, Window};

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
    Key::End,
    Key::PageDown,
    Key::A,
    Key::Z,
    Key::D,
    Key::K,
    Key::V,
    Key::Num0,
    Key::Num4,
    Key::Plus,
    Key::Minus,
];

const TEXTS: [&str; 20] = [
    "7",
    "Rnd 1: 6 sc",
    "(sc, inc) x 6",
    "é…",
    "-3",
    "1e99",
    "\n",
    "6 12 18",
    "nan",
    "inf",
    "-inf",
    "0",
    "1/3",
    "0,5",
    "999999999999",
    "\u{202E}قطة",
    "2026-02-30",
    "2031-05-04",
    "\u{0}\u{7}\t",
    "Rnd 1-9999: (inc) x 4000000000",
];

/// Sizes of the window: the smallest it may have, small, usual, large.
const SIZES: [Vec2; 4] = [vec2(760.0, 480.0), vec2(1024.0, 700.0), vec2(1360.0, 900.0), vec2(1920.0, 1080.0)];

/// The hand and what it works at.
pub struct Hand {
    pub window: Window,
    pub rng: ChaCha8Rng,
    pub inputs: Inputs,
    pub size: Vec2,
    /// What it does, for whoever looks for a panic.
    pub doing: String,
    /// How often each box to choose from was opened on purpose.
    pub opened: BTreeMap<String, usize>,
}

/// All that happens in one frame.
fn frame(window: &mut Window, events: impl IntoIterator<Item = Event>) {
    window.input_mut().events.extend(events);
    window.step();
}

fn button(pos: Pos2, button: PointerButton, pressed: bool) -> Event {
    Event::PointerButton { pos, button, pressed, modifiers: Modifiers::NONE }
}

fn key_events(modifiers: Modifiers, key: Key) -> [Event; 4] {
    let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
    [Event::ModifiersChanged(modifiers), event(true), event(false), Event::ModifiersChanged(Modifiers::NONE)]
}

/// Roles that something can be done to.
fn can_be_used(role: Role) -> bool {
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
            | Role::MenuItem
    )
}

impl Hand {
    pub fn any<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.rng.random_range(0..of.len())]
    }

    fn spot(&mut self) -> Pos2 {
        pos2(self.rng.random_range(0.0..self.size.x), self.rng.random_range(0.0..self.size.y))
    }

    /// A file that opens, or now and then one that does not. Great ones are rare: each of their frames is slow.
    pub fn file(&mut self) -> PathBuf {
        if self.rng.random_bool(0.12) {
            return self.any(&self.inputs.broken.clone()).clone();
        }
        let whole = self.inputs.whole.clone();
        let chosen = self.any(&whole).clone();
        let name = chosen.to_string_lossy().into_owned();
        if name.contains("forty") && self.rng.random_bool(0.6) { whole[0].clone() } else { chosen }
    }

    /// A written path that stays within the folder.
    fn written_path(&mut self) -> String {
        let names =
            ["owl", "owl.toy.ron", "out.pdf", "out.png", "out.svg", "out.glb", "out.stl", "no/such/folder/owl", "."];
        let name = self.any(&names);
        self.inputs.folder.join(name).display().to_string()
    }

    fn press(&mut self, modifiers: Modifiers, key: Key) {
        frame(&mut self.window, key_events(modifiers, key));
    }

    pub fn command(&mut self, command: Command) {
        if let Some(keys) = command.shortcut() {
            self.press(keys.modifiers, keys.logical_key);
        }
    }

    fn click(&mut self, at: Pos2) {
        frame(&mut self.window, [Event::PointerMoved(at), button(at, PointerButton::Primary, true)]);
        frame(&mut self.window, [button(at, PointerButton::Primary, false)]);
    }

    /// Clicks what is called so; `false` where it is not on screen.
    fn click_label(&mut self, wanted: impl Fn(&Met) -> bool) -> bool {
        let room = egui::Rect::from_min_size(Pos2::ZERO, self.size);
        let met = glance(&self.window);
        let can_be = |m: &&Met| m.role != Role::Label && wanted(m) && room.contains(m.rect.center());
        let place = met.iter().find(can_be).map(|m| m.rect.center());
        if let Some(at) = place {
            self.click(at);
        }
        place.is_some()
    }

    /// A widget that can be used.
    fn widget<'a>(&mut self, met: &'a [Met], wanted: impl Fn(&Met) -> bool) -> Option<&'a Met> {
        let room = egui::Rect::from_min_size(Pos2::ZERO, self.size);
        let found: Vec<&Met> = met.iter().filter(|m| wanted(m) && room.contains(m.rect.center())).collect();
        if found.is_empty() { None } else { Some(found[self.rng.random_range(0..found.len())]) }
    }

    /// Nothing is written outside the folder, whatever is typed.
    fn mind_the_path(&mut self) {
        if let Some(Dialog::Path { wanted, text, no_system }) = self.window.state().dialog()
            && !Path::new(text).starts_with(&self.inputs.folder)
        {
            let (wanted, no_system, text) = (*wanted, *no_system, self.written_path());
            self.window.state_mut().ask(Dialog::Path { wanted, text, no_system });
        }
    }

    /// Anything.
    pub fn one(&mut self, met: &[Met]) {
        self.mind_the_path();
        let at = self.spot();
        self.doing.clear();
        match self.rng.random_range(0..100) {
            0..=17 => {
                self.doing = format!("click at {at}");
                self.click(at);
            }
            18..=45 => {
                if let Some(widget) = self.widget(met, |m| can_be_used(m.role)) {
                    self.doing = format!("click {:?} {}", widget.role, widget.label);
                    self.click(widget.rect.center());
                }
            }
            46..=49 => {
                self.doing = format!("double click at {at}");
                let twice = [true, false, true, false].map(|down| button(at, PointerButton::Primary, down));
                frame(&mut self.window, [Event::PointerMoved(at)].into_iter().chain(twice));
            }
            50..=53 => {
                self.doing = format!("secondary click at {at}");
                frame(&mut self.window, [Event::PointerMoved(at), button(at, PointerButton::Secondary, true)]);
                frame(&mut self.window, [button(at, PointerButton::Secondary, false)]);
            }
            54..=62 => self.drag(at, met),
            63..=69 => {
                let key = *self.any(&KEYS);
                let modifiers = Modifiers {
                    command: self.rng.random_bool(0.4),
                    shift: self.rng.random_bool(0.2),
                    alt: self.rng.random_bool(0.15),
                    ..Modifiers::NONE
                };
                self.doing = format!("{modifiers:?} {key:?}");
                self.press(modifiers, key);
            }
            70..=76 => {
                let command = *self.any(Command::ALL);
                self.doing = format!("{command:?}");
                self.command(command);
            }
            77..=80 => {
                let delta = vec2(0.0, self.rng.random_range(-200.0..200.0));
                let modifiers = if self.rng.random_bool(0.3) { Modifiers::COMMAND } else { Modifiers::NONE };
                self.doing = format!("wheel {delta} at {at}");
                let source = egui::MouseWheelSource::Wheel;
                let phase = TouchPhase::Move;
                let wheel = Event::MouseWheel { unit: MouseWheelUnit::Point, delta, phase, modifiers, source };
                frame(&mut self.window, [Event::PointerMoved(at), wheel]);
            }
            81..=89 => self.write_into(met),
            90..=91 => {
                let text = *self.any(&TEXTS);
                self.doing = format!("paste {text:?}");
                frame(&mut self.window, [Event::Paste(text.to_owned())]);
            }
            92..=93 => self.drop_something(),
            94 => {
                self.doing = "close request".to_owned();
                let id = self.window.input().viewport_id;
                self.window.input_mut().viewports.entry(id).or_default().events.push(ViewportEvent::Close);
                self.window.step();
            }
            95 => {
                self.doing = "pointer gone".to_owned();
                frame(&mut self.window, [Event::PointerGone]);
                frame(&mut self.window, [Event::WindowFocused(false), Event::WindowFocused(true)]);
            }
            96 => {
                let zoom = self.rng.random_range(0.5..2.0);
                self.doing = format!("zoom {zoom} at {at}");
                frame(&mut self.window, [Event::PointerMoved(at), Event::Zoom(zoom)]);
            }
            97 => {
                self.size = *self.any(&SIZES);
                self.doing = format!("size {}", self.size);
                self.window.set_size(self.size);
                self.window.step();
            }
            _ => {
                self.doing = "Undo or redo".to_owned();
                let command = if self.rng.random_bool(0.6) { Command::Undo } else { Command::Redo };
                self.command(command);
            }
        }
    }

    fn drag(&mut self, at: Pos2, met: &[Met]) {
        // Half of them begin on something that can be moved.
        let from = if self.rng.random_bool(0.5) {
            self.widget(met, |m| matches!(m.role, Role::Image | Role::SpinButton | Role::Slider)).map(|m| m.rect)
        } else {
            None
        };
        let at = from.map_or(at, |rect| {
            let share = vec2(self.rng.random_range(0.05..0.95), self.rng.random_range(0.05..0.95));
            rect.min + share * rect.size()
        });
        let which = if self.rng.random_bool(0.1) { PointerButton::Middle } else { PointerButton::Primary };
        self.doing = format!("drag from {at}");
        frame(&mut self.window, [Event::PointerMoved(at), button(at, which, true)]);
        let mut to = at;
        for _ in 0..3 {
            to = at + vec2(self.rng.random_range(-90.0..90.0), self.rng.random_range(-90.0..90.0));
            frame(&mut self.window, [Event::PointerMoved(to)]);
        }
        frame(&mut self.window, [button(to, which, false)]);
    }

    /// A text into a field, or a number given by a screen reader.
    fn write_into(&mut self, met: &[Met]) {
        let is_field = |m: &Met| matches!(m.role, Role::TextInput | Role::MultilineTextInput | Role::SpinButton);
        let text = *self.any(&TEXTS);
        let Some(field) = self.widget(met, is_field) else {
            self.doing = format!("type {text:?}");
            return frame(&mut self.window, [Event::Text(text.to_owned())]);
        };
        self.doing = format!("type {text:?} into {:?} {}", field.role, field.label);
        if field.role == Role::SpinButton && self.rng.random_bool(0.3) {
            return self.set_value(field);
        }
        self.click(field.rect.center());
        if self.rng.random_bool(0.6) {
            self.press(Modifiers::COMMAND, Key::A);
        }
        let in_path = matches!(self.window.state().dialog(), Some(Dialog::Path { .. }));
        let text = if in_path { self.written_path() } else { text.to_owned() };
        frame(&mut self.window, [Event::Text(text)]);
        self.mind_the_path();
        let end = *self.any(&[Key::Enter, Key::Tab, Key::Escape]);
        if self.rng.random_bool(0.8) {
            self.press(Modifiers::NONE, end);
        }
    }

    fn set_value(&mut self, field: &Met) {
        let value = *self.any(&[0.0, -1.0, 1.0, 7.5, 1e9, -1e9, f64::NAN, f64::INFINITY, 1e-300]);
        self.doing = format!("set {} to {value}", field.label);
        self.act(field, Action::SetValue, Some(ActionData::NumericValue(value)));
    }

    /// Does something to a widget as a screen reader would.
    fn act(&mut self, widget: &Met, action: Action, data: Option<ActionData>) {
        let found = self.window.root().query_all(By::new()).find_map(|node| {
            let node = node.accesskit_node();
            let is_it = node.role() == widget.role && node.label().unwrap_or_default() == widget.label;
            is_it.then(|| node.locate())
        });
        let Some((target_node, target_tree)) = found else { return };
        let request = ActionRequest { action, target_tree, target_node, data };
        frame(&mut self.window, [Event::AccessKitActionRequest(request)]);
    }

    fn drop_something(&mut self) {
        let path =
            if self.rng.random_bool(0.4) { self.any(&self.inputs.drawings.clone()).clone() } else { self.file() };
        self.doing = format!("drop {}", path.display());
        self.window.input_mut().dropped_files.push(Arc::new(Dropped(path)));
        self.window.step();
    }

    /// Shuts whatever lies over the workbench.
    fn shut(&mut self) {
        for _ in 0..3 {
            if self.window.state().dialog().is_none() && !egui::Popup::is_any_open(&self.window.ctx) {
                return;
            }
            self.press(Modifiers::NONE, Key::Escape);
        }
    }

    /// A toy on the workbench.
    fn have_a_toy(&mut self) {
        self.shut();
        if self.window.state().document().toy.pieces.is_empty() {
            let path = self.file();
            self.window.state_mut().start(Start { path: Some(path), text: None });
            self.window.step();
        }
    }

    /// Goes to the screen of this number; every number names one of them, over and over.
    pub fn go(&mut self, number: usize) {
        let tabs: Vec<&str> = toppleknot::ui::App::panels().collect();
        let dialogs = Dialog::each();
        let (pages, many) = (Page::ALL.len(), dialogs.len());
        let mut at = number % (pages + tabs.len() + many + 19);
        self.doing = format!("screen {at}");
        self.have_a_toy();
        if at < pages {
            let page = Page::ALL[at].name();
            self.click_label(|m| m.label == page && m.role == Role::Button);
            return;
        }
        at -= pages;
        if at < tabs.len() {
            self.click_label(|m| m.label == tabs[at] && m.role == Role::Button);
            return;
        }
        at -= tabs.len();
        if at < many {
            let natural = match dialogs[at] {
                Dialog::Export(_) => Some(Command::Export),
                Dialog::WeighIn(_) => Some(Command::WeighIn),
                Dialog::AnotherYarn(_) => Some(Command::AnotherYarn),
                Dialog::Outline(_) => Some(Command::DrawOutline),
                _ => None,
            };
            match natural.filter(|_| self.rng.random_bool(0.8)) {
                Some(command) => self.command(command),
                None => self.window.state_mut().ask(dialogs[at].clone()),
            }
            self.window.step();
            if matches!(dialogs[at], Dialog::Export(_)) && self.rng.random_bool(0.7) {
                self.export_something();
            }
            self.mind_the_path();
            return;
        }
        match at - many {
            0 => drop(self.click_label(|m| m.label == "Toy")),
            1 => drop(self.click_label(|m| m.label == "Edit")),
            2 => drop(self.click_label(|m| m.label == "View")),
            3 => {
                self.click_label(|m| m.label == "Toy");
                self.window.step();
                self.click_label(|m| m.label.starts_with("Open recent"));
            }
            4 => {
                self.click_label(|m| m.label == "Toy");
                self.window.step();
                self.click_label(|m| m.label.starts_with("Open a sample"));
            }
            5 => drop(self.click_label(|m| m.label == "Shape")),
            6 => {
                self.click_label(|m| m.label == "Added");
                self.window.step();
                self.click_label(|m| m.label == "Add…");
            }
            7 => {
                self.click_label(|m| m.label == "Yarn" && m.role == Role::Button);
                self.window.step();
                self.click_label(|m| m.label.to_lowercase().contains("colour"));
            }
            8 => {
                self.size = SIZES[1];
                self.window.set_size(self.size);
                self.window.run_steps(2);
                self.click_label(|m| m.label == "More");
            }
            9..=12 => {
                // A box to choose from: one that was opened least, brought into sight first; some are folded away.
                let mut met = glance(&self.window);
                if let Some(folded) = met.iter().find(|m| m.label == "More about this yarn") {
                    self.act(folded, Action::Click, None);
                    met = glance(&self.window);
                }
                let times = |m: &Met| self.opened.get(&m.label).copied().unwrap_or(0);
                let boxes: Vec<&Met> = met.iter().filter(|m| m.role == Role::ComboBox).collect();
                let least = boxes.iter().map(|m| times(m)).min().unwrap_or(0);
                let fewest: Vec<&Met> = boxes.into_iter().filter(|m| times(m) == least).collect();
                if !fewest.is_empty() {
                    let one = *self.any(&fewest);
                    *self.opened.entry(one.label.clone()).or_default() += 1;
                    self.act(one, Action::ScrollIntoView, None);
                    self.window.run_steps(4);
                    self.doing = format!("click ComboBox {}", one.label);
                    self.click_label(|m| m.role == Role::ComboBox && m.label == one.label);
                }
            }
            13 => {
                if !self.click_label(|m| m.label.starts_with("on its") && m.label.ends_with('%')) {
                    self.command(Command::ShowLands);
                }
            }
            14 => self.command(Command::ShowAsMade),
            15 => {
                self.click_label(|m| m.label == Page::Mending.name());
                self.window.step();
                let which = *self.any(&["What I want", "What must stay"]);
                self.click_label(|m| m.label == which);
            }
            16 => self.command(Command::SwitchTheme),
            17 => {
                self.command(Command::DrawOutline);
                let path = self.any(&self.inputs.drawings.clone()).clone();
                self.window.input_mut().dropped_files.push(Arc::new(Dropped(path)));
                self.window.step();
            }
            _ => {
                let command =
                    *self.any(&[Command::ShowTop, Command::SwitchUnits, Command::SwitchTerms, Command::ShowGiveTake]);
                self.command(command);
            }
        }
        self.window.step();
    }

    /// In the dialog: any of what can be exported in any of its forms, to a file. Hands that click anywhere seldom get so far.
    fn export_something(&mut self) {
        let whats = What::ALL.map(What::name);
        let forms = What::ALL.iter().flat_map(|what| what.formats()).map(|form| form.name());
        for names in [whats.to_vec(), forms.collect()] {
            let met = glance(&self.window);
            let wanted = |m: &Met| m.role == Role::RadioButton && names.contains(&m.label.as_str());
            if let Some(place) = self.widget(&met, wanted).map(|m| m.rect.center()) {
                self.click(place);
            }
        }
        self.click_label(|m| m.label == "Export to a file…");
    }

    /// Begins another document, in one of the ways there are.
    pub fn begin_another(&mut self) {
        self.doing = "another document".to_owned();
        self.shut();
        let path = self.file();
        if self.rng.random_bool(0.15) {
            // An empty table: the first page.
            self.command(Command::New);
            self.click_label(|m| m.label == "Drop the changes");
        } else {
            self.window.state_mut().start(Start { path: Some(path), text: None });
        }
        self.window.run_steps(2);
    }
}
