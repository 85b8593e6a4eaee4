//! What can go wrong, sorted by who can put it right.
//!
//! `Err` means the call has no answer. An answer with a caveat is a
//! [`Finding`](crate::Finding); a single measure without an answer is
//! [`Outcome::Withheld`](crate::measure::Outcome::Withheld).

use std::fmt;
use std::path::PathBuf;

/// Result of a fallible call of this crate.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// The crate's one error type: one word wide, inspect it with [`Error::kind`].
#[derive(Debug)]
pub struct Error(Box<ErrorKind>);

/// The kinds of [`Error`].
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ErrorKind {
    /// The operating system refused a file.
    #[error("{}: {source}{}", path.display(), next_step(.source))]
    Io {
        /// The file asked for.
        path: PathBuf,
        /// The system's own words.
        source: std::io::Error,
    },
    /// A file holds something that cannot be read.
    #[error("{place}: {what}")]
    Input {
        /// Where in the file.
        place: Place,
        /// What is wrong there and what to do next.
        what: String,
    },
    /// A sheet (tape or garment) or a profile has faults; all of them are listed.
    #[error("{}", list_faults(.file, .faults))]
    Sheet {
        /// The sheet's name.
        file: String,
        /// Every fault, in the order of the sheet.
        faults: Vec<SheetFault>,
    },
    /// A file asks for more than the limits allow.
    #[error("{}: {what}: {asked} is over the limit of {limit}", named(.file))]
    Limit {
        /// The file's name; empty if it has none.
        file: String,
        /// Which limit.
        what: &'static str,
        /// What the file asks for.
        asked: u64,
        /// What is allowed.
        limit: u64,
    },
    /// The mesh can be read, but is not a body that can be measured.
    #[error("{what}")]
    Body {
        /// Why, with the evidence and what to do next.
        what: String,
    },
    /// The caller's options do not fit together or do not fit the data.
    #[error("{what}")]
    Options {
        /// What to change.
        what: String,
    },
}

impl Error {
    /// What went wrong.
    #[must_use]
    pub fn kind(&self) -> &ErrorKind {
        &self.0
    }

    /// True if a file is at fault, so that another file may do.
    #[must_use]
    pub fn is_input(&self) -> bool {
        matches!(
            *self.0,
            ErrorKind::Input { .. } | ErrorKind::Sheet { .. } | ErrorKind::Body { .. }
        )
    }

    /// True if a limit was met; the caller can raise it.
    #[must_use]
    pub fn is_limit(&self) -> bool {
        matches!(*self.0, ErrorKind::Limit { .. })
    }

    /// The same, with the file's name where a limit was met below the place that knows it.
    pub(crate) fn in_file(mut self, name: &str) -> Self {
        if let ErrorKind::Limit { file, .. } = self.0.as_mut()
            && file.is_empty()
        {
            name.clone_into(file);
        }
        self
    }

    /// An unreadable place in a file.
    pub(crate) fn input(place: Place, what: impl Into<String>) -> Self {
        ErrorKind::Input {
            place,
            what: what.into(),
        }
        .into()
    }

    /// A mesh that is no measurable body.
    pub(crate) fn body(what: impl Into<String>) -> Self {
        ErrorKind::Body { what: what.into() }.into()
    }

    /// An option that does not fit.
    pub(crate) fn options(what: impl Into<String>) -> Self {
        ErrorKind::Options { what: what.into() }.into()
    }

    /// A file the system refused.
    pub(crate) fn io(path: impl Into<PathBuf>, source: std::io::Error) -> Self {
        ErrorKind::Io {
            path: path.into(),
            source,
        }
        .into()
    }
}

impl From<ErrorKind> for Error {
    fn from(kind: ErrorKind) -> Self {
        Self(Box::new(kind))
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.0.source()
    }
}

/// A place in a file, as exact as it is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The file's name; empty for bytes without a name.
    pub file: String,
    /// Where in it.
    pub spot: Spot,
}

/// The part of a [`Place`] inside the file.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Spot {
    /// The file as a whole.
    Whole,
    /// A byte, counted from 0.
    Byte(u64),
    /// A line, counted from 1.
    Line(u64),
    /// A vertex, counted from 0 as the file stores them.
    Vertex(u64),
    /// A face, counted from 0 as the file stores them.
    Face(u64),
    /// A cell of a table: data row (from 1, header not counted), line of the file, column name.
    Cell {
        /// Data row, from 1, the header not counted.
        row: u64,
        /// Line of the file, from 1.
        line: u64,
        /// Column name.
        column: String,
    },
    /// A value of a JSON document.
    Value {
        /// JSON pointer to it (RFC 6901): `/measures/0/value`.
        pointer: String,
        /// Line and column where it begins, from 1, if the text is at hand.
        at: Option<(u64, u64)>,
    },
    /// A key of a structured sheet with the line it stands on, if known.
    Key {
        /// Dotted path of the key.
        key: String,
        /// Line of the file, from 1.
        line: Option<u64>,
    },
}

impl Place {
    /// A place in the named file.
    #[must_use]
    pub fn new(file: impl Into<String>, spot: Spot) -> Self {
        Self {
            file: file.into(),
            spot,
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let file = named(&self.file);
        match &self.spot {
            Spot::Whole => write!(f, "{file}"),
            Spot::Byte(at) => write!(f, "{file}, byte {at}"),
            Spot::Line(at) => write!(f, "{file}, line {at}"),
            Spot::Vertex(at) => write!(f, "{file}, vertex {at}"),
            Spot::Face(at) => write!(f, "{file}, face {at}"),
            Spot::Cell { row, line, column } => {
                write!(f, "{file}, row {row} (line {line}), column \"{column}\"")
            }
            Spot::Value { pointer, at } => {
                write!(f, "{file}")?;
                if let Some((line, column)) = at {
                    write!(f, ", line {line}, column {column}")?;
                }
                match pointer.as_str() {
                    "" => Ok(()),
                    pointer => write!(f, ", {pointer}"),
                }
            }
            Spot::Key {
                key,
                line: Some(line),
            } => write!(f, "{file}, line {line}, {key}"),
            Spot::Key { key, line: None } => write!(f, "{file}, {key}"),
        }
    }
}

/// One fault of a hand-written sheet: where, what stands there, what is wrong, what to write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetFault {
    /// Where in the sheet.
    pub place: Place,
    /// The text that stands there; empty if nothing does.
    pub text: String,
    /// What is wrong with it.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
}

impl fmt::Display for SheetFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { place, what, .. } = self;
        match self.text.as_str() {
            "" => write!(f, "{place}: {what}")?,
            // Text of a TOML sheet brings its own quotes.
            quoted if quoted.starts_with('"') => write!(f, "{place}: {quoted} {what}")?,
            bare => write!(f, "{place}: \"{bare}\" {what}")?,
        }
        write!(f, "; {}", self.remedy)
    }
}

/// What to do about a refusal of the system, where that is known.
fn next_step(refusal: &std::io::Error) -> &'static str {
    use std::io::ErrorKind as Kind;
    match refusal.kind() {
        Kind::NotFound => "; check the name and the folder",
        Kind::PermissionDenied => "; see that you may use this file",
        Kind::IsADirectory => "; name a file inside it",
        Kind::StorageFull => "; make room first",
        _ => "",
    }
}

/// A file's name, or what to call one that has none.
fn named(file: &str) -> &str {
    if file.is_empty() { "input" } else { file }
}

fn list_faults(file: &str, faults: &[SheetFault]) -> String {
    let mut text = match faults.len() {
        1 => format!("{file}: one fault"),
        n => format!("{file}: {n} faults"),
    };
    for fault in faults {
        text.push_str("\n  ");
        text.push_str(&fault.to_string());
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_error_lists_every_fault_with_its_place() {
        let fault = |row, text: &str| SheetFault {
            place: Place::new(
                "tape.csv",
                Spot::Cell {
                    row,
                    line: row + 1,
                    column: "reading".into(),
                },
            ),
            text: text.into(),
            what: "is not a length".into(),
            remedy: "write it like 38 5/8 or 98.2 cm".into(),
        };
        let error = Error::from(ErrorKind::Sheet {
            file: "tape.csv".into(),
            faults: vec![fault(2, "3x"), fault(7, "98;2")],
        });
        let text = error.to_string();
        assert!(text.starts_with("tape.csv: 2 faults\n"), "{text}");
        assert!(
            text.contains("row 2 (line 3), column \"reading\": \"3x\""),
            "{text}"
        );
        assert!(text.contains("row 7 (line 8)"), "{text}");
        assert!(error.is_input());
    }
}
