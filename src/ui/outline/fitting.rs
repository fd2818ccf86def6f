//! Rounds of the outline in hand, worked out beside the window: never twice for the same outline, and never two at once.

use std::sync::{Arc, Mutex};

use egui::Context;

use super::sentence;
use crate::advise::outline::{Fit, HalfOutline, Rules, rounds_of_outline};
use crate::toy::shape::ShapeInput;

/// What is worked out.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Question {
    pub(super) half: HalfOutline,
    pub(super) input: ShapeInput,
}

type Answer = (Question, Result<Fit, String>);

/// The newest question, its answer, and the thread that is at work on one.
#[derive(Clone)]
pub(super) struct Fitting {
    beside: bool,
    asked: Option<Question>,
    /// Why there is nothing to ask.
    wrong: Option<String>,
    answer: Option<Arc<Answer>>,
    at_work: Option<Arc<Mutex<Option<Answer>>>>,
}

/// Puts an answer where it is waited for, whatever happens to the thread.
struct Promise {
    question: Question,
    to: Arc<Mutex<Option<Answer>>>,
    ctx: Context,
}

impl Drop for Promise {
    fn drop(&mut self) {
        if let Ok(mut to) = self.to.lock()
            && to.is_none()
        {
            *to = Some((self.question.clone(), Err("These rounds could not be worked out.".to_owned())));
        }
        self.ctx.request_repaint();
    }
}

fn work(question: &Question) -> Result<Fit, String> {
    rounds_of_outline(&question.half, &question.input, &Rules::default()).map_err(|e| sentence(&e.to_string()))
}

impl Fitting {
    pub(super) fn new(beside: bool) -> Fitting {
        Fitting { beside, asked: None, wrong: None, answer: None, at_work: None }
    }

    /// Asks what is not asked yet, and takes in what has come. Where answers come at once they wait until the hand is
    /// still.
    pub(super) fn look(&mut self, ctx: &Context, question: Result<Question, String>, is_still: bool) {
        if let Some(to) = &self.at_work
            && let Some(come) = to.lock().ok().and_then(|mut to| to.take())
        {
            self.answer = Some(Arc::new(come));
            self.at_work = None;
        }
        match question {
            Ok(question) => (self.asked, self.wrong) = (Some(question), None),
            Err(why) => (self.asked, self.wrong) = (None, Some(why)),
        }
        let Some(question) = self.asked.clone().filter(|q| self.answer.as_ref().is_none_or(|a| a.0 != *q)) else {
            return;
        };
        if !self.beside {
            if is_still {
                let found = work(&question);
                self.answer = Some(Arc::new((question, found)));
            }
            return;
        }
        if self.at_work.is_some() {
            return;
        }
        let to = Arc::new(Mutex::new(None));
        let promise = Promise { question, to: Arc::clone(&to), ctx: ctx.clone() };
        let run = move || {
            let found = work(&promise.question);
            if let Ok(mut to) = promise.to.lock() {
                *to = Some((promise.question.clone(), found));
            }
        };
        // Without a thread the promise is dropped, and says that nothing came.
        let _ = std::thread::Builder::new().name("rounds of an outline".to_owned()).spawn(run);
        self.at_work = Some(to);
    }

    /// The newest rounds, maybe of an outline a moment ago.
    pub(super) fn fit(&self) -> Option<&Fit> {
        self.answer.as_ref().filter(|_| self.wrong.is_none()).and_then(|a| a.1.as_ref().ok())
    }

    /// Why there are no rounds.
    pub(super) fn wrong(&self) -> Option<&str> {
        self.wrong.as_deref().or_else(|| self.answer.as_ref().and_then(|a| a.1.as_ref().err()).map(String::as_str))
    }

    /// Whether the answer is that of the outline as it is now.
    pub(super) fn is_settled(&self) -> bool {
        self.asked.is_some() && self.answer.as_ref().map(|a| &a.0) == self.asked.as_ref()
    }
}
