//! A key press in the window itself, with no display: the frame that takes the key, the frame that shows what came of
//! it, and their triangles.

use std::hint::black_box;
use std::path::PathBuf;

use egui::{Event, Key, Modifiers, RawInput, Rect, pos2, vec2};
use toppleknot::document::{Document, to_text};
use toppleknot::ui::{App, Chooser, Command, Settings, Start};

use super::table::{Row, ratio, time};
use super::timing::in_turns;
use super::toys::toy;

/// The window, and the toolkit that asks it for frames.
struct Window {
    ctx: egui::Context,
    app: App,
    frame: eframe::Frame,
    seconds: f64,
}

impl Window {
    /// With a toy of so many parts, a round of its body chosen.
    fn of(parts: u32) -> Result<Window, String> {
        let file = std::env::temp_dir().join(format!("toppleknot-speed-{}-{parts}.toy.ron", std::process::id()));
        let document = Document { toy: toy(parts) };
        std::fs::write(&file, to_text(&document)).map_err(|e| e.to_string())?;
        let ctx = egui::Context::default();
        let chooser = Chooser::of(Box::new(|| None), Box::new(|_| None::<PathBuf>));
        let mut app = App::new(&ctx, chooser, Settings::default(), true);
        app.start(Start { path: Some(file.clone()), text: None });
        let _ = std::fs::remove_file(file);
        let mut window = Window { ctx, app, frame: eframe::Frame::_new_kittest(), seconds: 0.0 };
        window.draw(None);
        for _ in 0..21 {
            window.press(Command::NextRound);
        }
        Ok(window)
    }

    /// One frame and its triangles; returns how many corners they have.
    fn draw(&mut self, key: Option<(Modifiers, Key)>) -> usize {
        self.seconds += 1.0 / 60.0;
        let press = |pressed: bool, (modifiers, key): (Modifiers, Key)| Event::Key {
            key,
            physical_key: None,
            pressed,
            repeat: false,
            modifiers,
        };
        let events = key.into_iter().flat_map(|k| [press(true, k), press(false, k)]).collect();
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(pos2(0.0, 0.0), vec2(1360.0, 860.0))),
            time: Some(self.seconds),
            focused: true,
            events,
            ..RawInput::default()
        };
        let (app, frame) = (&mut self.app, &mut self.frame);
        let output = self.ctx.run_ui(input, |ui| eframe::App::ui(app, ui, frame));
        let shapes = self.ctx.tessellate(output.shapes, output.pixels_per_point);
        let corners = |p: &egui::ClippedPrimitive| match &p.primitive {
            egui::epaint::Primitive::Mesh(mesh) => mesh.vertices.len(),
            egui::epaint::Primitive::Callback(_) => 0,
        };
        shapes.iter().map(corners).sum()
    }

    /// A command by its keys, and the frame after it, in which it shows.
    fn press(&mut self, command: Command) {
        let keys = command.shortcut().map(|s| (s.modifiers, s.logical_key));
        black_box(self.draw(keys));
        black_box(self.draw(None));
    }

    fn stitches(&self) -> u64 {
        self.app.document().toy.pieces.first().map_or(0, |p| p.part.stitches())
    }
}

pub fn row(parts: u32) -> Row {
    let what = format!("key press to triangles in a window of 1360 × 860, {parts} parts of 50 rounds");
    let (mut window, mut other) = match (Window::of(parts), Window::of(parts)) {
        (Ok(window), Ok(other)) => (window, other),
        (Err(why), _) | (_, Err(why)) => return Row::absent(&what, &why),
    };
    let before = window.stitches();
    window.press(Command::MoreStitches);
    if window.stitches() != before + 1 {
        return Row::absent(&what, "the key changed nothing");
    }
    let mut more = false;
    let change = &mut || {
        window.press(if more { Command::MoreStitches } else { Command::FewerStitches });
        more = !more;
    };
    // The same two frames with nothing pressed.
    let still = &mut || _ = black_box(other.draw(None) + other.draw(None));
    let [change, still] = in_turns(1.5, [change, still]);
    Row {
        what,
        here: time(change.span()),
        against: format!("two frames in which nothing changes: {}", time(still.span())),
        ratio: ratio(change.over(&still)),
        aim: "a frame of 16.7 ms".to_owned(),
    }
}
