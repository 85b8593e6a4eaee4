//! The sheet as TOML: a head and a `[[reading]]` table for each reading.

use super::head::KEYS;
use super::row::cell_spot;
use super::{CELLS, Cells, Row, SheetReader};
use crate::error::{Result, Spot};
use std::collections::BTreeMap;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

impl SheetReader<'_> {
    pub(super) fn read_toml(&mut self, text: &str) -> Result<()> {
        let lines = Lines::new(text);
        let table = match DeTable::parse(text) {
            Ok(table) => table,
            Err(error) => {
                let line = lines.at(error.span().map_or(0, |span| span.start));
                self.fault(
                    Spot::Line(line),
                    "",
                    format!("is no TOML: {}", error.message()),
                    "write key = \"value\", and [[reading]] above each reading",
                );
                return Ok(());
            }
        };
        let table = table.get_ref();
        // In the order of KEYS: the unit first, as the others may hold bare numbers.
        for key in KEYS {
            if let Some(value) = table.get(key) {
                let spot = key_spot(key, lines.at(value.span().start));
                match written(value) {
                    Some(text) => self.read_head(key, text.trim(), spot),
                    None => self.fault(spot, "", "is no text", "write it between quotes: \"…\""),
                }
            }
        }
        for key in table.keys() {
            let name: &str = key.get_ref();
            if name != "reading" && !KEYS.contains(&name) {
                self.fault(
                    key_spot(name, lines.at(key.span().start)),
                    "",
                    "is no known key",
                    format!(
                        "the head knows: {}; the rest are [[reading]]",
                        KEYS.join(", ")
                    ),
                );
            }
        }
        match table.get("reading").map(|value| (value, value.get_ref())) {
            None => Ok(()),
            Some((_, DeValue::Array(rows))) => self.read_tables(rows.iter(), &lines),
            Some((value, _)) => {
                self.fault(
                    key_spot("reading", lines.at(value.span().start)),
                    "",
                    "is no list of readings",
                    "write [[reading]] in two brackets above each reading",
                );
                Ok(())
            }
        }
    }

    fn read_tables<'t, 'i: 't>(
        &mut self,
        rows: impl Iterator<Item = &'t Spanned<DeValue<'i>>>,
        lines: &Lines,
    ) -> Result<()> {
        for (row, value) in (1..).zip(rows) {
            self.room_for(row)?;
            let line = lines.at(value.span().start);
            let at = Row { row, line };
            match value.get_ref().as_table() {
                Some(table) => self.read_one_table(table, at, lines),
                None => self.fault(
                    Spot::Line(line),
                    "",
                    "is no reading",
                    "write [[reading]] and below it measure = \"…\" and reading = \"…\"",
                ),
            }
        }
        Ok(())
    }

    fn read_one_table(&mut self, table: &DeTable<'_>, at: Row, lines: &Lines) {
        let mut cells = BTreeMap::new();
        let before = self.faults.len();
        for (key, value) in table {
            let name: &str = key.get_ref();
            let line = lines.at(key.span().start);
            let spot = cell_spot(Row { line, ..at }, name);
            if !CELLS.contains(&name) {
                let known = format!("a reading knows: {}", CELLS.join(", "));
                self.fault(spot, "", "is no known key", known);
            } else if let Some(text) = written(value) {
                cells.insert(name, text.trim().to_owned());
            } else {
                self.fault(spot, "", "is no text", "write it between quotes: \"…\"");
            }
        }
        if self.faults.len() > before {
            return;
        }
        let cells = Cells::by(|name| cells.get(name).map_or("", String::as_str));
        if cells.measure.is_empty() && cells.reading.is_empty() {
            self.empty_row(at, "");
        } else {
            self.read_row(cells, at);
        }
    }
}

/// A text, a number or a day as it is written.
fn written(value: &Spanned<DeValue<'_>>) -> Option<String> {
    match value.get_ref() {
        DeValue::String(text) => Some(text.as_ref().to_owned()),
        DeValue::Integer(digits) if digits.radix() == 10 => Some(digits.as_str().to_owned()),
        DeValue::Float(digits) => Some(digits.as_str().to_owned()),
        DeValue::Datetime(day) => Some(day.to_string()),
        _ => None,
    }
}

fn key_spot(key: &str, line: u64) -> Spot {
    Spot::Key {
        key: super::excerpt(key),
        line: Some(line),
    }
}

/// Where the lines of a text start.
struct Lines(Vec<usize>);

impl Lines {
    fn new(text: &str) -> Self {
        Self(text.match_indices('\n').map(|(at, _)| at).collect())
    }

    fn at(&self, byte: usize) -> u64 {
        1 + self.0.partition_point(|&end| end < byte) as u64
    }
}

#[cfg(test)]
mod tests {
    use crate::LengthUnit;
    use crate::tape::read_tape_toml;
    use proptest::prelude::*;

    fn told(text: &str) -> String {
        read_tape_toml(text.as_bytes(), "t.toml", LengthUnit::Centimetre)
            .expect_err(text)
            .to_string()
    }

    #[test]
    fn faults_tell_row_line_and_key() {
        let text = "[[reading]]\nmeasure = 'hip'\nreading = 98\n[[reading]]\nmeasure = 'hipp_girth'\nreading = 98\n";
        let fault = told(text);
        assert!(
            fault.contains("row 2 (line 4)") && fault.contains("hip_girth"),
            "{fault}"
        );
        assert!(told("reading = 3").contains("two brackets"));
        assert!(told("[[reading]\n").contains("no TOML"));
        assert!(told("[[reading]]\nmeasure = ['hip']\n").contains("no text"));
        assert!(told("colour = 1\n").contains("no known key"));
    }

    proptest! {
        #[test]
        fn hostile_text_gives_an_answer(text in "[\\[\\]{}a-z=\"'\n.,0-9 é-]{0,120}") {
            for text in [text.clone(), format!("[[reading]]\nmeasure = 'hip'\n{text}")] {
                if let Ok(sheet) = read_tape_toml(text.as_bytes(), "t.toml", LengthUnit::Inch) {
                    prop_assert!(!sheet.readings.is_empty() || !sheet.findings.is_empty());
                }
            }
        }
    }
}
