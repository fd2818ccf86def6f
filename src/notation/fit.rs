//! Chooses the habits under which a round fits the round below and its printed total.

use super::expand::{Solved, solve};
use super::grammar::{Context, Item, Parsed, parse};
use super::habits::Habits;
use super::lexer::Token;
use super::limbs::{has_loops, without_loops};

/// A round under the habits that fit best.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    pub parsed: Parsed,
    pub solved: Solved,
    pub habits: Habits,
    /// The stitches used are those there are (or nothing is known below).
    pub uses_right: bool,
    /// The stitches made are those printed (or none are printed).
    pub total_right: bool,
}

impl Fitted {
    pub fn exact(&self) -> bool {
        self.uses_right && self.total_right && !self.solved.open && !self.solved.twice
    }
}

/// More readings than this of one round are not tried.
const MOST_READINGS: usize = 60;

fn reading(cx: &Context<'_>, toks: &[Token], habits: Habits, below: Option<u32>) -> Fitted {
    let cx = Context { habits, ..cx.clone() };
    let mut parsed = parse(&cx, toks);
    if !cx.first && has_loops(&parsed.items) {
        parsed.consulted = Habits(parsed.consulted.0 | Habits::LOOPS_COUNT.0);
        if !habits.has(Habits::LOOPS_COUNT) {
            parsed.items = without_loops(parsed.items);
        }
    }
    let total = parsed.total.as_ref().map(|t| t.n);
    let chain = cx.first && matches!(parsed.items.first(), Some(Item::Chain { .. }));
    let solved = if chain {
        // The chain a piece begins with is worked into and no part of the count.
        let rest: Vec<Item> = parsed.items.iter().filter(|i| !matches!(i, Item::Chain { .. })).cloned().collect();
        solve(&rest, below, total)
    } else {
        solve(&parsed.items, below, total)
    };
    let uses_right = below.is_none_or(|b| b == solved.uses);
    // "Ch 14 (14)": the stitches of the chain.
    let cord = cx.first && super::starts::cord(&parsed.items).is_some_and(|n| total.is_none_or(|t| t == n));
    let total_right = cord || parsed.total.as_ref().is_none_or(|t| t.n == solved.makes);
    Fitted { parsed, solved, habits, uses_right, total_right }
}

/// How badly a reading fits; 0 is perfect.
fn misfit(f: &Fitted, cost: u32) -> u32 {
    let mut points = cost;
    if f.parsed.items.is_empty() {
        points += 16;
    }
    if !f.uses_right {
        points += 10;
    }
    if !f.total_right {
        points += 10;
    }
    if f.solved.open {
        points += 5;
    }
    // A part "to the end" that finds nothing left to be worked on explains nothing.
    if f.solved.fills && f.solved.times == 0 {
        points += 10;
    }
    if f.solved.twice {
        points += 4;
    }
    if f.solved.rest > 0 {
        points += if f.parsed.total.is_some() && f.total_right { 3 } else { 5 };
    }
    points + 3 * f.parsed.unread.len().min(3) as u32
}

/// Finds the reading that fits best. `below` is the count of the round below, if there is one.
pub(super) fn fit(cx: &Context<'_>, toks: &[Token], below: Option<u32>) -> Fitted {
    let base = reading(cx, toks, cx.habits, below);
    let mut best_points = misfit(&base, 0);
    if best_points == 0 {
        return base;
    }
    let consulted = base.parsed.consulted;
    let mut flips: Vec<(Habits, u32)> = Habits::ALL.iter().copied().filter(|(h, _)| consulted.has(*h)).collect();
    flips.sort_by_key(|(_, cost)| *cost);
    let mut tried = 1;
    let mut best = base;
    // One habit at a time, then two.
    for (h, cost) in &flips {
        if *cost >= best_points || tried >= MOST_READINGS {
            break;
        }
        let f = reading(cx, toks, cx.habits.flip(*h), below);
        tried += 1;
        let points = misfit(&f, *cost);
        if points < best_points {
            best_points = points;
            best = f;
        }
    }
    if best.exact() && best.parsed.unread.is_empty() {
        return best;
    }
    'pairs: for (i, (h, cost)) in flips.iter().enumerate() {
        // What the second habit may be shows only once the first is taken.
        let first = reading(cx, toks, cx.habits.flip(*h), below);
        tried += 1;
        for (g, more) in Habits::ALL {
            let later = flips[i + 1..].iter().any(|(f, _)| f == g);
            let new = first.parsed.consulted.has(*g) && !consulted.has(*g);
            if !later && !new || g == h || cost + more >= best_points {
                continue;
            }
            if tried >= MOST_READINGS {
                break 'pairs;
            }
            let f = reading(cx, toks, cx.habits.flip(*h).flip(*g), below);
            tried += 1;
            let points = misfit(&f, cost + more);
            if points < best_points {
                best_points = points;
                best = f;
            }
        }
    }
    best
}

/// The reading with the habits so far, for rounds too long to try more.
pub(super) fn plainest(cx: &Context<'_>, toks: &[Token], below: Option<u32>) -> Fitted {
    reading(cx, toks, cx.habits, below)
}

/// The best reading when the printed total is not of this round.
pub(super) fn without_total(cx: &Context<'_>, toks: &[Token], below: Option<u32>) -> Fitted {
    let mut f = reading(cx, toks, cx.habits, below);
    f.solved = solve(&f.parsed.items, below, None);
    f.uses_right = below.is_none_or(|b| b == f.solved.uses);
    f.total_right = true;
    f
}
