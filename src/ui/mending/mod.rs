//! Mending the toy: the smallest changes that cure what is wrong or reach what is wished, each with what becomes of
//! the toy, done by one press.

mod search;
mod wishes;

pub use search::Search;

use egui::{Align, CollapsingHeader, Frame, Grid, Margin, RichText, Stroke, Ui};

use super::bench::Bench;
use super::look::{self, Mood};
use crate::advise::mend::goals::about_standing;
use crate::advise::mend::{Advice, Problem, Shown, Suggestion};
use crate::document::history::EditKind;
use crate::figure::Figure;
use crate::measure::Finding;
use crate::toy::Toy;
use crate::view::units::{Units, short};

/// Suggestions shown for one problem until more are asked for.
const SHOWN: usize = 4;

/// The state of the page.
#[derive(Debug)]
pub struct Mending {
    search: Search,
    /// Problem whose suggestions are all shown.
    all_of: Option<usize>,
    /// The finding that led here.
    asked: Option<Finding>,
    /// What it led to is still to be brought into sight.
    to_show: bool,
}

/// What was pressed on a suggestion.
enum Pressed {
    /// Take it.
    Take(Box<Toy>),
    /// Look at its outline, or put that away.
    Look(Option<Box<(Toy, String)>>),
}

impl Mending {
    /// A page whose searches run so.
    pub fn new(search: Search) -> Mending {
        Mending { search, all_of: None, asked: None, to_show: false }
    }

    /// Forgets what was looked at: another toy has come.
    pub fn begin_anew(&mut self) {
        (self.all_of, self.asked) = (None, None);
    }

    /// Shows next what mends this finding.
    pub fn lead_to(&mut self, finding: Finding) {
        (self.asked, self.to_show) = (Some(finding), true);
    }

    /// The page is left: what it laid over the toy is put away.
    pub fn leave(&mut self, bench: &mut Bench) {
        self.asked = None;
        bench.look_at(None);
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
        let generation = bench.generation();
        // While a button is held the toy or a wish is still changing.
        if !self.search.is_about(generation) && !ui.input(|i| i.pointer.any_down()) {
            self.search.ask(generation, bench.toy());
            self.search.look();
            self.all_of = None;
        }
        let pressed = match self.search.advice().filter(|_| self.search.is_about(generation)) {
            Some(advice) => {
                let shown = answer(ui, advice, bench, self.asked.as_ref(), self.to_show, (units, self.all_of));
                self.to_show = false;
                self.all_of = shown.all_of.or(self.all_of);
                shown.pressed
            }
            None => self.going_on(ui, bench, units),
        };
        if self.search.advice().is_some_and(|a| !a.complete) && ui.button("Search again").clicked() {
            self.search.ask(generation, bench.toy());
        }
        match pressed {
            Some(Pressed::Take(toy)) => {
                bench.edit(EditKind::Once("mending"), |now| *now = *toy);
                bench.seal();
                ui.request_repaint();
            }
            Some(Pressed::Look(what)) => {
                bench.look_at(what.map(|what| *what));
                ui.request_repaint();
            }
            None => {}
        }
    }

    fn wishes(&mut self, ui: &mut Ui, bench: &mut Bench) {
        let report = &bench.derived().report;
        let height = report.toy.size_mm.map_or(100.0, |s| s.z.value);
        let grams: f64 = report.yarn.iter().map(|y| y.grams.value).sum();
        let mut wishes = bench.toy().wishes.clone();
        let wished = !wishes.targets.is_empty();
        CollapsingHeader::new("What I want").default_open(wished).show(ui, |ui| {
            wishes::targets(ui, &mut wishes.targets, height, grams);
        });
        CollapsingHeader::new("What must stay")
            .show(ui, |ui| wishes::limits(ui, &mut wishes.limits, bench.toy(), bench.chosen()));
        if wishes != bench.toy().wishes {
            let step = wishes::step(&bench.toy().wishes, &wishes);
            bench.edit(step, |toy| toy.wishes = wishes);
        }
    }

    fn going_on(&self, ui: &mut Ui, bench: &Bench, units: Units) -> Option<Pressed> {
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
        // What was found for the toy as it was before a change is no way to change it now.
        let found = if self.search.is_about(bench.generation()) { self.search.found() } else { &[] };
        let mut pressed = None;
        for (i, (_, suggestion)) in found.iter().take(SHOWN).enumerate() {
            ui.push_id(("found", i), |ui| pressed = card(ui, i + 1, suggestion, bench, units).or(pressed.take()));
        }
        pressed
    }
}

/// What was done on the list of problems.
#[derive(Default)]
struct Answered {
    pressed: Option<Pressed>,
    /// Problem of which all is to be shown.
    all_of: Option<usize>,
}

/// Shows what came of a search; what `asked` led to comes first and is marked.
fn answer(
    ui: &mut Ui,
    advice: &Advice,
    bench: &Bench,
    asked: Option<&Finding>,
    to_show: bool,
    (units, all_of): (Units, Option<usize>),
) -> Answered {
    let mut answered = Answered::default();
    if advice.problems.is_empty() {
        ui.horizontal(|ui| {
            look::mood_label(ui, 16.0, Mood::Good);
            ui.add(
                egui::Label::new("Nothing to mend: no finding is severe. Say above what you want otherwise.").wrap(),
            );
        });
    }
    let first = asked.and_then(|finding| problem_of(&advice.problems, finding));
    let mut order: Vec<usize> = (0..advice.problems.len()).collect();
    order.sort_by_key(|number| Some(*number) != first);
    for number in order {
        let problem = &advice.problems[number];
        let is_asked = first == Some(number);
        let mut one = |ui: &mut Ui| {
            let most = if all_of == Some(number) { usize::MAX } else { SHOWN };
            let heading = problem_heading(ui, problem);
            if is_asked && to_show {
                heading.scroll_to_me(Some(Align::TOP));
            }
            for (i, suggestion) in problem.suggestions.iter().take(most).enumerate() {
                let pressed = ui.push_id(i, |ui| card(ui, i + 1, suggestion, bench, units)).inner;
                answered.pressed = pressed.or(answered.pressed.take());
            }
            let more = problem.suggestions.len().saturating_sub(most);
            if more > 0 && ui.button(format!("Show {more} more, which change more")).clicked() {
                answered.all_of = Some(number);
            }
        };
        ui.push_id(number, |ui| {
            if is_asked {
                let edge = Stroke::new(2.0, ui.visuals().selection.bg_fill);
                Frame::NONE.stroke(edge).corner_radius(6).inner_margin(Margin::same(5)).show(ui, |ui| {
                    ui.set_width(ui.available_width());
                    ui.small("What you asked about:");
                    one(ui);
                });
                if advice.problems.len() > 1 {
                    ui.add_space(4.0);
                    ui.small("What else there is to mend:");
                }
            } else {
                one(ui);
            }
        });
        ui.add_space(4.0);
    }
    for caution in &advice.cautions {
        ui.add(egui::Label::new(RichText::new(caution).small()).wrap());
    }
    answered
}

/// The problem that a finding is: of one kind and one part there is one.
fn problem_of(problems: &[Problem], asked: &Finding) -> Option<usize> {
    let about = |f: &Finding| {
        f.part == asked.part && (f.kind == asked.kind || (about_standing(f.kind) && about_standing(asked.kind)))
    };
    problems.iter().position(|p| p.finding.as_ref().is_some_and(about))
}

fn problem_heading(ui: &mut Ui, problem: &Problem) -> egui::Response {
    let heading = ui.horizontal_top(|ui| {
        let met = problem.suggestions.is_empty() && problem.nothing.is_none();
        look::mood_label(ui, 16.0, if met { Mood::Good } else { Mood::Bad });
        ui.add(egui::Label::new(RichText::new(&problem.what).family(look::strong_family())).wrap());
    });
    if let Some(nothing) = &problem.nothing {
        ui.add(egui::Label::new(nothing).wrap());
    }
    heading.response
}
/// One suggestion.
fn card(ui: &mut Ui, number: usize, suggestion: &Suggestion, bench: &Bench, units: Units) -> Option<Pressed> {
    let mut pressed = None;
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
        let words = suggestion.words.join(" ");
        ui.horizontal(|ui| {
            let apply = ui.button("Do this").on_hover_text("Changes the toy so; undo takes it back");
            if apply.accessible_name(format!("Do this, number {number}: {words}")).clicked() {
                pressed = Some(Pressed::Take(Box::new(suggestion.changed.clone())));
            }
            let on = bench.looked_at().is_some_and(|looked| looked.toy == suggestion.changed);
            let hint = if on {
                "Puts the outline away"
            } else {
                "Draws the outline it would have over the toy, in the flat views"
            };
            let look = ui.selectable_label(on, "Look").on_hover_text(hint);
            if look.accessible_name(format!("Look, number {number}: {words}")).clicked() {
                let what = (!on).then(|| Box::new((suggestion.changed.clone(), words.clone())));
                pressed = Some(Pressed::Look(what));
            }
        });
    });
    pressed
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
