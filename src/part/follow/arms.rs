//! Up the trunk past the armpits to the top of the head, and down the arms that join on the way.

use super::meet::{Join, LOWEST_ARMPIT, Meetings, WITHIN};
use super::{At, MISSING, Tracker};
use crate::part::Parts;
use crate::part::blob::MOSTLY;
use crate::side::Side;

/// Least share of the area of what it joins in a contour that is an arm:
/// under a wrist at the hips, over a thumb.
const ARM_SHARE: f64 = 0.008;
/// Least share of an arm's depth that lies beside the trunk's where it joins it.
const ASIDE_SHARE: f64 = 0.5;
/// Share of the stature above which nothing that joins the trunk is an arm: chin and
/// ears do (ANSUR II: acromion 0.82 ± 0.009, armpit 0.76 ± 0.009, cervicale 0.86 ± 0.007).
const HIGHEST_ARMPIT: f64 = 0.83;
/// Share of the stature at which the armpits usually lie (ANSUR II: 0.76 ± 0.009).
const USUAL_ARMPIT: f64 = 0.76;

impl Tracker<'_, '_, '_> {
    /// Follows the trunk up through the armpits to the top of the head.
    pub(super) fn up_to_head(&self, seed: At, below: Vec<At>, legs: &[At], parts: &mut Parts) {
        let mut path = below;
        path.extend(self.run(seed, 1, |_| false));
        // Going up, arms that end at the next level within the trunk's contour have joined it.
        let met = self.meetings(&path, parts);
        let stature = self.height(self.levels.len());
        let held_out = [0, 1].map(|side| met[side].held_out(stature));
        let mut passing = Vec::new();
        for side in 0..2 {
            for touch in met[side].touches(held_out[side]) {
                let high = self.height(touch.parts);
                // What joined nowhere below began in the contour, as a hand flat on the hip does.
                let low = touch
                    .arm
                    .map_or(high - self.hand_mm(), |arm| self.height(arm.0));
                passing.extend(touch.arm.filter(|arm| touch.parts - arm.0 <= MISSING));
                parts.touched_mm.push((low, high));
            }
            if let Some(fold) = held_out[side] {
                parts.held_out[side] = true;
                parts.arm_seen[side] = true;
                parts.armpits[side] = self.fold(&path, fold, side);
            }
        }
        let joins: Vec<Join> = [0, 1]
            .into_iter()
            .filter_map(|side| met[side].armpit(held_out[side]))
            .collect();
        for &(level, arm, trunk) in &joins {
            let side = self.side_of(arm, trunk).index();
            parts.armpits[side] = Some(self.fork(arm, trunk, level));
            // Where a hand lies at the thigh, the arm ends: from there the contour is of both.
            let ends = |to: At| legs.contains(&to) || path.contains(&to);
            let mut down = self.run_down(arm, ends);
            let into = loop {
                let into = down
                    .last()
                    .and_then(|&last| self.next(last, -1).first().copied());
                // What touches over no more levels than a hole may take goes on below.
                let touch = into.filter(|to| path.contains(to));
                let below = touch.and_then(|to| self.below(to, &passing, side, trunk));
                match below {
                    Some(below) => down.extend(self.run_down(below, ends)),
                    None => break into,
                }
            };
            if let Some(to) = into {
                let high = self.height(to.0) + self.step_mm;
                let stretch = (high - self.hand_mm(), high);
                if path.contains(&to) {
                    parts.touched_mm.push(stretch);
                }
                parts.touched_legs_mm[side].push(stretch);
            }
            parts.arms[side] = self.branch(down.into_iter().rev());
        }
        let folds = [0, 1]
            .into_iter()
            .filter(|&side| met[side].armpit(held_out[side]).is_none());
        let folds = folds.filter_map(|side| held_out[side]).map(|fold| fold + 1);
        let top = joins.iter().map(|&(level, ..)| level).chain(folds).min();
        let split = top.map_or(path.len(), |top| path.partition_point(|at| at.0 < top));
        parts.trunk = self.branch(path[..split].iter().copied());
        parts.upper = self.branch(path[split..].iter().copied());
    }

    /// Where arms and hands join the trunk and part from it, going up, left before right.
    fn meetings(&self, path: &[At], parts: &mut Parts) -> [Meetings; 2] {
        let mut met = [Meetings::default(), Meetings::default()];
        let (lowest, highest) = (self.level(LOWEST_ARMPIT), self.level(HIGHEST_ARMPIT));
        for pair in path.windows(2) {
            let [at, to] = [pair[0], pair[1]];
            if at.0 < highest {
                for arm in self.joining(at, to) {
                    met[self.side_of(arm, at).index()]
                        .joins
                        .push((to.0, arm, at));
                }
                for arm in self.parting(at, to) {
                    met[self.side_of(arm, to).index()].partings.push(to.0);
                }
            }
            // Higher up it is the shoulders that lie beside the neck.
            if at.0 < self.level(USUAL_ARMPIT) {
                for side in self.beside(at) {
                    parts.arm_seen[side.index()] = true;
                }
            }
            if at.0 >= lowest && at.0 < highest + WITHIN {
                let (low, high) = self.blob(at).contour.extent(0);
                met[0].edges.push((at.0, -low));
                met[1].edges.push((at.0, high));
            }
        }
        met
    }

    /// The arm of one side below a touch in passing that `to` lies in.
    fn below(&self, to: At, passing: &[At], side: usize, trunk: At) -> Option<At> {
        let near = |arm: &At| arm.0 < to.0 && to.0 - arm.0 <= MISSING;
        let mut arms = passing.iter().copied().filter(near);
        arms.find(|&arm| self.side_of(arm, trunk).index() == side)
    }

    /// How far down a hand reaches from where it begins to touch: more than its length, 0.111 ± 0.005
    /// of the stature (ANSUR II), and a slanted wrist.
    fn hand_mm(&self) -> f64 {
        self.height(self.level(0.14))
    }

    /// Sides on which a contour that can be an arm lies beside the trunk.
    fn beside(&self, trunk: At) -> impl Iterator<Item = Side> {
        (0..self.levels[trunk.0].len())
            .map(move |i| (trunk.0, i))
            .filter(move |&other| other != trunk)
            .filter(move |&other| self.blob(other).area >= ARM_SHARE * self.blob(trunk).area)
            .map(move |other| self.side_of(other, trunk))
    }

    fn side_of(&self, arm: At, trunk: At) -> Side {
        if self.blob(arm).centre[0] < self.blob(trunk).centre[0] {
            Side::Left
        } else {
            Side::Right
        }
    }

    /// Contours beside the trunk that end within its next contour.
    fn joining(&self, at: At, to: At) -> Vec<At> {
        (0..self.levels[at.0].len())
            .map(|i| (at.0, i))
            .filter(|&other| other != at)
            .filter(|&other| self.blob(other).area >= ARM_SHARE * self.blob(to).area)
            .filter(|&other| self.blob(other).within(self.blob(to)) >= MOSTLY)
            .filter(|&other| self.is_aside(other, at))
            // A contour of its own that goes on beside the trunk has not joined it.
            .filter(|&other| {
                !(0..self.levels[to.0].len())
                    .map(|i| (to.0, i))
                    .any(|next| next != to && self.blob(next).continues(self.blob(other)))
            })
            .collect()
    }

    /// True if a contour lies to the side of the trunk and reaches farther out, as an arm does; a breast
    /// that hangs before the ribs does not.
    fn is_aside(&self, other: At, trunk: At) -> bool {
        let [out, depth] = [0, 1].map(|axis| self.blob(other).contour.extent(axis));
        let [breadth, own] = [0, 1].map(|axis| self.blob(trunk).contour.extent(axis));
        let shared = depth.1.min(own.1) - depth.0.max(own.0);
        let reaches_out = out.0 < breadth.0 || out.1 > breadth.1;
        reaches_out && shared >= ASIDE_SHARE * (depth.1 - depth.0)
    }

    /// Contours that leave the trunk between two levels, as a hand does that touched it below.
    fn parting(&self, at: At, to: At) -> Vec<At> {
        (0..self.levels[to.0].len())
            .map(|i| (to.0, i))
            .filter(|&other| other != to)
            .filter(|&other| {
                self.blob(other).area >= ARM_SHARE * self.blob(at).area
                    && self.blob(other).within(self.blob(at)) >= MOSTLY
            })
            .collect()
    }
}
