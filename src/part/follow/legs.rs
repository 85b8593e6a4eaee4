//! Down the trunk to where the legs part, and down the legs.

use super::{At, Tracker};
use crate::finding::Finding;
use crate::part::Parts;
use crate::part::blob::MOSTLY;

/// Least share of the trunk's area in each of two contours that are legs.
const LEG_SHARE: f64 = 0.18;
/// Share of a trunk's area below which the next contour down is one leg, not both.
const ONE_LEG: f64 = 0.65;
/// Levels within which the second leg must show under a hole at the crotch: 100 mm.
const HOLE: usize = 40;

impl Tracker<'_, '_, '_> {
    /// Follows the trunk down to where the legs part; returns its contours, seed first, and those of the legs.
    pub(super) fn down_to_crotch(&self, seed: At, parts: &mut Parts) -> (Vec<At>, Vec<At>) {
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
}
