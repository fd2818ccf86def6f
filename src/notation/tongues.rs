//! Words of translated and foreign pages. They mean something only in a text that shows its tongue: some of
//! them are quite other words in English.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::words::{Printed as P, W};

/// Tongues, as bits.
pub(super) type Tongues = u8;
const DE: Tongues = 1;
const ES: Tongues = 2;
const FR: Tongues = 4;
const NL: Tongues = 8;
/// Portuguese and Italian.
const PT: Tongues = 16;
/// Danish, Norwegian, Swedish.
const NO: Tongues = 32;

/// Words that show a tongue: none of them is English.
const SIGNS: &[(&str, Tongues)] = &[
    ("runde", DE),
    ("runden", DE),
    ("zun", DE),
    ("abn", DE),
    ("maschen", DE),
    ("masche", DE),
    ("fadenring", DE),
    ("häkeln", DE),
    ("und", DE),
    ("jede", DE),
    ("fm", DE | NO),
    ("vuelta", ES),
    ("vueltas", ES),
    ("pb", ES | PT),
    ("aum", ES | PT),
    ("puntos", ES),
    ("anillo", ES),
    ("dism", ES),
    ("cada", ES | PT),
    ("ms", FR),
    ("aug", FR),
    ("mailles", FR),
    ("maille", FR),
    ("rang", FR),
    ("tour", FR),
    ("tours", FR),
    ("dim", FR | PT),
    ("chaque", FR),
    ("toer", NL),
    ("toeren", NL),
    ("vaste", NL),
    ("vasten", NL),
    ("meerd", NL),
    ("magische", NL | DE),
    ("steken", NL),
    ("elke", NL),
    ("carr", PT),
    ("carreira", PT),
    ("anel", PT),
    ("giro", PT),
    ("maglie", PT),
    ("ogni", PT),
    ("omg", NO),
    ("omgang", NO),
    ("varv", NO),
    ("hver", NO),
    ("lm", NO | DE),
];

/// So many words show a tongue.
const ENOUGH: u32 = 3;

const TABLE: &[(&str, Tongues, W)] = &[
    ("runden", DE, W::Rnd),
    ("reihe", DE, W::Rnd),
    ("reihen", DE, W::Rnd),
    ("m", DE | FR | PT | NO, W::St),
    ("ma", DE, W::St),
    ("masche", DE, W::St),
    ("maschen", DE, W::St),
    ("feste", DE, W::Single),
    ("kettmasche", DE, W::Kind(P::Slip)),
    ("km", DE | NO, W::Kind(P::Slip)),
    ("stb", DE, W::Kind(P::Dc)),
    ("stäbchen", DE, W::Kind(P::Dc)),
    ("zunahme", DE, W::Inc),
    ("zunahmen", DE, W::Inc),
    ("zunehmen", DE, W::Inc),
    ("verdoppeln", DE, W::Inc),
    ("abnahme", DE, W::Dec),
    ("abnahmen", DE, W::Dec),
    ("abnehmen", DE, W::Dec),
    ("zusammen", DE, W::Together),
    ("jede", DE, W::Each),
    ("jeder", DE, W::Each),
    ("alle", DE | NL | NO, W::All),
    ("nächste", DE, W::Next),
    ("nächsten", DE, W::Next),
    ("mal", DE, W::Times),
    ("wdh", DE, W::Rep),
    ("wiederholen", DE, W::Rep),
    ("und", DE, W::And),
    ("bis", DE, W::To),
    ("den", DE, W::The),
    ("die", DE, W::The),
    ("das", DE, W::The),
    ("der", DE, W::The),
    ("insgesamt", DE, W::Total),
    ("magischer", DE, W::RingAdj),
    ("magischen", DE, W::RingAdj),
    ("magische", DE | NL, W::RingAdj),
    ("häkeln", DE, W::Work),
    ("mit", DE, W::With),
    ("weiß", DE, W::Colour),
    ("schwarz", DE, W::Colour),
    ("rot", DE, W::Colour),
    ("grün", DE, W::Colour),
    ("blau", DE, W::Colour),
    ("gelb", DE, W::Colour),
    ("braun", DE, W::Colour),
    ("rosa", DE | ES | PT, W::Colour),
    ("grau", DE, W::Colour),
    ("farbe", DE, W::ColourNoun),
    ("wechseln", DE, W::Change),
    ("farbwechsel", DE, W::Change),
    ("stopfen", DE, W::Stuff),
    ("ausstopfen", DE, W::Stuff),
    ("füllen", DE, W::Stuff),
    ("füllwatte", DE, W::Stuff),
    ("schließen", DE, W::Close),
    ("vuelta", ES, W::Rnd),
    ("vueltas", ES, W::Rnd),
    ("vta", ES, W::Rnd),
    ("ronda", ES, W::Rnd),
    ("rondas", ES, W::Rnd),
    ("hilera", ES, W::Rnd),
    ("pbs", ES | PT, W::Kind(P::Sc)),
    ("punto", ES, W::St),
    ("puntos", ES, W::St),
    ("bajo", ES, W::Single),
    ("bajos", ES, W::Single),
    ("pe", ES, W::Kind(P::Slip)),
    ("pd", ES, W::Kind(P::Slip)),
    ("dism", ES, W::Dec),
    ("aumento", ES | PT, W::Inc),
    ("aumentos", ES | PT, W::Inc),
    ("disminución", ES, W::Dec),
    ("disminuciones", ES, W::Dec),
    ("en", ES | FR | NL, W::In),
    ("cada", ES | PT, W::Each),
    ("todos", ES | PT, W::All),
    ("todas", ES | PT, W::All),
    ("siguiente", ES, W::Next),
    ("siguientes", ES, W::Next),
    ("veces", ES, W::Times),
    ("vezes", PT, W::Times),
    ("repetir", ES | PT, W::Rep),
    ("alrededor", ES, W::Around),
    ("y", ES, W::And),
    ("el", ES, W::The),
    ("la", ES | FR, W::The),
    ("los", ES, W::The),
    ("las", ES, W::The),
    ("les", FR, W::The),
    ("de", ES | FR | NL | PT, W::Of),
    ("rellenar", ES, W::Stuff),
    ("cerrar", ES, W::Close),
    ("rang", FR, W::Rnd),
    ("rangs", FR, W::Rnd),
    ("rg", FR, W::Rnd),
    ("tours", FR, W::Rnd),
    ("maille", FR, W::St),
    ("mailles", FR, W::St),
    ("serrée", FR, W::Single),
    ("serrées", FR, W::Single),
    ("augmentation", FR, W::Inc),
    ("augmentations", FR, W::Inc),
    ("diminution", FR, W::Dec),
    ("diminutions", FR, W::Dec),
    ("chaque", FR, W::Each),
    ("fois", FR, W::Times),
    ("répéter", FR, W::Rep),
    ("et", FR, W::And),
    ("suivante", FR, W::Next),
    ("suivantes", FR, W::Next),
    ("autour", FR, W::Around),
    ("à", FR, W::To),
    ("dans", FR, W::In),
    ("toer", NL, W::Rnd),
    ("toeren", NL, W::Rnd),
    ("rij", NL, W::Rnd),
    ("vaste", NL, W::Kind(P::Sc)),
    ("vasten", NL, W::Kind(P::Sc)),
    ("meerd", NL, W::Inc),
    ("meerderen", NL, W::Inc),
    ("meerdering", NL, W::Inc),
    ("meerderingen", NL, W::Inc),
    ("mind", NL, W::Dec),
    ("minderen", NL, W::Dec),
    ("mindering", NL, W::Dec),
    ("minderingen", NL, W::Dec),
    ("hv", NL, W::Kind(P::Slip)),
    ("stk", NL, W::Kind(P::Dc)),
    ("hstk", NL, W::Kind(P::Hdc)),
    ("elke", NL, W::Each),
    ("iedere", NL, W::Each),
    ("steek", NL, W::St),
    ("steken", NL, W::St),
    ("keer", NL, W::Times),
    ("herhaal", NL, W::Rep),
    ("volgende", NL, W::Next),
    ("een", NL, W::The),
    ("carr", PT, W::Rnd),
    ("carreira", PT, W::Rnd),
    ("carreiras", PT, W::Rnd),
    ("volta", PT, W::Rnd),
    ("giro", PT, W::Rnd),
    ("giri", PT, W::Rnd),
    ("maglia", PT, W::St),
    ("maglie", PT, W::St),
    ("bassa", PT, W::Single),
    ("basse", PT, W::Single),
    ("anello", PT, W::Ring),
    ("cerchio", PT, W::Ring),
    ("magico", PT, W::Of),
    ("ogni", PT, W::Each),
    ("volte", PT, W::Times),
    ("em", PT, W::In),
    ("omg", NO, W::Rnd),
    ("omgang", NO, W::Rnd),
    ("omgange", NO, W::Rnd),
    ("varv", NO, W::Rnd),
    ("ökn", NO, W::Inc),
    ("öka", NO, W::Inc),
    ("økn", NO, W::Inc),
    ("øk", NO, W::Inc),
    ("udt", NO, W::Inc),
    ("minsk", NO, W::Dec),
    ("indt", NO, W::Dec),
    ("fell", NO, W::Dec),
    ("hver", NO, W::Each),
    ("gange", NO, W::Times),
    ("ganger", NO, W::Times),
    ("ggr", NO, W::Times),
    ("i", NO, W::In),
];

static SIGNED: LazyLock<HashMap<&'static str, Tongues>> = LazyLock::new(|| SIGNS.iter().copied().collect());
static MEANINGS: LazyLock<HashMap<&'static str, Vec<(Tongues, W)>>> = LazyLock::new(|| {
    let mut map: HashMap<&str, Vec<(Tongues, W)>> = HashMap::new();
    for (word, tongues, w) in TABLE {
        map.entry(word).or_default().push((*tongues, *w));
    }
    map
});

/// Words looked through for the tongue of a text.
const MOST_LOOKED: usize = 4_000;

/// The tongues that a text shows.
pub(super) fn shown(text: &str) -> Tongues {
    let mut counts = [0u32; 6];
    for word in text.split(|c: char| !c.is_alphabetic()).filter(|w| w.len() > 1).take(MOST_LOOKED) {
        if word.len() > 12 {
            continue;
        }
        let Some(tongues) = SIGNED.get(word.to_lowercase().as_str()) else { continue };
        for (k, n) in counts.iter_mut().enumerate() {
            *n += u32::from(tongues >> k & 1);
        }
    }
    counts.iter().enumerate().filter(|(_, n)| **n >= ENOUGH).fold(0, |all, (k, _)| all | 1 << k)
}

/// The meaning of a word, in lower case, in these tongues.
pub(super) fn meaning(lower: &str, tongues: Tongues) -> Option<W> {
    let found = MEANINGS.get(lower)?;
    found.iter().find(|(t, _)| t & tongues != 0).map(|(_, w)| *w)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tongue_shows_by_several_words() {
        assert_eq!(shown("1. Runde: 6 fM, jede Masche verdoppeln") & DE, DE);
        assert_eq!(shown("Rnd 1: 6 sc in the mind of a die"), 0);
        assert_eq!(meaning("mind", 0), None);
        assert_eq!(meaning("mind", NL), Some(W::Dec));
        assert!(TABLE.iter().all(|(word, ..)| word.to_lowercase() == *word));
    }
}
