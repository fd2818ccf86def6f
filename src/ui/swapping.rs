//! The toy otherwise takes too long for every frame: it is worked out beside the window, once for every change of the
//! question. An answer to an older question is dropped.

use std::sync::mpsc::{Receiver, Sender, channel};

use super::another_yarn::{SwapDraft, Way};
use crate::measure::derive;
use crate::swap::{Side, Swapped, as_large_as_yarn_allows, same_counts, same_size};
use crate::toy::Toy;

/// Number of the toy, and what is asked of it.
type Key = (u64, SwapDraft);
type Question = (Key, Toy);

/// A toy beside the one in hand, and its size against that where it was looked for; or why there is none.
pub type Answer = Result<(Option<f64>, Swapped), String>;

/// Asks and answers.
pub struct Swapping {
    /// `None` where questions are answered at once.
    ask: Option<Sender<Question>>,
    answers: Receiver<(Key, Answer)>,
    asked: Option<Key>,
    newest: Option<(Key, Answer)>,
}

impl std::fmt::Debug for Swapping {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Swapping").field("asked", &self.asked).finish_non_exhaustive()
    }
}

impl Swapping {
    /// Answers come from a thread of its own, which wakes the window; without a window to wake, at once.
    pub fn new(wake: Option<egui::Context>) -> Swapping {
        let (ask, questions) = channel::<Question>();
        let (answer_to, answers) = channel();
        let thread = wake.map(|ctx| {
            let work = move || {
                while let Ok(mut question) = questions.recv() {
                    // Only the newest question counts.
                    while let Ok(newer) = questions.try_recv() {
                        question = newer;
                    }
                    let answer = work_out(&question.1, &question.0.1);
                    if answer_to.send((question.0, answer)).is_err() {
                        return;
                    }
                    ctx.request_repaint();
                }
            };
            std::thread::Builder::new().name("another yarn".to_owned()).spawn(work)
        });
        let beside = thread.is_some_and(|t| t.is_ok());
        Swapping { ask: beside.then_some(ask), answers, asked: None, newest: None }
    }

    /// The answer to a question about the toy of this number, as soon as it is there.
    pub fn answer(&mut self, generation: u64, toy: &Toy, draft: &SwapDraft) -> Option<&Answer> {
        while let Ok(answer) = self.answers.try_recv() {
            self.newest = Some(answer);
        }
        let is_asked = self.asked.as_ref().is_some_and(|(of, asked)| *of == generation && asked == draft);
        if !is_asked {
            let key = (generation, draft.clone());
            self.asked = Some(key.clone());
            match &self.ask {
                // A thread that has died is not asked again; its answer is merely missing.
                Some(ask) => drop(ask.send((key, toy.clone()))),
                None => self.newest = Some((key, work_out(toy, draft))),
            }
        }
        self.newest.as_ref().filter(|(key, _)| Some(key) == self.asked.as_ref()).map(|(_, answer)| answer)
    }
}

fn work_out(toy: &Toy, draft: &SwapDraft) -> Answer {
    match draft.way {
        Way::Counts => Ok((None, same_counts(toy, draft.index, &draft.yarn))),
        Way::Size => Ok((None, same_size(toy, draft.index, &draft.yarn))),
        Way::Large => {
            let worked = match draft.other {
                true => same_counts(toy, draft.index, &draft.yarn).toy,
                false => toy.clone(),
            };
            let said = |y: &crate::yarn::Yarn| y.stock.have_g.is_some() || y.stock.have_balls.is_some();
            if !worked.yarns.iter().any(said) {
                return Err("Nothing says how much yarn is at hand: say it under Yarn, then come back.".to_owned());
            }
            match as_large_as_yarn_allows(&worked, draft.sure) {
                Some((size, swapped)) => Ok((Some(size), Swapped { before: Side::of(&derive(toy).report), ..swapped })),
                None => Err("What is at hand is not enough for a quarter of the size, or nothing says what a ball \
                             weighs."
                    .to_owned()),
            }
        }
    }
}
