//! A body to turn round: the skin with its level lines and landmarks as a glTF file (GLB).
//!
//! Any viewer of the open format shows it. glTF is in metres with y up and the front towards +z, so the
//! body's x (to the wearer's right) becomes -x, and the wearer's right stays the wearer's right.
//!
//! ```text
//! Scan ─ parts ─ lines at the levels of the measures ┐
//!      ├ skin, whole or thinned ─────────────────────┼ Sheaf (bytes, accessors) ─ GLB
//!      └ landmarks ──────────────────────────────────┘
//! ```

use crate::error::{Error, ErrorKind, Result};
use crate::landmark::Landmark;
use crate::length::Length;
use crate::measure::{Measure, Mode};
use crate::part::Parts;
use crate::scan::Scan;
use crate::section::{Contour, Slicer};
use nalgebra::{Point3, Vector3};
use serde_json::json;

mod marker;
mod sheaf;

use sheaf::{Colour, Sheaf};

/// How much of the skin the file holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Detail {
    /// Points about 10 mm apart: small enough to send to a telephone.
    #[default]
    Light,
    /// Every face of the scan.
    Full,
}

/// Distance between points of the light skin, in mm.
const LIGHT_MM: f64 = 10.0;

const SKIN: Colour = Colour::opaque([0.72, 0.68, 0.64]);
const LINE: Colour = Colour::opaque([0.05, 0.25, 0.45]);
const MARK: Colour = Colour::opaque([0.75, 0.2, 0.05]);

/// The scan as GLB bytes: skin, a closed line at each level a girth was taken at, and a small marker
/// at each landmark, all named as in reports.
///
/// A line's `extras` hold the measure's key, its girth and standard uncertainty in mm; a marker's hold the
/// landmark's key, its HAnim name (ISO/IEC 19774) if it has one, uncertainty and rule. Lines of rough skin
/// are drawn as they were read, smoothed.
///
/// # Units
/// Metres, y up, front to +z, floor at 0.
///
/// # Accuracy
/// Single precision, as the format has it: about 0.0001 mm on a body.
///
/// # Errors
/// [`ErrorKind::Limit`] if the file would pass the 4 GiB the format can state.
///
/// # Examples
/// ```
/// use girthwise::{frame::FrameOptions, ingest::{Limits, read_scan}, scan::measure_scan};
/// use girthwise::model::{Detail, glb};
/// let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default())?;
/// let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
/// let bytes = glb(&scan, Detail::Light)?;
/// assert!(bytes.starts_with(b"glTF"));
/// # Ok::<(), girthwise::Error>(())
/// ```
pub fn glb(scan: &Scan, detail: Detail) -> Result<Vec<u8>> {
    let thinned = (detail == Detail::Light).then(|| scan.body.mesh().thinned(LIGHT_MM).mesh);
    let skin = thinned.as_ref().unwrap_or(scan.body.mesh());
    let mut sheaf = Sheaf::new();
    let [skin_look, line_look, mark_look] = [SKIN, LINE, MARK].map(|colour| sheaf.look(colour));
    let points: Vec<[f32; 3]> = skin.points().iter().map(to_gltf).collect();
    let turned: Vec<[f32; 3]> = skin.point_normals().iter().map(direction).collect();
    let body = sheaf.surface("skin", &points, Some(&turned), skin.faces(), skin_look)?;
    let mut roots = vec![sheaf.node("skin", body, None, None)];

    let level = Slicer::level(scan.body.mesh()).indexed();
    let mut lines = Vec::new();
    for measure in scan.measures.values() {
        if let Some(contour) = line_of(&scan.parts, &level, measure) {
            let height = measure.level_mm.map_or(0.0, Length::mm);
            let points: Vec<[f32; 3]> = contour
                .points()
                .iter()
                .map(|&[x, y]| to_gltf(&Point3::new(x, y, height)))
                .collect();
            let name = measure.id.to_string();
            let ring = sheaf.ring(&name, &points, line_look)?;
            let said = json!({
                "measure": measure.id.key, "side": measure.id.side,
                "girth_mm": measure.value, "sd_mm": measure.spread.sd, "height_mm": height,
            });
            lines.push(sheaf.node(&name, ring, None, Some(&said)));
        }
    }
    roots.push(sheaf.group("level lines", lines));

    let (points, faces) = marker::octahedron();
    let shape = sheaf.surface("landmark", &points, None, &faces, mark_look)?;
    let marks = scan.landmarks.found.iter().map(|mark| {
        let at = to_gltf(&Point3::from(mark.point_mm));
        sheaf.node(&mark.name(), shape, Some(at), Some(&said_of(mark)))
    });
    let marks = marks.collect();
    roots.push(sheaf.group("landmarks", marks));
    sheaf.into_glb(roots)
}

fn said_of(mark: &Landmark) -> serde_json::Value {
    json!({
        "landmark": mark.key, "side": mark.side, "hanim": mark.key.hanim(mark.side),
        "sd_mm": mark.sd_mm, "rule": mark.rule, "confidence": mark.confidence,
    })
}

/// The line a level girth runs along: of trunk or leg; none for a measure that is no level girth.
fn line_of(parts: &Parts, slicer: &Slicer<'_>, measure: &Measure) -> Option<Contour> {
    if measure.id.key.definition().mode != Mode::Taut {
        return None;
    }
    let height = measure.level_mm?.mm();
    // What can be measured can be cut; a girth of several parts at once has no line of its own here.
    let contour = match measure.id.side {
        Some(side) => parts.leg_at(slicer, side, height),
        None => parts.trunk_at(slicer, height),
    };
    Some(contour.ok()?.settled().into_owned())
}

/// Metres, y up, front to +z.
fn to_gltf(point: &Point3<f64>) -> [f32; 3] {
    [-point.x, point.z, point.y].map(|mm| single(mm / 1000.0))
}

/// The same for a direction, made of unit length; up where there is none.
fn direction(of: &Vector3<f64>) -> [f32; 3] {
    let unit = of
        .try_normalize(f64::MIN_POSITIVE)
        .unwrap_or_else(Vector3::z);
    [-unit.x, unit.z, unit.y].map(single)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the format is in single precision"
)]
fn single(value: f64) -> f32 {
    value as f32
}

fn too_large(bytes: usize) -> Error {
    ErrorKind::Limit {
        file: "model".to_owned(),
        what: "bytes of a GLB file; write the light one",
        asked: bytes as u64,
        limit: u64::from(u32::MAX),
    }
    .into()
}
