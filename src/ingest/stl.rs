//! STL files, binary and text: triangles that share no points.
//!
//! Read here and not by a library, because binary is one record of 50 bytes over and over, and in
//! text the line of a fault, every digit of a number and the second solid of a file matter.

use super::faces::FaceSink;
use super::{Limits, Parsed, excerpt};
use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;
use crate::mesh::TriMesh;
use nalgebra::Point3;

/// Bytes before the first triangle: 80 of any text, and the number of triangles.
const HEADER: usize = 84;
/// Bytes of a triangle: normal, three corners, and two bytes of which some programs make a colour.
const TRIANGLE: usize = 50;

/// True if the bytes are a binary file from first to last, whatever its header says.
pub(super) fn is_binary(bytes: &[u8]) -> bool {
    promised(bytes).is_some_and(|count| bytes.len() as u64 == size(count))
}

/// True if the bytes begin as a text file does: `solid`, then a facet or the end.
pub(super) fn is_text(bytes: &[u8]) -> bool {
    let start = &bytes[..bytes.len().min(4096)];
    let start = start.trim_ascii_start();
    let solid = start
        .get(..5)
        .is_some_and(|w| w.eq_ignore_ascii_case(b"solid"));
    let next =
        |word: &[u8]| word.eq_ignore_ascii_case(b"facet") || word.eq_ignore_ascii_case(b"endsolid");
    solid && start.split(u8::is_ascii_whitespace).any(next)
}

/// Reads an STL file; normals and colours are skipped.
pub(super) fn read(name: &str, bytes: &[u8], limits: &Limits) -> Result<Parsed> {
    let Corners { points, findings } = if is_text(bytes) && !is_binary(bytes) {
        text(name, bytes, limits)?
    } else {
        binary(name, bytes, limits)?
    };
    if points.is_empty() {
        let what = "the file has no triangles; export the scan again";
        return Err(Error::input(Place::new(name, Spot::Whole), what));
    }
    let mut sink = FaceSink::new(&points, limits, points.len() / 3);
    for first in (0..u32::MAX).step_by(3).take(points.len() / 3) {
        sink.triangle([first, first + 1, first + 2]);
    }
    let (faces, mut told) = sink.finish();
    told.extend(findings);
    Ok(Parsed::of(TriMesh::from_sound(points, faces), told))
}

/// Three points for each triangle.
struct Corners {
    points: Vec<Point3<f64>>,
    findings: Vec<Finding>,
}

fn promised(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(HEADER - 4..HEADER)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

fn size(count: u32) -> u64 {
    HEADER as u64 + TRIANGLE as u64 * u64::from(count)
}

fn binary(name: &str, bytes: &[u8], limits: &Limits) -> Result<Corners> {
    let whole = |what: String| Error::input(Place::new(name, Spot::Whole), what);
    let count = promised(bytes).ok_or_else(|| {
        whole("the file is too short for an STL file; export the scan again".into())
    })?;
    limits.check_faces(u64::from(count))?;
    limits.check_vertices(3 * u64::from(count))?;
    let held = (bytes.len() as u64).saturating_sub(HEADER as u64);
    if size(count) > bytes.len() as u64 {
        let what = format!(
            "the file promises {count} triangles but ends in triangle {}; copy or export it again",
            held / TRIANGLE as u64
        );
        return Err(whole(what));
    }
    let rows = bytes[HEADER..].as_chunks::<TRIANGLE>().0;
    let mut points = Vec::with_capacity(3 * (count as usize).min(rows.len()));
    for (at, row) in (0..u64::from(count)).zip(rows) {
        for corner in 0..3 {
            let point = Point3::from([0, 1, 2].map(|axis| {
                let from = 12 + 12 * corner + 4 * axis;
                let bytes = [row[from], row[from + 1], row[from + 2], row[from + 3]];
                f64::from(f32::from_le_bytes(bytes))
            }));
            if !point.iter().all(|x| x.is_finite()) {
                let what = "a corner has a coordinate that is no finite number";
                return Err(Error::input(Place::new(name, Spot::Face(at)), what));
            }
            points.push(point);
        }
    }
    let after = bytes.len() as u64 - size(count);
    let findings = (after > 0).then(|| {
        Finding::look(
            "left-over bytes",
            format!(
                "{after} bytes stand after the last triangle the header promises and were not \
                 read; if parts of the scan are missing, export it again."
            ),
        )
    });
    Ok(Corners {
        points,
        findings: findings.into_iter().collect(),
    })
}

fn text(name: &str, bytes: &[u8], limits: &Limits) -> Result<Corners> {
    // A lone carriage return ends lines in old files.
    let end = if bytes.contains(&b'\n') { b'\n' } else { b'\r' };
    let mut reading = Reading::default();
    for (number, line) in (1..).zip(bytes.split(|&byte| byte == end)) {
        let line = line.trim_ascii();
        if let Err(what) = reading.take(line) {
            let what = format!("{} {what}", excerpt(line));
            return Err(Error::input(Place::new(name, Spot::Line(number)), what));
        }
        limits.check_vertices(reading.points.len() as u64)?;
        limits.check_faces(reading.points.len() as u64 / 3)?;
    }
    if reading.facet.is_some() {
        let what = "the file ends within a facet; copy or export it again";
        return Err(Error::input(Place::new(name, Spot::Whole), what));
    }
    let findings = (reading.solids > reading.ended).then(|| {
        Finding::look(
            "left-over bytes",
            "The file has no line \"endsolid\" at its end and may be cut short; if parts of the \
             scan are missing, copy or export it again.",
        )
    });
    Ok(Corners {
        points: reading.points,
        findings: findings.into_iter().collect(),
    })
}

/// A text file on its way, line by line. Several solids are one surface.
#[derive(Default)]
struct Reading {
    points: Vec<Point3<f64>>,
    /// Corners of the facet that is open.
    facet: Option<u32>,
    solids: u64,
    ended: u64,
}

impl Reading {
    /// Takes one line; says what is wrong with it.
    fn take(&mut self, line: &[u8]) -> std::result::Result<(), &'static str> {
        let mut words = line
            .split(u8::is_ascii_whitespace)
            .filter(|word| !word.is_empty());
        let Some(word) = words.next() else {
            return Ok(());
        };
        match (word.to_ascii_lowercase().as_slice(), self.facet) {
            (b"solid", None) => self.solids += 1,
            (b"endsolid", None) => self.ended += 1,
            (b"facet", None) => self.facet = Some(0),
            (b"outer" | b"endloop", Some(_)) => {}
            (b"vertex", Some(corners @ 0..3)) => {
                self.facet = Some(corners + 1);
                let point = point(words)
                    .ok_or("is not a corner; it needs three finite numbers with decimal points")?;
                self.points.push(point);
            }
            (b"endfacet", Some(3)) => self.facet = None,
            (b"vertex" | b"endfacet", Some(_)) => {
                return Err("makes a facet that has not three corners; export it as triangles");
            }
            _ => return Err("is out of place in an STL file; export it again"),
        }
        Ok(())
    }
}

fn point<'a>(mut words: impl Iterator<Item = &'a [u8]>) -> Option<Point3<f64>> {
    let mut number = || std::str::from_utf8(words.next()?).ok()?.parse().ok();
    let point: [f64; 3] = [number()?, number()?, number()?];
    point.iter().all(|x| x.is_finite()).then(|| point.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "solid skin of a scan\n facet normal 0 0 1\n  outer loop\n   vertex 0 0 0\n   \
                        vertex 4 0 0\n   vertex 0 3e0 0\n  endloop\n endfacet\nendsolid skin\n";

    fn refusal(bytes: &[u8]) -> String {
        let read = read("a.stl", bytes, &Limits::default());
        read.map(|_| ()).unwrap_err().to_string()
    }

    fn one_triangle(header: &[u8]) -> Vec<u8> {
        let mut file = header.to_vec();
        file.resize(80, b' ');
        file.extend(1_u32.to_le_bytes());
        for value in [
            0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 4.0, 0.0, 0.0, 0.0, 3.0, 0.0_f32,
        ] {
            file.extend(value.to_le_bytes());
        }
        file.extend([0x1f, 0xfc]);
        file
    }

    #[test]
    fn text_and_binary_of_one_triangle_agree() {
        let limits = Limits::default();
        let upper = TEXT.to_uppercase();
        let old = TEXT.replace('\n', "\r");
        for file in [
            TEXT.as_bytes(),
            upper.as_bytes(),
            old.as_bytes(),
            &one_triangle(b"made here"),
            &one_triangle(b"solid facet, though binary"),
        ] {
            let read = read("a.stl", file, &limits).unwrap();
            assert!(read.findings.is_empty());
            // By hand: legs of 4 and 3.
            assert_eq!(read.mesh.area().to_bits(), 6.0_f64.to_bits());
        }
    }

    #[test]
    fn a_second_solid_is_part_of_the_surface() {
        let two = [TEXT, TEXT].concat();
        let read = read("a.stl", two.as_bytes(), &Limits::default()).unwrap();
        assert_eq!(read.mesh.faces().len(), 2);
    }

    #[test]
    fn faults_are_told_with_their_place() {
        let case = |from: &str, to: &str, parts: [&str; 2]| {
            let told = refusal(TEXT.replace(from, to).as_bytes());
            assert!(parts.iter().all(|part| told.contains(part)), "{told}");
        };
        case("4 0 0", "4 0", ["line 5", "three finite numbers"]);
        case("4 0 0", "4,0 0 0", ["line 5", "three finite numbers"]);
        case("3e0", "1e999", ["line 6", "three finite numbers"]);
        case("   vertex 4 0 0\n", "", ["line 7", "three corners"]);
        case("  endloop", "vertex 1 1 1", ["line 7", "three corners"]);
        case("endsolid", "fend", ["line 9", "out of place"]);
        case(
            " endfacet\nendsolid skin\n",
            "",
            ["a.stl", "ends within a facet"],
        );
        let mut file = one_triangle(b"");
        file[96..100].copy_from_slice(&f32::NAN.to_le_bytes());
        assert!(refusal(&file).contains("face 0"));
        file.truncate(130);
        assert!(refusal(&file).contains("promises 1 triangles but ends in triangle 0"));
        assert!(refusal(&file[..70]).contains("too short"));
    }

    #[test]
    fn what_is_left_over_or_missing_at_the_end_is_told() {
        let limits = Limits::default();
        let cut = TEXT.replace("endsolid skin", "");
        let longer = [one_triangle(b""), vec![0; 7]].concat();
        for (file, part) in [(cut.as_bytes(), "endsolid"), (&longer, "7 bytes")] {
            let read = read("a.stl", file, &limits).unwrap();
            assert!(read.findings[0].text.contains(part));
        }
    }
}
