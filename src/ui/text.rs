//! What text fields edit.

use std::any::TypeId;
use std::ops::Range;

use egui::TextBuffer;
use egui::text::{CCursor, CharIndex};

/// A text in a field. Of letters from right to left, and of some that no font has, the toolkit counts more than there
/// are, so its cursor may stand behind the end of the text: there it deletes nothing, where a `String` would panic.
pub struct Text<'t>(pub &'t mut String);

impl Text<'_> {
    fn within(&self, at: CharIndex) -> CharIndex {
        CharIndex(at.0.min(self.0.chars().count()))
    }

    fn cursor(&self, at: CCursor) -> CCursor {
        CCursor { index: self.within(at.index), ..at }
    }
}

impl TextBuffer for Text<'_> {
    fn is_mutable(&self) -> bool {
        true
    }

    fn as_str(&self) -> &str {
        self.0
    }

    fn insert_text(&mut self, text: &str, at: CharIndex) -> usize {
        let at = self.within(at);
        self.0.insert_text(text, at)
    }

    fn delete_char_range(&mut self, range: Range<CharIndex>) {
        let (start, end) = (self.within(range.start), self.within(range.end));
        if start < end {
            self.0.delete_char_range(start..end);
        }
    }

    fn delete_previous_char(&mut self, at: CCursor) -> CCursor {
        let at = self.cursor(at);
        self.0.delete_previous_char(at)
    }

    fn delete_next_char(&mut self, at: CCursor) -> CCursor {
        let at = self.cursor(at);
        self.0.delete_next_char(at)
    }

    fn delete_previous_word(&mut self, at: CCursor) -> CCursor {
        let at = self.cursor(at);
        self.0.delete_previous_word(at)
    }

    fn delete_next_word(&mut self, at: CCursor) -> CCursor {
        let at = self.cursor(at);
        self.0.delete_next_word(at)
    }

    fn type_id(&self) -> TypeId {
        TypeId::of::<Text<'static>>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_behind_the_end_deletes_what_there_is() {
        let mut text = "قطة".to_owned();
        let mut field = Text(&mut text);
        field.delete_char_range(CharIndex(7)..CharIndex(3));
        field.delete_char_range(CharIndex(2)..CharIndex(9));
        assert_eq!(field.as_str(), "قط");
        field.insert_text("a", CharIndex(9));
        assert_eq!(text, "قطa");
    }
}
