//! Left and right share of the tape round the trunk.

use super::Taker;
use crate::measure::girth::Taken;
use crate::measure::{Cause, Key, MeasureId};
use crate::section::{Contour, Hull};
use crate::side::Side;

/// Breadth about the middle in which the furrow of the midline is looked for, to either side, and
/// distance between the places at which its depth is read, in mm.
const SEARCH_MM: f64 = 60.0;
const STEP_MM: f64 = 2.0;
/// The bottom of a furrow is where it has at least this share of its greatest depth: the hollow
/// between two breasts has a wide one, whose deepest place says little.
const BOTTOM: f64 = 0.7;
/// The body's midline at a level lies between the mid-sagittal plane and the middle of the breadth,
/// give or take this, in mm (common practice, no source).
const BESIDE_MM: f64 = 20.0;
/// How far the midline of a trunk that stands straight sways and turns off one plane, as a standard
/// deviation in mm (common practice, no source).
const SWAY_SD_MM: f64 = 3.0;
/// How far a healthy difference between the sides puts the middle of the breadth off the midline, as a
/// standard deviation in mm: a half fuller by 8 mm of girth reaches out some 4 farther (common practice, no source).
const FULLER_SD_MM: f64 = 2.0;
/// Least depth of a furrow under a taut tape, in mm.
const SHALLOW_MM: f64 = 0.5;
/// How far the midline lies from the middle of the bottom, as a share of the bottom's breadth.
const IN_BOTTOM: f64 = 0.08;
/// Skin that is uneven by half a millimetre moves the bottom of a furrow 15 mm to either side wide by
/// as much of that as it is of the depth: half-width times unevenness, in mm².
const UNEVEN_MM2: f64 = 7.5;
/// A furrow need not lie right in the midline: standard deviation in mm (common practice, no source).
const FURROW_SD_MM: f64 = 2.0;

/// How far to the side the midline lies in front or behind, and how surely, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Midline {
    x: f64,
    sd: f64,
}

impl Midline {
    /// Without a furrow: from the mid-sagittal plane, off which a trunk sways, and from the middle of
    /// the breadth, off which a side that is fuller puts it. Where the two differ, a shifted or turned
    /// trunk and one that is fuller on one side look alike, and either may be true.
    fn between(plane_sd: f64, middle: f64) -> Self {
        let plane = Self {
            x: 0.0,
            sd: SWAY_SD_MM.hypot(plane_sd),
        };
        let both = plane.with(Self {
            x: middle,
            sd: FULLER_SD_MM,
        });
        Self {
            sd: both.sd.hypot(0.5 * middle),
            ..both
        }
    }

    /// What a furrow that lies off the middle of the breadth may err by: anything between the two, for
    /// a trunk that is turned has furrow and plane to one side alike. Front and back err together.
    fn off(self, middle: f64) -> f64 {
        (self.x - middle).abs() / 3.0_f64.sqrt()
    }

    /// Two opinions, the surer one weighing more.
    fn with(self, other: Self) -> Self {
        let [own, its] = [self.sd, other.sd].map(|sd| 1.0 / sd.powi(2).max(f64::MIN_POSITIVE));
        Self {
            x: (own * self.x + its * other.x) / (own + its),
            sd: (own + its).sqrt().recip(),
        }
    }
}

impl Taker<'_, '_> {
    /// The taut girth on either side of the body's midline at this level.
    pub(super) fn halves(&mut self, key: Key, taken: &Taken) {
        let reading = &taken.reading;
        let (low, high) = reading.contour.extent(0);
        let middle = 0.5 * (low + high);
        let plane = Midline::between(self.survey.midline_sd_mm, middle);
        let found = furrows(&reading.contour, &reading.hull, middle);
        let [behind, before] = found.map(|f| f.map_or(plane, |furrow| plane.with(furrow)));
        let off = [behind, before].into_iter().zip(found);
        let off = off
            .filter_map(|(line, f)| f.map(|_| line.off(middle)))
            .sum();
        let (back, front) = reading.contour.extent(1);
        let (left, right) = reading
            .hull
            .perimeter_beside([behind.x, back], [before.x, front]);
        // The tape is cut in front and behind.
        let parting = behind.sd.hypot(before.sd).hypot(off);
        for (side, value) in [(Side::Left, left), (Side::Right, right)] {
            let spread = reading.half_spread(taken.level_sd[0], (Cause::Midline, parting));
            let id = MeasureId::new(key, side);
            self.value(id, value, spread, Some(taken.height_mm));
        }
    }
}

/// The furrows behind (spine, seat cleft) and in front (breastbone, middle of the belly), where a
/// taut tape bridges one.
fn furrows(contour: &Contour, hull: &Hull, middle: f64) -> [Option<Midline>; 2] {
    let places = || {
        let first = middle - SEARCH_MM;
        (0_i32..)
            .map(move |i| first + f64::from(i) * STEP_MM)
            .take_while(move |x| *x <= middle + SEARCH_MM)
    };
    let depths: Vec<(f64, [f64; 2])> = places()
        .filter_map(|x| {
            let (back, front) = contour.across(x)?;
            let (hull_back, hull_front) = hull.across(x)?;
            Some((x, [back - hull_back, hull_front - front]))
        })
        .collect();
    let (low, high) = (middle.min(0.0) - BESIDE_MM, middle.max(0.0) + BESIDE_MM);
    [0, 1].map(|side| {
        let depths: Vec<(f64, f64)> = depths.iter().map(|(x, d)| (*x, d[side])).collect();
        let (x, breadth, depth) = bottom(&depths)?;
        let sd = FURROW_SD_MM
            .hypot(IN_BOTTOM * breadth)
            .hypot(UNEVEN_MM2 / depth.max(SHALLOW_MM));
        let furrow = depth >= SHALLOW_MM && (low..=high).contains(&x);
        furrow.then_some(Midline { x, sd })
    })
}

/// Middle and breadth of the bottom of a furrow given by its depth from side to side, and its
/// greatest depth; none if the bottom goes on beyond an end.
fn bottom(depths: &[(f64, f64)]) -> Option<(f64, f64, f64)> {
    let deepest = (0..depths.len()).max_by(|&a, &b| depths[a].1.total_cmp(&depths[b].1))?;
    let depth = depths[deepest].1;
    let edge = BOTTOM * depth;
    let crossing = |(x, d): (f64, f64), (to, e): (f64, f64)| x + (to - x) * (d - edge) / (d - e);
    let left = (1..=deepest)
        .rev()
        .find(|&i| depths[i - 1].1 < edge)
        .map(|i| crossing(depths[i], depths[i - 1]))?;
    let right = (deepest..depths.len() - 1)
        .find(|&i| depths[i + 1].1 < edge)
        .map(|i| crossing(depths[i], depths[i + 1]))?;
    Some((0.5 * (left + right), right - left, depth))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// An ellipse of half axes 150 and 100 about (`middle`, 0) with furrows of 5 mm behind and in
    /// front at given x, 15 mm to either side.
    fn trunk(middle: f64, back: f64, front: f64) -> Contour {
        let points = (0..1440).map(|i| {
            let angle = TAU * f64::from(i) / 1440.0;
            let (x, y) = (middle + 150.0 * angle.cos(), 100.0 * angle.sin());
            let at = if y > 0.0 { front } else { back };
            let depth = 5.0 * (-((x - at) / 15.0).powi(2)).exp();
            [x, y - y.signum() * depth]
        });
        Contour::closed(points.collect())
    }

    #[test]
    fn furrows_are_found_where_they_are() {
        let contour = trunk(8.0, 10.0, 6.0);
        let found = furrows(&contour, &contour.hull(), 8.0).map(|f| f.unwrap().x);
        assert!((found[0] - 10.0).abs() < 1.0, "{found:?}");
        assert!((found[1] - 6.0).abs() < 1.0, "{found:?}");
        // A hollow far beside the midline is none of it.
        let beside = trunk(0.0, 35.0, 35.0);
        assert_eq!(furrows(&beside, &beside.hull(), 0.0), [None, None]);
    }

    /// Root mean square of an error that is anything from 0 to 12 mm: 12/√3 (closed form).
    #[test]
    fn a_furrow_off_the_middle_is_less_sure() {
        let off = Midline { x: -3.0, sd: 1.0 }.off(9.0);
        assert!((off * off - 48.0).abs() < 1e-9, "{off}");
    }

    /// By hand: of a middle 13 mm off the plane, weights of 1/9 and 1/4 make 9; the variance of the mean
    /// is 36/13, and of a toss between the two 169/4.
    #[test]
    fn a_shifted_trunk_is_halved_between_plane_and_middle() {
        let line = Midline::between(0.0, 13.0);
        assert!((line.x - 9.0).abs() < 1e-12, "{line:?}");
        let variance = 36.0 / 13.0 + 169.0 / 4.0;
        assert!((line.sd * line.sd - variance).abs() < 1e-9, "{line:?}");
        assert!(Midline::between(0.0, 0.0).x.abs() < 1e-12);
    }

    /// By hand: weights of 1/4 and 1/1 put the mean of 0 and 10 at 8, its variance at 1/(1.25).
    #[test]
    fn the_surer_midline_weighs_more() {
        let mean = Midline { x: 0.0, sd: 2.0 }.with(Midline { x: 10.0, sd: 1.0 });
        assert!((mean.x - 8.0).abs() < 1e-12);
        assert!((mean.sd * mean.sd - 0.8).abs() < 1e-12);
    }
}
