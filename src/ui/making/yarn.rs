//! Is there enough yarn? One card for each yarn.

use egui::{RichText, Ui};

use super::{Making, strip};
use crate::measure::need::{BallEnd, Enough, Spot, YarnEnd, YarnNeed};
use crate::measure::report::YarnReport;
use crate::toy::Toy;
use crate::ui::app::Tab;
use crate::ui::bench::Bench;
use crate::ui::cards::{Card, card_with};
use crate::ui::look::Mood;
use crate::view::elevation::Chosen;
use crate::view::gauges::yarn_gauge;
use crate::view::units::{Units, short};

/// Ends of balls that a card tells.
const MOST_ENDS: usize = 4;

/// Shows the cards.
pub(super) fn show(ui: &mut Ui, bench: &mut Bench, making: &mut Making, tab: &mut Tab, units: Units) {
    let yarns: Vec<YarnReport> = bench
        .derived()
        .report
        .yarn
        .iter()
        .filter(|y| y.metres.value > 0.0 || y.stock.need.grams.value > 0.0)
        .cloned()
        .collect();
    let strips = making.strips(bench);
    for yarn in &yarns {
        let shown = card_of(bench.toy(), yarn, units);
        ui.push_id(("yarn", &yarn.name), |ui| {
            card_with(ui, &shown, |ui| {
                if let Some(strip) = strips.iter().find(|s| s.yarn == yarn.stock.name) {
                    ui.add_space(3.0);
                    strip::show(ui, bench, strip);
                }
                if yarn.stock.have_g.is_none() {
                    let button = ui.small_button("Say what is at hand");
                    let name = format!("Say what is at hand of {}", called(&yarn.name));
                    if button.accessible_name(name).on_hover_text("Opens Yarn on the left").clicked() {
                        let part = bench.toy().pieces.iter().position(|p| p.part.yarn == yarn.name);
                        if let Some(part) = part.filter(|part| bench.chosen_part() != Some(*part)) {
                            bench.choose(Some(Chosen { part, round: None }));
                        }
                        *tab = Tab::Yarn;
                    }
                }
            });
        });
    }
    if yarns.is_empty() {
        ui.label(RichText::new("Parts with rounds say how much yarn is needed.").small().weak());
    }
}

fn called(name: &str) -> &str {
    if name.is_empty() { "the yarn" } else { name }
}

fn balls(number: f64) -> String {
    let word = if (number - 1.0).abs() < 0.005 { "ball" } else { "balls" };
    format!("{} {word}", short(number))
}

fn card_of<'a>(toy: &Toy, yarn: &YarnReport, units: Units) -> Card<'a> {
    let need = &yarn.stock;
    let grams = |g: f64| units.mass(crate::figure::Figure::exact(g)).value();
    let (mood, word) = match need.enough {
        Some(Enough::Enough) => (Mood::Good, "Enough".to_owned()),
        Some(Enough::Close) => (Mood::Care, "Close".to_owned()),
        Some(Enough::Short) => (Mood::Bad, "Short".to_owned()),
        None => (Mood::Plain, format!("Needs {}", grams(need.need.grams.value))),
    };
    let mut lines = vec![called(&yarn.name).to_owned()];
    let in_balls = need.need.balls.map_or(String::new(), |b| format!(", {}", balls(b.value)));
    match need.have_g {
        Some(have) => {
            lines.push(format!("needs {}{in_balls}", units.mass(need.need.grams).both()));
            let in_balls = need.have_balls.map_or(String::new(), |b| format!(", {}", balls(b)));
            lines.push(format!("at hand {}{in_balls}", grams(have)));
        }
        None => lines.extend(need.need.balls.map(|b| balls(b.value))),
    }
    if let Some(used) = need.used_g {
        lines.push(format!("{} used, by the scale", units.mass(used).value()));
    }
    let n = &need.need;
    let shares = [(n.stitches_m, "in stitches"), (n.tails_m, "in tails"), (n.sewing_m, "to sew")];
    let shares: Vec<String> = shares
        .iter()
        .filter(|(m, _)| m.value >= 0.05)
        .map(|(m, what)| format!("{} {what}", units.yarn(*m).value()))
        .collect();
    lines.push(format!("{} long: {}", units.yarn(n.metres).value(), shares.join(", ")));
    lines.extend(ends(toy, need));
    let take = need
        .take
        .balls
        .map_or_else(|| grams(need.take.grams), |n| format!("{}, {}", grams(need.take.grams), balls(f64::from(n))));
    let allowance = if need.take.allowance > 0.15 { "a fifth more, for want of a swatch" } else { "a tenth more" };
    let remedy = match need.enough {
        Some(Enough::Short) => {
            let missing = grams((need.need.grams.value - need.have_g.unwrap_or(0.0)).max(0.0));
            format!(
                "About {missing} are missing: get {take} in all ({allowance}), or work the last parts in another yarn."
            )
        }
        Some(Enough::Close) => {
            "It lasts by the best guess, not at the upper end: weigh what is left now and then, that narrows it."
                .to_owned()
        }
        Some(Enough::Enough) => "It lasts even at the upper end of the need, tails and sewing included.".to_owned(),
        None => format!("Take {take} along ({allowance}), tails and sewing included."),
    };
    let colour = toy.yarn(&yarn.name).map_or([160, 150, 140], |y| y.colour);
    Card {
        question: "Is there enough yarn?",
        mood,
        word,
        beside: if need.have_g.is_none() { units.mass(n.grams).range().unwrap_or_default() } else { String::new() },
        lines,
        picture: Some(yarn_gauge(need.need.grams, need.have_g, mood.ink(), colour)),
        remedy: Some(remedy),
    }
}

/// A round in words; copies are told apart where there are several.
fn place(toy: &Toy, spot: &Spot) -> String {
    let several = toy.piece_named(&spot.part).is_some_and(|i| toy.copies_of(i) > 1);
    let copy = if several { format!(" {}", spot.copy) } else { String::new() };
    format!("{}{copy}, round {}", spot.part, spot.round)
}

fn ordinal(n: u32) -> String {
    const WORDS: [&str; 6] = ["first", "second", "third", "fourth", "fifth", "sixth"];
    match usize::try_from(n).ok().and_then(|n| WORDS.get(n.wrapping_sub(1))) {
        Some(word) => (*word).to_owned(),
        None => format!("{n}th"),
    }
}

/// Where it may lie between.
fn between(toy: &Toy, end: &YarnEnd) -> String {
    let [early, late] = &end.range;
    match (early, late) {
        (Some(a), Some(b)) if a != b => format!(" (between {} and {})", place(toy, a), place(toy, b)),
        (Some(a), None) if *a != end.at => format!(" (from {} on, or not at all)", place(toy, a)),
        (None, None) => " (or not at all)".to_owned(),
        _ => String::new(),
    }
}

/// Where balls end, and where all of it has run out.
fn ends(toy: &Toy, need: &YarnNeed) -> Vec<String> {
    let mut lines = Vec::new();
    // Where the last of it ends is told by itself.
    let last = need.runs_out.as_ref().map(|out| &out.at);
    let whole: Vec<&BallEnd> = need.ball_ends.iter().filter(|b| Some(&b.end.at) != last).collect();
    let told = &whole[..whole.len().min(MOST_ENDS)];
    if !told.is_empty() {
        let each: Vec<String> = told
            .iter()
            .enumerate()
            .map(|(i, b)| {
                let ball = if i == 0 { "ball " } else { "" };
                format!("{} {ball}ends in {}", ordinal(b.ball), place(toy, &b.end.at))
            })
            .collect();
        let more = whole.len() - told.len();
        let more = if more > 0 { format!("; and {more} more") } else { String::new() };
        lines.push(format!("{}{more}", each.join("; the ")));
    }
    if let Some(out) = &need.runs_out {
        lines.push(format!("runs out in {}{}", place(toy, &out.at), between(toy, out)));
    }
    lines
}
