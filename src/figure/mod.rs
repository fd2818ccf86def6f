//! A number with its give or take, and where it is from.

use serde::{Deserialize, Serialize};

/// A value with the range it may well lie in. The unit is in the name of the field that holds it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// The best guess.
    pub value: f64,
    /// Lower end of the range.
    pub low: f64,
    /// Upper end of the range.
    pub high: f64,
}

impl Figure {
    /// A figure that is known without give or take.
    pub fn exact(value: f64) -> Self {
        Figure { value, low: value, high: value }
    }

    /// `value` times or divided by `factor` (at least 1).
    pub fn times_or_divided(value: f64, factor: f64) -> Self {
        let factor = factor.max(1.0);
        Figure { value, low: value / factor, high: value * factor }
    }

    /// `value` give or take `plus_minus` of the same unit.
    pub fn give_or_take(value: f64, plus_minus: f64) -> Self {
        let plus_minus = plus_minus.abs();
        Figure { value, low: value - plus_minus, high: value + plus_minus }
    }

    /// The same figure in another unit.
    pub fn scaled(self, factor: f64) -> Self {
        let (a, b) = (self.low * factor, self.high * factor);
        Figure { value: self.value * factor, low: a.min(b), high: a.max(b) }
    }

    /// Half the natural logarithm of the upper end over the lower one: the spread as a standard deviation of the
    /// logarithm; 0 for an exact or empty figure.
    pub fn half_log_range(&self) -> f64 {
        if self.low > 0.0 && self.high > self.low { 0.5 * (self.high / self.low).ln() } else { 0.0 }
    }

    /// Natural logarithm of the factor from the value to the upper end; 0 for an exact or empty figure.
    pub fn log_spread(&self) -> f64 {
        if self.value > 0.0 && self.high > self.value { (self.high / self.value).ln() } else { 0.0 }
    }
}

/// Where an assumption is from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// The maker measured or set it.
    Measured,
    /// It stands on the label of the yarn or the hook.
    Label,
    /// The program's own estimate.
    #[default]
    Estimate,
}

/// An assumption: a figure and where it is from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Assumed {
    /// The figure.
    #[serde(flatten)]
    pub figure: Figure,
    /// Where it is from.
    pub from: Origin,
}

impl Assumed {
    /// An assumption whose range is a factor either way.
    pub fn new(value: f64, factor: f64, from: Origin) -> Self {
        Assumed { figure: Figure::times_or_divided(value, factor), from }
    }
    /// The best guess.
    pub fn value(&self) -> f64 {
        self.figure.value
    }

    /// Both together, two measurements of the same thing that know nothing of each other: the mean of the logarithms,
    /// each weighted by one over its variance (the spread taken for one standard deviation), which is the mean of
    /// least variance. An exact one wins.
    pub fn combined(self, other: Assumed) -> Assumed {
        let (a, b) = (self.figure.half_log_range(), other.figure.half_log_range());
        if a <= 0.0 || other.value() <= 0.0 {
            return self;
        }
        if b <= 0.0 || self.value() <= 0.0 {
            return other;
        }
        let (wa, wb) = (a.powi(-2), b.powi(-2));
        let log = (wa * self.value().ln() + wb * other.value().ln()) / (wa + wb);
        Assumed::new(log.exp(), (wa + wb).sqrt().recip().exp(), self.from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_negative_scale_keeps_low_below_high() {
        let f = Figure::give_or_take(2.0, 0.5).scaled(-2.0);
        assert_eq!((f.low, f.value, f.high), (-5.0, -4.0, -3.0));
    }
}
