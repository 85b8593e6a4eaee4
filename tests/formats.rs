//! STL, glTF and packed files read back as the shape they were made from. Readers from outside
//! this project (the crates `stl_io` and `gltf`) vouch for the files made here.

#[path = "common/damage.rs"]
mod damage;

use base64::Engine;
use damage::{changes, damaged};
use flate2::{Compression, write::GzEncoder};
use girthwise::LengthUnit;
use girthwise::ingest::{Format, Limits, RawMesh, read_scan, read_scan_bytes};
use nalgebra::Point3;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::io::{Cursor, Write};

type Corners = Vec<[[f32; 3]; 3]>;

/// A tetrahedron with legs of 2, 4 and 6: volume 2 * 4 * 6 / 6 = 8.
const POINTS: [[f32; 3]; 4] = [
    [0.0, 0.0, 0.0],
    [2.0, 0.0, 0.0],
    [0.0, 4.0, 0.0],
    [0.0, 0.0, 6.0],
];
const FACES: [[u16; 3]; 4] = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];

fn corners() -> Corners {
    FACES
        .iter()
        .map(|face| face.map(|at| POINTS[usize::from(at)]))
        .collect()
}

fn read(name: &str, bytes: &[u8]) -> RawMesh {
    read_scan_bytes(name, bytes, &Limits::default()).unwrap_or_else(|error| panic!("{error}"))
}

fn volume(scan: RawMesh) -> f64 {
    let clean = scan.mesh.clean().mesh;
    assert!(clean.stats().closed);
    clean.signed_volume()
}

fn refusal(name: &str, bytes: &[u8]) -> String {
    let read = read_scan_bytes(name, bytes, &Limits::default());
    read.map(|_| ()).expect_err("must be refused").to_string()
}

fn stl_text() -> Vec<u8> {
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

fn stl_binary(header: &str) -> Vec<u8> {
    let mut file = header.as_bytes().to_vec();
    file.resize(80, 0);
    file.extend(4_u32.to_le_bytes());
    for face in corners() {
        file.extend([0; 12]);
        face.as_flattened()
            .iter()
            .for_each(|value| file.extend(value.to_le_bytes()));
        file.extend([0xff, 0x7f]);
    }
    file
}

#[test]
fn stl_of_both_kinds_is_what_the_reference_reads() {
    for file in [
        stl_text(),
        stl_binary("made here"),
        stl_binary("solid facet"),
    ] {
        let scan = read("a.stl", &file);
        assert_eq!((scan.format, scan.unit_hint), (Format::Stl, None));
        assert_eq!(scan.mesh.points().len(), 12);
        let points = scan
            .mesh
            .points()
            .iter()
            .map(|p| [p.x, p.y, p.z])
            .collect::<Vec<_>>();
        // The reference takes every file that begins with the word for text.
        if !file.starts_with(b"solid facet") {
            let mut bytes = Cursor::new(&file);
            let reference = stl_io::create_stl_reader(&mut bytes).unwrap();
            let reference: Vec<_> = reference
                .flat_map(|triangle| triangle.unwrap().vertices.map(|v| v.0.map(f64::from)))
                .collect();
            assert_eq!(points, reference);
        }
        assert!((volume(scan) - 8.0).abs() < 1e-12);
    }
}

#[test]
fn a_packed_file_of_any_format_is_read_as_if_it_were_not() {
    let obj = b"v 0 0 0\nv 2 0 0\nv 0 4 0\nv 0 0 6\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n";
    for (name, file) in [
        ("a.stl", stl_text()),
        ("a.obj", obj.to_vec()),
        ("a.glb", glb(&plain(), &buffer())),
    ] {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(&file).unwrap();
        let packed = encoder.finish().unwrap();
        let (one, other) = (read(name, &file), read(&format!("{name}.gz"), &packed));
        assert_eq!(
            (one.mesh, one.format, one.findings),
            (other.mesh, other.format, other.findings)
        );
        assert_eq!(other.bytes, packed.len() as u64);
        assert_ne!(one.digest, other.digest);
    }
}

/// Points, then corners.
fn buffer() -> Vec<u8> {
    let mut bytes: Vec<u8> = POINTS
        .iter()
        .flatten()
        .flat_map(|x| x.to_le_bytes())
        .collect();
    bytes.extend(FACES.iter().flatten().flat_map(|x| x.to_le_bytes()));
    bytes
}

/// A document over [`buffer`]: one mesh of one part, one node.
fn plain() -> Value {
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

fn glb(document: &Value, buffer: &[u8]) -> Vec<u8> {
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

fn embedded(mut document: Value, buffer: &[u8]) -> Vec<u8> {
    let data = base64::engine::general_purpose::STANDARD.encode(buffer);
    document["buffers"][0]["uri"] = format!("data:application/octet-stream;base64,{data}").into();
    document["buffers"][0]["byteLength"] = buffer.len().into();
    document.to_string().into_bytes()
}

#[test]
fn gltf_is_what_the_reference_reads() {
    let file = glb(&plain(), &buffer());
    let scan = read("a.glb", &file);
    assert_eq!(
        (scan.format, scan.unit_hint),
        (Format::Gltf, Some(LengthUnit::Metre))
    );
    let reference = gltf::Gltf::from_slice(&file).unwrap();
    let blob = reference.blob.clone().unwrap();
    let primitive = reference
        .meshes()
        .next()
        .unwrap()
        .primitives()
        .next()
        .unwrap();
    let reader = primitive.reader(|_| Some(&blob));
    let points: Vec<_> = reader
        .read_positions()
        .unwrap()
        .map(|p| Point3::from(p.map(f64::from)))
        .collect();
    let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
    assert_eq!(scan.mesh.points(), points);
    assert_eq!(scan.mesh.faces().as_flattened(), indices);
    assert!((volume(scan) - 8.0).abs() < 1e-12);
    let text = read("a.gltf", &embedded(plain(), &buffer()));
    assert_eq!(text.mesh.points(), points);
}

#[test]
fn nodes_place_meshes_and_mirrors_keep_them_right_side_out() {
    let half = 0.5_f64.sqrt();
    let mut document = plain();
    // Scaled by 3 and turned a quarter about x below a shift; beside it a mirror image.
    document["nodes"] = json!([
        {"children": [1, 2], "translation": [10, 0, 0]},
        {"mesh": 0, "scale": [3, 3, 3], "rotation": [half, 0, 0, half]},
        {"mesh": 0, "matrix": [-1,0,0,0, 0,1,0,0, 0,0,1,0, 0,0,0,1]}
    ]);
    let scan = read("a.glb", &glb(&document, &buffer()));
    let far = scan.mesh.points()[3];
    // (0, 0, 6) times 3 turned from z to -y, then 10 along x.
    assert!(
        (far - Point3::new(10.0, -18.0, 0.0)).norm() < 1e-12,
        "{far}"
    );
    assert!((volume(scan) - (8.0 * 27.0 + 8.0)).abs() < 1e-9);
}

#[test]
fn lists_strips_and_fans_give_the_same_solid() {
    // Two tetrahedron faces as a strip, two as a fan, by the section on primitives of the standard.
    let strip: [u16; 4] = [2, 1, 0, 3];
    let fan: [u16; 4] = [3, 1, 2, 0];
    let mut data = buffer();
    data.extend(strip.iter().chain(&fan).flat_map(|x| x.to_le_bytes()));
    let mut document = plain();
    document["buffers"][0]["byteLength"] = data.len().into();
    document["bufferViews"][1]["byteLength"] = (data.len() - 48).into();
    for offset in [24, 32] {
        document["accessors"].as_array_mut().unwrap().push(json!({
            "bufferView": 1, "byteOffset": offset, "componentType": 5123, "count": 4, "type": "SCALAR"
        }));
    }
    document["meshes"][0]["primitives"] = json!([
        {"attributes": {"POSITION": 0}, "indices": 2, "mode": 5},
        {"attributes": {"POSITION": 0}, "indices": 3, "mode": 6}
    ]);
    let scan = read("a.glb", &glb(&document, &data));
    assert_eq!(
        scan.mesh.points().len(),
        4,
        "points that parts share are there once"
    );
    assert_eq!(
        scan.mesh.faces(),
        [[2, 1, 0], [1, 3, 0], [1, 2, 3], [2, 0, 3]]
    );
    assert!((volume(scan) - 8.0).abs() < 1e-12);
}

#[test]
fn quantised_sparse_and_unindexed_points_are_read() {
    // As 16-bit fractions of 6, and a stride of 8: x / 65535 * 6.
    let quantised: Vec<u8> = POINTS
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
    let scan = read("a.glb", &glb(&document, &quantised));
    assert!(scan.findings.is_empty(), "{:?}", scan.findings);
    // Each leg is off by half a step of 6 / 65535 at most: 8 * (1/2 + 1/4 + 1/6) * 4.6e-5 < 4e-4.
    assert!((volume(scan) - 8.0).abs() < 4e-4);

    // Sparse: point 3 is moved to z = 12, which doubles the volume.
    let mut data = buffer();
    data.extend([3, 0, 0, 0]);
    data.extend([0.0, 0.0, 12.0_f32].iter().flat_map(|x| x.to_le_bytes()));
    let mut document = plain();
    document["buffers"][0]["byteLength"] = 88.into();
    document["bufferViews"]
        .as_array_mut()
        .unwrap()
        .push(json!({"buffer": 0, "byteOffset": 72, "byteLength": 16}));
    document["accessors"][0]["sparse"] = json!({
        "count": 1, "indices": {"bufferView": 2, "componentType": 5121}, "values": {"bufferView": 2, "byteOffset": 4}
    });
    assert!((volume(read("a.glb", &glb(&document, &data))) - 16.0).abs() < 1e-12);

    // No indices: three points for each face.
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
    assert!((volume(read("a.glb", &glb(&document, &data))) - 8.0).abs() < 1e-12);
}

#[test]
fn bytes_beside_the_file_are_read_and_digested() {
    let folder = std::env::temp_dir().join(format!("girthwise-formats-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let mut document = plain();
    document["buffers"][0]["uri"] = "the%20points.bin".into();
    let path = folder.join("scan.gltf");
    std::fs::write(&path, document.to_string()).unwrap();
    let limits = Limits::default();
    let mut digests = Vec::new();
    for last in [0_u8, 1] {
        let mut data = buffer();
        data[0] = last;
        std::fs::write(folder.join("the points.bin"), data).unwrap();
        let scan = read_scan(&path, &limits).unwrap();
        assert_eq!(scan.bytes, document.to_string().len() as u64 + 72);
        digests.push(scan.digest);
    }
    assert_ne!(digests[0], digests[1]);
    std::fs::write(folder.join("the points.bin"), [0; 71]).unwrap();
    assert!(
        read_scan(&path, &limits)
            .unwrap_err()
            .to_string()
            .contains("promises 72 bytes")
    );
    let small = Limits {
        file_bytes: 2000,
        ..limits
    };
    document["buffers"][0]["byteLength"] = 3000.into();
    std::fs::write(&path, document.to_string()).unwrap();
    assert!(read_scan(&path, &small).unwrap_err().is_limit());
    std::fs::remove_dir_all(&folder).unwrap();
    assert!(
        refusal("a.gltf", document.to_string().as_bytes()).contains("export the scan as one file")
    );
}

#[test]
fn what_cannot_be_read_says_why() {
    let case = |change: &dyn Fn(&mut Value), part: &str| {
        let mut document = plain();
        change(&mut document);
        let told = refusal("a.glb", &glb(&document, &buffer()));
        assert!(told.contains(part), "{told}");
    };
    let part = "/meshes/0/primitives/0";
    let at = |document: &mut Value, pointer: &str, value: Value| {
        *document.pointer_mut(pointer).unwrap() = value
    };
    case(
        &|d| d.pointer_mut(part).unwrap()["extensions"] = json!({"KHR_draco_mesh_compression": {}}),
        "without mesh compression",
    );
    case(
        &|d| d["bufferViews"][0]["extensions"] = json!({"EXT_meshopt_compression": {}}),
        "without mesh compression",
    );
    case(&|d| at(d, "/accessors/0/count", json!(3)), "names vertex 3");
    case(
        &|d| at(d, "/accessors/0/count", json!(4_000_000)),
        "too short for 4000000 elements",
    );
    case(
        &|d| at(d, "/accessors/1/count", json!(11)),
        "no whole number of triangles",
    );
    case(
        &|d| at(d, "/accessors/0/type", json!("VEC2")),
        "not as VEC3",
    );
    case(
        &|d| at(d, "/bufferViews/0/byteLength", json!(u64::MAX)),
        "reaches past",
    );
    case(
        &|d| at(d, "/buffers/0/byteLength", json!(4000)),
        "promises 4000 bytes",
    );
    case(
        &|d| at(d, "/asset/version", json!("1.0")),
        "export it as glTF 2.0",
    );
    case(
        &|d| d["nodes"] = json!([{"children": [0], "mesh": 0}]),
        "two places",
    );
    case(&|d| d["nodes"] = json!([{"mesh": 7}]), "mesh 7");
    case(
        &|d| d.pointer_mut(part).unwrap()["mode"] = json!(0),
        "no faces",
    );
    case(
        &|d| {
            d["accessors"][0] = json!({"componentType": 5126, "count": 19_000_000, "type": "VEC3"})
        },
        "without bytes",
    );
    case(
        &|d| d["nodes"][0]["scale"] = json!([1e308, 1e308, 1e308]),
        "vertex",
    );
    assert!(refusal("a.gltf", b"{\"asset\": \n {,").contains("line 2"));
}

/// Small limits keep a damaged count from costing the test its time.
const SMALL: Limits = Limits {
    file_bytes: 1 << 20,
    vertices: 10_000,
    faces: 10_000,
    list_length: 100,
};

fn survive(bytes: &[u8]) {
    for name in ["a.stl", "a.glb", "a.gz"] {
        match read_scan_bytes(name, bytes, &SMALL) {
            Ok(scan) => {
                assert!(!scan.mesh.faces().is_empty() && scan.mesh.faces().len() <= 10_000);
                let cleaned = scan.mesh.clean().mesh;
                assert!(
                    cleaned
                        .points()
                        .iter()
                        .all(|p| p.iter().all(|x| x.is_finite()))
                );
                assert_eq!(cleaned.stats().loose_vertices, 0);
            }
            Err(error) => assert!(error.is_input() || error.is_limit(), "{error}"),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_bring_nothing_down(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        survive(&bytes);
        for start in [&b"glTF\x02\0\0\0"[..], b"{\"asset\":", b"\x1f\x8b\x08", b"solid a\nfacet "] {
            survive(&[start, &bytes].concat());
        }
    }

    #[test]
    fn damaged_files_bring_nothing_down(
        which in 0_usize..5,
        changes in changes(),
    ) {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(&stl_text()).unwrap();
        let files = [stl_text(), stl_binary("x"), glb(&plain(), &buffer()), embedded(plain(), &buffer()), encoder.finish().unwrap()];
        let file = files[which].clone();
        survive(&damaged(file, changes));
    }
}
