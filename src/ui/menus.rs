//! The menus, made from the list of commands, and the switches beside them.

use egui::{MenuBar, RichText, Ui};

use super::app::App;
use super::command::Command;
use super::dialogs::After;
use crate::document::samples;

impl App {
    /// Shows the bar; what is to be opened goes to `after`.
    pub(super) fn menus(&self, ui: &mut Ui, todo: &mut Vec<Command>, after: &mut Option<After>) {
        use Command as C;
        let item = |ui: &mut Ui, command: Command, todo: &mut Vec<Command>| {
            let label = match command {
                C::Undo => self.bench.undo_label().map(|l| format!("Undo {l}")),
                C::Redo => self.bench.redo_label().map(|l| format!("Redo {l}")),
                _ => None,
            };
            let can = self.can(command);
            let button = egui::Button::new(label.unwrap_or_else(|| command.label().to_owned()))
                .shortcut_text(command.keys_text(ui.ctx()));
            if ui.add_enabled(can, button).on_hover_text(command.about()).clicked() {
                todo.push(command);
                ui.close();
            }
        };
        MenuBar::new().ui(ui, |ui| {
            ui.menu_button("Toy", |ui| {
                for command in [C::New, C::Open, C::OpenPath, C::Paste] {
                    item(ui, command, todo);
                }
                ui.menu_button("Open recent", |ui| {
                    if self.settings.recent.is_empty() {
                        ui.label("None yet");
                    }
                    for path in &self.settings.recent {
                        let name = path
                            .file_name()
                            .map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
                        if ui.button(name).on_hover_text(path.display().to_string()).clicked() {
                            *after = Some(After::OpenFile(path.clone()));
                            ui.close();
                        }
                    }
                });
                ui.menu_button("Open a sample", |ui| {
                    for (i, sample) in samples().iter().enumerate() {
                        if ui.button(sample.title).on_hover_text(sample.about).clicked() {
                            *after = Some(After::Sample(i));
                            ui.close();
                        }
                    }
                });
                ui.separator();
                for command in [C::Save, C::SaveAs, C::SavePath] {
                    item(ui, command, todo);
                }
                ui.separator();
                item(ui, C::Export, todo);
                ui.separator();
                item(ui, C::Quit, todo);
            });
            ui.menu_button("Edit", |ui| {
                item(ui, C::Undo, todo);
                item(ui, C::Redo, todo);
                ui.separator();
                for command in [C::AddPart, C::DrawOutline, C::DoublePart, C::RemovePart, C::NextPart, C::PreviousPart]
                {
                    item(ui, command, todo);
                }
                ui.separator();
                for command in [
                    C::InsertRound,
                    C::RepeatRound,
                    C::DeleteRound,
                    C::RoundUp,
                    C::RoundDown,
                    C::MoreStitches,
                    C::FewerStitches,
                    C::NextRound,
                    C::PreviousRound,
                ] {
                    item(ui, command, todo);
                }
                ui.separator();
                for command in [C::WeighIn, C::AnotherYarn] {
                    item(ui, command, todo);
                }
            });
            ui.menu_button("View", |ui| {
                for command in [C::ShowSolid, C::ShowFront, C::ShowSide, C::ShowTop, C::Fit] {
                    item(ui, command, todo);
                }
                ui.separator();
                for command in [
                    C::ShowSizes,
                    C::ShowPlumb,
                    C::ShowBefore,
                    C::ShowHeads,
                    C::ShowGiveTake,
                    C::ShowRose,
                    C::ShowLands,
                    C::ShowAsMade,
                ] {
                    item(ui, command, todo);
                }
                ui.separator();
                for command in [C::ShowMaking, C::ShowMending] {
                    item(ui, command, todo);
                }
                ui.separator();
                for command in [C::SwitchUnits, C::SwitchTerms, C::SwitchTheme, C::Larger, C::Smaller] {
                    item(ui, command, todo);
                }
            });
            if ui.button("All commands…").on_hover_text(C::Find.keys_text(ui.ctx())).clicked() {
                todo.push(C::Find);
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui
                    .small_button(self.settings.look.name())
                    .on_hover_text("Light, dark, or as the system has it")
                    .clicked()
                {
                    todo.push(C::SwitchTheme);
                }
                let units = if self.settings.imperial { "Inches" } else { "Metric" };
                if ui.small_button(units).on_hover_text(C::SwitchUnits.about()).clicked() {
                    todo.push(C::SwitchUnits);
                }
                let terms = if self.settings.uk_terms { "UK terms" } else { "US terms" };
                if ui.small_button(terms).on_hover_text(C::SwitchTerms.about()).clicked() {
                    todo.push(C::SwitchTerms);
                }
                let file =
                    self.bench.path.as_ref().and_then(|p| p.file_name()).map(|n| n.to_string_lossy().into_owned());
                let changed = if self.bench.is_changed() { "not saved" } else { "saved" };
                let text = match (file, self.bench.toy().pieces.is_empty()) {
                    (Some(file), _) => format!("{file}, {changed}"),
                    (None, true) => String::new(),
                    (None, false) => "not in a file yet".to_owned(),
                };
                ui.add(egui::Label::new(RichText::new(text).small().weak()).truncate());
            });
        });
    }
}
