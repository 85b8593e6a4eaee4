//! Rows of a PLY body, one at a time, by the library.

use super::super::excerpt;
use super::header::Header;
use ply_rs_bw::parser::{ParseError, Parser};
use ply_rs_bw::ply::{
    ElementDef, Encoding, Property, PropertyAccess, PropertyAccessResult, PropertyType, ScalarType,
};
use std::fmt;
use std::io::ErrorKind;

/// Longest text a row may have, for each number in it: far above what prints a double.
const LONGEST_NUMBER: usize = 64;
/// Numbers a row of text may have beside those of its header: entries of its lists.
const MOST_LISTED: usize = 1 << 16;

/// Why a row has no value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum RowFault {
    /// The file ends before or inside it.
    Ended,
    /// A text that is not what the header says.
    Unreadable(String),
    /// A list with a negative length.
    NegativeList,
    /// A list longer than the limit.
    ListTooLong { length: u64, limit: u64 },
    /// A corner that is no point.
    NoSuchVertex { index: i64, count: usize },
}

impl fmt::Display for RowFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ended => write!(
                f,
                "the file ends here, before all rows its header promises: it is cut short; export \
                 the scan again"
            ),
            Self::Unreadable(text) => write!(
                f,
                "{text} is not the row of numbers that the header describes; export the scan again"
            ),
            Self::NegativeList => write!(
                f,
                "has a list of negative length: the file is damaged or its header is wrong"
            ),
            Self::ListTooLong { length, limit } => write!(
                f,
                "a list of {length} entries is over the limit of {limit}: the file is damaged or \
                 its header is wrong"
            ),
            Self::NoSuchVertex { index, count } => write!(
                f,
                "names vertex {index}, but there are {count} vertices, numbered from 0; export the scan again"
            ),
        }
    }
}

/// Coordinates of a point.
pub(super) struct VertexRow(pub(super) [f64; 3]);

impl PropertyAccess for VertexRow {
    fn new() -> Self {
        Self([f64::NAN; 3])
    }

    fn set_property(&mut self, name: &str, value: Property) -> PropertyAccessResult {
        let axis = match name {
            "x" => 0,
            "y" => 1,
            "z" => 2,
            _ => return PropertyAccessResult::Ignored,
        };
        self.0[axis] = match value {
            Property::Char(value) => value.into(),
            Property::UChar(value) => value.into(),
            Property::Short(value) => value.into(),
            Property::UShort(value) => value.into(),
            Property::Int(value) => value.into(),
            Property::UInt(value) => value.into(),
            Property::Float(value) => value.into(),
            Property::Double(value) => value,
            _ => return PropertyAccessResult::UnsupportedType,
        };
        PropertyAccessResult::Set
    }
}

/// Corners of a face as the file numbers them.
pub(super) struct FaceRow(pub(super) Vec<i64>);

impl PropertyAccess for FaceRow {
    fn new() -> Self {
        Self(Vec::new())
    }

    fn set_property(&mut self, name: &str, value: Property) -> PropertyAccessResult {
        if name != "vertex_indices" && name != "vertex_index" {
            return PropertyAccessResult::Ignored;
        }
        fn widen<T: Into<i64>>(list: Vec<T>) -> Vec<i64> {
            list.into_iter().map(Into::into).collect()
        }
        self.0 = match value {
            Property::ListChar(list) => widen(list),
            Property::ListUChar(list) => widen(list),
            Property::ListShort(list) => widen(list),
            Property::ListUShort(list) => widen(list),
            Property::ListInt(list) => widen(list),
            Property::ListUInt(list) => widen(list),
            _ => return PropertyAccessResult::UnsupportedType,
        };
        PropertyAccessResult::Set
    }
}

/// A row of no interest.
struct Skipped;

impl PropertyAccess for Skipped {
    fn new() -> Self {
        Self
    }
}

/// The body of a file, read from its start.
pub(super) struct Rows<'a> {
    encoding: Encoding,
    rest: &'a [u8],
}

/// What is left of a binary body, and its byte order.
#[derive(Clone, Copy)]
pub(super) struct Binary<'a> {
    pub(super) bytes: &'a [u8],
    pub(super) big_endian: bool,
}

impl<'a> Rows<'a> {
    pub(super) fn new(header: &Header, body: &'a [u8]) -> Self {
        Self {
            encoding: header.encoding(),
            rest: body,
        }
    }

    /// The next row.
    pub(super) fn next<E: PropertyAccess>(&mut self, element: &ElementDef) -> Result<E, RowFault> {
        let parser = Parser::<E>::new();
        match self.encoding {
            Encoding::Ascii => {
                let line = self.line().ok_or(RowFault::Ended)?;
                let longest = LONGEST_NUMBER * (element.properties.len() + MOST_LISTED);
                let unreadable = || RowFault::Unreadable(excerpt(line));
                let text = std::str::from_utf8(line).map_err(|_| unreadable())?;
                if text.len() > longest {
                    return Err(unreadable());
                }
                parser
                    .read_ascii_element(text, element)
                    .map_err(|_| unreadable())
            }
            Encoding::BinaryLittleEndian => parser
                .read_little_endian_element(&mut self.rest, element)
                .map_err(|error| binary_fault(&error)),
            Encoding::BinaryBigEndian => parser
                .read_big_endian_element(&mut self.rest, element)
                .map_err(|error| binary_fault(&error)),
        }
    }

    /// Goes past all rows of an element; the fault comes with the number of the row.
    pub(super) fn skip(&mut self, element: &ElementDef) -> Result<(), (u64, RowFault)> {
        for at in 0..element.count as u64 {
            if self.encoding == Encoding::Ascii {
                self.line().ok_or((at, RowFault::Ended))?;
            } else {
                self.next::<Skipped>(element).map_err(|fault| (at, fault))?;
            }
        }
        Ok(())
    }

    /// The next line that is not blank, whatever ends it.
    fn line(&mut self) -> Option<&'a [u8]> {
        let start = self
            .rest
            .iter()
            .position(|byte| !byte.is_ascii_whitespace())?;
        let text = &self.rest[start..];
        let end = text.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
        let (line, rest) = text.split_at(end.unwrap_or(text.len()));
        self.rest = rest;
        Some(line.trim_ascii_end())
    }

    /// The rest of a binary body; `None` for text.
    pub(super) fn binary(&self) -> Option<Binary<'a>> {
        let big_endian = match self.encoding {
            Encoding::Ascii => return None,
            Encoding::BinaryBigEndian => true,
            Encoding::BinaryLittleEndian => false,
        };
        Some(Binary {
            bytes: self.rest,
            big_endian,
        })
    }

    /// Goes past bytes that were read otherwise.
    pub(super) fn skip_bytes(&mut self, length: usize) {
        self.rest = &self.rest[length.min(self.rest.len())..];
    }

    /// Bytes not read, if they are more than blanks.
    pub(super) fn left_over(&self) -> Option<usize> {
        let blank = self.rest.trim_ascii().is_empty();
        (!blank).then_some(self.rest.len())
    }
}

fn binary_fault(error: &ParseError) -> RowFault {
    if error.kind() == ErrorKind::UnexpectedEof {
        return RowFault::Ended;
    }
    RowFault::NegativeList
}

/// Bytes of a number in a binary body.
pub(super) const fn scalar_bytes(scalar: &ScalarType) -> usize {
    match scalar {
        ScalarType::Char | ScalarType::UChar => 1,
        ScalarType::Short | ScalarType::UShort => 2,
        ScalarType::Int | ScalarType::UInt | ScalarType::Float => 4,
        ScalarType::Double => 8,
    }
}

/// Bytes that the properties in `range` take in a binary row; `None` if there is a list among them.
pub(super) fn fixed_bytes(element: &ElementDef, range: std::ops::Range<usize>) -> Option<usize> {
    let properties = element.properties.values();
    properties
        .skip(range.start)
        .take(range.len())
        .map(|property| match &property.data_type {
            PropertyType::Scalar(scalar) => Some(scalar_bytes(scalar)),
            PropertyType::List(..) => None,
        })
        .sum()
}
