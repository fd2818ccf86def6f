//! The dialog that takes in what a scale or a tape says while the toy is made, and tells what each reading changes
//! before it is taken in.

use egui::{Key, RichText, ScrollArea, TextEdit, Ui};

use super::bench::Bench;
use super::dialogs::{Outcome, Shown, first};
use super::fields::{choice, count, hint, name_choice, problem, row};
use super::focus;
use super::text::Text;
use crate::figure::Figure;
use crate::measure::need::YarnNeed;
use crate::measure::{Report, derive};
use crate::part::Amount;
use crate::toy::records::{Around, PartWeight, WeighIn, Weight};
use crate::toy::{Records, Toy};
use crate::view::elevation::Chosen;
use crate::view::units::{Typed, Units, weight_word};

/// What was read off.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum What {
    /// Yarn, on the scale.
    #[default]
    Yarn,
    /// A finished part, on the scale.
    Part,
    /// A stuffed part, under the tape.
    Around,
}

const WHATS: [(What, &str); 3] =
    [(What::Yarn, "Yarn so far"), (What::Part, "A finished part"), (What::Around, "Around a round")];

/// What of the yarn was on the scale.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum How {
    /// What is used.
    #[default]
    Used,
    /// What is left of all.
    LeftOfAll,
    /// What is left on the ball in hand.
    LeftOnBall,
}

const HOWS: [(How, &str); 3] =
    [(How::Used, "used so far"), (How::LeftOfAll, "left of all"), (How::LeftOnBall, "left on the ball")];

/// Most that is taken for a weight, g, or a length, mm.
const MOST: f64 = 10_000.0;

/// What is typed so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WeighDraft {
    /// What was read off.
    pub what: What,
    /// Name of the yarn; the part's own where empty.
    pub yarn: String,
    /// Name of the part; the first where there is none of it.
    pub part: String,
    /// Which copy of it, from 1.
    pub copy: u32,
    /// The last round done, from 1; the part's last where 0.
    pub round: u32,
    /// What of the yarn was weighed.
    pub how: How,
    /// Which ball, from 1.
    pub ball: u32,
    /// The figure as typed.
    pub text: String,
    /// The part was stuffed.
    pub stuffed: bool,
}

impl WeighDraft {
    /// After the chosen round, or the last of the chosen part.
    pub fn of(toy: &Toy, chosen: Option<Chosen>) -> WeighDraft {
        let piece = chosen.and_then(|c| toy.pieces.get(c.part));
        WeighDraft {
            part: piece.map_or_else(String::new, |p| p.part.name.clone()),
            round: chosen.and_then(|c| c.round).map_or(0, |r| r as u32 + 1),
            stuffed: piece.is_some_and(|p| matches!(p.part.stuffing.amount, Amount::Grams(_))),
            ..WeighDraft::default()
        }
    }

    fn index(&self, toy: &Toy) -> usize {
        toy.piece_named(&self.part).unwrap_or(0)
    }

    fn round_of(&self, toy: &Toy) -> u32 {
        let last = toy.pieces.get(self.index(toy)).map_or(0, |p| p.part.rounds.len() as u32);
        if self.round == 0 { last } else { self.round.min(last) }
    }

    /// The words of the field.
    fn field(&self, units: Units) -> String {
        let what = match (self.what, self.how) {
            (What::Yarn, How::Used) => "used",
            (What::Yarn, How::LeftOfAll) => "left of all",
            (What::Yarn, How::LeftOnBall) => "left on the ball",
            (What::Part, _) => "of the part",
            (What::Around, _) => {
                return if units == Units::Metric { "Millimetres around" } else { "Inches around" }.to_owned();
            }
        };
        format!("{} {what}", weight_word(units))
    }

    fn typed(&self) -> Typed {
        if self.what == What::Around { Typed::Length } else { Typed::Mass }
    }

    /// All records with this one among them; why not, in plain words; `Ok(None)` while nothing is typed.
    fn records(&self, toy: &Toy, needs: &[&YarnNeed], units: Units) -> Result<Option<Records>, String> {
        let text = self.text.trim();
        if text.is_empty() {
            return Ok(None);
        }
        let (unit, one) = units.typed(self.typed());
        let Some(value) = units.read(self.typed(), text) else {
            return Err(format!("\"{text}\" is no number: write it like 30, 30.5 or 30{unit}."));
        };
        if !(0.0..=MOST).contains(&value) {
            return Err(format!("{text} cannot be right: a number from 0 to {:.0}{unit} is expected.", MOST / one));
        }
        let index = self.index(toy);
        let Some(piece) = toy.pieces.get(index) else { return Err("There is no part yet.".to_owned()) };
        let (part, round) = (piece.part.name.clone(), self.round_of(toy));
        if round == 0 {
            return Err(format!("{part} has no rounds yet."));
        }
        let nothing = || Err(format!("{} must be above 0.", self.field(units)));
        let mut records = toy.records.clone();
        match self.what {
            What::Yarn => {
                let own = toy.yarn(&piece.part.yarn).map_or(piece.part.yarn.as_str(), |y| y.name.as_str());
                let spoken = if self.yarn.is_empty() { own } else { &self.yarn };
                let need = needs.iter().find(|n| n.name == spoken);
                let weight = match self.how {
                    How::Used if value == 0.0 => return nothing(),
                    How::Used => Weight::Used(value),
                    How::LeftOfAll => {
                        let Some(have) = need.and_then(|n| n.have_g) else {
                            return Err("Nothing says how much was at hand: say it under Yarn first.".to_owned());
                        };
                        if value >= have {
                            return Err(format!("Only {have:.0} g were at hand, so {text} g cannot be left."));
                        }
                        Weight::LeftOfAll(value)
                    }
                    How::LeftOnBall => {
                        let Some(ball) = need.and_then(|n| n.ball_g) else {
                            return Err("Nothing says what a ball weighs: say it under Yarn first.".to_owned());
                        };
                        if value >= ball {
                            return Err(format!("A ball weighs {ball:.0} g, so {text} g cannot be left on one."));
                        }
                        Weight::LeftOnBall { grams: value, ball: self.ball.max(1) }
                    }
                };
                let yarn = if spoken == own { String::new() } else { spoken.to_owned() };
                let copy = self.copy.clamp(1, toy.copies_of(index));
                records.weigh_ins.push(WeighIn { yarn, part, copy, round, weight });
            }
            What::Part if value == 0.0 => return nothing(),
            What::Part => {
                records.parts.retain(|p| p.part != part);
                records.parts.push(PartWeight { part, grams: value, stuffed: self.stuffed });
            }
            What::Around if value == 0.0 => return nothing(),
            What::Around => {
                if piece.part.stuffing.amount == Amount::None {
                    return Err(format!("{part} is not stuffed: only stuffed parts are measured around."));
                }
                records.around.retain(|a| a.part != part || a.round != round);
                records.around.push(Around { part, round, circumference_mm: value });
            }
        }
        Ok(Some(records))
    }
}

/// What records would change, worked out once for every change of them.
#[derive(Debug, Default)]
pub struct Preview {
    of: Option<(u64, Records)>,
    told: Vec<String>,
}

impl Preview {
    fn of(&mut self, bench: &Bench, records: &Records, units: Units) -> &[String] {
        let is_kept = self.of.as_ref().is_some_and(|(of, kept)| *of == bench.generation() && kept == records);
        if !is_kept {
            let toy = Toy { records: records.clone(), ..bench.toy().clone() };
            self.told = changes(&bench.derived().report, &derive(&toy).report, units);
            self.of = Some((bench.generation(), records.clone()));
        }
        &self.told
    }
}

/// What differs between two reports, a sentence each.
fn changes(before: &Report, after: &Report, units: Units) -> Vec<String> {
    let mut told = Vec::new();
    let mut tell = |what: &str, was: String, is: String| {
        if was != is {
            told.push(format!("{what} {is} instead of {was}."));
        }
    };
    for (a, b) in before.yarn.iter().zip(&after.yarn) {
        let name = if b.name.is_empty() { "The yarn" } else { b.name.as_str() };
        let both = |g: Figure| units.mass(g).both();
        tell(&format!("{name}: the toy needs"), both(a.stock.need.grams), both(b.stock.need.grams));
        if let (Some(was), Some(is)) = (a.stock.enough, b.stock.enough) {
            tell(&format!("{name}: what is at hand is"), was.word().to_owned(), is.word().to_owned());
        }
        tell(&format!("{name}: a stitch is"), units.length(a.w_mm.figure).both(), units.length(b.w_mm.figure).both());
    }
    if let (Some(a), Some(b)) = (before.toy.size_mm, after.toy.size_mm) {
        tell("The toy is tall", units.length(a.z).both(), units.length(b.z).both());
    }
    tell("The toy weighs", units.mass(before.toy.mass_g).both(), units.mass(after.toy.mass_g).both());
    if let (Some(a), Some(b)) = (&before.stand, &after.stand) {
        tell("It leans before it falls", units.angle(a.tip_deg).both(), units.angle(b.tip_deg).both());
    }
    told
}

/// What is recorded, a line each.
fn lines(toy: &Toy) -> Vec<String> {
    let records = &toy.records;
    let copies = |part: &str| toy.piece_named(part).map_or(1, |i| toy.copies_of(i));
    let yarn = records.weigh_ins.iter().map(|w| {
        let copy = if copies(&w.part) > 1 { format!(" {}", w.copy.max(1)) } else { String::new() };
        let of = if w.yarn.is_empty() { String::new() } else { format!(" of {}", w.yarn) };
        let weight = match w.weight {
            Weight::Used(g) => format!("{g} g{of} used"),
            Weight::LeftOfAll(g) => format!("{g} g{of} left of all"),
            Weight::LeftOnBall { grams, ball } => format!("{grams} g{of} left on ball {ball}"),
        };
        format!("After round {} of {}{copy}: {weight}", w.round, w.part)
    });
    let parts = records.parts.iter().map(|p| {
        let how = if p.stuffed { "stuffed" } else { "empty" };
        format!("{}, finished, {how}: {} g", p.part, p.grams)
    });
    let around =
        records.around.iter().map(|a| format!("Around round {} of {}: {} mm", a.round, a.part, a.circumference_mm));
    yarn.chain(parts).chain(around).collect()
}

/// Records without the one at this place among [`lines`].
fn without(records: &Records, place: usize) -> Records {
    let mut left = records.clone();
    let (yarn, parts) = (left.weigh_ins.len(), left.parts.len());
    if place < yarn {
        left.weigh_ins.remove(place);
    } else if place < yarn + parts {
        left.parts.remove(place - yarn);
    } else if place - yarn - parts < left.around.len() {
        left.around.remove(place - yarn - parts);
    }
    left
}

/// Shows the dialog.
pub fn show(
    ui: &mut Ui,
    draft: &mut WeighDraft,
    bench: &Bench,
    units: Units,
    preview: &mut Preview,
    new: bool,
) -> Shown {
    let toy = bench.toy();
    ui.heading("Weigh in");
    ui.horizontal_wrapped(|ui| {
        for (what, name) in WHATS {
            if ui.selectable_label(draft.what == what, name).clicked() && draft.what != what {
                draft.what = what;
                draft.text.clear();
            }
        }
    });
    hint(
        ui,
        match draft.what {
            What::Yarn => "Weigh now and then while you work: the need of all that is still to be made follows it.",
            What::Part => "One finished part on the scale, without eyes: it tells its yarn, or its stuffing.",
            What::Around => "A tape around a stuffed part tells your gauge better than a swatch.",
        },
    );
    place(ui, draft, toy);
    let entered = figure(ui, draft, units, new);
    let needs: Vec<&YarnNeed> = bench.derived().report.yarn.iter().map(|y| &y.stock).collect();
    let records = draft.records(toy, &needs, units);
    let mut told = Vec::new();
    match &records {
        Err(why) => problem(ui, why),
        Ok(None) => hint(ui, "What it changes is told here before you take it in."),
        Ok(Some(records)) => {
            told = preview.of(bench, records, units).to_vec();
            if told.is_empty() {
                told.push("It agrees with what was known, or is less sure than that: no figure changes.".to_owned());
            }
            for line in &told {
                ui.add(egui::Label::new(line).wrap());
            }
        }
    }
    let mut shown = (true, None);
    let records = records.ok().flatten();
    ui.horizontal(|ui| {
        let take = ui.add_enabled(records.is_some(), egui::Button::new("Take it in")).clicked();
        if let Some(records) = records.filter(|_| take || entered) {
            let step = match draft.what {
                What::Yarn => "weigh-in",
                What::Part => "weighed part",
                What::Around => "measured circumference",
            };
            let told = told.first().cloned().unwrap_or_default();
            shown.1 = Some(Outcome::Records { records, step, told, stays: false });
        }
        if ui.button("Cancel").clicked() {
            shown.0 = false;
        }
    });
    if let Some(place) = earlier(ui, toy) {
        let told = "Taken out; Undo puts it back.".to_owned();
        let records = without(&toy.records, place);
        shown.1 = Some(Outcome::Records { records, step: "removed weigh-in", told, stays: true });
    }
    shown
}

/// Which part, copy, round and yarn.
fn place(ui: &mut Ui, draft: &mut WeighDraft, toy: &Toy) {
    let index = draft.index(toy);
    let Some(piece) = toy.pieces.get(index) else { return };
    let names: Vec<String> = toy.pieces.iter().map(|p| p.part.name.clone()).collect();
    if let Some(part) = name_choice(ui, "Part", &piece.part.name, &names) {
        (draft.part, draft.round, draft.copy) = (part, 0, 1);
    }
    let copies = toy.copies_of(index);
    if draft.what == What::Yarn
        && copies > 1
        && let Some(copy) = count(ui, "Which one of them", draft.copy.max(1), 1..=copies)
    {
        draft.copy = copy;
    }
    if draft.what != What::Part {
        let last = piece.part.rounds.len().max(1) as u32;
        let words = if draft.what == What::Yarn { "After round" } else { "Around round" };
        if let Some(round) = count(ui, words, draft.round_of(toy).max(1), 1..=last) {
            draft.round = round;
        }
    }
    match draft.what {
        What::Yarn => {
            let yarns: Vec<String> = toy.yarns.iter().map(|y| y.name.clone()).collect();
            if yarns.len() > 1 {
                let own = toy.yarn(&piece.part.yarn).map_or("", |y| y.name.as_str());
                let now = if draft.yarn.is_empty() { own } else { draft.yarn.as_str() };
                if let Some(yarn) = name_choice(ui, "Yarn weighed", now, &yarns) {
                    draft.yarn = yarn;
                }
            }
            if let Some(how) = choice(ui, "On the scale is what is", &draft.how, &HOWS) {
                draft.how = how;
            }
            if draft.how == How::LeftOnBall
                && let Some(ball) = count(ui, "Which ball", draft.ball.max(1), 1..=200)
            {
                draft.ball = ball;
            }
        }
        What::Part => {
            ui.checkbox(&mut draft.stuffed, "It is stuffed");
        }
        What::Around => {}
    }
}

/// The figure; whether Enter was pressed in it.
fn figure(ui: &mut Ui, draft: &mut WeighDraft, units: Units, new: bool) -> bool {
    let words = draft.field(units);
    let unit = units.typed(draft.typed()).0.trim_start();
    let edit = row(ui, &words, |ui| {
        let mut field = Text(&mut draft.text);
        let edit = TextEdit::singleline(&mut field).char_limit(20).desired_width(90.0);
        let edit = ui.add(edit).accessible_name(&words);
        ui.label(RichText::new(unit).weak());
        edit
    });
    first(&edit, new);
    edit.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter))
}

/// Earlier readings; the place of the one to be taken out.
fn earlier(ui: &mut Ui, toy: &Toy) -> Option<usize> {
    let lines = lines(toy);
    if lines.is_empty() {
        return None;
    }
    ui.separator();
    ui.label(RichText::new("Taken in so far").small().weak());
    let mut out = None;
    ScrollArea::vertical().id_salt("earlier").max_height(130.0).show(ui, |ui| {
        focus::follow(ui);
        for (place, line) in lines.iter().enumerate() {
            ui.horizontal(|ui| {
                if ui.small_button("Remove").accessible_name(format!("Remove: {line}")).clicked() {
                    out = Some(place);
                }
                ui.add(egui::Label::new(line).wrap());
            });
        }
    });
    out
}
