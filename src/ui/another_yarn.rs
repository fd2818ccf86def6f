//! The dialog that shows the toy otherwise beside the one in hand: the same counts or the same size in another yarn, or
//! as large as the yarn at hand allows. It is taken over as one step, or not at all.

use egui::{Grid, RichText, ScrollArea, TextEdit, Ui};

use super::bench::Bench;
use super::dialogs::{Outcome, Shown, first};
use super::fields::{choice, hint, row, yarn_colour};
use super::focus;
use super::swapping::{Answer, Swapping};
use super::text::Text;
use super::yarn_fields;
use crate::figure::Figure;
use crate::measure::need::{Enough, YarnNeed};
use crate::swap::{Side, Swapped};
use crate::toy::Toy;
use crate::view::units::{Units, short};
use crate::yarn::Yarn;

/// What stays and what changes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Way {
    /// Every count stays; the size changes.
    #[default]
    Counts,
    /// The size stays; the counts change.
    Size,
    /// As large as the yarn at hand allows.
    Large,
}

const WAYS: [(Way, &str); 3] =
    [(Way::Counts, "Same counts"), (Way::Size, "Same size"), (Way::Large, "As large as the yarn allows")];

/// What is asked so far.
#[derive(Clone, Debug, PartialEq)]
pub struct SwapDraft {
    /// The yarn whose place the new one takes.
    pub index: usize,
    /// What stays.
    pub way: Way,
    /// The new yarn.
    pub yarn: Yarn,
    /// As large as lasts even at the upper end of the need.
    pub sure: bool,
    /// As large as the new yarn allows, not those of the toy.
    pub other: bool,
}

impl Default for SwapDraft {
    fn default() -> Self {
        let yarn = Yarn { name: "New yarn".to_owned(), ..Yarn::default() };
        SwapDraft { index: 0, way: Way::default(), yarn, sure: true, other: false }
    }
}

impl SwapDraft {
    /// In the place of the yarn of the chosen part, under a name of its own.
    pub fn of(toy: &Toy, part: Option<usize>) -> SwapDraft {
        let mut draft = SwapDraft::default();
        let worked_in = part.and_then(|p| toy.pieces.get(p)).map(|p| p.part.yarn.as_str());
        draft.index = worked_in.and_then(|name| toy.yarns.iter().position(|y| y.name == name)).unwrap_or(0);
        if let Some(old) = toy.yarns.get(draft.index) {
            draft.yarn.colour = old.colour;
        }
        let taken = |name: &String| toy.yarns.iter().any(|y| y.name == *name);
        let names = std::iter::once("New yarn".to_owned()).chain((2..).map(|n| format!("New yarn {n}")));
        draft.yarn.name = names.into_iter().find(|n| !taken(n)).unwrap_or_default();
        draft
    }

    /// Why it cannot be asked yet.
    fn wrong(&self, toy: &Toy) -> Option<String> {
        let name = self.yarn.name.trim();
        if self.way == Way::Large && !self.other {
            return None;
        }
        if name.is_empty() {
            return Some("Give the new yarn a name.".to_owned());
        }
        let taken = toy.yarns.iter().enumerate().any(|(i, y)| i != self.index && y.name == name);
        taken.then(|| format!("Another yarn of the toy is called {name}: choose another name."))
    }
}

/// Shows the dialog.
pub fn show(
    ui: &mut Ui,
    draft: &mut SwapDraft,
    bench: &Bench,
    units: Units,
    swapping: &mut Swapping,
    new: bool,
) -> Shown {
    ui.heading("Another yarn");
    let toy = bench.toy();
    ui.horizontal_wrapped(|ui| {
        for (way, name) in WAYS {
            if ui.selectable_label(draft.way == way, name).clicked() {
                draft.way = way;
            }
        }
    });
    hint(
        ui,
        match draft.way {
            Way::Counts => "The rounds stay as they are: the toy comes out in another size.",
            Way::Size => "The toy stays as large: its parts get new counts, and all that is placed goes along.",
            Way::Large => "The toy grows or shrinks, its shape kept, until the yarn at hand is used up.",
        },
    );
    let wrong = draft.wrong(toy);
    let tall = (ui.ctx().content_rect().height() - 210.0).clamp(160.0, 520.0);
    let narrow = (ui.available_width() * 0.43).min(310.0);
    let mut taken = None;
    ui.horizontal_top(|ui| {
        ui.vertical(|ui| {
            ui.set_width(narrow);
            ScrollArea::vertical().id_salt("new yarn").max_height(tall).show(ui, |ui| {
                focus::follow(ui);
                asked(ui, draft, toy, new);
            });
        });
        ui.add_space(10.0);
        ui.vertical(|ui| {
            ScrollArea::vertical().id_salt("side by side").max_height(tall).show(ui, |ui| {
                if let Some(why) = &wrong {
                    ui.add(egui::Label::new(why).wrap());
                    return;
                }
                match swapping.answer(bench.generation(), toy, draft) {
                    None => {
                        ui.label(RichText::new("Working it out…").weak());
                    }
                    Some(Err(why)) => {
                        ui.add(egui::Label::new(why).wrap());
                    }
                    Some(Ok((size, swapped))) => {
                        if let Some(size) = size {
                            ui.label(format!("{} times as large as now.", short(*size)));
                        }
                        beside(ui, toy, swapped, units);
                    }
                }
            });
        });
    });
    ui.separator();
    let mut shown = (true, None);
    ui.horizontal(|ui| {
        let answer: Option<&Answer> = match wrong {
            None => swapping.answer(bench.generation(), toy, draft),
            Some(_) => None,
        };
        let swapped = answer.and_then(|a| a.as_ref().ok()).map(|(_, swapped)| swapped);
        let take = ui.add_enabled(swapped.is_some(), egui::Button::new("Take this toy"));
        if take.on_hover_text("One step: Undo brings the old toy back").clicked() {
            taken = swapped.map(|s| Outcome::Swap(Box::new(s.toy.clone())));
        }
        if ui.button("Cancel").clicked() {
            shown.0 = false;
        }
    });
    shown.1 = taken;
    shown
}

/// What is asked: which yarn, and all that is known of the new one.
fn asked(ui: &mut Ui, draft: &mut SwapDraft, toy: &Toy, new: bool) {
    let names: Vec<(usize, &str)> = toy.yarns.iter().map(|y| y.name.as_str()).enumerate().collect();
    if draft.way == Way::Large {
        ui.checkbox(&mut draft.sure, "Surely enough").on_hover_text("Lasts even at the upper end of the need");
        ui.checkbox(&mut draft.other, "In a new yarn");
        if !draft.other {
            hint(ui, "In the yarns that the toy has, with what is at hand of them.");
            return;
        }
    }
    if names.len() > 1
        && let Some(index) = choice(ui, "Instead of", &draft.index, &names)
    {
        draft.index = index;
    }
    row(ui, "Name", |ui| {
        let mut field = Text(&mut draft.yarn.name);
        let edit = TextEdit::singleline(&mut field).char_limit(60).desired_width(150.0);
        let edit = ui.add(edit).accessible_name("Name of the new yarn");
        first(&edit, new);
    });
    if let Some(colour) = yarn_colour(ui, "New colour", draft.yarn.colour) {
        draft.yarn.colour = colour;
    }
    hint(ui, "Tick what you know of it; the rest is estimated.");
    let made = crate::yarn::fabric(&toy.settings.in_hand(&draft.yarn));
    yarn_fields::label(ui, &mut draft.yarn, &made);
    yarn_fields::swatch(ui, &mut draft.yarn, &made);
    yarn_fields::more(ui, &mut draft.yarn, &made);
}

/// A row of the comparison.
struct Row {
    name: String,
    now: String,
    then: String,
}

fn rows(toy: &Toy, swapped: &Swapped, units: Units) -> Vec<Row> {
    let (a, b) = (&swapped.before, &swapped.after);
    let mut rows = Vec::new();
    let mut add = |name: &str, of: &dyn Fn(&Side) -> String| {
        rows.push(Row { name: name.to_owned(), now: of(a), then: of(b) });
    };
    let none = || "not placed".to_owned();
    add("Tall", &|s| s.size_mm.map_or_else(none, |z| units.length(z.z).both()));
    add("Wide", &|s| s.size_mm.map_or_else(none, |z| units.length(z.x).both()));
    add("Weighs", &|s| units.mass(s.mass_g).both());
    add("Leans before it falls", &|s| s.tip_deg.map_or_else(none, |t| units.angle(t).both()));
    add("Standing", &|s| s.verdict.map_or_else(none, |v| v.replace('_', " ")));
    for (i, after) in b.yarns.iter().enumerate() {
        let before = a.yarns.get(i);
        let name = match before {
            Some(before) if before.name != after.name => format!("Needs {} (was {})", after.name, before.name),
            _ if after.name.is_empty() => "Needs yarn".to_owned(),
            _ => format!("Needs {}", after.name),
        };
        rows.push(Row { name, now: before.map_or_else(String::new, |y| needs(y, units)), then: needs(after, units) });
    }
    rows.push(Row { name: "Rounds".to_owned(), now: a.rounds.to_string(), then: b.rounds.to_string() });
    rows.push(Row { name: "Stitches".to_owned(), now: a.stitches.to_string(), then: b.stitches.to_string() });
    for (old, new) in toy.pieces.iter().zip(&swapped.toy.pieces) {
        let told = |part: &crate::part::Part| {
            let widest = part.counts().into_iter().max().unwrap_or(0);
            format!("{} rounds, widest {widest} sts", part.rounds.len())
        };
        rows.push(Row { name: old.part.name.clone(), now: told(&old.part), then: told(&new.part) });
    }
    rows
}

fn needs(need: &YarnNeed, units: Units) -> String {
    let mut text = units.mass(need.need.grams).both();
    if let Some(have) = need.have_g {
        text += &format!(" of {}", units.mass(Figure::exact(have)).value());
    }
    text += match need.enough {
        Some(Enough::Enough) => ": enough",
        Some(Enough::Close) => ": close",
        Some(Enough::Short) => ": short",
        None => "",
    };
    text
}

fn beside(ui: &mut Ui, toy: &Toy, swapped: &Swapped, units: Units) {
    let cell = ((ui.available_width() - 20.0) / 3.0).clamp(90.0, 160.0);
    Grid::new("old and new").num_columns(3).striped(true).spacing([8.0, 3.0]).max_col_width(cell).show(ui, |ui| {
        ui.label("");
        ui.strong("Now");
        ui.strong("Then");
        ui.end_row();
        for row in rows(toy, swapped, units) {
            ui.add(egui::Label::new(RichText::new(row.name).small()).wrap());
            ui.add(egui::Label::new(RichText::new(&row.now).size(13.5)).wrap());
            let text = RichText::new(&row.then).size(13.5);
            let changed = row.now != row.then;
            ui.add(egui::Label::new(if changed { text.strong() } else { text.weak() }).wrap());
            ui.end_row();
        }
    });
    let ((severe, warnings), (severe_now, warnings_now)) = (swapped.after.findings, swapped.before.findings);
    let (then, now) = (severe + warnings, severe_now + warnings_now);
    if then != now {
        hint(ui, format!("Places that need a look: {then}, now {now}."));
    }
}
