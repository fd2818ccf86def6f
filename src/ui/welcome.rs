//! What is shown while there is no toy: three ways to begin, said at once.

use std::sync::Arc;

use egui::{RichText, Role, Sense, TextEdit, Ui, WidgetInfo, vec2};

use super::command::Command;
use super::paint::{Placing, paint};
use super::text::Text;
use super::{focus, look};
use crate::document::{Sample, TextScene, open_text, samples};
use crate::measure::make;
use crate::view::elevation::{Side, elevation};
use crate::view::picture::Picture;

/// The page's own state.
#[derive(Default)]
pub struct Welcome {
    /// The pattern text being pasted.
    pub text: String,
    /// Pictures of the samples.
    gallery: Option<Vec<Arc<Picture>>>,
    frames: u8,
}

/// What was chosen on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Begin {
    /// Read the text.
    Text,
    /// Open this sample, by its place in the list.
    Sample(usize),
    /// Begin with a ball.
    Ball,
}

/// The pictures of the samples are most of the page's triangles, and the page does not wait for them. The first frame
/// is drawn before the window is shown, so it is the second that the maker sees first.
const FRAMES_BEFORE_PICTURES: u8 = 2;

const EXAMPLE: &str = "Head\nRnd 1: 6 sc in a magic ring (6)\nRnd 2: (inc) x 6 (12)\nRnd 3: (sc, inc) x 6 (18)\n…\n\nBody\n6 12 18 24 30 30 30 30 24 18";

impl Welcome {
    /// Shows the page.
    pub fn show(&mut self, ui: &mut Ui, todo: &mut Vec<Command>) -> Option<Begin> {
        let mut begin = None;
        egui::ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
            focus::follow(ui);
            let wide = ui.available_width().min(980.0);
            ui.vertical_centered(|ui| {
                ui.set_max_width(wide);
                ui.add_space(18.0);
                title(ui);
                ui.add_space(12.0);
                if wide > 700.0 {
                    ui.columns(2, |columns| {
                        paste(&mut columns[0], &mut self.text, &mut begin);
                        others(&mut columns[1], todo, &mut begin);
                    });
                } else {
                    paste(ui, &mut self.text, &mut begin);
                    others(ui, todo, &mut begin);
                }
                ui.add_space(14.0);
                self.gallery(ui, &mut begin);
                ui.add_space(18.0);
            });
        });
        begin
    }

    fn gallery(&mut self, ui: &mut Ui, begin: &mut Option<Begin>) {
        if samples().is_empty() {
            return;
        }
        if self.frames >= FRAMES_BEFORE_PICTURES {
            self.gallery.get_or_insert_with(|| samples().iter().map(|s| Arc::new(portrait(s))).collect());
        } else {
            self.frames += 1;
            ui.ctx().request_repaint();
        }
        let pictures = self.gallery.as_deref().unwrap_or_default();
        ui.with_layout(egui::Layout::top_down(egui::Align::Min), |ui| {
            look::group_heading(ui, "Or look at a sample");
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = vec2(10.0, 10.0);
                for (i, sample) in samples().iter().enumerate() {
                    if tile(ui, sample, pictures.get(i).map(|p| &**p)).clicked() {
                        *begin = Some(Begin::Sample(i));
                    }
                }
            });
        });
    }
}

fn title(ui: &mut Ui) {
    let (rect, _) = ui.allocate_exact_size(vec2(56.0, 64.0), Sense::hover());
    look::sign(ui.painter(), rect, look::ground(ui));
    ui.label(RichText::new("Toppleknot").size(32.0).family(look::strong_family()).strong());
    ui.label("Round counts in; shape, size, balance, neck and yarn out, before you work a stitch.");
}

fn paste(ui: &mut Ui, text: &mut String, begin: &mut Option<Begin>) {
    look::sheet(ui).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.with_layout(egui::Layout::top_down(egui::Align::Min), |ui| {
            look::group_heading(ui, "Paste a pattern");
            ui.label("The written rounds of one part or of several, each under its name.");
            egui::ScrollArea::vertical().id_salt("pattern").max_height(190.0).show(ui, |ui| {
                let mut field = Text(text);
                let edit =
                    TextEdit::multiline(&mut field).desired_width(f32::INFINITY).desired_rows(9).hint_text(EXAMPLE);
                ui.add(edit.font(egui::TextStyle::Monospace)).accessible_name("Pattern text");
            });
            let some = !text.trim().is_empty();
            if ui
                .add_enabled(some, egui::Button::new("Read these rounds"))
                .on_disabled_hover_text("Paste or type rounds first")
                .clicked()
            {
                *begin = Some(Begin::Text);
            }
        });
    });
}

fn others(ui: &mut Ui, todo: &mut Vec<Command>, begin: &mut Option<Begin>) {
    look::sheet(ui).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.with_layout(egui::Layout::top_down(egui::Align::Min), |ui| {
            look::group_heading(ui, "Open a file");
            ui.label("A toy you saved, or a text of written rounds. Dropping it on this window does the same.");
            if ui.button("Open…").clicked() {
                todo.push(Command::Open);
            }
            ui.add_space(8.0);
            look::group_heading(ui, "Begin from nothing");
            ui.label("A small ball to pull into shape: drag the bars of its rounds and watch.");
            if ui.button("Begin with a ball").clicked() {
                *begin = Some(Begin::Ball);
            }
            ui.add_space(8.0);
            look::group_heading(ui, "What you will see");
            ui.label("The stuffed toy true to scale, with a plumb line from its centre of mass; whether it stands, whether its neck holds, and what to change.");
        });
    });
}

/// A sample as it looks from the front.
fn portrait(sample: &Sample) -> Picture {
    let opened = open_text(sample.text, sample.title, true, &TextScene::default());
    opened.map_or_else(
        |_| Picture::default(),
        |o| elevation(&o.document.toy, &make(&o.document.toy), Side::Front, None).picture,
    )
}

fn tile(ui: &mut Ui, sample: &Sample, picture: Option<&Picture>) -> egui::Response {
    let size = vec2(150.0, 196.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    if ui.is_rect_visible(rect) {
        let visuals = ui.visuals();
        let edge =
            if response.hovered() || response.has_focus() { visuals.selection.stroke } else { visuals.window_stroke };
        let fill = if response.hovered() { visuals.widgets.hovered.bg_fill } else { visuals.window_fill };
        ui.painter().rect(rect, 8, fill, edge, egui::StrokeKind::Inside);
        let frame = egui::Rect::from_min_size(rect.min + vec2(12.0, 10.0), vec2(size.x - 24.0, 112.0));
        if let Some(picture) = picture.filter(|p| !p.extent.is_empty()) {
            paint(
                &ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())),
                picture,
                Placing::fit(picture.extent, frame),
                look::ground(ui),
            );
        }
        let words = |text: &str, size: f32, rows: usize, colour: egui::Color32| {
            let mut job =
                egui::text::LayoutJob::simple(text.to_owned(), egui::FontId::proportional(size), colour, 132.0);
            job.wrap.max_rows = rows;
            ui.painter().layout_job(job)
        };
        let name = words(sample.title, 14.0, 1, visuals.strong_text_color());
        let about = words(sample.about, 11.5, 3, visuals.text_color());
        ui.painter().galley(rect.min + vec2(9.0, 126.0), name, visuals.text_color());
        ui.painter().galley(rect.min + vec2(9.0, 146.0), about, visuals.text_color());
    }
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Sample: {}", sample.title)));
    response.on_hover_text(sample.about)
}
