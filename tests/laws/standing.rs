//! Laws of standing and rest poses, on random solids.

mod cuts;

use std::f64::consts::{PI, TAU};
use std::time::Instant;

use glam::{DAffine3, DMat3, DQuat, DVec3};
use toppleknot::measure::rest_poses::{SEGMENTS, rest_poses};
use toppleknot::measure::standing::{
    Bearer, Flat, Load, Nod, PartBearer, Standing, climb, contact, settled_down, stand, tip_in_direction,
};
use toppleknot::measure::{FindingKind, derive};
use toppleknot::part::End;
use toppleknot::rounds::Finish;
use toppleknot::solid::{Placed, Ring, Solid};
use toppleknot::toy::Seat;

use super::seams;

/// Random numbers that are the same in every run (splitmix64).
struct Random(u64);

impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^= x >> 31;
        low + (high - low) * ((x >> 11) as f64 / (1_u64 << 53) as f64)
    }

    fn direction(&mut self) -> DVec3 {
        let (z, turn) = (self.between(-1.0, 1.0), self.between(0.0, TAU));
        let across = (1.0 - z * z).sqrt();
        DVec3::new(across * turn.cos(), across * turn.sin(), z)
    }

    /// A rigid motion, with a reflection in half of the cases.
    fn motion(&mut self) -> DAffine3 {
        let turn = DQuat::from_axis_angle(self.direction(), self.between(0.0, TAU));
        let mirror = if self.between(0.0, 1.0) < 0.5 { DVec3::new(-1.0, 1.0, 1.0) } else { DVec3::ONE };
        let shift = DVec3::new(self.between(-30.0, 30.0), self.between(-30.0, 30.0), self.between(-30.0, 30.0));
        DAffine3::from_mat3_translation(DMat3::from_quat(turn) * DMat3::from_diagonal(mirror), shift)
    }

    /// Any stack of rings: waists, steps, cylinders, poles, open ends; stadiums if asked.
    fn solid(&mut self, stadium: bool) -> Solid {
        let count = self.between(2.0, 14.0) as usize;
        let mut z_mm = 0.0;
        let core = if stadium { self.between(2.0, 20.0) } else { 0.0 };
        let mut rings: Vec<Ring> = Vec::new();
        for i in 0..=count {
            let kind = self.between(0.0, 1.0);
            let last = rings.last().map_or(20.0, |r| r.radius_mm);
            let radius_mm = match kind {
                k if k < 0.15 => last,
                k if k < 0.25 => last * (1.0 + 1e-6),
                _ => self.between(1.0, 40.0),
            };
            let pole = (i == 0 || i == count) && kind > 0.5;
            let radius_mm = if pole { 0.0 } else { radius_mm };
            rings.push(Ring { z_mm, radius_mm, core_half_mm: core * self.between(0.5, 1.0) });
            z_mm += if self.between(0.0, 1.0) < 0.1 { 0.0 } else { self.between(0.5, 12.0) };
        }
        Solid { rings }
    }

    /// A convex body like an egg, standing on its first pole.
    fn egg(&mut self) -> Solid {
        let (half, radius, lean) = (self.between(15.0, 45.0), self.between(15.0, 45.0), self.between(-0.3, 0.3));
        let walls = self.between(8.0, 30.0) as usize;
        let ring = |i: usize| {
            let angle = PI * i as f64 / walls as f64;
            let pole = i == 0 || i == walls;
            let radius_mm = if pole { 0.0 } else { radius * angle.sin() * (1.0 + lean * angle.cos()) };
            Ring { z_mm: half * (1.0 - angle.cos()), radius_mm, core_half_mm: 0.0 }
        };
        Solid { rings: (0..=walls).map(ring).collect() }
    }
}

const HERE: DAffine3 = DAffine3::IDENTITY;

fn close(got: f64, want: f64, within: f64, what: &str) {
    assert!((got - want).abs() <= within, "{what}: {got} is not {want} within {within}");
}

/// Virtual work: the floor's push acts where the slope of the energy says, at every tilt and load.
#[test]
fn the_lever_is_the_slope_of_the_energy() {
    let mut random = Random(5);
    for case in 0..200 {
        let solids: Vec<Solid> = (0..4).map(|_| random.egg()).collect();
        let bearers: Vec<PartBearer> = (solids.iter())
            .map(|s| {
                let shift = DVec3::new(random.between(-40.0, 40.0), random.between(-40.0, 40.0), 0.0);
                let placed = Placed { solid: s, toy_from_part: DAffine3::from_translation(shift) };
                PartBearer::soft(&placed, random.between(0.3, 3.0))
            })
            .collect();
        let list: Vec<&dyn Bearer> = bearers.iter().map(|b| b as &dyn Bearer).collect();
        let load = Load::of_mass(random.between(20.0, 250.0), DVec3::new(0.0, 0.0, random.between(20.0, 60.0)));
        let down = (DVec3::NEG_Z + 0.5 * random.direction()).normalize();
        let toward = down.cross(random.direction()).normalize();
        let turn = |angle: f64| down * angle.cos() + toward * angle.sin();
        let step = 1e-4;
        let at = |angle: f64| contact(&list, &load, turn(angle), None).expect("it bears");
        let slope = (at(step).energy_mm - at(-step).energy_mm) / (2.0 * step);
        let (left, right) = (at(-step).lever.dot(toward), at(step).lever.dot(toward));
        // One part may take over as the stop within the step.
        let within = 0.02 + (left - right).abs();
        close(slope, at(0.0).lever.dot(toward), within, &format!("case {case} {:?}", at(0.0)));
    }
}

/// A body on feet with a head in front: some toys of that kind stand, some do not.
struct Toy {
    bearers: Vec<PartBearer>,
    load: Load,
}

impl Toy {
    fn random(random: &mut Random, by: DAffine3) -> Self {
        let foot = random.egg();
        let scale = 0.3;
        let foot = Solid {
            rings: foot
                .rings
                .iter()
                .map(|r| Ring { z_mm: r.z_mm * scale, radius_mm: r.radius_mm * scale, ..*r })
                .collect(),
        };
        let body = random.egg();
        let pressure = random.between(0.5, 3.0);
        let mut bearers = Vec::new();
        for _ in 0..3 {
            let shift = DVec3::new(random.between(-35.0, 35.0), random.between(-35.0, 35.0), random.between(-1.0, 0.0));
            let toy_from_part = by * DAffine3::from_translation(shift);
            bearers.push(PartBearer::soft(&Placed { solid: &foot, toy_from_part }, pressure));
        }
        let toy_from_part = by * DAffine3::from_translation(DVec3::new(0.0, 0.0, 8.0));
        bearers.push(PartBearer::soft(&Placed { solid: &body, toy_from_part }, pressure));
        let centre = DVec3::new(random.between(-5.0, 5.0), random.between(-5.0, 5.0), random.between(15.0, 50.0));
        Self { bearers, load: Load::of_mass(random.between(30.0, 120.0), by.transform_point3(centre)) }
    }

    fn stand(&self) -> Standing {
        let list: Vec<&dyn Bearer> = self.bearers.iter().map(|b| b as &dyn Bearer).collect();
        stand(&list, &self.load, &[]).expect("it bears")
    }
}

#[test]
fn turning_a_toy_about_the_vertical_turns_its_weakest_direction() {
    let mut stood = 0;
    for seed in 0..40 {
        let plain = Toy::random(&mut Random(100 + seed), HERE).stand();
        // A turn of 45° to the toy's left takes the front (+y, 0°) to (+x and +y, 45°).
        let turned = Toy::random(&mut Random(100 + seed), DAffine3::from_rotation_z(-0.25 * PI)).stand();
        close(turned.settle_deg, plain.settle_deg, 0.15, &format!("seed {seed} settles"));
        assert_eq!(turned.settled_up.is_some(), plain.settled_up.is_some(), "seed {seed}");
        for (i, tip) in plain.tips.iter().enumerate() {
            let other = turned.tips[(i + 3) % 24];
            close(other.tip_deg, tip.tip_deg, 0.4, &format!("seed {seed} direction {i}"));
        }
        close(turned.weakest.tip_deg, plain.weakest.tip_deg, 0.4, &format!("seed {seed} weakest"));
        // The weakest direction turns along, unless another is as weak.
        let was = ((plain.weakest.toward_deg + 45.0) / 15.0).round() as usize % 24;
        let apart = (turned.weakest.toward_deg - plain.weakest.toward_deg - 45.0 + 540.0).rem_euclid(360.0) - 180.0;
        assert!(
            apart.abs() < 12.0 || turned.tips[was].tip_deg < turned.weakest.tip_deg + 0.5,
            "seed {seed}: {:?} became {:?}",
            plain.weakest,
            turned.weakest
        );
        stood += u32::from(plain.weakest.tip_deg > 0.0);
    }
    assert!(stood > 5, "only {stood} stood, so little was tried");
}

#[test]
fn a_mirrored_toy_stands_as_its_mirror_image() {
    for seed in 0..40 {
        let plain = Toy::random(&mut Random(300 + seed), HERE).stand();
        let mirror = DAffine3::from_mat3(DMat3::from_diagonal(DVec3::new(-1.0, 1.0, 1.0)));
        let other = Toy::random(&mut Random(300 + seed), mirror).stand();
        close(other.settle_deg, plain.settle_deg, 0.15, &format!("seed {seed} settles"));
        for (i, tip) in plain.tips.iter().enumerate() {
            close(other.tips[(24 - i) % 24].tip_deg, tip.tip_deg, 0.4, &format!("seed {seed} direction {i}"));
        }
        close(other.polygon.len() as f64, plain.polygon.len() as f64, 12.0, "corners of the polygon");
        if plain.settled_up.is_some() {
            close(other.foot.x, -plain.foot.x, 0.2, "the foot");
        }
    }
}

/// Where a toy has settled no neighbouring attitude is lower, and its foot lies in its support polygon.
#[test]
fn settled_is_a_minimum_over_the_support_polygon() {
    let mut random = Random(7);
    for seed in 0..60 {
        let toy = Toy::random(&mut Random(500 + seed), HERE);
        let list: Vec<&dyn Bearer> = toy.bearers.iter().map(|b| b as &dyn Bearer).collect();
        let Some(down) = settled_down(&list, &toy.load, DVec3::NEG_Z) else { continue };
        let here = contact(&list, &toy.load, down, None).expect("it bears").energy_mm;
        for _ in 0..40 {
            let near = (down + 0.01 * random.direction()).normalize();
            let there = contact(&list, &toy.load, near, None).expect("it bears").energy_mm;
            // The settled pose is found to a hundredth of a degree, or 0.002 mm beside a kink.
            assert!(there > here - 4e-3, "seed {seed}: {there} below {here}");
        }
        let got = toy.stand();
        let inside = (0..got.polygon.len()).all(|i| {
            let (a, b) = (got.polygon[i], got.polygon[(i + 1) % got.polygon.len()]);
            (b - a).perp_dot(got.foot - a) > -0.5 * (b - a).length()
        });
        assert!(got.polygon.len() >= 3 && inside, "seed {seed}: {:?} {:?}", got.foot, got.polygon);
        assert!(!got.touching.is_empty());
    }
}

/// More mass high up never helps: the reason why the patch is not judged by its size alone.
#[test]
fn a_heavier_head_never_stands_better() {
    let mut random = Random(8);
    for case in 0..60 {
        let egg = random.egg();
        let placed = Placed { solid: &egg, toy_from_part: HERE };
        let pressure = random.between(0.3, 3.0);
        let bearer = if case % 2 == 0 {
            PartBearer::soft(&placed, pressure)
        } else {
            let ring = Ring { z_mm: 4.0, radius_mm: random.between(8.0, 14.0), core_half_mm: 0.0 };
            PartBearer::with_flat(&placed, pressure, Flat::at_start(ring))
        };
        let top = egg.rings.iter().map(|r| r.z_mm).fold(0.0, f64::max);
        let mut last = f64::INFINITY;
        for head in [0.0, 10.0, 20.0, 40.0, 80.0] {
            let body = 60.0;
            let z = (body * 0.35 * top + head * (top + 20.0)) / (body + head);
            let load = Load::of_mass(body + head, DVec3::new(0.0, 0.0, z));
            let tip = stand(&[&bearer], &load, &[]).expect("it bears").weakest.tip_deg;
            assert!(tip <= last + 0.1, "case {case} head {head}: {tip} after {last}");
            last = tip;
        }
    }
}

/// A toy on a flat whose walls rise straight or inward from its edge: firmer stuffing never makes it stand worse.
#[test]
fn firmer_stuffing_never_makes_a_flat_based_toy_stand_worse() {
    let mut random = Random(9);
    let mut stood = 0;
    for case in 0..80 {
        let edge = random.between(12.0, 35.0);
        let mut rings = vec![Ring { z_mm: 0.0, radius_mm: edge, core_half_mm: 0.0 }];
        for _ in 0..12 {
            let last = rings[rings.len() - 1];
            let radius_mm = last.radius_mm * random.between(0.85, 1.0);
            rings.push(Ring { z_mm: last.z_mm + random.between(3.0, 7.0), radius_mm, core_half_mm: 0.0 });
        }
        let solid = Solid { rings };
        let ring = Ring { z_mm: 0.0, radius_mm: edge * random.between(0.7, 1.0), core_half_mm: 0.0 };
        stood += u32::from(firmer_and_firmer(&solid, ring, &mut random, 0.02, case) > 0.0);
    }
    assert!(stood > 20, "only {stood} stood, so little was tried");
}

/// Over an egg that bulges out beyond its flat, a softer bulge is squashed to a patch that reaches a little further
/// out, so the *angle* may shrink with firmness by a hair, though the climb never does: 1° is allowed.
#[test]
fn firmer_stuffing_hardly_matters_to_an_egg_on_a_flat() {
    let mut random = Random(9);
    let mut stood = 0;
    for case in 0..80 {
        let egg = random.egg();
        let top = egg.rings.iter().map(|r| r.z_mm).fold(0.0, f64::max);
        let z_mm = top * random.between(0.02, 0.12);
        let at_flat = egg.rings.windows(2).find(|w| w[1].z_mm > z_mm).map_or(10.0, |w| {
            w[0].radius_mm + (w[1].radius_mm - w[0].radius_mm) * (z_mm - w[0].z_mm) / (w[1].z_mm - w[0].z_mm)
        });
        let ring = Ring { z_mm, radius_mm: at_flat * random.between(0.6, 1.0), core_half_mm: 0.0 };
        stood += u32::from(firmer_and_firmer(&egg, ring, &mut random, 1.0, case) > 0.0);
    }
    assert!(stood > 20, "only {stood} stood, so little was tried");
}

/// Stands a solid on a flat with firmer and firmer stuffing; the last tip angle (at most 90°: beyond that a part
/// stands on its side or head). The climb must not fall at all: the energy at every tilt grows with the pressure,
/// and upright the flat keeps it where it is.
fn firmer_and_firmer(solid: &Solid, ring: Ring, random: &mut Random, within_deg: f64, case: i32) -> f64 {
    let placed = Placed { solid, toy_from_part: HERE };
    let top = solid.rings.iter().map(|r| r.z_mm).fold(0.0, f64::max);
    let load = Load::of_mass(random.between(20.0, 200.0), DVec3::new(0.0, 0.0, top * random.between(0.3, 0.9)));
    let (mut last, mut last_rise) = (0.0, 0.0);
    for pressure in [0.1, 0.32, 0.6, 1.01, 2.06, 4.0] {
        let bearer = PartBearer::with_flat(&placed, pressure, Flat::at_start(ring));
        let got = stand(&[&bearer], &load, &[]).expect("it bears");
        assert!(got.settle_deg < 0.02 && !got.too_soft, "case {case}: {got:?}");
        let tip = got.weakest.tip_deg.min(90.0);
        assert!(tip >= last - within_deg, "case {case} p {pressure}: {tip} after {last}");
        last = tip;
        let rise = climb(&[&bearer], &load, DVec3::NEG_Z, DVec3::Y).expect("it bears").rise_mm;
        assert!(rise >= last_rise - 1e-3, "case {case} p {pressure}: climb {rise} after {last_rise}");
        last_rise = rise;
    }
    last
}

#[test]
fn a_head_that_nods_only_takes_away() {
    let egg = Random(10).egg();
    let placed = Placed { solid: &egg, toy_from_part: HERE };
    let ring = Ring { z_mm: 3.0, radius_mm: 20.0, core_half_mm: 0.0 };
    let bearer = PartBearer::with_flat(&placed, 1.0, Flat::at_start(ring));
    let load = Load::of_mass(100.0, DVec3::new(0.0, 0.0, 38.0));
    let tip = |nods: &[Nod]| tip_in_direction(&[&bearer], &load, nods, DVec3::Z, 30.0).expect("it bears");
    let rigid = tip(&[]);
    let nod = |nod_deg: f64, mass_g: f64| Nod {
        pivot: DVec3::new(0.0, 0.0, 60.0),
        mass_g,
        centre_of_mass: DVec3::new(0.0, 0.0, 80.0),
        nod_deg,
    };
    assert!(rigid > 15.0, "{rigid}");
    assert_eq!(tip(&[nod(rigid + 1.0, 40.0)]), rigid);
    // A head heavy enough to carry it over once bent: it holds till it nods, and not longer.
    assert_eq!(tip(&[nod(9.0, 90.0)]), 9.0);
    let light = tip(&[nod(5.0, 10.0)]);
    assert!(light < rigid && light > 5.0, "{light} {rigid}");
}

#[test]
fn shares_of_rest_poses_sum_to_one() {
    let mut random = Random(11);
    for case in 0..60 {
        let solids: Vec<Solid> = (0..5).map(|i| random.solid(i == 0)).collect();
        let motions: Vec<DAffine3> = (0..5).map(|_| random.motion()).collect();
        let parts: Vec<Placed> =
            solids.iter().zip(&motions).map(|(solid, m)| Placed { solid, toy_from_part: *m }).collect();
        let middle = motions.iter().zip(&solids).map(|(m, s)| {
            let z = 0.5 * s.rings.last().map_or(0.0, |r| r.z_mm);
            m.transform_point3(DVec3::new(0.0, 0.0, z))
        });
        let centre = middle.sum::<DVec3>() / 5.0;
        let poses = rest_poses(&parts, centre, SEGMENTS);
        assert!(!poses.is_empty(), "case {case}");
        close(poses.iter().map(|p| p.share).sum(), 1.0, 1e-9, &format!("case {case}"));
        assert!(poses.windows(2).all(|w| w[0].share >= w[1].share));
        // No attitude is lower than the lowest pose.
        let height =
            |down: DVec3| parts.iter().map(|p| p.support_mm(down)).fold(f64::NEG_INFINITY, f64::max) - centre.dot(down);
        let lowest = poses.iter().map(|p| p.height_mm).fold(f64::INFINITY, f64::min);
        for _ in 0..300 {
            assert!(height(random.direction()) > lowest - 0.15, "case {case}");
        }
        for pose in &poses {
            close(height(-pose.up), pose.height_mm, 0.3, &format!("case {case}"));
            assert!(!pose.touching.is_empty() && pose.share > 0.0);
        }
    }
}

/// Nothing that has no answer panics.
#[test]
fn empty_and_broken_input_gives_no_answer() {
    let load = Load::of_mass(50.0, DVec3::Z);
    assert!(stand(&[], &load, &[]).is_none());
    assert!(rest_poses(&[], DVec3::ZERO, SEGMENTS).is_empty());
    let disc = Solid { rings: vec![Ring { z_mm: 0.0, radius_mm: 20.0, core_half_mm: 0.0 }] };
    let none = Solid::default();
    let wrong = Solid { rings: vec![Ring { z_mm: f64::NAN, radius_mm: 20.0, core_half_mm: 0.0 }; 3] };
    for solid in [&none, &disc, &wrong] {
        let placed = Placed { solid, toy_from_part: HERE };
        let bearer = PartBearer::soft(&placed, 1.0);
        let flat = Flat::at_finish(Ring { z_mm: 0.0, radius_mm: 10.0, core_half_mm: 0.0 });
        let _ = stand(&[&bearer, &PartBearer::with_flat(&placed, 1.0, flat)], &load, &[]);
        assert!(rest_poses(&[placed], DVec3::ZERO, SEGMENTS).is_empty());
        assert!(stand(&[&bearer], &Load::of_mass(0.0, DVec3::Z), &[]).is_none());
        assert!(stand(&[&bearer], &Load::of_mass(f64::NAN, DVec3::Z), &[]).is_none());
    }
}

/// Prints the time of a check of a toy with 12 parts of 50 rounds; run with `--release -- --ignored --nocapture`.
#[test]
#[ignore = "a measurement"]
fn time_of_a_toy_with_twelve_parts() {
    let round = |radius: f64| Solid {
        rings: (0..=50)
            .map(|i| {
                let angle = PI * f64::from(i) / 50.0;
                let radius_mm = if i % 50 == 0 { 0.0 } else { radius * angle.sin() };
                Ring { z_mm: radius * (1.0 - angle.cos()), radius_mm, core_half_mm: 0.0 }
            })
            .collect(),
    };
    let (body, small) = (round(35.0), round(12.0));
    let at = |x: f64, y: f64, z: f64| DAffine3::from_translation(DVec3::new(x, y, z));
    for feet in [true, false] {
        let z = if feet { 10.0 } else { 0.0 };
        let mut placed = vec![Placed { solid: &body, toy_from_part: at(0.0, 0.0, z) }];
        for (x, y) in [(20.0, 20.0), (-20.0, 20.0), (20.0, -20.0), (-20.0, -20.0)] {
            let toy_from_part = at(x, y, if feet { 0.0 } else { 60.0 });
            placed.push(Placed { solid: &small, toy_from_part });
        }
        for i in 0..7 {
            let toy_from_part = at(6.0 * f64::from(i), 2.0, 80.0 + 5.0 * f64::from(i));
            placed.push(Placed { solid: &small, toy_from_part });
        }
        let flat = Flat::at_start(Ring { z_mm: 3.0, radius_mm: 14.0, core_half_mm: 0.0 });
        let centre = DVec3::new(1.0, 2.0, 45.0);
        let load = Load::of_mass(60.0, centre);
        let mut fastest = [f64::INFINITY; 3];
        let mut got = None;
        for _ in 0..200 {
            let start = Instant::now();
            let bearers: Vec<PartBearer> = (placed.iter().enumerate())
                .map(
                    |(i, p)| if feet || i > 0 { PartBearer::soft(p, 1.0) } else { PartBearer::with_flat(p, 1.0, flat) },
                )
                .collect();
            fastest[0] = start.elapsed().as_secs_f64().min(fastest[0]);
            let list: Vec<&dyn Bearer> = bearers.iter().map(|b| b as &dyn Bearer).collect();
            got = stand(&list, &load, &[]);
            fastest[1] = start.elapsed().as_secs_f64().min(fastest[1]);
        }
        let mut poses = Vec::new();
        for _ in 0..10 {
            let start = Instant::now();
            poses = rest_poses(&placed, centre, SEGMENTS);
            fastest[2] = start.elapsed().as_secs_f64().min(fastest[2]);
        }
        let got = got.expect("it bears");
        println!(
            "feet {feet}: bearers {:.3} ms, with standing {:.3} ms, rest poses {:.1} ms ({}); settles {:.2}°, {:?}",
            1e3 * fastest[0],
            1e3 * fastest[1],
            1e3 * fastest[2],
            poses.len(),
            got.settle_deg,
            got.weakest
        );
    }
}

/// A part bears with what is in the end it stands on: a ball stuffed to its middle carries itself on that half, and not at
/// all on the empty one (0 kPa times any area); left empty for no more than it sinks in anyway, it does.
#[test]
fn an_empty_end_does_not_bear() {
    let too_soft = |down: End, up_to_round: Option<u32>| {
        let mut body = seams::piece("Body", &seams::ball(6), Finish::Gathered, seams::on_floor());
        body.part.stuffing.up_to_round = up_to_round;
        body.placement.seat = Seat::Floor { down, x_mm: 0.0, y_mm: 0.0 };
        let report = derive(&seams::toy(vec![body])).report;
        report.findings.iter().any(|f| f.kind == FindingKind::TooSoft)
    };
    assert!(!too_soft(End::Finish, None) && !too_soft(End::Start, Some(9)));
    assert!(too_soft(End::Finish, Some(9)));
    assert!(!too_soft(End::Finish, Some(15)));
}
