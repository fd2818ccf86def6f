//! An invented toy made by hand: its outlines are superellipses and cones, not solved shapes.

use std::f64::consts::{PI, TAU};

use glam::{DAffine3, DMat3, DVec2, DVec3};
use toppleknot::view::scene::{
    Bead, FlatSheet, Ink, Node, Plumb, Polygon, RoundLook, SceneInput, Stretch, SurfaceInput,
};

/// Stitch width and round height of the invented fabric in mm.
pub const STITCH_MM: f64 = 5.4;
pub const ROUND_MM: f64 = 5.0;
/// Stitches by which each round's start drifts.
const DRIFT: f64 = 0.25;

pub const FAWN: [u8; 3] = [214, 160, 106];
pub const CREAM: [u8; 3] = [244, 232, 208];
pub const TEAL: [u8; 3] = [62, 128, 132];
pub const ROSE: [u8; 3] = [216, 124, 126];

/// Part numbers of the demo toy.
pub const BODY: u32 = 1;
pub const HEAD: u32 = 2;
pub const EAR_LEFT: u32 = 9;

/// The outline `curve(t)` (radius and height, t from 0 to 1) cut into rounds of equal length.
pub fn outline(curve: impl Fn(f64) -> DVec2) -> Vec<Node> {
    let fine: Vec<DVec2> = (0..=2000).map(|i| curve(f64::from(i) / 2000.0)).collect();
    let mut run = vec![0.0];
    for pair in fine.windows(2) {
        run.push(run[run.len() - 1] + (pair[1] - pair[0]).length());
    }
    let total = run[run.len() - 1];
    let rounds = (total / ROUND_MM).round().max(2.0) as usize;
    (0..=rounds)
        .map(|i| {
            let at = total * i as f64 / rounds as f64;
            let k = run.partition_point(|r| *r < at).min(fine.len() - 1);
            let p = fine[k];
            Node { z_mm: p.y, radius_mm: if p.x < 1e-9 { 0.0 } else { p.x }, core_half_mm: 0.0 }
        })
        .collect()
}

/// A closed superellipse of revolution.
pub fn superellipse(half_width: f64, half_height: f64, power: f64) -> impl Fn(f64) -> DVec2 {
    move |t| {
        let angle = PI * t;
        let bent = |x: f64| x.signum() * x.abs().powf(2.0 / power);
        let across = half_width * bent(angle.sin().max(0.0));
        DVec2::new(if t == 0.0 || t == 1.0 { 0.0 } else { across }, half_height * (1.0 - bent(angle.cos())))
    }
}

/// Rounds for an outline: counts from the radii, increases and decreases spread evenly.
pub fn rounds(nodes: &[Node], colour: impl Fn(usize, usize) -> [u8; 3]) -> (Vec<RoundLook>, Vec<f32>) {
    let total = nodes.len() - 1;
    let mut start = 0.0_f64;
    let mut before = 6;
    let mut looks = Vec::new();
    let mut starts = Vec::new();
    for i in 0..total {
        let around = TAU * nodes[i + 1].radius_mm.max(nodes[i].radius_mm * 0.5) + 4.0 * nodes[i + 1].core_half_mm;
        let count = ((around / STITCH_MM).round() as u32).max(6);
        let mut look = RoundLook::plain(count, colour(i, total));
        let changes = count.abs_diff(before);
        let spread: Vec<f32> = (0..changes)
            .map(|k| {
                let stitch = (f64::from(k) + 0.5 * f64::from(i as u32 % 2)) * f64::from(count) / f64::from(changes);
                ((stitch.floor() + 0.5) / f64::from(count)) as f32
            })
            .collect();
        if i > 0 && count > before {
            look.increase_at = spread;
        } else if i > 0 {
            look.decrease_at = spread;
        }
        looks.push(look);
        starts.push(start as f32);
        start += DRIFT * TAU / f64::from(count);
        before = count;
    }
    (looks, starts)
}

fn part(part_id: u32, nodes: Vec<Node>, colour: impl Fn(usize, usize) -> [u8; 3], at: DAffine3) -> SurfaceInput {
    let (rounds, drift_start) = rounds(&nodes, colour);
    SurfaceInput { part_id, nodes, rounds, drift_start, toy_from_part: at, flat: None }
}

/// A motion that puts a part's start at `foot` with its axis along `axis`.
pub fn along(foot: DVec3, axis: DVec3) -> DAffine3 {
    let z = axis.normalize();
    let x = (DVec3::Y.cross(z)).try_normalize().unwrap_or(DVec3::X);
    DAffine3::from_mat3_translation(DMat3::from_cols(x, z.cross(x), z), foot)
}

fn mirrored(m: DAffine3) -> DAffine3 {
    DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0)) * m
}

/// A limb: a cone with a round tip, open where it is sewn on. Its start is the tip.
fn limb(length: f64, tip: f64, root: f64) -> Vec<Node> {
    outline(move |t| {
        let arc = tip * PI / 2.0;
        let s = t * (arc + length - tip);
        if s < arc {
            let a = s / tip;
            DVec2::new(tip * a.sin(), tip * (1.0 - a.cos()))
        } else {
            let u = (s - arc) / (length - tip);
            DVec2::new(tip + (root - tip) * u, tip + (length - tip) * u)
        }
    })
}

/// The demo toy: body, head, muzzle, arms, legs, flat ears, bead eyes and nose, with plumb line and support.
pub fn toy() -> SceneInput {
    let mut surfaces = Vec::new();
    let jumper = |i: usize, n: usize| {
        if i < n / 5 {
            FAWN
        } else if i % 6 < 2 && i < n * 4 / 5 {
            CREAM
        } else {
            TEAL
        }
    };
    let mut body = part(BODY, outline(superellipse(44.0, 43.0, 2.25)), jumper, DAffine3::IDENTITY);
    body.rounds[6].back_loop = true;
    surfaces.push(body);
    let neck = DVec3::new(0.0, 2.0, 78.0);
    surfaces.push(part(HEAD, outline(superellipse(36.0, 32.0, 2.1)), |_, _| FAWN, DAffine3::from_translation(neck)));
    let muzzle = outline(|t| DVec2::new(15.0 * (t * PI / 2.0).sin().powf(0.8), 10.0 * (1.0 - (t * PI / 2.0).cos())));
    let nose = DVec3::new(0.0, 41.0, 103.0);
    surfaces.push(part(3, muzzle, |_, _| CREAM, along(nose, DVec3::new(0.0, -1.0, 0.05))));
    let arm = along(DVec3::new(60.0, 18.0, 34.0), DVec3::new(-0.85, -0.35, 0.62));
    let leg = along(DVec3::new(30.0, 62.0, 13.0), DVec3::new(-0.25, -1.0, 0.05));
    let cuff = |i: usize, n: usize| if i + 9 > n { TEAL } else { FAWN };
    let sole = |i: usize, _: usize| if i < 3 { CREAM } else { FAWN };
    for (id, at) in [(4, arm), (5, mirrored(arm))] {
        surfaces.push(part(id, limb(52.0, 11.0, 9.0), cuff, at));
    }
    for (id, at) in [(6, leg), (7, mirrored(leg))] {
        surfaces.push(part(id, limb(46.0, 14.0, 13.0), sole, at));
    }
    let ear = along(DVec3::new(20.0, 0.0, 134.0), DVec3::new(0.34, -0.06, 1.0));
    for (id, at) in [(8, mirrored(ear)), (EAR_LEFT, ear)] {
        surfaces.push(flat_ear(id, at));
    }
    let eye = |x: f64| Bead { centre: DVec3::new(x, 34.2, 117.0), radius_mm: 4.2, colour: [26, 20, 18], gloss: 1.0 };
    let tip = Bead { centre: DVec3::new(0.0, 42.2, 107.0), radius_mm: 3.6, colour: [74, 40, 34], gloss: 0.7 };
    let feet: Vec<DVec3> = [
        (34.0, 50.0),
        (34.0, 60.0),
        (26.0, 64.0),
        (-26.0, 64.0),
        (-34.0, 60.0),
        (-34.0, 50.0),
        (-22.0, -18.0),
        (0.0, -25.0),
        (22.0, -18.0),
    ]
    .map(|(x, y)| DVec3::new(x, y, 0.1))
    .to_vec();
    SceneInput {
        surfaces,
        beads: vec![eye(13.5), eye(-13.5), tip],
        lines: Vec::new(),
        polygons: vec![Polygon {
            points: feet,
            fill: Ink::SUPPORT_FILL,
            outline: Ink::SUPPORT_LINE,
            outline_px: 1.6,
            through: 0.45,
        }],
        plumb: Some(Plumb { centre_of_mass: DVec3::new(0.0, 8.0, 62.0), floor_z_mm: 0.0 }),
    }
}

fn flat_ear(part_id: u32, at: DAffine3) -> SurfaceInput {
    let length = 46.0;
    let count = (length / ROUND_MM).round() as usize;
    let mut nodes = Vec::new();
    let mut half_width_mm = Vec::new();
    for i in 0..=count {
        let t = i as f64 / count as f64;
        nodes.push(Node { z_mm: length * t, radius_mm: 0.0, core_half_mm: 0.0 });
        half_width_mm.push(if i == count {
            0.0
        } else {
            5.0 + 8.5 * (PI * (0.12 + 0.80 * t)).sin().max(0.0).powf(0.9)
        });
    }
    let shown: Vec<Node> = half_width_mm.iter().map(|w| Node { z_mm: 0.0, radius_mm: 0.0, core_half_mm: *w }).collect();
    let (mut rounds, _) = rounds(&shown, |_, _| FAWN);
    for look in &mut rounds {
        look.increase_at.clear();
        look.decrease_at.clear();
        look.stretches = vec![Stretch { from: 0.08, to: 0.42, colour: ROSE }];
    }
    let flat = Some(FlatSheet { half_width_mm, thickness_mm: 5.0 });
    SurfaceInput { part_id, nodes, rounds, drift_start: Vec::new(), toy_from_part: at, flat }
}
