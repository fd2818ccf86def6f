//! The search: problems, ladders climbed one by one, then two or three together.

use std::collections::HashMap;
use std::rc::Rc;

use super::change::change;
use super::climb::{Status, first, strides};
use super::families::{Context, Family, Ladder, Ladders, cautions, ladders};
use super::figures::Shown;
use super::goals::{Goal, Severes, about_standing, goals_of, goals_of_targets, harmless, severe, severes};
use super::limits::{Limits, Targets};
use super::locks::allowed;
use super::{Advice, Problem, Progress, SCHEMA, Suggestion};
use crate::measure::{Derived, Finding, Glance, Made, Severity, derive, derive_again, glance};
use crate::toy::Toy;

/// Suggestions kept for one problem.
const MOST_SUGGESTIONS: usize = 16;
/// States from which a further step is tried: two changes together, three where several goals must be met at once.
const BREADTH: usize = 5;
/// Changes that are tried from the states of one level, at most.
const MOST_TOGETHER: u32 = 500;

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

/// One problem, its goals as positions in the list of all goals.
struct Task {
    what: String,
    finding: Option<Finding>,
    goals: Vec<usize>,
    /// Goals that mend it for good.
    thorough: Option<Vec<usize>>,
    met: bool,
}

fn tasks(toy: &Toy, look: &Glance, targets: &Targets) -> (Vec<Task>, Vec<Goal>) {
    let mut goals: Vec<Goal> = Vec::new();
    let mut place = |list: Vec<Goal>| -> Vec<usize> {
        let position = |goal: Goal| {
            goals.iter().position(|g| *g == goal).unwrap_or_else(|| {
                goals.push(goal);
                goals.len() - 1
            })
        };
        list.into_iter().map(position).collect()
    };
    let mut tasks: Vec<Task> = Vec::new();
    for finding in severe(look) {
        let (mend, thorough) = goals_of(finding);
        let goals = place(mend);
        if tasks.iter().any(|t| t.goals == goals) {
            continue;
        }
        let thorough = thorough.map(&mut place);
        tasks.push(Task { what: finding.message.clone(), finding: Some(finding.clone()), goals, thorough, met: false });
    }
    let wanted = goals_of_targets(targets, toy, look);
    if !wanted.is_empty() {
        let words: Vec<String> = wanted.iter().map(Goal::words).collect();
        let met = wanted.iter().all(|g| g.gap(toy, look) == 0.0);
        let what = format!("Wanted: {}{}.", words.join("; "), if met { ". It is so already" } else { "" });
        tasks.push(Task { what, finding: None, goals: place(wanted), thorough: None, met });
    }
    if tasks.iter().filter(|t| !t.met).count() > 1 {
        let mut all: Vec<usize> = tasks.iter().flat_map(|t| t.goals.iter().copied()).collect();
        all.sort_unstable();
        all.dedup();
        tasks.push(Task {
            what: "All of it at once.".to_owned(),
            finding: None,
            goals: all,
            thorough: None,
            met: false,
        });
    }
    (tasks, goals)
}

/// What a change comes to, goal by goal.
#[derive(Clone)]
struct Outcome {
    gaps: Vec<f64>,
    harmless: bool,
}

impl Outcome {
    fn status(&self, goals: &[usize]) -> Status {
        match () {
            () if !self.harmless || goals.iter().any(|g| self.gaps[*g] > 0.0) => Status::Short,
            () if goals.iter().any(|g| self.gaps[*g] < 0.0) => Status::Over,
            () => Status::There,
        }
    }

    fn distance(&self, goals: &[usize]) -> f64 {
        goals.iter().map(|g| self.gaps[*g].abs()).sum::<f64>() + if self.harmless { 0.0 } else { 1.0 }
    }
}

/// Changes taken one after the other.
type Chain = Vec<(Rc<dyn Ladder>, u32)>;

/// A toy on the way.
struct State {
    toy: Toy,
    look: Rc<Glance>,
    chain: Chain,
    distance: f64,
}

struct Search<'a> {
    toy: &'a Toy,
    limits: &'a Limits,
    derived: Derived,
    look: Rc<Glance>,
    severes: Severes,
    before: Shown,
    goals: Vec<Goal>,
    all: Ladders,
    /// What single steps come to, by ladder and step.
    seen: HashMap<(usize, u32), Option<Outcome>>,
    tried: u32,
    share: f64,
    go_on: bool,
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
        for (done, &task) in open.iter().enumerate() {
            // Several goals at once are seldom best met by one change alone.
            if self.go_on && (self.problems[task].suggestions.is_empty() || tasks[task].goals.len() > 1) {
                self.share = 0.7 + 0.3 * done as f64 / open.len() as f64;
                self.together(task, &tasks[task]);
            }
        }
        for &task in &open {
            let complete = self.go_on;
            let problem = &mut self.problems[task];
            if problem.suggestions.is_empty() {
                problem.nothing = Some(if complete {
                    "Nothing within these limits mends this.".to_owned()
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
    fn outcome(&mut self, toy: &Toy, before: &Made) -> (Outcome, Glance) {
        self.tried += 1;
        let look = glance(toy, before);
        let gaps = self.goals.iter().map(|g| g.gap(toy, &look)).collect();
        let outcome = Outcome { gaps, harmless: harmless(&self.severes, &severes(&look)) };
        if self.tried.is_multiple_of(8) {
            self.report(None);
        }
        (outcome, look)
    }

    /// A step taken from some toy on the way, if the limits allow.
    fn take(&self, ladder: &dyn Ladder, toy: &Toy, step: u32) -> Option<Toy> {
        ladder.apply(toy, step).filter(|t| allowed(self.limits, self.toy, &self.look.copies, t))
    }

    /// What a single step of a ladder comes to.
    fn single(&mut self, ladder: usize, step: u32) -> Option<Outcome> {
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

    /// Two or three changes together, from those that bring the problem nearest to its end.
    fn together(&mut self, task_index: usize, task: &Task) {
        let depth = if task.goals.len() > 1 { 3 } else { 2 };
        let (toy, look) = (self.toy, self.look.clone());
        let start = Outcome { gaps: self.goals.iter().map(|g| g.gap(toy, &look)).collect(), harmless: true };
        let mut states =
            vec![State { toy: toy.clone(), look, chain: Vec::new(), distance: start.distance(&task.goals) }];
        let mut useful: Vec<(Family, usize)> = Vec::new();
        for level in 1..=depth {
            let mut next: Vec<State> = Vec::new();
            let mut solved: Vec<Chain> = Vec::new();
            for state in &states {
                let end = self.tried.saturating_add(MOST_TOGETHER / states.len().max(1) as u32);
                for ladder in self.ladders_of(state) {
                    let at = (ladder.family(), ladder.part());
                    let used = state.chain.iter().any(|(l, _)| (l.family(), l.part()) == at);
                    if used || !self.go_on || (level > 1 && (self.tried > end || !useful.contains(&at))) {
                        continue;
                    }
                    if level > 1
                        && let Some(step) = self.last_step(task, state, &*ladder)
                    {
                        let mut chain = state.chain.clone();
                        chain.push((ladder.clone(), step));
                        solved.push(chain);
                    } else if level < depth {
                        let (better, helps) = self.nearest(task, state, &ladder);
                        if helps && level == 1 {
                            useful.push(at);
                        }
                        next.extend(better);
                    }
                }
            }
            let done = !solved.is_empty();
            for chain in solved {
                let chain = self.trimmed(task, chain);
                self.suggest(task_index, task, &chain);
            }
            if done || !self.go_on {
                return;
            }
            next.sort_by(|a, b| a.distance.total_cmp(&b.distance));
            states = best_of_each(next);
        }
    }

    fn ladders_of(&self, state: &State) -> Ladders {
        if state.chain.is_empty() {
            return self.all.clone();
        }
        let (limits, goals) = (self.limits, &self.goals);
        ladders(&Context { toy: &state.toy, look: &state.look, limits, goals })
    }

    /// The step of a ladder that solves a problem from a state, if one does.
    fn last_step(&mut self, task: &Task, state: &State, ladder: &dyn Ladder) -> Option<u32> {
        let mut status = |step: u32| {
            if !self.go_on {
                return Status::Cannot;
            }
            let Some(toy) = self.take(ladder, &state.toy, step) else { return Status::Cannot };
            self.outcome(&toy, &state.look.made).0.status(&task.goals)
        };
        strides(1, ladder.steps(), &mut status)
    }

    /// Of some steps of a ladder the one that comes nearest to the end of a problem, if it is a step forward; and
    /// whether any step brings any of its goals nearer.
    fn nearest(&mut self, task: &Task, state: &State, ladder: &Rc<dyn Ladder>) -> (Option<State>, bool) {
        let n = ladder.steps();
        let mut steps = vec![1, n.div_ceil(4), n.div_ceil(2), (3 * n).div_ceil(4), n];
        steps.dedup();
        let mut best: Option<State> = None;
        let mut helps = false;
        let now: Vec<f64> = task.goals.iter().map(|g| self.goals[*g].gap(&state.toy, &state.look)).collect();
        for step in steps {
            let Some(toy) = self.take(&**ladder, &state.toy, step) else { continue };
            let (outcome, look) = self.outcome(&toy, &state.look.made);
            let distance = outcome.distance(&task.goals);
            helps |= task.goals.iter().zip(&now).any(|(g, now)| outcome.gaps[*g].abs() < 0.98 * now.abs());
            let least = best.as_ref().map_or(0.98 * state.distance, |b| b.distance);
            if distance < least {
                let mut chain = state.chain.clone();
                chain.push((ladder.clone(), step));
                best = Some(State { toy, look: Rc::new(look), chain, distance });
            }
            if !self.go_on {
                return (None, false);
            }
        }
        (best, helps)
    }

    /// The toy after a chain of changes.
    fn after(&self, chain: &Chain) -> Option<Toy> {
        chain.iter().try_fold(self.toy.clone(), |toy, (ladder, step)| self.take(&**ladder, &toy, *step))
    }

    /// Each step of a chain as small as the others allow.
    fn trimmed(&mut self, task: &Task, mut chain: Chain) -> Chain {
        let look = self.look.clone();
        for at in 0..chain.len() {
            let most = chain[at].1;
            let mut tried = chain.clone();
            let least = strides(1, most, &mut |step| {
                tried[at].1 = step;
                match self.after(&tried) {
                    Some(toy) => self.outcome(&toy, &look.made).0.status(&task.goals),
                    None => Status::Cannot,
                }
            });
            chain[at].1 = least.unwrap_or(most);
        }
        chain
    }

    /// Works a change out in full and keeps it, in its place by how much it changes.
    fn suggest(&mut self, task_index: usize, task: &Task, chain: &Chain) {
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

/// The best states, no two that begin with the same family at the same part.
fn best_of_each(sorted: Vec<State>) -> Vec<State> {
    let mut kept: Vec<State> = Vec::new();
    for state in sorted {
        let at = |s: &State| s.chain.iter().map(|(l, _)| (l.family(), l.part())).collect::<Vec<_>>();
        if !kept.iter().any(|k| at(k) == at(&state)) {
            kept.push(state);
        }
        if kept.len() >= BREADTH {
            break;
        }
    }
    kept
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
