//! How the body stands, seen from the side: legs, trunk and arms off plumb, and feet off the floor.

use crate::landmark::Survey;
use crate::mesh::TriMesh;
use crate::part::{Branch, Piece};
use crate::side::Side;
use nalgebra::{Point3, Vector3};

/// Angles in degrees, lengths in mm; what does not show is `None`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stance {
    /// How far a knee lies before the line from hip to ankle: forward lean of the thigh plus backward lean of the shank.
    pub(super) bend: [Option<f64>; 2],
    /// Forward lean of a whole leg, going up.
    pub(super) stride: [Option<f64>; 2],
    /// Lowest skin of each leg above the floor.
    pub(super) lifted: [Option<f64>; 2],
    /// Forward lean of the trunk, from the crotch up to under the armpits.
    pub(super) trunk: Option<f64>,
    /// How far forward an arm points, off the plane of plumb and sideways.
    pub(super) arm: [Option<f64>; 2],
    /// How far an arm that hangs or is held out lies off plumb.
    pub(super) off_plumb: [Option<f64>; 2],
    /// How far skin beside the midline reaches before that on it at the shoulders, left and right, in shares of the
    /// stature.
    pub(super) reach: [Option<f64>; 2],
}

/// Where the middle of thigh and shank are looked at, in shares of the crotch's height.
const THIGH: (f64, f64) = (0.62, 0.92);
const SHANK: (f64, f64) = (0.15, 0.50);
/// The same of the trunk, from crotch to armpits.
const TRUNK: (f64, f64) = (0.25, 0.95);
/// Part of an arm over which its direction is taken, from the armpit down, as a share of the stature: the upper arm.
const UPPER_ARM: (f64, f64) = (0.02, 0.12);

/// Heights at which an arm held forward runs out of the shoulder, and what lies on the midline there, in shares of the
/// stature.
const SHOULDERS: (f64, f64) = (0.66, 0.86);
const ASIDE: f64 = 0.06;

impl Stance {
    pub(super) fn of(survey: &Survey<'_>) -> Self {
        let parts = &survey.parts;
        let mut stance = Self::default();
        let crotch = parts.crotch.map_or_else(
            || parts.trunk.range_mm().map(|(low, _)| low),
            |fork| Some(fork.height_mm),
        );
        let Some(crotch) = crotch else {
            return stance;
        };
        for side in Side::BOTH {
            let (leg, i) = (parts.leg(side), side.index());
            let lean = |(low, high)| lean(leg, low * crotch, high * crotch);
            let (thigh, shank) = (lean(THIGH), lean(SHANK));
            stance.stride[i] = lean((SHANK.0, THIGH.1));
            // The lower end of a thigh lies ahead of its upper end where it leans forward, of a shank behind.
            stance.bend[i] = thigh.zip(shank).map(|(thigh, shank)| shank - thigh);
        }
        let lows = Side::BOTH.map(|side| lowest_skin(survey.mesh, parts.leg(side)));
        stance.lifted = lows;
        // Without soles no height is known, and a form may be of any make above its legs; one leg shorter than the
        // other shows all the same.
        if !survey.ends.feet {
            let lowest = lows.into_iter().flatten().reduce(f64::min);
            stance.lifted = lows.map(|low| Some(low? - lowest?));
            return stance;
        }
        for side in Side::BOTH {
            let i = side.index();
            (stance.arm[i], stance.off_plumb[i]) = match upper_arm(survey, side) {
                Some(way) => (
                    Some(way.y.atan2(way.x.hypot(way.z)).to_degrees()),
                    Some(way.x.hypot(way.y).atan2(-way.z).to_degrees()),
                ),
                None => (None, None),
            };
        }
        stance.reach = Side::BOTH.map(|side| reach(survey, side));
        if let Some((_, top)) = parts.trunk.range_mm() {
            let at = |share: f64| crotch + share * (top - crotch);
            stance.trunk = lean(&parts.trunk, at(TRUNK.0), at(TRUNK.1));
        }
        stance
    }
}

/// Skin so near to a leg's lower end, seen from above, belongs to it though it does not go all the way round, in mm.
const UNDER_MM: f64 = 100.0;

/// Height of the lowest skin of a leg: where its level contours end, or of what lies under them, as where skin is
/// missing round its shank.
fn lowest_skin(mesh: &TriMesh, leg: &Branch) -> Option<f64> {
    let end = leg.pieces.first()?;
    let [x, y] = end.contour.centroid();
    let under = |p: &&Point3<f64>| p.z < end.height_mm && (p.x - x).hypot(p.y - y) < UNDER_MM;
    let heights = mesh.points().iter().filter(under).map(|p| p.z);
    Some(heights.fold(end.height_mm, f64::min))
}

/// Forward lean of a part, going up, between two heights, in degrees; `None` where it does not reach so far.
fn lean(part: &Branch, low: f64, high: f64) -> Option<f64> {
    let (bottom, top) = part.range_mm()?;
    let slack = 0.1 * (high - low);
    if bottom > low + slack || top < high - slack {
        return None;
    }
    let middle = |piece: &Piece| (piece.contour.centroid()[1], piece.height_mm);
    let ((y, z), (v, w)) = (middle(part.nearest(low)?), middle(part.nearest(high)?));
    (w > z).then(|| (v - y).atan2(w - z).to_degrees())
}

/// How far skin of a side reaches forward beyond the midline's at the shoulders.
fn reach(survey: &Survey<'_>, side: Side) -> Option<f64> {
    let at = |share: f64| share * survey.stature_mm;
    let (low, high) = (at(SHOULDERS.0), at(SHOULDERS.1));
    let parts = &survey.parts;
    let branches = [&parts.trunk, &parts.upper, parts.arm(side)];
    let pieces = || branches.iter().flat_map(|branch| branch.between(low, high));
    let front = |piece: &Piece, of: &dyn Fn(f64) -> bool| {
        let points = piece.contour.points().iter().filter(|p| of(p[0]));
        points.map(|p| p[1]).reduce(f64::max)
    };
    let middle = |piece: &Piece| front(piece, &|x| x.abs() <= at(ASIDE));
    let beside = |piece: &Piece| front(piece, &|x| x * side.sign() > at(ASIDE));
    let midline = pieces().filter_map(middle).reduce(f64::max)?;
    let farthest = pieces().filter_map(beside).reduce(f64::max)?;
    Some((farthest - midline) / survey.stature_mm)
}

/// Which way the upper arm runs, from the armpit down.
fn upper_arm(survey: &Survey<'_>, side: Side) -> Option<Vector3<f64>> {
    let axis = &survey.arm(side)?.axis;
    let at = |share: f64| axis.point(share * survey.stature_mm);
    Some(at(UPPER_ARM.1) - at(UPPER_ARM.0))
}
