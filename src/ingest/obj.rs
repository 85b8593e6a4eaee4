//! OBJ files: the geometry lines go to the library, everything else stays out of its way.
//!
//! Only `v` and `f` lines are handed on, cut down to coordinates and vertex numbers. That way a
//! file cannot name another file (materials are never looked for), groups and seams of a texture
//! do not tear the surface apart, and text in any encoding may stand in names and comments.
//! Handing lines on one by one also tells which line the library was at when it gave up.

mod fast;

use super::faces::FaceSink;
use super::{Limits, Parsed, excerpt};
use crate::error::{Error, Place, Result, Spot};
use crate::mesh::{TriMesh, check_finite};
use nalgebra::Point3;
use std::borrow::Cow;
use std::io::{self, BufRead, Read};

/// Reads an OBJ file.
///
/// Colours after a point and weights are skipped, as are lines, points and free-form surfaces.
/// Points come in the order in which faces first name them; others are left out.
pub(super) fn read(name: &str, bytes: &[u8], limits: &Limits) -> Result<Parsed> {
    if let Some(plain) = fast::read(bytes, limits)
        && !plain.indices.is_empty()
    {
        return surface(plain.points, &plain.indices, &[], plain.vertices, limits);
    }
    read_by_library(name, bytes, limits)
}

/// Reads any OBJ file there is, and tells what is wrong with it.
fn read_by_library(name: &str, bytes: &[u8], limits: &Limits) -> Result<Parsed> {
    let mut geometry = Geometry::new(name, bytes, limits);
    let options = tobj::LoadOptions::default();
    let no_materials = |_: &std::path::Path| Err(tobj::LoadError::OpenFileFailed);
    let loaded = tobj::load_obj_buf(&mut geometry, &options, no_materials);
    if let Some(error) = geometry.stopped {
        return Err(error);
    }
    let (models, _) = loaded.map_err(|error| explain(&geometry, error))?;
    if geometry.faces == 0 {
        return Err(no_faces(name, geometry.vertices));
    }
    let mut points = Vec::new();
    let mut arities = Vec::new();
    let mut indices = Vec::new();
    // Without group lines there is one model.
    for model in models {
        let coordinates = model.mesh.positions.as_chunks::<3>().0;
        points.extend(coordinates.iter().copied().map(Point3::from));
        arities = model.mesh.face_arities;
        indices = model.mesh.indices;
    }
    check_finite(name, &points).map_err(|error| not_finite(&geometry).unwrap_or(error))?;
    let in_file = usize::try_from(geometry.vertices).unwrap_or(usize::MAX);
    surface(points, &indices, &arities, in_file, limits)
}

/// A mesh of faces with `arities` corners each, three if none are given, of a file with `in_file` points.
fn surface(
    points: Vec<Point3<f64>>,
    indices: &[u32],
    arities: &[u32],
    in_file: usize,
    limits: &Limits,
) -> Result<Parsed> {
    let mut sink = FaceSink::new(&points, limits, indices.len() / 3);
    if arities.is_empty() {
        for &face in indices.as_chunks::<3>().0 {
            sink.triangle(face);
        }
    }
    let mut rest = indices;
    let mut corners = Vec::new();
    for &arity in arities {
        let (face, after) = rest.split_at((arity as usize).min(rest.len()));
        rest = after;
        corners.clear();
        corners.extend_from_slice(face);
        sink.polygon(&mut corners)?;
    }
    let (faces, findings) = sink.finish();
    Ok(Parsed {
        left_out: in_file.saturating_sub(points.len()),
        ..Parsed::of(TriMesh::new(points, faces)?, findings)
    })
}

/// The lines of an OBJ file, a line ending in `\` joined with the next.
struct Lines<'a> {
    rest: &'a [u8],
    /// Lines taken so far.
    taken: u64,
}

impl<'a> Iterator for Lines<'a> {
    /// Number of its first line, from 1, and the text.
    type Item = (u64, Cow<'a, [u8]>);

    fn next(&mut self) -> Option<Self::Item> {
        let line = self.one()?;
        let number = self.taken;
        let Some(start) = line.strip_suffix(b"\\") else {
            return Some((number, Cow::Borrowed(line)));
        };
        let mut joined = start.to_vec();
        while let Some(next) = self.one() {
            joined.push(b' ');
            let more = next.strip_suffix(b"\\");
            joined.extend_from_slice(more.unwrap_or(next));
            if more.is_none() {
                break;
            }
        }
        Some((number, Cow::Owned(joined)))
    }
}

impl<'a> Lines<'a> {
    fn of(bytes: &'a [u8]) -> Self {
        Self {
            rest: bytes,
            taken: 0,
        }
    }

    fn one(&mut self) -> Option<&'a [u8]> {
        if self.rest.is_empty() {
            return None;
        }
        self.taken += 1;
        let end = self.rest.iter().position(|&byte| byte == b'\n');
        let (line, rest) = match end {
            Some(at) => (&self.rest[..at], &self.rest[at + 1..]),
            None => (self.rest, &[][..]),
        };
        self.rest = rest;
        Some(line.trim_ascii())
    }
}

fn words(line: &[u8]) -> impl Iterator<Item = &[u8]> {
    line.split(u8::is_ascii_whitespace)
        .filter(|word| !word.is_empty())
}

/// The part of a face corner that numbers the vertex: `7` of `7/3/2`.
fn vertex_part(corner: &[u8]) -> &[u8] {
    corner.split(|&byte| byte == b'/').next().unwrap_or(corner)
}

/// A reader that yields the geometry of an OBJ file line by line, and minds the limits.
struct Geometry<'a> {
    name: &'a str,
    bytes: &'a [u8],
    limits: &'a Limits,
    lines: Lines<'a>,
    /// The line being handed out, cut down, and how much of it has gone.
    line: Vec<u8>,
    gone: usize,
    /// Where that line stands in the file.
    number: u64,
    vertices: u64,
    faces: u64,
    stopped: Option<Error>,
}

impl<'a> Geometry<'a> {
    fn new(name: &'a str, bytes: &'a [u8], limits: &'a Limits) -> Self {
        Self {
            name,
            bytes,
            limits,
            lines: Lines::of(bytes),
            line: Vec::new(),
            gone: 0,
            number: 0,
            vertices: 0,
            faces: 0,
            stopped: None,
        }
    }

    /// Makes the next geometry line ready; leaves nothing at the end of the file.
    fn advance(&mut self) -> Result<()> {
        self.line.clear();
        self.gone = 0;
        while let Some((number, line)) = self.lines.next() {
            let mut words = words(&line);
            match words.next() {
                Some(b"v") => {
                    self.vertices += 1;
                    self.limits.check_vertices(self.vertices)?;
                    self.line.push(b'v');
                    words.take(3).for_each(|word| self.push_word(word));
                }
                Some(b"f") => {
                    self.faces += 1;
                    self.limits.check_faces(self.faces)?;
                    self.line.push(b'f');
                    let mut corners = 0;
                    for corner in words {
                        corners += 1;
                        let vertex = vertex_part(corner);
                        if vertex.is_empty() {
                            let what = format!("the corner {} names no vertex", excerpt(corner));
                            return Err(at_line(self.name, number, what));
                        }
                        self.push_word(vertex);
                    }
                    check_corners(self.name, number, corners, self.limits)?;
                }
                _ => continue,
            }
            self.line.push(b'\n');
            self.number = number;
            return Ok(());
        }
        Ok(())
    }

    fn push_word(&mut self, word: &[u8]) {
        self.line.push(b' ');
        self.line.extend_from_slice(word);
    }
}

impl BufRead for Geometry<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.gone == self.line.len()
            && let Err(error) = self.advance()
        {
            let told = io::Error::other(error.to_string());
            self.stopped = Some(error);
            return Err(told);
        }
        Ok(&self.line[self.gone..])
    }

    fn consume(&mut self, amount: usize) {
        self.gone += amount;
    }
}

impl Read for Geometry<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let ready = self.fill_buf()?;
        let amount = ready.len().min(into.len());
        into[..amount].copy_from_slice(&ready[..amount]);
        self.consume(amount);
        Ok(amount)
    }
}

fn at_line(name: &str, line: u64, what: String) -> Error {
    Error::input(Place::new(name, Spot::Line(line)), what)
}

fn check_corners(name: &str, line: u64, corners: u64, limits: &Limits) -> Result<()> {
    if corners < 3 {
        let what = format!("a face needs three corners, this one has {corners}");
        return Err(at_line(name, line, what));
    }
    if corners > limits.list_length {
        let most = limits.list_length;
        let what = format!("a face of {corners} corners is over the limit of {most}");
        return Err(at_line(name, line, what));
    }
    Ok(())
}

fn no_faces(name: &str, vertices: u64) -> Error {
    let what = if vertices == 0 {
        "the file has neither points nor faces; export the scan again".to_owned()
    } else {
        format!(
            "the file has {vertices} points but no faces: a point cloud; export the scan as a mesh \
             (a surface of triangles)"
        )
    };
    Error::input(Place::new(name, Spot::Whole), what)
}

/// The library's complaint in our words, at the line it stopped at.
fn explain(geometry: &Geometry, error: tobj::LoadError) -> Error {
    use tobj::LoadError;
    let handed = excerpt(&geometry.line);
    let what = match error {
        LoadError::FaceVertexOutOfBounds => {
            if let Some(found) = out_of_range(geometry) {
                return found;
            }
            "a face names a vertex that is not there".to_owned()
        }
        LoadError::PositionParseError => {
            format!("{handed} is not a point; it needs three numbers with decimal points")
        }
        LoadError::FaceParseError => format!("{handed} is not a face; it needs whole numbers"),
        other => format!("{handed} cannot be read ({other})"),
    };
    at_line(geometry.name, geometry.number, what)
}

/// The first face that names a vertex that is not there. Only looked for once there is one.
fn out_of_range(geometry: &Geometry) -> Option<Error> {
    let total = i128::from(geometry.vertices);
    let mut so_far = 0;
    for (number, line) in Lines::of(geometry.bytes) {
        let mut words = words(&line);
        match words.next() {
            Some(b"v") => so_far += 1,
            Some(b"f") => {
                let stray = words.find(|corner| {
                    let text = std::str::from_utf8(vertex_part(corner)).ok();
                    text.and_then(|text| text.parse::<i128>().ok())
                        .is_none_or(|index| index == 0 || index > total || index < -so_far)
                });
                if let Some(corner) = stray {
                    let what = format!(
                        "the face names vertex {}, but vertices are numbered from 1 to {total} \
                         (or back from -1 to -{so_far} at this line)",
                        excerpt(vertex_part(corner))
                    );
                    return Some(at_line(geometry.name, number, what));
                }
            }
            _ => {}
        }
    }
    None
}

/// The first point that is not finite, by its line: the mesh numbers points in another order.
fn not_finite(geometry: &Geometry) -> Option<Error> {
    Lines::of(geometry.bytes).find_map(|(number, line)| {
        let mut words = words(&line);
        let stray = words.next() == Some(b"v")
            && words.take(3).any(|word| {
                let value = std::str::from_utf8(word)
                    .ok()
                    .and_then(|text| text.parse().ok());
                value.is_some_and(|value: f64| !value.is_finite())
            });
        let what = || {
            format!(
                "{} has a coordinate that is no finite number",
                excerpt(&line)
            )
        };
        stray.then(|| at_line(geometry.name, number, what()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> Result<Parsed> {
        read("scan.obj", text.as_bytes(), &Limits::default())
    }

    fn refusal(text: &str) -> String {
        parse(text).map(|_| ()).unwrap_err().to_string()
    }

    #[test]
    fn lines_are_joined_and_counted() {
        let lines: Vec<_> = Lines::of(b"a\r\nb \\\n c\\\nd\n\ne").collect();
        let told: Vec<_> = lines
            .iter()
            .map(|(number, text)| (*number, std::str::from_utf8(text).unwrap()))
            .collect();
        assert_eq!(told, [(1, "a"), (2, "b  c d"), (5, ""), (6, "e")]);
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let three = "v 0 0 0\nv 1 0 0\n# a remark\nv 0 1 0\n";
        let case = |line: &str, part: &str| {
            let told = refusal(&format!("{three}f 1 2 3\n{line}\n"));
            assert!(told.contains("line 6"), "{told}");
            assert!(told.contains(part), "{told}");
        };
        case("f 1 2 9", "\"9\"");
        case("f 1 2 0", "\"0\"");
        case("f -1 -2 -4", "\"-4\"");
        case("f 1 2 9223372036854775807", "\"9223372036854775807\"");
        case("f 1 2 -9223372036854775808", "numbered from 1 to 3");
        case("f 1 2 x", "whole numbers");
        case("f 1 2", "three corners");
        case("f 1 2 /3", "names no vertex");
        case("v 1 2", "three numbers");
        case("v 1,5 2 3", "three numbers");
        case("v nan 0 0\nf 1 2 4", "no finite number");
        case("v 0 1e999 0\nf 1 2 4", "no finite number");
    }

    #[test]
    fn seams_groups_and_materials_do_not_tear_the_surface() {
        let text = "mtllib there is none.mtl\no one\nv 0 0 0 0.1 0.2 0.3\nv 1 0 0 1\n\
                    v 1 1 0\nv 0 1 0\nvt 0 0\nvt 1 1\nvn 0 0 1\ng \nusemtl skin\n\
                    f 1/1/1 2/2/1 3/1/1\ng back\ns off\nf 1/2/1 -2//1 4/1\nl 1 2\np 3\n";
        let mesh = parse(text).unwrap().mesh;
        assert_eq!(mesh.faces(), [[0, 1, 2], [0, 2, 3]]);
        assert_eq!(mesh.points().len(), 4);
        assert_eq!(mesh.points()[1], Point3::new(1.0, 0.0, 0.0));
    }

    /// The short way and the library say the same of a file that both read, to the bit.
    #[test]
    fn the_short_way_is_the_librarys() {
        let (points, faces) = crate::mesh::samples::icosphere(4);
        let mut text = String::from("v 7 7 7\n");
        for [x, y, z] in points {
            text.push_str(&format!("v {x} {y:.17e} {z:.6}\n"));
        }
        for (n, [a, b, c]) in faces.iter().enumerate() {
            // The first point is named by no face; one face has no area.
            let [a, b, c] = [a + 2, b + 2, if n == 40 { b + 2 } else { c + 2 }];
            text.push_str(&format!("f {a} {b}/1 {c}//{n}\n"));
        }
        let limits = Limits::default();
        assert!(fast::read(text.as_bytes(), &limits).is_some());
        let short = read("", text.as_bytes(), &limits).unwrap();
        let library = read_by_library("", text.as_bytes(), &limits).unwrap();
        assert_eq!(short.mesh, library.mesh);
        assert_eq!(short.left_out, library.left_out);
        assert_eq!(short.findings, library.findings);
    }

    #[test]
    fn text_of_any_encoding_may_stand_in_a_remark() {
        let mut bytes = b"# K\xf6rper\ng H\xfcfte\n".to_vec();
        bytes.extend(b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 \\\n 3");
        let read = read("scan.obj", &bytes, &Limits::default()).unwrap();
        assert_eq!(read.mesh.faces(), [[0, 1, 2]]);
    }

    #[test]
    fn points_alone_are_a_point_cloud() {
        assert!(refusal("v 0 0 0\nv 1 1 1\n").contains("2 points but no faces"));
    }
}
