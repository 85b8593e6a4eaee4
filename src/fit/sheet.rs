//! The garment sheet: what a sewist copies from the pattern.
//!
//! The sheet is TOML in a form of this project's own; `data/garment.toml`
//! is one to fill in. [`read_garment`] reads it and reports every fault at
//! once.

use super::level::{ByLevel, Level};
use crate::length::{Length, LengthUnit};

mod number;
mod read;
mod table;

pub use read::{MAX_SHEET_BYTES, MAX_SIZES, read_garment};

/// A value that is the same in all sizes, or given size by size.
#[derive(Clone, Debug, PartialEq)]
pub enum PerSize {
    /// One for all sizes.
    One(Length),
    /// One for each size, in the order of the sizes.
    Each(Vec<Length>),
}

impl PerSize {
    /// The value of a size, by its place in the order of sizes.
    #[must_use]
    pub fn of(&self, size: usize) -> Option<Length> {
        match self {
            Self::One(length) => Some(*length),
            Self::Each(lengths) => lengths.get(size).copied(),
        }
    }
}

/// What the garment does at the waist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WaistLine {
    /// It has a waist seam, which must sit on the waist.
    Seam,
    /// It is shaped to the waist without a seam there.
    Shaped,
    /// It shapes no waist.
    None,
}

/// Distances along the pattern, stitching line to stitching line, hem excepted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lines {
    /// Side neck point down the front piece to the bust line.
    pub neck_to_bust: Option<PerSize>,
    /// Bust line to waist line.
    pub bust_to_waist: Option<PerSize>,
    /// Waist line to hip line.
    pub waist_to_hip: Option<PerSize>,
    /// Hip line to the hem, drawn as [`Hem::drawn`] says.
    pub hip_to_hem: Option<PerSize>,
    /// From the side neck point (the waist line, if no line lies above it) to the hem.
    pub total: Option<PerSize>,
    /// Back neck point down the back piece to the waist line.
    pub back_waist: Option<PerSize>,
}

/// What the pattern's lower edge is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Drawn {
    /// The cut edge: the hem allowance is still to be turned up.
    CutEdge,
    /// The fold: the finished hem.
    Fold,
}

/// Where the finished hem should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HemTarget {
    /// This far above the floor, barefoot as the body was measured.
    AboveFloor(Length),
    /// This far below a line of the body.
    Below(Level, Length),
}

/// The hem.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hem {
    /// What is turned up.
    pub allowance: Length,
    /// Whether the pattern's lengths go to the cut edge or to the fold.
    pub drawn: Drawn,
    /// Where the finished hem should be, if the wearer has said so.
    pub target: Option<HemTarget>,
}

/// A garment as its pattern describes it.
///
/// The planner takes nothing about it for granted: a table that is too short
/// reads as a size without a value.
#[derive(Clone, Debug, PartialEq)]
pub struct Garment {
    /// Its name.
    pub name: String,
    /// What kind of garment it is; free text that changes nothing.
    pub kind: String,
    /// Unit of the bare numbers of the sheet.
    pub unit: LengthUnit,
    /// Names of the sizes, smallest first.
    pub sizes: Vec<String>,
    /// The pattern's body chart: the body each size is drafted for.
    pub body: ByLevel<Option<Vec<Length>>>,
    /// Upper chest girth of that body, if the chart has it.
    pub upper_chest: Option<Vec<Length>>,
    /// Girths of the finished garment.
    pub finished: ByLevel<Option<Vec<Length>>>,
    /// Ease the wearer wants; left out, it is the pattern's own.
    pub ease: ByLevel<Option<Length>>,
    /// The level lines.
    pub lines: Lines,
    /// What it does at the waist.
    pub waist_line: WaistLine,
    /// How many seams can change at each level; each has two edges.
    pub seams: ByLevel<u32>,
    /// Most that one edge may change; `None` for the planner's own.
    pub edge_limit: Option<Length>,
    /// The hem, if the sheet describes it.
    pub hem: Option<Hem>,
}

impl Garment {
    /// True if the garment has a size table at this level.
    #[must_use]
    pub fn is_sized_at(&self, level: Level) -> bool {
        self.finished.get(level).is_some() || self.body.get(level).is_some()
    }

    /// Seam edges that can change at a level: two for each seam.
    #[must_use]
    pub fn edges(&self, level: Level) -> u32 {
        self.seams.get(level).saturating_mul(2)
    }

    /// Finished girth of a size, by its place in the order of sizes.
    #[must_use]
    pub fn finished_girth(&self, level: Level, size: usize) -> Option<Length> {
        self.finished.get(level).as_ref()?.get(size).copied()
    }

    /// Body girth a size is drafted for.
    #[must_use]
    pub fn chart_girth(&self, level: Level, size: usize) -> Option<Length> {
        self.body.get(level).as_ref()?.get(size).copied()
    }
}
