//! What the rules of the craft, or of stuffing, do not allow in a wanted outline, in plain sentences.

use serde::Serialize;

use super::fit::Fit;
use super::inverse::{NOT_STUFFED, Real};
use super::plan::Plan;
use super::rules::Rules;

/// What is meant by a remark; the list is closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RemarkKind {
    /// No stuffing gives such an outline: it would need fabric that pushes.
    NotStuffed,
    /// An edge sharper than one round.
    SharpCorner,
    /// A flat end, which stuffing rounds out.
    FlatEnd,
    /// It comes back down along its axis.
    TurnsBack,
    /// It grows or shrinks faster than the stitches of a round can.
    TooSteep,
    /// Thinner than the fewest stitches.
    TooThin,
    /// The stuffing is more than this fabric holds.
    Overstuffed,
    /// A flat base was made: a round in back loops edges it.
    FlatBase,
    /// Whole stitches and rounds come no nearer than this.
    OffByMore,
}

/// A remark on an outline.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Remark {
    /// What it is about.
    pub kind: RemarkKind,
    /// Heights along the wanted outline that it is about, from and to, mm.
    pub from_mm: f64,
    /// See `from_mm`.
    pub to_mm: f64,
    /// The sentence.
    pub message: String,
}

/// What the remarks are made from.
pub(super) struct Seen<'a> {
    pub(super) real: &'a Real,
    /// Real stitches of each round.
    pub(super) stitches: Vec<f64>,
    pub(super) plan: Plan,
    pub(super) rules: &'a Rules,
    pub(super) w_mm: f64,
    pub(super) h_mm: f64,
    pub(super) half_thickness_mm: f64,
}

impl Seen<'_> {
    /// Largest distance of the nodes with heights in a band, a round more on either side.
    fn error_near(&self, fit: &Fit, from: f64, to: f64) -> f64 {
        let near = fit.outline.iter().zip(&fit.error.node_mm);
        let near = near.filter(|(p, _)| p.y >= from - self.h_mm && p.y <= to + self.h_mm);
        let nodes = near.map(|(_, d)| d.abs()).fold(0.0, f64::max);
        let worst = fit.error.worst_at_mm.y;
        if worst >= from - self.h_mm && worst <= to + self.h_mm { nodes.max(fit.error.max_mm) } else { nodes }
    }
}

/// Everything that is to be said of a fit.
pub(super) fn remarks(fit: &Fit, seen: &Seen<'_>) -> Vec<Remark> {
    let mut found = Vec::new();
    ends(fit, seen, &mut found);
    turns_back(fit, seen, &mut found);
    gathers(fit, seen, &mut found);
    steep(fit, seen, &mut found);
    if fit.shape.overstuffed {
        let top = fit.wanted.height_mm();
        let message = "This fabric cannot hold the stuffing at this density: the outline is met at the most it holds. \
                       Stuff less firmly, or work tighter."
            .to_owned();
        found.push(Remark { kind: RemarkKind::Overstuffed, from_mm: 0.0, to_mm: top, message });
    }
    if !fit.within && !found.iter().any(|r| r.explains(fit, seen)) {
        let at = fit.error.worst_at_mm;
        let message = format!(
            "At height {:.0} mm the nearest rounds are {:.1} mm off, more than half a stitch ({:.1} mm): whole stitches \
             and whole rounds come no nearer there.",
            at.y,
            fit.error.max_mm,
            0.5 * seen.w_mm
        );
        found.push(Remark { kind: RemarkKind::OffByMore, from_mm: at.y, to_mm: at.y, message });
    }
    found
}

impl Remark {
    /// Whether it lies where the largest distance is.
    fn explains(&self, fit: &Fit, seen: &Seen<'_>) -> bool {
        let at = fit.error.worst_at_mm.y;
        self.kind != RemarkKind::FlatBase && at >= self.from_mm - 2.0 * seen.h_mm && at <= self.to_mm + 2.0 * seen.h_mm
    }
}

fn ends(fit: &Fit, seen: &Seen<'_>, found: &mut Vec<Remark>) {
    let top = fit.wanted.height_mm();
    if seen.plan.disc > 0 {
        let message = format!(
            "The flat start is worked as a disc of {} rounds with a hard edge: round {} is worked in back loops.",
            seen.plan.disc,
            seen.plan.disc + 1
        );
        found.push(Remark { kind: RemarkKind::FlatBase, from_mm: 0.0, to_mm: 0.0, message });
    }
    for (at_finish, height) in [(false, 0.0), (true, top)] {
        let flat = fit.wanted.flat_end_mm(at_finish);
        let made = !at_finish && seen.plan.disc > 0;
        let off = seen.error_near(fit, height, height);
        if flat > seen.h_mm && !made && off > 0.25 * seen.w_mm {
            let (which, remedy) = if at_finish {
                (
                    "finish",
                    "Work the part from that end, where a disc and a round in back loops keep it flat, or leave it open and sew a disc on",
                )
            } else {
                ("start", "A stiff disc inside keeps it flat")
            };
            let message = format!(
                "The {which} is flat, {:.0} mm across; stuffing rounds it out by up to {off:.1} mm. {remedy}.",
                2.0 * flat
            );
            found.push(Remark { kind: RemarkKind::FlatEnd, from_mm: height, to_mm: height, message });
        }
    }
}

/// Where the outline comes back down by more than a quarter of a round.
fn turns_back(fit: &Fit, seen: &Seen<'_>, found: &mut Vec<Remark>) {
    let points = fit.wanted.points();
    let mut highest = f64::NEG_INFINITY;
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for p in points {
        highest = highest.max(p.y);
        if p.y < highest - 0.25 * seen.h_mm {
            (low, high) = (low.min(p.y), high.max(highest));
        }
    }
    if low < high {
        let message = format!(
            "Between heights {low:.0} and {high:.0} mm the outline turns back toward its start. Stuffing always pushes such a \
             fold out: work what lies beyond as a part of its own."
        );
        found.push(Remark { kind: RemarkKind::TurnsBack, from_mm: low, to_mm: high, message });
    }
}

/// Runs of nodes whose fabric would have to push.
fn gathers(fit: &Fit, seen: &Seen<'_>, found: &mut Vec<Remark>) {
    let hoop = &seen.real.hoop;
    let mut i = 0;
    while i < hoop.len() {
        let run = hoop[i..].iter().take_while(|e| **e < NOT_STUFFED).count();
        if run == 0 {
            i += 1;
            continue;
        }
        let at = |k: usize| seen.real.nodes[k].y;
        let (from, to) = (at(i), at(i + run - 1));
        let off = seen.error_near(fit, from, to);
        i += run;
        if off <= 0.25 * seen.w_mm {
            continue;
        }
        let (kind, message) = if run <= 2 {
            (
                RemarkKind::SharpCorner,
                format!(
                    "At height {from:.0} mm the outline has an edge sharper than one round; stuffing rounds it, by {off:.1} mm. \
                     A round in back loops or a seam sharpens it a little."
                ),
            )
        } else {
            (
                RemarkKind::NotStuffed,
                format!(
                    "Between heights {from:.0} and {to:.0} mm no stuffed shape has this outline: the fabric would have to push. \
                     The nearest one is {off:.1} mm off; make it rounder, or work it as two parts."
                ),
            )
        };
        found.push(Remark { kind, from_mm: from, to_mm: to, message });
    }
}

/// Rounds that the rules for stitches do not reach.
fn steep(fit: &Fit, seen: &Seen<'_>, found: &mut Vec<Remark>) {
    let real = &seen.stitches;
    let rules = seen.rules;
    let place = |round: usize| {
        let node = (round + 1).saturating_sub(seen.plan.disc);
        seen.real.nodes.get(node).map_or(0.0, |p| p.y + seen.half_thickness_mm)
    };
    let counts = fit.counts();
    for i in 0..real.len() {
        let at = place(i);
        let off = seen.error_near(fit, at, at);
        if off <= 0.5 * seen.w_mm {
            continue;
        }
        let fewer = i > 0 && real[i - 1] > real[i] * f64::from(rules.most_together) + 1.0;
        let more = i > 0 && real[i] > real[i - 1] * f64::from(rules.most_into_one) + 1.0;
        let (low, high) = rules.bounds(i, real.len(), seen.plan.ends());
        let (kind, what) = if fewer || more {
            let word = if more { "grows" } else { "shrinks" };
            (
                RemarkKind::TooSteep,
                format!(
                    "From round {i} to {} the outline {word} from {:.0} to {:.0} stitches, more than {} in one",
                    i + 1,
                    real[i - 1],
                    real[i],
                    if more { rules.most_into_one } else { rules.most_together }
                ),
            )
        } else if real[i] > f64::from(high) + 1.0 {
            (
                RemarkKind::TooSteep,
                format!("Round {} would need {:.0} stitches; at most {high} can be there", i + 1, real[i]),
            )
        } else if real[i] < f64::from(low) - 1.0 {
            (
                RemarkKind::TooThin,
                format!("Round {} would need {:.1} stitches; at least {low} can be there", i + 1, real[i]),
            )
        } else {
            continue;
        };
        let message = format!("{what}. The nearest rounds are {off:.1} mm off there.");
        let same = found.iter().any(|r| r.kind == kind && (r.to_mm - at).abs() <= 2.0 * seen.h_mm);
        if !same && i < counts.len() {
            found.push(Remark { kind, from_mm: at, to_mm: at, message });
        }
    }
}
