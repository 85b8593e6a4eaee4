//! How much a file may ask for.

use crate::error::{ErrorKind, Result};

/// The most a scan file may ask for; met before memory is set aside.
///
/// The defaults take the densest body scans (a few million faces) several times over. Raise a
/// limit for a larger scan, lower it where files come from strangers and memory is scarce: how much
/// memory a file takes at most is told under "Memory" in [`ingest`](super).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Size of the file in bytes. Default: 1 GiB.
    pub file_bytes: u64,
    /// Vertices. Default: 20 million.
    pub vertices: u64,
    /// Faces as the file counts them, and triangles after polygons are split. Default: 40 million.
    pub faces: u64,
    /// Corners of one face, and entries of any other list. Default: 4096.
    pub list_length: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            file_bytes: 1 << 30,
            vertices: 20_000_000,
            faces: 40_000_000,
            list_length: 4096,
        }
    }
}

impl Limits {
    pub(super) fn check_bytes(&self, asked: u64) -> Result<()> {
        check("size of the scan file in bytes", asked, self.file_bytes)
    }

    pub(super) fn check_vertices(&self, asked: u64) -> Result<()> {
        // Faces number their corners with 32 bits, whatever the limit says.
        let limit = self.vertices.min(u64::from(u32::MAX));
        check("number of vertices in the scan file", asked, limit)
    }

    pub(super) fn check_faces(&self, asked: u64) -> Result<()> {
        check("number of faces in the scan file", asked, self.faces)
    }
}

fn check(what: &'static str, asked: u64, limit: u64) -> Result<()> {
    if asked <= limit {
        return Ok(());
    }
    Err(ErrorKind::Limit {
        file: String::new(),
        what,
        asked,
        limit,
    }
    .into())
}
