//! Where a line on the skin turns hardest.

use std::f64::consts::TAU;

/// A line on the skin in the coordinates of its plane, in points a step apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Trail {
    points: Vec<[f64; 2]>,
}

/// Distance between the points of a trail, in mm.
const STEP_MM: f64 = 1.0;
/// Longest trail, in steps.
const MOST_STEPS: usize = 4000;

/// How much of a trail a corner is judged by, in mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arms {
    /// Length of the straight line laid through what comes before it.
    pub(super) before: f64,
    /// The same of what comes after it.
    pub(super) after: f64,
    /// Left out on either side: corners of skin are round.
    pub(super) round: f64,
}

/// A turn from one straight line into another.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corner {
    /// Where the two lines meet.
    pub(super) point: [f64; 2],
    /// Angle between them in radians, counter-clockwise positive.
    pub(super) turn: f64,
}

/// A straight line: a point and a direction of length 1.
type Line = ([f64; 2], [f64; 2]);

impl Trail {
    /// Sets points a step apart along a line given by its corners, up to a length.
    pub(super) fn along(corners: impl IntoIterator<Item = [f64; 2]>, length_mm: f64) -> Self {
        let mut corners = corners.into_iter();
        let Some(mut from) = corners.next() else {
            return Self::default();
        };
        let mut points = vec![from];
        let (mut walked, mut next) = (0.0, STEP_MM);
        for to in corners {
            let run = f64::hypot(to[0] - from[0], to[1] - from[1]);
            while next <= walked + run && next <= length_mm && points.len() < MOST_STEPS {
                let t = (next - walked) / run;
                points.push([0, 1].map(|k| from[k] + t * (to[k] - from[k])));
                next += STEP_MM;
            }
            walked += run;
            from = to;
            if walked >= length_mm {
                break;
            }
        }
        Self { points }
    }

    /// The hardest counter-clockwise turn among places that `may` be one.
    pub(super) fn corner(&self, arms: Arms, may: impl Fn([f64; 2]) -> bool) -> Option<Corner> {
        let [before, after, round] = [arms.before, arms.after, arms.round].map(steps);
        let last = self.points.len().checked_sub(after + round + 1)?;
        let lines = |at: usize| {
            let one = line(&self.points[at - round - before..=at - round])?;
            let other = line(&self.points[at + round..=at + round + after])?;
            Some((turn(one, other), one, other))
        };
        let (_, at, one, other) = (before + round..=last)
            .filter(|&at| may(self.points[at]))
            .filter_map(|at| lines(at).map(|(turn, one, other)| (turn, at, one, other)))
            .max_by(|a, b| a.0.total_cmp(&b.0))?;
        let turn = turn(one, other);
        Some(Corner {
            point: meet(one, other).unwrap_or(self.points[at]),
            turn,
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths of some centimetres, not negative"
)]
fn steps(length_mm: f64) -> usize {
    (length_mm / STEP_MM).round().clamp(1.0, 1000.0) as usize
}

/// The line of least squared distances through points, in their order.
fn line(points: &[[f64; 2]]) -> Option<Line> {
    let (first, last) = (points.first()?, points.last()?);
    #[expect(clippy::cast_precision_loss, reason = "some hundred points")]
    let n = points.len() as f64;
    let centre = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
    let (mut uu, mut vv, mut uv) = (0.0, 0.0, 0.0);
    for p in points {
        let [u, v] = [p[0] - centre[0], p[1] - centre[1]];
        uu += u * u;
        vv += v * v;
        uv += u * v;
    }
    let angle = 0.5 * f64::atan2(2.0 * uv, uu - vv);
    let along = [angle.cos(), angle.sin()];
    let onward = along[0] * (last[0] - first[0]) + along[1] * (last[1] - first[1]);
    let sign = onward.signum();
    (onward.abs() > 0.0).then_some((centre, along.map(|a| sign * a)))
}

fn turn((_, a): Line, (_, b): Line) -> f64 {
    let turn = f64::atan2(b[1], b[0]) - f64::atan2(a[1], a[0]);
    (turn + 0.5 * TAU).rem_euclid(TAU) - 0.5 * TAU
}

/// Where two lines meet, if they do so at more than some degrees.
fn meet((p, a): Line, (q, b): Line) -> Option<[f64; 2]> {
    let cross = a[0] * b[1] - a[1] * b[0];
    let t = ((q[0] - p[0]) * b[1] - (q[1] - p[1]) * b[0]) / cross;
    (cross.abs() > LEAST_SINE).then(|| [0, 1].map(|k| p[k] + t * a[k]))
}

/// Sine of five degrees: flatter lines meet nowhere in particular.
const LEAST_SINE: f64 = 0.09;

#[cfg(test)]
mod tests {
    use super::*;

    const ARMS: Arms = Arms {
        before: 20.0,
        after: 30.0,
        round: 3.0,
    };

    /// Two straight lines that meet at (10, −50) at 60 degrees, the corner rounded off with a radius
    /// of 4 mm: the lines meet where they met before, and turn by 60 degrees.
    #[test]
    fn a_round_corner_is_found_where_its_sides_meet() {
        let (r, half) = (4.0, 30.0_f64.to_radians());
        let cut = r * half.tan();
        // Down to the corner, then 60 degrees to the left: counter-clockwise.
        let after = [60.0_f64.to_radians().sin(), -60.0_f64.to_radians().cos()];
        let centre = [10.0 + r, -50.0 + cut];
        let arc = (0..=20).map(|i| {
            let angle = TAU / 2.0 + f64::from(i) / 20.0 * 2.0 * half;
            [centre[0] + r * angle.cos(), centre[1] + r * angle.sin()]
        });
        let end = [10.0 + 80.0 * after[0], -50.0 + 80.0 * after[1]];
        let line = [[10.0, 0.0]].into_iter().chain(arc).chain([end]);
        let trail = Trail::along(line, 200.0);
        let corner = trail.corner(ARMS, |_| true).unwrap();
        assert!((corner.turn.to_degrees() - 60.0).abs() < 0.5, "{corner:?}");
        assert!((corner.point[0] - 10.0).abs() < 0.1, "{corner:?}");
        assert!((corner.point[1] + 50.0).abs() < 0.1, "{corner:?}");
        // What may not be a corner is none.
        let upper = trail.corner(ARMS, |p| p[1] > -20.0);
        assert!(upper.is_none_or(|c| c.turn.to_degrees() < 1.0));
    }

    #[test]
    fn too_short_a_line_has_no_corner() {
        assert!(Trail::along([], 10.0).corner(ARMS, |_| true).is_none());
        let short = Trail::along([[0.0, 0.0], [0.0, -40.0]], 100.0);
        assert!(short.corner(ARMS, |_| true).is_none());
    }
}
