//! Girths of the arm, square to its axis.

use super::{Reading, Taken, slip};
use crate::landmark::{Arm, Landmark, LandmarkKey, Landmarks, SHOULDER_SINE, Survey, square_cut};
use crate::side::Side;
use nalgebra::{Point3, Vector3};

/// Nearer to the armpit than this, in mm, a tape round the arm runs into its folds: two fingers
/// (common practice, no source).
const FREE_ARM_MM: f64 = 30.0;

/// How far below the joint the tip of a bent elbow lies, as a share of the stature: ANSUR II has
/// shoulder-elbow length, arm bent, less acromion-radiale length at 0.014 ± 0.003 and 0.016 ± 0.003.
const ELBOW_TIP: f64 = 0.015;

/// The upper arm midway between shoulder point and elbow.
pub(in crate::measure) fn upper_arm(
    survey: &Survey<'_>,
    marks: &Landmarks,
    side: Side,
) -> Result<Taken, String> {
    let say = |m: crate::landmark::Missing| m.to_string();
    let shoulder = marks
        .get(LandmarkKey::ShoulderPoint, Some(side))
        .map_err(say)?;
    let elbow = marks.get(LandmarkKey::Elbow, Some(side)).map_err(say)?;
    let arm = arm(survey, side)?;
    let (a, b) = (
        Point3::from(shoulder.point_mm),
        Point3::from(elbow.point_mm),
    );
    // ISO 8559-1 halves the way to the tip of the elbow, arm bent.
    let down = (b - a).try_normalize(f64::MIN_POSITIVE);
    let tip = b + down.unwrap_or_else(Vector3::zeros) * (ELBOW_TIP * survey.stature_mm);
    let middle = arm.axis.beyond(&(a + (tip - a) / 2.0));
    let at = middle.max(arm.past_fold(FREE_ARM_MM));
    // A shoulder point that is known in height only slips along the shoulder line.
    let slip = (shoulder.sd_mm / SHOULDER_SINE).hypot(along_sd(Some(arm), elbow));
    // Where the middle is not free, half of the way to it.
    let sd = (0.5 * slip).hypot(0.5 * (at - middle));
    let far = arm_girth(arm, at, 2.0 * sd)?;
    let mut near = arm_girth(arm, at, sd)?;
    // A tape lies square to the arm as its skin runs there, or to the straight line from shoulder to elbow.
    let straight = square_cut(&arm.mesh, &arm.axis.point(at), b - a);
    let straight = straight.map(|cut| Reading::of(&cut.contour).taut_mm);
    let aslant = straight.map_or(0.0, |girth| girth - near.reading.taut_mm) / 3.0_f64.sqrt();
    // An arm that is nearly of one girth about its middle is less so farther off.
    for (near, far) in near.level_sd.iter_mut().zip(far.level_sd) {
        *near = near.max(0.5 * far).hypot(aslant);
    }
    Ok(near)
}

/// The arm square to its axis at one of its landmarks, as it was held.
pub(in crate::measure) fn arm_at(
    survey: &Survey<'_>,
    marks: &Landmarks,
    key: LandmarkKey,
    side: Side,
) -> Result<Taken, String> {
    let mark = marks.get(key, Some(side)).map_err(|m| m.to_string())?;
    let arm = arm(survey, side)?;
    let at = arm.axis.nearest(&Point3::from(mark.point_mm));
    arm_girth(arm, at, along_sd(Some(arm), mark))
}

/// Least share of a stretch of arm that counts as upright: cosine of 70 degrees.
const LEAST_UPRIGHT: f64 = 0.34;

/// How surely a landmark of the arm is known along it: its height says so much less the more the arm is raised.
/// An arm that is not apart from the trunk, with its landmarks put by hand, hangs.
pub(in crate::measure) fn along_sd(arm: Option<&Arm>, mark: &Landmark) -> f64 {
    let down = arm.and_then(|arm| {
        let at = arm.axis.nearest(&Point3::from(mark.point_mm));
        arm.axis.direction(at).try_normalize(f64::MIN_POSITIVE)
    });
    mark.sd_mm / down.map_or(1.0, |down| down.z.abs().max(LEAST_UPRIGHT))
}

pub(in crate::measure) fn arm<'s>(survey: &'s Survey<'_>, side: Side) -> Result<&'s Arm, String> {
    survey
        .arm(side)
        .ok_or_else(|| format!("the {side} arm is not apart from the trunk anywhere"))
}

pub(in crate::measure) fn arm_girth(arm: &Arm, at: f64, sd: f64) -> Result<Taken, String> {
    let cut = |e: f64| {
        let (point, down) = (arm.axis.point(at + e), arm.axis.direction(at + e));
        square_cut(&arm.mesh, &point, down).map(|cut| cut.contour)
    };
    let contour = cut(0.0).ok_or_else(|| {
        "the cut square to the arm does not close; is the arm touching the trunk?".to_owned()
    })?;
    let reading = Reading::of(&contour);
    let slip = slip(&reading, cut, sd);
    Ok(Taken {
        reading,
        height_mm: arm.axis.point(at).z,
        level_sd: [slip; 2],
    })
}
