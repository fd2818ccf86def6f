//! Which screens there are, how each is known by what it says, and how often each was met.

use std::collections::{BTreeMap, BTreeSet};

use egui::Rect;
use egui::accesskit::{Role, Toggled};
use egui_kittest::kittest::{By, NodeT, Queryable};
use toppleknot::document::samples;
use toppleknot::ui::{App, Dialog, Page, Wanted};

use crate::window::Window;

/// A widget as a screen reader has it.
pub struct Met {
    pub role: Role,
    pub label: String,
    pub is_chosen: bool,
    pub rect: Rect,
}

/// Every widget of the last frame.
pub fn glance(window: &Window) -> Vec<Met> {
    let nodes = window.root().query_all(By::new());
    nodes
        .map(|node| {
            let node = node.accesskit_node();
            // What merely stands there has its words as its value.
            let words = if node.role() == Role::Label { node.value() } else { node.label() };
            Met {
                role: node.role(),
                label: words.unwrap_or_default(),
                is_chosen: node.toggled() == Some(Toggled::True),
                rect: node.data().bounds().map_or(Rect::NOTHING, |b| {
                    Rect::from_min_max(egui::pos2(b.x0 as f32, b.y0 as f32), egui::pos2(b.x1 as f32, b.y1 as f32))
                }),
            }
        })
        .collect()
}

/// What a dialog is called here. A new kind has to be named before this compiles.
pub fn dialog_name(dialog: &Dialog) -> &'static str {
    match dialog {
        Dialog::Path { wanted: Wanted::Open, .. } => "dialog: open by path",
        Dialog::Path { wanted: Wanted::Save, .. } => "dialog: save by path",
        Dialog::Path { wanted: Wanted::Export, .. } => "dialog: export by path",
        Dialog::Paste { .. } => "dialog: paste",
        Dialog::Export(_) => "dialog: export",
        Dialog::Unsaved(_) => "dialog: unsaved",
        Dialog::Recovered(_) => "dialog: recovered",
        Dialog::WeighIn(_) => "dialog: weigh in",
        Dialog::AnotherYarn(_) => "dialog: another yarn",
        Dialog::Outline(_) => "dialog: outline",
        Dialog::Commands { .. } => "dialog: commands",
    }
}

/// How a popup or a panel is known.
enum Sign {
    /// Something is called so.
    Says(&'static str),
    /// Something's name ends so.
    Ends(&'static str),
    /// Something's name begins so.
    Begins(&'static str),
}

/// Menus, popups and panels that come and go, each with what only it says.
const PASSING: [(&str, Sign); 24] = [
    ("first page", Sign::Says("Or look at a sample")),
    ("no part", Sign::Begins("There is no part yet")),
    ("message", Sign::Says("Close the message")),
    ("menu: Toy", Sign::Says("Open recent")),
    ("menu: Edit", Sign::Begins("Previous part")),
    ("menu: View", Sign::Begins("Smaller text")),
    ("menu: a shape to add", Sign::Says("Shape's width")),
    ("menu: a thing to add", Sign::Says("neck stick")),
    ("menu: colour", Sign::Ends(": red")),
    ("view: front", Sign::Says("Front view of the toy")),
    ("view: side", Sign::Says("Side view of the toy")),
    ("view: top", Sign::Says("Top view of the toy")),
    ("as far as made", Sign::Says("Show it whole")),
    ("lying", Sign::Says("Stand it up")),
    ("card: what is wanted", Sign::Says("Height is wished")),
    ("card: what must stay", Sign::Says("Stitches changed, at most is wished")),
    (
        "card: what was checked",
        Sign::Says("These checks look at sizes. They are no test, and the law of your country goes first."),
    ),
    ("card: timing", Sign::Says("Stop timing")),
    ("outline: picture", Sign::Says("Set its scale")),
    ("outline: path", Sign::Says("Path of a drawing or picture")),
    ("units: inches", Sign::Says("Inches")),
    ("units: metric", Sign::Says("Metric")),
    ("terms: UK", Sign::Says("UK terms")),
    ("terms: US", Sign::Says("US terms")),
];

/// How often each screen was on screen when something happened.
#[derive(Default)]
pub struct Tally {
    pub events: usize,
    pub times: BTreeMap<String, usize>,
    /// Boxes to choose from that were on screen.
    pub boxes: BTreeSet<String>,
    /// Time by page or dialog: events, seconds in all, the slowest one.
    pub spent: BTreeMap<&'static str, (usize, f64, f64)>,
    pub saved: usize,
    pub exported: BTreeMap<String, usize>,
    pub documents: usize,
    pub undone: usize,
    /// Batches with so many steps that the first ones were forgotten, where undoing cannot lead back.
    pub forgotten: usize,
    /// The slowest events, and what they were.
    pub slowest: Vec<(f64, String)>,
}

/// Every screen that has to be met.
pub fn every_screen() -> Vec<String> {
    let mut all: Vec<String> = PASSING.iter().map(|(name, _)| (*name).to_owned()).collect();
    all.extend(Page::ALL.iter().map(|p| format!("page: {}", p.name())));
    all.extend(App::panels().map(|p| format!("tab: {p}")));
    all.extend(Dialog::each().iter().map(|d| dialog_name(d).to_owned()));
    all.extend(
        [
            "menu: recent",
            "menu: samples",
            "menu: More",
            "light",
            "dark",
            "small window",
            "usual window",
            "large window",
        ]
        .map(str::to_owned),
    );
    all
}

impl Tally {
    /// Notes what is on screen. Answers the page or the dialog that has the hand.
    pub fn note(&mut self, window: &Window, met: &[Met]) -> &'static str {
        self.events += 1;
        let mut on = Vec::new();
        let dialog = window.state().dialog().map(dialog_name);
        let says = |text: &str| met.iter().any(|m| m.label == text);
        for (name, sign) in &PASSING {
            let is_on = match sign {
                Sign::Says(text) => says(text),
                Sign::Ends(text) => met.iter().any(|m| m.label.ends_with(text)),
                Sign::Begins(text) => met.iter().any(|m| m.label.starts_with(text)),
            };
            if is_on && (dialog.is_none() || !name.starts_with("menu")) {
                on.push((*name).to_owned());
            }
        }
        let mut place = dialog.unwrap_or("first page");
        on.extend(dialog.map(str::to_owned));
        let chosen = |name: &str| met.iter().any(|m| m.is_chosen && m.label == name);
        for page in Page::ALL.iter().filter(|p| chosen(p.name())) {
            on.push(format!("page: {}", page.name()));
            place = dialog.unwrap_or(page.name());
        }
        on.extend(App::panels().filter(|p| chosen(p)).map(|p| format!("tab: {p}")));
        let in_menu = |text: &str| dialog.is_none() && met.iter().any(|m| m.role == Role::Button && m.label == text);
        if says("The toy") && samples().iter().all(|s| in_menu(s.title)) {
            on.push("menu: samples".to_owned());
        }
        // Files by name, which the first page has too.
        let is_file = |m: &Met| m.role == Role::Button && (m.label.ends_with(".toy.ron") || m.label.ends_with(".txt"));
        let files = says("None yet") || (met.iter().any(is_file) && !says("Or look at a sample"));
        if says("Open recent") && files && dialog.is_none() {
            on.push("menu: recent".to_owned());
        }
        if says("More") && says("Lands") && dialog.is_none() {
            on.push("menu: More".to_owned());
        }
        on.push(if window.ctx.theme() == egui::Theme::Dark { "dark" } else { "light" }.to_owned());
        let wide = window.ctx.content_rect().width();
        let size = if wide < 1100.0 {
            "small"
        } else if wide < 1500.0 {
            "usual"
        } else {
            "large"
        };
        on.push(format!("{size} window"));
        for name in on {
            *self.times.entry(name).or_default() += 1;
        }
        if dialog.is_none() {
            self.boxes.extend(met.iter().filter(|m| m.role == Role::ComboBox).map(|m| m.label.clone()));
        }
        place
    }

    /// Notes how long an event took.
    pub fn took(&mut self, place: &'static str, seconds: f64, what: impl FnOnce() -> String) {
        let (events, sum, most) = self.spent.entry(place).or_default();
        (*events, *sum, *most) = (*events + 1, *sum + seconds, most.max(seconds));
        if self.slowest.len() < 12 || self.slowest.last().is_some_and(|s| s.0 < seconds) {
            self.slowest.push((seconds, format!("{place}: {}", what())));
            self.slowest.sort_by(|a, b| b.0.total_cmp(&a.0));
            self.slowest.truncate(12);
        }
    }

    /// Adds what another window met.
    pub fn add(&mut self, other: Tally) {
        self.events += other.events;
        for (name, times) in other.times {
            *self.times.entry(name).or_default() += times;
        }
        self.boxes.extend(other.boxes);
        for (place, (events, sum, most)) in other.spent {
            let entry = self.spent.entry(place).or_default();
            *entry = (entry.0 + events, entry.1 + sum, entry.2.max(most));
        }
        for (ending, files) in other.exported {
            *self.exported.entry(ending).or_default() += files;
        }
        self.saved += other.saved;
        self.documents += other.documents;
        self.undone += other.undone;
        self.forgotten += other.forgotten;
        self.slowest.extend(other.slowest);
        self.slowest.sort_by(|a, b| b.0.total_cmp(&a.0));
        self.slowest.truncate(12);
    }

    /// Screens that were met fewer times than this.
    pub fn missed(&self, least: usize) -> Vec<String> {
        let times = |name: &str| self.times.get(name).copied().unwrap_or(0);
        let few = every_screen().into_iter().filter(|name| times(name) < least);
        let boxes = self.boxes.iter().map(|name| format!("box: {name}")).filter(|name| times(name) == 0);
        few.chain(boxes).map(|name| format!("{name}: {}", times(&name))).collect()
    }

    /// Says it all.
    pub fn print(&self) {
        println!("{} events, {} documents, {} steps undone and redone", self.events, self.documents, self.undone);
        println!(
            "{} toys saved, exported {:?}, {} batches past the kept steps",
            self.saved, self.exported, self.forgotten
        );
        for (name, times) in &self.times {
            println!("{times:8}  {name}");
        }
        for (place, (events, sum, most)) in &self.spent {
            let mean = 1e3 * sum / *events as f64;
            println!("{place:22} {events:7} events, {sum:8.1} s, mean {mean:6.2} ms, slowest {:.0} ms", 1e3 * most);
        }
        for (seconds, what) in &self.slowest {
            println!("{:8.0} ms  {what}", 1e3 * seconds);
        }
    }
}
