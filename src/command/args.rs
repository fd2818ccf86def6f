//! The arguments.

use std::path::{Path, PathBuf};

use clap::{Parser, Subcommand, ValueEnum};

pub use super::outline_args::OutlineArgs;
use crate::document::TextScene;
use crate::notation::Terms;
use crate::part::Amount;
use crate::yarn::category;

/// Works out from written rounds how a crocheted stuffed toy comes out: shape, size, balance, neck, yarn.
#[derive(Debug, Parser)]
#[command(name = "toppleknot", version, args_conflicts_with_subcommands = true, max_term_width = 100)]
pub struct Args {
    /// A toy (.toy.ron) or a text of written rounds to open in the window.
    pub file: Option<PathBuf>,
    /// What to do without a window.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// What can be done without a window.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Prints what becomes of a toy: size, weight, standing, neck, yarn, and what to look at.
    Check(CheckArgs),
    /// Prints how a text of written rounds is understood, and where it needs a look.
    Read(ReadArgs),
    /// Prints the parts of a toy or text as clean written rounds.
    Write(WriteArgs),
    /// Prints the rounds whose stuffed shape matches an outline drawn in SVG.
    Outline(OutlineArgs),
}

/// Terms of the stitches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum TermsWord {
    /// United States: sc, hdc, dc, tr.
    Us,
    /// United Kingdom: dc, htr, tr, dtr.
    Uk,
}

impl From<TermsWord> for Terms {
    fn from(word: TermsWord) -> Terms {
        match word {
            TermsWord::Us => Terms::Us,
            TermsWord::Uk => Terms::Uk,
        }
    }
}

/// Arguments of `read`.
#[derive(Clone, Debug, clap::Args)]
pub struct ReadArgs {
    /// A text of written rounds; - is standard input.
    pub file: PathBuf,
    /// The terms the text is in; told from the text where not said.
    #[arg(long, value_enum)]
    pub terms: Option<TermsWord>,
    /// Print JSON for programs.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `write`.
#[derive(Clone, Debug, clap::Args)]
pub struct WriteArgs {
    /// A toy (.toy.ron) or a text of written rounds; - is standard input.
    pub file: PathBuf,
    /// Only the part of this name.
    #[arg(long, value_name = "NAME")]
    pub part: Option<String>,
    /// The terms to write in.
    #[arg(long, value_enum, default_value = "us")]
    pub terms: TermsWord,
    /// How to read the file; by its ending where not said.
    #[arg(long, value_enum)]
    pub format: Option<Format>,
}

/// How a file is to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// A toy's file (.toy.ron).
    Toy,
    /// Written rounds.
    Rounds,
}

/// Stuffing for parts of a text, or for all parts of a toy that have any.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum StuffingWord {
    /// Loosely.
    Light,
    /// As most makers do.
    Medium,
    /// As hard as the fabric bears.
    Firm,
}

impl From<StuffingWord> for Amount {
    fn from(word: StuffingWord) -> Amount {
        match word {
            StuffingWord::Light => Amount::Light,
            StuffingWord::Medium => Amount::Medium,
            StuffingWord::Firm => Amount::Firm,
        }
    }
}

const VOCABULARY: &str = "\
Words in the JSON (each list is complete):
  severity        note, warning, severe
  stand verdict   stands, tips_easily, topples, rocks
  neck verdict    holds, nods, flops, held
  from            measured, label, estimate
  known           worked_out, total_only, guessed

Exit codes: 0 done; 1 with --strict if a finding is severe; 2 bad input.";

/// Arguments of `check`.
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = VOCABULARY, allow_negative_numbers = true)]
pub struct CheckArgs {
    /// A toy (.toy.ron) or a text of written rounds; - is standard input.
    pub file: PathBuf,
    /// Print JSON for programs.
    #[arg(long)]
    pub json: bool,
    /// End with exit code 1 if a finding is severe.
    #[arg(long)]
    pub strict: bool,
    /// How to read the file; by its ending where not said.
    #[arg(long, value_enum)]
    pub format: Option<Format>,
    /// Yarn category 0 to 7, or its name (worsted, dk, bulky …).
    #[arg(long, value_name = "CATEGORY", value_parser = yarn_category)]
    pub yarn: Option<u8>,
    /// Hook, mm.
    #[arg(long, value_name = "MM", value_parser = positive)]
    pub hook: Option<f64>,
    /// Single crochets in 10 cm, from a swatch.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub stitches_per_10cm: Option<f64>,
    /// Rounds in 10 cm, from a swatch.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub rounds_per_10cm: Option<f64>,
    /// Metres of yarn in 100 g, from the label.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub metres_per_100g: Option<f64>,
    /// How firmly it is stuffed.
    #[arg(long, value_enum)]
    pub stuffing: Option<StuffingWord>,
    /// Packed density of the stuffing, g/L.
    #[arg(long, value_name = "G_PER_L", value_parser = positive)]
    pub density: Option<f64>,
    /// Stiffness of the fabric, N/m.
    #[arg(long, value_name = "N_PER_M", value_parser = positive)]
    pub fabric: Option<f64>,
    /// Pressure of the stuffing on the fabric, kPa.
    #[arg(long, value_name = "KPA", value_parser = positive)]
    pub pressure: Option<f64>,
}

impl CheckArgs {
    /// A plain check of a file.
    pub fn of(file: &Path) -> Self {
        CheckArgs {
            file: file.to_owned(),
            json: false,
            strict: false,
            format: None,
            yarn: None,
            hook: None,
            stitches_per_10cm: None,
            rounds_per_10cm: None,
            metres_per_100g: None,
            stuffing: None,
            density: None,
            fabric: None,
            pressure: None,
        }
    }

    /// The scene that the options set.
    pub fn scene(&self) -> TextScene {
        TextScene {
            category: self.yarn,
            hook_mm: self.hook,
            stitches_per_10cm: self.stitches_per_10cm,
            rounds_per_10cm: self.rounds_per_10cm,
            metres_per_100g: self.metres_per_100g,
            stuffing: self.stuffing.map(Amount::from),
            density_g_per_l: self.density,
            fabric_n_per_m: self.fabric,
            pressure_kpa: self.pressure,
        }
    }
}

pub(super) fn positive(text: &str) -> Result<f64, String> {
    // A comma as decimal point is how half the makers write.
    let value: f64 = text.trim().replace(',', ".").parse().map_err(|_| "expected a number".to_owned())?;
    if value.is_finite() && value > 0.0 && value < 1e9 {
        Ok(value)
    } else {
        Err("expected a number above 0".to_owned())
    }
}

pub(super) fn yarn_category(text: &str) -> Result<u8, String> {
    category(text).map(|c| c.number).ok_or_else(|| {
        "expected a category 0 to 7 or its name: lace, super fine, fine, light, medium, bulky, super bulky, jumbo"
            .to_owned()
    })
}
