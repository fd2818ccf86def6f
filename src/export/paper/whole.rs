//! Writing a file all or nothing.

use std::fs::{File, remove_file, rename};
use std::io::{Error, ErrorKind, Result, Write};
use std::path::Path;

/// Writes a file whole or not at all: into a temporary file beside it, which takes its place once every byte is on
/// the disk. On any error the old file is as it was.
///
/// # Errors
/// When the folder is missing or cannot be written, the disk is full, or the path is a folder.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    let Some(name) = path.file_name() else {
        return Err(Error::new(ErrorKind::InvalidInput, "it names no file"));
    };
    if path.is_dir() {
        return Err(Error::new(ErrorKind::IsADirectory, "it is a folder"));
    }
    let mut beside_name = std::ffi::OsString::from(".");
    beside_name.push(name);
    beside_name.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(beside_name);
    let written = File::create(&beside).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    let done = written.and_then(|()| rename(&beside, path));
    if done.is_err() {
        // The temporary file may not even be there.
        let _ = remove_file(&beside);
    }
    done
}
