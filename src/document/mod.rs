//! What the maker edits and keeps: a toy as a file, as written rounds, as one of the samples.

mod file;
mod foreign;
pub mod edits;
mod from_text;
pub mod history;
mod samples;
mod sound;
mod tree;
mod unknown;
mod weight;
pub mod whole;

pub use file::{
    BEFORE_ENDING, FILE_ENDING, FILE_MINOR, FILE_VERSION, FileError, load, parse, parse_noting, save, save_alone,
    to_text,
};
pub use from_text::{TextScene, read_toy};
pub use samples::{Sample, samples};
pub use whole::write_whole;

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

/// Most bytes of a toy's file that are read: far more than any toy, far less than a machine has.
const MOST_TOY_BYTES: u64 = 8 << 20;
/// Most bytes of written rounds that are read: a shelf of patterns.
const MOST_TEXT_BYTES: u64 = 2 << 20;

/// Opens a toy's file or a text of written rounds; `-` is standard input. Which of the two it is follows from
/// the ending unless `as_toy` says so; standard input is written rounds. The scene fills in what a text does not
/// say and wins over what a file says.
///
/// # Errors
/// When the file cannot be read, is too large, or is not a whole document; the error names place and remedy.
pub fn open(path: &Path, as_toy: Option<bool>, scene: &TextScene) -> Result<Opened, FileError> {
    let name = name_of(path);
    let as_toy = as_toy.unwrap_or_else(|| name.ends_with(".ron") || name.ends_with(".ron~"));
    let bytes = read_bytes(path, if as_toy { MOST_TOY_BYTES } else { MOST_TEXT_BYTES })?;
    let text = if as_toy { strict_text(bytes, &name)? } else { lenient_text(bytes) };
    open_text(&text, &name, as_toy, scene)
}

/// A text of written rounds as it is in a file, `-` being standard input.
///
/// # Errors
/// When the file cannot be read or is too large.
pub fn read_file(path: &Path) -> Result<String, FileError> {
    read_bytes(path, MOST_TEXT_BYTES).map(lenient_text)
}

fn name_of(path: &Path) -> String {
    if path == Path::new("-") { "standard input".to_owned() } else { path.display().to_string() }
}

fn read_bytes(path: &Path, most: u64) -> Result<Vec<u8>, FileError> {
    let name = name_of(path);
    let cannot = |e: std::io::Error| FileError::Unreadable { file: name.clone(), why: e.to_string() };
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        std::io::stdin().lock().take(most + 1).read_to_end(&mut bytes).map_err(cannot)?;
    } else {
        let file = std::fs::File::open(path).map_err(cannot)?;
        file.take(most + 1).read_to_end(&mut bytes).map_err(cannot)?;
    }
    if bytes.len() as u64 > most {
        return Err(FileError::TooLarge { file: name, most_mb: most >> 20 });
    }
    if let Some(what) = foreign::foreign(&bytes) {
        return Err(FileError::Foreign { file: name, what });
    }
    Ok(bytes)
}

/// A toy's file is UTF-8 and nothing else.
fn strict_text(bytes: Vec<u8>, name: &str) -> Result<String, FileError> {
    String::from_utf8(bytes).map_err(|e| {
        let good = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = good.iter().filter(|b| **b == b'\n').count() + 1;
        let column = good.iter().rev().take_while(|b| **b != b'\n').count() + 1;
        FileError::NotText { file: name.to_owned(), line, column }
    })
}

/// Written rounds come from anywhere: UTF-8 or UTF-16 with or without a mark, else the old single-byte letters,
/// in which every byte means something.
fn lenient_text(bytes: Vec<u8>) -> String {
    let wide = |pair: fn([u8; 2]) -> u16| {
        let units = bytes[2..].chunks_exact(2).map(|c| pair([c[0], c[1]]));
        char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
    };
    match bytes.as_slice() {
        [0xFF, 0xFE, ..] => return wide(u16::from_le_bytes),
        [0xFE, 0xFF, ..] => return wide(u16::from_be_bytes),
        _ => {}
    }
    match String::from_utf8(bytes) {
        Ok(text) => text.strip_prefix('\u{FEFF}').map(str::to_owned).unwrap_or(text),
        Err(e) => e.as_bytes().iter().map(|b| char::from(*b)).collect(),
    }
}

/// Opens a text that is already in memory, as [`open`] does.
///
/// # Errors
/// As [`open`].
pub fn open_text(text: &str, name: &str, as_toy: bool, scene: &TextScene) -> Result<Opened, FileError> {
    let (document, problems) = if as_toy {
        let (mut document, told) = parse_noting(text, name)?;
        scene.apply(&mut document.toy);
        (document, told)
    } else {
        if text.trim_start().starts_with('(') && text.contains("version:") && text.contains("toy:") {
            return Err(FileError::LooksLikeToy { file: name.to_owned() });
        }
        let (toy, problems) = read_toy(text, scene);
        (Document { toy }, problems)
    };
    if !as_toy && document.toy.pieces.is_empty() {
        return Err(from_text::no_rounds(text, name));
    }
    match sound::unsound(&document.toy) {
        Some(slip) => {
            let line = as_toy.then(|| slip.line(text)).flatten();
            Err(FileError::Unsound { file: name.to_owned(), line, what: slip.what })
        }
        None => Ok(Opened { document, problems }),
    }
}
