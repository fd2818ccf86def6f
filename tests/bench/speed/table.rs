//! The table, as Markdown.

use super::timing::Span;

/// One line of it.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// What is measured.
    pub what: String,
    /// Its figure.
    pub here: String,
    /// What it is held against, and that one's figure.
    pub against: String,
    /// One over the other.
    pub ratio: String,
    /// What is aimed at.
    pub aim: String,
}

impl Row {
    /// A line that says why there is no figure.
    pub fn absent(what: &str, why: &str) -> Row {
        Row { what: what.to_owned(), here: format!("not measured: {why}"), ..Row::default() }
    }
}

/// Date, machine, and the head of the table.
pub fn head() {
    let day = jiff::ZonedDateTime::now().date();
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let (made_for, system) = (std::env::consts::ARCH, std::env::consts::OS);
    println!("{day}, {}, {cores} cores, {made_for} {system}; medians (lowest–highest)\n", processor());
    println!("| what | here | against | ratio | aim |\n|---|---|---|---|---|");
}

/// What the system calls the processor.
fn processor() -> String {
    let text = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = text.lines().find_map(|line| line.strip_prefix("model name")?.split_once(": "));
    name.map_or_else(|| "an unknown processor".to_owned(), |(_, name)| name.trim().to_owned())
}

/// Prints a line as soon as it is known.
pub fn print(row: &Row) {
    println!("| {} | {} | {} | {} | {} |", row.what, row.here, row.against, row.ratio, row.aim);
}

/// Three figures that count.
fn figure(x: f64) -> String {
    let digits = match x.abs() {
        x if x >= 99.95 => 0,
        x if x >= 9.995 => 1,
        _ => 2,
    };
    format!("{x:.digits$}")
}

/// A span in a unit.
pub fn span(of: Span, unit: &str) -> String {
    format!("{} {unit} ({}–{})", figure(of.median), figure(of.low), figure(of.high))
}

/// Seconds in the unit that suits them.
pub fn time(of: Span) -> String {
    let (factor, unit) = match of.median {
        s if s < 1e-6 => (1e9, "ns"),
        s if s < 1e-3 => (1e6, "µs"),
        s if s < 1.0 => (1e3, "ms"),
        _ => (1.0, "s"),
    };
    span(of.times(factor), unit)
}

/// A ratio.
pub fn ratio(of: Span) -> String {
    format!("{} ({}–{})", figure(of.median), figure(of.low), figure(of.high))
}
