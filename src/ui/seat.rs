//! Where the chosen part sits, in plain words.

use egui::Ui;

use super::bench::Bench;
use super::fields::{ENDS, choice, hint, maybe, name_choice, number, set};
use crate::part::End;
use crate::toy::{Address, Joint, Placement, Seat};

/// Kinds of seats, without their numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Floor,
    End,
    Surface,
    Beside,
}

const KINDS: [(Kind, &str); 4] = [
    (Kind::Floor, "stands on the floor"),
    (Kind::End, "sits on the end of a part"),
    (Kind::Surface, "sits on the side of a part"),
    (Kind::Beside, "is not placed yet"),
];

const JOINTS: [(Joint, &str); 5] = [
    (Joint::RimToRim, "rim to rim"),
    (Joint::RimOnSurface, "rim sewn onto the surface"),
    (Joint::FoldedFlat, "folded flat, it dangles"),
    (Joint::WorkedInOne, "worked in one"),
    (Joint::Thread, "by a thread or button"),
];

/// Shows the panel.
pub fn show(ui: &mut Ui, bench: &mut Bench) {
    let Some(part) = bench.chosen_part() else { return };
    let placement = bench.toy().pieces[part].placement.clone();
    let others: Vec<String> =
        bench.toy().pieces.iter().enumerate().filter(|(i, _)| *i != part).map(|(_, p)| p.part.name.clone()).collect();
    let kind = match placement.seat {
        Seat::Floor { .. } => Kind::Floor,
        Seat::OnEnd { .. } => Kind::End,
        Seat::OnSurface { .. } => Kind::Surface,
        Seat::Beside => Kind::Beside,
    };
    let possible: Vec<(Kind, &str)> =
        KINDS.into_iter().filter(|(k, _)| !others.is_empty() || matches!(k, Kind::Floor | Kind::Beside)).collect();
    let name = bench.toy().pieces[part].part.name.clone();
    let answer = choice(ui, "This part", &kind, &possible);
    let onto = placement.seat.part().map(str::to_owned).or_else(|| others.first().cloned()).unwrap_or_default();
    put(bench, part, "seat", answer, |p, kind| {
        p.seat = match kind {
            Kind::Floor => Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 },
            Kind::End => Seat::OnEnd { part: onto, end: End::Finish },
            Kind::Surface => Seat::OnSurface { part: onto, at: Address { round: 8.0, angle_deg: 90.0 } },
            Kind::Beside => Seat::Beside,
        };
    });
    match &placement.seat {
        Seat::Beside => hint(ui, format!("Until {name} has a place it counts as yarn, not in size and balance.")),
        Seat::Floor { down, x_mm, y_mm } => floor(ui, bench, part, *down, *x_mm, *y_mm),
        Seat::OnEnd { part: onto, end } => {
            let answer = name_choice(ui, "Sits on", onto, &others);
            put(bench, part, "part it sits on", answer, |p, onto| p.seat = Seat::OnEnd { part: onto, end: *end });
            let answer = choice(ui, "At its", end, &ENDS);
            put(bench, part, "end it sits on", answer, |p, end| p.seat = Seat::OnEnd { part: onto.clone(), end });
        }
        Seat::OnSurface { part: onto, at } => {
            let answer = name_choice(ui, "Sits on", onto, &others);
            put(bench, part, "part it sits on", answer, |p, onto| p.seat = Seat::OnSurface { part: onto, at: *at });
            let rounds =
                bench.toy().piece_named(onto).map_or(500.0, |i| bench.toy().pieces[i].part.rounds.len() as f64);
            let answer = number(ui, "Middle at round", at.round, 0.0..=rounds, "", 0.05);
            put(bench, part, "round it sits on", answer, |p, round| {
                p.seat = Seat::OnSurface { part: onto.clone(), at: Address { round, ..*at } };
            });
            let answer = number(ui, "From the front", at.angle_deg, -180.0..=180.0, "°", 0.5);
            put(bench, part, "angle it sits at", answer, |p, angle_deg| {
                p.seat = Seat::OnSurface { part: onto.clone(), at: Address { angle_deg, ..*at } };
            });
            hint(ui, "0° is the front, 90° the toy's left, 180° the back.");
        }
    }
    ui.separator();
    if matches!(placement.seat, Seat::OnEnd { .. } | Seat::OnSurface { .. }) {
        sewn(ui, bench, part, &placement);
        ui.separator();
    }
    turned(ui, bench, part, &placement);
}

fn put<T>(
    bench: &mut Bench,
    part: usize,
    name: &'static str,
    answer: Option<T>,
    change: impl FnOnce(&mut Placement, T),
) {
    set(bench, Some(part), name, answer, |toy, value| change(&mut toy.pieces[part].placement, value));
}

fn floor(ui: &mut Ui, bench: &mut Bench, part: usize, down: End, x_mm: f64, y_mm: f64) {
    let answer = choice(ui, "Down is its", &down, &ENDS);
    put(bench, part, "end that is down", answer, |p, down| p.seat = Seat::Floor { down, x_mm, y_mm });
    let answer = number(ui, "To the toy's left", x_mm, -1000.0..=1000.0, " mm", 0.25);
    put(bench, part, "place to the left", answer, |p, x_mm| p.seat = Seat::Floor { down, x_mm, y_mm });
    let answer = number(ui, "To its front", y_mm, -1000.0..=1000.0, " mm", 0.25);
    put(bench, part, "place to the front", answer, |p, y_mm| p.seat = Seat::Floor { down, x_mm, y_mm });
}

fn sewn(ui: &mut Ui, bench: &mut Bench, part: usize, placement: &Placement) {
    let answer = choice(ui, "Fixed", &placement.joint, &JOINTS);
    put(bench, part, "how it is fixed", answer, |p, joint| p.joint = joint);
    let by = [
        (None, "as its ends suggest"),
        (Some(End::Start), "by its first round"),
        (Some(End::Finish), "by its last round"),
    ];
    let answer = choice(ui, "Which end", &placement.by, &by);
    put(bench, part, "end it is fixed by", answer, |p, by| p.by = by);
    let rounds = bench.toy().pieces[part].part.rounds.len() as f64;
    let usual = bench.derived().made.poses.get(part).and_then(|p| p.seam).map_or(1.0, |s| s.own_node);
    let answer = maybe(ui, "Sewn along its round", placement.seam_round, usual, 0.0..=rounds.max(1.0), "");
    put(bench, part, "round it is sewn along", answer, |p, round| p.seam_round = round);
}

fn turned(ui: &mut Ui, bench: &mut Bench, part: usize, placement: &Placement) {
    let answer = number(ui, "Nods forward", placement.nod_deg, -180.0..=180.0, "°", 0.5);
    put(bench, part, "nod", answer, |p, deg| p.nod_deg = deg);
    let answer = number(ui, "Leans to its left", placement.lean_deg, -180.0..=180.0, "°", 0.5);
    put(bench, part, "lean", answer, |p, deg| p.lean_deg = deg);
    let answer = number(ui, "Turned", placement.turn_deg, -180.0..=180.0, "°", 0.5);
    put(bench, part, "turn", answer, |p, deg| p.turn_deg = deg);
    let answer = number(ui, "Moved outward", placement.offset_mm, -500.0..=500.0, " mm", 0.25);
    put(bench, part, "offset", answer, |p, mm| p.offset_mm = mm);
}
