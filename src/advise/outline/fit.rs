//! Rounds for a wanted outline.

use std::f64::consts::{PI, TAU};

use glam::DVec2;

use super::curve::Curve;
use super::gap::{OutlineError, Ruler, outline_error};
use super::half::HalfOutline;
use super::integers::integers;
use super::inverse::{Cloth, Real, Tip, real_counts};
use super::plan::Plan;
use super::remarks::{Remark, Seen, remarks};
use super::rules::Rules;
use super::search::{Found, Search};
use super::trial::{Trial, stuffed_outline};
use crate::part::{Part, filling_pressure_kpa};
use crate::stuffing::{HIGHEST_LOAD, LOWEST_LOAD};
use crate::toy::shape::{COMPRESSION_SHARE, PartShape, ShapeInput, part_shape};

/// Most rounds that are made from an outline: three times the tallest toy.
pub const MOST_ROUNDS: usize = 400;
/// A flat end smaller than this many rounds is a rounded one.
const LEAST_DISC: f64 = 1.5;
/// Points of the wanted outline that are measured while searching, for each round.
const POINTS_A_ROUND: usize = 2;

/// Rounds for a wanted outline, and how near their stuffed shape comes to it.
#[derive(Clone, Debug)]
pub struct Fit {
    /// The part: start, rounds with increases spread evenly and staggered, finish, base.
    pub part: Part,
    /// Its shape, open rims held as if sewn on unless the input says otherwise.
    pub shape: PartShape,
    /// The outline that was wanted.
    pub wanted: HalfOutline,
    /// The stuffed outline, laid on the wanted one: (half width, height) of the outside at each node, mm.
    pub outline: Vec<DVec2>,
    /// How far the two are apart.
    pub error: OutlineError,
    /// The two are nowhere more than half a stitch width apart.
    pub within: bool,
    /// What the rules of the craft or of stuffing do not allow, and where; plain sentences.
    pub remarks: Vec<Remark>,
}

impl Fit {
    /// Counts round by round.
    pub fn counts(&self) -> Vec<u32> {
        self.part.counts()
    }
}

/// Why there are no rounds for an outline.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// No stuffing.
    #[error("an outline is met by a stuffed part only; this one gets no stuffing. Say how firmly it is stuffed")]
    NotStuffed,
    /// Too many rounds.
    #[error(
        "the outline is {length_mm:.0} mm long, {rounds:.0} rounds of {h_mm:.1} mm; at most {MOST_ROUNDS} are made. Check its scale, or take a thicker yarn"
    )]
    TooLong {
        /// Length of the outline, mm.
        length_mm: f64,
        /// Rounds that would be.
        rounds: f64,
        /// Height of a round, mm.
        h_mm: f64,
    },
    /// Too wide.
    #[error(
        "the outline is {widest_mm:.0} mm wide, {stitches:.0} stitches around; at most {most} are made. Check its scale, or take a thicker yarn"
    )]
    TooWide {
        /// Width, mm.
        widest_mm: f64,
        /// Stitches around.
        stitches: f64,
        /// Most that are made.
        most: u32,
    },
    /// Smaller than what can be worked.
    #[error(
        "the outline is {widest_mm:.1} mm wide and {height_mm:.1} mm high, too small for rounds of {fewest} stitches of {w_mm:.1} mm. Check its scale, or take a thinner yarn"
    )]
    TooSmall {
        /// Width, mm.
        widest_mm: f64,
        /// Height, mm.
        height_mm: f64,
        /// Fewest stitches of a round.
        fewest: u32,
        /// Width of a stitch, mm.
        w_mm: f64,
    },
    /// The rules contradict each other, or no list has a shape.
    #[error(
        "no rounds that the rules allow have a stuffed shape like this outline. Loosen the rules, or change the outline"
    )]
    NoCounts,
}

/// The rounds whose stuffed outside comes nearest to the wanted outline, worked from its start.
///
/// Real counts in closed form (the stuffed shape is statically determinate), whole ones by dynamic programming under
/// the rules, then down by single stitches and by a round more or less through the full stuffed shape. The error
/// of the outline comes first; friendlier counts are taken where the outline stays the same for the eye. `input`
/// says fabric, stuffing, and whether open rims are held (`covered`).
///
/// # Errors
/// When the part gets no stuffing, or the outline is out of all proportion to the yarn.
pub fn rounds_of_outline(wanted: &HalfOutline, input: &ShapeInput, rules: &Rules) -> Result<Fit, FitError> {
    let (w, h) = (input.fabric.w_mm.value(), input.fabric.h_mm.value());
    let thickness = input.fabric.thickness_mm();
    let outer = wanted.curve();
    let rounds = outer.length() / h;
    if rounds > MOST_ROUNDS as f64 {
        return Err(FitError::TooLong { length_mm: outer.length(), rounds, h_mm: h });
    }
    let widest_mm = wanted.widest_mm();
    let stitches = PI * widest_mm / w;
    if stitches > f64::from(rules.most) {
        return Err(FitError::TooWide { widest_mm, stitches, most: rules.most });
    }
    let too_small = FitError::TooSmall { widest_mm, height_mm: wanted.height_mm(), fewest: rules.fewest, w_mm: w };
    if stitches < 0.75 * f64::from(rules.fewest) || rounds < 1.5 || widest_mm < 1.5 * thickness {
        return Err(too_small);
    }

    let flat = wanted.flat_end_mm(false);
    let edge = flat - 0.5 * thickness;
    let disc = if edge >= LEAST_DISC * h { (edge / h).round().max(1.0) as usize } else { 0 };
    let plan = Plan { ring: wanted.starts_closed(), disc, gathered: wanted.finishes_closed() };
    let middle = middle(wanted, flat, plan, thickness);
    let cloth = cloth(input, &middle, widest_mm)?;
    let (first, last) = tips(input, plan);
    let inverse = |rounds: usize| real_counts(&middle, rounds, &cloth, first, last);

    let mut wall = (middle.length() / h).round().max(1.0) as usize;
    let mut real = inverse(wall);
    for _ in 0..4 {
        let off = real.rounds_missing.round();
        let next = (wall as f64 + off).clamp(1.0, MOST_ROUNDS as f64) as usize;
        if next == wall {
            break;
        }
        wall = next;
        real = inverse(wall);
    }

    let ruler = Ruler::new(&outer, POINTS_A_ROUND * (wall + disc + 1));
    let from_real = |real: &Real| -> Option<(Search<'_>, Vec<u32>)> {
        let counts = integers(&stitches_of(real, plan, w), rules, plan.ends())?;
        let trial = Trial::new(&plan.part(&counts)?, input)?;
        Some((Search::new(trial, &ruler, rules, plan.ends(), w), counts))
    };
    let mut best: Option<(Search<'_>, Found, usize)> = None;
    let mut tried = Vec::new();
    let mut next = vec![wall, wall.saturating_sub(1), wall + 1];
    while let Some(rounds) = next.iter().copied().find(|m| *m > 0 && !tried.contains(m)) {
        tried.push(rounds);
        let Some((mut search, counts)) = from_real(&if rounds == wall { real.clone() } else { inverse(rounds) }) else {
            continue;
        };
        let found = search.descend(counts);
        if found.square.is_finite() && best.as_ref().is_none_or(|(_, b, _)| found.square < b.square) {
            best = Some((search, found, rounds));
        }
        // Goes on where the best is the last of those tried, some steps at most.
        if let Some((_, _, at)) = &best
            && tried.len() < 8
        {
            next = vec![wall, wall.saturating_sub(1), wall + 1, at.saturating_sub(1), at + 1];
        }
    }
    let (mut search, found, _) = best.ok_or(FitError::NoCounts)?;
    let found = search.step(found);

    let friendly = search.befriend(found.clone(), rules.friendly_costs * w);
    let finish = |counts: &[u32]| finished(wanted, &outer, plan, counts, input);
    let mut fit = finish(&friendly.counts).ok_or(FitError::NoCounts)?;
    if friendly.counts != found.counts && fit.error.max_mm > 0.5 * w {
        // Friendlier counts never cost the half stitch.
        let plain = finish(&found.counts).ok_or(FitError::NoCounts)?;
        if plain.error.max_mm < fit.error.max_mm {
            fit = plain;
        }
    }
    fit.within = fit.error.max_mm <= 0.5 * w;
    let seen = Seen {
        real: &real,
        stitches: stitches_of(&real, plan, w),
        plan,
        rules,
        w_mm: w,
        h_mm: h,
        half_thickness_mm: 0.5 * thickness,
    };
    fit.remarks = remarks(&fit, &seen);
    Ok(fit)
}

/// The middle of the fabric as it is wanted, from the edge of a flat disc if it starts with one.
fn middle(wanted: &HalfOutline, flat: f64, plan: Plan, thickness: f64) -> Curve {
    let points = wanted.points();
    let beyond: Vec<DVec2> = if plan.disc > 0 {
        let edge = points.iter().position(|p| p.x >= flat * (1.0 - 1e-9)).unwrap_or(0);
        points[edge..].to_vec()
    } else {
        points.to_vec()
    };
    let outer = Curve::new(beyond);
    let pieces = (outer.length() / (0.25 * thickness.max(1e-3))).clamp(64.0, 4000.0) as usize;
    let mut moved = outer.moved_in(0.5 * thickness, pieces).points;
    if plan.disc > 0 {
        moved[0].x = (flat - 0.5 * thickness).max(1e-3);
        moved[0].y += 0.5 * thickness;
    }
    // Where the inner side of a corner overlaps itself, heights may not fall back.
    Curve::new(moved)
}

/// Fabric and load. A weighed filling presses as it does in the room that is wanted.
fn cloth(input: &ShapeInput, middle: &Curve, widest_mm: f64) -> Result<Cloth, FitError> {
    let fill = input.fill.ok_or(FitError::NotStuffed)?;
    let volume: f64 = middle
        .points
        .windows(2)
        .map(|p| {
            let (a, b) = (p[0], p[1]);
            PI / 3.0 * (a.x * a.x + a.x * b.x + b.x * b.x) * (b.y - a.y)
        })
        .sum();
    let pressure = match fill.weighed_by() {
        Some(grams) => filling_pressure_kpa(grams * 1e6 / volume.max(1.0)),
        None => fill.pressure_kpa.value(),
    };
    let radius = 0.5 * widest_mm;
    let load = pressure / input.stiffness_n_per_m.max(1e-6);
    Ok(Cloth {
        w_mm: input.fabric.w_mm.value(),
        h_mm: input.fabric.h_mm.value(),
        load_per_mm: load.max(LOWEST_LOAD / radius).min(HIGHEST_LOAD / radius),
        compression_share: COMPRESSION_SHARE,
    })
}

fn tips(input: &ShapeInput, plan: Plan) -> (Tip, Tip) {
    let open = |covered: bool| if covered { Tip::Held } else { Tip::Free };
    let first = match plan.ring {
        true if plan.disc > 0 => Tip::Held,
        true => Tip::Pole,
        false => open(input.covered.start),
    };
    (first, if plan.gathered { Tip::Pole } else { open(input.covered.finish) })
}

/// Real stitches of each round: those of a disc grow evenly to its edge, the rest is the membrane's.
fn stitches_of(real: &Real, plan: Plan, w_mm: f64) -> Vec<f64> {
    let unit = w_mm / TAU;
    let edge = real.radius_mm.first().copied().unwrap_or(0.0) / unit;
    let disc = (1..=plan.disc).map(|i| edge * i as f64 / plan.disc as f64);
    let wall = real.radius_mm.len() - 1 - usize::from(plan.gathered);
    disc.chain(real.radius_mm[1..=wall].iter().map(|r| r / unit)).collect()
}

/// The part with these counts, measured in full.
fn finished(wanted: &HalfOutline, outer: &Curve, plan: Plan, counts: &[u32], input: &ShapeInput) -> Option<Fit> {
    let part = plan.part(counts)?;
    let shape = part_shape(&part, input);
    let mut outline = stuffed_outline(&shape)?;
    Ruler::new(outer, 4).lay(&mut outline);
    let error = outline_error(outer, &outline);
    Some(Fit { part, shape, wanted: wanted.clone(), outline, error, within: false, remarks: Vec::new() })
}
