//! Elbow and wrist.

use super::limb::LimbAxis;
use super::series::{Extreme, Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::frame::Body;
use crate::mesh::TriMesh;
use crate::part::Branch;
use crate::side::Side;
use nalgebra::Point3;

/// An arm made ready for cuts square to its axis.
#[derive(Clone, Debug)]
pub(crate) struct Arm {
    pub(crate) axis: LimbAxis,
    /// Its skin, to take girths on.
    pub(crate) mesh: TriMesh,
    /// Its skin, to look for places on.
    outline: TriMesh,
    /// The fold of the armpit: its innermost point where it is first apart from the trunk.
    fold: Point3<f64>,
}

/// How far around an arm's contours its skin is taken along: room for slanted cuts.
const MARGIN_MM: f64 = 60.0;

impl Arm {
    pub(super) fn of(body: &Body, branch: &Branch) -> Option<Self> {
        let axis = LimbAxis::of(branch)?;
        let (mut low, mut high) = (Point3::from([f64::MAX; 3]), Point3::from([f64::MIN; 3]));
        for piece in &branch.pieces {
            let (x, y) = (piece.contour.extent(0), piece.contour.extent(1));
            low = low.inf(&Point3::new(x.0, y.0, piece.height_mm));
            high = high.sup(&Point3::new(x.1, y.1, piece.height_mm));
        }
        let margin = nalgebra::Vector3::from([MARGIN_MM; 3]);
        let region = |mesh: &TriMesh| mesh.within(low - margin, high + margin);
        let top = branch.pieces.last()?;
        let (a, b) = top.contour.extent(0);
        let [_, y] = top.contour.centroid();
        let fold = Point3::new(if a.abs() < b.abs() { a } else { b }, y, top.height_mm);
        Some(Self {
            axis,
            fold,
            mesh: region(body.mesh()),
            outline: region(body.outline()),
        })
    }

    /// Length from the top of its axis at which a cut square to it passes the armpit's fold by so much.
    pub(crate) fn past_fold(&self, by_mm: f64) -> f64 {
        let along = |at: f64| {
            let down = self.axis.direction(at).try_normalize(f64::MIN_POSITIVE);
            down.map_or(0.0, |down| (self.axis.point(at) - self.fold).dot(&down))
        };
        // Near the top the axis runs straight: what is missing there is missing along it.
        (by_mm - along(0.0)).max(0.0)
    }

    /// Its taut girth by length from the top, square to its axis, to look for places on.
    pub(crate) fn square_girths(&self, from_mm: f64, to_mm: f64, step_mm: f64) -> Series {
        self.axis
            .square_girths(&self.outline, from_mm, to_mm, step_mm)
    }
}

/// Where the wrist is looked for, down from the armpit, in shares of the
/// stature: ANSUR II armpit less wrist height is 0.273 ± 0.013, and raised
/// arms have their fold lower by up to 0.07.
const WRIST_WINDOW: (f64, f64) = (0.16, 0.30);
/// A whole hand reaches this far beyond the wrist (ANSUR II hand length 0.111
/// ± 0.005, less for a curled one): the gaps between its fingers are no wrist.
const HAND: f64 = 0.08;
/// An arm shorter than this has lost some of its hand on the scan; of the
/// hand that much must be left to show where the arm is thinnest.
const WHOLE_ARM: f64 = 0.31;
const STUMP: f64 = 0.025;
/// A wrist has at most this share of the greatest girth above it (ANSUR II wrist
/// over forearm, both sexes: 0.58 ± 0.03).
const THINNER: f64 = 0.8;
/// Least girth of a wrist as a share of the stature: two thirds of the mean (ANSUR II wrist: 0.095 ± 0.004
/// women, 0.100 ± 0.005 men, least of all 0.082). What is thinner is a finger, or an arm of which half is missing.
const LEAST_WRIST: f64 = 0.065;
/// Another thin place with a girth within this of the least may be the wrist as well.
const RIVAL: f64 = 1.1;
/// A hand has at least this share of the wrist's girth (ANSUR II hand over wrist: about 1.2, from memory).
const BROADER: f64 = 1.08;
/// Distance between the cuts that look for it, in mm.
const STEP_MM: f64 = 4.0;
/// Half-width of the parabola laid through the girths about it, in mm.
const REACH_MM: f64 = 16.0;
/// The armpit's folds disturb the axis this far down, in mm.
const ARMPIT_MM: f64 = 30.0;
/// How far above the wrist the elbow is looked for, in shares of the stature: ANSUR II has radiale to stylion at
/// 0.150 ± 0.007, least 0.117 and greatest 0.176; a little more either way, as the wrist is where the arm is thinnest.
const ELBOW_WINDOW: (f64, f64) = (0.105, 0.185);
/// Least distance of the bend from the straight line that shows an elbow, in mm.
const BEND_MM: f64 = 4.0;
/// Half-width of the parabolas that tell how hard the girth turns, as a share of the stature: from the
/// elbow to the bellies of the muscles above and below.
const TURN_REACH: f64 = 0.03;
/// Bend and turn farther apart than this share of the stature do not both stand for the elbow.
const APART: f64 = 0.035;
/// Standard uncertainty of the elbow as a share of the stature where both show, 10 mm, and where one
/// does: the bend lies below the joint on a thick arm, the turn above it.
const ELBOW_SD: f64 = 0.006;
const ELBOW_SD_OF_ONE: f64 = 0.012;

/// Elbow and wrist of one side; the elbow is looked for above `pinned_wrist` if there is one.
pub(super) fn points(
    survey: &Survey<'_>,
    side: Side,
    shoulder: Option<&Landmark>,
    pinned_wrist: Option<&Landmark>,
) -> [Found; 2] {
    let missing = |key, reason: &str| {
        Err(Missing {
            key,
            side: Some(side),
            reason: reason.to_owned(),
        })
    };
    let (elbow_key, wrist_key) = (LandmarkKey::Elbow, LandmarkKey::Wrist);
    let Some(arm) = survey.arm(side) else {
        let reason = survey.no_arm(side);
        return [missing(elbow_key, reason), missing(wrist_key, reason)];
    };
    let (length, s) = (arm.axis.length_mm(), survey.stature_mm);
    let hand = if length > WHOLE_ARM * s { HAND } else { STUMP };
    let (low, high) = (
        WRIST_WINDOW.0 * s,
        (WRIST_WINDOW.1 * s).min(length - hand * s),
    );
    let girths = arm.square_girths(ARMPIT_MM, length - STUMP * s, STEP_MM);
    let thickest = girths.window(ARMPIT_MM, high).map(|(_, girth)| girth);
    let thickest = thickest.fold(0.0, f64::max);
    let mut thin = girths.extremes(Kind::Least, low, high, REACH_MM);
    thin.retain(|least| (LEAST_WRIST * s..THINNER * thickest).contains(&least.value));
    thin.sort_by(|a, b| a.value.total_cmp(&b.value));
    let rivals = |least: &Extreme| {
        let near = thin
            .iter()
            .filter(|other| other.value < RIVAL * least.value);
        near.map(|other| (other.at - least.at).abs())
            .fold(0.0, f64::max)
    };
    // What is left of a hand may be thinner than its wrist, and what is left of an arm thicker.
    let shows = |least: &&Extreme| {
        let below = girths.window(least.at, length).map(|(_, girth)| girth);
        hand >= HAND || rivals(least) <= 0.0 && below.fold(0.0, f64::max) > BROADER * least.value
    };
    let least = thin.first().filter(shows);
    let no_wrist = if girths.gap(low, length - STUMP * s).is_some() {
        "skin is missing along the forearm or hand, where the arm may be thinnest; pin the wrist, or scan again"
    } else {
        "the arm has no one thinnest place above the hand; is the whole hand on the scan?"
    };
    let least = least.map(|wide| {
        // Flat over all that the girths' scatter may have lowered below it.
        let noise = girths.fit(wide.at, REACH_MM).map_or(0.0, |fit| fit.noise);
        let sharp = girths.sharpened(*wide, Kind::Least, REACH_MM);
        (girths.jittered(sharp, noise), rivals(wide))
    });
    let pinned = pinned_wrist.map(|mark| arm.axis.nearest(&Point3::from(mark.point_mm)));
    let Some(wrist_at) = pinned.or(least.map(|(least, _)| least.at)) else {
        return [missing(elbow_key, no_wrist), missing(wrist_key, no_wrist)];
    };
    let place = |key, at: f64, sd_along: f64, confidence, rule: &str| {
        let point = arm.axis.point(at);
        let down = arm.axis.direction(at).normalize().z.abs();
        Ok(Landmark {
            key,
            side: Some(side),
            point_mm: point.coords.into(),
            sd_mm: (sd_along * down).max(1.0),
            confidence,
            rule: rule.to_owned(),
        })
    };
    let wrist = match least {
        Some((least, rivals)) => place(
            wrist_key,
            least.at,
            least.sd.hypot(0.5 * least.flat).hypot(0.5 * rivals),
            Confidence::Clear,
            "least girth above the hand, square to the arm",
        ),
        None => missing(wrist_key, no_wrist),
    };
    let window = (
        (wrist_at - ELBOW_WINDOW.1 * s).max(ARMPIT_MM),
        wrist_at - ELBOW_WINDOW.0 * s,
    );
    let bend = arm.axis.bend((ARMPIT_MM, wrist_at), window);
    let bend = bend.filter(|&(_, off)| off >= BEND_MM).map(|(at, _)| at);
    let turn = turn(&girths, window, TURN_REACH * s);
    let one = ELBOW_SD_OF_ONE * s;
    let found = match (bend, turn) {
        (Some(bend), Some(turn)) if (bend - turn).abs() <= APART * s => {
            let rule =
                "midway between the bend of the arm's axis and the hardest turn of its girth";
            Some((0.5 * (bend + turn), ELBOW_SD * s, rule))
        }
        (Some(bend), _) => Some((bend, one, "bend of the arm's axis between armpit and wrist")),
        (None, Some(turn)) => Some((
            turn,
            one,
            "hardest turn of the arm's girth from upper arm to forearm",
        )),
        (None, None) => None,
    };
    let elbow = match (shoulder, found) {
        (Some(_), Some((at, sd, rule))) => place(elbow_key, at, sd, Confidence::Rough, rule),
        (None, _) => missing(
            elbow_key,
            "it is looked for below the shoulder point, which was not found",
        ),
        _ => missing(
            elbow_key,
            "the arm is so straight that its bend does not show; bend it a little",
        ),
    };
    [elbow, wrist]
}

/// Where the girth turns hardest from the upper arm, which tapers, to the forearm, which swells.
fn turn(girths: &Series, (low, high): (f64, f64), reach: f64) -> Option<f64> {
    let (first, last) = (*girths.at.first()?, *girths.at.last()?);
    // Nearly all of the reach, as cuts fall where they fall.
    let (from, to) = (first + 0.9 * reach, last - 0.9 * reach);
    let bends = girths
        .window(from, to)
        .filter_map(|(at, _)| Some((at, girths.fit(at, reach)?.bend)));
    let turn = Series::new(bends).extreme(Kind::Greatest, low, high, REACH_MM)?;
    (turn.value > 0.0).then_some(turn.at)
}
