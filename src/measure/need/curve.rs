//! The running use of one yarn over the rounds, pinned to what was weighed.

use super::Spot;
use crate::figure::Figure;
use crate::measure::Made;
use crate::measure::gauges::{gauge_of, other_in_part};
use crate::measure::learn::{Point, part_fabric_g, points, scale_g};
use crate::measure::work::{YarnWork, work, yarn_name};
use crate::toy::Toy;
use crate::yarn::Fabric;

/// Most rows of a work sheet.
const MOST_ROWS: usize = 100_000;

/// A round in the order of work, with the yarn used so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkRow {
    /// Index of the part.
    pub piece: usize,
    /// Which copy, from 1.
    pub copy: u32,
    /// The round, from 1.
    pub round: u32,
    /// Metres used when it is done.
    pub metres: f64,
    /// Grams used when it is done.
    pub grams: f64,
    /// The ball in hand then, from 1; `None` where nothing says what a ball weighs.
    pub ball: Option<u32>,
}

/// One part's share, for one copy.
#[derive(Clone, Debug)]
struct Leg {
    piece: usize,
    copies: u32,
    /// Expected up to each round, g; the first entry is 0.
    up_to_g: Vec<f64>,
    stitches_g: f64,
    tails_g: Figure,
    sewing_g: Figure,
    /// The finished part was on the scale.
    weighed: bool,
}

impl Leg {
    fn copy_g(&self) -> f64 {
        self.up_to_g.last().copied().unwrap_or(0.0)
    }
}

/// What is still to be used, g.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Rest {
    /// In stitches that are as sure as the gauge.
    pub stitches_g: f64,
    /// In parts of which a copy was weighed, and its give or take.
    pub weighed_g: f64,
    pub weighed_spread_g: f64,
    pub tails_g: Figure,
    pub sewing_g: Figure,
}

impl Rest {
    pub fn grams(&self) -> f64 {
        self.stitches_g + self.weighed_g + self.tails_g.value + self.sewing_g.value
    }
    pub fn tail_range_up_g(&self) -> f64 {
        self.tails_g.high - self.tails_g.value + self.sewing_g.high - self.sewing_g.value
    }
    pub fn tail_range_down_g(&self) -> f64 {
        self.tails_g.value - self.tails_g.low + self.sewing_g.value - self.sewing_g.low
    }
}

/// A place in the order of work: leg, copies done, rounds done of the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    leg: usize,
    copies_done: u32,
    rounds_done: usize,
}

/// The running use of a yarn.
#[derive(Clone, Debug)]
pub(super) struct Curve {
    pub name: String,
    pub fabric: Fabric,
    legs: Vec<Leg>,
    /// Weigh-ins as (expected, weighed), both rising, with the place of the last.
    knots: Vec<(f64, f64)>,
    last: Option<Place>,
    whole_g: f64,
}

fn plus(sum: Figure, one: Figure, times: f64) -> Figure {
    Figure { value: sum.value + times * one.value, low: sum.low + times * one.low, high: sum.high + times * one.high }
}

/// The curve of every yarn; `fabrics` are those of the parts, index for index.
pub(super) fn curves(toy: &Toy, fabrics: &[Fabric]) -> Vec<Curve> {
    let w_mm = |i: usize| fabrics.get(i).map_or(0.0, |f| f.w_mm.value());
    let yarns = work(toy, &w_mm);
    let gauges: Vec<Fabric> = yarns.iter().map(|yarn| gauge_of(toy, fabrics, &yarn.name)).collect();
    let curve = |(yarn, gauge): (&YarnWork, &Fabric)| {
        let mut curve = Curve {
            name: yarn.name.clone(),
            fabric: *gauge,
            legs: Vec::with_capacity(yarn.parts.len()),
            knots: Vec::new(),
            last: None,
            whole_g: 0.0,
        };
        let per_mm = gauge.g_per_mm();
        for part in yarn.parts.iter().filter(|p| p.piece < fabrics.len()) {
            let i = part.piece;
            let own = yarn_name(toy, &toy.pieces[i].part.yarn) == yarn.name;
            let fabric = if own { fabrics[i] } else { other_in_part(toy, fabrics, i, gauge) };
            let per_stitch = fabric.length_per_stitch_mm() * fabric.g_per_mm();
            let mut sum = 0.0;
            let mut up_to_g = Vec::with_capacity(part.rounds.len() + 1);
            up_to_g.push(0.0);
            up_to_g.extend(part.rounds.iter().map(|r| {
                sum += r.stitches * per_stitch + (r.tails_mm.value + r.sewing_mm.value) * per_mm;
                sum
            }));
            let whole = part.up_to(usize::MAX);
            curve.legs.push(Leg {
                piece: i,
                copies: part.copies,
                up_to_g,
                stitches_g: whole.stitches * per_stitch,
                tails_g: whole.tails_mm.scaled(per_mm),
                sewing_g: whole.sewing_mm.scaled(per_mm),
                weighed: part_fabric_g(toy, i).is_some(),
            });
        }
        let end = Place { leg: curve.legs.len(), copies_done: 0, rounds_done: 0 };
        curve.whole_g = curve.expected_g(end);
        curve.pin(&points(toy, &yarn.name, gauge.tex.value()));
        curve
    };
    yarns.iter().zip(&gauges).map(curve).collect()
}

impl Curve {
    /// Expected up to a place, g.
    fn expected_g(&self, place: Place) -> f64 {
        let before: f64 = self.legs.iter().take(place.leg).map(|l| f64::from(l.copies) * l.copy_g()).sum();
        let Some(leg) = self.legs.get(place.leg) else { return before };
        let rounds = place.rounds_done.min(leg.up_to_g.len() - 1);
        before + f64::from(place.copies_done) * leg.copy_g() + leg.up_to_g[rounds]
    }

    /// The place of a weigh-in.
    fn place_of(&self, point: &Point) -> Place {
        let leg = self.legs.iter().position(|l| l.piece >= point.piece).unwrap_or(self.legs.len());
        match self.legs.get(leg) {
            Some(l) if l.piece == point.piece => {
                let (mut copies_done, mut rounds_done) = (point.copies_done, point.rounds_done);
                if rounds_done + 1 >= l.up_to_g.len() {
                    (copies_done, rounds_done) = (copies_done + 1, 0);
                }
                if copies_done >= l.copies {
                    Place { leg: leg + 1, copies_done: 0, rounds_done: 0 }
                } else {
                    Place { leg, copies_done, rounds_done }
                }
            }
            _ => Place { leg, copies_done: 0, rounds_done: 0 },
        }
    }

    /// Takes in the weigh-ins, which come in the order of work. Of several at one place the middle counts; one that
    /// says less than one before it is a slip of the scale, and the one before stands.
    fn pin(&mut self, points: &[Point]) {
        let mut at = 0;
        while at < points.len() {
            let place = self.place_of(&points[at]);
            let expected = self.expected_g(place);
            let same = points[at..].iter().take_while(|p| self.place_of(p) == place).count();
            let used = points[at..at + same].iter().map(|p| p.used_g).sum::<f64>() / same as f64;
            at += same;
            let (before, weighed) = self.knots.last().copied().unwrap_or((0.0, 0.0));
            if expected > before && used > weighed {
                self.knots.push((expected, used));
                self.last = Some(place);
            }
        }
    }

    /// Weighed so far, g; 0 where nothing was.
    pub(super) fn used_g(&self) -> f64 {
        self.knots.last().map_or(0.0, |k| k.1)
    }

    /// All of it as expected.
    pub(super) fn whole(&self) -> Rest {
        self.after(Place { leg: 0, copies_done: 0, rounds_done: 0 }, 0.0)
    }

    /// What is still to be used after the last weigh-in.
    pub(super) fn rest(&self) -> Rest {
        let start = Place { leg: 0, copies_done: 0, rounds_done: 0 };
        self.after(self.last.unwrap_or(start), self.knots.last().map_or(0.0, |k| k.0))
    }

    /// What comes after a place up to which `done_g` is expected. Tails of the copy in hand count in the share that
    /// is left of it.
    fn after(&self, place: Place, done_g: f64) -> Rest {
        let mut rest = Rest::default();
        let mut weighed_square = 0.0;
        for (i, leg) in self.legs.iter().enumerate().skip(place.leg) {
            let mut copies = f64::from(leg.copies);
            if i == place.leg {
                let rounds = place.rounds_done.min(leg.up_to_g.len() - 1);
                let share = if leg.copy_g() > 0.0 { leg.up_to_g[rounds] / leg.copy_g() } else { 0.0 };
                copies -= f64::from(place.copies_done) + share;
            }
            if leg.weighed {
                rest.weighed_g += copies * leg.stitches_g;
                weighed_square += (copies * scale_g(leg.stitches_g)).powi(2);
            } else {
                rest.stitches_g += copies * leg.stitches_g;
            }
            rest.tails_g = plus(rest.tails_g, leg.tails_g, copies);
            rest.sewing_g = plus(rest.sewing_g, leg.sewing_g, copies);
        }
        rest.weighed_spread_g = f64::sqrt(weighed_square);
        // Sums in another order must not leave a rest where nothing is left.
        if self.whole_g - done_g <= 1e-12 * self.whole_g {
            return Rest::default();
        }
        rest
    }

    /// Where `grams` are used up, if everything after the last weigh-in uses `pace` times what is expected.
    pub(super) fn locate(&self, grams: f64, pace: f64) -> Option<Place> {
        let mut from = (0.0, 0.0);
        for knot in &self.knots {
            if grams <= knot.1 {
                let share = (grams - from.1) / (knot.1 - from.1);
                return self.place_at(from.0 + share * (knot.0 - from.0));
            }
            from = *knot;
        }
        self.place_at(from.0 + (grams - from.1) / pace)
    }

    /// The round in which this much is expected to be used; `None` beyond the end.
    fn place_at(&self, expected_g: f64) -> Option<Place> {
        if expected_g > self.whole_g {
            return None;
        }
        let mut left = expected_g;
        for (i, leg) in self.legs.iter().enumerate() {
            let copy_g = leg.copy_g();
            if left > f64::from(leg.copies) * copy_g || copy_g <= 0.0 {
                left -= f64::from(leg.copies) * copy_g;
                continue;
            }
            let copies_done = ((left / copy_g) as u32).min(leg.copies - 1);
            let in_copy = left - f64::from(copies_done) * copy_g;
            let round = leg.up_to_g.partition_point(|g| *g < in_copy).clamp(1, leg.up_to_g.len() - 1);
            return Some(Place { leg: i, copies_done, rounds_done: round - 1 });
        }
        None
    }

    /// A place in words.
    pub(super) fn spot(&self, toy: &Toy, place: Place) -> Spot {
        let part = self.legs.get(place.leg).map_or_else(String::new, |l| toy.pieces[l.piece].part.name.clone());
        let round = u32::try_from(place.rounds_done + 1).unwrap_or(u32::MAX);
        Spot { part, copy: place.copies_done + 1, round }
    }

    /// Used up to where this much is expected, g.
    fn used_at(&self, expected_g: f64) -> f64 {
        let mut from = (0.0, 0.0);
        for knot in &self.knots {
            if expected_g <= knot.0 {
                return from.1 + (expected_g - from.0) * (knot.1 - from.1) / (knot.0 - from.0);
            }
            from = *knot;
        }
        from.1 + (expected_g - from.0)
    }
}

/// The use of a yarn after every round of every copy, in the order of work: for a strip along the rounds and for a work
/// sheet. Only parts that have any of it; empty for a yarn that there is not.
pub fn work_rows(toy: &Toy, made: &Made, yarn: &str) -> Vec<WorkRow> {
    let fabrics: Vec<Fabric> = made.shapes.iter().map(|s| s.fabric).collect();
    let all = curves(toy, &fabrics);
    let Some(curve) = all.iter().find(|c| c.name == yarn) else { return Vec::new() };
    let tex = curve.fabric.tex.value();
    let ball_g = toy.yarn(yarn).and_then(|y| y.stock.ball_mass_g(tex));
    let mut rows = Vec::new();
    let mut before = 0.0;
    for leg in &curve.legs {
        for copy in 1..=leg.copies {
            for (round, up_to) in leg.up_to_g.iter().enumerate().skip(1) {
                if rows.len() >= MOST_ROWS {
                    return rows;
                }
                let grams = curve.used_at(before + up_to);
                rows.push(WorkRow {
                    piece: leg.piece,
                    copy,
                    round: u32::try_from(round).unwrap_or(u32::MAX),
                    metres: grams * 1e3 / tex,
                    grams,
                    // A ball that ends with the round is still the one in hand.
                    ball: ball_g.map(|ball| ((grams / ball - 1e-9).ceil().max(1.0)) as u32),
                });
            }
            before += leg.copy_g();
        }
    }
    rows
}
