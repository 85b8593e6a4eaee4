//! The tape round the trunk in its front and back shares, and what else hangs on one level of the chest.

use super::{Taker, Why};
use crate::landmark::{Landmark, LandmarkKey};
use crate::measure::girth::Taken;
use crate::measure::path::Outward;
use crate::measure::{Cause, CurvePart, Key, MeasureId, Spread};
use crate::part::Piece;
use crate::section::Hull;
use crate::side::Side;
use nalgebra::Point3;

/// Where a side seam is put on one and the same body differs by about this much, as a standard
/// deviation in mm (common practice, no source).
const SIDE_LINE_SD_MM: f64 = 6.0;
/// The upper chest lies this far under the lower armpit, in mm: half a tape's width.
pub(super) const UNDER_ARMPIT_MM: f64 = 6.0;
/// Where no fold ends the chest it goes on so far below the bust level, as a share of the stature:
/// 50 mm (common practice, no source).
const BELOW_BUST: f64 = 0.03;
/// Why a chest without breasts beyond doubt has no bust points from side to side.
const NO_TIPS: &str = "the most forward skin of this chest may be the muscle's, nearer the midline than the bust points, so that it does not show how far apart these lie; measure from nipple to nipple by tape";
/// By how much a raised arm lifts the skin at the armpit and lengthens the tape under it, as a share at 50 degrees off plumb;
/// it grows with the angle's square. Over 60 study bodies, bust, waist, stature and muscle allowed for: 0.044 ± 0.009.
const RAISED_SHARE: f64 = 0.044;
const RAISED_DEG: f64 = 50.0;
/// An arm that hangs freely leans so far (common practice, no source): a tape is laid under such.
const HANGING_DEG: f64 = 15.0;
/// So far below the armpit, in mm, it is lifted no more (common practice, no source).
const LIFTED_MM: f64 = 40.0;
/// Arms held out by more than this, in degrees, leave no upper chest to be measured.
const MOST_RAISED_DEG: f64 = 40.0;
/// Where the lean of an arm is seen, in shares of the stature below its armpit: the upper arm.
const UPPER_ARM: (f64, f64) = (0.02, 0.12);
/// How surely the most forward point of a breast is found from side to side, in mm: over a cup's
/// tip of 60 mm radius the skin falls off by 0.3 mm within 6 mm.
const ASIDE_SD_MM: f64 = 6.0;
/// Radius of that tip, in mm.
const TIP_MM: f64 = 60.0;

/// The same with what facets and noise add, in mm.
///
/// A cut crosses two edges a facet, so that the tip lies anywhere on a facet, one `step`
/// to either side; noise hides a fall of the skin as deep as itself, which a tip of radius r has
/// within √(2·r·noise). Either is evenly spread: 1/√3 of its half-width.
fn aside(step: f64, noise: f64) -> f64 {
    let evenly = 3.0_f64.sqrt().recip();
    ASIDE_SD_MM
        .hypot(evenly * step)
        .hypot(evenly * (2.0 * TIP_MM * noise).sqrt())
}

impl Taker<'_, '_> {
    /// Front and back arcs at bust, narrowest waist, high hip and hip.
    pub(super) fn arcs(&mut self) {
        use LandmarkKey as L;
        let side_line = self.side_line();
        let rows = [
            (self.bust_level(), [Key::BustFrontArc, Key::BustBackArc]),
            (
                self.level(L::WaistNarrowest, None),
                [Key::WaistNarrowestFrontArc, Key::WaistNarrowestBackArc],
            ),
            (
                self.level(L::HighHip, None),
                [Key::HighHipFrontArc, Key::HighHipBackArc],
            ),
            (
                self.level(L::Hip, None),
                [Key::HipFrontArc, Key::HipBackArc],
            ),
        ];
        for (level, keys) in rows {
            let taken = level.and_then(|level| self.at_level(CurvePart::Trunk, level));
            let (taken, y) = match (taken, &side_line) {
                (Ok(taken), Ok(y)) => (taken, *y),
                (Err(why), _) => {
                    self.withhold_all(keys, &why);
                    continue;
                }
                (_, Err(why)) => {
                    let why = format!("the side line is laid through the waist: {why}");
                    self.withhold_all(keys, &why);
                    continue;
                }
            };
            let (back, front) = arcs(&taken.reading.hull, y);
            for (key, arc) in keys.into_iter().zip([front, back]) {
                // The line cuts the tape on either side: a shift counts twice.
                let spread = taken
                    .reading
                    .half_spread(taken.level_sd[0], (Cause::SideLine, 2.0 * SIDE_LINE_SD_MM));
                self.value(key, arc, spread, Some(taken.height_mm));
            }
        }
    }

    /// How far forward the side line lies: the middle of the depth at the narrowest waist.
    fn side_line(&self) -> Result<f64, Why> {
        let waist = self.level(LandmarkKey::WaistNarrowest, None)?;
        let taken = self.at_level(CurvePart::Trunk, waist)?;
        let (back, front) = taken.reading.contour.extent(1);
        Ok(0.5 * (back + front))
    }

    /// The taut girth right under the lower armpit.
    pub(super) fn upper_chest(&mut self) {
        let level = Side::BOTH.map(|side| self.level(LandmarkKey::Armpit, Some(side)));
        let level = match level {
            [Ok((left, left_sd)), Ok((right, right_sd))] => Ok((
                left.min(right) - UNDER_ARMPIT_MM,
                // A tape tilts with armpits that differ.
                left_sd.max(right_sd).hypot(0.5 * (left - right)),
            )),
            [Err(why), _] | [_, Err(why)] => Err(why),
        };
        let raised = self.raised_deg();
        let taken = level.and_then(|level| {
            if raised > MOST_RAISED_DEG {
                return Err(format!(
                    "the arms are held out by {raised:.0} degrees, which lifts the skin at the armpits and makes the tape under them some {:.0} percent longer than with arms that hang; scan again with the arms at 30 degrees or less",
                    100.0 * lift(raised)
                ));
            }
            self.at_level(CurvePart::Trunk, level)
        });
        let keys = [Key::UpperChestGirth, Key::UpperChestGirthSurface];
        self.lifted(keys, taken, lift(raised));
    }

    /// The greatest taut girth of the chest.
    pub(super) fn chest(&mut self) {
        let taken = self
            .fullest_chest()
            .and_then(|level| self.at_level(CurvePart::Trunk, level));
        let parts = &self.survey.parts;
        let armpit = Side::BOTH.map(|side| parts.armpit(side).map(|fork| fork.height_mm));
        let armpit = armpit.into_iter().flatten().fold(f64::INFINITY, f64::min);
        let below = taken
            .as_ref()
            .map_or(0.0, |taken| armpit - taken.height_mm - UNDER_ARMPIT_MM);
        let share = (1.0 - below / LIFTED_MM).clamp(0.0, 1.0);
        let keys = [Key::ChestGirth, Key::ChestGirthSurface];
        self.lifted(keys, taken, share * lift(self.raised_deg()));
    }

    /// Girths that raised arms make larger by a share.
    fn lifted(&mut self, keys: [Key; 2], taken: Result<Taken, Why>, share: f64) {
        let taken = match taken {
            Ok(taken) => taken,
            Err(why) => return self.withhold_all(keys, &why),
        };
        let reading = &taken.reading;
        let [taut_sd, surface_sd] = taken.level_sd;
        let values = [
            (reading.taut_mm, reading.spread(taut_sd)),
            (reading.surface_mm, reading.surface_spread(surface_sd)),
        ];
        for (key, (value, spread)) in keys.into_iter().zip(values) {
            let parts = spread.parts.iter().map(|part| (part.cause, part.sd));
            let spread = Spread::of(parts.chain([(Cause::Pose, share * value)]));
            self.value(key, value, spread, Some(taken.height_mm));
        }
    }

    /// By how much the arm that is raised more leans off plumb, in degrees; 0 where none shows apart.
    fn raised_deg(&self) -> f64 {
        let parts = &self.survey.parts;
        let s = self.survey.stature_mm;
        let leans = Side::BOTH.map(|side| {
            let armpit = parts.armpit(side)?.height_mm;
            let arm = parts
                .arm(side)
                .between(armpit - UPPER_ARM.1 * s, armpit - UPPER_ARM.0 * s);
            let (low, high) = (arm.first()?, arm.last()?);
            let ([x, y], [u, v]) = (low.contour.centroid(), high.contour.centroid());
            let rise = high.height_mm - low.height_mm;
            (rise > 0.5 * (UPPER_ARM.1 - UPPER_ARM.0) * s).then(|| (u - x).hypot(v - y).atan2(rise))
        });
        leans.into_iter().flatten().fold(0.0, f64::max).to_degrees()
    }

    fn fullest_chest(&self) -> Result<(f64, f64), Why> {
        let (bust, _) = self.bust_level()?;
        let below = |_| bust - BELOW_BUST * self.survey.stature_mm;
        let fold = self.level(LandmarkKey::UnderBust, None);
        let low = fold.map_or_else(below, |(fold, _)| fold.min(bust));
        let armpit = |side| self.level(LandmarkKey::Armpit, Some(side));
        let (left, right) = (armpit(Side::Left)?, armpit(Side::Right)?);
        let parts = &self.survey.parts;
        let high = left.0.min(right.0) - UNDER_ARMPIT_MM;
        let pieces = parts.trunk.between(low, high);
        let alone: Vec<_> = pieces
            .iter()
            .filter(|piece| parts.is_trunk_alone(piece.height_mm))
            .collect();
        // Where levels are left out beside the greatest that is left, a greater one may be hidden.
        let is_apart = |a: f64, b: f64| b - a > MOST_STEPS * parts.step_mm;
        let fullest =
            (0..alone.len()).max_by(|&a, &b| alone[a].taut_mm.total_cmp(&alone[b].taut_mm));
        let hidden = fullest.is_some_and(|i| {
            let below = i.checked_sub(1).map_or(low, |i| alone[i].height_mm);
            let above = alone.get(i + 1).map_or(high, |piece| piece.height_mm);
            is_apart(below, alone[i].height_mm) || is_apart(alone[i].height_mm, above)
        });
        if hidden {
            return Err("skin is missing or an arm touches beside the fullest place of the chest that is left, so that a fuller one may be hidden; scan again with the arms held out".to_owned());
        }
        match fullest {
            // Where it grows up to the armpit, the armpit's own uncertainty bounds it.
            Some(top) if top + 1 == alone.len() => {
                Ok((alone[top].height_mm, left.1.max(right.1)))
            }
            Some(i) if i > 0 => Ok((alone[i].height_mm, parts.step_mm)),
            Some(_) => Err("the trunk only gets larger from the chest downwards, so the chest has no greatest girth of its own; use the bust girth".to_owned()),
            None => Err("the trunk does not show by itself between bust and armpits; scan again with the arms held out".to_owned()),
        }
    }

    /// Straight distance between the bust points.
    pub(super) fn bust_spread(&mut self) {
        let ends = Side::BOTH.map(|side| self.mark(LandmarkKey::BustPoint, Some(side)));
        let put = |mark: &Landmark| self.marks.is_at_pinned_point(mark);
        match ends {
            // The most forward points of a flat chest lie on the chest muscles, nearer the midline.
            [Ok(left), Ok(right)]
                if !(put(left) && put(right) || self.has_breasts().unwrap_or(false)) =>
            {
                self.withhold(Key::BustPointSpread, NO_TIPS);
            }
            [Ok(left), Ok(right)] => {
                let (a, b) = (Point3::from(left.point_mm), Point3::from(right.point_mm));
                let sds = [left, right].map(|point| self.aside_sd(point.height_mm()));
                let sd = sds[0].hypot(sds[1]);
                let spread = Spread::of([(Cause::Level, sd)]);
                self.value(Key::BustPointSpread, (b - a).norm(), spread, None);
            }
            [Err(why), _] | [_, Err(why)] => self.withhold(Key::BustPointSpread, why),
        }
    }

    /// How surely a bust point is found from side to side on the skin at its height.
    fn aside_sd(&self, height: f64) -> f64 {
        let (trunk, upper) = (&self.survey.parts.trunk, &self.survey.parts.upper);
        let pieces = [trunk.nearest(height), upper.nearest(height)];
        let far = |piece: &&Piece| (piece.height_mm - height).abs();
        let piece = pieces
            .into_iter()
            .flatten()
            .min_by(|a, b| far(a).total_cmp(&far(b)));
        piece.map_or(ASIDE_SD_MM, |piece| {
            let noise = piece.contour.noise_mm().hypot(self.survey.waves().rms_mm);
            aside(piece.contour.step_mm(), noise)
        })
    }

    /// From the narrowest waist down the side to the hip level.
    pub(super) fn waist_to_hip(&mut self, side: Side) {
        let id = MeasureId::new(Key::WaistToHipLength, side);
        let waist = self.level(LandmarkKey::WaistNarrowest, None);
        let hip = self.level(LandmarkKey::Hip, None);
        let ends = waist.and_then(|waist| Ok((self.outermost(waist, side)?, waist.1, hip?)));
        match ends.and_then(|(a, sd, hip)| Ok((a, self.outermost(hip, side)?, sd.hypot(hip.1)))) {
            Ok((a, b, sd)) => {
                self.taut_path(id, &a, &b, Outward::Side(side), sd);
            }
            Err(why) => self.withhold(id, why),
        }
    }

    /// The outermost point of the trunk on one side of a level.
    fn outermost(&self, level: (f64, f64), side: Side) -> Result<Point3<f64>, Why> {
        let taken = self.at_level(CurvePart::Trunk, level)?;
        let points = taken.reading.contour.points().iter();
        let outer = points.max_by(|a, b| (side.sign() * a[0]).total_cmp(&(side.sign() * b[0])));
        let [x, y] = *outer.ok_or("no skin of the trunk shows there; scan again from all sides")?;
        Ok(Point3::new(x, y, taken.height_mm))
    }
}

/// Levels that may be left out beside the fullest one: the chest's girth changes by less than 1 % over them.
const MOST_STEPS: f64 = 6.0;

/// Share by which arms raised by an angle lengthen a tape at the armpits over one under arms that hang.
fn lift(raised_deg: f64) -> f64 {
    let square = |degrees: f64| (degrees / RAISED_DEG).powi(2);
    RAISED_SHARE * (square(raised_deg) - square(HANGING_DEG)).max(0.0)
}

/// Lengths of a hull behind and before the line at `y`.
fn arcs(hull: &Hull, y: f64) -> (f64, f64) {
    let turned: Vec<[f64; 2]> = hull.points.iter().map(|p| [p[1], p[0]]).collect();
    Hull::of(&turned).perimeter_sides(y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Closed form: a circle of radius r cut at distance d from its middle has arcs of 2 r acos(d/r)
    /// and the rest; r 150 and d 75: 2·150·π/3 = 314.159 before the line.
    #[test]
    fn arcs_of_a_circle() {
        let ring: Vec<[f64; 2]> = (0..3600)
            .map(|i| {
                let angle = TAU * f64::from(i) / 3600.0;
                [150.0 * angle.cos() + 40.0, 150.0 * angle.sin() - 10.0]
            })
            .collect();
        let (back, front) = arcs(&Hull::of(&ring), 65.0);
        assert!((front - 314.159_265).abs() < 0.01, "{front}");
        assert!((back + front - 300.0 * TAU / 2.0).abs() < 0.01);
    }

    /// The square of the angle, 4.4 percent at 50 degrees, less that of arms that hang at 15: 0.044·(1 - 0.09) and
    /// 0.044·(0.25 - 0.09), nothing with arms that hang closer.
    #[test]
    fn raised_arms_lift_the_skin() {
        for (degrees, share) in [(50.0, 0.040_04), (25.0, 0.007_04), (10.0, 0.0)] {
            assert!((lift(degrees) - share).abs() < 1e-12);
        }
    }
}
