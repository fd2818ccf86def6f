//! Small fields that the panels share. Each has its words beside it and carries them as its accessible name.

use egui::{ComboBox, DragValue, RichText, Ui, vec2};

use super::bench::Bench;
use crate::document::history::EditKind;
use crate::part::End;
use crate::view::ink::COLOUR_WORDS;
pub use crate::view::units::read_number;
use crate::view::units::{Typed, Units, short};

/// Width of the words beside a field.
const WORDS: f32 = 108.0;

/// A row: words on the left, a field on the right.
pub fn row<R>(ui: &mut Ui, words: &str, field: impl FnOnce(&mut Ui) -> R) -> R {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let width = WORDS.min(ui.available_width() * 0.42);
        ui.allocate_ui_with_layout(egui::vec2(width, 22.0), egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(width);
            ui.add(egui::Label::new(words).wrap());
        });
        ui.name_inputs(words, field)
    })
    .inner
}

/// A choice among named values. Answers the one that was chosen anew.
pub fn choice<T: PartialEq + Clone>(ui: &mut Ui, words: &str, now: &T, all: &[(T, &str)]) -> Option<T> {
    let name = all.iter().find(|(value, _)| value == now).map_or("", |(_, name)| *name);
    let mut chosen = None;
    row(ui, words, |ui| {
        let width = ui.available_width().min(210.0);
        let combo = ComboBox::from_id_salt(words).selected_text(name).width(width).show_ui(ui, |ui| {
            for (value, name) in all {
                if ui.selectable_label(value == now, *name).clicked() && value != now {
                    chosen = Some(value.clone());
                }
            }
        });
        combo.response.accessible_name(words);
    });
    chosen
}

/// A choice among the names of a list. Answers the one that was chosen anew.
pub fn name_choice(ui: &mut Ui, words: &str, now: &str, names: &[String]) -> Option<String> {
    let all: Vec<(String, &str)> = names.iter().map(|n| (n.clone(), n.as_str())).collect();
    let now = now.to_owned();
    let mut shown = all.clone();
    if !names.contains(&now) {
        shown.push((now.clone(), if now.is_empty() { "(none)" } else { now.as_str() }));
    }
    choice(ui, words, &now, &shown)
}

/// The maker's units, as [`tell_units`] told them last.
pub fn units(ui: &Ui) -> Units {
    ui.data(|d| d.get_temp(units_key())).unwrap_or_default()
}

/// Tells all fields the maker's units.
pub fn tell_units(ui: &Ui, units: Units) {
    ui.data_mut(|d| d.insert_temp(units_key(), units));
}

fn units_key() -> egui::Id {
    egui::Id::unique("units of typed figures")
}

/// A figure to drag or type. One in mm or g is shown and typed in the maker's units, or typed with its own behind it;
/// `value`, `range` and `speed` stay in mm or g. `read` reads it otherwise, as it stands.
pub struct Drag<'a> {
    pub range: std::ops::RangeInclusive<f64>,
    pub speed: f64,
    pub decimals: usize,
    pub prefix: &'a str,
    pub unit: &'a str,
    pub read: Option<fn(&str) -> Option<f64>>,
}

impl Default for Drag<'_> {
    fn default() -> Self {
        Drag { range: f64::MIN..=f64::MAX, speed: 0.1, decimals: 2, prefix: "", unit: "", read: None }
    }
}

impl Drag<'_> {
    /// Shows it.
    pub fn show(self, ui: &mut Ui, value: &mut f64) -> egui::Response {
        let units = units(ui);
        let typed = Typed::of_unit(self.unit).filter(|_| self.read.is_none());
        let (unit, one) = typed.map_or((self.unit, 1.0), |of| units.typed(of));
        let read = move |text: &str| match (typed, self.read) {
            (Some(of), _) => units.read(of, text).map(|value| value / one),
            (None, Some(read)) => read(text),
            (None, None) => read_number(text),
        };
        let mut shown = *value / one;
        let range = *self.range.start() / one..=*self.range.end() / one;
        let decimals = if one == 1.0 { self.decimals } else { 2 };
        let drag = DragValue::new(&mut shown).range(range).speed(self.speed / one).max_decimals(decimals);
        let response = ui.add(drag.prefix(self.prefix).suffix(unit).custom_parser(read));
        // Only what was changed is carried back: a conversion must not move what was merely looked at.
        if response.changed() {
            *value = shown * one;
        }
        response
    }
}

/// A figure in mm or g in the maker's units, with its unit: "about 3.4 in".
fn about(ui: &Ui, value: f64, unit: &str) -> String {
    let (unit, one) = Typed::of_unit(unit).map_or((unit, 1.0), |of| units(ui).typed(of));
    format!("about {}{unit}", short(value / one))
}

/// A number with its unit. Answers the new one.
pub fn number(
    ui: &mut Ui,
    words: &str,
    now: f64,
    range: std::ops::RangeInclusive<f64>,
    unit: &str,
    speed: f64,
) -> Option<f64> {
    let mut value = now;
    let drag = Drag { range, speed, unit, ..Drag::default() };
    let response = row(ui, words, |ui| drag.show(ui, &mut value).accessible_name(words));
    (response.changed() && value != now).then_some(value)
}

/// A count, such as of rounds. Answers the new one.
pub fn count(ui: &mut Ui, words: &str, now: u32, range: std::ops::RangeInclusive<u32>) -> Option<u32> {
    let mut value = now;
    let drag = DragValue::new(&mut value).range(range).speed(0.1);
    let response = row(ui, words, |ui| ui.add(drag).accessible_name(words));
    (response.changed() && value != now).then_some(value)
}

/// A number that may be unknown: a tick says it is known; until then the estimate is shown.
pub fn maybe(
    ui: &mut Ui,
    words: &str,
    now: Option<f64>,
    estimate: f64,
    range: std::ops::RangeInclusive<f64>,
    unit: &str,
) -> Option<Option<f64>> {
    let unknown = about(ui, estimate, unit);
    known(ui, words, now, Unknown { text: &unknown, first: estimate }, range, Entry { unit, beside: None, read: None })
}

/// What a field shows while its number is not known, and the number that a tick puts there first.
pub struct Unknown<'a> {
    pub text: &'a str,
    pub first: f64,
}

/// How a number is typed: the unit behind it, what stands beside it, and how the text is read where not as a plain
/// number with its unit.
pub struct Entry<'a> {
    pub unit: &'a str,
    pub beside: Option<&'a str>,
    pub read: Option<fn(&str) -> Option<f64>>,
}

/// A number that may be unknown, as [`maybe`], with its own words until then.
pub fn known(
    ui: &mut Ui,
    words: &str,
    now: Option<f64>,
    unknown: Unknown,
    range: std::ops::RangeInclusive<f64>,
    entry: Entry,
) -> Option<Option<f64>> {
    let mut answer = None;
    row(ui, words, |ui| {
        let mut known = now.is_some();
        let tick = ui.checkbox(&mut known, "").accessible_name(format!("{words} is known"));
        let tick = tick.on_hover_text("Tick where you know it; until then it is estimated");
        if tick.changed() {
            answer = Some(known.then_some(unknown.first.clamp(*range.start(), *range.end())));
        }
        match now {
            Some(value) => {
                let mut value = value;
                let drag = Drag { range, speed: 0.05, unit: entry.unit, read: entry.read, ..Drag::default() };
                if drag.show(ui, &mut value).accessible_name(words).changed() {
                    answer = Some(Some(value));
                }
                if let Some(beside) = entry.beside {
                    ui.label(RichText::new(beside).weak());
                }
            }
            None => {
                let text = RichText::new(unknown.text).weak();
                ui.add(egui::Label::new(text).truncate()).on_hover_text("Tick it once you know it");
            }
        }
    });
    answer
}

/// A colour of yarn: by the words makers use, or mixed from red, green and blue.
pub fn yarn_colour(ui: &mut Ui, words: &str, now: [u8; 3]) -> Option<[u8; 3]> {
    let mut chosen = None;
    row(ui, words, |ui| {
        let nearest = COLOUR_WORDS.iter().find(|(_, c)| *c == now).map_or("mixed", |(word, _)| word);
        let (rect, _) = ui.allocate_exact_size(vec2(30.0, 20.0), egui::Sense::hover());
        swatch(ui, rect, now);
        let menu = ui.menu_button(nearest, |ui| {
            egui::Grid::new("colours").num_columns(3).spacing(vec2(4.0, 2.0)).show(ui, |ui| {
                let named = COLOUR_WORDS.iter().filter(|(word, _)| *word != "gray");
                for (i, (word, colour)) in named.enumerate() {
                    let mark = egui::Atom::paint(vec2(18.0, 14.0), move |ui: &Ui, args: egui::AtomPaintArgs| {
                        swatch(ui, args.rect, *colour);
                    });
                    if ui.add(egui::Button::new((mark, *word)).min_size(vec2(104.0, 22.0))).clicked() {
                        chosen = Some(*colour);
                        ui.close();
                    }
                    if i % 3 == 2 {
                        ui.end_row();
                    }
                }
            });
            ui.horizontal(|ui| {
                for (channel, name) in ["red", "green", "blue"].into_iter().enumerate() {
                    let mut value = now[channel];
                    let drag = DragValue::new(&mut value).prefix(format!("{name} "));
                    if ui.add(drag).accessible_name(format!("{words}: {name}")).changed() {
                        let mut mixed = now;
                        mixed[channel] = value;
                        chosen = Some(mixed);
                    }
                }
            });
        });
        menu.response.accessible_name(words);
    });
    chosen
}

fn swatch(ui: &Ui, rect: egui::Rect, colour: [u8; 3]) {
    let [r, g, b] = colour;
    let line = ui.visuals().widgets.noninteractive.fg_stroke;
    ui.painter().rect(rect, 4, egui::Color32::from_rgb(r, g, b), line, egui::StrokeKind::Inside);
}

/// An edit of the whole toy's or a part's setting, from an answer where there is one.
pub fn set<T>(
    bench: &mut Bench,
    part: Option<usize>,
    name: &'static str,
    answer: Option<T>,
    put: impl FnOnce(&mut crate::toy::Toy, T),
) {
    if let Some(value) = answer {
        bench.edit(EditKind::Setting { part, name }, |toy| put(toy, value));
    }
}

/// Ends of a part in words.
pub const ENDS: [(End, &str); 2] = [(End::Start, "first round"), (End::Finish, "last round")];

/// A line that explains.
pub fn hint(ui: &mut Ui, text: impl Into<String>) {
    ui.add(egui::Label::new(RichText::new(text).small().weak()).wrap());
}

/// A line that says what is wrong with what was typed.
pub fn problem(ui: &mut Ui, text: impl Into<String>) {
    let bad = super::look::colour(super::look::Mood::Bad.ink(), super::look::ground(ui));
    ui.add(egui::Label::new(RichText::new(text).small().color(bad)).wrap());
}
