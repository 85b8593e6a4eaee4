//! The bust points.

use super::{REACH, ROUND_MM, clear_if, hidden, missing};
use crate::landmark::series::{Extreme, Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::part::Piece;
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

/// A hollow's depth is known to so many standard deviations of what noise and facets do to the skin, and no better
/// than to `SURE_MM`: those of two heights.
const SURE_NOISE: f64 = 1.4;
const SURE_FACETS: f64 = 3.0;
const SURE_MM: f64 = 0.3;

/// A peak of the chest's front on one side.
#[derive(Clone, Copy)]
struct Peak {
    top: Extreme,
    /// Over the hollow beside it, in mm.
    stands: f64,
    /// How surely `stands` is known, as a standard deviation in mm.
    sd: f64,
}

/// A peak that is taken for the bust point, and what other peaks that stand out as much leave open, as a standard
/// deviation in mm.
#[derive(Clone, Copy)]
struct Pick {
    peak: Peak,
    doubt_mm: f64,
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
        let peaks = tops.filter_map(|top| {
            let stands = series.prominence(&top, Kind::Greatest, reach);
            let ripple = |noise: f64, facets: f64| {
                nearest(survey, top.at).map_or(0.0, |piece| {
                    let contour = &piece.contour;
                    (noise * contour.noise_mm()).hypot(facets * contour.facet_jitter_mm())
                })
            };
            let sd = ripple(SURE_NOISE, SURE_FACETS).max(SURE_MM);
            let peak = Peak { top, stands, sd };
            (stands >= ripple(STANDS_NOISE, STANDS_FACETS).max(STANDS_MM)).then_some(peak)
        });
        let peaks = peaks.collect();
        Self { series, peaks, s }
    }

    /// The peaks within a window.
    fn within(&self, (low, high): (f64, f64)) -> impl Iterator<Item = &Peak> {
        let window = low * self.s..=high * self.s;
        self.peaks
            .iter()
            .filter(move |peak| window.contains(&peak.top.at))
    }

    /// The peak that stands out most where a bust point usually lies, or else about there.
    fn best(&self) -> Option<Pick> {
        [BUST_WINDOW, WIDE_WINDOW].into_iter().find_map(|window| {
            let stands = |peak: &&Peak| (peak.stands, peak.sd, peak.top.at);
            let (peak, doubt_mm) = clearest(self.within(window), stands)?;
            Some(Pick {
                peak: *peak,
                doubt_mm,
            })
        })
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

/// The peaks to go by, left before right: a bust shows on both sides at nearly one height, and ripples of the skin do
/// not. Without such a pair each side goes by itself.
fn picks(left: &Front, right: &Front) -> [Option<Pick>; 2] {
    for (one, other) in [
        (BUST_WINDOW, BUST_WINDOW),
        (BUST_WINDOW, WIDE_WINDOW),
        (WIDE_WINDOW, BUST_WINDOW),
        (WIDE_WINDOW, WIDE_WINDOW),
    ] {
        let pairs = left
            .within(one)
            .flat_map(|l| right.within(other).map(move |r| [l, r]))
            .filter(|[l, r]| (l.top.at - r.top.at).abs() <= APART * left.s);
        // One breast may stand out far and the other little: their product, as a height.
        let stands = |pair: &[&Peak; 2]| {
            let [l, r] = pair;
            let sd = 0.5 * l.sd.hypot(r.sd);
            (
                (l.stands * r.stands).sqrt(),
                sd,
                0.5 * (l.top.at + r.top.at),
            )
        };
        if let Some((pair, doubt_mm)) = clearest(pairs, stands) {
            return pair.map(|&peak| Some(Pick { peak, doubt_mm }));
        }
    }
    [left.best(), right.best()]
}

/// Of several candidates the one that stands out most, by (height, its standard deviation, place), and what the others
/// leave open: one that is as likely to stand out as much at a distance d makes d/2 of it.
fn clearest<T>(
    candidates: impl Iterator<Item = T>,
    stands: impl Fn(&T) -> (f64, f64, f64),
) -> Option<(T, f64)> {
    let mut all: Vec<T> = candidates.collect();
    let most = |a: &T, b: &T| stands(b).0.total_cmp(&stands(a).0);
    all.sort_by(most);
    let (height, sd, at) = stands(all.first()?);
    let doubt = all[1..].iter().map(|other| {
        let (less, other_sd, place) = stands(other);
        let likely = 1.0 / (1.0 + (LOGISTIC * (height - less) / sd.hypot(other_sd)).exp());
        (place - at).abs() * (likely * (1.0 - likely)).sqrt()
    });
    let doubt = doubt.fold(0.0, f64::max);
    Some((all.swap_remove(0), doubt))
}

/// A logistic curve as steep as this runs within 0.01 of the normal distribution's.
const LOGISTIC: f64 = 1.702;

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
    let [one, other] = picks(&left, &right);
    [
        bust_point(survey, Side::Left, &left, one),
        bust_point(survey, Side::Right, &right, other),
    ]
}

fn bust_point(survey: &Survey<'_>, side: Side, front: &Front, pick: Option<Pick>) -> Found {
    let key = LandmarkKey::BustPoint;
    let s = survey.stature_mm;
    let gone = |gap| missing(key, Some(side), hidden("the bust", gap));
    let series = &front.series;
    let top = pick.map(|pick| pick.peak.top);
    let doubt = pick.map_or(0.0, |pick| pick.doubt_mm);
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
            top.sd
                .hypot(survey.step_sd())
                .hypot(0.5 * top.flat)
                .hypot(doubt),
            clear_if(top.flat.max(doubt) < 0.01 * s),
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

#[cfg(test)]
mod tests {
    use super::*;

    fn front(peaks: &[(f64, f64)]) -> Front {
        let peak = |&(at, stands): &(f64, f64)| Peak {
            top: Extreme {
                at,
                value: 0.0,
                sd: 1.0,
                flat: 2.0,
            },
            stands,
            sd: SURE_MM,
        };
        Front {
            series: Series::default(),
            peaks: peaks.iter().map(peak).collect(),
            s: 1700.0,
        }
    }

    fn heights(left: &[(f64, f64)], right: &[(f64, f64)]) -> [Option<(f64, f64)>; 2] {
        picks(&front(left), &front(right))
            .map(|pick| pick.map(|pick| (pick.peak.top.at, pick.doubt_mm)))
    }

    /// What stands out on both sides goes before a ripple that stands higher on one; a full breast beside
    /// a flat one keeps its place; a side without any says nothing of the other.
    #[test]
    fn a_bust_shows_on_both_sides() {
        let [left, right] = heights(
            &[(1210.0, 13.0), (1260.0, 5.0)],
            &[(1158.0, 2.0), (1262.0, 6.0)],
        );
        assert_eq!((left.unwrap().0, right.unwrap().0), (1260.0, 1262.0));
        let [left, right] = heights(
            &[(1200.0, 30.0), (1290.0, 1.3)],
            &[(1226.0, 1.2), (1290.0, 1.4)],
        );
        assert_eq!((left.unwrap().0, right.unwrap().0), (1200.0, 1226.0));
        let [left, right] = heights(&[(1200.0, 3.0)], &[]);
        assert_eq!((left, right), (Some((1200.0, 0.0)), None));
        // Farther apart than one bust is, each goes by itself.
        let [left, right] = heights(&[(1160.0, 3.0)], &[(1280.0, 9.0)]);
        assert_eq!((left.unwrap().0, right.unwrap().0), (1160.0, 1280.0));
    }

    /// Two places as likely as each other, 60 mm apart: the standard deviation of the one that is taken is
    /// half of that (variance p·(1 − p)·d²), and none where one stands out clearly.
    #[test]
    fn peaks_alike_leave_the_place_open() {
        let both = [(1200.0, 4.0), (1260.0, 4.0)];
        let [left, _] = heights(&both, &both);
        let even = [(1230.0, 4.0), (1290.0, 4.0)];
        let [alone, _] = heights(&even, &[]);
        assert!((left.unwrap().1 - 30.0).abs() < 1e-9, "{left:?}");
        assert!((alone.unwrap().1 - 30.0).abs() < 1e-9, "{alone:?}");
        let [clear, _] = heights(&[(1200.0, 8.0), (1260.0, 2.0)], &[(1200.0, 8.0)]);
        assert!(clear.unwrap().1 < 0.1, "{clear:?}");
    }
}
