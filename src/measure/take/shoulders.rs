//! The shoulder line of each side; girth and breadths over the shoulders, arms hanging.

use super::{Outward, Taker, Why};
use crate::landmark::{
    LandmarkKey, NO_HEAD, RIDGE_LEAN_SD_DEG, SHOULDER_SINE, SIDE_NECK_SINE, raised,
};
use crate::measure::girth::Reading;
use crate::measure::{Cause, Key, MeasureId, Spread};
use crate::section::Contour;
use crate::side::Side;
use nalgebra::Point3;

/// How far below the shoulder points the shoulders are fullest at most, as a share of the stature: the
/// armpits lie 0.06 below (ANSUR II: shoulder point 0.820, armpit 0.760).
const LOWEST: f64 = 0.075;
/// Upper arms farther off plumb than this do not hang: the shoulder's muscle is drawn up, and the
/// level tape lies farther down the arm (common practice, no source).
const RAISED_DEG: f64 = 25.0;
/// By how much an arm held out by 50 degrees changes the slope of its shoulder, as a standard deviation in degrees: the
/// points lie where they do with hanging arms, on a ridge that is drawn up (60 study bodies: 2 degrees).
const RAISED_SLOPE_DEG: f64 = 2.0;
/// A hanging arm leans this far off plumb all the same (common practice, no source).
const HANGING_DEG: f64 = 10.0;
/// The arm turns about a joint this far below the shoulder point, as a share of the stature: 40 mm (from memory).
const JOINT: f64 = 0.024;
/// From its upper end the arm's lean is taken over this share of the stature: most of the upper arm
/// below the armpit (ANSUR II: shoulder point to elbow 0.19).
const UPPER_ARM: f64 = 0.10;
/// Longer stretches without a level than this, in mm, may hide the greatest.
const GAP_MM: f64 = 10.0;

/// Trunk and arms of one level together.
struct Level {
    height_mm: f64,
    taut_mm: f64,
    breadth_mm: f64,
}

impl Taker<'_, '_> {
    pub(super) fn shoulders(&mut self) {
        self.shoulder_points_apart();
        if let Err(why) = self.over_the_arms() {
            self.withhold_all([Key::ShoulderGirth, Key::ShoulderBreadth], &why);
        }
    }

    pub(super) fn shoulder(&mut self, side: Side) {
        let ends = self.both(LandmarkKey::SideNeckPoint, LandmarkKey::ShoulderPoint, side);
        let length = MeasureId::new(Key::ShoulderLength, side);
        let slope = MeasureId::new(Key::ShoulderSlope, side);
        match ends {
            Ok((neck, shoulder)) => {
                let (a, b) = (Point3::from(neck.point_mm), Point3::from(shoulder.point_mm));
                let run = (b.x - a.x).hypot(b.y - a.y);
                let angle = (a.z - b.z).atan2((b.x - a.x).abs()).to_degrees();
                // Known so well in height, the ends slip farther along the leaning ridge: that changes the
                // length in full, and the slope only by how much more the ridge leans there.
                let slips = [(neck, SIDE_NECK_SINE), (shoulder, SHOULDER_SINE)]
                    .map(|(end, sine)| (end.sd_mm / sine, sine.asin()));
                let sd = slope_sd(slips, angle.to_radians(), run).to_degrees();
                let sd = sd.hypot(self.survey.upright_sd_deg);
                let pose = RAISED_SLOPE_DEG * self.arm_lean(side).map_or(0.0, raised);
                let spread = Spread::of([(Cause::Level, sd), (Cause::Pose, pose)]);
                self.value(slope, angle, spread, None);
                let slip = slips[0].0.hypot(slips[1].0);
                self.taut_path(length, &a, &b, Outward::Up, slip);
            }
            Err(why) => self.withhold_all([length, slope], &why),
        }
        let bust = MeasureId::new(Key::NeckToBustLength, side);
        let ends = self.both(LandmarkKey::SideNeckPoint, LandmarkKey::BustPoint, side);
        match ends {
            Ok((neck, point)) => {
                let (a, b) = (Point3::from(neck.point_mm), Point3::from(point.point_mm));
                // A side neck point that lies farther up the ridge lies farther in as well: the way is longer by
                // both, by all of the slip at most.
                let sd = (neck.sd_mm / SIDE_NECK_SINE).hypot(point.sd_mm);
                self.taut_path(bust, &a, &b, Outward::Front, sd);
            }
            Err(why) => self.withhold(bust, why),
        }
    }

    fn shoulder_points_apart(&mut self) {
        let key = Key::ShoulderPointBreadth;
        let ends = Side::BOTH.map(|side| self.mark(LandmarkKey::ShoulderPoint, Some(side)));
        match ends {
            [Ok(left), Ok(right)] => {
                let (a, b) = (Point3::from(left.point_mm), Point3::from(right.point_mm));
                // Each slips along the ridge of its shoulder.
                let sd = left.sd_mm.hypot(right.sd_mm) / SHOULDER_SINE;
                let spread = Spread::of([(Cause::Level, sd)]);
                self.value(key, (b - a).norm(), spread, None);
            }
            [Err(why), _] | [_, Err(why)] => self.withhold(key, why),
        }
    }

    fn over_the_arms(&mut self) -> Result<(), Why> {
        if !self.survey.ends.head {
            return Err(NO_HEAD.to_owned());
        }
        let lean = self.arms_lean()?;
        let points = [
            self.mark(LandmarkKey::ShoulderPoint, Some(Side::Left))?,
            self.mark(LandmarkKey::ShoulderPoint, Some(Side::Right))?,
        ];
        let top = points
            .map(|p| p.height_mm())
            .into_iter()
            .fold(0.0, f64::max);
        let mean = 0.5 * (points[0].height_mm() + points[1].height_mm());
        let levels = self.levels(mean - LOWEST * self.survey.stature_mm, top)?;
        let joint = mean - JOINT * self.survey.stature_mm;
        let out = lean.to_radians().sin() - HANGING_DEG.to_radians().sin();
        type Value = fn(&Level) -> f64;
        // Arms held out move each side out, and the tape lies on both sides of front and back.
        let rows: [(Key, Value, f64); 2] = [
            (Key::ShoulderGirth, |level| level.taut_mm, 4.0),
            (Key::ShoulderBreadth, |level| level.breadth_mm, 2.0),
        ];
        for (key, value, times) in rows {
            let greatest = levels
                .iter()
                .max_by(|a, b| value(a).total_cmp(&value(b)))
                .ok_or("there is no level below the shoulder points")?;
            let near = levels.iter().filter(|level| {
                let off = (level.height_mm - greatest.height_mm).abs();
                off <= points[0].sd_mm.max(points[1].sd_mm)
            });
            let slip = near.map(|level| value(greatest) - value(level));
            let contours = self.contours(greatest.height_mm);
            let reading = Reading::around(&contours).ok_or("skin is missing at the shoulders")?;
            let drop = (joint - greatest.height_mm).max(0.0);
            let held_out = 0.5 * times * drop * out.max(0.0);
            let parts = match key {
                Key::ShoulderGirth => reading.spread(0.5 * slip.fold(0.0, f64::max)).parts,
                _ => {
                    let ends = (Cause::Noise, 2.0 * reading.roughness_mm);
                    Spread::of([(Cause::Level, 0.5 * slip.fold(0.0, f64::max)), ends]).parts
                }
            };
            let parts = parts.into_iter().map(|part| (part.cause, part.sd));
            let spread = Spread::of(parts.chain([(Cause::Pose, held_out)]));
            self.value(key, value(greatest), spread, Some(greatest.height_mm));
        }
        Ok(())
    }

    /// How far off plumb the arm that leans more is, in degrees.
    fn arms_lean(&self) -> Result<f64, Why> {
        let mut most = 0.0_f64;
        for side in Side::BOTH {
            if self.survey.parts.held_out[side.index()] {
                return Err(self.survey.no_arm(side).to_owned());
            }
            let Some(lean) = self.arm_lean(side) else {
                continue;
            };
            if lean > RAISED_DEG {
                return Err(format!(
                    "the {side} arm is held out by {lean:.0} degrees, which changes the shoulders; scan again with the arms hanging, or measure by tape"
                ));
            }
            most = most.max(lean);
        }
        Ok(most)
    }

    /// How far off plumb one arm is, in degrees; `None` if it is not apart from the trunk, and hangs close to it.
    fn arm_lean(&self, side: Side) -> Option<f64> {
        let arm = self.survey.arm(side)?;
        let length = (UPPER_ARM * self.survey.stature_mm).min(arm.axis.length_mm());
        let down = arm.axis.point(length) - arm.axis.point(0.0);
        Some(down.x.hypot(down.y).atan2(-down.z).to_degrees())
    }

    /// Trunk and arms at every level between two heights that shows all of them.
    fn levels(&self, low: f64, high: f64) -> Result<Vec<Level>, Why> {
        let parts = &self.survey.parts;
        let trunk = parts.trunk.between(low, high).iter();
        let levels: Vec<Level> = trunk
            .chain(parts.upper.between(low, high))
            .filter_map(|piece| {
                let contours = self.contours(piece.height_mm);
                let whole = Side::BOTH.iter().all(|&side| {
                    let joined = parts
                        .armpit(side)
                        .is_none_or(|fork| fork.height_mm <= piece.height_mm);
                    joined
                        || parts.arm(side).nearest(piece.height_mm).is_some_and(|arm| {
                            (arm.height_mm - piece.height_mm).abs() < parts.step_mm
                        })
                });
                let reading = whole.then(|| Reading::around(&contours)).flatten()?;
                let ends = reading.hull.points.iter().map(|p| p[0]);
                let (left, right) =
                    ends.fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
                Some(Level {
                    height_mm: piece.height_mm,
                    taut_mm: reading.taut_mm,
                    breadth_mm: right - left,
                })
            })
            .collect();
        let ends = [low, high];
        let heights: Vec<f64> = ends[..1]
            .iter()
            .copied()
            .chain(levels.iter().map(|level| level.height_mm))
            .chain(ends[1..].iter().copied())
            .collect();
        if heights.windows(2).any(|pair| pair[1] - pair[0] > GAP_MM) {
            return Err(
                "skin is missing at the shoulders; scan again, or measure by tape".to_owned(),
            );
        }
        Ok(levels)
    }

    /// The contours of trunk and arms at a level of theirs.
    fn contours(&self, height: f64) -> Vec<&Contour> {
        let parts = &self.survey.parts;
        let [left, right] = &parts.arms;
        let near = 0.5 * parts.step_mm;
        [&parts.trunk, &parts.upper, left, right]
            .into_iter()
            .filter_map(|branch| branch.nearest(height))
            .filter(|piece| (piece.height_mm - height).abs() < near)
            .map(|piece| &piece.contour)
            .collect()
    }
}

/// How surely the slope of a chord over a `run` is known whose ends slip so far along a ridge that leans so there, in
/// radians: an end that slips by d along a line at an angle α to the chord of length l turns it by d·sin α / l.
fn slope_sd(slips: [(f64, f64); 2], chord: f64, run: f64) -> f64 {
    let length = (run / chord.cos().max(0.1)).max(1.0);
    let lean_sd = RIDGE_LEAN_SD_DEG.to_radians();
    let [a, b] =
        slips.map(|(slip, lean)| slip * (lean - chord).abs().hypot(lean_sd).sin() / length);
    a.hypot(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chord whose one end is moved along a line of its own: the angle by which it turns, by
    /// trigonometry, for small steps.
    #[test]
    fn a_slope_hangs_little_on_ends_that_slip_along_it() {
        let (chord, run) = (0.4_f64, 120.0);
        let (slip, lean) = (0.1, 0.75_f64);
        let (x, y) = (
            run - slip * lean.cos(),
            run * chord.tan() - slip * lean.sin(),
        );
        let turned = (y.atan2(x) - chord).abs();
        let sd = slope_sd([(slip, lean), (0.0, 0.6)], chord, run);
        // The lean's own uncertainty adds a little.
        assert!(sd > turned && sd < 1.05 * turned, "{sd} {turned}");
        // Along the chord itself nothing but that is left.
        let along = slope_sd([(slip, chord), (0.0, 0.6)], chord, run);
        assert!(along < 0.06 * slip / run, "{along}");
    }
}
