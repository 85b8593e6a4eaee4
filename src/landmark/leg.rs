//! Knee, calf and ankle.

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

/// Ankle, calf and knee of one side; the calf is looked for above `pinned_ankle` if there is one.
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
            sd_mm: sd.hypot(survey.parts.step_mm / 12.0_f64.sqrt()),
            confidence,
            rule: rule.to_owned(),
        }
    };
    // A taut girth rides on the peaks of rough skin: it jitters by about π times one point's noise.
    let settled = |e: Extreme| {
        let noise = leg.nearest(e.at).map_or(0.0, |p| p.contour.noise_mm());
        girth.jittered(e, std::f64::consts::PI * noise)
    };
    let none = "the leg is not apart from the other one; scan again with the feet apart";
    let ankle = girth
        .extreme(
            Kind::Least,
            ANKLE_WINDOW.0 * s,
            ANKLE_WINDOW.1 * s,
            REACH * s,
        )
        .map(settled)
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
    let knee = knee(&leg.pieces, s)
        .map(|(at, rivals)| {
            at_level(
                LandmarkKey::Knee,
                at,
                (KNEE_SD * s).hypot(0.5 * rivals),
                Confidence::Rough,
                "hollow of the knee: hardest turn of the back of the leg",
            )
        })
        .ok_or_else(|| {
            missing(
                LandmarkKey::Knee,
                "the hollow of the knee does not show; pin the knee height by hand",
            )
        });
    [ankle, calf, knee]
}

/// Where the knee is looked for, in shares of the stature: ANSUR II has the
/// middle of the kneecap at 0.277 ± 0.009, the outer thigh bone end at 0.28–0.29: four standard deviations about them.
const KNEE_WINDOW: (f64, f64) = (0.245, 0.317);
/// Another turn of the back of the leg with this share of the hardest one's bend may be the knee as well.
const RIVAL: f64 = 0.5;
/// Half-width of the parabolas that follow the back of the leg, as a share of the stature.
const KNEE_REACH: f64 = 0.022;
/// Standard uncertainty of the knee as a share of the stature, 15 mm: the
/// hollow is broad and lies at, not exactly behind, the kneecap's middle.
const KNEE_SD: f64 = 0.009;

/// The hollow of the knee, where the back of the leg turns hardest, and how far off the farthest rival is.
fn knee(pieces: &[Piece], s: f64) -> Option<(f64, f64)> {
    let back = Series::new(
        pieces
            .iter()
            .map(|p| (p.height_mm, p.contour.settled().extent(1).0)),
    );
    let (low, high) = (KNEE_WINDOW.0 * s, KNEE_WINDOW.1 * s);
    // Forward is +y, so a hollow in the back has its parabola bent downwards.
    let bends = Series::new(
        back.window(low - KNEE_REACH * s, high + KNEE_REACH * s)
            .filter_map(|(at, _)| Some((at, back.fit(at, KNEE_REACH * s)?.bend))),
    );
    let mut turns = bends.extremes(Kind::Least, low, high, REACH * s);
    turns.sort_by(|a, b| a.value.total_cmp(&b.value));
    let hardest = turns.first().filter(|turn| turn.value < 0.0)?;
    let rivals = turns
        .iter()
        .filter(|turn| turn.value <= RIVAL * hardest.value)
        .map(|turn| (turn.at - hardest.at).abs())
        .fold(0.0, f64::max);
    Some((hardest.at, rivals))
}
