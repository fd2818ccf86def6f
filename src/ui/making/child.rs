//! For which child? What the checks have to say at its age.

use egui::{RichText, Ui};

use crate::measure::report::{Caution, Severity};
use crate::ui::bench::Bench;
use crate::ui::cards::{Card, card_with};
use crate::ui::fields::{choice, hint, set};
use crate::ui::look::{self, Mood};
use crate::view::elevation::Chosen;

/// Ages that are offered, months: those at which a check changes, and some between.
const AGES: [(u32, &str); 9] = [
    (0, "newborn"),
    (6, "6 months"),
    (12, "1 year"),
    (18, "18 months"),
    (24, "2 years"),
    (36, "3 years"),
    (60, "5 years"),
    (96, "8 years"),
    (168, "14 years and older"),
];

/// Shows the card.
pub(super) fn show(ui: &mut Ui, bench: &mut Bench, checks_told: &mut bool) {
    let report = bench.derived().report.cautions.clone();
    let worst = report.cautions.iter().map(|c| c.severity).max();
    let concerns = report.cautions.iter().filter(|c| c.severity > Severity::Note).count();
    let (mood, word) = match (report.verdict, report.child_months) {
        ("no_concern_found", Some(_)) => (Mood::Plain, "No concern found".to_owned()),
        ("no_concern_found", None) => (Mood::Plain, "Say the age".to_owned()),
        (_, _) => {
            let mood = if worst == Some(Severity::Severe) { Mood::Bad } else { Mood::Care };
            (mood, if concerns == 1 { "1 concern".to_owned() } else { format!("{concerns} concerns") })
        }
    };
    let shown = Card {
        question: "For which child?",
        mood,
        word,
        beside: String::new(),
        lines: vec![report.message.clone()],
        picture: None,
        remedy: None,
    };
    let mut go = None;
    card_with(ui, &shown, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        let now = report.child_months;
        let mut all: Vec<(Option<u32>, String)> = vec![(None, "not said".to_owned())];
        all.extend(AGES.iter().map(|(months, words)| (Some(*months), (*words).to_owned())));
        if let Some(months) = now.filter(|m| AGES.iter().all(|(age, _)| age != m)) {
            all.push((now, format!("{months} months")));
        }
        let all: Vec<(Option<u32>, &str)> = all.iter().map(|(age, words)| (*age, words.as_str())).collect();
        let answer = choice(ui, "Age of the child", &now, &all);
        set(bench, None, "age of the child", answer, |toy, months| toy.settings.child_months = months);
        for (i, caution) in report.cautions.iter().enumerate() {
            ui.push_id(i, |ui| {
                if one(ui, caution) {
                    go = caution.part.clone();
                }
            });
        }
        let button = egui::Button::new("What was checked").small().selected(*checks_told);
        if ui.add(button).on_hover_text("Shows or hides the list of checks").clicked() {
            *checks_told ^= true;
        }
        if *checks_told {
            for check in &report.checks {
                ui.add(egui::Label::new(RichText::new(*check).small()).wrap());
            }
        }
        hint(ui, "These checks look at sizes. They are no test, and the law of your country goes first.");
    });
    if let Some(part) = go.and_then(|name| bench.toy().piece_named(&name)) {
        bench.choose(Some(Chosen { part, round: None }));
        ui.request_repaint();
    }
}

/// One caution; `true` where its part is asked for.
fn one(ui: &mut Ui, caution: &Caution) -> bool {
    let mood = match caution.severity {
        Severity::Severe => Mood::Bad,
        Severity::Warning => Mood::Care,
        Severity::Note => Mood::Plain,
    };
    let mut clicked = false;
    ui.separator();
    ui.horizontal_top(|ui| {
        look::mood_label(ui, 15.0, mood);
        ui.vertical(|ui| {
            ui.add(egui::Label::new(&caution.message).wrap());
            ui.add(egui::Label::new(RichText::new(&caution.remedy).small()).wrap());
            ui.horizontal_wrapped(|ui| {
                ui.label(RichText::new(format!("By {}", caution.standard)).small().weak());
                if let Some(part) = &caution.part {
                    let button = ui.add(egui::Button::new(format!("Show {part}")).small());
                    clicked = button.accessible_name(format!("Show {part}: {}", caution.message)).clicked();
                }
            });
        });
    });
    clicked
}
