//! How the toy lands is too slow for every frame: it is worked out beside the window. Every question carries the
//! number of the toy it is about; an answer about an older one is dropped.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use crate::measure::report::RestPoseReport;
use crate::measure::{Derived, land};

type Question = (u64, Arc<Derived>);
type Answer = (u64, Vec<RestPoseReport>);

/// What is called when an answer has come, so that the window looks.
pub type Wake = Box<dyn Fn() + Send>;

/// Asks and answers.
pub struct Landing {
    ask: Option<Sender<Question>>,
    answers: Receiver<Answer>,
    /// Used where questions are answered at once.
    answer_to: Option<Sender<Answer>>,
    newest: Option<Answer>,
    asked: u64,
}

impl std::fmt::Debug for Landing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Landing").field("asked", &self.asked).finish_non_exhaustive()
    }
}

impl Landing {
    /// Answers come from a thread of its own. Without one (the system gives none) questions are answered at once.
    pub fn beside(wake: Wake) -> Landing {
        let (ask, questions) = channel::<Question>();
        let (answer_to, answers) = channel();
        let to = answer_to.clone();
        let work = move || {
            while let Ok(mut question) = questions.recv() {
                // Only the newest question counts.
                while let Ok(newer) = questions.try_recv() {
                    question = newer;
                }
                let answer = land(&question.1).unwrap_or_default();
                if to.send((question.0, answer)).is_err() {
                    return;
                }
                wake();
            }
        };
        let thread = std::thread::Builder::new().name("landing".to_owned()).spawn(work);
        Landing { ask: thread.is_ok().then_some(ask), answers, answer_to: Some(answer_to), newest: None, asked: 0 }
    }

    /// Questions are answered at once: for tests, and for whoever has no window to wake.
    pub fn at_once() -> Landing {
        let (answer_to, answers) = channel();
        Landing { ask: None, answers, answer_to: Some(answer_to), newest: None, asked: 0 }
    }

    /// Whether slow things run beside the window.
    pub fn is_beside(&self) -> bool {
        self.ask.is_some()
    }

    /// Asks about the toy of this number.
    pub fn ask(&mut self, generation: u64, derived: &Arc<Derived>) {
        self.asked = generation;
        if derived.standing.is_none() {
            self.newest = Some((generation, Vec::new()));
            return;
        }
        match (&self.ask, &self.answer_to) {
            // A thread that has died is not asked again; its answer is merely missing.
            (Some(ask), _) => drop(ask.send((generation, Arc::clone(derived)))),
            (None, Some(to)) => drop(to.send((generation, land(derived).unwrap_or_default()))),
            (None, None) => {}
        }
    }

    /// Takes in what has come.
    pub fn look(&mut self) {
        while let Ok(answer) = self.answers.try_recv() {
            if answer.0 == self.asked {
                self.newest = Some(answer);
            }
        }
    }

    /// The answer about the toy of this number, if it has come.
    pub fn answer(&self, generation: u64) -> Option<&[RestPoseReport]> {
        self.newest.as_ref().filter(|(of, _)| *of == generation).map(|(_, poses)| &poses[..])
    }
}
