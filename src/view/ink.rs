//! Colours of pictures, each for a light and a dark ground, and the words makers use for yarn colours.

pub use super::scene::{Ink, Theme as Ground};

const fn ink(light: [u8; 3], dark: [u8; 3]) -> Ink {
    let [a, b, c] = light;
    let [d, e, f] = dark;
    Ink { light: [a, b, c, 255], dark: [d, e, f, 255] }
}

impl Ink {
    /// Faint lines: the floor, a grid.
    pub const FAINT: Ink = ink([176, 166, 156], [98, 94, 98]);
    /// Fills that are barely there: the floor, a track.
    pub const TRACK: Ink = ink([232, 224, 213], [58, 55, 61]);
    /// The toy's outline.
    pub const OUTLINE: Ink = ink([62, 48, 44], [232, 224, 214]);
    /// The chosen round and part.
    pub const GLOW: Ink = ink([255, 176, 32], [255, 196, 74]);
    /// The chosen round as a fill over the yarn's colour.
    pub const GLOW_FILL: Ink = Ink { light: [255, 190, 48, 190], dark: [255, 206, 92, 190] };
    /// Before stuffing.
    pub const BEFORE: Ink = ink([122, 60, 132], [222, 160, 232]);
    /// The outline of a toy that could be, laid over the one that is.
    pub const SUGGESTED: Ink = ink([0, 96, 160], [112, 190, 240]);
    /// The rim of the give or take around the toy, as a fill.
    pub const SPREAD: Ink = ink([216, 205, 232], [74, 64, 92]);
    /// Its lines.
    pub const SPREAD_LINE: Ink = ink([98, 70, 140], [190, 170, 226]);
    /// The ground itself: laid under lines that cross the toy, so that they show on every yarn.
    pub const PAPER: Ink = ink([250, 246, 239], [38, 36, 41]);
    /// All is well: blue.
    pub const GOOD: Ink = ink([0, 96, 160], [112, 190, 240]);
    /// Worth a change: orange.
    pub const CARE: Ink = ink([178, 88, 0], [250, 178, 72]);
    /// Will disappoint: a dark red that leans to purple, the light end of the scale in the dark.
    pub const BAD: Ink = ink([158, 22, 62], [255, 132, 150]);

    /// A yarn's colour, the same on both grounds.
    pub const fn yarn(colour: [u8; 3]) -> Ink {
        ink(colour, colour)
    }

    /// The same colour, see-through: 0 is not there at all, 255 as it is.
    #[must_use]
    pub const fn faded(self, opacity: u8) -> Ink {
        let ([a, b, c, _], [d, e, f, _]) = (self.light, self.dark);
        Ink { light: [a, b, c, opacity], dark: [d, e, f, opacity] }
    }
}

/// How bright a colour looks, 0 to 1: the luma of ITU-R BT.601.
pub fn brightness(colour: [u8; 3]) -> f64 {
    let [r, g, b] = colour.map(|c| f64::from(c) / 255.0);
    0.299 * r + 0.587 * g + 0.114 * b
}

/// A line that shows on a yarn's colour: darker than it, or brighter where it is dark itself.
pub fn line_on(colour: [u8; 3]) -> [u8; 3] {
    if brightness(colour) > 0.3 {
        colour.map(|c| (f64::from(c) * 0.72) as u8)
    } else {
        colour.map(|c| (f64::from(c) + (255.0 - f64::from(c)) * 0.32) as u8)
    }
}

/// Words makers use for colours of yarn, as sRGB: the names that CSS knows too, and a few of the trade's.
pub const COLOUR_WORDS: [(&str, [u8; 3]); 34] = [
    ("white", [248, 246, 240]),
    ("cream", [243, 233, 208]),
    ("ivory", [245, 240, 222]),
    ("beige", [222, 202, 170]),
    ("tan", [205, 164, 118]),
    ("sand", [219, 193, 145]),
    ("brown", [122, 80, 52]),
    ("chocolate", [86, 54, 38]),
    ("rust", [176, 82, 40]),
    ("black", [38, 36, 38]),
    ("grey", [144, 144, 148]),
    ("gray", [144, 144, 148]),
    ("silver", [192, 194, 198]),
    ("red", [190, 44, 48]),
    ("wine", [118, 32, 54]),
    ("coral", [238, 122, 98]),
    ("pink", [240, 160, 180]),
    ("rose", [214, 108, 134]),
    ("orange", [232, 132, 44]),
    ("peach", [250, 198, 160]),
    ("yellow", [244, 208, 72]),
    ("mustard", [206, 160, 44]),
    ("gold", [214, 172, 70]),
    ("green", [74, 138, 84]),
    ("olive", [128, 128, 60]),
    ("mint", [160, 216, 190]),
    ("sage", [158, 176, 142]),
    ("teal", [30, 122, 126]),
    ("turquoise", [64, 182, 180]),
    ("blue", [58, 110, 180]),
    ("navy", [36, 50, 92]),
    ("lilac", [190, 162, 212]),
    ("purple", [116, 74, 144]),
    ("violet", [142, 92, 176]),
];

/// The colour a word stands for ("dark green" as well as "green"), where it is one.
pub fn colour_of_word(word: &str) -> Option<[u8; 3]> {
    let word = word.to_lowercase();
    let (_, colour) = COLOUR_WORDS.iter().rev().find(|(name, _)| word.split([' ', '-']).any(|w| w == *name))?;
    let towards = |end: f64| colour.map(|c| (f64::from(c) + (end - f64::from(c)) * 0.35) as u8);
    let has = |w: &str| word.split([' ', '-']).any(|x| x == w);
    Some(match () {
        () if has("dark") || has("deep") => towards(0.0),
        () if has("light") || has("pale") => towards(255.0),
        () => *colour,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colour_words_are_found_with_their_shade() {
        assert_eq!(colour_of_word("Teal"), Some([30, 122, 126]));
        assert!(
            brightness(colour_of_word("dark green").expect("a colour"))
                < brightness(colour_of_word("green").expect("a colour"))
        );
        assert_eq!(colour_of_word("yarn A"), None);
    }

    /// WCAG 2.1, 1.4.11: marks and lines need a contrast of 3 to 1 against their ground, words (1.4.3) 4.5 to 1.
    #[test]
    fn inks_stand_out_from_their_ground() {
        let luminance = |c: [u8; 4]| {
            let linear = |x: u8| {
                let x = f64::from(x) / 255.0;
                if x <= 0.040_45 { x / 12.92 } else { ((x + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * linear(c[0]) + 0.7152 * linear(c[1]) + 0.0722 * linear(c[2])
        };
        let contrast = |a: f64, b: f64| (a.max(b) + 0.05) / (a.min(b) + 0.05);
        let grounds = [(Ground::Light, [250, 246, 239, 255]), (Ground::Dark, [38, 36, 41, 255])];
        for (ground, paper) in grounds {
            for ink in [
                Ink::PLUMB,
                Ink::SUPPORT_LINE,
                Ink::NOTE,
                Ink::GOOD,
                Ink::CARE,
                Ink::BAD,
                Ink::BEFORE,
                Ink::SUGGESTED,
                Ink::OUTLINE,
                Ink::SPREAD_LINE,
            ] {
                let found = contrast(luminance(ink.on(ground)), luminance(paper));
                assert!(found >= 4.5, "{ink:?} on {ground:?}: {found:.2}");
            }
        }
    }
}
