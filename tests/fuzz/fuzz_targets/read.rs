//! Any bytes are read without a panic, every place lies in the text, and what was read can be written and
//! read again.
#![no_main]

use libfuzzer_sys::fuzz_target;
use toppleknot::notation::{ReadOptions, Terms, WriteOptions, read, write_piece};

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    for terms in [None, Some(Terms::Uk)] {
        let reading = read(&text, &ReadOptions { terms });
        for p in &reading.problems {
            assert!(text.get(p.span.clone()).is_some());
            assert!(p.line >= 1 && p.column >= 1 && p.length >= 1);
        }
        for piece in &reading.pieces {
            assert!(text.get(piece.span.clone()).is_some());
            assert!(piece.copies >= 1 && !piece.rounds.is_empty());
            if piece.rounds.len() < 200 {
                let written = write_piece(piece, WriteOptions { terms: Terms::Us, say_terms: true });
                let _ = read(&written, &ReadOptions { terms: Some(Terms::Us) });
            }
        }
    }
});
