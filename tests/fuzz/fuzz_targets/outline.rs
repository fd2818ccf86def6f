//! Any bytes are a half outline or an error; no panic, and every outline is sound.
#![no_main]

use libfuzzer_sys::fuzz_target;
use toppleknot::advise::outline::{LARGEST_MM, read_svg_outline};

fuzz_target!(|data: &[u8]| {
    if let Ok(outline) = read_svg_outline(data) {
        let points = outline.half.points();
        assert!(points.len() >= 2);
        assert!(points.iter().all(|p| p.x >= 0.0 && p.x <= LARGEST_MM && p.y.is_finite()));
    }
});
