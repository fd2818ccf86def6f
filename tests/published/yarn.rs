//! Yarn, gauge and filling against published tables and worked examples.

use std::f64::consts::TAU;

use toppleknot::figure::Origin;
use toppleknot::measure::need::needs;
use toppleknot::measure::{derive, make};
use toppleknot::part::filling_pressure_kpa;
use toppleknot::part::{End, Part};
use toppleknot::rounds::StitchKind;
use toppleknot::rounds::rounds_of_counts;
use toppleknot::toy::{Piece, Placement, Seat, Toy};
use toppleknot::yarn::{CATEGORIES, Disc, Fibre, Stock, Yarn, category, fabric, hook_letter, hook_mm};

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

/// Craft Yarn Council, hook sizes: the letters of common hooks.
#[test]
fn hooks_are_those_of_the_standard() {
    let published = [
        ("B", 2.25),
        ("C", 2.75),
        ("D", 3.25),
        ("E", 3.5),
        ("F", 3.75),
        ("G", 4.0),
        ("7", 4.5),
        ("H", 5.0),
        ("I", 5.5),
        ("J", 6.0),
        ("K", 6.5),
        ("L", 8.0),
        ("M/N", 9.0),
        ("N/P", 10.0),
    ];
    for (letter, mm) in published {
        assert_eq!((hook_mm(letter), hook_letter(mm)), (Some(mm), Some(letter)));
    }
    assert_eq!((hook_mm("Q"), hook_letter(3.0)), (None, None));
}

/// ISO 1144 again, from the label of a ball: 50 g of 125 m is 400 tex, however the label says it.
#[test]
fn a_ball_and_its_metres_are_a_tex() {
    let stock = Stock { ball_g: Some(50.0), ball_m: Some(125.0), have_balls: Some(2.5), ..Stock::default() };
    let yarn = Yarn { stock, ..Yarn::default() };
    let tex = fabric(&yarn).tex;
    assert!((tex.value() - 400.0).abs() < 1e-9);
    assert_eq!(tex.from, Origin::Label);
    assert_eq!(stock.at_hand_g(400.0), Some(125.0));
    // A ball of which only the metres are said weighs them.
    assert_eq!(Stock { ball_g: None, ..stock }.ball_mass_g(400.0), Some(50.0));
}

/// Fibre densities, g/cm³: Morton & Hearle, Physical Properties of Textile Fibres, table 5.1.
#[test]
fn fibres_are_as_dense_as_published() {
    for (fibre, density) in
        [(Fibre::Polyester, 1.39), (Fibre::Wool, 1.31), (Fibre::Acrylic, 1.19), (Fibre::Cotton, 1.52)]
    {
        assert_eq!(fibre.density_g_per_cm3(), density);
    }
}

/// A disc of six more stitches each round lies flat where h = 6·w/2π (by hand); one measured across gives both, and its
/// rim is as long as its stitches: 36 stitches on a disc 6 cm across are 5.236 mm wide, six rounds 5 mm high.
#[test]
fn a_flat_disc_is_a_gauge() {
    let mut yarn = Yarn { category: Some(6), hook_mm: Some(9.0), ..Yarn::default() };
    yarn.trials.disc = Some(Disc { stitches: 36, rounds: 6, diameter_mm: 60.0 });
    let fabric = fabric(&yarn);
    assert!((fabric.w_mm.value() - 5.236).abs() < 1e-3 && (fabric.h_mm.value() - 5.0).abs() < 1e-9);
    assert!((fabric.height_to_width.value() - 6.0 / TAU).abs() < 1e-12);
    assert_eq!(fabric.w_mm.from, Origin::Measured);
}

fn ball(yarn: Yarn, counts: &[u32]) -> Toy {
    let rounds = rounds_of_counts(counts).expect("counts above zero");
    let seat = Seat::Floor { down: End::Start, x_mm: 0.0, y_mm: 0.0 };
    Toy {
        yarns: vec![yarn],
        pieces: vec![Piece {
            part: Part { name: "Ball".into(), rounds, ..Part::default() },
            placement: Placement { seat, ..Placement::default() },
        }],
        ..Toy::default()
    }
}

/// 50 g of worsted is about 100 m (common practice, no source): the estimate for medium yarn with no label says so
/// within its own range, and that range is no wider than the category's, 120 to 240 m in 100 g (makers' charts).
#[test]
fn fifty_grams_of_worsted_are_about_a_hundred_metres() {
    let tex = fabric(&Yarn { category: Some(4), ..Yarn::default() }).tex.figure;
    let metres_of_50g = |tex: f64| 50.0 * 1e3 / tex;
    assert!(metres_of_50g(tex.high) <= 100.0 && 100.0 <= metres_of_50g(tex.low));
    assert!(metres_of_50g(tex.high) >= 59.0 && metres_of_50g(tex.low) <= 121.0);
}

/// Two skeins (100 g, 200 m together) do not make a toy for which other makers used about 550 m (common practice, no
/// source): worked in those stitches, the stash is short, and it ends before half of the rounds are done.
#[test]
fn two_skeins_do_not_make_a_large_toy() {
    let stock = Stock { ball_g: Some(50.0), ball_m: Some(100.0), have_balls: Some(2.0), ..Stock::default() };
    let yarn = Yarn { category: Some(4), hook_mm: Some(3.5), stock, ..Yarn::default() };
    // As many even rounds as take about 550 m: 14,600 stitches of 7 · 5.38 mm.
    let toy = ball(yarn, &[[6, 12].as_slice(), &[100; 146], &[12, 6]].concat());
    let need = needs(&toy, &make(&toy)).remove(0);
    assert!((need.need.metres.value - 550.0).abs() < 10.0, "{:?}", need.need.metres);
    let end = need.runs_out.expect("it is short");
    assert_eq!(need.enough.map(|e| e.word()), Some("short"));
    assert!((50..60).contains(&end.at.round), "200 of 550 m: {end:?}");
    let ends: Vec<u32> = need.ball_ends.iter().map(|b| b.ball).collect();
    assert_eq!(ends, [1, 2]);
    let finding = derive(&toy).report.findings.into_iter().find(|f| f.kind.word() == "yarn_short");
    assert!(finding.is_some_and(|f| f.severity.word() == "severe" && f.round == Some(end.at.round)));
}

/// Allowance 10 % with a swatch and 20 % without; a sewing tail three to four times the seam and at least 30 cm; a tail
/// that is woven in 15 to 25 cm (common practice, no source).
#[test]
fn allowance_and_tails_are_the_trades() {
    let counts = [6, 12, 18, 24, 24, 24, 18, 12, 6];
    let with = |yarn: Yarn| needs(&ball(yarn.clone(), &counts), &make(&ball(yarn, &counts))).remove(0);
    let estimated = with(Yarn::default());
    let swatch = with(Yarn { stitches_per_10cm: Some(20.0), ..Yarn::default() });
    for (need, share) in [(&estimated, 1.2), (&swatch, 1.1)] {
        assert!((need.take.grams / need.need.grams.value - share).abs() < 1e-9);
    }
    let tails = swatch.need.tails_m;
    assert!((tails.low - 0.3).abs() < 1e-9 && (tails.high - 0.5).abs() < 1e-9, "one to begin, one to end: {tails:?}");
    assert_eq!(swatch.need.sewing_m.value, 0.0, "it stands by itself");
}
