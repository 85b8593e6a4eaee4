//! Knee, calf and ankle.

use super::series::{Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::side::Side;

/// Half-width of the parabolas laid through leg girths, as a share of the stature.
const REACH: f64 = 0.012;
/// Where the ankle is looked for: ANSUR II has the outer ankle bone at 0.039–0.042 of the stature.
const ANKLE_WINDOW: (f64, f64) = (0.035, 0.16);
/// How far up the calf can be: under the knee, ANSUR II mid-patella 0.276 ± 0.009, tibiale 0.268.
const CALF_TOP: f64 = 0.27;

pub(super) fn points(survey: &Survey<'_>, side: Side) -> [Found; 3] {
    let leg = survey.parts.leg(side);
    let s = survey.stature_mm;
    let girth = Series::new(
        leg.pieces
            .iter()
            .map(|p| (p.height_mm, p.contour.taut_girth_mm())),
    );
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
    let none = "the leg is not apart from the other one; scan again with the feet apart";
    let ankle = girth
        .extreme(
            Kind::Least,
            ANKLE_WINDOW.0 * s,
            ANKLE_WINDOW.1 * s,
            REACH * s,
        )
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
    let calf = ankle
        .as_ref()
        .map_err(|m| missing(LandmarkKey::Calf, &m.reason))
        .and_then(|ankle| {
            girth
                .extreme(Kind::Greatest, ankle.height_mm(), CALF_TOP * s, REACH * s)
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
    let knee = calf
        .as_ref()
        .map_err(|m| missing(LandmarkKey::Knee, &m.reason))
        .and_then(|calf| {
            knee(&leg.pieces, calf.height_mm(), s)
                .map(|(at, sd)| {
                    at_level(
                        LandmarkKey::Knee,
                        at,
                        sd,
                        Confidence::Rough,
                        "where the front of the leg stands out most between shin and thigh",
                    )
                })
                .ok_or_else(|| {
                    missing(
                        LandmarkKey::Knee,
                        "the kneecap does not show; pin the knee height by hand",
                    )
                })
        });
    [ankle, calf, knee]
}

fn knee(pieces: &[Piece], calf: f64, s: f64) -> Option<(f64, f64)> {
    let front = Series::new(pieces.iter().map(|p| (p.height_mm, p.contour.extent(1).1)));
    let (low, high) = (calf, 0.34 * s);
    let (a, b) = (front.value_at(low)?, front.value_at(high)?);
    let over = Series::new(
        front
            .window(low, high)
            .map(|(at, v)| (at, v - a - (b - a) * (at - low) / (high - low))),
    );
    let top = over.extreme(Kind::Greatest, low, high, REACH * s)?;
    Some((top.at, 0.006 * s))
}
