//! What is too slow for every frame is worked out beside the window: how the toy lands, where things go on the worked
//! fabric, what it is like otherwise. Every question carries a key, as a rule the number of the toy it is about; an answer
//! about an older one is dropped.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use crate::measure::report::{PlacementsReport, RestPoseReport};
use crate::measure::{Derived, land, placements};
use crate::toy::Toy;

/// What is called when an answer has come, so that the window looks.
pub type Wake = Box<dyn Fn() + Send>;

/// How the toy lands.
pub type Landing = Errand<Arc<Derived>, Vec<RestPoseReport>>;

/// Where things go on the worked fabric.
pub type Places = Errand<(Arc<Toy>, Arc<Derived>), Arc<PlacementsReport>>;

/// Asks and answers.
pub struct Errand<Q, A, K = u64> {
    work: fn(&Q) -> A,
    ask: Option<Sender<(K, Q)>>,
    answers: Receiver<(K, A)>,
    /// Used where questions are answered at once.
    answer_to: Sender<(K, A)>,
    newest: Option<(K, A)>,
    asked: K,
}

impl<Q, A, K: std::fmt::Debug> std::fmt::Debug for Errand<Q, A, K> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Errand").field("asked", &self.asked).finish_non_exhaustive()
    }
}

fn how_it_lands(derived: &Arc<Derived>) -> Vec<RestPoseReport> {
    if derived.standing.is_none() {
        return Vec::new();
    }
    land(derived).unwrap_or_default()
}

fn where_things_go((toy, derived): &(Arc<Toy>, Arc<Derived>)) -> Arc<PlacementsReport> {
    Arc::new(placements(toy, derived))
}

impl Landing {
    /// Answers come from a thread of its own. Without one (the system gives none) questions are answered at once.
    pub fn beside(wake: Wake) -> Landing {
        Errand::threaded(how_it_lands, "landing", wake)
    }

    /// Questions are answered at once: for tests, and for whoever has no window to wake.
    pub fn at_once() -> Landing {
        Errand::unthreaded(how_it_lands)
    }
}

impl Places {
    /// Answers come from a thread of its own. Without one (the system gives none) questions are answered at once.
    pub fn beside(wake: Wake) -> Places {
        Errand::threaded(where_things_go, "places", wake)
    }

    /// Questions are answered at once: for tests, and for whoever has no window to wake.
    pub fn at_once() -> Places {
        Errand::unthreaded(where_things_go)
    }
}

impl<Q: Send + 'static, A: Send + 'static, K: Clone + Default + PartialEq + Send + 'static> Errand<Q, A, K> {
    /// Answers come from a thread of its own. Without one (the system gives none) questions are answered at once.
    pub fn threaded(work: fn(&Q) -> A, name: &str, wake: Wake) -> Self {
        let (ask, questions) = channel::<(K, Q)>();
        let (answer_to, answers) = channel();
        let to = answer_to.clone();
        let run = move || {
            while let Ok(mut question) = questions.recv() {
                // Only the newest question counts.
                while let Ok(newer) = questions.try_recv() {
                    question = newer;
                }
                if to.send((question.0, work(&question.1))).is_err() {
                    return;
                }
                wake();
            }
        };
        let thread = std::thread::Builder::new().name(name.to_owned()).spawn(run);
        Errand { work, ask: thread.is_ok().then_some(ask), answers, answer_to, newest: None, asked: K::default() }
    }

    /// Questions are answered at once.
    pub fn unthreaded(work: fn(&Q) -> A) -> Self {
        let (answer_to, answers) = channel();
        Errand { work, ask: None, answers, answer_to, newest: None, asked: K::default() }
    }

    /// Whether long work runs beside the window.
    pub fn is_beside(&self) -> bool {
        self.ask.is_some()
    }

    /// Asks about what this key stands for.
    pub fn ask(&mut self, key: K, question: Q) {
        self.asked = key.clone();
        match &self.ask {
            // A thread that has died is not asked again; its answer is merely missing.
            Some(ask) => drop(ask.send((key, question))),
            None => drop(self.answer_to.send((key, (self.work)(&question)))),
        }
    }

    /// What was asked about last.
    pub fn asked(&self) -> &K {
        &self.asked
    }

    /// Takes in what has come.
    pub fn look(&mut self) {
        while let Ok(answer) = self.answers.try_recv() {
            if answer.0 == self.asked {
                self.newest = Some(answer);
            }
        }
    }

    /// The answer about this key, if it has come.
    pub fn answer(&self, key: &K) -> Option<&A> {
        self.newest.as_ref().filter(|(of, _)| of == key).map(|(_, answer)| answer)
    }
}
