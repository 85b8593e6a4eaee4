//! Convex hulls in the plane: how a taut tape lies.

/// The convex hull of a set of points.
///
/// # Source
/// Monotone chain: Andrew 1979, doi 10.1016/0020-0190(79)90072-3.
#[derive(Clone, Debug, PartialEq)]
pub struct Hull {
    /// Corners, counter-clockwise, none repeated; fewer than three if the points lie in a line.
    pub points: Vec<[f64; 2]>,
}

impl Hull {
    /// Hull of any points, in O(n log n).
    #[must_use]
    pub fn of(points: &[[f64; 2]]) -> Self {
        let mut sorted = points.to_vec();
        sorted.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
        sorted.dedup();
        if sorted.len() < 3 {
            return Self { points: sorted };
        }
        let mut hull = half(sorted.iter());
        let upper = half(sorted.iter().rev());
        hull.pop();
        hull.extend_from_slice(&upper[..upper.len() - 1]);
        Self { points: hull }
    }

    /// Length of the taut tape around it, in the unit of the points.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.edges().map(|(a, b)| distance(a, b)).sum()
    }

    /// Length of the tape on either side of the line at `u`: (below, above). They sum to the perimeter.
    #[must_use]
    pub fn perimeter_sides(&self, u: f64) -> (f64, f64) {
        let mut below = 0.0;
        let mut above = 0.0;
        for (a, b) in self.edges() {
            let length = distance(a, b);
            let (low, high) = (a[0].min(b[0]), a[0].max(b[0]));
            let share = if high <= u {
                1.0
            } else if low >= u {
                0.0
            } else {
                (u - low) / (high - low)
            };
            below += share * length;
            above += (1.0 - share) * length;
        }
        (below, above)
    }

    /// Length of the tape to the left and to the right of the line from `a` to `b`. They sum to the perimeter.
    #[must_use]
    pub fn perimeter_beside(&self, a: [f64; 2], b: [f64; 2]) -> (f64, f64) {
        // Signed area with the line's direction: positive to the left.
        let off = |p: [f64; 2]| (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
        let (mut left, mut right) = (0.0, 0.0);
        for (p, q) in self.edges() {
            let length = distance(p, q);
            let (from, to) = (off(p), off(q));
            let share = if from.min(to) >= 0.0 {
                1.0
            } else if from.max(to) <= 0.0 {
                0.0
            } else {
                from.max(to) / (from - to).abs()
            };
            left += share * length;
            right += (1.0 - share) * length;
        }
        (left, right)
    }

    /// Least and greatest `v` of the hull at `u`; `None` beside it.
    #[must_use]
    pub fn across(&self, u: f64) -> Option<(f64, f64)> {
        let crossings = self
            .edges()
            .filter(|(a, b)| (a[0] > u) != (b[0] > u))
            .map(|(a, b)| a[1] + (b[1] - a[1]) * (u - a[0]) / (b[0] - a[0]));
        crossings.fold(None, |range, v| match range {
            None => Some((v, v)),
            Some((low, high)) => Some((f64::min(low, v), f64::max(high, v))),
        })
    }

    fn edges(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> {
        let next = self.points.iter().cycle().skip(1);
        self.points.iter().copied().zip(next.copied())
    }
}

/// One side of the hull of points sorted along it.
fn half<'p>(sorted: impl Iterator<Item = &'p [f64; 2]>) -> Vec<[f64; 2]> {
    let mut hull: Vec<[f64; 2]> = Vec::new();
    for &point in sorted {
        while let [.., a, b] = hull[..] {
            let turn = (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]);
            if turn > 0.0 {
                break;
            }
            hull.pop();
        }
        hull.push(point);
    }
    hull
}

pub(super) fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    fn disc(centre: [f64; 2], radius: f64, n: u32) -> impl Iterator<Item = [f64; 2]> {
        (0..n).map(move |i| {
            let angle = TAU * f64::from(i) / f64::from(n);
            [
                centre[0] + radius * angle.cos(),
                centre[1] + radius * angle.sin(),
            ]
        })
    }

    /// Inscribed polygon: π²/6n² of a full turn short, here of all hull arcs together.
    fn facet_bound(turn_length: f64, n: u32) -> f64 {
        1.1 * turn_length * PI * PI / (6.0 * f64::from(n) * f64::from(n))
    }

    /// Closed form: three discs r 50 at the corners of a triangle of side 200: 600 + 2π·50.
    #[test]
    fn three_discs() {
        let n = 720;
        let height = 200.0 * 0.75_f64.sqrt();
        let points: Vec<_> = disc([0.0, 0.0], 50.0, n)
            .chain(disc([200.0, 0.0], 50.0, n))
            .chain(disc([100.0, height], 50.0, n))
            .collect();
        let exact = 600.0 + TAU * 50.0;
        let found = Hull::of(&points).perimeter();
        assert!(found <= exact, "{found}");
        assert!(exact - found < 3.0 * facet_bound(TAU * 50.0, n), "{found}");
    }

    /// The same discs seen from the line through the middle: each side has half.
    #[test]
    fn sides_sum_and_balance() {
        let points: Vec<_> = disc([10.0, 0.0], 150.0, 720).collect();
        let hull = Hull::of(&points);
        let (below, above) = hull.perimeter_sides(10.0);
        assert!((below - above).abs() < 1e-9);
        assert!((below + above - hull.perimeter()).abs() < 1e-9);
        // At half the radius a third of the turn lies beyond: acos(1/2) twice.
        let (_, above) = hull.perimeter_sides(10.0 + 75.0);
        assert!((above - TAU * 150.0 / 3.0).abs() < 0.01, "{above}");
    }

    #[test]
    fn points_in_a_line_and_no_points() {
        assert!(Hull::of(&[]).perimeter().abs() < f64::EPSILON);
        let line = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [1.0, 1.0]];
        let there_and_back = 2.0 * 8.0_f64.sqrt();
        assert!((Hull::of(&line).perimeter() - there_and_back).abs() < 1e-12);
    }

    /// By hand: the square of side 2 about the origin, cut by its diagonal and by the line y = x/2:
    /// both halve it. Cut upright at 0.5 it has 2 + 2·1.5 on the left.
    #[test]
    fn a_square_cut_by_slanted_lines() {
        let square = Hull::of(&[[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]);
        for end in [[1.0, 1.0], [2.0, 1.0]] {
            let (left, right) = square.perimeter_beside([0.0, 0.0], end);
            assert!((left - 4.0).abs() < 1e-12 && (right - 4.0).abs() < 1e-12);
        }
        let (left, right) = square.perimeter_beside([0.5, -9.0], [0.5, 3.0]);
        assert!((left - 5.0).abs() < 1e-12 && (right - 3.0).abs() < 1e-12);
        assert_eq!(square.across(0.5), Some((-1.0, 1.0)));
        assert_eq!(square.across(1.5), None);
    }
}
