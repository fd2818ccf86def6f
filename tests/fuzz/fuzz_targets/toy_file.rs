//! Any bytes are a toy's file or an error that says something; what opens is saved as it was read, and a small toy
//! that opens has a report.
#![no_main]

use libfuzzer_sys::fuzz_target;
use toppleknot::document::{TextScene, open_text, parse, to_text};
use toppleknot::measure::derive;

/// Rounds of a toy that is worked out here; larger ones would only make every try slow.
const MOST_ROUNDS: usize = 60;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    if let Err(error) = parse(&text, "toy") {
        assert!(!error.to_string().is_empty());
    }
    let Ok(opened) = open_text(&text, "toy", true, &TextScene::default()) else { return };
    let saved = to_text(&opened.document);
    let again = parse(&saved, "toy").expect("what was saved opens");
    assert_eq!(saved, to_text(&again), "saved a second time it reads otherwise");
    let pieces = &opened.document.toy.pieces;
    let copies: u32 = pieces.iter().map(|p| p.placement.copies.number()).sum();
    if pieces.iter().map(|p| p.part.rounds.len()).sum::<usize>() <= MOST_ROUNDS && copies <= 8 {
        let derived = derive(&opened.document.toy);
        assert_eq!(derived.made.shapes.len(), pieces.len());
    }
});
