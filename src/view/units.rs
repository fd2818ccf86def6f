//! Figures in words: value, give or take, and unit, metric or imperial.

use crate::figure::Figure;

/// Units on screen and paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Units {
    /// mm, cm, m, g, mL.
    #[default]
    Metric,
    /// Inches, yards, ounces, fluid ounces.
    Imperial,
}

/// Millimetres in an inch, and grams in an ounce (international yard and pound agreement, 1959); 29.57 mL in a US
/// fluid ounce.
const MM_PER_INCH: f64 = 25.4;
const G_PER_OUNCE: f64 = 28.349_523_125;
const M_PER_YARD: f64 = 0.9144;

/// A number as short as its size allows: about two to three digits that mean something.
pub fn short(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() {
        "?".to_owned()
    } else if size >= 99.5 {
        format!("{value:.0}")
    } else if size >= 9.95 {
        let text = format!("{value:.1}");
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    } else if size >= 0.995 {
        format!("{value:.1}")
    } else {
        format!("{value:.2}")
    }
}

/// A figure in a unit that stands behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The figure in that unit.
    pub figure: Figure,
    /// The unit, with the space before it where one belongs.
    pub unit: &'static str,
    /// Decimals.
    decimals: usize,
}

impl Shown {
    fn number(&self, value: f64) -> String {
        if value.is_finite() { format!("{value:.*}", self.decimals) } else { "?".to_owned() }
    }

    /// "86 mm".
    pub fn value(&self) -> String {
        format!("{}{}", self.number(self.figure.value), self.unit)
    }

    /// "77 to 95", nothing where there is no give or take.
    pub fn range(&self) -> Option<String> {
        let (low, high) = (self.number(self.figure.low), self.number(self.figure.high));
        (low != high).then(|| format!("{low} to {high}"))
    }

    /// "86 mm (77 to 95)".
    pub fn both(&self) -> String {
        match self.range() {
            Some(range) => format!("{} ({range})", self.value()),
            None => self.value(),
        }
    }
}

fn decimals_for(size: f64) -> usize {
    if size < 0.995 {
        2
    } else if size < 9.95 {
        1
    } else {
        0
    }
}

impl Units {
    /// A length given in mm.
    pub fn length(self, mm: Figure) -> Shown {
        match self {
            Units::Metric if mm.value.abs() < 99.5 => {
                Shown { figure: mm, unit: " mm", decimals: usize::from(mm.value.abs() < 9.95) }
            }
            Units::Metric => Shown { figure: mm.scaled(0.1), unit: " cm", decimals: 1 },
            Units::Imperial => {
                let inches = mm.scaled(1.0 / MM_PER_INCH);
                Shown { figure: inches, unit: " in", decimals: if inches.value.abs() < 0.995 { 2 } else { 1 } }
            }
        }
    }

    /// A mass given in g.
    pub fn mass(self, g: Figure) -> Shown {
        match self {
            Units::Metric => Shown { figure: g, unit: " g", decimals: usize::from(g.value < 9.95) },
            Units::Imperial => {
                let ounces = g.scaled(1.0 / G_PER_OUNCE);
                Shown { figure: ounces, unit: " oz", decimals: decimals_for(ounces.value).max(1) }
            }
        }
    }

    /// A length of yarn given in m.
    pub fn yarn(self, m: Figure) -> Shown {
        match self {
            Units::Metric => Shown { figure: m, unit: " m", decimals: usize::from(m.value < 9.95) },
            Units::Imperial => {
                let yards = m.scaled(1.0 / M_PER_YARD);
                Shown { figure: yards, unit: " yd", decimals: usize::from(yards.value < 9.95) }
            }
        }
    }

    /// An angle in degrees, the same everywhere.
    pub fn angle(self, deg: Figure) -> Shown {
        Shown { figure: deg, unit: "°", decimals: usize::from(deg.value < 1.95 && deg.value > 0.0) }
    }

    /// A ratio.
    pub fn ratio(self, ratio: Figure) -> Shown {
        Shown { figure: ratio, unit: "", decimals: decimals_for(ratio.value).clamp(1, 2) }
    }

    /// A round length for a scale bar no longer than this, in mm, with its name.
    pub fn scale_bar(self, longest_mm: f64) -> (f64, String) {
        let (unit_mm, unit) = match self {
            Units::Metric if longest_mm < 10.0 => (1.0, "mm"),
            Units::Metric => (10.0, "cm"),
            Units::Imperial => (MM_PER_INCH, "in"),
        };
        let most = (longest_mm / unit_mm).max(1e-3);
        let ten = 10f64.powf(most.log10().floor());
        let number = [5.0, 2.0, 1.0].iter().map(|n| n * ten).find(|n| *n <= most * (1.0 + 1e-9)).unwrap_or(ten);
        (number * unit_mm, format!("{} {unit}", short(number).trim_end_matches(".0")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_read_as_a_maker_says_them() {
        let size = Figure { value: 86.2, low: 76.9, high: 95.4 };
        assert_eq!(Units::Metric.length(size).both(), "86 mm (77 to 95)");
        assert_eq!(Units::Metric.length(size.scaled(2.0)).both(), "17.2 cm (15.4 to 19.1)");
        // 86.2 mm / 25.4 = 3.394 in.
        assert_eq!(Units::Imperial.length(size).value(), "3.4 in");
        assert_eq!(Units::Metric.mass(Figure::exact(43.2)).both(), "43 g");
    }

    #[test]
    fn scale_bars_are_round() {
        assert_eq!(Units::Metric.scale_bar(37.0), (20.0, "2 cm".to_owned()));
        assert_eq!(Units::Metric.scale_bar(150.0), (100.0, "10 cm".to_owned()));
        assert_eq!(Units::Imperial.scale_bar(60.0).1, "2 in");
    }
}
