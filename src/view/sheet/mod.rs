//! Sheets of paper as plain data: pages with pictures, words, rules and boxes, in mm. What the window previews and
//! what the exports write is this one model; no file format is known here.
//!
//! On a page x runs to the right and y **down** from the upper left corner; a [`Picture`] keeps its own y up.

pub mod figures;
pub mod full_size;
pub mod letters;
pub mod lower;
mod flow;
mod maps;
mod notes;
mod parts;
mod running;
pub mod setting;
pub mod sketch;
mod views;
mod verdicts;
mod words;
pub mod work;

use glam::DVec2;

use super::ink::Ink;
use super::picture::{Across, Extent, Picture};
use letters::Weight;

/// mm in a point, 1/72 inch.
pub const MM_PER_PT: f64 = 25.4 / 72.0;

/// A paper's format, upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Paper {
    /// ISO 216 A4, 210 by 297 mm.
    #[default]
    A4,
    /// ANSI/ASME Y14.1 size A (US Letter), 8.5 by 11 inches.
    Letter,
}

impl Paper {
    /// Width and height, mm.
    pub fn size_mm(self) -> DVec2 {
        match self {
            Paper::A4 => DVec2::new(210.0, 297.0),
            Paper::Letter => DVec2::new(215.9, 279.4),
        }
    }
}

/// A picture on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// A name for it, of letters and dashes.
    pub name: String,
    /// The picture.
    pub picture: Picture,
    /// mm of paper to a mm of the picture.
    pub scale: f64,
    /// Where the picture's (0, 0) lies on the page, mm.
    pub origin_mm: DVec2,
    /// Widths of lines and sizes of letters against those the picture names: paper wants finer ones than a screen.
    pub pt_scale: f64,
    /// The part of the page it may show on; all of it where not said.
    pub clip_mm: Option<Extent>,
}

/// A line of words.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    /// A point on its base line, mm.
    pub at: DVec2,
    /// The words, one line.
    pub text: String,
    /// Size of the letters, points.
    pub size_pt: f64,
    /// Their weight.
    pub weight: Weight,
    /// Their colour.
    pub ink: Ink,
    /// Which end of the line is at the point.
    pub across: Across,
}

/// One thing on a page, the first at the back.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A picture.
    Picture(Placed),
    /// Words.
    Words(Words),
    /// A straight line.
    Rule {
        /// From, mm.
        from: DVec2,
        /// To, mm.
        to: DVec2,
        /// Width in points.
        width_pt: f64,
        /// Colour.
        ink: Ink,
        /// Dash and gap in points; none for a whole line.
        dash_pt: Option<(f64, f64)>,
    },
    /// An empty box to be ticked.
    CheckBox {
        /// Upper left corner, mm.
        at: DVec2,
        /// Its side, mm.
        side_mm: f64,
    },
    /// A filled convex outline.
    Fill {
        /// Its corners, mm.
        points: Vec<DVec2>,
        /// Colour.
        ink: Ink,
    },
    /// A closed outline.
    Outline {
        /// Its corners, mm.
        points: Vec<DVec2>,
        /// Width in points.
        width_pt: f64,
        /// Colour.
        ink: Ink,
    },
}

/// One page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// Its label, such as "A1".
    pub label: String,
    /// What is on it, from back to front.
    pub marks: Vec<Mark>,
}

/// A document for paper.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// Its title.
    pub title: String,
    /// The size of every page, mm.
    pub size_mm: DVec2,
    /// Its pages.
    pub pages: Vec<Page>,
}

impl Page {
    /// Adds words whose left end is at a point.
    pub fn words(&mut self, at: DVec2, text: impl Into<String>, style: Style) {
        self.words_at(at, text, style, Across::Left);
    }

    /// Adds words, one end or the middle of which is at a point.
    pub fn words_at(&mut self, at: DVec2, text: impl Into<String>, style: Style, across: Across) {
        let text = text.into();
        if !text.is_empty() {
            let Style { size_pt, weight, ink } = style;
            self.marks.push(Mark::Words(Words { at, text, size_pt, weight, ink, across }));
        }
    }

    /// Adds a whole straight line.
    pub fn rule(&mut self, from: DVec2, to: DVec2, width_pt: f64, ink: Ink) {
        self.marks.push(Mark::Rule { from, to, width_pt, ink, dash_pt: None });
    }

    /// Adds a filled upright rectangle.
    pub fn block(&mut self, low: DVec2, high: DVec2, ink: Ink) {
        self.marks.push(Mark::Fill { points: rectangle(low, high), ink });
    }
}

/// The corners of an upright rectangle.
pub fn rectangle(low: DVec2, high: DVec2) -> Vec<DVec2> {
    vec![low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)]
}

/// How words look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Size of the letters, points.
    pub size_pt: f64,
    /// Their weight.
    pub weight: Weight,
    /// Their colour.
    pub ink: Ink,
}

const fn paper_ink(light: [u8; 3]) -> Ink {
    let [r, g, b] = light;
    Ink { light: [r, g, b, 255], dark: [r, g, b, 255] }
}

impl Ink {
    /// Words on paper.
    pub const WORDS: Ink = paper_ink([34, 30, 32]);
    /// Words on paper that stand back: 4.5 to 1 against white and more (WCAG 2.1, 1.4.3).
    pub const QUIET: Ink = paper_ink([104, 98, 96]);
    /// Thin rules on paper.
    pub const RULE: Ink = paper_ink([168, 160, 154]);
}

impl Style {
    /// Plain words of this size.
    pub const fn plain(size_pt: f64) -> Style {
        Style { size_pt, weight: Weight::Regular, ink: Ink::WORDS }
    }

    /// Heavier words of this size.
    pub const fn strong(size_pt: f64) -> Style {
        Style { size_pt, weight: Weight::Strong, ink: Ink::WORDS }
    }

    /// Words that stand back.
    pub const fn quiet(size_pt: f64) -> Style {
        Style { size_pt, weight: Weight::Regular, ink: Ink::QUIET }
    }
}
