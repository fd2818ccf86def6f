//! US or UK terms: told, said by the text, or inferred from its stitch words and the way its rounds grow.

use std::ops::Range;

use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::lexer::{Line, T, Token};
use super::reading::{Terms, TermsKnown};
use super::words::{Printed, W};

#[derive(Clone, Debug, Default)]
struct Evidence {
    sc: usize,
    hdc: usize,
    htr: usize,
    dc: usize,
    first_uk: Option<Range<usize>>,
    first_dc: Option<Range<usize>>,
    /// `dc (sc)`.
    gloss_uk: usize,
    gloss_us: usize,
    /// Stitches worked into the ring in dc: 5 to 9 are single crochet, more are double.
    ring_small: usize,
    ring_large: usize,
    miss: usize,
    skip: usize,
}

/// What the text says in so many words.
fn said(lower: &str) -> Option<Terms> {
    let us =
        ["us terms", "u.s. terms", "american terms", "us crochet terms", "us terminology", "american crochet terms"];
    let uk = ["uk terms", "u.k. terms", "british terms", "uk crochet terms", "uk terminology", "british crochet terms"];
    let first = |words: &[&str]| words.iter().filter_map(|w| lower.find(w)).min();
    match (first(&us), first(&uk)) {
        (Some(a), Some(b)) => Some(if a < b { Terms::Us } else { Terms::Uk }),
        (Some(_), None) => Some(Terms::Us),
        (None, Some(_)) => Some(Terms::Uk),
        (None, None) => None,
    }
}

fn gather(text: &str, lines: &[Line]) -> Evidence {
    let mut e = Evidence::default();
    for line in lines {
        let toks = &line.tokens;
        let ring = toks.iter().any(|t| matches!(t.t, T::Word(W::Ring)));
        for (k, t) in toks.iter().enumerate() {
            let T::Word(w) = t.t else { continue };
            match w {
                W::Kind(p) | W::KindTog(p) => {
                    let lower = text[t.start..t.end].to_lowercase();
                    match p {
                        // Letters of other languages tell nothing.
                        Printed::Sc if lower.starts_with("sc") || lower.starts_with("sing") => e.sc += 1,
                        Printed::Hdc if lower.starts_with('h') && !lower.contains("stb") => e.hdc += 1,
                        Printed::Htr => {
                            e.htr += 1;
                            e.first_uk.get_or_insert(t.start..t.end);
                        }
                        Printed::Dc => {
                            e.dc += 1;
                            e.first_dc.get_or_insert(t.start..t.end);
                            gloss(&mut e, toks, k, Printed::Sc);
                            if ring {
                                let n = toks.iter().find_map(Token::num).unwrap_or(0);
                                let n = k.checked_sub(1).and_then(|i| toks[i].num()).unwrap_or(n);
                                e.ring_small += usize::from((4..=9).contains(&n));
                                e.ring_large += usize::from(n >= 10);
                            }
                        }
                        _ => {}
                    }
                }
                W::Skip => {
                    let miss = text[t.start..t.end].eq_ignore_ascii_case("miss");
                    e.miss += usize::from(miss);
                    e.skip += usize::from(!miss);
                }
                _ => {}
            }
        }
    }
    e
}

/// `dc (sc)`: the word in brackets is the same stitch in the other terms.
fn gloss(e: &mut Evidence, toks: &[Token], k: usize, other: Printed) {
    let inner = matches!(toks.get(k + 1).map(|t| t.t), Some(T::Open(_)))
        && toks.get(k + 2).is_some_and(|t| t.is(W::Kind(other)))
        && matches!(toks.get(k + 3).map(|t| t.t), Some(T::Close(_)));
    let outer = k >= 2
        && matches!(toks[k - 1].t, T::Open(_))
        && toks[k - 2].is(W::Kind(other))
        && matches!(toks.get(k + 1).map(|t| t.t), Some(T::Close(_)));
    e.gloss_uk += usize::from(inner);
    e.gloss_us += usize::from(outer);
}

/// The terms of a text, how they were known, and what is to be said of them.
pub(super) fn infer(text: &str, lines: &[Line], told: Option<Terms>, found: &mut Vec<Found>) -> (Terms, TermsKnown) {
    let e = gather(text, lines);
    let own = lines.iter().find_map(|l| {
        let line = &text[l.start..l.end];
        let short = line.len() < 400;
        (short && (line.contains("erm") || line.contains("ERM"))).then(|| said(&line.to_lowercase())).flatten()
    });
    if let Some(terms) = told {
        return (terms, TermsKnown::Told);
    }
    if let Some(terms) = own {
        return (terms, TermsKnown::Told);
    }
    if e.gloss_uk > 0 || e.gloss_us > 0 {
        let terms = if e.gloss_uk >= e.gloss_us { Terms::Uk } else { Terms::Us };
        let message =
            "US and UK words for one stitch stand side by side; the first is taken, the one in brackets explains it.";
        let span = e.first_dc.unwrap_or(0..0);
        found.push(Found::new(K::TermsMixed, S::Note, span, message, "Say which terms are meant."));
        return (terms, TermsKnown::Inferred);
    }
    let us = e.sc + e.hdc;
    if us > 0 && e.htr > 0 {
        let span = e.first_uk.unwrap_or(0..0);
        let message = "US words (sc, hdc) and UK words (htr) both stand in this text; US terms are taken.";
        let remedy = "Say which terms are meant.";
        found.push(Found::new(K::TermsMixed, S::Warning, span, message, remedy));
        return (Terms::Us, TermsKnown::Inferred);
    }
    if us > 0 {
        return (Terms::Us, TermsKnown::Inferred);
    }
    if e.htr > 0 {
        return (Terms::Uk, TermsKnown::Inferred);
    }
    if e.dc > 0 {
        // Toys are made in the shortest stitch: dc alone is UK, unless its rings are as large as US dc needs.
        let us = e.ring_large > e.ring_small;
        let terms = if us { Terms::Us } else { Terms::Uk };
        let message = match terms {
            Terms::Uk => "No sc anywhere: dc is taken as the UK word for US sc.",
            Terms::Us => "dc is taken as the US word: its rings are too large for UK dc.",
        };
        let span = e.first_dc.unwrap_or(0..0);
        found.push(Found::new(K::TermsUnclear, S::Note, span, message, "Say which terms are meant."));
        return (terms, TermsKnown::Inferred);
    }
    if e.miss > e.skip {
        return (Terms::Uk, TermsKnown::Inferred);
    }
    (Terms::Us, TermsKnown::Assumed)
}
