//! Outlines: a start shape becomes a part, a handle is pulled, files are opened or told to be no outline.

use egui::{Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use toppleknot::rounds::Round;
use toppleknot::ui::{Command, Dialog, Start};

use super::screens::wrong;
use super::window::{Window, click, folder, says, window, with_sample, words};

fn counts(window: &Window, part: usize) -> Vec<u32> {
    window.state().document().toy.pieces[part].part.rounds.iter().map(Round::count).collect()
}

fn keys(window: &mut Window, command: Command) {
    let shortcut = command.shortcut().expect("it has keys");
    window.key_press_modifiers(shortcut.modifiers, shortcut.logical_key);
    window.run();
}

fn draw(window: &mut Window) {
    keys(window, Command::DrawOutline);
    assert!(matches!(window.state().dialog(), Some(Dialog::Outline(_))));
}

/// What the pad says of the outline.
fn pad(window: &Window) -> String {
    window.get_by_label("Outline being drawn").accesskit_node().value().unwrap_or_default()
}

fn drag(window: &mut Window, from: Pos2, to: Pos2) {
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    window.hover_at(from);
    window.step();
    window.event(button(from, true));
    window.step();
    for share in [0.2, 0.4, 0.6, 0.8, 1.0] {
        window.hover_at(from + (to - from) * share);
        window.step();
    }
    window.event(button(to, false));
    window.run();
}

#[test]
fn a_ball_becomes_a_part_and_is_taken_back() {
    let (mut window, _) = with_sample("glass-float");
    let before = window.state().document().clone();
    draw(&mut window);
    assert!(pad(&window).contains("60 mm wide, 60 mm high"), "{}", pad(&window));
    assert!(says(&window, "rounds, up to") && says(&window, "less than half a stitch"), "{:?}", words(&window));
    assert_eq!(wrong(&window), Vec::<String>::new());
    click(&mut window, "Make it a part");
    assert_eq!(window.state().dialog(), None);
    let toy = &window.state().document().toy;
    let made = toy.pieces.last().expect("a part");
    assert_eq!((toy.pieces.len(), made.part.name.as_str()), (before.toy.pieces.len() + 1, "ball"));
    // As wide as it was drawn, within half a stitch on either side.
    let at = toy.pieces.len() - 1;
    let shape = &toppleknot::measure::make(toy).shapes[at];
    let half_stitch = 0.5 * shape.fabric.w_mm.value();
    assert!((shape.widest_mm() - 60.0).abs() <= 2.0 * half_stitch, "{}", shape.widest_mm());
    keys(&mut window, Command::Undo);
    assert_eq!(window.state().document(), &before);
}

#[test]
fn the_size_is_typed_and_other_rounds_follow() {
    let (mut window, _) = with_sample("glass-float");
    draw(&mut window);
    let said = |window: &Window| window.get_by_label("Rounds of the outline").accesskit_node().value();
    let first = said(&window);
    window.get_by_label("Height of the outline").set_value_accesskit(90.0);
    window.run();
    assert!(pad(&window).contains("60 mm wide, 90 mm high"), "{}", pad(&window));
    assert_ne!(said(&window), first);
    click(&mut window, "Undo in the drawing");
    assert!(pad(&window).contains("60 mm high"), "{}", pad(&window));
    // Closed and opened again it is what it was.
    click(&mut window, "Redo in the drawing");
    window.key_press(Key::Escape);
    window.run();
    assert_eq!(window.state().dialog(), None);
    draw(&mut window);
    assert!(pad(&window).contains("90 mm high"), "{}", pad(&window));
}

#[test]
fn points_are_added_dragged_and_removed_and_moved_by_keys() {
    let (mut window, _) = with_sample("glass-float");
    draw(&mut window);
    let number = |window: &Window| pad(window).split(' ').next().and_then(|n| n.parse::<usize>().ok());
    let first = number(&window).expect("a number of points");
    let rect = window.get_by_label("Outline being drawn").rect();
    // Outward from the widest place of the ball: the outline lies in the middle of the pad.
    let scale = (rect.width() - 68.0).min(rect.height() - 68.0) / 60.0;
    let edge = rect.center() + vec2(30.0 * scale, 0.0);
    drag(&mut window, edge, edge + vec2(8.0 * scale, 0.0));
    assert!(pad(&window).contains("76 mm wide") || pad(&window).contains("75 mm wide"), "{}", pad(&window));
    window.get_by_label("Outline being drawn").focus();
    window.run();
    let grown = number(&window);
    window.key_press(Key::Insert);
    window.run();
    assert_eq!(number(&window), grown.map(|n| n + 1));
    window.key_press(Key::Delete);
    window.run();
    assert_eq!(number(&window), grown);
    // The chosen point goes 1 mm out.
    for _ in 0..first {
        window.key_press(Key::PageUp);
        window.run();
    }
    assert!(pad(&window).contains("point 1 of"), "{}", pad(&window));
    window.key_press(Key::PageDown);
    window.run();
    let across = |window: &Window| {
        let words = pad(window);
        let at = words.split("chosen: ").nth(1).and_then(|w| w.split(' ').next()).map(str::to_owned);
        at.and_then(|n| n.parse::<f64>().ok()).unwrap_or_else(|| panic!("{words}"))
    };
    let was = across(&window);
    window.key_press(Key::ArrowRight);
    window.run();
    assert!((across(&window) - was - 1.0).abs() < 0.06, "{was} {}", across(&window));
    assert!(window.get_by_label("Outline being drawn").accesskit_node().is_focused());
    assert_eq!(wrong(&window), Vec::<String>::new());
}

const PEAR: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='100mm' viewBox='0 0 80 100'>\
<path d='M0 95 C25 95 35 80 35 65 C35 40 18 40 18 25 C18 12 10 5 0 5' fill='none' stroke='black'/></svg>";

#[test]
fn a_drawing_is_opened_and_a_bad_one_is_told() {
    let folder = folder("drawings");
    let path = |name: &str, bytes: &[u8]| {
        let path = folder.join(name);
        std::fs::write(&path, bytes).expect("it is written");
        path.display().to_string()
    };
    let (mut window, _) = with_sample("glass-float");
    draw(&mut window);
    let open = |window: &mut Window, path: &str| {
        window.get_by_label("Path of a drawing or picture").focus();
        window.run();
        window.key_press_modifiers(Modifiers::COMMAND, Key::A);
        window.event(Event::Text(path.to_owned()));
        window.run();
        click(window, "Open the drawing or picture");
    };
    open(&mut window, &path("pear.svg", PEAR.as_bytes()));
    assert!(pad(&window).contains("70 mm wide, 90 mm high"), "{}", pad(&window));
    assert!(says(&window, "Taken over: 70 mm wide, 90 mm high"), "{:?}", words(&window));
    let pear = pad(&window);
    // Each in words, and the outline stays as it was.
    let entities = b"<!DOCTYPE svg [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;&a;'>]><svg>&b;</svg>";
    for (name, bytes, told) in [
        ("torn.svg", &PEAR.as_bytes()[..60], "torn.svg"),
        ("endless.svg", &entities[..], "entities"),
        ("no.png", b"no picture at all", "PNG"),
        ("torn.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\xff\xff\xff\xff\xff\xff\xff\xff\x08\x06\0\0\0", "picture"),
    ] {
        open(&mut window, &path(name, bytes));
        assert!(says(&window, told), "{name}: {:?}", words(&window));
        assert_eq!(pad(&window), pear, "{name}");
    }
    open(&mut window, &folder.join("nowhere.svg").display().to_string());
    assert!(says(&window, "cannot be read"));
    open(&mut window, &folder.display().to_string());
    assert!(says(&window, "folder"));
    let mut png = Vec::new();
    let picture = image::RgbaImage::from_pixel(40, 60, image::Rgba([90, 120, 60, 255]));
    picture.write_to(&mut std::io::Cursor::new(&mut png), image::ImageFormat::Png).expect("it is written");
    open(&mut window, &path("photo.png", &png));
    assert!(says(&window, "lies under the outline"), "{:?}", words(&window));
    assert_eq!(wrong(&window), Vec::<String>::new());
    click(&mut window, "Make it a part");
    let toy = &window.state().document().toy;
    assert_eq!(toy.pieces.last().map(|p| p.part.name.as_str()), Some("pear"));
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_outline_is_pulled_at_the_chosen_round() {
    let (mut window, _) = window();
    let text = "Body\n6 12 18 24 30 36 36 36 36 36 30 24 18 12 6\n";
    window.state_mut().start(Start { path: None, text: Some(text.to_owned()) });
    window.run();
    for _ in 0..8 {
        keys(&mut window, Command::NextRound);
    }
    let before = window.state().document().clone();
    let view = window.get_by_label("Front view of the toy").rect();
    // Found by trying along the middle of the view: where the pull changes counts, there is the handle.
    let made = toppleknot::measure::make(&before.toy);
    let ring = made.shapes[0].outer.rings[8];
    let high = made.shapes[0].outer.rings.last().expect("a ring").z_mm;
    let mut pulled = None;
    'found: for x in (0..60).map(|i| view.center().x + 4.0 * i as f32) {
        let share = (ring.z_mm / high) as f32;
        for by in [-0.06f32, -0.03, 0.0, 0.03, 0.06] {
            let y = view.bottom() - view.height() * (0.12 + 0.76 * share + by);
            let from = egui::pos2(x, y);
            window.hover_at(from);
            window.step();
            if window.output().platform_output.cursor_icon == egui::CursorIcon::ResizeHorizontal {
                pulled = Some(from);
                break 'found;
            }
        }
    }
    let from = pulled.expect("a handle at the chosen round");
    drag(&mut window, from, from + vec2(30.0, 0.0));
    let after = counts(&window, 0);
    assert!(after[7] > 36, "{after:?}");
    assert_eq!(after.len(), 15);
    assert_eq!((after[0], after[14]), (6, 6), "far away nothing moves: {after:?}");
    // The whole pull is one step, and named.
    assert_eq!(window.state().chosen(), Some((0, Some(7))));
    keys(&mut window, Command::Undo);
    assert_eq!(window.state().document(), &before);
}

#[test]
fn a_shape_is_added_by_its_size() {
    let (mut window, _) = with_sample("glass-float");
    let before = window.state().document().clone();
    click(&mut window, "Add a shape");
    assert_eq!(wrong(&window), Vec::<String>::new());
    window.get_by_label("Shape's width").set_value_accesskit(30.0);
    window.run();
    click(&mut window, "Add a limb");
    let toy = &window.state().document().toy;
    let at = toy.pieces.len() - 1;
    assert_eq!((toy.pieces.len(), toy.pieces[at].part.name.as_str()), (before.toy.pieces.len() + 1, "limb"));
    let wide = toppleknot::measure::make(toy).shapes[at].widest_mm();
    assert!((wide - 30.0).abs() < 4.0, "{wide}");
    keys(&mut window, Command::Undo);
    assert_eq!(window.state().document(), &before);
}
