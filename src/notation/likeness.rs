//! A whole part told by another: "Same as leg 1, but do not fasten off.", "Repeat the left arm.", "see arms".

use super::lexer::{T, Token};
use super::parts::part_words;
use super::words::W;

/// What a line says that tells a part by another.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Told {
    /// The words that name the other part, in lower case; empty for "another one the same".
    pub part: String,
    /// A difference in the work follows that is not read.
    pub differs: bool,
    /// The colour differs.
    pub recoloured: bool,
    /// The yarn is not cut: the part goes on into the next.
    pub open: bool,
    /// Words that also begin remarks or tell of one more of the part above ("see", "repeat", "make another one the
    /// same"): only under a heading do they tell a part.
    pub weak: bool,
}

/// Words that may stand before "same", "as", "like".
const LEAD: &[&str] =
    &["work", "worked", "make", "crochet", "do", "is", "are", "the", "exactly", "just", "this", "these"];

/// Words that name a part by its place.
const PLACES: &[&str] = &["first", "other", "previous", "left", "right", "above"];

/// Words behind which a difference stands.
const BUT: &[&str] = &["but", "except", "only", "with", "without", "until", "then", "in", "using", "up", "to"];

/// Words of ending and sewing that change no round.
const ENDINGS: &[&str] = &[
    "fasten", "cut", "break", "sew", "stuff", "tail", "yarn", "thread", "close", "open", "finish", "attach", "stuffing",
];

/// Reads a line, or the words behind a heading, that tell a part by another.
pub(super) fn told(text: &str, toks: &[Token]) -> Option<Told> {
    if !(2..=30).contains(&toks.len()) {
        return None;
    }
    let word = |k: usize| toks.get(k).map_or(String::new(), |t| text[t.start..t.end].to_lowercase());
    let mut k = 0;
    let mut made = false;
    while k < 4 && (LEAD.contains(&word(k).as_str()) || (made && toks.get(k).is_some_and(|t| t.num().is_some()))) {
        made |= toks[k].is(W::Make) || word(k) == "crochet";
        k += 1;
    }
    let mut told = Told::default();
    match word(k).as_str() {
        "another" if made => {
            // "make another one the same"
            let rest: Vec<String> = (k + 1..toks.len()).map(word).collect();
            let plain = |w: &String| {
                matches!(
                    w.as_str(),
                    "one" | "piece" | "the" | "same" | "alike" | "like" | "this" | "that" | "it" | "." | "way"
                ) || part_words(w) > 0
            };
            let same = rest.iter().any(|w| matches!(w.as_str(), "same" | "alike" | "like"));
            told.weak = true;
            return (same && rest.iter().all(plain)).then_some(told);
        }
        "same" | "identical" => k += 1,
        "as" | "like" => {}
        "repeat" | "see" => {
            told.weak = true;
            k += 1;
        }
        _ => return None,
    }
    while k < toks.len() && matches!(word(k).as_str(), "as" | "like" | "for" | "to" | "the" | "in" | "with" | "your") {
        k += 1;
    }
    let from = k;
    while k < toks.len() && matches!(toks[k].t, T::Word(_) | T::Num(_) | T::Ord(_)) && !BUT.contains(&word(k).as_str())
    {
        k += 1;
    }
    let (part, tail) = (&toks[from..k], &toks[k..]);
    let work = |t: &Token| matches!(t.t, T::Word(W::Rnd | W::Kind(_) | W::Inc | W::Dec | W::St | W::Ring));
    if part.is_empty() || part.len() > 6 || part.iter().any(work) || part[0].num().is_some() {
        return None;
    }
    told.part = text[part[0].start..part[part.len() - 1].end].to_lowercase();
    let placed = (from..k).any(|k| PLACES.contains(&word(k).as_str()));
    // "as shown on the left" tells of no part.
    let strange = (from..k).filter(|k| {
        let w = word(*k);
        let known = PLACES.contains(&w.as_str()) || part_words(&w) > 0 || matches!(w.as_str(), "one" | "the" | "and");
        !known && toks[*k].word().is_some()
    });
    if (part_words(&told.part) == 0 && !placed) || strange.count() > 1 {
        return None;
    }
    let ended = tail.iter().all(|t| matches!(t.t, T::Dot | T::Mark));
    if told.weak && !ended && toks[0].is(W::Note) {
        return None;
    }
    // "… up to round 5" is read with the rounds it names.
    let numbered = |w: &[Token]| {
        (w[0].is(W::Rnd) && matches!(w[1].t, T::Num(_) | T::Ord(_))) || (matches!(w[0].t, T::Ord(_)) && w[1].is(W::Rnd))
    };
    let until = matches!(word(k).as_str(), "until" | "up" | "to" | "through");
    if until && tail.windows(2).any(numbered) {
        return None;
    }
    let words: Vec<String> = (k..toks.len()).map(word).collect();
    let says = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let change = tail.iter().any(|t| work(t) || t.num().is_some() || t.is(W::More))
        || says(&["less", "fewer", "longer", "shorter", "extra", "larger", "smaller", "until", "mirror", "reverse"]);
    told.recoloured = !change && tail.iter().any(|t| t.is(W::Colour));
    told.differs = !ended && (change || !(told.recoloured || says(ENDINGS)));
    let not = says(&["not", "don't", "don’t", "without"]);
    told.open = (not && says(&["fasten", "cut", "break", "close", "cutting", "fastening"]))
        || (says(&["leave"]) && says(&["open"]));
    Some(told)
}

/// The part that a line, in lower case, asks for once more: "Repeat for the other wing.", "Make the second ear the
/// same way."; `one` if it is not named.
pub(super) fn once_more(lower: &str) -> Option<&str> {
    const BEFORE: &[&str] = &["for", "this", "all", "the", "same", "a", "steps", "these", "everything", "do", "it"];
    const BEHIND: &[&str] =
        &["the", "same", "way", "in", "to", "match", "exactly", "like", "this", "alike", "as", "well", "too", "first"];
    if lower.len() > 120 {
        return None;
    }
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    if !matches!(words.first(), Some(&("repeat" | "make" | "work" | "crochet" | "do"))) {
        return None;
    }
    let at = words.iter().position(|w| matches!(*w, "other" | "second" | "2nd" | "another"))?;
    let part = *words.get(at + 1)?;
    let plain = words[1..at].iter().all(|w| BEFORE.contains(w)) && words[at + 2..].iter().all(|w| BEHIND.contains(w));
    (plain && (part == "one" || (part_words(part) > 0 && !part.ends_with("ss")))).then_some(part)
}

/// Whether a text in lower case names the part `name` (in lower case): all its words, in the singular or plural.
pub(super) fn names_all(text: &str, name: &str) -> bool {
    let has = |w: &str| {
        text.split(|c: char| !c.is_alphanumeric()).any(|t| t.trim_end_matches('s') == w.trim_end_matches('s'))
    };
    let mut words = name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).peekable();
    words.peek().is_some() && words.all(has)
}
