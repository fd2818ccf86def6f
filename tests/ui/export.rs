//! Exporting from the window: what can be chosen, what is seen before, what is written, what is said when it cannot be.

use std::path::Path;

use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use toppleknot::ui::{Choice, Dialog, Format, Settings, What};
use toppleknot::view::units::Units;

use super::window::{Told, Window, click, folder, says, window_of, with_sample, words};

fn open(window: &mut Window) {
    window.key_press_modifiers(Modifiers::COMMAND, Key::E);
    window.run();
    assert!(matches!(window.state().dialog(), Some(Dialog::Export(_))));
}

fn choose(window: &mut Window, label: &str) {
    window.get_by_role_and_label(Role::RadioButton, label).click();
    window.run();
}

fn choice(window: &Window) -> Choice {
    match window.state().dialog() {
        Some(Dialog::Export(export)) => export.choice,
        other => panic!("no dialog: {other:?}"),
    }
}

fn answer(told: &Told, path: &Path) {
    *told.lock().expect("the answer") = Some(path.to_owned());
}

fn begins(format: Format) -> &'static [u8] {
    match format {
        Format::Pdf => b"%PDF-1.7",
        Format::Svg => b"<?xml",
        Format::Png => b"\x89PNG\r\n\x1a\n",
        Format::Glb => b"glTF",
        Format::Stl => b"",
    }
}

#[test]
fn everything_is_exported_in_every_form() {
    let folder = folder("exported");
    let (mut window, told) = with_sample("boot-room-imp");
    let mut files = 0;
    for what in What::ALL {
        for format in what.formats() {
            open(&mut window);
            choose(&mut window, what.name());
            choose(&mut window, format.name());
            assert_eq!((choice(&window).what, choice(&window).format), (what, *format));
            if *format == Format::Png {
                window.get_by_label("Dots per inch").set_value_accesskit(72.0);
                window.run();
            }
            // A name without an ending gets the right one.
            let name = format!("{what:?} {format:?}");
            answer(&told, &folder.join(&name));
            click(&mut window, "Export to a file…");
            let file = folder.join(format!("{name}.{}", format.ending()));
            let bytes = std::fs::read(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
            assert!(bytes.starts_with(begins(*format)) && bytes.len() > 500, "{name}");
            if *format == Format::Stl {
                // Header of 80 bytes, number of triangles, 50 bytes for each.
                let triangles = u32::from_le_bytes([bytes[80], bytes[81], bytes[82], bytes[83]]);
                assert_eq!(bytes.len(), 84 + 50 * triangles as usize);
            }
            assert_eq!(window.state().dialog(), None);
            assert!(says(&window, &format!("{} exported to {}", what.name(), file.display())), "{:?}", words(&window));
            files += 1;
        }
    }
    assert_eq!(std::fs::read_dir(&folder).expect("the folder").count(), files, "nothing is left beside them");
    assert!(!window.state().is_changed(), "exporting changes nothing");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_ending_says_the_form_and_the_page_shown_is_written() {
    let folder = folder("ending");
    let (mut window, told) = with_sample("boot-room-imp");
    open(&mut window);
    choose(&mut window, "Work sheet");
    assert!(window.get_by_label("Work sheet, page 1 of 3").accesskit_node().role() == Role::Image);
    click(&mut window, "Next page");
    click(&mut window, "Next page");
    assert!(says(&window, "Work sheet, page 3 of 3"), "{:?}", words(&window));
    let file = folder.join("map.svg");
    answer(&told, &file);
    click(&mut window, "Export to a file…");
    let svg = std::fs::read_to_string(&file).expect("it was exported");
    assert!(svg.starts_with("<?xml") && svg.contains("Sewing map"));
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_dialog_begins_with_the_window_s_words_and_the_last_choice() {
    let folder = folder("begins");
    let settings = Settings { imperial: true, uk_terms: true, ..Settings::default() };
    let (mut window, told) = window_of(egui::vec2(1024.0, 700.0), settings);
    window.state_mut().start(toppleknot::ui::Start { path: Some(super::window::sample("sea-wall-bear")), text: None });
    window.run();
    open(&mut window);
    assert_eq!(choice(&window).units, Units::Imperial);
    choose(&mut window, "Work sheet");
    choose(&mut window, "Letter");
    answer(&told, &folder.join("work.pdf"));
    click(&mut window, "Export to a file…");
    let text = std::fs::read(folder.join("work.pdf")).expect("it was exported");
    let text = String::from_utf8_lossy(&text).into_owned();
    // 8.5 by 11 inches of 72 points.
    assert!(text.contains("612 792"), "the paper is Letter");
    open(&mut window);
    assert_eq!(choice(&window).what, What::Work);
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_preview_is_drawn_once_for_a_change() {
    let (mut window, _) = with_sample("sea-wall-bear");
    open(&mut window);
    let textures = |window: &Window| window.output().textures_delta.set.len();
    for _ in 0..3 {
        window.step();
        assert_eq!(textures(&window), 0, "nothing changed, nothing is drawn");
    }
    choose(&mut window, "Solid");
    assert!(says(&window, "triangles") && says(&window, "wide") && says(&window, "tall"), "{:?}", words(&window));
    choose(&mut window, "Proportion sketch");
    assert!(window.query_by_label("Proportion sketch, page 1 of 1").is_some());
}

#[test]
fn a_place_that_cannot_be_written_is_told_and_loses_nothing() {
    let folder = folder("no place");
    let (mut window, told) = with_sample("glass-float");
    // A folder has the name; a folder is missing.
    let taken = folder.join("taken.pdf");
    std::fs::create_dir_all(taken.join("inside")).expect("a folder");
    for (path, why) in [(taken.clone(), "a folder has that name"), (folder.join("no such/a.pdf"), "No such file")] {
        open(&mut window);
        answer(&told, &path);
        click(&mut window, "Export to a file…");
        assert!(says(&window, "cannot be written") && says(&window, why), "{:?}", words(&window));
        assert!(says(&window, "choose another place"), "{:?}", words(&window));
    }
    assert!(taken.join("inside").is_dir());
    assert_eq!(std::fs::read_dir(&folder).expect("the folder").count(), 1);
    // An old file is whole where the new one cannot be made.
    let old = folder.join("old.png");
    std::fs::write(&old, "old").expect("a writable folder");
    let mut protected = std::fs::metadata(&old).expect("the file").permissions();
    protected.set_readonly(true);
    std::fs::set_permissions(&old, protected).expect("protected");
    open(&mut window);
    answer(&told, &old);
    click(&mut window, "Export to a file…");
    assert!(says(&window, "protected from writing"), "{:?}", words(&window));
    assert_eq!(std::fs::read_to_string(&old).expect("the file"), "old");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn a_path_is_written_by_hand() {
    let folder = folder("by hand");
    let (mut window, _) = with_sample("glass-float");
    open(&mut window);
    choose(&mut window, "Solid");
    choose(&mut window, "STL");
    click(&mut window, "Export by path…");
    assert!(matches!(window.state().dialog(), Some(Dialog::Path { text, .. }) if text.ends_with("_solid.stl")));
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.event(egui::Event::Text(folder.join("float").display().to_string()));
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert!(folder.join("float.stl").exists(), "{:?}", words(&window));
    let _ = std::fs::remove_dir_all(folder);
}
