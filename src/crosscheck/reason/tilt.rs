//! A tape out of level: how much longer it gets.
//!
//! Closed form: a plane tilted by θ cuts an upright cylinder of elliptic
//! section in an ellipse whose half axis along the tilt is divided by cos θ.
//! A body is no cylinder; where it widens downwards as fast as it narrows
//! upwards the two cancel, and elsewhere the level explains the rest.

use super::{Reason, Tilt, Why, surprise, weighed};
use crate::crosscheck::compare::Pair;
use crate::length::Length;
use crate::measure::{ErrorClass, Key, MeasureId, Mode};
use crate::tape::repeat::count;
use std::f64::consts::TAU;

/// More out of level than this is seen by whoever holds the tape (assumption).
const MOST_DEGREES: f64 = 25.0;

/// Angles tried up to that, each way: all are as likely beforehand.
const ANGLES: usize = 25;

const COST_TILT: f64 = 1.0;

/// Halvings of the angle's interval: 25 degrees to under a millionth.
const HALVINGS: usize = 25;

/// Breadth and depth of the trunk, where the scan takes both.
const TRUNK: [(Key, Key, Key); 3] = [
    (Key::BustGirth, Key::BustBreadth, Key::BustDepth),
    (
        Key::WaistNarrowestGirth,
        Key::WaistNarrowestBreadth,
        Key::WaistNarrowestDepth,
    ),
    (Key::HipGirth, Key::HipBreadth, Key::HipDepth),
];

/// The tilt that explains a girth too long.
pub(super) fn tilted(pair: &Pair<'_>) -> Option<Reason> {
    let longer = pair.tape_mm() / pair.scan_mm();
    if !(longer > 1.0 && longer.is_finite()) {
        return None;
    }
    let Axes { breadth, depth } = axes(pair)?;
    let front_back = angle(depth, breadth, longer);
    let side_to_side = angle(breadth, depth, longer);
    let least = front_back.min(side_to_side);
    // Beyond reach both ways: the greatest tilt explains what it can.
    let reached = |degrees: f64| degrees < MOST_DEGREES || least >= MOST_DEGREES;
    let tilt = |degrees: f64, extent: f64| {
        reached(degrees).then(|| Tilt {
            degrees,
            rise_mm: Length::from_mm(extent * degrees.to_radians().tan()),
        })
    };
    let grown = growth(depth, breadth, front_back).max(growth(breadth, depth, side_to_side));
    let tape = pair.value.value / grown;
    let left_over = pair.z_of(tape.mm()).abs();
    let tried = (1..=ANGLES).flat_map(|n| {
        let degrees = MOST_DEGREES * count(n) / count(ANGLES);
        [
            growth(depth, breadth, degrees),
            growth(breadth, depth, degrees),
        ]
    });
    let rank = COST_TILT + surprise(tried.map(|grown| pair.z_of(pair.tape_mm() / grown)));
    let why = Why::TapeTilted {
        front_back: tilt(front_back, depth),
        side_to_side: tilt(side_to_side, breadth),
    };
    Some(weighed(why, tape, left_over, rank))
}

/// Axes of a section, in mm.
struct Axes {
    breadth: f64,
    depth: f64,
}

/// Axes of the ellipse that stands for the section of a measure.
///
/// A limb or neck is taken as round. Of the trunk, only some levels have both
/// extents; another level has the proportions of the nearest of them.
fn axes(pair: &Pair<'_>) -> Option<Axes> {
    let row = pair.id().key.definition();
    let is_taut = matches!(row.mode, Mode::Taut | Mode::TautSquare);
    if !is_taut || !row.is_girth() || matches!(row.key, Key::HeadGirth | Key::ShoulderGirth) {
        return None;
    }
    let across = pair.scan_mm() / TAU * 2.0;
    if row.paired || row.class != ErrorClass::LargeGirth {
        return Some(Axes {
            breadth: across,
            depth: across,
        });
    }
    let level = pair.measure.level_mm?;
    let value = |key: Key| pair.scan.get(MeasureId::from(key));
    let nearest = TRUNK
        .into_iter()
        .filter_map(|(girth, breadth, depth)| {
            let away = (value(girth)?.level_mm? - level).abs();
            let (breadth, depth) = (value(breadth)?.value, value(depth)?.value);
            (breadth > 0.0 && depth > 0.0).then_some((away.mm(), breadth, depth))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let (_, breadth, depth) = nearest?;
    let size = pair.scan_mm() / perimeter(breadth / 2.0, depth / 2.0);
    Some(Axes {
        breadth: breadth * size,
        depth: depth * size,
    })
}

/// How many times longer the tape gets if tilted along the extent `along`.
fn growth(along: f64, across: f64, degrees: f64) -> f64 {
    let stretched = along / degrees.to_radians().cos();
    perimeter(stretched / 2.0, across / 2.0) / perimeter(along / 2.0, across / 2.0)
}

/// The angle at which the tape gets `longer`, in degrees, up to the greatest that is looked for.
fn angle(along: f64, across: f64, longer: f64) -> f64 {
    if growth(along, across, MOST_DEGREES) <= longer {
        return MOST_DEGREES;
    }
    let (mut low, mut high) = (0.0, MOST_DEGREES);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if growth(along, across, middle) < longer {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// Perimeter of an ellipse of half axes `a` and `b`, by the arithmetic-geometric
/// mean M: 2π/M · (a² − Σ 2ⁿ⁻¹cₙ²), cₙ² = aₙ² − bₙ² (DLMF 19.8, complete elliptic integral E).
fn perimeter(a: f64, b: f64) -> f64 {
    /// Digits double at each step: ten are enough for axes of any proportion a body has.
    const STEPS: usize = 10;
    let (mut a, mut b) = (a.max(b), a.min(b));
    let mut sum = a * a - (a * a - b * b) / 2.0;
    let mut weight = 1.0;
    for _ in 0..STEPS {
        let c = (a - b) / 2.0;
        (a, b) = ((a + b) / 2.0, (a * b).sqrt());
        sum -= weight * c * c;
        weight *= 2.0;
    }
    TAU / a * sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Circle: 2πr. Half axes 2 and 1: 4·2·E(m = 3/4) with E(0.75) = 1.2110560275684594, as
    /// a general-purpose scientific library computes it.
    #[test]
    fn perimeter_of_ellipses() {
        assert!((perimeter(3.0, 3.0) - 3.0 * TAU).abs() < 1e-12);
        assert!((perimeter(2.0, 1.0) - 8.0 * 1.211_056_027_568_459_4).abs() < 1e-12);
        assert!((perimeter(1.0, 2.0) - perimeter(2.0, 1.0)).abs() < 1e-12);
    }

    /// Closed form for an ellipse as flat as a board, whose girth is twice its length: 1/cos θ.
    #[test]
    fn angle_undoes_growth() {
        let flat = growth(1000.0, 1e-6, 20.0);
        assert!(
            (flat - 1.0 / 20.0_f64.to_radians().cos()).abs() < 1e-3,
            "{flat}"
        );
        for degrees in [1.0, 8.0, 24.0] {
            let longer = growth(230.0, 320.0, degrees);
            assert!((angle(230.0, 320.0, longer) - degrees).abs() < 1e-4);
        }
        assert!((angle(300.0, 300.0, 1.5) - MOST_DEGREES).abs() < 1e-12);
    }
}
