//! A row of the table: its columns, and what of a scan stands in them.

use crate::landmark::Landmark;
use crate::measure::MeasureId;
use crate::measure::catalogue::CATALOGUE;
use crate::profile::Profile;
use crate::side::Side;
use sha2::{Digest, Sha256};

/// Version of the table's layout: the meaning of its columns and cells, the catalogue aside.
pub const TABLE_SCHEMA: u32 = 2;

/// Columns before those of the measures.
pub(super) const FIXED: [&str; 6] = ["schema", "file", "digest", "status", "reason", "pinned"];
/// Their places in a row, as a table is read again.
pub(super) const SCHEMA_AT: usize = 0;
pub(super) const FILE_AT: usize = 1;
pub(super) const STATUS_AT: usize = 3;

/// What the column `status` says.
const MEASURED: &str = "measured";
pub(super) const FAILED: &str = "failed";

/// The names of all columns: fixed by the catalogue, the same for every table of a version.
///
/// `schema`, `file`, `digest`, `status`, `reason`, `pinned` (landmarks put by hand, parted by
/// semicolons); then for each measure, in catalogue order and
/// left before right, its value and its standard uncertainty in the same unit, as in
/// `bust_girth_mm`, `bust_girth_mm_sd`, `knee_girth_left_mm`, `shoulder_slope_left_deg`.
#[must_use]
pub fn columns() -> Vec<String> {
    let measures = ids().flat_map(|id| {
        let row = id.key.definition();
        let side = id.side.map(|side| format!("_{side}")).unwrap_or_default();
        let value = format!("{}{side}_{}", row.text, row.unit().sign());
        let sd = format!("{value}_sd");
        [value, sd]
    });
    FIXED
        .map(str::to_owned)
        .into_iter()
        .chain(measures)
        .collect()
}

/// What the column `schema` holds: [`TABLE_SCHEMA`] and eight hexadecimal digits of the SHA-256 of
/// the column names, joined by commas.
///
/// Two rows of equal schema have the same columns, be there a header above them or not.
#[must_use]
pub fn schema() -> String {
    let digest = Sha256::digest(columns().join(","));
    let digits: String = digest[..4]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    format!("{TABLE_SCHEMA}-{digits}")
}

/// Every measure there can be, in the order of the columns.
fn ids() -> impl Iterator<Item = MeasureId> {
    CATALOGUE.iter().flat_map(|row| {
        let sides: &[Option<Side>] = Side::of_pair(row.paired);
        sides.iter().map(|&side| MeasureId::new(row.key, side))
    })
}

/// One scan in the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Path of the scan, as [`name`](super::name) writes it.
    pub file: String,
    /// SHA-256 of its bytes in hexadecimal; empty if they could not be read.
    pub digest: String,
    /// Landmarks put by hand, parted by semicolons: measures taken there do not judge the scan alone.
    pub pinned: String,
    /// What came of it.
    pub status: Status,
}

/// What came of a scan.
#[derive(Clone, Debug, PartialEq)]
pub enum Status {
    /// It was measured: value and standard uncertainty of each measure, in the order and unit of
    /// [`columns`]; nothing where it is withheld.
    Measured(Vec<Option<(f64, f64)>>),
    /// It was not, for a reason, in one line.
    Failed(String),
}

impl Row {
    /// The row of a scan's profile.
    #[must_use]
    pub fn measured(file: String, profile: &Profile) -> Self {
        let digest = profile.provenance.as_ref().map(|from| from.digest.clone());
        let value = |id| {
            let measure = profile.get(id)?;
            Some((measure.value, measure.spread.sd))
        };
        let pinned = profile.landmarks.iter().filter(|mark| mark.is_pinned());
        let pinned: Vec<String> = pinned.map(Landmark::name).collect();
        Self {
            file,
            digest: digest.unwrap_or_default(),
            pinned: pinned.join("; "),
            status: Status::Measured(ids().map(value).collect()),
        }
    }

    /// The row of a scan that could not be measured; the reason is brought into one line.
    #[must_use]
    pub fn failed(file: String, digest: String, reason: &str) -> Self {
        let words: Vec<&str> = reason.split_whitespace().collect();
        Self {
            file,
            digest,
            pinned: String::new(),
            status: Status::Failed(words.join(" ")),
        }
    }

    /// True if the scan was measured, though single measures may be withheld.
    #[must_use]
    pub fn is_measured(&self) -> bool {
        matches!(self.status, Status::Measured(_))
    }

    /// What stands in the [`FIXED`] columns.
    pub(super) fn heads<'a>(&'a self, schema: &'a str) -> [&'a str; FIXED.len()] {
        let (status, reason) = match &self.status {
            Status::Measured(_) => (MEASURED, ""),
            Status::Failed(reason) => (FAILED, reason.as_str()),
        };
        [
            schema,
            &self.file,
            &self.digest,
            status,
            reason,
            &self.pinned,
        ]
    }

    /// The cells, one for each of [`columns`]; a number as short as it can be read back unchanged.
    pub(super) fn cells(&self, schema: &str) -> Vec<String> {
        let head = self.heads(schema).map(str::to_owned).into_iter();
        match &self.status {
            Status::Measured(values) => {
                let pairs = values.iter().flat_map(|pair| match pair {
                    Some((value, sd)) => [value.to_string(), sd.to_string()],
                    None => Default::default(),
                });
                head.chain(pairs).collect()
            }
            Status::Failed(_) => {
                let empty = ids().flat_map(|_| [String::new(), String::new()]);
                head.chain(empty).collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_name_measure_side_and_unit() {
        let columns = columns();
        let first = [
            "schema",
            "file",
            "digest",
            "status",
            "reason",
            "pinned",
            "stature_mm",
            "stature_mm_sd",
        ];
        assert_eq!(columns[..8], first);
        for name in [
            "bust_girth_mm",
            "knee_girth_left_mm",
            "knee_girth_right_mm_sd",
            "shoulder_slope_left_deg",
        ] {
            let found = columns.iter().filter(|column| *column == name);
            assert_eq!(found.count(), 1, "{name}");
        }
        assert_eq!(
            [FIXED[SCHEMA_AT], FIXED[FILE_AT], FIXED[STATUS_AT]],
            ["schema", "file", "status"]
        );
    }

    #[test]
    fn every_row_has_a_cell_for_each_column() {
        let failed = Row::failed("a.ply".into(), String::new(), "two\n  lines");
        let cells = failed.cells(&schema());
        assert_eq!(cells.len(), columns().len());
        assert_eq!(cells[4], "two lines");
        let values = vec![Some((0.1, 1e-7)); ids().count()];
        let row = Row {
            status: Status::Measured(values),
            ..failed
        };
        let cells = row.cells(&schema());
        assert_eq!(cells.len(), columns().len());
        assert_eq!(cells[6..8], ["0.1", "0.0000001"]);
    }
}
