//! Keys in fields that hold odd texts: none may panic, wherever the cursor stands.

use egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;

use egui_kittest::Harness;
use toppleknot::ui::{App, Chooser, Settings, Start};

use super::window::{Window, copy_of};

/// Letters that no font has are drawn as boxes, as in the real window.
fn window() -> Window {
    let chooser = Chooser::of(Box::new(|| None), Box::new(|_| None));
    let app =
        move |cc: &mut eframe::CreationContext<'static>| App::new(&cc.egui_ctx, chooser, Settings::default(), false);
    let builder = Harness::builder().with_size(egui::vec2(1360.0, 900.0)).with_max_steps(12).allow_missing_glyphs();
    let mut window = builder.build_eframe(app);
    window.state_mut().start(Start { path: Some(copy_of("sea-wall-bear")), text: None });
    window.run();
    window
}

const ODD: [&str; 9] =
    ["\u{0}\u{7}\t", "\n", "\r\n", "é…", "e\u{301}", "\u{202E}قطة", "👩‍👩‍👧", "(sc, inc) x 6", "999999999999"];

fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
    let (on, off) = (Event::ModifiersChanged(modifiers), Event::ModifiersChanged(Modifiers::NONE));
    window.input_mut().events.extend([on, event(true), event(false), off]);
    window.step();
}

#[test]
fn words_are_deleted_in_fields_with_odd_texts() {
    let keys = [Key::Delete, Key::Backspace];
    let ends = [Key::End, Key::Home, Key::ArrowRight, Key::ArrowDown];
    let mut window = window();
    for text in ODD {
        for key in keys {
            for end in ends {
                for modifiers in [Modifiers::ALT, Modifiers::CTRL | Modifiers::COMMAND, Modifiers::NONE] {
                    window.get_by_label("Name of the part").focus();
                    window.step();
                    press(&mut window, Modifiers::COMMAND, Key::A);
                    for _ in 0..2 {
                        window.input_mut().events.push(Event::Text(text.to_owned()));
                        window.step();
                    }
                    press(&mut window, Modifiers::NONE, end);
                    press(&mut window, modifiers, key);
                }
            }
        }
    }
}
