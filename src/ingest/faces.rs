//! From the polygons of a file to triangles.

use super::Limits;
use crate::error::Result;
use crate::finding::Finding;
use nalgebra::{Point3, Vector3};

/// Up to how many corners every corner is tried as the one to split from. Scanners write three
/// or four; a polygon of more than this many is split from its first corner, come what may.
const MOST_TRIED: usize = 32;

/// Collects faces as triangles and counts what had to be done to them.
///
/// A polygon is split into a fan from one corner: from the first one from which all triangles face
/// the same way as the polygon, which always exists if it is convex, and for every flat
/// quadrilateral that does not cross itself. Where no corner will do, the first one is taken and
/// the polygon is counted, because its triangles overlap.
pub(super) struct FaceSink<'a> {
    points: &'a [Point3<f64>],
    limits: &'a Limits,
    triangles: Vec<[u32; 3]>,
    polygons: u64,
    folded: u64,
    without_area: u64,
}

impl<'a> FaceSink<'a> {
    /// For faces that name these points; room for `expected` triangles.
    pub(super) fn new(points: &'a [Point3<f64>], limits: &'a Limits, expected: usize) -> Self {
        Self {
            points,
            limits,
            triangles: Vec::with_capacity(expected),
            polygons: 0,
            folded: 0,
            without_area: 0,
        }
    }

    /// Number of points a face can name.
    pub(super) fn point_count(&self) -> usize {
        self.points.len()
    }

    /// Takes a triangle whose corners are in range; drops it if it repeats one.
    #[inline]
    pub(super) fn triangle(&mut self, [a, b, c]: [u32; 3]) {
        if a == b || b == c || c == a {
            self.without_area += 1;
        } else {
            self.triangles.push([a, b, c]);
        }
    }

    /// Takes a face of any number of corners, which are in range.
    ///
    /// A corner equal to the one before it is skipped, so a triangle written as a quadrilateral
    /// with its last corner twice is a triangle.
    pub(super) fn polygon(&mut self, corners: &mut Vec<u32>) -> Result<()> {
        if let &[a, b, c] = corners.as_slice() {
            self.triangle([a, b, c]);
            return Ok(());
        }
        corners.dedup();
        while corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        match *corners.as_slice() {
            [] | [_] | [_, _] => self.without_area += 1,
            [a, b, c] => self.triangle([a, b, c]),
            _ => {
                self.polygons += 1;
                let apex = self.fan_corner(corners);
                self.folded += u64::from(apex.is_none());
                corners.rotate_left(apex.unwrap_or(0));
                for pair in corners[1..].windows(2) {
                    self.triangle([corners[0], pair[0], pair[1]]);
                }
                // Each corner is at least a byte of the file, but twelve bytes as a triangle.
                self.limits.check_faces(self.triangles.len() as u64)?;
            }
        }
        Ok(())
    }

    /// The first corner whose fan faces one way throughout.
    fn fan_corner(&self, corners: &[u32]) -> Option<usize> {
        let count = corners.len();
        let start = self.points[corners[0] as usize];
        let at = |corner: usize| self.points[corners[corner % count] as usize] - start;
        // Twice the area of the polygon as a vector (Newell): its normal even if it is bent.
        let normal: Vector3<f64> = (1..count - 1).map(|k| at(k).cross(&at(k + 1))).sum();
        let faces_along = |apex: usize| {
            (1..count - 1).all(|k| {
                let (one, other) = (at(apex + k) - at(apex), at(apex + k + 1) - at(apex));
                one.cross(&other).dot(&normal) >= 0.0
            })
        };
        let tried = if count > MOST_TRIED { 1 } else { count };
        (0..tried).find(|&apex| faces_along(apex))
    }

    /// The triangles, with remarks on what was done.
    pub(super) fn finish(self) -> (Vec<[u32; 3]>, Vec<Finding>) {
        let mut findings = Vec::new();
        if self.polygons > 0 {
            findings.push(Finding::note(
                "polygons",
                format!(
                    "{} faces have more than three corners and were split into triangles.",
                    self.polygons
                ),
            ));
        }
        if self.folded > 0 {
            findings.push(Finding::look(
                "polygons",
                format!(
                    "{} faces are hollow or crossed, so their triangles overlap; export the scan \
                     as triangles if girths look rough.",
                    self.folded
                ),
            ));
        }
        if self.without_area > 0 {
            findings.push(Finding::note(
                "faces without area",
                format!(
                    "{} faces have two corners at one point and were dropped.",
                    self.without_area
                ),
            ));
        }
        (self.triangles, findings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(points: &[[f64; 2]], corners: &[u32]) -> (Vec<[u32; 3]>, Vec<Finding>) {
        let points: Vec<_> = points
            .iter()
            .map(|&[x, y]| Point3::new(x, y, 0.0))
            .collect();
        let limits = Limits::default();
        let mut sink = FaceSink::new(&points, &limits, 0);
        sink.polygon(&mut corners.to_vec()).unwrap();
        sink.finish()
    }

    /// Corner 2 is pushed in: a fan from corner 0 or 2 stays inside, one from 1 or 3 does not.
    const DART: [[f64; 2]; 4] = [[0.0, 0.0], [4.0, 0.0], [1.0, 1.0], [0.0, 4.0]];

    #[test]
    fn a_hollow_quadrilateral_is_split_from_a_corner_that_fits() {
        for first in 0..4 {
            let corners = [0, 1, 2, 3].map(|corner| (corner + first) % 4);
            let (triangles, findings) = split(&DART, &corners);
            assert_eq!(triangles.len(), 2);
            assert_eq!(findings.len(), 1, "{findings:?}");
            // Shoelace, by hand: 2 + 2; a fan from corner 1 would add up to 8 + 4 or more.
            let area: f64 = triangles
                .iter()
                .map(|&face| {
                    let [p, q, r] = face.map(|at| DART[at as usize]);
                    ((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])).abs() / 2.0
                })
                .sum();
            assert!((area - 4.0).abs() < 1e-15, "{triangles:?}");
        }
    }

    #[test]
    fn a_polygon_without_a_good_corner_is_counted() {
        // A star of five thin points: from no corner can one see into all of them.
        let star: Vec<[f64; 2]> = (0..10_u8)
            .map(|k| {
                let (sin, cos) = (f64::from(k) * std::f64::consts::PI / 5.0).sin_cos();
                let radius = if k % 2 == 0 { 2.0 } else { 0.3 };
                [radius * cos, radius * sin]
            })
            .collect();
        let corners: Vec<u32> = (0..10).collect();
        let (triangles, findings) = split(&star, &corners);
        assert_eq!(triangles.len(), 8);
        assert!(
            findings
                .iter()
                .any(|finding| finding.text.contains("overlap"))
        );
    }

    #[test]
    fn repeated_corners_shrink_or_drop_a_face() {
        let (triangles, findings) = split(&DART, &[0, 1, 3, 3]);
        assert_eq!((triangles, findings.len()), (vec![[0, 1, 3]], 0));
        for corners in [&[0, 1, 0][..], &[2, 2, 2, 2], &[0, 1], &[]] {
            let (triangles, findings) = split(&DART, corners);
            assert!(triangles.is_empty());
            assert!(findings[0].text.starts_with("1 faces"), "{findings:?}");
        }
    }

    #[test]
    fn triangles_of_polygons_count_against_the_limit() {
        let points = vec![Point3::origin(); 4];
        let limits = Limits {
            faces: 1,
            ..Limits::default()
        };
        let mut sink = FaceSink::new(&points, &limits, 0);
        assert!(sink.polygon(&mut vec![0, 1, 2, 3]).unwrap_err().is_limit());
    }
}
