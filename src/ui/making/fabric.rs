//! Does the stuffing show? The parts, worst first, with the hook that closes each.

use egui::Ui;

use crate::figure::Figure;
use crate::measure::report::FabricReport;
use crate::ui::bench::Bench;
use crate::ui::cards::{Card, card_with};
use crate::ui::look::{self, Mood};
use crate::view::elevation::Chosen;
use crate::view::gauges;
use crate::view::units::Units;

/// Parts that are told one by one.
const MOST_PARTS: usize = 8;

fn rank(verdict: &str) -> u8 {
    match verdict {
        "shows" => 0,
        "near" => 1,
        "closed" => 2,
        _ => 3,
    }
}

/// Cover where a part gapes most.
fn worst_cover(part: &FabricReport) -> f64 {
    let round = part.worst_round.and_then(|r| part.rounds.get((r as usize).checked_sub(1)?));
    round.map_or(f64::INFINITY, |r| r.cover)
}

/// Shows the card.
pub(super) fn show(ui: &mut Ui, bench: &mut Bench, units: Units) {
    let mut parts = bench.derived().report.fabric.clone();
    parts.sort_by(|a, b| rank(a.verdict).cmp(&rank(b.verdict)).then(worst_cover(a).total_cmp(&worst_cover(b))));
    let Some(worst) = parts.first() else { return };
    let (mood, word, closed) = match worst.verdict {
        "shows" => (Mood::Bad, "It shows", 0.0),
        "near" => (Mood::Care, "It may show a little", 0.5),
        "closed" => (Mood::Good, "It does not show", 1.0),
        _ => (Mood::Plain, "Nothing is stuffed", 1.0),
    };
    let of = |verdict: &str| -> Vec<&str> {
        parts.iter().filter(|p| p.verdict == verdict).map(|p| p.part.as_str()).collect()
    };
    let told = [("closed", "closed"), ("empty", "not stuffed")].map(|(verdict, words)| (words, of(verdict)));
    let hook = |mm: f64| match units {
        Units::Metric => format!("{mm} mm"),
        Units::Imperial => format!("{mm} mm ({})", units.length(Figure::exact(mm)).value()),
    };
    let remedy = (worst.verdict != "empty").then(|| rule(&parts, &hook));
    let mut go = None;
    let shown = Card {
        question: "Does the stuffing show?",
        mood,
        word: word.to_owned(),
        beside: String::new(),
        lines: Vec::new(),
        picture: Some(gauges::fabric(closed, mood.ink())),
        remedy,
    };
    card_with(ui, &shown, |ui| {
        for (words, names) in told.iter().filter(|(_, names)| !names.is_empty()) {
            let whole = format!("{words}: {}", names.join(", "));
            let label = ui.add(egui::Label::new(format!("{words}: {}", some_of(names))).wrap());
            // All of them on hover, and to who has the screen read aloud.
            label.on_hover_text(&whole).accessible_name(whole);
        }
        let open = parts.iter().filter(|p| rank(p.verdict) < 2);
        for part in open.clone().take(MOST_PARTS) {
            if row(ui, part, &hook) {
                go = Some((part.part.clone(), part.worst_round));
            }
        }
        let more = open.count().saturating_sub(MOST_PARTS);
        if more > 0 {
            ui.label(format!("and {more} more"));
        }
    });
    if let Some((name, round)) = go {
        let part = bench.toy().piece_named(&name);
        let round = round.and_then(|r| (r as usize).checked_sub(1));
        bench.choose(part.map(|part| Chosen { part, round }));
        ui.request_repaint();
    }
}

/// "Horn, Leg and 38 more": the first names of a list that is long.
fn some_of(names: &[&str]) -> String {
    match names {
        [first, second, rest @ ..] if rest.len() > 1 => format!("{first}, {second} and {} more", rest.len()),
        _ => names.join(", "),
    }
}

/// One part; `true` where it was clicked.
fn row(ui: &mut Ui, part: &FabricReport, hook: &dyn Fn(f64) -> String) -> bool {
    let (mood, word) = if part.verdict == "shows" { (Mood::Bad, "shows") } else { (Mood::Care, "may show") };
    let place = part.worst_round.map_or(part.part.clone(), |r| format!("{}, round {r}", part.part));
    let closes = match part.closing_hook_mm {
        Some(mm) => format!("a {} hook closes it", hook(mm)),
        None => "no finer hook closes it: take a thicker yarn, or line it".to_owned(),
    };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        look::mood_label(ui, 14.0, mood);
        let text = format!("{place}: {word}; {closes}");
        ui.add(egui::Button::new(text).small().wrap()).clicked()
    })
    .inner
}

/// The rule about the label's hook, with its reason, for every yarn that is used.
fn rule(parts: &[FabricReport], hook: &dyn Fn(f64) -> String) -> String {
    let mut told: Vec<(&str, String)> = Vec::new();
    for part in parts {
        if told.iter().any(|(yarn, _)| *yarn == part.yarn) {
            continue;
        }
        let name = if part.yarn.is_empty() { "such a yarn" } else { &part.yarn };
        let two = part.two_below_label_mm.map_or_else(|| "finer than any of the list".to_owned(), hook);
        told.push((
            &part.yarn,
            format!("{name}: label {}, two below {two}, yours {}", hook(part.label_hook_mm), hook(part.hook_mm)),
        ));
    }
    let each: Vec<String> = told.into_iter().map(|(_, text)| text).collect();
    format!(
        "Two sizes below the label's hook: a label means cloth that drapes, a toy wants stitches that close, for stuffing stretches them. {}.",
        each.join("; ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_of_names_are_cut_short() {
        assert_eq!(some_of(&["Horn", "Leg", "Tail"]), "Horn, Leg, Tail");
        assert_eq!(some_of(&["Horn", "Leg", "Tail", "Ear"]), "Horn, Leg and 2 more");
    }
}
