//! The profile as a JSON document.

use super::check::unreadable;
use super::{Others, Profile, SCHEMA};
use crate::error::{Error, Place, Result, Spot};
use serde::Deserialize;
use serde_json::Value;

/// The least that any version of the document holds.
#[derive(Deserialize)]
struct Header {
    schema: u32,
}

impl Profile {
    /// The document, indented, with a line end.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) if a value cannot be written; none this crate makes.
    pub fn to_json(&self) -> Result<String> {
        serde_json::to_string_pretty(self).map_err(|error| {
            Error::input(
                Place::new("profile", Spot::Whole),
                format!("cannot be written: {error}"),
            )
        })
    }

    /// Reads a document written by this crate or another program, and checks every value of it.
    ///
    /// Fields it does not know are kept in [`others`](Self::others).
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) with the line at fault for text that is no
    /// JSON, or with both versions if the document is of one this crate does not read;
    /// [`ErrorKind::Sheet`](crate::ErrorKind::Sheet) with every fault of its values, each with its
    /// JSON pointer, line and column, and what [`check`](Self::check) finds.
    pub fn from_json(name: &str, text: &str) -> Result<Self> {
        let at = |error: &serde_json::Error| {
            let line = u64::try_from(error.line()).unwrap_or(u64::MAX);
            Place::new(name, Spot::Line(line))
        };
        let no_profile = |error: serde_json::Error| {
            Error::input(
                at(&error),
                format!(
                    "not a measurement profile: {error}; write one with girthwise measure --json"
                ),
            )
        };
        let header: Header = serde_json::from_str(text).map_err(no_profile)?;
        if header.schema != SCHEMA {
            return Err(other_version(name, header.schema));
        }
        let document: Value = serde_json::from_str(text).map_err(no_profile)?;
        let mut profile: Self = match serde_json::from_str(text) {
            Ok(profile) => profile,
            Err(error) => {
                unreadable(&document).into_result(name, Some(text))?;
                // What no part shows by itself: a field that stands twice.
                return Err(Error::input(at(&error), error.to_string()));
            }
        };
        profile.faults().into_result(name, Some(text))?;
        let understood = serde_json::to_value(&profile)
            .map_err(|error| Error::input(at(&error), error.to_string()))?;
        profile.others = Others::between(&document, &understood);
        Ok(profile)
    }
}

fn other_version(name: &str, found: u32) -> Error {
    let remedy = if found > SCHEMA {
        "a newer girthwise wrote it: get that one, or write it anew from the scan"
    } else {
        "an older girthwise wrote it: write it anew from the scan"
    };
    Error::input(
        Place::new(name, Spot::Whole),
        format!("the profile is of version {found}, this program reads version {SCHEMA}; {remedy}"),
    )
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
        for (version, who) in [(99, "a newer girthwise"), (0, "an older girthwise")] {
            let text = format!("{{\"schema\": {version}}}");
            let error = Profile::from_json("p.json", &text).unwrap_err().to_string();
            assert!(error.contains(&format!("version {version},")), "{error}");
            assert!(
                error.contains("version 1;") && error.contains(who),
                "{error}"
            );
        }
    }

    #[test]
    fn a_fault_has_its_line() {
        let error =
            Profile::from_json("p.json", "{\n\"schema\": 1,\n\"measures\": 7}").unwrap_err();
        let text = error.to_string();
        assert!(
            text.contains("p.json, line 3, column 13, /measures: \"7\" is no list"),
            "{text}"
        );
        assert!(text.contains("/withheld: is missing"), "{text}");
    }
}
