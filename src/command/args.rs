//! The arguments.

use std::path::{Path, PathBuf};

use clap::{Parser, Subcommand, ValueEnum};

pub use super::outline_args::OutlineArgs;
use super::plan_args::PlanArgs;
use super::scene_args::SceneArgs;
use crate::document::{Opened, TextScene, open};
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
    /// Prints the smallest changes that mend a toy, or bring it to what you want.
    Advise(AdviseArgs),
    /// Prints how a text of written rounds is understood, and where it needs a look.
    Read(ReadArgs),
    /// Prints the parts of a toy or text as clean written rounds.
    Write(WriteArgs),
    /// Writes the solid toy as a mesh: glTF with colours, or STL for printing.
    Mesh(super::mesh::MeshArgs),
    /// Draws the proportion sketch: one page with the toy to scale, its parts, sizes and verdicts.
    Sketch(super::paper::SketchArgs),
    /// Writes the work sheet with boxes to tick, or the toy at full size to hold work against.
    Sheet(super::paper::SheetArgs),
    /// Prints the rounds whose stuffed shape matches an outline drawn in SVG.
    Outline(OutlineArgs),
}

const ADVICE_VOCABULARY: &str = "\
Targets (all that are given must hold at once):
  tip=DEGREES             leans at least this far before it falls
  neck=SHARE              every neck bears at least this share of its load
  head-to-body=RATIO      head against the rest by weight, at most: 1.5, or 1:1.5 for 0.67
  height=MM               total height, to a hundredth or half a round
  yarn=GRAMS              at most this much yarn, without tails and sewing; yarn:NAME=GRAMS for one yarn

Words in the JSON (each list is complete):
  families        narrower, wider, wider_base, taller, shorter, part_size, toy_size, wider_neck,
                  firmer, neck_stick, weight, flat_base, back_loop_edge, base_disc, feet, tilt,
                  less_stuffing, stuff, rounds, no_hard_things
  stand           stands, tips_easily, topples, rocks
  neck            holds, nods, flops, held
  severity        note, warning, severe

Points of change: 1 for each mm of outline (mean), 4 mm of outline (at most), 60 stitches,
15 minutes, 120 minutes of work to do again, 20 g put in.

Exit codes: 0 done; 1 with --strict if something is left that nothing mends; 2 bad input.";

/// Arguments of `advise`.
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = ADVICE_VOCABULARY)]
pub struct AdviseArgs {
    /// What is opened, and how, as for `check`.
    #[command(flatten)]
    pub check: CheckArgs,
    /// What the toy is to come to; may be given several times.
    #[arg(long, value_name = "NAME=VALUE")]
    pub target: Vec<String>,
    /// A part to leave as it is, or its rounds ("Head:1-9"); may be given several times.
    #[arg(long, value_name = "PART")]
    pub lock: Vec<String>,
    /// A family of changes that is not wanted; may be given several times.
    #[arg(long, value_name = "FAMILY")]
    pub without: Vec<String>,
    /// Leaves out what the file says is wanted and must stay; without this it counts, and options win over it.
    #[arg(long)]
    pub ignore_wishes: bool,
    /// Most stitches added or taken.
    #[arg(long, value_name = "N")]
    pub max_stitches: Option<u32>,
    /// Most that an outline may move anywhere, mm.
    #[arg(long, value_name = "MM", value_parser = positive)]
    pub max_outline: Option<f64>,
    /// Most weight that may be put in, g.
    #[arg(long, value_name = "G", value_parser = positive)]
    pub max_weight: Option<f64>,
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
  time verdict    done, in_time, just, late
  fabric verdict  closed, near, shows, empty
  cautions        concern_found, no_concern_found
  known           worked_out, total_only, guessed
  enough          enough, close, short
  measure_first   swatch, stuffing, yarn, label
  decides         neck, standing, size, yarn

Exit codes: 0 done; 1 with --strict if a finding is severe; 2 bad input.";

/// Arguments of `check`.
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = VOCABULARY, allow_negative_numbers = true)]
pub struct CheckArgs {
    /// What to open.
    #[command(flatten)]
    pub open: OpenArgs,
    /// Print JSON for programs.
    #[arg(long)]
    pub json: bool,
    /// End with exit code 1 if a finding is severe.
    #[arg(long)]
    pub strict: bool,
}

/// What is opened, and the scene that fills in what it does not say.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct OpenArgs {
    /// A toy (.toy.ron) or a text of written rounds; - is standard input.
    pub file: PathBuf,
    /// How to read the file; by its ending where not said.
    #[arg(long, value_enum)]
    pub format: Option<Format>,
    /// Yarn, hook and stuffing.
    #[command(flatten)]
    pub scene: SceneArgs,
    /// Grams of the main yarn at hand: says whether it lasts, and where it runs out.
    #[arg(long, value_name = "GRAMS", value_parser = positive)]
    pub have: Option<f64>,
    /// Maker, child and days.
    #[command(flatten)]
    pub plan: PlanArgs,
}

impl CheckArgs {
    /// A plain check of a file.
    pub fn of(file: &Path) -> Self {
        CheckArgs { open: OpenArgs { file: file.to_owned(), ..OpenArgs::default() }, json: false, strict: false }
    }
}

impl OpenArgs {
    /// Opens the file in the scene.
    ///
    /// # Errors
    /// Bad input, as one sentence with place and remedy.
    pub fn open(&self) -> Result<Opened, String> {
        let as_toy = self.format.map(|f| f == Format::Toy);
        let mut opened = open(&self.file, as_toy, &self.scene()).map_err(|e| e.to_string())?;
        self.plan.apply(&mut opened.document.toy);
        Ok(opened)
    }

    /// The scene that the options set.
    pub fn scene(&self) -> TextScene {
        TextScene { have_g: self.have, ..self.scene.scene() }
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
