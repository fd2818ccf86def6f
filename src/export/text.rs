//! The report for a maker: plain sentences, figures with their give or take.

use std::fmt::Write;

use super::text_plan::{write_plan, write_time};
use crate::figure::{Assumed, Figure, Origin};
use crate::measure::narrow::first_sentence;
use crate::measure::need::{Enough, Spot, YarnEnd};
use crate::measure::report::{NeckReport, PartReport, Report, Severity, StandReport, YarnReport};
use crate::measure::toward;
use crate::yarn::CATEGORIES;

/// A figure with its range, as "86 (77–95)"; the range is left out where there is none.
pub(super) fn range(figure: Figure, digits: usize) -> String {
    let Figure { value, low, high } = figure;
    let (low, high) = (format!("{low:.digits$}"), format!("{high:.digits$}"));
    if low == high { format!("{value:.digits$}") } else { format!("{value:.digits$} ({low}–{high})") }
}

/// Digits after the point that a figure deserves.
fn fitting(figure: Figure) -> String {
    range(figure, usize::from(figure.value < 10.0))
}

/// The report as text, 100 characters wide at most where names allow.
pub fn report_text(report: &Report) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write_report(&mut out, report);
    // Names come from files: nothing in them may steer a terminal.
    out.replace(|c: char| c.is_control() && c != '\n', " ")
}

fn write_report(out: &mut String, report: &Report) -> std::fmt::Result {
    let toy = &report.toy;
    let name = if toy.name.is_empty() { "The toy" } else { &toy.name };
    writeln!(out, "{name}")?;
    writeln!(out, "{}", "=".repeat(name.chars().count()))?;
    if let Some(size) = toy.size_mm {
        writeln!(out, "Size       {} mm tall, {} wide, {} deep", fitting(size.z), fitting(size.x), fitting(size.y))?;
    }
    writeln!(out, "Weight     {} g", fitting(toy.mass_g))?;
    if let Some(stand) = &report.stand {
        writeln!(out, "Stands     {}", stand_line(stand))?;
        if let Some(poses) = stand.rest_poses.as_ref().filter(|p| !p.is_empty()) {
            // Poses that go by the same words are one to a maker.
            let mut ways: Vec<(&str, f64)> = Vec::new();
            for pose in poses {
                match ways.iter_mut().find(|(way, _)| *way == pose.way_up()) {
                    Some((_, share)) => *share += pose.share,
                    None => ways.push((pose.way_up(), pose.share)),
                }
            }
            let best: Vec<String> =
                ways.iter().take(4).map(|(way, share)| format!("{way} {:.0} %", 100.0 * share)).collect();
            writeln!(out, "Lands      {}", best.join(", "))?;
        }
    }
    if let Some(centre) = toy.centre_of_mass_mm {
        let [x, y, z] = centre.map(|v| if v.abs() < 0.05 { 0.0 } else { v });
        writeln!(
            out,
            "Balance    centre of mass {z:.0} mm above the floor{}{}",
            off(x, "left", "right"),
            off(y, "forward", "back")
        )?;
    }
    // Joints that hold are many and good; the head's is always of interest.
    let (shown, fine): (Vec<_>, Vec<_>) =
        report.necks.iter().partition(|n| n.verdict != "holds" || Some(&n.part) == toy.head.as_ref());
    for neck in shown {
        writeln!(out, "Joint      {}", neck_line(neck))?;
    }
    if !fine.is_empty() {
        let names: Vec<&str> = fine.iter().map(|n| n.part.as_str()).collect();
        writeln!(out, "Holds      {}", names.join(", "))?;
    }
    if let (Some(ratio), Some(tall)) = (toy.head_to_body_mass, toy.heads_tall) {
        writeln!(out, "Proportion head to body {} to 1 by weight, {} heads tall", range(ratio, 2), range(tall, 1))?;
    }
    for yarn in &report.yarn {
        write_yarn(out, yarn)?;
    }
    write_time(out, &report.time)?;
    writeln!(out)?;
    write_parts(out, &report.parts)?;
    write_plan(out, report)?;
    writeln!(out, "\nTo look at")?;
    if report.findings.is_empty() {
        writeln!(out, "  Nothing found by these checks.")?;
    }
    for finding in &report.findings {
        let word = match finding.severity {
            Severity::Severe => "Mend  ",
            Severity::Warning => "Watch ",
            Severity::Note => "Note  ",
        };
        writeln!(out, "  {word} {}", finding.message)?;
        writeln!(out, "         → {}", finding.remedy)?;
    }
    write_assumptions(out, report)
}

/// What a yarn takes, whether it lasts, and where it ends.
fn write_yarn(out: &mut String, yarn: &YarnReport) -> std::fmt::Result {
    let stock = &yarn.stock;
    let balls = |n: f64| if (n - 1.0).abs() < 0.05 { "ball" } else { "balls" };
    let need = stock.need;
    write!(out, "Yarn       {}: {} m, {} g with tails", yarn.name, fitting(need.metres), fitting(need.grams))?;
    match stock.take.balls {
        Some(n) => writeln!(out, "; take {n} {}", balls(f64::from(n)))?,
        None => writeln!(out, "; take {:.0} g", stock.take.grams)?,
    }
    if let Some(used) = stock.used_g {
        writeln!(out, "           {} g of it weighed as used", fitting(used))?;
    }
    let last = match (stock.enough, stock.have_g) {
        (Some(enough), Some(have)) => {
            let verdict = match enough {
                Enough::Enough => "enough",
                Enough::Close => "close, it may not last",
                Enough::Short => "short",
            };
            writeln!(out, "           {have:.0} g at hand: {verdict}{}", runs_out(stock.runs_out.as_ref()))?;
            stock.runs_out.as_ref().map(|end| &end.at)
        }
        _ => None,
    };
    // The last ball at hand ends where all of it does.
    let ends: Vec<String> = stock
        .ball_ends
        .iter()
        .filter(|b| Some(&b.end.at) != last)
        .take(MOST_BALL_ENDS)
        .map(|b| format!("ball {} ends in {}", b.ball, spot(&b.end.at)))
        .collect();
    if !ends.is_empty() {
        writeln!(out, "           {}", ends.join("; "))?;
    }
    Ok(())
}

/// Ends of balls that are told in a text.
const MOST_BALL_ENDS: usize = 6;

fn spot(spot: &Spot) -> String {
    let copy = if spot.copy > 1 { format!(" {}", spot.copy) } else { String::new() };
    format!("{}{copy}, round {}", spot.part, spot.round)
}

/// Where a yarn runs out, and between which rounds.
fn runs_out(end: Option<&YarnEnd>) -> String {
    let Some(end) = end else { return String::new() };
    let between = match &end.range {
        [Some(a), Some(b)] if a == b => String::new(),
        [Some(a), Some(b)] => format!(" (between {} and {})", spot(a), spot(b)),
        [Some(a), None] => format!(" (from {} on, or not at all)", spot(a)),
        _ => String::new(),
    };
    format!("; it ends in {}{between}", spot(&end.at))
}

fn off(mm: f64, positive: &str, negative: &str) -> String {
    if mm.abs() < 0.5 {
        return String::new();
    }
    format!(", {:.0} mm {}", mm.abs(), if mm > 0.0 { positive } else { negative })
}

fn stand_line(stand: &StandReport) -> String {
    let word = match stand.verdict {
        "stands" => "stands well",
        "tips_easily" => "tips easily",
        "topples" => "topples",
        _ => return "does not stand: it rolls over by itself".to_owned(),
    };
    let on = if stand.stands_on.is_empty() { String::new() } else { format!(", on {}", stand.stands_on.join(", ")) };
    let toward = toward(stand.tip_toward_deg);
    let (rests, more) = match stand.rests_leaning_deg() {
        Some(deg) => (format!("rests leaning {deg:.0}°, "), " more"),
        None => (String::new(), ""),
    };
    match stand.not_settled() {
        Some(ends) => format!(
            "{word}, most likely: {rests}leans {:.0}°{more} before it falls, weakest toward {toward}{on}; not settled, from {ends}",
            stand.tip_deg.value
        ),
        None => {
            format!(
                "{word}: {rests}leans {}°{more} before it falls, weakest toward {toward}{on}",
                range(stand.tip_deg, 0)
            )
        }
    }
}

fn neck_line(neck: &NeckReport) -> String {
    let spot = match neck.round {
        Some(round) if neck.part == neck.onto => format!("{}, round {round:.0}", neck.part),
        _ => format!("{} on {}", neck.part, neck.onto),
    };
    let share = format!("bears {} % of its load", range(neck.load_share.scaled(100.0), 0));
    match (neck.verdict, neck.nods_beyond_deg) {
        ("holds", _) => format!("{spot}: holds ({share})"),
        ("held", _) => format!("{spot}: held by the neck stick ({share} without)"),
        ("nods", Some(deg)) => format!("{spot}: wobbles, nods over beyond a lean of {deg:.0}° ({share})"),
        _ => format!("{spot}: flops ({share})"),
    }
}

fn write_parts(out: &mut String, parts: &[PartReport]) -> std::fmt::Result {
    let width = parts.iter().map(|p| p.name.chars().count()).max().unwrap_or(4).clamp(4, 28);
    writeln!(
        out,
        "{:width$}  copies  rounds  stitches  wide mm        long mm        stuffing g     fabric g",
        "Part"
    )?;
    for part in parts {
        let name: String = part.name.chars().take(28).collect();
        writeln!(
            out,
            "{name:width$}  {:>6}  {:>6}  {:>8}  {:<13}  {:<13}  {:<13}  {}",
            part.copies,
            part.rounds.len(),
            part.stitches,
            fitting(part.widest_mm),
            fitting(part.length_mm),
            fitting(part.stuffing_g),
            fitting(part.fabric_g),
        )?;
    }
    Ok(())
}

fn write_assumptions(out: &mut String, report: &Report) -> std::fmt::Result {
    let from = |a: &Assumed| match a.from {
        Origin::Measured => "measured",
        Origin::Label => "from the label",
        Origin::Estimate => "an estimate",
    };
    let a = &report.assumed;
    writeln!(out, "\nThis rests on")?;
    writeln!(
        out,
        "  a stitch {} mm wide ({}), a round {} mm high ({})",
        range(a.w_mm.figure, 1),
        from(&a.w_mm),
        range(a.h_mm.figure, 1),
        from(&a.h_mm)
    )?;
    let metres = a.tex.figure;
    let per_100g = Figure { value: 1e5 / metres.value, low: 1e5 / metres.high, high: 1e5 / metres.low };
    if let Some(yarn) = report.yarn.first() {
        let name = CATEGORIES.get(usize::from(yarn.category)).map_or("", |c| c.name);
        writeln!(out, "  {name} yarn ({}) on a hook of {} mm", yarn.category, yarn.hook_mm)?;
    }
    writeln!(out, "  {} m of yarn in 100 g ({})", range(per_100g, 0), from(&a.tex))?;
    writeln!(
        out,
        "  stuffing packed to {} g a litre ({}), pressing with {} kPa ({})",
        range(a.density_g_per_l.figure, 0),
        from(&a.density_g_per_l),
        range(a.pressure_kpa.figure, 2),
        from(&a.pressure_kpa)
    )?;
    match first_sentence(report) {
        Some(sentence) => writeln!(out, "\nMeasure first\n  {sentence}"),
        None => Ok(()),
    }
}
