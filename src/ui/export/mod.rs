//! Exporting from the window: a dialog with the page as it will be, and the deed.

mod make;
mod preview;

pub use make::{Choice, Format, What};

use std::path::Path;
use std::sync::Arc;

use egui::{
    Color32, Context, DragValue, Frame, RichText, Role, ScrollArea, Sense, StrokeKind, Ui, Vec2, WidgetInfo, vec2,
};

use super::app::App;
use super::bench::Bench;
use super::chooser::Wanted;
use super::dialogs::{Dialog, Outcome, Shown, first};
use super::focus;
use crate::document::write_whole;
use crate::export::not_written;
use crate::notation::Terms;
use crate::view::sheet::Paper;
use crate::view::units::Units;
use preview::{Key, Preview, Sight, Subject};

/// Width of the choices at the left.
const CHOICES: f32 = 268.0;
/// Room between them and the page.
const BETWEEN: f32 = 16.0;
/// Dots per inch that can be asked for: the most that A4 and Letter have room for is a little more.
const DPI: std::ops::RangeInclusive<f64> = 30.0..=1000.0;

/// Height of what is above the buttons.
fn height(ctx: &Context) -> f32 {
    (ctx.content_rect().height() - 150.0).clamp(200.0, 760.0)
}

/// Width of the dialog: the page is as tall as there is room, and Letter is the widest paper for its height.
pub(super) fn width(ctx: &Context) -> f32 {
    let paper = Paper::Letter.size_mm();
    CHOICES + BETWEEN + 12.0 + height(ctx) * (paper.x / paper.y) as f32
}

/// The dialog.
#[derive(Default)]
pub struct Export {
    /// What is chosen.
    pub choice: Choice,
    generation: u64,
    subject: Arc<Subject>,
    beside: bool,
    preview: Preview,
}

impl Export {
    /// A dialog that begins with a choice.
    pub fn new(choice: Choice) -> Export {
        Export { choice, ..Export::default() }
    }

    /// Takes the toy on the bench.
    pub(super) fn look_at(&mut self, bench: &Bench) {
        if self.generation != bench.generation() {
            self.generation = bench.generation();
            self.beside = bench.landing.is_beside();
            self.subject = Arc::new(Subject { toy: bench.toy().clone(), derived: Some(bench.derived_shared()) });
        }
    }

    /// Shows the dialog.
    pub(super) fn show(&mut self, ui: &mut Ui, new: bool) -> Shown {
        ui.heading("Export");
        ui.add_space(4.0);
        let tall = height(ui.ctx());
        ui.horizontal_top(|ui| {
            ui.vertical(|ui| {
                ui.set_width(CHOICES);
                ScrollArea::vertical().id_salt("choices").max_height(tall).auto_shrink([false, true]).show(ui, |ui| {
                    focus::follow(ui);
                    self.choices(ui);
                });
            });
            ui.add_space(BETWEEN - 8.0);
            ui.vertical(|ui| self.preview(ui, tall));
        });
        ui.separator();
        let mut shown = (true, None);
        ui.horizontal(|ui| {
            let write = ui.button("Export to a file…");
            first(&write, new);
            if write.clicked() {
                shown.1 = Some(Outcome::Export(self.choice));
            }
            let by_path = ui.button("Export by path…").on_hover_text("Where there is no file chooser");
            if by_path.clicked() {
                shown.1 = Some(Outcome::ExportByPath(self.choice));
            }
            if ui.button("Cancel").clicked() {
                shown.0 = false;
            }
        });
        shown
    }

    fn choices(&mut self, ui: &mut Ui) {
        let choice = &mut self.choice;
        let before = *choice;
        part(ui, "What");
        for what in What::ALL {
            ui.radio_value(&mut choice.what, what, what.name()).on_hover_text(what.about());
        }
        quiet(ui, choice.what.about());
        *choice = choice.sound();
        part(ui, "Form");
        ui.horizontal_wrapped(|ui| {
            for format in choice.what.formats() {
                ui.radio_value(&mut choice.format, *format, format.name()).on_hover_text(format.about());
            }
        });
        quiet(ui, choice.format.about());
        if choice.format == Format::Png {
            ui.horizontal(|ui| {
                let label = ui.label("Dots per inch");
                ui.add(DragValue::new(&mut choice.dpi).range(DPI).speed(5.0).max_decimals(0)).labelled_by(label.id);
            });
        }
        if choice.what != What::Solid {
            part(ui, "Paper");
            ui.horizontal_wrapped(|ui| {
                ui.radio_value(&mut choice.paper, Paper::A4, "A4");
                ui.radio_value(&mut choice.paper, Paper::Letter, "Letter");
            });
        }
        if choice.what == What::Work {
            part(ui, "Terms");
            ui.horizontal_wrapped(|ui| {
                ui.radio_value(&mut choice.terms, Terms::Us, "US terms");
                ui.radio_value(&mut choice.terms, Terms::Uk, "UK terms");
            });
        }
        part(ui, "Units that stand first");
        ui.horizontal_wrapped(|ui| {
            ui.radio_value(&mut choice.units, Units::Metric, "Metric");
            ui.radio_value(&mut choice.units, Units::Imperial, "Inches");
        });
        if matches!(choice.what, What::Sketch | What::FullSize) {
            ui.add_space(6.0);
            ui.checkbox(&mut choice.top, "The toy from above too");
        }
        if before.what != choice.what {
            choice.page = 0;
        }
    }

    fn preview(&mut self, ui: &mut Ui, tall: f32) {
        // The line under the page keeps its room where there is one page alone.
        ui.set_min_height(tall);
        let line = ui.spacing().interact_size.y + ui.spacing().item_spacing.y;
        let room = vec2(ui.available_width(), tall - line);
        let paper = self.choice.paper.size_mm();
        // The whole page within the room.
        let page_tall = room.y.min(room.x * (paper.y / paper.x) as f32).max(60.0);
        let size = vec2(page_tall * (paper.x / paper.y) as f32, page_tall);
        let tall_px = (page_tall * ui.ctx().pixels_per_point()).round().max(1.0) as u32;
        let key = Key { choice: self.choice.seen(), generation: self.generation, tall_px };
        self.preview.look(ui.ctx(), key, &self.subject, self.beside);
        let making = self.preview.is_making();
        let Some((sight, texture)) = self.preview.sight() else {
            ui.allocate_ui(size, |ui| {
                ui.set_min_size(size);
                ui.label("Drawing the page…");
            });
            return;
        };
        match (sight, texture) {
            (Sight::Page { page, label, pages, .. }, Some(texture)) => {
                let (page, pages) = (*page, *pages);
                let words = format!("{}, page {} of {pages}", self.choice.what.name(), page + 1);
                page_picture(ui, texture, size, words, making);
                let label =
                    if pages > 1 && *label != (page + 1).to_string() { format!(" ({label})") } else { String::new() };
                self.choice.page = self.choice.page.min(pages.saturating_sub(1));
                if pages > 1 {
                    turning(ui, &mut self.choice.page, pages, &label);
                }
            }
            (Sight::Solid(lines), _) => solid(ui, size, self.choice.format, lines),
            (Sight::Problem(why), _) => {
                ui.allocate_ui(size, |ui| {
                    ui.set_min_size(size);
                    ui.label(RichText::new("This cannot be exported").strong());
                    ui.label(upper_first(why));
                });
            }
            (Sight::Page { .. }, None) => {}
        }
    }
}

fn part(ui: &mut Ui, text: &str) {
    ui.add_space(6.0);
    ui.label(RichText::new(text).small().strong());
}

fn quiet(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).small().weak());
}

fn upper_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// The page with an edge, as paper lies on a table; paler while a newer one is drawn.
fn page_picture(ui: &mut Ui, texture: &egui::TextureHandle, size: Vec2, words: String, making: bool) {
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let tint = if making { Color32::from_gray(210) } else { Color32::WHITE };
    let all = egui::Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(1.0, 1.0));
    ui.painter().image(texture.id(), rect, all, tint);
    ui.painter().rect_stroke(rect, 0, ui.visuals().widgets.noninteractive.bg_stroke, StrokeKind::Outside);
    response.widget_info(move || WidgetInfo::labeled(Role::Image, true, words.clone()));
}

fn turning(ui: &mut Ui, page: &mut usize, pages: usize, label: &str) {
    ui.horizontal(|ui| {
        if ui.add_enabled(*page > 0, egui::Button::new("Previous page")).clicked() {
            *page -= 1;
        }
        ui.label(format!("{} of {pages}{label}", *page + 1));
        if ui.add_enabled(*page + 1 < pages, egui::Button::new("Next page")).clicked() {
            *page += 1;
        }
    });
}

fn solid(ui: &mut Ui, size: Vec2, format: Format, lines: &[String]) {
    Frame::group(ui.style()).show(ui, |ui| {
        ui.set_min_size(size - vec2(16.0, 16.0));
        ui.set_max_width(ui.available_width());
        ui.label(RichText::new("The toy as a solid").strong());
        for line in lines {
            ui.label(line);
        }
        ui.add_space(6.0);
        let about = match format {
            Format::Stl => "One file of triangles in mm, every piece closed, as slicers want it. STL has no colours.",
            _ => "Every piece is a closed surface of its own under its name, in the colours of its rounds.",
        };
        ui.label(about);
        ui.label(
            "The outside of the fabric bounds it; sizes are those of the report. Parts without a place lie beside.",
        );
    });
}

impl Clone for Export {
    fn clone(&self) -> Self {
        Export {
            choice: self.choice,
            generation: self.generation,
            subject: Arc::clone(&self.subject),
            beside: self.beside,
            preview: Preview::default(),
        }
    }
}

impl PartialEq for Export {
    fn eq(&self, other: &Self) -> bool {
        self.choice == other.choice
    }
}

impl std::fmt::Debug for Export {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Export").field("choice", &self.choice).finish_non_exhaustive()
    }
}

impl App {
    /// Opens the dialog with what was chosen last, in the window's terms and units.
    pub(super) fn ask_export(&mut self) {
        let (terms, units) = (self.settings.terms(), self.settings.units());
        let choice = Choice { terms, units, page: 0, ..self.exported };
        self.dialog = Some(Dialog::Export(Box::new(Export::new(choice))));
    }

    /// Asks where to write what was chosen.
    pub(super) fn export_chosen(&mut self, choice: Choice, ctx: &Context) {
        self.exported = choice;
        self.chooser.ask(Wanted::Export, &self.export_name(), ctx);
    }

    fn export_name(&self) -> String {
        let name = self.file_name();
        self.exported.file_name(name.strip_suffix(".toy.ron").unwrap_or(&name))
    }

    /// A path to begin from: beside the toy's own file.
    pub(super) fn export_path(&self) -> String {
        let folder = self.bench.path.as_deref().and_then(Path::parent);
        let name = self.export_name();
        folder.map_or_else(|| name.clone(), |folder| folder.join(&name).display().to_string())
    }

    /// Writes what was chosen, whole or not at all, and says what came of it.
    pub(super) fn export_to(&mut self, path: &Path) {
        let (choice, path) = self.exported.for_path(path);
        let made = make::bytes(choice, self.bench.toy(), self.bench.derived());
        let written = made
            .map_err(|why| format!("Nothing was exported: {why}"))
            .and_then(|bytes| write_whole(&path, &bytes).map_err(|why| not_written(&path, bytes.len(), &why)));
        self.message = Some(match written {
            Ok(()) => format!("{} exported to {}.", choice.what.name(), path.display()),
            Err(why) => why,
        });
    }
}
