//! The tape between the legs: from the waist in front through the crotch to the waist behind.

use super::{Taker, Why};
use crate::landmark::LandmarkKey;
use crate::measure::{Cause, Key, Spread};
use crate::section::{Contour, Hull};

/// Half of the tape's width, in mm: behind, it lies on both sides of the cleft, not in it.
const HALF_TAPE_MM: f64 = 15.0;
/// The cleft is bridged only this far above the crotch, as a share of the stature; below, thighs begin.
const ABOVE_CROTCH: f64 = 0.02;
/// How firmly the tape is drawn up between the legs differs by about this much, in mm (common
/// practice, no source).
const FIRM_SD_MM: f64 = 5.0;
/// Front and back are parted so far before the middle of the string's bottom, along it, as a share of the stature
/// (21 mm). ANSUR II has the part behind at 0.551 ± 0.033 (women) and 0.573 ± 0.037 (men) of the whole, from navel to
/// navel; strings laid so on `study-000` to `study-059` of a body model and halved in the middle of their bottom give
/// 0.525 and 0.527. From the narrowest waist, which lies higher, the share is nearer to a half.
const PARTING: f64 = 0.0125;
/// How surely the parting is known, in mm: the two sexes' shares lie 5 mm to either side of one place, and from what
/// point a tape is read differs by as much and more (common practice, no source).
const PARTING_SD_MM: f64 = 10.0;

impl Taker<'_, '_> {
    /// Crotch length to the narrowest waist, whole, in front and behind.
    pub(super) fn crotch_length(&mut self) {
        let keys = [
            Key::CrotchLength,
            Key::CrotchLengthFront,
            Key::CrotchLengthBack,
        ];
        match self.between_the_legs() {
            Ok((front, back, sd)) => {
                // An end that slips shortens one share; both hang on the same level.
                let whole = (2.0 * sd).hypot(FIRM_SD_MM);
                let share = sd.hypot(PARTING_SD_MM).hypot(FIRM_SD_MM);
                let spread = |sd| Spread::of([(Cause::Level, sd)]);
                self.value(keys[0], front + back, spread(whole), None);
                self.value(keys[1], front, spread(share), None);
                self.value(keys[2], back, spread(share), None);
            }
            Err(why) => self.withhold_all(keys, &why),
        }
    }

    /// Front and back share, and how surely one end is known.
    fn between_the_legs(&self) -> Result<(f64, f64, f64), Why> {
        let (waist, waist_sd) = self.level(LandmarkKey::WaistNarrowest, None)?;
        let (crotch, crotch_sd) = self.level(LandmarkKey::Crotch, None)?;
        let sections = self
            .survey
            .upright
            .cut_many(&[0.0, -HALF_TAPE_MM, HALF_TAPE_MM]);
        let contour = self.survey.parts.trunk_at(&self.survey.level, waist)?;
        let (back, front) = contour
            .across(0.0)
            .ok_or("the waist lies beside the midline")?;
        let closed = sections
            .iter()
            .all(|section| section.contours.iter().any(Contour::is_closed));
        if !closed {
            return Err("skin is missing along the midline".to_owned());
        }
        let bridged = crotch + ABOVE_CROTCH * self.survey.stature_mm;
        let centre = 0.5 * (back + front);
        let points = sections.iter().enumerate().flat_map(|(n, section)| {
            // In the midline all of the trunk; beside it the seat, from where the cleft is bridged.
            let low = if n == 0 { crotch - 1.0 } else { bridged };
            let cut = section.contours.iter().flat_map(move |c| {
                let at_low = c.crossings(1, low).map(move |y| [y, low]);
                c.points().iter().copied().chain(at_low)
            });
            cut.filter(move |&[y, z]| (low..=waist).contains(&z) && (n == 0 || y < centre))
        });
        let (front, back) = string(points, [back, front], waist)
            .ok_or("there is no skin between waist and crotch in the midline")?;
        let parting = PARTING * self.survey.stature_mm;
        Ok((front - parting, back + parting, waist_sd.hypot(crotch_sd)))
    }
}

/// Lengths in front and behind of a string held at two places of a level and drawn taut round the
/// points below: (y, z), y forward. Parted at the middle of its bottom.
fn string(
    points: impl Iterator<Item = [f64; 2]>,
    [back, front]: [f64; 2],
    level: f64,
) -> Option<(f64, f64)> {
    let ends = [[back, level], [front, level]];
    let hull = Hull::of(&points.chain(ends).collect::<Vec<_>>());
    let low = hull
        .points
        .iter()
        .map(|p| p[1])
        .fold(f64::INFINITY, f64::min);
    // Not at the very lowest point, which wanders on a flat bottom: midway between where the string
    // rises by a finger's thickness.
    let rise = RISE_MM.min(0.5 * (level - low));
    let outline = Contour::new(hull.points.clone(), true);
    let bottom = outline.crossings(1, low + rise);
    let (least, most) = bottom.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| {
        (low.min(y), high.max(y))
    });
    let parting = 0.5 * (least + most);
    let (behind, before) = hull.perimeter_sides(parting);
    if low >= level || !(back..front).contains(&parting) {
        return None;
    }
    // The straight line from end to end is the hull's upper edge and no part of the string.
    Some((before - (front - parting), behind - (parting - back)))
}

/// How far over its lowest point the string's bottom is halved, in mm.
const RISE_MM: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// A string over half a circle of radius 110 is π·110 long, half of it in front; 20 mm further
    /// up on both sides it is 40 mm longer.
    #[test]
    fn half_a_circle() {
        let arc = |lift: f64| {
            (0..=1800).map(move |i| {
                let angle = PI * f64::from(i) / 1800.0;
                [110.0 * angle.cos(), -110.0 * angle.sin() - lift]
            })
        };
        for lift in [0.0, 20.0] {
            let (front, back) = string(arc(lift), [-110.0, 110.0], 0.0).unwrap();
            let exact = PI * 55.0 + lift;
            assert!((front - exact).abs() < 1e-3 && (back - exact).abs() < 1e-3);
        }
    }

    /// A hollow behind is bridged; a point that stands out in front lengthens the front only.
    #[test]
    fn hollows_are_bridged() {
        let plain = string([[0.0, -200.0]].into_iter(), [-100.0, 100.0], 0.0).unwrap();
        let hollow = [[0.0, -200.0], [-20.0, -100.0]];
        let hollow = string(hollow.into_iter(), [-100.0, 100.0], 0.0);
        assert_eq!(Some(plain), hollow);
        let belly = [[0.0, -200.0], [120.0, -60.0]];
        let (front, back) = string(belly.into_iter(), [-100.0, 100.0], 0.0).unwrap();
        // The bottom is now blunter in front than behind, so the middle moves: 10 mm up, by half of
        // 10·120/140 − 10·100/200, 1.79 mm, along the blunter side (slope 140/120): 2.75 mm of string.
        let whole = 100.0_f64.hypot(200.0) + 20.0_f64.hypot(60.0) + 120.0_f64.hypot(140.0);
        assert!((front + back - whole).abs() < 1e-9);
        let moved = 0.5 * (10.0 * 120.0 / 140.0 - 5.0) * 1.0_f64.hypot(140.0 / 120.0);
        assert!((back - plain.1 - moved).abs() < 1e-9, "{back} {moved}");
    }
}
