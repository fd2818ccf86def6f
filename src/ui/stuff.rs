//! Stuffing, base, start and finish of the chosen part; what is added to it.

use egui::Ui;

use super::bench::Bench;
use super::fields::{self, ENDS, choice, hint, number, set};
use crate::document::history::EditKind;
use crate::part::{Amount, Base};
use crate::rounds::{Finish, Start};
use crate::toy::{Address, Copies, Extra, ExtraKind, Spot};

/// Amounts in words, those with a number of their own by an example.
fn amount_word(amount: Amount) -> &'static str {
    match amount {
        Amount::None => "none",
        Amount::Light => "light",
        Amount::Medium => "medium",
        Amount::Firm => "firm",
        Amount::Grams(_) => "weighed",
    }
}

/// Shows the panel.
pub fn show(ui: &mut Ui, bench: &mut Bench) {
    let Some(part) = bench.chosen_part() else { return };
    stuffing(ui, bench, part);
    ui.separator();
    base(ui, bench, part);
    ui.separator();
    ends(ui, bench, part);
}

fn stuffing(ui: &mut Ui, bench: &mut Bench, part: usize) {
    let stuffing = bench.toy().pieces[part].part.stuffing;
    let now_g = bench.derived().report.parts.get(part).map_or(0.0, |p| p.stuffing_g.value);
    let grams = match stuffing.amount {
        Amount::Grams(g) => g,
        _ => (now_g * 10.0).round() / 10.0,
    };
    let all = [Amount::None, Amount::Light, Amount::Medium, Amount::Firm, Amount::Grams(grams.max(0.1))];
    let named: Vec<(Amount, &str)> = all.iter().map(|a| (*a, amount_word(*a))).collect();
    let answer = choice(ui, "Stuffing", &stuffing.amount, &named);
    set(bench, Some(part), "stuffing", answer, |toy, amount| toy.pieces[part].part.stuffing.amount = amount);
    if let Amount::Grams(g) = stuffing.amount {
        let answer = number(ui, "Stuffing of one", g, 0.0..=5000.0, " g", 0.1);
        set(bench, Some(part), "grams of stuffing", answer, |toy, g| {
            toy.pieces[part].part.stuffing.amount = Amount::Grams(g)
        });
    } else if now_g > 0.0 {
        hint(ui, "Weighing your stuffing narrows how the neck holds more than anything else.");
    }
    let rounds = bench.toy().pieces[part].part.rounds.len() as f64;
    let mut stops = stuffing.up_to_round.is_some();
    let answer = ui.checkbox(&mut stops, "Leave the last rounds empty").changed().then_some(stops);
    set(bench, Some(part), "rounds left empty", answer, |toy, stops| {
        toy.pieces[part].part.stuffing.up_to_round = stops.then_some(rounds as u32);
    });
    if let Some(round) = stuffing.up_to_round {
        let answer = number(ui, "Stuffed up to round", f64::from(round), 0.0..=rounds, "", 0.1);
        set(bench, Some(part), "stuffed up to round", answer, |toy, r| {
            toy.pieces[part].part.stuffing.up_to_round = Some(r.round() as u32)
        });
    }
}

fn base(ui: &mut Ui, bench: &mut Bench, part: usize) {
    let now = bench.toy().pieces[part].part.base;
    let rounds = bench.toy().pieces[part].part.rounds.len() as u32;
    let radius = match now {
        Base::PressedFlat { radius_mm } => radius_mm,
        _ => None,
    };
    let edge = match now {
        Base::BackLoopEdge { round } => round,
        _ => (rounds / 4).max(1),
    };
    let disc = match now {
        Base::Disc { diameter_mm } => diameter_mm,
        _ => 50.0,
    };
    let all = [
        (Base::AsWorked, "as the rounds make it"),
        (Base::Rounded, "rounded"),
        (Base::PressedFlat { radius_mm: radius }, "pressed flat"),
        (Base::BackLoopEdge { round: edge }, "back-loop edge"),
        (Base::Disc { diameter_mm: disc }, "stiff disc inside"),
    ];
    let answer = choice(ui, "Base", &now, &all);
    set(bench, Some(part), "base", answer, |toy, base| toy.pieces[part].part.base = base);
    match now {
        Base::AsWorked | Base::Rounded => {}
        Base::PressedFlat { radius_mm } => {
            let answer = fields::maybe(ui, "Flat out to", radius_mm, 25.0, 1.0..=1000.0, " mm");
            set(bench, Some(part), "radius of the flat base", answer, |toy, r| {
                toy.pieces[part].part.base = Base::PressedFlat { radius_mm: r }
            });
        }
        Base::BackLoopEdge { round } => {
            let answer = number(ui, "Edge at round", f64::from(round), 1.0..=f64::from(rounds.max(1)), "", 0.1);
            set(bench, Some(part), "round of the edge", answer, |toy, r| {
                toy.pieces[part].part.base = Base::BackLoopEdge { round: r.round() as u32 }
            });
        }
        Base::Disc { diameter_mm } => {
            let answer = number(ui, "Disc across", diameter_mm, 1.0..=1000.0, " mm", 0.5);
            set(bench, Some(part), "disc in the base", answer, |toy, d| {
                toy.pieces[part].part.base = Base::Disc { diameter_mm: d }
            });
        }
    }
    let answer = choice(ui, "The base is at", &bench.toy().pieces[part].part.base_end.clone(), &ENDS);
    set(bench, Some(part), "end of the base", answer, |toy, end| toy.pieces[part].part.base_end = end);
}

fn ends(ui: &mut Ui, bench: &mut Bench, part: usize) {
    let start = bench.toy().pieces[part].part.start.clone();
    let chain = match &start {
        Start::ChainOval { chain } => *chain,
        _ => 6,
    };
    let mut all = vec![
        (Start::MagicRing, "in a magic ring"),
        (Start::ChainRing, "in a chain ring, open"),
        (Start::ChainOval { chain }, "around a chain, oval"),
    ];
    match &start {
        Start::JoinedParts { .. } => all.push((start.clone(), "around joined parts")),
        Start::Rim { .. } => all.push((start.clone(), "on the rim of a part")),
        Start::MagicRing | Start::ChainRing | Start::ChainOval { .. } => {}
    }
    let answer = choice(ui, "Begun", &start, &all);
    set(bench, Some(part), "start", answer, |toy, start| toy.pieces[part].part.start = start);
    if let Start::ChainOval { chain } = start {
        let answer = number(ui, "Chain stitches", f64::from(chain), 1.0..=500.0, "", 0.1);
        set(bench, Some(part), "chain of the oval", answer, |toy, c| {
            toy.pieces[part].part.start = Start::ChainOval { chain: c.round() as u32 }
        });
    }
    let all = [(Finish::Gathered, "gathered shut"), (Finish::Open, "left open"), (Finish::FoldedFlat, "folded flat")];
    let answer = choice(ui, "Ended", &bench.toy().pieces[part].part.finish.clone(), &all);
    set(bench, Some(part), "finish", answer, |toy, finish| toy.pieces[part].part.finish = finish);
}

/// Kinds of added things in words, those with a number by an example.
const KINDS: [(ExtraKind, &str); 8] = [
    (ExtraKind::Eye { diameter_mm: 9.0 }, "eye or nose"),
    (ExtraKind::Pellets, "pellets in a bag"),
    (ExtraKind::Weight, "weight"),
    (ExtraKind::NeckStick, "neck stick"),
    (ExtraKind::Cord { length_mm: 150.0 }, "cord or loop"),
    (ExtraKind::Magnet { diameter_mm: 10.0, flux_index: None }, "magnet"),
    (ExtraKind::Wire, "wire"),
    (ExtraKind::Other, "something else"),
];

/// Shows what is added to the chosen part.
pub fn added(ui: &mut Ui, bench: &mut Bench) {
    let Some(part) = bench.chosen_part() else { return };
    let name = bench.toy().pieces[part].part.name.clone();
    hint(ui, format!("Eyes, pellets, weights, a hat: whatever has a mass, in or on {name}."));
    let mut remove = None;
    for index in 0..bench.toy().extras.len() {
        if bench.toy().extras[index].part == name {
            ui.push_id(index, |ui| one_added(ui, bench, index, &mut remove));
        }
    }
    if let Some(index) = remove {
        bench.edit(EditKind::Once("removed thing"), |toy| drop(toy.extras.remove(index)));
    }
    ui.menu_button("Add…", |ui| {
        for (kind, word) in KINDS {
            if ui.button(word).clicked() {
                bench.edit(EditKind::Once("added thing"), |toy| toy.extras.push(fresh(kind, word, &name)));
                ui.close();
            }
        }
    });
}

fn fresh(kind: ExtraKind, word: &str, part: &str) -> Extra {
    let (mass_g, spot, copies) = match kind {
        ExtraKind::Eye { .. } => (0.5, Spot::Surface(Address { round: 8.0, angle_deg: 25.0 }), Copies::MirroredPair),
        ExtraKind::Pellets => (30.0, Spot::Inside { share: 0.15 }, Copies::One),
        ExtraKind::Weight => (20.0, Spot::Inside { share: 0.1 }, Copies::One),
        ExtraKind::NeckStick => (3.0, Spot::Inside { share: 0.9 }, Copies::One),
        ExtraKind::Cord { .. } | ExtraKind::Magnet { .. } | ExtraKind::Wire => {
            (2.0, Spot::Inside { share: 0.9 }, Copies::One)
        }
        ExtraKind::Other => (5.0, Spot::Inside { share: 0.5 }, Copies::One),
    };
    Extra { name: word.to_owned(), kind, mass_g, part: part.to_owned(), spot, copies, ..Extra::default() }
}

fn one_added(ui: &mut Ui, bench: &mut Bench, index: usize, remove: &mut Option<usize>) {
    let extra = bench.toy().extras[index].clone();
    super::look::sheet(ui).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.strong(&extra.name);
            if ui.small_button("Remove").accessible_name(format!("Remove {}", extra.name)).clicked() {
                *remove = Some(index);
            }
        });
        let answer = number(ui, "Mass of one", extra.mass_g, 0.0..=5000.0, " g", 0.1);
        set(bench, None, "mass of an added thing", answer, |toy, g| toy.extras[index].mass_g = g);
        if let ExtraKind::Eye { diameter_mm } = extra.kind {
            let answer = number(ui, "Across", diameter_mm, 1.0..=80.0, " mm", 0.1);
            set(bench, None, "size of an eye", answer, |toy, d| {
                toy.extras[index].kind = ExtraKind::Eye { diameter_mm: d }
            });
        }
        let copies = [(Copies::One, "one"), (Copies::MirroredPair, "mirrored pair")];
        let answer = choice(ui, "How many", &extra.copies, &copies);
        set(bench, None, "number of an added thing", answer, |toy, c| toy.extras[index].copies = c);
        match extra.spot {
            Spot::Inside { share } => {
                let answer = number(ui, "Inside, at", 100.0 * share, 0.0..=100.0, " % of its length", 0.5);
                set(bench, None, "place of an added thing", answer, |toy, s| {
                    toy.extras[index].spot = Spot::Inside { share: s / 100.0 }
                });
            }
            Spot::Surface(at) => {
                let answer = number(ui, "Round", at.round, 0.0..=500.0, "", 0.05);
                set(bench, None, "round of an added thing", answer, |toy, r| {
                    toy.extras[index].spot = Spot::Surface(Address { round: r, ..at })
                });
                let answer = number(ui, "From the front", at.angle_deg, -180.0..=180.0, "°", 0.5);
                set(bench, None, "angle of an added thing", answer, |toy, a| {
                    toy.extras[index].spot = Spot::Surface(Address { angle_deg: a, ..at })
                });
            }
        }
    });
}
