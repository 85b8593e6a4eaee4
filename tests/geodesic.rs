//! Shortest paths over a body's skin against those of another library.
//!
//! Reference: `geodesic.json`, printed by `geodesic.py` beside it (pygeodesic, exact; versions in
//! the file).

use girthwise::ingest::{Limits, read_scan};
use girthwise::mesh::Geodesics;
use nalgebra::Point3;
use serde_json::Value;
use std::path::Path;

/// No way is shorter than the exact one. Skin has saddles, on either side of which a path may be
/// shortest among those near it: so not all are the shortest, but none is far from it.
#[test]
fn ways_are_as_short_as_the_exact_ones() {
    let reference: Value =
        serde_json::from_str(include_str!("geodesic.json")).expect("the script prints JSON");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies/body-05.ply");
    let body = read_scan(&path, &Limits::default()).expect("the body is readable");
    let ways = Geodesics::new(body.mesh).expect("it has faces");
    let pairs = reference["pairs"].as_array().expect("pairs");
    assert!(pairs.len() >= 50, "{}", pairs.len());
    let point = |value: &Value| {
        let at = |k: usize| value[k].as_f64().expect("a coordinate");
        Point3::new(at(0), at(1), at(2))
    };
    let mut longer = Vec::new();
    for pair in pairs {
        let [a, b] = [0, 1].map(|k| point(&pair["ends"][k]));
        let exact = pair["length_mm"].as_f64().expect("a length");
        let found = ways.distance(&a, &b).expect("the skin is whole");
        // Ends are printed to 1e-6 mm.
        assert!(found > exact - 1e-5, "{a} {b}: {found} < {exact}");
        if found > exact + 1e-5 {
            longer.push(found / exact - 1.0);
        }
    }
    assert!(longer.len() <= 20, "{longer:?}");
    assert!(longer.iter().all(|&by| by < 0.01), "{longer:?}");
    let apart = longer.iter().filter(|&&by| by > 3e-4).count();
    assert!(apart <= 3, "{longer:?}");
}
