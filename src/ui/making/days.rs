//! A day that is typed, as year-month-day.

use egui::{Color32, RichText, TextEdit, Ui};
use jiff::civil::Date;

use crate::ui::text::Text;
use crate::ui::{fields, look};
use crate::view::ink::Ink;

/// What is being typed, until it is a day.
#[derive(Debug, Default)]
pub(super) struct Draft(Option<String>);

/// A day in words.
pub(super) fn told(day: Date) -> String {
    day.strftime("%a %-d %b %Y").to_string()
}

/// A field for a day that may be left out; `empty` stands in it then. Answers the new one.
pub(super) fn field(
    ui: &mut Ui,
    words: &str,
    now: Option<Date>,
    empty: &str,
    draft: &mut Draft,
) -> Option<Option<Date>> {
    let kept = now.map_or(String::new(), |day| day.to_string());
    let mut text = draft.0.clone().unwrap_or_else(|| kept.clone());
    let mut answer = None;
    let response = fields::row(ui, words, |ui| {
        let mut field = Text(&mut text);
        let edit = TextEdit::singleline(&mut field).char_limit(10).desired_width(92.0).hint_text(empty);
        let response = ui.add(edit).accessible_name(words);
        if let Some(day) = now {
            ui.label(RichText::new(day.strftime("%a").to_string()).weak());
        }
        response
    });
    if response.changed() {
        // What is no day yet changes nothing.
        answer = read(&text).filter(|day| *day != now);
        draft.0 = Some(text.clone());
    }
    if draft.0.is_some() && !response.has_focus() {
        if read(&text).is_some() {
            draft.0 = None;
        } else {
            let ink: Color32 = look::colour(Ink::BAD, look::ground(ui));
            let why = format!("{text} is no day. Write year-month-day, such as 2026-12-24.");
            ui.add(egui::Label::new(RichText::new(why).small().color(ink)).wrap());
        }
    }
    answer
}

/// The day of a text: none for an empty one; `None` for what is no day.
fn read(text: &str) -> Option<Option<Date>> {
    let text = text.trim();
    if text.is_empty() {
        return Some(None);
    }
    // Only the written form with its hyphens: what else counts as a day is not guessed at.
    let has_form = text.len() == 10 && text.as_bytes()[4] == b'-' && text.as_bytes()[7] == b'-';
    has_form.then(|| text.parse::<Date>().ok()).flatten().map(Some)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_are_days() {
        assert_eq!(read(" 2026-12-24 "), Some(Some(jiff::civil::date(2026, 12, 24))));
        assert_eq!(read(""), Some(None));
        for text in ["2026-02-30", "24.12.2026", "2026-12", "soon", "2026/12/24", "20261224"] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
