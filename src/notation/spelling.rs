//! Numbers written as words, and stitch words misspelt.

use super::words::{Printed as P, W};

/// A number written as a word.
pub(super) fn number_word(lower: &str) -> Option<u32> {
    Some(match lower {
        "one" => 1,
        "two" => 2,
        "three" => 3,
        "four" => 4,
        "five" => 5,
        "six" => 6,
        "seven" => 7,
        "eight" => 8,
        "nine" => 9,
        "ten" => 10,
        "eleven" => 11,
        "twelve" => 12,
        "thirteen" => 13,
        "fourteen" => 14,
        "fifteen" => 15,
        "sixteen" => 16,
        "eighteen" => 18,
        "twenty" => 20,
        _ => return None,
    })
}

/// An ordinal written as a word, from second (first has a meaning of its own).
pub(super) fn ordinal_word(lower: &str) -> Option<u32> {
    Some(match lower {
        "second" => 2,
        "third" => 3,
        "fourth" => 4,
        "fifth" => 5,
        "sixth" => 6,
        "seventh" => 7,
        "eighth" => 8,
        "ninth" => 9,
        "tenth" => 10,
        _ => return None,
    })
}

/// A misspelt stitch word of at least three letters, one slip away from a known one.
pub(super) fn mended(lower: &str) -> Option<W> {
    const FIXED: &[(&str, W)] = &[
        ("ine", W::Inc),
        ("lnc", W::Inc),
        ("1nc", W::Inc),
        ("jnc", W::Inc),
        ("inx", W::Inc),
        ("icn", W::Inc),
        ("nic", W::Inc),
        ("iinc", W::Inc),
        ("incc", W::Inc),
        ("incrase", W::Inc),
        ("increse", W::Inc),
        ("incease", W::Inc),
        ("inrease", W::Inc),
        ("dee", W::Dec),
        ("dce", W::Dec),
        ("edc", W::Dec),
        ("decc", W::Dec),
        ("decrese", W::Dec),
        ("derease", W::Dec),
        ("decrase", W::Dec),
        ("hcd", W::Kind(P::Hdc)),
        ("hde", W::Kind(P::Hdc)),
        ("cs", W::Kind(P::Sc)),
        ("se", W::Kind(P::Sc)),
        ("sx", W::Kind(P::Sc)),
        ("5c", W::Kind(P::Sc)),
        ("sd", W::Kind(P::Sc)),
        ("cc", W::Kind(P::Sc)),
        ("ssc", W::Kind(P::Sc)),
        ("scc", W::Kind(P::Sc)),
    ];
    FIXED.iter().find(|(word, _)| *word == lower).map(|(_, w)| *w)
}
