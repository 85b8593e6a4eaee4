//! Round the root of the arm, and between the arms: armscye, across back, across front, scye depth.

use super::{Taker, Why};
use crate::landmark::{LandmarkKey, SHOULDER_SINE};
use crate::measure::girth::Reading;
use crate::measure::path::{Outward, taut_over};
use crate::measure::{Cause, Key, MeasureId, Spread};
use crate::mesh::TriMesh;
use crate::part::{Branch, Piece};
use crate::section::{Contour, PlaneAxes, cut_at};
use crate::side::Side;
use nalgebra::{Point3, Unit, Vector3};

/// How surely the middle of an armpit is found from side to side, as a standard deviation in mm:
/// the gap between arm and trunk just below it is about two fingers wide.
const FOLD_SD_MM: f64 = 8.0;

/// The root of one arm.
#[derive(Clone, Copy, Debug)]
struct ArmRoot {
    /// Where arm and trunk part, and how surely its height is known.
    fold: Point3<f64>,
    fold_sd_mm: f64,
    shoulder: Point3<f64>,
    /// One standard deviation of the shoulder point along the ridge.
    slip: Vector3<f64>,
}

impl ArmRoot {
    /// The plane of the armscye: through shoulder point and armpit, from back to front; u forward, v up along it.
    fn plane(&self, shoulder: Point3<f64>) -> Option<PlaneAxes> {
        let up = shoulder - self.fold;
        let v = Unit::try_new(Vector3::new(up.x, 0.0, up.z), f64::MIN_POSITIVE)?;
        let u = Vector3::y_axis();
        let normal = Unit::try_new(u.cross(&v), f64::MIN_POSITIVE)?;
        Some(PlaneAxes { u, v, normal })
    }

    /// Length round the arm's root over the skin, straight from fold to fold under it.
    fn girth(&self, mesh: &TriMesh, shoulder: Point3<f64>) -> Result<f64, Why> {
        let axes = self
            .plane(shoulder)
            .ok_or("armpit and shoulder point are one")?;
        let section = cut_at(mesh, axes, axes.normal.dot(&self.fold.coords));
        let [u, v] = axes.uv(&shoulder);
        let distance = |c: &Contour| {
            let to = |p: &[f64; 2]| (p[0] - u).hypot(p[1] - v);
            c.points().iter().map(to).fold(f64::INFINITY, f64::min)
        };
        let contours = section.contours.iter();
        let near = contours.min_by(|a, b| distance(a).total_cmp(&distance(b)));
        let near = near.filter(|c| c.is_closed()).ok_or(NO_SKIN)?;
        let smooth = Reading::of(near).contour;
        let level = axes.uv(&self.fold)[1];
        above(smooth.points(), [u, v], level).ok_or_else(|| NO_SKIN.to_owned())
    }
}

/// Why an armscye has no length.
const NO_SKIN: &str = "skin is missing round the root of the arm";

impl Taker<'_, '_> {
    /// Armscye of both sides, and what is measured between the arms.
    pub(super) fn scyes(&mut self) {
        let roots = Side::BOTH.map(|side| self.arm_root(side));
        for (side, root) in Side::BOTH.into_iter().zip(&roots) {
            let id = MeasureId::new(Key::ArmscyeGirth, side);
            match root
                .as_ref()
                .map_err(Clone::clone)
                .and_then(|root| self.armscye(root))
            {
                Ok((girth, spread)) => self.value(id, girth, spread, None),
                Err(why) => self.withhold(id, why),
            }
        }
        let keys = [Key::AcrossBackWidth, Key::AcrossFrontWidth];
        let depth = match &roots {
            [Ok(left), Ok(right)] => {
                self.across(keys, left, right);
                self.scye_depth()
            }
            [Err(why), _] | [_, Err(why)] => {
                self.withhold_all(keys, why);
                self.scye_depth()
            }
        };
        if let Err(why) = depth {
            self.withhold(Key::ScyeDepth, why);
        }
    }

    fn arm_root(&self, side: Side) -> Result<ArmRoot, Why> {
        let armpit = self.mark(LandmarkKey::Armpit, Some(side))?;
        let mark = self.mark(LandmarkKey::ShoulderPoint, Some(side))?;
        let parts = &self.survey.parts;
        let arm = parts.arm(side).pieces.last().ok_or("there is no arm")?;
        let trunk =
            nearest(&[&parts.trunk, &parts.upper], arm.height_mm).ok_or("there is no trunk")?;
        let [x, y] = between(&trunk.contour, &arm.contour).ok_or("there is no armpit")?;
        let out = side.sign() * (1.0 - SHOULDER_SINE * SHOULDER_SINE).sqrt();
        Ok(ArmRoot {
            fold: Point3::new(x, y, armpit.height_mm()),
            fold_sd_mm: armpit.sd_mm,
            shoulder: Point3::from(mark.point_mm),
            slip: Vector3::new(out, 0.0, -SHOULDER_SINE) * (mark.sd_mm / SHOULDER_SINE),
        })
    }

    fn armscye(&self, root: &ArmRoot) -> Result<(f64, Spread), Why> {
        let girth = root.girth(self.survey.mesh, root.shoulder)?;
        // What a slip of the shoulder point does is seen well enough on the stand-in.
        let slipped = [-1.0, 1.0].map(|sign| {
            let found = root.girth(self.survey.outline, root.shoulder + root.slip * sign);
            found.map_or(root.slip.norm(), |found| (found - girth).abs())
        });
        // An armpit that lies lower lengthens both sides.
        let level = slipped[0].max(slipped[1]).hypot(2.0 * root.fold_sd_mm);
        Ok((girth, Spread::of([(Cause::Level, level)])))
    }

    /// Taut from armscye to armscye, behind and in front, at half their depth.
    fn across(&mut self, keys: [Key; 2], left: &ArmRoot, right: &ArmRoot) {
        let middle = |root: &ArmRoot| nalgebra::center(&root.fold, &root.shoulder);
        let (a, b) = (middle(left), middle(right));
        let height = 0.5 * (a.z + b.z);
        let sd = [left, right].map(|root| (0.5 * root.slip.norm()).hypot(0.5 * FOLD_SD_MM));
        let spread = Spread::of([(Cause::Level, sd[0].hypot(sd[1]))]);
        let upper = &self.survey.parts.upper;
        let Some(piece) = nearest(&[upper], height) else {
            return self.withhold_all(keys, "there is no whole contour between the arms");
        };
        let contour = Reading::of(&piece.contour).contour;
        for (key, outward) in keys.into_iter().zip([Outward::Back, Outward::Front]) {
            match string(&contour, [a.x, b.x], outward) {
                Some(width) => self.value(key, width, spread.clone(), Some(piece.height_mm)),
                None => self.withhold(key, "the trunk does not reach from armscye to armscye"),
            }
        }
    }

    /// From the back neck point down the midline to the level of the armpits.
    fn scye_depth(&mut self) -> Result<(), Why> {
        let neck = self.mark(LandmarkKey::BackNeckPoint, None)?;
        let levels = Side::BOTH.map(|side| self.level(LandmarkKey::Armpit, Some(side)));
        let [left, right] = levels;
        let ((left, left_sd), (right, right_sd)) = (left?, right?);
        let height = 0.5 * (left + right);
        let parts = &self.survey.parts;
        let piece = nearest(&[&parts.trunk, &parts.upper], height).ok_or("there is no trunk")?;
        let (back, _) = piece
            .contour
            .across(0.0)
            .ok_or("the trunk lies beside the midline")?;
        let sd = neck.sd_mm.hypot(0.5 * left_sd.hypot(right_sd));
        let (from, to) = (Point3::from(neck.point_mm), Point3::new(0.0, back, height));
        self.taut_path(Key::ScyeDepth.into(), &from, &to, Outward::Back, sd);
        Ok(())
    }
}

/// The piece nearest to a height.
fn nearest<'p>(branches: &[&'p Branch], height: f64) -> Option<&'p Piece> {
    let near = branches.iter().filter_map(|branch| branch.nearest(height));
    near.min_by(|a, b| {
        let off = |piece: &Piece| (piece.height_mm - height).abs();
        off(a).total_cmp(&off(b))
    })
}

/// Midway between the nearest points of two contours.
fn between(one: &Contour, other: &Contour) -> Option<[f64; 2]> {
    let pairs = one
        .points()
        .iter()
        .flat_map(|a| other.points().iter().map(move |b| (a, b)));
    let apart = |(a, b): &(&[f64; 2], &[f64; 2])| (a[0] - b[0]).hypot(a[1] - b[1]);
    let (a, b) = pairs.min_by(|p, q| apart(p).total_cmp(&apart(q)))?;
    Some([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])])
}

/// Length of a closed outline above a level (its second coordinate), from the point nearest to
/// `top` to either side, and straight between its ends.
fn above(points: &[[f64; 2]], top: [f64; 2], level: f64) -> Option<f64> {
    let n = points.len();
    let off = |i: &usize| (points[*i][0] - top[0]).hypot(points[*i][1] - top[1]);
    let start = (0..n).min_by(|i, j| off(i).total_cmp(&off(j)))?;
    if points[start][1] <= level {
        return None;
    }
    let distance = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    let descend = |step: usize| {
        let (mut at, mut length) = (start, 0.0);
        for _ in 0..n {
            let next = (at + step) % n;
            let (a, b) = (points[at], points[next]);
            if b[1] <= level {
                let share = (a[1] - level) / (a[1] - b[1]);
                let end = [a[0] + share * (b[0] - a[0]), level];
                return (length + distance(a, end), Some(end));
            }
            length += distance(a, b);
            at = next;
        }
        (length, None)
    };
    match (descend(1), descend(n - 1)) {
        ((one, Some(a)), (other, Some(b))) => Some(one + other + distance(a, b)),
        // All of it lies above: it closes over the armpit.
        ((whole, None), _) | (_, (whole, None)) => Some(whole),
    }
}

/// Length of a string held at a level contour at two places from left to right, taut over its back or front.
fn string(contour: &Contour, ends: [f64; 2], outward: Outward) -> Option<f64> {
    let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
    let back = outward == Outward::Back;
    let end = |x: f64| {
        let (rear, fore) = contour.across(x)?;
        Some([x, if back { rear } else { fore }])
    };
    let (first, last) = (end(low)?, end(high)?);
    let between = contour.points().iter().copied();
    let arc: Vec<[f64; 2]> = [first]
        .into_iter()
        .chain(between.filter(|p| low < p[0] && p[0] < high))
        .chain([last])
        .collect();
    Some(taut_over(&arc, [0.0, if back { -1.0 } else { 1.0 }]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn ring(radius: f64, n: u32) -> Vec<[f64; 2]> {
        (0..n)
            .map(|i| {
                let t = TAU * f64::from(i) / f64::from(n);
                [radius * t.cos(), radius * t.sin()]
            })
            .collect()
    }

    /// Closed form: a circle of radius 80 above the chord 40 under its middle has an arc of
    /// 2π − 2 acos(1/2) = 4π/3 and a chord of 2·√(80² − 40²); all of it above is its whole length.
    #[test]
    fn arc_and_chord() {
        let points = ring(80.0, 3600);
        let found = above(&points, [3.0, 90.0], -40.0).unwrap();
        let exact = 80.0 * 4.0 * PI / 3.0 + 2.0 * 4800.0_f64.sqrt();
        assert!((found - exact).abs() < 1e-3, "{found} {exact}");
        let whole = above(&points, [3.0, 90.0], -90.0).unwrap();
        assert!((whole - 160.0 * PI).abs() < 1e-3, "{whole}");
        assert_eq!(above(&points, [0.0, -90.0], 0.0), None);
    }

    /// The nearest points of two rings of radius 80 and 30, 130 apart, leave a gap of 20.
    #[test]
    fn between_two_rings() {
        let contour = |points: Vec<[f64; 2]>| crate::section::closed_for_tests(points);
        let arm = ring(30.0, 360).into_iter().map(|p| [p[0] + 130.0, p[1]]);
        let found = between(&contour(ring(80.0, 360)), &contour(arm.collect())).unwrap();
        assert!(
            (found[0] - 90.0).abs() < 1e-6 && found[1].abs() < 1e-6,
            "{found:?}"
        );
    }

    /// Closed form: over a circle of radius 100 between ends 80 to either side: the arc of
    /// 2 asin(0.8) = 1.8546 rad; a hollow between two bumps is bridged.
    #[test]
    fn string_over_a_ring() {
        let contour = crate::section::closed_for_tests(ring(100.0, 3600));
        for outward in [Outward::Back, Outward::Front] {
            let found = string(&contour, [80.0, -80.0], outward).unwrap();
            assert!((found - 200.0 * 0.8_f64.asin()).abs() < 1e-3, "{found}");
        }
        assert_eq!(string(&contour, [120.0, -80.0], Outward::Back), None);
    }
}
