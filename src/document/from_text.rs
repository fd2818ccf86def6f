//! A toy from written rounds, with a scene (yarn, hook, stuffing) that the text may not say.

use super::FileError;
use super::edits::free_name;
use super::sound::MOST_PARTS;
use crate::measure::{Finding, FindingKind, Severity};
use crate::notation::{self, ReadOptions, Reading};
use crate::part::{Amount, MOST_GATHERED, Part, Stuffing};
use crate::rounds::{Finish, Start, rounds_of_counts};
use crate::toy::{Copies, Piece, Placement, Toy, stack_by_default};
use crate::yarn::Yarn;

/// What a maker says beside the text. What is set wins over the file or text, which wins over estimates.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TextScene {
    /// Yarn category, 0 to 7.
    pub category: Option<u8>,
    /// Hook, mm.
    pub hook_mm: Option<f64>,
    /// Single crochets in 10 cm.
    pub stitches_per_10cm: Option<f64>,
    /// Rounds in 10 cm.
    pub rounds_per_10cm: Option<f64>,
    /// Metres in 100 g.
    pub metres_per_100g: Option<f64>,
    /// Grams of the main yarn at hand.
    pub have_g: Option<f64>,
    /// How firmly the parts are stuffed that are stuffed at all.
    pub stuffing: Option<Amount>,
    /// Packed density of the stuffing, g/L.
    pub density_g_per_l: Option<f64>,
    /// Stiffness of the fabric, N/m.
    pub fabric_n_per_m: Option<f64>,
    /// Pressure of the stuffing, kPa.
    pub pressure_kpa: Option<f64>,
}

impl TextScene {
    /// Sets what the scene says in a toy.
    pub fn apply(&self, toy: &mut Toy) {
        if toy.yarns.is_empty() {
            toy.yarns.push(Yarn::default());
        }
        for yarn in &mut toy.yarns {
            // Another yarn or hook makes another fabric: a swatch of the old one says nothing of it.
            if (self.category.is_some() && self.category != yarn.category)
                || (self.hook_mm.is_some() && self.hook_mm != yarn.hook_mm)
            {
                yarn.stitches_per_10cm = None;
                yarn.rounds_per_10cm = None;
                (yarn.trials.disc, yarn.trials.ball) = (None, None);
            }
            if self.category.is_some() && self.category != yarn.category {
                yarn.metres_per_100g = None;
                (yarn.stock.ball_g, yarn.stock.ball_m) = (None, None);
            }
            yarn.category = self.category.or(yarn.category);
            yarn.hook_mm = self.hook_mm.or(yarn.hook_mm);
            yarn.stitches_per_10cm = self.stitches_per_10cm.or(yarn.stitches_per_10cm);
            yarn.rounds_per_10cm = self.rounds_per_10cm.or(yarn.rounds_per_10cm);
            yarn.metres_per_100g = self.metres_per_100g.or(yarn.metres_per_100g);
        }
        if let (Some(grams), Some(main)) = (self.have_g, toy.yarns.first_mut()) {
            main.stock.have_g = Some(grams);
        }
        if let Some(amount) = self.stuffing {
            for piece in toy.pieces.iter_mut().filter(|p| p.part.is_stuffed()) {
                piece.part.stuffing.amount = amount;
            }
        }
        if self.density_g_per_l.is_some() {
            // It rules over what was weighed, which follows from it by then.
            for piece in &mut toy.pieces {
                if let Amount::Grams(grams) = piece.part.stuffing.amount
                    && grams > 0.0
                {
                    piece.part.stuffing.amount = Amount::Medium;
                }
            }
        }
        let settings = &mut toy.settings;
        settings.density_g_per_l = self.density_g_per_l.or(settings.density_g_per_l);
        settings.fabric_n_per_m = self.fabric_n_per_m.or(settings.fabric_n_per_m);
        settings.pressure_kpa = self.pressure_kpa.or(settings.pressure_kpa);
    }
}

/// Why a text has no rounds: in a bare list of counts the first word that is none, else simply that there are none.
pub(super) fn no_rounds(text: &str, name: &str) -> FileError {
    let mut numbers = 0;
    let mut wrong = None;
    for (line, words) in text.lines().enumerate() {
        let mut next = 1;
        for word in words.split([' ', '\t', ',', ';']) {
            let column = next;
            next += word.chars().count() + 1;
            if word.is_empty() {
                continue;
            }
            match word.parse::<u32>() {
                Ok(1..) => numbers += 1,
                _ => wrong = wrong.or(Some((line + 1, column, word.chars().take(30).collect::<String>()))),
            }
        }
    }
    match wrong {
        Some((line, column, word)) if numbers > 1 => FileError::Malformed {
            file: name.to_owned(),
            line,
            column,
            why: format!(
                "\"{word}\" is no count of stitches; expected whole numbers of at least 1, such as \"6 12 18 12 6\""
            ),
        },
        _ => FileError::NoRounds { file: name.to_owned() },
    }
}

/// Two or more whole numbers and nothing else: counts round by round, however few.
fn bare_counts(text: &str) -> Option<Vec<u32>> {
    let words = text.split([' ', '\t', '\r', '\n', ',', ';']).filter(|w| !w.is_empty());
    let counts: Option<Vec<u32>> = words.map(|w| w.parse().ok().filter(|n| *n > 0)).collect();
    counts.filter(|c| c.len() >= 2)
}

/// Problems that are told; a text with more is no pattern.
const MOST_PROBLEMS: usize = 1000;

/// A toy from a text of written rounds, and the places in the text that need a look. A text without rounds
/// gives a toy without parts.
pub fn read_toy(text: &str, scene: &TextScene) -> (Toy, Vec<Finding>) {
    let reading = notation::read(text, &ReadOptions::default());
    let mut toy = toy_of(&reading);
    if let (true, Some(counts)) = (toy.pieces.is_empty(), bare_counts(text))
        && let Ok(rounds) = rounds_of_counts(&counts)
    {
        let closed = |count: Option<&u32>| count.is_some_and(|n| *n <= MOST_GATHERED);
        let start = if closed(counts.first()) { Start::MagicRing } else { Start::ChainRing };
        let finish = if closed(counts.last()) { Finish::Gathered } else { Finish::Open };
        let part = Part { name: "Part".to_owned(), rounds, start, finish, ..Part::default() };
        toy.pieces.push(Piece { part, placement: Placement::default() });
    }
    scene.apply(&mut toy);
    stack_by_default(&mut toy);
    let problems = reading.problems.iter().take(MOST_PROBLEMS).map(|p| finding_of(&reading, p)).collect();
    (toy, problems)
}

fn toy_of(reading: &Reading) -> Toy {
    let heading = &reading.heading;
    let yarn = Yarn {
        category: heading.yarn_category.as_ref().map(|c| c.value),
        hook_mm: heading.hook_mm.as_ref().map(|h| h.value),
        stitches_per_10cm: heading.gauge.as_ref().and_then(|g| g.value.stitches_per_10cm),
        rounds_per_10cm: heading.gauge.as_ref().and_then(|g| g.value.rounds_per_10cm),
        metres_per_100g: heading.metres_per_100g.as_ref().map(|m| m.value),
        ..Yarn::default()
    };
    let mut toy = Toy { yarns: vec![yarn], ..Toy::default() };
    toy.settings.pattern_height_mm = heading.height_mm.as_ref().map(|h| h.value);
    // More parts than a toy can have are refused later; those beyond are not worth the work.
    let too_many = reading.pieces.len() > MOST_PARTS;
    for piece in reading.pieces.iter().take(MOST_PARTS + 1) {
        let part = Part {
            // What is refused needs no name of its own.
            name: if too_many { piece.name.clone() } else { free_name(&toy, &piece.name, None) },
            yarn: toy.yarns[0].name.clone(),
            start: piece.start.clone(),
            finish: piece.finish,
            rounds: piece.rounds.iter().map(|r| r.round.clone()).collect(),
            stuffing: piece.stuffing.as_ref().map(|note| stuffing_of(&note.value.text)).unwrap_or_default(),
            ..Part::default()
        };
        let copies = match piece.copies {
            0 | 1 => Copies::One,
            2 => Copies::MirroredPair,
            n => Copies::Around(n),
        };
        toy.pieces.push(Piece { part, placement: Placement { copies, ..Placement::default() } });
    }
    toy
}

/// How firmly, by what the text says: "do not stuff", "stuff lightly", "stuff firmly".
fn stuffing_of(note: &str) -> Stuffing {
    let note = note.to_lowercase();
    let says = |words: &[&str]| words.iter().any(|w| note.contains(w));
    let amount = if says(&["not stuff", "n't stuff", "no stuff", "unstuffed", "without stuffing", "leave empty"]) {
        Amount::None
    } else if says(&["light", "loose", "a little", "a bit"]) {
        Amount::Light
    } else if says(&["firm", "hard", "tight", "well"]) {
        Amount::Firm
    } else {
        Amount::Medium
    };
    Stuffing { amount, up_to_round: None }
}

fn finding_of(reading: &Reading, problem: &notation::Problem) -> Finding {
    let severity = match problem.severity {
        notation::Severity::Note => Severity::Note,
        notation::Severity::Warning => Severity::Warning,
        notation::Severity::Severe => Severity::Severe,
    };
    // The last round that begins at or before the place.
    let at = problem.span.start;
    let mut rounds = reading.pieces.iter().flat_map(|p| p.rounds.iter().enumerate().map(move |(i, r)| (p, i, r)));
    let near = rounds.rfind(|(_, _, r)| r.span.start <= at && at <= r.span.end);
    Finding {
        kind: FindingKind::WrittenRounds,
        severity,
        part: near.map(|(p, _, _)| p.name.clone()),
        round: near.and_then(|(_, i, _)| u32::try_from(i + 1).ok()),
        message: format!("Line {}, column {}: {}", problem.line, problem.column, problem.message),
        remedy: problem.remedy.clone(),
    }
}
