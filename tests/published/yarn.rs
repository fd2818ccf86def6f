//! Yarn, gauge and filling against published tables and worked examples.

use std::f64::consts::TAU;

use toppleknot::part::filling_pressure_kpa;
use toppleknot::rounds::StitchKind;
use toppleknot::yarn::{CATEGORIES, Yarn, category, fabric};

/// ISO 1144: tex is the mass in g of 1 km. A label of 200 m in 100 g is 500 tex; of 250 m, 400 tex.
#[test]
fn tex_of_a_label() {
    for (metres, tex) in [(200.0, 500.0), (250.0, 400.0), (400.0, 250.0)] {
        let yarn = Yarn { metres_per_100g: Some(metres), ..Yarn::default() };
        assert!((fabric(&yarn).tex.value() - tex).abs() < 1e-9);
    }
}

/// Craft Yarn Council, Standard Yarn Weight System, crochet columns: stitches in 4 inches and label hooks.
#[test]
fn categories_are_those_of_the_standard() {
    let published = [
        ("lace", 32.0, 42.0, 1.4, 2.25),
        ("super fine", 21.0, 32.0, 2.25, 3.5),
        ("fine", 16.0, 20.0, 3.5, 4.5),
        ("light", 12.0, 17.0, 4.5, 5.5),
        ("medium", 11.0, 14.0, 5.5, 6.5),
        ("bulky", 8.0, 11.0, 6.5, 9.0),
        ("super bulky", 6.0, 9.0, 9.0, 15.0),
    ];
    for (number, (name, low, high, hook_low, hook_high)) in published.into_iter().enumerate() {
        let row = &CATEGORIES[number];
        assert_eq!((row.name, row.stitches_per_10cm, row.label_hook_mm), (name, (low, high), (hook_low, hook_high)));
        assert_eq!(category(name).map(|c| usize::from(c.number)), Some(number));
    }
}

/// A disc that gains k stitches a round lies flat when its rounds are h = k·w/2π high. Flat counts of 6, 8 and 12
/// for sc, hdc and dc are common practice, no source; the ratios follow by hand: 0.955, 1.273, 1.910.
#[test]
fn heights_follow_from_flat_counts() {
    let ratio = |kind: StitchKind| kind.flat_increase() / TAU;
    for (kind, by_hand) in [(StitchKind::Single, 0.955), (StitchKind::HalfDouble, 1.273), (StitchKind::Double, 1.910)] {
        assert!((ratio(kind) - by_hand).abs() < 5e-4, "{kind:?}");
        assert!((kind.height_in_single() * ratio(StitchKind::Single) - ratio(kind)).abs() < 1e-12);
    }
}

/// Van Wyk's law is inverse-cube: far above the loose density, packing twice as hard presses eight times as hard
/// (C. M. van Wyk, J. Textile Inst. 37, 1946, T285). Its constants here are defaults and are not tested.
#[test]
fn pressure_goes_as_the_cube_of_density() {
    for density in [200.0, 400.0] {
        let ratio = filling_pressure_kpa(2.0 * density) / filling_pressure_kpa(density);
        assert!((ratio - 8.0).abs() < 0.01, "{ratio}");
    }
    assert_eq!(filling_pressure_kpa(5.0), 0.0, "loose fill does not press");
}

/// Yarn diameter by F. T. Peirce's cloth geometry (J. Textile Inst. 28, 1937, T45), d(cm) = 4.44e-3·√(tex/ρ) at packing
/// 0.646. Worked by hand for 500 tex of density 1.19 g/cm³: 0.0910 cm; the fabric is two of them thick.
#[test]
fn a_fabric_is_two_yarn_diameters_thick() {
    let yarn = Yarn { metres_per_100g: Some(200.0), ..Yarn::default() };
    assert!((fabric(&yarn).thickness_mm() - 2.0 * 0.910).abs() < 2e-3);
    // The same from packing: π/4·d² · 0.646 · ρ is the mass of a length.
    let d_cm = fabric(&yarn).thickness_mm() / 20.0;
    let g_per_km = std::f64::consts::FRAC_PI_4 * d_cm * d_cm * 0.646 * 1.19 * 1e5;
    assert!((g_per_km - 500.0).abs() < 2.5, "{g_per_km}");
}
