//! The highest point of the body.

use super::{PEAK, missing};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use nalgebra::{Matrix6, Point3, Vector3, Vector6};

pub(in crate::landmark) fn vertex(survey: &Survey<'_>) -> Found {
    let top = survey
        .mesh
        .points()
        .iter()
        .max_by(|a, b| a.z.total_cmp(&b.z));
    let top = top.ok_or_else(|| missing(LandmarkKey::Vertex, None, "the mesh is empty"))?;
    // A cap of few points shows no roughness: the head's contours below it do.
    let below = survey.parts.upper.noise_mm(top.z - HEAD_MM, top.z);
    Ok(Landmark {
        key: LandmarkKey::Vertex,
        side: None,
        point_mm: [top.x, top.y, top.z],
        sd_mm: 1.0_f64.hypot(PEAK * crown_roughness(survey, top).max(below)),
        confidence: Confidence::Clear,
        rule: "highest point of the body".to_owned(),
    })
}

/// Skin about the top of the head that shows its roughness, in mm: a cap of 6 mm at a radius of 80 mm.
const CROWN_MM: f64 = 30.0;

/// How far below its top a head's contours tell how rough its skin is, in mm: down to the brows.
const HEAD_MM: f64 = 100.0;

/// Standard deviation of the crown's points about the paraboloid that fits them best, in mm.
fn crown_roughness(survey: &Survey<'_>, top: &Point3<f64>) -> f64 {
    let cap: Vec<_> = survey
        .mesh
        .points()
        .iter()
        .map(|p| (p - top) / CROWN_MM)
        .filter(|d| d.norm_squared() <= 1.0)
        .collect();
    let row = |d: &Vector3<f64>| Vector6::new(1.0, d.x, d.y, d.x * d.x, d.x * d.y, d.y * d.y);
    let (mut normal, mut right) = (Matrix6::zeros(), Vector6::zeros());
    for d in &cap {
        normal += row(d) * row(d).transpose();
        right += row(d) * d.z;
    }
    let Some(fit) = normal.cholesky().map(|solver| solver.solve(&right)) else {
        return 0.0;
    };
    let square: f64 = cap.iter().map(|d| (d.z - row(d).dot(&fit)).powi(2)).sum();
    #[expect(clippy::cast_precision_loss, reason = "points of a crown")]
    let freedom = cap.len() as f64 - 6.0;
    if freedom >= 1.0 {
        CROWN_MM * (square / freedom).sqrt()
    } else {
        0.0
    }
}
