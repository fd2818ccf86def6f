//! Words that name parts of a toy: a table, so that a new word is one entry.

use std::collections::HashSet;
use std::sync::LazyLock;

const PARTS: &[&str] = &[
    "head", "body", "arm", "leg", "ear", "tail", "nose", "snout", "muzzle", "wing", "fin", "hat", "cap", "horn",
    "beak", "foot", "feet", "paw", "hand", "hair", "belly", "tummy", "shell", "spike", "eye", "cheek", "mane", "trunk",
    "antler", "neck", "skirt", "dress", "scarf", "bow", "base", "bottom", "lid", "stem", "leaf", "leaves", "petal",
    "roof", "wheel", "ball", "cone", "tube", "torso", "bill", "comb", "tongue", "tentacle", "flipper", "claw",
    "antenna", "antennae", "tooth", "teeth", "eyelid", "eyebrow", "collar", "brim", "boat", "hull", "chimney", "tower",
    "sleeve", "shoe", "boot", "thumb", "toe", "chin", "face", "patch", "spot", "stalk", "gill", "cup", "bag", "basket",
    "flower", "star", "moon", "sun", "bonnet", "crest", "fluke", "hump", "udder", "hoof", "hooves", "mushroom", "pom",
    "bud", "bottle", "pot", "saddle", "helmet", "crown", "bead", "button", "cape", "mouth", "lip", "jaw", "limb",
    "sole", "engine", "cabin", "door", "cloud", "knob", "plume", "feather", "branch",
];

static IS_PART: LazyLock<HashSet<&'static str>> = LazyLock::new(|| PARTS.iter().copied().collect());

/// Whether a word in lower case names a part, in the singular or plural.
pub(super) fn is_part(word: &str) -> bool {
    IS_PART.contains(word)
        || word.strip_suffix('s').is_some_and(|w| IS_PART.contains(w))
        || word.strip_suffix("es").is_some_and(|w| IS_PART.contains(w))
}

/// How many words of a text in lower case name parts.
pub(super) fn part_words(lower: &str) -> usize {
    lower.split(|c: char| !c.is_alphabetic()).filter(|w| w.len() > 1 && is_part(w)).count()
}
