//! Counts that tell how sound a mesh is.

use super::{TriMesh, clean, sides, twice_area_vector};
use crate::parallel::{both, map_chunks};
use nalgebra::Point3;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a mesh is made of and what is wrong with it.
///
/// An edge is an unordered pair of distinct points that some face has as a side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MeshStats {
    /// Points.
    pub vertices: usize,
    /// Points that no face uses.
    pub loose_vertices: usize,
    /// Triangles.
    pub faces: usize,
    /// Edges with one face: the rims of holes.
    pub boundary_edges: usize,
    /// Edges with more than two faces.
    pub non_manifold_edges: usize,
    /// Edges with two faces that do not agree on which side is outside.
    pub misoriented_edges: usize,
    /// Connected parts, see [`Components`](super::Components).
    pub components: usize,
    /// Faces that repeat the three corners of another one, in any order.
    pub duplicate_faces: usize,
    /// Faces without area: a corner repeated, or all three on a line to within round-off.
    pub zero_area_faces: usize,
    /// True if there are faces and each edge has exactly two.
    pub closed: bool,
    /// Median length of the edges, in the unit of the points; 0 without edges. Of a mesh of more
    /// than 65 536 faces, every so many are taken.
    pub median_edge: f64,
}

/// A triangle is flat if its height is below this share of its longest side. Coordinates carry a
/// relative round-off of 2^-53; the share leaves room for a mesh that stands some hundred times
/// its size from the origin, and stays far below any facet a scanner makes.
const FLAT: f64 = 1e-12;

impl MeshStats {
    /// True if all faces agree on which side is outside, as far as edges with two faces tell.
    #[must_use]
    pub fn evenly_oriented(&self) -> bool {
        self.misoriented_edges == 0
    }
}

impl TriMesh {
    /// Counts edges, holes, parts and faults.
    ///
    /// Faults that cancel by themselves, as a face and the same face turned over, are not counted:
    /// see [`clean`](Self::clean).
    ///
    /// # Cost
    /// Linear; only sides at faults are sorted.
    #[must_use]
    pub fn stats(&self) -> MeshStats {
        let (components, mut stats) =
            both(|| self.components().count(), || self.stats_but_components());
        stats.components = components;
        stats
    }

    fn stats_but_components(&self) -> MeshStats {
        let marked = sides::unsettled(self);
        let mut stats = MeshStats {
            vertices: self.points().len(),
            faces: self.faces().len(),
            zero_area_faces: self.flat_faces(),
            loose_vertices: self.loose_vertices(),
            median_edge: self.median_edge(),
            ..MeshStats::default()
        };
        if marked.contains(&true) {
            self.count_faults(&marked, &mut stats);
        }
        stats.closed =
            stats.faces > 0 && stats.boundary_edges == 0 && stats.non_manifold_edges == 0;
        stats
    }

    fn count_faults(&self, marked: &[bool], stats: &mut MeshStats) {
        stats.duplicate_faces = clean::copies(self, marked).len();
        for edge in sides::edges(&sides::between(self, marked)) {
            match edge {
                [_] => stats.boundary_edges += 1,
                [one, other] => {
                    stats.misoriented_edges += usize::from(one.upwards == other.upwards);
                }
                _ => stats.non_manifold_edges += 1,
            }
        }
    }

    fn flat_faces(&self) -> usize {
        let counts = map_chunks(self.faces(), BLOCK, |_, faces| {
            let corners = |face: &[u32; 3]| face.map(|at| self.points()[at as usize]);
            faces.iter().filter(|face| is_flat(&corners(face))).count()
        });
        counts.into_iter().sum()
    }

    fn median_edge(&self) -> f64 {
        // An edge of two faces is run along upwards by one of them, as a rule.
        let every = self.faces().len().div_ceil(SAMPLE).max(1);
        let mut squared: Vec<f64> = self
            .faces()
            .iter()
            .step_by(every)
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .filter(|(from, to)| from < to)
            .map(|(from, to)| {
                (self.points()[to as usize] - self.points()[from as usize]).norm_squared()
            })
            .collect();
        if squared.is_empty() {
            return 0.0;
        }
        // The upper of the two middle ones if their number is even: no matter for a typical length.
        let middle = squared.len() / 2;
        let (_, median, _) = squared.select_nth_unstable_by(middle, f64::total_cmp);
        median.sqrt()
    }

    fn loose_vertices(&self) -> usize {
        let mut used = vec![false; self.points().len()];
        for &at in self.faces().as_flattened() {
            used[at as usize] = true;
        }
        used.iter().filter(|&&used| !used).count()
    }
}

/// Faces looked through at a time.
const BLOCK: usize = 1 << 16;

/// Faces of which the edges are measured for the median, spread evenly over the mesh. The median
/// of 100 000 lengths is that of all to within 0.2 % of the ranks.
const SAMPLE: usize = 65_536;

/// True if a triangle has no area, to within round-off.
pub(super) fn is_flat(corners: &[Point3<f64>; 3]) -> bool {
    let [a, b, c] = corners;
    let longest_squared = [b - a, c - b, a - c]
        .iter()
        .map(nalgebra::Vector3::norm_squared)
        .fold(0.0, f64::max);
    twice_area_vector(corners).norm() <= FLAT * longest_squared
}

#[cfg(test)]
mod tests {
    use super::super::samples::{cube, icosphere, mesh};
    use super::*;

    #[test]
    fn a_ball_is_closed_and_its_edges_obey_euler() {
        let stats = mesh(icosphere(3)).stats();
        // Euler: V - E + F = 2 with E = 3F/2, so V = F/2 + 2.
        assert_eq!((stats.faces, stats.vertices), (1280, 642));
        assert!(stats.closed && stats.evenly_oriented());
        assert_eq!(stats.components, 1);
        let faults = stats.duplicate_faces + stats.zero_area_faces + stats.loose_vertices;
        assert_eq!(faults, 0);
    }

    #[test]
    fn the_median_edge_of_a_cube_is_its_side() {
        // 12 sides of 2 and 6 diagonals of √8; position 9 of 18 is still a side.
        let stats = mesh(cube()).stats();
        assert_eq!(stats.median_edge.to_bits(), 2.0_f64.to_bits());
    }

    #[test]
    fn each_fault_is_counted() {
        let spoilt = |spoil: fn(&mut Vec<[f64; 3]>, &mut Vec<[u32; 3]>)| {
            let (mut points, mut faces) = icosphere(1);
            spoil(&mut points, &mut faces);
            mesh((points, faces)).stats()
        };
        let hole = spoilt(|_, faces| faces.truncate(79));
        assert_eq!((hole.boundary_edges, hole.closed), (3, false));
        let twice = spoilt(|_, faces| faces.push([faces[9][2], faces[9][0], faces[9][1]]));
        assert_eq!((twice.duplicate_faces, twice.non_manifold_edges), (1, 3));
        assert!(!twice.closed);
        let loose = spoilt(|points, _| points.push([0.0; 3]));
        assert_eq!((loose.loose_vertices, loose.closed), (1, true));
        let collapsed = spoilt(|_, faces| faces.push([0, 0, 0]));
        assert_eq!((collapsed.zero_area_faces, collapsed.closed), (1, true));
        let debris = spoilt(|points, faces| {
            points.extend([[3.0, 0.0, 0.0], [3.0, 1.0, 0.0], [3.0, 0.0, 1.0]]);
            faces.push([42, 43, 44]);
        });
        assert_eq!((debris.components, debris.boundary_edges), (2, 3));
    }

    #[test]
    fn a_turned_face_disagrees_along_its_three_edges() {
        let (points, mut faces) = icosphere(1);
        faces[40].swap(1, 2);
        let stats = mesh((points, faces)).stats();
        assert_eq!(stats.misoriented_edges, 3);
        assert!(stats.closed);
    }

    #[test]
    fn three_points_on_a_line_are_flat() {
        let points = [
            [0.1, 0.1, 0.1],
            [0.2, 0.2, 0.2],
            [0.7, 0.7, 0.7],
            [0.0, 0.0, 1e-9],
        ];
        let points = points.into_iter().map(Point3::from).collect();
        let mesh = TriMesh::new(points, vec![[0, 1, 2], [0, 1, 3]]).unwrap();
        assert_eq!(mesh.stats().zero_area_faces, 1);
    }

    #[test]
    fn nothing_at_all_is_not_closed() {
        assert_eq!(TriMesh::default().stats(), MeshStats::default());
    }
}
