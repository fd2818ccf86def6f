//! Hook sizes: what is stored is mm; letters are for makers who know them, and not unique.

/// Letters with their size, mm (Craft Yarn Council, hook sizes; B to N/P, metal and plastic hooks).
pub const HOOKS: [(&str, f64); 14] = [
    ("B", 2.25),
    ("C", 2.75),
    ("D", 3.25),
    ("E", 3.5),
    ("F", 3.75),
    ("G", 4.0),
    ("7", 4.5),
    ("H", 5.0),
    ("I", 5.5),
    ("J", 6.0),
    ("K", 6.5),
    ("L", 8.0),
    ("M/N", 9.0),
    ("N/P", 10.0),
];

/// Sizes that are sold, mm: those of the letters, and the finer ones between and below.
pub const HOOKS_MM: [f64; 22] = [
    1.0, 1.25, 1.5, 1.75, 2.0, 2.25, 2.5, 2.75, 3.0, 3.25, 3.5, 3.75, 4.0, 4.5, 5.0, 5.5, 6.0, 6.5, 8.0, 9.0, 10.0,
    15.0,
];

/// Size of a letter, mm.
pub fn hook_mm(letter: &str) -> Option<f64> {
    let letter = letter.trim().to_uppercase();
    HOOKS.iter().find(|(name, _)| *name == letter).map(|h| h.1)
}

/// Letter of a size in mm; `None` for sizes between.
pub fn hook_letter(mm: f64) -> Option<&'static str> {
    HOOKS.iter().find(|(_, size)| (size - mm).abs() < 0.01).map(|h| h.0)
}
