//! What is not saved yet is kept aside, so that a crash loses nothing: a copy for each running program, written
//! beside the window after every change and removed once the toy is saved or let go. The next start finds copies
//! whose program is gone.
//!
//! Beside every copy lies a file that its program holds a lock on. The system takes the lock away when the program
//! ends, however it ends, so a lock that can be had means that nobody works on the copy any more.

use std::ffi::OsStr;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::SystemTime;

use crate::document::{self, Document};

const PREFIX: &str = "unsaved-";
const ENDING: &str = ".toy.ron";
const LOCK_ENDING: &str = ".lock";
/// Names that are tried for a copy: more than there are windows and copies left behind.
const MOST_NAMES: u32 = 1000;
/// How often a lock is asked for whose file is cleaned away meanwhile.
const MOST_TRIES: usize = 10;

/// A copy that nobody else works on while this is held.
#[derive(Debug)]
struct Held {
    copy: PathBuf,
    /// None on a disk that knows no locks.
    lock: Option<File>,
}

/// What came of asking for a lock.
enum Asked {
    Held(Held),
    /// Another program has it, or another window of this one.
    Living,
}

fn lock_of(copy: &Path) -> PathBuf {
    let name = copy.file_name().unwrap_or_default().to_string_lossy();
    copy.with_file_name(format!("{}{LOCK_ENDING}", name.strip_suffix(ENDING).unwrap_or(&name)))
}

fn named(folder: &Path, number: u32) -> PathBuf {
    folder.join(format!("{PREFIX}{number}{ENDING}"))
}

/// Whether a file's name is one of ours, with this ending.
fn is_ours(name: &OsStr, ending: &str) -> bool {
    let number = name.to_str().and_then(|n| n.strip_prefix(PREFIX)?.strip_suffix(ending));
    number.is_some_and(|n| n.parse::<u32>().is_ok())
}

impl Held {
    /// Asks for the lock of a copy, which need not be there.
    ///
    /// # Errors
    /// Where the file of the lock cannot be made.
    fn ask(copy: &Path) -> std::io::Result<Asked> {
        let path = lock_of(copy);
        for _ in 0..MOST_TRIES {
            // Nothing is ever written into it.
            let file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path)?;
            let lock = match file.try_lock() {
                Ok(()) => Some(file),
                Err(TryLockError::WouldBlock) => return Ok(Asked::Living),
                // A disk without locks: nobody can tell who works on it, and a copy too many is better than one lost.
                Err(TryLockError::Error(_)) => None,
            };
            // Between the two steps another window may have cleaned the file away: a lock on it would tell nobody.
            if lock.is_none() || path.exists() {
                return Ok(Asked::Held(Held { copy: copy.to_owned(), lock }));
            }
        }
        Err(std::io::Error::other("the file of a lock does not stay"))
    }

    /// A name in this folder for a copy of this program's own. One that another program works on is passed by, and
    /// so is one with a copy that a program of the same number left.
    fn new_in(folder: &Path) -> std::io::Result<Held> {
        std::fs::create_dir_all(folder)?;
        let first = std::process::id();
        for number in (0..MOST_NAMES).map(|n| first.wrapping_add(n)) {
            let copy = named(folder, number);
            if copy.exists() {
                continue;
            }
            if let Ok(Asked::Held(held)) = Held::ask(&copy)
                && !copy.exists()
            {
                return Ok(held);
            }
        }
        Err(std::io::Error::other("no free name for a copy"))
    }

    /// Takes the copy and its lock away. The copy goes first: while it is there, its lock tells of it.
    fn remove(self) {
        // What cannot be removed is offered again next time.
        if std::fs::remove_file(&self.copy).is_ok() || !self.copy.exists() {
            let _ = std::fs::remove_file(lock_of(&self.copy));
        }
        if let Some(lock) = self.lock {
            let _ = lock.unlock();
        }
    }
}

/// What the writer is told.
enum Job {
    Keep(Box<Document>),
    Drop,
    /// This copy is the writer's own from now on.
    TakeOver(Held),
}

/// Keeps the copy of one program.
pub struct Recovery {
    folder: Option<PathBuf>,
    jobs: Option<Sender<Job>>,
    worker: Option<std::thread::JoinHandle<Option<Held>>>,
    kept: Option<u64>,
    /// The copy that is offered; other windows leave it alone as long as it is.
    offered: Option<Held>,
}

/// Writes until nothing more is told; answers the copy that was its own.
fn write(folder: &Path, jobs: &Receiver<Job>) -> Option<Held> {
    let mut own: Option<Held> = None;
    let mut next = jobs.recv().ok();
    while let Some(job) = next.take() {
        match job {
            Job::Keep(document) => {
                // Of several changes only the last one counts.
                next = jobs.try_recv().ok();
                if !matches!(next, Some(Job::Keep(_) | Job::Drop)) {
                    own = own.or_else(|| Held::new_in(folder).ok());
                    // A copy that cannot be written is no reason to stop the maker's work; saving says why.
                    let _ = own.as_ref().map(|own| document::save_alone(&document, &own.copy));
                }
            }
            Job::Drop => drop(own.as_ref().map(|own| std::fs::remove_file(&own.copy))),
            Job::TakeOver(held) => {
                if let Some(before) = own.replace(held) {
                    before.remove();
                }
            }
        }
        if next.is_none() {
            next = jobs.recv().ok();
        }
    }
    own
}

impl Recovery {
    /// Keeps copies in this folder; nowhere where there is none.
    pub fn new(folder: Option<PathBuf>) -> Recovery {
        let mut recovery = Recovery { folder, jobs: None, worker: None, kept: None, offered: None };
        if let Some(folder) = recovery.folder.clone() {
            let (to, jobs) = channel::<Job>();
            let work = move || write(&folder, &jobs);
            recovery.worker = std::thread::Builder::new().name("recovery".to_owned()).spawn(work).ok();
            recovery.jobs = recovery.worker.is_some().then_some(to);
        }
        recovery
    }

    /// Tells what is on the bench: a copy is kept of what has changed, and dropped once it has not.
    pub fn tell(&mut self, generation: u64, changed: bool, document: &Document) {
        let Some(jobs) = &self.jobs else { return };
        let job = match (changed, self.kept) {
            (true, kept) if kept != Some(generation) => {
                self.kept = Some(generation);
                Job::Keep(Box::new(document.clone()))
            }
            (false, Some(_)) => {
                self.kept = None;
                Job::Drop
            }
            _ => return,
        };
        // A writer that is gone keeps nothing.
        let _ = jobs.send(job);
    }

    /// The maker is done: what is left unsaved was let go on purpose.
    pub fn finish(&mut self) {
        self.offered = None;
        self.jobs = None;
        if let Some(own) = self.worker.take().and_then(|worker| worker.join().ok()).flatten() {
            own.remove();
        }
    }

    /// The newest copy whose program is gone, which from now on is offered by this window alone.
    pub fn offer(&mut self) -> Option<PathBuf> {
        self.offered = self.found().into_iter().next();
        self.offered.as_ref().map(|held| held.copy.clone())
    }

    /// The copy that is offered is taken up: it is this window's own, and stays until the toy is saved or let go.
    pub fn take_over(&mut self) {
        let (Some(held), Some(jobs)) = (self.offered.take(), &self.jobs) else { return };
        // A writer that is gone leaves the copy where it is.
        let _ = jobs.send(Job::TakeOver(held));
    }

    /// The copy that is offered is not wanted.
    pub fn forget(&mut self) {
        if let Some(held) = self.offered.take() {
            held.remove();
        }
    }

    /// The copy that is offered stays for another time.
    pub fn let_be(&mut self) {
        self.offered = None;
    }

    /// Copies left by programs that are gone, the newest first. Locks without a copy are cleaned away.
    fn found(&self) -> Vec<Held> {
        let Some(files) = self.folder.as_deref().and_then(|f| std::fs::read_dir(f).ok()) else { return Vec::new() };
        let mut found: Vec<(SystemTime, Held)> = Vec::new();
        for entry in files.flatten() {
            let (name, path) = (entry.file_name(), entry.path());
            if is_ours(&name, LOCK_ENDING) {
                let copy = path.with_extension(ENDING.trim_start_matches('.'));
                if !copy.exists()
                    && let Ok(Asked::Held(held)) = Held::ask(&copy)
                    && !copy.exists()
                {
                    held.remove();
                }
            } else if is_ours(&name, ENDING) {
                let held = match Held::ask(&path) {
                    Ok(Asked::Living) => continue,
                    Ok(Asked::Held(held)) => held,
                    // Nobody can hold a lock that cannot be made.
                    Err(_) => Held { copy: path, lock: None },
                };
                // Its program may have ended well a moment ago; then it took its copy with it.
                if let Ok(changed) = std::fs::metadata(&held.copy).and_then(|m| m.modified()) {
                    found.push((changed, held));
                }
            }
        }
        found.sort_by(|a, b| (b.0, &b.1.copy).cmp(&(a.0, &a.1.copy)));
        found.into_iter().map(|(_, held)| held).collect()
    }
}

#[cfg(test)]
mod tests;
