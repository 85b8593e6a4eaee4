//! Putting a profile together from what scan and tape say.

use super::{Others, Profile, SCHEMA};
use crate::crosscheck::{MergeOptions, cross_check, merge_with};
use crate::measure::MeasureSet;
use crate::measure::asymmetry::side_differences;
use crate::scan::Scan;
use crate::tape::TapeSet;

impl Profile {
    /// The profile of a scan, a tape sheet, or both; an empty set stands for a side that is missing.
    ///
    /// What the scan withholds and the tape supplies is a value of the
    /// profile, and withheld no more. Curves are the scan's; findings are the
    /// scan's, then the tape's.
    ///
    /// # Examples
    /// ```
    /// use girthwise::measure::{Key, MeasureSet, Source};
    /// use girthwise::profile::Profile;
    /// use girthwise::tape::{pool, read_tape};
    /// use girthwise::LengthUnit;
    ///
    /// let sheet = read_tape("measure,reading\nhip,40\n".as_bytes(), "tape.csv", LengthUnit::Inch)?;
    /// let profile = Profile::assemble(&MeasureSet::default(), &pool(&sheet));
    /// assert_eq!(profile.get(Key::HipGirth).map(|hip| hip.source), Some(Source::Tape));
    /// # Ok::<(), girthwise::Error>(())
    /// ```
    #[must_use]
    pub fn assemble(scan: &MeasureSet, tape: &TapeSet) -> Self {
        Self::assemble_with(scan, tape, &MergeOptions::default())
    }

    /// As [`Self::assemble`], with the user's own choice between scan and tape where there is one.
    #[must_use]
    pub fn assemble_with(scan: &MeasureSet, tape: &TapeSet, options: &MergeOptions) -> Self {
        let cross = cross_check(scan, tape);
        let withheld = scan
            .withheld()
            .filter(|withheld| tape.get(withheld.id).is_none())
            .cloned()
            .collect();
        let findings = scan.findings.iter().chain(&tape.findings).cloned();
        let measures = merge_with(scan, tape, &cross, options);
        Self {
            schema: SCHEMA,
            asymmetry: side_differences(measures.iter().map(|entry| &entry.measure)),
            measures,
            withheld,
            checks: cross.checks,
            common: cross.common,
            again: cross.again,
            landmarks: Vec::new(),
            curves: scan.curves.clone(),
            findings: findings.collect(),
            provenance: None,
            others: Others::default(),
        }
    }

    /// The profile of a scan, with its landmarks and where it comes from, and a tape sheet if there is one.
    #[must_use]
    pub fn of(scan: &Scan, tape: &TapeSet) -> Self {
        Self {
            landmarks: scan.landmarks.found.clone(),
            provenance: Some(scan.provenance.clone()),
            ..Self::assemble(&scan.measures, tape)
        }
    }
}
