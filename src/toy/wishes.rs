//! What the maker holds fast, and what the maker wants: kept with the toy, used by `advise`.

use serde::{Deserialize, Serialize};

/// All that the maker wants of a toy and will not have changed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Wishes {
    /// What it is to come to.
    pub targets: Targets,
    /// What must stay.
    pub limits: Limits,
}

impl Wishes {
    /// Whether nothing is wanted and nothing held fast.
    pub fn is_empty(&self) -> bool {
        *self == Wishes::default()
    }

    /// Lets what is held fast of a part follow its new name.
    pub fn rename_part(&mut self, old: &str, new: &str) {
        let rounds = self.limits.locked_rounds.iter_mut().map(|l| &mut l.part);
        for name in rounds.chain(&mut self.limits.locked_parts).filter(|name| *name == old) {
            *name = new.to_owned();
        }
    }

    /// Holds a copy of a part as fast as the part itself.
    pub fn double_part(&mut self, part: &str, copy: &str) {
        let limits = &mut self.limits;
        if limits.locked_parts.iter().any(|p| p == part) {
            limits.locked_parts.push(copy.to_owned());
        }
        let same = limits.locked_rounds.iter().filter(|l| l.part == part);
        let again: Vec<LockedRounds> = same.map(|l| LockedRounds { part: copy.to_owned(), ..l.clone() }).collect();
        limits.locked_rounds.extend(again);
    }

    /// Lets go of a part that is taken out.
    pub fn forget_part(&mut self, part: &str) {
        self.limits.locked_parts.retain(|p| p != part);
        self.limits.locked_rounds.retain(|l| l.part != part);
    }

    /// Lets what is wanted of a yarn follow its new name.
    pub fn rename_yarn(&mut self, old: &str, new: &str) {
        for yarn in self.targets.at_most_g_of.iter_mut().filter(|y| y.yarn == old) {
            yarn.yarn = new.to_owned();
        }
    }

    /// Wants nothing more of a yarn that is taken out.
    pub fn forget_yarn(&mut self, yarn: &str) {
        self.targets.at_most_g_of.retain(|y| y.yarn != yarn);
    }
}

/// What a change must leave alone.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Limits {
    /// Names of parts that stay as they are: rounds, stuffing, place and what is in them.
    pub locked_parts: Vec<String>,
    /// Rounds that stay as they are written.
    pub locked_rounds: Vec<LockedRounds>,
    /// Most stitches added or taken, all copies together.
    pub max_stitches_changed: Option<u32>,
    /// Most that any place of an outline may move, mm.
    pub max_outline_mm: Option<f64>,
    /// Most minutes that the toy may take longer.
    pub max_minutes_more: Option<f64>,
    /// Most weight that may be put in, g.
    pub max_weight_g: Option<f64>,
    /// Families of changes that are not wanted, by their words (`advise --help` lists them). A word that is not known,
    /// such as that of a later program, rules out nothing and is kept.
    pub without: Vec<String>,
}

/// Rounds that stay as they are written.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct LockedRounds {
    /// Name of the part.
    pub part: String,
    /// First round, counted from 1.
    pub from: u32,
    /// Last round.
    pub to: u32,
}

/// What the toy is to come to. All that is set must hold at once.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Targets {
    /// Least lean before it falls, degrees.
    pub tip_deg_min: Option<f64>,
    /// Least share of its load that every neck above a twelfth of the toy's mass can bear.
    pub neck_share_min: Option<f64>,
    /// Most mass of the head against the rest.
    pub head_to_body_max: Option<f64>,
    /// Height, mm, to a hundredth or half a round.
    pub height_mm: Option<f64>,
    /// Most yarn, all yarns together, without tails and sewing, g.
    pub at_most_g_of_yarn: Option<f64>,
    /// Most of single yarns.
    pub at_most_g_of: Vec<YarnAtMost>,
}

/// The most that may be used of a yarn.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct YarnAtMost {
    /// Name of the yarn.
    pub yarn: String,
    /// Without tails and sewing, g.
    pub grams: f64,
}

/// What a target can be, as the command line says it.
pub const TARGET_WORDS: &str = "tip=DEGREES, neck=SHARE, head-to-body=RATIO (1.5 or 1:1.5), height=MM, yarn=GRAMS, \
    yarn:NAME=GRAMS";

impl Targets {
    /// Whether nothing is wanted.
    pub fn is_empty(&self) -> bool {
        *self == Targets::default()
    }

    /// Sets a target from words such as `tip=15`, `head-to-body=1:1.5`, `yarn:Peat=40`.
    ///
    /// # Errors
    /// Where the words are none of [`TARGET_WORDS`], or the number is not above 0.
    pub fn set(&mut self, words: &str) -> Result<(), String> {
        let (name, value) = words
            .split_once('=')
            .ok_or_else(|| format!("\"{words}\" is no target; expected one of: {TARGET_WORDS}"))?;
        let number = |text: &str| {
            let value = text.trim().replace(',', ".").parse::<f64>().ok();
            value
                .filter(|v| v.is_finite() && *v > 0.0 && *v < 1e9)
                .ok_or_else(|| format!("\"{words}\": expected a number above 0 after ="))
        };
        match name.trim() {
            "tip" => {
                let tip = number(value)?;
                if tip >= 90.0 {
                    return Err(format!("\"{words}\": expected fewer than 90 degrees"));
                }
                self.tip_deg_min = Some(tip);
            }
            "neck" => self.neck_share_min = Some(number(value)?),
            "head-to-body" => {
                self.head_to_body_max = Some(match value.split_once(':') {
                    Some((head, body)) => number(head)? / number(body)?,
                    None => number(value)?,
                });
            }
            "height" => self.height_mm = Some(number(value)?),
            "yarn" => self.at_most_g_of_yarn = Some(number(value)?),
            other => match other.strip_prefix("yarn:").map(str::trim).filter(|n| !n.is_empty()) {
                Some(yarn) => {
                    let grams = number(value)?;
                    self.at_most_g_of.retain(|y| y.yarn != yarn);
                    self.at_most_g_of.push(YarnAtMost { yarn: yarn.to_owned(), grams });
                }
                None => return Err(format!("\"{words}\" is no target; expected one of: {TARGET_WORDS}")),
            },
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn targets_are_read_from_words_and_kept_in_files() {
        let mut targets = Targets::default();
        for words in ["tip=15", "head-to-body=1:1.5", "height = 180", "yarn=100", "yarn:Peat=40,5", "neck=1"] {
            targets.set(words).unwrap_or_else(|e| panic!("{e}"));
        }
        assert_eq!((targets.tip_deg_min, targets.height_mm), (Some(15.0), Some(180.0)));
        assert_eq!(targets.head_to_body_max, Some(1.0 / 1.5));
        assert_eq!(targets.at_most_g_of[0], YarnAtMost { yarn: "Peat".into(), grams: 40.5 });
        for wrong in ["tip", "tip=", "tip=-3", "tip=95", "width=3", "yarn:=3", "height=nan"] {
            assert!(targets.set(wrong).is_err(), "{wrong}");
        }
        let text = ron::to_string(&targets).unwrap_or_default();
        assert_eq!(ron::from_str::<Targets>(&text).ok(), Some(targets));
        assert_eq!(ron::from_str::<Limits>("(locked_parts: [\"Head\"])").ok().map(|l| l.locked_parts.len()), Some(1));
    }
}
