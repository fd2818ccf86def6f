//! Is there time? Hours left, the day it will be done, and what could be left out.

use egui::{RichText, Ui};
use jiff::civil::Date;

use super::{Making, days, pace};
use crate::figure::{Figure, Origin};
use crate::measure::report::TimeReport;
use crate::ui::bench::Bench;
use crate::ui::cards::{Card, card_with};
use crate::ui::fields::{row, set};
use crate::ui::look::Mood;
use crate::view::gauges;

/// Savings that are told.
const MOST_SAVINGS: usize = 6;

fn hours(minutes: Figure) -> String {
    let h = minutes.scaled(1.0 / 60.0);
    let number = |x: f64| if h.value < 9.95 { format!("{x:.1}") } else { format!("{x:.0}") };
    let (low, high) = (number(h.low), number(h.high));
    if low == high { format!("{} h", number(h.value)) } else { format!("{} h ({low} to {high})", number(h.value)) }
}

/// Shows the card.
pub(super) fn show(ui: &mut Ui, bench: &mut Bench, making: &mut Making) {
    let report = making.time(bench).clone();
    let (mood, word) = match report.verdict {
        Some("done") => (Mood::Good, "Done".to_owned()),
        Some("in_time") => (Mood::Good, "In time".to_owned()),
        Some("just") => (Mood::Care, "Just in time".to_owned()),
        Some("late") => (Mood::Bad, "Too late".to_owned()),
        _ => (Mood::Plain, format!("{:.0} h to go", (report.left_minutes.value / 60.0).max(0.0))),
    };
    let done_days = report.done_day.zip(report.first_day).map(|(done, first)| span(first, done));
    let wished = report.wished_day.zip(report.first_day).map(|(wished, first)| span(first, wished));
    let wished = wished.zip(done_days).map(|(wished, done)| wished / done.max(1.0));
    let shown = Card {
        question: "Is there time?",
        mood,
        word,
        beside: String::new(),
        lines: lines(&report),
        picture: Some(gauges::days(report.done_share, wished, mood.ink())),
        remedy: None,
    };
    card_with(ui, &shown, |ui| {
        // What to do next stands over the fields that it speaks of.
        if let Some(remedy) = remedy(&report) {
            ui.add(egui::Label::new(RichText::new(remedy).small()).wrap());
        }
        if matches!(report.verdict, Some("late" | "just")) {
            savings(ui, &report);
        }
        ui.add_space(3.0);
        ui.separator();
        ui.spacing_mut().item_spacing.y = 4.0;
        let plan = &bench.toy().plan;
        let (per_day, first, wished) = (plan.hours_per_day, plan.first_day, plan.wished_day);
        let answer = hours_field(ui, "Hours a day", per_day);
        set(bench, None, "hours a day", answer, |toy, hours| toy.plan.hours_per_day = hours);
        let answer = days::field(ui, "Wished for", wished, "2026-12-24", &mut making.wished_day);
        set(bench, None, "wished day", answer, |toy, day| toy.plan.wished_day = day);
        let answer = days::field(ui, "First day", first, "today", &mut making.first_day);
        set(bench, None, "first day", answer, |toy, day| toy.plan.first_day = day);
        pace::show(ui, bench, &mut making.watch, &report.pace_sc_per_min);
    });
}

/// Hours a day, where they are said: nothing stands in for them.
fn hours_field(ui: &mut Ui, words: &str, now: Option<f64>) -> Option<Option<f64>> {
    let mut answer = None;
    row(ui, words, |ui| {
        let mut said = now.is_some();
        if ui.checkbox(&mut said, "").accessible_name(format!("{words} are said")).changed() {
            answer = Some(said.then_some(1.0));
        }
        match now {
            Some(mut hours) => {
                let drag = egui::DragValue::new(&mut hours).range(0.1..=24.0).speed(0.05).max_decimals(2).suffix(" h");
                if ui.add(drag).accessible_name(words).changed() {
                    answer = Some(Some(hours));
                }
            }
            None => drop(ui.label(RichText::new("not said").weak())),
        }
    });
    answer
}

/// Days from one to another, both counted.
fn span(from: Date, to: Date) -> f64 {
    from.until(to).map_or(0.0, |s| f64::from(s.get_days() + 1))
}

fn lines(report: &TimeReport) -> Vec<String> {
    let mut lines = Vec::new();
    if report.done_share > 0.0 {
        lines.push(format!("{} left", hours(report.left_minutes)));
        lines.push(format!("of {} in all", hours(report.total_minutes)));
    } else {
        lines.push(format!("{} in all", hours(report.total_minutes)));
    }
    let crochet: f64 = report.parts.iter().map(|p| p.minutes.value).sum();
    let seams = if report.seams == 1 { "1 seam".to_owned() } else { format!("{} seams", report.seams) };
    let shares = [
        (crochet, "of crochet".to_owned()),
        (report.sewing_minutes.value, format!("for {seams}")),
        (report.face_minutes.value, "for faces".to_owned()),
    ];
    let shares: Vec<String> = shares
        .iter()
        .filter(|(minutes, _)| *minutes > 0.0)
        .map(|(minutes, what)| format!("{:.1} h {what}", minutes / 60.0))
        .collect();
    lines.push(shares.join(", "));
    let pace = report.pace_sc_per_min;
    let from = match pace.from {
        Origin::Measured => "by your own count",
        Origin::Label | Origin::Estimate => "common practice",
    };
    let range = if pace.figure.low == pace.figure.high {
        String::new()
    } else {
        format!(" ({:.0} to {:.0})", pace.figure.low, pace.figure.high)
    };
    lines.push(format!("at {:.0}{range} single crochets a minute, {from}", pace.figure.value));
    if let Some(done) = report.done_day {
        let range = match (report.done_day_low, report.done_day_high) {
            (Some(low), Some(high)) if low != high => format!(" ({} to {})", days::told(low), days::told(high)),
            (Some(low), None) => format!(" ({} or later)", days::told(low)),
            _ => String::new(),
        };
        lines.push(format!("done on {}{range}", days::told(done)));
    }
    lines
}

fn remedy(report: &TimeReport) -> Option<String> {
    let text = match (report.verdict, report.hours_per_day, report.wished_day) {
        (Some("done"), ..) => return None,
        (Some("late"), ..) => "Take more hours a day, begin sooner, or leave something out.",
        (Some("just"), ..) => "Likely done in time, not if it goes slowly.",
        (_, None, _) => "Say how many hours a day you have, then it says on which day it is done.",
        (_, _, None) => "Say the day it is wished for, then it says whether there is time.",
        _ => return None,
    };
    Some(text.to_owned())
}

/// What could be left out or made simpler.
fn savings(ui: &mut Ui, report: &TimeReport) {
    if report.savings.is_empty() {
        ui.label("Nothing that carries no other part could be left out.");
        return;
    }
    ui.label(RichText::new("What would save time").strong());
    for saving in report.savings.iter().take(MOST_SAVINGS) {
        let minutes = saving.minutes.value;
        let saved = if minutes < 60.0 { format!("{minutes:.0} min") } else { format!("{:.1} h", minutes / 60.0) };
        let enough = if saving.reaches_wished_day == Some(true) { " Then it is done in time." } else { "" };
        ui.add(egui::Label::new(format!("saves {saved}: {}{enough}", saving.message)).wrap());
        if saving.reaches_wished_day == Some(true) {
            break;
        }
    }
}
