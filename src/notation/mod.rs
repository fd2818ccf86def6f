mod reading;
mod diagnostic;
pub use diagnostic::*;
pub use reading::*;
pub fn read(text: &str, _o: &ReadOptions) -> Reading {
    let mut pieces = vec![];
    for line in text.lines() {
        let (name, rest) = line.split_once(':').unwrap_or(("", line));
        let c: Vec<u32> = rest.split_whitespace().filter_map(|w| w.parse().ok()).collect();
        if c.is_empty() {
            continue;
        }
        let rounds = crate::rounds::rounds_of_counts(&c).unwrap();
        let last = *c.last().unwrap();
        pieces.push(Piece {
            name: name.into(),
            copies: 1,
            start: if c[0] <= 12 { crate::rounds::Start::MagicRing } else { crate::rounds::Start::ChainRing },
            finish: if last <= 12 { crate::rounds::Finish::Gathered } else { crate::rounds::Finish::Open },
            finish_said: false,
            rounds: rounds
                .into_iter()
                .map(|round| ReadRound { label: String::new(), round, known: Known::TotalOnly, span: 0..0, line: 1 })
                .collect(),
            span: 0..0,
            stuffing: None,
            worked_in: vec![],
        });
    }
    Reading {
        pieces,
        problems: vec![],
        terms: Terms::Us,
        terms_known: TermsKnown::Assumed,
        heading: Heading::default(),
    }
}
