//! Putting a profile together from what scan and tape say.

use super::{Entry, Others, Profile, SCHEMA};
use crate::crosscheck::{
    CrossCheck, MergeOptions, Prefer, Twice, cross_check, cross_check_with, merge_with,
};
use crate::finding::Finding;
use crate::measure::MeasureSet;
use crate::measure::asymmetry::side_differences;
use crate::scan::Scan;
use crate::tape::TapeSet;

impl Profile {
    /// The profile of a scan, a tape sheet, or both; an empty set stands for a side that is missing.
    ///
    /// What the scan withholds and the tape supplies is a value of the
    /// profile, and withheld no more. Curves are the scan's; findings are the
    /// scan's, then the tape's, then what both together show.
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
        Self::joined(scan, tape, cross_check(scan, tape), options)
    }

    fn joined(
        scan: &MeasureSet,
        tape: &TapeSet,
        cross: CrossCheck,
        options: &MergeOptions,
    ) -> Self {
        let withheld = scan
            .withheld()
            .filter(|withheld| tape.get(withheld.id).is_none())
            .cloned()
            .collect();
        let measures = merge_with(scan, tape, &cross, options);
        let findings = scan.findings.iter().chain(&tape.findings).cloned();
        let findings = findings.chain(cross.findings.iter().cloned());
        let findings = findings.chain(not_to_be_had(&measures, options));
        Self {
            schema: SCHEMA,
            asymmetry: side_differences(measures.iter().map(|entry| &entry.measure)),
            findings: findings.collect(),
            measures,
            withheld,
            checks: cross.checks,
            common: cross.common,
            again: cross.again,
            landmarks: Vec::new(),
            curves: scan.curves.clone(),
            provenance: None,
            second_scan: None,
            others: Others::default(),
        }
    }

    /// The profile of a scan, with its landmarks and where it comes from, and a tape sheet if there is one.
    #[must_use]
    pub fn of(scan: &Scan, tape: &TapeSet) -> Self {
        Self::of_with(scan, tape, &MergeOptions::default())
    }

    /// As [`Self::of`], with the user's own choice between scan and tape where there is one.
    #[must_use]
    pub fn of_with(scan: &Scan, tape: &TapeSet, options: &MergeOptions) -> Self {
        let cross = cross_check_with(&scan.measures, tape, |ids| scan.tilts(ids));
        Self {
            landmarks: scan.landmarks.found.clone(),
            provenance: Some(scan.provenance.clone()),
            ..Self::joined(&scan.measures, tape, cross, options)
        }
    }

    /// The profile of two scans of one body, taken on the same day, joined as [`Twice`] says.
    ///
    /// Landmarks are the first scan's, as the body does not stand on the same spot twice; one it
    /// does not show is left out.
    ///
    /// # Examples
    /// A scan joined with itself has the values of the one, no surer of the levels:
    /// ```
    /// use girthwise::crosscheck::MergeOptions;
    /// use girthwise::{frame::FrameOptions, ingest::{Limits, read_scan}, scan::measure_scan};
    /// use girthwise::{measure::Key, profile::Profile, tape::TapeSet};
    ///
    /// let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default())?;
    /// let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
    /// let options = MergeOptions::default();
    /// let twice = Profile::of_two([&scan, &scan], &TapeSet::default(), &options);
    /// let once = Profile::of(&scan, &TapeSet::default());
    /// let hip = |profile: &Profile| profile.get(Key::HipGirth).map(|hip| hip.value);
    /// assert_eq!(hip(&twice), hip(&once));
    /// # Ok::<(), girthwise::Error>(())
    /// ```
    #[must_use]
    pub fn of_two([first, second]: [&Scan; 2], tape: &TapeSet, options: &MergeOptions) -> Self {
        let twice = Twice::of(&first.measures, &second.measures, tape);
        let mut profile = Self {
            landmarks: first.landmarks.found.clone(),
            provenance: Some(first.provenance.clone()),
            second_scan: Some(second.provenance.clone()),
            ..Self::assemble_with(&twice.set, tape, options)
        };
        twice.put_into(&mut profile.measures);
        profile
    }
}

/// Choices that could not be followed: the side preferred by name has no value.
fn not_to_be_had<'a>(
    measures: &'a [Entry],
    options: &'a MergeOptions,
) -> impl Iterator<Item = Finding> + 'a {
    options.by_measure.iter().filter_map(|(&asked, &side)| {
        let is_asked = |entry: &&Entry| {
            let id = entry.measure.id;
            id == asked || (asked.side.is_none() && id.key == asked.key)
        };
        let has = |entry: &Entry| match side {
            Prefer::Scan => entry.scan.is_some(),
            Prefer::Tape => entry.tape.is_some(),
        };
        let had = measures.iter().filter(is_asked).any(has);
        (!had).then(|| {
            Finding::look(
                asked.to_string(),
                format!(
                    "the {} was to be taken for it, but has no value there",
                    side.name()
                ),
            )
        })
    })
}
