//! One contour of a section and what can be read off it.

use super::hull::{Hull, distance};

/// Whether a contour closes on itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Closure {
    /// It does.
    Closed,
    /// Skin is missing; straight bridges of this length in all close it.
    Bridged {
        /// Length of all bridges, in mm.
        gap_mm: f64,
    },
    /// Skin is missing and the gap is too wide to bridge.
    Open {
        /// Distance between the ends, in mm.
        gap_mm: f64,
    },
}

/// An ordered contour in the coordinates of its plane.
///
/// A closed one does not repeat its first point.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    points: Vec<[f64; 2]>,
    closure: Closure,
    /// Points after which a bridge runs to the next one; the last point's runs to the first.
    bridged_after: Vec<usize>,
    /// The piece of the body it was cut from; the first of them if it was joined out of several.
    piece: u32,
}

impl Contour {
    pub(crate) fn new(points: Vec<[f64; 2]>, closed: bool) -> Self {
        let closure = if closed {
            Closure::Closed
        } else {
            Closure::Open {
                gap_mm: ends_apart(&points),
            }
        };
        Self {
            points,
            closure,
            bridged_after: Vec::new(),
            piece: 0,
        }
    }

    /// The same as cut from a piece of the body.
    pub(super) fn of_piece(self, piece: u32) -> Self {
        Self { piece, ..self }
    }

    pub(super) fn piece(&self) -> u32 {
        self.piece
    }

    /// A closed contour of a test's own making.
    #[cfg(test)]
    pub(crate) fn closed(points: Vec<[f64; 2]>) -> Self {
        Self::new(points, true)
    }

    /// Closed by straight bridges, each from a point of these numbers to the next.
    pub(crate) fn bridged(points: Vec<[f64; 2]>, bridged_after: Vec<usize>) -> Self {
        let mut contour = Self {
            points,
            closure: Closure::Bridged { gap_mm: 0.0 },
            bridged_after,
            piece: 0,
        };
        let gap_mm = contour.bridges().map(|[a, b]| distance(a, b)).sum();
        contour.closure = Closure::Bridged { gap_mm };
        contour
    }

    /// The ends of the bridges that close it, in order.
    pub(crate) fn bridges(&self) -> impl Iterator<Item = [[f64; 2]; 2]> {
        let point = |at: usize| self.points.get(at % self.points.len().max(1)).copied();
        let ends = move |&at: &usize| Some([point(at)?, point(at + 1)?]);
        self.bridged_after.iter().filter_map(ends)
    }

    /// The same closure with moved points.
    pub(super) fn with_points(&self, points: Vec<[f64; 2]>) -> Self {
        Self {
            points,
            closure: self.closure,
            bridged_after: self.bridged_after.clone(),
            piece: self.piece,
        }
    }

    /// The points in order.
    #[must_use]
    pub fn points(&self) -> &[[f64; 2]] {
        &self.points
    }

    /// Whether it closes.
    #[must_use]
    pub fn closure(&self) -> Closure {
        self.closure
    }

    /// True if it closes, with or without bridges.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        !matches!(self.closure, Closure::Open { .. })
    }

    /// Length of the bridges that close it, or of the gap that is left, in mm.
    #[must_use]
    pub fn gap_mm(&self) -> f64 {
        match self.closure {
            Closure::Closed => 0.0,
            Closure::Bridged { gap_mm } | Closure::Open { gap_mm } => gap_mm,
        }
    }

    /// Length along the skin in mm, bridges included; of an open contour, the length of what is there.
    #[must_use]
    pub fn surface_girth_mm(&self) -> f64 {
        let open = self
            .points
            .windows(2)
            .map(|w| distance(w[0], w[1]))
            .sum::<f64>();
        if self.is_closed() {
            open + ends_apart(&self.points)
        } else {
            open
        }
    }

    /// Its convex hull: how a taut tape lies.
    #[must_use]
    pub fn hull(&self) -> Hull {
        Hull::of(&self.points)
    }

    /// Length of the taut tape around it, in mm.
    #[must_use]
    pub fn taut_girth_mm(&self) -> f64 {
        self.hull().perimeter()
    }

    /// Least and greatest coordinate along `u` (0) or `v` (1).
    #[must_use]
    pub fn extent(&self, axis: usize) -> (f64, f64) {
        self.points
            .iter()
            .map(|p| p[axis])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            })
    }

    /// Extent along `u`: left to right for level planes, in mm.
    #[must_use]
    pub fn breadth_mm(&self) -> f64 {
        let (low, high) = self.extent(0);
        high - low
    }

    /// Extent along `v`: back to front for level planes, in mm.
    #[must_use]
    pub fn depth_mm(&self) -> f64 {
        let (low, high) = self.extent(1);
        high - low
    }

    /// Where the contour crosses a line: the other coordinate of each crossing with `u` (axis 0) or
    /// `v` (axis 1) at `at`. The side that closes a closed contour counts too, so that it does not
    /// matter where the contour starts.
    pub fn crossings(&self, axis: usize, at: f64) -> impl Iterator<Item = f64> {
        let other = 1 - axis;
        let closing = match self.points[..] {
            [first, .., last] if self.is_closed() => Some([last, first]),
            _ => None,
        };
        self.points
            .windows(2)
            .map(|w| [w[0], w[1]])
            .chain(closing)
            .filter(move |[a, b]| (a[axis] > at) != (b[axis] > at))
            .map(move |[a, b]| {
                a[other] + (b[other] - a[other]) * (at - a[axis]) / (b[axis] - a[axis])
            })
    }

    /// Least and greatest `v` at which the contour crosses the line at `u`: back and front of
    /// a level contour there. `None` if it does not.
    #[must_use]
    pub fn across(&self, u: f64) -> Option<(f64, f64)> {
        self.crossings(0, u).fold(None, |range, v| match range {
            None => Some((v, v)),
            Some((low, high)) => Some((f64::min(low, v), f64::max(high, v))),
        })
    }

    /// Area within, in mm², whichever way round the contour runs.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        self.moments().0.abs()
    }

    /// True if it runs round the area within against the clock.
    pub(crate) fn is_counter_clockwise(&self) -> bool {
        self.moments().0 > 0.0
    }

    /// Centre of the area within; the mean of the points if it has no area.
    #[must_use]
    pub fn centroid(&self) -> [f64; 2] {
        let (area, centre) = self.moments();
        let scale = self.breadth_mm().max(self.depth_mm());
        if area.abs() > f64::EPSILON * scale * scale {
            return centre;
        }
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
        let n = self.points.len().max(1) as f64;
        [0, 1].map(|axis| self.points.iter().map(|p| p[axis]).sum::<f64>() / n)
    }

    /// Signed area and its centre. Summed about the first point: far from the
    /// origin the products would cancel and lose digits.
    fn moments(&self) -> (f64, [f64; 2]) {
        let Some(&[u0, v0]) = self.points.first() else {
            return (0.0, [0.0; 2]);
        };
        let (mut twice, mut mu, mut mv) = (0.0, 0.0, 0.0);
        for w in self.points.windows(2) {
            let [a, b] = [w[0], w[1]].map(|p| [p[0] - u0, p[1] - v0]);
            let cross = a[0] * b[1] - b[0] * a[1];
            twice += cross;
            mu += cross * (a[0] + b[0]);
            mv += cross * (a[1] + b[1]);
        }
        (
            twice / 2.0,
            [u0 + mu / (3.0 * twice), v0 + mv / (3.0 * twice)],
        )
    }

    /// True if `point` lies within (even-odd rule, half-open, so that no point is on the line).
    #[must_use]
    pub fn contains(&self, point: [f64; 2]) -> bool {
        contains(&self.points, point)
    }

    /// True if most of it lies within the hull of another: where that one is skin torn open, this is
    /// no skin but the wall of a hollow behind it (a mouth, an inner shell).
    pub(crate) fn is_behind(&self, torn: &Self) -> bool {
        let hull = torn.hull().points;
        let inside = |p: &&[f64; 2]| contains(&hull, **p);
        2 * self.points.iter().filter(inside).count() > self.points.len()
    }
}

/// True if `point` lies within a closed polygon (even-odd rule, half-open).
pub(crate) fn contains(polygon: &[[f64; 2]], [u, v]: [f64; 2]) -> bool {
    let Some(mut a) = polygon.last() else {
        return false;
    };
    let mut inside = false;
    for b in polygon {
        if (a[1] > v) != (b[1] > v) && u < (b[0] - a[0]) * (v - a[1]) / (b[1] - a[1]) + a[0] {
            inside = !inside;
        }
        a = b;
    }
    inside
}

fn ends_apart(points: &[[f64; 2]]) -> f64 {
    match points {
        [first, .., last] => distance(*first, *last),
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    fn ellipse(a: f64, b: f64, n: u32, centre: [f64; 2]) -> Contour {
        let points = (0..n)
            .map(|i| {
                let angle = TAU * f64::from(i) / f64::from(n);
                [centre[0] + a * angle.cos(), centre[1] + b * angle.sin()]
            })
            .collect();
        Contour::new(points, true)
    }

    /// A throat of radius 25 behind the three quarters of a neck of radius 60 that a hole leaves lies
    /// within them; an arm beside a torn trunk does not.
    #[test]
    fn a_hollow_behind_torn_skin() {
        let neck = ellipse(60.0, 60.0, 100, [0.0, 0.0]);
        let torn = Contour::new(neck.points()[..75].to_vec(), false);
        assert!(ellipse(25.0, 25.0, 60, [0.0, 10.0]).is_behind(&torn));
        assert!(!ellipse(40.0, 40.0, 60, [110.0, 0.0]).is_behind(&torn));
        assert!(!neck.is_behind(&ellipse(25.0, 25.0, 60, [0.0, 10.0])));
    }

    /// Perimeter of 180 x 120 in equal parameter steps, computed with mpmath at
    /// 40 digits: 72, 180, 360, 720 points.
    #[test]
    fn ellipse_perimeters() {
        for (n, exact) in [
            (72, 951.624_348_530_224_8),
            (180, 951.878_047_200_806_5),
            (360, 951.914_293_180_262_3),
            (720, 951.923_354_804_516_1),
        ] {
            let contour = ellipse(180.0, 120.0, n, [300.0, -50.0]);
            assert!((contour.surface_girth_mm() - exact).abs() < 1e-9, "{n}");
            assert!((contour.taut_girth_mm() - exact).abs() < 1e-9, "{n}");
        }
    }

    /// Inscribed polygon in equal parameter steps: area is n/2·sin(2π/n)·ab exactly.
    #[test]
    fn ellipse_area_and_centre_far_from_the_origin() {
        let n = 360;
        let contour = ellipse(180.0, 120.0, n, [1e5, -3e5]);
        let exact = f64::from(n) / 2.0 * (TAU / f64::from(n)).sin() * 180.0 * 120.0;
        assert!((contour.area_mm2() / exact - 1.0).abs() < 1e-10);
        let centre = contour.centroid();
        assert!((centre[0] - 1e5).abs() < 1e-8 && (centre[1] + 3e5).abs() < 1e-8);
        assert!(contour.contains([1e5 + 179.0, -3e5]));
        assert!(!contour.contains([1e5 + 179.0, -3e5 + 119.0]));
    }

    /// Wherever the outline starts, and however it is closed, a line across it meets both sides.
    #[test]
    fn crossings_of_a_square() {
        let mut square = vec![[0.0, 0.0], [2.0, 0.0], [2.0, 4.0], [0.0, 4.0]];
        for _ in 0..4 {
            let closed = Contour::new(square.clone(), true);
            let mut found: Vec<f64> = closed.crossings(1, 1.0).collect();
            found.sort_by(f64::total_cmp);
            assert_eq!(found, [0.0, 2.0], "{square:?}");
            assert_eq!(closed.across(1.0), Some((0.0, 4.0)));
            square.rotate_left(1);
        }
        let open = Contour::new(square, false);
        assert_eq!(open.crossings(1, 1.0).collect::<Vec<_>>(), [2.0]);
    }
}
