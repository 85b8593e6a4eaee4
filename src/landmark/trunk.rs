//! Levels of the trunk: crotch, hip, waist, bust.

use super::{Confidence, LandmarkKey, Missing};
use crate::side::Side;

mod belly;
mod bones;
mod bust;
mod chest;
mod crown;
mod fold;
mod fork;
mod gluteal;
mod navel;
mod seat;
mod waist;

pub(super) use belly::belly;
pub(crate) use bones::MIDWAY_WINDOW;
pub(super) use bones::{bones, waist_midway};
pub(super) use bust::{bust_points, bust_tip};
pub(super) use crown::vertex;
pub(super) use fold::under_bust;
pub(super) use fork::{armpit, crotch};
pub(super) use gluteal::gluteal_fold;
pub(crate) use navel::WINDOW as NAVEL_WINDOW;
pub(super) use navel::navel;
pub(super) use seat::hip;
pub(super) use waist::{high_hip, waist_narrowest};

/// Half-width of the parabolas laid through profiles, as a share of the
/// stature: about 15 mm, wide enough to smooth 1 mm of noise and narrow
/// enough to keep a waist's curve.
const REACH: f64 = 0.009;

/// The highest and the lowest of many rough points stand off by about two standard deviations
/// each (common practice in statistics: the greatest of twenty normal values, 1.87, from memory).
const PEAK: f64 = 2.0;

fn missing(key: LandmarkKey, side: Option<Side>, reason: impl Into<String>) -> Missing {
    Missing {
        key,
        side,
        reason: reason.into(),
    }
}

/// Radius of the hardest bend of front and back of a trunk that missing skin is taken to hide, in mm: a small breast's.
const ROUND_MM: f64 = 50.0;

/// Why an extreme is not told where skin is missing.
fn hidden(what: &str, (from, to): (f64, f64)) -> String {
    format!(
        "skin is missing between {from:.0} and {to:.0} mm, where {what} may stand out more than on the skin that is there; scan again, or measure by tape"
    )
}

fn clear_if(clear: bool) -> Confidence {
    if clear {
        Confidence::Clear
    } else {
        Confidence::Fair
    }
}
