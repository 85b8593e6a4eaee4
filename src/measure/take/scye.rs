//! Round the root of the arm, and between the arms: armscye, across back, across front, scye depth.

use super::neck::{End, Skin};
use super::{Taker, Why};
use crate::landmark::{LandmarkKey, SHOULDER_SINE};
use crate::measure::girth::Reading;
use crate::measure::path::{Outward, taut_over};
use crate::measure::{Cause, Key, MeasureId, Spread};
use crate::part::{Branch, Piece};
use crate::section::Contour;
use crate::side::Side;
use nalgebra::Point3;

/// The tape's middle lies this far over the top of the armpit, in mm: half its width, and what it
/// does not follow of the hollow.
const OVER_ARMPIT_MM: f64 = 10.0;
/// How firmly a tape is drawn into the armpit differs by about this much, in mm (common practice,
/// no source).
const FIRM_SD_MM: f64 = 5.0;
/// How far below the level at which the arm parts from the trunk both are looked at, in mm.
const BELOW_FORK_MM: f64 = 10.0;
/// The folds in front of and behind the arm are looked for so far about the armpit, in mm.
const NOTCH_REACH_MM: f64 = 120.0;
/// Between the folds the contour runs round trunk or arm: at least so far, in mm.
const APART_MM: f64 = 120.0;
/// From one standing to the next shoulders are drawn forward or back, which a tape across the back feels by about
/// so much, in mm (common practice, no source).
const DRAWN_SD_MM: f64 = 5.0;
/// A level farther from the one looked for than this, in mm, is another.
const NEAR_MM: f64 = 15.0;
/// A contour of more points than this is thinned before folds are looked for.
const MOST_POINTS: usize = 500;

/// The root of one arm.
#[derive(Clone, Copy, Debug)]
struct ArmRoot {
    /// The folds in front and behind, just over the armpit.
    folds: [Point3<f64>; 2],
    fold_sd_mm: f64,
    shoulder: End,
}

impl ArmRoot {
    /// Over the skin from fold to shoulder point in front and behind, straight from fold to fold.
    fn girth(&self, skin: &Skin<'_>) -> Result<(f64, f64), Why> {
        let [front, back] = &self.folds;
        let mut girth = nalgebra::distance(front, back);
        for fold in &self.folds {
            girth += skin.distance(fold, &self.shoulder.place)?;
        }
        let folds = self.folds.map(End::fixed);
        // An armpit that lies lower lengthens both sides.
        let armpit = 2.0 * self.fold_sd_mm.hypot(FIRM_SD_MM);
        Ok((girth, self.shoulder.pull(&folds).hypot(armpit)))
    }
}

impl Taker<'_, '_> {
    /// Armscye of both sides, and what is measured between the arms.
    pub(super) fn scyes(&mut self, skin: &Result<Skin<'_>, Why>) {
        let roots = Side::BOTH.map(|side| self.arm_root(side));
        for (side, root) in Side::BOTH.into_iter().zip(&roots) {
            let skin = skin.as_ref().map_err(Clone::clone);
            let root = root.as_ref().map_err(Clone::clone);
            let girth = skin.and_then(|skin| root?.girth(skin));
            self.length(MeasureId::new(Key::ArmscyeGirth, side), girth);
        }
        let keys = [Key::AcrossBackWidth, Key::AcrossFrontWidth];
        if let Err(why) = self.across(keys) {
            self.withhold_all(keys, &why);
        }
        if let Err(why) = self.scye_depth() {
            self.withhold(Key::ScyeDepth, why);
        }
    }

    fn arm_root(&self, side: Side) -> Result<ArmRoot, Why> {
        let armpit = self.mark(LandmarkKey::Armpit, Some(side))?;
        let shoulder = self.mark(LandmarkKey::ShoulderPoint, Some(side))?;
        let parts = &self.survey.parts;
        let arm = parts.arm(side).pieces.last().ok_or("there is no arm")?;
        // Not a level higher, where the trunk's contour holds the arm.
        let (low, high) = (arm.height_mm - BELOW_FORK_MM, arm.height_mm);
        let pieces = [&parts.trunk, &parts.upper].map(|part| part.between(low, high).last());
        let trunk = pieces
            .into_iter()
            .flatten()
            .max_by(|a, b| a.height_mm.total_cmp(&b.height_mm))
            .ok_or(NO_FOLDS)?;
        let fork = between(&trunk.contour, &arm.contour).ok_or(NO_FOLDS)?;
        let over = armpit.height_mm() + OVER_ARMPIT_MM;
        let joined = nearest(&[&parts.upper], over).ok_or(NO_FOLDS)?;
        let folds = notch(&Reading::of(&joined.contour).contour, fork).ok_or(NO_FOLDS)?;
        Ok(ArmRoot {
            folds: folds.map(|[x, y]| Point3::new(x, y, joined.height_mm)),
            fold_sd_mm: armpit.sd_mm,
            shoulder: End::ridge(shoulder, side, SHOULDER_SINE),
        })
    }

    /// Taut behind and in front between the plumb lines of the shoulder points, halfway down to the armpits.
    ///
    /// Not between the arms' creases: an arm that is held out draws its crease out by 30 mm, and the points of the
    /// bone stay (on eight shapes of a body model in four arm poses each the width moves by 4 mm). In the mean it is
    /// then what ANSUR II has between the middles of the armscyes behind ("interscye II") for people of the same
    /// stature and mass: 1 mm less on `study-000` to `study-059`.
    fn across(&mut self, keys: [Key; 2]) -> Result<(), Why> {
        let [left, right] = Side::BOTH.map(|side| {
            let armpit = self.mark(LandmarkKey::Armpit, Some(side))?;
            let shoulder = self.mark(LandmarkKey::ShoulderPoint, Some(side))?;
            Ok::<_, Why>((shoulder, armpit))
        });
        let ends = [left?, right?];
        let middle = ends.map(|(shoulder, armpit)| {
            let sd = 0.5 * shoulder.sd_mm.hypot(armpit.sd_mm);
            (0.5 * (shoulder.height_mm() + armpit.height_mm()), sd)
        });
        let height = 0.5 * (middle[0].0 + middle[1].0);
        let height_sd = 0.5 * middle[0].1.hypot(middle[1].1);
        let upper = &self.survey.parts.upper;
        let width = |height: f64, ends: [f64; 2], outward| {
            let piece = nearest(&[upper], height)?;
            let contour = Reading::of(&piece.contour).contour;
            Some((string(&contour, ends, outward)?, piece.height_mm))
        };
        let aside = ends.map(|(shoulder, _)| shoulder.point_mm[0]);
        // Each end slips along the ridge of its shoulder.
        let slips = ends.map(|(shoulder, _)| shoulder.sd_mm / SHOULDER_SINE.asin().tan());
        let slip = slips[0].hypot(slips[1]) * std::f64::consts::FRAC_1_SQRT_2;
        if nearest(&[upper], height).is_none_or(|piece| (piece.height_mm - height).abs() > NEAR_MM)
        {
            return Err(
                "skin is missing between the arms; scan again from all sides, the arms held out"
                    .to_owned(),
            );
        }
        for (key, outward) in keys.into_iter().zip([Outward::Back, Outward::Front]) {
            let Some((here, level)) = width(height, aside, outward) else {
                self.withhold(key, "the trunk does not reach from armscye to armscye");
                continue;
            };
            let change =
                |other: Option<(f64, f64)>| other.map_or(0.0, |other| (other.0 - here).abs());
            let narrower = [0, 1].map(|i| aside[i] - slip * aside[i].signum());
            let of_slip =
                change(width(height, narrower, outward)) * std::f64::consts::FRAC_1_SQRT_2;
            let of_level = change(width(height - height_sd, aside, outward)).max(change(width(
                height + height_sd,
                aside,
                outward,
            )));
            let spread = Spread::of([
                (Cause::Level, of_slip.hypot(of_level)),
                (Cause::Pose, DRAWN_SD_MM),
            ]);
            self.value(key, here, spread, Some(level));
        }
        Ok(())
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

/// Why an arm's root is not known.
const NO_FOLDS: &str = "the folds in front of and behind the arm do not show at the armpit";

/// The narrowest place of a contour that holds trunk and arm, near where they part: the fold in
/// front and the fold behind.
fn notch(contour: &Contour, near: [f64; 2]) -> Option<[[f64; 2]; 2]> {
    let apart = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
    let step = contour.points().len().div_ceil(MOST_POINTS).max(1);
    let points: Vec<[f64; 2]> = contour.points().iter().copied().step_by(step).collect();
    let mut along = vec![0.0];
    for (at, point) in points.iter().enumerate() {
        let next = points[(at + 1) % points.len()];
        along.push(along[at] + apart(*point, next));
    }
    let whole = along[points.len()];
    let close = |&at: &usize| apart(points[at], near) <= NOTCH_REACH_MM;
    let beside: Vec<usize> = (0..points.len()).filter(close).collect();
    let mut best: Option<(f64, [[f64; 2]; 2])> = None;
    for (n, &i) in beside.iter().enumerate() {
        for &j in &beside[n + 1..] {
            let way = along[j] - along[i];
            let across = apart(points[i], points[j]);
            if way.min(whole - way) >= APART_MM && best.is_none_or(|(least, _)| across < least) {
                best = Some((across, [points[i], points[j]]));
            }
        }
    }
    best.map(|(_, [a, b])| if a[1] > b[1] { [a, b] } else { [b, a] })
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
    use std::f64::consts::TAU;

    fn ring(radius: f64, n: u32) -> Vec<[f64; 2]> {
        (0..n)
            .map(|i| {
                let t = TAU * f64::from(i) / f64::from(n);
                [radius * t.cos(), radius * t.sin()]
            })
            .collect()
    }

    /// Closed form: circles of radius 80 and 40, 100 apart, cross at 74 from the middle of the
    /// first, √(80² − 74²) to either side: there the joined outline is narrowest.
    #[test]
    fn folds_where_two_circles_cross() {
        // From the front fold round the trunk to the one behind, then round the arm.
        let trunk = ring(80.0, 3600).into_iter().filter(|p| p[0] < 74.0);
        let arm = ring(40.0, 1800).into_iter().map(|p| [p[0] + 100.0, p[1]]);
        let mut arm: Vec<[f64; 2]> = arm.filter(|p| p[0] > 74.0).collect();
        let behind = arm.iter().position(|p| p[1] < 0.0).unwrap();
        arm.rotate_left(behind);
        let outline = trunk.chain(arm).collect();
        let contour = crate::section::closed_for_tests(outline);
        let [front, back] = notch(&contour, [80.0, 5.0]).unwrap();
        let exact = (6400.0_f64 - 74.0 * 74.0).sqrt();
        for (fold, y) in [(front, exact), (back, -exact)] {
            // Points are 1.3 mm apart once the outline is thinned.
            assert!(
                (fold[0] - 74.0).abs() < 2.0 && (fold[1] - y).abs() < 2.0,
                "{fold:?}"
            );
        }
        assert_eq!(notch(&contour, [500.0, 0.0]), None);
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
