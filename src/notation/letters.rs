//! Letters and digits in disguise: bold and other mathematical alphabets, full-width forms, ligatures.

/// The value of a digit, also of one in a mathematical or full-width face.
pub(super) fn digit(c: char) -> Option<u32> {
    let n = u32::from(c);
    match n {
        0x30..=0x39 => Some(n - 0x30),
        0x1D7CE..=0x1D7FF => Some((n - 0x1D7CE) % 10),
        0xFF10..=0xFF19 => Some(n - 0xFF10),
        _ => None,
    }
}

/// The plain lower-case letters of a letter.
pub(super) fn push_plain(c: char, out: &mut String) {
    let n = u32::from(c);
    let latin = |at: u32| char::from(b'a' + u8::try_from(at % 26).unwrap_or(0));
    match c {
        '’' => out.push('\''),
        'ﬁ' => out.push_str("fi"),
        'ﬂ' => out.push_str("fl"),
        'ﬀ' => out.push_str("ff"),
        'ﬃ' => out.push_str("ffi"),
        'ﬄ' => out.push_str("ffl"),
        // Twelve alphabets of twice 26 letters stand one behind the other.
        _ if (0x1D400..=0x1D6A3).contains(&n) => out.push(latin(n - 0x1D400)),
        _ if (0xFF21..=0xFF3A).contains(&n) => out.push(latin(n - 0xFF21)),
        _ if (0xFF41..=0xFF5A).contains(&n) => out.push(latin(n - 0xFF41)),
        'ℎ' => out.push('h'),
        _ => out.extend(c.to_lowercase()),
    }
}

/// Signs that only dress the sign before them, or nothing at all.
pub(super) fn is_nothing(c: char) -> bool {
    matches!(c, '\u{feff}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{fe0e}' | '\u{fe0f}' | '\u{ad}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn disguises_are_taken_off() {
        let plain = |text: &str| {
            let mut out = String::new();
            text.chars().for_each(|c| push_plain(c, &mut out));
            out
        };
        assert_eq!(plain("𝐑𝐧𝐝"), "rnd");
        assert_eq!(plain("𝙨𝙘"), "sc");
        assert_eq!(plain("ｉｎｃ"), "inc");
        assert_eq!(plain("ﬁrst"), "first");
        assert_eq!("𝟏𝟐𝟛４".chars().filter_map(digit).collect::<Vec<_>>(), [1, 2, 3, 4]);
    }
}
