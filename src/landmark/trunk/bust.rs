//! The bust points.

use super::chest::{BUST_WINDOW, Front, Peak, WIDE_WINDOW, ahead_least};
use super::{ROUND_MM, clear_if, hidden, missing};
use crate::landmark::series::{Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::side::Side;

/// Bust points farther apart in height than this share of the stature, 50 mm, are not of one bust: the
/// higher of women's is 6 ± 5 mm above the other (from memory).
const APART: f64 = 0.03;

/// A peak that is taken for the bust point, and what other peaks that stand out as much leave open, as a standard
/// deviation in mm.
#[derive(Clone, Copy)]
struct Pick {
    peak: Peak,
    doubt_mm: f64,
}

impl Front {
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
pub(super) fn nearest<'s>(survey: &'s Survey<'_>, at: f64) -> Option<&'s Piece> {
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
    let fronts = Front::both(survey, half_breadth);
    let [left, right] = &fronts;
    let [one, other] = picks(left, right);
    let noise = |at: f64| nearest(survey, at).map_or(0.0, |piece| piece.contour.noise_mm());
    let plates = [(left, one), (right, other)].map(|(front, pick)| {
        let top = pick?.peak.top;
        front.plate_brink(&top, noise(top.at))
    });
    // A chest muscle lies on both sides; what is flat on one alone is a breast that noise or facets flatten.
    let plates = if let [Some(_), Some(_)] = plates {
        plates
    } else {
        [None, None]
    };
    let own = [
        peak_level(survey, Side::Left, (left, one), plates[0]),
        peak_level(survey, Side::Right, (right, other), plates[1]),
    ];
    let found = levels(own, flat_level(survey, &fronts), survey.stature_mm);
    let [left, right] = found;
    [(Side::Left, left), (Side::Right, right)].map(|(side, level)| bust_point(survey, side, level?))
}

/// The height of a bust point.
#[derive(Clone, Copy, Debug)]
struct Level {
    at: f64,
    sd: f64,
    confidence: Confidence,
    rule: &'static str,
}

/// How far the bust points of one body differ in height, as a share of the stature: 8 mm (women's by 6 ± 5 mm, from
/// memory).
const BESIDE_SD: f64 = 0.005;

/// The levels of both sides, left before right: of its own peak, or of the other side's, or of a flat chest.
fn levels(
    own: [Result<Option<Level>, Missing>; 2],
    flat: Option<Level>,
    s: f64,
) -> [Result<Level, Missing>; 2] {
    let [left, right] = own;
    let beside = |other: &Result<Option<Level>, Missing>| {
        let other = other.as_ref().ok().copied().flatten()?;
        Some(Level {
            sd: other.sd.hypot(BESIDE_SD * s),
            confidence: Confidence::Rough,
            rule: "level of the other side's bust point: none stands out from the breastbone on this side",
            ..other
        })
    };
    let (for_left, for_right) = (beside(&right), beside(&left));
    let level = |own: Result<Option<Level>, Missing>, beside: Option<Level>, side: Side| {
        own?.or(beside).or(flat).ok_or_else(|| {
            let why = "the chest shows no bulge; pin the bust level by hand";
            missing(LandmarkKey::BustPoint, Some(side), why)
        })
    };
    [
        level(left, for_left, Side::Left),
        level(right, for_right, Side::Right),
    ]
}

/// The level of a side's peak, if it has one.
fn peak_level(
    survey: &Survey<'_>,
    side: Side,
    (front, pick): (&Front, Option<Pick>),
    plate: Option<(f64, f64)>,
) -> Result<Option<Level>, Missing> {
    let s = survey.stature_mm;
    let gone = |gap| missing(LandmarkKey::BustPoint, Some(side), hidden("the bust", gap));
    let series = &front.series;
    let Some(Pick { peak, doubt_mm }) = pick else {
        let window = front.window(f64::NAN);
        let gap = series.hidden(Kind::Greatest, window, f64::NEG_INFINITY, ROUND_MM);
        return gap.map_or(Ok(None), |gap| Err(gone(gap)));
    };
    let window = front.window(peak.top.at);
    let top = series
        .sure(peak.top, Kind::Greatest, window, ROUND_MM)
        .map_err(gone)?;
    let noise = nearest(survey, top.at).map_or(0.0, |piece| piece.contour.noise_mm());
    let top = series.jittered(top, noise);
    let least = top.sd.hypot(survey.step_sd()).hypot(doubt_mm);
    Ok(Some(match plate {
        Some((at, sd)) => Level {
            at,
            sd: sd.hypot(least),
            confidence: Confidence::Fair,
            rule: "lower edge of the plate of the chest that stands out most on that side",
        },
        None => Level {
            at: top.at,
            sd: least
                .hypot(0.5 * top.flat)
                .hypot(front.small_sd(top.at))
                .hypot(front.plate_sd(&top, noise)),
            confidence: clear_if(top.flat.max(doubt_mm) < 0.01 * s),
            rule: "most forward point of the chest on that side",
        },
    }))
}

/// The level of a chest that shows no peak on either side: the mean of both, which err together.
fn flat_level(survey: &Survey<'_>, fronts: &[Front; 2]) -> Option<Level> {
    let [left, right] = fronts
        .each_ref()
        .map(|front| front.brink(|at| ahead_least(survey, at)));
    let (left, right) = (left?, right?);
    Some(Level {
        at: 0.5 * (left.0 + right.0),
        sd: left.1.max(right.1).hypot(0.5 * (left.0 - right.0)),
        confidence: Confidence::Rough,
        rule: "where a chest without a peak of its own breaks off hardest below what stands farthest before the breastbone",
    })
}

fn bust_point(survey: &Survey<'_>, side: Side, level: Level) -> Found {
    let key = LandmarkKey::BustPoint;
    let point = nearest(survey, level.at)
        .and_then(|piece| bust_tip(survey, piece, side))
        .ok_or_else(|| missing(key, Some(side), "skin is missing at the chest"))?;
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [point[0], point[1], level.at],
        sd_mm: level.sd,
        confidence: level.confidence,
        rule: level.rule.to_owned(),
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
pub(super) const BUST_REACH_SHARE: f64 = 0.008;

/// Half the breadth of the trunk under the armpits.
fn chest_half_breadth(survey: &Survey<'_>) -> Option<f64> {
    let trunk = &survey.parts.trunk;
    let (_, top) = trunk.range_mm()?;
    let chest = trunk.between(0.62 * survey.stature_mm, top);
    let mut breadths: Vec<f64> = chest.iter().map(|p| p.contour.breadth_mm()).collect();
    breadths.sort_by(f64::total_cmp);
    breadths.get(breadths.len() / 2).map(|b| 0.5 * b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::landmark::series::Extreme;

    fn front(peaks: &[(f64, f64)]) -> Front {
        let peak = |&(at, stands): &(f64, f64)| Peak {
            top: Extreme {
                at,
                value: 0.0,
                sd: 1.0,
                flat: 2.0,
            },
            stands,
            sd: 0.3,
        };
        Front {
            peaks: peaks.iter().map(peak).collect(),
            s: 1700.0,
            ..Front::default()
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

    /// A side without a peak takes the other's level, 8 mm less sure (√(3² + 8.5²) at 1.7 m); without any on either side it is
    /// the flat chest's, and where skin is missing it is neither.
    #[test]
    fn a_side_without_a_peak_takes_the_other_sides_level() {
        let level = |at: f64| Level {
            at,
            sd: 3.0,
            confidence: Confidence::Clear,
            rule: "",
        };
        let flat = Some(level(1240.0));
        let [left, right] = levels([Ok(Some(level(1200.0))), Ok(None)], flat, 1700.0);
        let (left, right) = (left.unwrap(), right.unwrap());
        assert!((left.sd - 3.0).abs() < 1e-12 && (right.at - 1200.0).abs() < 1e-12);
        assert!((right.sd - 3.0_f64.hypot(8.5)).abs() < 1e-9, "{right:?}");
        assert_eq!(right.confidence, Confidence::Rough);
        let both = levels([Ok(None), Ok(None)], flat, 1700.0);
        assert!(both.iter().all(|side| {
            side.as_ref()
                .is_ok_and(|level| (level.at - 1240.0).abs() < 1e-12)
        }));
        let gone = || missing(LandmarkKey::BustPoint, None, "skin is missing");
        let [left, right] = levels([Err(gone()), Ok(None)], None, 1700.0);
        assert!(left.is_err() && right.unwrap_err().reason.contains("no bulge"));
    }
}
