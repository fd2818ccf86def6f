//! The file of a toy, ending `.toy.ron`: Rusty Object Notation, one value `(version: 1, toy: (…))`.
//!
//! The promise about old files: every version of the program opens the files of all versions before it and
//! keeps all that is in them. `version` grows only when a field changes its meaning; a field that is merely new
//! has a default, so that older files open without it. `minor` grows where fields are added. A file of a later
//! version is refused with a plain sentence rather than opened half-way; of a file that is later in `minor` alone,
//! the fields that are not known here are kept and saved again (see [`super::unknown`]).

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::Document;
use super::sound::MOST_STITCHES_IN_ALL;
use super::unknown::{put_back, take_up};
use super::whole::write_keeping;
use crate::measure::Finding;
use crate::rounds::read_with_at_most;
use crate::toy::Toy;

/// Ending of a toy's file.
pub const FILE_ENDING: &str = ".toy.ron";
/// Version that is written.
pub const FILE_VERSION: u32 = 1;
/// Minor version that is written: it grows where a release adds fields.
pub const FILE_MINOR: u32 = 1;
/// What is added to a file's name for the version of it that was saved before.
pub const BEFORE_ENDING: &str = "~";

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
    #[error(
        "{file}: larger than {most_mb} MB, which no toy is. Expected a toy or written rounds: is it the right file?"
    )]
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
    /// Something else altogether.
    #[error(
        "{file}:1:1: this is {what}. Expected a toy (.toy.ron) or written rounds as plain text: copy the rounds out of it into a text file."
    )]
    Foreign {
        /// The file.
        file: String,
        /// What it is.
        what: &'static str,
    },
    /// Not a whole toy.
    #[error(
        "{file}:{line}:{column}: {why}. Mend the place, or open the version saved before: the file of the same name with ~ after it."
    )]
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
    #[error("{file}{}: {what}. Correct it in the file and open it again.", place(*.line))]
    Unsound {
        /// The file.
        file: String,
        /// Line it stands in, from 1, where there is one.
        line: Option<usize>,
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

fn place(line: Option<usize>) -> String {
    line.map(|l| format!(":{l}")).unwrap_or_default()
}

#[derive(Serialize, Deserialize)]
struct File {
    version: u32,
    #[serde(default, skip_serializing_if = "is_first")]
    minor: u32,
    toy: Toy,
}

fn is_first(minor: &u32) -> bool {
    *minor == 0
}

/// Fields that nothing takes, of all parts of a file: ten for every round that a file may hold.
const MOST_IGNORED: usize = 100_000;

/// Reads a file and writes down the paths of the fields that nothing took.
struct Noting<'a>(&'a mut Vec<String>);

impl<'de> serde::de::DeserializeSeed<'de> for Noting<'_> {
    type Value = File;

    fn deserialize<D: serde::Deserializer<'de>>(self, from: D) -> Result<File, D::Error> {
        serde_ignored::deserialize(from, |path| {
            if self.0.len() <= MOST_IGNORED {
                self.0.push(dotted(&path));
            }
        })
    }
}

/// A path as [`super::tree`] has it: what stands in the bracket of a choice is one with the choice.
fn dotted(path: &serde_ignored::Path) -> String {
    use serde_ignored::Path;
    let step = |parent: &Path, step: &str| match dotted(parent) {
        before if before.is_empty() => step.to_owned(),
        before => format!("{before}.{step}"),
    };
    match path {
        Path::Root => String::new(),
        Path::Seq { parent, index } => step(parent, &index.to_string()),
        Path::Map { parent, key } => step(parent, key),
        Path::Some { parent } | Path::NewtypeStruct { parent } | Path::NewtypeVariant { parent } => dotted(parent),
    }
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
    parse_noting(text, name).map(|(document, _)| document)
}

/// As [`parse`], with what the maker should know of the file: fields that nothing reads.
///
/// # Errors
/// As [`parse`].
pub fn parse_noting(text: &str, name: &str) -> Result<(Document, Vec<Finding>), FileError> {
    let malformed = |e: ron::error::SpannedError| FileError::Malformed {
        file: name.to_owned(),
        line: e.span.start.line,
        column: e.span.start.col,
        why: e.code.to_string(),
    };
    if super::weight::weight(text) > super::weight::MOST_WEIGHT {
        let what = "it holds more values than any toy; expected far fewer".to_owned();
        return Err(FileError::Unsound { file: name.to_owned(), line: None, what });
    }
    let options = ron_options();
    if let Ok(Version { version }) = options.from_str::<Version>(text)
        && version > FILE_VERSION
    {
        return Err(FileError::Newer { file: name.to_owned(), version });
    }
    let mut ignored = Vec::new();
    let most_runs = usize::try_from(MOST_STITCHES_IN_ALL).unwrap_or(usize::MAX);
    let read = read_with_at_most(most_runs, || options.from_str_seed(text, Noting(&mut ignored)));
    let File { minor, mut toy, .. } = read.map_err(malformed)?;
    if ignored.len() > MOST_IGNORED {
        let what = format!("it holds more than {MOST_IGNORED} fields that no toy has; expected a few");
        return Err(FileError::Unsound { file: name.to_owned(), line: None, what });
    }
    let known = if ignored.is_empty() { String::new() } else { to_text(&Document { toy: toy.clone() }) };
    let told = take_up(text, &ignored, minor > FILE_MINOR, &known, &mut toy);
    toy.tell_draw_once();
    if minor > FILE_MINOR {
        toy.kept.minor = minor;
    }
    Ok((Document { toy }, told))
}

/// Opens the file of a toy.
///
/// # Errors
/// As [`super::open`].
pub fn load(path: &Path) -> Result<Document, FileError> {
    super::open(path, Some(true), &super::TextScene::default()).map(|opened| opened.document)
}

/// Minor version of a toy's file: this program's, or the later one the toy came in.
fn minor_of(toy: &Toy) -> u32 {
    [FILE_MINOR, toy.kept.minor].into_iter().max().unwrap_or(FILE_MINOR)
}

/// The text of a document's file.
pub fn to_text(document: &Document) -> String {
    let toy = document.toy.clone();
    let file = File { version: FILE_VERSION, minor: minor_of(&toy), toy };
    let pretty = ron::ser::PrettyConfig::new().compact_arrays(false).indentor("  ");
    let text = ron_options().to_string_pretty(&file, pretty);
    // Plain structs, numbers and strings always have a text; nothing is written where they should not.
    text.map(|t| put_back(t + "\n", &document.toy)).unwrap_or_default()
}

/// Saves a document whole or not at all, and keeps the version that was there before beside it, under its name with
/// [`BEFORE_ENDING`] added.
///
/// # Errors
/// [`FileError::Unwritable`]; the old file is then untouched.
pub fn save(document: &Document, path: &Path) -> Result<(), FileError> {
    save_keeping(document, path, Some(BEFORE_ENDING))
}

/// Saves a document as [`save`] does, with no version kept beside it.
///
/// # Errors
/// As [`save`].
pub fn save_alone(document: &Document, path: &Path) -> Result<(), FileError> {
    save_keeping(document, path, None)
}

fn save_keeping(document: &Document, path: &Path, ending: Option<&str>) -> Result<(), FileError> {
    let cannot = |why: String| FileError::Unwritable { file: path.display().to_string(), why };
    let text = to_text(document);
    if text.is_empty() {
        return Err(cannot("the toy has no text".to_owned()));
    }
    write_keeping(path, text.as_bytes(), ending).map_err(|e| cannot(e.to_string()))
}
