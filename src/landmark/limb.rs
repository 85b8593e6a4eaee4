//! Limbs that do not hang plumb: their axis, and cuts square to it.

use super::series::Series;
use crate::mesh::TriMesh;
use crate::parallel::map_indices;
use crate::part::Branch;
use crate::section::{Contour, PlaneAxes, Slicer};
use nalgebra::{Point3, Vector3};

/// The axis of a limb: the centres of its level contours, from the top down.
#[derive(Clone, Debug)]
pub struct LimbAxis {
    points: Vec<Point3<f64>>,
    /// Length along the axis from its first point.
    along: Vec<f64>,
}

/// How far to either side the axis is averaged, in mm: half the thickness of
/// a thin arm, so that a bump on one side does not tilt the cut.
const SMOOTH_MM: f64 = 20.0;

impl LimbAxis {
    /// From the contours of a branch.
    ///
    /// Level cuts of a slanted straight limb have their centres on its axis
    /// all the same.
    #[must_use]
    pub fn of(branch: &Branch) -> Option<Self> {
        let centres: Vec<Point3<f64>> = branch
            .pieces
            .iter()
            .rev()
            .map(|piece| {
                let [x, y] = piece.contour.centroid();
                Point3::new(x, y, piece.height_mm)
            })
            .collect();
        if centres.len() < 8 {
            return None;
        }
        let points = smooth(&centres);
        let mut along = vec![0.0];
        for pair in points.windows(2) {
            along.push(along[along.len() - 1] + (pair[1] - pair[0]).norm());
        }
        Some(Self { points, along })
    }

    /// Its whole length in mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.along.last().copied().unwrap_or(0.0)
    }

    /// The point at a length from the top, held at the ends.
    #[must_use]
    pub fn point(&self, along_mm: f64) -> Point3<f64> {
        let after = self
            .along
            .partition_point(|&a| a < along_mm)
            .clamp(1, self.points.len() - 1);
        let (a0, a1) = (self.along[after - 1], self.along[after]);
        let share = ((along_mm - a0) / (a1 - a0)).clamp(0.0, 1.0);
        self.points[after - 1] + (self.points[after] - self.points[after - 1]) * share
    }

    /// Direction down the limb at a length from the top.
    #[must_use]
    pub fn direction(&self, along_mm: f64) -> Vector3<f64> {
        self.point(along_mm + SMOOTH_MM) - self.point(along_mm - SMOOTH_MM)
    }

    /// Length from the top at which the axis comes nearest to a point.
    #[must_use]
    pub fn nearest(&self, to: &Point3<f64>) -> f64 {
        let of_piece = |(i, pair): (usize, &[Point3<f64>])| {
            let along = pair[1] - pair[0];
            let square = along.norm_squared().max(f64::MIN_POSITIVE);
            let share = ((to - pair[0]).dot(&along) / square).clamp(0.0, 1.0);
            let off = (pair[0] + along * share - to).norm_squared();
            (off, self.along[i] + share * along.norm())
        };
        let pieces = self.points.windows(2).enumerate().map(of_piece);
        let best = pieces.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or(0.0, |(_, along)| along)
    }

    /// The same, going straight on above the axis: below 0 for a point that lies higher than its top.
    #[must_use]
    pub fn beyond(&self, to: &Point3<f64>) -> f64 {
        let down = self.direction(0.0).try_normalize(f64::MIN_POSITIVE);
        let above = down.map_or(0.0, |down| (to - self.point(0.0)).dot(&down));
        if above < 0.0 { above } else { self.nearest(to) }
    }

    /// The highest place at a height, if it passes it.
    pub(super) fn at_height(&self, height_mm: f64) -> Option<Point3<f64>> {
        let (above, below) = self.points.windows(2).find_map(|pair| {
            let passed = (pair[1].z..=pair[0].z).contains(&height_mm);
            passed.then_some((pair[0], pair[1]))
        })?;
        let drop = above.z - below.z;
        let share = if drop > 0.0 {
            (above.z - height_mm) / drop
        } else {
            0.0
        };
        Some(above + (below - above) * share)
    }

    /// Where within a window the axis lies farthest from the straight line between two lengths, and
    /// how far; `None` if it does so at an end of the window, and lies farther off beyond it.
    #[must_use]
    pub fn bend(&self, line_mm: (f64, f64), window_mm: (f64, f64)) -> Option<(f64, f64)> {
        let (a, b) = (self.point(line_mm.0), self.point(line_mm.1));
        let line = (b - a).try_normalize(f64::MIN_POSITIVE)?;
        let inside: Vec<(f64, f64)> = self
            .points
            .iter()
            .zip(&self.along)
            .filter(|&(_, &at)| (window_mm.0..=window_mm.1).contains(&at))
            .map(|(p, &at)| (at, (p - a).cross(&line).norm()))
            .collect();
        let most = (0..inside.len()).max_by(|&i, &j| inside[i].1.total_cmp(&inside[j].1))?;
        (most > 0 && most + 1 < inside.len()).then(|| inside[most])
    }

    /// Taut girth square to the axis, by length from the top, at steps of `step_mm`.
    pub(super) fn square_girths(
        &self,
        mesh: &TriMesh,
        from_mm: f64,
        to_mm: f64,
        step_mm: f64,
    ) -> Series {
        let mut places = vec![from_mm];
        while let Some(next) = places
            .last()
            .map(|at| at + step_mm)
            .filter(|&at| at <= to_mm)
        {
            places.push(next);
        }
        let girths = map_indices(places.len(), |i| {
            let cut = square_cut(mesh, &self.point(places[i]), self.direction(places[i]))?;
            Some((places[i], cut.contour.taut_girth_mm()))
        });
        Series::new(girths.into_iter().flatten())
    }
}

fn smooth(points: &[Point3<f64>]) -> Vec<Point3<f64>> {
    let near = |i: usize, j: usize| (points[i] - points[j]).norm() <= SMOOTH_MM;
    (0..points.len())
        .map(|i| {
            // As many to either side, so that ends are not drawn inwards.
            let up = (i..points.len()).take_while(|&j| near(i, j)).count() - 1;
            let down = (0..=i).rev().take_while(|&j| near(i, j)).count() - 1;
            let reach = up.min(down);
            let window = &points[i - reach..=i + reach];
            #[expect(clippy::cast_precision_loss, reason = "a few dozen points")]
            let n = window.len() as f64;
            Point3::from(window.iter().map(|p| p.coords).sum::<Vector3<f64>>() / n)
        })
        .collect()
}

/// A cut through a limb.
#[derive(Clone, Debug, PartialEq)]
pub struct SquareCut {
    /// The limb's skin, in the coordinates of the plane.
    pub contour: Contour,
    /// Centre of the area within, in the body frame.
    pub centre: Point3<f64>,
}

/// The contour about `point` in the plane through it square to `direction`; `None` if none closes
/// about it, or if the skin about that is torn open.
#[must_use]
pub fn square_cut(
    mesh: &TriMesh,
    point: &Point3<f64>,
    direction: Vector3<f64>,
) -> Option<SquareCut> {
    let axes = PlaneAxes::square_to(direction).ok()?;
    cut_about(&Slicer::along(mesh, axes), point)
}

/// The contour about `point` in the plane of the slicer's family that goes through it.
pub(crate) fn cut_about(slicer: &Slicer<'_>, point: &Point3<f64>) -> Option<SquareCut> {
    let axes = slicer.axes();
    let section = slicer.cut(axes.normal.dot(&point.coords));
    let centre = axes.uv(point);
    let (closed, torn): (Vec<Contour>, Vec<Contour>) =
        section.contours.into_iter().partition(Contour::is_closed);
    let mut about: Vec<Contour> = closed.into_iter().filter(|c| c.contains(centre)).collect();
    about.sort_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()));
    // The limb's skin is the smallest that is not the wall of a hollow inside it (a mouth, an inner shell).
    let outer = |i: usize| {
        let skin = &about[i];
        !about[i + 1..]
            .iter()
            .any(|wider| skin.points().iter().all(|&p| wider.contains(p)))
    };
    let skin = (0..about.len()).find(|&i| outer(i))?;
    let contour = about.swap_remove(skin);
    if torn.iter().any(|open| contour.is_behind(open)) {
        return None;
    }
    let centre = axes.point(contour.centroid(), section.height_mm);
    Some(SquareCut { contour, centre })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::Piece;
    use crate::section::closed_for_tests;
    use std::f64::consts::TAU;

    /// A straight limb that leans by 30 degrees, its top at (0, 0, 1000): points square to it at lengths
    /// along it, and one beyond its top.
    #[test]
    fn lengths_along_a_straight_limb() {
        let (sin, cos) = 30.0_f64.to_radians().sin_cos();
        let piece = |i: i32| {
            let z = 600.0 + 2.5 * f64::from(i);
            let x = (1000.0 - z) * sin / cos;
            let points = (0..60).map(|k| {
                let (sin, cos) = (TAU * f64::from(k) / 60.0).sin_cos();
                [x + 40.0 * cos, 40.0 * sin]
            });
            let contour = closed_for_tests(points.collect());
            Piece {
                height_mm: z,
                taut_mm: contour.taut_girth_mm(),
                contour,
            }
        };
        let pieces = (0..=160).map(piece).collect();
        let axis = LimbAxis::of(&Branch { pieces }).unwrap();
        let beside = |along: f64| {
            Point3::new(
                along * sin + 15.0 * cos,
                7.0,
                1000.0 - along * cos + 15.0 * sin,
            )
        };
        for along in [0.0, 33.0, 250.0] {
            assert!(
                (axis.beyond(&beside(along)) - along).abs() < 1e-6,
                "{along}"
            );
            assert!(
                (axis.nearest(&beside(along)) - along).abs() < 1e-6,
                "{along}"
            );
        }
        assert!((axis.beyond(&beside(-20.0)) + 20.0).abs() < 1e-6);
        assert!(axis.nearest(&beside(-20.0)).abs() < 1e-9);
    }
}
