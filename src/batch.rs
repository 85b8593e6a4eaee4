//! Many scans to one table: a row a scan, in order, whatever comes of each.
//!
//! ```no_run
//! use girthwise::batch::{BatchOptions, Table, find_scans, measure_all};
//!
//! let scans = find_scans(&["scans".into()])?;
//! let mut table = Table::create("table.csv".as_ref(), true)?;
//! let tally = measure_all(&scans, &BatchOptions::default(), &mut table, |_row| ())?;
//! assert_eq!(tally.measured + tally.failed, scans.len());
//! # Ok::<(), girthwise::Error>(())
//! ```
//!
//! Scans are measured side by side, but a row is written as soon as all before it are, so a table
//! has the same bytes at any number of jobs. A table is locked while it is written, so that two runs
//! cannot go on with the same one. Beside the list of paths, memory holds one scan a job
//! and a bounded number of rows that wait for their turn.

use crate::error::{Error, Result};
use crate::frame::FrameOptions;
use crate::ingest::{Limits, read_scan};
use crate::landmark::Pins;
use crate::profile::Profile;
use crate::scan::{ScanOptions, measure_scan_with};
use crate::tape::TapeSet;
use sha2::{Digest, Sha256};
use std::any::Any;
use std::fs::{self, File};
use std::io::Read;
use std::num::NonZeroUsize;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

#[cfg(feature = "parquet")]
mod columnar;
mod list;
mod row;
mod table;
mod window;

#[cfg(feature = "parquet")]
pub use columnar::ParquetTable;
pub use list::{Shard, find_scans, name, read_list};
pub use row::{Row, Status, TABLE_SCHEMA, columns, schema};
pub use table::{Held, Table};
pub use window::MOST_JOBS;

/// How the scans of a batch are measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BatchOptions {
    /// What is known about the frame of every scan.
    pub frame: FrameOptions,
    /// Landmarks put by hand on every scan: for many scans of one body.
    pub pins: Pins,
    /// The most one scan may ask for.
    pub limits: Limits,
    /// Threads that work at once, [`MOST_JOBS`] at most; as many as the machine offers if `None`.
    /// Each holds a scan of its own. Without the feature `parallel` it is always one.
    pub jobs: Option<NonZeroUsize>,
    /// Folder to write each profile to as `DIGEST.json`, by the scan's column `digest`; must be there.
    pub profiles: Option<PathBuf>,
}

/// How many scans of a batch came out how.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Scans measured.
    pub measured: usize,
    /// Scans that failed; their rows say why.
    pub failed: usize,
}

/// Where the rows of a batch go, in order.
pub trait RowSink {
    /// Takes a row.
    ///
    /// # Errors
    /// [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses it.
    fn push(&mut self, row: &Row) -> Result<()>;
}

/// Measures scans and writes a row for each, in the order given; `progress` sees each row written.
///
/// A scan that fails is a row with its reason and does not stop the rest.
///
/// # Errors
/// [`ErrorKind::Io`](crate::ErrorKind::Io) if table or profile cannot be written,
/// [`ErrorKind::Options`](crate::ErrorKind::Options) if the threads cannot be had. Rows written
/// before stay.
pub fn measure_all(
    scans: &[PathBuf],
    options: &BatchOptions,
    table: &mut impl RowSink,
    mut progress: impl FnMut(&Row),
) -> Result<Tally> {
    let offered = || std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
    let jobs = options.jobs.unwrap_or_else(offered);
    let mut tally = Tally::default();
    window::in_order(
        scans.len(),
        jobs,
        |index| measure_file(&scans[index], options),
        |row| {
            let row = row?;
            table.push(&row)?;
            if row.is_measured() {
                tally.measured += 1;
            } else {
                tally.failed += 1;
            }
            progress(&row);
            Ok(())
        },
    )?;
    Ok(tally)
}

/// The row of one scan; its profile, if asked for, is written before.
///
/// # Errors
/// [`ErrorKind::Io`](crate::ErrorKind::Io) if the profile cannot be written. A scan that cannot be
/// measured is no error here but a row that says so.
pub fn measure_file(path: &Path, options: &BatchOptions) -> Result<Row> {
    let file = name(path);
    match attempt(|| profile_of(path, options)) {
        Ok(profile) => {
            let row = Row::measured(file, &profile);
            if let Some(folder) = &options.profiles {
                write_profile(folder, &row, &profile)?;
            }
            Ok(row)
        }
        Err(reason) => {
            let digest = digest(path, options.limits.file_bytes).unwrap_or_default();
            Ok(Row::failed(file, digest, &reason))
        }
    }
}

fn profile_of(path: &Path, options: &BatchOptions) -> Result<Profile> {
    let raw = read_scan(path, &options.limits)?;
    let known = ScanOptions {
        frame: options.frame,
        pins: options.pins.clone(),
    };
    let scan = measure_scan_with(raw, &known, |_step| ())?;
    Ok(Profile::of(&scan, &TapeSet::default()))
}

/// The result, or the reason why there is none; a fault of the program is one reason more, so that
/// it costs the batch one row and not the night.
fn attempt<T>(work: impl FnOnce() -> Result<T>) -> Result<T, String> {
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(result) => result.map_err(|error| error.to_string()),
        Err(payload) => Err(format!(
            "a fault of the program, not of the scan: {}",
            said(payload.as_ref())
        )),
    }
}

fn said(payload: &(dyn Any + Send)) -> &str {
    let text = payload.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| payload.downcast_ref::<&str>().copied())
        .unwrap_or("it does not say which")
}

/// SHA-256 of a file no reader took to its end; none if it is not to be read or over the limit.
fn digest(path: &Path, limit: u64) -> Option<String> {
    // A pipe gives its bytes but once, to the reader that failed.
    let is_file = fs::metadata(path).ok()?.is_file();
    let mut file = is_file.then(|| File::open(path).ok())??;
    let mut hasher = Sha256::new();
    let mut block = vec![0; 1 << 16];
    let mut total = 0;
    loop {
        let count = file.read(&mut block).ok()?;
        total += count as u64;
        if total > limit {
            return None;
        }
        if count == 0 {
            let bytes = hasher.finalize();
            return Some(bytes.iter().map(|byte| format!("{byte:02x}")).collect());
        }
        hasher.update(&block[..count]);
    }
}

/// Under its name only when it is whole: a run can be ended at any time, and two files of the same
/// bytes share a profile.
fn write_profile(folder: &Path, row: &Row, profile: &Profile) -> Result<()> {
    let path = folder.join(format!("{}.json", row.digest));
    let part_name = Sha256::digest(&row.file);
    let part_name: String = part_name[..8]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let part = folder.join(format!("{}.{part_name}.part", row.digest));
    fs::write(&part, profile.to_json()? + "\n").map_err(|source| Error::io(&part, source))?;
    fs::rename(&part, &path).map_err(|source| Error::io(&path, source))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_of_the_program_is_a_reason() {
        let reason = attempt(|| -> Result<()> { panic!("odd number {}", 7) }).unwrap_err();
        assert_eq!(
            reason,
            "a fault of the program, not of the scan: odd number 7"
        );
        let reason = attempt(|| -> Result<()> { Err(Error::body("no body")) }).unwrap_err();
        assert_eq!(reason, "no body");
        assert_eq!(attempt(|| Ok(3)), Ok(3));
    }
}
