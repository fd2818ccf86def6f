//! Every command of the window from the keyboard alone: by its keys, and by its name in the list of all commands.

use std::path::PathBuf;

use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use toppleknot::document;
use toppleknot::rounds::Round;
use toppleknot::ui::{Command, Dialog, Settings, Start, Wanted};

use super::window::{Told, Window, folder, sample, window, words};

/// Two small parts; neighbouring rounds of the first differ.
const PATTERN: &str = "Body\n6 12 18 24 25 24 18\n\nHead\n6 12 18 18 12\n";

/// What a command can change.
#[derive(Clone, Debug, PartialEq)]
struct Seen {
    toy: String,
    counts: Vec<Vec<u32>>,
    names: Vec<String>,
    chosen: Option<(usize, Option<usize>)>,
    settings: Settings,
    dialog: Option<Dialog>,
    path: Option<PathBuf>,
    is_changed: bool,
}

fn seen(window: &Window) -> Seen {
    let app = window.state();
    let pieces = &app.document().toy.pieces;
    Seen {
        toy: document::to_text(app.document()),
        counts: pieces.iter().map(|p| p.part.rounds.iter().map(Round::count).collect()).collect(),
        names: pieces.iter().map(|p| p.part.name.clone()).collect(),
        chosen: app.chosen(),
        settings: app.settings().clone(),
        dialog: app.dialog().cloned(),
        path: app.path().map(std::path::Path::to_owned),
        is_changed: app.is_changed(),
    }
}

fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run();
}

fn keys(window: &mut Window, command: Command) {
    let shortcut = command.shortcut().unwrap_or_else(|| panic!("{command:?} has no keys"));
    press(window, shortcut.modifiers, shortcut.logical_key);
}

fn type_text(window: &mut Window, text: &str) {
    window.event(egui::Event::Text(text.to_owned()));
    window.run();
}

/// How a command is told.
#[derive(Clone, Copy)]
enum Way {
    /// By its keys.
    Keys,
    /// By its name in the list of all commands.
    Name,
}

impl Way {
    /// Everything up to the frame that does the command.
    fn tell(self, window: &mut Window, command: Command) {
        match self {
            Way::Keys => {
                let shortcut = command.shortcut().unwrap_or_else(|| panic!("{command:?} has no keys"));
                let (key, modifiers) = (shortcut.logical_key, shortcut.modifiers);
                let down = egui::Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers };
                window.input_mut().events.push(down);
            }
            Way::Name => {
                keys(window, Command::Find);
                type_text(window, command.label());
                window.key_down(Key::Enter);
            }
        }
        // A step is a frame for every event: the last is the one in which the key went down.
        window.step();
    }

    fn does(self, window: &mut Window, command: Command) {
        self.tell(window, command);
        window.run();
        for key in [Some(Key::Enter), command.shortcut().map(|s| s.logical_key)].into_iter().flatten() {
            window.key_up(key);
        }
        window.run();
    }
}

/// A toy of two parts in a file of its own, round 4 of the first part chosen.
fn begin(name: &str) -> (Window, Told, PathBuf) {
    let folder = folder(name);
    let file = folder.join("two.toy.ron");
    let opened = document::open_text(PATTERN, "two", false, &document::TextScene::default()).expect("it reads");
    document::save(&opened.document, &file).expect("it is saved");
    let (mut window, told) = window();
    window.state_mut().start(Start { path: Some(file), text: None });
    window.run();
    for _ in 0..4 {
        keys(&mut window, Command::NextRound);
    }
    assert_eq!(window.state().chosen(), Some((0, Some(3))));
    (window, told, folder)
}

/// What must have come of a command that was pressed in a toy as [`begin`] makes it; the few that ask something
/// are answered from the keyboard too.
fn check(command: Command, way: Way, window: &mut Window, told: &Told, folder: &std::path::Path) {
    use Command as C;
    let answer = |path: PathBuf| *told.lock().expect("the answer") = Some(path);
    // What has to be so before.
    match command {
        C::Open => answer(sample("glass-float")),
        C::SaveAs => answer(folder.join("as.toy.ron")),
        C::Export => answer(folder.join("on paper")),
        C::Save | C::Undo | C::Redo => keys(window, C::MoreStitches),
        C::PreviousPart => keys(window, C::NextPart),
        C::Fit => {
            keys(window, C::ShowSide);
            window.get_by_label("Front view of the toy").focus();
            window.run();
        }
        _ => {}
    }
    if command == C::Redo {
        keys(window, C::Undo);
    }
    let before = seen(window);
    if command == C::Quit {
        return check_quit(way, window);
    }
    if command == C::Fit {
        return check_fit(way, window);
    }
    way.does(window, command);
    let after = seen(window);
    let counts = |seen: &Seen| seen.counts[0].clone();
    let says = |what: bool| assert!(what, "{command:?}: {before:?}\n{after:?}");
    match command {
        C::New => says(after.counts.is_empty() && after.path.is_none()),
        C::Open => says(after.path == Some(sample("glass-float")) && after.toy != before.toy),
        C::OpenPath => {
            says(matches!(after.dialog, Some(Dialog::Path { wanted: Wanted::Open, .. })));
            type_text(window, &sample("glass-float").display().to_string());
            press(window, Modifiers::NONE, Key::Enter);
            assert_eq!(seen(window).path, Some(sample("glass-float")));
        }
        C::Paste => {
            says(matches!(after.dialog, Some(Dialog::Paste { .. })));
            type_text(window, "Tail\n6 6 6 6");
            tab_to(window, "Read these rounds");
            press(window, Modifiers::NONE, Key::Enter);
            let pasted = seen(window);
            assert_eq!(pasted.names.join(" ").to_lowercase(), "tail", "{pasted:?}");
        }
        C::Save => {
            says(before.is_changed && !after.is_changed && after.path == before.path);
            let saved = document::load(&after.path.clone().expect("its file")).expect("it was saved");
            assert_eq!(document::to_text(&saved), before.toy);
        }
        C::SaveAs => says(after.path == Some(folder.join("as.toy.ron")) && folder.join("as.toy.ron").exists()),
        C::SavePath => {
            says(matches!(after.dialog, Some(Dialog::Path { wanted: Wanted::Save, .. })));
            press(window, Modifiers::COMMAND, Key::A);
            type_text(window, &folder.join("by path").display().to_string());
            press(window, Modifiers::NONE, Key::Enter);
            assert_eq!(seen(window).path, Some(folder.join("by path.toy.ron")));
            assert!(folder.join("by path.toy.ron").exists());
        }
        C::Export => {
            says(matches!(after.dialog, Some(Dialog::Export(_))));
            // Its first button has the keyboard.
            press(window, Modifiers::NONE, Key::Enter);
            assert_eq!(seen(window).dialog, None);
            let written = std::fs::read(folder.join("on paper.pdf")).expect("it was exported");
            assert!(written.starts_with(b"%PDF-1.7"));
            assert_eq!(seen(window).toy, before.toy);
        }
        C::Undo => says(counts(&before)[3] == 25 && counts(&after)[3] == 24),
        C::Redo => says(counts(&before)[3] == 24 && counts(&after)[3] == 25),
        C::AddPart => says(after.names.len() == 3 && after.chosen == Some((2, None))),
        C::DoublePart => {
            says(after.counts.len() == 3 && after.counts.iter().filter(|c| **c == counts(&before)).count() == 2)
        }
        C::RemovePart => says(after.names == before.names[1..]),
        C::DrawOutline => {
            says(matches!(after.dialog, Some(Dialog::Outline(_))) && after.toy == before.toy);
            tab_to(window, "Make it a part");
            press(window, Modifiers::NONE, Key::Enter);
            assert_eq!(seen(window).names.last().map(String::as_str), Some("ball"));
        }
        C::InsertRound => says(counts(&after) == [6, 12, 18, 24, 24, 25, 24, 18] && after.chosen == Some((0, Some(4)))),
        C::DeleteRound => says(counts(&after) == [6, 12, 18, 25, 24, 18]),
        C::RepeatRound => says(counts(&after).len() == 12 && counts(&after)[3..9] == [24; 6]),
        C::RoundUp => says(counts(&after)[2..4] == [24, 18] && after.chosen == Some((0, Some(2)))),
        C::RoundDown => says(counts(&after)[3..5] == [25, 24] && after.chosen == Some((0, Some(4)))),
        C::MoreStitches => says(counts(&after)[3] == 25 && counts(&after)[4..] == counts(&before)[4..]),
        C::FewerStitches => says(counts(&after)[3] == 23 && counts(&after)[4..] == counts(&before)[4..]),
        C::NextRound => says(after.chosen == Some((0, Some(4))) && after.toy == before.toy),
        C::PreviousRound => says(after.chosen == Some((0, Some(2))) && after.toy == before.toy),
        C::NextPart => says(after.chosen == Some((1, None))),
        C::PreviousPart => says(before.chosen == Some((1, None)) && after.chosen == Some((0, None))),
        C::Larger => says(after.settings.scale > before.settings.scale),
        C::Smaller => says(after.settings.scale < before.settings.scale),
        C::Find => says(matches!(after.dialog, Some(Dialog::Commands { .. }))),
        C::WeighIn => {
            says(matches!(after.dialog, Some(Dialog::WeighIn(_))));
            type_text(window, "12");
            tab_to(window, "Take it in");
            press(window, Modifiers::NONE, Key::Enter);
            let weighed = &window.state().document().toy.records.weigh_ins;
            assert_eq!(weighed.len(), 1);
            assert_eq!((weighed[0].part.as_str(), weighed[0].round), (before.names[0].as_str(), 4));
        }
        C::AnotherYarn => {
            says(matches!(after.dialog, Some(Dialog::AnotherYarn(_))));
            type_text(window, " of wool");
            tab_to(window, "Take this toy");
            press(window, Modifiers::NONE, Key::Enter);
            let yarns = &window.state().document().toy.yarns;
            assert!(yarns.iter().any(|y| y.name.ends_with(" of wool")), "{yarns:?}");
        }
        C::SwitchTheme => {
            says(after.settings.look == before.settings.look.next());
        }
        C::Quit | C::Fit => unreachable!("checked above"),
        // The rest are switches: of the settings and of nothing else, there and back.
        _ => {
            says(after == Seen { settings: after.settings.clone(), ..before.clone() });
            says(after.settings != before.settings);
            way.does(window, command);
            assert_eq!(seen(window), before, "{command:?} twice");
        }
    }
}

/// Quitting asks the system to close the window, and nothing else.
fn check_quit(way: Way, window: &mut Window) {
    way.tell(window, Command::Quit);
    let mut commands = window.output().viewport_output.values().flat_map(|v| &v.commands);
    assert!(commands.any(|c| matches!(c, egui::ViewportCommand::Close)));
}

/// A view that was moved shows the whole toy again.
fn check_fit(way: Way, window: &mut Window) {
    let at = |window: &Window| {
        let texts = window.output().shapes.iter();
        let rect = window.get_by_label("Front view of the toy").rect();
        texts.filter(|s| rect.contains_rect(s.shape.visual_bounding_rect())).cloned().collect::<Vec<_>>()
    };
    let fitted = at(window);
    press(window, Modifiers::NONE, Key::Plus);
    assert_ne!(at(window), fitted, "the view comes nearer");
    press(window, Modifiers::NONE, Key::ArrowLeft);
    way.does(window, Command::Fit);
    window.get_by_label("Front view of the toy").focus();
    window.run();
    assert_eq!(at(window), fitted);
}

/// Tabs until what is called so has the keyboard.
fn tab_to(window: &mut Window, label: &str) {
    for _ in 0..60 {
        press(window, Modifiers::NONE, Key::Tab);
        if window.get_by_label(label).accesskit_node().is_focused() {
            return;
        }
    }
    panic!("{label} is not reached: {:?}", words(window));
}

#[test]
fn every_command_is_done_by_its_keys() {
    for command in Command::ALL.iter().filter(|c| c.shortcut().is_some()) {
        let (mut window, told, folder) = begin("keys");
        check(*command, Way::Keys, &mut window, &told, &folder);
        let _ = std::fs::remove_dir_all(folder);
    }
}

#[test]
fn every_command_is_found_by_its_name_and_done() {
    for command in Command::ALL.iter().filter(|c| **c != Command::Find) {
        let (mut window, told, folder) = begin("names");
        check(*command, Way::Name, &mut window, &told, &folder);
        let _ = std::fs::remove_dir_all(folder);
    }
}

#[test]
fn the_list_of_commands_is_walked_with_the_arrows() {
    let (mut window, _, folder) = begin("arrows");
    keys(&mut window, Command::Find);
    type_text(&mut window, "stitch");
    let rows = |window: &Window| match window.state().dialog() {
        Some(Dialog::Commands { at, .. }) => *at,
        other => panic!("{other:?}"),
    };
    press(&mut window, Modifiers::NONE, Key::ArrowDown);
    press(&mut window, Modifiers::NONE, Key::ArrowDown);
    assert_eq!(rows(&window), 2);
    press(&mut window, Modifiers::NONE, Key::ArrowUp);
    assert_eq!(rows(&window), 1);
    // The second of those called so.
    press(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(seen(&window).counts[0][3], 23);
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_chart_and_the_views_answer_the_arrows() {
    let (mut window, _, folder) = begin("chart");
    window.get_by_label("Counts by round").focus();
    window.run();
    for (key, chosen, count) in
        [(Key::ArrowRight, 4, 25), (Key::ArrowUp, 4, 26), (Key::ArrowDown, 4, 25), (Key::ArrowLeft, 3, 24)]
    {
        press(&mut window, Modifiers::NONE, key);
        assert_eq!(
            (window.state().chosen(), seen(&window).counts[0][chosen]),
            (Some((0, Some(chosen))), count),
            "{key:?}"
        );
    }
    for view in ["Front view of the toy", "Side view of the toy"] {
        window.get_by_label(view).focus();
        window.run();
        for key in [Key::ArrowLeft, Key::ArrowUp, Key::Plus] {
            let before = window.output().shapes.clone();
            press(&mut window, Modifiers::NONE, key);
            assert!(window.get_by_label(view).accesskit_node().is_focused(), "{view} keeps the keyboard");
            assert_ne!(window.output().shapes, before, "{view}, {key:?}");
        }
    }
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn escape_closes_every_dialog_and_its_first_field_has_the_keyboard() {
    for dialog in Dialog::each() {
        let (mut window, _, folder) = begin("escape");
        let before = seen(&window);
        // Something else has the keyboard.
        window.get_by_label("Name of the toy").focus();
        window.run();
        window.state_mut().ask(dialog.clone());
        window.run();
        let nodes = window.root().query_all(egui_kittest::kittest::By::new());
        let focused: Vec<_> = nodes.filter(|n| n.accesskit_node().is_focused()).map(|n| n.rect()).collect();
        let name = window.get_by_label("Name of the toy").rect();
        assert!(focused.iter().any(|rect| rect.width() < 500.0 && *rect != name), "{dialog:?}: {focused:?}");
        press(&mut window, Modifiers::NONE, Key::Escape);
        assert_eq!(window.state().dialog(), None);
        assert_eq!(seen(&window), before, "{dialog:?}");
        let _ = std::fs::remove_dir_all(folder);
    }
}

#[test]
fn a_pattern_is_pasted_into_the_window_itself() {
    let (mut window, _) = window();
    window.event(egui::Event::Paste("Tail\n6 6 6 6".to_owned()));
    window.run();
    assert!(matches!(window.state().dialog(), Some(Dialog::Paste { text }) if text.contains("Tail")));
    tab_to(&mut window, "Cancel");
    press(&mut window, Modifiers::SHIFT, Key::Tab);
    press(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(seen(&window).counts, [vec![6; 4]]);
}
