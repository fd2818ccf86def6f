//! Drawing an outline and getting its rounds: the page with the pad, and the outline of a part pulled by hand in the flat
//! views.

mod fitting;
mod hand;
mod pad;
mod points;
mod rounds;
mod shapes;
mod trace;

use egui::{Align, Context, Id, Layout, Modal, Rect, RichText, Sense, Ui, UiBuilder, pos2, vec2};

use super::app::App;
use super::dialogs::Outcome;
use super::{focus, look};
use crate::advise::outline::StartShape;
use crate::document::edits;
use crate::document::history::EditKind;
use crate::measure::shape_input;
use crate::part::Part;
use crate::toy::shape::ShapeInput;
use crate::toy::{Piece, Toy};
use crate::view::elevation::Chosen;
use crate::view::outline_pad::Pad;
use fitting::{Fitting, Question};
pub(super) use hand::Hand;
use pad::Sight;
pub(super) use shapes::menu as add_shape;
use trace::Underlay;

/// What the pointer does on the pad.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Tool {
    /// Adds, moves and removes points.
    #[default]
    Points,
    /// Moves the picture under the outline.
    MovePicture,
    /// Marks a known length on the picture.
    Measure,
}

/// An outline being drawn, and the rounds that come of it.
#[derive(Clone)]
pub struct Drawing {
    pad: Pad,
    /// The toy as it is beside the page; nothing changes it while that is open.
    toy: Toy,
    /// The part whose rounds it is to replace; a new part where none.
    into: Option<usize>,
    name: String,
    /// The shape that the page began from, as its list says.
    shape: Option<StartShape>,
    path: String,
    /// What was wrong with a file, or what was decided about it.
    told: Option<Told>,
    under: Option<Underlay>,
    tool: Tool,
    fitting: Fitting,
    sight: Option<Sight>,
    /// The point in hand, and on which side of the axis.
    grip: Option<pad::Grip>,
}

/// A sentence about a file.
#[derive(Clone, Debug, PartialEq)]
struct Told {
    text: String,
    is_wrong: bool,
}

impl std::fmt::Debug for Drawing {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Drawing({})", self.pad.words())
    }
}

impl PartialEq for Drawing {
    fn eq(&self, other: &Drawing) -> bool {
        self.pad == other.pad && self.into == other.into && self.name == other.name && self.told == other.told
    }
}

/// Rounds that were made from an outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    part: Part,
    name: String,
    into: Option<usize>,
}

/// Width and height that a shape begins with, mm.
const FIRST_MM: f64 = 60.0;

impl Drawing {
    /// A ball, for a new part of a toy. `beside`: long work runs in a thread of its own.
    pub fn new(toy: &Toy, beside: bool) -> Drawing {
        let shape = StartShape::Ball;
        Drawing {
            pad: shape.outline(FIRST_MM, FIRST_MM).map(|half| Pad::of(&half)).unwrap_or_default(),
            toy: toy.clone(),
            into: None,
            name: shape.word().to_owned(),
            shape: Some(shape),
            path: String::new(),
            told: None,
            under: None,
            tool: Tool::default(),
            fitting: Fitting::new(beside),
            sight: None,
            grip: None,
        }
    }

    /// Takes it up again, maybe with another toy.
    fn beside(mut self, toy: &Toy) -> Drawing {
        self.into = self
            .into
            .filter(|i| toy.pieces.get(*i).map(|p| &p.part.name) == self.toy.pieces.get(*i).map(|p| &p.part.name));
        self.toy = toy.clone();
        self
    }

    /// Reads an outline or a picture from a file.
    pub(super) fn take_file(&mut self, path: &std::path::Path, ctx: &Context) {
        self.path = path.display().to_string();
        trace::open(self, ctx);
    }

    /// What is to be worked out: the outline, and what its shape depends on.
    fn question(&self) -> Result<Question, String> {
        let half = self.pad.outline().map_err(|e| sentence(&e.to_string()))?;
        Ok(Question { half, input: input_for(&self.toy, self.into) })
    }
}

/// What the shape of a part of the toy depends on; of a new part, as it waits beside it.
fn input_for(toy: &Toy, part: Option<usize>) -> ShapeInput {
    match part.filter(|i| *i < toy.pieces.len()) {
        Some(part) => shape_input(toy, part),
        None => {
            let yarns = toy.yarns.clone();
            let alone = Toy { pieces: vec![Piece::default()], yarns, settings: toy.settings, ..Toy::default() };
            shape_input(&alone, 0)
        }
    }
}

/// A sentence of an error with its capital and its stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let stop = if text.ends_with('.') { "" } else { "." };
    format!("{first}{}{stop}", letters.as_str())
}

impl App {
    /// Opens the page, with the outline that was drawn last.
    pub(super) fn draw_outline(&mut self) {
        let toy = self.bench.toy();
        let drawing = match self.drawing.take() {
            Some(kept) => Box::new(kept.beside(toy)),
            None => Box::new(Drawing::new(toy, self.bench.landing.is_beside())),
        };
        self.dialog = Some(super::dialogs::Dialog::Outline(drawing));
    }

    /// Puts the rounds of an outline into the toy.
    pub(super) fn take_outline(&mut self, worked: Worked) {
        self.bench.seal();
        let at = match worked.into {
            Some(part) => {
                self.bench.edit(EditKind::Once("rounds from an outline"), |toy| {
                    edits::replace_rounds(toy, part, &worked.part);
                });
                part
            }
            None => {
                let mut at = 0;
                self.bench.edit(EditKind::Once("part from an outline"), |toy| {
                    if toy.pieces.is_empty() && toy.name.is_empty() {
                        toy.name = sentence(&worked.name).trim_end_matches('.').to_owned();
                    }
                    at = edits::add_worked(toy, &worked.part, &worked.name);
                });
                if self.bench.toy().pieces.len() > 1 {
                    let name = &self.bench.toy().pieces[at].part.name;
                    self.message = Some(format!("Made the part {name}. Next, say under Place where it is sewn on."));
                }
                at
            }
        };
        self.bench.choose(Some(Chosen { part: at, round: None }));
        self.views.fit();
    }
}

/// Room around the page, logical pixels.
const AROUND: f32 = 44.0;
/// Largest page.
const LARGEST: egui::Vec2 = vec2(1320.0, 900.0);
/// Width of the side with the rounds.
const SIDE: f32 = 336.0;

/// Shows the page. Answers whether it stays open, and what came of it.
pub fn show(ctx: &Context, drawing: &mut Drawing) -> (bool, Option<Outcome>) {
    let size = (ctx.content_rect().size() - vec2(AROUND, AROUND)).min(LARGEST).max(vec2(320.0, 240.0));
    let modal = Modal::new(Id::unique("outline page")).show(ctx, |ui| {
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        let new = focus::is_new(ui, "outline page");
        let question = drawing.question();
        drawing.fitting.look(ctx, question, drawing.grip.is_none());
        page(ui, rect, drawing, new)
    });
    // A click beside the page or Escape does not throw the drawing away: it is kept until the page is opened again.
    let closed = modal.should_close();
    let (open, outcome) = modal.inner;
    (open && outcome.is_none() && !closed, outcome)
}

fn within<R>(ui: &mut Ui, name: &str, rect: Rect, add: impl FnOnce(&mut Ui) -> R) -> R {
    ui.scope_builder(UiBuilder::new().id_salt(name).max_rect(rect), |ui| {
        ui.set_clip_rect(ui.clip_rect().intersect(rect.expand(4.0)));
        add(ui)
    })
    .inner
}

fn page(ui: &mut Ui, rect: Rect, drawing: &mut Drawing, new: bool) -> (bool, Option<Outcome>) {
    let side = SIDE.min(rect.width() * 0.42);
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), 30.0));
    let body = Rect::from_min_max(pos2(rect.left(), head.bottom() + 4.0), rect.max);
    let left = Rect::from_min_max(body.min, pos2(body.right() - side - 14.0, body.bottom()));
    let right = Rect::from_min_max(pos2(left.right() + 14.0, body.top()), body.max);
    within(ui, "head", head, |ui| {
        ui.horizontal(|ui| {
            ui.heading("Draw an outline");
            let hint = "Half of a part as it is to look when stuffed. Its rounds follow at once.";
            ui.add(egui::Label::new(RichText::new(hint).weak()).truncate());
        });
    });
    let low = Rect::from_min_max(pos2(left.left(), left.bottom() - 62.0), left.max);
    let high = Rect::from_min_size(left.min, vec2(left.width(), 30.0));
    let middle = Rect::from_min_max(pos2(left.left(), high.bottom() + 4.0), pos2(left.right(), low.top() - 5.0));
    within(ui, "shape", high, |ui| points::shape(ui, drawing, new));
    within(ui, "pad", middle, |ui| pad::show(ui, drawing));
    within(ui, "point", low, |ui| points::point(ui, drawing));
    let foot = Rect::from_min_max(pos2(right.left(), right.bottom() - 66.0), right.max);
    let above = Rect::from_min_max(right.min, pos2(right.right(), foot.top() - 6.0));
    within(ui, "rounds", above, |ui| {
        egui::ScrollArea::vertical().id_salt("rounds of the outline").auto_shrink([false, false]).show(ui, |ui| {
            focus::follow(ui);
            rounds::show(ui, drawing);
            ui.add_space(8.0);
            ui.separator();
            trace::show(ui, drawing);
        });
    });
    within(ui, "do it", foot, |ui| {
        ui.separator();
        finish(ui, drawing)
    })
}

fn finish(ui: &mut Ui, drawing: &mut Drawing) -> (bool, Option<Outcome>) {
    let mut shown = (true, None);
    ui.with_layout(Layout::bottom_up(Align::Min), |ui| {
        ui.horizontal(|ui| {
            let fit = drawing.fitting.fit();
            let words = match drawing.into.and_then(|i| drawing.toy.pieces.get(i)) {
                Some(piece) => format!("Replace the rounds of {}", piece.part.name),
                None => "Make it a part".to_owned(),
            };
            let fill = ui.visuals().selection.bg_fill;
            let button = egui::Button::new(RichText::new(&words).family(look::strong_family())).fill(fill).truncate();
            let ready = fit.is_some() && drawing.fitting.is_settled();
            let made = ui.add_enabled(ready, button.min_size(vec2(0.0, 28.0)).wrap_mode(egui::TextWrapMode::Truncate));
            if made.on_hover_text("Undo takes it back in one step").clicked()
                && let Some(fit) = fit
            {
                let worked = Worked { part: fit.part.clone(), name: drawing.name.clone(), into: drawing.into };
                shown.1 = Some(Outcome::Worked(Box::new(worked)));
            }
            if ui.button("Close").on_hover_text("The outline is kept until you come back").clicked() {
                shown.0 = false;
            }
        });
    });
    shown
}
