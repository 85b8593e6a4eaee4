//! Girths and lengths of the limbs beyond those at one landmark.

use super::{Taker, Why};
use crate::landmark::{LandmarkKey, SHOULDER_SINE};
use crate::measure::girth::{self, Taken};
use crate::measure::{CurvePart, Key, MeasureId};
use crate::side::Side;
use nalgebra::Point3;

/// The elbow's own thickness is left behind before the forearm is looked at, as a share of the stature: 14 mm.
/// Chosen on 60 study bodies, on which the greatest girth beyond it is the forearm's own.
const PAST_ELBOW: f64 = 0.008;
/// How far from its fullest place a calf is still round: as far a slip of the level makes it thinner, in mm.
const ROUND_TOP_MM: f64 = 15.0;
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
            .and_then(|level| self.at_place(CurvePart::Leg(side), level));
        let keys = [Key::MidThighGirth, Key::MidThighGirthSurface];
        self.girths(keys, Some(side), taken);
    }

    /// The girth at a level that is no extreme of the girth: it may change faster farther off.
    pub(super) fn at_place(&self, part: CurvePart, level: (f64, f64)) -> Result<Taken, Why> {
        let mut taken = self.at_level(part, level)?;
        let curve = self.curve(part);
        for (sd, surface) in taken.level_sd.iter_mut().zip([false, true]) {
            *sd = sd.max(girth::level_reach(curve, level.0, level.1, surface));
        }
        Ok(taken)
    }

    /// The greatest girth of a part, about a level: where another level may be meant, only a fuller one counts.
    pub(super) fn at_fullest(
        &self,
        part: CurvePart,
        (height, sd): (f64, f64),
    ) -> Result<Taken, Why> {
        let mut taken = self.at_level(part, (height, sd.min(ROUND_TOP_MM)))?;
        let curve = self.curve(part);
        // Anywhere in a stretch: half its width is √3 of its standard deviation.
        let reach = 3.0_f64.sqrt() * sd;
        for (level_sd, surface) in taken.level_sd.iter_mut().zip([false, true]) {
            let rise = girth::rise_within(curve, height, reach, surface);
            *level_sd = level_sd.hypot(rise / 3.0_f64.sqrt());
        }
        Ok(taken)
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
        let (elbow, wrist) = self.both(LandmarkKey::Elbow, LandmarkKey::Wrist, side)?;
        let elbow_sd = girth::along_sd(Some(arm), elbow);
        let [elbow, wrist] =
            [elbow, wrist].map(|mark| arm.axis.nearest(&Point3::from(mark.point_mm)));
        let past = elbow + PAST_ELBOW * self.survey.stature_mm;
        let girths = arm.square_girths(past - 2.0 * elbow_sd, wrist, STEP_MM);
        let greatest = |from: f64| {
            let below = girths.window(from, wrist);
            below.max_by(|a, b| a.1.total_cmp(&b.1))
        };
        let (at, girth) = greatest(past).ok_or("the forearm cannot be cut square to the arm")?;
        // A slip of the level at a greatest girth changes it in the second order only; an elbow that lies
        // elsewhere lets other girths count, where the forearm tapers from the elbow on.
        let mut taken = girth::arm_girth(arm, at, STEP_MM)?;
        let change = |from: f64| greatest(from).map_or(0.0, |(_, other)| (other - girth).abs());
        let changes = [past - 2.0 * elbow_sd, past + 2.0 * elbow_sd].map(change);
        let slip = 0.5 * changes[0].max(changes[1]);
        taken.level_sd = taken.level_sd.map(|level_sd| level_sd.hypot(slip));
        Ok(taken)
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
        let sd = slip.hypot(girth::along_sd(self.survey.arm(side), elbow));
        self.length(upper, Ok(((b - a).norm(), sd)));
        // The elbow lies between, so its own place hardly matters.
        let found = self.over_the_elbow(side);
        self.length(
            whole,
            found.map(|(length, wrist_sd)| (length, slip.hypot(wrist_sd))),
        );
    }

    /// Straight from the shoulder point to the elbow and on to the wrist; how surely the wrist is known.
    pub(super) fn over_the_elbow(&self, side: Side) -> Result<(f64, f64), Why> {
        use LandmarkKey as L;
        let wrist = self.mark(L::Wrist, Some(side))?;
        let [a, b, c] = [L::ShoulderPoint, L::Elbow, L::Wrist].map(|key| {
            self.mark(key, Some(side))
                .map(|mark| Point3::from(mark.point_mm))
        });
        let (a, b, c) = (a?, b?, c?);
        let wrist_sd = girth::along_sd(self.survey.arm(side), wrist);
        Ok(((b - a).norm() + (c - b).norm(), wrist_sd))
    }
}
