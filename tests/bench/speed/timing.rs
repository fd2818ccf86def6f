//! Several things timed in turns.

use std::time::{Duration, Instant};

/// Turns that are taken at least, however long they last.
const LEAST_TURNS: usize = 7;
/// Turns that are taken at most.
const MOST_TURNS: usize = 400;
/// A thing is done so often in a turn that it lasts about so long: several slices of a busy processor's time, so that
/// what is short waits for others as large a share of its turn as what is long.
const ONE_TURN: Duration = Duration::from_millis(25);

/// Median, lowest and highest of some values.
#[derive(Clone, Copy, Debug)]
pub struct Span {
    pub median: f64,
    pub low: f64,
    pub high: f64,
}

impl Span {
    /// Of at least one value.
    pub fn of(mut values: Vec<f64>) -> Span {
        values.sort_by(f64::total_cmp);
        let at = |i: usize| values.get(i).copied().unwrap_or(f64::NAN);
        let last = values.len().saturating_sub(1);
        Span { median: (at(last / 2) + at(values.len() / 2)) / 2.0, low: at(0), high: at(last) }
    }

    /// Each times a factor above 0.
    pub fn times(self, factor: f64) -> Span {
        Span { median: self.median * factor, low: self.low * factor, high: self.high * factor }
    }
}

/// Seconds that one thing took, turn by turn.
#[derive(Clone, Debug, Default)]
pub struct Times(pub Vec<f64>);

impl Times {
    /// Seconds.
    pub fn span(&self) -> Span {
        Span::of(self.0.clone())
    }

    /// How many times longer than another thing, turn for turn.
    pub fn over(&self, other: &Times) -> Span {
        Span::of(self.0.iter().zip(&other.0).map(|(a, b)| a / b).collect())
    }
}

/// Does each thing in turn, again and again for about so many seconds, and says what one of each took. Before that
/// each is done once or twice that is not counted.
pub fn in_turns<const N: usize>(seconds: f64, mut things: [&mut dyn FnMut(); N]) -> [Times; N] {
    let mut repeats = [1u32; N];
    for (thing, repeat) in things.iter_mut().zip(&mut repeats) {
        thing();
        let begun = Instant::now();
        thing();
        let share = ONE_TURN.as_secs_f64() / begun.elapsed().as_secs_f64().max(1e-9);
        *repeat = share.ceil().clamp(1.0, 1e7) as u32;
    }
    let mut times: [Times; N] = std::array::from_fn(|_| Times::default());
    let begun = Instant::now();
    for turn in 0..MOST_TURNS {
        if turn >= LEAST_TURNS && begun.elapsed().as_secs_f64() > seconds {
            break;
        }
        for ((thing, repeat), times) in things.iter_mut().zip(repeats).zip(&mut times) {
            let begun = Instant::now();
            (0..repeat).for_each(|_| thing());
            times.0.push(begun.elapsed().as_secs_f64() / f64::from(repeat));
        }
    }
    times
}
