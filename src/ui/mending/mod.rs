//! Mending the toy: the smallest changes that cure what is wrong or reach what is wished, each with what becomes of
//! the toy, done by one press.

mod search;
mod wishes;

use egui::{CollapsingHeader, Grid, RichText, Ui};

pub use search::{Question, Search};

use super::bench::Bench;
use super::look::{self, Mood};
use crate::advise::mend::{Advice, Limits, Shown, Suggestion, Targets};
use crate::document::history::EditKind;
use crate::figure::Figure;
use crate::toy::Toy;
use crate::view::units::{Units, short};

/// Suggestions shown for one problem until more are asked for.
const SHOWN: usize = 4;

/// The state of the page.
#[derive(Debug)]
pub struct Mending {
    /// What must stay.
    pub limits: Limits,
    /// What is wanted.
    pub targets: Targets,
    search: Search,
    /// Problem whose suggestions are all shown.
    all_of: Option<usize>,
}

impl Mending {
    /// A page whose searches run so.
    pub fn new(search: Search) -> Mending {
        Mending { limits: Limits::default(), targets: Targets::default(), search, all_of: None }
    }

    /// Forgets what was wanted and what had to stay: another toy has come, whose parts may have the same names.
    pub fn begin_anew(&mut self) {
        (self.limits, self.targets, self.all_of) = (Limits::default(), Targets::default(), None);
    }

    /// Shows the page.
    pub fn show(&mut self, ui: &mut Ui, bench: &mut Bench, units: Units) {
        ui.spacing_mut().item_spacing.y = 7.0;
        self.search.look();
        self.wishes(ui, bench);
        if bench.toy().pieces.is_empty() {
            ui.label("There is no part yet.");
            return;
        }
        let question =
            Question { generation: bench.generation(), limits: self.limits.clone(), targets: self.targets.clone() };
        // While a button is held the toy or a wish is still changing.
        if !self.search.is_about(&question) && !ui.input(|i| i.pointer.any_down()) {
            self.search.ask(question.clone(), bench.toy());
            self.search.look();
            self.all_of = None;
        }
        let mut taken = None;
        match self.search.advice().filter(|_| self.search.is_about(&question)) {
            Some(advice) => taken = answer(ui, advice, &mut self.all_of, units),
            None => self.going_on(ui, units, &mut taken),
        }
        if self.search.advice().is_some_and(|a| !a.complete) && ui.button("Search again").clicked() {
            self.search.ask(question, bench.toy());
        }
        if let Some(toy) = taken {
            bench.edit(EditKind::Once("mending"), |now| *now = toy);
            bench.seal();
            ui.request_repaint();
        }
    }

    fn wishes(&mut self, ui: &mut Ui, bench: &Bench) {
        let report = &bench.derived().report;
        let height = report.toy.size_mm.map_or(100.0, |s| s.z.value);
        let grams: f64 = report.yarn.iter().map(|y| y.grams.value).sum();
        let wished = !self.targets.is_empty();
        CollapsingHeader::new("What I want").default_open(wished).show(ui, |ui| {
            wishes::targets(ui, &mut self.targets, height, grams);
        });
        CollapsingHeader::new("What must stay")
            .show(ui, |ui| wishes::limits(ui, &mut self.limits, bench.toy(), bench.chosen()));
    }

    fn going_on(&self, ui: &mut Ui, units: Units, taken: &mut Option<Toy>) {
        ui.horizontal(|ui| {
            if self.search.goes_on() {
                let bar = egui::ProgressBar::new(self.search.share() as f32).desired_width(ui.available_width() - 80.0);
                ui.add(bar).accessible_name("Searching for changes");
                if ui.button("Stop").on_hover_text("Ends the search; what was found stays").clicked() {
                    self.search.call_off();
                }
            } else {
                ui.label("No search could be begun: the system gives no thread for it.");
            }
        });
        for (i, (_, suggestion)) in self.search.found().iter().take(SHOWN).enumerate() {
            ui.push_id(("found", i), |ui| {
                if card(ui, i + 1, suggestion, units) {
                    *taken = Some(suggestion.changed.clone());
                }
            });
        }
    }
}

/// Shows what came of a search; answers the changed toy that was taken.
fn answer(ui: &mut Ui, advice: &Advice, all_of: &mut Option<usize>, units: Units) -> Option<Toy> {
    let mut taken = None;
    if advice.problems.is_empty() {
        ui.horizontal(|ui| {
            look::mood_label(ui, 16.0, Mood::Good);
            ui.add(
                egui::Label::new("Nothing to mend: no finding is severe. Say above what you want otherwise.").wrap(),
            );
        });
    }
    for (number, problem) in advice.problems.iter().enumerate() {
        ui.push_id(number, |ui| {
            ui.horizontal_top(|ui| {
                let met = problem.suggestions.is_empty() && problem.nothing.is_none();
                look::mood_label(ui, 16.0, if met { Mood::Good } else { Mood::Bad });
                ui.add(egui::Label::new(RichText::new(&problem.what).family(look::strong_family())).wrap());
            });
            if let Some(nothing) = &problem.nothing {
                ui.add(egui::Label::new(nothing).wrap());
            }
            let most = if *all_of == Some(number) { usize::MAX } else { SHOWN };
            for (i, suggestion) in problem.suggestions.iter().take(most).enumerate() {
                ui.push_id(i, |ui| {
                    if card(ui, i + 1, suggestion, units) {
                        taken = Some(suggestion.changed.clone());
                    }
                });
            }
            let more = problem.suggestions.len().saturating_sub(most);
            if more > 0 && ui.button(format!("Show {more} more, which change more")).clicked() {
                *all_of = Some(number);
            }
        });
        ui.add_space(4.0);
    }
    for caution in &advice.cautions {
        ui.add(egui::Label::new(RichText::new(caution).small()).wrap());
    }
    taken
}

/// One suggestion; `true` where it was taken.
fn card(ui: &mut Ui, number: usize, suggestion: &Suggestion, units: Units) -> bool {
    let mut taken = false;
    look::sheet(ui).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 3.0;
        for words in &suggestion.words {
            ui.add(egui::Label::new(RichText::new(words).strong()).wrap());
        }
        Grid::new("before and after").num_columns(3).spacing([10.0, 1.0]).show(ui, |ui| {
            ui.label("");
            ui.small("now");
            ui.small("then");
            ui.end_row();
            for row in rows(&suggestion.before, &suggestion.after, units) {
                ui.small(row.what);
                ui.small(row.now);
                ui.horizontal(|ui| {
                    ui.spacing_mut().item_spacing.x = 4.0;
                    ui.label(RichText::new(row.then).small().family(look::strong_family()));
                    if row.mood != Mood::Plain {
                        look::mood_label(ui, 12.0, row.mood);
                    }
                });
                ui.end_row();
            }
        });
        let change = &suggestion.change;
        let mut changes = vec![format!(
            "moves the outline by {} at most",
            units.length(Figure::exact(change.outline_max_mm)).value()
        )];
        if change.outline_max_mm < 0.05 {
            changes[0] = "leaves the outline as it is".to_owned();
        }
        if change.stitches > 0 {
            changes.push(format!("changes {} stitches", change.stitches));
        }
        ui.add(egui::Label::new(RichText::new(format!("It {}.", changes.join(", "))).small().weak()).wrap());
        for worse in &suggestion.worse {
            ui.horizontal_top(|ui| {
                look::mood_label(ui, 14.0, Mood::Care);
                ui.add(egui::Label::new(RichText::new(worse).small()).wrap());
            });
        }
        let apply = ui.button("Do this").on_hover_text("Changes the toy so; undo takes it back");
        taken = apply.accessible_name(format!("Do this, number {number}: {}", suggestion.words.join(" "))).clicked();
    });
    taken
}

/// A figure before and after.
struct Row {
    what: &'static str,
    now: String,
    then: String,
    mood: Mood,
}

/// The figures that a change moves, worded; those that stay are left out.
fn rows(before: &Shown, after: &Shown, units: Units) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut put = |what, now: Option<String>, then: Option<String>, better: Option<bool>| {
        if now != then {
            let word = |text: Option<String>| text.unwrap_or_else(|| "none".to_owned());
            let mood = better.map_or(Mood::Plain, |b| if b { Mood::Good } else { Mood::Care });
            rows.push(Row { what, now: word(now), then: word(then), mood });
        }
    };
    let more = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| b >= a);
    let fewer = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| b <= a);
    let angle = |x: Option<f64>| x.map(|x| units.angle(Figure::exact(x)).value());
    put("leans before it falls", angle(before.tip_deg), angle(after.tip_deg), more(before.tip_deg, after.tip_deg));
    let share = |x: Option<f64>| x.map(|x| format!("{} times", short(x)));
    put(
        "neck bears its load",
        share(before.neck_share),
        share(after.neck_share),
        more(before.neck_share, after.neck_share),
    );
    let ratio = |x: Option<f64>| x.map(|x| format!("{} to 1", units.ratio(Figure::exact(x)).value()));
    put(
        "head to body",
        ratio(before.head_to_body),
        ratio(after.head_to_body),
        fewer(before.head_to_body, after.head_to_body),
    );
    let height = |x: Option<f64>| x.map(|x| units.length(Figure::exact(x)).value());
    put("height", height(before.height_mm), height(after.height_mm), None);
    let mass = |x: f64| Some(units.mass(Figure::exact(x)).value());
    put("weight", mass(before.mass_g), mass(after.mass_g), None);
    let yarn = |x: f64| Some(units.yarn(Figure::exact(x)).value());
    put("yarn in stitches", yarn(before.yarn_m), yarn(after.yarn_m), None);
    let time = |x: f64| Some(format!("{x:.0} min"));
    put("crocheting", time(before.minutes), time(after.minutes), None);
    rows
}
