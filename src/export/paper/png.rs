//! Pages as PNG at any resolution, drawn on the processor.

use glam::DVec2;
use thiserror::Error;
use tiny_skia::{
    Color, FillRule, LineCap, LineJoin, Mask, Paint, Path, PathBuilder, Pixmap, PremultipliedColorU8, Rect,
    Stroke as Pen, StrokeDash, Transform,
};

use crate::view::picture::Extent;
use crate::view::sheet::letters::{SetLine, face, set};
use crate::view::sheet::lower::{Stroke, strokes};
use crate::view::sheet::{Page, Sheet};

/// Most pixels a picture may have: 100 million, which take 400 MB while it is drawn.
pub const MOST_PIXELS: f64 = 1e8;
/// Least resolution that shows anything.
const LEAST_DPI: f64 = 10.0;
/// mm in an inch.
const MM_PER_INCH: f64 = 25.4;

/// Why a page cannot be drawn as PNG.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PngError {
    /// The resolution is no number or too low for a picture.
    #[error("a picture of {dpi} dots per inch shows nothing. Expected {LEAST_DPI} or more; 300 prints well.")]
    TooCoarse {
        /// What was asked for.
        dpi: f64,
    },
    /// More pixels than a machine should be asked to hold.
    #[error(
        "at {dpi:.0} dots per inch the page has {millions:.0} million pixels. Expected at most {} million: {most_dpi:.0} \
         dots per inch for this paper. Choose fewer, or write .svg or .pdf, which are sharp at every size.",
        MOST_PIXELS / 1e6
    )]
    TooLarge {
        /// What was asked for.
        dpi: f64,
        /// Pixels of that, millions.
        millions: f64,
        /// What this paper may have.
        most_dpi: f64,
    },
    /// There is no room for the picture in memory, or it cannot be packed.
    #[error("there is no room for a picture of {width} by {height} pixels. Choose fewer dots per inch.")]
    NoRoom {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
}

/// A page of a sheet as a PNG file, opaque on white, with its resolution inside.
///
/// # Errors
/// When the resolution gives no picture or one too large to hold.
pub fn png(sheet: &Sheet, page: &Page, dpi: f64) -> Result<Vec<u8>, PngError> {
    let pixmap = drawn(sheet, page, dpi)?;
    pack(&pixmap, dpi).map_err(|_| PngError::NoRoom { width: pixmap.width(), height: pixmap.height() })
}

/// A page as pixels, for a screen.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Raster {
    /// Pixels across and down.
    pub size: [usize; 2],
    /// Red, green, blue of each pixel, row by row from the top.
    pub rgb: Vec<u8>,
}

/// The pixels that [`png`] writes at this resolution.
///
/// # Errors
/// As [`png`].
pub fn raster(sheet: &Sheet, page: &Page, dpi: f64) -> Result<Raster, PngError> {
    let pixmap = drawn(sheet, page, dpi)?;
    Ok(Raster { size: [pixmap.width() as usize, pixmap.height() as usize], rgb: rgb(&pixmap) })
}

fn drawn(sheet: &Sheet, page: &Page, dpi: f64) -> Result<Pixmap, PngError> {
    if !dpi.is_finite() || dpi < LEAST_DPI {
        return Err(PngError::TooCoarse { dpi });
    }
    let per_mm = dpi / MM_PER_INCH;
    let size = (sheet.size_mm * per_mm).round();
    if size.x * size.y > MOST_PIXELS {
        let most_dpi = dpi * (MOST_PIXELS / (size.x * size.y)).sqrt();
        return Err(PngError::TooLarge { dpi, millions: size.x * size.y / 1e6, most_dpi: most_dpi.floor() });
    }
    let (width, height) = ((size.x as u32).max(1), (size.y as u32).max(1));
    let no_room = || PngError::NoRoom { width, height };
    let mut pixmap = Pixmap::new(width, height).ok_or_else(no_room)?;
    pixmap.fill(Color::WHITE);
    let mut canvas = Canvas { pixmap, to_px: Transform::from_scale(per_mm as f32, per_mm as f32), mask: None };
    for stroke in strokes(page) {
        canvas.draw(&stroke);
    }
    Ok(canvas.pixmap)
}

struct Canvas {
    pixmap: Pixmap,
    /// From mm of paper.
    to_px: Transform,
    mask: Option<Mask>,
}

fn paint(colour: [u8; 4]) -> Paint<'static> {
    let [r, g, b, a] = colour;
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, a);
    paint.anti_alias = true;
    paint
}

/// An outline or line as a path; none where it has no extent.
fn path<'a>(outlines: impl IntoIterator<Item = &'a Vec<DVec2>>, closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for points in outlines {
        for (i, p) in points.iter().enumerate() {
            let (x, y) = (p.x as f32, p.y as f32);
            if i == 0 { builder.move_to(x, y) } else { builder.line_to(x, y) }
        }
        if closed {
            builder.close();
        }
    }
    builder.finish()
}

impl Canvas {
    fn draw(&mut self, stroke: &Stroke) {
        match stroke {
            Stroke::Fill { outlines, colour } => self.fill(path(outlines, true), *colour),
            Stroke::Line { points, closed, width, dash, colour } => {
                let dash = dash.and_then(|(a, b)| StrokeDash::new(vec![a as f32, b as f32], 0.0));
                let pen = Pen {
                    width: *width as f32,
                    line_cap: LineCap::Round,
                    line_join: LineJoin::Round,
                    dash,
                    ..Pen::default()
                };
                if let Some(path) = path([points], *closed) {
                    self.pixmap.stroke_path(&path, &paint(*colour), &pen, self.to_px, self.mask.as_ref());
                }
            }
            Stroke::Circle { centre, radius, colour } => {
                let circle = PathBuilder::from_circle(centre.x as f32, centre.y as f32, *radius as f32);
                self.fill(circle, *colour);
            }
            Stroke::Words { at, text, size, weight, across, colour } => {
                let line = set(text, *weight);
                let back = across.share();
                let start = *at - DVec2::new(back * line.width_em * size, 0.0);
                self.words(&line, start, *size, *colour);
            }
            Stroke::Begin { clip, .. } => self.mask = clip.and_then(|clip| self.clip(clip)),
            Stroke::End => self.mask = None,
        }
    }

    fn fill(&mut self, path: Option<Path>, colour: [u8; 4]) {
        if let Some(path) = path {
            self.pixmap.fill_path(&path, &paint(colour), FillRule::Winding, self.to_px, self.mask.as_ref());
        }
    }

    fn clip(&self, clip: Extent) -> Option<Mask> {
        let mut mask = Mask::new(self.pixmap.width(), self.pixmap.height())?;
        let rect = Rect::from_ltrb(clip.low.x as f32, clip.low.y as f32, clip.high.x as f32, clip.high.y as f32)?;
        mask.fill_path(&PathBuilder::from_rect(rect), FillRule::Winding, true, self.to_px);
        Some(mask)
    }

    /// All glyphs of a line as one path.
    fn words(&mut self, line: &SetLine, start: DVec2, size: f64, colour: [u8; 4]) {
        let mut pen = GlyphPen { builder: PathBuilder::new(), origin: start, per_unit: 0.0 };
        for glyph in &line.glyphs {
            let Some(face) = face(glyph.font) else { continue };
            pen.origin = start + DVec2::new(glyph.x_em, -glyph.y_em) * size;
            pen.per_unit = size / f64::from(face.units_per_em().max(1));
            let _ = face.outline_glyph(rustybuzz::ttf_parser::GlyphId(glyph.id), &mut pen);
        }
        self.fill(pen.builder.finish(), colour);
    }
}

/// Takes a glyph's outline into a path in mm of paper.
struct GlyphPen {
    builder: PathBuilder,
    origin: DVec2,
    per_unit: f64,
}

impl GlyphPen {
    fn at(&self, x: f32, y: f32) -> (f32, f32) {
        let p = self.origin + DVec2::new(f64::from(x), -f64::from(y)) * self.per_unit;
        (p.x as f32, p.y as f32)
    }
}

impl rustybuzz::ttf_parser::OutlineBuilder for GlyphPen {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.builder.move_to(x, y);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.builder.line_to(x, y);
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.at(x1, y1), self.at(x, y));
        self.builder.quad_to(x1, y1, x, y);
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2), (x, y)) = (self.at(x1, y1), self.at(x2, y2), self.at(x, y));
        self.builder.cubic_to(x1, y1, x2, y2, x, y);
    }
    fn close(&mut self) {
        self.builder.close();
    }
}

/// Everything lies on white: no pixel is see-through.
fn rgb(pixmap: &Pixmap) -> Vec<u8> {
    pixmap.pixels().iter().flat_map(|p: &PremultipliedColorU8| [p.red(), p.green(), p.blue()]).collect()
}

/// The pixels as a file.
fn pack(pixmap: &Pixmap, dpi: f64) -> Result<Vec<u8>, png::EncodingError> {
    let rgb = rgb(pixmap);
    let mut out = Vec::with_capacity(rgb.len() / 16);
    let mut encoder = png::Encoder::new(&mut out, pixmap.width(), pixmap.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    let per_m = (dpi / MM_PER_INCH * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_m, yppu: per_m, unit: png::Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&rgb)?;
    writer.finish()?;
    Ok(out)
}
