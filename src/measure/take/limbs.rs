//! Girths and lengths of the limbs beyond those at one landmark.

use super::{Taker, Why};
use crate::landmark::{Arm, LandmarkKey, NO_FEET, SHOULDER_SINE};
use crate::measure::girth::{self, Taken};
use crate::measure::{Cause, CurvePart, Key, MeasureId, Spread};
use crate::side::Side;
use nalgebra::Point3;

/// The elbow's own thickness is left behind before the forearm is looked at, in mm.
const PAST_ELBOW_MM: f64 = 5.0;
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
        let level = if self.survey.ends.feet {
            level
        } else {
            Err(NO_FEET.to_owned())
        };
        let taken = level.and_then(|level| self.at_level(CurvePart::Leg(side), level));
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

    /// From the shoulder point over the elbow to the wrist.
    pub(super) fn arm_length(&mut self, side: Side) {
        use LandmarkKey as L;
        let id = MeasureId::new(Key::ArmLength, side);
        let marks = [L::ShoulderPoint, L::Elbow, L::Wrist].map(|key| self.mark(key, Some(side)));
        match marks {
            [Ok(shoulder), Ok(elbow), Ok(wrist)] => {
                let [a, b, c] = [shoulder, elbow, wrist].map(|mark| Point3::from(mark.point_mm));
                let length = (b - a).norm() + (c - b).norm();
                // A shoulder point that slips along the ridge moves away from the elbow by as much at
                // most. The elbow lies between, so its own place hardly matters.
                let sd = (shoulder.sd_mm / SHOULDER_SINE).hypot(wrist.sd_mm);
                self.value(id, length, Spread::of([(Cause::Level, sd)]), None);
            }
            [Err(why), ..] | [_, Err(why), _] | [.., Err(why)] => self.withhold(id, why),
        }
    }
}
