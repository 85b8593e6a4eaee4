//! Lengths, their units, and how people write them.
//!
//! Inside, every length is `f64` millimetres. Units appear only where a file
//! or a person hands one over.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

pub mod reading;
pub mod text;

/// Millimetres in an inch: exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

/// A length in millimetres.
///
/// # Examples
/// ```
/// use girthwise::Length;
/// let waist = Length::from_inch(38.625);
/// assert!((waist.mm() - 981.075).abs() < 1e-9);
/// assert!((waist.cm() - 98.1075).abs() < 1e-9);
/// ```
#[derive(
    Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize, JsonSchema,
)]
#[serde(transparent)]
pub struct Length(f64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0.0);

    /// From millimetres.
    #[must_use]
    pub const fn from_mm(mm: f64) -> Self {
        Self(mm)
    }

    /// From centimetres.
    #[must_use]
    pub const fn from_cm(cm: f64) -> Self {
        Self(cm * 10.0)
    }

    /// From inches.
    #[must_use]
    pub const fn from_inch(inch: f64) -> Self {
        Self(inch * MM_PER_INCH)
    }

    /// In millimetres.
    #[must_use]
    pub const fn mm(self) -> f64 {
        self.0
    }

    /// In centimetres.
    #[must_use]
    pub const fn cm(self) -> f64 {
        self.0 / 10.0
    }

    /// In inches.
    #[must_use]
    pub const fn inch(self) -> f64 {
        self.0 / MM_PER_INCH
    }

    /// Its size without sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Length {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div<f64> for Length {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} mm", self.0)
    }
}

/// A unit a file or a person may use.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnit {
    /// Millimetre.
    #[serde(rename = "mm")]
    Millimetre,
    /// Centimetre.
    #[serde(rename = "cm")]
    Centimetre,
    /// Inch of 25.4 mm.
    #[serde(rename = "in")]
    Inch,
    /// Metre.
    #[serde(rename = "m")]
    Metre,
}

impl LengthUnit {
    /// Every unit, smallest first.
    pub const ALL: [Self; 4] = [Self::Millimetre, Self::Centimetre, Self::Inch, Self::Metre];

    /// Millimetres in one of it.
    #[must_use]
    pub const fn in_mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Inch => MM_PER_INCH,
            Self::Metre => 1000.0,
        }
    }

    /// `value` of this unit as a length.
    #[must_use]
    pub const fn length(self, value: f64) -> Length {
        Length(value * self.in_mm())
    }

    /// Its short sign: `mm`, `cm`, `in`, `m`.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Inch => "in",
            Self::Metre => "m",
        }
    }

    /// Its name in the plural: `millimetres`, `inches`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Millimetre => "millimetres",
            Self::Centimetre => "centimetres",
            Self::Inch => "inches",
            Self::Metre => "metres",
        }
    }
}

impl fmt::Display for LengthUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.sign())
    }
}
