//! How fast the work goes: by experience, by the maker's own count, or by parts that were timed.

use std::time::{Duration, Instant};

use egui::{RichText, Ui};

use crate::document::history::EditKind;
use crate::figure::{Assumed, Origin};
use crate::measure::time::{USUAL_PACE, pace_of};
use crate::toy::Toy;
use crate::toy::plan::{Experience, Timed};
use crate::ui::bench::Bench;
use crate::ui::fields::{self, choice, hint, maybe, set};

/// A watch that runs while a stretch of work is timed.
#[derive(Debug, Default)]
pub(super) struct Watch {
    running: Option<Running>,
}

#[derive(Debug)]
struct Running {
    since: Instant,
    part: String,
    from_round: u32,
    copy: u32,
}

impl Watch {
    /// What was timed up to now. Rounds that were marked as made meanwhile are what it was spent on.
    fn stop(&mut self, toy: &Toy) -> Option<Timed> {
        let running = self.running.take()?;
        let index = toy.piece_named(&running.part)?;
        let last = u32::try_from(toy.pieces[index].part.rounds.len()).unwrap_or(u32::MAX);
        let made = toy.plan.rounds_made(&running.part, running.copy);
        Some(Timed {
            // To a tenth of a minute, and never nothing.
            minutes: (running.since.elapsed().as_secs_f64() / 6.0).round().max(1.0) / 10.0,
            from_round: Some(running.from_round.min(last)),
            to_round: Some(made.max(running.from_round).min(last)),
            part: running.part,
        })
    }
}

/// The first copy that is not finished, and its next round.
fn next_round(toy: &Toy, part: usize) -> (u32, u32) {
    let piece = &toy.pieces[part];
    let last = u32::try_from(piece.part.rounds.len()).unwrap_or(u32::MAX);
    let made = |copy: u32| toy.plan.rounds_made(&piece.part.name, copy);
    let copies = toy.copies_of(part);
    let copy = (0..copies).find(|copy| made(*copy) < last).unwrap_or(0);
    (copy, (made(copy) + 1).min(last.max(1)))
}

/// Shows the fields.
pub(super) fn show(ui: &mut Ui, bench: &mut Bench, watch: &mut Watch, pace: &Assumed) {
    let all = [
        (None, "not said"),
        (Some(Experience::Beginner), "beginner: 5 to 8 a minute"),
        (Some(Experience::Usual), "used to it: 12 to 15"),
        (Some(Experience::Fast), "fast: 20 and more"),
    ];
    let answer = choice(ui, "How practised", &bench.toy().plan.experience, &all);
    set(bench, None, "experience", answer, |toy, experience| toy.plan.experience = experience);
    let usual = bench.toy().plan.experience.map_or(USUAL_PACE, pace_of);
    let own = bench.toy().plan.pace_sc_per_min;
    let guess = if pace.from == Origin::Measured { pace.value() } else { usual.value };
    let answer = maybe(ui, "Your own pace", own, (guess * 10.0).round() / 10.0, 0.5..=60.0, " a min");
    set(bench, None, "pace", answer, |toy, pace| toy.plan.pace_sc_per_min = pace);
    timer(ui, bench, watch);
    timed(ui, bench);
}

fn timer(ui: &mut Ui, bench: &mut Bench, watch: &mut Watch) {
    if watch.running.as_ref().is_some_and(|r| bench.toy().piece_named(&r.part).is_none()) {
        watch.running = None;
    }
    let Some(running) = &watch.running else {
        let Some(part) = bench.chosen_part().filter(|i| !bench.toy().pieces[*i].part.rounds.is_empty()) else { return };
        let name = bench.toy().pieces[part].part.name.clone();
        let (copy, from_round) = next_round(bench.toy(), part);
        ui.horizontal_wrapped(|ui| {
            let hint = format!("Press it when you begin round {from_round} of {name}, and Stop when you lay it down");
            let start = ui.small_button("Start timing").on_hover_text(hint);
            if start.accessible_name(format!("Start timing {name}")).clicked() {
                watch.running = Some(Running { since: Instant::now(), part: name.clone(), from_round, copy });
                ui.request_repaint();
            }
            let typed = ui.small_button("Type minutes").on_hover_text("Minutes that you noted yourself");
            if typed.accessible_name(format!("Type minutes of {name}")).clicked() {
                let entry = Timed { part: name, minutes: 10.0, from_round: Some(1), to_round: Some(from_round) };
                bench.edit(EditKind::Once("timed rounds"), |toy| toy.plan.timed.push(entry));
            }
        });
        return;
    };
    let elapsed = running.since.elapsed();
    let text = format!("{} from round {}: {}", running.part, running.from_round, clock(elapsed));
    // The next second is the next thing that changes.
    ui.ctx().request_repaint_after(Duration::from_millis(1001 - u64::from(elapsed.subsec_millis())));
    let mut stop = false;
    ui.horizontal_wrapped(|ui| {
        ui.strong(text);
        stop = ui.button("Stop").accessible_name("Stop timing").clicked();
    });
    hint(ui, "Mark the rounds as made under Work before you stop: then it knows which were timed.");
    if stop && let Some(entry) = watch.stop(bench.toy()) {
        bench.edit(EditKind::Once("timed rounds"), |toy| toy.plan.timed.push(entry));
        ui.request_repaint();
    }
}

fn clock(elapsed: Duration) -> String {
    let seconds = elapsed.as_secs();
    format!("{}:{:02} min", seconds / 60, seconds % 60)
}

/// What was timed so far; minutes and rounds can be set right.
fn timed(ui: &mut Ui, bench: &mut Bench) {
    let mut remove = None;
    for index in 0..bench.toy().plan.timed.len() {
        let entry = bench.toy().plan.timed[index].clone();
        let rounds = bench.toy().piece_named(&entry.part).map_or(0, |i| bench.toy().pieces[i].part.rounds.len());
        let rounds = u32::try_from(rounds).unwrap_or(u32::MAX).max(1);
        let mut now = entry.clone();
        let (mut from, mut to) = (entry.from_round.unwrap_or(1), entry.to_round.unwrap_or(rounds));
        ui.push_id(("timed", index), |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                let name = |what: &str| format!("{what} timed of {}", entry.part);
                ui.label(RichText::new(&entry.part).strong());
                ui.label("rounds");
                ui.add(egui::DragValue::new(&mut from).range(1..=rounds)).accessible_name(name("First round"));
                ui.label("to");
                ui.add(egui::DragValue::new(&mut to).range(1..=rounds)).accessible_name(name("Last round"));
                ui.label("in");
                let minutes = egui::DragValue::new(&mut now.minutes).range(0.1..=6000.0).max_decimals(1).suffix(" min");
                ui.add(minutes).accessible_name(name("Minutes"));
                let button = ui.small_button("Remove");
                if button.accessible_name(format!("Remove timed rounds of {}", entry.part)).clicked() {
                    remove = Some(index);
                }
            });
        });
        if from != entry.from_round.unwrap_or(1) {
            (now.from_round, now.to_round) = (Some(from), Some(to.max(from)));
        }
        if to != entry.to_round.unwrap_or(rounds) {
            (now.to_round, now.from_round) = (Some(to), Some(from.min(to)));
        }
        fields::set(bench, None, "timed rounds", (now != entry).then_some(now), |toy, now| toy.plan.timed[index] = now);
    }
    if let Some(index) = remove {
        bench.edit(EditKind::Once("timed rounds"), |toy| drop(toy.plan.timed.remove(index)));
    }
}
