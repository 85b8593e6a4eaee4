//! One call from a scan file to all that it says.

use crate::error::Result;
use crate::finding::Finding;
use crate::frame::{Body, FrameDecision, FrameOptions, find_frame};
use crate::ingest::{Format, RawMesh};
use crate::landmark::{Landmarks, Pins, Survey};
use crate::length::LengthUnit;
use crate::measure::on_whole_skin;
use crate::measure::plausible::odd_looks;
use crate::measure::tilt::tilts;
use crate::measure::{MeasureId, MeasureSet, Tilted, measure_body};
use crate::mesh::MeshStats;
use crate::parallel::{both, map_indices};
use crate::part::Parts;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A step on the way from a file to its measures, for progress on long work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// Unit, up, front and floor are being found.
    Frame,
    /// The body is being cut, level by level.
    Survey,
    /// Landmarks are being looked for.
    Landmarks,
    /// Measures are being taken.
    Measures,
}

/// Where a scan comes from and what was made of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Provenance {
    /// Version of this crate.
    pub girthwise: String,
    /// Format of the file.
    pub format: Format,
    /// SHA-256 of the file's bytes, in hexadecimal: tells two scans apart without holding either.
    /// Empty for a mesh that comes from no file.
    #[schemars(regex(pattern = r"^([0-9a-f]{64})?$"))]
    pub digest: String,
    /// Size of the file in bytes.
    pub bytes: u64,
    /// Counts of the mesh as measured.
    pub mesh: MeshStats,
    /// How the file's axes and unit were read.
    pub frame: FrameDecision,
}

/// A scanned body with all that was found on it.
#[derive(Clone, Debug)]
pub struct Scan {
    /// The body in its frame.
    pub body: Body,
    /// Trunk, legs, arms, neck and head, level by level.
    pub parts: Parts,
    /// Landmarks found and missing.
    pub landmarks: Landmarks,
    /// Measures taken and withheld.
    pub measures: MeasureSet,
    /// Where it comes from.
    pub provenance: Provenance,
}

impl Scan {
    /// These measures as a tape out of level reads them, girth by girth, each way, angles rising; none for
    /// what is no level girth of trunk or legs, nor where the plane cuts more than that part or misses skin.
    ///
    /// Cut when it is called: only a tape that disagrees asks for it
    /// ([`cross_check_with`](crate::crosscheck::cross_check_with)).
    #[must_use]
    pub fn tilts(&self, ids: &[MeasureId]) -> Vec<Tilted> {
        tilts(self.body.outline(), &self.parts, &self.measures, ids)
    }
}

/// What the caller knows about a scan; what is left open is found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScanOptions {
    /// What is known of the file's frame.
    pub frame: FrameOptions,
    /// Landmarks put by hand.
    pub pins: Pins,
}

/// Measures a scan on its shape alone: mesh mended, frame, parts, landmarks, measures.
///
/// `progress` is told each step as it begins.
///
/// # Errors
/// As [`find_frame`]: the mesh is no standing body, or does not show its unit, up or front.
pub fn measure_scan(
    raw: RawMesh,
    options: &FrameOptions,
    progress: impl FnMut(Step),
) -> Result<Scan> {
    let options = ScanOptions {
        frame: *options,
        pins: Pins::NONE,
    };
    measure_scan_with(raw, &options, progress)
}

/// The same with landmarks put by hand.
///
/// # Errors
/// As [`measure_scan`], and as [`Landmarks::find_with`]: a pin does not fit the body.
pub fn measure_scan_with(
    raw: RawMesh,
    options: &ScanOptions,
    mut progress: impl FnMut(Step),
) -> Result<Scan> {
    progress(Step::Frame);
    let RawMesh {
        mesh,
        format,
        unit_hint,
        digest,
        bytes,
        mut findings,
    } = raw;
    let mut cleaned = mesh.clean();
    findings.append(&mut cleaned.findings);
    let body = find_frame(cleaned.mesh, &options.frame)?;
    findings.extend(unit_hint.and_then(|hint| other_unit(format, hint, body.frame())));
    progress(Step::Survey);
    let survey = Survey::new(&body);
    progress(Step::Landmarks);
    let landmarks = Landmarks::find_with(&survey, &options.pins)?;
    progress(Step::Measures);
    let (mut measures, stats) = both(|| measure_body(&survey, &landmarks), || body.mesh().stats());
    if stats.boundary_edges == 0 {
        on_whole_skin(&mut measures);
    }
    measures.findings = findings
        .into_iter()
        .chain(body.findings().iter().cloned())
        .chain(skin_findings(&stats))
        .chain(rough_skin(&survey))
        .chain(survey.parts.findings.iter().cloned())
        .chain(landmarks.findings.iter().cloned())
        .chain(std::mem::take(&mut measures.findings))
        .chain(odd_looks(&measures))
        .collect();
    Ok(Scan {
        provenance: Provenance {
            girthwise: env!("CARGO_PKG_VERSION").to_owned(),
            format,
            digest,
            bytes,
            mesh: stats,
            frame: body.frame().clone(),
        },
        parts: survey.parts,
        landmarks,
        measures,
        body,
    })
}

/// A remark if the file's unit is not the one its format states. The body's height decides: writers
/// of glTF often pass on the numbers they were given.
fn other_unit(format: Format, stated: LengthUnit, found: &FrameDecision) -> Option<Finding> {
    let unit = &found.unit;
    (unit.value != stated && !unit.given).then(|| {
        Finding::look(
            "unit",
            format!(
                "{format} files are in {stated:?} by their standard, but the height of the body \
                 says {:?}; that is what was taken. Check one length you know.",
                unit.value
            ),
        )
    })
}

/// Levels of the trunk at which its skin is looked at.
const LOOKS: usize = 24;
/// Roughness of the middle one of these levels, in mm, from which it is told. Smooth bodies show 0.4
/// at most, facets of 30 mm 0.5, noise of 2 mm on every coordinate 0.7 to 0.8.
const ROUGH_MM: f64 = 0.6;

/// A remark if the trunk's skin is rough nearly everywhere: scanner noise, cloth or loose hair.
fn rough_skin(survey: &Survey<'_>) -> Option<Finding> {
    let pieces = &survey.parts.trunk.pieces;
    let step = pieces.len().div_ceil(LOOKS).max(1);
    let looks: Vec<_> = pieces.iter().step_by(step).collect();
    let mut rough = map_indices(looks.len(), |i| looks[i].contour.smoothed().1);
    rough.sort_by(f64::total_cmp);
    let middle = *rough.get(rough.len() / 2)?;
    (middle > ROUGH_MM).then(|| {
        Finding::look(
            "rough skin",
            format!(
                "the skin of the trunk is rough by {middle:.1} mm or more at half of its levels: noise of the scanner, folds of cloth or loose hair. Girths are taken on smoothed skin and are less sure for it; scan again in close-fitting clothes, hair tied up"
            ),
        )
    })
}

/// What the counts of a mesh say about its skin.
fn skin_findings(stats: &MeshStats) -> Option<Finding> {
    (stats.boundary_edges > 0).then(|| {
        Finding::note(
            "holes",
            format!(
                "skin is missing: {} edges of triangles lie at the rim of a hole. Where a level runs through one, the gap is bridged straight and counted in the uncertainty, or the measure is withheld.",
                stats.boundary_edges
            ),
        )
    })
}
