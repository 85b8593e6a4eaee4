//! The catalogue: one row a measure, its key, name, definition and how to take it by tape.
//!
//! The words are our own; ISO 8559-1:2017 and ISO 7250-1:2017 terms are given
//! where one exists, from secondary reading (the standards' own text was not
//! read, so no clause is quoted).

use super::Unit;
use crate::landmark::LandmarkKey;

mod rows;

pub use rows::{CATALOGUE, Key};

/// How a measure is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// A taut level tape that bridges hollows: hull perimeter of the horizontal section of that body part.
    Taut,
    /// A taut tape square to a limb's axis: hull perimeter of that section.
    TautSquare,
    /// Along the skin, hollows included.
    Surface,
    /// A tape held taut between points that lies on the skin where it must and bridges hollows.
    TautPath,
    /// Vertical distance from the floor.
    Height,
    /// Straight extent from left to right.
    Breadth,
    /// Straight extent from front to back.
    Depth,
    /// Angle.
    Angle,
    /// Level distance from an upright reference, forward, backward or to one side; it may be negative.
    Offset,
    /// Space between the skin and a stated base.
    Volume,
}

impl Mode {
    /// In words: `taut tape, level; hollows bridged`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Taut => "taut tape, level; hollows bridged",
            Self::TautSquare => "taut tape, square to the limb; hollows bridged",
            Self::Surface => "along the skin, hollows included",
            Self::TautPath => "taut tape from point to point; hollows bridged",
            Self::Height => "upright distance from the floor",
            Self::Breadth => "straight, from left to right",
            Self::Depth => "straight, from front to back",
            Self::Angle => "angle",
            Self::Offset => "level distance from an upright reference",
            Self::Volume => "volume between skin and base",
        }
    }
}

/// Class of ISO 20685-1 that a measure belongs to, with its limit for the mean error.
///
/// Limits as read in secondary literature on ISO 20685:2010; the assignment
/// of a measure to a class is partly from memory (thigh as a large girth).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ErrorClass {
    /// Body heights: 4 mm.
    Height,
    /// Small girths: 4 mm.
    SmallGirth,
    /// Large girths: 9 mm.
    LargeGirth,
    /// Segment lengths: 5 mm.
    SegmentLength,
    /// Breadths: 4 mm.
    Breadth,
    /// Depths: 5 mm.
    Depth,
    /// Head with hair: 2 mm.
    Head,
    /// The standard names no limit.
    None,
}

impl ErrorClass {
    /// In words: `large girth`; empty if the standard names no limit.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Height => "body height",
            Self::SmallGirth => "small girth",
            Self::LargeGirth => "large girth",
            Self::SegmentLength => "segment length",
            Self::Breadth => "body breadth",
            Self::Depth => "body depth",
            Self::Head => "head with hair",
            Self::None => "",
        }
    }

    /// The limit for the mean error in mm, if the class has one.
    #[must_use]
    pub const fn limit_mm(self) -> Option<f64> {
        match self {
            Self::Height | Self::SmallGirth | Self::Breadth => Some(4.0),
            Self::LargeGirth => Some(9.0),
            Self::SegmentLength | Self::Depth => Some(5.0),
            Self::Head => Some(2.0),
            Self::None => None,
        }
    }
}

/// How the body stands while a measure is taken.
///
/// A scan is taken in one posture; this is the one in which a tape would be used, and in which the
/// two agree best. Postures of ISO 8559-1 as in secondary literature (feet apart: from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Posture {
    /// Upright, feet together, shoulders relaxed, arms hanging, eyes straight ahead, breathing quietly.
    Standing,
    /// The same with the feet a little apart and the weight on both.
    FeetApart,
    /// The same as standing with the arm a little bent.
    ArmBent,
}

impl Posture {
    /// In words: `standing, feet a little apart`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Standing => "standing, feet together, arms hanging",
            Self::FeetApart => "standing, feet a little apart",
            Self::ArmBent => "standing, arm a little bent",
        }
    }
}

/// A row of the catalogue.
#[derive(Clone, Copy, Debug)]
pub struct Definition {
    /// The key.
    pub key: Key,
    /// The key as written in files: `bust_girth`.
    pub text: &'static str,
    /// Name in words, without the side: `bust girth`.
    pub name: &'static str,
    /// How it is taken.
    pub mode: Mode,
    /// True if left and right are measured apart.
    pub paired: bool,
    /// ISO 20685-1 class.
    pub class: ErrorClass,
    /// How the body stands for it.
    pub posture: Posture,
    /// The term of ISO 8559-1:2017 for it (from memory, like the whole of that standard here); empty
    /// if the standard has no such measure, or another definition.
    pub iso: &'static str,
    /// The landmarks it hangs on.
    pub marks: &'static [LandmarkKey],
    /// What exactly is measured.
    pub definition: &'static str,
    /// How to take it by tape; empty if a tape cannot.
    pub tape: &'static str,
}

impl Definition {
    /// Unit of its values.
    #[must_use]
    pub const fn unit(&self) -> Unit {
        match self.mode {
            Mode::Angle => Unit::Degree,
            Mode::Volume => Unit::Millilitre,
            _ => Unit::Mm,
        }
    }

    /// True for a share of a whole trunk's girth, whose level both sides have in common.
    #[must_use]
    pub fn is_share(&self) -> bool {
        self.mode == Mode::Taut && self.class == ErrorClass::None
    }

    /// True for a girth, taut or along the skin.
    #[must_use]
    pub fn is_girth(&self) -> bool {
        match self.class {
            ErrorClass::SmallGirth | ErrorClass::LargeGirth => true,
            ErrorClass::Head => matches!(self.mode, Mode::Taut),
            _ => false,
        }
    }
}

/// A measure of the standards' lists that a scan of a standing body cannot give.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BeyondScan {
    /// Its name in words.
    pub name: &'static str,
    /// Why, in one sentence.
    pub reason: &'static str,
}

/// What ISO 8559-1 lists (from memory, like the whole of that standard here) and this catalogue leaves out.
pub const BEYOND_SCAN: &[BeyondScan] = &[
    BeyondScan {
        name: "body rise",
        reason: "It is taken sitting, from the seat up to the waist at the side, and the scan shows a standing body; crotch length and crotch height are what a plan for trousers uses.",
    },
    BeyondScan {
        name: "body mass",
        reason: "A scan shows a shape and no weight; stand on a scale.",
    },
];

impl Key {
    /// Its row in the catalogue.
    #[must_use]
    pub fn definition(self) -> &'static Definition {
        &CATALOGUE[self as usize]
    }

    /// The girth along the skin at the place of this taut one, if the catalogue has it.
    #[must_use]
    pub fn along_skin(self) -> Option<Self> {
        let taut = self.definition().text;
        CATALOGUE
            .iter()
            .find(|row| row.text.strip_suffix("_surface") == Some(taut))
            .map(|row| row.key)
    }

    /// The key written in files, if there is such a measure.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        CATALOGUE
            .iter()
            .find(|row| row.text == text)
            .map(|row| row.key)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_key_finds_its_own_row() {
        for (index, row) in CATALOGUE.iter().enumerate() {
            assert_eq!(row.key as usize, index);
            assert_eq!(row.key.definition().text, row.text);
            assert_eq!(Key::from_text(row.text), Some(row.key));
        }
    }

    /// Class limits of ISO 20685:2010 as printed in secondary literature.
    #[test]
    fn class_limits() {
        let limit = |key: Key| key.definition().class.limit_mm();
        assert_eq!(limit(Key::HipGirth), Some(9.0));
        assert_eq!(limit(Key::WristGirth), Some(4.0));
        assert_eq!(limit(Key::CrotchHeight), Some(4.0));
        assert_eq!(limit(Key::ShoulderLength), Some(5.0));
        assert_eq!(limit(Key::BustDepth), Some(5.0));
        assert_eq!(limit(Key::HeadGirth), Some(2.0));
        assert_eq!(limit(Key::ShoulderSlope), None);
    }
}
