//! What is to be reached, and how far a toy is from it.

use std::collections::BTreeMap;

use crate::measure::joint::{HOLDS_FROM, NODS_FROM};
use crate::measure::necks::{Neck, small_g};
use crate::measure::standing::StandVerdict;
use crate::measure::{Finding, FindingKind, Glance, Severity};
use crate::toy::Toy;
use crate::toy::wishes::Targets;

/// Something to reach.
#[derive(Clone, Debug, PartialEq)]
pub enum Goal {
    /// It leans at least this far before it falls, degrees.
    Tip(f64),
    /// The joints of this part that the toy is judged by bear at least this share of their load.
    Neck {
        /// Name of the part; every part where none is named.
        part: Option<String>,
        /// Least load share.
        share: f64,
    },
    /// No severe finding of this kind is left about this part.
    Without {
        /// The kind.
        kind: FindingKind,
        /// Name of the part, where it is about one.
        part: Option<String>,
    },
    /// Mass of the head against the rest is at most this.
    HeadToBody(f64),
    /// Height, mm.
    Height {
        /// Wanted, mm.
        mm: f64,
        /// Give or take, mm.
        within_mm: f64,
        /// The toy is to grow (or to shrink).
        taller: bool,
    },
    /// At most this much yarn of this name (all yarns where none is named), g.
    Yarn {
        /// Name of the yarn.
        yarn: Option<String>,
        /// Most, g.
        grams: f64,
    },
}

/// Lean from which a toy stands, and from which it topples no more, degrees: see [`StandVerdict`].
const STANDS_DEG: f64 = 10.0;
const TOPPLES_DEG: f64 = 4.0;

/// Whether a finding is one of how the toy stands, whose kinds take turns.
pub fn about_standing(kind: FindingKind) -> bool {
    matches!(kind, FindingKind::HeadHeavy | FindingKind::TipsEasily | FindingKind::Rocks)
}

/// What mends a severe finding, and what mends it for good where that asks for more.
pub fn goals_of(finding: &Finding) -> (Vec<Goal>, Option<Vec<Goal>>) {
    match (&finding.kind, &finding.part) {
        (kind, _) if about_standing(*kind) => (vec![Goal::Tip(TOPPLES_DEG)], Some(vec![Goal::Tip(STANDS_DEG)])),
        (FindingKind::FloppyNeck, part) => {
            let neck = |share| vec![Goal::Neck { part: part.clone(), share }];
            (neck(NODS_FROM), Some(neck(HOLDS_FROM)))
        }
        (kind, part) => (vec![Goal::Without { kind: *kind, part: part.clone() }], None),
    }
}

/// The goals that the maker's targets are; `look` is the toy as it is.
pub fn goals_of_targets(targets: &Targets, toy: &Toy, look: &Glance) -> Vec<Goal> {
    let mut goals = Vec::new();
    let number = |x: Option<f64>| x.filter(|v| v.is_finite() && *v > 0.0);
    goals.extend(number(targets.tip_deg_min).map(Goal::Tip));
    goals.extend(number(targets.neck_share_min).map(|share| Goal::Neck { part: None, share }));
    goals.extend(number(targets.head_to_body_max).map(Goal::HeadToBody));
    if let Some(mm) = number(targets.height_mm) {
        let half_round = crate::measure::made::main_fabric(toy).h_mm.value() / 2.0;
        goals.push(Goal::Height { mm, within_mm: half_round.max(0.01 * mm), taller: mm > look.height_mm });
    }
    goals.extend(number(targets.at_most_g_of_yarn).map(|grams| Goal::Yarn { yarn: None, grams }));
    let each = targets.at_most_g_of.iter().filter(|y| number(Some(y.grams)).is_some());
    goals.extend(each.map(|y| Goal::Yarn { yarn: Some(y.yarn.clone()), grams: y.grams }));
    goals
}

impl Goal {
    /// How far a toy is from it, as a share of the goal: 0 where it is reached, below 0 where it is overshot.
    pub fn gap(&self, toy: &Toy, look: &Glance) -> f64 {
        match self {
            Goal::Tip(deg) => tip_gap(*deg, toy, look),
            Goal::Neck { part, share } => (1.0 - weakest_share(toy, look, part.as_deref()) / share).max(0.0),
            Goal::Without { kind, part } => {
                let left = severe(look).filter(|f| f.kind == *kind && f.part == *part).count();
                left as f64
            }
            Goal::HeadToBody(most) => look.head_to_body.map_or(1.0, |r| (r / most - 1.0).max(0.0)),
            Goal::Height { mm, within_mm, taller } => {
                let short = if *taller { mm - look.height_mm } else { look.height_mm - mm };
                if short.abs() <= *within_mm { 0.0 } else { short / mm }
            }
            Goal::Yarn { yarn, grams } => {
                let used: f64 =
                    look.yarns.iter().filter(|y| yarn.as_ref().is_none_or(|n| *n == y.0)).map(|y| y.2).sum();
                (used / grams - 1.0).max(0.0)
            }
        }
    }

    /// Whether it takes to know how the toy stands, or its findings.
    pub fn asks_for_standing(&self) -> bool {
        matches!(self, Goal::Tip(_) | Goal::Without { .. })
    }

    /// What is wanted, in words.
    pub fn words(&self) -> String {
        match self {
            Goal::Tip(deg) => format!("leans at least {deg:.0}° before it falls"),
            Goal::Neck { share, .. } => format!("its necks bear at least {:.0} % of their load", 100.0 * share),
            Goal::Without { kind, .. } => format!("no {}", kind.word().replace('_', " ")),
            Goal::HeadToBody(most) => format!("head to body at most {most:.2} to 1 by weight"),
            Goal::Height { mm, within_mm, .. } => format!("{mm:.0} mm tall, give or take {within_mm:.0}"),
            Goal::Yarn { yarn: Some(yarn), grams } => format!("at most {grams:.0} g of {yarn}"),
            Goal::Yarn { yarn: None, grams } => format!("at most {grams:.0} g of yarn"),
        }
    }
}

/// A toy that rocks is the farther from standing the higher its centre of mass lies against how broad it is where it
/// bears (a round base stands if its centre of mass is below its centre of curvature), and the less its weakest neck
/// bears (a head that nods at once pulls over what would stand).
fn tip_gap(deg: f64, toy: &Toy, look: &Glance) -> f64 {
    let Some(standing) = &look.standing else { return 2.0 };
    match standing.verdict {
        StandVerdict::Rocks => {
            let whole = crate::measure::weigh::placed(&look.made.poses, &look.made.masses);
            let bearing = look.made.shapes.iter().zip(&look.made.poses).filter(|(_, p)| p.bears);
            let broad_mm = bearing.map(|(s, _)| s.widest_mm() / 2.0).fold(0.0, f64::max);
            let high = whole.centre_mm.z / (whole.centre_mm.z + broad_mm).max(1e-9);
            let limp = 1.0 - weakest_share(toy, look, None).min(1.0);
            1.0 + 0.5 * (high + limp)
        }
        _ => (1.0 - standing.weakest.tip_deg / deg).max(0.0),
    }
}

/// Load share of the weakest joint of those by which the toy is judged: as in the findings, what a joint carries
/// stands above it and is no small thing. The joint of a named part that carries most always counts: to make what it
/// carries small mends no neck.
fn weakest_share(toy: &Toy, look: &Glance, part: Option<&str>) -> f64 {
    let small_g = small_g(&look.made);
    let bears = |n: &&Neck| !n.joint.stick && n.load.centre_mm.z > n.pivot_mm.z;
    let named = |n: &&Neck| part.is_none_or(|p| toy.pieces[n.part].part.name == p);
    let carrying = || look.necks.iter().filter(bears).filter(named);
    let most = carrying().map(|n| n.load.mass_g).fold(0.0, f64::max);
    let judged = carrying().filter(|n| n.load.mass_g >= small_g || (part.is_some() && n.load.mass_g >= most));
    judged.map(|n| n.joint.load_share()).fold(f64::INFINITY, f64::min)
}

/// The severe findings.
pub fn severe(look: &Glance) -> impl Iterator<Item = &Finding> {
    look.findings.iter().filter(|f| f.severity == Severity::Severe)
}

/// How many severe findings there are of a kind about a part; the kinds about standing count as one.
pub type Severes = BTreeMap<(&'static str, Option<String>), usize>;

/// The severe findings, counted.
pub fn severes(look: &Glance) -> Severes {
    let mut counted = Severes::new();
    for finding in severe(look) {
        let word = if about_standing(finding.kind) { "stands" } else { finding.kind.word() };
        *counted.entry((word, finding.part.clone())).or_default() += 1;
    }
    counted
}

/// Whether nothing is severe that was not so before.
pub fn harmless(before: &Severes, after: &Severes) -> bool {
    after.iter().all(|(key, n)| before.get(key).is_some_and(|was| n <= was))
}
