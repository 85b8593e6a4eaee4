//! Bodies that are not whole: no head, no feet, a torso alone.
//!
//! Everything farther on looks for its level in a window given as a share of the stature. On a
//! scan that is cut off neither stature nor floor is there, so both are laid through what is: the
//! crown, the soles, and crotch, armpits and waist by the proportions of a survey. That is good
//! enough to look in the right place and no more: no height above the floor rests on it.

use super::levels::{self, Level, Loop};
use super::up;
use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::mesh::TriMesh;
use crate::section::PlaneAxes;
use nalgebra::{Matrix2, Vector2};

/// Which ends of a body are on its scan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ends {
    /// Head and neck.
    pub head: bool,
    /// Feet, down to the soles.
    pub feet: bool,
}

impl Ends {
    /// A body from the soles to the top of the head.
    pub const WHOLE: Self = Self {
        head: true,
        feet: true,
    };
}

/// Where a body stands: its ends, and in the unit of the mesh how high its lowest skin lies over
/// the floor and how tall the whole body is, both estimates unless it is whole.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) ends: Ends,
    pub(super) low: f64,
    pub(super) stature: f64,
}

/// A height known as a share of the stature, with its standard deviation over people (ANSUR II:
/// crotch 0.480 ± 0.015, armpit 0.76 ± 0.009; raised arms lower it; the narrowest waist lies
/// between iliac crest, 0.61, and the lowest ribs, 0.65).
const CROTCH: (f64, f64) = (0.480, 0.015);
const ARMPIT: (f64, f64) = (0.755, 0.02);
const WAIST: (f64, f64) = (0.63, 0.02);
/// Stature where nothing but the unit is known, in mm: midway between the means of ANSUR II women
/// and men (1628, 1756), and what spans either by two standard deviations.
const STATURE_MM: (f64, f64) = (1690.0, 100.0);
/// Crown and soles, where they are on the scan, are known to this share of the stature.
const END_SD: f64 = 0.002;
/// Uncertainty of the stature, as a share of it, beyond which the search windows no longer hold.
const UNSURE: f64 = 0.075;
/// Levels at which a cut-off body is looked at.
const LEVELS: u32 = 161;
/// A foot is at least this many times as long as the leg above the ankle is thick that way; usual are 2 to 2.5.
const FOOT: f64 = 1.3;
/// A waist has at most this share of the area of the trunk below and above it.
const WAISTED: f64 = 0.94;

/// Finds the ends of an upright body with its lowest skin at 0, `tall` from there to its highest.
///
/// `mm` is the length of a mesh unit, if it is known.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if the body is cut off and what is left does not
/// show where it belongs; the text says what settles it.
pub(super) fn find(
    mesh: &TriMesh,
    tall: f64,
    mm: Option<f64>,
    findings: &mut Vec<Finding>,
) -> Result<Place> {
    let ends = Ends {
        head: up::shows_head(mesh)?,
        feet: shows_feet(mesh, PlaneAxes::LEVEL, (0.0, tall)),
    };
    if ends == Ends::WHOLE {
        return Ok(Place {
            ends,
            low: 0.0,
            stature: tall,
        });
    }
    let shares = levels::shares(0.005, 0.995, LEVELS);
    let levels = levels::cut(mesh, PlaneAxes::LEVEL, (0.0, tall), &shares);
    let marks = Marks::of(&levels, tall);
    let place = marks.lay(ends, tall, mm)?;
    findings.push(told(ends, &marks));
    Ok(place)
}

fn told(ends: Ends, marks: &Marks) -> Finding {
    let (topic, what) = match (ends.head, ends.feet) {
        (false, true) => (
            "head",
            "no head on the scan: stature, neck and shoulders are withheld",
        ),
        (true, _) => (
            "feet",
            "no feet on the scan: heights above the floor, knees, calves and ankles are withheld",
        ),
        (false, false) => (
            "torso",
            "neither head nor feet on the scan: heights, neck, shoulders and lower legs are withheld",
        ),
    };
    let by: Vec<&str> = [
        ("the top of the head", ends.head.then_some(0.0)),
        ("the soles", ends.feet.then_some(0.0)),
        ("the crotch", marks.crotch),
        ("the armpits", marks.armpit),
        ("the waist", marks.waist),
    ]
    .into_iter()
    .filter_map(|(name, mark)| mark.map(|_| name))
    .collect();
    Finding::look(
        topic,
        format!(
            "{what}; the other levels are looked for by usual proportions from {}",
            by.join(", ")
        ),
    )
}

/// Heights above the lowest skin of what shows where a trunk belongs.
#[derive(Clone, Copy, Debug, Default)]
struct Marks {
    crotch: Option<f64>,
    armpit: Option<f64>,
    waist: Option<f64>,
}

impl Marks {
    fn of(levels: &[Level], tall: f64) -> Self {
        let highest = |holds: &dyn Fn(&Level) -> bool| {
            levels
                .iter()
                .rposition(holds)
                .filter(|&i| i + 1 < levels.len())
        };
        let crotch = highest(&|level| level.pair().is_some());
        let armpit = highest(&|level| {
            let [trunk, _, other, ..] = level.loops.as_slice() else {
                return false;
            };
            trunk.area > 0.5 * level.area() && other.area > 0.02 * trunk.area
        });
        let trunk = crotch.map_or(0, |i| i + 1)..armpit.map_or(levels.len(), |i| i + 1);
        let waist = waist(levels.get(trunk.clone()).unwrap_or_default());
        let height = |i: usize| levels[i].share * tall;
        Self {
            crotch: crotch.map(height),
            armpit: armpit.map(height),
            waist: waist.map(|i| height(trunk.start + i)),
        }
    }

    /// Stature and height of the lowest skin by least squares over all that is known.
    fn lay(&self, ends: Ends, tall: f64, mm: Option<f64>) -> Result<Place> {
        let scale = mm.map_or(1.5 * tall, |mm| STATURE_MM.0 / mm);
        let mut normal = Matrix2::zeros();
        let mut right = Vector2::zeros();
        let mut add = |row: Vector2<f64>, value: f64, sd: f64| {
            normal += row * row.transpose() / (sd * sd);
            right += row * (value / (sd * sd));
        };
        // Unknown are stature and height of the lowest skin, in this order: share · stature − low = height.
        let marks = [
            (self.crotch, CROTCH),
            (self.armpit, ARMPIT),
            (self.waist, WAIST),
            (ends.head.then_some(tall), (1.0, END_SD)),
        ];
        for (height, (share, sd)) in marks {
            if let Some(height) = height {
                add(Vector2::new(share, -1.0), height, sd * scale);
            }
        }
        if ends.feet {
            add(Vector2::new(0.0, 1.0), 0.0, END_SD * scale);
        }
        if let Some(mm) = mm {
            let (mean, sd) = STATURE_MM;
            add(Vector2::new(1.0, 0.0), mean / mm, sd / mm);
        }
        let unsure = || {
            Error::body(match mm {
                None => {
                    "the scan is cut off, and what is left of the body does not show how tall it is, so that its unit cannot be found; give it, as in --unit cm"
                }
                Some(_) => {
                    "the scan is cut off, and what is left shows neither waist, armpits nor crotch, so that no level can be told; scan more of the body"
                }
            })
        };
        let spread = normal.try_inverse().ok_or_else(unsure)?;
        let found = spread * right;
        let (stature, low) = (found.x, found.y);
        let sure = spread[(0, 0)].sqrt().max(spread[(1, 1)].sqrt()) < UNSURE * stature;
        if !sure || !stature.is_finite() || stature < 0.9 * tall {
            return Err(unsure());
        }
        Ok(Place { ends, low, stature })
    }
}

/// The first level from below at which a trunk is narrower than both below and above.
fn waist(trunk: &[Level]) -> Option<usize> {
    let mut widest = 0.0_f64;
    let mut narrowest: Option<(usize, f64)> = None;
    for (i, level) in trunk.iter().enumerate() {
        let Some(area) = level.loops.first().map(|main| main.area) else {
            continue;
        };
        match narrowest {
            Some((at, least)) if area * WAISTED > least => return Some(at),
            Some((_, least)) if area >= least => {}
            _ if area < WAISTED * widest => narrowest = Some((i, area)),
            _ => widest = widest.max(area),
        }
    }
    None
}

/// True if the lower ends are feet: some way much longer than the leg above is thick. Up is square to `axes`; `low`
/// and `high` are where the body ends that way.
pub(super) fn shows_feet(mesh: &TriMesh, axes: PlaneAxes, (low, high): (f64, f64)) -> bool {
    let longest = |from: f64, to: f64| {
        let shares = levels::shares(from, to, 8);
        let levels = levels::cut(mesh, axes, (low, high - low), &shares);
        DIRECTIONS.map(|turn| {
            let loops = levels.iter().flat_map(|level| level.loops.iter());
            loops.map(|part| reach(part, turn)).fold(0.0, f64::max)
        })
    };
    let (foot, leg) = (longest(0.012, 0.04), longest(0.08, 0.16));
    foot.iter().zip(leg).any(|(foot, leg)| *foot >= FOOT * leg)
}

/// Directions in which a foot may point, in twelfths of a half turn.
const DIRECTIONS: [u32; 12] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11];

/// Extent of a loop along a direction.
fn reach(part: &Loop, turn: u32) -> f64 {
    let (sin, cos) = (f64::from(turn) * std::f64::consts::PI / 12.0).sin_cos();
    let along = part.points.iter().map(|p| cos * p[0] + sin * p[1]);
    let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
        (l.min(x), h.max(x))
    });
    high - low
}
