//! The tape at another level than the scan's.
//!
//! The reading's likelihood is its mean over the heights within reach, nearer ones likelier beforehand:
//! a steep curve explains many readings, each a little; a flat one explains few, and those well.

use super::{Reason, Why, beforehand, surprise, weighed};
use crate::crosscheck::compare::Pair;
use crate::length::Length;

const COST_LEVEL: f64 = 0.5;

/// Heights are tried this far apart: a fraction of what a hand's level is true to.
const STEP_MM: f64 = 2.5;

/// The height at which the scan reads the tape's value, or within reach comes nearest to it.
pub(super) fn other_level(pair: &Pair<'_>) -> Option<Reason> {
    let about = pair.about_level()?;
    let level = about.level.mm();
    let tried: Vec<Tried> = steps(about.reach, STEP_MM)
        .filter_map(|up| {
            let girth = about.curve.taut_at(Length::from_mm(level + up))?;
            Some(Tried {
                at: level + up,
                weight: beforehand(up / about.reach),
                left: (pair.tape_mm() - girth.mm()) / pair.sd_mm(),
            })
        })
        .collect();
    let nearest = tried
        .iter()
        .min_by(|a, b| a.left.abs().total_cmp(&b.left.abs()))?;
    let rank = COST_LEVEL + surprise(tried.iter().map(|case| (case.weight, case.left)));
    let (at_mm, give_mm, left_over) = match pair.tape_height(|_| true) {
        Some(found) => (found.at, found.give, 0.0),
        None => (
            Length::from_mm(nearest.at),
            Length::from_mm(give(&tried, nearest.at)),
            nearest.left.abs(),
        ),
    };
    let why = Why::OtherLevel {
        at_mm,
        level_mm: about.level,
        give_mm,
    };
    Some(weighed(why, None, left_over, rank))
}

/// A height at which the tape may have lain.
struct Tried {
    at: f64,
    /// How likely beforehand.
    weight: f64,
    /// Spreads it leaves over.
    left: f64,
}

/// From minus to plus `reach`, `step` apart.
fn steps(reach: f64, step: f64) -> impl Iterator<Item = f64> {
    let count = (reach / step).floor();
    std::iter::successors(Some(-count), move |n| (n + 1.0 <= count).then_some(n + 1.0))
        .map(move |n| n * step)
}

/// How far the heights tried lie from one of them, each weighed by its likelihood.
fn give(tried: &[Tried], at: f64) -> f64 {
    let least = tried
        .iter()
        .map(|case| case.left.abs())
        .fold(f64::INFINITY, f64::min);
    let (weight, squares) = tried.iter().filter(|case| case.left.is_finite()).fold(
        (0.0, 0.0),
        |(sum, squares), case| {
            let weight = ((least * least - case.left * case.left) / 2.0).exp();
            let off = case.at - at;
            (sum + weight, squares + weight * off * off)
        },
    );
    (squares / weight).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case((at, left): (f64, f64)) -> Tried {
        Tried {
            at,
            weight: 1.0,
            left,
        }
    }

    /// Three heights that fit alike, 10 mm apart: from the middle one √(200/3), from an outer √(500/3).
    #[test]
    fn heights_that_fit_alike_leave_the_height_open() {
        let tried = [(990.0, 1.0), (1000.0, 1.0), (1010.0, 1.0), (1020.0, 60.0)].map(case);
        assert!((give(&tried, 1000.0) - (200.0_f64 / 3.0).sqrt()).abs() < 1e-9);
        assert!((give(&tried, 990.0) - (500.0_f64 / 3.0).sqrt()).abs() < 1e-9);
        let all: Vec<f64> = steps(5.0, 2.5).collect();
        assert_eq!(all.len(), 5);
        assert!((all[0] + 5.0).abs() < 1e-12 && (all[4] - 5.0).abs() < 1e-12);
    }
}
