//! How much yarn the toy needs, tails and sewing included, against what is at hand; and where it runs out.
//!
//! The yarn is followed in the order of work ([`super::work`]). Weigh-ins pin the running sum: between two of them it is
//! stretched to fit both, after the last it goes on as expected. So what was used stays as it was weighed, and a
//! weigh-in after the last round gives back its own figure.

mod curve;

pub use curve::{WorkRow, work_rows};

use serde::Serialize;

use super::learn::{grams_log_spread, metres_log_spread, scale_g};
use super::made::Made;
use crate::figure::{Figure, Origin};
use crate::toy::Toy;
use crate::yarn::Fabric;
use curve::{Curve, Rest, curves};

/// Taken beyond the need: 10 % where the gauge was measured or yarn weighed, 20 % where it was not (common practice, no
/// source).
const ALLOWANCE: (f64, f64) = (0.10, 0.20);
/// Ends of balls that are told at most.
const MOST_BALLS: u32 = 200;

/// Whether a yarn lasts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Enough {
    /// Even at the upper end of the need.
    Enough,
    /// By the best guess, but not at the upper end.
    Close,
    /// Not by the best guess.
    Short,
}

impl Enough {
    /// The word programs read.
    pub fn word(self) -> &'static str {
        match self {
            Enough::Enough => "enough",
            Enough::Close => "close",
            Enough::Short => "short",
        }
    }
}

/// A round of a copy of a part.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Spot {
    /// Name of the part.
    pub part: String,
    /// Which copy of it, from 1.
    pub copy: u32,
    /// The round, from 1.
    pub round: u32,
}

/// Where a yarn ends.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct YarnEnd {
    /// By the best guess.
    #[serde(flatten)]
    pub at: Spot,
    /// At the earliest and at the latest; `null` where it may last to the end.
    pub range: [Option<Spot>; 2],
}

/// Where a ball ends.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BallEnd {
    /// Which ball, from 1.
    pub ball: u32,
    /// Where.
    #[serde(flatten)]
    pub end: YarnEnd,
}

/// An amount of yarn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Amounts {
    /// Metres.
    pub metres: Figure,
    /// Grams.
    pub grams: Figure,
    /// Balls; `null` where nothing says what a ball weighs.
    pub balls: Option<Figure>,
    /// Of the metres: in stitches.
    pub stitches_m: Figure,
    /// Of the metres: in tails that are woven in.
    pub tails_m: Figure,
    /// Of the metres: in tails that sew parts on.
    pub sewing_m: Figure,
}

/// What to take along, the allowance included.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Take {
    /// Metres.
    pub metres: f64,
    /// Grams.
    pub grams: f64,
    /// Whole balls; `null` where nothing says what a ball weighs.
    pub balls: Option<u32>,
    /// The allowance on what is still to be made, as a share.
    pub allowance: f64,
}

/// A yarn's need against what is at hand.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct YarnNeed {
    /// Its name.
    #[serde(skip)]
    pub name: String,
    /// In the whole toy, tails and sewing included.
    pub need: Amounts,
    /// What to take.
    pub take: Take,
    /// Weighed so far, g; `null` where no weigh-in tells.
    pub used_g: Option<Figure>,
    /// Grams in a ball.
    pub ball_g: Option<f64>,
    /// Grams at hand before the first stitch; `null` where it was not said.
    pub have_g: Option<f64>,
    /// The same in balls.
    pub have_balls: Option<f64>,
    /// Whether that lasts; `null` where it was not said.
    pub enough: Option<Enough>,
    /// Where all that is at hand has run out; `null` where it lasts or was not said.
    pub runs_out: Option<YarnEnd>,
    /// Where each ball ends.
    pub ball_ends: Vec<BallEnd>,
}

/// The need of every yarn: the toy's own in their order, then names that only parts or colour changes speak of.
pub fn needs(toy: &Toy, made: &Made) -> Vec<YarnNeed> {
    let fabrics: Vec<Fabric> = made.shapes.iter().map(|s| s.fabric).collect();
    needs_in(toy, &fabrics)
}

/// The same from the fabric of each part alone, index for index.
pub fn needs_in(toy: &Toy, fabrics: &[Fabric]) -> Vec<YarnNeed> {
    curves(toy, fabrics).iter().map(|curve| need(toy, curve)).collect()
}

fn need(toy: &Toy, curve: &Curve) -> YarnNeed {
    let fabric = &curve.fabric;
    let tex = fabric.tex.value();
    let stock = toy.yarn(&curve.name).map(|y| y.stock).unwrap_or_default();
    let used = curve.used_g();
    let rest = curve.rest();
    let grams = grams_figure(used, &rest, fabric);
    let m_of = |g: f64| g * 1e3 / tex;
    let metres = metres_figure(used, &rest, grams, fabric);
    let whole = curve.whole();
    let (tails_m, sewing_m) = (whole.tails_g.scaled(1e3 / tex), whole.sewing_g.scaled(1e3 / tex));
    let stitches = (metres.value - tails_m.value - sewing_m.value).max(0.0);
    let ball_g = stock.ball_mass_g(tex);
    let have_g = stock.at_hand_g(tex);
    let balls = ball_g.map(|ball| grams.scaled(1.0 / ball));
    let measured = fabric.weighed || fabric.w_mm.from == Origin::Measured;
    let allowance = if measured { ALLOWANCE.0 } else { ALLOWANCE.1 };
    let take_g = grams.value + allowance * rest.grams();
    let enough = have_g.map(|have| match () {
        () if have >= grams.high => Enough::Enough,
        () if have >= grams.value => Enough::Close,
        () => Enough::Short,
    });
    // How much faster or slower than expected the rest may go.
    let pace = |g: f64| if rest.grams() > 0.0 { ((g - used) / rest.grams()).max(1e-3) } else { 1.0 };
    let paces = [pace(grams.high), pace(grams.low)];
    let end = |g: f64| {
        let spot = |place| curve.spot(toy, place);
        let at = curve.locate(g, 1.0).map(spot)?;
        Some(YarnEnd { at, range: paces.map(|pace| curve.locate(g, pace).map(spot)) })
    };
    YarnNeed {
        name: curve.name.clone(),
        need: Amounts {
            metres,
            grams,
            balls,
            stitches_m: Figure::times_or_divided(stitches, metres_log_spread(fabric).exp()),
            tails_m,
            sewing_m,
        },
        take: Take {
            metres: m_of(take_g),
            grams: take_g,
            balls: ball_g.map(|ball| (take_g / ball - 1e-9).ceil().clamp(0.0, f64::from(u32::MAX)) as u32),
            allowance,
        },
        used_g: (used > 0.0).then(|| Figure::give_or_take(used, scale_g(used).min(used))),
        ball_g,
        have_g,
        have_balls: have_g.zip(ball_g).map(|(have, ball)| have / ball),
        enough,
        runs_out: have_g.filter(|_| enough == Some(Enough::Short)).and_then(end),
        ball_ends: ball_g.map(|ball| ball_ends(ball, have_g, grams.value, &end)).unwrap_or_default(),
    }
}

/// The ends of whole balls, and of the last one at hand, which may be begun.
fn ball_ends(ball_g: f64, have_g: Option<f64>, need_g: f64, end: &dyn Fn(f64) -> Option<YarnEnd>) -> Vec<BallEnd> {
    let last_g = have_g.unwrap_or(f64::INFINITY);
    let mut ends = Vec::new();
    for ball in 1..=MOST_BALLS {
        let upto = (f64::from(ball) * ball_g).min(last_g);
        if upto >= need_g {
            break;
        }
        ends.extend(end(upto).map(|end| BallEnd { ball, end }));
        if upto >= last_g {
            break;
        }
    }
    ends
}

/// Used and still to be used, with the give or take of the scale, of the stitches and of the tails in quadrature.
fn grams_figure(used: f64, rest: &Rest, fabric: &Fabric) -> Figure {
    let factor = grams_log_spread(fabric).exp();
    let scale = if used > 0.0 { scale_g(used) } else { 0.0 };
    let value = used + rest.grams();
    let up = [rest.stitches_g * (factor - 1.0), rest.tail_range_up_g(), rest.weighed_spread_g, scale];
    let down = [rest.stitches_g * (1.0 - 1.0 / factor), rest.tail_range_down_g(), rest.weighed_spread_g, scale];
    let norm = |parts: [f64; 4]| parts.iter().map(|x| x * x).sum::<f64>().sqrt();
    Figure { value, low: (value - norm(down)).max(0.0), high: value + norm(up) }
}

/// The same in metres: what is weighed is as sure in length as the yarn's metres in 100 g.
fn metres_figure(used: f64, rest: &Rest, grams: Figure, fabric: &Fabric) -> Figure {
    let per_g = 1e3 / fabric.tex.value();
    let by_label = fabric.tex.figure.half_log_range();
    let stitches = metres_log_spread(fabric);
    let known = used + rest.weighed_g;
    let up = [
        rest.stitches_g * (stitches.exp() - 1.0),
        rest.tail_range_up_g(),
        known * (by_label.exp() - 1.0),
        rest.weighed_spread_g,
    ];
    let down = [
        rest.stitches_g * (1.0 - (-stitches).exp()),
        rest.tail_range_down_g(),
        known * (1.0 - (-by_label).exp()),
        rest.weighed_spread_g,
    ];
    let norm = |parts: [f64; 4]| parts.iter().map(|x| x * x).sum::<f64>().sqrt();
    let value = grams.value;
    Figure { value, low: (value - norm(down)).max(0.0), high: value + norm(up) }.scaled(per_g)
}
