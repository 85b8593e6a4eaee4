//! How much longer a tape gets that lies out of level, measured on the scan.

use super::MeasureId;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod cut;

pub(crate) use cut::tilts;

/// More out of level than this is seen by whoever holds the tape (assumption).
pub const MOST_DEGREES: f64 = 25.0;

/// Where a tape out of level lies lowest.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Lower {
    /// In front.
    Front,
    /// Behind.
    Back,
    /// On the wearer's left.
    Left,
    /// On the wearer's right.
    Right,
}

impl Lower {
    /// All four.
    pub const ALL: [Self; 4] = [Self::Front, Self::Back, Self::Left, Self::Right];

    /// In words: `in front`, `on the left`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Front => "in front",
            Self::Back => "behind",
            Self::Left => "on the left",
            Self::Right => "on the right",
        }
    }

    /// True for a tape that is lower in front or behind.
    #[must_use]
    pub const fn is_front_back(self) -> bool {
        matches!(self, Self::Front | Self::Back)
    }

    /// The direction square to a plane of this tilt, upwards: x to the wearer's right, y forward.
    fn normal(self, degrees: f64) -> nalgebra::Vector3<f64> {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (x, y) = match self {
            Self::Front => (0.0, sin),
            Self::Back => (0.0, -sin),
            Self::Left => (-sin, 0.0),
            Self::Right => (sin, 0.0),
        };
        nalgebra::Vector3::new(x, y, cos)
    }
}

/// A level girth as a tape out of level reads it: taut, in the plane tilted about the middle of
/// the level section.
///
/// Only a tape that disagrees asks for it, so that it is cut when that happens:
/// [`Scan::tilts`](crate::scan::Scan::tilts).
///
/// # Accuracy
/// Cut on the scan's facets, or on a stand-in of points 6 mm apart where the scan has more than 300 000 of
/// them; both girths alike, so that their ratio keeps to some 0.1 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tilted {
    /// The level girth.
    pub id: MeasureId,
    /// Where the tape lies lowest.
    pub lower: Lower,
    /// Angle between its plane and the floor, in degrees.
    pub degrees: f64,
    /// The girth there as a multiple of the level one.
    pub grown: f64,
    /// How much higher its highest point lies than its lowest, in mm.
    pub rise_mm: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a plane that is lower in front falls as y grows, one lower on the right as x grows.
    #[test]
    fn planes_fall_where_they_are_lower() {
        let fall = |lower: Lower| {
            let n = lower.normal(45.0);
            (n.x / n.z, n.y / n.z)
        };
        for (lower, x, y) in [
            (Lower::Front, 0.0, 1.0),
            (Lower::Back, 0.0, -1.0),
            (Lower::Left, -1.0, 0.0),
            (Lower::Right, 1.0, 0.0),
        ] {
            let (along_x, along_y) = fall(lower);
            assert!((along_x - x).abs() < 1e-12 && (along_y - y).abs() < 1e-12);
        }
    }
}
