//! Sheets of paper as files: SVG, PNG, PDF. All three are written from the same strokes of the one page model
//! (`view::sheet`), need no display, and give the same bytes for the same sheet.

mod fonts;
mod pdf;
mod png;
mod svg;

pub use pdf::pdf;
pub use png::{MOST_PIXELS, PngError, Raster, png, raster};
pub use svg::svg;
