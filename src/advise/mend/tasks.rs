//! What there is to mend, each with the goals that mend it.

use super::goals::{Goal, goals_of, goals_of_targets, severe};
use crate::measure::{Finding, Glance};
use crate::toy::Toy;
use crate::toy::wishes::Targets;

/// One problem, its goals as positions in the list of all goals.
pub struct Task {
    /// What it is, in words.
    pub what: String,
    /// The severe finding that it is.
    pub finding: Option<Finding>,
    /// Its goals.
    pub goals: Vec<usize>,
    /// Goals that mend it for good.
    pub thorough: Option<Vec<usize>>,
    /// All of it is so already.
    pub met: bool,
}

/// Every severe finding, all targets together, and all of it at once; with the list of their goals.
pub fn tasks(toy: &Toy, look: &Glance, targets: &Targets) -> (Vec<Task>, Vec<Goal>) {
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
