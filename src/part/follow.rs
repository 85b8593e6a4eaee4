//! Following contours from level to level, up and down from the trunk.

use super::blob::{Blob, MOSTLY};
use super::bridged::arms_bridged;
use super::meet::{Join, LOWEST_ARMPIT, Meetings, WITHIN};
use super::{Branch, Parts, Piece, torn};
use crate::finding::Finding;
use crate::parallel::map_indices;
use crate::section::Slicer;
use crate::side::Side;

/// All followable contours of each level.
type Levels<'l, 'c> = &'l [Vec<Blob<'c>>];

/// Where a contour stands: level, then place in the level.
pub(super) type At = (usize, usize);

/// Levels that may lack a contour (a hole in the scan) before a part is taken to end: 30 mm.
const MISSING: usize = 12;
/// Least share of the trunk's area in each of two contours that are legs.
const LEG_SHARE: f64 = 0.18;
/// Share of a trunk's area below which the next contour down is one leg, not both.
const ONE_LEG: f64 = 0.65;
/// Levels within which the second leg must show under a hole at the crotch: 100 mm.
const HOLE: usize = 40;
/// Least share of the area of what it joins in a contour that is an arm:
/// under a wrist at the hips, over a thumb.
const ARM_SHARE: f64 = 0.008;
/// Least share of a part's area in its contour a level on. Less is a hollow within it (a mouth)
/// that shows alone where the skin around it is missing.
const HOLLOW_SHARE: f64 = 0.1;
/// Least share of an arm's depth that lies beside the trunk's where it joins it.
const ASIDE_SHARE: f64 = 0.5;
/// Share of the stature above which nothing that joins the trunk is an arm: chin and
/// ears do (ANSUR II: acromion 0.82 ± 0.009, armpit 0.76 ± 0.009, cervicale 0.86 ± 0.007).
const HIGHEST_ARMPIT: f64 = 0.83;
/// Share of the stature at which the armpits usually lie (ANSUR II: 0.76 ± 0.009).
const USUAL_ARMPIT: f64 = 0.76;
/// Share of the stature at which the trunk is looked for first, and how far
/// to either side: between hip bone and ribs of any grown body (ANSUR II:
/// iliac crest 0.61 ± 0.013, crotch 0.48 ± 0.015, armpit 0.76 ± 0.009).
const SEED: (f64, f64) = (0.61, 0.07);

pub(super) fn follow<'l, 'c>(
    slicer: &Slicer<'_>,
    levels: Levels<'l, 'c>,
    torn: Levels<'l, 'c>,
    step_mm: f64,
) -> Parts {
    let tracker = Tracker {
        slicer,
        levels,
        torn,
        step_mm,
    };
    let mut parts = Parts {
        trunk: Branch::default(),
        upper: Branch::default(),
        legs: Default::default(),
        arms: Default::default(),
        crotch: None,
        armpits: [None, None],
        touched_mm: Vec::new(),
        touched_legs_mm: Default::default(),
        arm_seen: [false; 2],
        held_out: [false; 2],
        step_mm,
        findings: Vec::new(),
    };
    let Some(seed) = tracker.seed() else {
        parts.findings.push(Finding::act(
            "trunk",
            "no closed contour was found where the trunk should be; is skin missing all round?",
        ));
        return parts;
    };
    let (mut trunk, legs) = tracker.down_to_crotch(seed, &mut parts);
    trunk.reverse();
    trunk.pop();
    tracker.up_to_head(seed, trunk, &legs, &mut parts);
    arms_bridged(&mut parts);
    parts
}

pub(super) struct Tracker<'l, 'c, 's> {
    pub(super) slicer: &'l Slicer<'s>,
    pub(super) levels: Levels<'l, 'c>,
    /// What does not close, at the same levels.
    torn: Levels<'l, 'c>,
    pub(super) step_mm: f64,
}

impl<'c> Tracker<'_, 'c, '_> {
    pub(super) fn blob(&self, at: At) -> &Blob<'c> {
        &self.levels[at.0][at.1]
    }

    fn piece(&self, at: At) -> Piece {
        let contour = self.blob(at).contour.clone();
        Piece {
            height_mm: self.height(at.0),
            taut_mm: contour.taut_girth_mm(),
            contour,
        }
    }

    pub(super) fn height(&self, level: usize) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred levels")]
        let height = (level as f64 + 0.5) * self.step_mm;
        height
    }

    /// The level at a share of the stature.
    fn level(&self, share: f64) -> usize {
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few hundred levels"
        )]
        let level = (self.levels.len() as f64 * share) as usize;
        level
    }

    /// The largest contour over the midline near the level where the trunk must be: where the trunk
    /// does not close, an arm beside it may.
    fn seed(&self) -> Option<At> {
        let (middle, reach) = (self.level(SEED.0), self.level(SEED.1));
        let over_midline = |blob: &Blob<'_>| {
            let (low, high) = blob.contour.extent(0);
            low < 0.0 && high > 0.0
        };
        (0..=reach)
            .flat_map(|d| [middle + d, middle.saturating_sub(d)])
            .find_map(|level| {
                // Contours of a level are sorted, largest first.
                let place = self.levels.get(level)?.iter().position(over_midline)?;
                Some((level, place))
            })
    }

    /// Contours at the next level with any that continue `at`, going by `step` (+1 or -1).
    fn next(&self, at: At, step: isize) -> Vec<At> {
        let mut level = at.0;
        for _ in 0..MISSING {
            let Some(to) = level
                .checked_add_signed(step)
                .filter(|&l| l < self.levels.len())
            else {
                break;
            };
            level = to;
            let here = self.blob(at);
            let found: Vec<At> = (0..self.levels[level].len())
                .map(|i| (level, i))
                .filter(|&to| self.blob(to).continues(here))
                .filter(|&to| self.blob(to).area >= HOLLOW_SHARE * here.area)
                .collect();
            if !found.is_empty() {
                return found;
            }
        }
        Vec::new()
    }

    /// Follows the largest continuation until there is none, or one that `ends` it.
    fn run(&self, start: At, step: isize, ends: impl Fn(At) -> bool) -> Vec<At> {
        let mut path = vec![start];
        let mut at = start;
        while let Some(&to) = self.next(at, step).first().filter(|&&to| !ends(to)) {
            path.push(to);
            at = to;
        }
        path
    }

    /// The same down a limb, past levels at which its skin does not close.
    fn run_down(&self, start: At, ends: impl Fn(At) -> bool) -> Vec<At> {
        let mut path = self.run(start, -1, &ends);
        while let Some(to) = path.last().and_then(|&last| self.past_torn(last))
            && !ends(to)
        {
            path.extend(self.run(to, -1, &ends));
        }
        path
    }

    /// The closed contour that torn ones lead to from where a limb has none below.
    fn past_torn(&self, last: At) -> Option<At> {
        if !self.next(last, -1).is_empty() {
            return None;
        }
        let mut stones = torn::stones(self.torn, last.0, self.blob(last));
        stones.find_map(|(level, stone)| {
            let below = level.checked_sub(1)?;
            let all = (0..self.levels[below].len()).map(|i| (below, i));
            let mut closed = all.filter(|&to| torn::is_alike(self.blob(to), stone));
            closed.next()
        })
    }

    fn branch(&self, path: impl IntoIterator<Item = At>) -> Branch {
        let path: Vec<At> = path.into_iter().collect();
        Branch {
            pieces: map_indices(path.len(), |i| self.piece(path[i])),
        }
    }

    /// Follows the trunk down to where the legs part; returns its contours, seed first, and those of the legs.
    fn down_to_crotch(&self, seed: At, parts: &mut Parts) -> (Vec<At>, Vec<At>) {
        let mut path = vec![seed];
        let mut at = seed;
        loop {
            let below = self.next(at, -1);
            // One leg alone: a hole at the crotch hides the other for some levels.
            let shrunk = |to: &At| self.blob(*to).area < ONE_LEG * self.blob(at).area;
            let legs = self.two_legs(at, &below).or_else(|| {
                let alone = below.first().is_none_or(shrunk);
                alone.then(|| self.legs_under_hole(at)).flatten()
            });
            if let Some([left, right]) = legs {
                parts.crotch = Some(self.fork(left, right, at.0));
                let mut runs = [left, right].map(|leg| self.run_down(leg, |_| false));
                // Knees or calves that touch make one contour of both: there each leg ends.
                let shared = runs[0].iter().position(|at| runs[1].contains(at));
                if let Some(end) = shared {
                    let level = runs[0][end].0;
                    for run in &mut runs {
                        run.retain(|at| at.0 > level);
                    }
                }
                let legs = runs.concat();
                parts.legs = runs.map(|down| self.branch(down.into_iter().rev()));
                return (path, legs);
            }
            let Some(&to) = below.first() else {
                parts.findings.push(Finding::look(
                    "legs",
                    "the legs are not apart anywhere below the trunk, so no crotch level can be told",
                ));
                return (path, Vec::new());
            };
            path.push(to);
            at = to;
        }
    }

    /// The two contours, left first, that a contour of both legs parts into.
    fn two_legs(&self, at: At, below: &[At]) -> Option<[At; 2]> {
        let area = self.blob(at).area;
        let legs: Vec<At> = below
            .iter()
            .copied()
            .filter(|&to| self.blob(to).area >= LEG_SHARE * area)
            .filter(|&to| self.blob(to).within(self.blob(at)) >= MOSTLY)
            .collect();
        let [a, b] = legs[..] else { return None };
        let left_first = self.blob(a).centre[0] < self.blob(b).centre[0];
        Some(if left_first { [a, b] } else { [b, a] })
    }

    /// The two legs, at the first level below that shows both.
    fn legs_under_hole(&self, at: At) -> Option<[At; 2]> {
        (at.0.saturating_sub(HOLE)..at.0).rev().find_map(|level| {
            let all: Vec<At> = (0..self.levels[level].len()).map(|i| (level, i)).collect();
            self.two_legs(at, &all)
        })
    }

    /// Follows the trunk up through the armpits to the top of the head.
    fn up_to_head(&self, seed: At, below: Vec<At>, legs: &[At], parts: &mut Parts) {
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
