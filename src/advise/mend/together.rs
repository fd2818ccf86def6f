//! Two or three changes together, where none alone will do.

use std::rc::Rc;

use super::climb::{Status, strides};
use super::families::{Context, Family, Ladder, Ladders, ladders};
use super::search::{Chain, Outcome, Search};
use super::tasks::Task;
use crate::measure::{Glance, glance};
use crate::toy::Toy;

/// States from which a further step is tried: two changes together, three where several goals must be met at once.
const BREADTH: usize = 5;
/// Solutions of one problem that are made as small as they can be.
const MOST_TRIMMED: usize = 8;

/// A toy on the way.
struct State {
    toy: Toy,
    look: Rc<Glance>,
    chain: Chain,
    distance: f64,
}

impl Search<'_> {
    /// Two or three changes together, from those that bring the problem nearest to its end, with so much effort.
    pub fn together(&mut self, task_index: usize, task: &Task, effort: u32) {
        let depth = if task.goals.len() > 1 { 3 } else { 2 };
        let (mut states, useful) = self.first_states(task);
        for level in 2..=depth {
            let mut next: Vec<State> = Vec::new();
            let mut solved: Vec<Chain> = Vec::new();
            let each = effort / (depth - 1) / states.len().max(1) as u32;
            for state in &states {
                let end = self.effort.saturating_add(each);
                for ladder in self.ladders_of(state) {
                    let at = (ladder.family(), ladder.part());
                    let used = state.chain.iter().any(|(l, _)| (l.family(), l.part()) == at);
                    if used || !self.go_on || self.effort > end || !useful.contains(&at) {
                        continue;
                    }
                    if let Some(step) = self.last_step(task, state, &*ladder) {
                        let mut chain = state.chain.clone();
                        chain.push((ladder.clone(), step));
                        solved.push(chain);
                    } else if level < depth {
                        next.extend(self.nearest(task, state, &ladder));
                    }
                }
            }
            let done = !solved.is_empty();
            for chain in solved.into_iter().take(MOST_TRIMMED) {
                let chain = self.trimmed(task, chain);
                self.suggest(task_index, task, &chain);
            }
            if done || !self.go_on {
                return;
            }
            states = best_of_each(next);
        }
    }

    /// Toys one step away that are nearest to the end of a problem; and all families at all parts that bring any of
    /// its goals nearer.
    fn first_states(&mut self, task: &Task) -> (Vec<State>, Vec<(Family, usize)>) {
        let (toy, look) = (self.toy, self.look.clone());
        let gaps: Vec<f64> = self.goals.iter().map(|g| g.gap(toy, &look)).collect();
        let start = Outcome { gaps, harmless: true };
        let mut best: Vec<(f64, usize, u32)> = Vec::new();
        let mut useful = Vec::new();
        for ladder in 0..self.all.len() {
            let mut least = (0.98 * start.distance(&task.goals), ladder, 0);
            for step in some_of(self.all[ladder].steps()) {
                if !self.go_on {
                    return (Vec::new(), useful);
                }
                let Some(outcome) = self.single(ladder, step) else { continue };
                let at = (self.all[ladder].family(), self.all[ladder].part());
                let nearer = |g: &usize| outcome.gaps[*g].abs() < 0.98 * start.gaps[*g].abs();
                if task.goals.iter().any(nearer) && !useful.contains(&at) {
                    useful.push(at);
                }
                let distance = outcome.distance(&task.goals);
                if distance < least.0 {
                    least = (distance, ladder, step);
                }
            }
            if least.2 > 0 {
                best.push(least);
            }
        }
        best.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut states: Vec<State> = Vec::new();
        for (distance, ladder, step) in best {
            let ladder = self.all[ladder].clone();
            let again = states.iter().flat_map(|s| &s.chain);
            if again.clone().any(|(l, _)| (l.family(), l.part()) == (ladder.family(), ladder.part())) {
                continue;
            }
            let Some(toy) = self.take(&*ladder, self.toy, step) else { continue };
            let look = Rc::new(glance(&toy, &look.made));
            states.push(State { toy, look, chain: vec![(ladder, step)], distance });
            if states.len() >= BREADTH {
                break;
            }
        }
        (states, useful)
    }

    /// Ladders for a toy on the way.
    fn ladders_of(&self, state: &State) -> Ladders {
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
            self.status(&toy, &state.look.made, &task.goals)
        };
        strides(1, ladder.steps(), &mut status)
    }

    /// Of some steps of a ladder the one that comes nearest to the end of a problem, if it is a step forward.
    fn nearest(&mut self, task: &Task, state: &State, ladder: &Rc<dyn Ladder>) -> Option<State> {
        let mut best: Option<State> = None;
        for step in some_of(ladder.steps()) {
            let Some(toy) = self.take(&**ladder, &state.toy, step) else { continue };
            let (outcome, look) = self.outcome(&toy, &state.look.made);
            let distance = outcome.distance(&task.goals);
            let least = best.as_ref().map_or(0.98 * state.distance, |b| b.distance);
            if distance < least {
                let mut chain = state.chain.clone();
                chain.push((ladder.clone(), step));
                best = Some(State { toy, look: Rc::new(look), chain, distance });
            }
            if !self.go_on {
                return None;
            }
        }
        best
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
                    Some(toy) => self.status(&toy, &look.made, &task.goals),
                    None => Status::Cannot,
                }
            });
            chain[at].1 = least.unwrap_or(most);
        }
        chain
    }
}

/// Steps of a ladder that show where it leads.
fn some_of(steps: u32) -> Vec<u32> {
    let mut some = vec![1, steps.div_ceil(4), steps.div_ceil(2), (3 * steps).div_ceil(4), steps];
    some.dedup();
    some
}

/// The best states, no two by the same families at the same parts.
fn best_of_each(mut states: Vec<State>) -> Vec<State> {
    states.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    let mut kept: Vec<State> = Vec::new();
    for state in states {
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
