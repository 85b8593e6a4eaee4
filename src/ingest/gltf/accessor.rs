//! Columns of numbers: points and indices out of the bytes of a glTF file.

use super::Fault;
use super::schema::{Accessor, Root};
use nalgebra::Point3;
use std::borrow::Cow;

/// A document with its bytes.
#[derive(Debug)]
pub(super) struct Store<'a> {
    pub(super) root: Root,
    pub(super) buffers: Vec<Cow<'a, [u8]>>,
}

/// Kinds of number a column can be made of, by the codes of the standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    I8,
    U8,
    I16,
    U16,
    U32,
    F32,
}

impl Kind {
    fn of(code: u32) -> Result<Self, Fault> {
        Ok(match code {
            5120 => Self::I8,
            5121 => Self::U8,
            5122 => Self::I16,
            5123 => Self::U16,
            5125 => Self::U32,
            5126 => Self::F32,
            _ => return Err(Fault(format!("numbers of type {code} are not known"))),
        })
    }

    fn bytes(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::U32 | Self::F32 => 4,
        }
    }

    /// The number at `at`, as a fraction of the greatest if `normalized` (KHR_mesh_quantization
    /// and section 3.6.2.2 of the standard).
    fn real(self, bytes: &[u8], at: usize, normalized: bool) -> f64 {
        let (value, greatest) = match self {
            Self::I8 => (f64::from(i8::from_le_bytes(take(bytes, at))), 127.0),
            Self::U8 => (f64::from(bytes[at]), 255.0),
            Self::I16 => (f64::from(i16::from_le_bytes(take(bytes, at))), 32767.0),
            Self::U16 => (f64::from(u16::from_le_bytes(take(bytes, at))), 65535.0),
            Self::U32 => (f64::from(u32::from_le_bytes(take(bytes, at))), 1.0),
            Self::F32 => (f64::from(f32::from_le_bytes(take(bytes, at))), 1.0),
        };
        if normalized {
            (value / greatest).max(-1.0)
        } else {
            value
        }
    }

    fn index(self, bytes: &[u8]) -> Option<u32> {
        match self {
            Self::U8 => Some(u32::from(bytes[0])),
            Self::U16 => Some(u32::from(u16::from_le_bytes(take(bytes, 0)))),
            Self::U32 => Some(u32::from_le_bytes(take(bytes, 0))),
            _ => None,
        }
    }
}

/// `N` bytes of a row whose length was checked.
fn take<const N: usize>(bytes: &[u8], at: usize) -> [u8; N] {
    std::array::from_fn(|k| bytes[at + k])
}

/// Rows of equal size, a stride apart, all of them there.
struct Rows<'a> {
    bytes: &'a [u8],
    stride: usize,
    size: usize,
    count: usize,
}

impl<'a> Rows<'a> {
    fn each(&self) -> impl Iterator<Item = &'a [u8]> {
        let (bytes, stride, size) = (self.bytes, self.stride, self.size);
        (0..self.count).map(move |row| &bytes[row * stride..row * stride + size])
    }
}

impl Store<'_> {
    /// How many elements an accessor claims.
    pub(super) fn count(&self, number: usize) -> Result<u64, Fault> {
        Ok(self.accessor(number)?.count)
    }

    /// The points of an accessor.
    pub(super) fn points(&self, number: usize) -> Result<Vec<Point3<f64>>, Fault> {
        let accessor = self.accessor(number)?;
        let kind = Kind::of(accessor.component_type)?;
        if accessor.kind != "VEC3" {
            return Err(Fault(format!(
                "points are stored as {:?}, not as VEC3",
                accessor.kind
            )));
        }
        let size = 3 * kind.bytes();
        let read = |row: &[u8]| {
            let axis = |k| kind.real(row, k * kind.bytes(), accessor.normalized);
            Point3::new(axis(0), axis(1), axis(2))
        };
        let mut points: Vec<_> = match accessor.buffer_view {
            Some(view) => {
                let rows = self.rows(view, accessor.byte_offset, accessor.count, size)?;
                rows.each().map(read).collect()
            }
            None => vec![Point3::origin(); self.unbacked(accessor)?],
        };
        if let Some(sparse) = &accessor.sparse {
            let places = &sparse.indices;
            let place = Kind::of(places.component_type)?;
            let places = self.rows(
                places.buffer_view,
                places.byte_offset,
                sparse.count,
                place.bytes(),
            )?;
            let values = &sparse.values;
            let values = self.rows(values.buffer_view, values.byte_offset, sparse.count, size)?;
            for (row, value) in places.each().zip(values.each()) {
                let index = place.index(row).ok_or_else(not_whole)?;
                let count = points.len();
                let slot = points.get_mut(index as usize).ok_or_else(|| {
                    Fault(format!(
                        "a sparse value is for element {index}, but there are only {count}"
                    ))
                })?;
                *slot = read(value);
            }
        }
        Ok(points)
    }

    /// The indices of an accessor.
    pub(super) fn indices(&self, number: usize) -> Result<Vec<u32>, Fault> {
        let accessor = self.accessor(number)?;
        let kind = Kind::of(accessor.component_type)?;
        let (Some(view), None, "SCALAR") = (
            accessor.buffer_view,
            &accessor.sparse,
            accessor.kind.as_str(),
        ) else {
            return Err(Fault("its indices are not one plain list".into()));
        };
        let rows = self.rows(view, accessor.byte_offset, accessor.count, kind.bytes())?;
        rows.each()
            .map(|row| kind.index(row).ok_or_else(not_whole))
            .collect()
    }

    fn accessor(&self, number: usize) -> Result<&Accessor, Fault> {
        let found = self.root.accessors.get(number);
        found.ok_or_else(|| Fault(format!("accessor {number} is named, but not there")))
    }

    /// Elements of an accessor without bytes of its own, which are zero until sparse values
    /// replace them: no more than the file has bytes, so that a count alone sets no memory aside.
    fn unbacked(&self, accessor: &Accessor) -> Result<usize, Fault> {
        let held: usize = self.buffers.iter().map(|buffer| buffer.len()).sum();
        usize::try_from(accessor.count)
            .ok()
            .filter(|&count| count <= held)
            .ok_or_else(|| {
                Fault(format!(
                    "{} points are promised without bytes for them",
                    accessor.count
                ))
            })
    }

    fn rows(&self, view: usize, offset: u64, count: u64, size: usize) -> Result<Rows<'_>, Fault> {
        let found = self.root.buffer_views.get(view);
        let view_json =
            found.ok_or_else(|| Fault(format!("buffer view {view} is named, but not there")))?;
        if let Some(packed) = view_json
            .extensions
            .keys()
            .find(|name| name.ends_with("_meshopt_compression"))
        {
            return Err(Fault::packed(packed));
        }
        let stride = view_json.byte_stride.unwrap_or(size as u64);
        if stride < size as u64 {
            return Err(Fault(format!(
                "buffer view {view} has rows of {stride} bytes for elements of {size}"
            )));
        }
        let short = || {
            Fault(format!(
                "buffer view {view} is too short for {count} elements of {size} bytes"
            ))
        };
        let buffer = self.buffers.get(view_json.buffer).ok_or_else(|| {
            Fault(format!(
                "buffer {} is named, but not there",
                view_json.buffer
            ))
        })?;
        let end = view_json
            .byte_offset
            .checked_add(view_json.byte_length)
            .ok_or_else(short)?;
        let bytes = part(buffer, view_json.byte_offset, end).ok_or_else(|| {
            Fault(format!(
                "buffer view {view} reaches past the end of buffer {}",
                view_json.buffer
            ))
        })?;
        let bytes = part(bytes, offset, bytes.len() as u64).ok_or_else(short)?;
        let needed = match count.checked_sub(1) {
            None => Some(0),
            Some(before) => before
                .checked_mul(stride)
                .and_then(|b| b.checked_add(size as u64)),
        };
        let fits = needed.is_some_and(|needed| needed <= bytes.len() as u64);
        match (usize::try_from(count), usize::try_from(stride)) {
            (Ok(count), Ok(stride)) if fits => Ok(Rows {
                bytes,
                stride,
                size,
                count,
            }),
            _ => Err(short()),
        }
    }
}

fn part(bytes: &[u8], from: u64, to: u64) -> Option<&[u8]> {
    bytes.get(usize::try_from(from).ok()?..usize::try_from(to).ok()?)
}

fn not_whole() -> Fault {
    Fault("indices are stored as numbers that may be negative or have fractions".into())
}
