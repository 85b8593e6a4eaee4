//! Why scan and tape may disagree, and which of it is likeliest.
//!
//! A reason must bring the two within [`AGREE`] expected spreads and clearly
//! nearer than they are. Ranking: half the square of what is left over (the
//! negative logarithm of a normal likelihood) plus a cost that stands for how
//! rare the slip is. Where several texts or places were tried, the logarithm of
//! their number is added, since among many one fits by chance. The costs stand
//! beside each kind of slip; they are assumptions, order the list and decide no verdict.

use super::AGREE;
use super::common::Common;
use super::compare::{Pair, TapeHeight};
use crate::length::{Length, LengthUnit};
use crate::measure::Key;
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod placing;
mod say;
mod shared;
mod tilt;
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
        /// What the scan reads there.
        reads_mm: Length,
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
    /// The angles that make the tape so much longer if the body is an upright
    /// cylinder of elliptic section there; absent where more
    /// than 25 degrees would be needed.
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
}

/// What would explain the distance of one of a sheet's pairs, likeliest first.
pub(crate) fn reasons(
    pair: &Pair<'_>,
    sheet: &[Pair<'_>],
    height: Option<&TapeHeight>,
    common: Option<&Common>,
) -> Vec<Reason> {
    let mut found = placing::reasons(pair, height);
    found.extend(common.and_then(|common| shared::shift(pair, common)));
    found.extend(written::reasons(pair, sheet));
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
