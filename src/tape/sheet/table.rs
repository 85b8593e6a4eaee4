//! The sheet as a CSV table: header and records.

use super::lines::{LineCounter, delimiter};
use super::{CELLS, Cells, Row, SheetReader, excerpt};
use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;

impl SheetReader<'_> {
    pub(super) fn read_table(&mut self, text: &str) -> Result<()> {
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter(text))
            .comment(Some(b'#'))
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut lines = LineCounter::new(text);
        let mut columns = None;
        let mut row = 0;
        for record in reader.records() {
            let record = record.map_err(|error| {
                Error::input(Place::new(self.file, Spot::Whole), error.to_string())
            })?;
            let line = lines.line_of(record.position().map_or(0, csv::Position::byte));
            let Some(columns) = &columns else {
                columns = self.read_header(&record, line);
                if columns.is_none() {
                    return Ok(());
                }
                continue;
            };
            row += 1;
            self.room_for(row)?;
            self.read_record(columns, &record, Row { row, line });
        }
        Ok(())
    }

    fn read_header(&mut self, header: &csv::StringRecord, line: u64) -> Option<Vec<String>> {
        let names: Vec<String> = header.iter().map(str::to_lowercase).collect();
        let written = header.iter().collect::<Vec<_>>().join(", ");
        for name in CELLS {
            if names.iter().filter(|n| *n == name).count() > 1 {
                self.fault(
                    Spot::Line(line),
                    &written,
                    format!("has the column \"{name}\" twice"),
                    "keep one of them",
                );
            }
        }
        let extra: Vec<String> = header
            .iter()
            .filter(|name| !name.is_empty() && !CELLS.contains(&name.to_lowercase().as_str()))
            .map(|name| format!("\"{}\"", excerpt(name)))
            .collect();
        if !extra.is_empty() {
            self.findings.push(Finding::note(
                super::TOPIC,
                format!(
                    "Not used, as no such column is known: {}. Known are measure, reading, side, repeat, note and who.",
                    extra.join(", ")
                ),
            ));
        }
        let has = |column: &str| names.iter().any(|name| name == column);
        if !(has("measure") && has("reading")) {
            self.fault(
                Spot::Line(line),
                &written,
                "is no header with the columns \"measure\" and \"reading\"",
                "let the first row be: measure,reading,side,repeat,note",
            );
            return None;
        }
        Some(names)
    }

    fn read_record(&mut self, columns: &[String], record: &csv::StringRecord, at: Row) {
        if record.len() > columns.len() {
            self.fault(
                Spot::Line(at.line),
                &record.iter().collect::<Vec<_>>().join(","),
                format!(
                    "has {} cells where the header has {}",
                    record.len(),
                    columns.len()
                ),
                "put a reading with a decimal comma in quotes (\"98,2\"), or part the cells by semicolons",
            );
            return;
        }
        let cells = Cells::by(|name| {
            let column = columns.iter().position(|column| column == name);
            column.and_then(|i| record.get(i)).unwrap_or("")
        });
        if cells.measure.is_empty() && cells.reading.is_empty() {
            if record.iter().any(|cell| !cell.is_empty()) {
                let written = record.iter().collect::<Vec<_>>().join(",");
                self.empty_row(at, &written);
            }
            return;
        }
        self.read_row(cells, at);
    }
}
