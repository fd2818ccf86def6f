//! The search for changes takes up to seconds: it runs beside the window. Every search carries the number of the toy
//! it is about, which holds the wishes too; what an older one still tells is dropped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

use crate::advise::mend::{Advice, Suggestion, advise};
use crate::toy::Toy;

/// What is called when something has been found, so that the window looks.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// The least step of progress that is told, as a share of the whole.
const STEP: f64 = 0.02;

enum News {
    Share(f64),
    Found(usize, Box<Suggestion>),
    Done(Box<Advice>),
}

/// A search and what has come of it.
#[derive(Default)]
pub struct Search {
    wake: Option<Wake>,
    /// Number of the toy.
    asked: Option<u64>,
    news: Option<Receiver<News>>,
    cancel: Arc<AtomicBool>,
    share: f64,
    found: Vec<(usize, Suggestion)>,
    advice: Option<Advice>,
}

impl std::fmt::Debug for Search {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Search").field("asked", &self.asked).field("share", &self.share).finish_non_exhaustive()
    }
}

impl Search {
    /// Searches in threads of their own.
    pub fn beside(wake: Wake) -> Search {
        let mut search = Search::default();
        search.wake = Some(wake);
        search
    }

    /// Searches at once, for tests and for whoever has no window to wake.
    pub fn at_once() -> Search {
        Search::default()
    }

    /// Whether the toy of this number was asked about last.
    pub fn is_about(&self, generation: u64) -> bool {
        self.asked == Some(generation)
    }

    /// Begins a search for what mends the toy of this number and brings it to what is wanted; one that still runs is
    /// called off.
    pub fn ask(&mut self, generation: u64, toy: &Toy) {
        self.call_off();
        self.cancel = Arc::default();
        (self.share, self.found, self.advice) = (0.0, Vec::new(), None);
        self.asked = Some(generation);
        let (to, news) = channel();
        self.news = Some(news);
        let work = {
            let (toy, cancel) = (toy.clone(), Arc::clone(&self.cancel));
            let wake = self.wake.clone();
            move || search(&toy, &to, &cancel, &|| wake.iter().for_each(|wake| wake()))
        };
        if self.wake.is_none() {
            work();
            return;
        }
        if std::thread::Builder::new().name("mending".to_owned()).spawn(work).is_err() {
            // The system gives no thread: the page says so, and asks again only where something has changed.
            self.news = None;
        }
    }

    /// Calls off the search that runs; what was found stays.
    pub fn call_off(&self) {
        self.cancel.store(true, Ordering::Relaxed);
    }

    /// Takes in what has come.
    pub fn look(&mut self) {
        let Some(news) = &self.news else { return };
        while let Ok(word) = news.try_recv() {
            match word {
                News::Share(share) => self.share = share,
                News::Found(problem, suggestion) => self.found.push((problem, *suggestion)),
                News::Done(advice) => self.advice = Some(*advice),
            }
        }
    }

    /// Whether it still goes on.
    pub fn goes_on(&self) -> bool {
        self.news.is_some() && self.advice.is_none()
    }

    /// How far it has come, 0 to 1.
    pub fn share(&self) -> f64 {
        self.share
    }

    /// What it has found so far, in the order of finding, each with the number of its problem.
    pub fn found(&self) -> &[(usize, Suggestion)] {
        &self.found
    }

    /// What came of it, once it has ended.
    pub fn advice(&self) -> Option<&Advice> {
        self.advice.as_ref()
    }
}

impl Drop for Search {
    fn drop(&mut self) {
        self.call_off();
    }
}

fn search(toy: &Toy, to: &Sender<News>, cancel: &AtomicBool, wake: &dyn Fn()) {
    let mut told = 0.0;
    let advice = advise(toy, &toy.wishes.limits, &toy.wishes.targets, &mut |progress| {
        let sent = match progress.found {
            Some((problem, suggestion)) => to.send(News::Found(problem, Box::new(suggestion.clone()))),
            None if progress.share >= told + STEP => {
                told = progress.share;
                to.send(News::Share(told))
            }
            None => return !cancel.load(Ordering::Relaxed),
        };
        wake();
        sent.is_ok() && !cancel.load(Ordering::Relaxed)
    });
    // Nobody may be listening any more: the answer is merely late.
    let _ = to.send(News::Done(Box::new(advice)));
    wake();
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;
    use crate::document::samples;

    fn crier() -> Toy {
        let all = samples();
        let crier = all.iter().find(|s| s.title.contains("crier")).expect("the sample");
        crate::document::parse(crier.text, crier.title).expect("a toy").toy
    }

    fn wait(search: &mut Search) {
        let began = Instant::now();
        while search.advice().is_none() {
            assert!(began.elapsed() < Duration::from_secs(120), "no answer");
            std::thread::sleep(Duration::from_millis(2));
            search.look();
        }
    }

    #[test]
    fn a_search_that_is_called_off_ends_early_and_says_so() {
        let mut search = Search::beside(Arc::new(|| {}));
        search.ask(1, &crier());
        assert!(search.goes_on() && search.is_about(1));
        search.call_off();
        wait(&mut search);
        assert!(search.advice().is_some_and(|a| !a.complete) && !search.goes_on());
    }

    #[test]
    fn what_an_older_search_still_tells_is_dropped() {
        let mut search = Search::beside(Arc::new(|| {}));
        search.ask(1, &crier());
        search.ask(2, &Toy { name: "another".to_owned(), ..Toy::default() });
        wait(&mut search);
        assert!(search.is_about(2) && search.found().is_empty());
        assert_eq!(search.advice().map(|a| a.toy.as_str()), Some("another"));
    }
}
