//! Reading a tape sheet: a CSV table with a row for each reading.
//!
//! Columns, in any order: `measure` and `reading` must be there, `side`,
//! `repeat` and `note` may. Cells are parted by comma, semicolon or tab, as the
//! header shows. Lines that start with `#` are remarks, but one above the
//! header may say the unit of bare numbers: `# unit = in`, and so may `date`,
//! `measured_by`, `tape_starts_at` (the tape's zero is cut off) and `tape_stretch`. The unit stands in
//! the sheet, and wins over the caller's, because a sheet is read again years
//! later by someone who no longer knows which tape was used.

use super::{Reading, TapeSheet};
use crate::error::{Error, ErrorKind, Place, Result, SheetFault, Spot};
use crate::finding::Finding;
use crate::length::LengthUnit;
use crate::measure::MeasureId;
use head::Tape;
use std::collections::BTreeMap;
use std::io::Read;
use std::path::Path;

mod head;
mod lines;
mod row;
mod table;
mod tables;

/// Largest sheet read, in bytes.
pub const MAX_BYTES: u64 = 1 << 20;

/// Topic of what a sheet says of itself, who measured and when among it.
pub(crate) const TOPIC: &str = "tape sheet";

/// Most data rows read.
pub const MAX_ROWS: u64 = 10_000;

/// Longest piece of a cell quoted in a message.
const QUOTED_CHARS: usize = 40;

/// Reads a tape sheet; `default_unit` is the unit of bare numbers if the sheet does not say one.
///
/// Rows with an empty reading are passed over with a remark: a printed form
/// is seldom filled to the last line.
///
/// # Errors
/// [`ErrorKind::Io`] if `source` fails, [`ErrorKind::Limit`] over [`MAX_BYTES`]
/// or [`MAX_ROWS`], [`ErrorKind::Input`] if the bytes are no UTF-8 text, and
/// [`ErrorKind::Sheet`] with every fault of the sheet at once.
///
/// # Examples
/// ```
/// use girthwise::{LengthUnit, measure::Key, tape::read_tape};
/// let sheet = "# unit = in\nmeasure,reading,side\nhip girth,38 5/8,\nknee girth,14,left\n";
/// let sheet = read_tape(sheet.as_bytes(), "tape.csv", LengthUnit::Centimetre)?;
/// assert_eq!(sheet.readings[0].id, Key::HipGirth.into());
/// assert!((sheet.readings[0].length.mm() - 981.075).abs() < 1e-9);
/// # Ok::<(), girthwise::Error>(())
/// ```
pub fn read_tape(source: impl Read, file: &str, default_unit: LengthUnit) -> Result<TapeSheet> {
    let text = read_text(source, file)?;
    let mut sheet = SheetReader::new(file, default_unit);
    sheet.read_head_lines(&text);
    sheet.read_table(&text)?;
    sheet.finish()
}

/// Reads a tape sheet written as TOML: the head's keys on top, then a `[[reading]]` table for each reading.
///
/// The keys of a reading are the columns of the CSV sheet, and each is checked the same way.
///
/// # Errors
/// As [`read_tape`]; text that is no TOML is one fault of the sheet.
///
/// # Examples
/// ```
/// use girthwise::{LengthUnit, tape::read_tape_toml};
/// let sheet = "unit = 'in'\n[[reading]]\nmeasure = 'hip girth'\nreading = '38 5/8'\n";
/// let sheet = read_tape_toml(sheet.as_bytes(), "tape.toml", LengthUnit::Centimetre)?;
/// assert!((sheet.readings[0].length.mm() - 981.075).abs() < 1e-9);
/// # Ok::<(), girthwise::Error>(())
/// ```
pub fn read_tape_toml(
    source: impl Read,
    file: &str,
    default_unit: LengthUnit,
) -> Result<TapeSheet> {
    let text = read_text(source, file)?;
    let mut sheet = SheetReader::new(file, default_unit);
    sheet.read_toml(&text)?;
    sheet.finish()
}

/// Reads a tape sheet in the format its name tells: TOML if it ends in `.toml`, else CSV.
///
/// # Errors
/// As [`read_tape`].
pub fn read_tape_named(
    source: impl Read,
    file: &str,
    default_unit: LengthUnit,
) -> Result<TapeSheet> {
    let ending = Path::new(file).extension();
    if ending.is_some_and(|ending| ending.eq_ignore_ascii_case("toml")) {
        read_tape_toml(source, file, default_unit)
    } else {
        read_tape(source, file, default_unit)
    }
}

fn read_text(source: impl Read, file: &str) -> Result<String> {
    let mut bytes = Vec::new();
    source
        .take(MAX_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| Error::io(file, source))?;
    let asked = bytes.len() as u64;
    if asked > MAX_BYTES {
        return Err(ErrorKind::Limit {
            file: file.to_owned(),
            what: "bytes of a tape sheet",
            asked,
            limit: MAX_BYTES,
        }
        .into());
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to() as u64;
        Error::input(
            Place::new(file, Spot::Byte(at)),
            "is not UTF-8 text; save the sheet as plain text in UTF-8",
        )
    })?;
    // Spreadsheets mark UTF-8 with a byte order mark.
    Ok(match text.strip_prefix('\u{feff}') {
        Some(rest) => rest.to_owned(),
        None => text,
    })
}

/// A row as written, whatever the format of the sheet; a missing cell is empty.
#[derive(Clone, Copy)]
struct Cells<'c> {
    measure: &'c str,
    reading: &'c str,
    side: &'c str,
    repeat: &'c str,
    note: &'c str,
    who: &'c str,
}

/// What a row may hold: the cells that are read, and `how`, which tells the hand and not the program.
const CELLS: [&str; 7] = ["measure", "reading", "side", "repeat", "note", "who", "how"];

impl<'c> Cells<'c> {
    /// Each cell by its name in [`CELLS`].
    fn by(cell: impl Fn(&str) -> &'c str) -> Self {
        Self {
            measure: cell("measure"),
            reading: cell("reading"),
            side: cell("side"),
            repeat: cell("repeat"),
            note: cell("note"),
            who: cell("who"),
        }
    }
}

/// Where a row stands.
#[derive(Clone, Copy)]
struct Row {
    row: u64,
    line: u64,
}

struct SheetReader<'a> {
    file: &'a str,
    unit: LengthUnit,
    tape: Tape,
    faults: Vec<SheetFault>,
    findings: Vec<Finding>,
    readings: Vec<Reading>,
    /// Rows that numbered repeats stand in.
    numbered: BTreeMap<(MeasureId, u32), u64>,
    blank: Vec<u64>,
}

impl<'a> SheetReader<'a> {
    fn new(file: &'a str, unit: LengthUnit) -> Self {
        Self {
            file,
            unit,
            tape: Tape::default(),
            faults: Vec::new(),
            findings: Vec::new(),
            readings: Vec::new(),
            numbered: BTreeMap::new(),
            blank: Vec::new(),
        }
    }

    /// Refuses a row past the most that a sheet may have.
    fn room_for(&self, row: u64) -> Result<()> {
        if row > MAX_ROWS {
            return Err(ErrorKind::Limit {
                file: self.file.to_owned(),
                what: "rows of a tape sheet",
                asked: row,
                limit: MAX_ROWS,
            }
            .into());
        }
        Ok(())
    }

    fn fault(
        &mut self,
        spot: Spot,
        text: &str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.faults.push(SheetFault {
            place: Place::new(self.file, spot),
            text: excerpt(text),
            what: what.into(),
            remedy: remedy.into(),
        });
    }

    fn finish(mut self) -> Result<TapeSheet> {
        if self.faults.is_empty() && self.readings.is_empty() && self.blank.is_empty() {
            self.fault(
                Spot::Whole,
                "",
                "holds no reading",
                "add a row for each reading, like bust_girth,98.2 cm",
            );
        }
        if !self.faults.is_empty() {
            return Err(ErrorKind::Sheet {
                file: self.file.to_owned(),
                faults: self.faults,
            }
            .into());
        }
        self.findings.extend(self.tape.findings());
        if let [first, ..] = self.blank[..] {
            let count = self.blank.len();
            self.findings.push(Finding::note(
                TOPIC,
                format!(
                    "Rows without a reading were passed over: {count}, the first is row {first}."
                ),
            ));
        }
        Ok(TapeSheet {
            file: self.file.to_owned(),
            readings: self.readings,
            findings: self.findings,
        })
    }
}

fn excerpt(text: &str) -> String {
    match text.char_indices().nth(QUOTED_CHARS) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Key;
    use proptest::prelude::*;

    fn read(text: &str) -> Result<TapeSheet> {
        read_tape(text.as_bytes(), "tape.csv", LengthUnit::Centimetre)
    }

    fn faults(text: &str) -> Vec<String> {
        let error = read(text).expect_err(text);
        match error.kind() {
            ErrorKind::Sheet { faults, .. } => faults.iter().map(ToString::to_string).collect(),
            other => panic!("{other}"),
        }
    }

    #[test]
    fn semicolons_decimal_commas_and_a_byte_order_mark() {
        let sheet = read("\u{feff}reading;Measure;side\r\n98,2;bust_girth;\r\n38 5/8 in;hip;\r\n");
        let sheet = sheet.unwrap();
        let mm: Vec<f64> = sheet.readings.iter().map(|r| r.length.mm()).collect();
        assert!((mm[0] - 982.0).abs() < 1e-9 && (mm[1] - 981.075).abs() < 1e-9);
        assert_eq!(sheet.readings[1].unit, LengthUnit::Inch);
        assert_eq!(sheet.readings[1].text, "38 5/8 in");
    }

    #[test]
    fn the_sheet_names_its_unit() {
        for first in ["# unit = in", "#Unit: inches,,", "# unit=\""] {
            let sheet = read(&format!("{first}\nmeasure,reading\nhip_girth,40\n")).unwrap();
            assert!(
                (sheet.readings[0].length.mm() - 1016.0).abs() < 1e-9,
                "{first}"
            );
        }
        assert!(faults("# unit = yd\nmeasure,reading\nhip,40\n")[0].contains("no known unit"));
        assert!(faults("measure,reading\n# unit = in\nhip,40\n")[0].contains("above the header"));
    }

    #[test]
    fn lines_are_counted_past_remarks_blank_lines_and_quoted_breaks() {
        let text =
            "# a remark\n\nmeasure,reading,note\n\n# b\nhip,100,\"two\nlines\"\n\n# c\nbust,x,\n";
        let faults = faults(text);
        assert_eq!(faults.len(), 1);
        assert!(
            faults[0].contains("row 2 (line 10), column \"reading\""),
            "{faults:?}"
        );
    }

    #[test]
    fn extra_columns_and_blank_readings_are_told() {
        let sheet = read("measure,reading,mood\nhip,100,me\nbust,,\n,,\n").unwrap();
        assert_eq!(sheet.readings.len(), 1);
        assert!(sheet.findings[0].text.contains("\"mood\""));
        assert!(sheet.findings[1].text.contains("1, the first is row 2"));
    }

    #[test]
    fn headers_that_cannot_be_used() {
        assert!(faults("")[0].contains("no reading"));
        assert!(faults("measure,reading\n")[0].contains("no reading"));
        assert!(faults("bust,98\n")[0].contains("first row be"));
        assert!(faults("measure,side\nbust,\n")[0].contains("line 1"));
        assert!(faults("measure,reading,reading\nbust,1,2\n")[0].contains("twice"));
    }

    #[test]
    fn limits() {
        let long = "#".repeat(1 << 20) + "\n";
        assert!(read(&long).expect_err("too long").is_limit());
        let rows = "measure,reading\n".to_owned() + &"hip,100\n".repeat(10_001);
        assert!(read(&rows).expect_err("too many").is_limit());
        let bytes = b"measure,reading\nhip,100\xbd\n";
        let error = read_tape(&bytes[..], "t.csv", LengthUnit::Inch).expect_err("no UTF-8");
        assert!(error.to_string().contains("byte 23"), "{error}");
    }

    #[test]
    fn notes_and_repeats_are_kept() {
        let sheet = read("measure,reading,repeat,note\nhip,100,1,tired\nhip,101,2,\n").unwrap();
        assert_eq!(sheet.readings[1].repeat, Some(2));
        assert_eq!(sheet.readings[0].note, "tired");
        assert_eq!(sheet.readings[0].id, Key::HipGirth.into());
    }

    proptest! {
        #[test]
        fn any_bytes_give_an_answer(tail in proptest::collection::vec(any::<u8>(), 0..200)) {
            let mut bytes = b"measure,reading,side\n".to_vec();
            bytes.extend(tail);
            if let Ok(sheet) = read_tape(&bytes[..], "t.csv", LengthUnit::Inch) {
                prop_assert!(!sheet.readings.is_empty() || !sheet.findings.is_empty());
            }
        }
    }
}
