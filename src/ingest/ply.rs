//! PLY files: text, and binary of either byte order.
//!
//! The header is read by the library and then held against the bytes that follow it, so that
//! nothing is set aside for what is not there. Rows of an unusual make are read by the library one
//! at a time; binary rows of the usual make take the short way of [`fast`].

use super::faces::FaceSink;
use super::{Limits, Parsed};
use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;
use crate::mesh::{TriMesh, check_finite};
use header::Header;
use nalgebra::Point3;
use ply_rs_bw::ply::ElementDef;
use rows::{FaceRow, RowFault, Rows, VertexRow};

mod fast;
mod header;
mod rows;

/// Which way rows are read; the short way is for binary files only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    /// The short way where it fits.
    Short,
    /// The library throughout, to compare with.
    #[cfg(test)]
    Library,
}

/// Reads a PLY file.
///
/// Elements other than `vertex` and `face` are skipped, as are all properties but the coordinates
/// and the corner list.
pub(super) fn read(name: &str, bytes: &[u8], limits: &Limits) -> Result<Parsed> {
    read_by(Way::Short, name, bytes, limits)
}

fn read_by(way: Way, name: &str, bytes: &[u8], limits: &Limits) -> Result<Parsed> {
    let header = Header::read(name, bytes)?;
    let plan = header.plan(name, bytes, limits)?;
    let short = way == Way::Short;
    let mut rows = Rows::new(&header, &bytes[header.length..]);
    let mut points = Vec::new();
    for element in header.elements() {
        if element.name == "vertex" {
            points = match rows.binary().filter(|_| short) {
                Some(binary) if fast::fits_vertices(element) => {
                    let (points, length) = fast::vertices(name, binary, element)?;
                    rows.skip_bytes(length);
                    points
                }
                _ => vertices(name, &mut rows, element)?,
            };
            check_finite(name, &points)?;
        } else if element.name == "face" {
            let expected = plan.triangles_expected;
            let mut sink = FaceSink::new(&points, limits, expected);
            match rows.binary().filter(|_| short) {
                Some(binary) if fast::fits_faces(element) => {
                    let length = fast::faces(name, binary, element, limits, &mut sink)?;
                    rows.skip_bytes(length);
                }
                _ => faces(name, &mut rows, element, limits, &mut sink)?,
            }
            let (triangles, mut findings) = sink.finish();
            // Elements after the faces are of no interest, so they are not even skipped.
            let last = header
                .elements()
                .last()
                .is_some_and(|last| last.name == "face");
            findings.extend(rows.left_over().filter(|_| last).map(left_over));
            return Ok(Parsed::of(TriMesh::from_sound(points, triangles), findings));
        } else {
            rows.skip(element)
                .map_err(|(at, fault)| skip_failed(name, element, at, &fault))?;
        }
    }
    // The plan has made sure of the faces.
    Err(Error::input(Place::new(name, Spot::Whole), "has no faces"))
}

fn vertices(name: &str, rows: &mut Rows, element: &ElementDef) -> Result<Vec<Point3<f64>>> {
    let mut points = Vec::with_capacity(element.count);
    for at in 0..element.count as u64 {
        let fault = |fault| told(name, Spot::Vertex(at), fault);
        let VertexRow([x, y, z]) = rows.next(element).map_err(fault)?;
        points.push(Point3::new(x, y, z));
    }
    Ok(points)
}

fn faces(
    name: &str,
    rows: &mut Rows,
    element: &ElementDef,
    limits: &Limits,
    sink: &mut FaceSink,
) -> Result<()> {
    let mut corners = Vec::new();
    for at in 0..element.count as u64 {
        let fault = |fault| told(name, Spot::Face(at), fault);
        let FaceRow(listed) = rows.next(element).map_err(fault)?;
        check_list(listed.len() as u64, limits).map_err(fault)?;
        corners.clear();
        for index in listed {
            corners.push(in_range(index, sink.point_count()).map_err(fault)?);
        }
        sink.polygon(&mut corners)?;
    }
    Ok(())
}

/// The index as the mesh numbers points, if there is such a point.
#[inline]
fn in_range(index: i64, count: usize) -> std::result::Result<u32, RowFault> {
    u32::try_from(index)
        .ok()
        .filter(|&index| (index as usize) < count)
        .ok_or(RowFault::NoSuchVertex { index, count })
}

#[inline]
fn check_list(length: u64, limits: &Limits) -> std::result::Result<(), RowFault> {
    if length <= limits.list_length {
        return Ok(());
    }
    Err(RowFault::ListTooLong {
        length,
        limit: limits.list_length,
    })
}

fn told(name: &str, spot: Spot, fault: RowFault) -> Error {
    Error::input(Place::new(name, spot), fault.to_string())
}

fn skip_failed(name: &str, element: &ElementDef, at: u64, fault: &RowFault) -> Error {
    let what = format!("row {at} of the element \"{}\": {fault}", element.name);
    Error::input(Place::new(name, Spot::Whole), what)
}

fn left_over(bytes: usize) -> Finding {
    Finding::look(
        "left-over bytes",
        format!(
            "{bytes} bytes stand after the last face the header promises and were not read; if \
             parts of the scan are missing, export it again."
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::samples::{Shape, cube, icosphere};

    /// A binary file of the shape, its numbers made by the two writers.
    fn binary(
        (points, faces): &Shape,
        header: &str,
        vertex: impl Fn(&[f64; 3]) -> Vec<u8>,
        face: impl Fn(&[u32; 3]) -> Vec<u8>,
    ) -> Vec<u8> {
        let header = header
            .replace("{V}", &points.len().to_string())
            .replace("{F}", &faces.len().to_string());
        let mut bytes = header.into_bytes();
        bytes.extend(points.iter().flat_map(vertex));
        bytes.extend(faces.iter().flat_map(face));
        bytes
    }

    /// Files of every make that the short way takes.
    fn makes() -> Vec<Vec<u8>> {
        let mut files = Vec::new();
        for (format, big) in [("binary_little_endian", false), ("binary_big_endian", true)] {
            let put = move |little: &[u8]| {
                let mut bytes = little.to_vec();
                if big {
                    bytes.reverse();
                }
                bytes
            };
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a file of floats is wanted"
            )]
            let floats = move |point: &[f64; 3]| {
                let values = point.iter();
                values
                    .flat_map(|&value| put(&(value as f32).to_le_bytes()))
                    .collect::<Vec<_>>()
            };
            let ints = move |face: &[u32; 3]| {
                let mut bytes = vec![3];
                bytes.extend(face.iter().flat_map(|index| put(&index.to_le_bytes())));
                bytes
            };
            let plain = format!(
                "ply\nformat {format} 1.0\nelement vertex {{V}}\nproperty float x\n\
                 property float y\nproperty float z\nelement face {{F}}\n\
                 property list uchar int vertex_indices\nend_header\n"
            );
            files.push(binary(&icosphere(2), &plain, floats, ints));
            let rich = format!(
                "ply\nformat {format} 1.0\nelement vertex {{V}}\nproperty uchar red\n\
                 property double z\nproperty short x\nproperty float q\nproperty int y\n\
                 element face {{F}}\nproperty uint flags\n\
                 property list ushort ushort vertex_index\nproperty double area\nend_header\n"
            );
            #[expect(
                clippy::cast_possible_truncation,
                reason = "the cube has whole coordinates"
            )]
            let mixed = move |&[x, y, z]: &[f64; 3]| {
                let mut bytes = vec![200];
                bytes.extend(put(&z.to_le_bytes()));
                bytes.extend(put(&(x as i16).to_le_bytes()));
                bytes.extend(put(&0.5_f32.to_le_bytes()));
                bytes.extend(put(&(y as i32).to_le_bytes()));
                bytes
            };
            let shorts = move |face: &[u32; 3]| {
                let mut bytes = put(&7_u32.to_le_bytes());
                bytes.extend(put(&3_u16.to_le_bytes()));
                for &index in face {
                    bytes.extend(put(&u16::try_from(index).unwrap().to_le_bytes()));
                }
                bytes.extend(put(&1.5_f64.to_le_bytes()));
                bytes
            };
            files.push(binary(&cube(), &rich, mixed, shorts));
        }
        files
    }

    #[test]
    fn the_short_way_reads_what_the_library_reads() {
        let limits = Limits::default();
        for file in makes() {
            let short = read_by(Way::Short, "a.ply", &file, &limits).unwrap();
            let library = read_by(Way::Library, "a.ply", &file, &limits).unwrap();
            assert!(!short.mesh.faces().is_empty());
            assert_eq!(short.mesh, library.mesh);
            assert_eq!(short.findings, library.findings);
        }
    }

    #[test]
    fn both_ways_refuse_the_same_damage() {
        let limits = Limits::default();
        for file in makes() {
            // Every file cut at every length, and each byte near the end of the body turned over.
            let cut = (0..file.len()).map(|length| file[..length].to_vec());
            let turned = (file.len() - 40..file.len()).map(|at| {
                let mut file = file.clone();
                file[at] ^= 0xff;
                file
            });
            for damaged in cut.chain(turned) {
                let short = read_by(Way::Short, "a.ply", &damaged, &limits);
                let library = read_by(Way::Library, "a.ply", &damaged, &limits);
                match (short, library) {
                    (Ok(short), Ok(library)) => assert_eq!(short.mesh, library.mesh),
                    (Err(short), Err(library)) => {
                        assert_eq!(place(&short), place(&library), "{short} | {library}");
                    }
                    (short, library) => panic!("{:?} {:?}", short.err(), library.err()),
                }
            }
        }
    }

    fn place(error: &Error) -> String {
        match error.kind() {
            crate::ErrorKind::Input { place, .. } => place.to_string(),
            other => other.to_string(),
        }
    }
}
