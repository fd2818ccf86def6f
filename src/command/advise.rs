//! `toppleknot advise`.

use std::process::ExitCode;

use super::args::AdviseArgs;
use crate::advise::mend::{Family, Limits, LockedRounds, advise};
use crate::export::{advice_json, advice_text};
use crate::toy::{Toy, Wishes};

/// Prints what mends a toy.
///
/// # Errors
/// Bad input, as one sentence with place and remedy.
pub fn run(args: &AdviseArgs) -> Result<ExitCode, String> {
    let check = &args.check;
    let opened = check.open.open()?;
    let toy = &opened.document.toy;
    let Wishes { mut targets, limits: kept } = if args.ignore_wishes { Wishes::default() } else { toy.wishes.clone() };
    for words in &args.target {
        targets.set(words)?;
    }
    let of_file = &toy.wishes.targets.at_most_g_of;
    let mut asked = targets.at_most_g_of.iter().filter(|y| !of_file.contains(y));
    if let Some(unknown) = asked.find(|y| !toy.yarns.iter().any(|t| t.name == y.yarn)) {
        let names: Vec<&str> = toy.yarns.iter().map(|y| y.name.as_str()).collect();
        return Err(format!("there is no yarn \"{}\". Expected one of: {}", unknown.yarn, names.join(", ")));
    }
    let limits = limits(args, kept, toy)?;
    let advice = advise(toy, &limits, &targets, &mut |_| true);
    super::print(&if check.json { advice_json(&advice) } else { advice_text(&advice) })?;
    let unmended = advice.problems.iter().any(|p| p.nothing.is_some());
    Ok(if check.strict && unmended { ExitCode::from(1) } else { ExitCode::SUCCESS })
}

/// The limits of the file with those of the options: numbers in place of the file's, what must stay beside it.
fn limits(args: &AdviseArgs, kept: Limits, toy: &Toy) -> Result<Limits, String> {
    let mut limits = Limits {
        max_stitches_changed: args.max_stitches.or(kept.max_stitches_changed),
        max_weight_g: args.max_weight.or(kept.max_weight_g),
        max_outline_mm: args.max_outline.or(kept.max_outline_mm),
        ..kept
    };
    for words in &args.lock {
        // A part's own name may hold a colon: the whole wins over the part before it.
        let part = |name: &str| {
            let same = |p: &&crate::toy::Piece| p.part.name.to_lowercase() == name.trim().to_lowercase();
            toy.pieces.iter().find(same).map(|p| p.part.name.clone())
        };
        if let Some(name) = part(words) {
            limits.locked_parts.push(name);
            continue;
        }
        let rounds = words.rsplit_once(':').and_then(|(name, rounds)| Some((part(name)?, rounds)));
        let range = rounds.and_then(|(part, rounds)| {
            let (from, to) = rounds.split_once('-').unwrap_or((rounds, rounds));
            Some(LockedRounds { part, from: from.trim().parse().ok()?, to: to.trim().parse().ok()? })
        });
        match range.filter(|r| r.from >= 1 && r.from <= r.to) {
            Some(range) => limits.locked_rounds.push(range),
            None => {
                let names: Vec<&str> = toy.pieces.iter().map(|p| p.part.name.as_str()).collect();
                return Err(format!(
                    "\"{words}\" is no part to lock. Expected one of: {}; or a part and its rounds, such as \"{}:1-9\"",
                    names.join(", "),
                    names.first().copied().unwrap_or("Body")
                ));
            }
        }
    }
    for word in &args.without {
        let family = Family::ALL.iter().find(|f| f.word() == word.trim());
        let family = family.ok_or_else(|| format!("\"{word}\" is no family of changes; see --help"))?;
        limits.without.push(family.word().to_owned());
    }
    Ok(limits)
}
