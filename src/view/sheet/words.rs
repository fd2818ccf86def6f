//! Figures and verdicts in words, as paper says them.

use crate::figure::{Assumed, Figure, Origin};
use crate::measure::report::{NeckReport, Report, StandReport};
use crate::measure::toward;
use crate::toy::Purpose;
use crate::view::units::{Units, short};
use crate::yarn::CATEGORIES;

/// Millimetres in an inch (international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;

/// A length in both units, the maker's own first.
#[derive(Clone, Debug, PartialEq)]
pub struct Length {
    /// "147 mm".
    pub first: String,
    /// "5.8 in".
    pub second: String,
    /// "130 to 165", in the first unit; empty where there is no give or take.
    pub range: String,
}

fn mm(value: f64) -> String {
    if value.abs() < 9.95 { format!("{value:.1}") } else { format!("{value:.0}") }
}

fn inches(value_mm: f64) -> String {
    let inches = value_mm / MM_PER_INCH;
    if inches.abs() < 0.995 { format!("{inches:.2}") } else { format!("{inches:.1}") }
}

/// A length given in mm.
pub fn length(figure_mm: Figure, units: Units) -> Length {
    let number: fn(f64) -> String = if units == Units::Metric { mm } else { inches };
    let (low, high) = (number(figure_mm.low), number(figure_mm.high));
    let range = if low == high { String::new() } else { format!("{low} to {high}") };
    let both = [format!("{} mm", mm(figure_mm.value)), format!("{} in", inches(figure_mm.value))];
    let [first, second] = if units == Units::Metric {
        both
    } else {
        let [mm, inches] = both;
        [inches, mm]
    };
    Length { first, second, range }
}

/// What the toy is to do.
pub fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Sit => "Made to sit",
        Purpose::StandOnTwo => "Made to stand on two feet",
        Purpose::StandOnFour => "Made to stand on four feet",
        Purpose::Lie => "Made to lie",
        Purpose::Hang => "Made to hang",
        Purpose::Floppy => "Made to be floppy",
    }
}

/// How it stands: the verdict, then what it rests on.
pub fn standing(stand: Option<&StandReport>, units: Units) -> (&'static str, Vec<String>) {
    let Some(stand) = stand else {
        return ("Nothing stands yet", vec!["No part has its place on the floor.".to_owned()]);
    };
    let doubt = stand.not_settled();
    let verdict = match stand.verdict {
        "stands" if doubt.is_some() => "Stands well, most likely",
        "stands" => "Stands well",
        "tips_easily" if doubt.is_some() => "Tips easily, most likely",
        "tips_easily" => "Tips easily",
        "topples" if doubt.is_some() => "Topples, most likely",
        "topples" => "Topples",
        _ => "Rolls over by itself",
    };
    let leans = stand.rests_leaning_deg().map(|deg| format!("at a lean of {deg:.0}°"));
    let mut lines = Vec::new();
    if stand.verdict == "rocks" {
        lines.push("It bears no lean at all.".to_owned());
    } else {
        let angle = units.angle(stand.tip_deg);
        let said = if doubt.is_some() { angle.value() } else { angle.both() };
        let more = if leans.is_some() { " more" } else { "" };
        lines.push(format!("Leans {said}{more} before it falls,"));
        lines.push(format!("weakest toward {}.", toward(stand.tip_toward_deg)));
    }
    lines.extend(doubt.map(|ends| format!("Not settled: from {ends}.")));
    match (stand.stands_on.is_empty(), leans) {
        (false, Some(leans)) => lines.push(format!("Rests {leans} on {}.", stand.stands_on.join(", "))),
        (false, None) => lines.push(format!("Stands on {}.", stand.stands_on.join(", "))),
        (true, Some(leans)) => lines.push(format!("Rests {leans}.")),
        (true, None) => {}
    }
    (verdict, lines)
}

/// The joint that matters most: the weakest of those that carry a good share of the toy, else the weakest.
pub fn first_neck(report: &Report) -> Option<&NeckReport> {
    let much = 0.12 * report.toy.mass_g.value;
    let by_share = |a: &&NeckReport, b: &&NeckReport| a.load_share.value.total_cmp(&b.load_share.value);
    let heavy = report.necks.iter().filter(|n| n.carries_g >= much).min_by(by_share);
    heavy.or_else(|| report.necks.iter().min_by(by_share))
}

/// Where a joint is.
pub fn neck_place(neck: &NeckReport) -> String {
    match neck.round {
        Some(round) if neck.part == neck.onto => format!("{}, round {round:.0}", neck.part),
        _ => format!("{} on {}", neck.part, neck.onto),
    }
}

/// How the joint holds: the verdict, then what it rests on.
pub fn neck(neck: &NeckReport, units: Units) -> (&'static str, Vec<String>) {
    let verdict = match neck.verdict {
        "holds" => "Neck holds",
        "held" => "Held by the stick",
        "nods" => "Neck wobbles",
        _ => "Neck flops",
    };
    let mut lines = vec![
        format!("{}.", neck_place(neck)),
        format!(
            "Carries {}, bears {} times that.",
            units.mass(Figure::exact(neck.carries_g)).value(),
            units.ratio(neck.load_share).both()
        ),
    ];
    if let Some(deg) = neck.nods_beyond_deg {
        lines.push(format!("Nods over beyond a lean of {deg:.0}°."));
    }
    if neck.sinks {
        lines.push("What it carries presses it flat.".to_owned());
    }
    (verdict, lines)
}

/// Which of head and body is the heavier.
pub fn head_against_body(ratio: f64) -> String {
    if ratio >= 1.15 {
        format!("Head {} times the body", short(ratio))
    } else if ratio >= 0.87 {
        "Head and body even".to_owned()
    } else {
        format!("Body {} times the head", short(1.0 / ratio.max(1e-6)))
    }
}

fn from(assumed: &Assumed) -> &'static str {
    match assumed.from {
        Origin::Measured => "measured",
        Origin::Label => "by the label",
        Origin::Estimate => "estimated",
    }
}

/// What every figure rests on, and what would narrow it.
pub fn rests_on(report: &Report) -> Vec<String> {
    let a = &report.assumed;
    let range = |f: Figure, digits: usize| {
        let (low, high) = (format!("{:.digits$}", f.low), format!("{:.digits$}", f.high));
        if low == high { String::new() } else { format!(" ({low} to {high})") }
    };
    let mut lines = vec![
        format!(
            "A stitch {:.1} mm wide{}, {}; a round {:.1} mm high{}, {}.",
            a.w_mm.value(),
            range(a.w_mm.figure, 1),
            from(&a.w_mm),
            a.h_mm.value(),
            range(a.h_mm.figure, 1),
            from(&a.h_mm),
        ),
        format!(
            "Stuffing {:.0} g/L{}, {}, pressing with {:.2} kPa{}.",
            a.density_g_per_l.value(),
            range(a.density_g_per_l.figure, 0),
            from(&a.density_g_per_l),
            a.pressure_kpa.value(),
            range(a.pressure_kpa.figure, 2),
        ),
    ];
    if a.w_mm.from == Origin::Estimate {
        lines.push("Count stitches and rounds in 10 cm of a swatch: the ranges shrink.".to_owned());
    }
    lines
}

/// "medium (4)".
pub fn category(number: u8) -> String {
    let name = CATEGORIES.get(usize::from(number)).map_or("unknown", |c| c.name);
    format!("{name} ({number})")
}

/// A number of things: "1 round", "24 rounds".
pub fn count(n: u64, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}
