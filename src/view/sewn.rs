//! Places on the worked fabric in words: seams and faces by round and stitch, as text and paper say them.

use crate::figure::Figure;
use crate::measure::report::{FacePlace, SeamCopy, SeamReport, SewnOff};

/// Leans from which on sewing a round or a stitch off is worth a word, degrees.
const WORTH_A_WORD_DEG: f64 = 0.5;

/// Where one copy of a seam runs.
pub fn seam_place(seam: &SeamReport, copy: &SeamCopy) -> String {
    let middle = copy.middle;
    let beside = copy.rounds.iter().find(|c| c.round == middle.round);
    match (copy.rounds.first(), copy.rounds.last(), beside) {
        (Some(first), Some(last), _) if copy.all_around && first.round == last.round => {
            format!("all around round {}", first.round)
        }
        (Some(first), Some(last), _) if copy.all_around => {
            format!("all around rounds {} to {}", first.round, last.round)
        }
        (Some(first), Some(last), Some(at)) if seam.joint != "folded_flat" => format!(
            "rounds {} to {}; at round {} stitches {} to {}, the middle at {}",
            first.round, last.round, at.round, at.from_stitch, at.to_stitch, middle.stitch
        ),
        (Some(first), Some(last), _) => format!(
            "in a line from round {}, stitch {}, to round {}, stitch {}, the middle at round {}, stitch {}",
            first.round, first.from_stitch, last.round, last.to_stitch, middle.round, middle.stitch
        ),
        _ => format!("at round {}, stitch {}", middle.round, middle.stitch),
    }
}

/// Stitches from a round's beginning with the range that the drift of the rounds gives: "24.5 (23.0–26.9)".
fn drifting(stitches: Figure) -> String {
    let (low, high) = (format!("{:.1}", stitches.low), format!("{:.1}", stitches.high));
    let value = format!("{:.1}", stitches.value);
    if low == high { value } else { format!("{value} ({low}–{high})") }
}

/// Where one copy of something on a surface goes.
pub fn face_place(face: &FacePlace) -> String {
    let apart = match face.stitches_from_first {
        on if on > 0.05 => format!(", {on:.1} stitches on from the first"),
        back if back < -0.05 => format!(", {:.1} stitches back from the first", -back),
        _ => String::new(),
    };
    let at = face.place;
    format!("round {}, stitch {} of {} ({}){apart}", at.round, at.stitch, at.of, drifting(at.stitches_from_start))
}

/// What sewing a round or a stitch off costs, where that is worth a word.
pub fn sewn_off(seam: &SeamReport) -> Option<String> {
    let worst = |off: SewnOff| {
        [off.round_down_deg, off.round_up_deg, off.stitch_on_deg, off.stitch_back_deg].into_iter().fold(0.0, f64::min)
    };
    let worst = seam.sewn_off.map(worst).filter(|off| *off <= -WORTH_A_WORD_DEG)?;
    Some(format!("a round or stitch off: tips up to {:.1}° sooner", -worst))
}
