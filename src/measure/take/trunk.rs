//! Girths of the trunk at its levels, and what else is read off the same contours.

use super::Taker;
use crate::landmark::LandmarkKey;
use crate::measure::girth::Taken;
use crate::measure::{Cause, CurvePart, Key, MeasureId, Spread};
use crate::section::Contour;
use crate::side::Side;

impl Taker<'_, '_> {
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
            let taken =
                level.and_then(|level| Ok((self.at_level(CurvePart::Trunk, level)?, level.1)));
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

    /// Girth and depth of the belly.
    pub(super) fn belly(&mut self) {
        let level = self.level(LandmarkKey::Belly, None);
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
            (Cause::Noise, 2.0 * reading.roughness_mm),
        ]);
        self.value(key, here, spread, Some(height));
    }
}
