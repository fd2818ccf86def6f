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

/// What a figure that is typed measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Typed {
    /// A length, kept in mm.
    Length,
    /// A mass, kept in g.
    Mass,
}

impl Typed {
    /// What a unit behind a field says is typed there.
    pub fn of_unit(unit: &str) -> Option<Typed> {
        match unit.trim() {
            "mm" => Some(Typed::Length),
            "g" => Some(Typed::Mass),
            _ => None,
        }
    }

    /// How many mm or g one of a unit is that a maker may write behind a number.
    fn one_of(self, word: &str) -> Option<f64> {
        Some(match (self, word) {
            (Typed::Length, "mm") | (Typed::Mass, "g" | "gram" | "grams") => 1.0,
            (Typed::Length, "cm") => 10.0,
            (Typed::Length, "m") | (Typed::Mass, "kg") => 1000.0,
            (Typed::Length, "in" | "inch" | "inches" | "\"" | "″") => MM_PER_INCH,
            (Typed::Length, "ft" | "foot" | "feet") => 12.0 * MM_PER_INCH,
            (Typed::Mass, "oz" | "ounce" | "ounces") => G_PER_OUNCE,
            (Typed::Mass, "lb" | "lbs" | "pound" | "pounds") => 16.0 * G_PER_OUNCE,
            _ => return None,
        })
    }
}

/// What weights are counted in, as the first word of a field.
pub fn weight_word(units: Units) -> &'static str {
    match units {
        Units::Metric => "Grams",
        Units::Imperial => "Ounces",
    }
}

/// A number with a point or a comma, a fraction, or a whole number and a fraction ("3 1/2"). `None` where it is none.
pub fn read_number(text: &str) -> Option<f64> {
    let plain = |word: &str| word.replace(',', ".").parse::<f64>().ok().filter(|v| v.is_finite());
    let fraction = |word: &str| {
        let (over, under) = word.split_once('/')?;
        let digits = |w: &str| w.trim().parse::<u32>().ok().map(f64::from);
        digits(over).zip(digits(under).filter(|u| *u > 0.0)).map(|(over, under)| over / under)
    };
    let text = text.trim();
    let (sign, size) = text.strip_prefix('-').map_or((1.0, text), |rest| (-1.0, rest));
    match size.rsplit_once(' ') {
        Some((whole, rest)) if rest.contains('/') => {
            let whole = whole.trim().parse::<u32>().ok().map(f64::from);
            whole.zip(fraction(rest)).map(|(whole, part)| sign * (whole + part))
        }
        _ => plain(text).or_else(|| fraction(size).map(|part| sign * part)),
    }
}

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
    /// The unit in which a figure is typed, with the space before it, and how many mm or g one of it is.
    pub fn typed(self, of: Typed) -> (&'static str, f64) {
        match (self, of) {
            (Units::Metric, Typed::Length) => (" mm", 1.0),
            (Units::Metric, Typed::Mass) => (" g", 1.0),
            (Units::Imperial, Typed::Length) => (" in", MM_PER_INCH),
            (Units::Imperial, Typed::Mass) => (" oz", G_PER_OUNCE),
        }
    }

    /// A typed figure in mm or g: its own unit behind it ("3 1/2 in", "40 g") wins over the maker's. `None` where it is
    /// no number, or its unit is not one of what is asked.
    pub fn read(self, of: Typed, text: &str) -> Option<f64> {
        let text = text.trim();
        let from = text.find(|c: char| c.is_alphabetic() || matches!(c, '"' | '″')).unwrap_or(text.len());
        let (number, unit) = text.split_at(from);
        let one = match unit.trim().trim_end_matches('.') {
            "" => self.typed(of).1,
            word => of.one_of(&word.to_lowercase())?,
        };
        read_number(number).map(|value| value * one)
    }

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

    /// The inch is 25.4 mm, the pound 0.453 592 37 kg (international yard and pound agreement, 1959), an ounce a
    /// sixteenth of it.
    #[test]
    fn typed_figures_are_read_in_the_maker_s_units_or_their_own() {
        let both = [Units::Metric, Units::Imperial];
        // To a millionth, whatever the last digits of a product come to.
        let tidy = |read: Option<f64>| read.map(|v| (v * 1e6).round() / 1e6);
        let length = |text: &str| both.map(|units| tidy(units.read(Typed::Length, text)));
        assert_eq!(length("10"), [Some(10.0), Some(254.0)]);
        assert_eq!(length(" 3 1/2 in."), [Some(88.9); 2]);
        assert_eq!(length("1/4\""), [Some(6.35); 2]);
        assert_eq!(length("-2,5 cm"), [Some(-25.0); 2]);
        assert_eq!(length("1 ft"), [Some(304.8); 2]);
        let mass = |text: &str| both.map(|units| tidy(units.read(Typed::Mass, text)));
        assert_eq!(mass("2"), [Some(2.0), Some(56.699_046)]);
        assert_eq!(mass("1 LB"), [Some(453.592_37); 2]);
        assert_eq!(mass("0.5 kg"), [Some(500.0); 2]);
        for wrong in ["", "in", "3 g", "3 cups", "1/0 in", "3 1/2 1/2", "1e999", "nan", "inf in", "--3"] {
            assert_eq!(length(wrong), [None; 2], "{wrong}");
        }
        assert_eq!(mass("3 in"), [None; 2]);
        // What a field shows is read back as what it is.
        for units in both {
            for of in [Typed::Length, Typed::Mass] {
                let (unit, one) = units.typed(of);
                assert_eq!(units.read(of, &format!("3.25{unit}")), Some(3.25 * one));
            }
        }
    }

    #[test]
    fn scale_bars_are_round() {
        assert_eq!(Units::Metric.scale_bar(37.0), (20.0, "2 cm".to_owned()));
        assert_eq!(Units::Metric.scale_bar(150.0), (100.0, "10 cm".to_owned()));
        assert_eq!(Units::Imperial.scale_bar(60.0).1, "2 in");
    }
}
