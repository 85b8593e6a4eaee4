//! The narrowest waist and the high hip level.

use super::{REACH, clear_if, missing, step_sd};
use crate::landmark::series::{Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};

/// The same of the trunk's girth by height: twice as bent.
const GIRTH_ROUND_MM: f64 = 25.0;

pub(in crate::landmark) fn waist_narrowest(
    survey: &Survey<'_>,
    hip: Option<&Landmark>,
    under_bust: Option<&Landmark>,
) -> Found {
    let key = LandmarkKey::WaistNarrowest;
    let hip = hip.ok_or_else(|| {
        missing(
            key,
            None,
            "it is looked for above the hip level, which was not found",
        )
    })?;
    let s = survey.stature_mm;
    let trunk = &survey.parts.trunk;
    let (_, top) = trunk
        .range_mm()
        .ok_or_else(|| missing(key, None, "the trunk was not found"))?;
    let low = hip.height_mm() + 0.03 * s;
    let high = under_bust.map_or(top.min(0.72 * s), Landmark::height_mm);
    let girth = Series::new(
        trunk
            .between(low - 0.02 * s, high)
            .iter()
            .filter(|p| survey.parts.is_trunk_alone(p.height_mm))
            .map(|p| (p.height_mm, p.taut_mm)),
    );
    let Some(least) = girth.extreme(Kind::Least, low, high, REACH * s) else {
        return Err(missing(
            key,
            None,
            "the trunk has no narrowest level between hip and under-bust; choose the waist with a belt or elastic and pin its height",
        ));
    };
    let least = girth
        .sure(least, Kind::Least, (low, high), GIRTH_ROUND_MM)
        .map_err(|(from, to)| {
            let reason = format!("skin is missing between {from:.0} and {to:.0} mm, where the trunk may be narrower than at the skin that is there; scan again, or measure by tape");
            missing(key, None, reason)
        })?;
    let piece = trunk.nearest(least.at);
    let centre = piece.map_or([0.0; 2], |p| p.contour.centroid());
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], least.at],
        sd_mm: least.sd.hypot(step_sd(survey)).hypot(0.5 * least.flat),
        confidence: clear_if(least.flat < 0.015 * s),
        rule: "least taut girth of the trunk between hip and under-bust".to_owned(),
    })
}

pub(in crate::landmark) fn high_hip(
    survey: &Survey<'_>,
    waist: Option<&Landmark>,
    hip: Option<&Landmark>,
) -> Found {
    let key = LandmarkKey::HighHip;
    let (Some(waist), Some(hip)) = (waist, hip) else {
        return Err(missing(
            key,
            None,
            "it lies midway between narrowest waist and hip level, and one of them was not found",
        ));
    };
    let at = 0.5 * (waist.height_mm() + hip.height_mm());
    let centre = survey
        .parts
        .trunk
        .nearest(at)
        .map_or([0.0; 2], |p| p.contour.centroid());
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], at],
        sd_mm: 0.5 * waist.sd_mm.hypot(hip.sd_mm),
        // Worked out, not put by hand, even from two that were.
        confidence: waist.confidence.min(hip.confidence).min(Confidence::Clear),
        rule: "midway between narrowest waist and hip level".to_owned(),
    })
}
