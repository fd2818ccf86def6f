//! The same toy otherwise: its counts in another yarn, its size in another yarn, or as large as the yarn at hand
//! allows. Every answer is a whole toy beside the old one, with the figures of both, to be accepted or not.

mod rework;

use crate::document::edits::rename_yarn;
use crate::figure::{Figure, Origin};
use crate::measure::learn::fabrics;
use crate::measure::need::{Enough, YarnNeed, needs_in};
use crate::measure::report::SizeMm;
use crate::measure::{Report, Severity, derive};
use crate::part::Amount;
use crate::toy::Toy;
use crate::yarn::{Fabric, Yarn};
use rework::{Scale, rework};

/// The figures of a toy that are held against those of another.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Side {
    /// Size; `None` where nothing is placed.
    pub size_mm: Option<SizeMm>,
    /// Mass of everything, g.
    pub mass_g: Figure,
    /// Rounds of all copies.
    pub rounds: u64,
    /// Stitches of all copies.
    pub stitches: u64,
    /// Least lean before it falls, degrees.
    pub tip_deg: Option<Figure>,
    /// `stands`, `tips_easily`, `topples` or `rocks`; `None` where nothing is on the floor.
    pub verdict: Option<&'static str>,
    /// Mass of the head against the rest.
    pub head_to_body_mass: Option<Figure>,
    /// Yarn by yarn.
    pub yarns: Vec<YarnNeed>,
    /// Severe findings, warnings.
    pub findings: (usize, usize),
}

impl Side {
    /// The figures of a report.
    pub fn of(report: &Report) -> Side {
        let count = |severity| report.findings.iter().filter(|f| f.severity == severity).count();
        Side {
            size_mm: report.toy.size_mm,
            mass_g: report.toy.mass_g,
            rounds: report.parts.iter().map(|p| u64::from(p.copies) * p.rounds.len() as u64).sum(),
            stitches: report.parts.iter().map(|p| u64::from(p.copies) * p.stitches).sum(),
            tip_deg: report.stand.as_ref().map(|s| s.tip_deg),
            verdict: report.stand.as_ref().map(|s| s.verdict),
            head_to_body_mass: report.toy.head_to_body_mass,
            yarns: report.yarn.iter().map(|y| YarnNeed { name: y.name.clone(), ..y.stock.clone() }).collect(),
            findings: (count(Severity::Severe), count(Severity::Warning)),
        }
    }
}

/// Counts of a part before and after.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartChange {
    /// Its name.
    pub name: String,
    /// Counts round by round, as they were.
    pub before: Vec<u32>,
    /// As they would be.
    pub after: Vec<u32>,
}

/// A toy beside the one it would replace.
#[derive(Clone, Debug, Default)]
pub struct Swapped {
    /// The new toy.
    pub toy: Toy,
    /// Figures of the old one.
    pub before: Side,
    /// Figures of the new one.
    pub after: Side,
    /// Parts whose counts change, in the order they are made.
    pub parts: Vec<PartChange>,
}

impl Swapped {
    fn of(old: &Toy, toy: Toy) -> Swapped {
        let parts = old
            .pieces
            .iter()
            .zip(&toy.pieces)
            .map(|(a, b)| PartChange { name: b.part.name.clone(), before: a.part.counts(), after: b.part.counts() })
            .filter(|c| c.before != c.after)
            .collect();
        Swapped { before: Side::of(&derive(old).report), after: Side::of(&derive(&toy).report), toy, parts }
    }
}

/// The same counts in another yarn and hook, which takes the place of the yarn at `index`.
pub fn same_counts(toy: &Toy, index: usize, yarn: &Yarn) -> Swapped {
    Swapped::of(toy, in_yarn(toy, index, yarn))
}

/// The same size in another yarn and hook, which takes the place of the yarn at `index`: its parts get new counts, and
/// all that is placed by their rounds goes along.
pub fn same_size(toy: &Toy, index: usize, yarn: &Yarn) -> Swapped {
    let before = fabrics(toy);
    let mut new = in_yarn(toy, index, yarn);
    let after = fabrics(&new);
    let scale = |i: usize| Scale::between(&before[i], &after[i], 1.0);
    // Stuffing that was weighed fills the same room: in_yarn took it for that of the same counts.
    for (new, old) in new.pieces.iter_mut().zip(&toy.pieces) {
        new.part.stuffing.amount = old.part.stuffing.amount;
    }
    rework(&mut new, &scale);
    Swapped::of(toy, new)
}

/// The toy `size` times as large in the same yarns. What was learned of the yarns from weighing and measuring stays
/// with them; the records themselves were of the old rounds and go.
pub fn resized(toy: &Toy, size: f64) -> Toy {
    let mut new = toy.clone();
    if !(size.is_finite() && size > 0.0) {
        return new;
    }
    let fabrics = fabrics(toy);
    keep_what_was_learned(&mut new);
    new.records = Default::default();
    rework(&mut new, &|i| Scale::between(&fabrics[i], &fabrics[i], size));
    grow_lengths(&mut new, size);
    new
}

/// Smallest and largest that is looked for, against the toy as it is.
const SIZES: (f64, f64) = (0.25, 4.0);
/// Halvings of the range of sizes: to a thousandth.
const HALVINGS: usize = 14;

/// As large as the yarns at hand allow, by the best guess or, if `sure`, by the upper end of the need: the size against
/// the toy as it is, and the toy. `None` where nothing is at hand of any yarn, or not enough for a quarter of the size.
pub fn as_large_as_yarn_allows(toy: &Toy, sure: bool) -> Option<(f64, Swapped)> {
    let lasts = |size: f64| {
        let toy = resized(toy, size);
        let needs = needs_in(&toy, &fabrics(&toy));
        let lasts = |e: Enough| if sure { e == Enough::Enough } else { e != Enough::Short };
        needs.iter().any(|n| n.enough.is_some()).then(|| needs.iter().filter_map(|n| n.enough).all(lasts))
    };
    let (mut low, mut high) = SIZES;
    if !lasts(low)? {
        return None;
    }
    if lasts(high)? {
        low = high;
    } else {
        for _ in 0..HALVINGS {
            let middle = f64::sqrt(low * high);
            if lasts(middle)? {
                low = middle;
            } else {
                high = middle;
            }
        }
    }
    Some((low, Swapped::of(toy, resized(toy, low))))
}

/// The toy with another yarn in the place of the one at `index`, rounds and seats as they were.
fn in_yarn(toy: &Toy, index: usize, yarn: &Yarn) -> Toy {
    let mut new = toy.clone();
    if new.yarns.is_empty() {
        new.yarns.push(Yarn::default());
    }
    let before = fabrics(&new);
    let index = index.min(new.yarns.len() - 1);
    let old = new.yarns[index].name.clone();
    forget_records(&mut new, &old);
    let name = yarn.name.clone();
    new.yarns[index] = Yarn { name: old, ..yarn.clone() };
    rename_yarn(&mut new, index, &name);
    // A stiffness that was set is that of the old fabric.
    new.settings.fabric_n_per_m = None;
    let after = fabrics(&new);
    for (i, piece) in new.pieces.iter_mut().enumerate() {
        // Weighed stuffing is packed as hard as it was: it grows with the room.
        let room = room(&before[i], &after[i]);
        scale_grams(&mut piece.part.stuffing.amount, room);
    }
    new
}

/// Room in a part of the same counts, after against before.
fn room(before: &Fabric, after: &Fabric) -> f64 {
    (after.w_mm.value() / before.w_mm.value()).powi(2) * after.h_mm.value() / before.h_mm.value()
}

fn scale_grams(amount: &mut Amount, factor: f64) {
    if let Amount::Grams(grams) = amount
        && factor != 1.0
    {
        *grams *= factor;
    }
}

/// Takes out what was weighed and measured in a yarn: it says nothing of another.
fn forget_records(toy: &mut Toy, yarn: &str) {
    let of_yarn = |spoken: &str| toy.yarn(spoken).is_some_and(|y| y.name == yarn);
    let in_yarn = |part: &str| toy.piece_named(part).is_some_and(|i| of_yarn(&toy.pieces[i].part.yarn));
    let mut records = toy.records.clone();
    records.weigh_ins.retain(|w| if w.yarn.is_empty() { !in_yarn(&w.part) } else { !of_yarn(&w.yarn) });
    records.parts.retain(|p| !in_yarn(&p.part));
    records.around.retain(|a| !in_yarn(&a.part));
    toy.records = records;
}

/// Writes what the records tell of each yarn into the yarn, as measured.
fn keep_what_was_learned(toy: &mut Toy) {
    if toy.records.is_empty() {
        return;
    }
    let known: Vec<Fabric> = toy.yarns.iter().map(|y| crate::measure::learn::known(toy, &y.name).fabric).collect();
    for (yarn, fabric) in toy.yarns.iter_mut().zip(known) {
        if fabric.w_mm.from == Origin::Measured {
            yarn.stitches_per_10cm = Some(100.0 / fabric.w_mm.value());
            yarn.rounds_per_10cm = yarn.rounds_per_10cm.map(|_| 100.0 / fabric.h_mm.value());
            // They are in the width by now.
            (yarn.trials.disc, yarn.trials.ball) = (None, None);
        }
        if fabric.weighed {
            yarn.widths_per_stitch = Some(fabric.widths_per_stitch.value());
        }
    }
}

/// Lengths that the maker gave in mm, and weighed stuffing, grow with the toy.
fn grow_lengths(toy: &mut Toy, size: f64) {
    use crate::part::Base;
    use crate::toy::Seat;
    for piece in &mut toy.pieces {
        piece.placement.offset_mm *= size;
        if let Seat::Floor { x_mm, y_mm, .. } = &mut piece.placement.seat {
            (*x_mm, *y_mm) = (*x_mm * size, *y_mm * size);
        }
        match &mut piece.part.base {
            Base::PressedFlat { radius_mm } => *radius_mm = radius_mm.map(|r| r * size),
            Base::Disc { diameter_mm } => *diameter_mm *= size,
            Base::AsWorked | Base::Rounded | Base::BackLoopEdge { .. } => {}
        }
        scale_grams(&mut piece.part.stuffing.amount, size.powi(3));
    }
    toy.settings.pattern_height_mm = toy.settings.pattern_height_mm.map(|h| h * size);
}
