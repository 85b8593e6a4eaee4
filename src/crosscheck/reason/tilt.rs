//! A tape out of level: how much longer it gets.
//!
//! Level girths of trunk and legs are cut on the scan at each tilt ([`Tilted`](crate::measure::Tilted)):
//! a tilted tape climbs onto the seat or down to the heel, which no formula tells. Where the scan has
//! no such cuts (neck, arms) closed form: a plane tilted by θ cuts an upright cylinder of elliptic
//! section in an ellipse whose half axis along the tilt is divided by cos θ.

use super::{Reason, Tilt, Why, beforehand, surprise, weighed};
use crate::crosscheck::compare::Pair;
use crate::landmark::linear;
use crate::length::Length;
use crate::measure::tilt::MOST_DEGREES;
use crate::measure::{ErrorClass, Key, Lower, MeasureId, Mode, Tilted};
use crate::tape::repeat::count;
use std::f64::consts::TAU;

/// Angles tried up to [`MOST_DEGREES`], each way.
const ANGLES: usize = 25;

const COST_TILT: f64 = 1.0;

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

/// The tilt that explains a girth too long, or at a bulge too short.
pub(super) fn tilted(pair: &Pair<'_>, tilts: &[Tilted]) -> Option<Reason> {
    let longer = pair.tape_mm() / pair.scan_mm();
    if !longer.is_finite() {
        return None;
    }
    let ways = ways(pair, tilts)?;
    let tried = (1..=ANGLES).flat_map(|n| {
        let share = count(n) / count(ANGLES);
        ways.iter().filter_map(move |way| {
            let grown = way.grown_at(MOST_DEGREES * share)?;
            Some((beforehand(share), pair.z_of(pair.tape_mm() / grown)))
        })
    });
    let rank = COST_TILT + surprise(tried);
    let least = |along: bool| {
        ways.iter()
            .filter(|way| way.is_front_back == along)
            .filter_map(|way| way.reaching(longer))
            .min_by(|a, b| a.degrees.total_cmp(&b.degrees))
    };
    let (mut front_back, mut side_to_side) = (least(true), least(false));
    let mut grown = longer;
    if front_back.is_none() && side_to_side.is_none() {
        // None reaches so far: the one that comes nearest.
        let (way, most) = ways
            .iter()
            .filter_map(|way| Some((way, way.nearest(longer)?)))
            .min_by(|a, b| (a.1.0 - longer).abs().total_cmp(&(b.1.0 - longer).abs()))?;
        grown = most.0;
        let told = Some(most.1);
        (front_back, side_to_side) = if way.is_front_back {
            (told, None)
        } else {
            (None, told)
        };
    }
    let tape = pair.value.value / grown;
    let left_over = pair.z_of(tape.mm()).abs();
    let why = Why::TapeTilted {
        front_back,
        side_to_side,
    };
    Some(weighed(why, tape, left_over, rank))
}

/// One way to tilt: how many times longer the tape gets and how far it rises, by angle from level on.
struct Way {
    lower: Option<Lower>,
    is_front_back: bool,
    degrees: Vec<f64>,
    grown: Vec<f64>,
    rise_mm: Vec<f64>,
}

impl Way {
    fn level(lower: Option<Lower>, is_front_back: bool) -> Self {
        Self {
            lower,
            is_front_back,
            degrees: vec![0.0],
            grown: vec![1.0],
            rise_mm: vec![0.0],
        }
    }

    fn push(&mut self, degrees: f64, grown: f64, rise_mm: f64) {
        self.degrees.push(degrees);
        self.grown.push(grown);
        self.rise_mm.push(rise_mm);
    }

    fn grown_at(&self, degrees: f64) -> Option<f64> {
        linear(&self.degrees, &self.grown, degrees)
    }

    fn tilt_at(&self, degrees: f64) -> Option<Tilt> {
        Some(Tilt {
            degrees,
            rise_mm: Length::from_mm(linear(&self.degrees, &self.rise_mm, degrees)?),
            lower: self.lower,
        })
    }

    /// The least angle at which the tape gets so many times longer.
    fn reaching(&self, longer: f64) -> Option<Tilt> {
        let crosses =
            |pair: &[f64]| pair[0].min(pair[1]) <= longer && longer <= pair[0].max(pair[1]);
        let before = self.grown.windows(2).position(crosses)?;
        let (from, to) = (self.grown[before], self.grown[before + 1]);
        // A tape no longer at the second angle than at the first is all the way there.
        let share = (longer - from) / (to - from);
        let share = if share.is_finite() { share } else { 1.0 };
        let (from, to) = (self.degrees[before], self.degrees[before + 1]);
        self.tilt_at(from + share * (to - from))
    }

    /// The angle at which it comes nearest to that, and how much longer it gets there.
    fn nearest(&self, longer: f64) -> Option<(f64, Tilt)> {
        let all = self.degrees.iter().zip(&self.grown);
        let off = |grown: f64| (grown - longer).abs();
        let (&degrees, &grown) = all.min_by(|a, b| off(*a.1).total_cmp(&off(*b.1)))?;
        (degrees > 0.0).then_some((grown, self.tilt_at(degrees)?))
    }
}

/// The ways a measure's tape can be tilted: as the scan has them, else as a cylinder has.
fn ways(pair: &Pair<'_>, tilts: &[Tilted]) -> Option<Vec<Way>> {
    let of_this = || tilts.iter().filter(|tilt| tilt.id == pair.id());
    let sliced: Vec<Way> = Lower::ALL
        .into_iter()
        .filter_map(|lower| {
            let mut way = Way::level(Some(lower), lower.is_front_back());
            for tilt in of_this().filter(|tilt| tilt.lower == lower) {
                way.push(tilt.degrees, tilt.grown, tilt.rise_mm);
            }
            (way.degrees.len() > 1).then_some(way)
        })
        .collect();
    if !sliced.is_empty() {
        return Some(sliced);
    }
    let Axes { breadth, depth } = axes(pair)?;
    let cylinder = |is_front_back: bool, along: f64, across: f64| {
        let mut way = Way::level(None, is_front_back);
        for n in 1..=ANGLES {
            let degrees = MOST_DEGREES * count(n) / count(ANGLES);
            let rise = along * degrees.to_radians().tan();
            way.push(degrees, growth(along, across, degrees), rise);
        }
        way
    };
    Some(vec![
        cylinder(true, depth, breadth),
        cylinder(false, breadth, depth),
    ])
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
    fn a_board_grows_by_the_cosine() {
        let flat = growth(1000.0, 1e-6, 20.0);
        assert!(
            (flat - 1.0 / 20.0_f64.to_radians().cos()).abs() < 1e-3,
            "{flat}"
        );
    }

    /// By hand: 1.06 lies half way between 1.04 at 10 and 1.08 at 20 degrees; a tape that gets shorter at
    /// first reaches 1.00 where it crosses it on its way back; 1.09 is out of reach.
    #[test]
    fn the_least_angle_is_told() {
        let mut way = Way::level(Some(Lower::Back), true);
        way.push(10.0, 1.04, 40.0);
        way.push(20.0, 1.08, 80.0);
        let tilt = way.reaching(1.06).unwrap();
        assert!((tilt.degrees - 15.0).abs() < 1e-9 && (tilt.rise_mm.mm() - 60.0).abs() < 1e-9);
        assert_eq!(tilt.lower, Some(Lower::Back));
        assert!(way.reaching(1.09).is_none());
        let (grown, most) = way.nearest(1.09).unwrap();
        assert!((grown - 1.08).abs() < 1e-12 && (most.degrees - 20.0).abs() < 1e-12);
    }
}
