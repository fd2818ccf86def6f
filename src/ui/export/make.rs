//! What can be exported, and its bytes: the same that the commands `sketch`, `sheet` and `mesh` write. No toolkit is
//! known here.

use std::path::{Path, PathBuf};

use glam::DVec3;

use crate::export::mesh::{Mesh, Side, glb, solid_mesh, stl};
use crate::export::paper::{pdf, png, svg};
use crate::figure::Figure;
use crate::measure::Derived;
use crate::notation::Terms;
use crate::toy::Toy;
use crate::view::sheet::full_size::{FullSizeOptions, full_size};
use crate::view::sheet::sketch::{SketchOptions, sketch};
use crate::view::sheet::work::{WorkOptions, work_sheet};
use crate::view::sheet::{Paper, Sheet};
use crate::view::units::Units;

/// What is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum What {
    /// One page with the toy, its parts and its verdicts.
    #[default]
    Sketch,
    /// Written rounds with boxes to tick.
    Work,
    /// Views and parts at 1 : 1.
    FullSize,
    /// The toy as triangles.
    Solid,
}

/// The form of a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Format {
    /// Pages with real text.
    #[default]
    Pdf,
    /// One page as lines.
    Svg,
    /// One page as pixels.
    Png,
    /// A solid with colours.
    Glb,
    /// A solid to print.
    Stl,
}

impl What {
    /// Everything that can be written.
    pub const ALL: [What; 4] = [What::Sketch, What::Work, What::FullSize, What::Solid];

    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            What::Sketch => "Proportion sketch",
            What::Work => "Work sheet",
            What::FullSize => "Full-size sheet",
            What::Solid => "Solid",
        }
    }

    /// What it is for.
    pub fn about(self) -> &'static str {
        match self {
            What::Sketch => "One page for the wall: views, sizes, verdicts and parts.",
            What::Work => "The rounds with boxes to tick, yarn used, where to sew.",
            What::FullSize => "Views and parts at 1 : 1, to hold the work against.",
            What::Solid => "The stuffed toy as a closed surface, for other programs.",
        }
    }

    /// A word for the names of files.
    fn word(self) -> &'static str {
        match self {
            What::Sketch => "sketch",
            What::Work => "work_sheet",
            What::FullSize => "full_size",
            What::Solid => "solid",
        }
    }

    /// The forms in which it can be written, the usual one first.
    pub fn formats(self) -> &'static [Format] {
        match self {
            What::Solid => &[Format::Glb, Format::Stl],
            What::Sketch | What::Work | What::FullSize => &[Format::Pdf, Format::Svg, Format::Png],
        }
    }
}

impl Format {
    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Format::Pdf => "PDF",
            Format::Svg => "SVG",
            Format::Png => "PNG",
            Format::Glb => "glTF",
            Format::Stl => "STL",
        }
    }

    /// The ending of its files.
    pub fn ending(self) -> &'static str {
        match self {
            Format::Pdf => "pdf",
            Format::Svg => "svg",
            Format::Png => "png",
            Format::Glb => "glb",
            Format::Stl => "stl",
        }
    }

    /// What it is good for.
    pub fn about(self) -> &'static str {
        match self {
            Format::Pdf => "To print: all pages, sharp at any size.",
            Format::Svg => "To draw on: the page shown, sharp at any size.",
            Format::Png => "A picture: the page shown, in pixels.",
            Format::Glb => "With the yarns' colours; in metres, as glTF wants.",
            Format::Stl => "For printing in the round: in mm, without colours.",
        }
    }
}

/// What is to be exported and how.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// What.
    pub what: What,
    /// In which form.
    pub format: Format,
    /// Dots per inch of a picture.
    pub dpi: f64,
    /// The paper.
    pub paper: Paper,
    /// Terms of the written rounds.
    pub terms: Terms,
    /// The units that stand first.
    pub units: Units,
    /// The toy from above too.
    pub top: bool,
    /// The page that is shown, counted from 0: the one that a file of one page holds.
    pub page: usize,
}

impl Default for Choice {
    fn default() -> Self {
        Choice {
            what: What::default(),
            format: Format::default(),
            dpi: 300.0,
            paper: Paper::default(),
            terms: Terms::Us,
            units: Units::default(),
            top: false,
            page: 0,
        }
    }
}

impl Choice {
    /// The same with a form that what is chosen can have.
    pub fn sound(self) -> Choice {
        let formats = self.what.formats();
        let format = if formats.contains(&self.format) { self.format } else { formats[0] };
        Choice { format, ..self }
    }

    /// The same with everything at its usual value that the page does not show.
    pub fn seen(self) -> Choice {
        let usual = Choice::default();
        let solid = self.what == What::Solid;
        Choice {
            format: if solid { self.format } else { usual.format },
            dpi: usual.dpi,
            terms: if self.what == What::Work { self.terms } else { usual.terms },
            top: self.top && matches!(self.what, What::Sketch | What::FullSize),
            paper: if solid { usual.paper } else { self.paper },
            ..self
        }
    }

    /// A name for the file of a toy that is called so in files.
    pub fn file_name(self, toy: &str) -> String {
        format!("{toy}_{}.{}", self.what.word(), self.format.ending())
    }

    /// The file to be written: an ending that this can have wins over the form chosen, another is added to.
    pub fn for_path(self, path: &Path) -> (Choice, PathBuf) {
        let own = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
        match self.what.formats().iter().find(|f| f.ending() == own) {
            Some(format) => (Choice { format: *format, ..self }, path.to_owned()),
            None => {
                let mut name = path.as_os_str().to_owned();
                name.push(".");
                name.push(self.format.ending());
                (self, PathBuf::from(name))
            }
        }
    }
}

/// The pages; `None` for a solid.
///
/// # Errors
/// A toy that takes too many pages, in a sentence.
pub(super) fn sheet(choice: Choice, toy: &Toy, derived: &Derived) -> Result<Option<Sheet>, String> {
    let Choice { paper, terms, units, top, .. } = choice;
    Ok(Some(match choice.what {
        What::Sketch => sketch(toy, derived, SketchOptions { paper, top, units }),
        What::Work => work_sheet(toy, derived, WorkOptions { paper, terms, units }),
        What::FullSize => full_size(toy, derived, FullSizeOptions { paper, top, units }).map_err(|e| e.to_string())?,
        What::Solid => return Ok(None),
    }))
}

/// The file's bytes.
///
/// # Errors
/// Nothing to show, or too much, in a sentence with the remedy.
pub(super) fn bytes(choice: Choice, toy: &Toy, derived: &Derived) -> Result<Vec<u8>, String> {
    let Some(sheet) = sheet(choice, toy, derived)? else {
        let mesh = solid_mesh(toy, &derived.made, Side::Outside).map_err(|e| e.to_string())?;
        return Ok(if choice.format == Format::Stl { stl(&mesh) } else { glb(&mesh) });
    };
    let page = sheet.pages.get(choice.page).or(sheet.pages.first());
    match (choice.format, page) {
        (Format::Svg, Some(page)) => Ok(svg(&sheet, page).into_bytes()),
        (Format::Png, Some(page)) => png(&sheet, page, choice.dpi).map_err(|e| e.to_string()),
        _ => Ok(pdf(&sheet)),
    }
}

/// What is to be known of the solid before it is written.
///
/// # Errors
/// As [`bytes`].
pub(super) fn solid_words(choice: Choice, toy: &Toy, derived: &Derived) -> Result<Vec<String>, String> {
    let mesh = solid_mesh(toy, &derived.made, Side::Outside).map_err(|e| e.to_string())?;
    let size = extent_mm(&mesh);
    let said = |mm: f64| choice.units.length(Figure::exact(mm)).value();
    let triangles: usize = mesh.surfaces.iter().map(|s| s.triangles.len()).sum();
    let surfaces = match mesh.surfaces.len() {
        1 => "1 closed surface".to_owned(),
        n => format!("{n} closed surfaces, one for each piece"),
    };
    Ok(vec![
        format!("{} wide, {} deep, {} tall", said(size.x), said(size.y), said(size.z)),
        format!("{triangles} triangles"),
        surfaces,
    ])
}

fn extent_mm(mesh: &Mesh) -> DVec3 {
    let points = || mesh.surfaces.iter().flat_map(|s| s.points.iter().copied());
    let Some(first) = points().next() else { return DVec3::ZERO };
    points().fold(first, DVec3::max) - points().fold(first, DVec3::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_wins_where_it_is_known() {
        let choice = Choice { what: What::Work, ..Choice::default() };
        let of = |name: &str| {
            let (choice, path) = choice.for_path(Path::new(name));
            (choice.format, path.display().to_string())
        };
        assert_eq!(of("owl.PNG"), (Format::Png, "owl.PNG".to_owned()));
        assert_eq!(of("owl"), (Format::Pdf, "owl.pdf".to_owned()));
        assert_eq!(of("owl.v2"), (Format::Pdf, "owl.v2.pdf".to_owned()));
        assert_eq!(of("owl.stl"), (Format::Pdf, "owl.stl.pdf".to_owned()));
    }

    #[test]
    fn only_what_the_page_shows_draws_it_anew() {
        let work = Choice { what: What::Work, ..Choice::default() };
        assert_eq!(work.seen(), Choice { dpi: 72.0, format: Format::Png, top: true, ..work }.seen());
        assert_ne!(work.seen(), Choice { terms: Terms::Uk, ..work }.seen());
        let sketch = Choice::default();
        assert_eq!(sketch.seen(), Choice { terms: Terms::Uk, ..sketch }.seen());
        assert_ne!(sketch.seen(), Choice { top: true, ..sketch }.seen());
    }
}
