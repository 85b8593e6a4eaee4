//! Why scan and tape may disagree, and which of it is likeliest.
//!
//! A reason must bring the two within [`AGREE`] expected spreads (a shift of all girths, or sides exchanged:
//! [`WRONG`]) and clearly nearer than they are. Ranking: the negative logarithm of the reading's likelihood
//! plus a cost that stands for how rare the slip is. The likelihood of a slip that fixes the reading
//! is normal in what is left over; that of a slip with a size of its own (a height, an angle, a pull)
//! is the mean over the sizes it may have, small ones a little likelier, so that one which could explain
//! anything explains nothing well; where several texts or places were tried, each has its share of it. What other rows
//! of the sheet say for or against a slip is added. The costs stand
//! beside each kind of slip; they are assumptions, order the list and decide no verdict.
//! Of each kind the likeliest case is told.

use super::common::Common;
use super::compare::Pair;
use super::{AGREE, WRONG};
use crate::length::{Length, LengthUnit};
use crate::measure::{Key, Lower, Tilted};
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod level;
mod placing;
mod say;
mod shared;
mod tilt;
mod waist;
mod written;

/// Most reasons kept for one check.
const MOST: usize = 5;

/// A reason must explain at least this many expected spreads.
const GAIN: f64 = 1.0;

/// Something that would explain a distance between scan and tape.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
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
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
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
    /// Read at the wrong whole mark of the tape. A whole inch too much is [`Why::StartedAtOne`]:
    /// one reading does not tell the two apart.
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
    /// The tape lay at another of the places that people call the waist.
    OtherWaist {
        /// The measure of that place.
        fits: Key,
        /// Measures of other places that may lie at the same height, likelier ones first.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        also: Vec<Key>,
        /// What the scan reads there.
        reads_mm: Length,
        /// Height above the floor at which it does.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at_mm: Option<Length>,
        /// The heights between which that place was looked for, where the scan does not show it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        within_mm: Option<[Length; 2]>,
        /// Another height, nearest to the level, at which the scan reads the tape's value as well.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        or_at_mm: Option<Length>,
    },
    /// The tape followed the skin into hollows that a taut tape bridges.
    AlongSkin {
        /// What the scan reads along the skin.
        skin_mm: Length,
    },
    /// The tape pressed into the flesh.
    PulledTight {
        /// How much shorter than the girth it was pulled, as a share of the girth.
        share: f64,
    },
    /// The tape lay out of level.
    ///
    /// The least angles that make the tape so much longer, cut on the scan, or for neck and arms
    /// on a cylinder of elliptic section; absent where more than 25 degrees would be
    /// needed. Where none explains all, the one that explains most.
    TapeTilted {
        /// Lower in front or behind.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        front_back: Option<Tilt>,
        /// Lower on one side.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        side_to_side: Option<Tilt>,
    },
    /// The tape was begun at its 1 inch mark, not at its end.
    StartedAtOne {
        /// Row of the sheet.
        row: u64,
        /// The cell as written.
        written: String,
        /// Other measures of the sheet, written in inches, that come nearer the scan by the same inch.
        alike: usize,
        /// Other measures of the sheet written in inches.
        of: usize,
    },
}

/// How far out of level a tape lay.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tilt {
    /// Angle between the plane of the tape and the floor, in degrees.
    pub degrees: f64,
    /// How much higher its highest point lay than its lowest.
    pub rise_mm: Length,
    /// Where it lay lowest, if that can be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lower: Option<Lower>,
}

/// What would explain the distance of one of a sheet's pairs, likeliest first.
pub(crate) fn reasons(
    pair: &Pair<'_>,
    sheet: &[Pair<'_>],
    common: Option<&Common>,
    tilts: &[Tilted],
) -> Vec<Reason> {
    let mut found = placing::reasons(pair, tilts);
    found.extend(common.and_then(|common| shared::shift(pair, sheet, common)));
    found.extend(written::reasons(pair, sheet));
    found.retain(|reason| explains(pair, reason));
    found.sort_by(|a, b| a.rank.total_cmp(&b.rank));
    let mut told: Vec<Reason> = Vec::new();
    for reason in found {
        if told.len() < MOST && !told.iter().any(|other| is_alike(&reason.why, &other.why)) {
            told.push(reason);
        }
    }
    told
}

/// True for two cases of one kind of slip.
fn is_alike(one: &Why, other: &Why) -> bool {
    std::mem::discriminant(one) == std::mem::discriminant(other)
}

/// What a reason may leave over. A shift rests on the other girths and an exchange on the other side too,
/// so that this reading may keep an ordinary error of its own, and the worst of several often does.
fn explains(pair: &Pair<'_>, reason: &Reason) -> bool {
    let most = match reason.why {
        Why::Common | Why::OtherSide { .. } => WRONG,
        _ => AGREE,
    };
    reason.left_over <= most && pair.z().abs() - reason.left_over >= GAIN
}

/// A reason whose slip fixes the reading.
fn reason(why: Why, tape_mm: impl Into<Option<Length>>, left_over: f64, cost: f64) -> Reason {
    weighed(why, tape_mm, left_over, cost + left_over * left_over / 2.0)
}

/// A reason with its rank.
fn weighed(why: Why, tape_mm: impl Into<Option<Length>>, left_over: f64, rank: f64) -> Reason {
    Reason {
        why,
        tape_mm: tape_mm.into(),
        left_over,
        rank,
    }
}

/// Negative logarithm of the likelihood over some cases, each with its weight beforehand and the spreads
/// it leaves over; infinite without a case.
fn surprise(cases: impl Iterator<Item = (f64, f64)>) -> f64 {
    let cases: Vec<(f64, f64)> = cases
        .map(|(weight, left)| (weight, left * left / 2.0))
        .collect();
    let least = cases
        .iter()
        .map(|case| case.1)
        .fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return f64::INFINITY;
    }
    let all: f64 = cases.iter().map(|case| case.0).sum();
    // Taken out before the exponential, which would else be nought for all.
    let fit: f64 = cases
        .iter()
        .map(|(weight, half)| weight * (least - half).exp())
        .sum();
    least - (fit / all).ln()
}

/// How likely a slip of a size is beforehand, as a share of the most that is looked for: a normal law with
/// the most as its standard deviation, so that a small one is likelier, by 1.6 at most (assumption: what
/// a hand does each time is in the expected spread, and how far a slip goes nobody has studied).
fn beforehand(share: f64) -> f64 {
    (-share * share / 2.0).exp()
}

/// What the other rows of a sheet gain by a change: the logarithm of their likelihood ratio, a row that
/// is a slip itself counting no more than [`WRONG`].
fn gained(others: impl Iterator<Item = (f64, f64)>) -> f64 {
    let kept = |z: f64| (z * z).min(WRONG * WRONG) / 2.0;
    others
        .map(|(before, after)| kept(before) - kept(after))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One case is the normal law itself; a second that fits nothing halves the likelihood: + ln 2.
    /// Cases far beyond what an exponential holds still come out.
    #[test]
    fn a_slip_that_may_be_anything_explains_less() {
        let of = |cases: &[f64]| surprise(cases.iter().map(|&left| (1.0, left)));
        assert!((of(&[2.0]) - 2.0).abs() < 1e-12);
        assert!((of(&[0.0, 90.0]) - 2.0_f64.ln()).abs() < 1e-12);
        assert!((of(&[60.0, 60.0]) - 1800.0).abs() < 1e-9);
        assert!(of(&[]).is_infinite() && of(&[f64::NAN]).is_infinite());
    }

    /// By hand: 2²/2 − 0 and, capped at three spreads, 9/2 − 1²/2.
    #[test]
    fn other_rows_speak_up_to_three_spreads() {
        let gain = gained([(2.0, 0.0), (8.0, 1.0)].into_iter());
        assert!((gain - (2.0 + 4.0)).abs() < 1e-12);
    }
}
