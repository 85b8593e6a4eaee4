//! Triangle meshes: points, faces, and what can be said of them without knowing what they show.
//!
//! A [`TriMesh`] has no unit and no frame of its own. After reading, its
//! coordinates are in the unit of the file; once that is known, later stages
//! scale it to millimetres. Numbers derived here (area, volume, edge length)
//! are therefore plain `f64` in the unit of the points.

use crate::error::{Error, Place, Result, Spot};
use crate::parallel::{map_chunks, update_slice};
use nalgebra::{Point3, Similarity3, Vector3};

pub mod clean;
pub mod components;
pub mod geodesic;
pub mod query;
mod select;
mod sides;
pub mod stats;
mod thin;
mod turn;
pub mod weld;

#[cfg(test)]
pub(crate) mod samples;

pub use clean::Cleaned;
pub use components::Components;
pub use geodesic::Geodesics;
pub(crate) use geodesic::NOT_JOINED;
pub use query::{Solid, SurfaceHit, SurfaceQuery};
pub use stats::MeshStats;
pub use weld::Weld;

/// Points and triangles, checked once so that nothing after has to check again.
///
/// Every index of a face is in range and every coordinate is finite. A face is
/// seen from outside if its corners run counter-clockwise. Faces may still
/// repeat a corner, and points may be used by no face: [`TriMesh::stats`] counts
/// them, ingest leaves none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TriMesh {
    points: Vec<Point3<f64>>,
    faces: Vec<[u32; 3]>,
    /// For each point the piece it is of, numbered in the order of their first points; empty if it is one.
    pieces: Vec<u32>,
}

/// The box around a mesh, its edges along the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Smallest coordinate on each axis.
    pub min: Point3<f64>,
    /// Greatest coordinate on each axis.
    pub max: Point3<f64>,
}

/// Points looked through at a time: enough to be worth a thread's while.
const CHUNK: usize = 1 << 15;

impl Bounds {
    /// Length along each axis.
    #[must_use]
    pub fn extent(&self) -> Vector3<f64> {
        self.max - self.min
    }

    /// The middle of the box.
    #[must_use]
    pub fn centre(&self) -> Point3<f64> {
        nalgebra::center(&self.min, &self.max)
    }
}

impl TriMesh {
    /// A mesh of these points and faces.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) with the first vertex whose coordinates are
    /// not finite, or the first face that names a vertex that is not there.
    ///
    /// # Examples
    /// ```
    /// use girthwise::mesh::TriMesh;
    /// use nalgebra::Point3;
    /// let corners = vec![Point3::origin(), Point3::new(4.0, 0.0, 0.0), Point3::new(0.0, 3.0, 0.0)];
    /// let mesh = TriMesh::new(corners.clone(), vec![[0, 1, 2]])?;
    /// assert_eq!(mesh.area(), 6.0);
    /// assert!(TriMesh::new(corners, vec![[0, 1, 3]]).is_err());
    /// # Ok::<(), girthwise::Error>(())
    /// ```
    pub fn new(points: Vec<Point3<f64>>, faces: Vec<[u32; 3]>) -> Result<Self> {
        check_finite("", &points)?;
        let count = points.len();
        let out_of_range = |face: &[u32; 3]| face.iter().any(|&at| at as usize >= count);
        if let Some(at) = faces.iter().position(out_of_range) {
            return Err(Error::input(
                Place::new("", Spot::Face(at as u64)),
                format!(
                    "names the vertices {:?}, but there are only {count}, numbered from 0",
                    faces[at]
                ),
            ));
        }
        Ok(Self::from_sound(points, faces))
    }

    /// A mesh of parts that are known to be sound: they come from a mesh, or were checked one by one.
    pub(crate) fn from_sound(points: Vec<Point3<f64>>, faces: Vec<[u32; 3]>) -> Self {
        Self {
            points,
            faces,
            pieces: Vec::new(),
        }
    }

    /// The points.
    #[must_use]
    pub fn points(&self) -> &[Point3<f64>] {
        &self.points
    }

    /// The faces: three indices into [`points`](Self::points) each.
    #[must_use]
    pub fn faces(&self) -> &[[u32; 3]] {
        &self.faces
    }

    /// The corners of a face.
    ///
    /// # Panics
    /// If there is no such face.
    #[must_use]
    pub fn corners(&self, face: usize) -> [Point3<f64>; 3] {
        self.faces[face].map(|at| self.points[at as usize])
    }

    /// The box around all points, used by a face or not; `None` without points.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        let chunks = map_chunks(&self.points, CHUNK, |_, points| {
            let start = Bounds {
                min: points[0],
                max: points[0],
            };
            points.iter().fold(start, |bounds, point| Bounds {
                min: bounds.min.inf(point),
                max: bounds.max.sup(point),
            })
        });
        chunks.into_iter().reduce(|a, b| Bounds {
            min: a.min.inf(&b.min),
            max: a.max.sup(&b.max),
        })
    }

    /// The mesh with every point moved by `to`; faces stay as they are.
    ///
    /// A map that mirrors turns the mesh inside out: call [`flip_faces`](Self::flip_faces) after it.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) if a coordinate is not finite afterwards.
    pub fn map_points(
        mut self,
        to: impl Fn(Point3<f64>) -> Point3<f64> + Sync + Send,
    ) -> Result<Self> {
        update_slice(&mut self.points, |point| *point = to(*point));
        check_finite("", &self.points)?;
        Ok(self)
    }

    /// The mesh turned, shifted and scaled, in that order: scale first, then turn, then shift.
    ///
    /// # Errors
    /// [`ErrorKind::Input`](crate::ErrorKind::Input) if a coordinate is not finite afterwards.
    pub fn transformed(self, by: &Similarity3<f64>) -> Result<Self> {
        self.map_points(|point| by * point)
    }

    /// Turns every face over, so that outside becomes inside.
    pub fn flip_faces(&mut self) {
        for face in &mut self.faces {
            face.swap(1, 2);
        }
    }

    /// Volume inside, in cubed units of the points; negative if the faces look inwards.
    ///
    /// Definition: sum of the signed tetrahedra from one fixed apex to each face (divergence
    /// theorem). It is the enclosed volume only if the mesh is closed and evenly oriented, see
    /// [`MeshStats::closed`] and [`MeshStats::misoriented_edges`].
    ///
    /// The apex is the first point, not the origin: a scan that stands far from the origin has
    /// tetrahedra much larger than itself, whose sum loses digits when they cancel.
    #[must_use]
    pub fn signed_volume(&self) -> f64 {
        let Some(apex) = self.points.first() else {
            return 0.0;
        };
        let six_fold = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|at| self.points[at as usize] - apex);
            a.dot(&b.cross(&c))
        };
        self.faces.iter().map(six_fold).sum::<f64>() / 6.0
    }

    /// Area of all faces, in squared units of the points.
    #[must_use]
    pub fn area(&self) -> f64 {
        let two_fold = |face: usize| twice_area_vector(&self.corners(face)).norm();
        (0..self.faces.len()).map(two_fold).sum::<f64>() / 2.0
    }

    /// For each point the sum of its faces' normals, each as long as twice its face's area.
    pub(crate) fn point_normals(&self) -> Vec<Vector3<f64>> {
        let mut sums = vec![Vector3::zeros(); self.points.len()];
        for (index, face) in self.faces.iter().enumerate() {
            let normal = twice_area_vector(&self.corners(index));
            for &at in face {
                sums[at as usize] += normal;
            }
        }
        sums
    }

    /// The mesh without points that no face uses, and how many those were.
    ///
    /// The other points keep their order.
    #[must_use]
    pub fn without_loose_points(self) -> (Self, usize) {
        let mut used = vec![false; self.points.len()];
        for &at in self.faces.as_flattened() {
            used[at as usize] = true;
        }
        let loose = used.iter().filter(|&&used| !used).count();
        if loose == 0 {
            return (self, 0);
        }
        let mut next = 0;
        let new_index: Vec<u32> = used
            .iter()
            .map(|&used| {
                let at = next;
                next += u32::from(used);
                at
            })
            .collect();
        let kept = |at: &usize| used[*at];
        let all = 0..used.len();
        let points = all.clone().filter(kept).map(|at| self.points[at]).collect();
        let pieces = if self.pieces.is_empty() {
            Vec::new()
        } else {
            all.filter(kept).map(|at| self.pieces[at]).collect()
        };
        let faces = self.faces.into_iter();
        let faces = faces
            .map(|face| face.map(|at| new_index[at as usize]))
            .collect();
        let mesh = Self {
            points,
            faces,
            pieces,
        };
        (mesh, loose)
    }
}

/// Normal of a triangle, as long as twice its area.
fn twice_area_vector([a, b, c]: &[Point3<f64>; 3]) -> Vector3<f64> {
    (b - a).cross(&(c - a))
}

/// The first point that is not finite as an error in `file`.
pub(crate) fn check_finite(file: &str, points: &[Point3<f64>]) -> Result<()> {
    let not_finite = |point: &Point3<f64>| !point.iter().all(|value| value.is_finite());
    let found = map_chunks(points, CHUNK, |from, points| {
        points.iter().position(not_finite).map(|at| from + at)
    });
    match found.into_iter().flatten().next() {
        None => Ok(()),
        Some(at) => {
            let [x, y, z]: [f64; 3] = points[at].coords.into();
            Err(Error::input(
                Place::new(file, Spot::Vertex(at as u64)),
                format!(
                    "the coordinates ({x}, {y}, {z}) are not all numbers one can measure with; export the scan again"
                ),
            ))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::samples::{cube, icosphere, mesh};
    use super::*;
    use nalgebra::{Rotation3, Translation3};

    #[test]
    fn faults_are_refused_with_their_place() {
        let mut points = mesh(cube()).points;
        points[5].y = f64::NAN;
        let error = TriMesh::new(points, vec![[0, 1, 2]]).unwrap_err();
        assert!(error.to_string().contains("vertex 5"), "{error}");
        let points = mesh(cube()).points;
        let error = TriMesh::new(points, vec![[0, 1, 2], [7, 8, 0]]).unwrap_err();
        assert!(error.to_string().contains("face 1"), "{error}");
    }

    #[test]
    fn a_cube_has_its_volume_area_and_bounds_wherever_it_stands() {
        // Closed form: side 2 gives volume 8 and area 24, exact in binary near the origin.
        let cube = mesh(cube());
        assert_eq!(cube.signed_volume().to_bits(), 8.0_f64.to_bits());
        assert_eq!(cube.area().to_bits(), 24.0_f64.to_bits());
        // 1e6 away a coordinate is known to 1e6 * 2^-53 = 1.1e-10; a volume is a sum of 12
        // products of three lengths near 2, so 12 * 3 * 4 * 1.1e-10 / 6 < 1e-8 is lost at most.
        let far = Translation3::new(1e6, -1e6, 1e6) * Rotation3::from_euler_angles(0.3, 0.2, 0.1);
        let far = nalgebra::convert(far);
        let moved = cube.transformed(&far).unwrap();
        assert!((moved.signed_volume() - 8.0).abs() < 1e-8);
    }

    #[test]
    fn a_scale_enters_cubed_and_a_flip_changes_the_sign() {
        let mut body = mesh(icosphere(2));
        let volume = body.signed_volume();
        assert!(volume > 0.0);
        body.flip_faces();
        // Each term changes its sign exactly, but not the order of its factors: round-off only.
        assert!((body.signed_volume() + volume).abs() < 1e-14);
        let mut larger = Similarity3::identity();
        larger.set_scaling(10.0);
        let larger = body.transformed(&larger).unwrap();
        assert!((larger.signed_volume() / volume + 1000.0).abs() < 1e-10);
    }

    #[test]
    fn the_sphere_is_approached_with_the_square_of_the_edge() {
        // Closed form: volume 4/3 π, area 4 π. Halving edges quarters the gap, in the limit.
        let gap = |level| {
            let ball = mesh(icosphere(level));
            let pi = std::f64::consts::PI;
            (
                4.0 / 3.0 * pi - ball.signed_volume(),
                4.0 * pi - ball.area(),
            )
        };
        let (coarse, fine) = (gap(3), gap(4));
        assert!(fine.0 > 0.0 && fine.1 > 0.0);
        assert!(
            (coarse.0 / fine.0 - 4.0).abs() < 0.05,
            "{coarse:?} {fine:?}"
        );
        assert!(
            (coarse.1 / fine.1 - 4.0).abs() < 0.05,
            "{coarse:?} {fine:?}"
        );
    }

    #[test]
    fn a_map_out_of_range_is_an_error() {
        let huge = mesh(cube()).map_points(|point| point * f64::MAX * 2.0);
        assert!(huge.unwrap_err().to_string().contains("vertex 0"));
    }

    #[test]
    fn loose_points_go_and_the_rest_keep_their_order() {
        let mut points = vec![Point3::new(9.0, 9.0, 9.0)];
        points.extend(mesh(cube()).points);
        points.push(Point3::new(-9.0, 0.0, 0.0));
        let faces = cube().1.into_iter().map(|face| face.map(|at| at + 1));
        let (clean, loose) = TriMesh::new(points, faces.collect())
            .unwrap()
            .without_loose_points();
        assert_eq!((clean, loose), (mesh(cube()), 2));
    }
}
