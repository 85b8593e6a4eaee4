//! The tape at another level than the scan's.
//!
//! The reading's likelihood is its mean over the heights within reach, nearer ones likelier beforehand:
//! a steep curve explains many readings, each a little; a flat one explains few, and those well.

use super::{Reason, Why, beforehand, surprise, weighed};
use crate::crosscheck::AGREE;
use crate::crosscheck::compare::Pair;
use crate::length::Length;
use std::ops::Range;

const COST_LEVEL: f64 = 0.5;

/// Heights are tried this far apart: a fraction of what a hand's level is true to.
const STEP_MM: f64 = 2.5;

/// The height at which the scan reads the tape's value, or within reach comes nearest to it.
///
/// `told` is a height that another reason names by what lies there: one event, told once. The heights about
/// it that fit are that reason's, and it takes their likelihood over.
pub(super) fn other_level(pair: &Pair<'_>, told: Option<(Length, &mut Reason)>) -> Option<Reason> {
    let about = pair.about_level()?;
    let level = about.level.mm();
    let mut tried: Vec<Tried> = steps(about.reach, STEP_MM)
        .filter_map(|up| {
            let girth = about.curve.taut_at(Length::from_mm(level + up))?;
            Some(Tried {
                at: level + up,
                weight: beforehand(up / about.reach),
                left: (pair.tape_mm() - girth.mm()) / pair.sd_mm(),
            })
        })
        .collect();
    if let Some((height, named)) = told {
        let run = run_about(&tried, height.mm());
        let within = tried.iter().enumerate().map(|(n, case)| {
            let left = if run.contains(&n) {
                case.left
            } else {
                f64::INFINITY
            };
            (case.weight, left)
        });
        // Either the place of that name or any other height there.
        named.rank -= (named.rank - COST_LEVEL - surprise(within)).exp().ln_1p();
        for case in &mut tried[run] {
            case.left = f64::INFINITY;
        }
    }
    let nearest = tried
        .iter()
        .min_by(|a, b| a.left.abs().total_cmp(&b.left.abs()))?;
    let rank = COST_LEVEL + surprise(tried.iter().map(|case| (case.weight, case.left)));
    let is_open = |height: Length| {
        tried
            .iter()
            .any(|case| (case.at - height.mm()).abs() <= STEP_MM && case.left.is_finite())
    };
    let (at_mm, give_mm, left_over) = match pair.tape_height(is_open) {
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
    /// Spreads it leaves over; infinite where it explains nothing.
    left: f64,
}

/// The heights about `told` that explain the reading, as indices; none if `told` itself is out of reach.
fn run_about(tried: &[Tried], told: f64) -> Range<usize> {
    let away = |case: &Tried| (case.at - told).abs();
    let nearest = tried
        .iter()
        .enumerate()
        .min_by(|a, b| away(a.1).total_cmp(&away(b.1)));
    let Some((middle, _)) = nearest.filter(|(_, case)| away(case) <= STEP_MM) else {
        return 0..0;
    };
    let fits = |case: &Tried| case.left.abs() <= AGREE;
    let first = tried[..middle]
        .iter()
        .rposition(|case| !fits(case))
        .map_or(0, |last| last + 1);
    let length = tried[first..].iter().take_while(|case| fits(case)).count();
    first..first + length
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

    /// Two runs fit; each is found from a height in it. A height where nothing fits, or out of reach, has none.
    #[test]
    fn heights_that_fit_about_one() {
        let tried: Vec<Tried> = [9.0, 1.0, 0.0, 1.0, 9.0, 1.0, 0.0, 9.0]
            .into_iter()
            .zip(0_u32..)
            .map(|(left, n)| case((1000.0 + STEP_MM * f64::from(n), left)))
            .collect();
        assert_eq!(run_about(&tried, 1005.0), 1..4);
        assert_eq!(run_about(&tried, 1013.0), 5..7);
        assert!(run_about(&tried, 1010.0).is_empty());
        assert!(run_about(&tried, 1300.0).is_empty());
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
