//! STL, glTF and packed files read back as the shape they were made from. Readers from outside
//! this project (the crates `stl_io` and `gltf`) vouch for the files made here.

mod common;
#[path = "common/damage.rs"]
mod damage;

use common::files::{
    buffer, embedded, glb, nodes, packed, plain, quantised, sparse, stl_binary, stl_text, strips,
    unindexed,
};
use damage::{changes, damaged};
use girthwise::LengthUnit;
use girthwise::ingest::{Format, Limits, RawMesh, read_scan, read_scan_bytes};
use nalgebra::Point3;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::io::Cursor;

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
        let packed = packed(&file);
        let (one, other) = (read(name, &file), read(&format!("{name}.gz"), &packed));
        assert_eq!(
            (one.mesh, one.format, one.findings),
            (other.mesh, other.format, other.findings)
        );
        assert_eq!(other.bytes, packed.len() as u64);
        assert_ne!(one.digest, other.digest);
    }
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
    let scan = read("a.glb", &nodes());
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
    let scan = read("a.glb", &strips());
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
    let scan = read("a.glb", &quantised());
    assert!(scan.findings.is_empty(), "{:?}", scan.findings);
    // Each leg is off by half a step of 6 / 65535 at most: 8 * (1/2 + 1/4 + 1/6) * 4.6e-5 < 4e-4.
    assert!((volume(scan) - 8.0).abs() < 4e-4);

    // Sparse: one leg is twice as long.
    assert!((volume(read("a.glb", &sparse())) - 16.0).abs() < 1e-12);
    assert!((volume(read("a.glb", &unindexed())) - 8.0).abs() < 1e-12);
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
        let files = [stl_text(), stl_binary("x"), glb(&plain(), &buffer()), embedded(plain(), &buffer()), packed(&stl_text())];
        let file = files[which].clone();
        survive(&damaged(file, changes));
    }
}
