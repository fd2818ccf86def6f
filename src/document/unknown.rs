//! Fields of a file that this version does not know: found, told to the maker, kept with what they belong to, and
//! written again. A file of a later program loses nothing by being opened and saved here, and a slip in a field's
//! name is said rather than swallowed.

use std::collections::{HashMap, HashSet};

use super::tree::{Node, line_and_column, tree};
use crate::kept::{Kept, KeptField};
use crate::measure::{Finding, FindingKind, Severity};
use crate::toy::Toy;

/// Fields told one by one; a file with more is of another kind.
const MOST_TOLD: usize = 20;

/// Takes the fields that were read over into the toy, and says which they are. `ignored` holds their paths from the
/// root of the file, `later` says that the file is of a later program, `known` is the same toy as it is saved.
pub fn take_up(text: &str, ignored: &[String], later: bool, known: &str, toy: &mut Toy) -> Vec<Finding> {
    let Some(root) = tree(text).filter(|_| !ignored.is_empty()) else { return Vec::new() };
    let known = tree(known);
    let mut told = Vec::new();
    let mut found = 0;
    // Place by place, in the order of the file; each place is gone through once, however many fields it has.
    let mut numbers: HashMap<&str, usize> = HashMap::new();
    let mut places: Vec<(&str, HashSet<&str>)> = Vec::new();
    for path in ignored {
        let (within, name) = path.rsplit_once('.').unwrap_or(("", path));
        let at = *numbers.entry(within).or_insert_with(|| {
            places.push((within, HashSet::new()));
            places.len() - 1
        });
        places[at].1.insert(name);
    }
    for (within, names) in &places {
        let Some(holder) = root.find(within) else { continue };
        for field in holder.fields().iter().filter(|f| names.contains(f.plain_name())) {
            let name = field.plain_name();
            let value = text[field.value.from..field.value.to].to_owned();
            let kept = KeptField {
                choice: holder.name.to_owned(),
                name: field.name.to_owned(),
                value,
                ..KeptField::default()
            };
            give(toy, within, kept);
            found += 1;
            if found > MOST_TOLD {
                continue;
            }
            let fields = known.as_ref().and_then(|k| k.find(within)).map_or(&[][..], Node::fields);
            let words: Vec<&str> = fields.iter().map(|f| f.name).collect();
            told.push(tell(name, line_and_column(text, field.from), later, &words));
        }
    }
    // Fields of one place stay in their order, places in theirs: what is saved and opened again is the same.
    let pieces = toy.pieces.iter_mut().map(|p| &mut p.part.kept);
    let extras = toy.extras.iter_mut().map(|e| &mut e.kept);
    for kept in pieces.chain(toy.yarns.iter_mut().map(|y| &mut y.kept)).chain(extras).chain([&mut toy.kept]) {
        kept.fields.sort_by(|a, b| a.within.cmp(&b.within));
    }
    let more = found.saturating_sub(MOST_TOLD);
    if more > 0 {
        told.push(finding(later, format!("{more} more fields of the file are not known."), later_or_slip(later)));
    }
    told
}

/// Puts a field where what it belongs to is kept.
fn give(toy: &mut Toy, within: &str, field: KeptField) {
    let mut steps = within.splitn(4, '.');
    let (root, list) = (steps.next(), steps.next());
    let index = steps.next().and_then(|i| i.parse::<usize>().ok());
    let rest = steps.next().unwrap_or("").to_owned();
    let owner = match (root, list, index) {
        (Some("toy"), Some("pieces"), Some(i)) => toy.pieces.get_mut(i).map(|p| &mut p.part.kept),
        (Some("toy"), Some("yarns"), Some(i)) => toy.yarns.get_mut(i).map(|y| &mut y.kept),
        (Some("toy"), Some("extras"), Some(i)) => toy.extras.get_mut(i).map(|e| &mut e.kept),
        _ => None,
    };
    match owner {
        Some(kept) => kept.fields.push(KeptField { within: rest, ..field }),
        None => toy.kept.fields.push(KeptField { within: within.to_owned(), ..field }),
    }
}

fn tell(name: &str, (line, column): (usize, usize), later: bool, known: &[&str]) -> Finding {
    let near = known.iter().map(|k| (strsim::osa_distance(k, name), *k)).min();
    let near = near.filter(|(away, k)| *away <= 2 && 2 * away < k.chars().count()).map(|(_, k)| k);
    let message =
        format!("Line {line}, column {column}: \"{name}\" is no field that is known there; it is kept, not used.");
    let remedy = match near.filter(|_| !later) {
        Some(near) => format!("If \"{near}\" is meant, correct it in the file."),
        None => later_or_slip(later).to_owned(),
    };
    finding(later, message, &remedy)
}

fn later_or_slip(later: bool) -> &'static str {
    if later {
        "Open it with the later program to have it used."
    } else {
        "Correct its name in the file, or take it out."
    }
}

fn finding(later: bool, message: String, remedy: &str) -> Finding {
    Finding {
        kind: FindingKind::UnknownField,
        severity: if later { Severity::Note } else { Severity::Warning },
        part: None,
        round: None,
        message,
        remedy: remedy.to_owned(),
    }
}

/// The text of a toy's file with the fields that were kept put back in their places. One whose place is gone (a
/// part that now sits another way) goes with it.
pub fn put_back(text: String, toy: &Toy) -> String {
    let pieces = toy.pieces.iter().enumerate().map(|(i, p)| (format!("toy.pieces.{i}"), &p.part.kept));
    let yarns = toy.yarns.iter().enumerate().map(|(i, y)| (format!("toy.yarns.{i}"), &y.kept));
    let extras = toy.extras.iter().enumerate().map(|(i, e)| (format!("toy.extras.{i}"), &e.kept));
    let owners: Vec<(String, &Kept)> = std::iter::once((String::new(), &toy.kept))
        .chain(pieces.chain(yarns).chain(extras).filter(|(_, kept)| !kept.fields.is_empty()))
        .collect();
    if owners.iter().all(|(_, kept)| kept.fields.is_empty()) {
        return text;
    }
    let Some(root) = tree(&text) else { return text };
    // Byte before which something is put, and what; ends of the file first, so that the rest stays in place.
    let mut additions: Vec<(usize, String)> = Vec::new();
    for (owner, kept) in owners {
        for field in &kept.fields {
            let holder = root.find(&format!("{owner}.{}", field.within));
            let holder = holder.filter(|h| h.name == field.choice && !h.fields().is_empty());
            // A field that a later version of the program has come to know is read and written by itself.
            let Some(holder) = holder.filter(|h| h.fields().iter().all(|f| f.name != field.name)) else { continue };
            let Some(last) = holder.fields().last() else { continue };
            additions.push((last.value.to, format!(",{}{}: {}", lead(&text, last.from), field.name, field.value)));
        }
    }
    additions.sort_by_key(|(at, _)| *at);
    let mut whole = String::with_capacity(text.len() + additions.iter().map(|(_, a)| a.len()).sum::<usize>());
    let mut done = 0;
    for (at, addition) in &additions {
        whole.push_str(&text[done..*at]);
        whole.push_str(addition);
        done = *at;
    }
    whole + &text[done..]
}

/// What stands before a field: a new line and its blanks, or one blank where it is not the first in its line.
fn lead(text: &str, field: usize) -> &str {
    let start = text[..field].trim_end_matches([' ', '\t']).len();
    if text[..start].ends_with('\n') { &text[start - 1..field] } else { " " }
}
