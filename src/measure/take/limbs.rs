//! Girths and lengths of the limbs beyond those at one landmark.

use super::{Taker, Why};
use crate::landmark::{Arm, LandmarkKey, SHOULDER_SINE};
use crate::measure::girth::{self, Taken};
use crate::measure::{CurvePart, Key, MeasureId};
use crate::side::Side;
use nalgebra::Point3;

/// The elbow's own thickness is left behind before the forearm is looked at, in mm.
const PAST_ELBOW_MM: f64 = 5.0;
/// Least share of an upper arm's length that counts as upright: sine of 25 degrees.
const LEAST_UPRIGHT: f64 = 0.42;
/// Distance of the cuts that look for the fullest forearm, in mm.
const STEP_MM: f64 = 5.0;

impl Taker<'_, '_> {
    /// Midway between crotch level and knee.
    pub(super) fn mid_thigh(&mut self, side: Side) {
        use LandmarkKey as L;
        let level = self.level(L::Crotch, None).and_then(|(crotch, crotch_sd)| {
            let (knee, knee_sd) = self.level(L::Knee, Some(side))?;
            Ok((0.5 * (crotch + knee), 0.5 * crotch_sd.hypot(knee_sd)))
        });
        let taken = self
            .above_floor(level)
            .and_then(|level| self.at_level(CurvePart::Leg(side), level));
        let keys = [Key::MidThighGirth, Key::MidThighGirthSurface];
        self.girths(keys, Some(side), taken);
    }

    /// Elbow and fullest forearm, square to the arm.
    pub(super) fn forearm(&mut self, side: Side) {
        let elbow = girth::arm_at(self.survey, self.marks, LandmarkKey::Elbow, side);
        self.girths([Key::ElbowGirth, Key::ElbowGirthSurface], Some(side), elbow);
        let forearm = self.fullest_forearm(side);
        let keys = [Key::ForearmGirth, Key::ForearmGirthSurface];
        self.girths(keys, Some(side), forearm);
    }

    fn fullest_forearm(&self, side: Side) -> Result<Taken, Why> {
        let arm = girth::arm(self.survey, side)?;
        let [elbow, wrist] = self.arm_places(arm, side)?;
        let girths = arm.square_girths(elbow + PAST_ELBOW_MM, wrist, STEP_MM);
        let greatest = girths
            .window(elbow, wrist)
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let (at, _) = greatest.ok_or("the forearm cannot be cut square to the arm")?;
        // A slip of the level at a greatest girth changes it in the second order only.
        girth::arm_girth(arm, at, STEP_MM)
    }

    /// Where along the arm's axis elbow and wrist lie.
    fn arm_places(&self, arm: &Arm, side: Side) -> Result<[f64; 2], Why> {
        let place = |key| {
            let mark = self.mark(key, Some(side))?;
            Ok::<f64, Why>(arm.axis.nearest(&Point3::from(mark.point_mm)))
        };
        Ok([place(LandmarkKey::Elbow)?, place(LandmarkKey::Wrist)?])
    }

    /// From the shoulder point to the elbow, and on to the wrist.
    pub(super) fn arm_lengths(&mut self, side: Side) {
        use LandmarkKey as L;
        let [upper, whole] =
            [Key::UpperArmLength, Key::ArmLength].map(|key| MeasureId::new(key, side));
        let ends = self.both(L::ShoulderPoint, L::Elbow, side);
        let (shoulder, elbow) = match ends {
            Ok(ends) => ends,
            Err(why) => return self.withhold_all([upper, whole], &why),
        };
        let (a, b) = (
            Point3::from(shoulder.point_mm),
            Point3::from(elbow.point_mm),
        );
        // A shoulder point that slips along the ridge moves away from the elbow by as much at most.
        let slip = shoulder.sd_mm / SHOULDER_SINE;
        // The elbow is known along the arm; its height says so much less the more the arm is raised.
        let upright = ((a.z - b.z) / (b - a).norm().max(1.0))
            .abs()
            .max(LEAST_UPRIGHT);
        let sd = slip.hypot(elbow.sd_mm / upright);
        self.length(upper, Ok(((b - a).norm(), sd)));
        // The elbow lies between, so its own place hardly matters.
        let found = self.over_the_elbow(side);
        self.length(
            whole,
            found.map(|(length, wrist_sd)| (length, slip.hypot(wrist_sd))),
        );
    }
}
