//! What the fuzz targets share: small limits, what must hold of a scan that was read, and a profile.

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, RawMesh, read_scan_bytes};
use girthwise::mesh::TriMesh;
use girthwise::profile::Profile;
use girthwise::scan::{Scan, measure_scan};
use girthwise::tape::TapeSet;
use std::sync::OnceLock;

pub mod bytes;
pub mod job;

/// So small that an allocation of more than 16 MB is a find: `-malloc_limit_mb=16`.
pub const SMALL: Limits = Limits {
    file_bytes: 1 << 20,
    vertices: 20_000,
    faces: 20_000,
    list_length: 100,
};

/// Reads the bytes under a name. What is read is sound and within limits; what is refused is
/// refused for a reason that lies in the file, in words.
pub fn read(name: &str, bytes: &[u8]) -> Option<RawMesh> {
    match read_scan_bytes(name, bytes, &SMALL) {
        Ok(scan) => {
            let mesh = &scan.mesh;
            assert!(!mesh.faces().is_empty() && mesh.faces().len() as u64 <= SMALL.faces);
            assert!(mesh.points().len() as u64 <= SMALL.vertices);
            assert!(is_finite(mesh));
            let count = mesh.points().len() as u32;
            assert!(mesh.faces().as_flattened().iter().all(|&at| at < count));
            assert_eq!(mesh.stats().loose_vertices, 0);
            assert_eq!(scan.digest.len(), 64);
            assert_eq!(scan.bytes, bytes.len() as u64);
            Some(scan)
        }
        Err(error) => {
            assert!(error.is_input() || error.is_limit(), "{error}");
            assert!(error.to_string().len() > 10);
            None
        }
    }
}

/// As [`read`], then cleaned: the next thing that happens to every scan.
pub fn read_and_clean(name: &str, bytes: &[u8]) {
    if let Some(scan) = read(name, bytes) {
        let cleaned = scan.mesh.clean().mesh;
        assert!(is_finite(&cleaned));
        assert_eq!(cleaned.stats().loose_vertices, 0);
    }
}

/// True if every coordinate is a number.
pub fn is_finite(mesh: &TriMesh) -> bool {
    mesh.points()
        .iter()
        .all(|p| p.iter().all(|x| x.is_finite()))
}

/// The demo scan, measured once a run.
pub fn demo() -> &'static Scan {
    static DEMO: OnceLock<Scan> = OnceLock::new();
    DEMO.get_or_init(|| {
        let bytes = include_bytes!("../../../data/demo/scan.ply");
        let raw = read_scan_bytes("scan.ply", bytes, &Limits::default()).expect("reads");
        measure_scan(raw, &FrameOptions::default(), |_| ()).expect("a body")
    })
}

/// The demo's profile without a tape.
pub fn profile() -> &'static Profile {
    static PROFILE: OnceLock<Profile> = OnceLock::new();
    PROFILE.get_or_init(|| Profile::of(demo(), &TapeSet::default()))
}
