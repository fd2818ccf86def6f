//! Asking for a file. The system's dialog blocks, so it runs beside the window; tests put functions in its place.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Asks for a file; `None` where the maker thought better of it, or there is no dialog.
pub type Ask = Box<dyn FnMut() -> Option<PathBuf> + Send>;
/// Asks where to save, with a name to begin from.
pub type AskSave = Box<dyn FnMut(&str) -> Option<PathBuf> + Send>;

/// What was asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// A file to open.
    Open,
    /// A place to save.
    Save,
    /// A place for what is exported.
    Export,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// This file.
    File(Wanted, PathBuf),
    /// None.
    Nothing,
    /// It seems that the system has no dialog to show.
    NoDialog(Wanted),
}

/// A file, if any, and how long the maker took over it.
type Taken = (Option<PathBuf>, Duration);

/// Nobody closes a dialog faster than this: it was never shown.
const NEVER_SHOWN: Duration = Duration::from_millis(150);

/// Asks for files.
pub struct Chooser {
    open: Arc<Mutex<Ask>>,
    save: Arc<Mutex<AskSave>>,
    beside: bool,
    waiting: Option<(Wanted, Receiver<Taken>)>,
}

impl Chooser {
    /// The system's own dialogs, beside the window.
    pub fn of_system() -> Chooser {
        let open = || {
            rfd::FileDialog::new()
                .set_title("Open a toy or written rounds")
                .add_filter("Toys and written rounds", &["ron", "txt", "md"])
                .add_filter("All files", &["*"])
                .pick_file()
        };
        let save = |name: &str| {
            // The name's ending tells what is to be written.
            let ending = name.rsplit('.').next().unwrap_or("ron");
            let (title, filter) =
                if ending == "ron" { ("Save the toy", "Toys") } else { ("Export", "What is exported") };
            rfd::FileDialog::new().set_title(title).set_file_name(name).add_filter(filter, &[ending]).save_file()
        };
        Chooser {
            open: Arc::new(Mutex::new(Box::new(open))),
            save: Arc::new(Mutex::new(Box::new(save))),
            beside: true,
            waiting: None,
        }
    }

    /// These functions, called at once.
    pub fn of(open: Ask, save: AskSave) -> Chooser {
        Chooser { open: Arc::new(Mutex::new(open)), save: Arc::new(Mutex::new(save)), beside: false, waiting: None }
    }

    /// Asks; the answer comes from [`Chooser::answer`]. A second question while one is open is dropped.
    pub fn ask(&mut self, wanted: Wanted, name: &str, ctx: &egui::Context) {
        if self.waiting.is_some() {
            return;
        }
        let (to, from) = channel();
        let (open, save) = (Arc::clone(&self.open), Arc::clone(&self.save));
        let (name, ctx) = (name.to_owned(), ctx.clone());
        let work = move || {
            let begun = Instant::now();
            // A dialog that panicked once is not to be trusted: it counts as none.
            let path = match wanted {
                Wanted::Open => open.lock().ok().and_then(|mut ask| ask()),
                Wanted::Save | Wanted::Export => save.lock().ok().and_then(|mut ask| ask(&name)),
            };
            // Nobody listens any more once the window is closed.
            let _ = to.send((path, begun.elapsed()));
            ctx.request_repaint();
        };
        if self.beside {
            // Without a thread there is no answer: `answer` says so.
            let _ = std::thread::Builder::new().name("file dialog".to_owned()).spawn(work);
        } else {
            work();
        }
        self.waiting = Some((wanted, from));
    }

    /// What came, once it has.
    pub fn answer(&mut self) -> Option<Answer> {
        let (wanted, from) = self.waiting.as_ref()?;
        let wanted = *wanted;
        let answer = match from.try_recv() {
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Answer::NoDialog(wanted),
            Ok((Some(path), _)) => Answer::File(wanted, path),
            Ok((None, took)) if self.beside && took < NEVER_SHOWN => Answer::NoDialog(wanted),
            Ok((None, _)) => Answer::Nothing,
        };
        self.waiting = None;
        Some(answer)
    }
}
