//! Yarn categories: the Craft Yarn Council's standard table (crochet columns), with the usual toy hooks.

/// One row of the table. Ranges are (low, high).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Category {
    /// Number on the label, 0 to 7.
    pub number: u8,
    /// Name on the label.
    pub name: &'static str,
    /// Single crochets in 4 inches, taken as 10 cm (lace: double crochets).
    pub stitches_per_10cm: (f64, f64),
    /// Hook that the label recommends, mm.
    pub label_hook_mm: (f64, f64),
    /// Hook that toys are worked with, mm (common practice, no source; 0 and 7 from memory).
    pub toy_hook_mm: (f64, f64),
    /// Metres in 100 g, from makers' charts (6 and 7: the lower end from memory).
    pub metres_per_100g: (f64, f64),
}

const fn row(
    number: u8,
    name: &'static str,
    stitches_per_10cm: (f64, f64),
    label_hook_mm: (f64, f64),
    toy_hook_mm: (f64, f64),
    metres_per_100g: (f64, f64),
) -> Category {
    Category { number, name, stitches_per_10cm, label_hook_mm, toy_hook_mm, metres_per_100g }
}

/// Craft Yarn Council, Standard Yarn Weight System: stitches and hooks of the crochet columns. Category 7's
/// open ends ("6 and fewer", "15 mm and more") are closed at 4 stitches and 25 mm, from memory.
pub const CATEGORIES: [Category; 8] = [
    row(0, "lace", (32.0, 42.0), (1.4, 2.25), (1.0, 1.5), (484.0, 800.0)),
    row(1, "super fine", (21.0, 32.0), (2.25, 3.5), (1.5, 2.0), (350.0, 484.0)),
    row(2, "fine", (16.0, 20.0), (3.5, 4.5), (2.0, 2.5), (242.0, 400.0)),
    row(3, "light", (12.0, 17.0), (4.5, 5.5), (2.5, 3.0), (181.0, 300.0)),
    row(4, "medium", (11.0, 14.0), (5.5, 6.5), (3.0, 3.75), (120.0, 240.0)),
    row(5, "bulky", (8.0, 11.0), (6.5, 9.0), (4.5, 5.5), (81.0, 130.0)),
    row(6, "super bulky", (6.0, 9.0), (9.0, 15.0), (5.0, 6.5), (50.0, 100.0)),
    row(7, "jumbo", (4.0, 6.0), (15.0, 25.0), (8.0, 12.0), (20.0, 60.0)),
];

/// Names makers use for the categories, beside the table's own.
const OTHER_NAMES: [(&str, u8); 18] = [
    ("thread", 0),
    ("cobweb", 0),
    ("sock", 1),
    ("fingering", 1),
    ("baby", 1),
    ("superfine", 1),
    ("4 ply", 1),
    ("sport", 2),
    ("dk", 3),
    ("double knitting", 3),
    ("light worsted", 3),
    ("8 ply", 3),
    ("worsted", 4),
    ("aran", 4),
    ("afghan", 4),
    ("chunky", 5),
    ("superbulky", 6),
    ("roving", 6),
];

impl Category {
    /// Middle of the toy hooks, mm.
    pub fn toy_hook_middle_mm(&self) -> f64 {
        (self.toy_hook_mm.0 + self.toy_hook_mm.1) / 2.0
    }

    /// Width of a stitch at the label's gauge, mm.
    pub fn label_width_mm(&self) -> f64 {
        200.0 / (self.stitches_per_10cm.0 + self.stitches_per_10cm.1)
    }
}

/// The category of a number ("4") or a name ("worsted", "super bulky"), `None` where it is neither.
pub fn category(word: &str) -> Option<&'static Category> {
    let word = word.trim().to_lowercase().replace(['-', '_'], " ");
    let number = word.parse::<u8>().ok().or_else(|| {
        let named = CATEGORIES.iter().find(|c| c.name == word).map(|c| c.number);
        named.or_else(|| OTHER_NAMES.iter().find(|(name, _)| *name == word).map(|(_, n)| *n))
    })?;
    CATEGORIES.get(usize::from(number))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_numbers_find_their_row() {
        assert_eq!(category("4").map(|c| c.name), Some("medium"));
        assert_eq!(category("Super-Bulky").map(|c| c.number), Some(6));
        assert_eq!(category("DK").map(|c| c.number), Some(3));
        assert!(category("8").is_none() && category("string").is_none());
    }
}
