//! The fields of a yarn, wherever one is asked for. Each answers what it changed, by its name when it is undone.

use egui::{ComboBox, RichText, TextEdit, Ui};

use super::fields::{self, Drag, Entry, Unknown, choice, count, hint, known, maybe, number, read_number, row, units};
use super::text::Text;
use crate::rounds::rounds_of_counts;
use crate::view::units::{Typed, short, weight_word};
use crate::yarn::{Ball, CATEGORIES, Disc, Fabric, Fibre, Hand, Yarn, fabric, hook_letter, hook_mm};

/// Name of what was changed.
pub type Changed = Option<&'static str>;

fn put<T>(answer: Option<T>, to: &mut T, name: &'static str, changed: &mut Changed) {
    if let Some(value) = answer {
        *to = value;
        *changed = Some(name);
    }
}

const NOT_SAID: &str = "not said";

fn plain(unit: &str) -> Entry<'_> {
    Entry { unit, beside: None, read: None }
}

fn not_said(first: f64) -> Unknown<'static> {
    Unknown { text: NOT_SAID, first }
}

/// A size in mm or a letter.
fn read_hook(text: &str) -> Option<f64> {
    read_number(text.trim_end_matches("mm")).or_else(|| hook_mm(text))
}

/// What weights are counted in, as a field's first word.
fn mass_word(ui: &Ui) -> &'static str {
    weight_word(units(ui))
}

/// What stands on the label, the hook, and what is at hand.
pub fn label(ui: &mut Ui, yarn: &mut Yarn, made: &Fabric) -> Changed {
    let mut changed = None;
    let labels: Vec<String> = CATEGORIES.iter().map(|c| format!("{} {}", c.number, c.name)).collect();
    let mut categories: Vec<(Option<u8>, &str)> = vec![(None, "not known")];
    categories.extend(CATEGORIES.iter().zip(&labels).map(|(c, l)| (Some(c.number), l.as_str())));
    let answer = choice(ui, "Weight on the label", &yarn.category, &categories);
    put(answer, &mut yarn.category, "category of the yarn", &mut changed);

    let shown = yarn.hook_mm.unwrap_or(made.hook_mm);
    let letter = hook_letter(shown).map(|letter| format!("letter {letter}"));
    let about = format!("about {} mm", short(made.hook_mm));
    let unknown = Unknown { text: &about, first: made.hook_mm };
    let answer = known(
        ui,
        "Hook",
        yarn.hook_mm,
        unknown,
        0.5..=30.0,
        Entry { unit: " mm", beside: letter.as_deref(), read: Some(read_hook) },
    );
    put(answer, &mut yarn.hook_mm, "hook", &mut changed);

    let words = format!("{} of a ball", mass_word(ui));
    let answer = known(ui, &words, yarn.stock.ball_g, not_said(50.0), 1.0..=5000.0, plain(" g"));
    put(answer, &mut yarn.stock.ball_g, "grams of a ball", &mut changed);
    let metres = (yarn.stock.ball_g.unwrap_or(50.0) * 1e3 / made.tex.value().max(1e-6)).round();
    let answer = known(ui, "Metres of a ball", yarn.stock.ball_m, not_said(metres), 1.0..=20_000.0, plain(" m"));
    put(answer, &mut yarn.stock.ball_m, "metres of a ball", &mut changed);
    let by_ball = yarn.stock.label_metres_per_100g();
    if changed.is_some_and(|name| name.ends_with("of a ball")) && by_ball.is_some() {
        // The ball tells it now: one figure, not two that differ.
        yarn.metres_per_100g = None;
    } else if yarn.metres_per_100g.is_some() || by_ball.is_none() {
        let metres = 1e5 / made.tex.value().max(1e-6);
        let answer = maybe(ui, "Metres in 100 g", yarn.metres_per_100g, metres, 5.0..=5000.0, " m");
        put(answer, &mut yarn.metres_per_100g, "metres in 100 g", &mut changed);
    }
    changed.or(at_hand(ui, yarn))
}

/// What is at hand, in balls or in grams.
fn at_hand(ui: &mut Ui, yarn: &mut Yarn) -> Changed {
    let mut changed = None;
    let stock = &mut yarn.stock;
    let by_ball = stock.ball_g.is_some() || stock.ball_m.is_some();
    row(ui, "At hand", |ui| {
        let mut said = stock.have_g.is_some() || stock.have_balls.is_some();
        let tick = ui.checkbox(&mut said, "").accessible_name("At hand is known");
        if tick.on_hover_text("All that was there before the first stitch").changed() {
            (stock.have_g, stock.have_balls) = match (said, by_ball) {
                (false, _) => (None, None),
                (true, true) => (None, Some(1.0)),
                (true, false) => (Some(100.0), None),
            };
            changed = Some("yarn at hand");
        }
        let grams = stock.have_g.is_some();
        let Some(mut value) = stock.have_g.or(stock.have_balls) else {
            ui.label(RichText::new(NOT_SAID).weak());
            return;
        };
        let drag = Drag { range: 0.0..=100_000.0, unit: if grams { " g" } else { "" }, ..Drag::default() };
        if drag.show(ui, &mut value).accessible_name("At hand").changed() {
            (stock.have_g, stock.have_balls) = if grams { (Some(value), None) } else { (None, Some(value)) };
            changed = Some("yarn at hand");
        }
        let mut in_grams = grams;
        let weight = units(ui).typed(Typed::Mass).0.trim_start();
        let unit = if grams { weight } else { "balls" };
        let combo = ComboBox::from_id_salt("unit at hand").selected_text(unit).width(60.0).show_ui(ui, |ui| {
            ui.selectable_value(&mut in_grams, false, "balls");
            ui.selectable_value(&mut in_grams, true, weight);
        });
        combo.response.accessible_name("At hand in balls or grams");
        if in_grams != grams {
            // The same amount in the other measure, where the label tells a ball.
            let ball = stock.ball_g.filter(|g| *g > 0.0);
            (stock.have_g, stock.have_balls) = if in_grams {
                (Some(ball.map_or(value, |g| value * g)), None)
            } else {
                (None, Some(ball.map_or(1.0, |g| value / g)))
            };
            changed = Some("yarn at hand");
        }
    });
    if stock.have_balls.is_some() && !by_ball {
        hint(ui, "Balls count once the grams or metres of a ball are said.");
    }
    changed
}

/// A swatch.
pub fn swatch(ui: &mut Ui, yarn: &mut Yarn, made: &Fabric) -> Changed {
    let mut changed = None;
    ui.add(egui::Label::new("From your swatch, worked as tightly as the toy:").wrap());
    let (stitches, rounds) = (100.0 / made.w_mm.value(), 100.0 / made.h_mm.value());
    let answer = maybe(ui, "Stitches in 10 cm", yarn.stitches_per_10cm, stitches, 2.0..=100.0, "");
    put(answer, &mut yarn.stitches_per_10cm, "stitches in 10 cm", &mut changed);
    let answer = maybe(ui, "Rounds in 10 cm", yarn.rounds_per_10cm, rounds, 2.0..=100.0, "");
    put(answer, &mut yarn.rounds_per_10cm, "rounds in 10 cm", &mut changed);
    changed
}

/// What is asked less often, folded until it is wanted.
pub fn more(ui: &mut Ui, yarn: &mut Yarn, made: &Fabric) -> Changed {
    let key = ui.scope_id().with("more about this yarn");
    let mut open = ui.data(|d| d.get_temp::<bool>(key)).unwrap_or(false);
    let words = if open { "Less about this yarn" } else { "More about this yarn" };
    if ui.button(words).on_hover_text("Fibre, hand, a disc or a ball measured for its gauge").clicked() {
        open = !open;
        ui.data_mut(|d| d.insert_temp(key, open));
    }
    if !open {
        return None;
    }
    let mut changed = None;
    let fibres = Fibre::ALL.map(|f| (f, f.word()));
    put(choice(ui, "Fibre", &yarn.stock.fibre, &fibres), &mut yarn.stock.fibre, "fibre", &mut changed);
    if fabric(yarn).w_mm.from == crate::figure::Origin::Measured {
        hint(ui, "Your hand is in what you measured of the gauge: it is not asked.");
    } else {
        let hands = [(Hand::Usual, "as most"), (Hand::Loose, "loosely"), (Hand::Tight, "tightly")];
        put(choice(ui, "You work", &yarn.trials.hand, &hands), &mut yarn.trials.hand, "hand", &mut changed);
        hint(ui, "Whether the yarn goes over or under the hook is asked once for the toy: under Work, Your hand.");
    }
    changed.or(disc(ui, yarn, made)).or(ball(ui, yarn, made))
}

/// The gauge from a flat disc.
fn disc(ui: &mut Ui, yarn: &mut Yarn, made: &Fabric) -> Changed {
    let mut changed = None;
    let mut on = yarn.trials.disc.is_some();
    if ui.checkbox(&mut on, "Gauge from a flat disc").changed() {
        let across = (36.0 * made.w_mm.value() / std::f64::consts::PI).round();
        yarn.trials.disc = on.then_some(Disc { stitches: 36, rounds: 6, diameter_mm: across });
        changed = Some("flat disc");
    }
    if let Some(disc) = &mut yarn.trials.disc {
        let answer = count(ui, "Rounds of the disc", disc.rounds, 1..=200);
        put(answer, &mut disc.rounds, "rounds of the disc", &mut changed);
        let answer = count(ui, "Stitches of its last round", disc.stitches, 3..=2000);
        put(answer, &mut disc.stitches, "stitches of the disc", &mut changed);
        let answer = number(ui, "Across the disc", disc.diameter_mm, 1.0..=2000.0, " mm", 0.2);
        put(answer, &mut disc.diameter_mm, "size of the disc", &mut changed);
    }
    changed
}

/// A ball of common rounds to begin with.
const BALL: [u32; 9] = [6, 12, 18, 24, 24, 24, 18, 12, 6];

/// The gauge from a finished ball.
fn ball(ui: &mut Ui, yarn: &mut Yarn, made: &Fabric) -> Changed {
    let mut changed = None;
    let mut on = yarn.trials.ball.is_some();
    if ui.checkbox(&mut on, "Gauge from a finished ball").changed() {
        let around = (24.0 * made.w_mm.value() * 1.05).round();
        yarn.trials.ball = on.then(|| Ball { counts: BALL.to_vec(), circumference_mm: around, stuffing_g: None });
        changed = Some("finished ball");
    }
    if let Some(ball) = &mut yarn.trials.ball {
        changed = changed.or(counts(ui, ball));
        let answer = number(ui, "Around its widest", ball.circumference_mm, 1.0..=5000.0, " mm", 0.5);
        put(answer, &mut ball.circumference_mm, "size of the ball", &mut changed);
        let answer = known(ui, "Stuffing in it", ball.stuffing_g, not_said(5.0), 0.1..=5000.0, plain(" g"));
        put(answer, &mut ball.stuffing_g, "stuffing of the ball", &mut changed);
    }
    changed
}

/// Counts of the ball as they are typed; what cannot be read stays in the field, with the reason under it.
fn counts(ui: &mut Ui, ball: &mut Ball) -> Changed {
    let key = ui.scope_id().with("counts of the ball");
    let kept = ball.counts.iter().map(u32::to_string).collect::<Vec<_>>().join(" ");
    let draft: Option<(Vec<u32>, String)> = ui.data(|d| d.get_temp(key));
    let mut text = draft.filter(|(of, _)| *of == ball.counts).map_or_else(|| kept.clone(), |(_, text)| text);
    let mut changed = None;
    let edited = row(ui, "Counts by round", |ui| {
        let mut field = Text(&mut text);
        let edit = TextEdit::singleline(&mut field).char_limit(400).desired_width(ui.available_width().min(170.0));
        ui.add(edit).accessible_name("Counts of the ball by round").changed()
    });
    let read = read_counts(&text);
    if edited {
        if let Ok(counts) = &read {
            ball.counts.clone_from(counts);
            changed = Some("rounds of the ball");
        }
        ui.data_mut(|d| d.insert_temp(key, (ball.counts.clone(), text.clone())));
    }
    if let Err(why) = read {
        fields::problem(ui, why);
    }
    changed
}

fn read_counts(text: &str) -> Result<Vec<u32>, String> {
    let mut counts = Vec::new();
    for word in text.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()) {
        match word.parse::<u32>() {
            Ok(n @ 1..=2000) => counts.push(n),
            _ => return Err(format!("\"{word}\" is no count of stitches: write them like 6 12 18 12 6.")),
        }
    }
    if counts.len() < 3 {
        return Err("A ball has at least three rounds: write the stitches of each, like 6 12 18 12 6.".to_owned());
    }
    match rounds_of_counts(&counts) {
        Ok(_) => Ok(counts),
        Err(why) => Err(format!("These rounds cannot be worked: {why}.")),
    }
}
