//! Outlines to rounds and back.

use glam::DVec2;
use toppleknot::advise::outline::{Fit, HalfOutline, Rules, StartShape, rounds_of_outline, stuffed_outline};
use toppleknot::part::{Amount, Fill, Part};
use toppleknot::rounds::{Finish, rounds_of_counts};
use toppleknot::toy::shape::{Covered, ShapeInput, part_shape};
use toppleknot::yarn::{Yarn, fabric};

/// A medium yarn, swatch 20 by 21.5: stitches of 5 mm, rounds of 4.65 mm; medium stuffing; rims sewn on.
fn input() -> ShapeInput {
    let yarn = Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(21.5), ..Yarn::default() };
    let fabric = fabric(&yarn);
    ShapeInput {
        fabric,
        stiffness_n_per_m: fabric.stiffness_n_per_m.value(),
        fill: Fill::of(Amount::Medium, None, None),
        covered: Covered { start: true, finish: true, folded: false },
        joined_core_mm: 0.0,
    }
}

fn fit(outline: &HalfOutline) -> Fit {
    rounds_of_outline(outline, &input(), &Rules::default()).expect("rounds")
}

fn smooth(points: &[(f64, f64)]) -> HalfOutline {
    // Catmull–Rom through the points: a drawn line.
    let at = |i: i64| {
        let (r, z) = points[i.clamp(0, points.len() as i64 - 1) as usize];
        DVec2::new(r, z)
    };
    let mut line = vec![at(0)];
    for i in 0..points.len() as i64 - 1 {
        let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
        for k in 1..=12 {
            let t = k as f64 / 12.0;
            line.push(
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t),
            );
        }
    }
    HalfOutline::new(&line).expect("an outline")
}

#[test]
fn look() {
    let shapes: Vec<(&str, HalfOutline)> = vec![
        ("ball 60", StartShape::Ball.outline(60.0, 60.0).unwrap()),
        ("ball 100", StartShape::Ball.outline(100.0, 60.0).unwrap()),
        ("egg", StartShape::Egg.outline(60.0, 85.0).unwrap()),
        ("pear", StartShape::Pear.outline(80.0, 130.0).unwrap()),
        ("cone", StartShape::Cone.outline(60.0, 100.0).unwrap()),
        ("cylinder", StartShape::Cylinder.outline(60.0, 100.0).unwrap()),
        ("dome", StartShape::Dome.outline(80.0, 50.0).unwrap()),
        ("disc", StartShape::Disc.outline(80.0, 30.0).unwrap()),
        ("limb", StartShape::Limb.outline(30.0, 100.0).unwrap()),
        ("ear", StartShape::Ear.outline(40.0, 60.0).unwrap()),
        ("bell", smooth(&[(0.0, 0.0), (12.0, 1.5), (22.0, 8.0), (26.0, 22.0), (30.0, 45.0), (40.0, 70.0)])),
        ("snout", smooth(&[(0.0, 0.0), (9.0, 0.7), (14.5, 4.0), (18.0, 12.0), (21.0, 22.0), (25.0, 34.0)])),
        (
            "bottle",
            HalfOutline::new(&[
                DVec2::ZERO,
                DVec2::new(30.0, 0.0),
                DVec2::new(30.0, 80.0),
                DVec2::new(27.0, 92.0),
                DVec2::new(18.0, 102.0),
                DVec2::new(12.0, 110.0),
                DVec2::new(11.0, 140.0),
            ])
            .unwrap(),
        ),
    ];
    for (name, outline) in shapes {
        let began = std::time::Instant::now();
        let fit = fit(&outline);
        println!(
            "{name}: max {:.2} rms {:.2} within {} {:?}, {:.1} ms\n   {:?}",
            fit.error.max_mm,
            fit.error.rms_mm,
            fit.within,
            fit.error.worst_at_mm,
            began.elapsed().as_secs_f64() * 1e3,
            fit.counts()
        );
        for r in &fit.remarks {
            println!("   {:?} {}", r.kind, r.message);
        }
    }
}

#[test]
fn back() {
    let counts = [6u32, 12, 18, 24, 30, 36, 36, 36, 36, 36, 36, 36, 30, 24, 18, 12, 6];
    let part = Part { rounds: rounds_of_counts(&counts).unwrap(), finish: Finish::Gathered, ..Part::default() };
    let shape = part_shape(&part, &input());
    let outline = HalfOutline::new(&stuffed_outline(&shape).unwrap()).unwrap();
    let fit = fit(&outline);
    println!("{:?} {:?}", fit.counts(), fit.error);
}
