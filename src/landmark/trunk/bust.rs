//! The bust points.

use super::{REACH, ROUND_MM, clear_if, hidden, missing};
use crate::landmark::series::{Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::part::Piece;
use crate::side::Side;

/// Where a bust point is looked for, in shares of the stature. ANSUR II has
/// chest height at 0.719 ± 0.014 (women) and 0.735 ± 0.011 (men): four and a
/// half standard deviations about either.
const BUST_WINDOW: (f64, f64) = (0.655, 0.785);

pub(in crate::landmark) fn bust_point(survey: &Survey<'_>, side: Side) -> Found {
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
            top.sd.hypot(survey.step_sd()).hypot(0.5 * top.flat),
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
        .and_then(|piece| bust_tip(survey, piece, side))
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

/// Where a level contour stands out most on one side of the chest.
pub(in crate::landmark) fn bust_tip(
    survey: &Survey<'_>,
    piece: &Piece,
    side: Side,
) -> Option<[f64; 2]> {
    let found = Survey::front_point(piece, side, chest_half_breadth(survey)?)?;
    Some(tip(piece, found, BUST_REACH_SHARE * survey.stature_mm))
}

/// The tip of the parabola through the front of a level contour where that stands out most: a single
/// point wanders sideways with every roughness of the skin.
fn tip(piece: &Piece, [x, y]: [f64; 2], reach: f64) -> [f64; 2] {
    let near =
        |p: &&[f64; 2]| (p[0] - x).abs() <= ASIDE * reach && (p[1] - y).abs() <= ASIDE * reach;
    let points = piece.contour.points().iter().filter(near);
    let mut front: Vec<(f64, f64)> = points.map(|p| (p[0], p[1])).collect();
    front.sort_by(|a, b| a.0.total_cmp(&b.0));
    let middle = 0.5 * ASIDE * reach;
    match Series::new(front).extreme(Kind::Greatest, x - middle, x + middle, reach) {
        Some(top) => [top.at, top.value],
        None => [x, y],
    }
}

/// How far about the most forward point its neighbours are looked at, in reaches.
const ASIDE: f64 = 4.0;

/// Narrower than at the waist: a bust's tip is rounder.
const BUST_REACH_SHARE: f64 = 0.008;

/// Half the breadth of the trunk under the armpits.
fn chest_half_breadth(survey: &Survey<'_>) -> Option<f64> {
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
