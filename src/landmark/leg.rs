//! Calf, ankle and ankle bone.

use super::series::{Extreme, Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::side::Side;

/// Half-width of the parabolas laid through leg girths, as a share of the stature.
const REACH: f64 = 0.012;
/// Where the ankle is looked for: ANSUR II has the outer ankle bone at 0.039–0.042 of the stature.
const ANKLE_WINDOW: (f64, f64) = (0.035, 0.16);
/// How far up the calf can be: under the knee, ANSUR II mid-patella 0.276 ± 0.009, tibiale 0.268.
const CALF_TOP: f64 = 0.27;

/// Ankle, calf and ankle bone of one side; the calf is looked for above `pinned_ankle` if there is one.
pub(super) fn points(
    survey: &Survey<'_>,
    side: Side,
    pinned_ankle: Option<&Landmark>,
) -> [Found; 3] {
    let leg = survey.parts.leg(side);
    let s = survey.stature_mm;
    let girth = Series::new(leg.pieces.iter().map(|p| (p.height_mm, p.taut_mm)));
    let missing = |key, reason: &str| Missing {
        key,
        side: Some(side),
        reason: reason.to_owned(),
    };
    let at_level = |key, at: f64, sd: f64, confidence, rule: &str| {
        let centre = leg.nearest(at).map_or([0.0; 2], |p| p.contour.centroid());
        Landmark {
            key,
            side: Some(side),
            point_mm: [centre[0], centre[1], at],
            sd_mm: sd.hypot(survey.step_sd()),
            confidence,
            rule: rule.to_owned(),
        }
    };
    let jitter = |e: &Extreme| {
        leg.nearest(e.at)
            .map_or(0.0, |p| p.contour.girth_jitter_mm())
    };
    let settled = |e: Extreme| girth.jittered(e, jitter(&e));
    let none = "the leg is not apart from the other one; scan again with the feet apart";
    let ankle = girth
        .extreme(
            Kind::Least,
            ANKLE_WINDOW.0 * s,
            ANKLE_WINDOW.1 * s,
            REACH * s,
        )
        .map(|e| settled(girth.sharpened(e, Kind::Least, REACH * s)))
        .map(|e| {
            at_level(
                LandmarkKey::Ankle,
                e.at,
                e.sd.hypot(0.5 * e.flat),
                Confidence::Clear,
                "least girth of the leg above the ankle bones",
            )
        })
        .ok_or_else(|| missing(LandmarkKey::Ankle, none));
    let calf = pinned_ankle
        .map_or(ankle.as_ref(), Ok)
        .map_err(|m| missing(LandmarkKey::Calf, &m.reason))
        .and_then(|ankle| {
            girth
                .extreme(Kind::Greatest, ankle.height_mm(), CALF_TOP * s, REACH * s)
                .map(|e| {
                    let window = (ankle.height_mm(), CALF_TOP * s);
                    girth.settled(e, Kind::Greatest, window, REACH * s, jitter(&e))
                })
                .map(settled)
                .map(|e| {
                    at_level(
                        LandmarkKey::Calf,
                        e.at,
                        e.sd.hypot(0.5 * e.flat),
                        Confidence::Clear,
                        "greatest girth of the lower leg",
                    )
                })
                .ok_or_else(|| missing(LandmarkKey::Calf, "the lower leg has no fullest level"))
        });
    let bone = ankle
        .as_ref()
        .map_err(|m| missing(LandmarkKey::AnkleBone, &m.reason))
        .and_then(|ankle| ankle_bone(&leg.pieces, ankle.height_mm(), s, side, survey.step_sd()));
    [ankle, calf, bone]
}

/// Where the outer ankle bone is looked for, in shares of the stature: ANSUR II has it at
/// 0.0385 ± 0.0028 and 0.0415 ± 0.0029, women and men; from three standard deviations below the one
/// to four above the other, as farther down the edge of the foot stands out.
const BONE_WINDOW: (f64, f64) = (0.030, 0.053);
/// The bone lies in this rear share of the ankle's depth; in front of it the foot stands out farther.
const BONE_REAR: f64 = 0.6;
/// Half-width of the parabola over the bone, in mm: about half of its height.
const BONE_REACH_MM: f64 = 10.0;
/// Standard uncertainty of the bone's tip beneath its skin, in mm (common practice, no source); how
/// blunt the cap over it is, and how rough, comes to that.
const BONE_SD_MM: f64 = 2.0;

/// The level at which the outside of the ankle stands out most.
fn ankle_bone(pieces: &[Piece], ankle: f64, s: f64, side: Side, step_sd: f64) -> Found {
    let key = LandmarkKey::AnkleBone;
    let missing = |reason: &str| Missing {
        key,
        side: Some(side),
        reason: reason.to_owned(),
    };
    let nearest = pieces.iter().min_by(|a, b| {
        let off = |piece: &Piece| (piece.height_mm - ankle).abs();
        off(a).total_cmp(&off(b))
    });
    let (back, front) = nearest.map_or((0.0, 0.0), |piece| piece.contour.extent(1));
    let front = back + BONE_REAR * (front - back);
    let outermost = |piece: &Piece| {
        let contour = piece.contour.settled();
        let rear = contour.points().iter().copied();
        let rear = rear.filter(|p| (back..=front).contains(&p[1]));
        let edge = contour.crossings(1, front).map(|x| [x, front]);
        rear.chain(edge)
            .max_by(|a, b| (side.sign() * a[0]).total_cmp(&(side.sign() * b[0])))
    };
    let (low, high) = (BONE_WINDOW.0 * s, BONE_WINDOW.1 * s);
    let margin = low - BONE_REACH_MM..=high + BONE_REACH_MM;
    let near: Vec<(f64, [f64; 2])> = pieces
        .iter()
        .filter(|piece| margin.contains(&piece.height_mm))
        .filter_map(|piece| Some((piece.height_mm, outermost(piece)?)))
        .collect();
    let reach = Series::new(near.iter().map(|&(at, p)| (at, side.sign() * p[0])));
    // Going down, the bone comes first; farther down it may be the edge of the foot.
    let found = reach.extremes(Kind::Greatest, low, high, BONE_REACH_MM);
    let (&tip, edges) = found
        .split_last()
        .ok_or_else(|| missing("the outer ankle bone does not stand out on the scan"))?;
    let rivals = edges.iter().map(|edge| tip.at - edge.at);
    let rivals = rivals.fold(0.0, f64::max);
    let [_, y] = near
        .iter()
        .min_by(|a, b| (a.0 - tip.at).abs().total_cmp(&(b.0 - tip.at).abs()))
        .map_or([0.0; 2], |&(_, p)| p);
    // Noise of the skin shows the cap as flat over all that it may have lifted above the tip.
    let noise = pieces
        .iter()
        .filter(|piece| (piece.height_mm - tip.at).abs() <= BONE_REACH_MM)
        .map(|piece| piece.contour.noise_mm())
        .fold(0.0, f64::max);
    let tip = reach.jittered(tip, noise);
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [side.sign() * tip.value, y, tip.at],
        sd_mm: BONE_SD_MM
            .hypot(tip.sd)
            .hypot(0.5 * tip.flat)
            .hypot(0.5 * rivals)
            .hypot(step_sd),
        confidence: Confidence::Fair,
        rule: "outermost level of the ankle beside the heel".to_owned(),
    })
}
