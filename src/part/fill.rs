//! Stuffing: how dense it is packed and how hard it presses on the fabric.

use super::Amount;
use crate::figure::{Assumed, Origin};

/// Density of polyester fibre, g/cm³ (Morton & Hearle, Physical Properties of Textile Fibres, table 5.1).
const FIBRE_G_PER_CM3: f64 = 1.39;
/// Density at which loose fill begins to press, g/L (from memory; a default).
const LOOSE_G_PER_L: f64 = 10.0;
/// k·E of the inverse-cube law, kPa: k = 0.01, E = 3 GPa (from memory; defaults).
const STIFFNESS_KPA: f64 = 0.01 * 3e6;
/// The pressure is the least certain figure of all: three times either way (from memory; a default).
const PRESSURE_SPREAD: f64 = 3.0;
/// Packed density from light to firm holds to about a quarter (from memory; a default).
const DENSITY_SPREAD: f64 = 1.25;
/// A weighing in the kitchen holds to about 5 % (from memory; a default).
pub(crate) const WEIGHED: f64 = 1.05;

/// Pressure on the fabric of fill packed at this density, kPa. Van Wyk's inverse-cube law (C. M. van Wyk,
/// J. Textile Inst. 37, 1946, T285): p = k·E·(φ³ − φ₀³), φ the share of the volume that is fibre.
pub fn filling_pressure_kpa(density_g_per_l: f64) -> f64 {
    let share = |g_per_l: f64| g_per_l / (1000.0 * FIBRE_G_PER_CM3);
    (STIFFNESS_KPA * (share(density_g_per_l).powi(3) - share(LOOSE_G_PER_L).powi(3))).max(0.0)
}

/// How many times as fast as the density's logarithm that of the pressure grows, at a density in g/L: 3 far above the loose
/// density, without bound towards it.
pub fn pressure_exponent(density_g_per_l: f64) -> f64 {
    3.0 / (1.0 - (LOOSE_G_PER_L / density_g_per_l).powi(3)).max(0.0)
}

/// How a part is filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// Packed density, g/L. For a weighed filling it follows from the solved volume.
    pub density_g_per_l: Assumed,
    /// Pressure on the fabric, kPa.
    pub pressure_kpa: Assumed,
    /// Weighed filling, g, where the maker weighed it.
    pub weighed_g: Option<f64>,
    /// Share of the filled rounds' room that no other part takes: 1 where it is all its own.
    pub own_room: f64,
}

impl Fill {
    /// The mass, g, of a weighed filling that presses as hard as its density makes it. A pressure that the maker set stays.
    pub fn weighed_by(&self) -> Option<f64> {
        self.weighed_g.filter(|_| self.pressure_kpa.from != Origin::Measured)
    }

    /// The usual fill for an amount. `density` and `pressure` are the maker's own figures, which win; the density of a
    /// weighed filling follows from its mass and room alone. `None` where the part is left empty.
    pub fn of(amount: Amount, density_g_per_l: Option<f64>, pressure_kpa: Option<f64>) -> Option<Fill> {
        let usual = match amount {
            Amount::None => return None,
            Amount::Light => 31.0,
            Amount::Medium => 45.0,
            Amount::Firm => 57.0,
            Amount::Grams(g) if !(g.is_finite() && g > 0.0) => return None,
            Amount::Grams(g) => {
                let mut fill = Fill::of(Amount::Medium, density_g_per_l, pressure_kpa)?;
                fill.weighed_g = Some(g);
                fill.density_g_per_l = Assumed::new(fill.density_g_per_l.value(), WEIGHED, Origin::Measured);
                return Some(fill);
            }
        };
        let density = match density_g_per_l {
            Some(density) => Assumed::new(density, 1.0, Origin::Measured),
            None => Assumed::new(usual, DENSITY_SPREAD, Origin::Estimate),
        };
        let pressure = match pressure_kpa {
            Some(pressure) => Assumed::new(pressure, 1.0, Origin::Measured),
            None => Assumed::new(filling_pressure_kpa(density.value()), PRESSURE_SPREAD, Origin::Estimate),
        };
        Some(Fill { density_g_per_l: density, pressure_kpa: pressure, weighed_g: None, own_room: 1.0 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_usual_fills_press_as_the_law_says() {
        // By hand: φ = 0.0223, 0.0324, 0.0410, less φ₀ = 0.0072; 3e4 kPa times the difference of cubes.
        for (amount, kpa) in [(Amount::Light, 0.32), (Amount::Medium, 1.01), (Amount::Firm, 2.06)] {
            let fill = Fill::of(amount, None, None).expect("a stuffed part");
            assert!((fill.pressure_kpa.value() - kpa).abs() < 0.006, "{amount:?}: {:?}", fill.pressure_kpa);
        }
    }

    #[test]
    fn no_stuffing_is_no_fill() {
        assert!(Fill::of(Amount::None, None, None).is_none());
        assert!(Fill::of(Amount::Grams(f64::NAN), None, None).is_none());
    }
}
