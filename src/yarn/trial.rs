//! Other ways to a gauge than a swatch: a flat disc, a finished ball, and what is known of the hand.

use serde::{Deserialize, Serialize};

use crate::figure::{Assumed, Origin};

/// A disc worked from a ring that lies flat, measured across.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Disc {
    /// Stitches of its last round.
    pub stitches: u32,
    /// Rounds, the ring counted as the first.
    pub rounds: u32,
    /// Across, mm.
    pub diameter_mm: f64,
}

/// A stuffed ball in this yarn, of any rounds, measured around its widest.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Ball {
    /// Counts round by round, from a ring to the round that is gathered.
    pub counts: Vec<u32>,
    /// Around the widest round, mm, on the outside.
    pub circumference_mm: f64,
    /// Weighed stuffing in it, g; packed as most makers do where not said.
    pub stuffing_g: Option<f64>,
}

/// How a hand works against most.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Hand {
    /// As most.
    #[default]
    Usual,
    /// Loosely.
    Loose,
    /// Tightly.
    Tight,
}

/// How the yarn is drawn through the stitch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Draw {
    /// Not said.
    #[default]
    Unknown,
    /// Hook under the yarn (yarn over): the usual, wider stitch.
    YarnOver,
    /// Hook over the yarn (yarn under): the tighter, crossed stitch.
    YarnUnder,
}

impl Draw {
    fn is_unknown(&self) -> bool {
        *self == Draw::Unknown
    }
}

/// What is known of a gauge without a swatch.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Trials {
    /// A flat disc.
    pub disc: Option<Disc>,
    /// A finished ball.
    pub ball: Option<Ball>,
    /// Loose or tight.
    pub hand: Hand,
    /// Yarn over or under. A toy says it once, of the hand ([`crate::toy::Settings::in_hand`]); here it stands in older
    /// files, and where a yarn is worked out by itself.
    #[serde(skip_serializing_if = "Draw::is_unknown")]
    pub draw: Draw,
}

/// A width measured across a disc is good to about 3 %, its height to width to about 5 %: a disc still lies flat
/// when it has a few stitches too many or too few (from memory; defaults).
const ACROSS: f64 = 1.03;
const LIES_FLAT: f64 = 1.05;

impl Disc {
    /// Stitch width and height to width. The last round lies along the rim, w = π·D/n; the rounds make the radius,
    /// h = D/2r. `None` for a disc without stitches, rounds or width.
    pub fn gauge(&self) -> Option<(Assumed, Assumed)> {
        let good = self.stitches > 0 && self.rounds > 0 && self.diameter_mm.is_finite() && self.diameter_mm > 0.0;
        if !good {
            return None;
        }
        let w = std::f64::consts::PI * self.diameter_mm / f64::from(self.stitches);
        let h = self.diameter_mm / (2.0 * f64::from(self.rounds));
        Some((Assumed::new(w, ACROSS, Origin::Measured), Assumed::new(h / w, LIES_FLAT, Origin::Measured)))
    }
}

impl Trials {
    /// Factor on an estimated width: a loose hand 8 % wider, a tight one 6 % narrower; yarn under 3 % narrower than
    /// yarn over, which most do (from memory; defaults). Nothing that was measured is moved by it.
    pub fn width_factor(&self) -> f64 {
        let hand = match self.hand {
            Hand::Usual => 1.0,
            Hand::Loose => 1.08,
            Hand::Tight => 0.94,
        };
        let draw = match self.draw {
            Draw::Unknown | Draw::YarnOver => 1.0,
            Draw::YarnUnder => 0.97,
        };
        hand * draw
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_disc_tells_width_and_height() {
        // Six rounds of six more each, 36 stitches, 60 mm across: rim 188.5 mm.
        let disc = Disc { stitches: 36, rounds: 6, diameter_mm: 60.0 };
        let (w, ratio) = disc.gauge().expect("a whole disc");
        assert!((w.value() - 188.4956 / 36.0).abs() < 1e-4);
        assert!((ratio.value() * w.value() - 5.0).abs() < 1e-12);
        assert!(Disc { rounds: 0, ..disc }.gauge().is_none());
    }
}
