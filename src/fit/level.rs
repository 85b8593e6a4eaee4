//! The levels a garment is sized at and the lines it is balanced by.

use crate::measure::Key;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A level at which body and garment girths are compared.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// The bust line.
    Bust,
    /// The waist line: on the body, the narrowest waist.
    Waist,
    /// The hip line.
    Hip,
}

impl Level {
    /// Every level, from the shoulder down.
    pub const ALL: [Self; 3] = [Self::Bust, Self::Waist, Self::Hip];

    /// Its name, which is also its key in the garment sheet.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bust => "bust",
            Self::Waist => "waist",
            Self::Hip => "hip",
        }
    }

    /// The body girth that goes with it.
    #[must_use]
    pub const fn girth(self) -> Key {
        match self {
            Self::Bust => Key::BustGirth,
            Self::Waist => Key::WaistNarrowestGirth,
            Self::Hip => Key::HipGirth,
        }
    }

    /// The height of its line on the body.
    #[must_use]
    pub const fn height(self) -> Key {
        match self {
            Self::Bust => Key::BustHeight,
            Self::Waist => Key::WaistNarrowestHeight,
            Self::Hip => Key::HipHeight,
        }
    }

    /// Its line.
    #[must_use]
    pub const fn line(self) -> Line {
        match self {
            Self::Bust => Line::Bust,
            Self::Waist => Line::Waist,
            Self::Hip => Line::Hip,
        }
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// A line across the pattern that must meet a place on the body.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    /// The shoulder, at the side neck point, from which a garment hangs.
    Shoulder,
    /// The bust line.
    Bust,
    /// The waist line.
    Waist,
    /// The hip line.
    Hip,
    /// The finished hem.
    Hem,
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Shoulder => "shoulder",
            Self::Bust => "bust line",
            Self::Waist => "waist line",
            Self::Hip => "hip line",
            Self::Hem => "hem",
        })
    }
}

/// One value for each [`Level`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ByLevel<T> {
    /// At the bust.
    pub bust: T,
    /// At the waist.
    pub waist: T,
    /// At the hip.
    pub hip: T,
}

impl<T> ByLevel<T> {
    /// Made level by level, from the shoulder down.
    pub fn from_fn(mut value: impl FnMut(Level) -> T) -> Self {
        Self {
            bust: value(Level::Bust),
            waist: value(Level::Waist),
            hip: value(Level::Hip),
        }
    }

    /// The value at a level.
    pub const fn get(&self, level: Level) -> &T {
        match level {
            Level::Bust => &self.bust,
            Level::Waist => &self.waist,
            Level::Hip => &self.hip,
        }
    }

    /// The value at a level, to change.
    pub const fn get_mut(&mut self, level: Level) -> &mut T {
        match level {
            Level::Bust => &mut self.bust,
            Level::Waist => &mut self.waist,
            Level::Hip => &mut self.hip,
        }
    }
}
