//! The short way through binary bodies of the usual make.
//!
//! The library builds a row as named values before we take three of them, which costs more than
//! all the rest of reading on scans of a million faces. Where points have no lists, and faces no
//! list but that of their corners, every number stands at a known place and is read from there.
//! The tests of [`super`] hold both ways against each other.

use super::super::Limits;
use super::super::faces::FaceSink;
use super::header::corner_list;
use super::rows::{Binary, RowFault, fixed_bytes, scalar_bytes};
use super::{check_list, in_range, told};
use crate::error::{Result, Spot};
use nalgebra::Point3;
use ply_rs_bw::ply::{ElementDef, PropertyType, ScalarType};

/// True if points have no lists.
pub(super) fn fits_vertices(element: &ElementDef) -> bool {
    fixed_bytes(element, 0..element.properties.len()).is_some()
}

/// True if faces have no list but that of their corners.
pub(super) fn fits_faces(element: &ElementDef) -> bool {
    FaceLayout::of(element).is_some()
}

/// Reads the points, and how many bytes they took.
pub(super) fn vertices(
    name: &str,
    body: Binary,
    element: &ElementDef,
) -> Result<(Vec<Point3<f64>>, usize)> {
    let ended = |row: usize| told(name, Spot::Vertex(row as u64), RowFault::Ended);
    let axes = ["x", "y", "z"].map(|axis| place_of(element, axis));
    let (Some(stride), [Some(x), Some(y), Some(z)]) =
        (fixed_bytes(element, 0..element.properties.len()), axes)
    else {
        return Err(ended(0));
    };
    let length = stride.saturating_mul(element.count);
    let Some(rows) = body.bytes.get(..length) else {
        return Err(ended(body.bytes.len() / stride));
    };
    let rows = rows.chunks_exact(stride);
    let points = if body.big_endian {
        let read = |row| [x, y, z].map(|(at, kind)| real::<true>(kind, row, at));
        rows.map(|row| Point3::from(read(row))).collect()
    } else {
        let read = |row| [x, y, z].map(|(at, kind)| real::<false>(kind, row, at));
        rows.map(|row| Point3::from(read(row))).collect()
    };
    Ok((points, length))
}

/// Reads the faces into `sink`, and says how many bytes they took.
pub(super) fn faces(
    name: &str,
    body: Binary,
    element: &ElementDef,
    limits: &Limits,
    sink: &mut FaceSink,
) -> Result<usize> {
    let Some(layout) = FaceLayout::of(element) else {
        return Err(told(name, Spot::Face(0), RowFault::Ended));
    };
    let count = element.count as u64;
    if body.big_endian {
        layout.read::<true>(name, body.bytes, count, limits, sink)
    } else {
        layout.read::<false>(name, body.bytes, count, limits, sink)
    }
}

/// Where things stand in the row of a face.
struct FaceLayout<'a> {
    before: usize,
    count: &'a ScalarType,
    item: &'a ScalarType,
    after: usize,
}

impl<'a> FaceLayout<'a> {
    fn of(element: &'a ElementDef) -> Option<Self> {
        let (list, count, item) = corner_list(element)?;
        Some(Self {
            before: fixed_bytes(element, 0..list)?,
            count,
            item,
            after: fixed_bytes(element, list + 1..element.properties.len())?,
        })
    }

    fn read<const BIG: bool>(
        &self,
        name: &str,
        bytes: &[u8],
        rows: u64,
        limits: &Limits,
        sink: &mut FaceSink,
    ) -> Result<usize> {
        let (head, size) = (
            self.before + scalar_bytes(self.count),
            scalar_bytes(self.item),
        );
        let points = sink.point_count();
        let mut corners = Vec::new();
        let mut rest = bytes;
        for row in 0..rows {
            let fault = |fault| told(name, Spot::Face(row), fault);
            let Some((start, after_head)) = rest.split_at_checked(head) else {
                return Err(fault(RowFault::Ended));
            };
            let length = whole::<BIG>(self.count, start, self.before);
            let Ok(length) = usize::try_from(length) else {
                return Err(fault(RowFault::NegativeList));
            };
            let taken = length.saturating_mul(size).saturating_add(self.after);
            let Some((list, after_row)) = after_head.split_at_checked(taken) else {
                // A count that cannot be true is damage; one that could be is a file cut short.
                check_list(length as u64, limits).map_err(fault)?;
                return Err(fault(RowFault::Ended));
            };
            let corner =
                |k| in_range(whole::<BIG>(self.item, list, k * size), points).map_err(fault);
            if length == 3 {
                let face = match self.plain_triangle::<BIG>(list, points) {
                    Some(face) => face,
                    None => [corner(0)?, corner(1)?, corner(2)?],
                };
                sink.triangle(face);
            } else {
                check_list(length as u64, limits).map_err(fault)?;
                corners.clear();
                for k in 0..length {
                    corners.push(corner(k)?);
                }
                sink.polygon(&mut corners)?;
            }
            rest = after_row;
        }
        Ok(bytes.len() - rest.len())
    }
}

impl FaceLayout<'_> {
    /// The triangle nearly every face of every scan is: three corners of four bytes, in range.
    ///
    /// Signed ones are read as unsigned: a negative one is then out of range, as long as there are
    /// fewer points than half of what four bytes can number.
    #[inline]
    fn plain_triangle<const BIG: bool>(&self, list: &[u8], points: usize) -> Option<[u32; 3]> {
        if !matches!(self.item, ScalarType::Int | ScalarType::UInt) {
            return None;
        }
        let count = u32::try_from(points.min(1 << 31)).ok()?;
        let (corners, _) = list.first_chunk::<12>()?.as_chunks::<4>();
        let face = [0, 1, 2].map(|k| {
            if BIG {
                u32::from_be_bytes(corners[k])
            } else {
                u32::from_le_bytes(corners[k])
            }
        });
        face.iter().all(|&index| index < count).then_some(face)
    }
}

/// Where a scalar property stands in a row without lists.
fn place_of<'a>(element: &'a ElementDef, name: &str) -> Option<(usize, &'a ScalarType)> {
    let (index, _, property) = element.properties.get_full(name)?;
    match &property.data_type {
        PropertyType::Scalar(kind) => Some((fixed_bytes(element, 0..index)?, kind)),
        PropertyType::List(..) => None,
    }
}

/// `N` bytes from `at` on, turned so that the little end comes first.
#[inline(always)]
fn take<const N: usize, const BIG: bool>(row: &[u8], at: usize) -> [u8; N] {
    let mut bytes = [0; N];
    bytes.copy_from_slice(&row[at..at + N]);
    if BIG {
        bytes.reverse();
    }
    bytes
}

#[inline(always)]
fn real<const BIG: bool>(kind: &ScalarType, row: &[u8], at: usize) -> f64 {
    match kind {
        ScalarType::Float => f32::from_le_bytes(take::<4, BIG>(row, at)).into(),
        ScalarType::Double => f64::from_le_bytes(take::<8, BIG>(row, at)),
        ScalarType::Char => i8::from_le_bytes(take::<1, BIG>(row, at)).into(),
        ScalarType::UChar => row[at].into(),
        ScalarType::Short => i16::from_le_bytes(take::<2, BIG>(row, at)).into(),
        ScalarType::UShort => u16::from_le_bytes(take::<2, BIG>(row, at)).into(),
        ScalarType::Int => i32::from_le_bytes(take::<4, BIG>(row, at)).into(),
        ScalarType::UInt => u32::from_le_bytes(take::<4, BIG>(row, at)).into(),
    }
}

/// A whole number; types with fractions are never asked for.
#[inline(always)]
fn whole<const BIG: bool>(kind: &ScalarType, row: &[u8], at: usize) -> i64 {
    match kind {
        ScalarType::Int => i32::from_le_bytes(take::<4, BIG>(row, at)).into(),
        ScalarType::UInt => u32::from_le_bytes(take::<4, BIG>(row, at)).into(),
        ScalarType::UChar => row[at].into(),
        ScalarType::Char => i8::from_le_bytes(take::<1, BIG>(row, at)).into(),
        ScalarType::Short => i16::from_le_bytes(take::<2, BIG>(row, at)).into(),
        ScalarType::UShort => u16::from_le_bytes(take::<2, BIG>(row, at)).into(),
        ScalarType::Float | ScalarType::Double => -1,
    }
}
