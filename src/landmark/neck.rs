//! Neck and shoulder: back neck point, side neck point, shoulder point.

use super::series::Series;
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::section::Contour;
use crate::side::Side;

/// Where the thinnest level of the neck is looked for, in shares of the
/// stature: over the back neck point (ANSUR II 0.857–0.864 ± 0.007), under the chin.
const NECK_WINDOW: (f64, f64) = (0.825, 0.93);
/// Half-width of the parabolas laid through neck profiles, as a share of the stature.
const REACH: f64 = 0.012;

/// The level piece at which the neck is thinnest.
pub(crate) fn thinnest<'s>(survey: &'s Survey<'_>) -> Option<&'s Piece> {
    let s = survey.stature_mm;
    let neck = survey
        .parts
        .upper
        .between(NECK_WINDOW.0 * s, NECK_WINDOW.1 * s);
    neck.iter()
        .filter(|piece| is_neck(survey, piece.taut_mm))
        .min_by(|a, b| a.taut_mm.total_cmp(&b.taut_mm))
}

/// Least girth of a neck as a share of the stature: three quarters of the thinnest of the ten model
/// bodies (0.19), and far over a mouth's or ear's hollow, which shows alone where the skin around is missing.
const LEAST_NECK: f64 = 0.14;

/// True if a girth can be a neck's.
pub(crate) fn is_neck(survey: &Survey<'_>, girth_mm: f64) -> bool {
    girth_mm >= LEAST_NECK * survey.stature_mm
}

/// Where the back of the neck meets the back: window in shares of the stature
/// (ANSUR II cervicale 0.857 ± 0.007 women, 0.864 ± 0.007 men; stooped people lower).
const BACK_WINDOW: (f64, f64) = (0.80, 0.90);
/// Share of the steepest slope at which the hollow of the neck is taken to end.
const SLOPE_SHARE: f64 = 0.85;

pub(super) fn back_neck(survey: &Survey<'_>) -> Found {
    let key = LandmarkKey::BackNeckPoint;
    let missing = |reason: &str| Missing {
        key,
        side: None,
        reason: reason.to_owned(),
    };
    let s = survey.stature_mm;
    let section = survey.upright.cut(0.0);
    let profile = back_profile(&section.contours, 0.75 * s, 0.95 * s, survey.parts.step_mm);
    let slope = Series::new(
        profile
            .window(BACK_WINDOW.0 * s, BACK_WINDOW.1 * s)
            .filter_map(|(at, _)| Some((at, profile.fit(at, REACH * s)?.slope))),
    );
    let steepest = slope
        .value
        .iter()
        .copied()
        .reduce(f64::max)
        .filter(|&top| top > 0.1)
        .ok_or_else(|| {
            missing("the back of the neck shows no bend; is skin or long hair in the way?")
        })?;
    // Coming down from the hollow of the neck, where the profile has taken up its slope.
    let at = slope
        .at
        .iter()
        .zip(&slope.value)
        .rev()
        .find(|&(_, &v)| v >= SLOPE_SHARE * steepest)
        .map(|(&at, _)| at)
        .ok_or_else(|| missing("the back of the neck shows no bend"))?;
    let y = profile.value_at(at).unwrap_or(0.0);
    Ok(Landmark {
        key,
        side: None,
        point_mm: [0.0, y, at],
        sd_mm: 0.009 * s,
        confidence: Confidence::Rough,
        rule: "upper end of the slope between the hollow of the neck and the upper back".to_owned(),
    })
}

/// How far back (least y) upright contours reach, by height.
fn back_profile(contours: &[Contour], low: f64, high: f64, step: f64) -> Series {
    let mut samples = Vec::new();
    let mut at = low;
    while at <= high {
        let crossing = contours
            .iter()
            .flat_map(|c| c.crossings(1, at))
            .reduce(f64::min);
        samples.extend(crossing.map(|y| (at, y)));
        at += step;
    }
    Series::new(samples)
}

/// Spacing of the upright planes that find the shoulder line, in mm.
const SHOULDER_STEP_MM: f64 = 3.0;
/// How far the ridge may bow from the straight line of the shoulder, in mm:
/// what a ruler laid on it would bridge unseen.
const BOW_MM: f64 = 3.0;
/// Widest half breadth of a neck, as a share of the stature.
const NECK_HALF_BREADTH: f64 = 0.07;
/// Length of a shoulder as a share of the stature, widest (ANSUR II 0.083 ± 0.006 along the skin; four standard deviations).
const SHOULDER_WINDOW: (f64, f64) = (0.055, 0.115);

/// Side neck point and shoulder point of one side, on the ridge of the shoulder.
pub(super) fn shoulder_line(survey: &Survey<'_>, side: Side) -> (Found, Found) {
    let missing = |key, reason: &str| {
        Err(Missing {
            key,
            side: Some(side),
            reason: reason.to_owned(),
        })
    };
    let (neck_key, shoulder_key) = (LandmarkKey::SideNeckPoint, LandmarkKey::ShoulderPoint);
    let Some(ridge) = ridge(survey, side) else {
        let reason = "the neck was not found above the shoulders; is skin missing there?";
        return (missing(neck_key, reason), missing(shoulder_key, reason));
    };
    let s = survey.stature_mm;
    let Some((neck, end)) = straight(&ridge, s) else {
        let reason = "no straight shoulder line shows between neck and arm; were the arms raised?";
        return (missing(neck_key, reason), missing(shoulder_key, reason));
    };
    let landmark = |key, i: usize, sd: f64, rule: &str| {
        Ok(Landmark {
            key,
            side: Some(side),
            point_mm: ridge[i],
            sd_mm: sd,
            confidence: Confidence::Rough,
            rule: rule.to_owned(),
        })
    };
    let side_neck = landmark(
        neck_key,
        neck,
        0.006 * s,
        "inner end of the straight shoulder line, where it turns up into the neck",
    );
    let shoulder = landmark(
        shoulder_key,
        end,
        0.007 * s,
        "outer end of the straight shoulder line, where it turns down into the arm",
    );
    (side_neck, shoulder)
}

/// Highest points of the shoulder below the neck's thinnest level, from the midline outwards, 3 mm apart.
fn ridge(survey: &Survey<'_>, side: Side) -> Option<Vec<[f64; 3]>> {
    let s = survey.stature_mm;
    let neck = thinnest(survey)?.height_mm;
    let mut xs = Vec::new();
    let mut x = 0.02 * s;
    while x < 0.2 * s {
        xs.push(side.sign() * x);
        x += SHOULDER_STEP_MM;
    }
    let sections = survey.upright.cut_many(&xs);
    let top = |points: &[[f64; 2]]| {
        points
            .iter()
            .filter(|p| p[1] <= neck)
            .max_by(|a, b| a[1].total_cmp(&b[1]))
            .copied()
    };
    let ridge: Vec<[f64; 3]> = sections
        .iter()
        .filter_map(|section| {
            let points: Vec<[f64; 2]> = section
                .contours
                .iter()
                .flat_map(|c| c.points().iter().copied())
                .collect();
            let [y, z] = top(&points)?;
            // Under the arms there is nothing: stop at the shoulder's end.
            (z > 0.6 * s).then_some([section.height_mm, y, z])
        })
        .skip_while(|p| p[2] > neck - 1.0)
        .collect();
    (ridge.len() > 10).then_some(ridge)
}

/// Where the ridge of a shoulder passes a height, from the arm inwards: nearer the neck it may do
/// so again. Above the ridge the neck's flank is upright.
pub(super) fn on_ridge(survey: &Survey<'_>, side: Side, height: f64) -> Option<[f64; 3]> {
    let ridge = ridge(survey, side)?;
    let [x, y, top] = *ridge.iter().max_by(|a, b| a[2].total_cmp(&b[2]))?;
    if height > top && height <= thinnest(survey)?.height_mm + REACH * survey.stature_mm {
        return Some([x, y, height]);
    }
    ridge.windows(2).rev().find_map(|pair| {
        let ([x0, y0, z0], [x1, y1, z1]) = (pair[0], pair[1]);
        let passed = (z1..=z0).contains(&height);
        let drop = z0 - z1;
        let share = if drop > 0.0 {
            (z0 - height) / drop
        } else {
            0.0
        };
        passed.then_some([x0 + share * (x1 - x0), y0 + share * (y1 - y0), height])
    })
}

/// The longest stretch of the ridge that is straight but for [`BOW_MM`]: its ends.
fn straight(ridge: &[[f64; 3]], s: f64) -> Option<(usize, usize)> {
    let flat = |i: usize| [ridge[i][0].abs(), ridge[i][2]];
    let length = |i: usize, j: usize| {
        let (a, b) = (flat(i), flat(j));
        (b[0] - a[0]).hypot(b[1] - a[1])
    };
    let bowed = |i: usize, j: usize| {
        let (a, b) = (flat(i), flat(j));
        let (dx, dz) = (b[0] - a[0], b[1] - a[1]);
        let run = dx.hypot(dz);
        (i + 1..j).any(|k| {
            let p = flat(k);
            (dx * (p[1] - a[1]) - dz * (p[0] - a[0])).abs() > BOW_MM * run
        })
    };
    // Steeper than 60 degrees is the neck's flank or the arm.
    let is_shoulder = |i: usize, j: usize| {
        let (a, b) = (flat(i), flat(j));
        (a[1] - b[1]).abs() < 3.0_f64.sqrt() * (b[0] - a[0])
    };
    let mut best: Option<(f64, (usize, usize))> = None;
    for i in 0..ridge.len() {
        if flat(i)[0] > NECK_HALF_BREADTH * s {
            break;
        }
        for j in i + 1..ridge.len() {
            let run = length(i, j);
            if run > SHOULDER_WINDOW.1 * s || bowed(i, j) {
                break;
            }
            if run >= SHOULDER_WINDOW.0 * s
                && is_shoulder(i, j)
                && best.is_none_or(|(longest, _)| run > longest)
            {
                best = Some((run, (i, j)));
            }
        }
    }
    best.map(|(_, (i, j))| trim(ridge, i, j))
}

/// Takes off the bent ends of a straight stretch: where the ridge leans more
/// than [`TURN_DEG`] off the middle half, it is neck or arm already.
fn trim(ridge: &[[f64; 3]], mut i: usize, mut j: usize) -> (usize, usize) {
    let lean = |a: usize, b: usize| {
        let dx = (ridge[b][0] - ridge[a][0]).abs();
        (ridge[a][2] - ridge[b][2]).atan2(dx).to_degrees()
    };
    let quarter = (j - i) / 4;
    let line = lean(i + quarter, j - quarter);
    let off = |k: usize| {
        let (a, b) = (
            k.saturating_sub(TURN_STEPS),
            (k + TURN_STEPS).min(ridge.len() - 1),
        );
        lean(a, b) - line
    };
    while i + 4 < j && off(i) > TURN_DEG {
        i += 1;
    }
    while i + 4 < j && off(j) > TURN_DEG {
        j -= 1;
    }
    (i, j)
}

/// How far the ridge may lean off the shoulder line at its ends.
const TURN_DEG: f64 = 10.0;
/// Steps of the ridge to either side over which its lean is taken: 6 mm.
const TURN_STEPS: usize = 2;

#[cfg(test)]
mod tests {
    use super::*;

    /// A neck's flank, a shoulder line of run 120 and drop 30 (14.04 degrees), an arm:
    /// the ends are found where the lines meet, to the 6 mm over which the lean is taken.
    #[test]
    fn ends_of_a_straight_shoulder() {
        let ridge: Vec<[f64; 3]> = (0..100)
            .map(|i| {
                let x = 40.0 + 3.0 * f64::from(i);
                let z = if x < 64.0 {
                    1400.0 + 5.0 * (64.0 - x)
                } else if x < 184.0 {
                    1400.0 - 0.25 * (x - 64.0)
                } else {
                    1370.0 - 2.0 * (x - 184.0)
                };
                [x, 0.0, z]
            })
            .collect();
        let (a, b) = straight(&ridge, 1600.0).unwrap();
        assert!((ridge[a][0] - 64.0).abs() <= 6.0, "{:?}", ridge[a]);
        assert!((ridge[b][0] - 184.0).abs() <= 6.0, "{:?}", ridge[b]);
    }
}
