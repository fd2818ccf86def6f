//! Cautions. The program informs; it certifies nothing, and local law and a licensed test come first.

use super::{about, whole};
use crate::measure::made::Made;
use crate::measure::report::{Caution, CautionsReport, DEFERS, Finding, FindingKind, Severity, SizeMm};
use crate::measure::small_parts::{
    CYLINDER_MM, Outline, SMALL_BALL_MM, fits_cylinder, part_fits_cylinder, passes_ball_template,
};
use crate::toy::{Copies, ExtraKind, Joint, Seat, Spot, Toy};

/// Age under which small parts must not come off, months (16 CFR 1501.2; EN 71-1).
const SMALL_PARTS_MONTHS: u32 = 36;
/// Age under which cords are limited, months, and their length, mm (an older edition of EN 71-1).
const CORD: (u32, f64) = (18, 220.0);
/// Age under which no soft thing belongs in the bed, months (American Academy of Pediatrics, 2022).
const SLEEP_MONTHS: u32 = 12;
/// Flux index from which a loose magnet is a hazard, kG²·mm² (16 CFR 1262.2).
const FLUX_INDEX: f64 = 50.0;

const SMALL_PARTS: &str = "16 CFR 1501.4, EN 71-1";

const CHECKS: [&str; 8] = [
    "eyes, noses and magnets against the small-parts cylinder (31.7 mm across, 25.4 to 57.1 mm deep; 16 CFR 1501.4, EN 71-1)",
    "crocheted parts and the whole toy against the same cylinder, unpressed",
    "balls against the template of 44.5 mm (EN 71-1)",
    "what is attached: the twist and pull it has to bear (EN 71-1 8.3, 8.4)",
    "cords against 220 mm (an older edition of EN 71-1)",
    "magnets by their flux index (16 CFR 1262.2)",
    "pellets, weights, sticks, wire and pins (16 CFR 1500.18; EN 71-1)",
    "age against the sleep space (American Academy of Pediatrics, 2022)",
];

/// Severity by age: the gravest for a child under the limit, a caution where the age is not known, a note above it.
fn by_age(toy: &Toy, under_months: u32) -> Severity {
    match toy.settings.child_months {
        Some(months) if months < under_months => Severity::Severe,
        Some(_) => Severity::Note,
        None => Severity::Warning,
    }
}

/// All cautions about a toy, worst first.
pub(in crate::measure) fn cautions(toy: &Toy, made: &Made, size: Option<SizeMm>) -> CautionsReport {
    let mut cautions = Vec::new();
    for extra in &toy.extras {
        of_extra(toy, extra, &mut cautions);
    }
    crocheted(toy, made, &mut cautions);
    whole_toy(toy, size, &mut cautions);
    if toy.settings.child_months.is_some_and(|m| m < SLEEP_MONTHS) {
        cautions.push(Caution {
            kind: "sleep_space",
            severity: Severity::Warning,
            part: None,
            extra: None,
            standard: "American Academy of Pediatrics, 2022",
            message:
                "Soft toys do not belong in the bed of a child under one year (American Academy of Pediatrics, 2022)."
                    .to_owned(),
            remedy: "Give it for waking hours, with someone near.".to_owned(),
        });
    }
    cautions.sort_by_key(|c| std::cmp::Reverse(c.severity));
    let concern = cautions.iter().any(|c| c.severity > Severity::Note);
    let age = match toy.settings.child_months {
        Some(months) => format!("for a child of {months} months"),
        None => "for a child whose age is not said".to_owned(),
    };
    let (verdict, message) = if concern {
        ("concern_found", format!("Concerns found {age}. {DEFERS}"))
    } else {
        ("no_concern_found", format!("No concern found by these checks {age}. They certify nothing. {DEFERS}"))
    };
    let child_months = toy.settings.child_months;
    CautionsReport { child_months, verdict, message, checks: CHECKS.to_vec(), cautions }
}

fn of_extra(toy: &Toy, extra: &crate::toy::Extra, cautions: &mut Vec<Caution>) {
    let name = &extra.name;
    let mut push = |kind, severity, standard, message: String, remedy: &str| {
        let remedy = remedy.to_owned();
        let (part, extra) = (Some(extra.part.clone()), Some(name.clone()));
        cautions.push(Caution { kind, severity, part, extra, standard, message, remedy });
    };
    let young = by_age(toy, SMALL_PARTS_MONTHS);
    match extra.kind {
        ExtraKind::Eye { diameter_mm } => {
            // A domed button, half as thick as wide; what the washer's shank adds is cut off or inside.
            let outline = Outline::Round { diameter_mm, length_mm: diameter_mm / 2.0 };
            if fits_cylinder(outline) {
                push(
                    "small_part",
                    young,
                    SMALL_PARTS,
                    format!(
                        "{name}: {diameter_mm:.0} mm across, it fits the small-parts cylinder (31.7 mm, 16 CFR 1501.4 and EN 71-1) and can choke a child under 36 months if it comes off."
                    ),
                    "Stitch the eyes for a child under three: satin stitch, a French knot, or an appliqué of crocheted rounds.",
                );
            }
            let pull_n = if diameter_mm <= 6.0 { 50 } else { 90 };
            push(
                "attachment",
                Severity::Note,
                "EN 71-1 8.3, 8.4",
                format!(
                    "{name}: what a child can grip has to bear a twist of 0.34 N·m and a pull of {pull_n} N (EN 71-1)."
                ),
                "Press the washer home before stuffing, in closed fabric, and try it: 90 N is a hanging weight of 9 kg.",
            );
        }
        ExtraKind::Pellets => push(
            "pellets",
            young,
            SMALL_PARTS,
            format!(
                "{name}: pellets that get out can be swallowed (each fits the small-parts cylinder, 16 CFR 1501.4 and EN 71-1)."
            ),
            "Keep them in a sewn inner bag, and out of toys for children under three.",
        ),
        ExtraKind::Weight => push(
            "weight",
            young,
            SMALL_PARTS,
            format!("{name}: a hard weight inside can be swallowed if it gets out, or hurt when the toy is thrown."),
            "Sew it into an inner bag; for a child under three, widen the base instead.",
        ),
        ExtraKind::NeckStick => push(
            "neck_stick",
            young,
            "16 CFR 1500.18",
            format!("{name}: a stick in the neck can break or come through the fabric."),
            "Never in a child's toy: widen and stuff the neck instead.",
        ),
        ExtraKind::Wire => push(
            "wire",
            // Whatever the age: points come through.
            if toy.settings.child_months.is_some() { Severity::Severe } else { Severity::Warning },
            "16 CFR 1500.18(a)(3)",
            format!("{name}: wire and pins work their points through the fabric (16 CFR 1500.18(a)(3))."),
            "Never in a child's toy: shape it by stuffing and seams.",
        ),
        ExtraKind::Cord { length_mm } if length_mm > CORD.1 => push(
            "cord",
            by_age(toy, CORD.0),
            "EN 71-1, older edition",
            format!(
                "{name}: {length_mm:.0} mm long; cords of toys for children under 18 months are at most 220 mm (older edition of EN 71-1): a longer one can go round a neck."
            ),
            "Shorten it, or crochet it into the part. Newer editions differ.",
        ),
        ExtraKind::Magnet { diameter_mm, flux_index } => {
            let fits = fits_cylinder(Outline::Ball { diameter_mm });
            if fits && flux_index.is_none_or(|f| f >= FLUX_INDEX) {
                let said =
                    flux_index.map_or("its flux index is not known".to_owned(), |f| format!("flux index {f:.0}"));
                push(
                    "magnet",
                    if toy.settings.child_months.is_none() { Severity::Warning } else { Severity::Severe },
                    "16 CFR 1262.2",
                    format!(
                        "{name}: {said}, and it fits the small-parts cylinder. Two such magnets swallowed can close the gut between them: a flux index below 50 kG²mm² or a larger piece is asked for (16 CFR 1262.2)."
                    ),
                    "Leave magnets out of toys: a button loop or a stitched hand holds as well.",
                );
            } else if fits {
                push(
                    "small_part",
                    young,
                    SMALL_PARTS,
                    format!(
                        "{name}: {diameter_mm:.0} mm across, it fits the small-parts cylinder (16 CFR 1501.4, EN 71-1)."
                    ),
                    "Sew it into an inner bag, or leave it out.",
                );
            }
        }
        ExtraKind::Other => {
            let on_surface = matches!(extra.spot, Spot::Surface(_));
            if on_surface {
                push(
                    "attachment",
                    Severity::Note,
                    "EN 71-1 8.3, 8.4",
                    format!(
                        "{name}: its size is not known here. What can come off must not fit a cylinder {CYLINDER_MM} mm across (16 CFR 1501.4, EN 71-1)."
                    ),
                    "Measure it, and sew it on to bear 90 N.",
                );
            }
        }
        ExtraKind::Cord { .. } => {}
    }
}

/// Sewn-on parts that fit the cylinder: one caution for all.
fn crocheted(toy: &Toy, made: &Made, cautions: &mut Vec<Caution>) {
    let sewn = toy.pieces.iter().zip(&made.shapes).zip(&made.poses).filter(|((piece, shape), pose)| {
        let worked_in_one = piece.placement.joint == Joint::WorkedInOne;
        // What has no place yet will be sewn on too.
        let will_be_sewn = pose.parent.is_some() || piece.placement.seat == Seat::Beside;
        will_be_sewn && !worked_in_one && shape.nodes.len() > 1 && part_fits_cylinder(&shape.outer)
    });
    let names: Vec<&str> = sewn.map(|((piece, _), _)| piece.part.name.as_str()).collect();
    if names.is_empty() {
        return;
    }
    let young = toy.settings.child_months.is_some_and(|m| m < SMALL_PARTS_MONTHS);
    let one = names.len() == 1;
    cautions.push(Caution {
        kind: "small_crocheted_part",
        severity: if young { Severity::Warning } else { Severity::Note },
        part: one.then(|| names[0].to_owned()),
        extra: None,
        standard: SMALL_PARTS,
        message: format!(
            "{}: small enough for the small-parts cylinder ({CYLINDER_MM} mm across, 16 CFR 1501.4 and EN 71-1) if {} off.",
            names.join(", "),
            if one { "it comes" } else { "they come" }
        ),
        remedy: "Sew on with doubled yarn, twice round, and pull with 90 N (9 kg); or work in one, or embroider instead."
            .to_owned(),
    });
}

/// The toy itself, where it is smaller than the cylinder or a ball that passes the template.
fn whole_toy(toy: &Toy, size: Option<SizeMm>, cautions: &mut Vec<Caution>) {
    let Some(size) = size else { return };
    let (wide, deep, tall) = (size.x.value, size.y.value, size.z.value);
    let widest = wide.max(deep);
    let mut push = |kind, standard, message: String| {
        cautions.push(Caution {
            kind,
            severity: by_age(toy, SMALL_PARTS_MONTHS),
            part: None,
            extra: None,
            standard,
            message,
            remedy: "Make it larger for a child under three: a thicker yarn, or more rounds.".to_owned(),
        });
    };
    // Its outline is not that of a rod: what would fit as a ball of its greatest measure is named too.
    let rod = Outline::Round { diameter_mm: widest, length_mm: tall };
    if fits_cylinder(rod) || fits_cylinder(Outline::Ball { diameter_mm: widest.max(tall) }) {
        push(
            "small_part",
            SMALL_PARTS,
            format!(
                "The whole toy fits the small-parts cylinder ({CYLINDER_MM} mm across, 16 CFR 1501.4 and EN 71-1): it can choke a child under 36 months."
            ),
        );
    } else if toy.pieces.len() == 1
        && toy.pieces[0].placement.copies == Copies::One
        && wide.min(deep).min(tall) > 0.8 * widest.max(tall)
        && passes_ball_template(widest.max(tall))
    {
        push(
            "small_ball",
            "EN 71-1",
            format!(
                "A ball {:.0} mm across passes the template for small balls ({SMALL_BALL_MM} mm, EN 71-1).",
                widest.max(tall)
            ),
        );
    }
}

/// Cautions that ask for a change, as findings; the rest stay in the list of cautions.
pub(super) fn look(cautions: &CautionsReport, found: &mut Vec<Finding>) {
    for caution in cautions.cautions.iter().filter(|c| c.kind != "attachment") {
        let remedy = format!("{} {DEFERS}", caution.remedy);
        let finding = match &caution.part {
            Some(part) => about(FindingKind::Safety, caution.severity, part, None, caution.message.clone(), &remedy),
            None => whole(FindingKind::Safety, caution.severity, &caution.message, &remedy),
        };
        found.push(finding);
    }
}
