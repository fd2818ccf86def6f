//! Arguments about yarn, hook and stuffing: the scene in which rounds or an outline are worked.

use clap::Args;

use super::args::{StuffingWord, positive, yarn_category};
use crate::document::TextScene;
use crate::part::Amount;

/// The scene in which rounds or an outline are worked.
#[derive(Clone, Debug, Default, Args)]
pub struct SceneArgs {
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

impl SceneArgs {
    /// The scene that the options set.
    pub fn scene(&self) -> TextScene {
        TextScene {
            category: self.yarn,
            hook_mm: self.hook,
            stitches_per_10cm: self.stitches_per_10cm,
            rounds_per_10cm: self.rounds_per_10cm,
            metres_per_100g: self.metres_per_100g,
            have_g: None,
            stuffing: self.stuffing.map(Amount::from),
            density_g_per_l: self.density,
            fabric_n_per_m: self.fabric,
            pressure_kpa: self.pressure,
        }
    }
}
