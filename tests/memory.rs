//! How much memory reading takes: a stated multiple of the file's size, and next to nothing for a
//! file that only promises.

mod common;

use common::body::data;
use common::files::{glb, glb_of, obj, packed, stl_of};
use common::{Encoding, PLAIN, Ply, icosphere, triangles};
use girthwise::ingest::{Limits, read_scan, read_scan_bytes};
use peak_alloc::PeakAlloc;
use serde_json::json;
use std::fs;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Counts a list that moves as old and new together, so it never tells less than the system holds.
#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// Held by each test from its first line to its last: there is one count for all threads of the
/// program, and what another test sets aside would be counted too.
fn alone() -> MutexGuard<'static, ()> {
    static ALONE: Mutex<()> = Mutex::new(());
    ALONE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The most bytes held at once while `work` runs, beyond those held before.
fn peak<T>(work: impl FnOnce() -> T) -> usize {
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    let made = work();
    let most = MEMORY.peak_usage();
    drop(made);
    most - before
}

/// The most that reading takes, file included, as a multiple of the file's size: what the docs of
/// `girthwise::ingest` state, for scans of any size.
const PLY_BINARY: f64 = 3.0;
const PLY_TEXT: f64 = 3.0;
const OBJ: f64 = 8.0;
const STL: f64 = 3.0;
const GLB: f64 = 5.0;
/// Of what the archive holds: it grows by doubling, and then has its own format's share.
const UNPACKING: f64 = 3.0;

/// A ball of 81 920 faces in every format, as a file.
fn files() -> Vec<(&'static str, Vec<u8>, f64)> {
    let (points, faces) = icosphere(6);
    let polygons = triangles(&faces);
    let ply = |encoding| Ply { encoding, ..PLAIN }.write(&points, &polygons);
    let little = ply(Encoding::Little);
    let shape = (points.clone(), polygons.clone());
    let point = |[x, y, z]: &[f64; 3]| format!("v {x:.6} {y:.6} {z:.6}");
    let corner = |at: u32| (at + 1).to_string();
    let text = obj(&shape, point, corner, "\n").into_bytes();
    let swell = little.len() as f64 / packed(&little).len() as f64;
    vec![
        (
            "a.ply.gz",
            packed(&little),
            1.0 + (UNPACKING + PLY_BINARY) * swell,
        ),
        ("a.ply", little, PLY_BINARY),
        ("b.ply", ply(Encoding::Big), PLY_BINARY),
        ("c.ply", ply(Encoding::Ascii), PLY_TEXT),
        ("a.obj", text, OBJ),
        ("a.stl", stl_of(&points, &faces), STL),
        ("a.glb", glb_of(&points, &faces), GLB),
    ]
}

#[test]
fn reading_takes_no_more_than_the_stated_multiple() {
    let _alone = alone();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("memory");
    fs::create_dir_all(&folder).expect("a folder of its own");
    for (name, bytes, stated) in files() {
        let path = folder.join(name);
        fs::write(&path, &bytes).expect("room for a few megabytes");
        let size = bytes.len() as f64;
        drop(bytes);
        let peak = peak(|| {
            let scan = read_scan(&path, &Limits::default()).expect("reads");
            assert_eq!(scan.mesh.faces().len(), 81_920);
            scan
        });
        let multiple = peak as f64 / size;
        assert!(
            multiple <= stated,
            "{name}: {multiple:.2} times its size, {stated} are stated"
        );
        // Far below what is stated, the statement would be no use to anyone.
        assert!(
            multiple >= stated / 4.0,
            "{name}: {multiple:.2} times its size only"
        );
    }
}

/// Files of at most a few kilobytes that name billions of things.
#[test]
fn promises_alone_set_no_memory_aside() {
    let _alone = alone();
    let header = |vertices: &str, faces: &str, list: &str| {
        format!(
            "ply\nformat binary_little_endian 1.0\nelement vertex {vertices}\nproperty float x\n\
             property float y\nproperty float z\nelement face {faces}\n\
             property list {list} int vertex_indices\nend_header\n"
        )
        .into_bytes()
    };
    let mut long_list = header("3", "1", "uint");
    long_list.extend([0; 36]);
    long_list.extend(u32::MAX.to_le_bytes());
    long_list.extend([0; 400]);
    let mut stl = vec![0; 84 + 50];
    stl[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
    let many = json!({
        "asset": {"version": "2.0"},
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
        "accessors": [{"componentType": 5126, "count": 4_000_000_000_u64, "type": "VEC3"}],
        "bufferViews": [], "buffers": []
    });
    let swelling = packed(&vec![b' '; 4 << 20]);
    // Also where the limits would allow it all.
    let wide = Limits {
        file_bytes: 1 << 20,
        vertices: u64::MAX,
        faces: u64::MAX,
        list_length: u64::MAX,
    };
    for (name, bytes) in [
        ("a.ply", header("4000000000", "4000000000", "uchar")),
        ("a.ply", header("18446744073709551615", "1", "uchar")),
        ("a.ply", long_list),
        ("a.stl", stl),
        ("a.glb", glb(&many, &[0; 12])),
        (
            "a.obj",
            b"v 0 0 0\nf 1 2 4000000000\nf -1 -2 -4000000000\n".to_vec(),
        ),
        ("a.ply.gz", swelling),
    ] {
        for limits in [&Limits::default(), &wide] {
            let peak = peak(|| read_scan_bytes(name, &bytes, limits).expect_err("refused"));
            // An archive may be unpacked as far as the limit, and its buffer grows by doubling.
            let most = if name.ends_with("gz") {
                16 << 20
            } else {
                256 << 10
            };
            assert!(peak < most, "{name} of {} bytes took {peak}", bytes.len());
        }
    }
}

/// The broken files that are kept, all of a few kilobytes.
#[test]
fn broken_files_take_little() {
    let _alone = alone();
    for entry in fs::read_dir(data("regressions")).expect("the folder") {
        let path = entry.expect("an entry").path();
        let peak = peak(|| read_scan(&path, &Limits::default()).is_ok());
        assert!(peak < 64 << 20, "{} took {peak}", path.display());
    }
}
