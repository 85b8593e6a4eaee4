//! The invented body with known truth, and the demo scan.

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Format, Limits, RawMesh, read_scan};
use girthwise::mesh::TriMesh;
use girthwise::scan::{Scan, measure_scan};
use std::path::PathBuf;

/// A file of the project's data folder.
pub(crate) fn data(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("data")
        .join(name)
}

/// The mesh of a scan file, in its own unit and axes.
pub(crate) fn load(name: &str) -> TriMesh {
    let scan = read_scan(&data(name), &Limits::default());
    scan.unwrap_or_else(|error| panic!("{error}")).mesh
}

/// A mesh as if it had been read from a file.
pub(crate) fn raw(mesh: TriMesh) -> RawMesh {
    RawMesh {
        mesh,
        format: Format::Ply,
        unit_hint: None,
        digest: String::new(),
        bytes: 0,
        findings: Vec::new(),
    }
}

/// Everything measured, with nothing told but what the shape shows.
pub(crate) fn measured(mesh: TriMesh) -> Scan {
    measured_with(mesh, FrameOptions::default())
}

/// Everything measured, with `options` for the frame.
pub(crate) fn measured_with(mesh: TriMesh, options: FrameOptions) -> Scan {
    measure_scan(raw(mesh), &options, |_| {}).unwrap_or_else(|error| panic!("{error}"))
}
