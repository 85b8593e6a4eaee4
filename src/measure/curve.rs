//! Girth by height.

use crate::length::Length;
use crate::parallel::map_indices;
use crate::part::Piece;
use crate::side::Side;
use serde::{Deserialize, Serialize};

/// A part of the body a girth curve follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CurvePart {
    /// Trunk without arms, from the crotch up to the armpits.
    Trunk,
    /// A leg, from the ankle up to the crotch.
    Leg(Side),
}

/// Girth of one body part against height, level by level, heights rising.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
    /// The curve of a part's contours, heights rising.
    #[must_use]
    pub fn of<'p>(part: CurvePart, pieces: impl IntoIterator<Item = &'p Piece>) -> Self {
        let pieces: Vec<&Piece> = pieces.into_iter().collect();
        let surface_mm = map_indices(pieces.len(), |i| pieces[i].contour.surface_girth_mm());
        Self {
            part,
            heights_mm: pieces.iter().map(|piece| piece.height_mm).collect(),
            taut_mm: pieces.iter().map(|piece| piece.taut_mm).collect(),
            surface_mm,
        }
    }

    /// Taut girth at a height, linear between levels; `None` outside the curve.
    #[must_use]
    pub fn taut_at(&self, height: Length) -> Option<Length> {
        self.read(&self.taut_mm, height)
    }

    /// Girth along the skin at a height, linear between levels; `None` outside the curve.
    #[must_use]
    pub fn surface_at(&self, height: Length) -> Option<Length> {
        self.read(&self.surface_mm, height)
    }

    fn read(&self, girths: &[f64], height: Length) -> Option<Length> {
        let h = height.mm();
        let after = self.heights_mm.partition_point(|&level| level < h);
        let exact = self.heights_mm.get(after)?;
        if after == 0 {
            return (*exact <= h).then(|| Length::from_mm(girths[0]));
        }
        let (h0, h1) = (self.heights_mm[after - 1], self.heights_mm[after]);
        let (g0, g1) = (girths[after - 1], girths[after]);
        Some(Length::from_mm(g0 + (g1 - g0) * (h - h0) / (h1 - h0)))
    }

    /// Slope of the taut girth at a height, mm of girth per mm upwards, over a window of ± `reach`.
    #[must_use]
    pub fn slope_at(&self, height: Length, reach: Length) -> Option<f64> {
        let (first, last) = (*self.heights_mm.first()?, *self.heights_mm.last()?);
        let low = (height.mm() - reach.mm()).max(first);
        let high = (height.mm() + reach.mm()).min(last);
        if high <= low {
            return None;
        }
        let rise = self.taut_at(Length::from_mm(high))? - self.taut_at(Length::from_mm(low))?;
        Some(rise.mm() / (high - low))
    }

    /// Heights at which the curve reads `taut`, rising.
    ///
    /// A flat stretch that reads exactly `taut` gives its lower end.
    #[must_use]
    pub fn heights_reading(&self, taut: Length) -> Vec<Length> {
        let over: Vec<f64> = self.taut_mm.iter().map(|girth| girth - taut.mm()).collect();
        (1..over.len())
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
}
