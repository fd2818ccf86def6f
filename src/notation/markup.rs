//! What is left of other forms in a text: tags and entities of pages, letters of abbreviations parted by dots.

use super::words::{W, meaning};

/// Tags that a copied page may keep.
const TAGS: &[&str] =
    &["b", "i", "p", "br", "li", "ul", "ol", "em", "strong", "div", "span", "td", "tr", "u", "h1", "h2", "h3"];

const ENTITIES: &[(&str, Option<char>)] = &[
    ("&ndash;", Some('-')),
    ("&mdash;", Some('-')),
    ("&minus;", Some('-')),
    ("&nbsp;", None),
    ("&amp;", Some('&')),
    ("&quot;", None),
    ("&bull;", None),
];

/// A tag or an entity at the head of a text: its bytes, and the sign it stands for.
pub(super) fn markup(rest: &str) -> Option<(usize, Option<char>)> {
    if rest.starts_with('&') {
        let (entity, sign) = ENTITIES.iter().find(|(e, _)| rest.starts_with(e))?;
        return Some((entity.len(), *sign));
    }
    let inner = rest.strip_prefix('<')?;
    let end = inner.bytes().take(12).position(|b| b == b'>')?;
    let name = inner[..end].trim_matches(['/', ' ']).to_ascii_lowercase();
    TAGS.contains(&name.as_str()).then_some((end + 2, None))
}

/// `s.c.` at the head of a text, whose first word is `len` bytes long: its bytes and its meaning.
pub(super) fn dotted(rest: &str, len: usize) -> Option<(usize, W)> {
    let bytes = rest.as_bytes();
    if len != 1 || bytes.get(1) != Some(&b'.') || !bytes.get(2).is_some_and(u8::is_ascii_alphabetic) {
        return None;
    }
    let mut word = String::new();
    let mut k = 0;
    while bytes.get(k).is_some_and(u8::is_ascii_alphabetic) && bytes.get(k + 1) == Some(&b'.') && word.len() < 4 {
        word.push(char::from(bytes[k].to_ascii_lowercase()));
        k += 2;
    }
    let w = meaning(&word);
    matches!(w, W::Kind(_) | W::Ch | W::Ring).then_some((k, w))
}

/// Whether one digit and no more stands at the head of a text.
pub(super) fn is_colour_number(rest: &str) -> bool {
    let mut chars = rest.chars();
    chars.next().is_some_and(|c| matches!(c, '1'..='9')) && !chars.next().is_some_and(char::is_alphanumeric)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::words::Printed;

    #[test]
    fn marks_of_pages_are_taken_off() {
        assert_eq!(markup("<b>Tail"), Some((3, None)));
        assert_eq!(markup("</p>"), Some((4, None)));
        assert_eq!(markup("&ndash;5"), Some((7, Some('-'))));
        assert_eq!(markup("<28>"), None);
        assert_eq!(dotted("s.c. in", 1), Some((4, W::Kind(Printed::Sc))));
        assert_eq!(dotted("R.5", 1), None);
    }
}
