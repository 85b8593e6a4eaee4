//! Left and right: always the wearer's own.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A side of the body, the wearer's own.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The wearer's left (−x).
    Left,
    /// The wearer's right (+x).
    Right,
}

impl Side {
    /// The sides of what is there in pairs, or once: left and right, or neither.
    #[must_use]
    pub const fn of_pair(paired: bool) -> &'static [Option<Self>] {
        if paired {
            &[Some(Self::Left), Some(Self::Right)]
        } else {
            &[None]
        }
    }

    /// Both sides, left first.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// The other side.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }

    /// Place in a pair that holds the left first, as [`BOTH`](Self::BOTH) does.
    pub(crate) const fn index(self) -> usize {
        match self {
            Self::Left => 0,
            Self::Right => 1,
        }
    }

    /// Sign of x on this side in the body frame: −1 left, +1 right.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => -1.0,
            Self::Right => 1.0,
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Left => "left",
            Self::Right => "right",
        })
    }
}
