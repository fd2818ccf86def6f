//! The toy otherwise takes too long for every frame: it is worked out beside the window, once for every change of the
//! question.

use super::another_yarn::{SwapDraft, Way};
use super::landing::{Errand, Wake};
use crate::measure::derive;
use crate::swap::{Side, Swapped, as_large_as_yarn_allows, same_counts, same_size};
use crate::toy::Toy;

/// A toy beside the one in hand, and its size against that where it was looked for; or why there is none.
pub type Answer = Result<(Option<f64>, Swapped), String>;

/// Asks and answers: by the number of the toy and what is asked of it.
#[derive(Debug)]
pub struct Swapping(Errand<(Toy, SwapDraft), Answer, (u64, SwapDraft)>);

impl Swapping {
    /// Answers come from a thread of its own, which wakes the window; without a window to wake, at once.
    pub fn new(wake: Option<Wake>) -> Swapping {
        let work = |(toy, draft): &(Toy, SwapDraft)| work_out(toy, draft);
        Swapping(match wake {
            Some(wake) => Errand::threaded(work, "another yarn", wake),
            None => Errand::unthreaded(work),
        })
    }

    /// The answer to a question about the toy of this number, as soon as it is there.
    pub fn answer(&mut self, generation: u64, toy: &Toy, draft: &SwapDraft) -> Option<&Answer> {
        let key = (generation, draft.clone());
        if *self.0.asked() != key {
            self.0.ask(key.clone(), (toy.clone(), draft.clone()));
        }
        self.0.look();
        self.0.answer(&key)
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
