//! What comes into the window and out of it: files, drops, samples, copies after a crash, settings, and the question
//! about what is not saved.

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use egui::{Key, Modifiers, ViewportCommand, ViewportEvent};
use egui_kittest::kittest::Queryable;
use toppleknot::document;
use toppleknot::ui::{Dialog, Look, Settings, Start};

use super::window::{Dropped, Window, click, copy_of, folder, sample, says, window, window_of, with_sample};

fn text(window: &Window) -> String {
    document::to_text(window.state().document())
}

fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run();
}

fn change(window: &mut Window) {
    window.get_by_label("Stitches in round 3").set_value_accesskit(20.0);
    window.run();
    assert!(window.state().is_changed());
}

fn drop_file(window: &mut Window, path: &Path) {
    window.input_mut().dropped_files.push(Arc::new(Dropped(path.to_owned())));
    window.run();
}

#[test]
fn a_toy_a_text_and_a_broken_file_are_dropped_on_the_window() {
    let folder = folder("dropped");
    let (mut window, _) = window();
    let toy = copy_of("glass-float");
    drop_file(&mut window, &toy);
    assert_eq!(window.state().path(), Some(toy.as_path()));
    assert_eq!(text(&window), document::to_text(&document::load(&toy).expect("a sample")));
    // A broken file says where it is broken and changes nothing.
    let broken = folder.join("broken.toy.ron");
    std::fs::write(&broken, "(version: 1, toy: (name: \"half").expect("written");
    let before = text(&window);
    drop_file(&mut window, &broken);
    assert_eq!((text(&window), window.state().path()), (before, Some(toy.as_path())));
    assert!(says(&window, "broken.toy.ron"), "{:?}", super::window::words(&window));
    click(&mut window, "Close the message");
    assert!(!says(&window, "broken.toy.ron"));
    // Written rounds become a toy that is in no file of its own.
    let rounds = folder.join("reed_tail.txt");
    std::fs::write(&rounds, "Tail\nRnd 1: 6 sc in a magic ring (6)\nRnd 2-5: 6 sc (6)\n").expect("written");
    drop_file(&mut window, &rounds);
    assert_eq!(window.state().document().toy.name, "reed tail");
    assert_eq!(window.state().document().toy.pieces[0].part.rounds.len(), 5);
    assert!(window.state().is_changed() && window.state().path().is_none());
    // What is not saved is not lost to the next drop.
    drop_file(&mut window, &toy);
    assert!(matches!(window.state().dialog(), Some(Dialog::Unsaved(_))));
    click(&mut window, "Keep working");
    assert_eq!(window.state().document().toy.name, "reed tail");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn every_sample_of_the_gallery_opens() {
    for of in document::samples() {
        let (mut window, _) = window();
        window.get_by_label(&format!("Sample: {}", of.title)).click_accesskit();
        window.run();
        let sample = document::parse(of.text, of.title).expect("a sample");
        assert_eq!(text(&window), document::to_text(&sample), "{}", of.title);
        assert!(!window.state().is_changed());
    }
}

#[test]
fn files_opened_last_are_found_again() {
    let (mut window, _) = with_sample("glass-float");
    let first = window.state().path().expect("a file").to_owned();
    let second = copy_of("boot-room-imp");
    window.state_mut().start(Start { path: Some(second.clone()), text: None });
    window.run();
    assert_eq!(window.state().settings().recent, [second, first.clone()]);
    click(&mut window, "Toy");
    click(&mut window, "Open recent");
    click(&mut window, &first.file_name().expect("a name").to_string_lossy());
    assert_eq!(window.state().path(), Some(first.as_path()));
    assert_eq!(window.state().settings().recent[0], first, "the newest first");
}

#[test]
fn settings_are_the_same_the_next_time() {
    let folder = folder("settings");
    let file = folder.join("deep").join("window.ron");
    let (mut window, _) = with_sample("glass-float");
    window.state_mut().keep_in(Some(file.clone()), None);
    for key in [Key::U, Key::T, Key::L, Key::L, Key::Plus, Key::Plus, Key::Num3, Key::Num7] {
        press(&mut window, Modifiers::COMMAND, key);
    }
    let kept = window.state().settings().clone();
    let usual = Settings::default();
    assert!(kept.imperial && kept.uk_terms && kept.look == Look::Dark && kept.panes.top && kept.before_stuffing);
    assert!(kept.scale > 1.15 && kept.panes != usual.panes);
    let (mut next, _) = window_of(egui::vec2(1360.0, 900.0), Settings::load(Some(&file)));
    assert_eq!(*next.state().settings(), kept);
    next.state_mut().start(Start { path: Some(copy_of("glass-float")), text: None });
    next.run();
    assert_eq!(next.ctx.theme(), egui::Theme::Dark);
    assert!((next.ctx.zoom_factor() - kept.scale).abs() < 1e-6);
    assert!(says(&next, " in") && says(&next, "UK terms") && next.query_by_label("Top view of the toy").is_some());
    // A file that is broken is as good as none.
    std::fs::write(&file, "(look: Purple").expect("written");
    assert_eq!(Settings::load(Some(&file)), usual);
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn a_crash_loses_nothing() {
    let folder = folder("crash");
    let (mut window, _) = with_sample("boot-room-imp");
    window.state_mut().keep_in(None, Some(folder.clone()));
    window.run();
    change(&mut window);
    change_name(&mut window, "imp that was not saved");
    let lost = text(&window);
    // The copy is written beside the window.
    let own = folder.join(format!("unsaved-{}.toy.ron", std::process::id()));
    let (begun, mut kept) = (Instant::now(), String::new());
    while kept != lost && begun.elapsed() < Duration::from_secs(10) {
        kept = document::load(&own).map(|d| document::to_text(&d)).unwrap_or_default();
        std::thread::sleep(Duration::from_millis(5));
    }
    assert_eq!(kept, lost);
    // The program is gone without a word: its copy stays under its number.
    let gone = folder.join(format!("unsaved-{}.toy.ron", u32::MAX));
    std::fs::rename(&own, &gone).expect("renamed");
    std::mem::forget(window);
    let (mut next, told) = super::window::window();
    next.state_mut().keep_in(None, Some(folder.clone()));
    next.run();
    assert!(matches!(next.state().dialog(), Some(Dialog::Recovered(path)) if *path == gone));
    click(&mut next, "Take it up");
    assert_eq!(text(&next), lost);
    assert!(next.state().is_changed() && gone.exists());
    // Once it is saved the copy goes.
    let saved = folder.join("imp.toy.ron");
    if let Ok(mut told) = told.lock() {
        *told = Some(saved.clone());
    }
    press(&mut next, Modifiers::COMMAND, Key::S);
    assert!(!next.state().is_changed());
    assert_eq!(document::load(&saved).map(|d| document::to_text(&d)).expect("saved"), lost);
    let begun = Instant::now();
    while gone.exists() && begun.elapsed() < Duration::from_secs(10) {
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(!gone.exists());
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn a_copy_is_asked_about_again_or_let_go() {
    let folder = folder("asked");
    let copy = folder.join(format!("unsaved-{}.toy.ron", u32::MAX));
    std::fs::copy(sample("glass-float"), &copy).expect("a copy");
    for (answer, stays) in [("Ask again next time", true), ("Let it go", false)] {
        let (mut window, _) = window();
        window.state_mut().keep_in(None, Some(folder.clone()));
        window.run();
        click(&mut window, answer);
        assert_eq!(copy.exists(), stays, "{answer}");
        assert!(window.state().document().toy.pieces.is_empty() && window.state().dialog().is_none());
    }
    let _ = std::fs::remove_dir_all(folder);
}

fn change_name(window: &mut Window, name: &str) {
    window.get_by_label("Name of the toy").focus();
    window.run();
    press(window, Modifiers::COMMAND, Key::A);
    window.event(egui::Event::Text(name.to_owned()));
    window.run();
    assert_eq!(window.state().document().toy.name, name);
}

/// Asks the window to close, as the system does; what it tells the system.
fn close(window: &mut Window) -> Vec<ViewportCommand> {
    let id = window.input().viewport_id;
    window.input_mut().viewports.entry(id).or_default().events.push(ViewportEvent::Close);
    window.step();
    let told = window.output().viewport_output.values().flat_map(|v| v.commands.clone()).collect();
    window.run();
    told
}

#[test]
fn the_window_does_not_close_over_what_is_not_saved() {
    let (mut window, told) = with_sample("glass-float");
    assert!(!close(&mut window).contains(&ViewportCommand::CancelClose), "nothing is lost");
    change(&mut window);
    assert!(close(&mut window).contains(&ViewportCommand::CancelClose));
    assert_eq!(window.state().dialog(), Some(&Dialog::Unsaved(toppleknot::ui::After::Close)));
    click(&mut window, "Keep working");
    assert!(window.state().is_changed());
    // Saving first closes afterwards.
    close(&mut window);
    *told.lock().expect("the answer") = None;
    click(&mut window, "Save");
    assert!(!window.state().is_changed());
    let path = window.state().path().expect("its file").to_owned();
    assert_eq!(document::to_text(&document::load(&path).expect("saved")), text(&window));
    assert!(!close(&mut window).contains(&ViewportCommand::CancelClose));
    // Dropping closes too and leaves the file alone.
    let (mut window, _) = with_sample("glass-float");
    let path = window.state().path().expect("its file").to_owned();
    let on_disk = std::fs::read(&path).expect("its file");
    change(&mut window);
    close(&mut window);
    click(&mut window, "Drop the changes");
    assert!(!close(&mut window).contains(&ViewportCommand::CancelClose));
    assert_eq!(std::fs::read(&path).expect("its file"), on_disk);
}

#[test]
fn steps_merge_by_kind_and_all_of_them_lead_there_and_back() {
    let (mut window, _) = with_sample("boot-room-imp");
    let mut states = vec![text(&window)];
    // Typed letter by letter, yet one step.
    window.get_by_label("Name of the toy").focus();
    window.run();
    for letter in ["a", "b", "c"] {
        window.event(egui::Event::Text(letter.to_owned()));
        window.run();
    }
    states.push(text(&window));
    press(&mut window, Modifiers::NONE, Key::Escape);
    // One round's count three times is one step; another round's is another.
    for (round, counts) in [(3, [20.0, 21.0, 22.0]), (4, [25.0, 26.0, 27.0])] {
        for count in counts {
            window.get_by_label(&format!("Stitches in round {round}")).set_value_accesskit(count);
            window.run();
        }
        states.push(text(&window));
    }
    for (modifiers, key) in [
        (Modifiers::COMMAND, Key::Enter),
        (Modifiers::COMMAND, Key::Delete),
        (Modifiers::COMMAND, Key::D),
        (Modifiers::COMMAND | Modifiers::SHIFT, Key::N),
        (Modifiers::COMMAND | Modifiers::SHIFT, Key::Delete),
    ] {
        press(&mut window, modifiers, key);
        states.push(text(&window));
    }
    for expected in states.iter().rev().skip(1) {
        press(&mut window, Modifiers::COMMAND, Key::Z);
        assert_eq!(text(&window), *expected);
    }
    assert!(!window.state().is_changed() && !window.state_mut().undo(), "that was all");
    for expected in &states[1..] {
        press(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
        assert_eq!(text(&window), *expected);
    }
    assert!(!window.state_mut().redo(), "that was all");
}
