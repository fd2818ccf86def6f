//! How the maker's hand works: which way the stitches run, and how far a spiral leans.

use std::borrow::Cow;

use super::{Settings, Toy};
use crate::figure::{Assumed, Figure, Origin};
use crate::yarn::{Draw, Yarn};

/// Shift of a round's start, stitches a round (from memory; a default the maker can measure).
const DRIFT_STITCHES: Figure = Figure { value: 0.25, low: 0.15, high: 0.4 };
/// The same with the yarn under the hook (from memory; a default).
const DRIFT_YARN_UNDER: Figure = Figure { value: 0.08, low: 0.0, high: 0.15 };

impl Settings {
    /// Shift of each round's start, stitches a round, to the worker's right for a right hand, to the left for a
    /// left one (published direction): against the way of work.
    pub fn drift(&self) -> Assumed {
        match self.drift_stitches.filter(|d| d.is_finite()) {
            Some(shift) => Assumed { figure: Figure::exact(shift), from: Origin::Measured },
            None if self.yarn_under => Assumed { figure: DRIFT_YARN_UNDER, from: Origin::Estimate },
            None => Assumed { figure: DRIFT_STITCHES, from: Origin::Estimate },
        }
    }

    /// A yarn as this hand works it: how the yarn is drawn is told once, for the whole toy.
    pub fn in_hand<'a>(&self, yarn: &'a Yarn) -> Cow<'a, Yarn> {
        let draw = if self.yarn_under { Draw::YarnUnder } else { Draw::Unknown };
        let mut yarn = Cow::Borrowed(yarn);
        if yarn.trials.draw != draw {
            yarn.to_mut().trials.draw = draw;
        }
        yarn
    }

    /// Whether stitches follow each other to the left, seen from outside the finished part with its later rounds
    /// up. A right hand works to the left on the side that faces it; that side is outside unless the piece is
    /// turned, which mirrors all.
    pub fn runs_leftward(&self) -> bool {
        self.left_handed == self.wrong_side_out
    }
}

impl Toy {
    /// Takes what an older file says of each yarn, that it is drawn under the hook, as said of the hand that works all.
    pub fn tell_draw_once(&mut self) {
        self.settings.yarn_under |= self.yarns.iter().any(|y| y.trials.draw == Draw::YarnUnder);
        self.yarns.iter_mut().for_each(|y| y.trials.draw = Draw::Unknown);
    }
}
