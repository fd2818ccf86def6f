//! Whether a toy's figures can be meant at all: a file can hold any number, and one that is no length, no count or
//! no angle would spoil every figure that follows from it.

use super::tree::{line_and_column, tree};
use crate::part::{Amount, Base, Part};
use crate::toy::{Address, Copies, Extra, ExtraKind, Placement, Seat, Spot, Toy};
use crate::yarn::{CATEGORIES, Yarn};

/// Rounds in all parts together. The largest toys have some thousand; the limit keeps a file from holding the
/// machine.
pub const MOST_ROUNDS: usize = 10_000;
/// Stitches in one round.
pub const MOST_STITCHES: u32 = 100_000;
/// Copies of one part.
pub const MOST_COPIES: u32 = 200;
/// Lengths above this are no toy's, mm.
const MOST_MM: f64 = 1e5;

/// Something that cannot be meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// What is wrong with what, and what was expected.
    pub what: String,
    /// Where it stands in a toy's file: names and numbers from the root, with dots between.
    path: String,
}

impl Slip {
    /// The line in the text of the toy's file, from 1: that of the figure, or of what it belongs to.
    pub fn line(&self, text: &str) -> Option<usize> {
        tree(text).map(|root| line_and_column(text, root.nearest(&self.path).from).0)
    }
}

/// The place of a figure and what it belongs to, in the maker's words.
#[derive(Clone, Copy)]
struct Of<'a> {
    words: &'a str,
    path: &'a str,
}

impl Of<'_> {
    fn slip(self, field: &str, what: String) -> Slip {
        Slip { what: format!("{}: {what}", self.words), path: format!("{}.{field}", self.path) }
    }

    fn positive(self, field: &str, value: Option<f64>) -> Option<Slip> {
        let value = value?;
        let good = value.is_finite() && value > 0.0 && value < 1e9;
        (!good).then(|| self.slip(field, format!("{} is {value}; expected a number above 0", words(field))))
    }

    fn within(self, field: &str, value: f64, most: f64) -> Option<Slip> {
        let good = value.is_finite() && value.abs() <= most;
        let what = || format!("{} is {value}; expected a number between -{most} and {most}", words(field));
        (!good).then(|| self.slip(field, what()))
    }

    fn copies(self, copies: Copies) -> Option<Slip> {
        let n = copies.number();
        (n > MOST_COPIES).then(|| self.slip("copies", format!("{n} copies; expected at most {MOST_COPIES}")))
    }

    fn address(self, field: &str, at: Address) -> Option<Slip> {
        self.within(&format!("{field}.round"), at.round, 1e6)
            .or_else(|| self.within(&format!("{field}.angle_deg"), at.angle_deg, 1e6))
    }
}

/// A field's path as it is said: its name, and what it belongs to.
fn words(field: &str) -> String {
    match field.rsplit_once('.') {
        Some((of, name)) => format!("{name} of its {}", of.split('.').next().unwrap_or(of)),
        None => field.to_owned(),
    }
}

/// The first thing in a toy that cannot be meant.
pub fn unsound(toy: &Toy) -> Option<Slip> {
    let rounds: usize = toy.pieces.iter().map(|p| p.part.rounds.len()).sum();
    let of = Of { words: "the toy", path: "toy" };
    if rounds > MOST_ROUNDS {
        let what = format!("it has {rounds} rounds; expected at most {MOST_ROUNDS} in all parts together");
        return Some(of.slip("pieces", what));
    }
    of_settings(toy)
        .or_else(|| toy.yarns.iter().enumerate().find_map(|(i, y)| of_yarn(&format!("toy.yarns.{i}"), y)))
        .or_else(|| {
            toy.pieces.iter().enumerate().find_map(|(i, p)| {
                let path = format!("toy.pieces.{i}");
                of_part(&path, &p.part).or_else(|| of_placement(&path, &p.part.name, &p.placement))
            })
        })
        .or_else(|| toy.extras.iter().enumerate().find_map(|(i, e)| of_extra(&format!("toy.extras.{i}"), e)))
}

fn of_settings(toy: &Toy) -> Option<Slip> {
    let settings = &toy.settings;
    let of = Of { words: "the settings", path: "toy.settings" };
    let set = [
        ("density_g_per_l", settings.density_g_per_l),
        ("fabric_n_per_m", settings.fabric_n_per_m),
        ("pressure_kpa", settings.pressure_kpa),
        ("pattern_height_mm", settings.pattern_height_mm),
    ];
    set.into_iter()
        .find_map(|(name, value)| of.positive(name, value))
        .or_else(|| settings.drift_stitches.and_then(|d| of.within("drift_stitches", d, 100.0)))
}

fn of_yarn(path: &str, yarn: &Yarn) -> Option<Slip> {
    let of = Of { words: &format!("the yarn \"{}\"", yarn.name), path };
    if let Some(category) = yarn.category.filter(|c| usize::from(*c) >= CATEGORIES.len()) {
        return Some(of.slip("category", format!("category is {category}; expected 0 to 7")));
    }
    let fields = [
        ("metres_per_100g", yarn.metres_per_100g),
        ("hook_mm", yarn.hook_mm),
        ("stitches_per_10cm", yarn.stitches_per_10cm),
        ("rounds_per_10cm", yarn.rounds_per_10cm),
        ("widths_per_stitch", yarn.widths_per_stitch),
    ];
    fields.into_iter().find_map(|(name, value)| of.positive(name, value))
}

fn of_part(path: &str, part: &Part) -> Option<Slip> {
    let of = Of { words: &format!("the part \"{}\"", part.name), path };
    if let Some(round) = part.rounds.iter().position(|r| r.count().max(r.uses()) > MOST_STITCHES) {
        let what = format!("round {} has more than {MOST_STITCHES} stitches", round + 1);
        return Some(of.slip(&format!("part.rounds.{round}"), what));
    }
    if let Amount::Grams(grams) = part.stuffing.amount
        && !(grams.is_finite() && (0.0..1e6).contains(&grams))
    {
        return Some(of.slip("part.stuffing.amount", format!("its stuffing weighs {grams} g; expected 0 or more")));
    }
    let path = &format!("{path}.part.base");
    match part.base {
        Base::PressedFlat { radius_mm } => {
            Of { words: &format!("the base of the part \"{}\"", part.name), path }.positive("radius_mm", radius_mm)
        }
        Base::Disc { diameter_mm } => {
            let words = format!("the disc in the part \"{}\"", part.name);
            Of { words: &words, path }.positive("diameter_mm", Some(diameter_mm))
        }
        Base::AsWorked | Base::Rounded | Base::BackLoopEdge { .. } => None,
    }
}

fn of_placement(path: &str, name: &str, placement: &Placement) -> Option<Slip> {
    let of = Of { words: &format!("the place of the part \"{name}\""), path: &format!("{path}.placement") };
    let seat = match &placement.seat {
        Seat::Floor { x_mm, y_mm, .. } => {
            of.within("seat.x_mm", *x_mm, MOST_MM).or_else(|| of.within("seat.y_mm", *y_mm, MOST_MM))
        }
        Seat::OnSurface { at, .. } => of.address("seat.at", *at),
        Seat::Beside | Seat::OnEnd { .. } => None,
    };
    seat.or_else(|| of.copies(placement.copies))
        .or_else(|| placement.seam_round.and_then(|r| of.within("seam_round", r, 1e6)))
        .or_else(|| of.within("nod_deg", placement.nod_deg, 1e6))
        .or_else(|| of.within("lean_deg", placement.lean_deg, 1e6))
        .or_else(|| of.within("turn_deg", placement.turn_deg, 1e6))
        .or_else(|| of.within("offset_mm", placement.offset_mm, MOST_MM))
}

fn of_extra(path: &str, extra: &Extra) -> Option<Slip> {
    let of = Of { words: &format!("the added \"{}\"", extra.name), path };
    if !(extra.mass_g.is_finite() && (0.0..1e6).contains(&extra.mass_g)) {
        return Some(of.slip("mass_g", format!("mass_g is {}; expected 0 or more", extra.mass_g)));
    }
    let kind = match extra.kind {
        ExtraKind::Eye { diameter_mm } => of.positive("kind.diameter_mm", Some(diameter_mm)),
        _ => None,
    };
    let spot = || match extra.spot {
        Spot::Inside { share } => of.within("spot.share", share, 1.0),
        Spot::Surface(at) => of.address("spot", at),
    };
    kind.or_else(spot).or_else(|| of.copies(extra.copies))
}
