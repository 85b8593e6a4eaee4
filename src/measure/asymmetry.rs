//! Left against right.

use super::Key;
use serde::{Deserialize, Serialize};

/// The difference between the two sides of a paired measure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SideDifference {
    /// The paired measure.
    pub key: Key,
    /// Value on the wearer's left, in the measure's unit.
    pub left: f64,
    /// Value on the wearer's right.
    pub right: f64,
    /// Left minus right.
    pub difference: f64,
    /// Standard uncertainty of the difference.
    pub sd: f64,
    /// True if the difference is larger than its uncertainty explains (over 1.96 standard deviations).
    pub beyond_uncertainty: bool,
}
