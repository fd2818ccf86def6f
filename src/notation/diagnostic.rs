//! What the reader has to say about a text: a closed list of kinds, each with a place, a sentence and a remedy.

use std::fmt;
use std::ops::Range;

/// How much a problem weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// Said for completeness; the counts are most likely right.
    Note,
    /// The counts may be wrong here.
    Warning,
    /// The counts are wrong or missing here unless the maker mends the text.
    Severe,
}

impl Severity {
    /// The word used in reports and JSON.
    pub fn name(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Severe => "severe",
        }
    }
}

/// What is wrong, from a closed list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ProblemKind {
    /// Instruction and printed total disagree.
    TotalDiffers,
    /// The instruction uses more or fewer stitches than the round below has.
    StitchesDiffer,
    /// No round can lead from the count below to this one.
    ImpossibleRound,
    /// Words inside a round that mean nothing to the reader.
    Unreadable,
    /// The text leaves something open and the reader chose.
    Guessed,
    /// A typing slip was mended.
    Spelling,
    /// A bracket or star never closes, or closes what was never opened.
    Bracket,
    /// A range of rounds and its own count of rounds disagree.
    RangeDiffers,
    /// Labels repeat, go backwards or leave one out.
    LabelOrder,
    /// A measure or direction stands in place of counts.
    MeasureOnly,
    /// A round or piece that is referred to is not there.
    MissingReference,
    /// A round whose count cannot be told; it is left out.
    NoCount,
    /// Nothing tells US terms from UK terms though it matters.
    TermsUnclear,
    /// US and UK words both occur as stitches.
    TermsMixed,
    /// The first round does not say what it is worked into.
    StartUnclear,
    /// How many are to be made is not clear.
    CopiesUnclear,
    /// A number beyond all sense.
    TooLarge,
    /// The work divides or is rejoined.
    SplitWork,
}

impl ProblemKind {
    /// Every kind.
    pub const ALL: [ProblemKind; 18] = [
        ProblemKind::TotalDiffers,
        ProblemKind::StitchesDiffer,
        ProblemKind::ImpossibleRound,
        ProblemKind::Unreadable,
        ProblemKind::Guessed,
        ProblemKind::Spelling,
        ProblemKind::Bracket,
        ProblemKind::RangeDiffers,
        ProblemKind::LabelOrder,
        ProblemKind::MeasureOnly,
        ProblemKind::MissingReference,
        ProblemKind::NoCount,
        ProblemKind::TermsUnclear,
        ProblemKind::TermsMixed,
        ProblemKind::StartUnclear,
        ProblemKind::CopiesUnclear,
        ProblemKind::TooLarge,
        ProblemKind::SplitWork,
    ];

    /// The name used in reports and JSON; it does not change.
    pub fn name(self) -> &'static str {
        match self {
            ProblemKind::TotalDiffers => "total_differs",
            ProblemKind::StitchesDiffer => "stitches_differ",
            ProblemKind::ImpossibleRound => "impossible_round",
            ProblemKind::Unreadable => "unreadable",
            ProblemKind::Guessed => "guessed",
            ProblemKind::Spelling => "spelling",
            ProblemKind::Bracket => "bracket",
            ProblemKind::RangeDiffers => "range_differs",
            ProblemKind::LabelOrder => "label_order",
            ProblemKind::MeasureOnly => "measure_only",
            ProblemKind::MissingReference => "missing_reference",
            ProblemKind::NoCount => "no_count",
            ProblemKind::TermsUnclear => "terms_unclear",
            ProblemKind::TermsMixed => "terms_mixed",
            ProblemKind::StartUnclear => "start_unclear",
            ProblemKind::CopiesUnclear => "copies_unclear",
            ProblemKind::TooLarge => "too_large",
            ProblemKind::SplitWork => "split_work",
        }
    }
}

impl fmt::Display for ProblemKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// One thing the reader has to say about the text, at its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// What kind of thing.
    pub kind: ProblemKind,
    /// How much it weighs.
    pub severity: Severity,
    /// Bytes of the text it is about; never empty unless the text is.
    pub span: Range<usize>,
    /// Line of its first character, from 1.
    pub line: usize,
    /// Column of its first character, from 1, in characters.
    pub column: usize,
    /// Characters it covers on that line, at least 1.
    pub length: usize,
    /// What is the matter, as a sentence.
    pub message: String,
    /// What the maker can do about it, as a sentence.
    pub remedy: String,
}

/// A problem before its line and column are counted.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub kind: ProblemKind,
    pub severity: Severity,
    pub span: Range<usize>,
    pub message: String,
    pub remedy: String,
}

impl Found {
    pub fn new(
        kind: ProblemKind,
        severity: Severity,
        span: Range<usize>,
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Found { kind, severity, span, message: message.into(), remedy: remedy.into() }
    }
}

/// More problems than this of one text are counted, not listed.
const MOST_PROBLEMS: usize = 20_000;

/// Gives the problems their lines and columns, in the order of the text. `line_starts` are the byte
/// offsets of the lines, the first 0. Linear in the text and the problems.
pub(super) fn place(text: &str, line_starts: &[usize], mut found: Vec<Found>) -> Vec<Problem> {
    found.sort_by_key(|f| (f.span.start, f.span.end));
    if found.len() > MOST_PROBLEMS {
        let rest = found.split_off(MOST_PROBLEMS);
        if let Some(first) = rest.first() {
            let message = format!("There are {} more problems from here on; they are not listed.", rest.len());
            let remedy = "Mend the ones before, then read the text again.";
            found.push(Found::new(ProblemKind::TooLarge, Severity::Severe, first.span.clone(), message, remedy));
        }
        found.extend(rest.into_iter().filter(|f| f.kind == ProblemKind::TooLarge).take(100));
    }
    let mut problems = Vec::with_capacity(found.len());
    // The last place counted, so that many problems on one long line cost one walk along it.
    let (mut last_line, mut last_byte, mut last_column) = (usize::MAX, 0, 0);
    for f in found {
        let start = floor_boundary(text, f.span.start);
        let line = line_starts.partition_point(|s| *s <= start).saturating_sub(1);
        let line_start = line_starts.get(line).copied().unwrap_or(0);
        let line_end = line_starts.get(line + 1).map_or(text.len(), |e| *e);
        let visible_end = line_start + text[line_start..line_end].trim_end().len();
        if line != last_line {
            (last_line, last_byte, last_column) = (line, line_start, 1);
        }
        last_column += text[last_byte..start].chars().count();
        last_byte = start;
        let end = floor_boundary(text, f.span.end.clamp(start, visible_end.max(start)));
        problems.push(Problem {
            kind: f.kind,
            severity: f.severity,
            span: start..floor_boundary(text, f.span.end.max(start)),
            line: line + 1,
            column: last_column,
            length: text[start..end].chars().take(2000).count().max(1),
            message: as_written(&text[start..end], f.message),
            remedy: f.remedy,
        });
    }
    problems
}

/// Numbers are cut where they are read, so that sums stay in range: the message names them as they stand in
/// the text. What comes of a cut number is only said to be more.
fn as_written(said: &str, message: String) -> String {
    let most = super::lexer::HIGHEST;
    let big = |digits: &str| digits.parse::<u64>().is_ok_and(|n| n >= u64::from(most));
    if !message.split(|c: char| !c.is_ascii_digit()).any(big) {
        return message;
    }
    let longest = said.split(|c: char| !c.is_ascii_digit()).filter(|d| d.len() > 9).max_by_key(|d| d.len());
    let cut = most.to_string();
    let message = match longest {
        Some(digits) => message.replace(&cut, digits),
        None => message,
    };
    message.replace(&u32::MAX.to_string(), &format!("more than {cut}"))
}

fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_closed_and_differ() {
        let mut names: Vec<&str> = ProblemKind::ALL.iter().map(|k| k.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), ProblemKind::ALL.len());
        assert!(names.iter().all(|n| n.chars().all(|c| c.is_ascii_lowercase() || c == '_')));
    }

    #[test]
    fn columns_are_counted_in_characters() {
        let text = "é 1\nwörd x\n";
        let found = vec![Found::new(ProblemKind::Unreadable, Severity::Note, 11..12, "m", "r")];
        let placed = place(text, &[0, 5, 13], found);
        assert_eq!((placed[0].line, placed[0].column, placed[0].length), (2, 6, 1));
    }
}
