//! Girth by height.

use super::{Key, MOST_MM, Measure, Mode, Source};
use crate::landmark::linear;
use crate::length::Length;
use crate::parallel::map_indices;
use crate::part::Piece;
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::ops::Range;

/// Neighbouring levels farther apart than this have a gap between them: the scan shows
/// too little there to say anything of the girth.
const GAP_MM: f64 = 15.0;

/// A part of the body a girth curve follows.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum CurvePart {
    /// Trunk without arms, from the crotch up to the armpits.
    Trunk,
    /// A leg, from the ankle up to the crotch.
    Leg(Side),
}

/// Girth of one body part against height, level by level, heights rising.
///
/// Where the skin is missing (a hole, an arm against the side) there are no levels. Nothing is
/// read across such a gap: see [`GirthCurve::stretches`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GirthCurve {
    /// Which part.
    pub part: CurvePart,
    /// Heights above the floor, rising, in mm.
    pub heights_mm: Vec<f64>,
    /// Taut girths at those heights, in mm.
    pub taut_mm: Vec<f64>,
    /// Girths along the skin at those heights, in mm.
    pub surface_mm: Vec<f64>,
}

impl GirthCurve {
    /// The curve of a part's contours, heights rising; without levels at which skin is crumpled so much that no body
    /// has such a girth.
    #[must_use]
    pub fn of<'p>(part: CurvePart, pieces: impl IntoIterator<Item = &'p Piece>) -> Self {
        let pieces: Vec<&Piece> = pieces.into_iter().collect();
        let surface_mm = map_indices(pieces.len(), |i| pieces[i].contour.surface_girth_mm());
        let levels = pieces.into_iter().zip(surface_mm);
        let levels: Vec<(&Piece, f64)> = levels.filter(|&(_, girth)| girth <= MOST_MM).collect();
        Self {
            part,
            heights_mm: levels.iter().map(|(piece, _)| piece.height_mm).collect(),
            taut_mm: levels.iter().map(|(piece, _)| piece.taut_mm).collect(),
            surface_mm: levels.iter().map(|&(_, girth)| girth).collect(),
        }
    }

    /// The runs of levels without a gap, as ranges of their indices, rising.
    ///
    /// Levels more than 15 mm apart have a gap between them.
    pub fn stretches(&self) -> impl Iterator<Item = Range<usize>> {
        let runs = self.heights_mm.chunk_by(|low, high| high - low <= GAP_MM);
        runs.scan(0, |start, run| {
            let first = *start;
            *start += run.len();
            Some(first..*start)
        })
    }

    /// True for a girth that can be read off this curve if it is the trunk's: taut, level, unpaired,
    /// taken by the scan where the curve shows skin. The shoulder girth goes round the arms as well.
    #[must_use]
    pub fn carries(&self, measure: &Measure) -> bool {
        let definition = measure.id.key.definition();
        self.part == CurvePart::Trunk
            && definition.mode == Mode::Taut
            && definition.is_girth()
            && !definition.paired
            && measure.id.key != Key::ShoulderGirth
            && measure.source != Source::Tape
            && measure
                .level_mm
                .is_some_and(|level| self.taut_at(level).is_some())
    }

    /// Taut girth at a height, linear between levels; `None` outside the curve and in its gaps.
    #[must_use]
    pub fn taut_at(&self, height: Length) -> Option<Length> {
        self.read(&self.taut_mm, height)
    }

    /// Girth along the skin at a height, linear between levels; `None` outside the curve and in
    /// its gaps.
    #[must_use]
    pub fn surface_at(&self, height: Length) -> Option<Length> {
        self.read(&self.surface_mm, height)
    }

    fn read(&self, girths: &[f64], height: Length) -> Option<Length> {
        let stretch = self.stretch_at(height)?;
        let levels = &self.heights_mm[stretch.clone()];
        linear(levels, &girths[stretch], height.mm()).map(Length::from_mm)
    }

    /// The girth (along the skin, or taut) on the line between the nearest levels, across gaps
    /// too: good for how much a level's uncertainty matters, not for a value.
    pub(super) fn bridged_at(&self, height_mm: f64, surface: bool) -> Option<f64> {
        let girths = if surface {
            &self.surface_mm
        } else {
            &self.taut_mm
        };
        linear(&self.heights_mm, girths, height_mm)
    }

    /// The stretch that a height lies in.
    fn stretch_at(&self, height: Length) -> Option<Range<usize>> {
        self.stretches().find(|stretch| {
            let (low, high) = self.ends(stretch);
            (low..=high).contains(&height.mm())
        })
    }

    /// Lowest and highest level of a stretch, in mm.
    fn ends(&self, stretch: &Range<usize>) -> (f64, f64) {
        let heights = &self.heights_mm;
        (heights[stretch.start], heights[stretch.end - 1])
    }

    /// Slope of the taut girth at a height, mm of girth per mm upwards, over a window of ± `reach`
    /// cut short where the levels end; `None` outside the curve and in its gaps.
    #[must_use]
    pub fn slope_at(&self, height: Length, reach: Length) -> Option<f64> {
        let stretch = self.stretch_at(height)?;
        let (first, last) = self.ends(&stretch);
        let low = (height.mm() - reach.mm()).max(first);
        let high = (height.mm() + reach.mm()).min(last);
        if high <= low {
            return None;
        }
        let rise = self.taut_at(Length::from_mm(high))? - self.taut_at(Length::from_mm(low))?;
        Some(rise.mm() / (high - low))
    }

    /// Heights at which the curve reads `taut`, rising; none in its gaps.
    ///
    /// A flat stretch that reads exactly `taut` gives its lower end.
    #[must_use]
    pub fn heights_reading(&self, taut: Length) -> Vec<Length> {
        let over: Vec<f64> = self.taut_mm.iter().map(|girth| girth - taut.mm()).collect();
        self.stretches()
            .flat_map(|stretch| stretch.start + 1..stretch.end)
            .filter(|&i| (over[i - 1] < 0.0) != (over[i] < 0.0))
            .map(|i| {
                let share = over[i - 1] / (over[i - 1] - over[i]);
                let (h0, h1) = (self.heights_mm[i - 1], self.heights_mm[i]);
                Length::from_mm(h0 + share * (h1 - h0))
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A star of 60 points between radii 100 and 300 has 120 sides of about 200 mm, 24 m along the skin: its level is
    /// left out, that of the square below it is not.
    #[test]
    fn a_level_that_no_body_has_is_left_out() {
        use crate::section::Contour;
        let piece = |height_mm: f64, points: Vec<[f64; 2]>| {
            let contour = Contour::closed(points);
            Piece {
                height_mm,
                taut_mm: contour.taut_girth_mm(),
                contour,
            }
        };
        let star = |i: u32| {
            let (radius, angle) = (
                if i.is_multiple_of(2) { 100.0 } else { 300.0 },
                f64::from(i) * std::f64::consts::TAU / 120.0,
            );
            [radius * angle.cos(), radius * angle.sin()]
        };
        let square = vec![[0.0, 0.0], [200.0, 0.0], [200.0, 200.0], [0.0, 200.0]];
        let pieces = [
            piece(900.0, square),
            piece(902.5, (0..120).map(star).collect()),
        ];
        let curve = GirthCurve::of(CurvePart::Trunk, &pieces);
        assert_eq!(curve.heights_mm, [900.0]);
        assert!((curve.surface_mm[0] - 800.0).abs() < 1e-9);
        assert_eq!(curve.taut_mm.len(), 1);
    }

    /// Round frustum of girth 700 mm at 1050 mm to 960 mm at 850 mm: 1.3 mm
    /// of girth per mm of height, 830 mm at 950 mm (closed form).
    fn frustum() -> GirthCurve {
        let heights_mm: Vec<f64> = (0..=100).map(|i| 850.0 + 2.0 * f64::from(i)).collect();
        let taut_mm: Vec<f64> = heights_mm
            .iter()
            .map(|h| 960.0 - 1.3 * (h - 850.0))
            .collect();
        GirthCurve {
            part: CurvePart::Trunk,
            surface_mm: taut_mm.clone(),
            heights_mm,
            taut_mm,
        }
    }

    #[test]
    fn frustum_values_slope_and_inverse() {
        let curve = frustum();
        let at = |h| curve.taut_at(Length::from_mm(h)).map(Length::mm);
        assert!((at(950.0).unwrap() - 830.0).abs() < 1e-9);
        assert!((at(951.0).unwrap() - 828.7).abs() < 1e-9);
        assert!((at(850.0).unwrap() - 960.0).abs() < 1e-9);
        assert_eq!(at(849.0), None);
        assert_eq!(at(1050.1), None);
        let slope = curve.slope_at(Length::from_mm(950.0), Length::from_mm(10.0));
        assert!((slope.unwrap() + 1.3).abs() < 1e-9);
        let heights = curve.heights_reading(Length::from_mm(831.3));
        assert_eq!(heights.len(), 1);
        assert!((heights[0].mm() - 949.0).abs() < 1e-9);
        assert!(curve.heights_reading(Length::from_mm(1000.0)).is_empty());
    }

    /// The same frustum without the skin from 930 mm to 970 mm, as if a hand hid it.
    #[test]
    fn nothing_is_read_across_a_gap() {
        let whole = frustum();
        let shown = |i: &usize| !(930.0..=970.0).contains(&whole.heights_mm[*i]);
        let kept: Vec<usize> = (0..whole.heights_mm.len()).filter(shown).collect();
        let pick = |values: &[f64]| kept.iter().map(|&i| values[i]).collect::<Vec<f64>>();
        let curve = GirthCurve {
            part: CurvePart::Trunk,
            heights_mm: pick(&whole.heights_mm),
            taut_mm: pick(&whole.taut_mm),
            surface_mm: pick(&whole.surface_mm),
        };
        assert_eq!(curve.stretches().collect::<Vec<_>>(), [0..40, 40..80]);
        assert!(whole.stretches().eq(std::iter::once(0..101)));

        let mm = Length::from_mm;
        assert_eq!(curve.taut_at(mm(950.0)), None);
        assert_eq!(curve.surface_at(mm(950.0)), None);
        assert_eq!(curve.slope_at(mm(950.0), mm(30.0)), None);
        // 830 mm is the girth at 950 mm, which no one has seen; 880.7 mm that at 911 mm.
        assert!(curve.heights_reading(mm(830.0)).is_empty());
        assert_eq!(curve.heights_reading(mm(880.7)).len(), 1);
        // The window ends where the levels end.
        let slope = curve.slope_at(mm(920.0), mm(30.0)).unwrap();
        assert!((slope + 1.3).abs() < 1e-9);
        assert!((curve.bridged_at(950.0, false).unwrap() - 830.0).abs() < 1e-9);
    }

    #[test]
    fn a_curve_without_levels_reads_nothing() {
        let curve = GirthCurve {
            part: CurvePart::Trunk,
            heights_mm: Vec::new(),
            taut_mm: Vec::new(),
            surface_mm: Vec::new(),
        };
        assert_eq!(curve.stretches().count(), 0);
        assert_eq!(curve.taut_at(Length::from_mm(950.0)), None);
        assert!(curve.heights_reading(Length::from_mm(830.0)).is_empty());
    }
}
