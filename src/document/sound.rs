//! Whether a toy's figures can be meant at all: a file can hold any number, and one that is no length, no count or
//! no angle would spoil every figure that follows from it.

use super::tree::{line_and_column, tree};
use crate::part::{Amount, Base, Part};
use crate::toy::records::{Records, Weight};
use crate::toy::wishes::Wishes;
use crate::toy::{Address, Copies, Extra, ExtraKind, Placement, Plan, Seat, Spot, Toy};
use crate::yarn::{CATEGORIES, Yarn};

/// Rounds in all parts together. The largest toys have some thousand; the limit keeps a file from holding the
/// machine.
pub const MOST_ROUNDS: usize = 10_000;
/// Stitches in one round.
pub const MOST_STITCHES: u32 = 100_000;
/// Stitches in all parts together.
pub const MOST_STITCHES_IN_ALL: u64 = 5_000_000;
/// Parts, yarns, added things: of each at most.
pub const MOST_PARTS: usize = 1_200;
/// Copies of one part.
pub const MOST_COPIES: u32 = 200;
/// Lengths above this are no toy's, mm.
const MOST_MM: f64 = 1e5;

/// Something that cannot be meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// What it is, and what was expected.
    pub what: String,
    /// What it belongs to in a toy's file: names and numbers from the root, with dots between.
    owner: String,
}

impl Slip {
    /// The line in the text of the toy's file, from 1: that of the field it speaks of, or of what that belongs to.
    pub fn line(&self, text: &str) -> Option<usize> {
        let root = tree(text)?;
        let owner = root.nearest(&self.owner);
        let said = self.what.rsplit(": ").next().unwrap_or(&self.what);
        let words: Vec<&str> = said.split([' ', ';', ',']).collect();
        let round = match words.as_slice() {
            ["round", number, ..] => number.parse::<usize>().ok().and_then(|n| {
                let list = owner.find("rounds")?;
                list.find(&n.checked_sub(1)?.to_string()).map(|round| round.from)
            }),
            _ => None,
        };
        let at = round.or_else(|| words.iter().find_map(|w| owner.place_of(w))).unwrap_or(owner.from);
        Some(line_and_column(text, at).0)
    }
}

/// The first thing in a toy that cannot be meant.
pub fn unsound(toy: &Toy) -> Option<Slip> {
    let rounds: usize = toy.pieces.iter().map(|p| p.part.rounds.len()).sum();
    let stitches: u64 = toy.pieces.iter().map(|p| p.part.stitches()).fold(0, u64::saturating_add);
    let toy_slip = |what: String| Slip { what: format!("the toy has {what} in all"), owner: "toy".to_owned() };
    if rounds > MOST_ROUNDS {
        return Some(toy_slip(format!("{rounds} rounds; expected at most {MOST_ROUNDS}")));
    }
    if stitches > MOST_STITCHES_IN_ALL {
        return Some(toy_slip(format!("{stitches} stitches; expected at most {MOST_STITCHES_IN_ALL}")));
    }
    let lists = [("parts", toy.pieces.len()), ("yarns", toy.yarns.len()), ("added things", toy.extras.len())];
    if let Some((word, n)) = lists.into_iter().find(|(_, n)| *n > MOST_PARTS) {
        return Some(toy_slip(format!("{n} {word}; expected at most {MOST_PARTS}")));
    }
    let slip = |what: Option<String>, owner: String| what.map(|what| Slip { what, owner });
    slip(of_settings(toy), "toy.settings".to_owned())
        .or_else(|| toy.yarns.iter().enumerate().find_map(|(i, y)| slip(of_yarn(y), format!("toy.yarns.{i}"))))
        .or_else(|| {
            toy.pieces.iter().enumerate().find_map(|(i, p)| {
                let place = || slip(of_placement(&p.part.name, &p.placement), format!("toy.pieces.{i}.placement"));
                slip(of_part(&p.part), format!("toy.pieces.{i}.part")).or_else(place)
            })
        })
        .or_else(|| toy.extras.iter().enumerate().find_map(|(i, e)| slip(of_extra(e), format!("toy.extras.{i}"))))
        .or_else(|| slip(of_plan(&toy.plan), "toy.plan".to_owned()))
        .or_else(|| slip(of_records(&toy.records), "toy.records".to_owned()))
        .or_else(|| slip(of_wishes(&toy.wishes), "toy.wishes".to_owned()))
}

fn of_settings(toy: &Toy) -> Option<String> {
    let settings = &toy.settings;
    let set = [
        ("density_g_per_l", settings.density_g_per_l),
        ("fabric_n_per_m", settings.fabric_n_per_m),
        ("pressure_kpa", settings.pressure_kpa),
        ("pattern_height_mm", settings.pattern_height_mm),
    ];
    set.into_iter()
        .find_map(|(name, value)| positive("the settings", name, value))
        .or_else(|| settings.drift_stitches.and_then(|d| within("the settings", "drift_stitches", d, 100.0)))
        .or_else(|| settings.first_stitch_deg.and_then(|d| within("the settings", "first_stitch_deg", d, 1e6)))
}

fn positive(of: &str, field: &str, value: Option<f64>) -> Option<String> {
    let value = value?;
    let good = value.is_finite() && value > 0.0 && value < 1e9;
    (!good).then(|| format!("{of}: {field} is {value}; expected a number above 0"))
}

fn within(of: &str, field: &str, value: f64, most: f64) -> Option<String> {
    let good = value.is_finite() && value.abs() <= most;
    (!good).then(|| format!("{of}: {field} is {value}; expected a number between -{most} and {most}"))
}

fn of_plan(plan: &Plan) -> Option<String> {
    let of = "the plan";
    positive(of, "pace_sc_per_min", plan.pace_sc_per_min)
        .or_else(|| positive(of, "hours_per_day", plan.hours_per_day))
        .or_else(|| plan.timed.iter().find_map(|t| positive(of, "minutes of a timed part", Some(t.minutes))))
}

fn of_yarn(yarn: &Yarn) -> Option<String> {
    let of = format!("the yarn \"{}\"", yarn.name);
    if let Some(category) = yarn.category.filter(|c| usize::from(*c) >= CATEGORIES.len()) {
        return Some(format!("{of}: category is {category}; expected 0 to 7"));
    }
    let fields = [
        ("metres_per_100g", yarn.metres_per_100g),
        ("hook_mm", yarn.hook_mm),
        ("stitches_per_10cm", yarn.stitches_per_10cm),
        ("rounds_per_10cm", yarn.rounds_per_10cm),
        ("widths_per_stitch", yarn.widths_per_stitch),
    ];
    fields.into_iter().find_map(|(name, value)| positive(&of, name, value)).or_else(|| of_stock(&of, yarn))
}

fn at_least_0(of: &str, field: &str, value: Option<f64>) -> Option<String> {
    let value = value?;
    let good = value.is_finite() && (0.0..1e9).contains(&value);
    (!good).then(|| format!("{of}: {field} is {value}; expected 0 or more"))
}

fn of_stock(of: &str, yarn: &Yarn) -> Option<String> {
    let (stock, trials) = (&yarn.stock, &yarn.trials);
    positive(of, "ball_g", stock.ball_g)
        .or_else(|| positive(of, "ball_m", stock.ball_m))
        .or_else(|| at_least_0(of, "have_g", stock.have_g))
        .or_else(|| at_least_0(of, "have_balls", stock.have_balls))
        .or_else(|| trials.disc.and_then(|d| positive(of, "diameter_mm of its disc", Some(d.diameter_mm))))
        .or_else(|| {
            let ball = trials.ball.as_ref()?;
            if ball.counts.len() > MOST_ROUNDS || ball.counts.iter().any(|n| *n > MOST_STITCHES) {
                return Some(format!("{of}: its ball has more rounds or stitches than any; expected counts of a ball"));
            }
            positive(of, "circumference_mm of its ball", Some(ball.circumference_mm))
                .or_else(|| at_least_0(of, "stuffing_g of its ball", ball.stuffing_g))
        })
}

fn of_records(records: &Records) -> Option<String> {
    let of = "the records";
    let weighed = records.weigh_ins.iter().find_map(|w| {
        let grams = match w.weight {
            Weight::Used(grams) | Weight::LeftOfAll(grams) | Weight::LeftOnBall { grams, .. } => grams,
        };
        at_least_0(of, "a weight", Some(grams))
    });
    weighed
        .or_else(|| records.parts.iter().find_map(|p| at_least_0(of, "grams of a part", Some(p.grams))))
        .or_else(|| records.around.iter().find_map(|a| positive(of, "circumference_mm", Some(a.circumference_mm))))
}

fn of_wishes(wishes: &Wishes) -> Option<String> {
    let of = "what is wanted";
    let (targets, limits) = (&wishes.targets, &wishes.limits);
    let set = [
        ("tip_deg_min", targets.tip_deg_min),
        ("neck_share_min", targets.neck_share_min),
        ("head_to_body_max", targets.head_to_body_max),
        ("height_mm", targets.height_mm),
        ("at_most_g_of_yarn", targets.at_most_g_of_yarn),
        ("max_outline_mm", limits.max_outline_mm),
        ("max_minutes_more", limits.max_minutes_more),
        ("max_weight_g", limits.max_weight_g),
    ];
    set.into_iter()
        .find_map(|(name, value)| positive(of, name, value))
        .or_else(|| targets.at_most_g_of.iter().find_map(|y| positive(of, "grams of a yarn", Some(y.grams))))
}

fn of_part(part: &Part) -> Option<String> {
    let of = format!("the part \"{}\"", part.name);
    if let Some(round) = part.rounds.iter().position(|r| r.count().max(r.uses()) > MOST_STITCHES) {
        return Some(format!("{of}: round {} has more than {MOST_STITCHES} stitches", round + 1));
    }
    if let Amount::Grams(grams) = part.stuffing.amount
        && !(grams.is_finite() && (0.0..1e6).contains(&grams))
    {
        return Some(format!("{of}: its stuffing weighs {grams} g; expected 0 or more"));
    }
    match part.base {
        Base::PressedFlat { radius_mm } => positive(&of, "radius_mm of its base", radius_mm),
        Base::Disc { diameter_mm } => positive(&of, "diameter_mm of its disc", Some(diameter_mm)),
        Base::AsWorked | Base::Rounded | Base::BackLoopEdge { .. } => None,
    }
}

fn of_copies(of: &str, copies: Copies) -> Option<String> {
    let n = copies.number();
    (n > MOST_COPIES).then(|| format!("{of}: {n} copies; expected at most {MOST_COPIES}"))
}

fn of_address(of: &str, at: Address) -> Option<String> {
    within(of, "round of its place", at.round, 1e6).or_else(|| within(of, "angle_deg of its place", at.angle_deg, 1e6))
}

fn of_placement(name: &str, placement: &Placement) -> Option<String> {
    let of = format!("the place of the part \"{name}\"");
    let seat = match &placement.seat {
        Seat::Floor { x_mm, y_mm, .. } => {
            within(&of, "x_mm", *x_mm, MOST_MM).or_else(|| within(&of, "y_mm", *y_mm, MOST_MM))
        }
        Seat::OnSurface { at, .. } => of_address(&of, *at),
        Seat::Beside | Seat::OnEnd { .. } => None,
    };
    seat.or_else(|| of_copies(&of, placement.copies))
        .or_else(|| placement.seam_round.and_then(|r| within(&of, "seam_round", r, 1e6)))
        .or_else(|| within(&of, "nod_deg", placement.nod_deg, 1e6))
        .or_else(|| within(&of, "lean_deg", placement.lean_deg, 1e6))
        .or_else(|| within(&of, "turn_deg", placement.turn_deg, 1e6))
        .or_else(|| within(&of, "offset_mm", placement.offset_mm, MOST_MM))
}

fn of_extra(extra: &Extra) -> Option<String> {
    let of = format!("the added \"{}\"", extra.name);
    if !(extra.mass_g.is_finite() && (0.0..1e6).contains(&extra.mass_g)) {
        return Some(format!("{of}: mass_g is {}; expected 0 or more", extra.mass_g));
    }
    let kind = match extra.kind {
        ExtraKind::Eye { diameter_mm } => positive(&of, "diameter_mm", Some(diameter_mm)),
        ExtraKind::Cord { length_mm } => positive(&of, "length_mm", Some(length_mm)),
        ExtraKind::Magnet { diameter_mm, flux_index } => {
            positive(&of, "diameter_mm", Some(diameter_mm)).or_else(|| positive(&of, "flux_index", flux_index))
        }
        _ => None,
    };
    let spot = || match extra.spot {
        Spot::Inside { share } => within(&of, "share of its place", share, 1.0),
        Spot::Surface(at) => of_address(&of, at),
    };
    kind.or_else(spot).or_else(|| of_copies(&of, extra.copies))
}
