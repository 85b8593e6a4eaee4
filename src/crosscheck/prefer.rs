//! The user's own choice between scan and tape.

use crate::error::{Error, Result};
use crate::measure::MeasureId;
use crate::tape::naming::{name_measure, nearest};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::str::FromStr;

/// Which side the user trusts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Prefer {
    /// The scan.
    Scan,
    /// The tape.
    Tape,
}

impl Prefer {
    /// In a word: `scan`, `tape`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Scan => "scan",
            Self::Tape => "tape",
        }
    }
}

/// One choice, as people write it: `waist = tape`, `left knee girth = scan`, or `tape` for all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Preference {
    /// The measure; all that both have if there is none.
    pub measure: Option<MeasureId>,
    /// The side to take.
    pub side: Prefer,
}

impl FromStr for Preference {
    type Err = Error;

    /// A measure goes by its key, its name or what the trade calls it, as on a tape sheet.
    fn from_str(text: &str) -> Result<Self> {
        let wrong = |why: String| {
            let short: String = text.chars().take(60).collect();
            Error::options(format!("the choice \"{short}\" {why}"))
        };
        let (measure, side) = match text.split_once('=') {
            Some((measure, side)) => (Some(measure.trim()), side),
            None => (None, text),
        };
        let side = match side.trim().to_lowercase().as_str() {
            "scan" => Prefer::Scan,
            "tape" => Prefer::Tape,
            _ => {
                return Err(wrong(
                    "does not say scan or tape; write it as \"waist = tape\"".into(),
                ));
            }
        };
        let Some(measure) = measure else {
            let measure = None;
            return Ok(Self { measure, side });
        };
        let named = name_measure(measure).ok_or_else(|| {
            let near = nearest(measure).map_or_else(
                || "girthwise measures lists them".to_owned(),
                |key| format!("did you mean {key}?"),
            );
            wrong(format!("names no measure; {near}"))
        })?;
        let row = named.key.definition();
        if named.side.is_some() && !row.paired {
            return Err(wrong(format!(
                "has a side, but there is only one {}; leave the side out",
                row.name
            )));
        }
        Ok(Self {
            measure: Some(MeasureId::new(named.key, named.side)),
            side,
        })
    }
}

/// What the user has decided; by default nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MergeOptions {
    /// The side to take for every measure that both have, unless it is named itself.
    pub all: Option<Prefer>,
    /// The side to take for a measure that both have. A paired measure without
    /// a side stands for both sides; one with a side goes before it.
    pub by_measure: BTreeMap<MeasureId, Prefer>,
}

impl MergeOptions {
    /// Collects choices.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if two choices about the same measure differ.
    ///
    /// # Examples
    /// ```
    /// use girthwise::crosscheck::{MergeOptions, Prefer};
    /// use girthwise::measure::Key;
    /// let options = MergeOptions::new(["scan".parse()?, "hip = tape".parse()?])?;
    /// assert_eq!(options.preferred(Key::HipGirth.into()), Some(Prefer::Tape));
    /// assert_eq!(options.preferred(Key::BustGirth.into()), Some(Prefer::Scan));
    /// # Ok::<(), girthwise::Error>(())
    /// ```
    pub fn new(choices: impl IntoIterator<Item = Preference>) -> Result<Self> {
        let mut options = Self::default();
        for Preference { measure, side } in choices {
            let before = match measure {
                None => options.all.replace(side),
                Some(id) => match options.by_measure.entry(id) {
                    Entry::Occupied(held) => Some(*held.get()),
                    Entry::Vacant(place) => {
                        place.insert(side);
                        None
                    }
                },
            };
            if before.is_some_and(|before| before != side) {
                let what = measure.map_or_else(|| "all measures".to_owned(), |id| id.to_string());
                return Err(Error::options(format!(
                    "both scan and tape are preferred for {what}; keep one of the two"
                )));
            }
        }
        Ok(options)
    }

    /// The side preferred for a measure.
    #[must_use]
    pub fn preferred(&self, id: MeasureId) -> Option<Prefer> {
        let of_both = || self.by_measure.get(&MeasureId::from(id.key));
        let named = self.by_measure.get(&id).or_else(of_both).copied();
        named.or(self.all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Key;
    use crate::side::Side;

    fn read(text: &str) -> Result<Preference> {
        text.parse()
    }

    #[test]
    fn what_is_nearer_to_the_measure_goes_first() {
        let left = MeasureId::new(Key::CalfGirth, Side::Left);
        let chosen = |texts: &[&str]| {
            let choices = texts.iter().map(|text| read(text).unwrap());
            MergeOptions::new(choices).unwrap().preferred(left)
        };
        assert_eq!(chosen(&[]), None);
        assert_eq!(chosen(&["scan"]), Some(Prefer::Scan));
        assert_eq!(chosen(&["scan", "calf = tape"]), Some(Prefer::Tape));
        let all = ["tape", "calf = tape", "left calf = scan"];
        assert_eq!(chosen(&all), Some(Prefer::Scan));
        assert_eq!(chosen(&["right calf = scan"]), None);
    }

    #[test]
    fn faults_say_what_to_write() {
        let said = |text: &str| read(text).unwrap_err().to_string();
        assert!(said("waist").contains("write it as"), "{}", said("waist"));
        assert!(said("waist = both").contains("scan or tape"));
        assert!(said("hip_grith = tape").contains("did you mean hip_girth?"));
        assert!(said("left hip = tape").contains("leave the side out"));
        let twice = ["hip = tape", "hip girth = scan"].map(|text| read(text).unwrap());
        let said = MergeOptions::new(twice).unwrap_err().to_string();
        assert!(said.contains("hip girth; keep one"), "{said}");
        let same = ["tape", "tape"].map(|text| read(text).unwrap());
        assert_eq!(MergeOptions::new(same).unwrap().all, Some(Prefer::Tape));
    }
}
