//! Advice for a maker and for programs.

use std::fmt::Write;

use crate::advise::mend::{Advice, Shown, Suggestion};

/// Suggestions that the text shows for one problem; programs get all.
const SHOWN: usize = 8;

/// Advice as text.
pub fn advice_text(advice: &Advice) -> String {
    let mut out = String::new();
    // Writing to a string cannot fail.
    let _ = write_advice(&mut out, advice);
    // Names come from files: nothing in them may steer a terminal.
    out.replace(|c: char| c.is_control() && c != '\n', " ")
}

/// Advice as JSON, the changed toys included.
pub fn advice_json(advice: &Advice) -> String {
    // Plain structs, numbers and strings always have a text.
    serde_json::to_string_pretty(advice).map(|t| t + "\n").unwrap_or_default()
}

fn write_advice(out: &mut String, advice: &Advice) -> std::fmt::Result {
    let name = if advice.toy.is_empty() { "The toy" } else { &advice.toy };
    writeln!(out, "{name}")?;
    writeln!(out, "{}", "=".repeat(name.chars().count()))?;
    writeln!(out, "Now        {}", line(&advice.before))?;
    if advice.problems.is_empty() {
        writeln!(out, "\nNothing to mend: no finding is severe.")?;
    }
    for problem in &advice.problems {
        writeln!(out, "\n{}", problem.what)?;
        for (number, suggestion) in problem.suggestions.iter().take(SHOWN).enumerate() {
            write_suggestion(out, number + 1, suggestion)?;
        }
        let more = problem.suggestions.len().saturating_sub(SHOWN);
        if more > 0 {
            writeln!(out, "  … and {more} more, which change more (--json has all).")?;
        }
        if let Some(nothing) = &problem.nothing {
            writeln!(out, "  {nothing}")?;
        }
    }
    if !advice.cautions.is_empty() {
        writeln!(out)?;
        for caution in &advice.cautions {
            writeln!(out, "{caution}")?;
        }
    }
    Ok(())
}

fn write_suggestion(out: &mut String, number: usize, suggestion: &Suggestion) -> std::fmt::Result {
    for (i, words) in suggestion.words.iter().enumerate() {
        let lead = if i == 0 { format!("{number:>3}. ") } else { "     ".to_owned() };
        writeln!(out, "{lead}{words}")?;
    }
    writeln!(out, "     then   {}", line(&suggestion.after))?;
    let change = &suggestion.change;
    let mut parts = vec![format!("outline {:.1} mm (at most {:.1})", change.outline_mean_mm, change.outline_max_mm)];
    if change.stitches > 0 {
        parts.push(format!("{} stitches", change.stitches));
    }
    if change.minutes_more.abs() >= 0.5 {
        parts.push(format!(
            "{:.0} min {}",
            change.minutes_more.abs(),
            if change.minutes_more > 0.0 { "more" } else { "less" }
        ));
    }
    writeln!(out, "     change {}: {:.1} points", parts.join(", "), change.points)?;
    for worse in &suggestion.worse {
        writeln!(out, "     but    {worse}")?;
    }
    Ok(())
}

/// A toy in a line.
fn line(shown: &Shown) -> String {
    let mut parts = Vec::new();
    if let (Some(tip), Some(stand)) = (shown.tip_deg, shown.stand) {
        let digits = usize::from(tip < 20.0 && tip > 0.0);
        parts.push(format!("{} at {tip:.digits$}°", stand.replace('_', " ")));
    }
    if let (Some(share), Some(neck)) = (shown.neck_share, shown.neck) {
        parts.push(format!("neck {neck} ({:.0} %)", 100.0 * share));
    }
    if let Some(ratio) = shown.head_to_body {
        parts.push(format!("head to body {ratio:.2}"));
    }
    if let Some(height) = shown.height_mm {
        parts.push(format!("{height:.0} mm tall"));
    }
    parts.push(format!("{:.0} g", shown.mass_g));
    parts.push(format!("{:.0} m of yarn", shown.yarn_m));
    parts.push(format!("{:.0} min", shown.minutes));
    parts.join(", ")
}
