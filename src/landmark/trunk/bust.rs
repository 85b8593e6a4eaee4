//! The bust points.

use super::{REACH, ROUND_MM, clear_if, hidden, missing};
use crate::landmark::series::{Extreme, Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::part::Piece;
use crate::section::Contour;
use crate::side::Side;

/// Where a bust point is looked for, in shares of the stature. ANSUR II has chest height at
/// 0.719 ± 0.014 (women) and 0.735 ± 0.011 (men): three standard deviations about either. Farther down
/// the ribs and the belly make peaks of their own.
const BUST_WINDOW: (f64, f64) = (0.677, 0.768);
/// Where it is looked for next: four and a half.
const WIDE_WINDOW: (f64, f64) = (0.655, 0.785);
/// Least height of a peak over the hollow beside it, in mm, and in standard deviations of what noise and
/// facets do to the skin: two of noise; ripples of facets are as high as these are deep, three and more.
const STANDS_MM: f64 = 1.0;
const STANDS_NOISE: f64 = 2.0;
const STANDS_FACETS: f64 = 6.0;
/// Bust points farther apart in height than this share of the stature, 50 mm, are not of one bust: the
/// higher of women's is 6 ± 5 mm above the other (from memory).
const APART: f64 = 0.03;

/// A peak of the chest's front on one side.
#[derive(Clone, Copy)]
struct Peak {
    top: Extreme,
    /// Over the hollow beside it, in mm.
    stands: f64,
}

/// The front of one side of the chest, level by level.
struct Front {
    series: Series,
    peaks: Vec<Peak>,
    s: f64,
}

impl Front {
    fn of(survey: &Survey<'_>, side: Side, half_breadth: f64) -> Self {
        let (low, high) = (WIDE_WINDOW.0 - REACH, WIDE_WINDOW.1 + REACH);
        let series = survey.torso_series(low, high, |piece| {
            Survey::front_point(piece, side, half_breadth).map(|p| p[1])
        });
        let s = survey.stature_mm;
        let reach = BUST_REACH_SHARE * s;
        let (low, high) = (WIDE_WINDOW.0 * s, WIDE_WINDOW.1 * s);
        let tops = series
            .extremes(Kind::Greatest, low, high, reach)
            .into_iter();
        let peak = |top: Extreme| Peak {
            stands: series.prominence(&top, Kind::Greatest, reach),
            top,
        };
        let stands = |peak: &Peak| {
            let ripple = |contour: &Contour| {
                let noise = STANDS_NOISE * contour.noise_mm();
                noise.hypot(STANDS_FACETS * contour.facet_jitter_mm())
            };
            let ripple = nearest(survey, peak.top.at).map_or(0.0, |piece| ripple(&piece.contour));
            peak.stands >= STANDS_MM.max(ripple)
        };
        let peaks = tops.map(peak).filter(stands).collect();
        Self { series, peaks, s }
    }

    /// The peak that stands out most where a bust point usually lies, or else about there.
    fn best(&self) -> Option<Peak> {
        [BUST_WINDOW, WIDE_WINDOW]
            .into_iter()
            .find_map(|(low, high)| {
                let inside = |peak: &&Peak| (low * self.s..=high * self.s).contains(&peak.top.at);
                let inside = self.peaks.iter().filter(inside);
                inside.max_by(|a, b| a.stands.total_cmp(&b.stands)).copied()
            })
    }

    /// The peak to go by, with what the other side shows: of two that lie far apart the clearer one
    /// decides, and the other side's is the nearest to it.
    fn beside(&self, other: &Self) -> Option<Peak> {
        let (own, across) = (self.best(), other.best());
        let (Some(one), Some(two)) = (own, across) else {
            return own;
        };
        let apart = |peak: &Peak| (peak.top.at - two.top.at).abs();
        if apart(&one) <= APART * self.s || one.stands >= two.stands {
            return Some(one);
        }
        let near = self
            .peaks
            .iter()
            .filter(|peak| apart(peak) <= APART * self.s);
        near.min_by(|a, b| apart(a).total_cmp(&apart(b))).copied()
    }

    /// The window a place lies in, in mm.
    fn window(&self, at: f64) -> (f64, f64) {
        let [usual, wide] = [BUST_WINDOW, WIDE_WINDOW].map(|(a, b)| (a * self.s, b * self.s));
        if (usual.0..=usual.1).contains(&at) {
            usual
        } else {
            wide
        }
    }
}

/// The torso's contour nearest to a height.
fn nearest<'s>(survey: &'s Survey<'_>, at: f64) -> Option<&'s Piece> {
    let far = |piece: &Piece| (piece.height_mm - at).abs();
    let torso = survey.torso(0.0, 1.0);
    torso.min_by(|a, b| far(a).total_cmp(&far(b)))
}

/// The bust points, left before right.
pub(in crate::landmark) fn bust_points(survey: &Survey<'_>) -> [Found; 2] {
    let Some(half_breadth) = chest_half_breadth(survey) else {
        let why = "nowhere does skin go all the way round the chest; scan again from all sides";
        return Side::BOTH.map(|side| Err(missing(LandmarkKey::BustPoint, Some(side), why)));
    };
    let [left, right] = Side::BOTH.map(|side| Front::of(survey, side, half_breadth));
    [
        bust_point(survey, Side::Left, &left, &right),
        bust_point(survey, Side::Right, &right, &left),
    ]
}

fn bust_point(survey: &Survey<'_>, side: Side, front: &Front, other: &Front) -> Found {
    let key = LandmarkKey::BustPoint;
    let s = survey.stature_mm;
    let gone = |gap| missing(key, Some(side), hidden("the bust", gap));
    let series = &front.series;
    let top = front.beside(other).map(|peak| peak.top);
    let (low, high) = front.window(top.map_or(0.0, |top| top.at));
    let top = match top {
        Some(top) => Some(
            series
                .sure(top, Kind::Greatest, (low, high), ROUND_MM)
                .map_err(gone)?,
        ),
        None => match series.hidden(Kind::Greatest, (low, high), f64::NEG_INFINITY, ROUND_MM) {
            Some(gap) => return Err(gone(gap)),
            None => None,
        },
    };
    let noise = |at: f64| nearest(survey, at).map_or(0.0, |piece| piece.contour.noise_mm());
    let top = top.map(|top| series.jittered(top, noise(top.at)));
    let (at, sd, confidence, rule) = match top {
        Some(top) => (
            top.at,
            top.sd.hypot(survey.step_sd()).hypot(0.5 * top.flat),
            clear_if(top.flat < 0.01 * s),
            "most forward point of the chest on that side",
        ),
        // A chest that only slopes out into the belly: where it bulges most over the straight line.
        None => match bulge(series, low, high) {
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
    let point = nearest(survey, at)
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
