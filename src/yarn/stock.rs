//! What is at hand of a yarn, and what its label says of a ball.

use serde::{Deserialize, Serialize};

/// What a yarn is spun of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Fibre {
    /// Not said; taken for acrylic.
    #[default]
    Unknown,
    /// Acrylic.
    Acrylic,
    /// Wool.
    Wool,
    /// Cotton.
    Cotton,
    /// Polyester, chenille included.
    Polyester,
}

impl Fibre {
    /// Every fibre, in the order in which they are offered.
    pub const ALL: [Fibre; 5] = [Fibre::Unknown, Fibre::Acrylic, Fibre::Wool, Fibre::Cotton, Fibre::Polyester];

    /// Density of the fibre, g/cm³ (Morton & Hearle, Physical Properties of Textile Fibres, table 5.1).
    pub fn density_g_per_cm3(self) -> f64 {
        match self {
            Fibre::Unknown | Fibre::Acrylic => 1.19,
            Fibre::Wool => 1.31,
            Fibre::Cotton => 1.52,
            Fibre::Polyester => 1.39,
        }
    }

    /// The maker's word for it.
    pub fn word(self) -> &'static str {
        match self {
            Fibre::Unknown => "not known",
            Fibre::Acrylic => "acrylic",
            Fibre::Wool => "wool",
            Fibre::Cotton => "cotton",
            Fibre::Polyester => "polyester",
        }
    }
}

/// The label of a ball, and what was at hand when the toy was begun.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Stock {
    /// Grams in a ball, from the label.
    pub ball_g: Option<f64>,
    /// Metres in a ball, from the label.
    pub ball_m: Option<f64>,
    /// What it is spun of.
    pub fibre: Fibre,
    /// Grams at hand for this toy, all that was there before its first stitch.
    pub have_g: Option<f64>,
    /// Balls at hand, where they were counted and not weighed; a part of a ball counts as that part.
    pub have_balls: Option<f64>,
}

fn set(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite() && *v > 0.0)
}

impl Stock {
    /// Metres in 100 g by the label of the ball, where it says both.
    pub fn label_metres_per_100g(&self) -> Option<f64> {
        Some(100.0 * set(self.ball_m)? / set(self.ball_g)?)
    }

    /// Grams in a ball of a yarn of this many g per km: by the label, else by its metres.
    pub fn ball_mass_g(&self, tex: f64) -> Option<f64> {
        set(self.ball_g).or_else(|| set(self.ball_m).map(|m| m * tex * 1e-3))
    }

    /// Grams at hand of a yarn of this many g per km: weighed, else counted in balls of a known size. Nothing left
    /// is 0 g; `None` is not said.
    pub fn at_hand_g(&self, tex: f64) -> Option<f64> {
        let counted = |x: Option<f64>| x.filter(|v| v.is_finite() && *v >= 0.0);
        counted(self.have_g).or_else(|| Some(counted(self.have_balls)? * self.ball_mass_g(tex)?))
    }
}
