//! What to change: findings, worst first; each leads to its part and round.

use egui::{RichText, Ui};

use super::bench::Bench;
use super::command::Command;
use super::look::{self, Mood};
use crate::measure::Finding;
use crate::measure::report::Severity;
use crate::view::elevation::Chosen;

fn severity_mood(severity: Severity) -> Mood {
    match severity {
        Severity::Severe => Mood::Bad,
        Severity::Warning => Mood::Care,
        Severity::Note => Mood::Plain,
    }
}

/// Shows the list; remedies that a card above gives already are not told again. Answers the finding that is to be
/// mended.
pub fn show(ui: &mut Ui, bench: &mut Bench, told: &[Option<String>]) -> Option<Finding> {
    let all: Vec<Finding> = bench.findings().into_iter().cloned().collect();
    look::group_heading(ui, "What to change");
    if all.is_empty() {
        ui.horizontal(|ui| {
            look::mood_label(ui, 16.0, Mood::Good);
            ui.label("Nothing found.");
        });
        return None;
    }
    let (mut go, mut mend) = (None, None);
    for (i, finding) in all.iter().enumerate() {
        ui.push_id(i, |ui| {
            // Written rounds that cannot be read are no matter of changing the toy.
            let mendable = finding.severity == Severity::Severe && bench.derived().report.findings.contains(finding);
            match finding_row(ui, finding, told.iter().flatten().any(|t| *t == finding.remedy), mendable) {
                Some(Pressed::Show) => go = Some(i),
                Some(Pressed::Mend) => mend = Some(i),
                None => {}
            }
        });
    }
    if let Some(finding) = go.map(|i| &all[i]) {
        let part = finding.part.as_deref().and_then(|name| bench.toy().piece_named(name));
        let round = finding.round.and_then(|r| (r as usize).checked_sub(1));
        bench.choose(part.map(|part| Chosen { part, round }));
    }
    mend.map(|i| all[i].clone())
}

/// What was pressed on a finding.
enum Pressed {
    Show,
    Mend,
}

/// One finding.
fn finding_row(ui: &mut Ui, finding: &Finding, remedy_told: bool, mendable: bool) -> Option<Pressed> {
    let place = match (&finding.part, finding.round) {
        (Some(part), Some(round)) => format!("{part}, round {round}"),
        (Some(part), None) => part.clone(),
        (None, _) => String::new(),
    };
    let mut pressed = None;
    look::sheet(ui).inner_margin(egui::Margin::symmetric(8, 6)).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.horizontal_top(|ui| {
            look::mood_label(ui, 16.0, severity_mood(finding.severity));
            ui.vertical(|ui| {
                ui.add(egui::Label::new(&finding.message).wrap());
                if !remedy_told {
                    ui.add(egui::Label::new(RichText::new(&finding.remedy).small().weak()).wrap());
                }
                if mendable {
                    let button = ui.small_button("Find what mends it").on_hover_text(Command::ShowMending.about());
                    if button.accessible_name(format!("Find what mends it: {}", finding.message)).clicked() {
                        pressed = Some(Pressed::Mend);
                    }
                }
                if !place.is_empty() {
                    let button = ui.add(egui::Button::new(format!("Show {place}")).small().truncate());
                    if button.accessible_name(format!("Show {place}: {}", finding.message)).clicked() {
                        pressed = Some(Pressed::Show);
                    }
                }
            });
        });
    });
    pressed
}
