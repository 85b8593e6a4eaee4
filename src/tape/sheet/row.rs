//! One row of a tape sheet: its cells, each checked by itself, all faults told.

use super::{Cells, Row, SheetReader, excerpt};
use crate::error::Spot;
use crate::finding::Finding;
use crate::length::reading::{LengthFault, read_written};
use crate::measure::MeasureId;
use crate::side::Side;
use crate::tape::Reading;
use crate::tape::naming::{Named, name_measure, name_side, nearest};

/// Most repeats of one measure that a sheet can number.
const MAX_REPEAT: u32 = 99;

impl SheetReader<'_> {
    /// A row with neither measure nor reading.
    pub(super) fn empty_row(&mut self, at: Row, written: &str) {
        self.fault(
            Spot::Line(at.line),
            written,
            "has neither measure nor reading",
            "fill both cells or take the row out",
        );
    }

    pub(super) fn read_row(&mut self, cells: Cells<'_>, at: Row) {
        let (name, text) = (cells.measure, cells.reading);
        if text.is_empty() {
            self.blank.push(at.row);
            return;
        }
        let named = self.read_measure(name, at);
        let side = self.read_side(named, cells.side, at);
        let repeat = self.read_repeat(cells.repeat, at);
        let written = read_written(text, self.unit)
            .map_err(|LengthFault { what, remedy }| {
                self.fault(cell_spot(at, "reading"), text, what, remedy);
            })
            .ok();
        let (Some(named), Some(side), Some(repeat), Some(written)) = (named, side, repeat, written)
        else {
            return;
        };
        let id = MeasureId::new(named.key, side);
        if self.is_taken(id, repeat, at) {
            return;
        }
        let Some(length) = self.tape.correct(written.length()) else {
            self.fault(
                cell_spot(at, "reading"),
                text,
                "is no more than what the tape starts at",
                "check the reading and tape_starts_at",
            );
            return;
        };
        self.readings.push(Reading {
            id,
            length,
            text: text.to_owned(),
            unit: written.unit,
            row: at.row,
            repeat,
            note: note_of(cells),
        });
    }

    fn read_measure(&mut self, text: &str, at: Row) -> Option<Named> {
        let spot = cell_spot(at, "measure");
        let Some(named) = name_measure(text) else {
            let remedy = match nearest(text) {
                Some(key) => format!("did you mean \"{key}\"?"),
                None => "use a key or a name of the catalogue, like bust_girth".to_owned(),
            };
            self.fault(spot, text, "is not a known measure", remedy);
            return None;
        };
        if named.key.definition().tape.is_empty() {
            self.fault(
                spot,
                text,
                "cannot be taken with a tape",
                "take the row out; the scan gives this measure",
            );
            return None;
        }
        // Once is enough for several readings of one measure.
        if let Some(remark) = named.remark
            && !self.findings.iter().any(|told| told.text.ends_with(remark))
        {
            self.findings.push(Finding::look(
                named.key.definition().name,
                format!("Row {}, \"{}\": {remark}", at.row, excerpt(text)),
            ));
        }
        Some(named)
    }

    /// The side of the row; the outer `None` is a fault.
    ///
    /// Without a known measure the cell is checked by itself.
    fn read_side(&mut self, named: Option<Named>, text: &str, at: Row) -> Option<Option<Side>> {
        let spot = cell_spot(at, "side");
        let given = if text.is_empty() {
            None
        } else {
            let side = name_side(text);
            if side.is_none() {
                self.fault(
                    spot,
                    text,
                    "is no side",
                    "write left or right, the wearer's own, or leave it empty",
                );
                return None;
            }
            side
        };
        let named = named?;
        let side = given.or(named.side);
        let name = named.key.definition().name;
        let (what, remedy) = match (named.key.definition().paired, side, named.side) {
            (true, Some(a), Some(b)) if a != b => (
                format!("contradicts the measure cell, which says {b}"),
                "make both cells name the same side",
            ),
            (true, None, _) => (
                format!("leaves open which {name} is meant"),
                "write left or right, the wearer's own",
            ),
            (false, Some(_), _) => (
                format!("gives a side, but {name} has none"),
                "leave the side empty",
            ),
            _ => return Some(side),
        };
        self.fault(spot, text, what, remedy);
        None
    }

    /// The number of the repeat; the outer `None` is a fault.
    fn read_repeat(&mut self, text: &str, at: Row) -> Option<Option<u32>> {
        if text.is_empty() {
            return Some(None);
        }
        let number = text
            .parse()
            .ok()
            .filter(|number| (1..=MAX_REPEAT).contains(number));
        if number.is_none() {
            self.fault(
                cell_spot(at, "repeat"),
                text,
                "is no number of a repeat",
                format!("write 1 to {MAX_REPEAT}, or leave it empty"),
            );
        }
        number.map(Some)
    }

    /// True, with a fault, if another row already holds this repeat of the measure.
    fn is_taken(&mut self, id: MeasureId, repeat: Option<u32>, at: Row) -> bool {
        let Some(repeat) = repeat else {
            return false;
        };
        let first = *self.numbered.entry((id, repeat)).or_insert(at.row);
        if first == at.row {
            return false;
        }
        self.fault(
            cell_spot(at, "repeat"),
            &repeat.to_string(),
            format!("stands at {id} in row {first} already"),
            "number the readings 1, 2, 3, or leave the repeat empty",
        );
        true
    }
}

/// The note, with who measured: it reaches every place that shows a note.
fn note_of(cells: Cells<'_>) -> String {
    match (cells.who, cells.note) {
        ("", note) => note.to_owned(),
        (who, "") => format!("by {who}"),
        (who, note) => format!("by {who}; {note}"),
    }
}

pub(super) fn cell_spot(at: Row, column: &str) -> Spot {
    Spot::Cell {
        row: at.row,
        line: at.line,
        column: column.to_owned(),
    }
}
