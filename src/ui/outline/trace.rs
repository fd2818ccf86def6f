//! Outlines from files: an SVG is taken over, a picture is laid under the outline, with one known length for its scale.

use std::io::{Cursor, Read};
use std::path::Path;

use egui::{Color32, Context, Painter, Rect, Stroke, TextEdit, TextureHandle, Ui, pos2};
use glam::DVec2;

use super::super::text::Text;
use super::{Drawing, Told, Tool, rounds, sentence};
use crate::advise::outline::{LARGEST_MM, MOST_SVG_BYTES, read_svg_outline};
use crate::ui::fields::{Drag, hint};
use crate::ui::look::{self, Mood, colour};
use crate::ui::paint::Placing;
use crate::view::ink::{Ground, Ink};

/// Largest picture file, bytes.
const MOST_BYTES: u64 = 40 << 20;
/// Most pixels of a picture to a side.
const MOST_PIXELS: u32 = 12_000;
/// Most memory that unpacking a picture may take, bytes: 64 million pixels with colours.
const MOST_MEMORY: u64 = 256 << 20;
/// Pixels to a side that are kept for the screen.
const SHOWN_PIXELS: u32 = 2_000;
/// A new picture is as high as this until its scale is known, mm.
const FIRST_MM: f64 = 100.0;

/// A picture under the outline.
#[derive(Clone)]
pub(super) struct Underlay {
    texture: TextureHandle,
    /// Width and height, mm.
    size_mm: DVec2,
    /// Its lower left corner, mm.
    low: DVec2,
    /// Marked places, two at most, mm.
    marks: Vec<DVec2>,
}

impl Underlay {
    /// Lower left and upper right corner, mm.
    pub(super) fn corners(&self) -> (DVec2, DVec2) {
        (self.low, self.low + self.size_mm)
    }

    pub(super) fn move_by(&mut self, by: DVec2) {
        self.low = (self.low + by).clamp(DVec2::splat(-LARGEST_MM), DVec2::splat(LARGEST_MM));
        self.marks.iter_mut().for_each(|m| *m += by);
    }

    /// Marks a place; a third begins anew.
    pub(super) fn mark(&mut self, place: DVec2) {
        if self.marks.len() >= 2 {
            self.marks.clear();
        }
        self.marks.push(place);
    }

    /// Distance of the marks, mm.
    fn marked_mm(&self) -> Option<f64> {
        match self.marks[..] {
            [a, b] => Some(a.distance(b)).filter(|d| *d > 1e-3),
            _ => None,
        }
    }

    /// Scales it so that the marks are this far apart; the first one stays.
    fn scale_to(&mut self, mm: f64) {
        let Some(now) = self.marked_mm() else { return };
        let by = mm / now;
        let size = self.size_mm * by;
        if !(by.is_finite() && size.max_element() <= 4.0 * LARGEST_MM && size.min_element() > 0.1) {
            return;
        }
        let fixed = self.marks[0];
        self.size_mm = size;
        self.low = fixed + (self.low - fixed) * by;
        self.marks[1] = fixed + (self.marks[1] - fixed) * by;
    }

    pub(super) fn paint(&self, painter: &Painter, placing: Placing) {
        let (low, high) = self.corners();
        let rect = Rect::from_two_pos(placing.to_screen(low), placing.to_screen(high));
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        painter.image(self.texture.id(), rect, whole, Color32::from_white_alpha(165));
    }

    /// The marked length.
    pub(super) fn paint_mark(&self, painter: &Painter, placing: Placing, ground: Ground, paper: Color32) {
        let ink = colour(Ink::CARE, ground);
        let at: Vec<egui::Pos2> = self.marks.iter().map(|m| placing.to_screen(*m)).collect();
        if let [a, b] = at[..] {
            painter.line_segment([a, b], Stroke::new(4.0, paper));
            painter.line_segment([a, b], Stroke::new(2.0, ink));
        }
        for p in at {
            painter.circle(p, 5.0, paper, Stroke::new(2.0, ink));
        }
    }
}

/// Shows the fields.
pub(super) fn show(ui: &mut Ui, drawing: &mut Drawing) {
    look::group_heading(ui, "Trace a drawing");
    let mut open_it = false;
    ui.horizontal(|ui| {
        let width = (ui.available_width() - 64.0).max(60.0);
        let mut field = Text(&mut drawing.path);
        let edit = TextEdit::singleline(&mut field).desired_width(width).hint_text("/home/me/pear.svg");
        let field = ui.add(edit).accessible_name("Path of a drawing or picture");
        let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        let some = !drawing.path.trim().is_empty();
        let button = ui.add_enabled(some, egui::Button::new("Open")).accessible_name("Open the drawing or picture");
        open_it = some && (button.clicked() || entered);
    });
    hint(ui, "An SVG becomes the outline. A picture (PNG) is laid under it, to be traced. Or drop the file here.");
    if open_it {
        open(drawing, ui.ctx());
    }
    if let Some(told) = &drawing.told {
        rounds::told(ui, if told.is_wrong { Mood::Bad } else { Mood::Plain }, &told.text);
    }
    picture(ui, drawing);
}

/// What can be done with the picture.
fn picture(ui: &mut Ui, drawing: &mut Drawing) {
    let Some(under) = &mut drawing.under else { return };
    let mut gone = false;
    ui.horizontal_wrapped(|ui| {
        let tools = [(Tool::Points, "Draw"), (Tool::Measure, "Set its scale"), (Tool::MovePicture, "Move it")];
        for (tool, word) in tools {
            if ui.selectable_label(drawing.tool == tool, word).clicked() {
                drawing.tool = tool;
            }
        }
        gone = ui.button("Take it away").clicked();
    });
    if drawing.tool == Tool::Measure {
        match under.marked_mm() {
            None => hint(ui, "Click two places on the picture whose distance you know."),
            Some(mut mm) => {
                ui.horizontal(|ui| {
                    ui.label("They are apart by");
                    let drag =
                        Drag { range: 0.5..=LARGEST_MM, speed: 0.2, decimals: 1, unit: " mm", ..Drag::default() };
                    if drag.show(ui, &mut mm).accessible_name("Known length on the picture").changed() {
                        under.scale_to(mm);
                    }
                });
            }
        }
    } else if drawing.tool == Tool::MovePicture {
        hint(ui, "Drag the picture until its middle lies on the dashed axis.");
    }
    if gone {
        drawing.under = None;
        drawing.tool = Tool::Points;
        drawing.told = None;
        drawing.sight = None;
    }
}

/// Opens the file at the written path: a drawing in SVG, or a picture.
pub(super) fn open(drawing: &mut Drawing, ctx: &Context) {
    let path = drawing.path.trim().to_owned();
    let path = Path::new(&path);
    let name = path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
    let told = match read(path) {
        Err(why) => Err(why),
        Ok(bytes) if is_drawing(path, &bytes) => outline(drawing, &bytes, path),
        Ok(bytes) => lay_under(drawing, &bytes, ctx, &name),
    };
    drawing.sight = None;
    drawing.told = Some(match told {
        Ok(text) => Told { text, is_wrong: false },
        Err(why) => Told { text: format!("{name}: {why}"), is_wrong: true },
    });
}

fn read(path: &Path) -> Result<Vec<u8>, String> {
    let cannot = |e: std::io::Error| format!("it cannot be read: {e}. Check the path.");
    if path.is_dir() {
        return Err("it is a folder. Write the path of a file.".to_owned());
    }
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(cannot)?;
    // A device or a pipe never ends.
    if !file.metadata().map_err(cannot)?.is_file() {
        return Err("it is no file. Write the path of a file.".to_owned());
    }
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(format!("it is larger than {} MB. Save it smaller.", MOST_BYTES >> 20));
    }
    Ok(bytes)
}

/// By its ending, else by how it begins.
fn is_drawing(path: &Path, bytes: &[u8]) -> bool {
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("svg") => true,
        Some("png") => false,
        _ => bytes.iter().find(|b| !b.is_ascii_whitespace() && **b > 0x20 && **b < 0x80) == Some(&b'<'),
    }
}

fn outline(drawing: &mut Drawing, bytes: &[u8], path: &Path) -> Result<String, String> {
    let most = bytes.len().min(MOST_SVG_BYTES + 1);
    let drawn = read_svg_outline(&bytes[..most]).map_err(|e| sentence(&e.to_string()))?;
    drawing.pad.put(&drawn.half);
    drawing.shape = None;
    if let Some(stem) = path.file_stem() {
        drawing.name = stem.to_string_lossy().chars().filter(|c| !c.is_control()).take(60).collect();
    }
    let mut told = format!("Taken over: {:.0} mm wide, {:.0} mm high.", drawn.half.widest_mm(), drawn.half.height_mm());
    for note in &drawn.notes {
        told.push(' ');
        told.push_str(&sentence(note));
    }
    Ok(told)
}

fn lay_under(drawing: &mut Drawing, bytes: &[u8], ctx: &Context, name: &str) -> Result<String, String> {
    let picture = decode(bytes)?;
    let (width, height) = (picture.width(), picture.height());
    let pixels = [width as usize, height as usize];
    let picture = egui::ColorImage::from_rgba_unmultiplied(pixels, picture.as_raw());
    let texture = ctx.load_texture(format!("picture {name}"), picture, egui::TextureOptions::LINEAR);
    let (low, high) = drawing.pad.heights_mm();
    let tall = if high - low > 1.0 { high - low } else { FIRST_MM };
    let size_mm = DVec2::new(tall * f64::from(width) / f64::from(height.max(1)), tall);
    let at = DVec2::new(-0.5 * size_mm.x, low);
    drawing.under = Some(Underlay { texture, size_mm, low: at, marks: Vec::new() });
    drawing.tool = Tool::Measure;
    Ok("It lies under the outline. Set its scale first, then draw along its edge.".to_owned())
}

/// A picture small enough for the screen.
fn decode(bytes: &[u8]) -> Result<image::RgbaImage, String> {
    let mut reader = image::ImageReader::new(Cursor::new(bytes))
        .with_guessed_format()
        .map_err(|e| format!("it cannot be read: {e}."))?;
    let mut limits = image::Limits::default();
    (limits.max_image_width, limits.max_image_height) = (Some(MOST_PIXELS), Some(MOST_PIXELS));
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let picture = reader.decode().map_err(|e| match e {
        image::ImageError::Limits(_) => {
            format!("the picture is larger than {MOST_PIXELS} by {MOST_PIXELS} pixels, or too large to unpack. Save it smaller.")
        }
        image::ImageError::Unsupported(_) => "it is no drawing in SVG and no picture in PNG. Save it as PNG.".to_owned(),
        _ => "the picture is damaged. Save it as PNG again.".to_owned(),
    })?;
    let picture = if picture.width().max(picture.height()) > SHOWN_PIXELS {
        picture.thumbnail(SHOWN_PIXELS, SHOWN_PIXELS)
    } else {
        picture
    };
    Ok(picture.to_rgba8())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png(width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        let picture = image::RgbaImage::from_pixel(width, height, image::Rgba([90, 120, 60, 255]));
        picture.write_to(&mut Cursor::new(&mut bytes), image::ImageFormat::Png).expect("it is written");
        bytes
    }

    #[test]
    fn pictures_are_made_small_enough_and_bad_ones_told() {
        let small = decode(&png(30, 20)).expect("a picture");
        assert_eq!((small.width(), small.height()), (30, 20));
        let wide = decode(&png(4000, 10)).expect("a picture");
        assert!(wide.width() <= SHOWN_PIXELS && wide.height() >= 1);
        // 20,000 pixels wide by its own account (PNG, ISO/IEC 15948, IHDR: width in bytes 16 to 19); nothing is unpacked.
        let mut huge = png(1, 1);
        huge[16..20].copy_from_slice(&20_000u32.to_be_bytes());
        assert!(decode(&huge).is_err());
        let torn = png(300, 300);
        assert!(decode(&torn[..torn.len() / 2]).expect_err("torn").contains("damaged"));
        assert!(decode(b"nothing of the kind").expect_err("no picture").contains("PNG"));
        assert!(decode(b"").is_err());
    }

    /// A chunk of a PNG with its sum (ISO/IEC 15948, 5.3 and annex D: CRC-32 of type and data).
    fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
        let told: Vec<u8> = kind.iter().chain(data).copied().collect();
        let mut crc = u32::MAX;
        for byte in &told {
            crc ^= u32::from(*byte);
            for _ in 0..8 {
                crc = if crc & 1 == 1 { (crc >> 1) ^ 0xEDB8_8320 } else { crc >> 1 };
            }
        }
        [&(data.len() as u32).to_be_bytes()[..], &told, &(!crc).to_be_bytes()].concat()
    }

    /// A PNG of zeros in little data: bits to a channel, 6 for colours with alpha and 0 for grey.
    fn zeros(width: u32, height: u32, bits: u8, colours: u8, more: &[u8]) -> Vec<u8> {
        let channels = if colours == 6 { 4 } else { 1 };
        let line = 1 + (width as usize * channels * usize::from(bits)).div_ceil(8);
        let data = miniz_oxide::deflate::compress_to_vec_zlib(&vec![0; line * height as usize], 6);
        let head = [&width.to_be_bytes()[..], &height.to_be_bytes(), &[bits, colours, 0, 0, 0]].concat();
        let parts = [&chunk(b"IHDR", &head)[..], more, &chunk(b"IDAT", &data), &chunk(b"IEND", &[])].concat();
        [&b"\x89PNG\r\n\x1a\n"[..], &parts].concat()
    }

    #[test]
    fn pictures_that_are_made_to_burst_are_refused_or_made_small() {
        assert_eq!(decode(&zeros(7, 5, 8, 6, &[])).map(|p| p.dimensions()), Ok((7, 5)));
        // 144 million pixels in less than a megabyte: too much with colours, little in black and white.
        let small = zeros(12_000, 12_000, 1, 0, &[]);
        assert!(small.len() < 1 << 20);
        assert!(decode(&small).is_ok_and(|p| p.width() == SHOWN_PIXELS));
        for (width, height, bits) in [(12_000, 12_000, 8), (8_000, 8_000, 16), (u32::MAX, 1, 8), (1, u32::MAX, 8)] {
            let mut huge = zeros(1, 1, bits, 6, &[]);
            let head = [&width.to_be_bytes()[..], &height.to_be_bytes(), &[bits, 6, 0, 0, 0]].concat();
            huge.splice(8..33, chunk(b"IHDR", &head));
            assert!(decode(&huge).expect_err("too large").contains("pixels"), "{width} by {height}");
        }
        assert!(decode(&zeros(1, 1, 8, 6, &chunk(b"IHDR", &[0; 13]))).is_err());
        // A profile of colours that unpacks to 200 MB.
        let profile = miniz_oxide::deflate::compress_to_vec_zlib(&vec![0; 200 << 20], 6);
        let bomb = zeros(3, 3, 8, 6, &chunk(b"iCCP", &[&b"p\0\0"[..], &profile].concat()));
        assert!(decode(&bomb).map_or(true, |p| p.dimensions() == (3, 3)));
        for (name, bytes) in [("GIF", &b"GIF89a\x01\0\x01\0"[..]), ("JPEG", b"\xff\xd8\xff\xe0\0\x10JFIF\0")] {
            assert!(decode(bytes).expect_err(name).contains("Save it as PNG"));
        }
        // A drawing under the name of a picture, and the other way round.
        assert!(decode(b"<svg xmlns='http://www.w3.org/2000/svg'/>").expect_err("no picture").contains("PNG"));
        assert!(read_svg_outline(&small).is_err());
    }

    #[test]
    fn what_has_no_ending_is_told_by_its_first_letter() {
        assert!(is_drawing(Path::new("pear"), b"\xef\xbb\xbf <svg>"));
        assert!(!is_drawing(Path::new("pear"), b"\x89PNG"));
        assert!(!is_drawing(Path::new("pear.PNG"), b"<svg>"));
    }
}
