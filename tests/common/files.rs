//! Makers of OBJ, STL, glTF and packed files.

use base64::Engine;
use flate2::{Compression, write::GzEncoder};
use serde_json::{Value, json};
use std::io::Write;

pub(crate) type Corners = Vec<[[f32; 3]; 3]>;

/// A tetrahedron with legs of 2, 4 and 6: volume 2 * 4 * 6 / 6 = 8.
pub(crate) const POINTS: [[f32; 3]; 4] = [
    [0.0, 0.0, 0.0],
    [2.0, 0.0, 0.0],
    [0.0, 4.0, 0.0],
    [0.0, 0.0, 6.0],
];
pub(crate) const FACES: [[u16; 3]; 4] = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];

pub(crate) fn corners() -> Corners {
    FACES
        .iter()
        .map(|face| face.map(|at| POINTS[usize::from(at)]))
        .collect()
}

/// An OBJ file of one line per point and per face, each made by a writer.
pub(crate) fn obj(
    (points, polygons): &(Vec<[f64; 3]>, Vec<Vec<u32>>),
    point: impl Fn(&[f64; 3]) -> String,
    corner: impl Fn(u32) -> String,
    line_end: &str,
) -> String {
    let mut lines: Vec<_> = vec!["# a scan".to_owned(), "mtllib scan.mtl".to_owned()];
    lines.extend(points.iter().map(point));
    lines.extend([
        "vt 0.5 0.5".to_owned(),
        "vn 0 0 1".to_owned(),
        "vt 0 1".to_owned(),
    ]);
    for (at, polygon) in polygons.iter().enumerate() {
        lines.push(format!("g part {at}"));
        lines.push("usemtl skin".to_owned());
        let corners: Vec<_> = polygon.iter().map(|&index| corner(index)).collect();
        lines.push(format!("f {}", corners.join(" ")));
    }
    lines.join(line_end) + line_end
}

pub(crate) fn stl_text() -> Vec<u8> {
    let mut text = "solid made here\n".to_owned();
    for face in corners() {
        text += "facet normal 0 0 0\nouter loop\n";
        for [x, y, z] in face {
            text += &format!("vertex {x} {y:e} {z}\n");
        }
        text += "endloop\nendfacet\n";
    }
    (text + "endsolid made here\n").into_bytes()
}

pub(crate) fn stl_binary(header: &str) -> Vec<u8> {
    stl(header, &corners())
}

/// A shape as a binary STL file.
pub(crate) fn stl_of(points: &[[f64; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let points = floats(points);
    let corners: Corners = faces
        .iter()
        .map(|face| face.map(|at| points[at as usize]))
        .collect();
    stl("made here", &corners)
}

#[expect(clippy::cast_possible_truncation, reason = "the files hold floats")]
fn floats(points: &[[f64; 3]]) -> Vec<[f32; 3]> {
    points.iter().map(|p| p.map(|x| x as f32)).collect()
}

fn stl(header: &str, corners: &Corners) -> Vec<u8> {
    let mut file = header.as_bytes().to_vec();
    file.resize(80, 0);
    let count = u32::try_from(corners.len()).expect("small");
    file.extend(count.to_le_bytes());
    for face in corners {
        file.extend([0; 12]);
        face.as_flattened()
            .iter()
            .for_each(|value| file.extend(value.to_le_bytes()));
        file.extend([0xff, 0x7f]);
    }
    file
}

/// Points, then corners.
pub(crate) fn buffer() -> Vec<u8> {
    let mut bytes: Vec<u8> = POINTS
        .iter()
        .flatten()
        .flat_map(|x| x.to_le_bytes())
        .collect();
    bytes.extend(FACES.iter().flatten().flat_map(|x| x.to_le_bytes()));
    bytes
}

/// A document over [`buffer`]: one mesh of one part, one node.
pub(crate) fn plain() -> Value {
    json!({
        "asset": {"version": "2.0"}, "scene": 0, "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": 4, "type": "VEC3", "min": [0, 0, 0], "max": [2, 4, 6]},
            {"bufferView": 1, "componentType": 5123, "count": 12, "type": "SCALAR"}
        ],
        "bufferViews": [{"buffer": 0, "byteLength": 48}, {"buffer": 0, "byteOffset": 48, "byteLength": 24}],
        "buffers": [{"byteLength": 72}]
    })
}

pub(crate) fn glb(document: &Value, buffer: &[u8]) -> Vec<u8> {
    let word = |n: usize| u32::try_from(n).expect("small").to_le_bytes();
    let mut text = document.to_string().into_bytes();
    text.resize(text.len().next_multiple_of(4), b' ');
    let mut data = buffer.to_vec();
    data.resize(data.len().next_multiple_of(4), 0);
    let length = 28 + text.len() + data.len();
    [
        b"glTF",
        &word(2)[..],
        &word(length),
        &word(text.len()),
        b"JSON",
        &text,
        &word(data.len()),
        b"BIN\0",
        &data,
    ]
    .concat()
}

pub(crate) fn embedded(mut document: Value, buffer: &[u8]) -> Vec<u8> {
    let data = base64::engine::general_purpose::STANDARD.encode(buffer);
    document["buffers"][0]["uri"] = format!("data:application/octet-stream;base64,{data}").into();
    document["buffers"][0]["byteLength"] = buffer.len().into();
    document.to_string().into_bytes()
}

/// The file in a gzip archive.
pub(crate) fn packed(file: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(file).expect("memory takes all");
    encoder.finish().expect("memory takes all")
}

/// A shape as a GLB file with 32-bit indices.
pub(crate) fn glb_of(points: &[[f64; 3]], faces: &[[u32; 3]]) -> Vec<u8> {
    let mut data: Vec<u8> = floats(points)
        .iter()
        .flatten()
        .flat_map(|x| x.to_le_bytes())
        .collect();
    let split = data.len();
    data.extend(faces.iter().flatten().flat_map(|at| at.to_le_bytes()));
    let mut document = plain();
    document["buffers"][0]["byteLength"] = data.len().into();
    document["bufferViews"] = json!([
        {"buffer": 0, "byteLength": split},
        {"buffer": 0, "byteOffset": split, "byteLength": data.len() - split}
    ]);
    document["accessors"] = json!([
        {"bufferView": 0, "componentType": 5126, "count": points.len(), "type": "VEC3"},
        {"bufferView": 1, "componentType": 5125, "count": 3 * faces.len(), "type": "SCALAR"}
    ]);
    glb(&document, &data)
}

/// Three nodes: one carries the rest away along x, one triples and turns the solid a quarter about
/// x, one mirrors it.
pub(crate) fn nodes() -> Vec<u8> {
    let half = 0.5_f64.sqrt();
    let mut document = plain();
    document["nodes"] = json!([
        {"children": [1, 2], "translation": [10, 0, 0]},
        {"mesh": 0, "scale": [3, 3, 3], "rotation": [half, 0, 0, half]},
        {"mesh": 0, "matrix": [-1,0,0,0, 0,1,0,0, 0,0,1,0, 0,0,0,1]}
    ]);
    glb(&document, &buffer())
}

/// Two faces as a strip, two as a fan, by the section on primitives of the standard.
pub(crate) fn strips() -> Vec<u8> {
    let strip: [u16; 4] = [2, 1, 0, 3];
    let fan: [u16; 4] = [3, 1, 2, 0];
    let mut data = buffer();
    data.extend(strip.iter().chain(&fan).flat_map(|x| x.to_le_bytes()));
    let mut document = plain();
    document["buffers"][0]["byteLength"] = data.len().into();
    document["bufferViews"][1]["byteLength"] = (data.len() - 48).into();
    document["accessors"] = json!([
        document["accessors"][0],
        {"bufferView": 1, "byteOffset": 24, "componentType": 5123, "count": 4, "type": "SCALAR"},
        {"bufferView": 1, "byteOffset": 32, "componentType": 5123, "count": 4, "type": "SCALAR"}
    ]);
    document["meshes"][0]["primitives"] = json!([
        {"attributes": {"POSITION": 0}, "indices": 1, "mode": 5},
        {"attributes": {"POSITION": 0}, "indices": 2, "mode": 6}
    ]);
    glb(&document, &data)
}

/// Points as 16-bit fractions of 6, eight bytes apart: x / 65535 * 6.
pub(crate) fn quantised() -> Vec<u8> {
    let data: Vec<u8> = POINTS
        .iter()
        .flat_map(|p| [p[0], p[1], p[2], 0.0])
        .flat_map(|x| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to 65535"
            )]
            let x = (x / 6.0 * 65535.0).round() as u16;
            x.to_le_bytes()
        })
        .chain(FACES.iter().flatten().flat_map(|x| x.to_le_bytes()))
        .collect();
    let mut document = plain();
    document["extensionsRequired"] = json!(["KHR_mesh_quantization"]);
    document["nodes"][0]["scale"] = json!([6, 6, 6]);
    document["accessors"][0] = json!({"bufferView": 0, "componentType": 5123, "normalized": true, "count": 4, "type": "VEC3"});
    document["bufferViews"] = json!([
        {"buffer": 0, "byteLength": 32, "byteStride": 8}, {"buffer": 0, "byteOffset": 32, "byteLength": 24}
    ]);
    document["buffers"][0]["byteLength"] = 56.into();
    glb(&document, &data)
}

/// Point 3 is moved to z = 12 by a sparse accessor.
pub(crate) fn sparse() -> Vec<u8> {
    let mut data = buffer();
    data.extend([3, 0, 0, 0]);
    data.extend([0.0, 0.0, 12.0_f32].iter().flat_map(|x| x.to_le_bytes()));
    let mut document = plain();
    document["buffers"][0]["byteLength"] = 88.into();
    document["bufferViews"] = json!([
        document["bufferViews"][0], document["bufferViews"][1],
        {"buffer": 0, "byteOffset": 72, "byteLength": 16}
    ]);
    document["accessors"][0]["sparse"] = json!({
        "count": 1, "indices": {"bufferView": 2, "componentType": 5121}, "values": {"bufferView": 2, "byteOffset": 4}
    });
    glb(&document, &data)
}

/// No indices: three points for each face.
pub(crate) fn unindexed() -> Vec<u8> {
    let data: Vec<u8> = corners()
        .iter()
        .flatten()
        .flatten()
        .flat_map(|x| x.to_le_bytes())
        .collect();
    let mut document = plain();
    document["accessors"] =
        json!([{"bufferView": 0, "componentType": 5126, "count": 12, "type": "VEC3"}]);
    document["bufferViews"] = json!([{"buffer": 0, "byteLength": 144}]);
    document["buffers"][0]["byteLength"] = 144.into();
    document["meshes"][0]["primitives"] = json!([{"attributes": {"POSITION": 0}}]);
    glb(&document, &data)
}
