//! The hand tape: its sheet, its repeats, and how far a reading can be trusted.
//!
//! [`read_tape`] turns a sheet into [`Reading`]s, [`pool()`] joins the readings
//! of each measure into one [`TapeValue`].

use crate::finding::Finding;
use crate::length::{Length, LengthUnit};
use crate::measure::{MeasureId, Spread};

pub mod blank;
pub mod naming;
pub mod pool;
pub mod repeat;
pub mod sheet;

pub use pool::pool;
pub use sheet::{read_tape, read_tape_named, read_tape_toml};

/// One reading of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What was measured.
    pub id: MeasureId,
    /// The length read, corrected for a tape that starts late or has stretched.
    pub length: Length,
    /// The cell as written, so that a slip of the pen can be looked for.
    pub text: String,
    /// The unit the cell was written in.
    pub unit: LengthUnit,
    /// Data row of the sheet, from 1.
    pub row: u64,
    /// Number of the repeat, if the sheet gives one.
    pub repeat: Option<u32>,
    /// The note beside it.
    pub note: String,
}

/// A tape sheet as read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TapeSheet {
    /// Its name, for messages.
    pub file: String,
    /// The readings, in the order of the sheet.
    pub readings: Vec<Reading>,
    /// What was decided while reading it.
    pub findings: Vec<Finding>,
}

/// Where the technical error of a [`TapeValue`] comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TemSource {
    /// The sheet has no repeats: the expected error of a person who measures alone.
    Expected,
    /// The expected error, corrected by what the sheet's repeats show.
    Repeats {
        /// Degrees of freedom of the repeats: readings minus measures, over repeated measures.
        freedom: usize,
    },
}

/// What the tape says about one measure.
#[derive(Clone, Debug, PartialEq)]
pub struct TapeValue {
    /// Which measure.
    pub id: MeasureId,
    /// Mean of the readings; their median if three or more lie too far apart.
    pub value: Length,
    /// Technical error of measurement of one reading.
    pub tem: Length,
    /// Where that comes from.
    pub tem_source: TemSource,
    /// Uncertainty of `value`: error of the mean, habit of the hand, breath.
    pub spread: Spread,
    /// The readings behind it.
    pub readings: Vec<Reading>,
}

impl TapeValue {
    /// What the value would be if reading `index` were `length`; the value itself if there is no such reading.
    #[must_use]
    pub fn value_with(&self, index: usize, length: Length) -> Length {
        let mut lengths: Vec<f64> = self.readings.iter().map(|r| r.length.mm()).collect();
        if let Some(slot) = lengths.get_mut(index) {
            *slot = length.mm();
        }
        Length::from_mm(repeat::centre(&lengths, self.tem.mm()))
    }
}

/// All that the tape says: one value a measure, in catalogue order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TapeSet {
    /// The values.
    pub values: Vec<TapeValue>,
    /// Remarks of the sheet and of the pooling.
    pub findings: Vec<Finding>,
}

impl TapeSet {
    /// What the tape says about a measure, if it was taken.
    #[must_use]
    pub fn get(&self, id: impl Into<MeasureId>) -> Option<&TapeValue> {
        let id = id.into();
        self.values.iter().find(|value| value.id == id)
    }
}
