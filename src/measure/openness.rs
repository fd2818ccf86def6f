//! Openness: whether the stuffing shows between the stitches, round by round.
//!
//! Cover is the yarn's projected area over the area of its fabric: a stitch has q·w of yarn, d wide, on w·h, so
//! cover = q·d/h, divided by the stretch of the stuffed shape around and along. Taller stitches have yarn and area
//! in the same measure and so the same cover.
//!
//! The yarn's width d is its own diameter by F. T. Peirce's cloth geometry (J. Textile Inst. 28, 1937, T45), the one
//! the fabric's thickness goes by. Widths by wraps per inch are about three times that; both go as the root of the
//! yarn count, so that the choice moves every cover and the limits below alike and decides nothing. The limits are
//! calibrated on the one fact at hand (common practice, no source): worsted two hook sizes below the label's closes,
//! one size below the stuffing shows.

use super::made::Made;
use super::report::{FabricReport, FabricRound};
use crate::figure::Figure;
use crate::rounds::StitchKind;
use crate::toy::Toy;
use crate::toy::shape::{PartShape, ShapeKind};
use crate::yarn::{CATEGORIES, Category, Fabric, HOOKS_MM, Yarn, fabric};

/// Stretch of a usual toy, around and along alike, at which the trade fact is meant: half of p·R/K for a ball of
/// 35 mm radius, medium stuffing (derived; the membrane's tension is p·R/2).
const USUAL_STRETCH: f64 = 0.0145;

/// How closed a fabric is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Openness {
    /// Stuffing shows.
    Shows,
    /// Between the two facts: it may show.
    Near,
    /// Closed.
    Closed,
}

impl Openness {
    /// The word programs read.
    pub fn word(self) -> &'static str {
        match self {
            Openness::Shows => "shows",
            Openness::Near => "near",
            Openness::Closed => "closed",
        }
    }

    /// Openness of a cover.
    pub fn of(cover: f64) -> Openness {
        let limits = limits();
        if cover >= limits.closes {
            Openness::Closed
        } else if cover > limits.shows {
            Openness::Near
        } else {
            Openness::Shows
        }
    }
}

/// Cover at which stuffing shows and from which a fabric is closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// At or below this it shows.
    pub shows: f64,
    /// From here on it is closed.
    pub closes: f64,
}

/// The limits, from worsted one and two hook sizes below the smallest hook of its label.
pub fn limits() -> Limits {
    static LIMITS: std::sync::OnceLock<Limits> = std::sync::OnceLock::new();
    *LIMITS.get_or_init(|| {
        let worsted = &CATEGORIES[4];
        let stretched = |sizes: usize| {
            let hook_mm = below_label_mm(worsted, sizes);
            let yarn = Yarn { category: Some(worsted.number), hook_mm, ..Yarn::default() };
            cover(&fabric(&yarn)).value / (1.0 + USUAL_STRETCH).powi(2)
        };
        Limits { shows: stretched(1), closes: stretched(2) }
    })
}

/// The hook so many sizes below the smallest one that the label of such a yarn names; `None` below the table.
pub fn below_label_mm(category: &Category, sizes: usize) -> Option<f64> {
    let label = HOOKS_MM.iter().rposition(|hook| *hook <= category.label_hook_mm.0)?;
    label.checked_sub(sizes).map(|i| HOOKS_MM[i])
}

/// Cover of a fabric that is not stretched, with its give or take.
pub fn cover(fabric: &Fabric) -> Figure {
    // Thickness is two diameters.
    let d = fabric.thickness_mm() / 2.0;
    let value = fabric.widths_per_stitch.value() * d / fabric.h_mm.value().max(1e-9);
    // How much yarn a stitch takes is one number for all fabrics, and calibrated away; what is left is how well
    // height and yarn count are known. The width goes as the root of the count.
    let spread = fabric.h_mm.figure.log_spread().hypot(fabric.tex.figure.log_spread() / 2.0);
    Figure::times_or_divided(value, spread.exp())
}

/// Cover of each round as it is stuffed, with its stretches around and along.
pub fn rounds(shape: &PartShape, heights: &[f64]) -> Vec<FabricRound> {
    let flat = cover(&shape.fabric).value;
    let around = |node: usize| shape.stretch_around.get(node).copied().unwrap_or(0.0);
    let rounds = heights.len();
    (1..=rounds)
        .map(|round| {
            let at_pole = |node: usize| shape.rest.radius_mm.get(node).is_none_or(|r| *r <= 1e-9);
            // The middle of a round lies between its edges; a pole has no stretch of its own.
            let stretch_around = match (at_pole(round - 1), at_pole(round)) {
                (true, _) => around(round),
                (false, true) => around(round - 1),
                _ => (around(round - 1) + around(round)) / 2.0,
            };
            let stretch_along = shape.stretch_along.get(round - 1).copied().unwrap_or(0.0);
            let grown = (1.0 + stretch_around).max(0.05) * (1.0 + stretch_along).max(0.05);
            let cover = flat / grown;
            let filled = shape.kind == ShapeKind::Stuffed && round <= shape.filled_links;
            // Between tall posts lie tall holes (common practice, no source: toys are worked in single crochet).
            let tall = heights[round - 1] >= StitchKind::Double.height_in_single() - 1e-9;
            let verdict = match Openness::of(cover) {
                _ if !filled => "empty",
                _ if tall => Openness::Shows.word(),
                openness => openness.word(),
            };
            FabricRound { stretch_around, stretch_along, cover, verdict }
        })
        .collect()
}

/// The largest hook of the table at which a round of this cover would be closed, mm. The round's height goes as the
/// stitch width, which grows by 1.08 mm a mm of hook (the fit that estimates widths).
pub fn closing_hook_mm(fabric: &Fabric, cover: f64) -> Option<f64> {
    let shrink = cover / limits().closes;
    if shrink >= 1.0 {
        return None;
    }
    let hook_mm = fabric.hook_mm - fabric.w_mm.value() * (1.0 - shrink) / 1.08;
    HOOKS_MM.iter().copied().rfind(|hook| *hook <= hook_mm + 1e-9)
}

/// The fabric of every part.
pub(super) fn fabrics(toy: &Toy, made: &Made) -> Vec<FabricReport> {
    let each = toy.pieces.iter().zip(&made.shapes);
    each.map(|(piece, shape)| {
        let part = &piece.part;
        let heights: Vec<f64> = part.rounds.iter().map(|r| r.height_in_single()).collect();
        let rounds = rounds(shape, &heights);
        let stuffed = rounds.iter().enumerate().filter(|(_, r)| r.verdict != "empty");
        let rank = |r: &FabricRound| (r.verdict != "shows", r.cover);
        let worst = stuffed.min_by(|(_, a), (_, b)| {
            let (a, b) = (rank(a), rank(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        let category = &CATEGORIES[usize::from(shape.fabric.category).min(CATEGORIES.len() - 1)];
        let open = worst.filter(|(_, r)| r.verdict != "closed");
        FabricReport {
            part: part.name.clone(),
            yarn: toy.yarn(&part.yarn).map_or_else(|| part.yarn.clone(), |y| y.name.clone()),
            hook_mm: shape.fabric.hook_mm,
            cover: cover(&shape.fabric),
            verdict: worst.map_or("empty", |(_, r)| r.verdict),
            worst_round: worst.and_then(|(i, _)| u32::try_from(i + 1).ok()),
            closing_hook_mm: open.and_then(|(_, r)| closing_hook_mm(&shape.fabric, r.cover)),
            two_below_label_mm: below_label_mm(category, 2),
            label_hook_mm: category.label_hook_mm.0,
            rounds,
        }
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_calibration_reproduces_its_fact() {
        let worsted = |hook_mm| {
            let yarn = Yarn { category: Some(4), hook_mm, ..Yarn::default() };
            Openness::of(cover(&fabric(&yarn)).value / (1.0 + USUAL_STRETCH).powi(2))
        };
        let worsted_row = &CATEGORIES[4];
        assert_eq!(worsted(below_label_mm(worsted_row, 2)), Openness::Closed);
        assert_eq!(worsted(below_label_mm(worsted_row, 1)), Openness::Shows);
    }

    #[test]
    fn the_closing_hook_closes() {
        let on = |hook_mm: f64| fabric(&Yarn { category: Some(4), hook_mm: Some(hook_mm), ..Yarn::default() });
        let open = on(6.5);
        let stretch = 1.06;
        let hook = closing_hook_mm(&open, cover(&open).value / stretch).expect("some hook closes it");
        assert_eq!(Openness::of(cover(&on(hook)).value / stretch), Openness::Closed);
        let next = HOOKS_MM[HOOKS_MM.iter().position(|h| *h == hook).expect("of the table") + 1];
        assert_ne!(Openness::of(cover(&on(next)).value / stretch), Openness::Closed);
        assert_eq!(closing_hook_mm(&on(3.0), cover(&on(3.0)).value), None);
    }
}
