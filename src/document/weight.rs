//! What the text of a file weighs in memory once it is read, told before it is: short texts can stand for endless
//! rounds (`100000(100000(sc))`), or for endless lists of empty parts.

/// Weight at which a text is refused: about that many bytes.
pub const MOST_WEIGHT: u64 = 64 << 20;
/// What a bracket weighs: a part, an address.
const BRACKET: u64 = 256;
/// What a text in quotes weighs: a name, a round.
const QUOTE: u64 = 32;
/// Brackets in brackets that are counted; the reader refuses far fewer.
const DEEPEST: usize = 1000;

/// What a letter written as its number weighs where it could as well stand there itself: only who hides something
/// writes a bracket that way.
const HIDDEN: u64 = 1 << 20;

/// The weight of a text: every letter one, every bracket and quote more, and what stands in a bracket behind a
/// number as often as the number says. Never less than what the rounds in it come to in runs of stitches.
pub fn weight(text: &str) -> u64 {
    let mut sum = 0u64;
    let mut factors = vec![1u64];
    let mut number: Option<u64> = None;
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        let factor = factors.last().copied().unwrap_or(1);
        // Where nothing below takes more: this letter.
        let mut taken = letter.len_utf8();
        let mut adds = 1;
        let before = number.take();
        match letter {
            '0'..='9' => {
                let digit = u64::from(letter as u32 - u32::from(b'0'));
                number = Some(before.unwrap_or(0).saturating_mul(10).saturating_add(digit));
            }
            '(' => {
                if factors.len() < DEEPEST {
                    factors.push(factor.saturating_mul(before.unwrap_or(1).max(1)));
                }
                adds = if before.is_some() { 1 } else { BRACKET };
            }
            ')' if factors.len() > 1 => drop(factors.pop()),
            '"' => adds = QUOTE,
            '\\' => {
                let (length, hidden) = escape(rest);
                taken = length;
                adds = if hidden { HIDDEN } else { 1 };
            }
            // Brackets in the name of a colour are none.
            '@' => taken = colour(rest),
            _ => {}
        }
        sum = sum.saturating_add(factor.saturating_mul(adds.max(taken as u64)));
        if sum > MOST_WEIGHT {
            return sum;
        }
        rest = rest.get(taken..).unwrap_or("");
    }
    sum
}

/// Length of an escape, and whether it stands for a letter that could stand there itself.
fn escape(rest: &str) -> (usize, bool) {
    let digits = |from: usize, to: usize| rest.get(from..to).and_then(|d| u32::from_str_radix(d, 16).ok());
    let (length, letter) = match rest.as_bytes().get(1) {
        Some(b'x') => (4, digits(2, 4)),
        Some(b'u') => match rest.find('}') {
            Some(end) => (end + 1, digits(3, end)),
            None => (2, None),
        },
        Some(next) if next.is_ascii() => (2, None),
        _ => (1, None),
    };
    (length.min(rest.len()), letter.is_some_and(|l| (0x20..0x7F).contains(&l)))
}

/// Length of `@'colour'`, quotes in it doubled, each quote perhaps behind a stroke as files have it; 1 for an `@`
/// that begins no colour.
fn colour(rest: &str) -> usize {
    let quote = |at: usize| match rest.as_bytes().get(at..) {
        Some([b'\'', ..]) => Some(1),
        Some([b'\\', b'\'', ..]) => Some(2),
        _ => None,
    };
    let Some(mut at) = quote(1).map(|length| 1 + length) else { return 1 };
    while at < rest.len() {
        match quote(at) {
            Some(length) => match quote(at + length) {
                Some(second) => at += length + second,
                None => return at + length,
            },
            None if rest.as_bytes()[at] == b'"' => return at,
            None => at += 1,
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_before_a_bracket_counts_what_is_in_it_as_often() {
        assert!(weight("(version: 1, toy: (name: \"Pebble\"))") < 1000);
        assert!(weight("\"6(sc sc+)\"") < 200);
        assert!(weight("\"1000(1000(1000(sc)))\"") > MOST_WEIGHT);
        assert!(weight("\"99999999999999999999999(sc)\"") > MOST_WEIGHT);
        assert!(weight(&"(),".repeat(1_000_000)) > MOST_WEIGHT);
    }

    #[test]
    fn brackets_are_counted_however_they_are_written() {
        assert!(weight("\"1000000(sc@')' 100(sc))\"") > MOST_WEIGHT);
        assert!(weight(r#""1000000(sc@\')\' 100(sc))""#) > MOST_WEIGHT);
        assert!(weight(r#""1000000(sc@'a'')' 100(sc))""#) > MOST_WEIGHT);
        assert!(weight(&r#""100000\u{28}sc sl\x29""#.repeat(100)) > MOST_WEIGHT);
        let far = "(name: \"नमस्ते \\u{94d} é@é '(\")";
        assert!(weight(far) < 1000);
    }

    #[test]
    fn every_sample_is_light() {
        for sample in crate::document::samples() {
            assert!(weight(sample.text) < MOST_WEIGHT / 1000, "{}", sample.title);
        }
    }
}
