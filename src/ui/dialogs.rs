//! The window's own dialogs: a path typed by hand, a pattern pasted, the question about unsaved changes, the list
//! of commands.

use std::path::{Path, PathBuf};

use egui::{Context, Id, Key, Modal, RichText, TextEdit};

use super::another_yarn::{self, SwapDraft};
use super::bench::Bench;
use super::chooser::Wanted;
use super::command::Command;
use super::export::{Choice, Export};
use super::focus;
use super::outline::{self, Drawing, Worked};
use super::swapping::Swapping;
use super::text::Text;
use super::weigh_in::{self, Preview, WeighDraft};
use crate::toy::{Records, Toy};
use crate::view::units::Units;

/// What is to happen once unsaved changes are settled.
#[derive(Clone, Debug, PartialEq)]
pub enum After {
    /// Clear the table.
    New,
    /// Ask for a file.
    Open,
    /// Ask for a path.
    OpenPath,
    /// Open this file.
    OpenFile(PathBuf),
    /// Open this sample.
    Sample(usize),
    /// Take this pattern.
    Pattern(String),
    /// Close the window.
    Close,
}

/// A dialog that is open.
#[derive(Clone, Debug, PartialEq)]
pub enum Dialog {
    /// A path typed by hand.
    Path {
        /// What for.
        wanted: Wanted,
        /// The text so far.
        text: String,
        /// The system had no dialog to show.
        no_system: bool,
    },
    /// A pattern to be pasted.
    Paste {
        /// The text so far.
        text: String,
    },
    /// What to write on paper or as a solid.
    Export(Box<Export>),
    /// Save, drop or keep working.
    Unsaved(After),
    /// A copy left by a program that did not end well.
    Recovered(PathBuf),
    /// What the scale or the tape says.
    WeighIn(Box<WeighDraft>),
    /// The toy otherwise, beside the one in hand.
    AnotherYarn(Box<SwapDraft>),
    /// An outline being drawn.
    Outline(Box<Drawing>),
    /// All commands.
    Commands {
        /// Words looked for.
        text: String,
        /// Place in the list of found ones.
        at: usize,
    },
}

impl Dialog {
    /// One dialog of every kind, for whoever looks at them all.
    pub fn each() -> Vec<Dialog> {
        let mut all = vec![Dialog::Path { wanted: Wanted::Open, text: String::new(), no_system: true }];
        while let Some(next) = all.last().and_then(Dialog::kind_after) {
            all.push(next);
        }
        all
    }

    /// The kind after: a new one has no place among [`Dialog::each`] until it is named here.
    fn kind_after(&self) -> Option<Dialog> {
        Some(match self {
            Dialog::Path { wanted: Wanted::Open, .. } => {
                Dialog::Path { wanted: Wanted::Save, text: "owl".to_owned(), no_system: false }
            }
            Dialog::Path { wanted: Wanted::Save, .. } => {
                Dialog::Path { wanted: Wanted::Export, text: "owl.pdf".to_owned(), no_system: true }
            }
            Dialog::Path { wanted: Wanted::Export, .. } => Dialog::Export(Box::default()),
            Dialog::Export(_) => Dialog::Paste { text: "6 12 18".to_owned() },
            Dialog::Paste { .. } => Dialog::Unsaved(After::New),
            Dialog::Unsaved(_) => Dialog::Recovered(PathBuf::new()),
            Dialog::Recovered(_) => Dialog::WeighIn(Box::default()),
            Dialog::WeighIn(_) => Dialog::AnotherYarn(Box::default()),
            Dialog::AnotherYarn(_) => Dialog::Commands { text: String::new(), at: 0 },
            Dialog::Commands { .. } => Dialog::Outline(Box::new(Drawing::new(&Toy::default(), false))),
            Dialog::Outline(_) => return None,
        })
    }
}

/// What came of a dialog.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// Open this file.
    OpenPath(PathBuf),
    /// Save in this file.
    SavePath(PathBuf),
    /// Ask where, then write this.
    Export(Choice),
    /// Ask for a path, then write this.
    ExportByPath(Choice),
    /// Write what was chosen in this file.
    ExportTo(PathBuf),
    /// Read this pattern.
    Pattern(String),
    /// Save first, then go on.
    SaveThen(After),
    /// Let the changes go.
    DropThen(After),
    /// Take up the copy.
    Recover(PathBuf),
    /// Let the copy go.
    Forget,
    /// Put these rounds into the toy.
    Worked(Box<Worked>),
    /// Do this.
    Command(Command),
    /// Keep these records, and say what came of it; the dialog stays where something was taken out.
    Records {
        /// All of them, as they are now.
        records: Records,
        /// What it is called when it is undone.
        step: &'static str,
        /// For the line of messages.
        told: String,
        /// The dialog stays.
        stays: bool,
    },
    /// Put this toy in the place of the one in hand.
    Swap(Box<Toy>),
}

impl Outcome {
    fn stays(&self) -> bool {
        matches!(self, Outcome::Records { stays: true, .. })
    }
}

/// What dialogs look at and keep from frame to frame.
pub struct Given<'a> {
    pub bench: &'a Bench,
    pub units: Units,
    pub preview: &'a mut Preview,
    pub swapping: &'a mut Swapping,
}

/// Shows a dialog. Answers whether it stays open, and what came of it.
pub fn show(ctx: &Context, dialog: &mut Dialog, given: Given) -> (bool, Option<Outcome>) {
    if let Dialog::Outline(drawing) = dialog {
        return outline::show(ctx, drawing);
    }
    let modal = Modal::new(Id::unique("dialog")).show(ctx, |ui| {
        let wide = match dialog {
            Dialog::WeighIn(_) => 480.0,
            Dialog::AnotherYarn(_) => 760.0,
            Dialog::Export(_) => super::export::width(ui.ctx()),
            _ => 420.0f32,
        };
        ui.set_width(wide.min(ui.ctx().content_rect().width() - 40.0));
        let new = focus::is_new(ui, std::mem::discriminant(dialog));
        match dialog {
            Dialog::Path { wanted, text, no_system } => path(ui, *wanted, text, *no_system, new),
            Dialog::Export(export) => export.show(ui, new),
            Dialog::Paste { text } => paste(ui, text, new),
            Dialog::Unsaved(after) => unsaved(ui, after, new),
            Dialog::Recovered(path) => recovered(ui, path, new),
            Dialog::WeighIn(draft) => weigh_in::show(ui, draft, given.bench, given.units, given.preview, new),
            Dialog::AnotherYarn(draft) => another_yarn::show(ui, draft, given.bench, given.units, given.swapping, new),
            Dialog::Commands { text, at } => commands(ui, text, at, new),
            Dialog::Outline(_) => (false, None),
        }
    });
    // It is put in the middle by the size it had a frame ago: where that has changed, one more frame sets it right.
    let key = Id::unique("size of the dialog");
    let (before, size) = (ctx.data(|d| d.get_temp::<egui::Vec2>(key)), modal.response.rect.size());
    if before != Some(size) {
        ctx.data_mut(|d| d.insert_temp(key, size));
        ctx.request_repaint();
    }
    // Escape, and a click beside it.
    let closed = modal.should_close();
    let (open, outcome) = modal.inner;
    (open && outcome.as_ref().is_none_or(Outcome::stays) && !closed, outcome)
}

/// Whether it stays open, and what came of it.
pub type Shown = (bool, Option<Outcome>);

fn path(ui: &mut egui::Ui, wanted: Wanted, text: &mut String, no_system: bool, new: bool) -> Shown {
    let (title, verb) = match wanted {
        Wanted::Open => ("Open a file", "Open"),
        Wanted::Save => ("Save the toy", "Save"),
        Wanted::Export => ("Export", "Export"),
    };
    ui.heading(title);
    if no_system {
        ui.label("This system shows no file dialog, so write the path here.");
    }
    let label = ui.label("Path of the file");
    let mut field = Text(text);
    let edit = TextEdit::singleline(&mut field).desired_width(f32::INFINITY).hint_text("/home/me/toys/owl.toy.ron");
    let response = ui.add(edit).labelled_by(label.id);
    first(&response, new);
    let entered = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    let mut shown = (true, None);
    ui.horizontal(|ui| {
        let some = !text.trim().is_empty();
        if ui.add_enabled(some, egui::Button::new(verb)).clicked() || (entered && some) {
            let path = PathBuf::from(text.trim());
            shown.1 = Some(match wanted {
                Wanted::Open => Outcome::OpenPath(path),
                Wanted::Save => Outcome::SavePath(path),
                Wanted::Export => Outcome::ExportTo(path),
            });
        }
        if ui.button("Cancel").clicked() {
            shown.0 = false;
        }
    });
    shown
}

/// The first field of a new dialog takes the keyboard.
pub fn first(response: &egui::Response, new: bool) {
    if new {
        response.request_focus();
    }
}

fn paste(ui: &mut egui::Ui, text: &mut String, new: bool) -> Shown {
    ui.heading("Paste a pattern");
    let label = ui.label("Written rounds of one part or of several, each under its name:");
    egui::ScrollArea::vertical().max_height(280.0).show(ui, |ui| {
        let mut field = Text(text);
        let edit = TextEdit::multiline(&mut field).desired_width(f32::INFINITY).desired_rows(12);
        first(&ui.add(edit.font(egui::TextStyle::Monospace)).labelled_by(label.id), new);
    });
    let mut shown = (true, None);
    ui.horizontal(|ui| {
        let some = !text.trim().is_empty();
        if ui.add_enabled(some, egui::Button::new("Read these rounds")).clicked() {
            shown.1 = Some(Outcome::Pattern(std::mem::take(text)));
        }
        if ui.button("Cancel").clicked() {
            shown.0 = false;
        }
    });
    shown
}

fn unsaved(ui: &mut egui::Ui, after: &After, new: bool) -> Shown {
    ui.heading("This toy is not saved");
    ui.label("Changes since it was last saved would be lost.");
    let mut shown = (true, None);
    ui.horizontal(|ui| {
        let save = ui.button("Save");
        first(&save, new);
        if save.clicked() {
            shown.1 = Some(Outcome::SaveThen(after.clone()));
        }
        if ui.button("Drop the changes").clicked() {
            shown.1 = Some(Outcome::DropThen(after.clone()));
        }
        if ui.button("Keep working").clicked() {
            shown.0 = false;
        }
    });
    shown
}

fn recovered(ui: &mut egui::Ui, path: &Path, new: bool) -> Shown {
    ui.heading("A toy was not saved");
    ui.label("The window did not close properly last time. A copy of the toy as it was then has been kept.");
    let mut shown = (true, None);
    ui.horizontal(|ui| {
        let take = ui.button("Take it up");
        first(&take, new);
        if take.clicked() {
            shown.1 = Some(Outcome::Recover(path.to_owned()));
        }
        if ui.button("Let it go").clicked() {
            shown.1 = Some(Outcome::Forget);
        }
        if ui.button("Ask again next time").clicked() {
            shown.0 = false;
        }
    });
    shown
}

/// Commands whose name or sentence has all the words.
pub fn found(words: &str) -> Vec<Command> {
    let words = words.to_lowercase();
    let has = |c: &Command| {
        let text = format!("{} {}", c.label(), c.about()).to_lowercase();
        words.split_whitespace().all(|w| text.contains(w))
    };
    let mut found: Vec<Command> = Command::ALL.iter().copied().filter(|c| *c != Command::Find).filter(has).collect();
    // Those called so come before those that only speak of it.
    found.sort_by_key(|c| !words.split_whitespace().all(|w| c.label().to_lowercase().contains(w)));
    found
}

fn commands(ui: &mut egui::Ui, text: &mut String, at: &mut usize, new: bool) -> Shown {
    ui.heading("All commands");
    let (mut down, mut up) = (false, false);
    let mut field = Text(text);
    let edit =
        TextEdit::singleline(&mut field).desired_width(f32::INFINITY).hint_text("Search, such as round or theme");
    let response = ui.add(edit).accessible_name("Search the commands");
    let entered = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    first(&response, new);
    if response.has_focus() {
        down = ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::ArrowDown));
        up = ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::ArrowUp));
    }
    let found = found(text);
    if response.changed() {
        *at = 0;
    }
    *at = (*at + usize::from(down)).saturating_sub(usize::from(up)).min(found.len().saturating_sub(1));
    let mut chosen = found.get(*at).copied().filter(|_| entered);
    egui::ScrollArea::vertical().max_height(300.0).auto_shrink([false, true]).show(ui, |ui| {
        focus::follow(ui);
        for (i, command) in found.iter().enumerate() {
            let keys = RichText::new(command.keys_text(ui.ctx())).weak();
            let button = egui::Button::new(command.label())
                .selected(i == *at)
                .right_text(keys)
                .min_size(egui::vec2(ui.available_width(), 24.0));
            let row = ui.add(button).on_hover_text(command.about());
            if i == *at && (down || up) {
                row.scroll_to_me(None);
            }
            if row.clicked() {
                chosen = Some(*command);
            }
        }
        if found.is_empty() {
            ui.label("No command has these words.");
        }
    });
    (true, chosen.map(Outcome::Command))
}
