//! The root of an arm: how far from the midline trunk and arm lie where they part.
//!
//! The end of the shoulder lies over it, and it moves with the build where the shoulder's own turn hardly tells.

use super::{Survey, trunk};
use crate::part::Piece;
use crate::side::Side;

/// The side of the trunk is taken over this share of the stature, 40 mm, below the armpit.
const TRUNK: f64 = 0.024;
/// The inner side of the arm is laid straight through what lies so far below the armpit, in shares of the
/// stature: below the fold itself, above the swell of the upper arm.
const ARM: (f64, f64) = (0.003, 0.036);
/// Fewest levels that show a line.
const LEAST_LEVELS: usize = 8;
/// The line is carried up to so far below the ridge of the shoulder, as a share of the stature.
const BELOW_RIDGE: f64 = 0.06;
/// An armpit farther below the ridge than this share of the stature is none: the arm touches the trunk
/// below it. On the 60 study bodies chosen on it lies 0.066 to 0.118 below, through holes about
/// it up to 0.136.
const MOST_DROP: f64 = 0.14;

/// A trunk widens and an arm leans by about so much a mm of height where both are looked at (30 degrees, common
/// practice, no source), and half of it counts.
const HIDDEN: f64 = 0.3;

/// Distances from the midline, in mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Root {
    /// Of the side of the trunk just below the armpit.
    pub(super) trunk: f64,
    /// Of the inner side of the arm, carried up straight to below the ridge of the shoulder.
    pub(super) arm: f64,
    /// What an armpit hidden by missing skin leaves unsure of what they say together.
    pub(super) sd: f64,
}

impl Root {
    /// `None` where the armpit is not seen; `ridge` is the height of the shoulder's ridge.
    pub(super) fn of(survey: &Survey<'_>, side: Side, ridge: f64) -> Option<Self> {
        let armpit = trunk::armpit(survey, side).ok()?;
        let s = survey.stature_mm;
        let parts = &survey.parts;
        let arm = parts.arm(side);
        let top = arm.pieces.last()?.height_mm;
        if ridge - top > MOST_DROP * s {
            return None;
        }
        let beside = [&parts.trunk, &parts.upper]
            .into_iter()
            .flat_map(|branch| branch.between(top - TRUNK * s, top));
        let mut outer: Vec<f64> = beside.map(|piece| extent(piece, side).1).collect();
        outer.sort_by(f64::total_cmp);
        let inner: Vec<(f64, f64)> = arm
            .between(top - ARM.1 * s, top - ARM.0 * s)
            .iter()
            .map(|piece| (piece.height_mm, extent(piece, side).0))
            .collect();
        Some(Self {
            trunk: *outer.get(outer.len() / 2)?,
            arm: straight(&inner, ridge - BELOW_RIDGE * s)?,
            sd: HIDDEN * armpit.sd_mm,
        })
    }
}

/// How near to the midline and how far from it a piece reaches on one side.
fn extent(piece: &Piece, side: Side) -> (f64, f64) {
    let (low, high) = piece.contour.extent(0);
    match side {
        Side::Right => (low, high),
        Side::Left => (-high, -low),
    }
}

/// The value of the line of least squares through samples at a place.
fn straight(samples: &[(f64, f64)], place: f64) -> Option<f64> {
    if samples.len() < LEAST_LEVELS {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "some dozen levels")]
    let n = samples.len() as f64;
    let mean = |value: fn(&(f64, f64)) -> f64| samples.iter().map(value).sum::<f64>() / n;
    let (at, value) = (mean(|s| s.0), mean(|s| s.1));
    let (mut square, mut product) = (0.0, 0.0);
    for sample in samples {
        square += (sample.0 - at).powi(2);
        product += (sample.0 - at) * (sample.1 - value);
    }
    (square > 0.0).then(|| value + product / square * (place - at))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Samples of a line of slope −0.4 with a jitter that sums to nothing about it: its own value 60 above.
    #[test]
    fn a_line_is_carried_on() {
        let samples: Vec<(f64, f64)> = (0..12)
            .map(|i| {
                let at = 1300.0 - 2.5 * f64::from(i);
                let jitter = [0.5, -0.5, -0.5, 0.5][i as usize % 4];
                (at, 200.0 - 0.4 * (at - 1300.0) + jitter)
            })
            .collect();
        let found = straight(&samples, 1360.0).unwrap();
        assert!((found - 176.0).abs() < 1e-9, "{found}");
        assert_eq!(straight(&samples[..5], 1360.0), None);
    }
}
