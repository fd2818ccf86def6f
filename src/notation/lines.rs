//! Lines to entries: rounds, headings, bare lists of counts, notes. What is prose must not become a round,
//! and no round may be lost among prose.

use std::ops::Range;

use super::asides;
use super::colours::runs_of_colour;
use super::copies::{self, Copies};
use super::header;
use super::held::Held;
use super::labels::{self, Due, Label, dashed, label, splits, stretches};
use super::legend;
use super::lexer::{Line, T, Token};
use super::likeness;
use super::looks::{
    DIVIDES, bare_counts, bullets, doubtful, is_command, is_measure, joins_yarn, look, only_copies, ring_counts,
    tells_a_place, unfinished, unframed, works, works_labelled,
};
use super::onward;
use super::titles::{self, Says};
use super::words::W;

/// The words of one round.
#[derive(Clone, Debug)]
pub(super) struct RoundText {
    pub label: Option<Label>,
    /// The label as printed.
    pub label_text: String,
    pub toks: Vec<Token>,
    pub span: Range<usize>,
    /// Number of the line, from 0.
    pub line: usize,
}

/// A line, or part of one, by what it is.
#[derive(Clone, Debug)]
pub(super) enum Entry {
    Heading {
        title: String,
        copies: Option<Copies>,
        span: Range<usize>,
        /// It names a part of a toy, or says how many to make.
        strong: bool,
        says: Says,
        line: usize,
    },
    Round(RoundText),
    /// Bare counts, with their places.
    Counts {
        counts: Vec<(u32, Range<usize>)>,
        line: usize,
    },
    /// A line, or its head up to the byte `end`, that is no work.
    Note {
        line: usize,
        end: usize,
        /// It names stitches as a round does.
        doubt: bool,
    },
}

/// What the lines are, in order.
pub(super) fn classify(text: &str, lines: &[Line]) -> Vec<Entry> {
    let mut out = Vec::with_capacity(lines.len());
    let labelled = lines
        .iter()
        .filter(|l| {
            let toks = unframed(&l.tokens);
            let toks = &toks[bullets(toks)..];
            label(toks, Due::default()).is_some_and(|lab| works_labelled(&toks[lab.used..], lab.strong, true))
        })
        .take(3)
        .count();
    let mut s = Sorter {
        text,
        out: &mut out,
        labelled: labelled >= 2,
        expected: None,
        dashes: dashed(lines.iter().map(|l| l.tokens.as_slice())),
        unmarked: false,
        open: false,
        legend: false,
        held: Held::default(),
    };
    for (number, line) in lines.iter().enumerate() {
        s.line(number, line);
    }
    s.held.release(s.out, u32::MAX);
    out
}

pub(super) struct Sorter<'a> {
    pub(super) text: &'a str,
    pub(super) out: &'a mut Vec<Entry>,
    /// The text labels its rounds.
    pub(super) labelled: bool,
    pub(super) expected: Option<u32>,
    /// The text parts its labels from the words by a dash.
    pub(super) dashes: bool,
    pub(super) unmarked: bool,
    /// The last round goes on in the next line.
    pub(super) open: bool,
    /// Inside a list of abbreviations.
    pub(super) legend: bool,
    pub(super) held: Held,
}

impl Sorter<'_> {
    fn line(&mut self, number: usize, line: &Line) {
        let mut toks = unframed(&line.tokens);
        toks = &toks[bullets(toks)..];
        if toks.is_empty() {
            return;
        }
        if legend::is_example(self.text, toks) {
            self.open = false;
            self.note(number, line);
            return;
        }
        let lower = self.text[line.start..line.end].to_lowercase();
        if let Some(cell) = self.part_cell(number, line, toks) {
            toks = &toks[cell..];
        }
        if self.onward(number, line, toks) || self.total_first(number, line, toks) {
            return;
        }
        if asides::alternative(&lower, toks) {
            self.open = false;
            self.out.push(Entry::Note { line: number, end: line.end, doubt: true });
            return;
        }
        if onward::number_of_rounds(self.text, toks) {
            self.push_round(number, line, toks, None, 0);
            let rounds = toks[0].num().unwrap_or(0);
            self.expected = self.expected.map(|n| n.saturating_add(rounds));
            return;
        }
        // A label may stand behind the page's own list number: `5. Rounds 6-9: …`.
        let mut lab = label(toks, self.due());
        if let Some(outer) = lab
            && !outer.strong
            && let Some(inner) = label(&toks[outer.used..], self.due())
            && inner.strong
        {
            toks = &toks[outer.used..];
            lab = Some(inner);
        }
        if let Some(lab) = lab {
            let rest = &toks[lab.used..];
            // `Rnds 1-4: 6-12-18-24`: a count for each.
            let span = (lab.to - lab.from + 1) as usize;
            if lab.strong && span > 1 && bare_counts(rest).is_some_and(|c| c.len() == span) {
                for (k, t) in rest.iter().filter(|t| t.num().is_some()).enumerate() {
                    let n = lab.from + u32::try_from(k).unwrap_or(0);
                    self.push_round(
                        number,
                        line,
                        std::slice::from_ref(t),
                        Some(Label { from: n, to: n, used: 0, ..lab }),
                        0,
                    );
                }
                return;
            }
            let marked = matches!(
                toks[lab.used - 1].t,
                T::Colon | T::Dot | T::Close(_) | T::Dash | T::Tab | T::Pipe | T::Comma | T::Eq
            );
            // `3-5. 12` in a list of rounds where just these are due.
            let total = bare_counts(rest)
                .is_some_and(|c| matches!(c.as_slice(), [(n, _), more @ ..] if more.iter().all(|m| m.0 == *n)));
            let due = !lab.strong && marked && self.labelled && total && self.expected == Some(lab.from);
            if bare_counts(toks).is_some_and(|c| c.len() > 3) && !lab.strong && !due {
                // `6, 12, 18, 24` — falls through to the lists.
            } else if due {
                self.push_round(number, line, toks, Some(lab), 0);
                return;
            } else if (works_labelled(rest, lab.strong, marked) || (marked && runs_of_colour(self.text, rest) > 1))
                && (lab.strong || !header::is_header(&lower))
            {
                self.rounds(number, line, toks, lab);
                return;
            } else if rest.is_empty() && lab.strong {
                // A label on a line of its own: its words stand in the next.
                self.push_round(number, line, toks, Some(lab), 0);
                self.open = true;
                return;
            } else if lab.strong {
                self.note(number, line);
                return;
            }
        }
        if self.open && !self.out.is_empty() && self.continue_lines(number, toks, line, true) {
            return;
        }
        if self.behind_note(number, line, toks, false) {
            return;
        }
        if lab.is_none()
            && DIVIDES.contains(&lower.split(|c: char| !c.is_alphabetic()).find(|w| !w.is_empty()).unwrap_or(""))
        {
            self.open = false;
            self.note(number, line);
            return;
        }
        let explained = legend::explains(self.text, toks);
        if explained || header::is_legend_title(&lower) {
            self.legend |= !explained;
            self.open = false;
            self.note(number, line);
            return;
        }
        if let Some(counts) = bare_counts(toks).or_else(|| ring_counts(toks)) {
            self.counts(number, line, counts);
            return;
        }
        let colours = toks[0].caps || toks[0].is(W::ColourNoun);
        // "Head, 3 mm hook" names a part, "Hook: 3 mm" does not.
        let materials = header::is_header(&lower)
            && !titles::says_copies(self.text, toks)
            && titles::part_head(self.text, toks).is_none();
        if materials || (colours && !legend::pairs(self.text, toks).is_empty()) {
            self.note(number, line);
            return;
        }
        let headed = matches!(self.out.last(), Some(Entry::Heading { strong: true, .. }));
        // `(2x)` under a heading
        if headed && toks.len() <= 4 && only_copies(self.text, toks) && self.tell_copies(toks) {
            return;
        }
        // "Same as leg 1, but do not fasten off."
        if likeness::told(self.text, toks).is_some_and(|t| headed || !t.weak) {
            if toks[0].is(W::Make) {
                self.tell_copies(toks);
            }
            self.push_round(number, line, toks, None, 0);
            return;
        }
        // `Head: 6 12 18 …`, `Head: Rnd 1: …`, `Body – MR 6`
        if let Some((mut title, used)) = titles::split(self.text, line, toks) {
            let rest = &toks[used..];
            if title.strong && likeness::told(self.text, rest).is_some() {
                // "Legs: make 2 as arms."
                let copies = copies::copies(self.text, rest).filter(|_| rest[0].is(W::Make));
                title.copies = title.copies.or(copies.map(|c| c.0));
                self.heading(number, title);
                self.push_round(number, line, rest, None, 0);
                return;
            }
            let only_copies = only_copies(self.text, rest);
            let counts = bare_counts(rest).filter(|c| c.len() >= 2).or_else(|| ring_counts(rest));
            let lab = label(rest, Due { number: Some(1), ..self.due() });
            let labelled = lab.is_some_and(|l| works_labelled(&rest[l.used..], l.strong, true));
            if tells_a_place(self.text, rest) {
                // "Horns: R2, 5 sts apart"
                self.note(number, line);
                return;
            }
            if only_copies {
                // `Claw - 2x`: a heading and no more.
                if let Some(title) = titles::title(self.text, line, toks) {
                    self.heading(number, title);
                    return;
                }
            } else if title.strong && joins_yarn(self.text, rest) {
                // "Leg 2: join yarn at the first unworked st": its rounds follow.
                self.heading(number, title);
                self.note(number, line);
                return;
            } else if counts.is_some()
                || labelled
                || (title.strong && works(rest) && !is_command(rest))
                || (works(rest) && look(rest).ring && rest.iter().take(8).any(|t| t.num().is_some()))
                || (is_command(rest) && rest.iter().any(|t| matches!(t.t, T::Word(W::Same | W::AsFor))))
            {
                self.heading(number, title);
                if let Some(counts) = counts {
                    self.counts(number, line, counts);
                } else if let Some(lab) = lab.filter(|_| labelled) {
                    self.rounds(number, line, rest, lab);
                } else {
                    self.push_rounds(number, line, rest);
                }
                return;
            }
        }
        if self.behind_note(number, line, toks, true) || self.continue_lines(number, toks, line, false) {
            return;
        }
        if works(toks) && (!self.legend || look(toks).ring) {
            // Among labelled rounds a wordy line is a note, even with stitches in it.
            let l = look(toks);
            let until = is_measure(toks);
            let wordy = self.labelled
                && !until
                && (l.unknown > 1 && l.unknown * 2 > l.work)
                && !l.ring
                && !is_command(toks)
                && !(l.chain && toks[0].is(W::Ch));
            if !wordy {
                self.push_rounds(number, line, toks);
                return;
            }
        }
        if let Some(title) = titles::title(self.text, line, toks) {
            self.heading(number, title);
            return;
        }
        let doubt = !self.legend && doubtful(toks);
        self.out.push(Entry::Note { line: number, end: line.end, doubt });
    }

    /// `(18) 4-6: 18 sc`: the total stands before the label.
    fn total_first(&mut self, number: usize, line: &Line, toks: &[Token]) -> bool {
        let Some(lab) = labels::behind_total(toks, self.due()) else { return false };
        let (total, rest) = toks.split_at(3);
        if !works_labelled(&rest[lab.used..], lab.strong, true) {
            return false;
        }
        self.push_round(number, line, rest, Some(lab), 0);
        if let Some(Entry::Round(r)) = self.out.last_mut().filter(|e| matches!(e, Entry::Round(r) if r.label.is_some()))
        {
            r.toks.splice(0..0, total.iter().copied());
            r.span.start = total[0].start;
        }
        true
    }

    /// Gives the heading above the number of copies that the words tell; false where it has one, or they tell none.
    fn tell_copies(&mut self, toks: &[Token]) -> bool {
        let told = copies::copies(self.text, toks);
        if let (Some(Entry::Heading { copies: copies @ None, .. }), Some((c, _))) = (self.out.last_mut(), told) {
            *copies = Some(c);
            return true;
        }
        false
    }

    /// "Work 4 more rounds like this." behind a round.
    fn onward(&mut self, number: usize, line: &Line, toks: &[Token]) -> bool {
        let behind = self.out.iter().rev().take(12).any(|e| matches!(e, Entry::Round(_)));
        let Some(asked) = onward::asked(self.text, toks).filter(|_| behind) else { return false };
        self.push_round(number, line, toks, None, 0);
        self.expected = self.expected.map(|n| n.saturating_add(asked.rounds));
        true
    }

    /// A row of a table whose first cell names the part: its heading is taken, and the tokens it had.
    fn part_cell(&mut self, number: usize, line: &Line, toks: &[Token]) -> Option<usize> {
        let bar = toks.iter().take(8).position(|t| matches!(t.t, T::Tab | T::Pipe)).filter(|k| *k > 0)?;
        let (head, rest) = (&toks[..bar], &toks[bar + 1..]);
        if !head.iter().all(|t| matches!(t.t, T::Word(_))) || head.iter().any(|t| t.is(W::Rnd)) {
            return None;
        }
        let lab = label(rest, Due { number: Some(1), ..self.due() })?;
        let cell = matches!(rest[lab.used - 1].t, T::Tab | T::Pipe);
        if !cell || !works_labelled(&rest[lab.used..], lab.strong, true) {
            return None;
        }
        let title = titles::title(self.text, line, head)?;
        // The same part named again in each row.
        let name = self.out.iter().rev().find_map(|e| match e {
            Entry::Heading { title, .. } => Some(title),
            _ => None,
        });
        if name != Some(&title.name) {
            self.heading(number, titles::Title { strong: true, ..title });
        }
        Some(bar + 1)
    }

    pub(super) fn due(&self) -> Due {
        Due { number: self.expected, dashes: self.dashes, unmarked: self.unmarked }
    }

    fn note(&mut self, number: usize, line: &Line) {
        self.out.push(Entry::Note { line: number, end: line.end, doubt: false });
    }

    /// `Stuff now. Rnd 13: (sc, dec) x 6 (12)`: a sentence, then rounds in the same line. `begins` asks for
    /// a round 1, else for a later one.
    fn behind_note(&mut self, number: usize, line: &Line, toks: &[Token], begins: bool) -> bool {
        for k in 1..toks.len().min(60) {
            let ended = matches!(toks[k - 1].t, T::Dot | T::Mark | T::Close(_) | T::Semi | T::Colon | T::Dash);
            // "White yarn, R9 …": behind a comma only where just this round is due.
            let comma = toks[k - 1].t == T::Comma && toks[k].is(W::Rnd);
            let part = &toks[k..];
            // `Squid fins R1: …`: a label behind a title, not behind a sentence.
            if !ended
                && !comma
                && matches!(part, [rnd, n, colon, ..] if rnd.is(W::Rnd) && n.num().is_some() && colon.t == T::Colon)
            {
                return false;
            }
            if !(ended || comma) || !matches!(toks[k].t, T::Word(W::Rnd) | T::Num(_) | T::Ord(_)) {
                continue;
            }
            let Some(lab) = label(part, self.due()) else { continue };
            let rest = &part[lab.used..];
            let colon = matches!(part[lab.used - 1].t, T::Colon);
            let follows = self.expected == Some(lab.from);
            let clear = if comma {
                follows && look(&toks[..k]).work == 0
            } else if lab.strong {
                colon || follows
            } else {
                colon && follows && toks[k - 1].t == T::Dot
            };
            let l = look(rest);
            let work = l.work > 0 || l.ring || l.straight || l.goes_on || l.whole;
            // The first label behind a sentence tells where the rounds begin.
            if clear && (lab.from == 1) != begins {
                return false;
            }
            if !clear || !work || !works_labelled(rest, lab.strong, true) {
                continue;
            }
            let head = &toks[..k];
            let l = look(head);
            if works(head) && l.unknown == 0 && (l.numbers > 0 || l.ring) {
                self.push_rounds(number, line, head);
            } else {
                self.open = false;
                self.out.push(Entry::Note { line: number, end: head[k - 1].end, doubt: false });
            }
            self.rounds(number, line, part, lab);
            return true;
        }
        false
    }

    fn heading(&mut self, number: usize, title: titles::Title) {
        self.open = false;
        self.legend &= title.says == Says::Remark;
        if title.strong && title.says == Says::Name {
            self.held.release(self.out, u32::MAX);
            self.expected = Some(1);
        }
        self.out.push(Entry::Heading {
            title: title.name,
            copies: title.copies,
            span: title.span,
            strong: title.strong,
            says: title.says,
            line: number,
        });
    }

    fn counts(&mut self, number: usize, line: &Line, counts: Vec<(u32, Range<usize>)>) {
        self.open = false;
        let _ = line;
        if let Some(Entry::Counts { counts: before, .. }) = self.out.last_mut() {
            before.extend(counts);
            return;
        }
        // A lone number among labelled rounds is a page number or the like.
        if self.labelled && counts.len() < 3 {
            return;
        }
        self.out.push(Entry::Counts { counts, line: number });
    }

    fn rounds(&mut self, number: usize, line: &Line, toks: &[Token], lab: Label) {
        let mut cuts = splits(toks, &lab, self.dashes);
        cuts.push(toks.len());
        for w in cuts.windows(2) {
            let part = &toks[w[0]..w[1]];
            let lab = if w[0] == 0 { Some(lab) } else { label(part, self.due()) };
            let used = lab.map_or(0, |l| l.used);
            self.push_round(number, line, part, lab, used);
            if let Some(lab) = lab {
                self.held.hold(self.out, lab, &stretches(part, &lab));
            }
        }
    }

    /// Rounds with no labels in one line, each ended by its total: `6 sc in MR (6), inc x 6 (12), …`.
    fn push_rounds(&mut self, number: usize, line: &Line, toks: &[Token]) {
        let mut from = 0;
        for (k, w) in toks.windows(4).enumerate() {
            let total = matches!(
                (w[0].t, w[1].t, w[2].t, w[3].t),
                (T::Open(_), T::Num(_), T::Close(_), T::Comma | T::Semi | T::Dot)
            );
            let rest = toks.get(k + 4..).unwrap_or(&[]);
            let more =
                rest.windows(3).any(|r| matches!((r[0].t, r[1].t, r[2].t), (T::Open(_), T::Num(_), T::Close(_))));
            if total && k > from && more && toks.len() < 400 {
                self.push_round(number, line, &toks[from..k + 3], None, 0);
                from = k + 4;
            }
        }
        self.push_round(number, line, &toks[from..], None, 0);
    }

    pub(super) fn push_round(&mut self, number: usize, line: &Line, toks: &[Token], lab: Option<Label>, used: usize) {
        let mut toks = toks;
        let mut lab = lab;
        // `sc around = 12 (rounds 3 to 5)`: the label stands behind.
        if lab.is_none()
            && let Some(open) = toks.iter().rposition(|t| matches!(t.t, T::Open(_))).filter(|o| *o > 0)
            && toks.get(open + 1).is_some_and(|t| t.is(W::Rnd))
            && let Some(l) = label(&toks[open + 1..], Due::default())
            && open + 1 + l.used == toks.len()
        {
            toks = &toks[..open];
            lab = Some(Label { used: 0, ..l });
        }
        let used = lab.map_or(used, |l| l.used);
        self.legend = false;
        if let Some(l) = lab {
            self.held.release(self.out, if l.from == 1 { u32::MAX } else { l.from });
            self.expected = Some(l.to + 1);
            self.unmarked = !l.marked;
        }
        let mut words = toks[used..].to_vec();
        // A table's row: its bars part cells and repeat nothing.
        if used > 0 && matches!(toks[used - 1].t, T::Pipe | T::Tab) {
            for t in words.iter_mut().filter(|t| t.t == T::Pipe) {
                t.t = T::Tab;
            }
        }
        let start = toks.first().map_or(line.start, |t| t.start);
        let end = toks.last().map_or(line.end, |t| t.end);
        let label_text = match lab {
            Some(_) if used > 0 => {
                let printed = &self.text[start..toks[used - 1].end];
                let printed =
                    if printed.contains('(') { printed } else { printed.trim_end_matches([')', ']', ':', ' ']) };
                printed
                    .trim_end_matches([':', '.', '-', '–', '—', ' ', '=', '|', '\t'])
                    .trim_start_matches(['(', '['])
                    .trim_start_matches(|c: char| toks[0].is(W::From) && !c.is_whitespace())
                    .trim_start()
                    .to_owned()
            }
            _ => String::new(),
        };
        // `sc around (6). Repeat this round 4 more times.`: a round, and a sentence that asks for more of them.
        if let Some(k) = onward::behind(self.text, &words).filter(|k| words[..*k].iter().any(|t| t.word().is_some())) {
            let more = words.split_off(k);
            words.pop();
            let cut = words.last().map_or(start, |t| t.end);
            let from = more.first().map_or(cut, |t| t.start);
            if let Some(asked) = onward::asked(self.text, &more) {
                self.expected = self.expected.map(|n| n.saturating_add(asked.rounds));
            }
            self.open = false;
            let round = RoundText { label: lab, label_text, toks: words, span: start..cut, line: number };
            let more = RoundText { label: None, label_text: String::new(), toks: more, span: from..end, line: number };
            self.out.extend([Entry::Round(round), Entry::Round(more)]);
            return;
        }
        self.open = unfinished(&words);
        self.out.push(Entry::Round(RoundText { label: lab, label_text, toks: words, span: start..end, line: number }));
    }
}
