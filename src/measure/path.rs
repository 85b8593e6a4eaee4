//! Taut paths over the skin in an upright plane.

use crate::mesh::{NOT_JOINED, TriMesh};
use crate::section::{Contour, Hull, PlaneAxes, cut_at};
use crate::side::Side;
use nalgebra::{Point3, Vector3};

/// The side of the body on which a path runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outward {
    /// Over the top, as along the shoulder.
    Up,
    /// Over the front.
    Front,
    /// Over the back.
    Back,
    /// Down one side of the body.
    Side(Side),
}

/// Length of a tape held taut from the skin nearest `a` to the skin nearest
/// `b`, in the plane through both that holds the outward direction.
///
/// Definition: the plane cuts the skin; of the two ways along the contour
/// between the ends the outer one is taken; hollows are bridged by its hull.
/// A path over the front or back runs in the upright plane through both ends.
///
/// # Accuracy
/// Exact for the facets. The plane is not the shortest path on a body that is
/// not symmetrical about it: a few mm over the bust.
///
/// # Errors
/// A sentence that says why there is no path: skin missing between the ends.
pub fn taut(
    mesh: &TriMesh,
    a: &Point3<f64>,
    b: &Point3<f64>,
    outward: Outward,
) -> Result<f64, String> {
    let along = b - a;
    let out = match outward {
        Outward::Up => Vector3::z(),
        // In the upright plane through both ends; straight forward if they stand above each other.
        Outward::Front | Outward::Back => {
            let level = Vector3::new(along.x, along.y, 0.0);
            let sign = if outward == Outward::Front { 1.0 } else { -1.0 };
            if level.y.abs() > level.x.abs() {
                level * sign * level.y.signum()
            } else {
                Vector3::y() * sign
            }
        }
        Outward::Side(side) => Vector3::x() * side.sign(),
    };
    let no_plane = || "its ends lie in one line with the outward direction".to_owned();
    let normal = along.cross(&out);
    let axes = PlaneAxes::square_to(normal).map_err(|_| no_plane())?;
    let section = cut_at(mesh, axes, axes.normal.dot(&a.coords));
    let (a, b) = (axes.uv(a), axes.uv(b));
    let out = axes.uv(&Point3::from(out));
    let nearest = |contour: &Contour, to: [f64; 2]| {
        let distance = |i: &usize| {
            let p = contour.points()[*i];
            (p[0] - to[0]).hypot(p[1] - to[1])
        };
        (0..contour.points().len())
            .min_by(|x, y| distance(x).total_cmp(&distance(y)))
            .map(|i| (i, distance(&i)))
    };
    let best = section
        .contours
        .iter()
        .filter_map(|c| {
            let (from, to) = (nearest(c, a)?, nearest(c, b)?);
            Some((c, from, to))
        })
        .min_by(|x, y| (x.1.1 + x.2.1).total_cmp(&(y.1.1 + y.2.1)));
    let Some((contour, (from, _), (to, _))) = best else {
        return Err("there is no skin between its ends".to_owned());
    };
    let arc = arc(contour, from, to, out);
    if arc.len() < 2 {
        return Err(NOT_JOINED.to_owned());
    }
    // The ends are points of the skin; the contour's own points nearest to them need not be.
    let inner = &arc[1..arc.len() - 1];
    let string: Vec<[f64; 2]> = [a]
        .into_iter()
        .chain(inner.iter().copied())
        .chain([b])
        .collect();
    Ok(taut_over(&string, out))
}

/// The outer one of the two ways along a contour between two of its points, both ends included.
///
/// The normals of a way from a to b, each weighed by its length, add up to the chord b − a turned by a
/// right angle, whatever lies between: outward on the one way, inward on the other. That holds for a
/// head held so far forward that most of the longer way lies before the shorter.
fn arc(contour: &Contour, from: usize, to: usize, out: [f64; 2]) -> Vec<[f64; 2]> {
    let points = contour.points();
    let n = points.len();
    if !contour.is_closed() {
        return points[from.min(to)..=from.max(to)].to_vec();
    }
    let chord = [0, 1].map(|k| points[to][k] - points[from][k]);
    let outward = out[0] * chord[1] - out[1] * chord[0] > 0.0;
    let (first, last) = if outward == contour.is_counter_clockwise() {
        (from, to)
    } else {
        (to, from)
    };
    let count = (last + n - first) % n;
    (0..=count).map(|i| points[(first + i) % n]).collect()
}

/// Length of a string held taut over the outer side of an arc, from its first point to its last.
///
/// It is the part of the hull's boundary between the ends that lies outward.
pub(super) fn taut_over(arc: &[[f64; 2]], out: [f64; 2]) -> f64 {
    let (first, last) = (arc[0], arc[arc.len() - 1]);
    let (dx, dy) = (last[0] - first[0], last[1] - first[1]);
    let side = dx * out[1] - dy * out[0];
    // Points on the inner side of the straight line do not touch the string.
    let outer: Vec<[f64; 2]> = arc
        .iter()
        .copied()
        .filter(|p| side * (dx * (p[1] - first[1]) - dy * (p[0] - first[0])) >= 0.0)
        .chain([first, last])
        .collect();
    // All points lie on one side of the line first-last, so that line is an edge of the hull.
    Hull::of(&outer).perimeter() - dx.hypot(dy)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    /// Taut string over a disc r 60 from points at distance 150 and 120 with 150
    /// and 180 degrees between them: √(d₁²−r²) + √(d₂²−r²) + r·w (closed form,
    /// evaluated at 40 digits).
    #[test]
    fn string_over_a_disc() {
        for (angle, exact) in [
            (150.0_f64, 266.091_330_066_857_1),
            (180.0, 297.507_256_602_755_1),
        ] {
            let half = angle.to_radians() / 2.0;
            let (a, b) = (PI / 2.0 - half, PI / 2.0 + half);
            let mut arc = vec![[150.0 * a.cos(), 150.0 * a.sin()]];
            let n = 7200;
            for i in 0..=n {
                let t = a + (b - a) * f64::from(i) / f64::from(n);
                arc.push([60.0 * t.cos(), 60.0 * t.sin()]);
            }
            arc.push([120.0 * b.cos(), 120.0 * b.sin()]);
            let found = taut_over(&arc, [0.0, 1.0]);
            assert!((found - exact).abs() < 1e-4, "{angle}: {found}");
        }
    }

    /// A square of side 100 whose far side carries a nose of 300 with a thousand points: the way from its
    /// near corners over the near side is the near side, either way round.
    #[test]
    fn the_outer_way_does_not_depend_on_where_points_are_dense() {
        let nose = (0..1000).map(|i| {
            let up = 0.1 * f64::from(i);
            [300.0 * (PI * up / 100.0).sin(), 200.0 + up]
        });
        let square = [[0.0, 300.0], [-100.0, 300.0], [-100.0, 0.0], [0.0, 0.0]];
        let mut points: Vec<[f64; 2]> = square.into_iter().chain(nose).collect();
        for _ in 0..2 {
            let contour = crate::section::closed_for_tests(points.clone());
            let is = |p: [f64; 2], q: &[f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]) < 1e-9;
            let at = |p| points.iter().position(|q| is(p, q)).unwrap();
            let (from, to) = (at([0.0, 0.0]), at([0.0, 200.0]));
            for (from, to) in [(from, to), (to, from)] {
                assert_eq!(arc(&contour, from, to, [1.0, 0.0]).len(), 2);
                assert!(arc(&contour, from, to, [-1.0, 0.0]).len() > 1000);
            }
            points.reverse();
        }
    }

    /// A shortest path on a tube in a plane square to its axis is the arc: r 50, 90 degrees: 78.5398.
    #[test]
    fn quarter_of_a_tube() {
        let n = 720_u32;
        let mut points = Vec::new();
        for z in [-100.0, 100.0] {
            for i in 0..n {
                let t = TAU * f64::from(i) / f64::from(n);
                points.push(Point3::new(50.0 * t.cos(), z, 50.0 * t.sin()));
            }
        }
        let mut faces = Vec::new();
        for i in 0..n {
            let j = (i + 1) % n;
            faces.push([i, n + i, j]);
            faces.push([j, n + i, n + j]);
        }
        let tube = TriMesh::new(points, faces).unwrap();
        let (a, b) = (Point3::new(50.0, 0.0, 0.0), Point3::new(0.0, 0.0, 50.0));
        let found = taut(&tube, &a, &b, Outward::Up).unwrap();
        // Inscribed polygon: short by less than 0.01 of 78.5; the ends are kept.
        assert!((found - 78.539_816_339_744_83).abs() < 0.01, "{found}");
    }
}
