//! The arguments of `outline`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::args::TermsWord;
use super::scene_args::SceneArgs;
use crate::advise::outline::SvgEnd;

/// An end of the drawn outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum EndWord {
    /// The upper one on the page.
    Top,
    /// The lower one.
    Bottom,
}

impl From<EndWord> for SvgEnd {
    fn from(word: EndWord) -> SvgEnd {
        match word {
            EndWord::Top => SvgEnd::Top,
            EndWord::Bottom => SvgEnd::Bottom,
        }
    }
}

const HELP: &str = "\
The outline is the outside of the stuffed part in true size: mm from the drawing's own width, height and viewBox.
It is half the outline, open, with its axis upright through an end; or the whole outline, closed, symmetric about
its upright middle. The largest line of the drawing is taken. An end off the axis is an open rim, sewn on later.

Words in the JSON (each list is complete):
  remarks  not_stuffed, sharp_corner, flat_end, turns_back, too_steep, too_thin, overstuffed, flat_base, off_by_more
  start    magic_ring, chain_ring
  finish   gathered, open

Exit codes: 0 done; 2 bad input.";

/// Arguments of `outline`.
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = HELP, allow_negative_numbers = true)]
pub struct OutlineArgs {
    /// A drawing (.svg); - is standard input.
    pub file: PathBuf,
    /// Print JSON for programs.
    #[arg(long)]
    pub json: bool,
    /// The terms to write the rounds in.
    #[arg(long, value_enum, default_value = "us")]
    pub terms: TermsWord,
    /// Also save the part as a toy (.toy.ron).
    #[arg(short, long, value_name = "OUT.toy.ron")]
    pub output: Option<PathBuf>,
    /// Name of the part; that of the file where not said.
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// The end of the drawing that is worked first.
    #[arg(long, value_enum)]
    pub start: Option<EndWord>,
    /// Distance of the axis from the left edge of the page, mm.
    #[arg(long, value_name = "MM")]
    pub axis: Option<f64>,
    /// Allow three stitches in one and three together.
    #[arg(long)]
    pub steep: bool,
    /// Yarn, hook and stuffing.
    #[command(flatten)]
    pub scene: SceneArgs,
}
