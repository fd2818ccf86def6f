//! What is not saved yet is kept aside, so that a crash loses nothing: a copy for each running program, written
//! beside the window after every change and removed once the toy is saved or let go. The next start finds copies
//! whose program is gone.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Sender, channel};

use crate::document::{self, Document};

/// What the writer is told.
enum Job {
    Keep(Box<Document>),
    Drop,
}

/// Keeps the copy of one program.
pub struct Recovery {
    folder: Option<PathBuf>,
    jobs: Option<Sender<Job>>,
    worker: Option<std::thread::JoinHandle<()>>,
    kept: Option<u64>,
}

const PREFIX: &str = "unsaved-";

fn own(folder: &Path) -> PathBuf {
    folder.join(format!("{PREFIX}{}.toy.ron", std::process::id()))
}

impl Recovery {
    /// Keeps copies in this folder; nowhere where there is none.
    pub fn new(folder: Option<PathBuf>) -> Recovery {
        let mut recovery = Recovery { folder, jobs: None, worker: None, kept: None };
        if let Some(folder) = recovery.folder.clone() {
            let (to, jobs) = channel::<Job>();
            let work = move || {
                while let Ok(mut job) = jobs.recv() {
                    while let Ok(newer) = jobs.try_recv() {
                        job = newer;
                    }
                    // A copy that cannot be written is no reason to stop the maker's work; saving says why.
                    let _ = match job {
                        Job::Keep(document) => std::fs::create_dir_all(&folder)
                            .map_err(|e| e.to_string())
                            .and_then(|()| document::save_alone(&document, &own(&folder)).map_err(|e| e.to_string())),
                        Job::Drop => std::fs::remove_file(own(&folder)).map_err(|e| e.to_string()),
                    };
                }
            };
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
        self.jobs = None;
        if let Some(worker) = self.worker.take() {
            let _ = worker.join();
        }
        if let Some(folder) = self.folder.as_deref().filter(|_| self.kept.is_some()) {
            let _ = std::fs::remove_file(own(folder));
        }
    }

    /// Copies left by programs that are gone, the newest first.
    pub fn found(&self) -> Vec<PathBuf> {
        let Some(files) = self.folder.as_deref().and_then(|f| std::fs::read_dir(f).ok()) else { return Vec::new() };
        let mut found: Vec<(std::time::SystemTime, PathBuf)> = files
            .flatten()
            .filter_map(|entry| {
                let name = entry.file_name().to_string_lossy().into_owned();
                let id: u32 = name.strip_prefix(PREFIX)?.strip_suffix(".toy.ron")?.parse().ok()?;
                let gone = id != std::process::id() && !Path::new("/proc").join(id.to_string()).exists();
                gone.then(|| Some((entry.metadata().ok()?.modified().ok()?, entry.path()))).flatten()
            })
            .collect();
        found.sort_by(|a, b| b.cmp(a));
        found.into_iter().map(|(_, path)| path).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_is_found_only_once_its_program_is_gone() {
        let folder = std::env::temp_dir().join(format!("toppleknot-recovery-{}", std::process::id()));
        let mut recovery = Recovery::new(Some(folder.clone()));
        recovery.tell(1, true, &Document::default());
        // Waiting for the writer: it ends when it is told nothing more.
        recovery.jobs = None;
        recovery.worker.take().expect("a writer").join().expect("it ends well");
        let kept = own(&folder);
        assert!(kept.exists());
        assert_eq!(recovery.found(), Vec::<PathBuf>::new(), "its program runs");
        // No process has the highest number there is.
        let gone = folder.join(format!("{PREFIX}{}.toy.ron", u32::MAX));
        std::fs::rename(&kept, &gone).expect("renamed");
        assert_eq!(recovery.found(), vec![gone]);
        let _ = std::fs::remove_dir_all(folder);
    }
}
