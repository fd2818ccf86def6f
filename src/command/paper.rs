//! `toppleknot sketch` and `toppleknot sheet`.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::ValueEnum;

use super::args::{OpenArgs, TermsWord, positive};
use crate::document::write_whole;
use crate::export::not_written;
use crate::export::paper::{pdf, png, svg};
use crate::measure::derive;
use crate::view::sheet::full_size::{FullSizeOptions, full_size};
use crate::view::sheet::sketch::{self as proportion, SketchOptions};

use crate::view::sheet::work::{WorkOptions, work_sheet};
use crate::view::sheet::{Paper, Sheet};
use crate::view::units::Units;

/// The paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    /// 210 by 297 mm.
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

impl From<PaperWord> for Paper {
    fn from(word: PaperWord) -> Paper {
        match word {
            PaperWord::A4 => Paper::A4,
            PaperWord::Letter => Paper::Letter,
        }
    }
}

/// Units that stand first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum UnitsWord {
    /// mm, g, m.
    Metric,
    /// Inches, ounces, yards.
    Imperial,
}

impl From<UnitsWord> for Units {
    fn from(word: UnitsWord) -> Units {
        match word {
            UnitsWord::Metric => Units::Metric,
            UnitsWord::Imperial => Units::Imperial,
        }
    }
}

/// Arguments of `sketch`.
#[derive(Clone, Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct SketchArgs {
    /// What to open.
    #[command(flatten)]
    pub open: OpenArgs,
    /// The file to write: .svg, .png or .pdf.
    #[arg(short, long, value_name = "OUT")]
    pub output: PathBuf,
    /// Dots per inch of a .png.
    #[arg(long, value_name = "N", default_value = "300", value_parser = positive)]
    pub dpi: f64,
    /// Show the toy from above too.
    #[arg(long)]
    pub top: bool,
    /// Units that stand first.
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// The paper.
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
}

/// Arguments of `sheet`.
#[derive(Clone, Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub struct SheetArgs {
    /// What to open.
    #[command(flatten)]
    pub open: OpenArgs,
    /// The file to write: .pdf.
    #[arg(short, long, value_name = "OUT")]
    pub output: PathBuf,
    /// The toy's views at 1 : 1 over as many pages as they need, instead of the written rounds.
    #[arg(long)]
    pub full_size: bool,
    /// With --full-size: the toy from above too.
    #[arg(long, requires = "full_size")]
    pub top: bool,
    /// Units that stand first.
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// The paper.
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// Terms of the written rounds.
    #[arg(long, value_enum, default_value = "us")]
    pub terms: TermsWord,
}

/// Writes the proportion sketch of a file.
///
/// # Errors
/// Bad input, an ending that is not known, a picture too large, or a place that cannot be written.
pub fn sketch(args: &SketchArgs) -> Result<ExitCode, String> {
    let ending = ending(&args.output, &["svg", "png", "pdf"])?;
    let toy = args.open.open()?.document.toy;
    let derived = derive(&toy);
    let options = SketchOptions { paper: args.paper.into(), top: args.top, units: args.units.into() };
    let sheet = proportion::sketch(&toy, &derived, options);
    let Some(page) = sheet.pages.first() else { return Err("the sketch has no page".to_owned()) };
    let bytes = match ending {
        "svg" => svg(&sheet, page).into_bytes(),
        "png" => png(&sheet, page, args.dpi).map_err(|e| e.to_string())?,
        _ => pdf(&sheet),
    };
    write(&args.output, &bytes)
}

/// Writes the work sheet or the full-size sheet of a file.
///
/// # Errors
/// Bad input, an ending that is not known, or a place that cannot be written.
pub fn sheet(args: &SheetArgs) -> Result<ExitCode, String> {
    ending(&args.output, &["pdf"])?;
    let opened = args.open.open()?;
    let toy = opened.document.toy;
    let derived = derive(&toy);
    let paper = args.paper.into();
    let sheet: Sheet = if args.full_size {
        let options = FullSizeOptions { paper, top: args.top, units: args.units.into() };
        full_size(&toy, &derived, options).map_err(|e| e.to_string())?
    } else {
        let options = WorkOptions { paper, terms: args.terms.into(), units: args.units.into() };
        work_sheet(&toy, &derived, options)
    };
    write(&args.output, &pdf(&sheet))
}

/// The ending of a file to be written, which says its format.
fn ending(path: &Path, known: &'static [&'static str]) -> Result<&'static str, String> {
    let own = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_lowercase();
    known.iter().find(|k| **k == own).copied().ok_or_else(|| {
        let expected = known.iter().map(|k| format!(".{k}")).collect::<Vec<_>>().join(", ");
        format!(
            "{}: its ending does not say a format that can be written. Expected {expected}; give the file such a name.",
            path.display()
        )
    })
}

fn write(path: &Path, bytes: &[u8]) -> Result<ExitCode, String> {
    write_whole(path, bytes).map_err(|e| not_written(path, bytes.len(), &e))?;
    Ok(ExitCode::SUCCESS)
}
