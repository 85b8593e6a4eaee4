//! Feet: length, breadth, and the girth over heel and instep.

use super::{Taker, Why};
use crate::landmark::{NO_FEET, cut_about};
use crate::measure::girth::{Reading, root_mean_square};
use crate::measure::{Cause, Key, MeasureId, Spread};
use crate::mesh::TriMesh;
use crate::section::{Hull, PlaneAxes, Slicer};
use crate::side::Side;
use nalgebra::{Point3, Vector3};

/// The foot's outline from above is that of the skin below this share of the stature: below the
/// ankle bones (ANSUR II: 0.0385 ± 0.0028 and 0.0415 ± 0.0029).
const FOOT_TOP: f64 = 0.03;
/// Heel and instep lie below this share of the stature (ANSUR II: heel to ankle crease is about the
/// heel girth's third, 0.19/3, up a slope).
const INSTEP_TOP: f64 = 0.12;
/// Tilts of the tape from the heel up to the instep that are tried, in degrees above level, and their step.
const TILTS: (i32, i32) = (20, 70);
const TILT_STEP: usize = 5;
/// How far within the heel the planes are told from others, in mm.
const WITHIN_MM: f64 = 15.0;
/// Directions about the longest one in which the narrowest rectangle is looked for, in degrees.
const TURN: i32 = 20;
/// Toes lift and skin spreads under weight: length and breadth of a standing foot come out again to
/// about this, in mm (common practice, no source).
const STAND_SD_MM: f64 = 2.0;

/// Outline of a foot from above.
pub(super) struct Outline {
    /// Level direction from heel to toes.
    forward: Vector3<f64>,
    pub(super) length_mm: f64,
    breadth_mm: f64,
}

impl Taker<'_, '_> {
    /// Foot length and breadth, and the girth over heel and instep.
    pub(super) fn foot(&mut self, side: Side) {
        let [length, breadth, heel] = [Key::FootLength, Key::FootBreadth, Key::HeelGirth]
            .map(|key| MeasureId::new(key, side));
        let foot = match self.outline(side) {
            Ok(foot) => foot,
            Err(why) => return self.withhold_all([length, breadth, heel], &why),
        };
        let spread = || Spread::of([(Cause::Level, STAND_SD_MM)]);
        self.value(length, foot.length_mm, spread(), None);
        self.value(breadth, foot.breadth_mm, spread(), None);
        match self.heel(side, foot.forward) {
            Ok((reading, slip)) => self.value(heel, reading.taut_mm, reading.spread(slip), None),
            Err(why) => self.withhold(heel, why),
        }
    }

    pub(super) fn outline(&self, side: Side) -> Result<Outline, Why> {
        if !self.survey.ends.feet {
            return Err(NO_FEET.to_owned());
        }
        let top = FOOT_TOP * self.survey.stature_mm;
        let pieces = self.survey.parts.leg(side).between(0.0, top);
        // Half of the levels at least, so that neither toes nor heel are among what is missing.
        let whole = 0.5 * top / self.survey.parts.step_mm;
        #[expect(clippy::cast_precision_loss, reason = "a few dozen levels")]
        let found = pieces.len() as f64;
        if found < whole {
            return Err("the foot is not apart from the other one or not whole on the scan; scan again with the feet apart".to_owned());
        }
        let points: Vec<[f64; 2]> = pieces
            .iter()
            .flat_map(|piece| piece.contour.settled().points().to_vec())
            .collect();
        narrowest(&Hull::of(&points).points).ok_or_else(|| "the foot has no outline".to_owned())
    }

    /// The least girth through the back lower end of the heel, and what a slip of the tape does to it.
    fn heel(&self, side: Side, forward: Vector3<f64>) -> Result<(Reading, f64), Why> {
        let none = || "skin is missing at heel or instep".to_owned();
        let (low, high) = self.foot_box(side).ok_or_else(none)?;
        let outline = self.survey.outline.within(low, high);
        let down_back = |p: &Point3<f64>| -forward.dot(&p.coords) - p.z;
        let corner = outline
            .points()
            .iter()
            .max_by(|a, b| down_back(a).total_cmp(&down_back(b)))
            .ok_or_else(none)?;
        let cut = |mesh: &TriMesh, tilt: f64| {
            let along = forward * tilt.cos() + Vector3::z() * tilt.sin();
            let aside = Vector3::z().cross(&forward);
            let axes = PlaneAxes::square_to(along.cross(&aside)).ok()?;
            let within = corner + along * WITHIN_MM;
            Some(cut_about(&Slicer::along(mesh, axes), &within)?.contour)
        };
        let tilts: Vec<f64> = (TILTS.0..=TILTS.1)
            .step_by(TILT_STEP)
            .map(|tilt| f64::from(tilt).to_radians())
            .collect();
        let girths: Vec<Option<f64>> = tilts
            .iter()
            .map(|&tilt| Some(cut(&outline, tilt)?.taut_girth_mm()))
            .collect();
        let least = (1..girths.len().saturating_sub(1))
            .filter(|&i| {
                let girth = |i: usize| girths[i].unwrap_or(0.0);
                girth(i) > 0.0 && girth(i) <= girth(i - 1) && girth(i) <= girth(i + 1)
            })
            .min_by(|&a, &b| {
                girths[a]
                    .unwrap_or(0.0)
                    .total_cmp(&girths[b].unwrap_or(0.0))
            });
        let least = least.ok_or_else(none)?;
        let mesh = self.survey.mesh.within(low, high);
        let reading = Reading::of(&cut(&mesh, tilts[least]).ok_or_else(none)?);
        // The search ends within half a step of the least: the change from there is a quarter of that over a whole one.
        let beside = [girths[least - 1], girths[least + 1]].into_iter().flatten();
        let slip = 0.25 * root_mean_square(beside, girths[least].unwrap_or(0.0));
        Ok((reading, slip))
    }

    /// The box about a foot and its ankle.
    fn foot_box(&self, side: Side) -> Option<(Point3<f64>, Point3<f64>)> {
        let top = INSTEP_TOP * self.survey.stature_mm;
        let pieces = self.survey.parts.leg(side).between(0.0, top);
        pieces.first()?;
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for piece in pieces {
            for axis in 0..2 {
                let (from, to) = piece.contour.extent(axis);
                low[axis] = low[axis].min(from);
                high[axis] = high[axis].max(to);
            }
        }
        // A little more, so that no face of the foot is left out.
        let margin = self.survey.parts.step_mm;
        Some((
            Point3::new(low[0] - margin, low[1] - margin, -margin),
            Point3::new(high[0] + margin, high[1] + margin, top),
        ))
    }
}

/// The narrowest rectangle round an outline, its long side within [`TURN`] of the outline's longest line.
fn narrowest(hull: &[[f64; 2]]) -> Option<Outline> {
    let pairs = hull.iter().enumerate().flat_map(|(i, a)| {
        let after = hull[i + 1..].iter();
        after.map(move |b| [b[0] - a[0], b[1] - a[1]])
    });
    let longest = pairs.max_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1])))?;
    // Toes point forward.
    let turn = if longest[1] < 0.0 { -1.0 } else { 1.0 };
    let middle = (turn * longest[1]).atan2(turn * longest[0]);
    let extent = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        let along = hull.iter().map(|p| p[0] * cos + p[1] * sin);
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
            (low.min(x), high.max(x))
        });
        high - low
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    let angle = (-2 * TURN..=2 * TURN)
        .map(|half| middle + (0.5 * f64::from(half)).to_radians())
        .min_by(|a, b| extent(a + quarter).total_cmp(&extent(b + quarter)))?;
    Some(Outline {
        forward: Vector3::new(angle.cos(), angle.sin(), 0.0),
        length_mm: extent(angle),
        breadth_mm: extent(angle + quarter),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rectangle of 250 by 80 that toes out by 8 degrees keeps its sides (closed form), though its
    /// longest line is the diagonal, 17.7 degrees off.
    #[test]
    fn a_turned_rectangle() {
        let (sin, cos) = 98.0_f64.to_radians().sin_cos();
        let corners = [
            [-125.0, -40.0],
            [125.0, -40.0],
            [125.0, 40.0],
            [-125.0, 40.0],
        ];
        let hull = corners.map(|[u, v]| [u * cos - v * sin, u * sin + v * cos]);
        let foot = narrowest(&Hull::of(&hull).points).unwrap();
        // Half-degree steps about the diagonal: off by a quarter at most, 250·sin 0.25° = 1.09.
        assert!((foot.length_mm - 250.0).abs() < 0.4, "{}", foot.length_mm);
        assert!((foot.breadth_mm - 80.0).abs() < 1.1, "{}", foot.breadth_mm);
        assert!(foot.forward.y > 0.9);
    }
}
