//! Time: what the stitches, seams and faces of a toy take, what is left, and the day it will be done.
//!
//! Paces and minutes are common practice, no source. Their spread is one maker's habit, not chance from stitch to
//! stitch: ranges of parts add up end to end, so that the parts sum to the toy at both ends of the range.

mod savings;

use jiff::civil::Date;
use jiff::{Span, ToSpan};

use super::report::{PartTime, TimeReport};
use crate::figure::{Assumed, Figure, Origin};
use crate::part::Part;
use crate::rounds::{Round, Start, Stitch, StitchKind};
use crate::toy::plan::{Experience, Timed};
use crate::toy::{ExtraKind, Joint, Seat, Spot, Toy};

/// Single crochets a minute where nothing is known of the maker: 13, somewhere between a beginner's 8 and a fast
/// hand's 20 (common practice, no source).
pub const USUAL_PACE: Figure = Figure { value: 13.0, low: 8.0, high: 20.0 };
/// Minutes to sew a seam (common practice, no source).
pub const SEAM_MINUTES: Figure = Figure { value: 15.0, low: 10.0, high: 20.0 };
/// Minutes for a face (common practice, no source).
pub const FACE_MINUTES: Figure = Figure { value: 45.0, low: 30.0, high: 60.0 };
/// Minutes to take up another colour and hide its ends (from memory; a default).
pub const COLOUR_MINUTES: Figure = Figure { value: 1.0, low: 0.5, high: 2.0 };
/// A stretch that was timed once holds for others to about a tenth (from memory; a default).
const TIMED_ONCE: f64 = 1.1;
/// Days that are counted ahead at most: nobody plans further.
const MOST_DAYS: f64 = 36_500.0;

/// Pace by experience, single crochets a minute (common practice, no source).
pub fn pace_of(experience: Experience) -> Figure {
    match experience {
        Experience::Beginner => Figure { value: 6.5, low: 5.0, high: 8.0 },
        Experience::Usual => Figure { value: 13.0, low: 12.0, high: 15.0 },
        Experience::Fast => Figure { value: 22.0, low: 20.0, high: 25.0 },
    }
}

/// Work in a stitch, in single crochets, by counting moves of the hook: yarn over, insert, draw up, draw through.
/// A single crochet has three, a slip stitch two, a half double four, a double five, a treble seven; each further
/// stitch that is worked together adds an insert and a draw; a chain stitch is one draw.
pub fn work_in_stitch(stitch: &Stitch) -> f64 {
    let moves = match stitch.kind {
        StitchKind::Slip => 2.0,
        StitchKind::Single => 3.0,
        StitchKind::HalfDouble => 4.0,
        StitchKind::Double => 5.0,
        StitchKind::Treble => 7.0,
    };
    let (uses, makes) = (f64::from(stitch.uses), f64::from(stitch.makes));
    if stitch.makes == 0 {
        return 0.0;
    }
    let moves = if stitch.uses == 0 { makes } else { makes * moves + 2.0 * (uses - makes).max(0.0) };
    moves / 3.0
}

/// Work in a round, in single crochets.
pub fn work_in_round(round: &Round) -> f64 {
    round.runs.iter().map(|run| f64::from(run.times) * work_in_stitch(&run.stitch)).sum()
}

/// Places in a round where another colour is taken up than was in hand; `in_hand` is moved on.
fn colour_changes<'a>(round: &'a Round, in_hand: &mut Option<&'a str>) -> u32 {
    let mut changes = 0u32;
    for run in &round.runs {
        let colour = run.colour.as_deref();
        if colour != *in_hand {
            changes = changes.saturating_add(1);
            *in_hand = colour;
        }
    }
    changes
}

/// Work of each round (single crochets) and colour changes in it. The colour a part begins in is no change.
fn rounds_of(part: &Part) -> Vec<(f64, f64)> {
    let first = part.rounds.iter().flat_map(|r| &r.runs).next();
    let mut in_hand = first.and_then(|run| run.colour.as_deref());
    part.rounds.iter().map(|round| (work_in_round(round), f64::from(colour_changes(round, &mut in_hand)))).collect()
}

fn sum(rounds: &[(f64, f64)]) -> (f64, f64) {
    rounds.iter().fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1))
}

/// Pace of one timed stretch and the work in it; `None` where it has no work or no time.
fn timed_pace(toy: &Toy, timed: &Timed) -> Option<(f64, f64)> {
    let part = &toy.pieces[toy.piece_named(&timed.part)?].part;
    let rounds = rounds_of(part);
    let from = timed.from_round.map_or(0, |r| (r as usize).saturating_sub(1)).min(rounds.len());
    let to = timed.to_round.map_or(rounds.len(), |r| r as usize).clamp(from, rounds.len());
    let (work, changes) = sum(&rounds[from..to]);
    if !(timed.minutes.is_finite() && timed.minutes > 0.0 && work > 0.0) {
        return None;
    }
    // Colours were taken up in that time too; at least half of it went into stitches.
    let stitching = (timed.minutes - changes * COLOUR_MINUTES.value).max(timed.minutes / 2.0);
    Some((work / stitching, work))
}

/// Single crochets a minute: what the maker set, else what was timed, else by experience. Several timed stretches
/// count by the work in them; their own scatter is the spread where it is above that of one alone.
pub fn pace(toy: &Toy) -> Assumed {
    let plan = &toy.plan;
    if let Some(set) = plan.pace_sc_per_min.filter(|p| p.is_finite() && *p > 0.0) {
        return Assumed { figure: Figure::exact(set), from: Origin::Measured };
    }
    let timed: Vec<(f64, f64)> = plan.timed.iter().filter_map(|t| timed_pace(toy, t)).collect();
    let (work, minutes) = timed.iter().fold((0.0, 0.0), |(w, m), (pace, work)| (w + work, m + work / pace));
    if minutes > 0.0 {
        let value = work / minutes;
        let scatter: f64 = timed.iter().map(|(pace, work)| work * (pace / value).ln().powi(2)).sum();
        // What stretches of a like pace agree on is surer than one of them.
        let once = TIMED_ONCE.ln() / (timed.len() as f64).sqrt();
        return Assumed::new(value, once.max((scatter / work).sqrt()).exp(), Origin::Measured);
    }
    Assumed { figure: plan.experience.map_or(USUAL_PACE, pace_of), from: Origin::Estimate }
}

/// Minutes of this much work and so many colour changes; a fast pace gives the low end.
fn minutes(work: f64, changes: f64, pace: &Figure) -> Figure {
    let of = |pace: f64, change: f64| work / pace.max(1e-6) + changes * change;
    Figure {
        value: of(pace.value, COLOUR_MINUTES.value),
        low: of(pace.high, COLOUR_MINUTES.low),
        high: of(pace.low, COLOUR_MINUTES.high),
    }
}

fn add(a: Figure, b: Figure) -> Figure {
    Figure { value: a.value + b.value, low: a.low + b.low, high: a.high + b.high }
}

/// Whether a part is sewn to another: what stands on the floor, goes on from another or is worked in one is not.
/// A part without a place will be sewn on somewhere.
pub fn is_sewn_on(toy: &Toy, index: usize) -> bool {
    let piece = &toy.pieces[index];
    match &piece.placement.seat {
        Seat::Floor { .. } => false,
        Seat::Beside => {
            let goes_on = matches!(piece.part.start, Start::JoinedParts { .. } | Start::Rim { .. });
            toy.pieces.len() > 1 && !goes_on && !is_gone_on_from(toy, &piece.part.name)
        }
        Seat::OnEnd { part, .. } | Seat::OnSurface { part, .. } => !worked_in_one(toy, index, part),
    }
}

/// Whether a part and the one it sits on are worked in one: said so, or one of them goes on from the other.
pub(super) fn worked_in_one(toy: &Toy, index: usize, onto: &str) -> bool {
    let piece = &toy.pieces[index];
    let onto_goes_on = toy.piece_named(onto).is_some_and(|i| goes_on_from(&toy.pieces[i].part.start, &piece.part.name));
    piece.placement.joint == Joint::WorkedInOne || goes_on_from(&piece.part.start, onto) || onto_goes_on
}

fn goes_on_from(start: &Start, name: &str) -> bool {
    match start {
        Start::JoinedParts { parts, .. } => parts.iter().any(|part| part == name),
        Start::Rim { part } => part == name,
        Start::MagicRing | Start::ChainRing | Start::ChainOval { .. } => false,
    }
}

/// Whether another part is worked onto this one.
fn is_gone_on_from(toy: &Toy, name: &str) -> bool {
    toy.pieces.iter().any(|p| goes_on_from(&p.part.start, name))
}

/// Names of the parts with a face, each once: those with a hard eye or nose on their surface.
pub fn faces(toy: &Toy) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for extra in &toy.extras {
        let on_face = matches!((extra.kind, extra.spot), (ExtraKind::Eye { .. }, Spot::Surface(_)));
        if on_face && toy.piece_named(&extra.part).is_some() && !names.contains(&extra.part.as_str()) {
            names.push(&extra.part);
        }
    }
    names
}

/// Time of a toy. `today` is the day it is asked on; the rest is begun then or on the plan's first day, whichever
/// is later.
pub fn time(toy: &Toy, today: Option<Date>) -> TimeReport {
    let plan = &toy.plan;
    let pace = pace(toy);
    let mut report = TimeReport { pace_sc_per_min: pace, ..TimeReport::default() };
    let mut seams_left = 0u32;
    for (index, piece) in toy.pieces.iter().enumerate() {
        let copies = toy.copies_of(index);
        let rounds = rounds_of(&piece.part);
        let made: Vec<u32> = (0..copies)
            .map(|copy| plan.rounds_made(&piece.part.name, copy).min(u32::try_from(rounds.len()).unwrap_or(u32::MAX)))
            .collect();
        let (work, changes) = sum(&rounds);
        let left =
            made.iter().map(|made| sum(&rounds[*made as usize..])).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
        let n = f64::from(copies);
        let part = PartTime {
            part: piece.part.name.clone(),
            work_sc: work,
            colour_changes: changes as u32,
            minutes: minutes(n * work, n * changes, &pace.figure),
            left_minutes: minutes(left.0, left.1, &pace.figure),
            rounds_made: made,
        };
        report.total_minutes = add(report.total_minutes, part.minutes);
        report.left_minutes = add(report.left_minutes, part.left_minutes);
        report.parts.push(part);
        if is_sewn_on(toy, index) {
            report.seams += copies;
            seams_left += (0..copies).filter(|copy| !plan.is_sewn(&piece.part.name, *copy)).count() as u32;
        }
    }
    let faces = faces(toy);
    let faces_left = faces.iter().filter(|part| !plan.is_face_done(part)).count();
    report.sewing_minutes = SEAM_MINUTES.scaled(f64::from(report.seams));
    report.face_minutes = FACE_MINUTES.scaled(faces.len() as f64);
    report.total_minutes = add(report.total_minutes, add(report.sewing_minutes, report.face_minutes));
    report.left_minutes = add(report.left_minutes, SEAM_MINUTES.scaled(f64::from(seams_left)));
    report.left_minutes = add(report.left_minutes, FACE_MINUTES.scaled(faces_left as f64));
    let total = report.total_minutes.value;
    report.done_share = if total > 0.0 { (1.0 - report.left_minutes.value / total).clamp(0.0, 1.0) } else { 0.0 };
    set_days(toy, today, &mut report);
    report.savings = savings::savings(toy, &report);
    report
}

/// The day on which this much work is done, begun on `first`: work of the first day counts.
fn done_day(first: Date, minutes: f64, hours_per_day: f64) -> Option<Date> {
    let days = (minutes / (60.0 * hours_per_day) - 1e-9).ceil().max(1.0) - 1.0;
    if !(days.is_finite() && days <= MOST_DAYS) {
        return None;
    }
    let span: Span = (days as i64).days();
    first.checked_add(span).ok()
}

fn set_days(toy: &Toy, today: Option<Date>, report: &mut TimeReport) {
    let plan = &toy.plan;
    report.wished_day = plan.wished_day;
    report.hours_per_day = plan.hours_per_day.filter(|h| h.is_finite() && *h > 0.0).map(|h| h.min(24.0));
    report.first_day = match (plan.first_day, today) {
        (Some(first), Some(today)) => Some(first.max(today)),
        (first, today) => first.or(today),
    };
    let left = report.left_minutes;
    if left.value <= 0.0 && report.total_minutes.value > 0.0 {
        report.verdict = Some("done");
        return;
    }
    let Some(hours) = report.hours_per_day else { return };
    report.days_left = Some(left.scaled(1.0 / (60.0 * hours)));
    let Some(first) = report.first_day else { return };
    report.done_day = done_day(first, left.value, hours);
    report.done_day_low = done_day(first, left.low, hours);
    report.done_day_high = done_day(first, left.high, hours);
    if let Some(wished) = report.wished_day {
        // No day within a lifetime is late too.
        let by = |day: Option<Date>| day.is_some_and(|d| d <= wished);
        report.verdict = Some(match (by(report.done_day), by(report.done_day_high)) {
            (true, true) => "in_time",
            (true, false) => "just",
            (false, _) => "late",
        });
    }
}

/// Minutes of work that fit before the wished day; `None` where no day is wished or begun on.
fn minutes_there_are(report: &TimeReport) -> Option<f64> {
    let (first, wished, hours) = (report.first_day?, report.wished_day?, report.hours_per_day?);
    let days = first.until(wished).ok()?.get_days();
    Some(f64::from((days + 1).max(0)) * 60.0 * hours)
}
