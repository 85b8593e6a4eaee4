//! Levels of the trunk: crotch, hip, waist, bust.

use super::series::{Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::side::Side;
use nalgebra::{Matrix6, Point3, Vector3, Vector6};

/// Half-width of the parabolas laid through profiles, as a share of the
/// stature: about 15 mm, wide enough to smooth 1 mm of noise and narrow
/// enough to keep a waist's curve.
const REACH: f64 = 0.009;

fn missing(key: LandmarkKey, side: Option<Side>, reason: impl Into<String>) -> Missing {
    Missing {
        key,
        side,
        reason: reason.into(),
    }
}

/// Levels are sampled this far apart: the least uncertainty of any.
fn step_sd(survey: &Survey<'_>) -> f64 {
    survey.parts.step_mm / 12.0_f64.sqrt()
}

pub(super) fn vertex(survey: &Survey<'_>) -> Found {
    let top = survey
        .mesh
        .points()
        .iter()
        .max_by(|a, b| a.z.total_cmp(&b.z));
    let top = top.ok_or_else(|| missing(LandmarkKey::Vertex, None, "the mesh is empty"))?;
    Ok(Landmark {
        key: LandmarkKey::Vertex,
        side: None,
        point_mm: [top.x, top.y, top.z],
        sd_mm: 1.0_f64.hypot(CROWN_PEAK * crown_roughness(survey, top)),
        confidence: Confidence::Clear,
        rule: "highest point of the body".to_owned(),
    })
}

/// The highest and the lowest of many rough points stand off by about two standard deviations
/// each (common practice in statistics: the greatest of twenty normal values, 1.87, from memory).
const CROWN_PEAK: f64 = 2.0;
/// Skin about the top of the head that shows its roughness, in mm: a cap of 6 mm at a radius of 80 mm.
const CROWN_MM: f64 = 30.0;

/// Standard deviation of the crown's points about the paraboloid that fits them best, in mm.
fn crown_roughness(survey: &Survey<'_>, top: &Point3<f64>) -> f64 {
    let cap: Vec<_> = survey
        .mesh
        .points()
        .iter()
        .map(|p| (p - top) / CROWN_MM)
        .filter(|d| d.norm_squared() <= 1.0)
        .collect();
    let row = |d: &Vector3<f64>| Vector6::new(1.0, d.x, d.y, d.x * d.x, d.x * d.y, d.y * d.y);
    let (mut normal, mut right) = (Matrix6::zeros(), Vector6::zeros());
    for d in &cap {
        normal += row(d) * row(d).transpose();
        right += row(d) * d.z;
    }
    let Some(fit) = normal.cholesky().map(|solver| solver.solve(&right)) else {
        return 0.0;
    };
    let square: f64 = cap.iter().map(|d| (d.z - row(d).dot(&fit)).powi(2)).sum();
    #[expect(clippy::cast_precision_loss, reason = "points of a crown")]
    let freedom = cap.len() as f64 - 6.0;
    if freedom >= 1.0 {
        CROWN_MM * (square / freedom).sqrt()
    } else {
        0.0
    }
}

pub(super) fn crotch(survey: &Survey<'_>) -> Found {
    let key = LandmarkKey::Crotch;
    let Some(fork) = survey.parts.crotch else {
        return Err(missing(key, None, "the legs are not apart anywhere"));
    };
    // ANSUR II: 0.480 ± 0.015 of the stature, least 0.42: far below it the thighs touch.
    if fork.height_mm < LOWEST_CROTCH * survey.stature_mm {
        return Err(missing(
            key,
            None,
            format!(
                "the legs part only at {:.0} mm, so the thighs seem to touch above; scan again with the feet apart",
                fork.height_mm
            ),
        ));
    }
    let centre = [0, 1].map(|k| 0.5 * (fork.first[k] + fork.second[k]));
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], fork.height_mm],
        sd_mm: 1.0_f64.hypot(fork.hidden_mm),
        confidence: clear_if(fork.hidden_mm <= 0.0),
        rule: "highest level at which the legs are two contours".to_owned(),
    })
}

/// Share of the stature below which a parting of the legs is not taken for the crotch.
const LOWEST_CROTCH: f64 = 0.40;

pub(super) fn armpit(survey: &Survey<'_>, side: Side) -> Found {
    let key = LandmarkKey::Armpit;
    let Some(fork) = survey.parts.armpit(side) else {
        return Err(missing(
            key,
            Some(side),
            "the arm is not apart from the trunk anywhere; scan again with the arms held out",
        ));
    };
    // ANSUR II: 0.76 ± 0.009 of the stature; far below it the arm touches the trunk.
    if fork.height_mm < LOWEST_ARMPIT * survey.stature_mm {
        return Err(missing(
            key,
            Some(side),
            format!(
                "the arm joins the trunk already at {:.0} mm, so it seems to touch it there; scan again with the arms held out",
                fork.height_mm
            ),
        ));
    }
    let centre = [0, 1].map(|k| 0.5 * (fork.first[k] + fork.second[k]));
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [centre[0], centre[1], fork.height_mm],
        sd_mm: 2.0_f64.hypot(fork.hidden_mm),
        confidence: clear_if(fork.hidden_mm <= 0.0),
        rule: "highest level at which the arm is a contour of its own".to_owned(),
    })
}

/// Share of the stature below which a joining of the arm is not taken for the armpit.
const LOWEST_ARMPIT: f64 = 0.66;

/// The level at which the seat stands out most.
pub(super) fn hip(survey: &Survey<'_>) -> Found {
    let key = LandmarkKey::Hip;
    let back = survey.torso_series(0.0, 0.60, |piece| Some(piece.contour.settled().extent(1).0));
    let reach = REACH * survey.stature_mm;
    let (Some(&low), Some(&high)) = (back.at.first(), back.at.last()) else {
        return Err(missing(
            key,
            None,
            "there is no trunk contour between crotch and waist",
        ));
    };
    let Some(seat) = back.extreme(Kind::Least, low, high, reach) else {
        return Err(missing(
            key,
            None,
            "the seat has no level at which it stands out most; pin the hip level by hand",
        ));
    };
    // The seat goes on down to the crotch, even where its skin is missing.
    let low = survey
        .parts
        .crotch
        .map_or(low, |fork| low.min(fork.height_mm));
    let seat = back
        .sure(seat, Kind::Least, (low, high), ROUND_MM)
        .map_err(|gap| missing(key, None, hidden("the seat", gap)))?;
    let piece = survey.parts.trunk.nearest(seat.at);
    let seat = back.jittered(seat, piece.map_or(0.0, |p| p.contour.noise_mm()));
    let centre = piece.map_or([0.0; 2], |p| [0.0, p.contour.extent(1).0]);
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], seat.at],
        sd_mm: seat.sd.hypot(step_sd(survey)).hypot(0.5 * seat.flat),
        confidence: clear_if(seat.flat < 0.01 * survey.stature_mm),
        rule: "greatest rearward projection of the seat".to_owned(),
    })
}

/// Radius of the hardest bend of front and back of a trunk that missing skin is taken to hide, in mm: a small breast's.
const ROUND_MM: f64 = 50.0;
/// The same of the trunk's girth by height: twice as bent.
const GIRTH_ROUND_MM: f64 = 25.0;

/// Why an extreme is not told where skin is missing.
fn hidden(what: &str, (from, to): (f64, f64)) -> String {
    format!(
        "skin is missing between {from:.0} and {to:.0} mm, where {what} may stand out more than on the skin that is there; scan again, or measure by tape"
    )
}

fn clear_if(clear: bool) -> Confidence {
    if clear {
        Confidence::Clear
    } else {
        Confidence::Fair
    }
}

/// Where a bust point is looked for, in shares of the stature. ANSUR II has
/// chest height at 0.719 ± 0.014 (women) and 0.735 ± 0.011 (men): four and a
/// half standard deviations about either.
const BUST_WINDOW: (f64, f64) = (0.655, 0.785);

pub(super) fn bust_point(survey: &Survey<'_>, side: Side) -> Found {
    let key = LandmarkKey::BustPoint;
    let half_breadth = chest_half_breadth(survey)
        .ok_or_else(|| missing(key, Some(side), "there is no trunk contour at the chest"))?;
    let front = survey.torso_series(BUST_WINDOW.0 - REACH, BUST_WINDOW.1 + REACH, |piece| {
        Survey::front_point(piece, side, half_breadth).map(|p| p[1])
    });
    let s = survey.stature_mm;
    let (low, high) = (BUST_WINDOW.0 * s, BUST_WINDOW.1 * s);
    let reach = BUST_REACH_SHARE * s;
    let gone = |gap| missing(key, Some(side), hidden("the bust", gap));
    let top = front.extreme(Kind::Greatest, low, high, reach);
    let top = match top {
        Some(top) => Some(
            front
                .sure(top, Kind::Greatest, (low, high), ROUND_MM)
                .map_err(gone)?,
        ),
        None => match front.hidden(Kind::Greatest, (low, high), f64::NEG_INFINITY, ROUND_MM) {
            Some(gap) => return Err(gone(gap)),
            None => None,
        },
    };
    let nearest = |at: f64| {
        let far = |piece: &Piece| (piece.height_mm - at).abs();
        survey
            .torso(0.0, 1.0)
            .min_by(|a, b| far(a).total_cmp(&far(b)))
    };
    let noise = |at: f64| nearest(at).map_or(0.0, |piece| piece.contour.noise_mm());
    let top = top.map(|top| front.jittered(top, noise(top.at)));
    let (at, sd, confidence, rule) = match top {
        Some(top) => (
            top.at,
            top.sd.hypot(step_sd(survey)).hypot(0.5 * top.flat),
            clear_if(top.flat < 0.01 * s),
            "most forward point of the chest on that side",
        ),
        // A chest that only slopes out into the belly: where it bulges most over the straight line.
        None => match bulge(&front, low, high) {
            Some(at) => (
                at,
                0.01 * s,
                Confidence::Rough,
                "greatest bulge of the chest over the straight line from upper chest to belly",
            ),
            None => {
                return Err(missing(
                    key,
                    Some(side),
                    "the chest shows no bulge; pin the bust level by hand",
                ));
            }
        },
    };
    let point = nearest(at)
        .and_then(|piece| Survey::front_point(piece, side, half_breadth))
        .ok_or_else(|| missing(key, Some(side), "skin is missing at the chest"))?;
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [point[0], point[1], at],
        sd_mm: sd,
        confidence,
        rule: rule.to_owned(),
    })
}

/// Narrower than at the waist: a bust's tip is rounder.
const BUST_REACH_SHARE: f64 = 0.008;

/// Half the breadth of the trunk under the armpits.
pub(super) fn chest_half_breadth(survey: &Survey<'_>) -> Option<f64> {
    let trunk = &survey.parts.trunk;
    let (_, top) = trunk.range_mm()?;
    let chest = trunk.between(0.62 * survey.stature_mm, top);
    let mut breadths: Vec<f64> = chest.iter().map(|p| p.contour.breadth_mm()).collect();
    breadths.sort_by(f64::total_cmp);
    breadths.get(breadths.len() / 2).map(|b| 0.5 * b)
}

/// Where a series lies farthest above the straight line between two places; `None` if nowhere.
fn bulge(series: &Series, low: f64, high: f64) -> Option<f64> {
    let ends: Vec<(f64, f64)> = series.window(low, high).collect();
    let (&(a0, v0), &(a1, v1)) = (ends.first()?, ends.last()?);
    let over = |&(at, value): &(f64, f64)| value - v0 - (v1 - v0) * (at - a0) / (a1 - a0);
    let best = ends.iter().max_by(|a, b| over(a).total_cmp(&over(b)))?;
    (over(best) > 1.0).then_some(best.0)
}

/// Where the lower fold of the bust is looked for below the bust point, in shares of the stature.
const FOLD_WINDOW: (f64, f64) = (0.008, 0.065);

/// The level of the lower fold: where the profile below the bust points turns back hardest.
pub(super) fn under_bust(survey: &Survey<'_>, bust: &[Option<Landmark>; 2]) -> Found {
    let key = LandmarkKey::UnderBust;
    let s = survey.stature_mm;
    let mut folds: Vec<(f64, f64)> = Vec::new();
    for point in bust.iter().flatten() {
        let [x, _, height] = point.point_mm;
        let profile = survey.torso_series(0.5, 0.8, |piece| {
            piece.contour.across(x).map(|(_, front)| front)
        });
        let (low, high) = (height - FOLD_WINDOW.1 * s, height - FOLD_WINDOW.0 * s);
        // A fold is narrow: any gap may hide it, however deep.
        if let Some(gap) = profile.hidden(Kind::Least, (low, high), f64::INFINITY, ROUND_MM) {
            return Err(missing(key, None, hidden("the fold", gap)));
        }
        // Bend of the profile by height: a Series of second derivatives has its peak at the fold.
        let bends = Series::new(
            profile
                .window(low - 0.02 * s, high)
                .filter_map(|(at, _)| Some((at, profile.fit(at, BUST_REACH_SHARE * s)?.bend))),
        );
        let peak = bends
            .window(low, high)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|&(_, bend)| bend > FOLD_BEND / s);
        if let Some((at, _)) = peak {
            folds.push((at, point.sd_mm));
        }
    }
    if folds.is_empty() {
        return Err(missing(
            key,
            None,
            "no fold shows under the bust; measure the under-bust girth by tape, or pin its height",
        ));
    }
    #[expect(clippy::cast_precision_loss, reason = "one or two")]
    let n = folds.len() as f64;
    let at = folds.iter().map(|f| f.0).sum::<f64>() / n;
    let apart = folds.iter().map(|f| (f.0 - at).abs()).fold(0.0, f64::max);
    Ok(Landmark {
        key,
        side: None,
        point_mm: [0.0, 0.0, at],
        sd_mm: apart.max(0.003 * s),
        confidence: Confidence::Fair,
        rule: "hardest inward turn of the profile under the bust points".to_owned(),
    })
}

/// Least bend of a fold (1/mm at 1 m of stature): radius of 150 mm on a person of 1.65 m.
const FOLD_BEND: f64 = 5.5;

pub(super) fn waist_narrowest(
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

pub(super) fn high_hip(
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
