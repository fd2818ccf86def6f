//! What the text of a file weighs in memory once it is read, told before it is: short texts can stand for endless
//! lists of empty parts. What the rounds in it may come to is bounded where they are read
//! ([`crate::rounds::read_with_at_most`]).

/// Weight at which a text is refused: about that many bytes.
pub const MOST_WEIGHT: u64 = 64 << 20;
/// What a bracket weighs: a part, an address. One behind a number stands in a round, or in the name of something.
const BRACKET: u64 = 256;
/// What a text in quotes weighs: a name, a round.
const QUOTE: u64 = 32;

/// The weight of a text: every byte one, every bracket and quote more.
pub fn weight(text: &str) -> u64 {
    let mut behind_digit = false;
    let mut sum = 0u64;
    for byte in text.bytes() {
        sum += match byte {
            b'(' if !behind_digit => BRACKET,
            b'"' => QUOTE,
            _ => 1,
        };
        behind_digit = byte.is_ascii_digit();
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endless_parts_are_heavy_and_names_are_not() {
        assert!(weight("(version: 1, toy: (name: \"Pebble\"))") < 1000);
        assert!(weight("(version: 1, toy: (name: \"999999999999(sc, inc) x 6\"))") < 1000);
        assert!(weight(&"(),".repeat(1_000_000)) > MOST_WEIGHT);
    }

    #[test]
    fn every_sample_is_light() {
        for sample in crate::document::samples() {
            assert!(weight(sample.text) < MOST_WEIGHT / 1000, "{}", sample.title);
        }
    }
}
