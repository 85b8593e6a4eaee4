//! The table as a Parquet file: the same columns, with types, for programs that read tables by column.

use super::row::{FIXED, Status};
use super::table::create_new;
use super::{Row, RowSink, columns, schema};
use crate::error::{Error, Result};
use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::column::writer::ColumnWriter;
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result as ParquetResult};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Rows held before they are written as one group: about a megabyte.
const GROUP: usize = 512;

/// A Parquet table being written: the columns of [`columns`], text or double, with nothing where a
/// CSV table has an empty cell.
///
/// Rows go out in groups of 512, so memory does not grow with the table. The format keeps its
/// table of contents at the end: without [`finish`](Self::finish) the file cannot be read, and it
/// cannot be gone on with. For long runs that may be stopped, write CSV.
pub struct ParquetTable {
    writer: SerializedFileWriter<File>,
    path: PathBuf,
    schema: String,
    waiting: Vec<Row>,
}

impl std::fmt::Debug for ParquetTable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ParquetTable")
            .field("path", &self.path)
            .field("waiting", &self.waiting.len())
            .finish_non_exhaustive()
    }
}

impl ParquetTable {
    /// Begins a table in a new file, which is locked until the table is done.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if the file is there already;
    /// [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses it.
    pub fn create(path: &Path) -> Result<Self> {
        let file = create_new(path, "name another table")?;
        let properties = WriterProperties::builder().build();
        let begun = layout().and_then(|layout| {
            SerializedFileWriter::new(file, Arc::new(layout), Arc::new(properties))
        });
        Ok(Self {
            writer: begun.map_err(|fault| refused(path, fault))?,
            path: path.to_owned(),
            schema: schema(),
            waiting: Vec::new(),
        })
    }

    /// Writes the rows that wait, and the table of contents.
    ///
    /// # Errors
    /// [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses it.
    pub fn finish(mut self) -> Result<()> {
        self.write_group()?;
        let closed = self.writer.close();
        closed.map_err(|fault| refused(&self.path, fault))?;
        Ok(())
    }

    fn write_group(&mut self) -> Result<()> {
        let rows = std::mem::take(&mut self.waiting);
        if rows.is_empty() {
            return Ok(());
        }
        group(&mut self.writer, &rows, &self.schema).map_err(|fault| refused(&self.path, fault))
    }
}

impl RowSink for ParquetTable {
    fn push(&mut self, row: &Row) -> Result<()> {
        self.waiting.push(row.clone());
        if self.waiting.len() < GROUP {
            return Ok(());
        }
        self.write_group()
    }
}

/// Text for the first columns, doubles for the measures.
fn layout() -> ParquetResult<Type> {
    let names = columns();
    let text = names.iter().take(TEXTS).map(|name| {
        Type::primitive_type_builder(name, Physical::BYTE_ARRAY)
            .with_logical_type(Some(LogicalType::String))
            .with_repetition(Repetition::OPTIONAL)
            .build()
    });
    let numbers = names.iter().skip(TEXTS).map(|name| {
        Type::primitive_type_builder(name, Physical::DOUBLE)
            .with_repetition(Repetition::OPTIONAL)
            .build()
    });
    let fields: ParquetResult<Vec<_>> = text
        .chain(numbers)
        .map(|field| field.map(Arc::new))
        .collect();
    Type::group_type_builder("girthwise")
        .with_fields(fields?)
        .build()
}

/// Columns of text; the rest are numbers.
const TEXTS: usize = FIXED.len();

fn group(writer: &mut SerializedFileWriter<File>, rows: &[Row], schema: &str) -> ParquetResult<()> {
    let mut group = writer.next_row_group()?;
    let mut at = 0;
    while let Some(mut column) = group.next_column()? {
        match column.untyped() {
            ColumnWriter::ByteArrayColumnWriter(texts) => {
                let cells = rows.iter().map(|row| row.heads(schema)[at]);
                let (held, levels) =
                    present(cells.map(|cell| (!cell.is_empty()).then(|| ByteArray::from(cell))));
                texts.write_batch(&held, Some(&levels), None)?;
            }
            ColumnWriter::DoubleColumnWriter(numbers) => {
                let cells = rows.iter().map(|row| number(row, at - TEXTS));
                let (held, levels) = present(cells);
                numbers.write_batch(&held, Some(&levels), None)?;
            }
            _ => return Err(ParquetError::General("a column of another type".into())),
        }
        column.close()?;
        at += 1;
    }
    group.close()?;
    Ok(())
}

/// The cells that hold something, and for each cell a 1 if it does: the format's definition levels.
fn present<T>(cells: impl Iterator<Item = Option<T>>) -> (Vec<T>, Vec<i16>) {
    let mut held = Vec::new();
    let mut levels = Vec::new();
    for cell in cells {
        levels.push(i16::from(cell.is_some()));
        held.extend(cell);
    }
    (held, levels)
}

/// Value or uncertainty: every second column is the uncertainty of the one before it.
fn number(row: &Row, column: usize) -> Option<f64> {
    let Status::Measured(values) = &row.status else {
        return None;
    };
    let &(value, sd) = values.get(column / 2)?.as_ref()?;
    Some(if column.is_multiple_of(2) { value } else { sd })
}

fn refused(path: &Path, fault: ParquetError) -> Error {
    Error::io(path, io::Error::other(fault))
}
