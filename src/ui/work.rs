//! The chosen part in the work: how far it is made, what to do when, where it is sewn on and where its eyes go.

use egui::{RichText, Ui};

use super::bench::Bench;
use super::fields::{choice, hint, maybe, set};
use super::look;
use crate::document::history::EditKind;
use crate::figure::Figure;
use crate::measure::report::{FacePlace, PlacementsReport, SeamCopy, SeamReport, SewnOff, StepReport};
use crate::measure::time::{faces, is_sewn_on};
use crate::toy::Toy;

/// Copies that are told one by one.
const MOST_COPIES: u32 = 12;

/// Shows the panel.
pub fn show(ui: &mut Ui, bench: &mut Bench) {
    let Some(part) = bench.chosen_part() else { return };
    ui.spacing_mut().item_spacing.y = 5.0;
    progress(ui, bench, part);
    ui.separator();
    let name = bench.toy().pieces[part].part.name.clone();
    match bench.placements() {
        None => hint(ui, "Where things go is being worked out…"),
        Some(places) => {
            steps(ui, bench, &places, &name, part);
            sewing(ui, &places, &name);
            face(ui, &places, &name);
        }
    }
    ui.separator();
    hand(ui, bench);
}

fn last_round(toy: &Toy, part: usize) -> u32 {
    u32::try_from(toy.pieces[part].part.rounds.len()).unwrap_or(u32::MAX)
}

/// Rounds made, copy by copy, seams sewn, face done.
fn progress(ui: &mut Ui, bench: &mut Bench, part: usize) {
    look::group_heading(ui, "How far it is made");
    let last = last_round(bench.toy(), part);
    if last == 0 {
        hint(ui, "It has no rounds yet.");
        return;
    }
    let name = bench.toy().pieces[part].part.name.clone();
    let copies = bench.toy().copies_of(part);
    let sewn_on = is_sewn_on(bench.toy(), part);
    for copy in 0..copies.min(MOST_COPIES) {
        let called = if copies > 1 { format!("{name} {}", copy + 1) } else { name.clone() };
        one_copy(ui, bench, part, copy, &called, sewn_on);
    }
    if copies > MOST_COPIES {
        hint(ui, format!("The other {} are told apart in the file alone.", copies - MOST_COPIES));
    }
    if faces(bench.toy()).contains(&name.as_str()) {
        let mut done = bench.toy().plan.is_face_done(&name);
        let answer = ui.checkbox(&mut done, "The face is done").changed().then_some(done);
        set(bench, Some(part), "face of a part", answer, |toy, done| toy.plan.set_face_done(&name, done));
    }
}

fn one_copy(ui: &mut Ui, bench: &mut Bench, part: usize, copy: u32, called: &str, sewn_on: bool) {
    let last = last_round(bench.toy(), part);
    let name = bench.toy().pieces[part].part.name.clone();
    let made = bench.toy().plan.rounds_made(&name, copy).min(last);
    let mut now = made;
    let mut once = None;
    ui.push_id(("copy", copy), |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            ui.label(called);
            let less = ui.add_enabled(made > 0, egui::Button::new("–").small().min_size(egui::vec2(22.0, 20.0)));
            if less.accessible_name(format!("One round less of {called}")).clicked() {
                once = Some(made - 1);
            }
            let drag = egui::DragValue::new(&mut now).range(0..=last).speed(0.1);
            ui.add(drag).accessible_name(format!("Rounds made of {called}"));
            let more = ui.add_enabled(made < last, egui::Button::new("+").small().min_size(egui::vec2(22.0, 20.0)));
            if more.accessible_name(format!("One round more of {called}")).clicked() {
                once = Some(made + 1);
            }
            ui.label(RichText::new(format!("of {last} rounds")).weak());
            if made == last {
                look::mood_label(ui, 15.0, look::Mood::Good);
                ui.label("made");
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let chosen = bench.chosen_round().and_then(|r| u32::try_from(r + 1).ok());
            if let Some(round) = chosen.filter(|r| *r != made) {
                let button = ui.small_button(format!("Made up to round {round}"));
                if button.accessible_name(format!("{called} is made up to the chosen round {round}")).clicked() {
                    once = Some(round);
                }
            }
            if made < last && chosen != Some(last) {
                let button = ui.small_button("All made");
                if button.accessible_name(format!("{called} is all made")).clicked() {
                    once = Some(last);
                }
            }
            if sewn_on {
                let mut sewn = bench.toy().plan.is_sewn(&name, copy);
                let tick = ui.checkbox(&mut sewn, "sewn on").accessible_name(format!("{called} is sewn on"));
                let answer = tick.changed().then_some(sewn);
                set(bench, Some(part), "seam of a part", answer, |toy, sewn| toy.plan.set_sewn(&name, copy, sewn));
            }
        });
    });
    if let Some(rounds) = once {
        bench.edit(EditKind::Once("rounds made"), |toy| toy.plan.set_rounds_made(&name, copy, rounds));
        ui.request_repaint();
    } else if now != made {
        let kind = EditKind::Setting { part: Some(part), name: "rounds made" };
        bench.edit(kind, |toy| toy.plan.set_rounds_made(&name, copy, now));
    }
}

/// What to do when; what is behind is pale, the next is marked.
fn steps(ui: &mut Ui, bench: &mut Bench, places: &PlacementsReport, name: &str, part: usize) {
    let Some(report) = places.steps.iter().find(|s| s.part == name) else { return };
    look::group_heading(ui, "Steps in the work");
    let last = last_round(bench.toy(), part);
    let made = bench.toy().plan.rounds_made(name, 0).min(last);
    let sewn = bench.toy().plan.is_sewn(name, 0);
    let is_behind = |step: &StepReport| match step.kind {
        "sew" => sewn,
        _ => made > step.after_round || (made == last && last > 0 && sewn),
    };
    let next = report.steps.iter().position(|s| !is_behind(s));
    // One button for steps after the same round.
    let told_before = |i: usize| i > 0 && report.steps[i - 1].after_round == report.steps[i].after_round;
    let mut go = None;
    for (i, step) in report.steps.iter().enumerate() {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            if is_behind(step) {
                look::mood_label(ui, 14.0, look::Mood::Good);
            } else {
                ui.label(RichText::new(format!("{}.", i + 1)).weak());
            }
            ui.vertical(|ui| {
                let text = RichText::new(&step.message);
                let text = match () {
                    () if is_behind(step) => text.weak(),
                    () if next == Some(i) => text.strong(),
                    () => text,
                };
                ui.add(egui::Label::new(text).wrap());
                let round = (step.after_round as usize).checked_sub(1);
                if round.is_some() && bench.chosen_round() != round && !told_before(i) {
                    let button = ui.small_button(format!("Round {}", step.after_round));
                    let words = format!("Choose round {} of step {}", step.after_round, i + 1);
                    if button.accessible_name(words).clicked() {
                        go = round;
                    }
                }
            });
        });
    }
    if let Some(round) = go {
        bench.choose_round(Some(round));
        ui.request_repaint();
    }
}

fn range(figure: Figure, decimals: usize) -> String {
    let (low, high) = (format!("{:.decimals$}", figure.low), format!("{:.decimals$}", figure.high));
    if low == high { low } else { format!("{low} to {high}") }
}

/// Where the part is sewn on.
fn sewing(ui: &mut Ui, places: &PlacementsReport, name: &str) {
    let Some(seam) = places.seams.iter().find(|s| s.part == name) else { return };
    ui.add_space(2.0);
    look::group_heading(ui, &format!("Sewing it to {}", seam.onto));
    if seam.joint == "worked_in_one" {
        ui.label(format!("It is worked in one with {}: there is no seam.", seam.onto));
        return;
    }
    if let Some(tail) = seam.tail_mm {
        ui.add(
            egui::Label::new(format!(
                "The seam is {:.0} mm long; leave {} mm of tail. {} stitches of its own rim go along it.",
                seam.length_mm,
                range(tail, 0),
                seam.own_stitches
            ))
            .wrap(),
        );
    }
    let several = seam.copies.len() > 1;
    for copy in &seam.copies {
        if several {
            ui.label(RichText::new(format!("{name} {}", copy.copy + 1)).strong());
        }
        seam_copy(ui, seam, copy);
    }
    if let Some(off) = &seam.sewn_off {
        sewn_off(ui, off, seam.joint);
    }
}

fn seam_copy(ui: &mut Ui, seam: &SeamReport, copy: &SeamCopy) {
    let middle = copy.middle;
    match (copy.rounds.first(), copy.rounds.last()) {
        (Some(first), Some(last)) if copy.all_around => {
            let which = if first.round == last.round {
                format!("round {}", first.round)
            } else {
                format!("rounds {} to {}", first.round, last.round)
            };
            ui.label(format!("All around {which} of {}.", seam.onto));
            return;
        }
        (None, _) | (_, None) => {
            ui.label(format!("At round {}, stitch {} of {}.", middle.round, middle.stitch, middle.of));
            return;
        }
        _ => {}
    }
    ui.add(
        egui::Label::new(format!(
            "Its middle: round {}, stitch {} of {} ({} from where the round begins).",
            middle.round,
            middle.stitch,
            middle.of,
            range(middle.stitches_from_start, 1)
        ))
        .wrap(),
    );
    let head = format!("Round of {}", seam.onto);
    egui::Grid::new(("seam", copy.copy)).num_columns(2).spacing(egui::vec2(14.0, 1.0)).striped(true).show(ui, |ui| {
        ui.label(RichText::new(head).small().weak());
        ui.label(RichText::new("From its beginning").small().weak());
        ui.end_row();
        for cover in &copy.rounds {
            ui.label(format!("{}", cover.round));
            let text = if cover.from_stitch == cover.to_stitch {
                format!("{}", cover.from_stitch)
            } else if cover.from_stitch > cover.to_stitch {
                format!("{} to {}, over the beginning", cover.from_stitch, cover.to_stitch)
            } else {
                format!("{} to {}", cover.from_stitch, cover.to_stitch)
            };
            ui.label(text);
            ui.end_row();
        }
    });
}

/// What it does to sew a round or a stitch off.
fn sewn_off(ui: &mut Ui, off: &SewnOff, joint: &str) {
    let rim = joint == "rim_to_rim";
    let ways = [
        (if rim { "one round deeper" } else { "one round nearer its start" }, off.round_down_deg),
        (if rim { "one round less deep" } else { "one round nearer its end" }, off.round_up_deg),
        ("one stitch on", off.stitch_on_deg),
        ("one stitch back", off.stitch_back_deg),
    ];
    let told: Vec<String> = ways
        .iter()
        .filter(|(_, deg)| deg.abs() >= 0.05)
        .map(|(way, deg)| {
            let word = if *deg < 0.0 { "sooner" } else { "later" };
            format!("{way}: it tips {:.1}° {word}", deg.abs())
        })
        .collect();
    let text = if told.is_empty() {
        "A round or a stitch off makes no difference to how it stands.".to_owned()
    } else {
        format!("Sewn {}.", told.join("; "))
    };
    ui.add(egui::Label::new(RichText::new(text).small()).wrap());
}

/// Where eyes and whatever else is on it go.
fn face(ui: &mut Ui, places: &PlacementsReport, name: &str) {
    let here: Vec<&FacePlace> = places.face.iter().filter(|f| f.part == name).collect();
    if here.is_empty() {
        return;
    }
    ui.add_space(2.0);
    look::group_heading(ui, "Where the face goes");
    let copies = here.iter().any(|f| f.part_copy > 0);
    let several = |extra: &str| here.iter().any(|f| f.extra == extra && f.copy > 0);
    for place in &here {
        let on = if copies { format!(" on {name} {}", place.part_copy + 1) } else { String::new() };
        let which = if several(&place.extra) { format!(" {}", place.copy + 1) } else { String::new() };
        let apart = match place.stitches_from_first {
            on if on > 0.05 => format!("; {on:.1} stitches on from the first"),
            back if back < -0.05 => format!("; {:.1} stitches back from the first", -back),
            _ => String::new(),
        };
        let at = place.place;
        ui.add(
            egui::Label::new(format!(
                "{}{which}{on}: round {}, stitch {} of {}; {} stitches from where the round begins{apart}.",
                place.extra,
                at.round,
                at.stitch,
                at.of,
                range(at.stitches_from_start, 1)
            ))
            .wrap(),
        );
    }
    hint(
        ui,
        "The range is how far the beginning of the rounds may have wandered. The stitches between two eyes are sure.",
    );
}

/// How the maker's hand works, for the whole toy.
fn hand(ui: &mut Ui, bench: &mut Bench) {
    look::group_heading(ui, "Your hand");
    let about = "For the whole toy: which way the rounds run, how far their beginning wanders, and how wide a stitch is \
                 where its gauge is not measured.";
    hint(ui, about);
    let settings = bench.toy().settings;
    let answer = choice(ui, "Hook hand", &settings.left_handed, &[(false, "right"), (true, "left")]);
    set(bench, None, "hand", answer, |toy, left| toy.settings.left_handed = left);
    let answer = choice(ui, "Yarn goes", &settings.yarn_under, &[(false, "over the hook"), (true, "under the hook")]);
    set(bench, None, "yarn over or under", answer, |toy, under| toy.settings.yarn_under = under);
    let sides = [(false, "right side out"), (true, "wrong side out")];
    let answer = choice(ui, "Outside is", &settings.wrong_side_out, &sides);
    set(bench, None, "side that is out", answer, |toy, out| toy.settings.wrong_side_out = out);
    let usual = 10.0 * settings.drift().figure.value;
    let now = settings.drift_stitches.map(|d| 10.0 * d);
    let answer = maybe(ui, "Shift in 10 rounds", now, (usual * 10.0).round() / 10.0, -20.0..=20.0, " st");
    set(bench, None, "shift of the rounds", answer, |toy, shift| toy.settings.drift_stitches = shift.map(|s| s / 10.0));
    hint(ui, "Work ten even rounds and count how many stitches the beginning has moved against your way of work.");
}
