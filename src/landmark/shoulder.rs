//! The ridge of the shoulder: side neck point and shoulder point.
//!
//! Both are bone and muscle under skin, and lie on the ridge; how far out is weighed in `weights.rs`.

use super::neck::{neck_levels, thinnest};
use super::root::Root;
use super::series::Series;
use super::survey::HELD_OUT;
use super::weights::{RAISED_SD, TURNS_UP, raised, shoulder_out, side_neck_out};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::section::Contour;
use crate::side::Side;

/// Spacing of the upright planes that find the ridge, in mm.
const STEP_MM: f64 = 3.0;
/// How far out from the midline the ridge is followed, as a share of the stature.
const REACH_OUT: f64 = 0.22;
/// Where the lean of the shoulder line is taken, from the midline, in shares of the stature:
/// outside the neck, inside the shoulder point (ANSUR II half biacromial breadth 0.112 women,
/// 0.118 men).
const LINE: (f64, f64) = (0.05, 0.10);
/// Half-width over which the ridge is smoothed, as a share of the stature. Twice of it would steady the shoulder
/// point on coarse meshes, but would show a shoulder that sinks by 5 mm as sunk by 10.
const REACH: f64 = 0.014;
/// Widest half breadth of a neck's base, as a share of the stature.
const NECK_HALF_BREADTH: f64 = 0.075;
/// Lean of an upright neck's flank.
const UPRIGHT_DEG: f64 = 90.0;
/// Share of the turn from the shoulder line to the upper arm that is asked for beside the arm's root.
const SHARE_OF_TURN: f64 = 0.6;
/// An upper arm must lean this much more than the shoulder line for a turn to show.
const LEAST_TURN_DEG: f64 = 5.0;
/// Lean of an arm that hangs, where it is not seen apart from the trunk.
const HANGING_DEG: f64 = 75.0;
/// Stretch of the arm's axis that tells how the upper arm leans: below the armpit's folds, above
/// the elbow; in mm, and as a share of the stature.
const UPPER_ARM: (f64, f64) = (20.0, 0.09);

/// Sine of the lean of the ridge at the side neck point (43 degrees: three tenths of the way from the
/// shoulder line, 22 to 24 by Taniyama et al. 1970, to upright): a point known to so much in height is
/// known to that over it along the ridge.
pub(crate) const SIDE_NECK_SINE: f64 = 0.68;
/// Standard uncertainty of the side neck point's height as a share of the stature, 10 mm. A judgement on
/// the definition: the muscle's border is not seen, and where the survey's measures put the point and where the
/// maker of a body model put it differ by 14. About its own mean the rule scatters by 5.
const SIDE_NECK_SD: f64 = 0.006;
/// The same at the shoulder point (37 degrees: part of the way from the shoulder line to an arm held out a little).
pub(crate) const SHOULDER_SINE: f64 = 0.6;
/// How surely the lean of a shoulder's ridge is read, in degrees.
pub(crate) const RIDGE_LEAN_SD_DEG: f64 = 3.0;
/// The arm's root is looked for below the ridge so far from the midline, as a share of the stature.
const OVER_ROOT: f64 = 0.075;

/// Half the breadth between the shoulder points lies between these shares of the stature on everybody: ANSUR II has
/// biacromial breadth at 0.224 ± 0.010 (women) and 0.237 ± 0.010 (men); five standard deviations beyond either.
const HALF_BREADTH: (f64, f64) = (0.087, 0.1435);
/// It lies farther out than the middle of the armpit by no more than this share of the stature: 0.029 to 0.071 on 60 study
/// bodies, with fixed cameras too; 0.076 where a torn armpit led far out along the arm.
const BEYOND_ARMPIT: f64 = 0.0735;
/// Why a place beyond that is none.
const NOBODY: &str = "what shows of arm and trunk puts the end of the shoulder where nobody's lies; are the arms held forward, or is something worn or in the way? Scan again with the arms a little off the body";

/// Raised arms draw the ridge down where it turns up into the neck, by this share of the stature at 50 degrees
/// (least squares over the 60 bodies: 1.5 ± 1.5 mm).
const RAISED_NECK: f64 = 0.0009;

/// How high a shoulder's ridge turns up into the neck, as with hanging arms.
pub(super) fn neck_height(survey: &Survey<'_>, side: Side, ridge: Option<&Ridge>) -> Option<f64> {
    let height = ridge?.neck_height()?;
    let raised = raised(UPRIGHT_DEG - upper_arm_deg(survey, side)).min(1.0);
    Some(height + RAISED_NECK * survey.stature_mm * raised)
}

/// Side neck point and shoulder point of one side, on the ridge of the shoulder.
pub(super) fn points(survey: &Survey<'_>, side: Side, ridge: Option<&Ridge>) -> (Found, Found) {
    let missing = |key, reason: &str| {
        Err(Missing {
            key,
            side: Some(side),
            reason: reason.to_owned(),
        })
    };
    let (neck_key, shoulder_key) = (LandmarkKey::SideNeckPoint, LandmarkKey::ShoulderPoint);
    let Some(ridge) = ridge else {
        let reason =
            "the ridge of the shoulder was not found beside the neck; is skin missing there?";
        return (missing(neck_key, reason), missing(shoulder_key, reason));
    };
    let s = survey.stature_mm;
    let landmark = |key, out: f64, sd: f64, rule: &str| {
        Ok(Landmark {
            key,
            side: Some(side),
            point_mm: ridge.point(out, side)?,
            sd_mm: sd,
            confidence: Confidence::Rough,
            rule: rule.to_owned(),
        })
    };
    let root = ridge
        .height
        .value_at(OVER_ROOT * s)
        .and_then(|height| Root::of(survey, side, height));
    let half_neck = thinnest(survey).map(|piece| 0.5 * piece.contour.breadth_mm());
    let side_neck = side_neck_out(TURNS_UP.map(|share| ridge.neck_end(share)), half_neck, root.as_ref(), s).ok_or(
        "the ridge of the shoulder does not turn up into the neck; is a collar or long hair in the way?",
    );
    let side_neck =
        side_neck.and_then(|(out, rule)| landmark(neck_key, out, SIDE_NECK_SD * s, rule));
    let shoulder = if survey.parts.held_out[side.index()] {
        Err(HELD_OUT)
    } else {
        let arm_deg = upper_arm_deg(survey, side);
        let turn = ridge.arm_end(arm_deg);
        shoulder_out(turn, root.as_ref(), s)
            .ok_or("the ridge of the shoulder runs straight on into the arm, or turns elsewhere than arm and trunk show its end; lower the arms and scan again, the armpits too")
            .and_then(|(out, sd, rule)| {
                let armpit = survey.parts.armpit(side);
                let over = armpit.map(|fork| 0.5 * (fork.first[0] + fork.second[0]).abs());
                let beyond = over.is_some_and(|armpit| out - armpit > BEYOND_ARMPIT * s);
                if beyond || !(HALF_BREADTH.0 * s..=HALF_BREADTH.1 * s).contains(&out) {
                    return Err(NOBODY);
                }
                let raised = RAISED_SD * s * raised(UPRIGHT_DEG - arm_deg);
                // Known so well from side to side, it is known to less in height.
                let along = sd.hypot(raised) / (1.0 - SHOULDER_SINE * SHOULDER_SINE).sqrt();
                landmark(shoulder_key, out, SHOULDER_SINE * along, rule)
            })
    };
    (
        side_neck.or_else(|reason| missing(neck_key, reason)),
        shoulder.or_else(|reason| missing(shoulder_key, reason)),
    )
}

/// Where the ridge of a shoulder passes a height, from the arm inwards: nearer the neck it may do so again.
pub(super) fn on_ridge(survey: &Survey<'_>, side: Side, height: f64) -> Option<[f64; 3]> {
    let ridge = Ridge::of(survey, side)?;
    let (first, last) = (*ridge.height.at.first()?, *ridge.height.at.last()?);
    let out = ridge.height.last_crossing(height, first, last)?;
    ridge.point(out, side).ok()
}

/// How the upper arm leans below level, seen from the front, in degrees.
fn upper_arm_deg(survey: &Survey<'_>, side: Side) -> f64 {
    survey.arm(side).map_or(HANGING_DEG, |arm| {
        let (top, end) = (UPPER_ARM.0, UPPER_ARM.1 * survey.stature_mm);
        let down = arm.axis.point(end.min(arm.axis.length_mm())) - arm.axis.point(top);
        (-down.z).atan2(side.sign() * down.x).to_degrees()
    })
}

/// Highest points of the shoulder from the neck's flank outwards, by distance from the midline.
#[derive(Clone, Debug)]
pub(super) struct Ridge {
    height: Series,
    forward: Series,
    /// How much the ridge leans below level, in degrees.
    lean: Series,
    stature_mm: f64,
}

impl Ridge {
    pub(super) fn of(survey: &Survey<'_>, side: Side) -> Option<Self> {
        let s = survey.stature_mm;
        let flank = flank(survey, side);
        let (z, x) = (flank.first()?[2], flank.last()?[0]);
        let mut xs = Vec::new();
        let mut out = x + STEP_MM;
        while out < REACH_OUT * s {
            xs.push(side.sign() * out);
            out += STEP_MM;
        }
        let sections = survey.upright.cut_many(&xs);
        let on_ridge = sections.iter().filter_map(|section| {
            let tops = section.contours.iter().filter_map(|c| top(c, z));
            let [y, z] = tops.max_by(|a, b| a[1].total_cmp(&b[1]))?;
            // Under the arms there is nothing: stop at the shoulder's end.
            (z > 0.6 * s).then_some([section.height_mm.abs(), y, z])
        });
        let points: Vec<[f64; 3]> = flank.iter().copied().chain(on_ridge).collect();
        (points.len() > 10).then(|| Self::through(&points, s))
    }

    /// A ridge through points (distance from the midline, forward, height), outwards.
    fn through(points: &[[f64; 3]], stature_mm: f64) -> Self {
        // By length along it, as it starts upright on the neck.
        let mut along = vec![0.0];
        for w in points.windows(2) {
            let step = (w[1][0] - w[0][0]).hypot(w[1][2] - w[0][2]);
            along.push(along[along.len() - 1] + step);
        }
        let by_length =
            |k: usize| Series::new(along.iter().copied().zip(points.iter().map(|p| p[k])));
        let (out, up) = (by_length(0), by_length(2));
        let lean = Series::new(points.iter().zip(&along).filter_map(|(p, &at)| {
            let slope = |series: &Series| Some(series.fit(at, REACH * stature_mm)?.slope);
            Some((p[0], (-slope(&up)?).atan2(slope(&out)?).to_degrees()))
        }));
        Self {
            forward: Series::new(points.iter().map(|p| (p[0], p[1]))),
            height: Series::new(points.iter().map(|p| (p[0], p[2]))),
            lean,
            stature_mm,
        }
    }

    /// Lean of the shoulder line: the middle one of its stretch.
    fn line_deg(&self) -> Option<f64> {
        let s = self.stature_mm;
        let mut leans: Vec<f64> = self
            .lean
            .window(LINE.0 * s, LINE.1 * s)
            .map(|(_, lean)| lean)
            .collect();
        leans.sort_by(f64::total_cmp);
        leans.get(leans.len() / 2).copied()
    }

    /// Where the straightest part of the shoulder line lies: the least lean.
    fn straightest(&self) -> Option<f64> {
        let s = self.stature_mm;
        let line = self.lean.window(LINE.0 * s, LINE.1 * s);
        line.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(out, _)| out)
    }

    /// Where it has done a share of the turn up into an upright neck.
    fn neck_end(&self, share: f64) -> Option<f64> {
        let line = self.line_deg()?;
        let turned = line + share * (UPRIGHT_DEG - line);
        let inner = self.height.at.first()?;
        self.lean
            .last_crossing(turned, *inner, NECK_HALF_BREADTH * self.stature_mm)
    }

    /// How high it passes where it begins to turn up into the neck.
    fn neck_height(&self) -> Option<f64> {
        self.height.value_at(self.neck_end(TURNS_UP[0])?)
    }

    /// Where it has done its share of the turn into an arm of that lean, and how much it turns in all.
    fn arm_end(&self, arm_deg: f64) -> Option<(f64, f64)> {
        let line = self.line_deg()?;
        let turn = arm_deg - line;
        let turned = line + SHARE_OF_TURN * turn;
        let from = self.straightest()?;
        let outer = *self.lean.at.last()?;
        let mut steep = self.lean.window(from, outer);
        let (past, _) = steep.find(|&(_, lean)| lean >= turned)?;
        let out = self.lean.last_crossing(turned, from, past)?;
        (turn >= LEAST_TURN_DEG).then_some((out, turn))
    }

    /// The point of the ridge so far from the midline.
    fn point(&self, out: f64, side: Side) -> Result<[f64; 3], &'static str> {
        let at = |series: &Series| {
            series
                .value_at(out)
                .ok_or("skin is missing on the ridge of the shoulder")
        };
        Ok([side.sign() * out, at(&self.forward)?, at(&self.height)?])
    }
}

/// The outermost points (distance from the midline, forward, height) of the neck, from the level at
/// which it reaches least far to one side down to where it turns out faster than down: above lies the
/// jaw, below it the ridge, which upright planes cut better.
fn flank(survey: &Survey<'_>, side: Side) -> Vec<[f64; 3]> {
    let outermost = |piece: &Piece| {
        let points = piece.contour.points().iter();
        let outer = points.max_by(|a, b| (side.sign() * a[0]).total_cmp(&(side.sign() * b[0])))?;
        let point = [side.sign() * outer[0], outer[1], piece.height_mm];
        (point[0] > 0.0).then_some(point)
    };
    let levels: Vec<[f64; 3]> = neck_levels(survey).filter_map(outermost).collect();
    let least = (0..levels.len()).min_by(|&a, &b| levels[a][0].total_cmp(&levels[b][0]));
    let mut flank: Vec<[f64; 3]> = Vec::new();
    for point in levels[..least.map_or(0, |at| at + 1)].iter().rev() {
        let Some(last) = flank.last() else {
            flank.push(*point);
            continue;
        };
        if point[0] - last[0] > last[2] - point[2] {
            break;
        }
        // Noise may put a lower point inside the last.
        if point[0] > last[0] {
            flank.push(*point);
        }
    }
    flank
}

/// The highest point of a contour at or below a height.
fn top(contour: &Contour, limit: f64) -> Option<[f64; 2]> {
    let below = contour.points().iter().filter(|p| p[1] <= limit);
    below.max_by(|a, b| a[1].total_cmp(&b[1])).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A neck's flank, a shoulder line of run 120 and drop 30 (14.04 degrees) and an arm, joined by
    /// circles of radius 40. The lean reaches three tenths of the way from the line to upright, and
    /// from the line to the arm, where the circles have these tangents.
    #[test]
    fn ends_of_a_rounded_shoulder() {
        let (flank, line, arm) = (75.0_f64, (30.0_f64).atan2(120.0).to_degrees(), 60.0_f64);
        // Lean by length along the ridge: on a circle of radius 40 it turns by 1/40 a mm.
        let turn = (1.0_f64 / 40.0).to_degrees();
        let lean = |at: f64| {
            if at < 190.0 {
                (flank - (at - 20.0).max(0.0) * turn).max(line)
            } else {
                (line + (at - 190.0) * turn).min(arm)
            }
        };
        let (mut x, mut z, mut next) = (40.0, 1440.0, 40.0);
        let (mut points, mut ends) = (Vec::new(), [None, None]);
        for i in 0..9000 {
            let degrees = lean(0.05 * f64::from(i));
            if degrees <= line + TURNS_UP[0] * (90.0 - line) && ends[0].is_none() {
                ends[0] = Some(x);
            }
            if i > 3800 && degrees >= line + SHARE_OF_TURN * (arm - line) && ends[1].is_none() {
                ends[1] = Some(x);
            }
            if x >= next {
                points.push([x, 0.0, z]);
                next += STEP_MM;
            }
            x += 0.05 * degrees.to_radians().cos();
            z -= 0.05 * degrees.to_radians().sin();
        }
        let ridge = Ridge::through(&points, 1600.0);
        let (inner, outer) = (
            ridge.neck_end(TURNS_UP[0]).unwrap(),
            ridge.arm_end(arm).unwrap().0,
        );
        // Smoothing over 22 mm to either side moves them by a few mm.
        assert!((inner - ends[0].unwrap()).abs() < 5.0, "{inner} {ends:?}");
        assert!((outer - ends[1].unwrap()).abs() < 5.0, "{outer} {ends:?}");
        // An arm held out in line with the shoulder shows no turn.
        assert!(ridge.arm_end(line + 3.0).is_none());
    }
}
