//! The verdicts: one card for each question a maker asks. A word first, then the number with its give or take, a
//! small picture, and what to do.

use egui::{RichText, Ui, vec2};

use super::bench::Bench;
use super::command::Command;
use super::fields;
use super::findings;
use super::look::{self, Mood};
use super::paint;
use crate::figure::Figure;
use crate::measure::narrow::{first_sentence, least_neck};
use crate::measure::need::Enough;
use crate::measure::report::{NeckReport, Report, RestPoseReport};
use crate::measure::{Finding, FindingKind, toward};
use crate::toy::Purpose;
use crate::view::balance::{lean_rose, mass_beam, neck_sketch};
use crate::view::elevation::Chosen;
use crate::view::picture::Picture;
use crate::view::units::Units;

/// Side of a card's picture in logical pixels.
const PICTURE: f32 = 62.0;

/// A card.
pub(super) struct Card<'a> {
    /// What it answers.
    pub(super) question: &'a str,
    /// How good that is.
    pub(super) mood: Mood,
    /// The answer in a word or two.
    pub(super) word: String,
    /// Stands behind the word, smaller.
    pub(super) beside: String,
    /// The first stands beside the picture, the others under it.
    pub(super) lines: Vec<String>,
    /// A small picture.
    pub(super) picture: Option<Picture>,
    /// What the finding about it says to do.
    pub(super) remedy: Option<String>,
}

/// Shows a card.
pub(super) fn card(ui: &mut Ui, card: &Card) {
    card_with(ui, card, |_| {});
}

/// A card with something more under its lines.
pub(super) fn card_with(ui: &mut Ui, card: &Card, more: impl FnOnce(&mut Ui)) {
    look::sheet(ui).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 2.0;
        let beside = if card.picture.is_some() { 1 } else { card.lines.len() };
        ui.horizontal_top(|ui| {
            let room = ui.available_width() - if card.picture.is_some() { PICTURE + 8.0 } else { 0.0 };
            ui.vertical(|ui| {
                ui.set_width(room);
                ui.label(RichText::new(card.question).small().weak());
                ui.horizontal(|ui| {
                    ui.spacing_mut().item_spacing.x = 6.0;
                    if card.mood != Mood::Plain {
                        look::mood_label(ui, 17.0, card.mood);
                    }
                    let colour = match card.mood {
                        Mood::Plain => ui.visuals().strong_text_color(),
                        mood => look::colour(mood.ink(), look::ground(ui)),
                    };
                    ui.add(
                        egui::Label::new(
                            RichText::new(&card.word).size(17.5).family(look::strong_family()).color(colour),
                        )
                        .wrap(),
                    );
                    if !card.beside.is_empty() {
                        ui.label(RichText::new(&card.beside).size(13.0));
                    }
                });
                for line in card.lines.iter().take(beside) {
                    ui.add(egui::Label::new(line).wrap());
                }
            });
            if let Some(picture) = &card.picture {
                paint::show(ui, picture, vec2(PICTURE, PICTURE));
            }
        });
        for line in card.lines.iter().skip(beside) {
            ui.add(egui::Label::new(line).wrap());
        }
        more(ui);
        if let Some(remedy) = &card.remedy {
            ui.add_space(2.0);
            ui.separator();
            ui.add(egui::Label::new(RichText::new(remedy).small()).wrap());
        }
    });
}

/// Shows all cards. Answers the finding that is to be mended.
pub fn show(ui: &mut Ui, bench: &mut Bench, units: Units, todo: &mut Vec<Command>) -> Option<Finding> {
    ui.spacing_mut().item_spacing.y = 7.0;
    let report = bench.derived().report.clone();
    size(ui, &report, units, bench.shown_lean_deg().is_some());
    stand(ui, bench, &report, units);
    neck(ui, bench, &report, units);
    proportion(ui, &report, units);
    let told = [remedy(&report, &FindingKind::STANDING), first_neck(&report).and_then(|n| neck_remedy(&report, n))];
    let mend = findings::show(ui, bench, &told);
    yarn(ui, &report, todo);
    rests_on(ui, &report, units);
    mend
}

/// The toy as it is laid out; the views show it as it rests, which is another height where it leans.
fn size(ui: &mut Ui, report: &Report, units: Units, leans: bool) {
    let Some(size) = &report.toy.size_mm else { return };
    let both = |figure: Figure| units.length(figure).both();
    let mut lines = vec![
        format!("{} wide", both(size.x)),
        format!("{} deep", both(size.y)),
        format!("weighs {}", units.mass(report.toy.mass_g).both()),
    ];
    if leans {
        lines.push("measured upright, not as it rests".to_owned());
    }
    card(
        ui,
        &Card {
            question: "How big is it?",
            mood: Mood::Plain,
            word: format!("{} tall", units.length(size.z).value()),
            beside: units.length(size.z).range().unwrap_or_default(),
            lines,
            picture: None,
            remedy: None,
        },
    );
}

/// Remedy of the first finding of one of these kinds.
fn remedy(report: &Report, kinds: &[FindingKind]) -> Option<String> {
    report.findings.iter().find(|f| kinds.contains(&f.kind)).map(|f| f.remedy.clone())
}

fn stand(ui: &mut Ui, bench: &mut Bench, report: &Report, units: Units) {
    let Some(stand) = &report.stand else {
        card(
            ui,
            &Card {
                question: "Does it stand?",
                mood: Mood::Plain,
                word: "Nothing stands yet".to_owned(),
                lines: vec!["Give one part its place on the floor.".to_owned()],
                beside: String::new(),
                picture: None,
                remedy: None,
            },
        );
        return;
    };
    let must = matches!(bench.toy().purpose, Purpose::Sit | Purpose::StandOnTwo | Purpose::StandOnFour);
    let (mood, word) = match stand.verdict {
        "stands" => (Mood::Good, "Stands well"),
        "tips_easily" => (Mood::Care, "Tips easily"),
        "topples" => (Mood::Bad, "Topples"),
        _ => (Mood::Bad, "Rolls over"),
    };
    let mut lines = Vec::new();
    let doubt = stand.not_settled();
    if stand.verdict == "rocks" {
        lines.push("No lean at all: it rolls over by itself".to_owned());
    } else {
        let tip = units.angle(stand.tip_deg);
        let tip = if doubt.is_some() { tip.value() } else { tip.both() };
        if let Some(deg) = stand.rests_leaning_deg() {
            lines.push(format!("comes to rest leaning {deg:.0}° by itself"));
            lines.push(format!("leans {tip} more before it falls"));
        } else {
            lines.push(format!("leans {tip} before it falls"));
        }
    }
    // "Stands well" is no word for what may as well roll over.
    let word = if doubt.is_some() { format!("{word}, most likely") } else { word.to_owned() };
    lines.extend(doubt.map(|ends| format!("Not settled: from {ends}.")));
    if stand.verdict != "rocks" {
        lines.push(format!("weakest toward {}", toward(stand.tip_toward_deg)));
        if !stand.stands_on.is_empty() {
            lines.push(format!("stands on {}", stand.stands_on.join(", ")));
        }
    }
    let shown = Card {
        question: if must { "Does it stand?" } else { "Does it stand? (it need not)" },
        mood: if must { mood } else { Mood::Plain },
        word,
        beside: String::new(),
        lines,
        picture: Some(lean_rose(&stand.tip_by_direction_deg, stand.tip_toward_deg, mood.ink())),
        remedy: remedy(report, &FindingKind::STANDING),
    };
    card_with(ui, &shown, |ui| lands(ui, bench));
}

/// Ways to land that are named, the likeliest.
const MOST_WAYS: usize = 4;

/// How it lands when dropped, the likeliest ways first; each can be looked at.
fn lands(ui: &mut Ui, bench: &mut Bench) {
    let Some(poses) = bench.rest_poses() else {
        ui.label(RichText::new("How it lands is being worked out…").small().weak());
        return;
    };
    let mut ways: Vec<(usize, RestPoseReport)> =
        poses.iter().copied().enumerate().filter(|(_, p)| p.share >= 0.02).collect();
    ways.sort_by(|a, b| b.1.share.total_cmp(&a.1.share));
    if ways.is_empty() {
        return;
    }
    let mut lay = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label("Dropped, it lands");
        for (index, pose) in ways.iter().take(MOST_WAYS) {
            let text = format!("{} {:.0} %", pose.way_up(), 100.0 * pose.share);
            let on = bench.lying() == Some(*index);
            if ui.add(egui::Button::new(text).small().selected(on)).on_hover_text("Look at it lying so").clicked() {
                lay = Some(if on { None } else { Some(*index) });
            }
        }
        let told: f64 = ways.iter().take(MOST_WAYS).map(|(_, pose)| pose.share).sum();
        if told < 0.985 {
            ui.label(RichText::new(format!("in other ways {:.0} %", 100.0 * (1.0 - told))).weak());
        }
    });
    if let Some(index) = lay {
        bench.lay(index);
        ui.request_repaint();
    }
}

fn neck_word(neck: &NeckReport) -> (Mood, &'static str) {
    match neck.verdict {
        "holds" => (Mood::Good, "Neck holds"),
        "held" => (Mood::Good, "Held by the stick"),
        "nods" => (Mood::Care, "Neck wobbles"),
        _ => (Mood::Bad, "Neck flops"),
    }
}

fn neck_place(neck: &NeckReport) -> String {
    match neck.round {
        Some(round) if neck.part == neck.onto => format!("{}, round {round:.0}", neck.part),
        _ => format!("{} on {}", neck.part, neck.onto),
    }
}

/// The joint that the card about the neck is about.
fn first_neck(report: &Report) -> Option<&NeckReport> {
    least_neck(report).and_then(|i| report.necks.get(i))
}

/// What to do about a joint, where it needs something.
fn neck_remedy(report: &Report, neck: &NeckReport) -> Option<String> {
    let about = |f: &&Finding| FindingKind::NECK.contains(&f.kind) && f.part.as_deref() == Some(neck.part.as_str());
    let weak = neck.sinks || !matches!(neck.verdict, "holds" | "held");
    report.findings.iter().filter(|_| weak).find(about).map(|f| f.remedy.clone())
}

fn neck(ui: &mut Ui, bench: &mut Bench, report: &Report, units: Units) {
    let first = first_neck(report);
    let Some(first) = first else { return };
    let (mood, word) = neck_word(first);
    let mut lines = vec![neck_place(first), format!("bears {} times its load", units.ratio(first.load_share).both())];
    if let Some(deg) = first.nods_beyond_deg {
        lines.push(format!("nods over beyond a lean of {deg:.0}°"));
    }
    if first.sinks {
        lines.push("what it carries presses it flat".to_owned());
    }
    lines.push(format!("carries {}", units.mass(Figure::exact(first.carries_g)).value()));
    let lean = match first.verdict {
        "flops" => 72.0,
        "nods" => 14.0,
        _ => 0.0,
    };
    let nods = first.nods_beyond_deg.filter(|_| first.verdict == "nods");
    card(
        ui,
        &Card {
            question: "Does the neck hold?",
            mood,
            word: word.to_owned(),
            beside: String::new(),
            lines,
            picture: Some(neck_sketch(lean, nods, first.verdict == "held", mood.ink())),
            remedy: neck_remedy(report, first),
        },
    );
    let weak: Vec<&NeckReport> =
        report.necks.iter().filter(|n| *n != first && !matches!(n.verdict, "holds" | "held")).collect();
    for neck in weak.iter().take(4) {
        let (mood, _) = neck_word(neck);
        let word = if mood == Mood::Care { "wobbles" } else { "flops" };
        ui.horizontal(|ui| {
            look::mood_label(ui, 14.0, mood);
            let text = format!("{}: {word}", neck_place(neck));
            if ui.add(egui::Button::new(text).small().wrap()).clicked() {
                let part = bench.toy().piece_named(&neck.part);
                bench.choose(part.map(|part| Chosen { part, round: None }));
            }
        });
    }
}

fn proportion(ui: &mut Ui, report: &Report, units: Units) {
    let Some(ratio) = report.toy.head_to_body_mass else { return };
    let mut lines = vec![format!("head to body {}", units.ratio(ratio).both())];
    if let Some(tall) = report.toy.heads_tall {
        lines.push(format!("{} heads tall", units.ratio(tall).both()));
    }
    if let Some(head) = &report.toy.head {
        lines.push(format!("head: {head} and all it carries"));
    }
    let word = if ratio.value >= 1.15 {
        "Head is heavier".to_owned()
    } else if ratio.value >= 0.87 {
        "Head and body even".to_owned()
    } else {
        "Head is lighter".to_owned()
    };
    card(
        ui,
        &Card {
            question: "How heavy is the head?",
            mood: Mood::Plain,
            word,
            beside: String::new(),
            lines,
            picture: Some(mass_beam(ratio.value)),
            remedy: None,
        },
    );
}

/// Leads to the page about making where a yarn does not last.
fn yarn(ui: &mut Ui, report: &Report, todo: &mut Vec<Command>) {
    for yarn in &report.yarn {
        let (mood, word) = match yarn.stock.enough {
            Some(Enough::Short) => (Mood::Bad, "will run short"),
            Some(Enough::Close) => (Mood::Care, "may run short"),
            Some(Enough::Enough) | None => continue,
        };
        ui.horizontal(|ui| {
            look::mood_label(ui, 16.0, mood);
            let text = format!("{} {word}: see Making", yarn.name);
            if ui.add(egui::Button::new(text).small().wrap()).clicked() {
                todo.push(Command::ShowMaking);
            }
        });
    }
}

fn rests_on(ui: &mut Ui, report: &Report, units: Units) {
    use crate::figure::Origin;
    let a = &report.assumed;
    let from = match a.w_mm.from {
        Origin::Measured => "measured",
        Origin::Label => "from the label",
        Origin::Estimate => "an estimate: a swatch narrows every figure",
    };
    let (w, h) = (units.length(a.w_mm.figure).value(), units.length(a.h_mm.figure).value());
    let first = first_sentence(report).map_or_else(String::new, |sentence| format!(" {sentence}"));
    fields::hint(ui, format!("All this rests on a stitch {w} wide and {h} high, {from}.{first}"));
}
