//! Calf and ankle.

use super::series::{Extreme, Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::side::Side;

/// Half-width of the parabolas laid through leg girths, as a share of the stature.
const REACH: f64 = 0.012;
/// Where the ankle is looked for: ANSUR II has the outer ankle bone at 0.039–0.042 of the stature.
const ANKLE_WINDOW: (f64, f64) = (0.035, 0.16);
/// How far up the calf can be: under the knee, ANSUR II mid-patella 0.276 ± 0.009, tibiale 0.268.
const CALF_TOP: f64 = 0.27;

/// Ankle and calf of one side; the calf is looked for above `pinned_ankle` if there is one.
pub(super) fn points(
    survey: &Survey<'_>,
    side: Side,
    pinned_ankle: Option<&Landmark>,
) -> [Found; 2] {
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
    [ankle, calf]
}
