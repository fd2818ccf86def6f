//! The file of a toy, ending `.toy.ron`: Rusty Object Notation, one value `(version: 1, toy: (…))`.
//!
//! The promise about old files: every version of the program opens the files of all versions before it and
//! keeps all that is in them. `version` grows only when a field changes its meaning; a field that is merely new
//! has a default, so that older files open without it. A file of a later version is refused with a plain
//! sentence rather than opened half-way.

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::Document;
use crate::toy::Toy;

/// Ending of a toy's file.
pub const FILE_ENDING: &str = ".toy.ron";
/// Version that is written.
pub const FILE_VERSION: u32 = 1;

/// Why a document cannot be opened or saved.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The file cannot be read at all.
    #[error("{file}: cannot be read: {why}. Check that the file is there and that you may read it.")]
    Unreadable {
        /// The file.
        file: String,
        /// What the system says.
        why: String,
    },
    /// Larger than any toy.
    #[error("{file}: larger than {most_mb} MB, which no toy is. Is it the right file?")]
    TooLarge {
        /// The file.
        file: String,
        /// Limit, MB.
        most_mb: u64,
    },
    /// Not text.
    #[error("{file}:{line}:{column}: not a text: expected UTF-8. Save it as plain text (UTF-8) and open it again.")]
    NotText {
        /// The file.
        file: String,
        /// Line of the first byte that is wrong, from 1.
        line: usize,
        /// Its column in bytes, from 1.
        column: usize,
    },
    /// Not a whole toy.
    #[error("{file}:{line}:{column}: {why}. Mend the place, or open the copy you saved before.")]
    Malformed {
        /// The file.
        file: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong and what was expected.
        why: String,
    },
    /// Of a later program.
    #[error(
        "{file}:1:1: written by a later Toppleknot (file version {version}, this one reads up to {FILE_VERSION}). Open it with the later program."
    )]
    Newer {
        /// The file.
        file: String,
        /// Its version.
        version: u32,
    },
    /// A text in which no round was found.
    #[error(
        "{file}:1:1: no rounds found. Expected written rounds such as \"Rnd 1: 6 sc in magic ring (6)\", or counts such as \"6 12 18 12 6\"."
    )]
    NoRounds {
        /// The file.
        file: String,
    },
    /// A toy's file where written rounds were expected.
    #[error(
        "{file}:1:1: this is a toy's file; expected written rounds. Open it with --format toy, or give it the ending .toy.ron."
    )]
    LooksLikeToy {
        /// The file.
        file: String,
    },
    /// A figure that cannot be meant.
    #[error("{file}: {what}. Correct it in the file and open it again.")]
    Unsound {
        /// The file.
        file: String,
        /// What is wrong with what, and what was expected.
        what: String,
    },
    /// Cannot be written.
    #[error("{file}: cannot be written: {why}. Choose another place; the file there is as it was.")]
    Unwritable {
        /// The file.
        file: String,
        /// What the system says.
        why: String,
    },
}

#[derive(Serialize, Deserialize)]
struct File {
    version: u32,
    toy: Toy,
}

/// The version alone, so that a later file is told apart before its fields are read.
#[derive(Deserialize)]
struct Version {
    version: u32,
}

fn ron_options() -> ron::Options {
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
}

/// A document from the text of its file; `name` is for the error.
///
/// # Errors
/// [`FileError::Malformed`] with line, column and what was expected; [`FileError::Newer`].
pub fn parse(text: &str, name: &str) -> Result<Document, FileError> {
    let malformed = |e: ron::error::SpannedError| FileError::Malformed {
        file: name.to_owned(),
        line: e.span.start.line,
        column: e.span.start.col,
        why: e.code.to_string(),
    };
    let options = ron_options();
    if let Ok(Version { version }) = options.from_str::<Version>(text)
        && version > FILE_VERSION
    {
        return Err(FileError::Newer { file: name.to_owned(), version });
    }
    let file: File = options.from_str(text).map_err(malformed)?;
    Ok(Document { toy: file.toy })
}

/// Opens the file of a toy.
///
/// # Errors
/// As [`super::open`].
pub fn load(path: &Path) -> Result<Document, FileError> {
    super::open(path, Some(true), &super::TextScene::default()).map(|opened| opened.document)
}

/// The text of a document's file.
pub fn to_text(document: &Document) -> String {
    let file = File { version: FILE_VERSION, toy: document.toy.clone() };
    let pretty = ron::ser::PrettyConfig::new().compact_arrays(false).indentor("  ");
    let text = ron_options().to_string_pretty(&file, pretty);
    // Plain structs, numbers and strings always have a text; nothing is written where they should not.
    text.map(|t| t + "\n").unwrap_or_default()
}

/// Saves a document: written beside the file, synced, then renamed onto it, so that the file is always the old
/// one or the new one, whole.
///
/// # Errors
/// [`FileError::Unwritable`]; the old file is then untouched.
pub fn save(document: &Document, path: &Path) -> Result<(), FileError> {
    let cannot = |why: String| FileError::Unwritable { file: path.display().to_string(), why };
    let text = to_text(document);
    if text.is_empty() {
        return Err(cannot("the toy has no text".to_owned()));
    }
    let mut name = path.file_name().ok_or_else(|| cannot("that is no file name".to_owned()))?.to_owned();
    name.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(name);
    let written = write_and_rename(&text, &beside, path);
    if written.is_err() {
        // Best effort: the failure to report is the first one.
        let _ = std::fs::remove_file(&beside);
    }
    written.map_err(|e| cannot(e.to_string()))
}

fn write_and_rename(text: &str, beside: &Path, path: &Path) -> std::io::Result<()> {
    use std::io::Write;
    let mut file = std::fs::File::create(beside)?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    drop(file);
    std::fs::rename(beside, path)
}
