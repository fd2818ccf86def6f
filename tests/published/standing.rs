//! Standing and rest poses against textbook cases, hand derivations and a general mesh library.

use glam::{DAffine3, DVec3};
use toppleknot::measure::rest_poses::{SEGMENTS, rest_poses, rest_poses_of_points};
use toppleknot::measure::standing::{
    Bearer, Flat, Load, PartBearer, StandVerdict, Standing, contact, settled_down, stand, tip_in_direction,
};
use toppleknot::solid::{Cut, Placed, Ring, Section, Solid};

fn close(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} is not {want} within {within}");
}

/// A long block of width b (x) and height h (z) on the floor, tipped about its y edges: hard, or soft inside.
struct Block {
    half_x: f64,
    half_y: f64,
    height: f64,
    /// kPa; 0 for a hard block.
    pressure: f64,
}

impl Block {
    fn corners(&self) -> impl Iterator<Item = DVec3> {
        let (x, y, h) = (self.half_x, self.half_y, self.height);
        (0..8).map(move |i| {
            DVec3::new(
                if i & 1 == 0 { x } else { -x },
                if i & 2 == 0 { y } else { -y },
                if i & 4 == 0 { 0.0 } else { h },
            )
        })
    }
}

/// Clips a polygon of the x–z plane to {p·n ≥ level}.
fn clip(polygon: &[(f64, f64)], n: (f64, f64), level: f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    for (i, &a) in polygon.iter().enumerate() {
        let b = polygon[(i + 1) % polygon.len()];
        let (fa, fb) = (a.0 * n.0 + a.1 * n.1 - level, b.0 * n.0 + b.1 * n.1 - level);
        if fa >= 0.0 {
            kept.push(a);
        }
        if (fa > 0.0 && fb < 0.0) || (fa < 0.0 && fb > 0.0) {
            let t = fa / (fa - fb);
            kept.push((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1)));
        }
    }
    kept
}

impl Bearer for Block {
    fn support_mm(&self, down: DVec3) -> f64 {
        self.corners().map(|c| c.dot(down)).fold(f64::NEG_INFINITY, f64::max)
    }

    fn lowest_point(&self, down: DVec3) -> DVec3 {
        let reach = self.support_mm(down);
        let lowest: Vec<DVec3> = self.corners().filter(|c| c.dot(down) > reach - 1e-9).collect();
        lowest.iter().sum::<DVec3>() / lowest.len() as f64
    }

    fn pressure_kpa(&self) -> f64 {
        self.pressure
    }

    fn section(&self, down: DVec3, level_mm: f64) -> Section {
        self.cut(down, level_mm).section
    }

    /// Exact for directions in the x–z plane, which is all that these tests tip it in.
    fn cut(&self, down: DVec3, level_mm: f64) -> Cut {
        if self.pressure <= 0.0 {
            return Cut::default();
        }
        let (x, h) = (self.half_x, self.height);
        let beyond = clip(&[(-x, 0.0), (x, 0.0), (x, h), (-x, h)], (down.x, down.z), level_mm);
        if beyond.len() < 2 {
            return Cut::default();
        }
        let on_plane: Vec<_> =
            beyond.iter().filter(|p| (p.0 * down.x + p.1 * down.z - level_mm).abs() < 1e-9).collect();
        let (Some(a), Some(b)) = (on_plane.first(), on_plane.last()) else { return Cut::default() };
        let length = (a.0 - b.0).hypot(a.1 - b.1);
        let mut doubled = 0.0;
        for (i, p) in beyond.iter().enumerate() {
            let q = beyond[(i + 1) % beyond.len()];
            doubled += p.0 * q.1 - p.1 * q.0;
        }
        Cut {
            section: Section {
                area_mm2: 2.0 * self.half_y * length,
                centroid: DVec3::new(0.5 * (a.0 + b.0), 0.0, 0.5 * (a.1 + b.1)),
            },
            volume_mm3: self.half_y * doubled.abs(),
        }
    }

    fn hard_support(&self, down: DVec3) -> Option<(f64, DVec3)> {
        (self.pressure <= 0.0).then(|| (self.support_mm(down), self.lowest_point(down)))
    }

    fn outline(&self, down: DVec3, level_mm: f64, slack_mm: f64, points: &mut Vec<DVec3>) {
        points.extend(self.corners().filter(|c| c.dot(down) >= level_mm - slack_mm));
    }
}

fn standing(bearer: &dyn Bearer, load: &Load) -> Standing {
    stand(&[bearer], load, &[]).expect("it bears a weight")
}

/// Statics of a block on a slope, any mechanics textbook: it tips when its centre of mass passes over the edge,
/// at atan(b/2h_c). Exact to the search's thousandth of a degree.
#[test]
fn hard_block_tips_at_the_textbook_angle() {
    // The last two tip at 6.8° and 3.4°, where the climb is far below a millimetre.
    for (width, centre) in [(40.0, 30.0), (60.0, 90.0), (30.0, 10.0), (12.0, 50.0), (6.0, 50.0)] {
        let block = Block { half_x: 0.5 * width, half_y: 200.0, height: 2.0 * centre, pressure: 0.0 };
        let load = Load::of_mass(100.0, DVec3::new(0.0, 0.0, centre));
        let got = standing(&block, &load);
        close(got.settle_deg, 0.0, 0.0);
        close(got.weakest.tip_deg, (0.5 * width / centre).atan().to_degrees(), 0.01);
        let along_x = [90.0, 270.0];
        assert!(along_x.iter().any(|a| (got.weakest.toward_deg - a).abs() < 1.0), "{:?}", got.weakest);
    }
}

/// A worked example of introductory mechanics: centre of mass 1 ft up on a base 3 ft wide tips at
/// atan(1.5/1) = 56.31°.
#[test]
fn centre_of_mass_one_foot_up_on_a_three_foot_base() {
    let foot = 304.8;
    let block = Block { half_x: 1.5 * foot, half_y: 10.0 * foot, height: 2.0 * foot, pressure: 0.0 };
    let load = Load::of_mass(5000.0, DVec3::new(0.0, 0.0, foot));
    let tip = tip_in_direction(&[&block], &load, &[], DVec3::Z, 90.0).expect("it bears");
    close(tip, 56.31, 0.01);
}

/// A soft square block sinks in as a wedge under its edge. With f = W/(p·b²) the strip that bears is f·b wide, so
/// its middle lies (b/2)(1 − f) out for a strip along the floor; the balance of moments, with the wedge's two
/// slopes, is (b/2)·cos θ − h_c·sin θ = (f·b/2)·cos 2θ, derived by hand. Its roots are the table's four angles,
/// to the printed tenth of a degree.
#[test]
fn soft_block_tips_as_derived_by_hand() {
    let b = 60.0;
    let block = Block { half_x: 0.5 * b, half_y: 0.5 * b, height: 2.0 * b, pressure: 1.0 };
    for (f, want) in [(0.1, 24.9), (0.25, 21.9), (0.5, 15.5), (0.8, 6.1)] {
        let load = Load { weight_mn: f * b * b, centre_of_mass: DVec3::new(0.0, 0.0, b), pressure_scale: 1.0 };
        let tip = tip_in_direction(&[&block], &load, &[], DVec3::Z, 90.0).expect("it bears");
        close(tip, want, 0.05);
        // The equation itself, more sharply.
        let theta = tip.to_radians();
        close(0.5 * b * theta.cos() - b * theta.sin(), 0.5 * f * b * (2.0 * theta).cos(), 0.02);
    }
}

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

/// Elementary statics: a ball rolls about its centre, so it stands only if its centre of mass lies below that,
/// however soft it is and however large its flat.
#[test]
fn a_ball_stands_only_with_its_mass_below_its_centre() {
    let radius = 35.0;
    // Few rounds or many: the surface is round between them.
    for rounds in [14, 50, 120] {
        let solid = ball(radius, rounds);
        let placed = Placed { solid: &solid, toy_from_part: DAffine3::IDENTITY };
        for pressure in [0.2, 0.32, 1.01, 2.06, 6.0] {
            let what = format!("{rounds} rounds, p {pressure}");
            let bearer = PartBearer::soft(&placed, pressure);
            for e in [0.5, 3.0, 10.0] {
                let high = Load::of_mass(60.0, DVec3::new(0.0, 0.0, radius + e));
                let got = standing(&bearer, &high);
                assert_eq!(got.weakest.tip_deg, 0.0, "{what}, e {e}");
                assert_eq!(got.verdict, StandVerdict::Rocks);
            }
            let low = Load::of_mass(60.0, DVec3::new(0.0, 0.0, radius - 5.0));
            let got = standing(&bearer, &low);
            // It comes back from any turn: the first maximum of its energy is upside down.
            assert!(got.weakest.tip_deg > 175.0, "{what}: {:?}", got.weakest);
            assert_eq!(got.settle_deg, 0.0, "{what}");
        }
    }
}

/// The verdict's words follow the smallest tip angle: 10° and more, 4° and more, less, none (the project's own
/// scale).
#[test]
fn verdicts_follow_the_tip_angle() {
    for (half, want) in [(10.0, "stands"), (6.0, "tips_easily"), (3.0, "topples"), (0.0, "rocks")] {
        let block = Block { half_x: half, half_y: 60.0, height: 100.0, pressure: 0.0 };
        let got = standing(&block, &Load::of_mass(100.0, DVec3::new(0.0, 0.0, 50.0)));
        assert_eq!(got.verdict.word(), want, "{:?}", got.weakest);
    }
}

/// The same ball laid out turned: it settles with its centre of mass below its centre, or not within 20°.
#[test]
fn a_low_ball_settles_upright() {
    let radius = 35.0;
    let solid = ball(radius, 180);
    let placed = Placed { solid: &solid, toy_from_part: DAffine3::IDENTITY };
    let bearer = PartBearer::soft(&placed, 1.0);
    for (turn, settles) in [(2.0_f64, true), (12.0, true), (30.0, false)] {
        let (sin, cos) = turn.to_radians().sin_cos();
        let load = Load::of_mass(60.0, DVec3::new(5.0 * sin, 0.0, radius - 5.0 * cos));
        let got = standing(&bearer, &load);
        assert_eq!(got.settled_up.is_some(), settles, "turn {turn}: {got:?}");
        if settles {
            close(got.settle_deg, turn, 0.1);
        }
    }
}

/// A cone frustum on a hard disc: rigid statics, tip at atan(disc radius / height of the centre of mass).
#[test]
fn hard_disc_under_a_narrow_part() {
    let solid = Solid {
        rings: vec![
            Ring { z_mm: 0.0, radius_mm: 25.0, core_half_mm: 0.0 },
            Ring { z_mm: 80.0, radius_mm: 10.0, core_half_mm: 0.0 },
        ],
    };
    let placed = Placed { solid: &solid, toy_from_part: DAffine3::IDENTITY };
    let flat = Flat::at_start(Ring { z_mm: 0.0, radius_mm: 25.0, core_half_mm: 0.0 });
    for pressure in [0.1, 1.0, 10.0] {
        let bearer = PartBearer::with_flat(&placed, pressure, flat);
        let got = standing(&bearer, &Load::of_mass(80.0, DVec3::new(0.0, 0.0, 30.0)));
        for tip in &got.tips {
            close(tip.tip_deg, (25.0_f64 / 30.0).atan().to_degrees(), 0.01);
        }
        close(got.sink_mm, 0.0, 1e-9);
    }
}

/// The push of the floor equals the weight wherever nothing but soft parts carry it (equilibrium).
#[test]
fn soft_ball_sinks_until_its_flat_carries_the_weight() {
    let radius = 35.0;
    let solid = ball(radius, 400);
    let bearer = PartBearer::soft(&Placed { solid: &solid, toy_from_part: DAffine3::IDENTITY }, 1.0);
    let load = Load::of_mass(60.0, DVec3::new(0.0, 0.0, 30.0));
    assert_eq!(settled_down(&[&bearer], &load, DVec3::NEG_Z), Some(DVec3::NEG_Z));
    let got = contact(&[&bearer], &load, DVec3::NEG_Z, None).expect("it bears");
    // A plane at depth d cuts a sphere in a disc of area π·d·(2R − d) (any table of solids).
    let area = load.weight_mn / 1.0;
    let depth = radius - (radius * radius - area / std::f64::consts::PI).sqrt();
    close(got.sink_mm, depth, 2e-3);
    // Cap volume π·d²·(3R − d)/3.
    let cap = std::f64::consts::PI * depth * depth * (3.0 * radius - depth) / 3.0;
    close(got.energy_mm, 30.0 - depth + cap / load.weight_mn, 2e-3);
}

/// A box (given by its edges) sheared by x += `shear`·z, centred on its centre of mass.
fn sheared_box(edges: DVec3, shear: f64) -> Vec<DVec3> {
    let half = 0.5 * edges;
    (0..8)
        .map(|i| {
            let sign = |bit: i32| if i & bit == 0 { 1.0 } else { -1.0 };
            let p = DVec3::new(sign(1) * half.x, sign(2) * half.y, sign(4) * half.z);
            p + DVec3::X * shear * p.z
        })
        .collect()
}

/// Solid angles of a box's faces from its centre, by the closed form 4·asin(ab/√((a²+d²)(b²+d²))) in any table of
/// solid angles; trimesh 5.2.0 `compute_stable_poses` prints the same 0.031884 and 0.234058. To the printed digit.
#[test]
fn rest_poses_of_a_long_box() {
    let poses = rest_poses_of_points(&sheared_box(DVec3::new(100.0, 100.0, 300.0), 0.0), DVec3::ZERO);
    let shares: Vec<f64> = poses.iter().map(|p| p.share).collect();
    assert_eq!(shares.len(), 6, "{shares:?}");
    for share in &shares[..4] {
        close(*share, 0.234058, 5e-7);
    }
    for share in &shares[4..] {
        close(*share, 0.031884, 5e-7);
    }
    for pose in &poses {
        assert!(!pose.rolls);
        close(pose.height_mm, if pose.share > 0.1 { 50.0 } else { 150.0 }, 1e-5);
        close(pose.up.length(), 1.0, 1e-12);
    }
}

/// trimesh 5.2.0 `compute_stable_poses` of the box 1×1×3 sheared by x += 0.6 z: 0.284926 twice and 0.215074 twice,
/// the two small ends unstable. To the printed digit.
#[test]
fn rest_poses_of_a_sheared_box_pass_on_its_unstable_faces() {
    let poses = rest_poses_of_points(&sheared_box(DVec3::new(100.0, 100.0, 300.0), 0.6), DVec3::ZERO);
    let shares: Vec<f64> = poses.iter().map(|p| p.share).collect();
    assert_eq!(shares.len(), 4, "{shares:?}");
    for (share, want) in shares.iter().zip([0.284926, 0.284926, 0.215074, 0.215074]) {
        close(*share, want, 5e-7);
    }
}

/// A cylinder rests on an end as often as the end's solid angle says, (1 − d/√(d² + r²))/2 for a disc (any table of
/// solid angles): 0.025658 for r 10 and d 30. With 48 chords for the circle it is 0.025591; the side has the rest
/// and rolls.
#[test]
fn rest_poses_of_a_cylinder() {
    let end = |z: f64| Ring { z_mm: z, radius_mm: 10.0, core_half_mm: 0.0 };
    let solid = Solid { rings: vec![end(0.0), end(60.0)] };
    let placed = [Placed { solid: &solid, toy_from_part: DAffine3::IDENTITY }];
    let poses = rest_poses(&placed, DVec3::new(0.0, 0.0, 30.0), SEGMENTS);
    assert_eq!(poses.len(), 3, "{poses:?}");
    assert!(poses[0].rolls && !poses[1].rolls && !poses[2].rolls);
    close(poses[0].share, 0.9488, 5e-5);
    close(poses[1].share, 0.025591, 5e-7);
    close(poses[2].share, 0.025591, 5e-7);
    assert_eq!(poses[0].touching, vec![0]);
    let disc = 0.5 * (1.0 - 30.0 / 30.0_f64.hypot(10.0));
    close(disc, 0.025658, 5e-7);
    // Finer chords come nearer to the disc.
    let fine = rest_poses(&placed, DVec3::new(0.0, 0.0, 30.0), 384);
    close(fine[1].share, disc, 2e-6);
}

/// A ball with its weight below its middle has one pose, whatever the chords (elementary statics: its height over
/// the floor has one minimum); one with the weight at its middle rolls.
#[test]
fn a_low_ball_has_one_rest_pose() {
    for segments in [24, 48, 96] {
        let solid = ball(35.0, segments / 2);
        let placed = [Placed { solid: &solid, toy_from_part: DAffine3::IDENTITY }];
        let poses = rest_poses(&placed, DVec3::new(0.0, 0.0, 30.0), segments);
        assert_eq!(poses.len(), 1, "{segments}: {poses:?}");
        close(poses[0].share, 1.0, 1e-12);
        assert!(poses[0].up.z > 0.99, "{segments}: {:?}", poses[0]);
        assert!(!poses[0].rolls, "{segments}");
        let level = rest_poses(&placed, DVec3::new(0.0, 0.0, 35.0), segments);
        assert_eq!(level.len(), 1);
        assert!(level[0].rolls);
    }
}
