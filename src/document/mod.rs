//! What the maker edits and keeps: a toy as a file, as written rounds, as one of the samples.

mod file;
pub mod edits;
mod from_text;
pub mod history;
mod samples;

pub use file::{FILE_ENDING, FILE_VERSION, FileError, load, parse, save, to_text};
pub use from_text::{TextScene, read_toy};
pub use samples::{Sample, samples};

use std::io::Read;
use std::path::Path;

use crate::measure::Finding;
use crate::toy::Toy;

/// A toy as it is edited.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// The toy.
    pub toy: Toy,
}

/// A document as it came in.
#[derive(Clone, Debug, Default)]
pub struct Opened {
    /// The document.
    pub document: Document,
    /// Places in the written rounds that need a look.
    pub problems: Vec<Finding>,
}

/// Most bytes that are read: far more than any toy, far less than a machine has.
const MOST_BYTES: u64 = 32 << 20;

/// Opens a toy's file or a text of written rounds; `-` is standard input, read as written rounds unless it looks
/// like a toy's file or `as_toy` says so. The scene fills in what a text does not say and wins over what a
/// file says.
///
/// # Errors
/// When the file cannot be read, is too large, or is not a whole document; the error names place and remedy.
pub fn open(path: &Path, as_toy: Option<bool>, scene: &TextScene) -> Result<Opened, FileError> {
    let name = if path == Path::new("-") { "standard input".to_owned() } else { path.display().to_string() };
    let cannot = |e: std::io::Error| FileError::Unreadable { file: name.clone(), why: e.to_string() };
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().lock().take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(cannot)?;
    } else {
        let file = std::fs::File::open(path).map_err(cannot)?;
        file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(cannot)?;
    }
    if bytes.len() as u64 > MOST_BYTES {
        return Err(FileError::TooLarge { file: name, most_mb: MOST_BYTES >> 20 });
    }
    let text = String::from_utf8(bytes)
        .map_err(|e| FileError::NotText { file: name.clone(), byte: e.utf8_error().valid_up_to() })?;
    open_text(&text, &name, as_toy.unwrap_or_else(|| name.ends_with(".ron")), scene)
}

/// Opens a text that is already in memory, as [`open`] does.
///
/// # Errors
/// As [`open`].
pub fn open_text(text: &str, name: &str, as_toy: bool, scene: &TextScene) -> Result<Opened, FileError> {
    if as_toy {
        let mut document = parse(text, name)?;
        scene.apply(&mut document.toy);
        Ok(Opened { document, problems: Vec::new() })
    } else {
        let (toy, problems) = read_toy(text, scene);
        if toy.pieces.is_empty() {
            return Err(FileError::NoRounds { file: name.to_owned() });
        }
        Ok(Opened { document: Document { toy }, problems })
    }
}
