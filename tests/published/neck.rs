//! The neck as a short stuffed tube.
//!
//! Source of the theory: R. L. Comer & S. Levy, Deflections of an inflated circular-cylindrical cantilever beam,
//! AIAA Journal 1 (1963): wrinkles begin at M = π·p·r³/2, the beam collapses at π·p·r³.

use std::f64::consts::PI;

use toppleknot::measure::joint::{
    Joint, JointVerdict, STANDARD_GRAVITY, alike_radius_mm, collapse_moment, load_moment, load_share, nod_deg, sinks,
    wrinkle_moment, wrinkled_moment,
};
use toppleknot::solid::Ring;

fn tube(radius_mm: f64) -> Ring {
    Ring { radius_mm, ..Ring::default() }
}

fn close(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} is not {want} within {within}");
}

/// Worked by hand from the formulas: r 15 mm, p 2 kPa; both to the printed digit.
#[test]
fn wrinkle_and_collapse_of_a_tube_worked_by_hand() {
    close(wrinkle_moment(2.0, 15.0) / 1000.0, 10.6, 0.05);
    close(collapse_moment(2.0, tube(15.0)) / 1000.0, 21.2, 0.05);
}

/// M/(p·r³) at three half-angles of taut fabric, from the closed form, to the printed digit.
#[test]
fn moment_at_three_half_angles() {
    for (taut_half_deg, want) in [(120.0, 2.0751), (90.0, 2.4674), (60.0, 2.8174)] {
        close(wrinkled_moment(1.0, 1.0, taut_half_deg), want, 5e-5);
    }
    // 90° is π²/4 without rounding.
    close(wrinkled_moment(1.0, 1.0, 90.0), PI * PI / 4.0, 1e-12);
}

/// The two ends of the wrinkled state are the published wrinkle and collapse moments.
#[test]
fn wrinkled_state_runs_from_wrinkle_to_collapse() {
    close(wrinkled_moment(3.0, 7.0, 180.0), wrinkle_moment(3.0, 7.0), 1e-9);
    close(wrinkled_moment(3.0, 7.0, 0.0), collapse_moment(3.0, tube(7.0)), 1e-9);
    // Across the change from series to closed form, at 1e-3 rad.
    close(wrinkled_moment(1.0, 1.0, 0.0572), wrinkled_moment(1.0, 1.0, 0.0574), 1e-7);
}

/// The balances of force and moment behind the closed form, summed numerically over the taut fabric.
#[test]
fn wrinkled_moment_balances_force_and_moment_round_the_tube() {
    for taut_half_deg in [30.0f64, 75.0, 110.0, 160.0] {
        let alpha = taut_half_deg.to_radians();
        let steps = 20_000;
        let (mut force, mut moment) = (0.0, 0.0);
        for k in 0..steps {
            let theta = (-1.0 + (2.0 * f64::from(k) + 1.0) / f64::from(steps)) * alpha;
            let stress = theta.cos() - alpha.cos();
            force += stress;
            moment += stress * theta.cos();
        }
        // Force is p·π·r² with r = 1: scale the stress to it.
        close(wrinkled_moment(1.0, 1.0, taut_half_deg), PI * moment / force, 1e-6);
    }
}

/// Worked by hand: r 20 mm, 60 g at 60 mm, p 1.007 kPa; to the printed digits.
#[test]
fn a_medium_neck_worked_by_hand() {
    close(collapse_moment(1.007, tube(20.0)) / 1000.0, 25.3, 0.05);
    close(load_moment(60.0, 60.0) / 1000.0, 35.3, 0.05);
    let share = load_share(1.007, tube(20.0), 60.0, 60.0);
    close(share, 0.72, 0.005);
    let nod = nod_deg(share).expect("a share below 1 nods");
    close(nod, 46.0, 0.5);
    assert_eq!(JointVerdict::at(share, false), JointVerdict::Nods);
    // The same neck stuffed lightly and firmly: 31 and 57 g/L by the inverse-cube law, p = 0.32 and 2.06 kPa.
    close(load_share(0.32, tube(20.0), 60.0, 60.0), 0.23, 0.005);
    close(load_share(2.06, tube(20.0), 60.0, 60.0), 1.46, 0.01);
    assert_eq!(JointVerdict::at(load_share(0.32, tube(20.0), 60.0, 60.0), false), JointVerdict::Flops);
    assert_eq!(JointVerdict::at(load_share(2.06, tube(20.0), 60.0, 60.0), false), JointVerdict::Holds);
}

/// At the nod the load's moment about the joint is what the tube carries: statics of a lever.
#[test]
fn at_the_nod_the_lever_balances() {
    let joint = Joint { pressure_kpa: 0.9, section: tube(13.0), mass_beyond_g: 21.0, lever_mm: 47.0, stick: false };
    let tilt = joint.nod_deg().expect("this one nods").to_radians();
    let moment = joint.mass_beyond_g * STANDARD_GRAVITY * joint.lever_mm * tilt.sin();
    close(moment / joint.collapse_moment(), 1.0, 1e-12);
}

/// Thresholds and words of the verdicts.
#[test]
fn verdicts_turn_at_one_and_one_half() {
    let words = |share, stick| JointVerdict::at(share, stick).word();
    assert_eq!([words(1.0, false), words(0.999, false), words(0.5, false)], ["holds", "nods", "nods"]);
    assert_eq!([words(0.499, false), words(0.0, false), words(0.2, true)], ["flops", "flops", "held"]);
    close(nod_deg(0.5).expect("nods"), 30.0, 1e-9);
    assert_eq!(nod_deg(1.0), None);
}

/// 60 g weigh 588.4 mN; a neck of r 20 mm carries p·1256.6 mm²: 402 mN at 0.32 kPa, 1265 mN at 1.007 kPa.
#[test]
fn a_head_sinks_when_it_outweighs_the_pressure_on_the_section() {
    assert!(sinks(0.32, tube(20.0), 60.0));
    assert!(!sinks(1.007, tube(20.0), 60.0));
    close(60.0 * STANDARD_GRAVITY, 588.4, 0.05);
    assert!(!sinks(588.5 / 1256.637, tube(20.0), 60.0) && sinks(588.3 / 1256.637, tube(20.0), 60.0));
}

/// Statics of a pressurised tube of any section that is about to fold: the pressure's force acts at the middle of the
/// section, the fabric's tension at its taut edge, so the tube carries force times distance. Summed here over
/// strips of the section, apart from the closed form. A long section has two such moments; the lesser counts.
#[test]
fn a_long_tube_folds_the_weaker_way() {
    for (r, c) in [(11.0, 5.0), (4.7, 30.0), (9.0, 0.0), (20.0, 0.5)] {
        let strips = 200_000;
        let (mut about_long, mut about_narrow) = (0.0, 0.0);
        for k in 0..strips {
            // Strips along the straight sides, y from −r to r; their pressure about the edge y = r.
            let y = r * (2.0 * (f64::from(k) + 0.5) / f64::from(strips) - 1.0);
            let wide = 2.0 * (c + (r * r - y * y).sqrt());
            about_long += wide * (r - y) * 2.0 * r / f64::from(strips);
            // And across them, x from −(r + c) to r + c, about x = r + c.
            let x = (r + c) * (2.0 * (f64::from(k) + 0.5) / f64::from(strips) - 1.0);
            let high = 2.0 * (r * r - (x.abs() - c).max(0.0).powi(2)).max(0.0).sqrt();
            about_narrow += high * (r + c - x) * 2.0 * (r + c) / f64::from(strips);
        }
        let section = Ring { radius_mm: r, core_half_mm: c, ..Ring::default() };
        let got = collapse_moment(0.8, section);
        close(got / (0.8 * about_long.min(about_narrow)), 1.0, 1e-5);
        // The round tube that carries as much, by the formula for a round one.
        close(0.8 * PI * alike_radius_mm(section).powi(3) / got, 1.0, 1e-12);
        // A weight a hair lighter than the pressure on the whole section is borne.
        let area = PI * r * r + 4.0 * r * c;
        assert!(!sinks(0.8, section, 0.8 * area * 0.9999 / STANDARD_GRAVITY));
        assert!(sinks(0.8, section, 0.8 * area * 1.0001 / STANDARD_GRAVITY));
    }
}
