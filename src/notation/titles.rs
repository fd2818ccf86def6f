//! Headings of pieces: `Head`, `ARMS (make 2)`, `## Left ear x2`, `Wing – 2 parts`.

use std::ops::Range;

use super::copies::{Copies, copies, is_bought, is_length};
use super::lexer::{Line, T, Token};
use super::likeness::once_more;
use super::parts::part_words;
use super::words::W;

/// What a line with a part's name says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Says {
    /// A part begins.
    Name,
    /// Something about the part: "Eyes: insert between rounds 5 and 6", "Starting with the trunk". A heading only where
    /// rounds begin behind it and no other heading waits for them.
    Remark,
    /// The part goes on: "HEAD (continued)".
    GoesOn,
}

/// A heading.
#[derive(Clone, Debug)]
pub(super) struct Title {
    pub says: Says,
    pub name: String,
    pub copies: Option<Copies>,
    pub span: Range<usize>,
    pub strong: bool,
}

fn clean(name: &str) -> String {
    let trimmed = name.trim_matches(|c: char| !c.is_alphanumeric() && c != ')' && c != '(');
    let trimmed = trimmed.trim_matches(|c: char| c.is_whitespace() || matches!(c, '(' | ')' | ':' | '-' | '*' | '#'));
    trimmed.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Words that tell one of several like parts from the others.
const WHICH: &[&str] = &[
    "left", "right", "top", "bottom", "inner", "outer", "inside", "outside", "front", "back", "upper", "lower",
    "middle", "first", "second", "third",
];

/// Whether a remark behind a name tells the part from others of that name: `left`, `inner part`.
fn tells_apart(words: &str) -> bool {
    let lower = words.to_lowercase();
    let mut which = 0;
    for (k, word) in lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).enumerate() {
        let known = WHICH.contains(&word);
        if k > 2 || !(known || matches!(word, "part" | "side" | "half" | "piece" | "section" | "one" | "the")) {
            return false;
        }
        which += usize::from(known);
    }
    which > 0
}

/// Whether a unit stands behind a number, or the rest of a fraction: true if it is one of lengths that a part has
/// (`5 cm`, `2½"`), false for what is bought by it (`9 mm`, `50 g`).
fn measured(text: &str, behind: &[Token]) -> Option<bool> {
    let word = |t: &Token| text[t.start..t.end].to_lowercase();
    let sign = |t: &Token| matches!(t.t, T::Dot | T::Comma | T::Slash);
    let rest = match behind {
        [mark, n, rest @ ..] if sign(mark) && n.num().is_some() => rest,
        _ => behind,
    };
    let unit = word(rest.first()?);
    let part = is_length(text, rest.first()) && unit != "mm";
    let other = matches!(unit.as_str(), "mm" | "g" | "m") || unit.starts_with(['½', '¼', '¾']);
    let broken = rest.len() < behind.len();
    (part || other || broken).then_some(part)
}

/// Whether the words before a bracket name what is mostly bought: "Eyes (1 cm)".
fn names_bought(text: &str, toks: &[Token]) -> bool {
    let named = |t: &Token| {
        let word = text[t.start..t.end].to_lowercase();
        is_bought(text, t) || matches!(word.as_str(), "eye" | "eyes" | "nose" | "noses" | "pom" | "hook")
    };
    toks.iter().take_while(|t| !matches!(t.t, T::Open(_))).any(named)
}

/// Words at the head of a line that name a part, before a sign: "Head (20 g)", "Hat, 3 mm hook". None if it is mostly
/// bought.
pub(super) fn part_head(text: &str, toks: &[Token]) -> Option<usize> {
    let words = toks.iter().take_while(|t| t.word().is_some() || matches!(t.t, T::Ord(_))).count();
    let sign = toks.get(words).is_some_and(|t| matches!(t.t, T::Open(_) | T::Comma | T::Colon | T::Dash));
    let named = (1..=4).contains(&words) && sign && !names_bought(text, &toks[..words]);
    let whole = named.then(|| text[toks[0].start..toks[words - 1].end].to_lowercase())?;
    let part = part_words(&whole) > 0 && !toks[0].is(W::Rnd) && !ACTS.contains(&whole.as_str());
    part.then_some(words)
}

/// Whether a bracket gives the size of a part: "Tail (5 cm)".
fn is_sized(text: &str, toks: &[Token]) -> bool {
    let open = toks.iter().position(|t| matches!(t.t, T::Open(_))).unwrap_or(toks.len());
    (open..toks.len()).any(|k| toks[k].num().is_some() && measured(text, &toks[k + 1..]) == Some(true))
}

/// Whether numbers in a line tell of other things than the piece: "Whiskers: 3 strands each side" is a note, "Leg 2" a
/// heading, and a bracket behind a `part` may hold what it likes but a size: "Body (22 rounds)".
fn counts_things(text: &str, toks: &[Token], part: bool) -> bool {
    let end = toks.iter().rposition(|t| !matches!(t.t, T::Colon | T::Dot | T::Dash | T::Star)).map_or(0, |k| k + 1);
    let digits = |t: &Token| t.num().is_some() && text[t.start..].starts_with(|c: char| c.is_ascii_digit());
    let mut depth = 0;
    let (mut last, mut before) = (false, false);
    for (k, t) in toks[..end].iter().enumerate() {
        match t.t {
            T::Open(_) => depth += 1,
            T::Close(_) => {
                depth -= 1;
                if !part {
                    before |= last;
                }
            }
            _ if depth > 0 && part => {
                let size = measured(text, &toks[k + 1..]);
                if digits(t) && size.is_some_and(|of_part| !of_part || names_bought(text, toks)) {
                    return true;
                }
            }
            _ => {
                before |= last;
                last = digits(t);
            }
        }
    }
    before
}

/// Tokens at the head of a line that only number the part: `1.`, `2)`, `Step 1:`.
fn numbering(text: &str, toks: &[Token]) -> usize {
    let mark = |t: &Token| matches!(t.t, T::Dot | T::Close(_) | T::Colon) || (t.t == T::Dash && !t.glued);
    let num = |k: usize| toks.get(k).and_then(Token::num).is_some_and(|n| n < 100);
    let step = toks.first().is_some_and(|t| {
        let word = text[t.start..t.end].to_lowercase();
        matches!(word.as_str(), "step" | "part" | "section" | "piece" | "chapter")
    });
    let from = usize::from(step) + 1;
    let marks = toks.iter().skip(from).take_while(|t| mark(t)).count();
    if !num(from - 1) || (marks == 0 && !step) {
        return 0;
    }
    let rest = &toks[from + marks..];
    let begins = rest.first().is_some_and(|t| t.word().is_some() || t.num().is_some());
    let work = rest.iter().any(|t| {
        matches!(t.t, T::Word(W::Kind(_) | W::Inc | W::Dec | W::KindTog(_) | W::Ring | W::Rnd | W::Ch | W::St))
    });
    let words = rest.iter().take_while(|t| t.word().is_some()).count();
    let part = rest.first().is_some_and(|t| part_words(&text[t.start..rest[rest.len() - 1].end].to_lowercase()) > 0);
    let named = ((1..=3).contains(&words) && (marks > 0 || part)) || copies(text, rest).is_some();
    if begins && !work && named { from + marks } else { 0 }
}

fn make(text: &str, span: Range<usize>, toks: &[Token]) -> Option<Title> {
    let whole = &text[span.clone()];
    let found = copies(text, toks);
    let mut name = match &found {
        Some((_, cut)) => {
            let cut = cut.start.max(span.start)..cut.end.min(span.end);
            format!("{} {}", &text[span.start..cut.start.max(span.start)], &text[cut.end.min(span.end)..span.end])
        }
        None => whole.to_owned(),
    };
    // Brackets are remarks, "Body (work in blue)", unless they tell one part from another: "Leg (left)".
    let mut told = found.as_ref().map_or("", |(_, cut)| &text[cut.clone()]).split([',', ';', '(', ')']);
    let mut which = told.find(|w| tells_apart(w)).map(|w| w.trim().to_owned());
    while let (Some(a), Some(b)) = (name.find(['(', '[']), name.find([')', ']'])) {
        if a >= b {
            break;
        }
        let inner = &name[a + 1..b];
        which = which.or_else(|| tells_apart(inner).then(|| inner.trim().to_owned()));
        name.replace_range(a..=b, " ");
    }
    let lower = name.to_lowercase();
    // "Head – in white yarn", "Body, worked from the bottom", but "Body – top"
    let cut = [" - ", " – ", " — ", ", "].iter().filter_map(|s| lower.find(s)).min().unwrap_or(name.len());
    if cut > 0
        && name.is_char_boundary(cut)
        && lower.len() == name.len()
        && part_words(&lower[..cut]) > 0
        && !tells_apart(&lower[cut..])
    {
        name.truncate(cut);
    }
    let mut name = clean(&name);
    // "Head and body in one": how it is worked is no part of its name.
    const MANNER: [&str; 8] = [
        " worked in one",
        " made in one",
        " all in one",
        " in one",
        " in 1 piece",
        " as one",
        " worked as one",
        " worked together",
    ];
    let lower = name.to_lowercase();
    if lower.len() == name.len()
        && lower.len() > 9
        && let Some(at) = MANNER.iter().filter_map(|m| lower.find(m)).min()
        && matches!(lower[at..].rsplit(' ').next(), Some("one" | "piece" | "together"))
        && part_words(&lower[..at]) > 0
    {
        name.truncate(at);
    }
    let lower = name.to_lowercase();
    // "Crochet 2 parts.", "Work 4": how many, of the piece named before.
    if found.is_some()
        && matches!(lower.as_str(), "more" | "crochet" | "work" | "make" | "knit" | "do" | "you need" | "we make")
    {
        name.clear();
    }
    let words = lower.split_whitespace().count();
    let strong = ((part_words(&lower) > 0 && words <= 5) || found.is_some()) && !name.is_empty();
    let counts = found.is_none() && counts_things(text, toks, part_words(&lower) > 0 && words <= 4);
    // "Head (20 g)", "Hat, 2 inch across": a part and a remark with numbers.
    let head = part_head(text, toks).filter(|_| counts);
    if counts && head.is_none() {
        return None;
    }
    if let Some(head) = head {
        name = clean(&text[toks[0].start..toks[head - 1].end]);
    }
    if let Some(which) = which.filter(|_| !name.is_empty()) {
        name = format!("{name} ({which})");
    }
    if name.chars().count() > 48 {
        return None;
    }
    let lower = whole.to_lowercase();
    let continued = |w: &str| matches!(w, "continued" | "cont" | "contd" | "continuation");
    let goes_on = lower.replace(['\'', '’'], "").split(|c: char| !c.is_alphabetic()).skip(1).any(continued);
    if goes_on {
        let end = [" continued", " cont'd", " contd", " cont"].iter().find_map(|w| {
            let head = name.len().checked_sub(w.len()).filter(|at| name.is_char_boundary(*at))?;
            name[head..].eq_ignore_ascii_case(w).then_some(head)
        });
        name.truncate(end.unwrap_or(name.len()));
    }
    let says = match (goes_on, head.is_some() || (found.is_none() && is_sized(text, toks))) {
        (true, _) => Says::GoesOn,
        (_, true) => Says::Remark,
        _ => Says::Name,
    };
    Some(Title { name, copies: found.map(|f| f.0), span, strong, says })
}

/// Words that say what to do with a part, or what was done to it.
const ACTS: &[&str] = &[
    "insert",
    "inserted",
    "place",
    "placed",
    "position",
    "positioned",
    "sew",
    "sewn",
    "stitch",
    "embroider",
    "embroidered",
    "attach",
    "attached",
    "stuff",
    "stuffed",
    "fill",
    "glue",
    "glued",
    "add",
    "added",
    "pin",
    "put",
    "fix",
    "fixed",
    "secure",
    "fasten",
    "fold",
    "folded",
    "flatten",
    "close",
    "closed",
    "gather",
    "weave",
    "leave",
    "pull",
    "tie",
    "press",
    "cut",
    "draw",
    "mark",
    "use",
    "between",
    "go",
    "goes",
];

/// Words that may stand before them.
const FILLERS: &[&str] = &[
    "now",
    "then",
    "just",
    "please",
    "you",
    "we",
    "can",
    "should",
    "to",
    "be",
    "do",
    "don't",
    "don’t",
    "not",
    "also",
    "only",
    "lightly",
    "firmly",
    "carefully",
    "are",
    "is",
    "will",
    "must",
];

/// Words that begin a line about work on a part, not the part.
const DOINGS: &[&str] = &[
    "closing",
    "finishing",
    "stuffing",
    "sewing",
    "attaching",
    "placing",
    "inserting",
    "embroidering",
    "adding",
    "positioning",
    "fastening",
    "assembling",
    "starting",
    "start",
    "beginning",
    "begin",
    "working",
    "worked",
    "work",
];

/// Whether the words say something about a part instead of naming it; how many tokens name it.
fn remark(text: &str, toks: &[Token]) -> Option<usize> {
    let lower = |t: &Token| text[t.start..t.end].to_lowercase();
    let part = |toks: &[Token]| match toks {
        [first, .., last] => part_words(&text[first.start..last.end].to_lowercase()) > 0,
        [one] => part_words(&lower(one)) > 0,
        [] => false,
    };
    let whole = toks.len();
    let first = lower(toks.first()?);
    if DOINGS.contains(&first.as_str()) && part(&toks[1..]) {
        return Some(whole);
    }
    let sign = |t: &Token| matches!(t.t, T::Colon | T::Dot | T::Star | T::Mark);
    let last = toks.iter().rposition(|t| !sign(t))?;
    // "Muzzle first"
    if toks[last].is(W::First) && last > 0 && part(&toks[..last]) {
        return Some(whole);
    }
    let cut = toks
        .iter()
        .position(|t| matches!(t.t, T::Colon | T::Comma | T::Open(_)) || (t.t == T::Dash && !t.glued))
        .filter(|k| *k > 0)
        .unwrap_or(whole);
    let (head, tail) = (&toks[..cut], &toks[(cut + 1).min(whole)..]);
    if head.len() > 5 || !part(head) {
        return None;
    }
    // "Eye placement"
    if head[1..].iter().any(|t| matches!(lower(t).as_str(), "placement" | "position" | "positions")) {
        return Some(cut);
    }
    let acts = |toks: &[Token]| {
        let mut words =
            toks.iter().filter(|t| t.word().is_some()).map(lower).skip_while(|w| FILLERS.contains(&w.as_str()));
        words.next().is_some_and(|w| ACTS.contains(&w.as_str()))
    };
    if acts(tail) {
        return Some(cut);
    }
    // "Ears go here", "Arms are sewn on"
    let verb = (1..head.len()).find(|k| part(&head[..*k]) && acts(&head[*k..]));
    verb.filter(|k| FILLERS.contains(&lower(&head[*k]).as_str()) || lower(&head[*k]).starts_with("go")).map(|_| whole)
}

/// Whether the tokens could be a title: few words, no sentence.
fn titled(text: &str, toks: &[Token], lower: &str) -> bool {
    let mut depth = 0;
    let mut words = 0;
    for t in toks {
        match t.t {
            T::Open(_) => depth += 1,
            T::Close(_) => depth -= 1,
            T::Word(_) if depth == 0 => words += 1,
            _ => {}
        }
    }
    let ends_sentence = matches!(toks.last().map(|t| t.t), Some(T::Dot)) && words > 2;
    let first_word = text[toks[0].start..toks[0].end].to_lowercase();
    let first_note = (matches!(toks[0].t, T::Word(W::Note | W::Stuff | W::Fasten | W::Fold | W::Close | W::With))
        || matches!(
            toks[0].t,
            T::Word(W::Change | W::Join | W::Turn | W::Continue | W::Rep | W::Until | W::ColourNoun)
        ))
        && part_words(&first_word) == 0
        && first_word != "flat";
    let noun = part_words(lower);
    if super::looks::DIVIDES.contains(&first_word.as_str()) {
        return false;
    }
    let shout = lower.contains('!') && (noun == 0 || words > 3 || toks.iter().any(|t| t.num().is_some()));
    let address = lower.contains("www") || lower.contains("http") || lower.contains(['@', '?']) || shout;
    // "Eyes go between R9 and R10": a heading does not end in such a word.
    let worded = |t: &Token| t.num().is_some() && !text[t.start..].starts_with(|c: char| c.is_ascii_digit());
    // "(make a total of 5)" says how many; no sentence breaks off there.
    let counted = matches!(toks[toks.len() - 1].t, T::Close(_)) && copies(text, toks).is_some();
    let open = toks.iter().rposition(|t| matches!(t.t, T::Open(_))).filter(|_| counted).unwrap_or(toks.len());
    let last = toks[..open]
        .iter()
        .rev()
        .find(|t| t.word().is_some() || worded(t))
        .map_or("", |t| &text[t.start..t.end])
        .to_lowercase();
    if matches!(
        last.as_str(),
        "between"
            | "from"
            | "to"
            | "in"
            | "on"
            | "at"
            | "after"
            | "of"
            | "for"
            | "until"
            | "before"
            | "over"
            | "with"
            | "and"
            | "the"
            | "is"
            | "are"
            | "see"
            | "into"
            | "around"
            | "through"
            | "next"
            | "last"
    ) {
        return false;
    }
    let table = toks.iter().filter(|t| matches!(t.t, T::Pipe | T::Tab)).count() > 1;
    let numbered = toks.iter().any(|t| t.num().is_some());
    let stitches = toks.iter().any(|t| {
        matches!(t.t, T::Word(W::Kind(_) | W::Inc | W::Dec | W::KindTog(_) | W::SymInc | W::SymDec | W::Ring))
    });
    if numbered && stitches {
        return false;
    }
    let verb = |t: &&Token| {
        matches!(t.t, T::Word(W::Note | W::Stuff | W::Is | W::Fasten)) && part_words(&text[t.start..t.end]) == 0
    };
    let verbs = toks.iter().filter(verb).count();
    (1..=7).contains(&words) && !table && !ends_sentence && !first_note && !address && (verbs == 0 || words <= 3)
}

/// The words between signs that frame a heading: `== Head ==`, `[Head]`.
fn undecorated<'t>(text: &str, toks: &'t [Token]) -> &'t [Token] {
    let sign = |t: &Token| matches!(t.t, T::Star | T::Mark | T::Eq | T::Dash | T::Pipe);
    let mut toks = &toks[toks.iter().take_while(|t| sign(t)).count()..];
    let behind = toks.iter().rev().take_while(|t| sign(t)).count();
    if behind > 1 || toks.last().is_some_and(|t| matches!(t.t, T::Eq | T::Pipe | T::Mark)) {
        toks = &toks[..toks.len() - behind];
    }
    match toks {
        [open, inner @ .., close]
            if matches!((open.t, close.t), (T::Open(_), T::Close(_)))
                && !inner.iter().any(|t| matches!(t.t, T::Open(_) | T::Close(_) | T::Num(_)))
                && part_words(&text[open.end..close.start].to_lowercase()) > 0 =>
        {
            inner
        }
        _ => toks,
    }
}

/// A line that is a heading.
pub(super) fn title(text: &str, line: &Line, toks: &[Token]) -> Option<Title> {
    let toks = undecorated(text, toks);
    let toks = &toks[numbering(text, toks)..];
    if toks.is_empty() {
        return None;
    }
    let lower = text[line.start..line.end].to_lowercase();
    if lower.len() > 160 || lower.contains(['?', '@']) || lower.contains("www") {
        return None;
    }
    // "Make the second ear" is a heading only if its rounds follow.
    let about = remark(text, toks).or_else(|| once_more(&lower).map(|_| toks.len()));
    let remark = |t: Title| Title { says: if about.is_some() { Says::Remark } else { t.says }, ..t };
    if let Some(cut) = about.filter(|k| *k < toks.len()) {
        let head = &toks[..cut];
        let span = head[0].start..head[cut - 1].end;
        if matches!(toks[toks.len() - 1].t, T::Dot) || !titled(text, head, &text[span.clone()].to_lowercase()) {
            return None;
        }
        let told = copies(text, &toks[cut..])
            .filter(|_| matches!(toks[cut].t, T::Open(_)) || toks[cut..].iter().any(|t| t.is(W::Make)));
        let title = make(text, span, head).filter(|t| t.strong)?;
        return Some(remark(Title { copies: title.copies.clone().or(told.map(|f| f.0)), ..title }));
    }
    if !titled(text, toks, &lower) || lower.len() > 90 {
        // "Body and head, worked in one piece": the words before the comma name the part.
        let cut = toks.iter().position(|t| matches!(t.t, T::Comma | T::Colon) || (t.t == T::Dash && !t.glued))?;
        let (head, tail) = toks.split_at(cut);
        let sentence =
            matches!(toks[toks.len() - 1].t, T::Dot) || lower.contains('!') || tail.iter().any(|t| t.is(W::Is));
        if head.is_empty() || sentence {
            return None;
        }
        let span = head[0].start..head[head.len() - 1].end;
        let lower = text[span.clone()].to_lowercase();
        if !titled(text, head, &lower) {
            return None;
        }
        // "Eyes: 9 mm safety eyes between R1 and R2"
        let rounds = tail.windows(2).any(|w| w[0].is(W::Rnd) && w[1].num().is_some());
        let about = rounds || tail.iter().any(|t| is_bought(text, t));
        return make(text, span, head)
            .filter(|t| t.strong)
            .map(|t| Title { says: if about { Says::Remark } else { t.says }, ..t });
    }
    let span = toks[0].start..toks[toks.len() - 1].end;
    make(text, span, toks).map(remark)
}

/// A heading at the head of a line that goes on with rounds, and the tokens it takes.
pub(super) fn split(text: &str, line: &Line, toks: &[Token]) -> Option<(Title, usize)> {
    let _ = line;
    let skipped = numbering(text, toks);
    let toks = &toks[skipped..];
    let colon = toks.iter().take(12).position(|t| matches!(t.t, T::Colon));
    let dash = toks.iter().take(8).position(|t| matches!(t.t, T::Dash) && !t.glued);
    // `Ears (make 2) Rnd 1: …`
    let round = toks.iter().take(10).position(|t| t.is(W::Rnd)).filter(|k| *k > 0);
    let cut = [colon, dash, round].into_iter().flatten().min()?;
    let head = &toks[..cut];
    let open = |t: &&Token| matches!(t.t, T::Open(_));
    let close = |t: &&Token| matches!(t.t, T::Close(_));
    let inside = head.iter().filter(open).count() > head.iter().filter(close).count();
    if inside || head.iter().all(|t| t.word().is_none()) {
        return None;
    }
    let stitchy = head.iter().any(|t| {
        matches!(t.t, T::Word(W::Kind(_) | W::Inc | W::Dec | W::Ring | W::Tog | W::Blo | W::Flo | W::Rnd | W::Ch))
    });
    let span = head[0].start..head[head.len() - 1].end;
    let lower = text[span.clone()].to_lowercase();
    if stitchy || !titled(text, head, &lower) {
        return None;
    }
    let marks = usize::from(!toks[cut].is(W::Rnd));
    let command = head.iter().any(|t| matches!(t.t, T::Word(W::Rep | W::AsFor | W::Same | W::Continue | W::Until)));
    let title = make(text, span, head)?;
    (!command && (marks == 1 || title.strong)).then_some((title, skipped + cut + marks))
}

/// A part and how many of it to make, whatever else the bracket says: `Ears (make 2, 3 mm hook)`.
pub(super) fn says_copies(text: &str, toks: &[Token]) -> bool {
    let words = toks.iter().take_while(|t| t.word().is_some()).count();
    (1..=3).contains(&words)
        && matches!(toks.get(words).map(|t| t.t), Some(T::Open(_)))
        && toks[words..].iter().any(|t| t.is(W::Make))
        && part_words(&text[toks[0].start..toks[words].start].to_lowercase()) > 0
}
