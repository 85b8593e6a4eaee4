//! Bridges over wide gaps of a round contour: they go on as the skin on both sides does.
//!
//! A straight bridge c over a gap in a round contour of radius r is short by c³/24r²; where the skin runs on to either
//! side and bends the same way, a cubic that takes over both directions leaves a small part of that.

use super::hull::distance;

/// Length of the skin beside a gap that tells which way it leads, in mm: past the ragged edge of a hole.
const HEADING_MM: f64 = 20.0;
/// The skin turns by no more than this at either end of a bridge that may be wide, in degrees: a bridge over a
/// quarter of a round contour turns by 45 at each.
const MOST_TURN_DEG: f64 = 70.0;
/// A ragged edge may make a round contour turn the other way by so much, in degrees.
const RAGGED_DEG: f64 = 10.0;
/// Spacing of the points of a curved bridge, in mm.
const STEP_MM: f64 = 5.0;

/// A loose end: its place, and the direction in which the skin leads on beyond it.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    at: [f64; 2],
    heading: [f64; 2],
}

impl End {
    /// The last point of an open contour, or its first; `None` if it is too short to lead anywhere.
    pub(super) fn of(points: &[[f64; 2]], tail: bool) -> Option<Self> {
        let backwards: Box<dyn Iterator<Item = &[f64; 2]>> = if tail {
            Box::new(points.iter().rev())
        } else {
            Box::new(points.iter())
        };
        let mut along = 0.0;
        let mut pairs = backwards.scan(None, |last: &mut Option<[f64; 2]>, &p| {
            along += last.map_or(0.0, |q| distance(p, q));
            *last = Some(p);
            Some((p, along))
        });
        let (at, _) = pairs.next()?;
        let (from, _) = pairs.find(|&(_, along)| along >= HEADING_MM)?;
        let length = distance(from, at);
        (length > 0.5 * HEADING_MM).then(|| Self {
            at,
            heading: [0, 1].map(|k| (at[k] - from[k]) / length),
        })
    }

    /// How the skin turns where a straight bridge to another end begins and where it ends, in degrees, to the left;
    /// `None` if they meet.
    fn turns(&self, other: &Self) -> Option<[f64; 2]> {
        let length = distance(self.at, other.at);
        let chord = [0, 1].map(|k| (other.at[k] - self.at[k]) / length);
        let inward = other.heading.map(|h| -h);
        (length > 0.0).then(|| [turn(self.heading, chord), turn(chord, inward)])
    }

    /// True if the skin bends the same way on both sides of the gap to another end, as round a body.
    pub(super) fn rounds_to(&self, other: &Self) -> bool {
        self.turns(other).is_some_and(|turns| {
            let bends = |sign: f64| {
                let window = -RAGGED_DEG..=MOST_TURN_DEG;
                turns.iter().all(|turn| window.contains(&(sign * turn)))
            };
            bends(1.0) || bends(-1.0)
        })
    }

    /// True if it bends so to the left, or else to the right.
    pub(super) fn rounds_left_to(&self, other: &Self, left: bool) -> bool {
        let turned = self.turns(other).map_or(0.0, |[a, b]| a + b);
        self.rounds_to(other) && (turned > 0.0) == left
    }

    /// The points between this end and another along a cubic that takes over both directions.
    pub(super) fn bridge_to(&self, other: &Self) -> Vec<[f64; 2]> {
        let gap = distance(self.at, other.at);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a bridge is a few hundred mm long at most"
        )]
        let steps = (gap / STEP_MM).ceil().max(1.0) as u32;
        let inward = other.heading.map(|h| -h);
        (1..steps)
            .map(|i| {
                let t = f64::from(i) / f64::from(steps);
                let (t2, t3) = (t * t, t * t * t);
                let (from, to) = (2.0 * t3 - 3.0 * t2 + 1.0, 3.0 * t2 - 2.0 * t3);
                let (out, into) = (gap * (t3 - 2.0 * t2 + t), gap * (t3 - t2));
                [0, 1].map(|k| {
                    from * self.at[k] + to * other.at[k] + out * self.heading[k] + into * inward[k]
                })
            })
            .collect()
    }
}

/// Angle from one unit direction to another, to the left, in degrees.
fn turn(from: [f64; 2], to: [f64; 2]) -> f64 {
    let cross = from[0] * to[1] - from[1] * to[0];
    let dot = from[0] * to[0] + from[1] * to[1];
    cross.atan2(dot).to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arc of a circle of radius 110 from one angle to another, in degrees.
    fn arc(from: f64, to: f64) -> Vec<[f64; 2]> {
        let n = 400;
        (0..=n)
            .map(|i| {
                let angle = (from + (to - from) * f64::from(i) / f64::from(n)).to_radians();
                [110.0 * angle.cos(), 110.0 * angle.sin()]
            })
            .collect()
    }

    /// A gap of 120 mm of chord in a circle of radius 110: the straight bridge is short by 6.9 mm of the arc
    /// 2·110·asin(60/110) = 126.9; the curved one by less than a fifth of that.
    #[test]
    fn a_wide_gap_in_a_circle_is_bridged_nearly_as_it_was() {
        let half = (60.0_f64 / 110.0).asin().to_degrees();
        let skin = arc(half, 360.0 - half);
        let (tail, head) = (
            End::of(&skin, true).unwrap(),
            End::of(&skin, false).unwrap(),
        );
        assert!(tail.rounds_to(&head) && tail.rounds_left_to(&head, true));
        assert!(!tail.rounds_left_to(&head, false));
        let mut points = vec![tail.at];
        points.extend(tail.bridge_to(&head));
        points.push(head.at);
        let length: f64 = points.windows(2).map(|w| distance(w[0], w[1])).sum();
        let exact = 220.0 * half.to_radians();
        assert!((exact - 120.0 - 6.92).abs() < 0.01, "{exact}");
        assert!((length - exact).abs() < 1.3, "{length} {exact}");
    }

    /// From one thigh, walked to the left, to the other the skin turns to the right; a shred leads nowhere.
    #[test]
    fn no_way_round_from_one_limb_to_another() {
        let thigh = |middle: f64, from: f64| -> Vec<[f64; 2]> {
            let points = arc(from, from + 300.0).into_iter();
            points.map(|p| [0.7 * p[0] + middle, 0.7 * p[1]]).collect()
        };
        let (right, left) = (thigh(90.0, 210.0), thigh(-90.0, 30.0));
        let (tail, head) = (
            End::of(&right, true).unwrap(),
            End::of(&left, false).unwrap(),
        );
        assert!(!tail.rounds_left_to(&head, true));
        assert!(End::of(&[[0.0, 0.0], [5.0, 0.0]], true).is_none());
    }
}
