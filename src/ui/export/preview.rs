//! The page as it will be, drawn by the code that writes the files, once for every change of what it shows: beside
//! the window, so that no frame waits for it.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use egui::{ColorImage, Context, TextureHandle, TextureOptions};

use super::make::{Choice, sheet, solid_words};
use crate::export::paper::{Raster, raster};
use crate::measure::Derived;
use crate::toy::Toy;
use crate::view::sheet::Sheet;

/// mm in an inch.
const MM_PER_INCH: f64 = 25.4;

/// The toy that is exported.
#[derive(Debug, Default)]
pub(super) struct Subject {
    pub toy: Toy,
    pub derived: Option<Arc<Derived>>,
}

/// What a preview depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Key {
    /// Of [`Choice::seen`].
    pub choice: Choice,
    /// The toy's number.
    pub generation: u64,
    /// Height of the page on screen, pixels.
    pub tall_px: u32,
}

/// What there is to see.
#[derive(Debug)]
pub(super) enum Sight {
    /// A page.
    Page {
        /// Which, counted from 0, and its label.
        page: usize,
        label: String,
        /// How many there are.
        pages: usize,
        /// Its pixels.
        raster: Raster,
    },
    /// A solid in words.
    Solid(Vec<String>),
    /// Why there is nothing.
    Problem(String),
}

struct Drawn {
    key: Key,
    sheet: Option<Arc<Sheet>>,
    sight: Sight,
}

/// The newest preview, and the one in the making.
#[derive(Default)]
pub(super) struct Preview {
    newest: Option<Drawn>,
    texture: Option<TextureHandle>,
    making: Option<Receiver<Drawn>>,
}

/// Draws what a key asks for; the pages of before are taken where only another one of them is looked at.
fn draw(key: Key, before: Option<Arc<Sheet>>, subject: &Subject) -> Drawn {
    let problem = |why: String| Drawn { key, sheet: None, sight: Sight::Problem(why) };
    let Some(derived) = subject.derived.as_deref() else { return problem("There is no toy.".to_owned()) };
    let made = match before {
        Some(sheet) => Ok(Some(sheet)),
        None => sheet(key.choice, &subject.toy, derived).map(|s| s.map(Arc::new)),
    };
    let sheet = match made {
        Ok(Some(sheet)) => sheet,
        Ok(None) => {
            let words = solid_words(key.choice, &subject.toy, derived);
            return Drawn { key, sheet: None, sight: words.map_or_else(Sight::Problem, Sight::Solid) };
        }
        Err(why) => return problem(why),
    };
    let pages = sheet.pages.len();
    let at = key.choice.page.min(pages.saturating_sub(1));
    let Some(page) = sheet.pages.get(at) else { return problem("There is no page.".to_owned()) };
    let dpi = f64::from(key.tall_px) * MM_PER_INCH / sheet.size_mm.y.max(1.0);
    let sight = match raster(&sheet, page, dpi) {
        Ok(raster) => Sight::Page { page: at, label: page.label.clone(), pages, raster },
        Err(why) => Sight::Problem(why.to_string()),
    };
    Drawn { key, sheet: Some(sheet), sight }
}

impl Preview {
    /// Takes in what has come, and asks for what a key wants where it is not there yet.
    pub fn look(&mut self, ctx: &Context, key: Key, subject: &Arc<Subject>, beside: bool) {
        match self.making.as_ref().map(Receiver::try_recv) {
            Some(Ok(drawn)) => self.take(ctx, drawn),
            // Its thread has died: it is asked for again.
            Some(Err(TryRecvError::Disconnected)) => self.making = None,
            Some(Err(TryRecvError::Empty)) | None => {}
        }
        if self.making.is_some() || self.newest.as_ref().is_some_and(|d| d.key == key) {
            return;
        }
        let same_but_page = |d: &&Drawn| {
            d.key.generation == key.generation && Choice { page: 0, ..d.key.choice } == Choice { page: 0, ..key.choice }
        };
        let before = self.newest.as_ref().filter(same_but_page).and_then(|d| d.sheet.clone());
        if !beside {
            let drawn = draw(key, before, subject);
            return self.take(ctx, drawn);
        }
        let (to, from) = channel();
        let (subject, wake) = (Arc::clone(subject), ctx.clone());
        let work = move || {
            // Nobody listens any more once the dialog is closed.
            let _ = to.send(draw(key, before, &subject));
            wake.request_repaint();
        };
        if std::thread::Builder::new().name("preview".to_owned()).spawn(work).is_ok() {
            self.making = Some(from);
        } else {
            self.take(ctx, Drawn { key, sheet: None, sight: Sight::Problem("The page cannot be shown.".to_owned()) });
        }
    }

    fn take(&mut self, ctx: &Context, drawn: Drawn) {
        self.making = None;
        self.texture = match &drawn.sight {
            Sight::Page { raster, .. } => {
                let image = ColorImage::from_rgb(raster.size, &raster.rgb);
                Some(ctx.load_texture("page", image, TextureOptions::LINEAR))
            }
            Sight::Solid(_) | Sight::Problem(_) => None,
        };
        self.newest = Some(drawn);
    }

    /// What is seen, and its picture. What was drawn before stays until the new is there.
    pub fn sight(&self) -> Option<(&Sight, Option<&TextureHandle>)> {
        self.newest.as_ref().map(|d| (&d.sight, self.texture.as_ref()))
    }

    /// Whether another one is in the making.
    pub fn is_making(&self) -> bool {
        self.making.is_some()
    }
}
