//! The command `batch`: its arguments, its bar, and where its table goes.

use crate::files::{make_folder, read_text, refused};
use crate::input::{FrameArgs, PinArgs};
use clap::Args;
use girthwise::batch::{
    BatchOptions, Held, MOST_JOBS, Row, RowSink, Shard, Table, Tally, find_scans, measure_all,
    name, read_list,
};
use girthwise::ingest::Limits;
use girthwise::scan::ScanOptions;
use girthwise::{Error, ErrorKind};
use indicatif::{ProgressBar, ProgressStyle};
use std::fs;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::time::Duration;

#[derive(Args)]
pub(crate) struct BatchArgs {
    /// Scans, and folders to search for PLY, OBJ, STL and glTF files, gzipped or not, sub-folders and all.
    #[arg(required_unless_present = "list")]
    inputs: Vec<PathBuf>,
    /// Text file that names more of them, one a line; lines that begin with # are left out.
    #[arg(long, value_name = "FILE")]
    list: Option<PathBuf>,
    /// Table to write: CSV, or Parquet if its name ends in .parquet and the program was built with it; standard output if not given.
    #[arg(long, value_name = "TABLE")]
    out: Option<PathBuf>,
    /// Go on with a table: scans that have a row in it are left out, a row cut short is redone.
    #[arg(long, requires = "out")]
    resume: bool,
    /// Take a share of the sorted list only, as 2/4 for the second of four.
    ///
    /// Only the first share writes the header, so that the tables of all, put one after
    /// another, are one table.
    #[arg(long, value_name = "I/N", default_value = "1/1")]
    shard: Shard,
    /// Folder to write each profile to, as DIGEST.json; made if it is not there.
    ///
    /// The table's columns file and digest say whose it is. Scans are often named after people, and two
    /// folders may hold one name: so no profile carries a name or takes another's place.
    #[arg(long, value_name = "DIR")]
    profiles: Option<PathBuf>,
    /// Threads that work at once; all cores if not given. Each may hold a scan in memory.
    #[arg(long, value_name = "N", value_parser = jobs)]
    jobs: Option<NonZeroUsize>,
    #[command(flatten)]
    frame: FrameArgs,
    #[command(flatten)]
    pins: PinArgs,
}

fn jobs(text: &str) -> Result<NonZeroUsize, String> {
    let jobs = text.parse().ok().and_then(NonZeroUsize::new);
    jobs.filter(|jobs| jobs.get() <= MOST_JOBS)
        .ok_or_else(|| format!("write a whole number from 1 to {MOST_JOBS}"))
}

/// Measures the batch; the tally is that of the whole table, rows held before counted.
pub(crate) fn run(args: &BatchArgs) -> Result<Tally, Error> {
    let scans = args.shard.of(all_scans(args)?);
    if let Some(folder) = &args.profiles {
        make_folder(folder)?;
    }
    let header = args.shard.is_first();
    match &args.out {
        None => {
            let mut table = Table::new(std::io::stdout(), "standard output", header)?;
            match fill(args, &scans, &mut table) {
                // A reader that has gone away is no fault.
                Err(error) if is_broken_pipe(&error) => Ok(Tally::default()),
                filled => filled,
            }
        }
        Some(path) if is_parquet(path) => columnar(args, &scans, path),
        Some(path) => {
            let (mut table, held) = if args.resume {
                Table::resume(path, header)?
            } else {
                (Table::create(path, header)?, Held::default())
            };
            let is_new = |scan: &PathBuf| !held.has(&name(scan));
            let scans: Vec<_> = scans.into_iter().filter(is_new).collect();
            let mut tally = fill(args, &scans, &mut table)?;
            tally.failed += held.failed();
            Ok(tally)
        }
    }
}

fn is_parquet(path: &Path) -> bool {
    path.extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("parquet"))
}

#[cfg(feature = "parquet")]
fn columnar(args: &BatchArgs, scans: &[PathBuf], path: &Path) -> Result<Tally, Error> {
    if args.resume {
        let what = "a Parquet table cannot be gone on with; write CSV where a run may be stopped";
        return Err(ErrorKind::Options { what: what.into() }.into());
    }
    let mut table = girthwise::batch::ParquetTable::create(path)?;
    let tally = fill(args, scans, &mut table)?;
    table.finish()?;
    Ok(tally)
}

#[cfg(not(feature = "parquet"))]
fn columnar(_: &BatchArgs, _: &[PathBuf], _: &Path) -> Result<Tally, Error> {
    let what = "this program was built without Parquet; name a table that ends in .csv, or build \
                it with --features parquet";
    Err(ErrorKind::Options { what: what.into() }.into())
}

fn is_broken_pipe(error: &Error) -> bool {
    let ErrorKind::Io { source, .. } = error.kind() else {
        return false;
    };
    source.kind() == std::io::ErrorKind::BrokenPipe
}

/// What the arguments and the list name. An argument must be there; a path of a list may fail in its row.
fn all_scans(args: &BatchArgs) -> Result<Vec<PathBuf>, Error> {
    for input in &args.inputs {
        fs::metadata(input).map_err(|source| refused(input, source))?;
    }
    let mut inputs = args.inputs.clone();
    if let Some(list) = &args.list {
        inputs.extend(read_list(&read_text(list)?));
    }
    let scans = find_scans(&inputs)?;
    if scans.is_empty() {
        return Err(ErrorKind::Options {
            what: "there is no PLY, OBJ, STL or glTF file to measure; name scans, or folders that hold some"
                .into(),
        }
        .into());
    }
    Ok(scans)
}

fn fill(args: &BatchArgs, scans: &[PathBuf], table: &mut impl RowSink) -> Result<Tally, Error> {
    let ScanOptions { frame, pins } = args.pins.options(&args.frame)?;
    let options = BatchOptions {
        frame,
        pins,
        limits: Limits::default(),
        jobs: args.jobs,
        profiles: args.profiles.clone(),
    };
    let bar = progress(scans.len());
    let tally = measure_all(scans, &options, table, |row: &Row| {
        bar.set_message(file_of(row));
        bar.inc(1);
    });
    bar.finish_and_clear();
    tally
}

fn file_of(row: &Row) -> String {
    let file = Path::new(&row.file).file_name();
    file.unwrap_or_default().to_string_lossy().into_owned()
}

/// A bar on a terminal; silent when standard error goes elsewhere.
fn progress(count: usize) -> ProgressBar {
    let bar = ProgressBar::new(count as u64);
    let template = "{bar:30} {pos}/{len} {msg} ({elapsed}, {eta} to go)";
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}
