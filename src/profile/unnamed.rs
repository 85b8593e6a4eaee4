//! A profile to hand on: without what could tell whose body it is.

use super::{Others, Profile};
use crate::tape::sheet;

impl Profile {
    /// The same measures, without what leads back to a person or holds a shape to be recognised.
    ///
    /// Left out are the scan's digest, size and counts, by which its file could be found again;
    /// girth curves and landmarks, which together draw the body; who measured and when; and what
    /// other programs added. Measures, their uncertainties and checks stay: a plan needs no more. They
    /// still are one body's measures: whoever knows these may recognise them.
    ///
    /// # Examples
    /// ```
    /// use girthwise::{measure::MeasureSet, profile::Profile};
    /// use girthwise::tape::{pool, read_tape};
    /// use girthwise::LengthUnit;
    ///
    /// let text = "# measured_by = Ada\nmeasure,reading\nhip,98\n";
    /// let sheet = read_tape(text.as_bytes(), "tape.csv", LengthUnit::Centimetre)?;
    /// let profile = Profile::assemble(&MeasureSet::default(), &pool(&sheet));
    /// assert!(profile.to_json()?.contains("Ada"));
    /// assert!(!profile.unnamed().to_json()?.contains("Ada"));
    /// # Ok::<(), girthwise::Error>(())
    /// ```
    #[must_use]
    pub fn unnamed(self) -> Self {
        let mut findings = self.findings;
        findings.retain(|finding| finding.topic != sheet::TOPIC);
        Self {
            landmarks: Vec::new(),
            curves: Vec::new(),
            findings,
            provenance: None,
            second_scan: None,
            others: Others::default(),
            ..self
        }
    }
}
