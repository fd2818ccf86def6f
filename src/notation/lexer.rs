//! Text to tokens: numbers, words with their meaning, marks. Typing slips in numbers are mended here and
//! marked, words of several parts (`single crochet`, `back loops only`) become one token.

use std::ops::Range;

use super::letters::{digit, is_nothing, push_plain};
use super::markup::{dotted, is_colour_number, markup};
use super::spelling::{mended, number_word, ordinal_word};
use super::tongues::{self, Tongues};
use super::words::{Printed, W, meaning, symbol};

/// What a token is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum T {
    Num(u32),
    /// `3rd`.
    Ord(u32),
    Word(W),
    Open(char),
    Close(char),
    Star,
    Pipe,
    Comma,
    Semi,
    Dot,
    Colon,
    Eq,
    Dash,
    Plus,
    Amp,
    Slash,
    Tab,
    /// A line break inside a round.
    Break,
    Mark,
}

/// A token with its place in the text.
#[derive(Clone, Copy, Debug)]
pub(super) struct Token {
    pub t: T,
    pub start: usize,
    pub end: usize,
    /// No blank stands before it.
    pub glued: bool,
    /// A typing slip was mended.
    pub slip: bool,
    /// A word in capitals.
    pub caps: bool,
}

impl Token {
    pub fn is(&self, w: W) -> bool {
        self.t == T::Word(w)
    }
    pub fn num(&self) -> Option<u32> {
        if let T::Num(n) = self.t { Some(n) } else { None }
    }
    pub fn word(&self) -> Option<W> {
        if let T::Word(w) = self.t { Some(w) } else { None }
    }
}

/// One line of the text.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub start: usize,
    /// End without the line break.
    pub end: usize,
    pub tokens: Vec<Token>,
}

/// Splits a text into lines of tokens.
pub(super) fn lex(text: &str) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut start = 0;
    let mut buffer = String::new();
    let shown = tongues::shown(text);
    loop {
        let rest = &text[start..];
        let len = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let end = start + len;
        lines.push(Line { start, end, tokens: lex_line(text, start, end, shown, &mut buffer) });
        if end >= text.len() {
            return lines;
        }
        start = end + if text[end..].starts_with("\r\n") { 2 } else { 1 };
    }
}

/// The tokens of a stretch of the text as if it were one line.
pub(super) fn lex_across(text: &str, span: Range<usize>, shown: Tongues) -> Vec<Token> {
    lex_line(text, span.start, span.end, shown, &mut String::new())
}

fn lex_line(text: &str, start: usize, end: usize, shown: Tongues, buffer: &mut String) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity((end - start) / 4 + 2);
    let mut at = start;
    let mut glued = false;
    let mut angles = 0usize;
    let columns = columned(&text[start..end]);
    while at < end {
        let rest = &text[at..end];
        let Some(c) = rest.chars().next() else { break };
        if c == '\t' {
            out.push(Token { t: T::Tab, start: at, end: at + 1, glued: false, slip: false, caps: false });
            at += 1;
            glued = false;
            continue;
        }
        if columns && !out.is_empty() && rest.starts_with("   ") {
            let blanks = rest.len() - rest.trim_start_matches(' ').len();
            if blanks < rest.len() {
                out.push(Token { t: T::Tab, start: at, end: at + blanks, glued: false, slip: false, caps: false });
            }
            at += blanks;
            glued = false;
            continue;
        }
        if c.is_whitespace() || is_nothing(c) {
            at += c.len_utf8();
            glued = false;
            continue;
        }
        let number = digit(c).is_some();
        let len = if number {
            rest.chars().take_while(|c| digit(*c).is_some()).map(char::len_utf8).sum()
        } else if is_word_char(c) {
            word_len(rest)
        } else {
            c.len_utf8()
        };
        // `<b>`, `&ndash;`: a page copied with its marks.
        if let Some((used, sign)) = markup(rest) {
            if let Some(sign) = sign {
                out.push(Token { t: mark(sign), start: at, end: at + used, glued, slip: false, caps: false });
            }
            at += used;
            glued = sign.is_some();
            continue;
        }
        // `s.c.`, `h.d.c.`
        if let Some((used, w)) = dotted(rest, len) {
            out.push(Token { t: T::Word(w), start: at, end: at + used, glued, slip: false, caps: false });
            at += used;
            glued = true;
            continue;
        }
        // `C1`, `C2`: colours by number.
        if rest.starts_with('C') && len == 1 && is_colour_number(&rest[1..]) {
            out.push(Token { t: T::Word(W::Colour), start: at, end: at + 2, glued, slip: false, caps: true });
            at += 2;
            glued = true;
            continue;
        }
        // `-> 18`, `=> 18`, unless a bracket `<` waits for its end.
        if matches!(c, '-' | '=' | '–') && rest[len..].starts_with('>') && angles == 0 {
            let t = if c == '=' { T::Eq } else { T::Mark };
            out.push(Token { t, start: at, end: at + len + 1, glued, slip: false, caps: false });
            at += len + 1;
            glued = true;
            continue;
        }
        match c {
            '<' => angles += 1,
            '>' => angles = angles.saturating_sub(1),
            _ => {}
        }
        let piece = &rest[..len];
        let mut token = Token { t: T::Mark, start: at, end: at + len, glued, slip: false, caps: false };
        if number {
            let after = &rest[len..];
            let tail = word_len(after);
            let word = &after[..tail];
            token.t = T::Num(parse_number(piece));
            if tail > 0 {
                if matches!(word, "s" | "S") {
                    // `15s`: fifteen stitches.
                    out.push(token);
                    token = Token { t: T::Word(W::St), start: at + len, end: at + len + 1, glued: true, ..token };
                } else if matches!(word, "st" | "nd" | "rd" | "th" | "ST" | "ND" | "RD" | "TH")
                    && !is_stitches(piece, word)
                {
                    token.t = T::Ord(parse_number(piece));
                    token.end += tail;
                } else if word.chars().all(|c| matches!(c, 'O' | 'o' | 'l' | 'I')) {
                    buffer.clear();
                    buffer.push_str(piece);
                    buffer.extend(word.chars().map(|c| if matches!(c, 'O' | 'o') { '0' } else { '1' }));
                    token.t = T::Num(parse_number(buffer));
                    token.end += tail;
                    token.slip = true;
                } else if matches!(word, "C" | "c") && piece.ends_with('5') {
                    // `325C`: the S of SC taken for a 5.
                    let cut = at + len - 1;
                    if len > 1 {
                        token.end = cut;
                        token.t = T::Num(parse_number(&piece[..len - 1]));
                        token.slip = true;
                        out.push(token);
                    }
                    token = Token {
                        t: T::Word(W::Kind(Printed::Sc)),
                        start: cut,
                        end: at + len + 1,
                        glued: len > 1 || glued,
                        slip: true,
                        caps: false,
                    };
                }
            }
            at = token.end;
            out.push(token);
        } else if matches!(piece, "RS" | "WS") && !numbered(&rest[len..]) {
            // The right side, the wrong side; `RS 3:` is a label.
            at += len;
            token.t = T::Word(W::Of);
            out.push(token);
        } else if is_word_char(c) {
            at += len;
            word_tokens(piece, token, shown, buffer, &mut out);
        } else {
            at += len;
            token.t = mark(c);
            out.push(token);
        }
        glued = true;
    }
    merge(&mut out);
    out
}

/// A row of a table whose columns are set with blanks: `3 - 5    Green    sc around    12`.
fn columned(line: &str) -> bool {
    let line = line.trim();
    line.starts_with(|c: char| c.is_ascii_digit())
        && line.split("   ").filter(|cell| !cell.is_empty()).take(3).count() > 2
}

/// Whether a number, or a sign and a number, stands next.
fn numbered(rest: &str) -> bool {
    rest.chars().filter(|c| !c.is_whitespace()).take(2).any(|c| digit(c).is_some())
}

/// `1st` is an ordinal, `21st` too, but `4st` can only be four stitches.
fn is_stitches(digits: &str, word: &str) -> bool {
    let last = digits.as_bytes().last().copied().unwrap_or(b'0');
    word.eq_ignore_ascii_case("st") && (last != b'1' || digits.ends_with("11"))
}

/// Numbers are cut here, so that sums of a few stay in range.
pub(super) const HIGHEST: u32 = 999_999_999;

fn parse_number(digits: &str) -> u32 {
    let n = digits.chars().filter_map(digit).fold(0u32, |n, d| n.saturating_mul(10).saturating_add(d));
    n.min(HIGHEST)
}

fn is_word_char(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '∧' | '∨' | '×' | '✕')
}

/// Length in bytes of the word at the head of `rest`; an apostrophe between letters belongs to it.
fn word_len(rest: &str) -> usize {
    let mut chars = rest.char_indices().peekable();
    while let Some((i, c)) = chars.next() {
        let inner = matches!(c, '\'' | '’') && i > 0 && chars.peek().is_some_and(|(_, n)| n.is_alphabetic());
        if !is_word_char(c) && !inner {
            return i;
        }
        // Chart signs are words of their own.
        if matches!(c, '×' | '✕') {
            return if i == 0 { c.len_utf8() } else { i };
        }
    }
    rest.len()
}

fn mark(c: char) -> T {
    match c {
        '(' | '[' | '{' | '<' | '（' | '【' => T::Open(c),
        ')' | ']' | '}' | '>' | '）' | '】' => T::Close(c),
        '*' | '∗' | '＊' | '★' => T::Star,
        '|' | '¦' => T::Pipe,
        ',' | '،' | '，' => T::Comma,
        ';' => T::Semi,
        // The box around a digit stands for a dot behind it.
        '.' | '…' | '\u{20e3}' => T::Dot,
        ':' | '：' => T::Colon,
        '=' => T::Eq,
        '-' | '–' | '—' | '−' | '‐' | '‑' | '~' => T::Dash,
        '+' => T::Plus,
        '&' => T::Amp,
        '/' => T::Slash,
        _ => T::Mark,
    }
}

fn word_tokens(piece: &str, token: Token, shown: Tongues, buffer: &mut String, out: &mut Vec<Token>) {
    buffer.clear();
    for c in piece.chars() {
        push_plain(c, buffer);
    }
    let caps = piece.chars().all(|c| !c.is_lowercase());
    let mut w = meaning(buffer);
    if shown != 0
        && let Some(foreign) = tongues::meaning(buffer, shown)
    {
        w = foreign;
    }
    if w == W::Unknown {
        if let Some(n) = number_word(buffer) {
            out.push(Token { t: T::Num(n), caps, ..token });
            return;
        }
        if let Some(n) = ordinal_word(buffer) {
            out.push(Token { t: T::Ord(n), caps, ..token });
            return;
        }
        if symbols(piece, token, out) || split_glued(buffer, piece, token, out) {
            return;
        }
        // Plurals of what the table has in the singular.
        if buffer.len() > 3
            && let Some(stem) = buffer.strip_suffix('s')
        {
            w = meaning(stem);
        }
    }
    out.push(Token { t: T::Word(w), caps, ..token });
}

/// `xxv`: a run of chart symbols.
fn symbols(piece: &str, token: Token, out: &mut Vec<Token>) -> bool {
    let count = piece.chars().count();
    if !(2..=60).contains(&count) || !piece.chars().all(|c| symbol(c).is_some()) {
        return false;
    }
    let has_plain = piece.chars().any(|c| matches!(symbol(c), Some(W::X)));
    if !has_plain && count > 2 {
        return false;
    }
    let mut start = token.start;
    for (i, c) in piece.chars().enumerate() {
        let Some(w) = symbol(c) else { continue };
        let end = start + c.len_utf8();
        out.push(Token { t: T::Word(w), start, end, glued: token.glued || i > 0, ..token });
        start = end;
    }
    true
}

/// `scina`, `blsc`, `scaround`: words run together. Only what starts with a stitch or loop word is tried.
fn split_glued(lower: &str, piece: &str, token: Token, out: &mut Vec<Token>) -> bool {
    const HEADS: [&str; 10] = ["x", "hdc", "htr", "inc", "dec", "blo", "flo", "sc", "bl", "fl"];
    const PARTS: [&str; 21] = [
        "x", "around", "each", "next", "hdc", "htr", "inc", "dec", "sts", "tog", "the", "sc", "dc", "tr", "in", "st",
        "mr", "ea", "blo", "flo", "a",
    ];
    if lower.len() > 24 || lower.len() != piece.len() || !lower.is_ascii() {
        return false;
    }
    for head in HEADS {
        let Some(mut rest) = lower.strip_prefix(head) else { continue };
        let mut cuts = vec![head.len()];
        while !rest.is_empty() {
            let Some(part) = PARTS.iter().find(|p| rest.starts_with(**p)) else { break };
            rest = &rest[part.len()..];
            cuts.push(lower.len() - rest.len());
        }
        if rest.is_empty() && cuts.len() > 1 {
            let known = lower.contains('x')
                || matches!(lower, "blsc" | "flsc" | "blosc" | "flosc" | "scblo" | "scflo" | "scinc" | "scdec");
            let mut from = 0;
            for (i, cut) in cuts.into_iter().enumerate() {
                let w = meaning(&lower[from..cut]);
                let (start, end) = (token.start + from, token.start + cut);
                out.push(Token { t: T::Word(w), start, end, glued: token.glued || i > 0, slip: !known, ..token });
                from = cut;
            }
            return true;
        }
    }
    false
}

/// Words of several parts become one token; slips that only their neighbours show are mended.
fn merge(tokens: &mut Vec<Token>) {
    let mut read = 0;
    let mut write = 0;
    while read < tokens.len() {
        let (token, used) = merged(tokens, read, write);
        tokens[write] = token;
        write += 1;
        read += used;
    }
    tokens.truncate(write);
}

fn merged(tokens: &[Token], at: usize, done: usize) -> (Token, usize) {
    let token = tokens[at];
    let word = |i: usize| tokens.get(at + i).and_then(Token::word);
    let join = |w: W, used: usize| (Token { t: T::Word(w), end: tokens[at + used - 1].end, ..token }, used);
    // `half-double crochet`, `magic-ring`.
    let dash = |i: usize| tokens.get(at + i).is_some_and(|t| t.t == T::Dash && t.glued);
    let kind = |p: Printed, mut used: usize| {
        if dash(used) && word(used + 1) == Some(W::Crochet) {
            used += 1;
        }
        let used = used + usize::from(word(used) == Some(W::Crochet));
        join(W::Kind(p), used)
    };
    match token.t {
        T::Word(W::Single) if matches!(word(1), Some(W::Crochet)) => kind(Printed::Sc, 1),
        // "(1 single, 1 inc)"
        T::Word(W::Single)
            if word(1).is_none() && done.checked_sub(1).is_some_and(|i| tokens[i].num().is_some() && i + 1 == done) =>
        {
            kind(Printed::Sc, 1)
        }
        // "feste Maschen", "puntos bajos"
        T::Word(W::Single) if matches!(word(1), Some(W::St)) => join(W::Kind(Printed::Sc), 2),
        T::Word(W::St) if matches!(word(1), Some(W::Single)) => join(W::Kind(Printed::Sc), 2),
        T::Word(W::Single) if dash(1) && matches!(word(2), Some(W::Crochet)) => kind(Printed::Sc, 2),
        T::Word(W::Half) => {
            let i = if dash(1) { 2 } else { 1 };
            match word(i) {
                Some(W::Double) => kind(Printed::Hdc, i + 1),
                Some(W::Kind(Printed::Dc)) => kind(Printed::Hdc, i + 1),
                Some(W::Treble) => kind(Printed::Htr, i + 1),
                _ => (token, 1),
            }
        }
        T::Word(W::Double) => {
            let i = if dash(1) { 2 } else { 1 };
            match word(i) {
                Some(W::Treble) => kind(Printed::Dtr, i + 1),
                Some(W::Crochet) => kind(Printed::Dc, i),
                _ => (token, 1),
            }
        }
        T::Word(W::Other) if word(1) == Some(W::LoopNoun) => join(W::BothLoops, 2),
        T::Word(W::All) if word(1) == Some(W::The) && word(2) == Some(W::Way) => match word(3) {
            Some(W::Around | W::Rnd) => join(W::Around, 4),
            _ => (token, 1),
        },
        T::Word(W::Way) => (Token { t: T::Word(W::Unknown), ..token }, 1),
        T::Word(W::Treble) => kind(Printed::Tr, 1),
        T::Word(W::RingAdj) => {
            let mut used = 1;
            let mut ring = false;
            loop {
                let at_dash = usize::from(dash(used));
                match word(used + at_dash) {
                    Some(W::RingAdj) => used += 1 + at_dash,
                    Some(W::RingNoun | W::LoopNoun | W::Ring) => {
                        used += 1 + at_dash;
                        ring = true;
                    }
                    _ => break,
                }
                if ring {
                    break;
                }
            }
            if ring { join(W::Ring, used) } else { (Token { t: T::Word(W::Unknown), ..token }, 1) }
        }
        T::Word(W::Back | W::Front | W::Blo | W::Flo) => {
            let back = matches!(token.t, T::Word(W::Back | W::Blo));
            let loose = matches!(token.t, T::Word(W::Back | W::Front));
            let mut used = 1;
            if dash(used) && matches!(word(used + 1), Some(W::LoopNoun | W::Post)) {
                used += 1;
            }
            if word(used) == Some(W::Post) && loose {
                return (Token { t: T::Word(W::Post), end: tokens[at + used].end, ..token }, used + 1);
            }
            let noun = word(used) == Some(W::LoopNoun);
            used += usize::from(noun);
            let only = word(used) == Some(W::Only);
            used += usize::from(only);
            if loose && !noun && !only {
                return (Token { t: T::Word(W::Unknown), ..token }, 1);
            }
            join(if back { W::Blo } else { W::Flo }, used)
        }
        T::Word(W::Invisible) => match word(1) {
            Some(W::Dec) => join(W::Dec, 2),
            Some(W::Inc) => join(W::Inc, 2),
            _ => (Token { t: T::Word(W::Unknown), ..token }, 1),
        },
        T::Word(W::Air) if matches!(word(1), Some(W::LoopNoun | W::St)) => join(W::Ch, 2),
        T::Word(W::Ch) if matches!(word(1), Some(W::St)) => join(W::Ch, 2),
        T::Word(W::Kind(Printed::Slip)) if matches!(word(1), Some(W::St)) => join(W::Kind(Printed::Slip), 2),
        T::Word(W::Kind(Printed::Slip)) if tokens.get(at + 1).is_some_and(|t| t.t == T::Dot && t.glued) => {
            if matches!(word(2), Some(W::St)) { join(W::Kind(Printed::Slip), 3) } else { (token, 1) }
        }
        T::Word(W::Reverse) => match word(1) {
            Some(W::Kind(p)) => join(W::Kind(p), 2),
            Some(W::St) => join(W::Kind(Printed::Sc), 2),
            Some(W::Single) if word(2) == Some(W::Crochet) => join(W::Kind(Printed::Sc), 3),
            _ => (Token { t: T::Word(W::Unknown), ..token }, 1),
        },
        T::Word(W::Cluster | W::Picot) if word(1) == Some(W::St) => match token.t {
            T::Word(w) => join(w, 2),
            _ => (token, 1),
        },
        T::Word(W::Crochet) => (Token { t: T::Word(W::Work), ..token }, 1),
        T::Word(W::Ell) => {
            let before = done.checked_sub(1).and_then(|i| tokens[i].word());
            let after = tokens.get(at + 1);
            if let Some(Token { t: T::Num(n), glued: true, end, .. }) = after {
                let digits = n.checked_ilog10().unwrap_or(0) + 1;
                let n = 10u32.checked_pow(digits).and_then(|p| p.checked_add(*n)).map_or(HIGHEST, |n| n.min(HIGHEST));
                return (Token { t: T::Num(n), end: *end, slip: true, ..token }, 2);
            }
            let stitch = |w: Option<W>| matches!(w, Some(W::Kind(_) | W::Inc | W::Dec | W::Ch));
            if stitch(before) || stitch(word(1)) {
                (Token { t: T::Num(1), slip: true, ..token }, 1)
            } else {
                (Token { t: T::Word(W::Unknown), ..token }, 1)
            }
        }
        _ => (token, 1),
    }
}

/// Mends stitch words one slip away from a known one; to be asked only inside a round.
pub(super) fn mend(text: &str, tokens: &mut [Token]) {
    for token in tokens {
        if token.t == T::Word(W::Unknown) && token.end - token.start <= 9 {
            let lower = text[token.start..token.end].to_lowercase();
            if let Some(w) = mended(&lower) {
                token.t = T::Word(w);
                token.slip = true;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<T> {
        lex(text).into_iter().flat_map(|l| l.tokens).map(|t| t.t).collect()
    }

    #[test]
    fn slips_in_numbers_are_mended() {
        let sc = T::Word(W::Kind(Printed::Sc));
        assert_eq!(kinds("325C"), [T::Num(32), sc]);
        assert_eq!(kinds("6O sc"), [T::Num(60), sc]);
        assert_eq!(kinds("ch l"), [T::Word(W::Ch), T::Num(1)]);
        assert_eq!(kinds("l2 sc"), [T::Num(12), sc]);
    }

    #[test]
    fn words_of_several_parts_are_one() {
        let sc = T::Word(W::Kind(Printed::Sc));
        assert_eq!(kinds("single crochet"), [sc]);
        assert_eq!(kinds("half-double crochet"), [T::Word(W::Kind(Printed::Hdc))]);
        assert_eq!(kinds("back loops only"), [T::Word(W::Blo)]);
        assert_eq!(kinds("BLSC"), [T::Word(W::Blo), sc]);
        assert_eq!(kinds("sl. st"), [T::Word(W::Kind(Printed::Slip))]);
        assert_eq!(kinds("XXV"), [T::Word(W::X), T::Word(W::X), T::Word(W::SymInc)]);
        assert_eq!(kinds("scina"), [sc, T::Word(W::In), T::Word(W::A)]);
    }

    #[test]
    fn ordinals_are_no_stitches() {
        assert_eq!(kinds("1st 3rd 4sts"), [T::Ord(1), T::Ord(3), T::Num(4), T::Word(W::St)]);
    }
}
