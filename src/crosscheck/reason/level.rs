//! The tape at another level than the scan's.
//!
//! Every height within reach is as likely beforehand, so the reading's likelihood is its mean over
//! them: a steep curve explains many readings, each a little; a flat one explains few, and those well.

use super::{Reason, Why, surprise, weighed};
use crate::crosscheck::compare::{Pair, TapeHeight};
use crate::length::Length;

const COST_LEVEL: f64 = 0.5;

/// Heights are tried this far apart: a fraction of what a hand's level is true to.
const STEP_MM: f64 = 2.5;

/// The height at which the scan reads the tape's value, or within reach comes nearest to it.
pub(super) fn other_level(pair: &Pair<'_>, height: Option<&TapeHeight>) -> Option<Reason> {
    let about = pair.about_level()?;
    let level = about.level.mm();
    let tried: Vec<(f64, f64)> = steps(about.reach, STEP_MM)
        .filter_map(|up| {
            let girth = about.curve.taut_at(Length::from_mm(level + up))?;
            Some((level + up, (pair.tape_mm() - girth.mm()) / pair.sd_mm()))
        })
        .collect();
    let nearest = tried
        .iter()
        .min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let rank = COST_LEVEL + surprise(tried.iter().map(|&(_, left)| left));
    let (why, left_over) = match height {
        Some(found) => (
            Why::OtherLevel {
                at_mm: found.at,
                level_mm: found.level,
                give_mm: found.give,
            },
            0.0,
        ),
        None => (
            Why::OtherLevel {
                at_mm: Length::from_mm(nearest.0),
                level_mm: about.level,
                give_mm: Length::from_mm(give(&tried, nearest.0)),
            },
            nearest.1.abs(),
        ),
    };
    Some(weighed(why, None, left_over, rank))
}

/// From minus to plus `reach`, `step` apart.
fn steps(reach: f64, step: f64) -> impl Iterator<Item = f64> {
    let count = (reach / step).floor();
    std::iter::successors(Some(-count), move |n| (n + 1.0 <= count).then_some(n + 1.0))
        .map(move |n| n * step)
}

/// How far the heights tried lie from one of them, each weighed by its likelihood.
fn give(tried: &[(f64, f64)], at: f64) -> f64 {
    let least = tried
        .iter()
        .map(|&(_, left)| left.abs())
        .fold(f64::INFINITY, f64::min);
    let (weight, squares) = tried
        .iter()
        .fold((0.0, 0.0), |(sum, squares), &(height, left)| {
            let weight = ((least * least - left * left) / 2.0).exp();
            (
                sum + weight,
                squares + weight * (height - at) * (height - at),
            )
        });
    (squares / weight).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three heights that fit alike, 10 mm apart: from the middle one √(200/3), from an outer √(500/3).
    #[test]
    fn heights_that_fit_alike_leave_the_height_open() {
        let tried = [(990.0, 1.0), (1000.0, 1.0), (1010.0, 1.0), (1020.0, 60.0)];
        assert!((give(&tried, 1000.0) - (200.0_f64 / 3.0).sqrt()).abs() < 1e-9);
        assert!((give(&tried, 990.0) - (500.0_f64 / 3.0).sqrt()).abs() < 1e-9);
        let all: Vec<f64> = steps(5.0, 2.5).collect();
        assert_eq!(all.len(), 5);
        assert!((all[0] + 5.0).abs() < 1e-12 && (all[4] - 5.0).abs() < 1e-12);
    }
}
