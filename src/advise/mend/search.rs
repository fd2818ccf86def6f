//! The search: problems, ladders climbed one by one, then two or three together.

use std::collections::HashMap;
use std::rc::Rc;

use super::change::change;
use super::climb::{Status, first};
use super::families::{Context, Ladder, Ladders, cautions, ladders};
use super::figures::Shown;
use super::goals::{Goal, Severes, about_standing, harmless, severes};
use super::locks::allowed;
use super::tasks::{Task, tasks};
use super::{Advice, Problem, Progress, SCHEMA, Suggestion};
use crate::measure::{Derived, Finding, Glance, Made, Severity, derive, derive_again, glance, glance_unstood};
use crate::toy::Toy;
use crate::toy::wishes::{Limits, Targets};

/// Suggestions kept for one problem.
const MOST_SUGGESTIONS: usize = 16;
/// Most effort for changes together with others: a try counts 1, and 3 more where it takes to know how it stands.
const MOST_TOGETHER: u32 = 2000;

/// Searches the changes that mend a toy's severe findings and bring it to its targets, the least first. `tell` hears
/// how far it is and what has been found; once it answers `false` the search ends with what it has.
pub fn advise(toy: &Toy, limits: &Limits, targets: &Targets, tell: &mut dyn FnMut(Progress) -> bool) -> Advice {
    let derived = derive(toy);
    let look = Rc::new(glance(toy, &derived.made));
    let (tasks, goals) = tasks(toy, &look, targets);
    let context = Context { toy, look: &look, limits, goals: &goals };
    let open = tasks.iter().any(|t| !t.met);
    let said = if open { cautions(&context) } else { Vec::new() };
    let all = if open { ladders(&context) } else { Ladders::new() };
    let mut search = Search {
        toy,
        limits,
        before: Shown::of(&derived.report),
        severes: severes(&look),
        look: look.clone(),
        derived,
        goals,
        all,
        seen: HashMap::new(),
        tried: 0,
        effort: 0,
        share: 0.0,
        go_on: true,
        tell,
        problems: Vec::new(),
    };
    search.run(&tasks);
    Advice {
        schema: SCHEMA,
        toy: toy.name.clone(),
        before: search.before.clone(),
        complete: search.go_on,
        problems: search.problems,
        cautions: said,
    }
}

/// What a change comes to, goal by goal.
#[derive(Clone)]
pub(super) struct Outcome {
    pub gaps: Vec<f64>,
    pub harmless: bool,
}

impl Outcome {
    pub fn status(&self, goals: &[usize]) -> Status {
        match () {
            () if goals.iter().any(|g| self.gaps[*g] > 0.0) => Status::Short,
            () if goals.iter().any(|g| self.gaps[*g] < 0.0) => Status::Over,
            () if !self.harmless => Status::Short,
            () => Status::There,
        }
    }

    pub fn distance(&self, goals: &[usize]) -> f64 {
        goals.iter().map(|g| self.gaps[*g].abs()).sum::<f64>() + if self.harmless { 0.0 } else { 1.0 }
    }
}

/// Changes taken one after the other.
pub(super) type Chain = Vec<(Rc<dyn Ladder>, u32)>;

pub(super) struct Search<'a> {
    pub toy: &'a Toy,
    pub limits: &'a Limits,
    derived: Derived,
    pub look: Rc<Glance>,
    pub severes: Severes,
    before: Shown,
    pub goals: Vec<Goal>,
    pub all: Ladders,
    /// What single steps come to, by ladder and step.
    seen: HashMap<(usize, u32), Option<Outcome>>,
    pub tried: u32,
    /// What the tries cost: 1 each, and 3 more where it took to know how the toy stands.
    pub effort: u32,
    share: f64,
    pub go_on: bool,
    tell: &'a mut dyn FnMut(Progress) -> bool,
    problems: Vec<Problem>,
}

impl Search<'_> {
    fn run(&mut self, tasks: &[Task]) {
        self.problems = tasks
            .iter()
            .map(|t| Problem {
                what: t.what.clone(),
                finding: t.finding.clone(),
                suggestions: Vec::new(),
                nothing: None,
            })
            .collect();
        let open: Vec<usize> = (0..tasks.len()).filter(|i| !tasks[*i].met).collect();
        // Ladder by ladder, so that what one step comes to serves all problems while it is at hand.
        for ladder in 0..self.all.len() {
            self.share = 0.7 * ladder as f64 / self.all.len() as f64;
            for &task in &open {
                self.climb(task, &tasks[task], ladder);
            }
        }
        // Several goals at once are seldom best met by one change alone.
        let together = |s: &Self, task: usize| s.problems[task].suggestions.is_empty() || tasks[task].goals.len() > 1;
        let number = open.iter().filter(|t| together(self, **t)).count().max(1) as u32;
        for (done, &task) in open.iter().enumerate() {
            if self.go_on && together(self, task) {
                self.share = 0.7 + 0.3 * done as f64 / open.len() as f64;
                self.together(task, &tasks[task], MOST_TOGETHER / number);
            }
        }
        for &task in &open {
            let complete = self.go_on;
            let problem = &mut self.problems[task];
            if problem.suggestions.is_empty() {
                problem.nothing = Some(if complete {
                    "Nothing within these limits: no change that was tried, alone or with one or two others, mends this.".to_owned()
                } else {
                    "Nothing was found before the search was called off.".to_owned()
                });
            }
        }
        self.share = 1.0;
        self.report(None);
    }

    fn report(&mut self, found: Option<(usize, &Suggestion)>) {
        let progress = Progress { tried: self.tried, share: self.share, found };
        self.go_on &= (self.tell)(progress);
    }

    /// What a toy comes to.
    pub fn outcome(&mut self, toy: &Toy, before: &Made) -> (Outcome, Glance) {
        self.tried += 1;
        self.effort += 4;
        let look = glance(toy, before);
        let gaps = self.goals.iter().map(|g| g.gap(toy, &look)).collect();
        let outcome = Outcome { gaps, harmless: harmless(&self.severes, &severes(&look)) };
        if self.tried.is_multiple_of(8) {
            self.report(None);
        }
        (outcome, look)
    }

    /// What a toy comes to for some goals. How it stands is worked out only where all else is well.
    pub fn status(&mut self, toy: &Toy, before: &Made, goals: &[usize]) -> Status {
        self.tried += 1;
        self.effort += 1;
        if self.tried.is_multiple_of(8) {
            self.report(None);
        }
        let look = glance_unstood(toy, before);
        let (standing, plain): (Vec<&Goal>, Vec<&Goal>) =
            goals.iter().map(|g| &self.goals[*g]).partition(|g| g.asks_for_standing());
        let gaps: Vec<f64> = plain.iter().map(|g| g.gap(toy, &look)).collect();
        if gaps.iter().any(|g| *g > 0.0) {
            return Status::Short;
        }
        if gaps.iter().any(|g| *g < 0.0) {
            return Status::Over;
        }
        self.effort += 3;
        let look = look.stood(toy);
        let there = standing.iter().all(|g| g.gap(toy, &look) == 0.0) && harmless(&self.severes, &severes(&look));
        if there { Status::There } else { Status::Short }
    }

    /// A step taken from some toy on the way, if the limits allow.
    pub fn take(&self, ladder: &dyn Ladder, toy: &Toy, step: u32) -> Option<Toy> {
        ladder.apply(toy, step).filter(|t| allowed(self.limits, self.toy, &self.look.copies, t))
    }

    /// What a single step of a ladder comes to.
    pub fn single(&mut self, ladder: usize, step: u32) -> Option<Outcome> {
        if let Some(known) = self.seen.get(&(ladder, step)) {
            return known.clone();
        }
        let (all, look) = (self.all[ladder].clone(), self.look.clone());
        let outcome = self.take(&*all, self.toy, step).map(|toy| self.outcome(&toy, &look.made).0);
        self.seen.insert((ladder, step), outcome.clone());
        outcome
    }

    /// The first steps of one ladder that mend a problem, and that mend it for good.
    fn climb(&mut self, task_index: usize, task: &Task, ladder: usize) {
        let steps = self.all[ladder].steps();
        let mut from = 1;
        for goals in [Some(&task.goals), task.thorough.as_ref()].into_iter().flatten() {
            let found = first(from, steps, &mut |step| {
                if !self.go_on {
                    return Status::Cannot;
                }
                self.single(ladder, step).map_or(Status::Cannot, |o| o.status(goals))
            });
            let Some(step) = found.filter(|_| self.go_on) else { return };
            let again = goals != &task.goals && step == from && from > 1;
            if !again {
                let chain = vec![(self.all[ladder].clone(), step)];
                self.suggest(task_index, task, &chain);
            }
            from = step;
        }
    }

    /// The toy after a chain of changes.
    pub fn after(&self, chain: &Chain) -> Option<Toy> {
        chain.iter().try_fold(self.toy.clone(), |toy, (ladder, step)| self.take(&**ladder, &toy, *step))
    }

    /// Works a change out in full and keeps it, in its place by how much it changes.
    pub fn suggest(&mut self, task_index: usize, task: &Task, chain: &Chain) {
        let Some(changed) = self.after(chain) else { return };
        if self.problems[task_index].suggestions.iter().any(|s| s.changed == changed) {
            return;
        }
        let derived = derive_again(&changed, &self.derived);
        let change = change(self.toy, &self.look, &changed, &derived.made);
        let within = self.limits.max_outline_mm.is_none_or(|most| change.outline_max_mm <= most)
            && self.limits.max_minutes_more.is_none_or(|most| change.minutes_more <= most);
        if !within {
            return;
        }
        let look = glance(&changed, &derived.made);
        let reached = |goals: &[usize]| goals.iter().all(|g| self.goals[*g].gap(&changed, &look) == 0.0);
        if !reached(&task.goals) {
            return;
        }
        let mut words = Vec::new();
        let mut toy = self.toy.clone();
        for (ladder, step) in chain {
            let Some(next) = ladder.apply(&toy, *step) else { return };
            words.push(ladder.words(&toy, *step, &next));
            toy = next;
        }
        let suggestion = Suggestion {
            words,
            families: chain.iter().map(|(l, _)| l.family()).collect(),
            thorough: task.thorough.as_ref().is_some_and(|goals| reached(goals)),
            change,
            before: self.before.clone(),
            after: Shown::of(&derived.report),
            worse: worse(&self.derived.report.findings, &derived.report.findings),
            changed,
        };
        self.report(Some((task_index, &suggestion)));
        let kept = &mut self.problems[task_index].suggestions;
        let place = kept.partition_point(|s| s.change.points <= suggestion.change.points);
        kept.insert(place, suggestion);
        kept.truncate(MOST_SUGGESTIONS);
    }
}

/// Findings worth a change that are there after and were not, or not so grave, before.
fn worse(before: &[Finding], after: &[Finding]) -> Vec<String> {
    let same = |a: &Finding, b: &Finding| {
        a.part == b.part && (a.kind == b.kind || (about_standing(a.kind) && about_standing(b.kind)))
    };
    let is_new = |f: &&Finding| {
        f.severity >= Severity::Warning && !before.iter().any(|b| same(b, f) && b.severity >= f.severity)
    };
    after.iter().filter(is_new).map(|f| f.message.clone()).collect()
}
