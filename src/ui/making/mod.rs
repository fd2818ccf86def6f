//! The making of the toy: yarn, fabric, time, whom it is for, and what is done of it.

mod child;
mod days;
mod fabric;
mod pace;
mod strip;
mod time;
mod yarn;

use std::sync::Arc;

use egui::Ui;
use jiff::civil::Date;

use super::app::Tab;
use super::bench::Bench;
use super::command::Command;
use super::look;
use crate::measure::report::TimeReport;
use crate::view::units::Units;
use crate::view::yarn_strip::YarnStrip;

/// What the page keeps from frame to frame.
#[derive(Debug, Default)]
pub struct Making {
    /// Strips of the yarns, and the toy they are of.
    strips: Option<(u64, Arc<[YarnStrip]>)>,
    /// Hours and days, with the toy and the day they are of.
    time: Option<((u64, Date), TimeReport)>,
    first_day: days::Draft,
    wished_day: days::Draft,
    watch: pace::Watch,
    /// The list of the safety checks is open.
    checks_told: bool,
}

impl Making {
    /// Shows the page.
    pub fn show(&mut self, ui: &mut Ui, bench: &mut Bench, tab: &mut Tab, units: Units, todo: &mut Vec<Command>) {
        ui.spacing_mut().item_spacing.y = 7.0;
        if bench.toy().pieces.is_empty() {
            super::fields::hint(ui, "There is no part yet.");
            return;
        }
        self.progress(ui, bench, tab, todo);
        yarn::show(ui, bench, self, tab, units);
        fabric::show(ui, bench, units);
        time::show(ui, bench, self);
        child::show(ui, bench, &mut self.checks_told);
    }

    /// How far the work has come, and where to say so.
    fn progress(&mut self, ui: &mut Ui, bench: &mut Bench, tab: &mut Tab, todo: &mut Vec<Command>) {
        let share = self.time(bench).done_share;
        look::sheet(ui).inner_margin(egui::Margin::symmetric(10, 6)).show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.label(format!("{:.0} % of the work is done.", 100.0 * share));
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                if ui.small_button("Mark rounds made").on_hover_text("Opens Work on the left").clicked() {
                    *tab = Tab::Work;
                }
                let on = bench.as_made().is_some();
                let hint = format!("{} ({})", Command::ShowAsMade.about(), Command::ShowAsMade.keys_text(ui.ctx()));
                let button = egui::Button::new("Show as made").small().selected(on);
                if ui.add(button).accessible_name("Show the toy as far as made").on_hover_text(hint).clicked() {
                    todo.push(Command::ShowAsMade);
                }
            });
        });
    }

    /// Hours and days from today on.
    fn time(&mut self, bench: &Bench) -> &TimeReport {
        let key = (bench.generation(), jiff::ZonedDateTime::now().date());
        let kept = self.time.take().filter(|(of, _)| *of == key);
        let (_, report) =
            self.time.insert(kept.unwrap_or_else(|| (key, crate::measure::time(bench.toy(), Some(key.1)))));
        report
    }

    /// The strip of every yarn.
    fn strips(&mut self, bench: &Bench) -> Arc<[YarnStrip]> {
        let of = bench.generation();
        let kept = self.strips.take().filter(|(kept, _)| *kept == of);
        let (_, strips) = self.strips.insert(kept.unwrap_or_else(|| {
            let derived = bench.derived();
            let needs = derived.report.yarn.iter().map(|y| &y.stock);
            (of, needs.filter_map(|need| YarnStrip::of(bench.toy(), &derived.made, need)).collect())
        }));
        Arc::clone(strips)
    }
}
