//! What a round comes to when its instruction, its total and the round below do not agree, and what is
//! said about it.

use std::ops::Range;

use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::expand::{MOST_STITCHES, manner, runs, spread_kind};
use super::fit::Fitted;
use super::grammar::{Amount, Item};
use super::habits::Habits;
use super::reading::Known;
use crate::rounds::{Round, StitchKind};

/// A round with how it was known.
#[derive(Clone, Debug)]
pub(super) struct Settled {
    pub round: Round,
    pub known: Known,
}

/// What is known around a round.
pub(super) struct Around<'a> {
    pub below: u32,
    /// Whether the next round could lie on so many stitches; `None` when it does not tell.
    pub next_suits: &'a dyn Fn(u32) -> Option<bool>,
    pub span: Range<usize>,
    pub kind: StitchKind,
    /// Where in the gap of an even spread the first change stands, 0 to 1.
    pub shift: f64,
    /// Habits before this round.
    pub habits: Habits,
}

fn stitches(n: u32) -> String {
    if n == 1 { "1 stitch".to_owned() } else { format!("{n} stitches") }
}

/// Whether a round can lead from `from` to `to` at all: no more than four in one, or four together.
fn feasible(from: u32, to: u32) -> bool {
    to > 0 && u64::from(to) <= 4 * u64::from(from) && u64::from(from) <= 4 * u64::from(to)
}

/// Settles a round that lies on another. `None`: its count cannot be told.
pub(super) fn settle(f: &Fitted, around: &Around<'_>, found: &mut Vec<Found>) -> Option<Settled> {
    let below = around.below;
    let makes = f.solved.makes;
    let total = f.parsed.total.as_ref();
    let work = !f.parsed.items.is_empty();
    if makes > MOST_STITCHES || f.solved.uses > MOST_STITCHES || total.is_some_and(|t| t.n > MOST_STITCHES) {
        let span = total.filter(|t| t.n > MOST_STITCHES).map_or(around.span.clone(), |t| t.span.clone());
        let message = format!("This round would have more than {MOST_STITCHES} stitches.");
        found.push(Found::new(K::TooLarge, S::Severe, span, message, "Check the numbers of this round."));
        return None;
    }
    let exact = work && f.exact();
    if exact {
        return Some(settle_exact(f, around, found));
    }
    let spread = |to: u32| {
        let (kind, loops, colour) = manner(&f.parsed.items, around.kind);
        spread_kind(below, to, around.shift, kind, loops, colour.as_ref())
    };
    if let Some(total) = total {
        let t = total.n;
        if !work {
            // A count and nothing else.
            if !feasible(below, t) {
                found.push(impossible(below, t, total.span.clone()));
            }
            return spread(t).map(|round| Settled { round, known: Known::TotalOnly });
        }
        let instruction_right = f.uses_right && !f.solved.open && makes != t && makes > 0;
        let next = around.next_suits;
        let next_takes_instruction = next(makes) == Some(true) && next(t) == Some(false);
        if instruction_right && (next_takes_instruction || !feasible(below, t)) {
            let why = if next_takes_instruction {
                format!("and the next round needs {makes}")
            } else {
                format!("and no round leads from {below} to {t}")
            };
            let message = format!(
                "The printed total is {t}, but the instruction makes {makes} from the {below} below, {why}: {makes} is taken."
            );
            let remedy = format!("Change the total to {makes} if you agree.");
            found.push(Found::new(K::TotalDiffers, S::Warning, total.span.clone(), message, remedy));
            let round = runs(&f.parsed.items, &f.solved, around.kind)?;
            return Some(Settled { round, known: Known::WorkedOut });
        }
        if !feasible(below, t) {
            found.push(impossible(below, t, total.span.clone()));
        } else {
            if !f.uses_right && !f.solved.open {
                found.push(uses_differ(f.solved.uses, below, around.span.clone(), t));
            }
            if makes != t && !f.solved.open {
                let message =
                    format!("The instruction makes {}, the printed total is {t}: {t} is taken.", stitches(makes));
                let remedy =
                    "Check the instruction against the next round; increases or decreases are spread evenly here.";
                found.push(Found::new(K::TotalDiffers, S::Warning, total.span.clone(), message, remedy));
            }
            if f.uses_right && makes == t {
                // Only how it is repeated is open.
                let message =
                    format!("How the round is repeated is not clear; it is worked so that {t} stitches come out.");
                let remedy = "Write how often the part is repeated.";
                found.push(Found::new(K::Guessed, S::Note, around.span.clone(), message, remedy));
            }
        }
        remarks(f, around, false, found);
        let round = spread(t).or_else(|| runs(&f.parsed.items, &f.solved, around.kind))?;
        return Some(Settled { round, known: Known::TotalOnly });
    }
    if !work {
        return None;
    }
    remarks(f, around, false, found);
    settle_without_total(f, around, found)
}

fn settle_exact(f: &Fitted, around: &Around<'_>, found: &mut Vec<Found>) -> Settled {
    let confirmed = f.parsed.total.is_some();
    remarks(f, around, confirmed, found);
    let guessed_habit = f.habits.flip(around.habits).has(Habits::GUESSES);
    let rest_open = f.solved.rest > 0 && !confirmed;
    let unread = !f.parsed.unread.is_empty() && !confirmed;
    let mut known = if guessed_habit || rest_open || unread { Known::Guessed } else { Known::WorkedOut };
    if f.solved.rest > 0 && confirmed {
        let message = format!(
            "The repeat does not come out even on {} stitches; the {} left over are worked so that the total comes out.",
            around.below, f.solved.rest
        );
        let remedy = "Write what to do with the stitches left over.";
        found.push(Found::new(K::StitchesDiffer, S::Note, around.span.clone(), message, remedy));
    }
    if rest_open {
        let message = format!(
            "The repeat does not come out even on {} stitches: {} are left over and worked as its beginning.",
            around.below, f.solved.rest
        );
        let remedy = "Check the count of the round below, or write what to do with the stitches left over.";
        found.push(Found::new(K::StitchesDiffer, S::Warning, around.span.clone(), message, remedy));
    }
    let round = runs(&f.parsed.items, &f.solved, around.kind).unwrap_or_else(|| {
        known = Known::TotalOnly;
        spread_kind(around.below, f.solved.makes, around.shift, around.kind, crate::rounds::Loops::Both, None)
            .unwrap_or_default()
    });
    if round.count() == 0 {
        found.push(impossible(around.below, 0, around.span.clone()));
    }
    Settled { round, known }
}

fn settle_without_total(f: &Fitted, around: &Around<'_>, found: &mut Vec<Found>) -> Option<Settled> {
    let below = around.below;
    let (uses, makes) = (f.solved.uses, f.solved.makes);
    let (kind, loops, colour) = manner(&f.parsed.items, around.kind);
    let spread = |to: u32| spread_kind(below, to, around.shift, kind, loops, colour.as_ref());
    if f.solved.twice || f.solved.open {
        let message = "Two parts of this round are both worked to its end; the first is taken all round.";
        let remedy = "Write a number or a repeat count for each part, or the total.";
        found.push(Found::new(K::Guessed, S::Warning, around.span.clone(), message, remedy));
        let round =
            runs(&f.parsed.items, &f.solved, around.kind).filter(|r| r.count() > 0).or_else(|| spread(below))?;
        return Some(Settled { round, known: Known::Guessed });
    }
    // One number of plain stitches: as good as a total.
    if let [Item::Work { stitch, amount: Amount::N(_), .. }] = f.parsed.items.as_slice()
        && stitch.uses == stitch.makes
        && feasible(below, makes)
        && makes <= 2 * below
        && below <= 2 * makes
    {
        let confirmed = makes == 2 * below || (around.next_suits)(makes) == Some(true);
        let severity = if confirmed { S::Note } else { S::Warning };
        let message = format!("{} from the {below} below: the number is taken as the total.", stitches(makes));
        let remedy = "Write the increases or decreases of this round.";
        found.push(Found::new(K::StitchesDiffer, severity, around.span.clone(), message, remedy));
        return spread(makes).map(|round| Settled { round, known: Known::TotalOnly });
    }
    let with_rest = makes.saturating_add(below.saturating_sub(uses));
    let next = around.next_suits;
    let take_rest = below > uses && next(with_rest) == Some(true) && next(makes) != Some(true);
    let to = if take_rest { with_rest } else { makes };
    if !feasible(below, to) {
        found.push(impossible(below, to, around.span.clone()));
        let to = if to == 0 { below } else { to };
        return spread(to).map(|round| Settled { round, known: Known::Guessed });
    }
    found.push(uses_differ(uses, below, around.span.clone(), to));
    spread(to).map(|round| Settled { round, known: Known::Guessed })
}

fn uses_differ(uses: u32, below: u32, span: Range<usize>, taken: u32) -> Found {
    let message = if uses > below {
        format!(
            "The instruction needs {}, the round below has {below}: {taken} are taken for this round.",
            stitches(uses)
        )
    } else {
        format!("The instruction uses {} of the {below} below: {taken} are taken for this round.", stitches(uses))
    };
    Found::new(K::StitchesDiffer, S::Warning, span, message, "Check this round and the total of the one below.")
}

fn impossible(below: u32, to: u32, span: Range<usize>) -> Found {
    let message = format!("No round leads from {} to {to}.", stitches(below));
    let remedy = "Check the total here and in the round below; a round may be missing between them.";
    Found::new(K::ImpossibleRound, S::Severe, span, message, remedy)
}

/// What is said of the words of a round, whatever its counts. `confirmed`: a printed total agrees.
pub(super) fn remarks(f: &Fitted, around: &Around<'_>, confirmed: bool, found: &mut Vec<Found>) {
    let severity = if confirmed { S::Note } else { S::Warning };
    let taken = f.habits.flip(around.habits);
    let p = &f.parsed;
    if taken.has(Habits::CH_IS_SC) {
        let message = "\"ch\" is taken for \"sc\" here, since only stitches fit.";
        found.push(Found::new(K::Spelling, severity, around.span.clone(), message, "Write sc if that is meant."));
    }
    for (h, what) in [
        (Habits::REP_PLUS_ONE, "The repeat is worked once more than it says"),
        (Habits::MORE_IS_TOTAL, "\"More times\" is taken as the number in all"),
    ] {
        if f.habits.has(h) && p.consulted.has(h) {
            let message = format!("{what}, since only that fits the counts.");
            let remedy = "Write how often the part is worked in all, as x 6.";
            found.push(Found::new(K::Guessed, S::Note, around.span.clone(), message, remedy));
        }
    }
    if p.consulted.has(Habits::LOOPS_COUNT) && !f.habits.has(Habits::LOOPS_COUNT) {
        let message = "The loops of chain hang from the round and are not counted as its stitches.";
        let remedy = "Write the total of the round if the next one is worked into them.";
        found.push(Found::new(K::Guessed, S::Note, around.span.clone(), message, remedy));
    }
    let mystery = Habits(Habits::MYSTERY_SC.0 | Habits::MYSTERY_INC.0 | Habits::MYSTERY_DEC.0);
    if let Some(span) = &p.mystery
        && f.habits.has(mystery)
        && taken.has(mystery)
    {
        let what = if f.habits.has(Habits::MYSTERY_SC) {
            "a plain stitch"
        } else if f.habits.has(Habits::MYSTERY_INC) {
            "an increase"
        } else {
            "a decrease"
        };
        let message = format!("This word is not known; it is taken for {what}, which fits the counts.");
        found.push(Found::new(K::Guessed, severity, span.clone(), message, "Write it as sc, inc or dec."));
    }
    for span in p.unread.iter().take(4) {
        let message = "These words mean nothing to the reader and are skipped.";
        let remedy = "Write the stitches with their abbreviations, or put a remark in a line of its own.";
        found.push(Found::new(K::Unreadable, severity, span.clone(), message, remedy));
    }
    for span in p.slips.iter().take(4) {
        let message = "A slip of the typing is mended here.";
        found.push(Found::new(K::Spelling, severity, span.clone(), message, "Correct the word or number."));
    }
    if let Some(span) = &p.unclosed {
        let message =
            "This bracket or star has no partner; the group is taken to the end, or from the head, of the round.";
        found.push(Found::new(K::Bracket, severity, span.clone(), message, "Write both ends of the group."));
    }
    if let Some(second) = &p.second_total
        && let Some(first) = &p.total
    {
        let message = format!("Two totals stand here, {} and {}: the first is taken.", first.n, second.n);
        found.push(Found::new(K::TotalDiffers, S::Note, second.span.clone(), message, "Keep one of them."));
    }
    if let Some(span) = &p.passed {
        let message = "Only these stitches are worked into; those between are passed over.";
        let remedy = "Write the total of the round, or what is worked into the others.";
        found.push(Found::new(K::Guessed, S::Note, span.clone(), message, remedy));
    }
    if let Some(span) = &p.split {
        let message = "Stitches are skipped here and left for later: from here on only this half is counted.";
        let remedy = "Read the other half as a piece of its own.";
        found.push(Found::new(K::SplitWork, S::Note, span.clone(), message, remedy));
    }
}
