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
/// Another thin place with a girth within this of the least may be the wrist as well; of such places the
/// wrist is the one next to the hand: where a forearm hardly swells there is another below the elbow.
const RIVAL: f64 = 1.1;
/// A hand has at least this share of the wrist's girth (ANSUR II hand over wrist: about 1.2, from memory).
const BROADER: f64 = 1.08;
/// Distance between the cuts that look for it, in mm.
const STEP_MM: f64 = 4.0;
/// Half-width of the parabola laid through the girths about it, in mm.
const REACH_MM: f64 = 16.0;
/// The armpit's folds disturb the axis this far down, in mm.
const ARMPIT_MM: f64 = 30.0;
/// How far above the wrist the girth turns, in shares of the stature: ANSUR II has radiale to stylion at
/// 0.150 ± 0.007, and the arm is thinnest up to 0.02 above the stylion; three standard deviations either way.
const TURN_WINDOW: (f64, f64) = (0.10, 0.17);
/// Half-width of the parabolas that tell how hard the girth turns, as a share of the stature: less than
/// from the elbow to the bellies of the muscles above and below. Chosen on 60 study bodies.
const TURN_REACH: f64 = 0.025;
/// The elbow lies this share of the stature, 25 mm, below the turn, where the upper arm's taper ends: as
/// far as the axes of 60 study bodies bend below it on average (0.017), and their joints lie (0.015).
const BELOW_TURN: f64 = 0.015;
/// A girth that turns by less than this over that half-width, in mm, shows no elbow: of 120 arms of study bodies
/// the least turns by 3.
const LEAST_TURN_MM: f64 = 1.0;
/// A turn that is at least this share as hard as the hardest may be the elbow's as well.
const AS_HARD: f64 = 0.8;
/// Least distance of the bend from the straight line that shows an elbow, in mm.
const BEND_MM: f64 = 4.0;
/// Standard uncertainty of the elbow as a share of the stature, 10 mm, and where only the axis's bend
/// shows, 20 mm: a fat upper arm bulges to one side. Chosen on 60 study bodies.
const ELBOW_SD: f64 = 0.006;
const ELBOW_SD_OF_BEND: f64 = 0.012;

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
    let thinnest = thin.iter().map(|least| least.value);
    let thinnest = thinnest.fold(f64::INFINITY, f64::min);
    // Down the arm, as they were found.
    thin.retain(|least| least.value < RIVAL * thinnest);
    let rivals = |least: &Extreme| {
        let near = thin.iter().map(|other| (other.at - least.at).abs());
        near.fold(0.0, f64::max)
    };
    // What is left of a hand may be thinner than its wrist, and what is left of an arm thicker.
    let shows = |least: &&Extreme| {
        let below = girths.window(least.at, length).map(|(_, girth)| girth);
        let alone = rivals(least) <= 0.0;
        hand >= HAND || alone && below.fold(0.0, f64::max) > BROADER * least.value
    };
    let least = thin.last().filter(shows);
    let no_wrist = if girths.gap(low, length - STUMP * s).is_some() {
        "skin is missing along the forearm or hand, where the arm may be thinnest; pin the wrist, or scan again"
    } else {
        "the arm has no one thinnest place above the hand; is the whole hand on the scan?"
    };
    let least = least.map(|wide| {
        // Flat over all that the girths' scatter and the skin's waves may have lowered below it.
        let noise = girths.fit(wide.at, REACH_MM).map_or(0.0, |fit| fit.noise);
        let noise = noise.hypot(survey.waves().girth_sd(wide.value));
        let sharp = girths.sharpened(*wide, Kind::Least, REACH_MM);
        let sharp = girths.jittered(sharp, noise);
        let rivals = rivals(wide);
        (sharp, sharp.sd.hypot(0.5 * sharp.flat).hypot(0.5 * rivals))
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
        Some((least, sd)) => place(
            wrist_key,
            least.at,
            sd,
            Confidence::Clear,
            "least girth next to the hand, square to the arm",
        ),
        None => missing(wrist_key, no_wrist),
    };
    let wrist_sd = match (pinned, least) {
        (Some(_), _) => 0.0,
        (None, least) => least.map_or(0.0, |(_, sd)| sd),
    };
    let found = elbow(arm, &girths, (wrist_at, wrist_sd), s);
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

/// The elbow above a wrist, how surely, and by what it shows.
fn elbow(
    arm: &Arm,
    girths: &Series,
    (wrist, wrist_sd): (f64, f64),
    s: f64,
) -> Option<(f64, f64, &'static str)> {
    let bends = bends(girths, TURN_REACH * s);
    let window = |wrist: f64| {
        let (low, high) = (wrist - TURN_WINDOW.1 * s, wrist - TURN_WINDOW.0 * s);
        (low.max(ARMPIT_MM), high)
    };
    if let Some((turn, rival)) = hardest(&bends, window(wrist), s) {
        // What the wrist may lie off moves the window, and perhaps to another turn.
        let beside = [wrist - wrist_sd, wrist + wrist_sd].map(|wrist| {
            let other = hardest(&bends, window(wrist), s);
            other.map_or(0.0, |(other, _)| (other - turn).abs())
        });
        let rival = rival.max(beside[0]).max(beside[1]);
        let sd = (ELBOW_SD * s).hypot(0.5 * rival);
        let rule = "just below the hardest turn of the arm's girth from upper arm to forearm";
        return Some((turn + BELOW_TURN * s, sd, rule));
    }
    let (low, high) = window(wrist);
    let window = (low + BELOW_TURN * s, high + BELOW_TURN * s);
    let (bend, off) = arm.axis.bend((ARMPIT_MM, wrist), window)?;
    let rule = "bend of the arm's axis between armpit and wrist";
    let sd = (ELBOW_SD_OF_BEND * s).hypot(wrist_sd);
    (off >= BEND_MM).then_some((bend, sd, rule))
}

/// How hard the girth turns, wherever it goes on far enough to both sides.
fn bends(girths: &Series, reach: f64) -> Series {
    let (Some(&first), Some(&last)) = (girths.at.first(), girths.at.last()) else {
        return Series::default();
    };
    // Nearly all of the reach, as cuts fall where they fall.
    let (from, to) = (first + 0.9 * reach, last - 0.9 * reach);
    let bends = girths.window(from, to);
    Series::new(bends.filter_map(|(at, _)| Some((at, girths.fit(at, reach)?.bend))))
}

/// Where the girth turns hardest from the upper arm, which tapers, to the forearm, which swells; and how far
/// another turn lies that is nearly as hard.
fn hardest(bends: &Series, (low, high): (f64, f64), s: f64) -> Option<(f64, f64)> {
    let turn = bends.extreme(Kind::Greatest, low, high, REACH_MM)?;
    let within = (1.0 - AS_HARD) * turn.value;
    let rival = bends.rival(&turn, Kind::Greatest, (low, high), REACH_MM, within);
    (turn.value * (TURN_REACH * s).powi(2) > LEAST_TURN_MM).then_some((turn.at, rival))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STATURE: f64 = 1700.0;

    /// Girths of an arm: an upper arm that tapers by `taper` a mm down to 200 mm from the top, and below it a
    /// forearm of one girth. At the corner of two straight lines a parabola bends hardest (closed form).
    fn girths(taper: f64) -> Series {
        let places = (0..120).map(|i| 30.0 + 4.0 * f64::from(i));
        Series::new(places.map(|at| (at, 250.0 + taper * f64::max(0.0, 200.0 - at))))
    }

    #[test]
    fn the_girth_turns_where_the_taper_ends() {
        for taper in [0.1, 0.4, 0.8] {
            let bends = bends(&girths(taper), TURN_REACH * STATURE);
            let wrist = 200.0 + 0.14 * STATURE;
            let (low, high) = (
                wrist - TURN_WINDOW.1 * STATURE,
                wrist - TURN_WINDOW.0 * STATURE,
            );
            let (at, rival) = hardest(&bends, (low, high), STATURE).unwrap();
            assert!((at - 200.0).abs() < 2.0 && rival <= 0.0, "{at} {rival}");
        }
        // An arm of one girth shows no elbow, nor one that swells upwards to the end.
        for straight in [0.0, -0.4] {
            let bends = bends(&girths(straight), TURN_REACH * STATURE);
            assert!(
                hardest(&bends, (150.0, 270.0), STATURE).is_none(),
                "{straight}"
            );
        }
    }

    /// Two corners as hard, 60 mm apart: either may be the elbow's.
    #[test]
    fn two_turns_as_hard_are_told() {
        let places = (0..120).map(|i| 30.0 + 4.0 * f64::from(i));
        let two = Series::new(places.map(|at| {
            let corner = |to: f64| 0.3 * f64::max(0.0, to - at);
            (at, 250.0 + corner(180.0) + corner(300.0))
        }));
        let bends = bends(&two, TURN_REACH * STATURE);
        let (at, rival) = hardest(&bends, (140.0, 340.0), STATURE).unwrap();
        assert!((rival - 120.0).abs() < 6.0, "{at} {rival}");
    }
}
