//! Following contours from level to level, up and down from the trunk.

use super::blob::{Blob, MOSTLY};
use super::{Branch, Fork, Parts, Piece};
use crate::finding::Finding;
use crate::parallel::map_indices;
use crate::section::Slicer;
use crate::side::Side;

/// All followable contours of each level.
type Levels<'l, 'c> = &'l [Vec<Blob<'c>>];

/// Where a contour stands: level, then place in the level.
type At = (usize, usize);

/// Levels that may lack a contour (a hole in the scan) before a part is taken to end: 30 mm.
const MISSING: usize = 12;
/// Least share of the trunk's area in each of two contours that are legs.
const LEG_SHARE: f64 = 0.18;
/// Least share of the area of what it joins in a contour that is an arm:
/// under a wrist at the hips, over a thumb.
const ARM_SHARE: f64 = 0.008;
/// Least share of a part's area in its contour a level on. Less is a hollow within it (a mouth)
/// that shows alone where the skin around it is missing.
const HOLLOW_SHARE: f64 = 0.1;
/// Share of the stature above which nothing that joins the trunk is an arm: chin and
/// ears do (ANSUR II: acromion 0.82 ± 0.009, armpit 0.76 ± 0.009, cervicale 0.86 ± 0.007).
const HIGHEST_ARMPIT: f64 = 0.83;
/// Share of the stature at which the trunk is looked for first, and how far
/// to either side: between hip bone and ribs of any grown body (ANSUR II:
/// iliac crest 0.61 ± 0.013, crotch 0.48 ± 0.015, armpit 0.76 ± 0.009).
const SEED: (f64, f64) = (0.61, 0.07);

pub(super) fn follow(slicer: &Slicer<'_>, levels: Levels<'_, '_>, step_mm: f64) -> Parts {
    let tracker = Tracker {
        slicer,
        levels,
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
    let mut trunk = tracker.down_to_crotch(seed, &mut parts);
    trunk.reverse();
    trunk.pop();
    tracker.up_to_head(seed, trunk, &mut parts);
    parts
}

struct Tracker<'l, 'c, 's> {
    slicer: &'l Slicer<'s>,
    levels: Levels<'l, 'c>,
    step_mm: f64,
}

impl<'c> Tracker<'_, 'c, '_> {
    fn blob(&self, at: At) -> &Blob<'c> {
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

    fn height(&self, level: usize) -> f64 {
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

    /// The largest contour near the level where the trunk must be.
    fn seed(&self) -> Option<At> {
        let (middle, reach) = (self.level(SEED.0), self.level(SEED.1));
        (0..=reach)
            .flat_map(|d| [middle + d, middle.saturating_sub(d)])
            // Contours of a level are sorted, largest first.
            .find(|&l| self.levels.get(l).is_some_and(|blobs| !blobs.is_empty()))
            .map(|l| (l, 0))
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

    /// Follows the largest continuation until there is none.
    fn run(&self, start: At, step: isize) -> Vec<At> {
        let mut path = vec![start];
        let mut at = start;
        while let Some(&to) = self.next(at, step).first() {
            path.push(to);
            at = to;
        }
        path
    }

    fn branch(&self, path: impl IntoIterator<Item = At>) -> Branch {
        let path: Vec<At> = path.into_iter().collect();
        Branch {
            pieces: map_indices(path.len(), |i| self.piece(path[i])),
        }
    }

    /// Follows the trunk down to where the legs part; returns its contours, seed first.
    fn down_to_crotch(&self, seed: At, parts: &mut Parts) -> Vec<At> {
        let mut path = vec![seed];
        let mut at = seed;
        loop {
            let below = self.next(at, -1);
            let area = self.blob(at).area;
            let legs: Vec<At> = below
                .iter()
                .copied()
                .filter(|&to| self.blob(to).area >= LEG_SHARE * area)
                .filter(|&to| self.blob(to).within(self.blob(at)) >= MOSTLY)
                .collect();
            if let [a, b] = legs[..] {
                let x = |at: At| self.blob(at).centre[0];
                let (left, right) = if x(a) < x(b) { (a, b) } else { (b, a) };
                parts.crotch = Some(self.fork(left, right, at.0));
                for (side, leg) in [(Side::Left, left), (Side::Right, right)] {
                    let path = self.run(leg, -1);
                    parts.legs[side.index()] = self.branch(path.into_iter().rev());
                }
                return path;
            }
            let Some(&to) = below.first() else {
                parts.findings.push(Finding::look(
                    "legs",
                    "the legs are not apart anywhere below the trunk, so no crotch level can be told",
                ));
                return path;
            };
            path.push(to);
            at = to;
        }
    }

    /// Follows the trunk up through the armpits to the top of the head.
    fn up_to_head(&self, seed: At, below: Vec<At>, parts: &mut Parts) {
        let mut path = below;
        path.extend(self.run(seed, 1));
        // Going up, arms that end at the next level within the trunk's contour have joined it.
        let mut joins: Vec<(usize, At, At)> = Vec::new();
        let mut joined_low = [None; 2];
        for pair in path.windows(2) {
            let [at, to] = [pair[0], pair[1]];
            let arms = if at.0 < self.level(HIGHEST_ARMPIT) {
                self.joining(at, to)
            } else {
                Vec::new()
            };
            for arm in arms {
                let side = self.side_of(arm, at);
                joins.retain(|&(_, a, t)| self.side_of(a, t) != side);
                joins.push((to.0, arm, at));
                joined_low[side.index()].get_or_insert(self.height(at.0));
            }
            if self.parting(at, to)
                && let Some(low) = joined_low
                    .iter_mut()
                    .filter_map(Option::take)
                    .reduce(f64::min)
            {
                parts.touched_mm.push((low, self.height(to.0)));
            }
        }
        for &(level, arm, trunk) in &joins {
            let side = self.side_of(arm, trunk).index();
            parts.armpits[side] = Some(self.fork(arm, trunk, level));
            parts.arms[side] = self.branch(self.run(arm, -1).into_iter().rev());
        }
        let top = joins.iter().map(|&(level, ..)| level).min();
        let split = top.map_or(path.len(), |top| path.partition_point(|at| at.0 < top));
        parts.trunk = self.branch(path[..split].iter().copied());
        parts.upper = self.branch(path[split..].iter().copied());
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
            // A contour of its own that goes on beside the trunk has not joined it.
            .filter(|&other| {
                !(0..self.levels[to.0].len())
                    .map(|i| (to.0, i))
                    .any(|next| next != to && self.blob(next).continues(self.blob(other)))
            })
            .collect()
    }

    /// True if a contour leaves the trunk between two levels, as a hand does that touched it below.
    fn parting(&self, at: At, to: At) -> bool {
        (0..self.levels[to.0].len())
            .map(|i| (to.0, i))
            .filter(|&other| other != to)
            .any(|other| {
                self.blob(other).area >= ARM_SHARE * self.blob(at).area
                    && self.blob(other).within(self.blob(at)) >= MOSTLY
            })
    }

    /// Where two contours become one, found by halving between their level and `joined`.
    fn fork(&self, first: At, second: At, joined: usize) -> Fork {
        let (first_centre, second_centre) = (self.blob(first).centre, self.blob(second).centre);
        let holders = |height: f64| {
            let section = self.slicer.cut(height);
            let holder = |point: [f64; 2]| {
                section
                    .contours
                    .iter()
                    .position(|c| c.is_closed() && c.contains(point))
            };
            Some((holder(first_centre)?, holder(second_centre)?))
        };
        let (low, high) = (self.height(first.0), self.height(joined));
        let apart = halve(low, high, |h| holders(h).is_some_and(|(a, b)| a != b));
        // Between the two, contours that do not close hide the fork.
        let one = halve(apart, high, |h| holders(h).is_none_or(|(a, b)| a != b));
        let hidden_mm = if one - apart > 2.0 * FORK_MM {
            0.5 * (one - apart)
        } else {
            0.0
        };
        Fork {
            height_mm: apart + hidden_mm,
            hidden_mm,
            first: first_centre,
            second: second_centre,
        }
    }
}

/// The highest place up to which `holds`, true at `low` and false at `high`.
fn halve(mut low: f64, mut high: f64, holds: impl Fn(f64) -> bool) -> f64 {
    while high - low > FORK_MM {
        let middle = 0.5 * (low + high);
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// How finely a fork's height is found.
const FORK_MM: f64 = 0.05;
