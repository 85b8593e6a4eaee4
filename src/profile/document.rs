//! The profile as a JSON document.

use super::{Profile, SCHEMA};
use crate::error::{Error, Place, Result, Spot};
use serde::Deserialize;

/// The least that any version of the document holds.
#[derive(Deserialize)]
struct Header {
    schema: u32,
}

impl Profile {
    /// The document, indented, with a line end.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) if a value is no finite number; none this crate makes.
    pub fn to_json(&self) -> Result<String> {
        serde_json::to_string_pretty(self).map_err(|error| {
            Error::input(
                Place::new("profile", Spot::Whole),
                format!("cannot be written: {error}"),
            )
        })
    }

    /// Reads a document written by this crate or another program.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) with the line at fault, or
    /// with both versions if the document is of one this crate does not read.
    pub fn from_json(name: &str, text: &str) -> Result<Self> {
        let at = |error: &serde_json::Error| {
            let line = u64::try_from(error.line()).unwrap_or(u64::MAX);
            Place::new(name, Spot::Line(line))
        };
        let header: Header = serde_json::from_str(text).map_err(|error| {
            Error::input(
                at(&error),
                format!(
                    "not a measurement profile: {error}; write one with girthwise measure --json"
                ),
            )
        })?;
        if header.schema != SCHEMA {
            return Err(Error::input(
                Place::new(name, Spot::Whole),
                format!(
                    "the profile is of version {}, this program reads version {SCHEMA}; write it anew from the scan",
                    header.schema
                ),
            ));
        }
        serde_json::from_str(text).map_err(|error| Error::input(at(&error), error.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::MeasureSet;
    use crate::tape::TapeSet;

    #[test]
    fn reads_back_what_it_wrote() {
        let profile = Profile::assemble(&MeasureSet::default(), &TapeSet::default());
        let text = profile.to_json().unwrap();
        assert_eq!(Profile::from_json("p.json", &text).unwrap(), profile);
    }

    #[test]
    fn another_version_is_refused_by_its_number() {
        let error = Profile::from_json("p.json", "{\"schema\": 99}").unwrap_err();
        let text = error.to_string();
        assert!(
            text.contains("version 99") && text.contains("version 1"),
            "{text}"
        );
    }

    #[test]
    fn a_fault_has_its_line() {
        let error =
            Profile::from_json("p.json", "{\n\"schema\": 1,\n\"measures\": 7}").unwrap_err();
        assert!(error.to_string().starts_with("p.json, line 3"), "{error}");
    }
}
