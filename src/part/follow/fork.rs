//! The height at which two contours become one.

use super::{At, Tracker};
use crate::part::Fork;
use crate::part::bridged::{bridged_between, faces_by_bridge};

/// How finely a fork's height is found, in mm.
const FORK_MM: f64 = 0.05;
/// So many levels below a fork the facing skins of both parts are looked for, where they are missing: 200 mm.
const FACING: usize = 80;

impl Tracker<'_, '_, '_> {
    /// The armpit under an arm that is held out level and hangs apart from the trunk nowhere.
    pub(super) fn fold(&self, path: &[At], level: usize, side: usize) -> Option<Fork> {
        let at = path.iter().find(|at| at.0 == level)?;
        let trunk = self.blob(*at);
        let (low, high) = trunk.contour.extent(0);
        Some(Fork {
            height_mm: self.height(level) + 0.5 * self.step_mm,
            hidden_mm: self.step_mm,
            first: [[low, high][side], trunk.centre[1]],
            second: trunk.centre,
        })
    }

    /// Midway in x between the facing sides of two contours.
    fn facing(&self, first: At, second: At) -> f64 {
        let (a, b) = (self.blob(first), self.blob(second));
        let (left, right) = if a.centre[0] < b.centre[0] {
            (a, b)
        } else {
            (b, a)
        };
        0.5 * (left.contour.extent(0).1 + right.contour.extent(0).0)
    }

    /// The first level from `joined` up whose contour is closed by skin where two parts face each other.
    fn shown(&self, joined: usize, between: f64) -> usize {
        let hidden = |level: usize| {
            let over = self.levels[level].iter().find(|blob| {
                let (low, high) = blob.contour.extent(0);
                (low..=high).contains(&between)
            });
            over.is_none_or(|blob| bridged_between(blob.contour, between))
        };
        (joined..self.levels.len())
            .find(|&level| !hidden(level))
            .unwrap_or(joined)
    }

    /// The first level from that of two contours down at which both face each other by skin.
    fn facing_by_skin(&self, first: At, second: At, between: f64) -> usize {
        let centres = [first, second].map(|at| self.blob(at).centre);
        let shows = |level: usize| {
            centres.iter().all(|&centre| {
                let mut blobs = self.levels[level].iter();
                let part = blobs.find(|blob| blob.contour.contains(centre));
                part.is_some_and(|blob| !faces_by_bridge(blob.contour, between))
            })
        };
        (first.0.saturating_sub(FACING)..=first.0)
            .rev()
            .find(|&level| shows(level))
            .unwrap_or(first.0.saturating_sub(FACING))
    }

    /// Where two contours become one, found by halving between their level and `joined`.
    pub(super) fn fork(&self, first: At, second: At, joined: usize) -> Fork {
        let (first_centre, second_centre) = (self.blob(first).centre, self.blob(second).centre);
        let between = self.facing(first, second);
        let holders = |height: f64| {
            let section = self.slicer.cut(height);
            let holder = |point: [f64; 2]| {
                section
                    .contours
                    .iter()
                    .position(|c| c.is_closed() && c.contains(point))
            };
            let (a, b) = (holder(first_centre)?, holder(second_centre)?);
            let by_skin = if a == b {
                !bridged_between(&section.contours[a], between)
            } else {
                [a, b]
                    .iter()
                    .all(|&part| !faces_by_bridge(&section.contours[part], between))
            };
            by_skin.then_some((a, b))
        };
        let (low, high) = (
            self.height(self.facing_by_skin(first, second, between)),
            self.height(self.shown(joined, between)),
        );
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
