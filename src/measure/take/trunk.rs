//! Girths of the trunk at its levels, and what else is read off the same contours.

use super::{Taker, Why};
use crate::landmark::LandmarkKey;
use crate::length::Length;
use crate::measure::girth::Taken;
use crate::measure::{Cause, CurvePart, Key, MeasureId, Spread};
use crate::section::Contour;
use crate::side::Side;

/// Half the width of a tape laid under the bust, its upper edge in the fold, in mm (common practice, no source).
const HALF_TAPE_MM: f64 = 7.5;
/// From so far below the fold the girth is told on up to it, in mm: under what rounds the fold.
const TREND_MM: f64 = 25.0;
/// A cut at the fold that is larger than what lies below it tells by this goes through a breast, in mm:
/// more than ribs that widen faster would add over half a tape (common practice, no source).
const LOBE_MM: f64 = 10.0;

impl Taker<'_, '_> {
    /// The girth at the fold under the bust. Where a level cut of the fold goes through a breast that
    /// hangs over it, the tape lies on the ribs under it: what the trunk below the fold tells.
    pub(super) fn under_bust(&self, (fold, sd): (f64, f64)) -> Result<Taken, Why> {
        let here = self.at_level(CurvePart::Trunk, (fold, sd))?;
        let girth = |below: f64| {
            let curve = self.curve(CurvePart::Trunk)?;
            let girth = curve.taut_at(Length::from_mm(fold - below))?;
            Some(girth.mm())
        };
        let Some((below, far)) = girth(HALF_TAPE_MM).zip(girth(TREND_MM)) else {
            return Ok(here);
        };
        let ribs = told(below, far);
        let lobe = here.reading.taut_mm - ribs;
        if lobe < LOBE_MM {
            return Ok(here);
        }
        let mut taken = self.at_level(CurvePart::Trunk, (fold - HALF_TAPE_MM, sd))?;
        let more = ribs - taken.reading.taut_mm;
        taken.reading.taut_mm += more;
        taken.reading.surface_mm += more;
        taken.height_mm = fold;
        // How much of the breast's root a tape takes in is anything from none, as it is told here, to all of it.
        taken.level_sd = taken.level_sd.map(|sd| sd.hypot(lobe / 3.0_f64.sqrt()));
        Ok(taken)
    }

    /// Girths of the trunk, their halves, breadths and depths.
    pub(super) fn trunk_girths(&mut self) {
        let rows = [
            (
                self.bust_level(),
                [Key::BustGirth, Key::BustGirthSurface],
                Some((Key::BustHalfGirth, Key::BustBreadth, Key::BustDepth)),
            ),
            (
                self.level(LandmarkKey::UnderBust, None),
                [Key::UnderBustGirth, Key::UnderBustGirthSurface],
                None,
            ),
            (
                self.level(LandmarkKey::WaistNarrowest, None),
                [Key::WaistNarrowestGirth, Key::WaistNarrowestGirthSurface],
                Some((
                    Key::WaistNarrowestHalfGirth,
                    Key::WaistNarrowestBreadth,
                    Key::WaistNarrowestDepth,
                )),
            ),
            (
                self.level(LandmarkKey::WaistMidway, None),
                [Key::WaistMidwayGirth, Key::WaistMidwayGirthSurface],
                None,
            ),
            (
                self.level(LandmarkKey::Navel, None),
                [Key::NavelGirth, Key::NavelGirthSurface],
                None,
            ),
            (
                self.level(LandmarkKey::HighHip, None),
                [Key::HighHipGirth, Key::HighHipGirthSurface],
                None,
            ),
            (
                self.level(LandmarkKey::Hip, None),
                [Key::HipGirth, Key::HipGirthSurface],
                Some((Key::HipHalfGirth, Key::HipBreadth, Key::HipDepth)),
            ),
        ];
        for (level, keys, more) in rows {
            let taken = level.and_then(|level| {
                let taken = match keys[0] {
                    Key::UnderBustGirth => self.under_bust(level),
                    _ => self.at_level(CurvePart::Trunk, level),
                };
                Ok((taken?, level.1))
            });
            if let Some((half, breadth, depth)) = more {
                match &taken {
                    Ok((taken, sd)) => {
                        self.halves(half, taken);
                        self.extent(breadth, Contour::breadth_mm, taken, *sd);
                        self.extent(depth, Contour::depth_mm, taken, *sd);
                    }
                    Err(why) => {
                        let halves = Side::BOTH.map(|side| MeasureId::new(half, side));
                        self.withhold_all(halves, why);
                        self.withhold_all([breadth, depth], why);
                    }
                }
            }
            self.girths(keys, None, taken.map(|(taken, _)| taken));
        }
    }

    /// Its level, if one stands out: on a front that is straight for a hand's breadth a level is anyone's
    /// choice, and a girth at it no measure.
    pub(super) fn belly_level(&self) -> Result<(f64, f64), Why> {
        let (height, sd) = self.level(LandmarkKey::Belly, None)?;
        if sd <= STRAIGHT_MM {
            return Ok((height, sd));
        }
        Err(format!(
            "the front stands out about alike within {sd:.0} mm of {height:.0} mm, so no level is the belly's; pin its height where the garment must clear it"
        ))
    }

    /// Girth and depth of the belly.
    pub(super) fn belly(&mut self) {
        let level = self.belly_level();
        let taken = level.and_then(|level| Ok((self.at_level(CurvePart::Trunk, level)?, level.1)));
        match &taken {
            Ok((taken, sd)) => self.extent(Key::BellyDepth, Contour::depth_mm, taken, *sd),
            Err(why) => self.withhold(Key::BellyDepth, why),
        }
        let keys = [Key::BellyGirth, Key::BellyGirthSurface];
        self.girths(keys, None, taken.map(|(taken, _)| taken));
    }

    /// Breadth or depth; a level that slips changes it as the contours just above and below differ.
    fn extent(&mut self, key: Key, measure: fn(&Contour) -> f64, taken: &Taken, sd: f64) {
        let trunk = &self.survey.parts.trunk;
        let (reading, height) = (&taken.reading, taken.height_mm);
        let here = measure(&reading.contour);
        let slip = [height - sd, height + sd]
            .iter()
            .filter_map(|&h| trunk.nearest(h))
            .map(|piece| (measure(&piece.contour) - here).abs())
            .fold(0.0, f64::max);
        let spread = Spread::of([
            (Cause::Level, slip),
            // Each end is the outermost of many points.
            (
                Cause::Noise,
                (2.0 * reading.roughness_mm).hypot(2.0_f64.sqrt() * WAVES_MM),
            ),
            (Cause::Gap, reading.gap_depth()),
        ]);
        self.value(key, here, spread, Some(height));
    }
}

/// How far the skin at either end may be off without being rough, in mm: scans made by hand have smooth waves. On 60 study
/// bodies through waves of 0.8 mm breadths and depths err by 1.1 to 1.9.
const WAVES_MM: f64 = 0.7;

/// A belly whose level is no surer than this, in mm, shows none.
const STRAIGHT_MM: f64 = 50.0;

/// The girth at the fold that those half a tape's width and farther below it tell, on a straight line.
fn told(below: f64, far: f64) -> f64 {
    below + (below - far) * HALF_TAPE_MM / (TREND_MM - HALF_TAPE_MM)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ribs that widen by 1.2 mm of girth a mm: 737 at the fold (closed form), which is no lobe; a cut of
    /// 817 there, as through a breast that hangs over it, is one.
    #[test]
    fn ribs_tell_what_lies_under_a_breast() {
        let ribs = |below: f64| 737.0 - 1.2 * below;
        let at_fold = told(ribs(HALF_TAPE_MM), ribs(TREND_MM));
        assert!((at_fold - 737.0).abs() < 1e-9, "{at_fold}");
        assert!(ribs(0.0) - at_fold < LOBE_MM && 817.0 - at_fold > LOBE_MM);
    }
}
