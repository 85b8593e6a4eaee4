//! Scan against tape: where they agree, where not, and why that may be.
//!
//! Neither side is taken as the truth. A [`Check`] compares one measure, its
//! [`Reason`]s name slips that would explain the distance, [`Common`] is what
//! all girths share, and [`merge()`] chooses the value to work with.

use crate::finding::Finding;
use crate::length::Length;
use crate::length::text::Shown;
use crate::measure::{MeasureId, MeasureSet, Spread, Tilted};
use crate::tape::TapeSet;
use compare::Pair;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub mod again;
pub mod common;
mod compare;
mod edit;
pub mod merge;
mod prefer;
pub mod reason;
pub mod repeats;
pub(crate) mod scale;
mod twice;

pub use again::{Again, Task};
pub use common::{Common, Explanation, Shared, Shift, Support};
pub use merge::{Entry, Input, merge, merge_with};
pub use prefer::{MergeOptions, Prefer, Preference};
pub use reason::{Reason, Tilt, Why};
pub use repeats::Repeats;
pub use twice::Twice;

/// Up to this many expected spreads apart scan and tape agree: 95 of 100 honest pairs do.
pub const AGREE: f64 = 2.0;

/// From this many expected spreads on one of the two must be wrong: 3 of 1000
/// honest pairs lie so far apart, less than one in ten sheets of thirty rows.
/// Between the two lies about one row of a sheet by chance alone.
pub const WRONG: f64 = 3.0;

/// How well scan and tape go together.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Their distance is what their uncertainties let expect.
    Agrees,
    /// It may be chance or a slip: look at the sheet and the reasons.
    LookAgain,
    /// One of the two is wrong: measure again.
    MeasureAgain,
}

impl Verdict {
    /// The verdict on a distance of so many expected spreads; one that is no number counts as wrong.
    #[must_use]
    pub fn of(z: f64) -> Self {
        if z.abs() <= AGREE {
            Self::Agrees
        } else if z.abs() <= WRONG {
            Self::LookAgain
        } else {
            Self::MeasureAgain
        }
    }

    /// In words: `agrees`, `look again`, `measure again`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::LookAgain => "look again",
            Self::MeasureAgain => "measure again",
        }
    }
}

/// One measure, by scan and by tape.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Check {
    /// Which measure.
    #[serde(flatten)]
    pub id: MeasureId,
    /// What the scan says.
    pub scan_mm: Length,
    /// What the tape says.
    pub tape_mm: Length,
    /// Tape minus scan.
    pub difference_mm: Length,
    /// Spread expected of the difference, in mm, with the parts of both sides.
    pub spread: Spread,
    /// The difference in expected spreads, with its sign.
    pub z: f64,
    /// What to make of it.
    pub verdict: Verdict,
    /// Height at which the scan's girth curve reads the tape's value, nearest
    /// to the level of the measure; absent where the curve is too flat or too far to tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tape_height_mm: Option<Length>,
    /// What the tape's repeats tell of the hand; absent if it was read once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeats: Option<Repeats>,
    /// What would explain the distance, likeliest first; empty if the two agree.
    pub reasons: Vec<Reason>,
}

impl Check {
    /// The comparison in a sentence.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        let way = if self.difference_mm.mm() < 0.0 {
            "less"
        } else {
            "more"
        };
        format!(
            "{}: {}. The tape says {}, the scan {}; that is {} {way}, {:.1} times the {} that a careful tape and a scan usually differ by.",
            self.id,
            self.verdict.words(),
            shown.show(self.tape_mm),
            shown.show(self.scan_mm),
            shown.show_some(self.difference_mm.abs()),
            self.z.abs(),
            shown.show_some(Length::from_mm(self.spread.sd)),
        )
    }
}

/// Every comparison of a scan with a tape sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CrossCheck {
    /// One check a measure that both sides have, in catalogue order.
    pub checks: Vec<Check>,
    /// What all girths share, if there are enough to tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub common: Option<Common>,
    /// What to measure again, what matters most first; at most three.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub again: Vec<Again>,
    /// What the heights show: a scale that is off.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Finding>,
}

impl CrossCheck {
    /// The check of a measure, if both sides have it.
    #[must_use]
    pub fn get(&self, id: impl Into<MeasureId>) -> Option<&Check> {
        let id = id.into();
        self.checks.iter().find(|check| check.id == id)
    }
}

/// Compares every measure that both the scan and the tape have.
///
/// The errors of different measures are taken as independent. Those that
/// hang on one level (a waist set too low moves waist girth and back length
/// together) are not, so several doubtful checks may have one cause.
///
/// How much longer a tape gets that lies out of level is reckoned on a cylinder, as measures alone do not
/// show the seat or the heel that it climbs onto; [`cross_check_with`] takes it from the scan.
#[must_use]
pub fn cross_check(scan: &MeasureSet, tape: &TapeSet) -> CrossCheck {
    cross_check_with(scan, tape, |_| Vec::new())
}

/// As [`cross_check`], with the girths a tilted tape reads.
///
/// `tilts` is called once, with the measures whose readings ask for a reason, and not at all if none
/// does: cutting them takes about a tenth of the time of a whole scan. [`Scan::tilts`](crate::scan::Scan::tilts)
/// answers it; what it leaves out is reckoned on a cylinder.
///
/// # Examples
/// ```
/// use girthwise::crosscheck::cross_check_with;
/// use girthwise::{frame::FrameOptions, ingest::{Limits, read_scan}, scan::measure_scan};
/// use girthwise::{LengthUnit, measure::Key, tape::{pool, read_tape}};
///
/// let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default())?;
/// let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
/// let sheet = "measure,reading\nnarrowest waist girth,28 1/4 in\n";
/// let tape = pool(&read_tape(sheet.as_bytes(), "tape.csv", LengthUnit::Inch)?);
/// let cross = cross_check_with(&scan.measures, &tape, |ids| scan.tilts(ids));
/// assert!(cross.get(Key::WaistNarrowestGirth).is_some_and(|waist| !waist.reasons.is_empty()));
/// # Ok::<(), girthwise::Error>(())
/// ```
#[must_use]
pub fn cross_check_with(
    scan: &MeasureSet,
    tape: &TapeSet,
    tilts: impl FnOnce(&[MeasureId]) -> Vec<Tilted>,
) -> CrossCheck {
    let pairs = compare::pairs(scan, tape);
    let doubtful = pairs.iter().filter(|pair| pair.is_doubtful());
    let doubtful: Vec<MeasureId> = doubtful.map(Pair::id).collect();
    let tilts = if doubtful.is_empty() {
        Vec::new()
    } else {
        tilts(&doubtful)
    };
    let common = common::estimate(&pairs);
    let checks: Vec<Check> = pairs
        .iter()
        .map(|pair| pair.check(&pairs, common.as_ref(), &tilts))
        .collect();
    let again = again::order(&checks, common.as_ref());
    // Where the girths show it as well, it is told with them.
    let with_girths = common.as_ref().and_then(|common| common.heights_too) == Some(true);
    let heights = scale::tape_heights(&pairs).filter(|_| !with_girths);
    CrossCheck {
        checks,
        common,
        again,
        findings: heights.into_iter().collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Normal law: 95.4 % within 2, 99.7 % within 3 spreads (any table).
    #[test]
    fn grades() {
        assert_eq!(Verdict::of(-2.0), Verdict::Agrees);
        assert_eq!(Verdict::of(2.1), Verdict::LookAgain);
        assert_eq!(Verdict::of(-3.1), Verdict::MeasureAgain);
        assert_eq!(Verdict::of(f64::NAN), Verdict::MeasureAgain);
    }
}
