//! `toppleknot read` and `toppleknot write`.

use std::process::ExitCode;

use super::args::{Format, ReadArgs, WriteArgs};
use crate::document::{TextScene, open, read_file};
use crate::export::{reading_json, reading_text};
use crate::notation::{self, ReadOptions, WriteOptions};

/// Prints how a text is understood.
///
/// # Errors
/// When the file cannot be read as text.
pub fn read(args: &ReadArgs) -> Result<ExitCode, String> {
    let text = read_file(&args.file).map_err(|e| e.to_string())?;
    let reading = notation::read(&text, &ReadOptions { terms: args.terms.map(Into::into) });
    super::print(&if args.json { reading_json(&reading) } else { reading_text(&text, &reading) })?;
    Ok(ExitCode::SUCCESS)
}

/// Prints the written rounds of a toy.
///
/// # Errors
/// Bad input, or a part that is not there.
pub fn write(args: &WriteArgs) -> Result<ExitCode, String> {
    let opened = open(&args.file, args.format.map(|f| f == Format::Toy), &TextScene::default());
    let toy = opened.map_err(|e| e.to_string())?.document.toy;
    let wanted = |name: &str| args.part.as_ref().is_none_or(|p| p.to_lowercase() == name.to_lowercase());
    let mut out = String::new();
    for piece in toy.pieces.iter().filter(|p| wanted(&p.part.name)) {
        let part = &piece.part;
        if !out.is_empty() {
            out.push('\n');
        }
        let options = WriteOptions { terms: args.terms.into(), say_terms: out.is_empty() };
        let copies = piece.placement.copies.number();
        out.push_str(&notation::write(&part.name, copies, &part.start, part.finish, &part.rounds, options));
        if !out.ends_with('\n') {
            out.push('\n');
        }
    }
    if let (true, Some(part)) = (out.is_empty(), &args.part) {
        let names: Vec<&str> = toy.pieces.iter().map(|p| p.part.name.as_str()).collect();
        return Err(format!("there is no part \"{part}\". Expected one of: {}", names.join(", ")));
    }
    super::print(&out)?;
    Ok(ExitCode::SUCCESS)
}
