//! Following contours from level to level: down from the trunk to the legs, then up past the arms to
//! the head.

use super::blob::Blob;
use super::bridged::arms_bridged;
use super::{Branch, Parts, Piece, torn};
use crate::finding::Finding;
use crate::parallel::map_indices;
use crate::section::Slicer;

mod arms;
mod fork;
mod legs;
mod meet;

/// All followable contours of each level.
type Levels<'l, 'c> = &'l [Vec<Blob<'c>>];

/// Where a contour stands: level, then place in the level.
type At = (usize, usize);

/// Levels that may lack a contour (a hole in the scan) before a part is taken to end: 30 mm.
const MISSING: usize = 12;
/// Least share of a part's area in its contour a level on. Less is a hollow within it (a mouth)
/// that shows alone where the skin around it is missing.
const HOLLOW_SHARE: f64 = 0.1;
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
            "nowhere does skin go all the way round where the trunk should be; scan again from all sides",
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

struct Tracker<'l, 'c, 's> {
    slicer: &'l Slicer<'s>,
    levels: Levels<'l, 'c>,
    /// What does not close, at the same levels.
    torn: Levels<'l, 'c>,
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
}
