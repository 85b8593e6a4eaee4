//! Meshes of growing size for the benchmarks: the demo scan, each triangle cut in four once or more.
#![allow(dead_code, reason = "each benchmark uses its part")]

use girthwise::ingest::{Limits, RawMesh, read_scan};
use girthwise::mesh::TriMesh;
use std::path::Path;

#[path = "../../src/mesh/samples.rs"]
mod samples;

/// Sizes by how often the demo's 26 671 triangles are cut in four: 27 k, 107 k, 427 k, 1.7 M.
pub(crate) const SIZES: [(&str, u32); 4] = [("27k", 0), ("107k", 1), ("427k", 2), ("1.7M", 3)];

/// How many cores a benchmark may use.
#[derive(Clone, Copy)]
pub(crate) enum Cores {
    All,
    One,
}

/// Both, one after the other; without the feature `parallel` there is but one.
pub(crate) const CORES: [Cores; 2] = [Cores::All, Cores::One];

impl Cores {
    /// The name of a group of benchmarks run so: `section`, `section-one-core`.
    pub(crate) fn group(self, name: &str) -> String {
        match self {
            Self::All => name.to_owned(),
            Self::One => format!("{name}-one-core"),
        }
    }

    /// Runs the work on these cores.
    #[cfg(feature = "parallel")]
    pub(crate) fn run(self, work: impl FnOnce() + Send) {
        match self {
            Self::All => work(),
            Self::One => {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build();
                pool.expect("a thread").install(work);
            }
        }
    }

    /// Runs the work.
    #[cfg(not(feature = "parallel"))]
    pub(crate) fn run(self, work: impl FnOnce()) {
        work();
    }
}

pub(crate) fn demo() -> RawMesh {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/demo/scan.ply");
    read_scan(&path, &Limits::default()).expect("the demo scan reads")
}

/// The same surface with each triangle cut in four at the middles of its sides.
pub(crate) fn refined(mesh: &TriMesh, times: u32) -> TriMesh {
    let mut points: Vec<[f64; 3]> = mesh.points().iter().map(|p| p.coords.into()).collect();
    let mut faces = mesh.faces().to_vec();
    for _ in 0..times {
        faces = samples::split(&mut points, &faces);
    }
    let points = points.into_iter().map(nalgebra::Point3::from).collect();
    TriMesh::new(points, faces).expect("a refined mesh is sound")
}

/// Binary little-endian PLY, as most scanners write it.
pub(crate) fn ply(mesh: &TriMesh) -> Vec<u8> {
    let mut out = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        mesh.points().len(),
        mesh.faces().len()
    )
    .into_bytes();
    for p in mesh.points() {
        for x in p.coords.iter() {
            #[expect(clippy::cast_possible_truncation, reason = "the file holds f32")]
            out.extend((*x as f32).to_le_bytes());
        }
    }
    for face in mesh.faces() {
        out.push(3);
        for v in face {
            out.extend(v.to_le_bytes());
        }
    }
    out
}
