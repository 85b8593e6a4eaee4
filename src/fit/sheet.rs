//! The garment sheet: what a sewist copies from the pattern.
//!
//! The sheet is TOML in a form of this project's own; `data/demo/garment.toml`
//! is one to fill in. [`read_garment`] reads it and reports every fault at
//! once.

use super::level::{ByLevel, Level};
use super::part::Part;
use crate::error::{Error, Result};
use crate::length::{Length, LengthUnit};
use std::collections::BTreeMap;

mod blank;
mod form;
mod number;
mod parts;
mod pieces;
mod read;
mod schema;
mod table;

pub use blank::Blank;
pub use pieces::MAX_PIECES;
pub use read::{MAX_SHEET_BYTES, MAX_SIZES, read_garment};
pub(crate) use schema::schema;

/// Greatest length of a garment or a body, 10 m: guards the arithmetic against slips of the pen.
pub(super) const MOST_MM: f64 = 10_000.0;

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

    /// Every value.
    fn all(&self) -> &[Length] {
        match self {
            Self::One(length) => std::slice::from_ref(length),
            Self::Each(lengths) => lengths,
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

/// The seams that can change at a level, by where they run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Seams {
    /// Side seams: one edge in front, one behind.
    pub side: u32,
    /// Seams within the front: both edges in front.
    pub front: u32,
    /// Seams within the back.
    pub back: u32,
    /// Seams whose place the sheet does not tell.
    pub other: u32,
}

impl Seams {
    /// A bare count: the first two are side seams.
    #[must_use]
    pub const fn counted(count: u32) -> Self {
        let side = if count < 2 { count } else { 2 };
        Self {
            side,
            front: 0,
            back: 0,
            other: count - side,
        }
    }

    /// Edges in all: two for each seam.
    #[must_use]
    pub const fn edges(self) -> u32 {
        self.side
            .saturating_add(self.front)
            .saturating_add(self.back)
            .saturating_add(self.other)
            .saturating_mul(2)
    }

    /// Share of the edges that lie in front, half of those whose place is not told; half if there
    /// are none.
    #[must_use]
    pub fn front_share(self) -> f64 {
        match self.edges() {
            0 => 0.5,
            edges => {
                let in_front =
                    f64::from(self.side) + 2.0 * f64::from(self.front) + f64::from(self.other);
                in_front / f64::from(edges)
            }
        }
    }
}

/// Darts at the waist, of both halves of the body together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Darts {
    /// In front.
    pub waist_front: u32,
    /// Behind.
    pub waist_back: u32,
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
    /// Width of the finished front from side seam to side seam.
    pub front: ByLevel<Option<Vec<Length>>>,
    /// Width of the finished back from side seam to side seam.
    pub back: ByLevel<Option<Vec<Length>>>,
    /// Ease the wearer wants; left out, it is the pattern's own.
    pub ease: ByLevel<Option<Length>>,
    /// Ease the wearer wants at the parts.
    pub part_ease: BTreeMap<Part, Length>,
    /// The level lines.
    pub lines: Lines,
    /// What it does at the waist.
    pub waist_line: WaistLine,
    /// The seams that can change at each level; each has two edges.
    pub seams: ByLevel<Seams>,
    /// Most that one edge may change; `None` for the planner's own.
    pub edge_limit: Option<Length>,
    /// The darts at the waist.
    pub darts: Darts,
    /// Thickness of the shoulder pad.
    pub shoulder_pad: Option<Length>,
    /// How far the top edge of trousers is meant to sit below the narrowest waist.
    pub top_below_waist: Option<Length>,
    /// How far the cloth stretches across, in parts of a hundred; `None` if the sheet does not say.
    pub stretch: Option<f64>,
    /// Sleeve, shoulder, back, legs and the rest that the levels do not name.
    pub parts: BTreeMap<Part, PerSize>,
    /// The hem, if the sheet describes it.
    pub hem: Option<Hem>,
}

impl Garment {
    /// True if the garment has a size table at this level.
    #[must_use]
    pub fn is_sized_at(&self, level: Level) -> bool {
        self.finished.get(level).is_some() || self.body.get(level).is_some()
    }

    /// Refuses a garment without sizes, or with a length out of all bounds; a sheet that was read
    /// has neither.
    pub(super) fn check(&self) -> Result<()> {
        if self.sizes.is_empty() {
            return Err(Error::options(format!(
                "the garment \"{}\" has no sizes; list them in its sheet",
                self.name
            )));
        }
        if let Some(stretch) = self.stretch
            && !(stretch.is_finite() && stretch >= 0.0)
        {
            return Err(Error::options(format!(
                "the cloth of \"{}\" cannot stretch by {stretch} parts of a hundred; give 0 or more",
                self.name
            )));
        }
        let tables = [&self.body, &self.finished, &self.front, &self.back]
            .map(|table| Level::ALL.map(|at| table.get(at)));
        let tables = tables.iter().flatten().copied().chain([&self.upper_chest]);
        let lines = [
            &self.lines.neck_to_bust,
            &self.lines.bust_to_waist,
            &self.lines.waist_to_hip,
            &self.lines.hip_to_hem,
            &self.lines.total,
            &self.lines.back_waist,
        ];
        let target = self
            .hem
            .and_then(|hem| hem.target)
            .map(|target| match target {
                HemTarget::AboveFloor(length) | HemTarget::Below(_, length) => length,
            });
        let mut all = tables
            .flatten()
            .flatten()
            .chain(lines.iter().copied().flatten().flat_map(PerSize::all))
            .chain(self.parts.values().flat_map(PerSize::all))
            .chain(self.part_ease.values())
            .chain(&self.shoulder_pad)
            .chain(&self.top_below_waist)
            .copied()
            .chain(Level::ALL.iter().filter_map(|&at| *self.ease.get(at)))
            .chain(self.edge_limit)
            .chain(self.hem.map(|hem| hem.allowance))
            .chain(target);
        let sound = |length: &Length| length.abs().mm() <= MOST_MM;
        match all.find(|length| !sound(length)) {
            Some(length) => Err(Error::options(format!(
                "the garment \"{}\" has a length of {length}; none may be over 10 m",
                self.name
            ))),
            None => Ok(()),
        }
    }

    /// Seam edges that can change at a level: two for each seam.
    #[must_use]
    pub fn edges(&self, level: Level) -> u32 {
        self.seams.get(level).edges()
    }

    /// Finished girth of a size, by its place in the order of sizes.
    #[must_use]
    pub fn finished_girth(&self, level: Level, size: usize) -> Option<Length> {
        self.finished.get(level).as_ref()?.get(size).copied()
    }

    /// A part in a size, if the sheet gives it.
    #[must_use]
    pub fn part(&self, part: Part, size: usize) -> Option<Length> {
        self.parts.get(&part)?.of(size)
    }

    /// Width of the finished front and back of a size, if the sheet gives both.
    #[must_use]
    pub fn halves(&self, level: Level, size: usize) -> Option<[Length; 2]> {
        let of =
            |table: &ByLevel<Option<Vec<Length>>>| table.get(level).as_ref()?.get(size).copied();
        Some([of(&self.front)?, of(&self.back)?])
    }

    /// Body girth a size is drafted for.
    #[must_use]
    pub fn chart_girth(&self, level: Level, size: usize) -> Option<Length> {
        self.body.get(level).as_ref()?.get(size).copied()
    }
}
