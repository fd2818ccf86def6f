//! Words set to a width: how wide they are, broken into lines, shortened.

use super::letters::{Weight, set};
use super::{MM_PER_PT, Page, Style};
use glam::DVec2;

/// Width of a line of words, mm.
pub fn width_mm(text: &str, style: Style) -> f64 {
    set(text, style.weight).width_em * style.size_pt * MM_PER_PT
}

/// Breaks a text into lines no wider than this; a word wider than that is broken too.
pub fn wrap(text: &str, style: Style, width: f64) -> Vec<String> {
    let blank = width_mm(" ", style);
    let mut lines: Vec<String> = Vec::new();
    let mut used = 0.0;
    for word in text.split_whitespace() {
        let wide = width_mm(word, style);
        match lines.last_mut() {
            Some(line) if used + blank + wide <= width => {
                line.push(' ');
                line.push_str(word);
                used += blank + wide;
            }
            _ if wide <= width => {
                lines.push(word.to_owned());
                used = wide;
            }
            _ => {
                for piece in broken(word, style, width) {
                    used = width_mm(&piece, style);
                    lines.push(piece);
                }
            }
        }
    }
    lines
}

fn broken(word: &str, style: Style, width: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    let mut used = 0.0;
    for c in word.chars() {
        // One letter alone is a little wider than in its word at most.
        let wide = width_mm(c.encode_utf8(&mut [0; 4]), style);
        if used + wide > width && used > 0.0 {
            pieces.push(String::new());
            used = 0.0;
        }
        if let Some(last) = pieces.last_mut() {
            last.push(c);
        }
        used += wide;
    }
    pieces
}

/// The text itself where it is no wider than this, else its beginning with an ellipsis.
pub fn fit(text: &str, style: Style, width: f64) -> String {
    if width_mm(text, style) <= width {
        return text.to_owned();
    }
    let mut room = width - width_mm("…", style);
    let mut kept = String::new();
    for c in text.chars() {
        room -= width_mm(c.encode_utf8(&mut [0; 4]), style);
        if room < 0.0 {
            break;
        }
        kept.push(c);
    }
    kept.truncate(kept.trim_end().len());
    kept.push('…');
    kept
}

/// Height of a line of words with the room to the next, mm.
pub fn line_mm(size_pt: f64) -> f64 {
    1.3 * size_pt * MM_PER_PT
}

/// The largest of these sizes at which a text fits a width; the last where none does.
pub fn size_that_fits(text: &str, weight: Weight, sizes_pt: &[f64], width: f64) -> f64 {
    let em = set(text, weight).width_em;
    let fits = |size: &&f64| em * **size * MM_PER_PT <= width;
    sizes_pt.iter().find(fits).or(sizes_pt.last()).copied().unwrap_or(10.0)
}

/// A column that is filled with words from the top down.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its left edge, mm.
    pub left: f64,
    /// Its width, mm.
    pub width: f64,
    /// Where the next line begins, mm from the top of the page.
    pub y: f64,
}

impl Column {
    /// Sets a text in as many lines as it needs.
    pub fn say(&mut self, page: &mut Page, text: &str, style: Style) {
        self.say_up_to(page, text, style, usize::MAX);
    }

    /// Sets a text in at most so many lines; the last ends in an ellipsis where words are left over.
    pub fn say_up_to(&mut self, page: &mut Page, text: &str, style: Style, most: usize) {
        let mut lines = wrap(text, style, self.width);
        if lines.len() > most {
            let rest = lines.split_off(most);
            if let (Some(last), Some(next)) = (lines.last_mut(), rest.first()) {
                *last = fit(&format!("{last} {next}…"), style, self.width);
            }
        }
        for line in lines {
            self.line(page, &line, style);
        }
    }

    /// Sets one line as it is.
    pub fn line(&mut self, page: &mut Page, text: &str, style: Style) {
        let step = line_mm(style.size_pt);
        // The base line lies where the letters' own height, about 0.76 of the step, ends.
        page.words(DVec2::new(self.left, self.y + 0.76 * step), text, style);
        self.y += step;
    }

    /// Leaves room.
    pub fn skip(&mut self, mm: f64) {
        self.y += mm;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_their_width_and_lose_nothing() {
        let style = Style::plain(9.0);
        let text = "Widen the base or make the head smaller: a Donaudampfschifffahrtsgesellschaftskapitän agrees.";
        for width in [12.0, 25.0, 60.0] {
            let lines = wrap(text, style, width);
            for line in &lines {
                assert!(width_mm(line, style) <= width + 0.2, "{line}");
            }
            let all = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            assert_eq!(all(&lines.concat()), all(text));
        }
    }

    #[test]
    fn a_shortened_text_fits() {
        let style = Style::strong(12.0);
        let short = fit("A name that goes on and on", style, 20.0);
        assert!(short.ends_with('…') && width_mm(&short, style) <= 20.2, "{short}");
        assert_eq!(fit("Ball", style, 40.0), "Ball");
    }
}
