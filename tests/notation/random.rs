//! Any text is read without a panic.

use proptest::prelude::*;
use toppleknot::notation::{ReadOptions, read};

proptest! {
    #[test]
    fn any_text_is_read(text in "\\PC{0,200}") {
        let _ = read(&text, &ReadOptions::default());
    }
}
