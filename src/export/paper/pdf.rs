//! Sheets as PDF 1.7: real text in embedded fonts, lines and fills, no dates and no chance.

use std::collections::BTreeSet;

use glam::DVec2;
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::fonts::{self, UsedFonts, resource_name};
use crate::view::sheet::letters::{Glyph, SetLine, advance_em, set};
use crate::view::sheet::lower::{Stroke, circle, strokes};
use crate::view::sheet::{MM_PER_PT, Sheet};

/// A sheet with all its pages as a PDF file.
pub fn pdf(sheet: &Sheet) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let mut next = 1;
    let mut number = |n: i32| {
        next += n;
        Ref::new(next - n)
    };
    let (catalog, tree, about) = (number(1), number(1), number(1));
    let (mut used, mut opacities) = (UsedFonts::default(), BTreeSet::new());
    let contents: Vec<Vec<u8>> = sheet
        .pages
        .iter()
        .map(|page| {
            let mut painter = Painter {
                content: Content::new(),
                height: sheet.size_mm.y,
                used: &mut used,
                opacities: &mut opacities,
                pen: Pen::default(),
                outside: None,
            };
            strokes(page).iter().for_each(|s| painter.draw(s));
            painter.content.finish().to_vec()
        })
        .collect();
    let page_numbers: Vec<(Ref, Ref)> = contents.iter().map(|_| (number(1), number(1))).collect();
    let font_numbers: Vec<Ref> = used.0.iter().map(|_| number(5)).collect();
    let state_numbers: Vec<Ref> = opacities.iter().map(|_| number(1)).collect();

    pdf.catalog(catalog).pages(tree).lang(TextStr("en"));
    pdf.document_info(about).title(TextStr(&sheet.title)).creator(TextStr("Toppleknot"));
    let count = i32::try_from(page_numbers.len()).unwrap_or(i32::MAX);
    pdf.pages(tree).kids(page_numbers.iter().map(|p| p.0)).count(count);
    let size = sheet.size_mm / MM_PER_PT;
    for ((page_number, content_number), content) in page_numbers.iter().zip(&contents) {
        let mut page = pdf.page(*page_number);
        page.media_box(Rect::new(0.0, 0.0, size.x as f32, size.y as f32)).parent(tree).contents(*content_number);
        let mut resources = page.resources();
        let mut fonts = resources.fonts();
        for (id, reference) in used.0.keys().zip(&font_numbers) {
            fonts.pair(Name(resource_name(*id).as_bytes()), *reference);
        }
        fonts.finish();
        let mut states = resources.ext_g_states();
        for (opacity, reference) in opacities.iter().zip(&state_numbers) {
            states.pair(Name(state_name(*opacity).as_bytes()), *reference);
        }
        states.finish();
        resources.finish();
        page.finish();
        let bytes = packed(content);
        pdf.stream(*content_number, &bytes).filter(Filter::FlateDecode);
    }
    for ((id, used), reference) in used.0.iter().zip(&font_numbers) {
        fonts::write(&mut pdf, *reference, *id, used);
    }
    for (opacity, reference) in opacities.iter().zip(&state_numbers) {
        let share = f32::from(*opacity) / 255.0;
        pdf.ext_graphics(*reference).non_stroking_alpha(share).stroking_alpha(share);
    }
    pdf.finish()
}

/// Bytes packed with zlib.
pub(super) fn packed(bytes: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, 6)
}

fn state_name(opacity: u8) -> String {
    format!("O{opacity}")
}

/// What the pen is set to, so that it is set anew only where it changes.
#[derive(Clone, Default, PartialEq)]
struct Pen {
    fill: Option<[u8; 3]>,
    stroke: Option<[u8; 3]>,
    opacity: Option<u8>,
    width: Option<f64>,
    dash: Option<Option<(f64, f64)>>,
}

struct Painter<'a> {
    content: Content,
    /// Height of the page, mm.
    height: f64,
    used: &'a mut UsedFonts,
    opacities: &'a mut BTreeSet<u8>,
    pen: Pen,
    /// The pen as it was outside the clip rectangle.
    outside: Option<Pen>,
}

/// A length in points, to a ten-thousandth of one.
fn pt(mm: f64) -> f32 {
    ((mm / MM_PER_PT * 1e4).round() / 1e4) as f32
}

impl Painter<'_> {
    fn draw(&mut self, stroke: &Stroke) {
        match stroke {
            Stroke::Fill { outlines, colour } => {
                self.fill_with(*colour);
                for outline in outlines {
                    self.path(outline, true);
                }
                self.content.fill_nonzero();
            }
            Stroke::Line { points, closed, width, dash, colour } => {
                self.stroke_with(*colour, *width, *dash);
                self.path(points, *closed);
                self.content.stroke();
            }
            Stroke::Circle { centre, radius, colour } => {
                self.fill_with(*colour);
                self.path(&circle(*centre, *radius), true);
                self.content.fill_nonzero();
            }
            Stroke::Words { at, text, size, weight, across, colour } => {
                let line = set(text, *weight);
                let back = across.share();
                self.fill_with(*colour);
                self.words(&line, *at - DVec2::new(back * line.width_em * size, 0.0), *size);
            }
            Stroke::Begin { clip, .. } => {
                if let Some(clip) = clip {
                    self.outside = Some(self.pen.clone());
                    self.content.save_state();
                    let size = clip.size();
                    self.content.rect(pt(clip.low.x), pt(self.height - clip.high.y), pt(size.x), pt(size.y));
                    self.content.clip_nonzero().end_path();
                }
            }
            Stroke::End => {
                if let Some(pen) = self.outside.take() {
                    self.content.restore_state();
                    self.pen = pen;
                }
            }
        }
    }

    fn opacity(&mut self, opacity: u8) {
        if self.pen.opacity.unwrap_or(255) != opacity {
            self.opacities.insert(opacity);
            self.content.set_parameters(Name(state_name(opacity).as_bytes()));
        }
        self.pen.opacity = Some(opacity);
    }

    fn fill_with(&mut self, [r, g, b, a]: [u8; 4]) {
        if self.pen.fill != Some([r, g, b]) {
            let [x, y, z] = [r, g, b].map(share);
            self.content.set_fill_rgb(x, y, z);
            self.pen.fill = Some([r, g, b]);
        }
        self.opacity(a);
    }

    fn stroke_with(&mut self, [r, g, b, a]: [u8; 4], width: f64, dash: Option<(f64, f64)>) {
        if self.pen.stroke.is_none() {
            self.content.set_line_cap(LineCapStyle::RoundCap).set_line_join(LineJoinStyle::RoundJoin);
        }
        if self.pen.stroke != Some([r, g, b]) {
            let [x, y, z] = [r, g, b].map(share);
            self.content.set_stroke_rgb(x, y, z);
            self.pen.stroke = Some([r, g, b]);
        }
        if self.pen.width != Some(width) {
            self.content.set_line_width(pt(width));
            self.pen.width = Some(width);
        }
        if self.pen.dash != Some(dash) {
            match dash {
                Some((a, b)) => self.content.set_dash_pattern([pt(a), pt(b)], 0.0),
                None => self.content.set_dash_pattern([], 0.0),
            };
            self.pen.dash = Some(dash);
        }
        self.opacity(a);
    }

    fn path(&mut self, points: &[DVec2], closed: bool) {
        for (i, p) in points.iter().enumerate() {
            let (x, y) = (pt(p.x), pt(self.height - p.y));
            if i == 0 {
                self.content.move_to(x, y);
            } else {
                self.content.line_to(x, y);
            }
        }
        if closed {
            self.content.close_path();
        }
    }

    fn words(&mut self, line: &SetLine, start: DVec2, size: f64) {
        let mut from = 0;
        while from < line.glyphs.len() {
            let font = line.glyphs[from].font;
            // Glyphs of one font on the base line are shown together.
            let height = line.glyphs[from].y_em;
            let same = |g: &Glyph| g.font == font && g.y_em == height;
            let many = line.glyphs[from..].iter().take_while(|g| same(g)).count();
            self.run(line, from..from + many, start, size);
            from += many;
        }
    }

    fn run(&mut self, line: &SetLine, run: std::ops::Range<usize>, start: DVec2, size: f64) {
        let glyphs = &line.glyphs[run.clone()];
        let numbers: Vec<u16> = run.clone().map(|i| self.used.number(line, i)).collect();
        let font = glyphs[0].font;
        // Where a glyph stands for other letters than it does elsewhere, the text itself is put beside it.
        let letters = |g: &Glyph| line.text.get(g.text.clone()).unwrap_or("");
        let told = glyphs.iter().zip(&numbers).all(|(g, n)| self.used.stands_for(font, *n, letters(g)));
        if !told {
            let first = glyphs.iter().map(|g| g.text.start).min().unwrap_or(0);
            let last = glyphs.iter().map(|g| g.text.end).max().unwrap_or(0);
            let text = line.text.get(first..last).unwrap_or("");
            let mut mark = self.content.begin_marked_content_with_properties(Name(b"Span"));
            mark.properties().actual_text(TextStr(text));
        }
        self.content.begin_text();
        self.content.set_font(Name(resource_name(font).as_bytes()), pt(size));
        let (x, y) = (start.x + glyphs[0].x_em * size, start.y - glyphs[0].y_em * size);
        self.content.next_line(pt(x), pt(self.height - y));
        let mut pieces: Vec<(f64, Vec<u8>)> = Vec::new();
        let mut pen = glyphs[0].x_em;
        for (glyph, number) in glyphs.iter().zip(&numbers) {
            let shift = glyph.x_em - pen;
            let code = number.to_be_bytes();
            match pieces.last_mut() {
                Some((_, bytes)) if shift.abs() < 5e-5 => bytes.extend(code),
                _ => pieces.push((shift, code.to_vec())),
            }
            pen = glyph.x_em + advance_em(font, glyph.id);
        }
        if let [(_, bytes)] = pieces.as_slice() {
            self.content.show(Str(bytes));
        } else {
            let mut show = self.content.show_positioned();
            let mut items = show.items();
            for (shift, bytes) in &pieces {
                if *shift != 0.0 {
                    items.adjust((-shift * 1e3) as f32);
                }
                items.show(Str(bytes));
            }
        }
        self.content.end_text();
        if !told {
            self.content.end_marked_content();
        }
    }
}

fn share(value: u8) -> f32 {
    f32::from(value) / 255.0
}
