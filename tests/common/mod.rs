//! Makers of small scan files in every variant of their format, of solids of known form, and of bodies.
#![allow(
    dead_code,
    unused_imports,
    reason = "each test program uses a part of these"
)]

use girthwise::mesh::TriMesh;

#[path = "../../src/mesh/samples.rs"]
mod samples;

pub(crate) mod body;
#[cfg(feature = "pictures")]
pub(crate) mod drawn;
pub(crate) mod every;
pub(crate) mod files;
pub(crate) mod solid;
pub(crate) mod truth;

pub(crate) use samples::{cube, icosphere};

/// Faces of any number of corners.
pub(crate) type Polygons = Vec<Vec<u32>>;

/// How the body of a PLY file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Encoding {
    Ascii,
    Little,
    Big,
}

/// One variant of a PLY file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ply {
    pub(crate) encoding: Encoding,
    pub(crate) coordinate: &'static str,
    pub(crate) count: &'static str,
    pub(crate) index: &'static str,
    pub(crate) list: &'static str,
    pub(crate) line_end: &'static str,
    /// More properties around those that matter.
    pub(crate) extras: bool,
    /// Other elements before and after, and remarks.
    pub(crate) elements: bool,
}

pub(crate) const PLAIN: Ply = Ply {
    encoding: Encoding::Ascii,
    coordinate: "float",
    count: "uchar",
    index: "int",
    list: "vertex_indices",
    line_end: "\n",
    extras: false,
    elements: false,
};

impl Ply {
    pub(crate) fn write(&self, points: &[[f64; 3]], polygons: &[Vec<u32>]) -> Vec<u8> {
        let mut out = self.header(points.len(), polygons.len()).into_bytes();
        if self.elements {
            for _ in 0..2 {
                self.row(
                    &mut out,
                    &[
                        ("float", 0.5),
                        ("uchar", 2.0),
                        ("short", 7.0),
                        ("short", -7.0),
                    ],
                );
            }
        }
        for &[x, y, z] in points {
            let mut row = vec![];
            if self.extras {
                row.extend([("uchar", 200.0), ("double", 0.125)]);
            }
            row.extend([x, y, z].map(|value| (self.coordinate, value)));
            if self.extras {
                row.push(("ushort", 65535.0));
            }
            self.row(&mut out, &row);
        }
        for corners in polygons {
            let mut row = vec![];
            if self.extras {
                row.push(("int", -1.0));
            }
            row.push((self.count, corners.len() as f64));
            row.extend(
                corners
                    .iter()
                    .map(|&corner| (self.index, f64::from(corner))),
            );
            if self.extras {
                row.extend([("uchar", 2.0), ("float", 0.25), ("float", 0.75)]);
            }
            self.row(&mut out, &row);
        }
        if self.elements {
            self.row(&mut out, &[("int", 0.0), ("int", 1.0)]);
        }
        out
    }

    fn header(&self, points: usize, faces: usize) -> String {
        let format = match self.encoding {
            Encoding::Ascii => "ascii",
            Encoding::Little => "binary_little_endian",
            Encoding::Big => "binary_big_endian",
        };
        let mut lines = vec!["ply".to_owned(), format!("format {format} 1.0")];
        let mut add = |text: &str| lines.extend(text.lines().map(|line| line.trim().to_owned()));
        if self.elements {
            add(
                "comment made by hand: é ß\nobj_info 3 of 4\ncomment\nelement camera 2\n\
                 property float focus\nproperty list uchar short marks",
            );
        }
        add(&format!("element vertex {points}"));
        if self.extras {
            add("property uchar red\nproperty double nx");
        }
        for axis in ["x", "y", "z"] {
            add(&format!("property {} {axis}", self.coordinate));
        }
        if self.extras {
            add("property ushort quality");
        }
        add(&format!("element face {faces}"));
        if self.extras {
            add("property int flags");
        }
        add(&format!(
            "property list {} {} {}",
            self.count, self.index, self.list
        ));
        if self.extras {
            add("property list uchar float texcoord");
        }
        if self.elements {
            add("element edge 1\nproperty int vertex1\nproperty int vertex2");
        }
        add("end_header");
        let mut text = lines.join(self.line_end);
        text.push_str(self.line_end);
        text
    }

    fn row(&self, out: &mut Vec<u8>, row: &[(&str, f64)]) {
        if self.encoding == Encoding::Ascii {
            let words: Vec<_> = row.iter().map(|(_, value)| value.to_string()).collect();
            out.extend(words.join(" ").bytes());
            out.extend(self.line_end.bytes());
            return;
        }
        for &(kind, value) in row {
            let mut bytes = little(kind, value);
            if self.encoding == Encoding::Big {
                bytes.reverse();
            }
            out.extend(bytes);
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the values are chosen to fit their type"
)]
#[expect(
    clippy::cast_sign_loss,
    reason = "the values are chosen to fit their type"
)]
fn little(kind: &str, value: f64) -> Vec<u8> {
    match kind {
        "char" | "int8" => (value as i8).to_le_bytes().to_vec(),
        "uchar" | "uint8" => (value as u8).to_le_bytes().to_vec(),
        "short" | "int16" => (value as i16).to_le_bytes().to_vec(),
        "ushort" | "uint16" => (value as u16).to_le_bytes().to_vec(),
        "int" | "int32" => (value as i32).to_le_bytes().to_vec(),
        "uint" | "uint32" => (value as u32).to_le_bytes().to_vec(),
        "float" | "float32" => (value as f32).to_le_bytes().to_vec(),
        "double" | "float64" => value.to_le_bytes().to_vec(),
        other => panic!("no such type: {other}"),
    }
}

/// Triangles as polygons.
pub(crate) fn triangles(faces: &[[u32; 3]]) -> Polygons {
    faces.iter().map(|face| face.to_vec()).collect()
}

/// A prism over a convex pentagon of whole coordinates: two pentagons, five quadrilaterals.
pub(crate) fn prism() -> (Vec<[f64; 3]>, Polygons) {
    let outline = [[1.0, 0.0], [3.0, 0.0], [4.0, 2.0], [2.0, 4.0], [0.0, 2.0]];
    let mut points = Vec::new();
    for z in [0.0, 5.0] {
        points.extend(outline.map(|[x, y]| [x, y, z]));
    }
    let mut polygons = vec![vec![4, 3, 2, 1, 0], vec![5, 6, 7, 8, 9]];
    polygons.extend((0..5).map(|k| vec![k, (k + 1) % 5, (k + 1) % 5 + 5, k + 5]));
    (points, polygons)
}

/// Convex polygons as fans from their first corner.
pub(crate) fn fans(polygons: &[Vec<u32>]) -> Vec<[u32; 3]> {
    let fan = |corners: &Vec<u32>| {
        let first = corners[0];
        let pairs = corners[1..].windows(2);
        pairs
            .map(|pair| [first, pair[0], pair[1]])
            .collect::<Vec<_>>()
    };
    polygons.iter().flat_map(fan).collect()
}

/// The mesh these are.
pub(crate) fn mesh(points: &[[f64; 3]], faces: Vec<[u32; 3]>) -> TriMesh {
    samples::mesh((points.to_vec(), faces))
}
