//! The table as a file: begun, gone on with, written row by row.

use super::RowSink;
use super::row::{FAILED, FILE_AT, Row, SCHEMA_AT, STATUS_AT, columns, schema};
use crate::error::{Error, Place, Result, Spot};
use std::collections::HashSet;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{BufReader, ErrorKind as IoErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// A CSV table being written: UTF-8, commas, a line feed after each row.
///
/// A row goes out in one piece as soon as it is known.
#[derive(Debug)]
pub struct Table<W> {
    out: W,
    /// For messages.
    path: PathBuf,
    schema: String,
}

/// What a table already held when it was opened again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Held {
    files: HashSet<String>,
    failed: usize,
}

impl Held {
    /// True if the scan of this [`name`](super::name) has its row.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.files.contains(name)
    }

    /// Rows of scans that failed.
    #[must_use]
    pub fn failed(&self) -> usize {
        self.failed
    }
}

impl<W: Write> Table<W> {
    /// A new table; `path` serves messages.
    ///
    /// # Errors
    /// [`ErrorKind::Io`](crate::ErrorKind::Io) if the header cannot be written.
    pub fn new(out: W, path: impl Into<PathBuf>, with_header: bool) -> Result<Self> {
        let mut table = Self {
            out,
            path: path.into(),
            schema: schema(),
        };
        if with_header {
            table.write(&columns())?;
        }
        Ok(table)
    }

    fn write(&mut self, cells: &[String]) -> Result<()> {
        let written = line(cells).and_then(|line| {
            self.out.write_all(&line)?;
            self.out.flush()
        });
        written.map_err(|source| Error::io(&self.path, source))
    }
}

impl<W: Write> RowSink for Table<W> {
    fn push(&mut self, row: &Row) -> Result<()> {
        self.write(&row.cells(&self.schema))
    }
}

impl Table<File> {
    /// Begins a table in a new file, which is locked until the table is dropped.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if the file is there already: it may hold
    /// the work of a night. [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses it.
    pub fn create(path: &Path, with_header: bool) -> Result<Self> {
        let advice = "go on with it by --resume, or name another table";
        Self::new(create_new(path, advice)?, path, with_header)
    }

    /// Goes on with a table where it ends, or begins it if the file is not there.
    ///
    /// A last row that was not written to its end is dropped. The file is locked until the table is
    /// dropped: two runs that go on with one table would each measure what is left and mix their rows.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) if the file is no such table, is one with other
    /// columns, or is damaged before its end; it is left as it is. [`ErrorKind::Options`](crate::ErrorKind::Options)
    /// if another run writes to it. [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses it.
    pub fn resume(path: &Path, with_header: bool) -> Result<(Self, Held)> {
        let refused = |source| Error::io(path, source);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(refused)?;
        lock(&file, path)?;
        let (end, held) = whole_rows(&mut file, path, with_header)?;
        file.set_len(end).map_err(refused)?;
        file.seek(SeekFrom::End(0)).map_err(refused)?;
        let table = Self::new(file, path, with_header && end == 0)?;
        Ok((table, held))
    }
}

/// A new file, locked; `advice` is for when it is there already.
pub(super) fn create_new(path: &Path, advice: &str) -> Result<File> {
    let file = File::create_new(path).map_err(|source| {
        if source.kind() == IoErrorKind::AlreadyExists {
            Error::options(format!("{} is there already; {advice}", path.display()))
        } else {
            Error::io(path, source)
        }
    })?;
    lock(&file, path)?;
    Ok(file)
}

/// Locks a table for this run alone. Where the file system knows no locks, nothing is lost but the guard.
fn lock(file: &File, path: &Path) -> Result<()> {
    match file.try_lock() {
        Ok(()) => Ok(()),
        Err(TryLockError::WouldBlock) => Err(Error::options(format!(
            "another run is writing to {}; wait until it is done, or name another table",
            path.display()
        ))),
        Err(TryLockError::Error(error)) if error.kind() == IoErrorKind::Unsupported => Ok(()),
        Err(TryLockError::Error(error)) => Err(Error::io(path, error)),
    }
}

fn line(cells: &[String]) -> std::io::Result<Vec<u8>> {
    let mut line = csv::Writer::from_writer(Vec::new());
    line.write_record(cells)?;
    line.into_inner().map_err(csv::IntoInnerError::into_error)
}

/// Where the last whole row ends, in bytes, and what the rows up to there say.
fn whole_rows(file: &mut File, path: &Path, with_header: bool) -> Result<(u64, Held)> {
    let refused = |source| Error::io(path, source);
    let length = file.metadata().map_err(refused)?.len();
    let is_ended = length == 0 || text_at(file, length - 1, 1).map_err(refused)? == b"\n";
    file.rewind().map_err(refused)?;
    let names = columns();
    let schema = schema();
    let mut awaits_header = with_header;
    let mut held = Held::default();
    let mut end = 0;
    let mut broken = None;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_reader(BufReader::new(&mut *file));
    let mut record = csv::ByteRecord::new();
    while reader
        .read_byte_record(&mut record)
        .map_err(|error| refused(error.into()))?
    {
        let line = record.position().map_or(0, csv::Position::line);
        if let Some(line) = broken {
            return Err(damaged(
                path,
                line,
                "this row has not one cell for each column",
            ));
        }
        let after = reader.position().byte();
        if record.len() != names.len() || (after == length && !is_ended) {
            broken = Some(line);
            continue;
        }
        if awaits_header {
            if record.iter().ne(names.iter().map(String::as_bytes)) {
                return Err(damaged(
                    path,
                    line,
                    "this is no header of a table of this version",
                ));
            }
            awaits_header = false;
        } else if record[SCHEMA_AT] != *schema.as_bytes() {
            return Err(damaged(
                path,
                line,
                &format!("this row is not of schema {schema}"),
            ));
        } else {
            held.files
                .insert(String::from_utf8_lossy(&record[FILE_AT]).into_owned());
            held.failed += usize::from(record[STATUS_AT] == *FAILED.as_bytes());
        }
        end = after;
    }
    drop(reader);
    match broken {
        None => Ok((length, held)),
        Some(line) => {
            // What is dropped must be the beginning of a row of ours, never a stranger's text.
            let ours = if awaits_header {
                names.join(",")
            } else {
                schema + ","
            };
            let tail = text_at(file, end, ours.len()).map_err(refused)?;
            if ours.as_bytes().starts_with(&tail) {
                Ok((end, held))
            } else {
                Err(damaged(path, line, "this is no row of such a table"))
            }
        }
    }
}

/// At most `count` bytes of a file from a place on.
fn text_at(file: &mut File, start: u64, count: usize) -> std::io::Result<Vec<u8>> {
    file.seek(SeekFrom::Start(start))?;
    let mut bytes = Vec::new();
    file.take(count as u64).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn damaged(path: &Path, line: u64, what: &str) -> Error {
    Error::input(
        Place::new(path.display().to_string(), Spot::Line(line)),
        format!("{what}, so the batch cannot go on with it; begin another table"),
    )
}
