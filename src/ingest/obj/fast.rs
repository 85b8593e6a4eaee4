//! A short way for plain OBJ files: triangles numbered from the start, one line each.
//!
//! Text is cut into stretches that are read at the same time. Whatever is not plain, and every
//! fault, is left to the library, so that there is one place that tells what is wrong.

use crate::ingest::Limits;
use crate::parallel::map_indices;
use nalgebra::Point3;

/// What a plain file holds.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Plain {
    /// Points in the order in which faces first name them.
    pub(super) points: Vec<Point3<f64>>,
    /// Three numbers a face.
    pub(super) indices: Vec<u32>,
    /// Points in the file, named or not.
    pub(super) vertices: usize,
}

/// Bytes of a stretch.
const STRETCH: usize = 1 << 20;

/// Reads a plain file; `None` if it is anything else, or over the limits.
pub(super) fn read(bytes: &[u8], limits: &Limits) -> Option<Plain> {
    let stretches = stretches(bytes);
    let parts = map_indices(stretches.len(), |at| Part::read(stretches[at]));
    let parts: Vec<Part> = parts.into_iter().collect::<Option<_>>()?;
    let vertices: usize = parts.iter().map(|part| part.points.len()).sum();
    let faces: usize = parts.iter().map(|part| part.faces.len()).sum();
    limits.check_vertices(vertices as u64).ok()?;
    limits.check_faces(faces as u64).ok()?;
    let points: Vec<Point3<f64>> = parts
        .iter()
        .flat_map(|p| p.points.iter().copied())
        .collect();
    let faces = parts.iter().flat_map(|part| &part.faces);
    in_order_of_faces(&points, faces)
}

/// Cut where lines end.
fn stretches(bytes: &[u8]) -> Vec<&[u8]> {
    let mut stretches = Vec::with_capacity(bytes.len() / STRETCH + 1);
    let mut rest = bytes;
    while rest.len() > STRETCH {
        let end = rest[STRETCH..].iter().position(|&byte| byte == b'\n');
        let Some(end) = end else { break };
        let (stretch, after) = rest.split_at(STRETCH + end + 1);
        stretches.push(stretch);
        rest = after;
    }
    stretches.push(rest);
    stretches
}

/// The geometry of a stretch.
struct Part {
    points: Vec<Point3<f64>>,
    /// Vertex numbers from 1.
    faces: Vec<[u32; 3]>,
}

impl Part {
    fn read(text: &[u8]) -> Option<Self> {
        let mut part = Self {
            points: Vec::new(),
            faces: Vec::new(),
        };
        for line in text.split(|&byte| byte == b'\n') {
            let line = line.trim_ascii();
            if line.ends_with(b"\\") {
                return None;
            }
            let (kind, rest) = word(line);
            match kind {
                b"v" => part.points.push(point(rest)?),
                b"f" => part.faces.push(face(rest)?),
                _ => {}
            }
        }
        Some(part)
    }
}

/// The first word of a line, and what follows it.
fn word(line: &[u8]) -> (&[u8], &[u8]) {
    let line = line.trim_ascii_start();
    let end = line.iter().position(u8::is_ascii_whitespace);
    line.split_at(end.unwrap_or(line.len()))
}

fn point(line: &[u8]) -> Option<Point3<f64>> {
    let mut rest = line;
    let mut point = Point3::origin();
    for place in &mut point.coords {
        let (number, after) = word(rest);
        rest = after;
        let value: f64 = std::str::from_utf8(number).ok()?.parse().ok()?;
        *place = Some(value).filter(|value| value.is_finite())?;
    }
    Some(point)
}

fn face(line: &[u8]) -> Option<[u32; 3]> {
    let mut rest = line;
    let mut face = [0; 3];
    for place in &mut face {
        let (corner, after) = word(rest);
        rest = after;
        *place = vertex(corner)?;
    }
    word(rest).0.is_empty().then_some(face)
}

/// The vertex number of a corner, which is followed by nothing or a slash.
fn vertex(corner: &[u8]) -> Option<u32> {
    let digits = corner
        .iter()
        .take_while(|byte| byte.is_ascii_digit())
        .count();
    if !(1..=9).contains(&digits) || corner.get(digits).is_some_and(|&byte| byte != b'/') {
        return None;
    }
    let number = corner[..digits].iter();
    Some(number.fold(0, |number, &digit| 10 * number + u32::from(digit - b'0')))
}

/// Numbers points anew as faces name them; `None` if a face names one that is not there.
fn in_order_of_faces<'f>(
    points: &[Point3<f64>],
    faces: impl Iterator<Item = &'f [u32; 3]>,
) -> Option<Plain> {
    const NONE: u32 = u32::MAX;
    let mut number = vec![NONE; points.len()];
    let mut plain = Plain {
        vertices: points.len(),
        ..Plain::default()
    };
    for &vertex in faces.flatten() {
        let at = vertex.checked_sub(1)? as usize;
        let place = number.get_mut(at)?;
        if *place == NONE {
            *place = u32::try_from(plain.points.len()).ok()?;
            plain.points.push(points[at]);
        }
        plain.indices.push(*place);
    }
    Some(plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(text: &str) -> Option<Plain> {
        read(text.as_bytes(), &Limits::default())
    }

    #[test]
    fn corners_may_name_more_than_a_vertex() {
        let text =
            "# a sheet\nv 0 0 0 1 1 1\r\nv\t1 0 0\n v 0 1e0 0\nv 9 9 9\nvn 0 0 1\nf 3/1/1 1//1 2\n";
        let found = plain(text).unwrap();
        assert_eq!(found.indices, [0, 1, 2]);
        assert_eq!(found.points[0], Point3::new(0.0, 1.0, 0.0));
        assert_eq!((found.points.len(), found.vertices), (3, 4));
    }

    #[test]
    fn what_is_not_plain_is_left_to_the_library() {
        let sheet = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 1 1 0\n";
        for line in [
            "f 1 2 4 3",
            "f -1 -2 -3",
            "f 1 2",
            "f 0 1 2",
            "f 1 2 5",
            "f 1 2 x",
            "f 1 2 3x",
            "f 1 2 /3",
            "f 1 2 12345678901",
            "v 1 2",
            "v 1 2 nan",
            "v 1 2 1e999",
            "# joined \\",
        ] {
            assert_eq!(plain(&format!("{sheet}{line}\nf 1 2 3\n")), None, "{line}");
        }
        assert!(plain(&format!("{sheet}f 1 2 3")).is_some());
        let one = Limits {
            vertices: 3,
            ..Limits::default()
        };
        assert_eq!(read(format!("{sheet}f 1 2 3").as_bytes(), &one), None);
    }

    /// Long files are read in stretches; the seams do not show.
    #[test]
    fn stretches_end_where_lines_do() {
        let mut text = String::new();
        for i in 0..60_000 {
            text.push_str(&format!(
                "v {i}.25 -{i}e-3 {i}\nf {} 1 {}\n",
                i + 1,
                i / 2 + 1
            ));
        }
        assert!(text.len() > 2 * STRETCH);
        assert_eq!(stretches(text.as_bytes()).concat(), text.as_bytes());
        assert!(stretches(text.as_bytes()).len() > 2);
        let found = plain(&text).unwrap();
        assert_eq!(found.points.len(), 60_000);
        assert_eq!(found.indices.len(), 180_000);
        // Face i names point i first, but for the very first, which names its own thrice.
        let at = found.indices[3 * 59_999] as usize;
        assert_eq!(found.points[at], Point3::new(59_999.25, -59.999, 59_999.0));
    }
}
