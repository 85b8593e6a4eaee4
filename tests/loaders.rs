//! Every sample file has the faces, places and bounds that another library reads from it.
//!
//! Reference: `loaders.json`, printed by `loaders.py` beside it (trimesh; versions in the file).

mod common;

use common::every::every;
use girthwise::ingest::{Limits, read_scan_bytes};
use serde_json::Value;
use std::collections::BTreeSet;

/// Files the reference reads as something else than they are, and why.
const READ_OTHERWISE: [(&str, &str); 3] = [
    ("quantised.glb", "the reference passes over \"normalized\""),
    ("sparse.glb", "the reference passes over sparse values"),
    ("strips.glb", "the reference passes over fans"),
];

fn reference() -> Value {
    serde_json::from_str(include_str!("loaders.json")).expect("the script prints JSON")
}

#[test]
fn every_sample_reads_as_the_reference_reads_it() {
    let reference = reference();
    let mut compared = Vec::new();
    for (name, bytes) in every() {
        let row = &reference["files"][&name];
        assert!(
            row.is_object(),
            "{name} is not in loaders.json; print it anew"
        );
        if row["refused"].is_string() || READ_OTHERWISE.iter().any(|(other, _)| *other == name) {
            continue;
        }
        let read = read_scan_bytes(&name, &bytes, &Limits::default());
        let mesh = read.unwrap_or_else(|error| panic!("{error}")).mesh;
        let count = |key: &str| {
            row[key]
                .as_u64()
                .unwrap_or_else(|| panic!("{name}: no {key}"))
        };
        assert_eq!(mesh.faces().len() as u64, count("faces"), "{name}");
        // Zero and minus zero are one place.
        let bits = |p: &nalgebra::Point3<f64>| p.coords.map(|x| (x + 0.0).to_bits()).into();
        let places: BTreeSet<[u64; 3]> = mesh.points().iter().map(bits).collect();
        assert_eq!(places.len() as u64, count("places"), "{name}");
        let bounds = mesh.bounds().expect("points");
        for (key, corner) in [("low", bounds.min), ("high", bounds.max)] {
            for axis in 0..3 {
                let expected = row[key][axis].as_f64().expect("a coordinate");
                // The reference places glTF nodes in single precision: 1e-7 of some 20 units.
                assert!(
                    (corner[axis] - expected).abs() < 1e-5,
                    "{name} {key} {axis}"
                );
            }
        }
        for (key, found) in [("area", mesh.area()), ("volume", mesh.signed_volume())] {
            let expected = row[key].as_f64().expect("a number");
            assert!(
                (found / expected - 1.0).abs() < 1e-6,
                "{name} {key}: {found}"
            );
        }
        compared.push(name);
    }
    for format in ["ply", "obj", "stl", "glb", "gltf", "gz"] {
        let of = compared.iter().filter(|name| name.ends_with(format));
        assert!(of.count() > 0, "no {format} was compared: {compared:?}");
    }
    assert!(compared.len() >= 29, "{compared:?}");
}
