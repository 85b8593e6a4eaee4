//! Reading a scan: from the bytes of a file to a mesh in the unit of the file.
//!
//! The format is told by the content first and by the name second. What a file promises is checked
//! against what it holds and against [`Limits`] before memory is set aside, and every fault is told
//! with its place. Nothing is repaired here but what has one meaning only: polygons are split,
//! faces without area dropped, points of no face left out, each with a [`Finding`].
//!
//! # Memory
//! The most that reading holds at once, as a multiple of the file's size, the file's own bytes
//! included: binary PLY and STL 3, text PLY 3, GLB 5, OBJ 8; a packed file its own size and, of what
//! it holds, 3 more than its format. `tests/memory.rs` keeps to these. The mesh that is left takes
//! 24 bytes a point and 12 a face. So a machine with 4 GB to spare reads an OBJ file of 500 MB; where
//! less is to be spared, lower [`Limits::file_bytes`].

use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;
use crate::length::LengthUnit;
use crate::mesh::TriMesh;
use crate::parallel::both;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;
use std::io::Read;
use std::path::Path;

mod faces;
mod gltf;
mod gzip;
mod limits;
mod obj;
mod ply;
mod recognise;
mod stl;

pub use limits::Limits;
pub use recognise::is_named_as_scan;

/// A scan file format this crate reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Format {
    /// PLY, the polygon file format: text, or binary of either byte order.
    Ply,
    /// OBJ: text, points and faces only.
    Obj,
    /// STL: text or binary, triangles that share no points.
    Stl,
    /// glTF 2.0: text with buffers, or binary (GLB).
    Gltf,
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Ply => "PLY",
            Self::Obj => "OBJ",
            Self::Stl => "STL",
            Self::Gltf => "glTF",
        })
    }
}

/// A scan as its file has it: no unit yet, no frame, not known to be a body.
#[derive(Clone, Debug, PartialEq)]
pub struct RawMesh {
    /// Points and faces, in the unit and the axes of the file.
    pub mesh: TriMesh,
    /// The format that was read.
    pub format: Format,
    /// The unit, if the format states it: glTF says metres, which its writers do not always mind.
    pub unit_hint: Option<LengthUnit>,
    /// SHA-256 of the file's bytes, packed if it is, and of files beside it that hold its buffers,
    /// in the order they are named; in lower-case hexadecimal digits (FIPS 180-4).
    pub digest: String,
    /// Size of the same in bytes.
    pub bytes: u64,
    /// What was noticed while reading.
    pub findings: Vec<Finding>,
}

/// What a format's reader makes of the bytes.
struct Parsed {
    mesh: TriMesh,
    /// Points of the file that are not in the mesh, because no face names them.
    left_out: usize,
    unit_hint: Option<LengthUnit>,
    /// What was read from files beside this one.
    beside: Vec<Vec<u8>>,
    findings: Vec<Finding>,
}

impl Parsed {
    /// All of the file's points in the mesh, no unit, no other file.
    fn of(mesh: TriMesh, findings: Vec<Finding>) -> Self {
        Self {
            mesh,
            left_out: 0,
            unit_hint: None,
            beside: Vec::new(),
            findings,
        }
    }
}

/// Reads a scan file.
///
/// # Errors
/// [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses the file,
/// [`ErrorKind::Limit`](crate::ErrorKind::Limit) if it asks for more than `limits` allow, and
/// [`ErrorKind::Input`](crate::ErrorKind::Input) with the place if it cannot be read as a mesh.
pub fn read_scan(path: &Path, limits: &Limits) -> Result<RawMesh> {
    let refused = |source| Error::io(path, source);
    let file = std::fs::File::open(path).map_err(refused)?;
    let size = file.metadata().map_err(refused)?.len();
    let name = path.display().to_string();
    limits
        .check_bytes(size)
        .map_err(|error| error.in_file(&name))?;
    let mut bytes = Vec::with_capacity(usize::try_from(size).unwrap_or(0));
    // The size is a promise only: a pipe has none, and a file may grow while it is read.
    let one_too_many = limits.file_bytes.saturating_add(1);
    file.take(one_too_many)
        .read_to_end(&mut bytes)
        .map_err(refused)?;
    read(
        &name,
        &bytes,
        Some(path.parent().unwrap_or(Path::new(""))),
        limits,
    )
    .map_err(|error| error.in_file(&name))
}

/// Reads a scan from the bytes of a file; `name` serves messages and a second look at the format.
///
/// # Errors
/// As [`read_scan`], but for the system's.
///
/// # Examples
/// ```
/// use girthwise::ingest::{Format, Limits, read_scan_bytes};
/// let text = "v 0 0 0\nv 4 0 0\nv 0 3 0\nf 1 2 3\n";
/// let scan = read_scan_bytes("corner.obj", text.as_bytes(), &Limits::default())?;
/// assert_eq!(scan.format, Format::Obj);
/// assert_eq!(scan.mesh.area(), 6.0);
/// # Ok::<(), girthwise::Error>(())
/// ```
pub fn read_scan_bytes(name: &str, bytes: &[u8], limits: &Limits) -> Result<RawMesh> {
    read(name, bytes, None, limits).map_err(|error| error.in_file(name))
}

/// Reads a scan; `beside` is the folder it lies in, if it is known.
fn read(name: &str, bytes: &[u8], beside: Option<&Path>, limits: &Limits) -> Result<RawMesh> {
    limits.check_bytes(bytes.len() as u64)?;
    let (parsed, mut hash) = both(
        || parse(name, bytes, beside, limits),
        || Sha256::new_with_prefix(bytes),
    );
    let (format, parsed) = parsed?;
    if parsed.mesh.faces().is_empty() {
        return Err(Error::input(
            Place::new(name, Spot::Whole),
            "every face of the file has two corners at one point, so there is no surface to \
             measure; export the scan again",
        ));
    }
    let mut findings = parsed.findings;
    let (mesh, loose) = parsed.mesh.without_loose_points();
    let loose = loose + parsed.left_out;
    if loose > 0 {
        findings.push(Finding::note(
            "loose points",
            format!("{loose} points belong to no face and were left out."),
        ));
    }
    let mut size = bytes.len() as u64;
    for more in &parsed.beside {
        hash.update(more);
        size += more.len() as u64;
    }
    Ok(RawMesh {
        mesh,
        format,
        unit_hint: parsed.unit_hint,
        digest: hex(&hash.finalize()),
        bytes: size,
        findings,
    })
}

/// Unpacks the file if it is packed, and hands it to the reader of its format.
fn parse(
    name: &str,
    bytes: &[u8],
    beside: Option<&Path>,
    limits: &Limits,
) -> Result<(Format, Parsed)> {
    let unpacked;
    let (bytes, inner_name) = if gzip::is_gzip(bytes) {
        unpacked = gzip::unpack(name, bytes, limits)?;
        (unpacked.as_slice(), gzip::inner_name(name))
    } else {
        (bytes, name)
    };
    let (format, mut findings) = recognise::format(name, inner_name, bytes)?;
    let mut parsed = match format {
        Format::Ply => ply::read(name, bytes, limits),
        Format::Obj => obj::read(name, bytes, limits),
        Format::Stl => stl::read(name, bytes, limits),
        Format::Gltf => gltf::read(name, bytes, beside, limits),
    }?;
    findings.append(&mut parsed.findings);
    Ok((format, Parsed { findings, ..parsed }))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// `text` as part of a message: printable, quoted, and no longer than a line.
fn excerpt(text: &[u8]) -> String {
    const LONGEST: usize = 60;
    let start = &text[..text.len().min(LONGEST)];
    let more = if text.len() > LONGEST { "…" } else { "" };
    format!("{:?}{more}", String::from_utf8_lossy(start.trim_ascii()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CORNER: &str = "v 0 0 0\nv 4 0 0\nv 0 3 0\nv 7 7 7\nf 1 2 3\n";

    #[test]
    fn the_digest_is_that_of_the_standard() {
        // FIPS 180-4 example: SHA-256 of "abc" (from memory, as published by NIST).
        assert_eq!(
            hex(&Sha256::digest(b"abc")),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        let scan = read_scan_bytes("a.obj", CORNER.as_bytes(), &Limits::default()).unwrap();
        assert_eq!(scan.digest, hex(&Sha256::digest(CORNER)));
        assert_eq!(scan.bytes, CORNER.len() as u64);
    }

    #[test]
    fn each_limit_is_met_and_named() {
        let over =
            |limits: Limits| read_scan_bytes("a.obj", CORNER.as_bytes(), &limits).unwrap_err();
        let limits = Limits::default();
        let cases = [
            (
                Limits {
                    file_bytes: 39,
                    ..limits
                },
                "bytes",
            ),
            (
                Limits {
                    vertices: 3,
                    ..limits
                },
                "vertices",
            ),
            (Limits { faces: 0, ..limits }, "faces"),
        ];
        for (limits, word) in cases {
            let error = over(limits);
            assert!(error.is_limit(), "{error}");
            assert!(error.to_string().contains(word), "{error}");
        }
    }

    #[test]
    fn a_missing_file_is_told_by_its_path() {
        let error = read_scan(Path::new("no/such.ply"), &Limits::default()).unwrap_err();
        assert!(error.to_string().starts_with("no/such.ply: "), "{error}");
    }
}
