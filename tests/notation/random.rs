//! Random parts written in random styles are read back exactly; what the writer prints is read back as it
//! was; any text is read without a panic and in linear time.

use proptest::prelude::*;
use proptest::sample::select;
use toppleknot::notation::{Known, ReadOptions, Severity, Terms, WriteOptions, read, write};
use toppleknot::rounds::{Finish, Loops, Round, Run, Start, Stitch, StitchKind};

/// So many cases, no files left behind; `NOTATION_CASES` asks for more.
fn config(cases: u32) -> ProptestConfig {
    let cases = std::env::var("NOTATION_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(cases);
    ProptestConfig { cases, failure_persistence: None, max_shrink_iters: 4000, ..ProptestConfig::default() }
}

/// What is worked in one round, as a maker thinks of it.
#[derive(Clone, Debug)]
enum Op {
    /// Every stitch alike.
    All(Change),
    /// `pre` plain, then (`plain` and one change) so many times, then `post` plain.
    Groups {
        pre: u32,
        plain: u32,
        change: Change,
        times: u32,
        post: u32,
        change_first: bool,
    },
    Even,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Change {
    Inc,
    Dec,
}

impl Change {
    fn stitch(self) -> Stitch {
        match self {
            Change::Inc => Stitch::INC,
            Change::Dec => Stitch::DEC,
        }
    }
}

impl Op {
    fn round(&self, below: u32) -> Round {
        let mut runs: Vec<(Stitch, u32)> = Vec::new();
        match self {
            Op::Even => runs.push((Stitch::SC, below)),
            Op::All(c) => runs.push((c.stitch(), below / u32::from(c.stitch().uses))),
            Op::Groups { pre, plain, change, times, post, change_first } => {
                runs.push((Stitch::SC, *pre));
                for _ in 0..*times {
                    let pair = [(Stitch::SC, *plain), (change.stitch(), 1)];
                    if *change_first {
                        runs.extend([pair[1], pair[0]]);
                    } else {
                        runs.extend(pair);
                    }
                }
                runs.push((Stitch::SC, *post));
            }
        }
        let mut round = Round::default();
        for (stitch, times) in runs.into_iter().filter(|r| r.1 > 0) {
            match round.runs.last_mut() {
                Some(last) if last.stitch == stitch => last.times += times,
                _ => round.runs.push(Run::new(stitch, times)),
            }
        }
        round
    }
}

/// A round of the recipe: what kind, and three numbers in 0..1 that choose among what the count allows.
type Seed = (u8, f64, f64, bool);

fn op(seed: Seed, below: u32) -> Op {
    let (kind, a, b, first) = seed;
    let pick = |n: u32, x: f64| (f64::from(n) * x) as u32;
    match kind {
        0 | 1 => Op::Even,
        2 if below <= 30 => Op::All(Change::Inc),
        3 if below >= 10 && below.is_multiple_of(2) => Op::All(Change::Dec),
        _ => {
            let change = if kind.is_multiple_of(2) && below >= 12 || below > 60 { Change::Dec } else { Change::Inc };
            let uses = u32::from(change.stitch().uses);
            // Repeats that divide the round, or leave some stitches loose.
            let times = 2 + pick((below / (uses + 1)).min(9).saturating_sub(1), a);
            let plain = (below / times).saturating_sub(uses);
            if plain == 0 {
                return Op::Even;
            }
            let plain = if kind >= 8 { plain.min(1 + pick(plain, b)) } else { plain };
            let loose = below - times * (plain + uses);
            let pre = if kind >= 7 { pick(loose + 1, b) } else { 0 };
            Op::Groups { pre, plain, change, times, post: loose - pre, change_first: first }
        }
    }
}

/// How a maker writes.
#[derive(Clone, Debug)]
struct Style {
    label: usize,
    range: usize,
    bracket: usize,
    times: usize,
    number: usize,
    inc: usize,
    dec: usize,
    even: usize,
    total: usize,
    totals_every: usize,
    start: usize,
    words: usize,
    heading: usize,
    per_line: bool,
    notes: usize,
    break_lines: bool,
    capital: bool,
}

fn style() -> impl Strategy<Value = Style> {
    let a = (0usize..14, 0usize..6, 0usize..7, 0usize..13, 0usize..5, 0usize..9);
    let b = (0usize..8, 0usize..12, 0usize..13, 1usize..4, 0usize..13);
    let c = (0usize..4, 0usize..8, prop::bool::weighted(0.15), 0usize..6, prop::bool::weighted(0.1), any::<bool>());
    (a, b, c).prop_map(|(a, b, c)| Style {
        label: a.0,
        range: a.1,
        bracket: a.2,
        times: a.3,
        number: a.4,
        inc: a.5,
        dec: b.0,
        even: b.1,
        total: b.2,
        totals_every: b.3,
        start: b.4,
        words: c.0,
        heading: c.1,
        per_line: c.2,
        notes: c.3,
        break_lines: c.4,
        capital: c.5,
    })
}

impl Style {
    fn sc(&self) -> &'static str {
        ["sc", "dc", "single crochet", "sb"][self.words]
    }

    fn plain(&self, n: u32) -> String {
        let sc = self.sc();
        if n == 1 && self.number != 4 {
            return sc.to_owned();
        }
        match self.number {
            0 => format!("{n} {sc}"),
            1 => format!("{sc} {n}"),
            2 => format!("{n}{sc}"),
            3 => format!("{sc} in next {n} sts"),
            _ => format!("{n} {sc}"),
        }
    }

    fn change(&self, c: Change) -> String {
        let sc = self.sc();
        match c {
            Change::Inc => match self.inc {
                0 | 1 => "inc".to_owned(),
                2 => "1 inc".to_owned(),
                3 => format!("2 {sc} in next st"),
                4 => "increase".to_owned(),
                5 => format!("2 {sc} in next"),
                6 => format!("2{sc} in same st"),
                7 => format!("({sc} 2x in next)"),
                _ => "inc in next st".to_owned(),
            },
            Change::Dec => match self.dec {
                0 | 1 => "dec".to_owned(),
                2 => "1 dec".to_owned(),
                3 => format!("{sc}2tog").replace("single crochet2tog", "sc2tog"),
                4 => "invdec".to_owned(),
                5 => "decrease".to_owned(),
                6 => "2tog".to_owned(),
                _ => "inv dec".to_owned(),
            },
        }
    }

    fn all(&self, c: Change, n: u32) -> String {
        let sc = self.sc();
        match (c, self.times % 6) {
            (Change::Inc, 0) => format!("inc x {n}"),
            (Change::Inc, 1) => format!("2 {sc} in each st around"),
            (Change::Inc, 2) => format!("{n} inc"),
            (Change::Inc, 3) => "inc in each st".to_owned(),
            (Change::Inc, 4) => format!("(inc) {n} times"),
            (Change::Inc, _) => "inc around".to_owned(),
            (Change::Dec, 0) => format!("dec x {n}"),
            (Change::Dec, 1) => format!("{n} dec"),
            (Change::Dec, 2) => "dec around".to_owned(),
            (Change::Dec, 3) => format!("(dec) {n} times"),
            (Change::Dec, 4) => format!("dec*{n}"),
            (Change::Dec, _) => format!("dec {n}"),
        }
    }

    fn even(&self, n: u32) -> String {
        let sc = self.sc();
        match self.even {
            0 => format!("{sc} around"),
            1 => format!("{n} {sc}"),
            2 => format!("{sc} in each st"),
            3 => format!("{sc} in each st around"),
            4 => format!("{sc} in all {n} sts"),
            5 => format!("{sc} ea st around"),
            6 => format!("1 {sc} in every stitch"),
            7 => format!("{sc} even"),
            8 => format!("{sc} in each of next {n} sts"),
            9 => "work even".to_owned(),
            10 => format!("{sc} {n}"),
            _ => format!("{n} {sc} around"),
        }
    }

    fn group(&self, inner: &str, times: u32, alone: bool) -> String {
        let (open, close) =
            [("(", ")"), ("[", "]"), ("{", "}"), ("*", "*"), ("|", "|"), ("(", ")"), ("<", ">")][self.bracket];
        let body = format!("{open}{inner}{close}");
        match self.times {
            0 => format!("{body} x {times}"),
            1 => format!("{body} {times} times"),
            2 => format!("{body} x{times}"),
            3 if open != "*" => format!("{body} * {times}"),
            4 => format!("{body} rep {times} times"),
            5 if times == 2 => format!("{body} twice"),
            6 if alone => format!("{body} around"),
            7 => format!("{body} {times}x"),
            8 if alone && open == "*" => format!("*{inner}; rep from * around"),
            9 if alone && open == "*" => format!("*{inner}, rep from * to * around"),
            10 => format!("{body} repeat {times}X"),
            11 if !matches!(open, "*" | "|") => format!("{times} x {body}"),
            12 if times > 2 => format!("{body}; repeat {} more times", times - 1),
            _ => format!("{body} x {times}"),
        }
    }

    fn work(&self, op: &Op, below: u32) -> String {
        let text = match op {
            Op::Even => self.even(below),
            Op::All(c) => self.all(*c, below / u32::from(c.stitch().uses)),
            Op::Groups { pre, plain, change, times, post, change_first } => {
                let (p, c) = (self.plain(*plain), self.change(*change));
                let inner = if *change_first { format!("{c}, {p}") } else { format!("{p}, {c}") };
                let mut parts = Vec::new();
                if *pre > 0 {
                    parts.push(self.plain(*pre));
                }
                parts.push(self.group(&inner, *times, *pre == 0 && *post == 0));
                if *post > 0 {
                    parts.push(self.plain(*post));
                }
                parts.join(", ")
            }
        };
        if self.capital {
            let mut chars = text.chars();
            chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
        } else {
            text
        }
    }

    fn label(&self, from: u32, to: u32) -> String {
        let number = if to > from {
            match self.range {
                0 => format!("{from}-{to}"),
                1 => format!("{from} – {to}"),
                2 => format!("{from} to {to}"),
                3 => format!("{from}-{to}"),
                4 => format!("{from} - {to}"),
                _ => format!("{from}—{to}"),
            }
        } else {
            from.to_string()
        };
        let s = if to > from { "s" } else { "" };
        match self.label {
            0 => format!("Rnd{s} {number}: "),
            1 => format!("Round{s} {number}: "),
            2 => format!("R{number}: "),
            3 => format!("Rnd {number}. "),
            4 => format!("RND {number}: "),
            5 if self.range != 2 => format!("{number}. "),
            6 if self.range != 2 => format!("{number}) "),
            7 => format!("Row {number}: "),
            8 => format!("Rd {number}: "),
            9 if self.range != 2 => format!("{number}: "),
            10 if to == from => {
                let end = match from % 10 {
                    1 if from != 11 => "st",
                    2 if from != 12 => "nd",
                    3 if from != 13 => "rd",
                    _ => "th",
                };
                format!("{from}{end} round: ")
            }
            11 => format!("R{number} - "),
            12 => format!("- Rnd {number}: "),
            _ => format!("Round {number} "),
        }
    }

    fn total(&self, n: u32, index: usize) -> String {
        if !index.is_multiple_of(self.totals_every) {
            return String::new();
        }
        match self.total {
            0 | 1 => format!(" ({n})"),
            2 => format!(" [{n}]"),
            3 => format!(" {{{n}}}"),
            4 => format!(" = {n}"),
            5 => format!(" ({n} sts)"),
            6 => format!(" - {n} sts"),
            7 => format!(" <{n}>"),
            8 => format!(" ({n} st)"),
            9 => format!(". {n} sts."),
            10 => format!(" =({n})"),
            11 => format!(" ({n} {})", self.sc()),
            _ => String::new(),
        }
    }

    fn start(&self, n: u32) -> String {
        let sc = self.sc();
        match self.start {
            0 | 1 => format!("{n} {sc} in MR"),
            2 => format!("{n} {sc} in magic ring"),
            3 => format!("MR, {n} {sc}"),
            4 => format!("{sc} x {n} in an adjustable ring"),
            5 => format!("ch 2, {n} {sc} in 2nd ch from hook"),
            6 => format!("magic circle, {n}{sc}"),
            7 => format!("start with {n} {sc} in a magic ring"),
            8 => format!("{n} {sc} into magic loop"),
            9 => format!("mr {n}"),
            10 => format!("ch 2, {n} {sc} into first ch"),
            11 => format!("Make a magic ring, {n} {sc} into the ring"),
            _ => format!("ch 4, join with sl st to form a ring, {n} {sc} in ring"),
        }
    }

    fn heading(&self, copies: u32) -> String {
        if copies == 1 {
            return ["Head", "HEAD", "Head:", "**Head**", "## Head", "Head", "The head", "Head (in white)"]
                [self.heading]
                .to_owned();
        }
        match self.heading {
            0 => format!("Head (make {copies})"),
            1 => format!("HEAD x{copies}"),
            2 => format!("Head - make {copies}"),
            3 => format!("Head (x{copies})"),
            4 => format!("Head ({copies} pieces)"),
            5 => format!("Head\nMake {copies}."),
            6 => format!("Head x {copies}"),
            _ => format!("{copies}x Head"),
        }
    }

    fn note(&self, index: usize) -> &'static str {
        if self.notes > 3 || !(index + self.notes).is_multiple_of(5) {
            return "";
        }
        [
            "Place the eyes between rounds 4 and 5, 6 stitches apart.\n",
            "\nAdvertisement\n\n",
            "Stuff as you go.\n",
            "(photo 3)\n",
        ][self.notes]
    }
}

/// A part in a style: the text and the rounds it must give.
fn written(seeds: &[Seed], ring: u32, copies: u32, style: &Style) -> (String, Vec<Round>) {
    let mut rounds = vec![Round::of([Run::new(Stitch::SC, ring)])];
    let mut text = format!("{}\n", style.heading(copies));
    let first = format!("{}{}{}", style.label(1, 1), style.start(ring), style.total(ring, 0));
    text += &first;
    text.push('\n');
    let mut below = ring;
    let mut label = 2;
    let mut i = 0;
    let mut open_line = false;
    while i < seeds.len() {
        let o = op(seeds[i], below);
        let mut times = 1;
        while matches!(o, Op::Even) && i + times < seeds.len() && matches!(op(seeds[i + times], below), Op::Even) {
            times += 1;
        }
        let round = o.round(below);
        let n = round.count();
        let to = label + u32::try_from(times).unwrap_or(1) - 1;
        let mut line = format!("{}{}{}", style.label(label, to), style.work(&o, below), style.total(n, i));
        if style.break_lines && line.len() > 24 && line.contains(", ") {
            line = line.replacen(", ", ",\n", 1);
        }
        if style.per_line && open_line && !text.ends_with('.') {
            text.pop();
            text.push_str(". ");
        }
        text += &line;
        text.push('\n');
        open_line = true;
        if !style.per_line {
            text += style.note(i);
        }
        for _ in 0..times {
            rounds.push(round.clone());
        }
        below = n;
        label = to + 1;
        i += times;
    }
    (text, rounds)
}

proptest! {
    #![proptest_config(config(3000))]

    /// The main promise: random parts in random styles come back stitch for stitch, and nothing alarms.
    #[test]
    fn random_parts_in_random_styles_are_read_back(
        seeds in prop::collection::vec((0u8..11, 0.0f64..1.0, 0.0f64..1.0, any::<bool>()), 1..14),
        ring in 5u32..9,
        copies in 1u32..4,
        style in style(),
    ) {
        let (text, rounds) = written(&seeds, ring, copies, &style);
        let reading = read(&text, &ReadOptions::default());
        let loud: Vec<String> = reading.problems.iter().filter(|p| p.severity > Severity::Note)
            .map(|p| format!("{}: {}", p.line, p.message)).collect();
        prop_assert!(loud.is_empty(), "{loud:?}\n{text}");
        prop_assert_eq!(reading.pieces.len(), 1, "{}", text);
        let piece = &reading.pieces[0];
        prop_assert_eq!(piece.copies, copies, "{}", text);
        let read_back: Vec<String> = piece.rounds.iter().map(|r| r.round.to_string()).collect();
        let meant: Vec<String> = rounds.iter().map(Round::to_string).collect();
        prop_assert_eq!(read_back, meant, "\n{}", text);
        prop_assert!(piece.rounds.iter().all(|r| r.known == Known::WorkedOut), "{text}");
    }
}

fn stitch() -> impl Strategy<Value = Stitch> {
    let kinds =
        vec![StitchKind::Single, StitchKind::Single, StitchKind::HalfDouble, StitchKind::Double, StitchKind::Treble];
    let shapes = vec![(1, 1), (1, 1), (1, 1), (1, 2), (1, 2), (2, 1), (2, 1), (1, 3), (1, 4), (3, 1)];
    let loops = vec![Loops::Both, Loops::Both, Loops::Both, Loops::Back, Loops::Front];
    (select(kinds), select(shapes), select(loops)).prop_map(|(kind, (uses, makes), loops)| Stitch {
        kind,
        loops,
        uses,
        makes,
    })
}

fn colour() -> impl Strategy<Value = Option<std::sync::Arc<str>>> {
    select(vec![None, None, None, None, Some("white"), Some("dark blue"), Some("red")]).prop_map(|c| c.map(Into::into))
}

/// A stitch, how often, in which colour.
type RunSeed = (Stitch, u32, Option<std::sync::Arc<str>>);

/// Rounds that lie on each other, each of random runs.
fn stacked(seeds: Vec<Vec<RunSeed>>, ring: u32) -> Vec<Round> {
    let mut rounds = vec![Round::of([Run::new(Stitch::SC, ring)])];
    for seed in seeds {
        let below = rounds.last().map_or(0, Round::count);
        let mut left = below;
        let mut round = Round::default();
        let mut add = |stitch: Stitch, times: u32, colour: Option<std::sync::Arc<str>>| match round.runs.last_mut() {
            _ if times == 0 => {}
            Some(last) if last.stitch == stitch && last.colour == colour => last.times += times,
            _ => round.runs.push(Run { stitch, times, colour }),
        };
        for (stitch, times, colour) in seed {
            let times = times.min(left / u32::from(stitch.uses));
            // Keep the part to a size that a toy has.
            if below * u32::from(stitch.makes) > 300 * u32::from(stitch.uses) {
                continue;
            }
            add(stitch, times, colour);
            left -= times * u32::from(stitch.uses);
        }
        add(Stitch::SC, left, None);
        rounds.push(round);
    }
    rounds
}

proptest! {
    #![proptest_config(config(2000))]

    /// What the writer prints is read back as it was: rounds stitch for stitch, colours, copies, ends.
    #[test]
    fn what_is_written_is_read_back(
        seeds in prop::collection::vec(prop::collection::vec((stitch(), 1u32..8, colour()), 0..6), 0..10),
        ring in 4u32..12,
        copies in 1u32..5,
        uk: bool,
        finish in select(vec![Finish::Gathered, Finish::Open, Finish::FoldedFlat]),
        start in select(vec![
            Start::MagicRing,
            Start::ChainRing,
            Start::ChainOval { chain: 5 },
            Start::Rim { part: "Head".to_owned() },
            Start::JoinedParts { parts: vec!["Left leg".to_owned(), "Right leg".to_owned()], chain: 3 },
            Start::JoinedParts { parts: vec!["Leg".to_owned(), "Leg".to_owned()], chain: 0 },
        ]),
    ) {
        let rounds = stacked(seeds, if start == Start::ChainRing { ring + 6 } else { ring });
        let terms = if uk { Terms::Uk } else { Terms::Us };
        let text = write("Fish body", copies, &start, finish, &rounds, WriteOptions { terms, say_terms: true });
        let reading = read(&text, &ReadOptions::default());
        prop_assert_eq!(reading.pieces.len(), 1, "{}", text);
        let piece = &reading.pieces[0];
        let read_back: Vec<String> = piece.rounds.iter().map(|r| r.round.to_string()).collect();
        let meant: Vec<String> = rounds.iter().map(Round::to_string).collect();
        prop_assert_eq!(read_back, meant, "\n{}", text);
        prop_assert_eq!((&piece.name[..], piece.copies), ("Fish body", copies), "{}", text);
        prop_assert_eq!((&piece.start, piece.finish), (&start, finish), "{}", text);
        prop_assert!(piece.finish_said);
        prop_assert!(piece.rounds.iter().all(|r| r.known == Known::WorkedOut), "{:?}\n{text}", reading.problems);
    }

    /// Several pieces one after another, the terms said once: two legs and the body that joins them.
    #[test]
    fn pieces_written_together_are_read_back(ring in 4u32..12, chain in 0u32..6, uk: bool) {
        let rim = 2 * ring;
        let body = 2 * (rim + chain);
        let leg = Start::MagicRing;
        let both = Start::JoinedParts { parts: vec!["Leg".to_owned(), "Leg".to_owned()], chain };
        let of = |counts: &[u32]| toppleknot::rounds::rounds_of_counts(counts).map_err(|e| e.to_string());
        let pieces = [
            ("Leg", 2, &leg, Finish::Open, of(&[ring, rim, rim])),
            ("Body", 1, &both, Finish::Gathered, of(&[body, body, ring])),
            ("Tail", 1, &leg, Finish::Open, of(&[ring, rim, rim])),
        ];
        let terms = if uk { Terms::Uk } else { Terms::Us };
        let mut text = String::new();
        for (name, copies, start, finish, rounds) in &pieces {
            let rounds = rounds.as_ref().map_err(|e| TestCaseError::fail(e.clone()))?;
            let options = WriteOptions { terms, say_terms: text.is_empty() };
            text.push_str(&write(name, *copies, start, *finish, rounds, options));
            text.push('\n');
        }
        prop_assert_eq!(text.matches(" terms.").count(), 1, "{}", text);
        let reading = read(&text, &ReadOptions::default());
        prop_assert_eq!(reading.terms, terms);
        prop_assert_eq!(reading.pieces.len(), pieces.len(), "{}", text);
        for (is, (name, copies, start, finish, rounds)) in reading.pieces.iter().zip(&pieces) {
            let rounds = rounds.as_ref().map_err(|e| TestCaseError::fail(e.clone()))?;
            let read_back: Vec<Round> = is.rounds.iter().map(|r| r.round.clone()).collect();
            prop_assert_eq!(read_back, rounds.clone(), "{}", text);
            prop_assert_eq!((&is.name[..], is.copies, &is.start, is.finish), (*name, *copies, *start, *finish));
        }
    }

    #[test]
    fn any_text_is_read(text in "\\PC{0,200}") {
        let _ = read(&text, &ReadOptions::default());
    }

    /// Words of patterns in any order: no panic, and every place lies in the text.
    #[test]
    fn any_words_are_read(words in prop::collection::vec(select(WORDS.to_vec()), 0..80)) {
        let text = words.concat();
        let reading = read(&text, &ReadOptions::default());
        for p in &reading.problems {
            prop_assert!(text.get(p.span.clone()).is_some(), "{:?} in {text:?}", p.span);
            prop_assert!(p.line >= 1 && p.column >= 1 && p.length >= 1);
        }
        for piece in &reading.pieces {
            prop_assert!(text.get(piece.span.clone()).is_some());
            prop_assert!(piece.copies >= 1 && !piece.rounds.is_empty());
            for round in &piece.rounds {
                prop_assert!(text.get(round.span.clone()).is_some());
            }
        }
    }
}

const WORDS: [&str; 84] = [
    "sc ",
    "inc ",
    "dec ",
    "hdc ",
    "dc ",
    "sl st ",
    "ch ",
    "MR ",
    "6 ",
    "12",
    "18 ",
    "2",
    " x ",
    "*",
    "(",
    ")",
    "[",
    "]",
    "|",
    ",",
    ". ",
    ":",
    ";",
    "=",
    "-",
    "–",
    "\n",
    "\n",
    "\nRnd 2: ",
    "\nRnds 3-5: ",
    "R1: ",
    "\n3. ",
    "\nHead\n",
    "(make 2)",
    "around ",
    "in each st ",
    "in next ",
    "st ",
    "sts ",
    "to end ",
    "rep ",
    "from * ",
    "times ",
    "twice ",
    "more ",
    "evenly ",
    "2tog ",
    "together ",
    "with ",
    "the arm ",
    "leg ",
    "change to ",
    "white ",
    "BLO ",
    "front loops of round ",
    "skip ",
    "until ",
    "it measures 8 cm ",
    "repeat round ",
    "same as ",
    "the first ",
    "up to ",
    "stuff ",
    "close ",
    "fold ",
    "place eyes ",
    "l",
    "O",
    "5C ",
    "8 4 ",
    "½ ",
    "\t",
    "é",
    "Λ ",
    "V ",
    "W ",
    "×",
    "/",
    "99999999999 ",
    "Gauge: ",
    "hook 2,5 mm ",
    "a ",
    "\r\n",
    "“",
];

/// Seconds that this thread was worked on, where the system tells: another program's work is none of the reader's.
fn worked_s() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    told.split_whitespace().next()?.parse::<f64>().ok().map(|ns| ns / 1e9)
}

/// Twice the text takes about twice the time: a text of one kind of trouble, at two lengths. The bound is
/// generous; a quadratic reader misses it by far.
#[test]
fn time_grows_with_the_length() {
    for unit in [
        "(",
        "* ",
        "(sc, ",
        "sc ",
        "6 ",
        "foo ",
        "Rnd 1: ",
        "1. ",
        "x",
        "| ",
        "R1-400: sc in MR 5000 (5000)\n",
        "5",
        "repeat round 1\n",
        "\n",
        "l",
        "½",
    ] {
        let time = |n: usize| {
            let text = unit.repeat(n / unit.len());
            (0..3)
                .map(|_| {
                    let (begin, worked) = (std::time::Instant::now(), worked_s());
                    let _ = read(&text, &ReadOptions::default());
                    let elapsed = begin.elapsed().as_secs_f64();
                    worked_s().zip(worked).map_or(elapsed, |(to, from)| to - from)
                })
                .fold(f64::MAX, f64::min)
        };
        let (short, long) = (time(20_000), time(160_000));
        assert!(long < 0.05 + 30.0 * short, "{unit:?}: {short} s for 20 kB, {long} s for 160 kB");
    }
}

/// Wrong without saying so is the one thing that must not happen: one printed total, repeat count or stitch
/// number of a random part is changed, and the reader must say so at that line or the next. A change can by
/// chance give another round that is right in itself, so a few in a hundred may pass unsaid.
#[test]
fn a_changed_number_is_said() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let seeds = prop::collection::vec((0u8..11, 0.0f64..1.0, 0.0f64..1.0, any::<bool>()), 3..14);
    let all = (seeds, 5u32..9, style(), 0usize..1000, prop::sample::select(vec![-3i64, -2, -1, 1, 2, 3, 6]));
    let mut runner = TestRunner::deterministic();
    let (mut tried, mut said, mut counts_right, mut rounds_all) = (0u32, 0u32, 0u32, 0u32);
    let mut unsaid = Vec::new();
    while tried < 3000 {
        let Ok(tree) = all.new_tree(&mut runner) else { continue };
        let (seeds, ring, mut style, which, by) = tree.current();
        // Totals on every round, one round a line: the common page.
        (style.totals_every, style.per_line, style.break_lines) = (1, false, false);
        if style.total > 11 {
            style.total = 0;
        }
        let (text, rounds) = written(&seeds, ring, 1, &style);
        // A number of a later round, behind its label.
        let mut places: Vec<(usize, usize, usize)> = Vec::new();
        let mut start = 0;
        for (number, line) in text.split_inclusive('\n').enumerate() {
            let is_round = number > 1
                && !style.note(0).contains(line.trim())
                && !line.starts_with("Place")
                && !line.starts_with("Stuff");
            let from = line.find(|c: char| c.is_ascii_digit()).map_or(0, |d| {
                d + line[d..].find(|c: char| !(c.is_ascii_digit() || "-–— to".contains(c))).unwrap_or(0)
            });
            if is_round && !line.contains("photo") && !line.contains("2tog") {
                let mut at = from;
                while let Some(d) = line[at..].find(|c: char| c.is_ascii_digit()) {
                    let len = line[at + d..].chars().take_while(char::is_ascii_digit).count();
                    places.push((start + at + d, len, number + 1));
                    at += d + len;
                }
            }
            start += line.len();
        }
        let Some((at, len, line)) = places.get(which % places.len().max(1)).copied() else { continue };
        let old: i64 = text[at..at + len].parse().unwrap_or(0);
        let new = old + by;
        if new < 1 {
            continue;
        }
        tried += 1;
        let changed = format!("{}{new}{}", &text[..at], &text[at + len..]);
        let reading = read(&changed, &ReadOptions::default());
        let before = read(&text, &ReadOptions::default());
        let new_here = |p: &toppleknot::notation::Problem| {
            (p.line == line || p.line == line + 1)
                && !before.problems.iter().any(|b| b.line == p.line && b.message == p.message)
        };
        let found = reading.problems.iter().any(new_here);
        said += u32::from(found);
        if !found && unsaid.len() < 12 {
            let near: Vec<&str> = changed.lines().skip(line - 2).take(3).collect();
            unsaid.push(format!("{old} -> {new}: {near:?}"));
        }
        let counts: Vec<u32> = reading.pieces.iter().flat_map(|p| p.rounds.iter()).map(|r| r.round.count()).collect();
        rounds_all += u32::try_from(rounds.len()).unwrap_or(0);
        counts_right +=
            u32::try_from(rounds.iter().zip(&counts).filter(|(a, b)| a.count() == **b).count()).unwrap_or(0);
    }
    println!(
        "{tried} changed numbers, {said} said; {counts_right} of {rounds_all} counts as meant\n{}",
        unsaid.join("\n")
    );
    assert!(said * 100 >= tried * 97, "{said} of {tried} said:\n{}", unsaid.join("\n"));
}
