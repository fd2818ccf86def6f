//! What a text says around its rounds: gauge, hook, yarn, size. Lengths are in mm.

use std::ops::Range;

use super::lexer::Line;
use super::reading::{Heading, Said, WrittenGauge};

/// Whether a line (in lower case) speaks of materials, sizes or gauge and so is no round.
pub(super) fn is_header(lower: &str) -> bool {
    let t = lower.trim_start_matches(|c: char| !c.is_alphanumeric());
    const HEADS: &[&str] = &[
        "gauge",
        "tension",
        "material",
        "hook",
        "yarn",
        "size",
        "finished",
        "you need",
        "you will need",
        "needed",
        "supplies",
        "tools",
        "notion",
        "level",
        "skill",
        "difficulty",
        "swatch",
        "copyright",
        "©",
        "height",
        "width",
        "measurement",
        "safety eyes",
        "notes",
        "colour",
        "color",
        "terms",
        "written in",
        "this pattern",
        "gauge:",
    ];
    // Most lines are rounds: their first letter begins none of these.
    let begins = t.as_bytes().first().is_some_and(|b| b"gtmhysfnldwc".contains(b) || !b.is_ascii());
    if begins && HEADS.iter().any(|h| t.starts_with(h)) {
        return true;
    }
    if !has_unit(lower) || lower.contains("until") {
        return false;
    }
    ["gauge", "hook", "yarn", "tall"].iter().any(|w| lower.contains(w)) || is_gauge(lower)
}

/// A heading of a list of abbreviations.
pub(super) fn is_legend_title(lower: &str) -> bool {
    let t = lower.trim_matches(|c: char| !c.is_alphabetic());
    [
        "abbreviation",
        "stitches used",
        "stitch guide",
        "legend",
        "glossary",
        "stitch key",
        "terms used",
        "special stitches",
        "key",
    ]
    .iter()
    .any(|h| {
        t.strip_prefix(h).is_some_and(|rest| rest.len() < 30 || rest.trim_start_matches('s').starts_with([':', ' ']))
    })
}

fn has_unit(lower: &str) -> bool {
    numbers(lower).any(|n| unit_mm(n.after).is_some() || n.after.starts_with("mm"))
}

fn is_gauge(lower: &str) -> bool {
    lower.contains('=')
        || lower.contains("measure")
        || lower.contains(" to ")
        || lower.contains(" per ")
        || lower.contains("over")
}

/// A number in running text, with what stands around it.
struct Number<'t> {
    value: f64,
    start: usize,
    end: usize,
    /// The text behind it, blanks and a hyphen taken off.
    after: &'t str,
}

/// The numbers of a text: `9,5`, `2½`, `1-3/4`, `4 1/2`, `3.5`.
fn numbers(text: &str) -> impl Iterator<Item = Number<'_>> {
    let bytes = text.as_bytes();
    let mut at = 0;
    std::iter::from_fn(move || {
        while at < bytes.len() && !bytes[at].is_ascii_digit() && !text[at..].starts_with(['½', '¼', '¾']) {
            at += text[at..].chars().next().map_or(1, char::len_utf8);
        }
        if at >= bytes.len() {
            return None;
        }
        let start = at;
        let (mut value, mut end) = decimal(text, at);
        // A fraction behind a whole number.
        let rest = &text[end..];
        let gap = rest.len() - rest.trim_start_matches([' ', '-']).len();
        let tail = &rest[gap..];
        if let Some((f, len)) = fraction(tail).filter(|_| gap <= 1) {
            value += f;
            end += gap + len;
        } else if let Some((f, len)) = fraction(&text[start..]) {
            value = f;
            end = start + len;
        }
        at = end.max(start + 1);
        while !text.is_char_boundary(at) {
            at += 1;
        }
        Some(Number { value, start, end, after: text[end..].trim_start_matches([' ', '-', '\u{a0}']) })
    })
}

fn decimal(text: &str, start: usize) -> (f64, usize) {
    let bytes = text.as_bytes();
    let mut end = start;
    while end < bytes.len() && bytes[end].is_ascii_digit() && end - start < 9 {
        end += 1;
    }
    if end + 1 < bytes.len() && matches!(bytes[end], b'.' | b',') && bytes[end + 1].is_ascii_digit() {
        let mut e = end + 1;
        while e < bytes.len() && bytes[e].is_ascii_digit() && e - end < 5 {
            e += 1;
        }
        // `1,000` is a thousand, `9,5` nine and a half.
        let grouped = bytes[end] == b',' && e - end == 4;
        let digits: String = text[start..e].chars().filter(|c| !(grouped && *c == ',')).collect();
        return (digits.replace(',', ".").parse().unwrap_or(0.0), e);
    }
    (text[start..end].parse().unwrap_or(0.0), end)
}

fn fraction(text: &str) -> Option<(f64, usize)> {
    for (c, v) in [('½', 0.5), ('¼', 0.25), ('¾', 0.75)] {
        if text.starts_with(c) {
            return Some((v, c.len_utf8()));
        }
    }
    let b = text.as_bytes();
    if b.len() >= 3 && b[0].is_ascii_digit() && b[1] == b'/' && b[2].is_ascii_digit() && b[2] != b'0' {
        let more = b.get(3).is_some_and(u8::is_ascii_digit);
        if !more {
            return Some((f64::from(b[0] - b'0') / f64::from(b[2] - b'0'), 3));
        }
    }
    None
}

/// mm in the length unit at the head of `after`, and the unit's length in bytes.
fn unit_mm(after: &str) -> Option<(f64, usize)> {
    if !after.as_bytes().first().is_some_and(|b| b"ci\"'".contains(b) || !b.is_ascii()) {
        return None;
    }
    const UNITS: &[(&str, f64)] = &[
        ("centimetres", 10.0),
        ("centimeters", 10.0),
        ("centimetre", 10.0),
        ("centimeter", 10.0),
        ("cms", 10.0),
        ("cm", 10.0),
        ("inches", 25.4),
        ("inch", 25.4),
        ("in.", 25.4),
        ("in", 25.4),
        ("\"", 25.4),
        ("”", 25.4),
        ("''", 25.4),
        ("″", 25.4),
    ];
    for (word, mm) in UNITS {
        if let Some(rest) = after.strip_prefix(word) {
            let whole = !word.ends_with(char::is_alphabetic) || !rest.starts_with(char::is_alphabetic);
            // "5 in the ring" is a place, not a length.
            let next = rest.trim_start();
            let place = *word == "in"
                && next.starts_with(char::is_alphabetic)
                && !["tall", "long", "high", "wide", "across", "square", "x ", "in diameter", "and", "or", "from"]
                    .iter()
                    .any(|w| next.starts_with(w));
            if place {
                continue;
            }
            if whole {
                return Some((*mm, word.len()));
            }
        }
    }
    None
}

/// The first length in a text, in mm.
pub(super) fn length_mm(lower: &str) -> Option<f64> {
    numbers(lower).find_map(|n| {
        if n.after.starts_with("mm") {
            return Some(n.value);
        }
        unit_mm(n.after).map(|(mm, _)| n.value * mm)
    })
}

/// Reads what the lines say; the first mention of each thing counts.
pub(super) fn read(text: &str, lines: &[Line]) -> Heading {
    let mut h = Heading::default();
    for line in lines {
        let raw = &text[line.start..line.end];
        if raw.len() > 600
            || !raw.bytes().any(|b| b.is_ascii_digit()) && !raw.contains(['½', '¼', '¾']) && raw.len() > 200
        {
            continue;
        }
        if !may_tell(raw.as_bytes()) {
            continue;
        }
        let lower = raw.to_lowercase();
        if lower.len() != raw.len() {
            continue;
        }
        // Each sentence for itself: "Hook: 3.5 mm. Height: 12 cm."
        let mut start = 0;
        let lower = lower.replace("approx. ", "approx, ").replace("ca. ", "ca, ").replace("abt. ", "abt, ");
        for part in lower.split_inclusive(". ").flat_map(|p| p.split_inclusive([';', '·', '•'])) {
            take(&mut h, part, line.start + start);
            start += part.len();
        }
    }
    h
}

/// Whether a line can tell anything of yarn, hook, gauge or size: one walk that spares most rounds the search.
fn may_tell(line: &[u8]) -> bool {
    const WORDS: &[&[u8]] = &[
        b"hook",
        b"high",
        b"height",
        b"gauge",
        b"tension",
        b"tall",
        b"swatch",
        b"size",
        b"yarn",
        b"weight",
        b"wool",
        b"ply",
        b"cotton",
        b"acrylic",
        b"finished",
        b"measure",
    ];
    let head = |at: usize, word: &[u8]| line.get(at..at + word.len()).is_some_and(|w| w.eq_ignore_ascii_case(word));
    let mut k = 0;
    while k < line.len() {
        let b = line[k].to_ascii_lowercase();
        if b.is_ascii_digit() || !b.is_ascii() {
            // A number and a unit; signs that are not ASCII may be one (½, ″).
            k += 1;
            while k < line.len() && (line[k] == b' ' || line[k] == b'-' || !line[k].is_ascii()) {
                k += 1;
            }
            let unit = line.get(k).is_some_and(|u| b"cmgoyi\"'".contains(&u.to_ascii_lowercase()));
            let whole = !head(k, b"inc") && !head(k, b"in ") && !head(k, b"ch");
            let inch = head(k, b"in ") && (head(k + 3, b"tall") || head(k + 3, b"long") || head(k + 3, b"high"));
            if (unit && whole) || inch {
                return true;
            }
            continue;
        }
        if b"hgtsywpcafm".contains(&b) && WORDS.iter().any(|w| w[0] == b && head(k, w)) {
            return true;
        }
        k += 1;
    }
    false
}

/// What one sentence says, at its place in the text.
fn take(h: &mut Heading, part: &str, start: usize) {
    fn set<T>(to: &mut Option<Said<T>>, found: Option<(T, Range<usize>)>, start: usize) {
        if to.is_none()
            && let Some((value, r)) = found
        {
            *to = Some(Said { value, span: start + r.start..start + r.end });
        }
    }
    set(&mut h.gauge, gauge(part), start);
    set(&mut h.hook_mm, hook(part), start);
    set(&mut h.yarn_category, category(part), start);
    set(&mut h.metres_per_100g, metres(part), start);
    set(&mut h.height_mm, height(part), start);
}

/// `22 sts and 24 rows = 10 cm`, `5 sc = 1 in`, `4 1/2 sts over 5 rows = 2.5 cm`.
fn gauge(lower: &str) -> Option<(WrittenGauge, Range<usize>)> {
    let named = lower.contains("gauge") || lower.contains("tension") || lower.contains("swatch");
    let link = lower.contains('=') || lower.contains("measure") || lower.contains(" to ") || lower.contains(" per ");
    let link =
        link || lower.contains(" in ") || lower.contains("over") || lower.contains("make") || lower.contains(" x ");
    if !(named || lower.contains('=') || lower.contains(" across") || lower.contains(" to ") || lower.contains(" per "))
        || !link
    {
        return None;
    }
    let (mut stitches, mut rounds, mut size, mut range) = (None, None, None, None::<Range<usize>>);
    let mut circle = None;
    for n in numbers(lower) {
        let a = n.after;
        let a_word = a.trim_start_matches(|c: char| !c.is_alphanumeric() && c != '"');
        let word = |w: &str| a_word.starts_with(w);
        let before = &lower[..n.start];
        if let Some((mm, len)) = unit_mm(a) {
            if size.is_none() {
                size = Some(n.value * mm);
            }
            let end = lower.len() - a.len() + len;
            range = Some(range.map_or(n.start, |r| r.start)..end);
        } else if word("stitch circle") || word("st circle") {
            circle = Some(n.value);
            range.get_or_insert(n.start..n.end);
        } else if (word("st") || word("sc") || word("hdc") || word("dc") || word("single") || word("double"))
            && stitches.is_none()
        {
            stitches = Some(n.value);
            range.get_or_insert(n.start..n.end);
        } else if (word("row") || word("round") || word("rnd") || a_word.starts_with("r ") || word("rds"))
            && rounds.is_none()
        {
            // "rounds 1-5 measure" is another thing.
            rounds = Some(n.value);
            range.get_or_insert(n.start..n.end);
        } else if before.trim_end().ends_with(" x") && stitches.is_some() && rounds.is_none() && size.is_none() {
            rounds = Some(n.value);
        }
    }
    let (size, range) = (size?, range?);
    if !(5.0..=400.0).contains(&size) {
        return None;
    }
    if let (Some(c), None) = (circle, stitches) {
        // A flat circle of c stitches has c·w around and the diameter `size`: w = π·size/c.
        let per = 100.0 * c / (std::f64::consts::PI * size);
        let g = WrittenGauge { stitches_per_10cm: Some(per), rounds_per_10cm: None };
        return Some((g, range));
    }
    let per = |n: f64| n * 100.0 / size;
    let sane = |n: f64| (2.0..=120.0).contains(&per(n));
    let stitches = stitches.filter(|n| sane(*n));
    let rounds = rounds.filter(|n| sane(*n));
    if stitches.is_none() && rounds.is_none() {
        // "rounds 1-5 measure 4 cm across": five rounds on each side of the middle.
        let r = first_rounds(lower)?;
        let g = WrittenGauge { stitches_per_10cm: None, rounds_per_10cm: Some(100.0 * 2.0 * r / size) };
        return Some((g, range));
    }
    // "5 sc = 1 round" in a pattern is no gauge: it names no unit.
    Some((WrittenGauge { stitches_per_10cm: stitches.map(per), rounds_per_10cm: rounds.map(per) }, range))
}

fn first_rounds(lower: &str) -> Option<f64> {
    let at = ["rounds 1", "rnds 1", "rounds 1", "round 1"].iter().find_map(|w| lower.find(w))?;
    let mut found = numbers(&lower[at..]).skip(1);
    let n = found.next()?.value;
    (lower.contains("across") || lower.contains("diameter")).then_some(n).filter(|n| (2.0..=40.0).contains(n))
}

/// `3.5 mm hook`, `hook: 3,5 mm`, `E/3.5mm hook`.
fn hook(lower: &str) -> Option<(f64, Range<usize>)> {
    let at = lower.find("hook")?;
    numbers(lower)
        .filter(|n| n.after.starts_with("mm") && (0.5..=25.0).contains(&n.value))
        .min_by_key(|n| n.start.abs_diff(at))
        .map(|n| (n.value, n.start..lower.len() - n.after.len() + 2))
        .or_else(|| hook_letter(lower, at))
}

/// Hook letters of the Craft Yarn Council's list; a store's own hooks may differ a little.
const LETTERS: &[(&str, f64)] = &[
    ("b", 2.25),
    ("c", 2.75),
    ("d", 3.25),
    ("e", 3.5),
    ("f", 3.75),
    ("g", 4.0),
    ("h", 5.0),
    ("i", 5.5),
    ("j", 6.0),
    ("k", 6.5),
    ("l", 8.0),
];

/// `Hook: F`, `hook size G`, `an H hook`, `F/5 hook`.
fn hook_letter(lower: &str, at: usize) -> Option<(f64, Range<usize>)> {
    let after = lower[at + 4..].trim_start_matches([':', ' ', '-']);
    let after = after.strip_prefix("size").unwrap_or(after).trim_start_matches([':', ' ']);
    let begin = lower.len() - after.len();
    let alone = |s: &str| s.chars().nth(1).is_none_or(|c| !c.is_alphabetic());
    let behind =
        LETTERS.iter().find(|(l, _)| after.starts_with(l) && alone(after)).map(|(_, mm)| (*mm, begin..begin + 1));
    behind.or_else(|| {
        let before = lower[..at].trim_end_matches([' ', '-']);
        let word = before.rsplit([' ', ':', ',']).next()?;
        let letter = word.split(['/', '-']).next()?;
        let found = LETTERS.iter().find(|(l, _)| *l == letter)?;
        // "a hook" is no letter; an "I hook" hardly stands for itself.
        let start = before.len() - word.len();
        Some((found.1, start..start + 1))
    })
}

fn category(lower: &str) -> Option<(u8, Range<usize>)> {
    const NAMES: &[(&str, u8)] = &[
        ("fingering", 1),
        ("super fine", 1),
        ("super bulky", 6),
        ("super chunky", 6),
        ("light worsted", 3),
        ("worsted", 4),
        ("aran", 4),
        ("double knitting", 3),
        ("double knitting", 3),
        ("double knit", 3),
        ("light weight", 3),
        ("dk", 3),
        ("sport", 2),
        ("bulky", 5),
        ("chunky", 5),
        ("lace", 0),
        ("jumbo", 7),
        ("4 ply", 1),
        ("4-ply", 1),
        ("8 ply", 3),
        ("8-ply", 3),
        ("10 ply", 4),
        ("10-ply", 4),
        ("medium weight", 4),
    ];
    let yarn = lower.contains("yarn")
        || lower.contains("weight")
        || lower.contains("ply")
        || lower.contains("wool")
        || lower.contains("cotton")
        || lower.contains("acrylic");
    if !yarn {
        return None;
    }
    for key in ["category", "cat.", "weight", "(#", "#", "yarn"] {
        if let Some(at) = lower.find(key) {
            let rest = &lower[at + key.len()..];
            let trimmed = rest.trim_start_matches([' ', ':', '#', '(']);
            let b = trimmed.as_bytes();
            let single = b.first().is_some_and(|c| (b'0'..=b'7').contains(c))
                && !b
                    .get(1)
                    .is_some_and(|c| c.is_ascii_alphanumeric() || matches!(c, b'.' | b',' | b'/' | b'-' | b' '))
                || (key != "yarn"
                    && b.first().is_some_and(|c| (b'0'..=b'7').contains(c))
                    && (b.len() == 1 || matches!(b[1], b' ' | b')' | b',' | b'.')));
            let unit = trimmed.get(1..).is_some_and(|t| {
                unit_mm(t.trim_start()).is_some()
                    || t.trim_start().starts_with("g ")
                    || t.trim_start().starts_with("mm")
                    || t.trim_start().starts_with("skein")
                    || t.trim_start().starts_with("ball")
                    || t.trim_start().starts_with("ply")
            });
            if single && !unit {
                let start = lower.len() - trimmed.len();
                return Some((b[0] - b'0', start..start + 1));
            }
        }
    }
    for (name, n) in NAMES {
        if let Some(at) = lower.find(name) {
            let end = at + name.len();
            let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
            if edge(lower[..at].chars().next_back()) && edge(lower[end..].chars().next()) {
                return Some((*n, at..end));
            }
        }
    }
    None
}

/// `50 g = 120 m`, `120 m/50 g`, `100g/200m`, `218 yds per 100 g`: one ball's length and mass.
fn metres(lower: &str) -> Option<(f64, Range<usize>)> {
    // What a part needs ("10 g or 30 m") tells the same ratio, but roughly; only a ball's label is taken.
    let linked = lower.contains('/')
        || lower.contains('=')
        || lower.contains(" per ")
        || lower.contains("ball")
        || lower.contains("skein")
        || lower.contains('(');
    if !linked || lower.contains(" or ") && !lower.contains('/') {
        return None;
    }
    let (mut grams, mut metres, mut range) = (None, None, None::<Range<usize>>);
    for n in numbers(lower) {
        let word: String = n.after.chars().take_while(|c| c.is_alphabetic()).collect();
        let value = n.value;
        match word.as_str() {
            "g" | "gr" | "gram" | "grams" | "gramme" | "grammes" if grams.is_none() => grams = Some(value),
            "m" | "metre" | "metres" | "meter" | "meters" | "mtr" | "mtrs" if metres.is_none() => metres = Some(value),
            "yd" | "yds" | "yard" | "yards" if metres.is_none() => metres = Some(value * 0.9144),
            "oz" if grams.is_none() => grams = Some(value * 28.349_523_125),
            _ => continue,
        }
        let end = lower.len() - n.after.len() + word.len();
        range = Some(range.map_or(n.start, |r| r.start)..end);
    }
    let value = 100.0 * metres? / grams?;
    (40.0..=2000.0).contains(&value).then_some((value, range?))
}

/// `about 12 cm tall`, `finished height: 8"`, `size: 20 cm`.
fn height(lower: &str) -> Option<(f64, Range<usize>)> {
    const WORDS: &[&str] =
        &["tall", "height", "high", "finished size", "size:", "finished:", "measures about", "finished measure"];
    let not_toy = ["hook", "eye", "gauge", "needle", "round", "rnd", "until", "button", "swatch", "leave"];
    let at = WORDS.iter().filter_map(|w| lower.find(w)).min()?;
    if not_toy.iter().any(|w| lower.contains(w)) {
        return None;
    }
    let of_toy = lower.contains("tall") || lower.contains("high") || lower.contains("height");
    let found: Vec<(f64, Range<usize>)> = numbers(lower)
        .filter_map(|n| {
            let (mm, len) = unit_mm(n.after)?;
            let end = lower.len() - n.after.len() + len;
            Some((n.value * mm, n.start..end))
        })
        .collect();
    // `3x4 cm`, `8" x 4"`: which is the height is not said.
    let crossed = lower.contains(" x ") || lower.contains('×') || {
        let b = lower.as_bytes();
        b.windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b'x' && w[2].is_ascii_digit())
    };
    if crossed && !of_toy {
        return None;
    }
    let best = found.into_iter().min_by_key(|(_, r)| r.start.abs_diff(at))?;
    (10.0..=3000.0).contains(&best.0).then_some(best)
}
