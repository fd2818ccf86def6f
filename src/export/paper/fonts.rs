//! Fonts inside PDF: the glyphs that a document uses and no others, with the letters they stand for.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use subsetter::GlyphRemapper;

use super::pdf::packed;
use crate::view::sheet::letters::{FONTS, FontId, SetLine, advance_em, face};

/// The glyphs of one font that a document uses.
#[derive(Default)]
pub(super) struct Used {
    remapper: GlyphRemapper,
    /// The letters each glyph stands for, by its new number.
    letters: BTreeMap<u16, String>,
    /// Old number by new number.
    glyphs: BTreeMap<u16, u16>,
}

/// The fonts of a document, in the order of the bundled ones.
#[derive(Default)]
pub(super) struct UsedFonts(pub BTreeMap<FontId, Used>);

const IDENTITY: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
const CMAP_NAME: Name = Name(b"Letters");

impl UsedFonts {
    /// The number under which a glyph of a line is written.
    pub fn number(&mut self, line: &SetLine, glyph: usize) -> u16 {
        let Some(glyph) = line.glyphs.get(glyph) else { return 0 };
        let used = self.0.entry(glyph.font).or_default();
        let new = used.remapper.remap(glyph.id);
        used.glyphs.insert(new, glyph.id);
        let letters = line.text.get(glyph.text.clone()).unwrap_or("");
        // A glyph that stands for different letters at different places keeps the first; marks of the text itself
        // tell the rest.
        if !letters.is_empty() {
            used.letters.entry(new).or_insert_with(|| letters.to_owned());
        }
        new
    }

    /// Whether a glyph by its new number stands for these letters throughout. One that shares the letters of its
    /// neighbour stands for none itself.
    pub fn stands_for(&self, font: FontId, number: u16, letters: &str) -> bool {
        self.0.get(&font).and_then(|u| u.letters.get(&number)).is_some_and(|known| known == letters)
    }
}

/// The name by which a page's resources know a font.
pub(super) fn resource_name(font: FontId) -> String {
    format!("F{}", font.0)
}

/// Writes a font; `first` and the four numbers after it are its own.
pub(super) fn write(pdf: &mut Pdf, first: Ref, id: FontId, used: &Used) {
    let (Some(font), Some(face)) = (FONTS.get(id.0), face(id)) else { return };
    let number = |n: i32| Ref::new(first.get() + n);
    let (cid, descriptor, cmap, data) = (number(1), number(2), number(3), number(4));
    let subset = subsetter::subset(font.data, 0, &used.remapper).unwrap_or_else(|_| font.data.to_vec());
    let name = format!("{}+{}", tag(used), font.postscript);
    let is_cff = font.data.starts_with(b"OTTO");
    let mut type0 = pdf.type0_font(first);
    type0.base_font(Name(name.as_bytes())).encoding_predefined(Name(b"Identity-H"));
    type0.descendant_font(cid).to_unicode(cmap);
    type0.finish();

    let mut cid_font = pdf.cid_font(cid);
    cid_font.subtype(if is_cff { CidFontType::Type0 } else { CidFontType::Type2 });
    cid_font.base_font(Name(name.as_bytes())).system_info(IDENTITY).font_descriptor(descriptor).default_width(0.0);
    if !is_cff {
        cid_font.cid_to_gid_map_predefined(Name(b"Identity"));
    }
    let mut widths = cid_font.widths();
    for (new, old) in &used.glyphs {
        widths.consecutive(*new, [(advance_em(id, *old) * 1000.0) as f32]);
    }
    widths.finish();
    cid_font.finish();

    let per_mille = 1000.0 / f32::from(face.units_per_em().try_into().unwrap_or(1000u16).max(1));
    let bounds = face.global_bounding_box();
    let side = |v: i16| f32::from(v) * per_mille;
    let mut about = pdf.font_descriptor(descriptor);
    about.name(Name(name.as_bytes())).flags(FontFlags::SYMBOLIC).italic_angle(0.0);
    about.bbox(Rect::new(side(bounds.x_min), side(bounds.y_min), side(bounds.x_max), side(bounds.y_max)));
    about.ascent(side(face.ascender())).descent(side(face.descender()));
    about.cap_height(side(face.capital_height().unwrap_or_else(|| face.ascender())));
    about.stem_v(if font.css_weight > 500 { 120.0 } else { 80.0 });
    if is_cff {
        about.font_file3(data);
    } else {
        about.font_file2(data);
    }
    about.finish();

    let mut letters = UnicodeCmap::new(CMAP_NAME, IDENTITY);
    for (new, text) in &used.letters {
        letters.pair_with_multiple(*new, text.chars());
    }
    let bytes = packed(&letters.finish());
    let mut stream = pdf.cmap(cmap, &bytes);
    stream.name(CMAP_NAME).system_info(IDENTITY).filter(Filter::FlateDecode);
    stream.finish();

    // Of an OpenType font with CFF outlines PDF wants the outlines alone.
    let cff = if is_cff { table(&subset, *b"CFF ") } else { None };
    let bytes = packed(cff.unwrap_or(&subset));
    let mut stream = pdf.stream(data, &bytes);
    stream.filter(Filter::FlateDecode);
    if is_cff {
        stream.pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
    }
    stream.finish();
}

/// A table of an OpenType file.
fn table(font: &[u8], wanted: [u8; 4]) -> Option<&[u8]> {
    let number = |at: usize| font.get(at..at + 4).and_then(|b| b.try_into().ok()).map(u32::from_be_bytes);
    let count = usize::from(u16::from_be_bytes(font.get(4..6)?.try_into().ok()?));
    let entry = (0..count).map(|i| 12 + 16 * i).find(|at| font.get(*at..*at + 4) == Some(&wanted))?;
    let (at, length) = (number(entry + 8)? as usize, number(entry + 12)? as usize);
    font.get(at..at.checked_add(length)?)
}

/// Six capitals that tell this subset from others (ISO 32000-1, 9.6.4), from the glyphs in it.
fn tag(used: &Used) -> String {
    // FNV-1a, 64 bit (Fowler, Noll, Vo): small, and the same everywhere.
    let hash = used
        .glyphs
        .values()
        .flat_map(|g| g.to_be_bytes())
        .fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3));
    (0..6).map(|i| char::from(b'A' + ((hash >> (8 * i)) % 26) as u8)).collect()
}
