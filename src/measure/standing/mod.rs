//! Standing: whether a toy stands on a table, how far it can be tilted, and which way it goes over.
//!
//! A toy held with the direction u down has the energy U(u) = W·(H − δ) + Σ p·V_cut(δ): H the height of its centre
//! of mass over the lowest point, δ the depth to which the soft parts sink in under the weight W, p their
//! pressure, V_cut what the floor presses in. The floor stops where Σ p·A(δ) = W (A the area that it cuts), at a
//! hard flat, or at a share of the part's thickness. A standing pose is a minimum of U; the tip angle in a
//! direction is the turn to U's first maximum.

mod bearer;
mod contact;
mod rounded;
mod settle;
mod tip;

use glam::{DQuat, DVec2, DVec3};

use super::joint::STANDARD_GRAVITY;

pub use bearer::{Bearer, Flat, PartBearer};
pub use contact::{Contact, Load, SINK_SHARE, contact};
pub use settle::{SETTLE_LIMIT_DEG, settled_down};
pub use tip::{COUNTS_MM, COUNTS_SHARE, Climb, LEAST_MM, climb};

/// The directions in which tip angles are reported, evenly round.
pub const DIRECTIONS: usize = 24;

/// How a toy stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StandVerdict {
    /// 10° or more in every direction. (Toy safety standards test ride-on toys on a slope of 10°: a scale only.)
    Stands,
    /// 4° to 10°.
    TipsEasily,
    /// Below 4°.
    Topples,
    /// No standing pose, or one that holds nothing: see `COUNTS_MM` and `COUNTS_SHARE`.
    Rocks,
}

impl StandVerdict {
    /// The verdict on a smallest tip angle (degrees).
    pub fn of(tip_deg: f64) -> Self {
        match tip_deg {
            t if t >= 10.0 => Self::Stands,
            t if t >= 4.0 => Self::TipsEasily,
            t if t > 0.0 => Self::Topples,
            _ => Self::Rocks,
        }
    }

    /// What the toy does, in plain words.
    pub fn plain(self) -> &'static str {
        match self {
            Self::Stands => "stands well",
            Self::TipsEasily => "tips easily",
            Self::Topples => "topples",
            Self::Rocks => "rolls over by itself",
        }
    }

    /// The word for it in reports.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stands => "stands",
            Self::TipsEasily => "tips_easily",
            Self::Topples => "topples",
            Self::Rocks => "rocks",
        }
    }
}

/// A head (or whatever lies beyond a joint) that nods over once the toy is tilted so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nod {
    /// The joint it bends about (mm, the toy's frame).
    pub pivot: DVec3,
    /// Mass beyond the joint (g).
    pub mass_g: f64,
    /// Centre of mass of what lies beyond the joint (mm, the toy's frame).
    pub centre_of_mass: DVec3,
    /// The tilt at which it nods (degrees).
    pub nod_deg: f64,
}

/// The tip angle in one direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tip {
    /// Where the toy is tipped to (degrees): 0 the front (+y), 90 its left (+x).
    pub toward_deg: f64,
    /// How far it can be turned before it goes over (degrees); 0 if nothing holds it.
    pub tip_deg: f64,
}

/// A bearer that touches the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touching {
    /// Its index in the list of bearers.
    pub bearer: usize,
    /// Area that the floor cuts from its soft body (mm²); 0 for one that touches with a hard flat or edge alone.
    pub area_mm2: f64,
}

/// The toy on the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The direction of the toy's frame that points up once it has settled; `None` if it finds no rest near the
    /// pose it was laid out in.
    pub settled_up: Option<DVec3>,
    /// How far it turned to settle (degrees).
    pub settle_deg: f64,
    /// Tip angles in `DIRECTIONS` directions, from 0° on.
    pub tips: Vec<Tip>,
    /// The weakest direction and its tip angle.
    pub weakest: Tip,
    /// The verdict on the weakest.
    pub verdict: StandVerdict,
    /// How deep it sinks in, settled (mm).
    pub sink_mm: f64,
    /// The soft parts that touch cannot carry the weight.
    pub too_soft: bool,
    /// What touches the floor, settled.
    pub touching: Vec<Touching>,
    /// The turn from the toy's frame to the settled pose (z up; the front stays in front).
    pub settled_from_toy: DQuat,
    /// The support polygon on the floor (mm, x and y of the settled pose), turning left from x to y.
    pub polygon: Vec<DVec2>,
    /// The foot of the centre of mass on the floor, in the polygon's frame (mm).
    pub foot: DVec2,
}

/// A down direction turned by an angle (rad) toward a unit tangent, and the tangent there.
fn turned(down: DVec3, toward: DVec3, angle: f64) -> (DVec3, DVec3) {
    let (sin, cos) = angle.sin_cos();
    (down * cos + toward * sin, toward * cos - down * sin)
}

/// The horizontal unit direction for an azimuth (degrees; 0 front, 90 left) in a pose with `up` up.
fn toward(up: DVec3, toward_deg: f64) -> DVec3 {
    let (sin, cos) = toward_deg.to_radians().sin_cos();
    let flat = DVec3::new(sin, cos, 0.0);
    (flat - up * up.dot(flat)).try_normalize().unwrap_or(DVec3::Y)
}

/// The tip angle in one direction (degrees) from a settled pose with `settled_up` up: what `stand` gives for that
/// direction, alone, for spreads over changed masses and pressures. `None` where there is nothing to bear.
pub fn tip_in_direction(
    bearers: &[&dyn Bearer],
    load: &Load,
    nods: &[Nod],
    settled_up: DVec3,
    toward_deg: f64,
) -> Option<f64> {
    let side = toward(settled_up, toward_deg);
    let rigid = climb(bearers, load, -settled_up, side)?.tip_deg;
    let mut tip = rigid;
    for nod in nods {
        if rigid <= nod.nod_deg {
            continue;
        }
        // Once tilted so far, what lies beyond the joint hangs over: its centre of mass is level with the pivot.
        let hung = nod.pivot + side * nod.centre_of_mass.distance(nod.pivot);
        let share = nod.mass_g * STANDARD_GRAVITY / load.weight_mn;
        let bent = Load { centre_of_mass: load.centre_of_mass + share * (hung - nod.centre_of_mass), ..*load };
        tip = tip.min(nod.nod_deg.max(climb(bearers, &bent, -settled_up, side)?.tip_deg));
    }
    Some(tip)
}

/// Puts a toy on the floor: lets it settle, then tips it in every direction. Bearers are the parts that can bear
/// (leave out what dangles, but keep its mass in the load). `None` without bearers or weight.
pub fn stand(bearers: &[&dyn Bearer], load: &Load, nods: &[Nod]) -> Option<Standing> {
    let settled = settled_down(bearers, load, DVec3::NEG_Z);
    let down = settled.unwrap_or(DVec3::NEG_Z);
    let here = contact(bearers, load, down, None)?;
    let step = 360.0 / DIRECTIONS as f64;
    let mut tips: Vec<Tip> = (0..DIRECTIONS).map(|i| Tip { toward_deg: step * i as f64, tip_deg: 0.0 }).collect();
    let mut weakest = tips[0];
    if settled.is_some() {
        let tip = |toward_deg: f64| -> Option<Tip> {
            let tip_deg = tip_in_direction(bearers, load, nods, -down, toward_deg)?;
            Some(Tip { toward_deg: toward_deg.rem_euclid(360.0), tip_deg })
        };
        for slot in &mut tips {
            *slot = tip(slot.toward_deg)?;
        }
        weakest = tips.iter().copied().min_by(|a, b| a.tip_deg.total_cmp(&b.tip_deg))?;
        let mut reach = 0.5 * step;
        while weakest.tip_deg > 0.0 && reach > 1.5 {
            for side in [-reach, reach] {
                let near = tip(weakest.toward_deg + side)?;
                if near.tip_deg < weakest.tip_deg {
                    weakest = near;
                }
            }
            reach *= 0.5;
        }
    }
    let settled_from_toy = DQuat::from_rotation_arc(-down, DVec3::Z);
    let on_floor = |point: DVec3| (settled_from_toy * point).truncate();
    let mut touching = Vec::new();
    let mut outline = Vec::new();
    for (index, bearer) in bearers.iter().enumerate() {
        if bearer.support_bound_mm(down) < here.level_mm - SLACK_MM
            || bearer.support_mm(down) < here.level_mm - SLACK_MM
        {
            continue;
        }
        let area_mm2 = bearer.section(down, here.level_mm).area_mm2;
        let hard = bearer.hard_support(down).is_some_and(|(level, _)| level >= here.level_mm - SLACK_MM);
        if area_mm2 > 0.0 || hard {
            touching.push(Touching { bearer: index, area_mm2 });
            bearer.outline(down, here.level_mm, SLACK_MM, &mut outline);
        }
    }
    Some(Standing {
        settled_up: settled.map(|d| -d),
        settle_deg: down.angle_between(DVec3::NEG_Z).to_degrees(),
        tips,
        weakest,
        verdict: StandVerdict::of(weakest.tip_deg),
        sink_mm: here.sink_mm,
        too_soft: here.too_soft,
        touching,
        settled_from_toy,
        polygon: convex_outline(outline.into_iter().map(on_floor).collect()),
        foot: on_floor(load.centre_of_mass),
    })
}

/// How near the floor a hard flat counts as touching it (mm): settling is only so exact.
const SLACK_MM: f64 = 0.2;

/// The convex hull of points in the plane, turning left (Andrew's monotone chain).
fn convex_outline(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.retain(|p| p.is_finite());
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup_by(|a, b| a.distance_squared(*b) < 1e-12);
    if points.len() < 3 {
        return points;
    }
    let mut hull: Vec<DVec2> = Vec::with_capacity(points.len());
    let mut chain = |points: &mut dyn Iterator<Item = DVec2>| {
        let start = hull.len();
        for point in points {
            while hull.len() >= start + 2 {
                let (a, b) = (hull[hull.len() - 2], hull[hull.len() - 1]);
                if (b - a).perp_dot(point - b) > 0.0 {
                    break;
                }
                hull.pop();
            }
            hull.push(point);
        }
        hull.pop();
    };
    chain(&mut points.iter().copied());
    chain(&mut points.iter().rev().copied());
    hull
}
