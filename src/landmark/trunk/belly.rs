//! The level at which the belly stands out most.

use super::{REACH, ROUND_MM, clear_if, hidden, missing};
use crate::landmark::series::Kind;
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};

/// Highest level at which a belly can stand out most, as a share of the stature: the lowest rib
/// (ANSUR II: tenth rib 0.6485 ± 0.0111 and 0.6380 ± 0.0120), above which it is the chest.
const TOP: f64 = 0.66;

/// Below this, over the crotch and in shares of the stature, it is no longer the belly that stands
/// out: 50 mm.
const ABOVE_CROTCH: f64 = 0.03;

/// A rival farther off than this share of the stature, 50 mm, leaves the belly's level rough.
const FAR: f64 = 0.03;

/// The greatest forward projection between crotch and under-bust.
pub(in crate::landmark) fn belly(survey: &Survey<'_>, under_bust: Option<&Landmark>) -> Found {
    let key = LandmarkKey::Belly;
    let s = survey.stature_mm;
    let (Some(crotch), Some(_)) = (survey.parts.crotch, survey.parts.trunk.range_mm()) else {
        let reason = "it lies above the crotch, and the legs are not apart anywhere";
        return Err(missing(key, None, reason));
    };
    let low = crotch.height_mm + ABOVE_CROTCH * s;
    let high = under_bust.map_or(TOP * s, |fold| fold.height_mm().min(TOP * s));
    let reach = REACH * s;
    let front = survey.torso_series(low / s - REACH, high / s + REACH, |piece| {
        Some(piece.contour.settled().extent(1).1)
    });
    let Some(most) = front.extreme(Kind::Greatest, low, high, reach) else {
        let reason = "no level of the belly stands out more than those above and below it; measure round the belly by tape";
        return Err(missing(key, None, reason));
    };
    let most = front
        .sure(most, Kind::Greatest, (low, high), ROUND_MM)
        .map_err(|gap| missing(key, None, hidden("the belly", gap)))?;
    let piece = survey.parts.trunk.nearest(most.at);
    let most = front.jittered(most, piece.map_or(0.0, |p| p.contour.noise_mm()));
    // As far as the farthest rival, a level that would stand out more if the upright were off by
    // twice what it is sure to: the belly may be there.
    let sway = (2.0 * survey.upright_sd_deg).to_radians().tan();
    let rival = front
        .window(low, high)
        .map(|(at, value)| (most.value - value, (most.at - at).abs()))
        .filter(|&(less, apart)| less < sway * apart)
        .map(|(_, apart)| apart)
        .fold(0.0, f64::max);
    let foremost = piece.and_then(|piece| {
        let points = piece.contour.points().iter();
        points.max_by(|a, b| a[1].total_cmp(&b[1])).copied()
    });
    let [x, y] = foremost.unwrap_or([0.0, most.value]);
    Ok(Landmark {
        key,
        side: None,
        point_mm: [x, y, most.at],
        sd_mm: most
            .sd
            .hypot(survey.step_sd())
            .hypot(0.5 * most.flat)
            .hypot(rival),
        confidence: if rival > FAR * s {
            Confidence::Rough
        } else {
            clear_if(most.flat < 0.015 * s)
        },
        rule: "greatest forward projection between crotch and under-bust".to_owned(),
    })
}
