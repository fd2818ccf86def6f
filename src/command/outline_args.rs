//! The arguments of `outline`.

use std::path::PathBuf;

use clap::ValueEnum;

use super::args::{StuffingWord, TermsWord, positive, yarn_category};
use crate::advise::outline::SvgEnd;
use crate::document::TextScene;
use crate::part::Amount;

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

impl OutlineArgs {
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
