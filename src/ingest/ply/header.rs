//! The header of a PLY file, and whether the file can keep its promises.

use super::super::{Limits, excerpt};
use super::rows::{VertexRow, scalar_bytes};
use crate::error::{Error, Place, Result, Spot};
use ply_rs_bw::parser::{Parser, Reader};
use ply_rs_bw::ply::{ElementDef, Encoding, PropertyType, ScalarType};

/// Where `end_header` must have come by; room for some thousand lines of remarks.
const LONGEST_HEADER: usize = 1 << 20;

/// A header as the library reads it.
pub(super) struct Header {
    inner: ply_rs_bw::ply::Header,
    /// Bytes up to and including the end of the `end_header` line.
    pub(super) length: usize,
}

/// What reading will need.
pub(super) struct Plan {
    /// Room to set aside for triangles: no more than the bytes can hold.
    pub(super) triangles_expected: usize,
}

impl Header {
    /// Reads the header, whatever line ends and encoding of remarks it uses.
    pub(super) fn read(name: &str, bytes: &[u8]) -> Result<Self> {
        let length = length(name, bytes)?;
        // The library wants line feeds and UTF-8; only remarks can lose anything by this.
        let text = String::from_utf8_lossy(&bytes[..length]);
        let text = text.replace("\r\n", "\n").replace('\r', "\n");
        let mut reader = Reader::new(text.as_bytes());
        let inner = Parser::<VertexRow>::new()
            .read_header(&mut reader)
            .map_err(|error| not_understood(name, &text, &error))?;
        let header = Self { inner, length };
        header.check_names(name, &text)?;
        Ok(header)
    }

    pub(super) fn encoding(&self) -> Encoding {
        self.inner.encoding
    }

    pub(super) fn elements(&self) -> impl DoubleEndedIterator<Item = &ElementDef> {
        self.inner.elements.values()
    }

    /// The library keeps one of two elements or properties of one name, and would then lose step.
    fn check_names(&self, name: &str, text: &str) -> Result<()> {
        let starting = |word: &str| text.lines().filter(|line| line.starts_with(word)).count();
        let properties = self.elements().map(|element| element.properties.len());
        if starting("element ") + starting("element\t") != self.inner.elements.len()
            || starting("property ") + starting("property\t") != properties.sum::<usize>()
        {
            return Err(whole(
                name,
                "the header has two elements, or two properties of an element, of one name; \
                 export the scan again",
            ));
        }
        Ok(())
    }

    /// Checks that the file has what a mesh needs, and that its counts can be true.
    pub(super) fn plan(&self, name: &str, bytes: &[u8], limits: &Limits) -> Result<Plan> {
        let find = |wanted: &str| self.elements().position(|element| element.name == wanted);
        let Some(vertex_at) = find("vertex") else {
            return Err(whole(
                name,
                "the header has no element \"vertex\", so there are no points",
            ));
        };
        let vertex = &self.inner.elements[vertex_at];
        check_coordinates(name, vertex)?;
        let face_at = find("face").filter(|&at| self.inner.elements[at].count > 0);
        let Some(face_at) = face_at else {
            return Err(no_faces(name, vertex.count, find("tristrips").is_some()));
        };
        let face = &self.inner.elements[face_at];
        if corner_list(face).is_none() {
            return Err(no_corner_list(name, face));
        }
        if face_at < vertex_at {
            return Err(whole(
                name,
                "the faces stand before the points; export the scan again",
            ));
        }
        let held = (bytes.len() - self.length) as u64;
        self.check_room(name, held)?;
        limits.check_vertices(vertex.count as u64)?;
        limits.check_faces(face.count as u64)?;
        // A triangle has three corners more than the least row.
        let row = self.least_row(face) + 3 * self.least_scalar(corner_item(face));
        let fitting = usize::try_from(held / row.max(1)).unwrap_or(usize::MAX);
        Ok(Plan {
            triangles_expected: face.count.min(fitting.saturating_add(1)),
        })
    }

    /// Each row has a least length, so counts that cannot fit are known before reading.
    fn check_room(&self, name: &str, held: u64) -> Result<()> {
        let mut needed = 0_u64;
        for element in self.elements().filter(|element| element.count > 0) {
            if element.properties.is_empty() {
                let what = format!("the element \"{}\" has no properties", element.name);
                return Err(whole(name, what));
            }
            let length = (element.count as u64).saturating_mul(self.least_row(element));
            needed = needed.saturating_add(length);
            // The very last number of a text needs no separator after it.
            let slack = u64::from(self.encoding() == Encoding::Ascii);
            if needed - slack.min(needed) > held {
                return Err(whole(
                    name,
                    format!(
                        "the header promises {} rows of \"{}\", which take {needed} bytes at least, \
                         but only {held} bytes follow it: the file is cut short or its header is \
                         wrong; export the scan again",
                        element.count, element.name
                    ),
                ));
            }
        }
        Ok(())
    }

    /// Fewest bytes a row can take: lists may be empty, numbers in text one digit and a separator.
    fn least_row(&self, element: &ElementDef) -> u64 {
        let least = |kind: &PropertyType| match kind {
            PropertyType::Scalar(scalar) | PropertyType::List(scalar, _) => {
                self.least_scalar(scalar)
            }
        };
        let properties = element.properties.values();
        properties.map(|property| least(&property.data_type)).sum()
    }

    fn least_scalar(&self, scalar: &ScalarType) -> u64 {
        match self.encoding() {
            Encoding::Ascii => 2,
            _ => scalar_bytes(scalar) as u64,
        }
    }
}

/// The position and the types of count and entries of the list of corners, among the properties.
pub(super) fn corner_list(face: &ElementDef) -> Option<(usize, &ScalarType, &ScalarType)> {
    CORNER_NAMES.iter().find_map(|name| {
        let (at, _, property) = face.properties.get_full(*name)?;
        match &property.data_type {
            PropertyType::List(count, item) if is_whole(count) && is_whole(item) => {
                Some((at, count, item))
            }
            _ => None,
        }
    })
}

/// The names in use for the list of corners.
const CORNER_NAMES: [&str; 2] = ["vertex_indices", "vertex_index"];

fn corner_item(face: &ElementDef) -> &ScalarType {
    corner_list(face).map_or(&ScalarType::Int, |(_, _, item)| item)
}

fn is_whole(scalar: &ScalarType) -> bool {
    !matches!(scalar, ScalarType::Float | ScalarType::Double)
}

/// Length of the header with the end of its last line.
fn length(name: &str, bytes: &[u8]) -> Result<usize> {
    // The first line shows which line ends the file uses. A binary body may begin with the byte
    // of a line feed, so it must not be taken for the second half of a line end that has one half.
    let head = &bytes[..bytes.len().min(LONGEST_HEADER)];
    let only_returns = head.get(3) == Some(&b'\r') && head.get(4) != Some(&b'\n');
    let line_end = if only_returns { b'\r' } else { b'\n' };
    let mut at = 0;
    for line in head.split_inclusive(|&byte| byte == line_end) {
        at += line.len();
        if line.trim_ascii() == b"end_header" {
            return Ok(at);
        }
    }
    let what = "the header has no line \"end_header\": the file is cut short or damaged; export \
                the scan again";
    Err(whole(name, what))
}

fn whole(name: &str, what: impl Into<String>) -> Error {
    Error::input(Place::new(name, Spot::Whole), what)
}

fn not_understood(name: &str, text: &str, error: &ply_rs_bw::parser::ParseError) -> Error {
    match error.line() {
        Some(line) => {
            let written = text.lines().nth(line.saturating_sub(1)).unwrap_or_default();
            let what = format!(
                "{} is not understood as a line of a PLY header; export the scan again",
                excerpt(written.as_bytes())
            );
            Error::input(Place::new(name, Spot::Line(line as u64)), what)
        }
        None => whole(
            name,
            "the header does not say in which format the file is (a line like \"format ascii \
             1.0\"); export the scan again",
        ),
    }
}

fn check_coordinates(name: &str, vertex: &ElementDef) -> Result<()> {
    for axis in ["x", "y", "z"] {
        let property = vertex.properties.get(axis);
        if !property.is_some_and(|found| matches!(found.data_type, PropertyType::Scalar(_))) {
            let what = format!(
                "the points have no coordinate \"{axis}\" (their properties are: {}); export the \
                 scan again",
                listed(vertex)
            );
            return Err(whole(name, what));
        }
    }
    Ok(())
}

fn no_faces(name: &str, points: usize, strips: bool) -> Error {
    let what = if strips {
        "the faces are stored as triangle strips, which are not read; export the scan as plain \
         triangles"
            .to_owned()
    } else if points == 0 {
        "the file has neither points nor faces; export the scan again".to_owned()
    } else {
        format!(
            "the file has {points} points but no faces: a point cloud; export the scan as a mesh \
             (a surface of triangles)"
        )
    };
    whole(name, what)
}

fn no_corner_list(name: &str, face: &ElementDef) -> Error {
    let what = format!(
        "the faces have no list of whole numbers named \"vertex_indices\" or \"vertex_index\" \
         (their properties are: {}); export the scan again",
        listed(face)
    );
    whole(name, what)
}

fn listed(element: &ElementDef) -> String {
    let names: Vec<&str> = element
        .properties
        .keys()
        .map(String::as_str)
        .take(20)
        .collect();
    if names.is_empty() {
        "none".to_owned()
    } else {
        names.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_body_begins_right_after_the_last_line_end() {
        let cases: [(&[u8], usize); 3] = [
            (b"ply\nend_header\n\nx", 15),
            (b"ply\r\nend_header\r\n\nx", 17),
            (b"ply\rend_header\r\nx", 15),
        ];
        for (bytes, expected) in cases {
            assert_eq!(length("", bytes).unwrap(), expected);
        }
        assert!(length("", b"ply\ncomment end_header\n").is_err());
    }

    #[test]
    fn the_line_that_is_not_understood_is_quoted() {
        let text = b"ply\nformat ascii 1.0\nelement vertex many\nend_header\n";
        let error = Header::read("a.ply", text).err().unwrap().to_string();
        assert!(
            error.starts_with("a.ply, line 3: \"element vertex many\""),
            "{error}"
        );
    }
}
