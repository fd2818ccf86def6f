//! Yarn and hook: what a stitch measures and weighs, known or estimated, always with its spread.

mod category;
mod gauge;
mod hook;
mod stock;
mod trial;

pub use category::{CATEGORIES, Category, category};
pub use gauge::{Fabric, fabric, length_per_stitch_factor};
pub(crate) use gauge::{LABEL, SWATCH};
pub use hook::{HOOKS, HOOKS_MM, hook_letter, hook_mm};
pub use stock::{Fibre, Stock};
pub use trial::{Ball, Disc, Draw, Hand, Trials};

use serde::{Deserialize, Serialize};

use crate::kept::Kept;

/// A yarn with the hook it is worked with. What is not known stays `None` and is estimated.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Yarn {
    /// Name, by which parts and colour changes speak of it.
    pub name: String,
    /// Craft Yarn Council category, 0 to 7.
    pub category: Option<u8>,
    /// Metres in 100 g, from the label.
    pub metres_per_100g: Option<f64>,
    /// Hook in mm.
    pub hook_mm: Option<f64>,
    /// Single crochets in 10 cm, from the maker's swatch.
    pub stitches_per_10cm: Option<f64>,
    /// Rounds in 10 cm, from the maker's swatch.
    pub rounds_per_10cm: Option<f64>,
    /// Length of yarn in a single crochet, in stitch widths, from a weighed swatch.
    pub widths_per_stitch: Option<f64>,
    /// Colour, sRGB.
    pub colour: [u8; 3],
    /// Label of a ball, and what is at hand.
    pub stock: Stock,
    /// What is known of the gauge beside a swatch.
    pub trials: Trials,
    /// What a file says of it in fields that nothing reads; paths run from here.
    #[serde(skip)]
    pub kept: Kept,
}

impl Default for Yarn {
    fn default() -> Self {
        Yarn {
            name: "Main".to_owned(),
            category: None,
            metres_per_100g: None,
            hook_mm: None,
            stitches_per_10cm: None,
            rounds_per_10cm: None,
            widths_per_stitch: None,
            colour: [214, 154, 108],
            stock: Stock::default(),
            trials: Trials::default(),
            kept: Kept::default(),
        }
    }
}
