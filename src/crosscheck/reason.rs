//! Why scan and tape may disagree: one small function a kind of slip.
//!
//! A reason must bring the two within [`AGREE`] expected spreads and clearly
//! nearer than they are. Ranking: half the square of what is left over (the
//! negative logarithm of a normal likelihood) plus a cost that stands for how
//! rare the slip is. Where several texts were tried, the logarithm of their
//! number is added, since among many one fits by chance. The costs are
//! assumptions; they order the list and decide no verdict.

use super::common::Common;
use super::compare::{Pair, TapeHeight};
use super::edit::Slip;
use super::{AGREE, Verdict};
use crate::length::text::Shown;
use crate::length::{Length, LengthUnit};
use crate::measure::MeasureId;
use crate::side::Side;
use crate::tape::Reading;
use crate::tape::repeat::count;
use serde::{Deserialize, Serialize};

/// Most reasons kept for one check.
const MOST: usize = 5;

/// A reason must explain at least this many expected spreads.
const GAIN: f64 = 1.0;

/// How far from its level a hand without marks lays a tape, as a standard deviation (assumption).
const LEVEL_SD_MM: f64 = 25.0;

const COST_LEVEL: f64 = 0.5;
const COST_UNIT: f64 = 1.0;
const COST_SIDE: f64 = 1.0;
const COST_COMMON: f64 = 1.5;
const COST_DIGITS: f64 = 2.0;
const COST_STEP: f64 = 2.5;

/// Something that would explain a distance between scan and tape.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reason {
    /// What may have happened.
    #[serde(flatten)]
    pub why: Why,
    /// What the tape would say without it, if that is a different value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tape_mm: Option<Length>,
    /// Distance from the scan that would be left, in expected spreads.
    pub left_over: f64,
    /// Rank: the lower, the likelier. Comparable within one check only.
    pub rank: f64,
}

/// The kinds of [`Reason`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "why", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Why {
    /// The tape lay at another level than the scan's.
    OtherLevel {
        /// Height at which the scan reads the tape's value.
        at_mm: Length,
        /// Height of the scan's level.
        level_mm: Length,
        /// Standard uncertainty of `at_mm`.
        give_mm: Length,
    },
    /// The number was meant in another unit.
    OtherUnit {
        /// Row of the sheet.
        row: u64,
        /// The cell as written.
        written: String,
        /// The unit it was taken in.
        taken: LengthUnit,
        /// The unit that fits.
        meant: LengthUnit,
    },
    /// Digits were swapped, dropped or one too many, the decimal mark stands
    /// wrongly, or the fraction was read backwards.
    Digits {
        /// Row of the sheet.
        row: u64,
        /// The cell as written.
        written: String,
        /// The cell that fits.
        meant: String,
    },
    /// Read at the wrong whole mark of the tape.
    WholeStep {
        /// Row of the sheet.
        row: u64,
        /// The cell as written.
        written: String,
        /// How much too much was read; negative if too little.
        over_mm: Length,
    },
    /// Left and right were exchanged.
    OtherSide {
        /// The side whose value the tape reads.
        reads: Side,
    },
    /// The shift that all girths share.
    Common,
}

impl Reason {
    /// The reason in a sentence.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        match &self.why {
            Why::OtherLevel {
                at_mm,
                level_mm,
                give_mm,
            } => {
                let way = if at_mm < level_mm { "lower" } else { "higher" };
                format!(
                    "The scan reads the tape's value {} {way}, at {} above the floor (± {}): the tape may have lain there.",
                    shown.show_some((*at_mm - *level_mm).abs()),
                    shown.show(*at_mm),
                    shown.show_some(*give_mm),
                )
            }
            Why::OtherSide { reads } => format!(
                "The reading fits the {reads} side of the scan: left and right may be exchanged on the sheet; they are the wearer's own."
            ),
            Why::Common => format!(
                "Without the shift that all girths share the tape would say {}.",
                self.shown_tape(shown)
            ),
            Why::OtherUnit { row, written, .. } => format!(
                "Row {row}, \"{written}\": {}; that is {}.",
                self.hint(),
                self.shown_tape(shown)
            ),
            Why::Digits { row, written, .. } => {
                format!("Row {row}, \"{written}\": {}.", self.hint())
            }
            Why::WholeStep {
                row,
                written,
                over_mm,
            } => {
                let way = if over_mm.mm() < 0.0 { "little" } else { "much" };
                format!(
                    "Row {row}, \"{written}\": the tape may have been read {} too {way}; then it would say {}.",
                    shown.show_some(over_mm.abs()),
                    self.shown_tape(shown)
                )
            }
        }
    }

    /// The reason in a few words that hold no length.
    #[must_use]
    pub fn hint(&self) -> String {
        match &self.why {
            Why::OtherLevel {
                at_mm, level_mm, ..
            } => {
                let way = if at_mm < level_mm { "lower" } else { "higher" };
                format!("the tape may have lain {way} than the scan's level")
            }
            Why::OtherUnit { taken, meant, .. } => {
                format!(
                    "taken in {}, it may be meant in {}",
                    taken.name(),
                    meant.name()
                )
            }
            Why::Digits { meant, .. } => format!("the reading may stand for \"{meant}\""),
            Why::WholeStep { .. } => "the tape may have been read at the wrong whole mark".into(),
            Why::OtherSide { .. } => "left and right may be exchanged".into(),
            Why::Common => "all girths share this shift".into(),
        }
    }

    fn shown_tape(&self, shown: Shown) -> String {
        self.tape_mm
            .map_or_else(|| "the same".to_owned(), |tape| shown.show(tape))
    }
}

/// What would explain the distance of a pair, likeliest first.
pub(crate) fn reasons(
    pair: &Pair<'_>,
    height: Option<&TapeHeight>,
    common: Option<&Common>,
) -> Vec<Reason> {
    let mut found: Vec<Reason> = height.map(other_level).into_iter().collect();
    found.extend(other_side(pair));
    found.extend(common.and_then(|common| shared_shift(pair, common)));
    for (index, reading) in pair.value.readings.iter().enumerate() {
        found.extend(other_unit(pair, index, reading));
        found.extend(digits(pair, index, reading));
        found.extend(whole_step(pair, index, reading));
    }
    found.extend(all_in_other_unit(pair));
    found.retain(|reason| explains(pair, reason.left_over));
    found.sort_by(|a, b| a.rank.total_cmp(&b.rank));
    found.truncate(MOST);
    found
}

fn explains(pair: &Pair<'_>, left_over: f64) -> bool {
    left_over <= AGREE && pair.z().abs() - left_over >= GAIN
}

fn reason(why: Why, tape_mm: impl Into<Option<Length>>, left_over: f64, cost: f64) -> Reason {
    Reason {
        why,
        tape_mm: tape_mm.into(),
        left_over,
        rank: cost + left_over * left_over / 2.0,
    }
}

/// The value the tape would have if one reading were `length`, and what that leaves.
fn without_slip(pair: &Pair<'_>, index: usize, length: Length) -> (Length, f64) {
    let value = pair.value.value_with(index, length);
    (value, pair.z_of(value.mm()).abs())
}

fn other_level(height: &TapeHeight) -> Reason {
    let far = (height.at - height.level).mm() / LEVEL_SD_MM;
    let why = Why::OtherLevel {
        at_mm: height.at,
        level_mm: height.level,
        give_mm: height.give,
    };
    reason(why, None, 0.0, COST_LEVEL + far * far / 2.0)
}

fn other_unit(pair: &Pair<'_>, index: usize, reading: &Reading) -> Vec<Reason> {
    in_other_units(reading)
        .map(|(meant, length)| {
            let (tape, left_over) = without_slip(pair, index, length);
            reason(unit_why(reading, meant), tape, left_over, COST_UNIT)
        })
        .collect()
}

/// Several readings, all written in the same wrong unit.
fn all_in_other_unit(pair: &Pair<'_>) -> Vec<Reason> {
    let [first, rest @ ..] = pair.value.readings.as_slice() else {
        return Vec::new();
    };
    if rest.is_empty() || rest.iter().any(|r| r.unit != first.unit) {
        return Vec::new();
    }
    in_other_units(first)
        .map(|(meant, _)| {
            let factor = meant.in_mm() / first.unit.in_mm();
            let tape = pair.value.value * factor;
            let left_over = pair.z_of(tape.mm()).abs();
            reason(unit_why(first, meant), tape, left_over, COST_UNIT)
        })
        .collect()
}

fn in_other_units(reading: &Reading) -> impl Iterator<Item = (LengthUnit, Length)> + '_ {
    let number = reading.length.mm() / reading.unit.in_mm();
    LengthUnit::ALL
        .into_iter()
        .filter(|&unit| unit != reading.unit)
        .map(move |unit| (unit, unit.length(number)))
}

fn unit_why(reading: &Reading, meant: LengthUnit) -> Why {
    Why::OtherUnit {
        row: reading.row,
        written: reading.text.clone(),
        taken: reading.unit,
        meant,
    }
}

/// The best fit of each kind of slip of the pen.
fn digits(pair: &Pair<'_>, index: usize, reading: &Reading) -> Vec<Reason> {
    Slip::ALL
        .into_iter()
        .filter_map(|slip| {
            let tried = slip.undone(reading);
            let cost = COST_DIGITS + count(tried.len().max(1)).ln();
            tried
                .into_iter()
                .map(|(meant, length)| {
                    let (tape, left_over) = without_slip(pair, index, length);
                    let why = Why::Digits {
                        row: reading.row,
                        written: reading.text.clone(),
                        meant,
                    };
                    reason(why, tape, left_over, cost)
                })
                .min_by(|a, b| a.rank.total_cmp(&b.rank))
        })
        .collect()
}

/// A whole inch off, or one or ten centimetres: the marks that carry numbers.
fn whole_step(pair: &Pair<'_>, index: usize, reading: &Reading) -> Vec<Reason> {
    let steps: &[f64] = match reading.unit {
        LengthUnit::Inch => &[-25.4, 25.4],
        _ => &[-100.0, -10.0, 10.0, 100.0],
    };
    let cost = COST_STEP + count(steps.len()).ln();
    steps
        .iter()
        .map(|&step| {
            let over_mm = Length::from_mm(step);
            let (tape, left_over) = without_slip(pair, index, reading.length - over_mm);
            let why = Why::WholeStep {
                row: reading.row,
                written: reading.text.clone(),
                over_mm,
            };
            reason(why, tape, left_over, cost)
        })
        .collect()
}

/// The tape fits the other side of the scan, and the other side's tape, if there is one, fits this.
fn other_side(pair: &Pair<'_>) -> Option<Reason> {
    let reads = pair.id().side?.other();
    let other = MeasureId::new(pair.id().key, reads);
    let scan = pair.scan.get(other)?.value;
    let left_over = ((pair.tape_mm() - scan) / pair.sd_mm()).abs();
    let tape = pair.tape.get(other).map(|value| value.value);
    let fits_both = tape.is_none_or(|tape| Verdict::of(pair.z_of(tape.mm())) == Verdict::Agrees);
    fits_both.then(|| reason(Why::OtherSide { reads }, tape, left_over, COST_SIDE))
}

fn shared_shift(pair: &Pair<'_>, common: &Common) -> Option<Reason> {
    if !pair.id().key.definition().is_girth() {
        return None;
    }
    let tape = common.corrected(pair.value.value);
    let left_over = pair.z_of(tape.mm()).abs();
    Some(reason(Why::Common, tape, left_over, COST_COMMON))
}
