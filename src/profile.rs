//! The profile: one versioned document of all that is known about a body.

use crate::crosscheck::{Again, Check, Common};
use crate::finding::Finding;
use crate::landmark::Landmark;
use crate::measure::asymmetry::SideDifference;
use crate::measure::{GirthCurve, Measure, MeasureId, Withheld};
use crate::scan::Provenance;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod assemble;
mod check;
mod document;
mod fault;
mod others;
mod unnamed;

pub use crate::crosscheck::{Entry, Input};
pub use others::Others;

/// Version of the profile document this crate writes.
pub const SCHEMA: u32 = 1;

/// All that is known about a body, in one document.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(remote = "Self")]
pub struct Profile {
    /// Version of the document: [`SCHEMA`].
    #[schemars(extend("const" = SCHEMA))]
    pub schema: u32,
    /// Values, in catalogue order.
    pub measures: Vec<Entry>,
    /// What has no value, and why.
    pub withheld: Vec<Withheld>,
    /// Scan against tape, where both have a value.
    #[serde(default)]
    pub checks: Vec<Check>,
    /// A shift between scan and tape that all girths share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub common: Option<Common>,
    /// What to measure again, what matters most first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub again: Vec<Again>,
    /// Left against right.
    pub asymmetry: Vec<SideDifference>,
    /// Landmarks found on the scan.
    #[serde(default)]
    pub landmarks: Vec<Landmark>,
    /// Girth by height.
    pub curves: Vec<GirthCurve>,
    /// Remarks on the whole.
    pub findings: Vec<Finding>,
    /// The scan it comes from; none if it was taken by tape alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub provenance: Option<Provenance>,
    /// The second scan, if the profile was joined from two.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second_scan: Option<Provenance>,
    /// What other programs wrote into the document, to be written again with it.
    #[serde(skip)]
    pub others: Others,
}

impl Profile {
    /// The measure asked for, if it has a value.
    #[must_use]
    pub fn get(&self, id: impl Into<MeasureId>) -> Option<&Measure> {
        self.entry(id).map(|entry| &entry.measure)
    }

    /// The measure asked for with what scan and tape say by themselves, if it has a value.
    #[must_use]
    pub fn entry(&self, id: impl Into<MeasureId>) -> Option<&Entry> {
        let id = id.into();
        self.measures.iter().find(|entry| entry.measure.id == id)
    }
}
