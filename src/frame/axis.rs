//! Axis directions of a file, as a person names them.

use crate::error::Error;
use nalgebra::Vector3;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// One of the six directions along a file's axes.
///
/// # Examples
/// ```
/// use girthwise::frame::Axis;
/// assert_eq!("+z".parse::<Axis>()?, Axis::PlusZ);
/// assert_eq!("z".parse::<Axis>()?, Axis::PlusZ);
/// assert_eq!("-y".parse::<Axis>()?.to_string(), "-y");
/// assert!("up".parse::<Axis>().is_err());
/// # Ok::<(), girthwise::Error>(())
/// ```
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
pub enum Axis {
    /// Along x.
    #[serde(rename = "+x")]
    PlusX,
    /// Against x.
    #[serde(rename = "-x")]
    MinusX,
    /// Along y.
    #[serde(rename = "+y")]
    PlusY,
    /// Against y.
    #[serde(rename = "-y")]
    MinusY,
    /// Along z.
    #[serde(rename = "+z")]
    PlusZ,
    /// Against z.
    #[serde(rename = "-z")]
    MinusZ,
}

impl Axis {
    /// All six.
    pub const ALL: [Self; 6] = [
        Self::PlusX,
        Self::MinusX,
        Self::PlusY,
        Self::MinusY,
        Self::PlusZ,
        Self::MinusZ,
    ];

    /// The opposite direction.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::PlusX => Self::MinusX,
            Self::MinusX => Self::PlusX,
            Self::PlusY => Self::MinusY,
            Self::MinusY => Self::PlusY,
            Self::PlusZ => Self::MinusZ,
            Self::MinusZ => Self::PlusZ,
        }
    }

    /// As a vector of length one.
    #[must_use]
    pub const fn vector(self) -> Vector3<f64> {
        match self {
            Self::PlusX => Vector3::new(1.0, 0.0, 0.0),
            Self::MinusX => Vector3::new(-1.0, 0.0, 0.0),
            Self::PlusY => Vector3::new(0.0, 1.0, 0.0),
            Self::MinusY => Vector3::new(0.0, -1.0, 0.0),
            Self::PlusZ => Vector3::new(0.0, 0.0, 1.0),
            Self::MinusZ => Vector3::new(0.0, 0.0, -1.0),
        }
    }

    /// The direction nearest to `vector`; the first of [`Axis::ALL`] on a tie.
    pub(super) fn nearest(vector: &Vector3<f64>) -> Self {
        let mut best = Self::PlusX;
        for axis in Self::ALL {
            if axis.vector().dot(vector) > best.vector().dot(vector) {
                best = axis;
            }
        }
        best
    }
}

impl FromStr for Axis {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        match text.trim().to_ascii_lowercase().as_str() {
            "x" | "+x" => Ok(Self::PlusX),
            "-x" => Ok(Self::MinusX),
            "y" | "+y" => Ok(Self::PlusY),
            "-y" => Ok(Self::MinusY),
            "z" | "+z" => Ok(Self::PlusZ),
            "-z" => Ok(Self::MinusZ),
            _ => Err(Error::options(format!(
                "\"{text}\" is not an axis; write one of +x, -x, +y, -y, +z, -z"
            ))),
        }
    }
}

impl fmt::Display for Axis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::PlusX => "+x",
            Self::MinusX => "-x",
            Self::PlusY => "+y",
            Self::MinusY => "-y",
            Self::PlusZ => "+z",
            Self::MinusZ => "-z",
        })
    }
}
