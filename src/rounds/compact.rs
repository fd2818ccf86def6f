//! A round as one short word list, the form in which documents keep it.
//!
//! ```text
//! round  = ["frill"] item*
//! item   = [times] stitch | [times] "(" item* ")"
//! stitch = [loops "."] kind ["+" | "-" | ":" uses ">" makes] ["@'" colour "'"]
//! loops  = "b" | "f"                      back or front loop only
//! kind   = "sl" | "sc" | "hdc" | "dc" | "tr"
//! ```
//! `+` is 1 → 2, `-` is 2 → 1, nothing is 1 → 1; a quote inside a colour is doubled. Times are 1 unless
//! said. `6(sc sc+)` is the third round of a flat disc. Reading what was written gives the same round,
//! run for run (a property test below).

use std::cell::Cell;
use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use super::{Loops, Round, Run, Stitch, StitchKind};

/// More runs than this in one round are refused: no round of a toy comes near, and a file must not be
/// able to exhaust the machine.
const MOST_RUNS: usize = 200_000;

thread_local! {
    /// Changes of stitch that the rounds of the file in hand may still hold; see [`read_with_at_most`].
    static LEFT: Cell<usize> = const { Cell::new(usize::MAX) };
}

/// Runs `read`, in which all rounds that serde reads hold at most `most_runs` changes of stitch together; a round that
/// would hold more is an error. A file of a few bytes can stand for endless rounds, and a list of rounds is read one by
/// one by code that knows of no other.
pub fn read_with_at_most<T>(most_runs: usize, read: impl FnOnce() -> T) -> T {
    /// What was left before, given back whatever becomes of the reading.
    struct Before(usize);
    impl Drop for Before {
        fn drop(&mut self) {
            LEFT.set(self.0);
        }
    }
    let _before = Before(LEFT.replace(most_runs));
    read()
}

/// What is wrong with a round in its short form.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("in the round \"{text}\", character {column}: expected {expected}")]
pub struct CompactError {
    /// The round, cut to a readable length.
    pub text: String,
    /// Character, from 1.
    pub column: usize,
    /// What should stand there.
    pub expected: &'static str,
}

fn kind_word(kind: StitchKind) -> &'static str {
    match kind {
        StitchKind::Slip => "sl",
        StitchKind::Single => "sc",
        StitchKind::HalfDouble => "hdc",
        StitchKind::Double => "dc",
        StitchKind::Treble => "tr",
    }
}

fn write_run(f: &mut fmt::Formatter<'_>, run: &Run) -> fmt::Result {
    let Run { stitch, times, colour } = run;
    if *times != 1 {
        write!(f, "{times}")?;
    }
    f.write_str(match stitch.loops {
        Loops::Both => "",
        Loops::Front => "f.",
        Loops::Back => "b.",
    })?;
    f.write_str(kind_word(stitch.kind))?;
    match (stitch.uses, stitch.makes) {
        (1, 1) => {}
        (1, 2) => f.write_str("+")?,
        (2, 1) => f.write_str("-")?,
        (uses, makes) => write!(f, ":{uses}>{makes}")?,
    }
    if let Some(colour) = colour {
        write!(f, "@'{}'", colour.replace('\'', "''"))?;
    }
    Ok(())
}

impl fmt::Display for Round {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut first = true;
        let mut gap = |f: &mut fmt::Formatter<'_>| if std::mem::take(&mut first) { Ok(()) } else { f.write_str(" ") };
        if self.frill {
            gap(f)?;
            f.write_str("frill")?;
        }
        let mut rest = self.runs.as_slice();
        while !rest.is_empty() {
            gap(f)?;
            let (period, times) = best_repeat(rest);
            if times > 1 {
                write!(f, "{times}(")?;
                for (i, run) in rest[..period].iter().enumerate() {
                    if i > 0 {
                        f.write_str(" ")?;
                    }
                    write_run(f, run)?;
                }
                f.write_str(")")?;
            } else {
                write_run(f, &rest[0])?;
            }
            rest = &rest[period * times..];
        }
        Ok(())
    }
}

/// The repeat at the head of `runs` that covers the most runs: (its length, how often); (1, 1) where none.
pub(crate) fn best_repeat(runs: &[Run]) -> (usize, usize) {
    let mut best = (1, 1);
    for period in 2..=(runs.len() / 2).min(32) {
        let mut times = 1;
        while runs.len() >= (times + 1) * period && runs[..period] == runs[times * period..(times + 1) * period] {
            times += 1;
        }
        if times > 1 && period * times > best.0 * best.1 {
            best = (period, times);
        }
    }
    best
}

impl FromStr for Round {
    type Err = CompactError;

    fn from_str(text: &str) -> Result<Self, CompactError> {
        let mut reader = Reader { chars: text.chars().collect(), at: 0, text };
        let mut round = Round::default();
        reader.blanks();
        if reader.word("frill") {
            round.frill = true;
        }
        reader.items(&mut round.runs, 0)?;
        match reader.peek() {
            None => Ok(round),
            Some(_) => Err(reader.wrong("a stitch or the end of the round")),
        }
    }
}

struct Reader<'a> {
    chars: Vec<char>,
    at: usize,
    text: &'a str,
}

impl Reader<'_> {
    fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    fn take(&mut self, c: char) -> bool {
        let found = self.peek() == Some(c);
        self.at += usize::from(found);
        found
    }

    fn word(&mut self, word: &str) -> bool {
        let end = self.at + word.len();
        let found = self.chars.get(self.at..end).is_some_and(|s| s.iter().copied().eq(word.chars()));
        if found {
            self.at = end;
        }
        found
    }

    fn blanks(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    fn wrong(&self, expected: &'static str) -> CompactError {
        CompactError { text: self.text.chars().take(80).collect(), column: self.at + 1, expected }
    }

    fn number<N: TryFrom<u64>>(&mut self, expected: &'static str) -> Result<Option<N>, CompactError> {
        let from = self.at;
        let mut value = 0u64;
        while let Some(digit) = self.peek().and_then(|c| c.to_digit(10)) {
            value = value.saturating_mul(10).saturating_add(u64::from(digit));
            self.at += 1;
        }
        if from == self.at {
            return Ok(None);
        }
        N::try_from(value).map(Some).map_err(|_| CompactError { column: from + 1, ..self.wrong(expected) })
    }

    fn items(&mut self, runs: &mut Vec<Run>, depth: usize) -> Result<(), CompactError> {
        loop {
            self.blanks();
            if matches!(self.peek(), None | Some(')')) {
                return Ok(());
            }
            let times: u32 = self.number("a number of stitches below 4 billion")?.unwrap_or(1);
            if times == 0 {
                return Err(self.wrong("at least one stitch"));
            }
            if self.take('(') {
                if depth == 8 {
                    return Err(self.wrong("no more than eight brackets inside each other"));
                }
                let from = runs.len();
                self.items(runs, depth + 1)?;
                if !self.take(')') {
                    return Err(self.wrong("a closing bracket"));
                }
                let group = runs[from..].to_vec();
                // Else it would cost nothing to say it endless times, and time to do it.
                if group.is_empty() {
                    return Err(self.wrong("a stitch in the bracket"));
                }
                if group.len().saturating_mul(times as usize) > MOST_RUNS - from.min(MOST_RUNS) {
                    return Err(self.wrong("a round of at most 200,000 changes of stitch"));
                }
                for _ in 1..times {
                    runs.extend_from_slice(&group);
                }
            } else {
                let (stitch, colour) = self.stitch()?;
                runs.push(Run { stitch, times, colour });
            }
            if runs.len() > MOST_RUNS {
                return Err(self.wrong("a round of at most 200,000 changes of stitch"));
            }
        }
    }

    fn stitch(&mut self) -> Result<(Stitch, Option<Arc<str>>), CompactError> {
        let loops = if self.word("b.") {
            Loops::Back
        } else if self.word("f.") {
            Loops::Front
        } else {
            Loops::Both
        };
        let Some(kind) = StitchKind::ALL.into_iter().find(|k| self.word(kind_word(*k))) else {
            return Err(self.wrong("sl, sc, hdc, dc or tr"));
        };
        let (uses, makes) = if self.take('+') {
            (1, 2)
        } else if self.take('-') {
            (2, 1)
        } else if self.take(':') {
            const LIMIT: &str = "a number up to 65535";
            let uses = self.number(LIMIT)?.ok_or_else(|| self.wrong(LIMIT))?;
            if !self.take('>') {
                return Err(self.wrong("> between stitches used and made"));
            }
            (uses, self.number(LIMIT)?.ok_or_else(|| self.wrong(LIMIT))?)
        } else {
            (1, 1)
        };
        let colour = if self.word("@'") { Some(self.quoted()?) } else { None };
        Ok((Stitch { kind, loops, uses, makes }, colour))
    }

    fn quoted(&mut self) -> Result<Arc<str>, CompactError> {
        let mut name = String::new();
        loop {
            match self.peek() {
                None => return Err(self.wrong("a quote that ends the colour")),
                Some('\'') => {
                    self.at += 1;
                    if !self.take('\'') {
                        return Ok(name.into());
                    }
                    name.push('\'');
                }
                Some(c) => {
                    name.push(c);
                    self.at += 1;
                }
            }
        }
    }
}

impl serde::Serialize for Round {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> serde::Deserialize<'de> for Round {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<'de, str>::deserialize(deserializer)?;
        let mut round: Round = text.parse().map_err(serde::de::Error::custom)?;
        let Some(left) = LEFT.get().checked_sub(round.runs.len()) else {
            return Err(serde::de::Error::custom(
                "the rounds hold more changes of stitch than any toy; expected far fewer",
            ));
        };
        LEFT.set(left);
        round.runs.shrink_to_fit();
        Ok(round)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn run() -> impl Strategy<Value = Run> {
        let stitch = (0usize..5, 0usize..3, 0u16..4, 0u16..4).prop_map(|(kind, loops, uses, makes)| Stitch {
            kind: StitchKind::ALL[kind],
            loops: [Loops::Both, Loops::Front, Loops::Back][loops],
            uses,
            makes,
        });
        (stitch, 1u32..30, proptest::option::of("[a-z' ()é]{0,6}")).prop_map(|(stitch, times, colour)| Run {
            stitch,
            times,
            colour: colour.map(Into::into),
        })
    }

    proptest! {
        #[test]
        fn reading_what_was_written_gives_the_same(
            group in proptest::collection::vec(run(), 0..5), times in 1usize..5, tail in proptest::collection::vec(run(), 0..4), frill: bool,
        ) {
            let mut runs: Vec<Run> = std::iter::repeat_n(group, times).flatten().collect();
            runs.extend(tail);
            let round = Round { runs, frill };
            prop_assert_eq!(round.to_string().parse::<Round>(), Ok(round));
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,40}") {
            let _ = text.parse::<Round>();
        }
    }

    #[test]
    fn a_disc_round_is_short() {
        let round = super::super::spread(12, 18, 0.0).expect("an ordinary round");
        assert_eq!(round.to_string(), "6(sc sc+)");
    }

    /// What is read within bounds counts all rounds together; afterwards, and after an error, there are none.
    #[test]
    fn rounds_of_one_file_share_what_they_may_hold() {
        let list = "[\"6(sc sc+)\", \"6(sc sc+)\"]";
        let read = |most| read_with_at_most(most, || ron::from_str::<Vec<Round>>(list));
        assert_eq!(read(24).expect("as many as they may").len(), 2);
        let refused = read(23).expect_err("one more than they may");
        assert!(refused.code.to_string().contains("than any toy"), "{refused}");
        assert!(ron::from_str::<Vec<Round>>(list).is_ok());
    }

    #[test]
    fn errors_name_the_place() {
        let wrong = "6(sc inc)".parse::<Round>().expect_err("inc is no word of this form");
        assert_eq!((wrong.column, wrong.expected), (6, "sl, sc, hdc, dc or tr"));
        assert!("9999(9999(sc hdc))".parse::<Round>().is_err());
        let empty = "sc 4294967295( )".parse::<Round>().expect_err("nothing, endless times");
        assert_eq!(empty.expected, "a stitch in the bracket");
    }
}
