//! The letters of paper: the bundled fonts, and words turned into placed glyphs. Which font has a letter, the order
//! of right-to-left words (Unicode Standard Annex 9) and joined letters are settled here once, so that every format
//! shows the same line.

use std::ops::Range;
use std::sync::LazyLock;

use rustybuzz::ttf_parser::GlyphId;
use rustybuzz::{Direction, UnicodeBuffer};

/// The weight of letters. Scripts other than Latin have the regular weight only.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Weight {
    /// For reading.
    #[default]
    Regular,
    /// For headings.
    Strong,
}

/// One of the bundled fonts, by its place in [`FONTS`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FontId(pub usize);

/// A bundled font.
#[derive(Clone, Copy, Debug)]
pub struct Font {
    /// Its family, as programs that look it up by name know it.
    pub family: &'static str,
    /// Its name in PDF.
    pub postscript: &'static str,
    /// Its weight on the scale of CSS.
    pub css_weight: u32,
    /// Its file.
    pub data: &'static [u8],
}

macro_rules! font {
    ($family:literal, $postscript:literal, $weight:literal, $file:literal) => {
        Font {
            family: $family,
            postscript: $postscript,
            css_weight: $weight,
            data: include_bytes!(concat!("../../../assets/fonts/", $file)),
        }
    };
}

/// The bundled fonts: Cabin (P. Impallari and I. Marini) for Latin letters, Noto (the Noto authors) for what Cabin
/// lacks of Latin, Greek and Cyrillic, and for Hebrew and Arabic; all under the SIL Open Font License.
pub const FONTS: [Font; 5] = [
    font!("Cabin", "Cabin-Regular", 400, "Cabin-Regular.otf"),
    font!("Cabin", "Cabin-SemiBold", 600, "Cabin-SemiBold.otf"),
    font!("Noto Sans", "NotoSans-Regular", 400, "NotoSans-Regular.ttf"),
    font!("Noto Sans Hebrew", "NotoSansHebrew-Regular", 400, "NotoSansHebrew-Regular.ttf"),
    font!("Noto Sans Arabic", "NotoSansArabic-Regular", 400, "NotoSansArabic-Regular.ttf"),
];

static FACES: LazyLock<Vec<Option<rustybuzz::Face<'static>>>> =
    LazyLock::new(|| FONTS.iter().map(|f| rustybuzz::Face::from_slice(f.data, 0)).collect());

/// A bundled font ready to be asked for outlines and measures.
pub fn face(font: FontId) -> Option<&'static rustybuzz::Face<'static>> {
    FACES.get(font.0)?.as_ref()
}

/// A glyph in a line. Lengths are in ems (sizes of the letters).
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Its font.
    pub font: FontId,
    /// Its number in the font; 0 is the box that stands for letters no font has.
    pub id: u16,
    /// From the start of the line to its origin.
    pub x_em: f64,
    /// Above the base line.
    pub y_em: f64,
    /// How far the pen goes on.
    pub advance_em: f64,
    /// The bytes of the text it shows; empty for the second glyph of the same letters.
    pub text: Range<usize>,
}

/// A line of words as placed glyphs, from left to right.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetLine {
    /// The text that was set: one line, no control characters.
    pub text: String,
    /// Its glyphs.
    pub glyphs: Vec<Glyph>,
    /// Its width in ems.
    pub width_em: f64,
}

/// The font whose box stands for letters that no font has (Chinese, Japanese, Korean, Indic and others).
const BOXES: FontId = FontId(2);

/// The fonts that are tried for a weight, in order.
fn fonts_for(weight: Weight) -> [FontId; 4] {
    let first = match weight {
        Weight::Regular => FontId(0),
        Weight::Strong => FontId(1),
    };
    [first, FontId(2), FontId(3), FontId(4)]
}

fn has(font: FontId, c: char) -> bool {
    face(font).is_some_and(|f| f.glyph_index(c).is_some())
}

/// Splits a text by the font that has its letters. Marks and blanks stay with what they follow.
fn by_font(text: &str, weight: Weight) -> Vec<(FontId, Range<usize>)> {
    let fonts = fonts_for(weight);
    let mut runs: Vec<(FontId, Range<usize>)> = Vec::new();
    for (at, c) in text.char_indices() {
        let end = at + c.len_utf8();
        let stays = |font: FontId| has(font, c) && !c.is_alphanumeric();
        match runs.last_mut() {
            Some((font, range)) if stays(*font) || is_joiner(c) => {
                range.end = end;
                continue;
            }
            _ => {}
        }
        let font = fonts.into_iter().find(|f| has(*f, c)).unwrap_or(BOXES);
        match runs.last_mut() {
            Some((last, range)) if *last == font => range.end = end,
            _ => runs.push((font, at..end)),
        }
    }
    runs
}

fn is_joiner(c: char) -> bool {
    matches!(c, '\u{200C}' | '\u{200D}' | '\u{FE00}'..='\u{FE0F}')
}

/// The text as it is set: control characters and line ends become blanks.
fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') { ' ' } else { c }).collect()
}

/// Turns a text into placed glyphs.
pub fn set(text: &str, weight: Weight) -> SetLine {
    let text = one_line(text);
    let mut line = SetLine { text: text.clone(), ..SetLine::default() };
    let bidi = unicode_bidi::BidiInfo::new(&text, None);
    for paragraph in &bidi.paragraphs {
        let (levels, runs) = bidi.visual_runs(paragraph, paragraph.range.clone());
        for run in runs {
            let right_to_left = levels.get(run.start).is_some_and(unicode_bidi::Level::is_rtl);
            let mut pieces = by_font(&text[run.clone()], weight);
            if right_to_left {
                pieces.reverse();
            }
            for (font, range) in pieces {
                add(&mut line, font, run.start + range.start..run.start + range.end, right_to_left);
            }
        }
    }
    line
}

fn add(line: &mut SetLine, font: FontId, range: Range<usize>, right_to_left: bool) {
    let Some(face) = face(font) else { return };
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(&line.text[range.clone()]);
    buffer.guess_segment_properties();
    // Marks keep their own letters apart from what they stand on.
    buffer.set_cluster_level(rustybuzz::BufferClusterLevel::MonotoneCharacters);
    buffer.set_direction(if right_to_left { Direction::RightToLeft } else { Direction::LeftToRight });
    let shaped = rustybuzz::shape(face, &[], buffer);
    let em = f64::from(face.units_per_em().max(1));
    // A glyph shows the bytes from its own cluster to the next one, whichever way the line runs.
    let mut starts: Vec<usize> = shaped.glyph_infos().iter().map(|g| g.cluster as usize).collect();
    starts.sort_unstable();
    starts.dedup();
    let end_of = |start: usize| {
        let next = starts.partition_point(|s| *s <= start);
        starts.get(next).copied().unwrap_or(range.len())
    };
    let mut told = usize::MAX;
    for (info, place) in shaped.glyph_infos().iter().zip(shaped.glyph_positions()) {
        let start = info.cluster as usize;
        let text = range.start + start..range.start + if told == start { start } else { end_of(start) };
        told = start;
        line.glyphs.push(Glyph {
            font,
            id: u16::try_from(info.glyph_id).unwrap_or(0),
            x_em: line.width_em + f64::from(place.x_offset) / em,
            y_em: f64::from(place.y_offset) / em,
            advance_em: f64::from(place.x_advance) / em,
            text,
        });
        line.width_em += f64::from(place.x_advance) / em;
    }
}

/// Whether every letter of a text has a glyph in some bundled font.
pub fn can_set(text: &str) -> bool {
    set(text, Weight::Regular).glyphs.iter().all(|g| g.id != 0)
}

/// The width of a font's glyph in ems.
pub fn advance_em(font: FontId, glyph: u16) -> f64 {
    face(font).map_or(0.0, |f| {
        f64::from(f.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)) / f64::from(f.units_per_em().max(1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_and_other_scripts_have_glyphs() {
        for text in
            ["Żółta łódka", "Ärger, naïveté, señor", "Ёжик", "Καΐκι", "דובון", "دُبّ صغير", "20 × 5 ± 1 °, ½ · “a” – b…"]
        {
            assert!(can_set(text), "{text}");
        }
        // No bundled font has these (nor mathematical signs such as ≈): a box each, never nothing.
        let line = set("玩具", Weight::Regular);
        assert_eq!(line.glyphs.len(), 2);
        assert!(line.width_em > 0.5);
    }

    #[test]
    fn right_to_left_words_run_backwards() {
        // Dalet comes first in the word, so it is the rightmost glyph.
        let line = set("דב", Weight::Regular);
        assert_eq!(line.glyphs.iter().map(|g| g.text.start).collect::<Vec<_>>(), [2, 0]);
        let mixed = set("a דב b", Weight::Strong);
        let order: Vec<usize> = mixed.glyphs.iter().map(|g| g.text.start).collect();
        assert_eq!(order, [0, 1, 4, 2, 6, 7]);
    }

    #[test]
    fn every_byte_is_shown_by_one_glyph() {
        for text in ["office fit", "e\u{301}a\u{308}", "سلام لا", "a\tb\nc"] {
            let line = set(text, Weight::Regular);
            let mut bytes: Vec<usize> = line.glyphs.iter().flat_map(|g| g.text.clone()).collect();
            bytes.sort_unstable();
            assert_eq!(bytes, (0..text.len()).collect::<Vec<_>>(), "{text:?}");
        }
    }
}
