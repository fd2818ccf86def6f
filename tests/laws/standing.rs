//! Laws of supports, plane cuts, standing and rest poses, on random solids.

use std::time::Instant;

use glam::{DAffine3, DMat3, DVec3};
use toppleknot::measure::standing::{Bearer, End, Flat, Load, PartBearer, stand};
use toppleknot::solid::{Placed, Ring, Solid};

fn ball(radius: f64, count: usize) -> Solid {
    Solid {
        rings: (0..=count)
            .map(|i| {
                let angle = std::f64::consts::PI * i as f64 / count as f64;
                Ring { z_mm: radius * (1.0 - angle.cos()), radius_mm: radius * angle.sin(), core_half_mm: 0.0 }
            })
            .collect(),
    }
}

use std::cell::Cell;
struct Counting<'a>(&'a PartBearer, &'a [Cell<u32>; 3]);
impl Bearer for Counting<'_> {
    fn support_mm(&self, d: DVec3) -> f64 {
        self.1[0].set(self.1[0].get() + 1);
        self.0.support_mm(d)
    }
    fn lowest_point(&self, d: DVec3) -> DVec3 {
        self.1[0].set(self.1[0].get() + 1);
        self.0.lowest_point(d)
    }
    fn support_bound_mm(&self, d: DVec3) -> f64 {
        self.0.support_bound_mm(d)
    }
    fn thickness_mm(&self, d: DVec3) -> f64 {
        self.1[0].set(self.1[0].get() + 2);
        self.0.thickness_mm(d)
    }
    fn pressure_kpa(&self) -> f64 {
        self.0.pressure_kpa()
    }
    fn section(&self, d: DVec3, l: f64) -> toppleknot::solid::Section {
        self.1[1].set(self.1[1].get() + 1);
        self.0.section(d, l)
    }
    fn cut(&self, d: DVec3, l: f64) -> toppleknot::solid::Cut {
        self.1[2].set(self.1[2].get() + 1);
        self.0.cut(d, l)
    }
    fn outline(&self, d: DVec3, l: f64, s: f64, p: &mut Vec<DVec3>) {
        self.0.outline(d, l, s, p)
    }
}

#[test]
#[ignore = "a measurement"]
fn time_of_a_standing_check() {
    let part = ball(35.0, 50);
    let small = ball(12.0, 50);
    let at = |x: f64, y: f64, z: f64| DAffine3::from_translation(DVec3::new(x, y, z));
    let mut placed = vec![Placed { solid: &part, toy_from_part: at(0.0, 0.0, 10.0) }];
    for (x, y) in [(20.0, 20.0), (-20.0, 20.0), (20.0, -20.0), (-20.0, -20.0)] {
        placed.push(Placed { solid: &small, toy_from_part: at(x, y, 0.0) });
    }
    for i in 0..7 {
        placed.push(Placed { solid: &small, toy_from_part: at(f64::from(i), 0.0, 80.0 + 5.0 * f64::from(i)) });
    }
    let bearers: Vec<PartBearer> = placed.iter().map(|p| PartBearer::soft(p, 1.0)).collect();
    let list: Vec<&dyn Bearer> = bearers.iter().map(|b| b as &dyn Bearer).collect();
    for mass in [60.0, 90.0] {
        let load = Load::of_mass(mass, DVec3::new(1.0, 3.0, 55.0));
        let cell = [Cell::new(0), Cell::new(0), Cell::new(0)];
        let counting: Vec<Counting> = bearers.iter().map(|b| Counting(b, &cell)).collect();
        let clist: Vec<&dyn Bearer> = counting.iter().map(|b| b as &dyn Bearer).collect();
        let _ = stand(&clist, &load, &[]);
        println!("supports, sections, cuts {cell:?}");
        for (name, f) in [("support", 0), ("section", 1), ("cut", 2)] {
            let d = DVec3::new(0.2, 0.1, -1.0).normalize();
            let l = bearers[1].support_mm(d) - 3.0;
            let start = Instant::now();
            let mut sum = 0.0;
            for i in 0..10000 {
                let l = l + 1e-6 * f64::from(i);
                sum += match f {
                    0 => bearers[1].support_mm(d + DVec3::X * l * 1e-9),
                    1 => bearers[1].section(d, l).area_mm2,
                    _ => bearers[1].cut(d, l).volume_mm3,
                };
            }
            println!("{name} {:.0} ns {sum}", start.elapsed().as_secs_f64() * 1e5);
        }
        let start = Instant::now();
        let mut got = None;
        for _ in 0..100 {
            got = stand(&list, &load, &[]);
        }
        let t = start.elapsed().as_secs_f64() * 10.0;
        let got = got.unwrap();
        println!(
            "{t:.3} ms; settle {} weakest {:?} sink {} touching {:?}",
            got.settle_deg, got.weakest, got.sink_mm, got.touching
        );
    }
    let _ = (DMat3::IDENTITY, End::Start, Flat { ring: Ring::default(), end: End::Start });
}
