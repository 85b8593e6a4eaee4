//! Scan files of every variant read back as the mesh they were made from; broken ones are refused
//! with the reason; no bytes at all bring the readers down.

mod common;
#[path = "common/damage.rs"]
mod damage;

use common::every::ply_variants;
use common::files::obj;
use common::{Encoding, PLAIN, Ply, cube, fans, icosphere, mesh, prism, triangles};
use damage::{changes, damaged};
use girthwise::ingest::{Format, Limits, RawMesh, read_scan, read_scan_bytes};
use girthwise::mesh::TriMesh;
use proptest::prelude::*;
use std::path::{Path, PathBuf};

fn read(name: &str, bytes: &[u8]) -> RawMesh {
    read_scan_bytes(name, bytes, &Limits::default()).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn every_ply_variant_gives_the_same_mesh() {
    let (points, polygons) = prism();
    let expected = mesh(&points, fans(&polygons));
    // Shoelace: the outline has area 10; the prism is 5 high.
    assert!((expected.signed_volume() - 50.0).abs() < 1e-12);
    for variant in ply_variants() {
        let scan = read("a.ply", &variant.write(&points, &polygons));
        assert_eq!(scan.mesh, expected, "{variant:?}");
        assert_eq!(scan.format, Format::Ply);
        let notes: Vec<_> = scan.findings.iter().map(|finding| &finding.text).collect();
        assert_eq!(notes.len(), 1, "{variant:?} {notes:?}");
        assert!(notes[0].starts_with("7 faces have more than three corners"));
    }
}

#[test]
fn every_type_of_number_gives_the_same_mesh() {
    let (points, polygons) = prism();
    let expected = mesh(&points, fans(&polygons));
    let coordinates = [
        "char", "uchar", "short", "ushort", "int", "uint", "float", "double",
    ];
    let sized = ["int8", "uint8", "int16", "uint16", "int32", "uint32"];
    for encoding in [Encoding::Ascii, Encoding::Little, Encoding::Big] {
        for coordinate in coordinates.into_iter().chain(["float32", "float64"]) {
            let file = Ply {
                encoding,
                coordinate,
                ..PLAIN
            };
            assert_eq!(
                read("a.ply", &file.write(&points, &polygons)).mesh,
                expected,
                "{file:?}"
            );
        }
        for count in sized {
            for index in coordinates[..6].iter().copied() {
                let file = Ply {
                    encoding,
                    count,
                    index,
                    list: "vertex_index",
                    ..PLAIN
                };
                let scan = read("a.ply", &file.write(&points, &polygons));
                assert_eq!(scan.mesh, expected, "{file:?}");
            }
        }
    }
}

#[test]
fn doubles_keep_their_last_bit_and_floats_theirs() {
    let (points, faces) = icosphere(2);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "what a file of floats holds"
    )]
    let rounded: Vec<_> = points
        .iter()
        .map(|point| point.map(|value| f64::from(value as f32)))
        .collect();
    for encoding in [Encoding::Ascii, Encoding::Little, Encoding::Big] {
        let double = Ply {
            encoding,
            coordinate: "double",
            ..PLAIN
        };
        let scan = read("a.ply", &double.write(&points, &triangles(&faces)));
        assert_eq!(scan.mesh, mesh(&points, faces.clone()));
        assert!(scan.findings.is_empty());
        assert!(scan.mesh.stats().closed);
        let float = Ply { encoding, ..PLAIN };
        let scan = read("a.ply", &float.write(&points, &triangles(&faces)));
        assert_eq!(scan.mesh, mesh(&rounded, faces.clone()));
    }
}

/// The corners of each face: OBJ points are renumbered in the order of their first use.
fn corners(mesh: &TriMesh) -> Vec<[nalgebra::Point3<f64>; 3]> {
    (0..mesh.faces().len())
        .map(|face| mesh.corners(face))
        .collect()
}

#[test]
fn every_obj_variant_gives_the_same_mesh() {
    let shape = prism();
    let expected = mesh(&shape.0, fans(&shape.1));
    let total = i64::try_from(shape.0.len()).unwrap();
    let plain = |[x, y, z]: &[f64; 3]| format!("v {x} {y} {z}");
    let coloured = |[x, y, z]: &[f64; 3]| format!("v  {x:.3}\t{y:e} {z} 0.5 1 0.25");
    let from_one = |index: u32| (index + 1).to_string();
    let backwards = |index: u32| (i64::from(index) - total).to_string();
    let seam = |index: u32| format!("{}/{}/1", index + 1, index % 2 + 1);
    let normal = |index: u32| format!("{}//1", index + 1);
    let files = [
        obj(&shape, plain, from_one, "\n"),
        obj(&shape, plain, from_one, "\r\n"),
        obj(&shape, coloured, seam, "\n"),
        obj(&shape, coloured, normal, "\n"),
        obj(&shape, plain, backwards, "\n"),
    ];
    for text in files {
        let scan = read("a.obj", text.as_bytes());
        assert_eq!(scan.format, Format::Obj);
        assert_eq!(corners(&scan.mesh), corners(&expected), "{text}");
        assert_eq!(scan.mesh.points().len(), expected.points().len());
        assert!(scan.mesh.stats().closed);
    }
}

#[test]
fn obj_and_ply_of_one_shape_agree() {
    let (points, faces) = icosphere(3);
    let polygons = triangles(&faces);
    let ply = Ply {
        coordinate: "double",
        ..PLAIN
    }
    .write(&points, &polygons);
    let text = obj(
        &(points, polygons),
        |[x, y, z]| format!("v {x} {y} {z}"),
        |index| (index + 1).to_string(),
        "\n",
    );
    let (ply, obj) = (
        read("a.ply", &ply).mesh,
        read("a.obj", text.as_bytes()).mesh,
    );
    assert_eq!(corners(&ply), corners(&obj));
}

#[test]
fn what_was_done_to_the_faces_is_told() {
    let (points, faces) = cube();
    let mut polygons = triangles(&faces);
    polygons.push(vec![0, 0, 1]);
    polygons.push(vec![2, 3, 2]);
    let mut more = points.clone();
    more.push([9.0, 9.0, 9.0]);
    for encoding in [Encoding::Ascii, Encoding::Little] {
        let file = Ply { encoding, ..PLAIN }.write(&more, &polygons);
        let scan = read("a.obj", &file);
        assert_eq!(scan.mesh, mesh(&points, faces.clone()));
        let topics: Vec<_> = scan
            .findings
            .iter()
            .map(|finding| finding.topic.as_str())
            .collect();
        assert_eq!(topics, ["format", "faces without area", "loose points"]);
    }
}

#[test]
fn bytes_after_the_last_face_are_told() {
    let (points, faces) = cube();
    for encoding in [Encoding::Ascii, Encoding::Big] {
        let mut file = Ply { encoding, ..PLAIN }.write(&points, &triangles(&faces));
        file.extend(b"\n \n");
        assert!(read("a.ply", &file).findings.is_empty());
        file.extend(b"3 0 1 2\n");
        let scan = read("a.ply", &file);
        assert!(
            scan.findings[0]
                .text
                .contains("bytes stand after the last face")
        );
    }
}

fn regressions() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/regressions")
}

/// File name and part of the refusal, from the table that describes them.
fn refused_files() -> Vec<(String, String)> {
    let table = std::fs::read_to_string(regressions().join("README.md"))
        .expect("the table of broken files");
    let rows = table.lines().filter(|line| line.starts_with("| `bad-"));
    rows.map(|row| {
        let cells: Vec<_> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        let [file, _, part] = cells[..] else {
            panic!("three cells wanted: {row}");
        };
        (
            file.trim_matches('`').to_owned(),
            part.trim_matches('`').to_owned(),
        )
    })
    .collect()
}

#[test]
fn every_broken_file_is_refused_with_its_reason() {
    let listed = refused_files();
    for (file, part) in &listed {
        let error = read_scan(&regressions().join(file), &Limits::default())
            .expect_err(&format!("{file} must be refused"));
        let told = error.to_string();
        assert!(told.contains(file.as_str()) || error.is_limit(), "{told}");
        assert!(told.contains(part.as_str()), "{file}: {told}");
    }
    let mut there: Vec<_> = std::fs::read_dir(regressions())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.starts_with("bad-"))
        .collect();
    there.sort();
    let mut named: Vec<_> = listed.into_iter().map(|(file, _)| file).collect();
    named.sort();
    assert_eq!(there, named, "files and table differ");
}

/// Valid files to damage.
fn valid_files() -> Vec<Vec<u8>> {
    let (points, polygons) = prism();
    let mut files: Vec<_> = ply_variants()
        .iter()
        .map(|file| file.write(&points, &polygons))
        .collect();
    let point = |[x, y, z]: &[f64; 3]| format!("v {x} {y} {z} 1 0.5 0");
    let shape = (points, polygons);
    for corner in [
        |at: u32| format!("{}/1/1", at + 1),
        |at| format!("{}", i64::from(at) - 10),
    ] {
        files.push(obj(&shape, point, corner, "\n").into_bytes());
    }
    files
}

/// Small limits keep a damaged count from costing the test its time.
const SMALL: Limits = Limits {
    file_bytes: 1 << 20,
    vertices: 10_000,
    faces: 10_000,
    list_length: 100,
};

/// Reads the bytes under either name; what is read is sound and within limits.
fn survive(bytes: &[u8]) {
    for name in ["a.ply", "a.obj"] {
        match read_scan_bytes(name, bytes, &SMALL) {
            Ok(scan) => {
                assert!(!scan.mesh.faces().is_empty());
                assert!(scan.mesh.faces().len() as u64 <= SMALL.faces);
                assert!(
                    scan.mesh
                        .points()
                        .iter()
                        .all(|point| point.iter().all(|x| x.is_finite()))
                );
                assert_eq!(scan.mesh.stats().loose_vertices, 0);
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
        survive(&[b"ply\nformat binary_little_endian 1.0\n", &bytes[..]].concat());
        survive(&[b"v 0 0 0\nf ", &bytes[..]].concat());
    }

    #[test]
    fn damaged_files_bring_nothing_down(
        which in any::<proptest::sample::Index>(),
        changes in changes(),
    ) {
        let files = valid_files();
        let file = which.get(&files).clone();
        survive(&damaged(file, changes));
    }

    #[test]
    fn any_closed_form_survives_the_way_through_a_file(scale in 0.01_f64..1000.0, shift in -1e4_f64..1e4) {
        let (points, faces) = cube();
        let placed: Vec<_> = points.iter().map(|p| p.map(|x| x * scale + shift)).collect();
        let file = Ply { encoding: Encoding::Big, coordinate: "double", ..PLAIN };
        let scan = read("a.ply", &file.write(&placed, &triangles(&faces)));
        // Closed form: a cube of side 2 s. A coordinate is rounded by 2^-53 of |s| + |shift|, so a
        // side by twice that: relative to the side, the volume is off by three times as much, with
        // a factor of 10 for the sums over 12 faces.
        let volume = 8.0 * scale.powi(3);
        let tolerance = 30.0 * f64::EPSILON * (1.0 + (shift / scale).abs());
        prop_assert!((scan.mesh.signed_volume() / volume - 1.0).abs() <= tolerance);
        prop_assert!((scan.mesh.area() / (24.0 * scale * scale) - 1.0).abs() <= tolerance);
    }
}
