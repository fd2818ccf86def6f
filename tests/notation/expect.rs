//! What a text says of itself, and whether the reader agrees.

use toppleknot::notation::{Known, Piece, ReadOptions, Severity, Terms, TermsKnown, read};
use toppleknot::rounds::{Finish, Loops, Round, Run, Start, StitchKind};

/// Rounds compared, right, and wrong but flagged at their line.
#[derive(Default)]
pub struct Tally {
    pub rounds: usize,
    pub right: usize,
    pub flagged: usize,
}

pub struct Case {
    pub groups: Vec<usize>,
    title: String,
    terms: Option<Terms>,
    text: String,
    /// (line of the bare text, from 1; kind)
    problems: Vec<(usize, String)>,
    pieces: Vec<Expected>,
    facts: Vec<String>,
}

struct Expected {
    name: String,
    copies: u32,
    counts: Vec<u32>,
    facts: Vec<String>,
}

fn numbers(words: &[&str]) -> Result<Vec<usize>, String> {
    let mut out = Vec::new();
    for w in words {
        let w = w.trim_end_matches(',');
        let wrong = || format!("\"{w}\" is no round number");
        match w.split_once('-') {
            Some((a, b)) => out.extend(a.parse::<usize>().map_err(|_| wrong())?..=b.parse().map_err(|_| wrong())?),
            None => out.push(w.parse().map_err(|_| wrong())?),
        }
    }
    Ok(out)
}

impl Expected {
    fn parse(line: &str) -> Result<Self, String> {
        let (head, tail) = line.split_once(':').ok_or_else(|| format!("no colon in \"{line}\""))?;
        let mut parts = tail.split(';');
        let mut counts = Vec::new();
        for word in parts.next().unwrap_or("").split_whitespace() {
            let word = word.trim_end_matches(',');
            let (times, n) = word.split_once('*').unwrap_or(("1", word));
            let wrong = || format!("\"{word}\" is no count");
            let n: u32 = n.parse().map_err(|_| wrong())?;
            counts.extend(std::iter::repeat_n(n, times.parse().map_err(|_| wrong())?));
        }
        let head = head.trim();
        let (name, copies) = match head.rsplit_once(" x") {
            Some((name, n)) if n.parse::<u32>().is_ok() => (name, n.parse().unwrap_or(1)),
            _ => (head, 1),
        };
        Ok(Expected {
            name: name.trim().to_lowercase(),
            copies,
            counts,
            facts: parts.map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect(),
        })
    }
}

impl Case {
    pub fn parse(source: &str) -> Result<Case, String> {
        let mut case = Case {
            groups: Vec::new(),
            title: String::new(),
            terms: None,
            text: String::new(),
            problems: Vec::new(),
            pieces: Vec::new(),
            facts: Vec::new(),
        };
        let mut line = 0;
        for raw in source.lines() {
            let Some(said) = raw.trim_start().strip_prefix("//") else {
                line += 1;
                case.text.push_str(raw);
                case.text.push('\n');
                continue;
            };
            let rest = said.get(1..).unwrap_or("").trim();
            match said.chars().next() {
                Some('#') => {
                    case.title = rest.to_owned();
                    case.groups.extend(rest.split_whitespace().map_while(|w| w.parse::<usize>().ok()));
                }
                Some('?') if rest == "us" => case.terms = Some(Terms::Us),
                Some('?') if rest == "uk" => case.terms = Some(Terms::Uk),
                Some('=') => case.pieces.push(Expected::parse(rest)?),
                Some('!') => case.problems.push((line, rest.split_whitespace().next().unwrap_or("").to_owned())),
                Some('@') => case.facts.extend(rest.split(';').map(|f| f.trim().to_owned())),
                Some(' ') | None => {}
                Some(c) => return Err(format!("a line begins with //{c}")),
            }
        }
        if case.groups.iter().any(|g| !(1..=51).contains(g)) {
            return Err("groups are 1 to 51".to_owned());
        }
        Ok(case)
    }

    pub fn title(&self) -> &str {
        &self.title
    }

    pub fn compare(&self, tally: &mut Tally) -> Vec<String> {
        let reading = read(&self.text, &ReadOptions { terms: self.terms });
        let mut wrong = Vec::new();
        let mut announced = self.problems.clone();
        for p in &reading.problems {
            let at = announced.iter().position(|(line, kind)| *line == p.line && *kind == p.kind.name());
            match at {
                Some(i) => {
                    announced.remove(i);
                }
                None if p.severity == Severity::Note
                    || self.problems.iter().any(|(l, k)| *l == p.line && *k == p.kind.name()) => {}
                None => wrong.push(format!(
                    "line {}: {} {} not announced: {}",
                    p.line,
                    p.severity.name(),
                    p.kind,
                    p.message
                )),
            }
        }
        wrong.extend(announced.iter().map(|(line, kind)| format!("line {line}: no problem {kind}")));
        if reading.pieces.len() != self.pieces.len() {
            wrong.push(format!("{} pieces, not {}", reading.pieces.len(), self.pieces.len()));
        }
        for (i, expected) in self.pieces.iter().enumerate() {
            tally.rounds += expected.counts.len();
            let Some(piece) = reading.pieces.get(i) else { continue };
            compare_piece(expected, piece, &mut wrong);
            for (k, n) in expected.counts.iter().enumerate() {
                let round = piece.rounds.get(k);
                let right = round.is_some_and(|r| r.round.count() == *n);
                tally.right += usize::from(right);
                let line = round.map(|r| r.line);
                let flagged = !right && reading.problems.iter().any(|p| Some(p.line) == line);
                tally.flagged += usize::from(flagged);
            }
        }
        for extra in reading.pieces.iter().skip(self.pieces.len()) {
            let counts: Vec<u32> = extra.rounds.iter().map(|r| r.round.count()).collect();
            wrong.push(format!("piece \"{}\" too many: {counts:?}", extra.name));
        }
        for fact in &self.facts {
            if let Err(e) = self.fact(fact, &reading) {
                wrong.push(e);
            }
        }
        wrong
    }

    fn fact(&self, fact: &str, reading: &toppleknot::notation::Reading) -> Result<(), String> {
        let words: Vec<&str> = fact.split_whitespace().collect();
        let h = &reading.heading;
        let near = |what: &str, is: Option<f64>, want: &str| {
            let ok = match (is, want) {
                (None, "none" | "-") => true,
                (Some(v), w) => w.parse::<f64>().is_ok_and(|w| (v - w).abs() <= 0.005 * w.abs() + 1e-9),
                _ => false,
            };
            if ok { Ok(()) } else { Err(format!("{what} is {is:?}, not {want}")) }
        };
        match words.as_slice() {
            ["terms", t] if reading.terms.name() == *t => Ok(()),
            ["terms", t] => Err(format!("terms are {}, not {t}", reading.terms.name())),
            ["terms_known", t] => {
                let is = match reading.terms_known {
                    TermsKnown::Told => "told",
                    TermsKnown::Inferred => "inferred",
                    TermsKnown::Assumed => "assumed",
                };
                if is == *t { Ok(()) } else { Err(format!("terms are {is}, not {t}")) }
            }
            ["gauge", "none"] if h.gauge.is_none() => Ok(()),
            ["gauge", s, r] => {
                let g = h.gauge.as_ref().map(|g| g.value);
                near("stitches per 10 cm", g.and_then(|g| g.stitches_per_10cm), s)?;
                near("rounds per 10 cm", g.and_then(|g| g.rounds_per_10cm), r)
            }
            ["hook", v] => near("hook", h.hook_mm.as_ref().map(|s| s.value), v),
            ["yarn", v] => near("yarn category", h.yarn_category.as_ref().map(|s| f64::from(s.value)), v),
            ["metres_per_100g", v] => near("metres per 100 g", h.metres_per_100g.as_ref().map(|s| s.value), v),
            ["height", v] => near("height", h.height_mm.as_ref().map(|s| s.value), v),
            _ => Err(format!("\"{fact}\" is no fact about a text")),
        }
    }
}

fn compare_piece(expected: &Expected, piece: &Piece, wrong: &mut Vec<String>) {
    let name = &piece.name;
    if expected.name != "?" && name.to_lowercase() != expected.name {
        wrong.push(format!("piece \"{name}\" is not named \"{}\"", expected.name));
    }
    if piece.copies != expected.copies {
        wrong.push(format!("{name}: {} copies, not {}", piece.copies, expected.copies));
    }
    let counts: Vec<u32> = piece.rounds.iter().map(|r| r.round.count()).collect();
    if counts != expected.counts {
        wrong.push(format!("{name}: {counts:?}\n        expected {:?}", expected.counts));
    }
    let mut total_only = Vec::new();
    let mut guessed = Vec::new();
    let mut any = false;
    for fact in &expected.facts {
        let words: Vec<&str> = fact.split_whitespace().collect();
        let result = match words.as_slice() {
            ["total_only", rest @ ..] => numbers(rest).map(|n| total_only.extend(n)),
            ["guessed", rest @ ..] => numbers(rest).map(|n| guessed.extend(n)),
            ["known", "any"] => {
                any = true;
                Ok(())
            }
            words => piece_fact(words, piece),
        };
        if let Err(e) = result {
            wrong.push(format!("{name}: {e}"));
        }
    }
    if any {
        return;
    }
    for (i, r) in piece.rounds.iter().enumerate() {
        let want = if total_only.contains(&(i + 1)) {
            Known::TotalOnly
        } else if guessed.contains(&(i + 1)) {
            Known::Guessed
        } else {
            Known::WorkedOut
        };
        if r.known != want {
            wrong.push(format!("{name}: round {} is {}, not {}", i + 1, r.known.name(), want.name()));
        }
    }
}

/// Runs with equal neighbours joined: `2sc 8sc` and `10sc` are the same round.
fn merged(round: &Round) -> Vec<Run> {
    let mut out: Vec<Run> = Vec::new();
    for run in &round.runs {
        match out.last_mut() {
            Some(last) if last.stitch == run.stitch && last.colour == run.colour => last.times += run.times,
            _ => out.push(run.clone()),
        }
    }
    out
}

fn piece_fact(words: &[&str], piece: &Piece) -> Result<(), String> {
    let each = |numbers: Vec<usize>, what: &str, test: &dyn Fn(&toppleknot::rounds::Round) -> bool| {
        for n in numbers {
            let round = piece.rounds.get(n.wrapping_sub(1)).ok_or_else(|| format!("there is no round {n}"))?;
            if !test(&round.round) {
                return Err(format!("round {n} is not {what}: {}", round.round));
            }
        }
        Ok(())
    };
    let all_loops = |l: Loops| {
        move |r: &toppleknot::rounds::Round| {
            let made = |keep: bool| -> u32 {
                r.runs
                    .iter()
                    .filter(|x| !keep || x.stitch.loops == l)
                    .map(|x| u32::from(x.stitch.makes) * x.times)
                    .sum()
            };
            2 * made(true) > made(false)
        }
    };
    match words {
        ["start", rest @ ..] => {
            let is = match &piece.start {
                Start::MagicRing => "magic_ring".to_owned(),
                Start::ChainRing => "chain_ring".to_owned(),
                Start::ChainOval { chain } => format!("chain_oval {chain}"),
                Start::JoinedParts { parts, chain } => format!("joined {} chain {chain}", parts.join(" + ")),
                Start::Rim { part } => format!("rim {part}"),
            };
            let want = rest.join(" ");
            if is.eq_ignore_ascii_case(&want) { Ok(()) } else { Err(format!("starts {is}, not {want}")) }
        }
        ["finish", want] => {
            let is = match piece.finish {
                Finish::Gathered => "gathered",
                Finish::Open => "open",
                Finish::FoldedFlat => "folded_flat",
            };
            if is == *want { Ok(()) } else { Err(format!("ends {is}, not {want}")) }
        }
        ["kind", n @ .., kind] => {
            let k = match *kind {
                "sl" => StitchKind::Slip,
                "sc" => StitchKind::Single,
                "hdc" => StitchKind::HalfDouble,
                "dc" => StitchKind::Double,
                "tr" => StitchKind::Treble,
                _ => return Err(format!("\"{kind}\" is no stitch kind")),
            };
            each(numbers(n)?, kind, &|r| r.kind() == k)
        }
        ["back_loop", n @ ..] => each(numbers(n)?, "in back loops", &all_loops(Loops::Back)),
        ["front_loop", n @ ..] => each(numbers(n)?, "in front loops", &all_loops(Loops::Front)),
        ["colour", n, name @ ..] => {
            let name = name.join(" ");
            each(numbers(&[*n])?, &format!("in {name}"), &|r| r.colour().is_some_and(|c| **c == *name))
        }
        ["round", n, short @ ..] => {
            let n = n.trim_end_matches(':');
            let short = short.join(" ");
            let meant: Round = short.parse().map_err(|e| format!("{e}"))?;
            each(numbers(&[n])?, &format!("\"{short}\""), &|r| merged(r) == merged(&meant))
        }
        ["stuffing"] if piece.stuffing.is_some() => Ok(()),
        ["stuffing"] => Err("no stuffing note".to_owned()),
        ["worked_in", n] => {
            let n = numbers(&[*n])?;
            if piece.worked_in.iter().any(|(r, _)| n.contains(r)) {
                Ok(())
            } else {
                Err("nothing worked in there".to_owned())
            }
        }
        _ => Err(format!("\"{}\" is no fact about a piece", words.join(" "))),
    }
}
