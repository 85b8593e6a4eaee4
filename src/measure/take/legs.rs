//! Legs from end to end: lengths down from the crotch and down the outer side, and the girth under the kneecap.

use super::{Taker, Why};
use crate::landmark::LandmarkKey;
use crate::measure::path::taut_over;
use crate::measure::{CurvePart, Key, MeasureId};
use crate::part::{Branch, Piece};
use crate::side::Side;

/// How far below the middle of the kneecap the leg is taken where it has no least girth there, as a
/// share of the stature: 40 mm, half a kneecap and a finger (common practice, no source).
const UNDER_KNEE: f64 = 0.025;
/// A least girth farther below the knee than this share of the stature is the calf's and not the knee's.
const LEAST_UNDER_KNEE: f64 = 0.06;
/// How surely that least girth is found, in mm: two levels.
const LEAST_SD_MM: f64 = 5.0;
/// A tape down the leg is laid a little more to one side or the other, in mm (common practice, no source).
const LAID_SD_MM: f64 = 3.0;
/// Between which shares of the stature the lean of a leg is taken: above the foot and below the crotch.
const LEAN_ENDS: (f64, f64) = (0.08, 0.42);
/// Below the one height a heel reaches behind the cord at the other, in shares of the stature: 25 and 85 mm.
const HEEL_BELOW: f64 = 0.015;
const HEEL_ABOVE: f64 = 0.05;
/// A foot that ends so much farther forward there stands on its toes, 25 mm: on 60 study bodies, clean, waving or
/// with their soles missing, 0.011 at most.
const HEEL_SHORT: f64 = 0.015;
/// A foot seen from above is at least so long where it lies on the floor: two thirds of the mean (ANSUR II foot
/// length: 0.151 and 0.154, from memory).
const LEAST_FOOT: f64 = 0.10;

impl Taker<'_, '_> {
    /// The fold under the seat, where it lies on a leg of its own.
    pub(super) fn at_fold(&self, side: Side) -> Result<(f64, f64), Why> {
        let (fold, sd) = self.level(LandmarkKey::GlutealFold, Some(side))?;
        let (crotch, _) = self.level(LandmarkKey::Crotch, None)?;
        if fold > crotch {
            return Err(format!(
                "the fold under the seat lies {:.0} mm above the level at which the legs part",
                fold - crotch
            ));
        }
        Ok((fold, sd))
    }

    /// Just under the kneecap.
    pub(super) fn lower_knee(&mut self, side: Side) {
        let level = self.under_knee(side);
        let taken = level.and_then(|level| self.at_place(CurvePart::Leg(side), level));
        let keys = [Key::LowerKneeGirth, Key::LowerKneeGirthSurface];
        self.girths(keys, Some(side), taken);
    }

    fn under_knee(&self, side: Side) -> Result<(f64, f64), Why> {
        let (knee, sd) = self.level(LandmarkKey::Knee, Some(side))?;
        let s = self.survey.stature_mm;
        let calf = self.level(LandmarkKey::Calf, Some(side));
        let low = calf
            .map_or(0.0, |(calf, _)| calf)
            .max(knee - LEAST_UNDER_KNEE * s);
        // Right at the knee the least girth is the joint's own.
        let under = knee - 0.5 * UNDER_KNEE * s;
        let pieces = self.survey.parts.leg(side).between(low, under);
        let least =
            (0..pieces.len()).min_by(|&a, &b| pieces[a].taut_mm.total_cmp(&pieces[b].taut_mm));
        Ok(match least {
            Some(least) if least > 0 && least + 1 < pieces.len() => {
                (pieces[least].height_mm, LEAST_SD_MM)
            }
            _ => (knee - UNDER_KNEE * s, sd),
        })
    }

    /// Down the leg from the crotch, and down the outer side from the narrowest waist.
    pub(super) fn leg_lengths(&mut self, side: Side) {
        let rows = [
            (Key::InsideLegLength, self.inside_leg(side)),
            (Key::OutsideLegLength, self.outside_leg(side)),
        ];
        for (key, length) in rows {
            let floor_sd = self.survey.floor_sd_mm;
            let surely = |(length, sd): (f64, f64)| (length, sd.hypot(LAID_SD_MM).hypot(floor_sd));
            self.length(MeasureId::new(key, side), length.map(surely));
        }
    }

    /// The crotch level, down along the leg to the floor: as high as it would be with the leg plumb.
    fn inside_leg(&self, side: Side) -> Result<(f64, f64), Why> {
        let (crotch, sd) = self.on_the_floor(LandmarkKey::Crotch, None)?;
        self.on_its_heel(side)?;
        let lean = lean_aside(self.survey.parts.leg(side), self.survey.stature_mm).unwrap_or(0.0);
        let length = crotch * f64::hypot(1.0, lean);
        // How a leg stands is as uncertain as half of what it makes.
        Ok((length, sd.hypot(0.5 * (length - crotch))))
    }

    /// Whether the foot stands on its heel; of a foot whose sole does not show nothing is said.
    fn on_its_heel(&self, side: Side) -> Result<(), Why> {
        let s = self.survey.stature_mm;
        let foot = self.outline(side);
        let short = foot.is_ok_and(|foot| foot.length_mm < LEAST_FOOT * s);
        if short || is_on_its_toes(self.survey.parts.leg(side), s) {
            return Err("the heel does not stand on the floor, so that the length would hold the foot; scan again standing on flat feet".to_owned());
        }
        Ok(())
    }

    fn outside_leg(&self, side: Side) -> Result<(f64, f64), Why> {
        let (waist, sd) = self.on_the_floor(LandmarkKey::WaistNarrowest, None)?;
        self.on_its_heel(side)?;
        let (crotch, _) = self.on_the_floor(LandmarkKey::Crotch, None)?;
        let parts = &self.survey.parts;
        let touched = parts.touched_mm.iter();
        if let Some((low, high)) = touched
            .copied()
            .find(|&(low, high)| low < waist && high > crotch)
        {
            return Err(format!(
                "an arm or hand touches the trunk between {low:.0} and {high:.0} mm; scan again with the arms held out"
            ));
        }
        // Only down to the crotch: legs that stand apart go on outwards, where a tape would hang free.
        let out = side.sign();
        let trunk = parts.trunk.between(crotch, waist).iter().rev();
        let mut string: Vec<[f64; 2]> = trunk.map(|piece| edge(piece, out)).collect();
        let widest = (0..string.len())
            .max_by(|&a, &b| (out * string[a][0]).total_cmp(&(out * string[b][0])))
            .ok_or("the trunk does not show by itself between waist and crotch; scan again with the arms held out")?;
        string.truncate(widest + 1);
        let plumb = string[widest][1];
        Ok((taut_over(&string, [out, 0.0]) + plumb, sd))
    }

    /// Height of a landmark above a floor that is on the scan.
    fn on_the_floor(&self, key: LandmarkKey, side: Option<Side>) -> Result<(f64, f64), Why> {
        self.above_floor(self.level(key, side))
    }
}

/// The outermost point of a contour to one side, as x and height.
fn edge(piece: &Piece, out: f64) -> [f64; 2] {
    let (low, high) = piece.contour.extent(0);
    [if out < 0.0 { low } else { high }, piece.height_mm]
}

/// By how much a leg leans seen from the front, a mm; none if too little of it is followed.
fn lean_aside(leg: &Branch, s: f64) -> Option<f64> {
    let pieces = leg.between(LEAN_ENDS.0 * s, LEAN_ENDS.1 * s);
    let (first, last) = (pieces.first()?, pieces.last()?);
    let rise = last.height_mm - first.height_mm;
    let aside = last.contour.centroid()[0] - first.contour.centroid()[0];
    (rise > 0.5 * (LEAN_ENDS.1 - LEAN_ENDS.0) * s).then(|| aside / rise)
}

/// True for a foot that ends in front of its heel cord near the floor.
fn is_on_its_toes(leg: &Branch, s: f64) -> bool {
    let back = |piece: &Piece| piece.contour.extent(1).0;
    let cord = leg.nearest(HEEL_ABOVE * s).map(back);
    let low = leg.between(0.0, HEEL_BELOW * s).iter();
    let low = low.map(back).min_by(f64::total_cmp);
    low.zip(cord)
        .is_some_and(|(low, cord)| low > cord + HEEL_SHORT * s)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::closed_for_tests;
    use std::f64::consts::TAU;

    const STATURE: f64 = 1700.0;

    /// Circles of 45 mm up to 750 mm, `aside` and `forward` by height.
    fn leg(aside: impl Fn(f64) -> f64, forward: impl Fn(f64) -> f64) -> Branch {
        let piece = |i: i32| {
            let z = 2.5 * f64::from(i) + 1.0;
            let points = (0..90).map(|k| {
                let (sin, cos) = (TAU * f64::from(k) / 90.0).sin_cos();
                [aside(z) + 45.0 * cos, forward(z) + 45.0 * sin]
            });
            let contour = closed_for_tests(points.collect());
            Piece {
                height_mm: z,
                taut_mm: contour.taut_girth_mm(),
                contour,
            }
        };
        Branch {
            pieces: (0..300).map(piece).collect(),
        }
    }

    /// A leg that leans by 8 degrees: down along it, a height is longer by 1/cos 8°, 0.98 % (closed form).
    #[test]
    fn a_leg_that_leans() {
        let tan = 8.0_f64.to_radians().tan();
        let found = lean_aside(&leg(|z| 200.0 - tan * z, |_| 0.0), STATURE).unwrap();
        assert!((found + tan).abs() < 1e-9, "{found}");
        let longer = f64::hypot(1.0, found);
        assert!((longer - 1.0 / 8.0_f64.to_radians().cos()).abs() < 1e-9);
        let mut short = leg(|_| 0.0, |_| 0.0);
        short.pieces.truncate(120);
        assert!(
            lean_aside(&short, STATURE).is_none(),
            "half of it is missing"
        );
    }

    /// A foot that slopes forward at 45 degrees ends 60 mm before its cord at 85 mm; one whose heel reaches
    /// back by 10 mm, or whose sole is missing, is not said to stand on its toes.
    #[test]
    fn a_foot_on_its_toes() {
        let toes = leg(|_| 0.0, |z| f64::max(0.0, 85.0 - z));
        assert!(is_on_its_toes(&toes, STATURE));
        let flat = leg(|_| 0.0, |z| if z < 40.0 { -10.0 } else { 0.0 });
        assert!(!is_on_its_toes(&flat, STATURE));
        let mut open = toes;
        open.pieces.retain(|piece| piece.height_mm > 30.0);
        assert!(!is_on_its_toes(&open, STATURE));
    }
}
