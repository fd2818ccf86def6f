//! Files that are written whole or not at all: the new text goes to a temporary file beside the old one, is
//! synced to the disk and takes the old one's name in one step. Whenever the program or the machine stops, the
//! name stands for the old file or the new one.

use std::ffi::OsString;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{Error, ErrorKind, Result, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

/// Links that are followed from one to the next, as many as Linux follows.
const MOST_LINKS: usize = 40;
/// Names that are tried for the temporary file.
const MOST_NAMES: usize = 1000;
/// What temporary files are called: this, the process and a number.
const PREFIX: &str = ".toppleknot-";
const SUFFIX: &str = ".part";
/// A temporary file this old was left by a program that was stopped in the middle.
const LEFT_BEHIND: Duration = Duration::from_secs(3600);

static NUMBER: AtomicU32 = AtomicU32::new(0);

/// Writes a file whole or not at all. A link is followed, the permissions of the old file are kept, and what is no
/// file on a disk (a pipe, a terminal) is simply written to.
///
/// # Errors
/// What the system says: a full disk, a folder that may not be written, a folder or a protected file of that
/// name. The old file is then as it was, and nothing is left beside it.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    write_keeping(path, bytes, None)
}

/// As [`write_whole`]; what the file held before, where it held something else, is kept beside it under its name
/// with this ending added.
///
/// # Errors
/// As [`write_whole`]. A version before that cannot be kept is no error: the new one matters more.
pub fn write_keeping(path: &Path, bytes: &[u8], ending: Option<&str>) -> Result<()> {
    let path = followed(path)?;
    let old = match fs::metadata(&path) {
        Ok(old) if old.is_dir() => return Err(Error::new(ErrorKind::IsADirectory, "a folder has that name")),
        Ok(old) if !old.is_file() => return OpenOptions::new().write(true).open(&path)?.write_all(bytes),
        Ok(old) if old.permissions().readonly() => {
            return Err(Error::new(ErrorKind::PermissionDenied, "the file there is protected from writing"));
        }
        Ok(old) => Some(old),
        Err(e) if e.kind() == ErrorKind::NotFound => None,
        Err(e) => return Err(e),
    };
    if path.file_name().is_none() {
        return Err(Error::new(ErrorKind::InvalidInput, "that is no file name"));
    }
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new(".")).to_owned();
    sweep(&folder);
    let (mut file, beside) = temporary(&folder)?;
    let written = fill(&mut file, bytes, old.as_ref()).and_then(|()| {
        drop(file);
        if let (Some(ending), Some(_)) = (ending, &old) {
            keep(&path, bytes, ending, &folder);
        }
        fs::rename(&beside, &path)
    });
    if written.is_err() {
        // Best effort: the failure to report is the first one.
        let _ = fs::remove_file(&beside);
    }
    written?;
    sync_folder(&folder);
    Ok(())
}

/// The file that a chain of links ends at, whether it is there or not.
fn followed(path: &Path) -> Result<PathBuf> {
    let mut at = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::symlink_metadata(&at) {
            Ok(meta) if meta.file_type().is_symlink() => {
                let to = fs::read_link(&at)?;
                at = at.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
            }
            _ => return Ok(at),
        }
    }
    Err(Error::other("too many links, one to the next"))
}

/// A new file in the folder, with a name nothing has. The name is short, whatever the file itself is called.
fn temporary(folder: &Path) -> Result<(File, PathBuf)> {
    for _ in 0..MOST_NAMES {
        let number = NUMBER.fetch_add(1, Ordering::Relaxed);
        let path = folder.join(format!("{PREFIX}{}-{number}{SUFFIX}", std::process::id()));
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return Ok((file, path)),
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
            Err(e) => return Err(e),
        }
    }
    Err(Error::new(ErrorKind::AlreadyExists, "no free name for a temporary file"))
}

fn fill(file: &mut File, bytes: &[u8], old: Option<&Metadata>) -> Result<()> {
    file.write_all(bytes)?;
    if let Some(old) = old {
        // Only the system's manager may give a file away; then it belongs to who writes it.
        #[cfg(unix)]
        let _ = {
            use std::os::unix::fs::{MetadataExt, fchown};
            fchown(&*file, Some(old.uid()), Some(old.gid()))
        };
        file.set_permissions(old.permissions())?;
    }
    file.sync_all()
}

/// Gives what stands at the path a second name. Where the disk knows no second names it is copied.
fn keep(path: &Path, bytes: &[u8], ending: &str, folder: &Path) {
    // Saved twice with no change between: the version before is still the one to keep.
    if fs::read(path).is_ok_and(|old| old == bytes) {
        return;
    }
    let mut name = path.file_name().map(OsString::from).unwrap_or_default();
    name.push(ending);
    let to = path.with_file_name(name);
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    let second = folder.join(format!("{PREFIX}{}-{number}{SUFFIX}", std::process::id()));
    let kept = fs::hard_link(path, &second).or_else(|_| fs::copy(path, &second).map(|_| ()));
    if kept.and_then(|()| fs::rename(&second, &to)).is_err() {
        let _ = fs::remove_file(&second);
    }
}

/// Takes away what programs that were stopped in the middle of a save have left.
fn sweep(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let ours = name.to_str().is_some_and(|n| n.starts_with(PREFIX) && n.ends_with(SUFFIX));
        let age = || entry.metadata().ok()?.modified().ok()?.elapsed().ok();
        if ours && age().is_some_and(|age| age > LEFT_BEHIND) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Makes the new name last through a loss of power, where the system has a way to.
fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = File::open(folder) {
        // The file is in its place already; a disk that cannot sync folders is no reason to say otherwise.
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
}
