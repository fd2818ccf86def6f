//! The window put together: menus above, parts and rounds on the left, the toy in the middle, verdicts on the
//! right.

use std::path::{Path, PathBuf};

use egui::{CentralPanel, Color32, Context, Frame, Margin, Panel, RichText, ScrollArea, ThemePreference, Ui};

use super::bench::Bench;
use super::chooser::{Chooser, Wanted};
use super::command::Command;
use super::dialogs::{self, After, Dialog, Given, Outcome};
use super::export::Choice;
use super::landing::{Landing, Places, Wake};
use super::making::Making;
use super::mending::{Mending, Search};
use super::middle::{self, Views};
use super::outline::Drawing;
use super::pages::{self, Page};
use super::parts::{self, NameDraft};
use super::recovery::Recovery;
use super::run::Start;
use super::settings::{Look, Settings};
use super::swapping::Swapping;
use super::weigh_in::Preview;
use super::welcome::Welcome;
use super::written::WrittenDraft;
use super::{cards, fields, focus, look, rounds, seat, stuff, work, written, yarns};
use crate::document::Document;
use crate::document::history::EditKind;

/// Panels of the chosen part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Tab {
    #[default]
    Rounds,
    Written,
    Stuffing,
    Place,
    Yarn,
    Added,
    Work,
}

const TABS: [(Tab, &str); 7] = [
    (Tab::Rounds, "Rounds"),
    (Tab::Written, "Text"),
    (Tab::Stuffing, "Stuffing"),
    (Tab::Place, "Place"),
    (Tab::Yarn, "Yarn"),
    (Tab::Added, "Added"),
    (Tab::Work, "Work"),
];

/// The window's state.
pub struct App {
    pub(super) bench: Bench,
    pub(super) settings: Settings,
    pub(super) settings_file: Option<PathBuf>,
    pub(super) kept: Settings,
    pub(super) chooser: Chooser,
    pub(super) dialog: Option<Dialog>,
    /// What is to happen after the save that was asked for.
    pub(super) after_save: Option<After>,
    /// What was exported last, to begin from.
    pub(super) exported: Choice,
    pub(super) may_close: bool,
    pub(super) message: Option<String>,
    pub(super) views: Views,
    pub(super) tab: Tab,
    pub(super) names: NameDraft,
    pub(super) written: WrittenDraft,
    pub(super) welcome: Welcome,
    pub(super) mending: Mending,
    making: Making,
    preview: Preview,
    swapping: Swapping,
    /// The outline that was drawn last, until it is taken up again.
    pub(super) drawing: Option<Box<Drawing>>,
    title: String,
    pub(super) recovery: Recovery,
    /// The window is cleared in the panels' colour before each frame, so that they need not be filled.
    is_cleared: bool,
}

impl App {
    /// A window with an empty table. `beside`: slow things run in threads of their own (tests let them run at
    /// once). Nothing is kept on disk until [`App::keep_in`] says where.
    pub fn new(ctx: &Context, chooser: Chooser, settings: Settings, beside: bool) -> App {
        look::dress(ctx);
        ctx.options_mut(|o| o.zoom_with_keyboard = false);
        let wake = || -> Wake {
            let ctx = ctx.clone();
            Box::new(move || ctx.request_repaint())
        };
        let search = if beside {
            let ctx = ctx.clone();
            Search::beside(std::sync::Arc::new(move || ctx.request_repaint()))
        } else {
            Search::at_once()
        };
        let landing = if beside { Landing::beside(wake()) } else { Landing::at_once() };
        let mut bench = Bench::new(landing);
        if beside {
            bench.places = Places::beside(wake());
        }
        let app = App {
            bench,
            kept: settings.clone(),
            settings,
            settings_file: None,
            chooser,
            dialog: None,
            after_save: None,
            exported: Choice::default(),
            may_close: false,
            message: None,
            views: Views::default(),
            tab: Tab::default(),
            names: NameDraft::default(),
            written: WrittenDraft::default(),
            welcome: Welcome::default(),
            mending: Mending::new(search),
            making: Making::default(),
            preview: Preview::default(),
            swapping: Swapping::new(beside.then(wake)),
            drawing: None,
            title: String::new(),
            recovery: Recovery::new(None),
            is_cleared: false,
        };
        app.apply_look(ctx);
        app
    }

    /// Where settings are kept, and copies of what is not saved; a copy that another run left is offered.
    pub fn keep_in(&mut self, settings_file: Option<PathBuf>, recovery_folder: Option<PathBuf>) {
        self.settings_file = settings_file;
        self.recovery = Recovery::new(recovery_folder);
        if let Some(copy) = self.recovery.offer() {
            self.dialog = Some(Dialog::Recovered(copy));
        }
    }

    /// Leaves the ground of the panels to [`eframe::App::clear_color`]. Where the processor draws, filling the whole
    /// window once more takes a good part of a frame.
    pub fn draw_on_cleared_window(&mut self) {
        self.is_cleared = true;
    }

    /// The frame of a panel that fills its part of the window.
    fn panel(&self, ui: &Ui, margin: Margin) -> Frame {
        let ground = if self.is_cleared { Color32::TRANSPARENT } else { ui.visuals().panel_fill };
        Frame::NONE.fill(ground).inner_margin(margin)
    }

    /// Opens what the window is to begin with.
    pub fn start(&mut self, start: Start) {
        if let Some(path) = start.path {
            self.open_file(&path);
        } else if let Some(text) = start.text {
            self.open_pattern(&text);
        }
    }

    /// The document in hand.
    pub fn document(&self) -> &Document {
        self.bench.document()
    }

    /// Documents opened or begun so far: undoing leads back to the beginning of the last of them.
    pub fn documents_begun(&self) -> u64 {
        self.bench.begun()
    }

    /// The file it is in.
    pub fn path(&self) -> Option<&Path> {
        self.bench.path.as_deref()
    }

    /// Whether there is anything that is not on disk.
    pub fn is_changed(&self) -> bool {
        self.bench.is_changed()
    }

    /// Takes back the last step; `false` where there is none.
    pub fn undo(&mut self) -> bool {
        self.bench.undo()
    }

    /// Does again what was taken back; `false` where there is nothing.
    pub fn redo(&mut self) -> bool {
        self.bench.redo()
    }

    /// Chosen part and round, counted from 0.
    pub fn chosen(&self) -> Option<(usize, Option<usize>)> {
        self.bench.chosen().map(|c| (c.part, c.round))
    }

    /// How the maker likes the window.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The dialog that is open.
    pub fn dialog(&self) -> Option<&Dialog> {
        self.dialog.as_ref()
    }

    /// Opens a dialog, whatever was open before.
    pub fn ask(&mut self, dialog: Dialog) {
        self.dialog = Some(dialog);
    }

    /// Which of the ways to land is looked at, by its place in the report.
    pub fn lying(&self) -> Option<usize> {
        self.bench.lying()
    }

    /// Panels of the chosen part, by what they are called.
    pub fn panels() -> impl Iterator<Item = &'static str> {
        TABS.iter().map(|(_, name)| *name)
    }

    pub(super) fn apply_look(&self, ctx: &Context) {
        ctx.set_theme(match self.settings.look {
            Look::System => ThemePreference::System,
            Look::Light => ThemePreference::Light,
            Look::Dark => ThemePreference::Dark,
        });
        ctx.set_zoom_factor(self.settings.scale);
    }

    fn keep_settings(&mut self) {
        if self.kept != self.settings {
            self.kept = self.settings.clone();
            if let Some(Err(why)) = self.settings_file.as_deref().map(|file| self.settings.save(file)) {
                self.message = Some(format!("The window's settings could not be kept: {why}."));
            }
        }
    }

    fn left(&mut self, ui: &mut Ui, todo: &mut Vec<Command>) {
        parts::toy(ui, &mut self.bench);
        ui.add_space(4.0);
        parts::list(ui, &mut self.bench, todo);
        ui.add_space(2.0);
        ui.separator();
        if self.bench.chosen_part().is_none() {
            parts::nothing(ui);
            return;
        }
        parts::heading(ui, &mut self.bench, &mut self.names);
        ui.horizontal_wrapped(|ui| {
            let roomy = ui.available_width() > 290.0;
            ui.spacing_mut().item_spacing.x = if roomy { 1.0 } else { 0.0 };
            ui.spacing_mut().button_padding.x = if roomy { 4.0 } else { 3.0 };
            let size = if roomy { 12.5 } else { 12.0 };
            for (tab, name) in TABS {
                if ui.selectable_label(self.tab == tab, RichText::new(name).size(size)).clicked() {
                    self.tab = tab;
                    self.bench.seal();
                }
            }
        });
        ui.push_id(self.bench.chosen_part(), |ui| match self.tab {
            Tab::Rounds => rounds::show(ui, &mut self.bench, self.settings.terms(), todo),
            Tab::Written => written::show(ui, &mut self.bench, &mut self.written, self.settings.terms()),
            tab => {
                ScrollArea::vertical().id_salt("panel").auto_shrink([false, false]).show(ui, |ui| {
                    focus::follow(ui);
                    match tab {
                        Tab::Stuffing => stuff::show(ui, &mut self.bench),
                        Tab::Place => seat::show(ui, &mut self.bench),
                        Tab::Yarn => yarns::show(ui, &mut self.bench, self.settings.units(), todo),
                        Tab::Added => stuff::added(ui, &mut self.bench),
                        Tab::Work => work::show(ui, &mut self.bench),
                        Tab::Rounds | Tab::Written => {}
                    }
                });
            }
        });
    }

    fn message(&mut self, ui: &mut Ui) {
        let Some(message) = self.message.clone() else { return };
        Panel::bottom("message")
            .frame(Frame::NONE.fill(ui.visuals().selection.bg_fill).inner_margin(Margin::symmetric(10, 5)))
            .show(ui, |ui| {
                ui.horizontal(|ui| {
                    let words = ui.visuals().selection.stroke.color;
                    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                        if ui.small_button("Close").accessible_name("Close the message").clicked() {
                            self.message = None;
                        }
                        ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                            ui.add(egui::Label::new(RichText::new(message).color(words)).wrap());
                        });
                    });
                });
            });
    }

    /// Shows everything.
    fn everything(&mut self, ui: &mut Ui, frame: &eframe::Frame) {
        let ctx = ui.ctx().clone();
        self.bench.landing.look();
        self.bench.places.look();
        fields::tell_units(ui, self.settings.units());
        let mut todo = if self.dialog.is_none() { Command::pressed(&ctx) } else { Vec::new() };
        let mut after = None;
        self.take_drops(&ctx);
        self.take_answers(&ctx);
        self.take_pasted(&ctx);
        let frame_of_menus = self.panel(ui, Margin::symmetric(8, 2));
        Panel::top("menus").frame(frame_of_menus).show(ui, |ui| self.menus(ui, &mut todo, &mut after));
        self.message(ui);
        if self.bench.toy().pieces.is_empty() && !self.bench.is_changed() {
            let page = self.panel(ui, Margin::same(8));
            let begin = CentralPanel::default().frame(page).show(ui, |ui| self.welcome.show(ui, &mut todo)).inner;
            if let Some(begin) = begin {
                self.begin(begin);
                ctx.request_repaint();
            }
        } else {
            self.workbench(ui, frame, &mut todo);
        }
        if let Some(after) = after {
            self.guarded(&ctx, after);
            ctx.request_repaint();
        }
        if !todo.is_empty() {
            for command in todo {
                self.run(command, &ctx);
            }
            ctx.request_repaint();
        }
        self.show_dialog(&ctx);
        self.guard_close(&ctx);
        self.keep_settings();
        // While a button is held the change is not over yet.
        if !ctx.input(|i| i.pointer.any_down()) {
            let changed = self.bench.is_changed() && !self.bench.toy().pieces.is_empty();
            self.recovery.tell(self.bench.generation(), changed, self.bench.document());
        }
        self.set_title(&ctx);
    }

    fn workbench(&mut self, ui: &mut Ui, frame: &eframe::Frame, todo: &mut Vec<Command>) {
        let wide = ui.available_width();
        let side = |share: f32| (wide * share).clamp(278.0, 380.0);
        let margin = self.panel(ui, Margin::symmetric(9, 7));
        Panel::left("parts").default_size(side(0.26)).size_range(240.0..=(wide * 0.45)).frame(margin).show(ui, |ui| {
            ui.take_available_space();
            self.left(ui, todo);
        });
        let units = self.settings.units();
        Panel::right("verdicts").default_size(side(0.235)).size_range(220.0..=(wide * 0.4)).frame(margin).show(
            ui,
            |ui| {
                let page = &mut self.settings.page;
                pages::show(ui, page);
                let mut mend = None;
                ScrollArea::vertical().id_salt(("verdicts", page.name())).auto_shrink([false, false]).show(ui, |ui| {
                    focus::follow(ui);
                    match page {
                        Page::Toy => mend = cards::show(ui, &mut self.bench, units, todo),
                        Page::Making => {
                            self.making.show(ui, &mut self.bench, &mut self.tab, units, todo);
                        }
                        Page::Mending => self.mending.show(ui, &mut self.bench, units),
                    }
                });
                if let Some(finding) = mend {
                    self.mending.lead_to(finding);
                    *page = Page::Mending;
                    ui.request_repaint();
                } else if *page != Page::Mending {
                    self.mending.leave(&mut self.bench);
                }
            },
        );
        // After the panels, so that what they changed is in it.
        self.bench.show_as_made(self.settings.as_made);
        let state = frame.wgpu_render_state();
        CentralPanel::default().frame(margin).show(ui, |ui| {
            middle::show(ui, &mut self.bench, &mut self.views, &self.settings, state, todo);
        });
        focus::show_edge(ui);
    }

    fn show_dialog(&mut self, ctx: &Context) {
        let Some(mut dialog) = self.dialog.take() else { return };
        if let Dialog::Export(export) = &mut dialog {
            export.look_at(&self.bench);
        }
        let (open, outcome) = {
            let units = self.settings.units();
            let (preview, swapping) = (&mut self.preview, &mut self.swapping);
            dialogs::show(ctx, &mut dialog, Given { bench: &self.bench, units, preview, swapping })
        };
        if open {
            self.dialog = Some(dialog);
        } else if let (Dialog::Outline(drawing), None) = (dialog, &outcome) {
            self.drawing = Some(drawing);
        }
        match outcome {
            None => {}
            Some(Outcome::OpenPath(path)) => self.open_file(&path),
            Some(Outcome::SavePath(path)) => self.save_to(&path, ctx),
            Some(Outcome::Export(choice)) => self.export_chosen(choice, ctx),
            Some(Outcome::ExportByPath(choice)) => {
                self.exported = choice;
                self.ask_path(Wanted::Export, false);
            }
            Some(Outcome::ExportTo(path)) => self.export_to(&path),
            Some(Outcome::Pattern(text)) => self.guarded(ctx, After::Pattern(text)),
            Some(Outcome::SaveThen(after)) => {
                self.after_save = Some(after);
                self.save(ctx);
            }
            Some(Outcome::DropThen(after)) => self.go_on(after, ctx),
            Some(Outcome::Worked(worked)) => self.take_outline(*worked),
            Some(Outcome::Command(command)) => self.run(command, ctx),
            Some(Outcome::Recover(copy)) => self.recover(&copy),
            Some(Outcome::Records { records, step, told, .. }) => {
                self.bench.edit(EditKind::Once(step), |toy| toy.records = records);
                self.message = Some(told);
                ctx.request_repaint();
            }
            Some(Outcome::Swap(new)) => {
                self.bench.edit(EditKind::Once("another yarn"), |toy| *toy = *new);
                self.views.fit();
            }
            Some(Outcome::Forget) => self.recovery.forget(),
        }
        if !matches!(self.dialog, Some(Dialog::Recovered(_))) {
            self.recovery.let_be();
        }
        if !open {
            ctx.request_repaint();
        }
    }

    fn set_title(&mut self, ctx: &Context) {
        let name = &self.bench.toy().name;
        let changed = if self.bench.is_changed() { "• " } else { "" };
        let title =
            if name.is_empty() { format!("{changed}Toppleknot") } else { format!("{changed}{name} – Toppleknot") };
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, frame: &mut eframe::Frame) {
        self.everything(ui, frame);
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }

    fn on_exit(&mut self) {
        self.recovery.finish();
    }
}
