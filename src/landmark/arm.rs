//! Elbow and wrist.

use super::limb::{LimbAxis, crop};
use super::series::Kind;
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::mesh::TriMesh;
use crate::part::Branch;
use crate::side::Side;
use nalgebra::Point3;

/// An arm made ready for cuts square to its axis.
#[derive(Clone, Debug)]
pub(crate) struct Arm {
    pub(crate) axis: LimbAxis,
    pub(crate) mesh: TriMesh,
}

/// How far around an arm's contours its skin is taken along: room for slanted cuts.
const MARGIN_MM: f64 = 60.0;

impl Arm {
    pub(super) fn of(mesh: &TriMesh, branch: &Branch) -> Option<Self> {
        let axis = LimbAxis::of(branch)?;
        let (mut low, mut high) = (Point3::from([f64::MAX; 3]), Point3::from([f64::MIN; 3]));
        for piece in &branch.pieces {
            let (x, y) = (piece.contour.extent(0), piece.contour.extent(1));
            low = low.inf(&Point3::new(x.0, y.0, piece.height_mm));
            high = high.sup(&Point3::new(x.1, y.1, piece.height_mm));
        }
        let margin = nalgebra::Vector3::from([MARGIN_MM; 3]);
        let mesh = crop(mesh, low - margin, high + margin)?;
        Some(Self { axis, mesh })
    }
}

/// Where the wrist is looked for: this far up from the finger tips, in shares
/// of the stature. ANSUR II hand length is 0.111 ± 0.005; a curled or clipped
/// hand is shorter, a hand whose fingers the scan lost is none.
const WRIST_WINDOW: (f64, f64) = (0.08, 0.17);
/// Distance between the cuts that look for it, in mm.
const STEP_MM: f64 = 4.0;
/// Half-width of the parabola laid through the girths about it, in mm.
const REACH_MM: f64 = 16.0;
/// The armpit's folds disturb the axis this far down, in mm.
const ARMPIT_MM: f64 = 30.0;
/// Least distance of the bend from the straight line that shows an elbow, in mm.
const BEND_MM: f64 = 4.0;

/// Elbow and wrist of one side.
pub(super) fn points(survey: &Survey<'_>, side: Side, shoulder: Option<&Landmark>) -> [Found; 2] {
    let missing = |key, reason: &str| {
        Err(Missing {
            key,
            side: Some(side),
            reason: reason.to_owned(),
        })
    };
    let (elbow_key, wrist_key) = (LandmarkKey::Elbow, LandmarkKey::Wrist);
    let Some(arm) = survey.arm(side) else {
        let reason =
            "the arm is not apart from the trunk anywhere; scan again with the arms held out";
        return [missing(elbow_key, reason), missing(wrist_key, reason)];
    };
    let length = arm.axis.length_mm();
    let (low, high) = (
        length - WRIST_WINDOW.1 * survey.stature_mm,
        length - WRIST_WINDOW.0 * survey.stature_mm,
    );
    let girths = arm.axis.square_girths(&arm.mesh, low, high, STEP_MM);
    let Some(least) = girths.extreme(Kind::Least, low, high, REACH_MM) else {
        let reason = "the arm has no thinnest place above the hand; is the hand on the scan?";
        return [missing(elbow_key, reason), missing(wrist_key, reason)];
    };
    let place = |key, at: f64, sd_along: f64, confidence, rule: &str| {
        let point = arm.axis.point(at);
        let down = arm.axis.direction(at).normalize().z.abs();
        Ok(Landmark {
            key,
            side: Some(side),
            point_mm: point.coords.into(),
            sd_mm: (sd_along * down).max(1.0),
            confidence,
            rule: rule.to_owned(),
        })
    };
    let wrist = place(
        wrist_key,
        least.at,
        least.sd.hypot(0.5 * least.flat),
        Confidence::Clear,
        "least girth above the hand, square to the arm",
    );
    let elbow = match (shoulder, arm.axis.bend(ARMPIT_MM, least.at)) {
        (Some(_), Some((at, off))) if off >= BEND_MM => place(
            elbow_key,
            at,
            // A bend of `off` over half the arm is blunt: its place is known to about the arm's thickness over the bend.
            (120.0 / off).clamp(5.0, 30.0),
            Confidence::Rough,
            "bend of the arm's axis between armpit and wrist",
        ),
        (None, _) => missing(
            elbow_key,
            "it is looked for below the shoulder point, which was not found",
        ),
        _ => missing(
            elbow_key,
            "the arm is so straight that its bend does not show; bend it a little",
        ),
    };
    [elbow, wrist]
}
