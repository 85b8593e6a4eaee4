//! Nearest points, rays and mass: the one place that talks to the geometry library.
//!
//! That library computes with vector types of its own and changes them between releases, so none
//! of them leaves this file. The two conversions below are by hand: they are one line each, and
//! need no feature that ties two libraries to one version of a third.

use super::TriMesh;
use crate::error::{Error, Result};
use nalgebra::{Point3, Unit, Vector3};
use parry3d_f64::mass_properties::details::trimesh_signed_volume_and_center_of_mass;
use parry3d_f64::math::Vector;
use parry3d_f64::query::{PointQueryWithLocation, Ray, RayCast};
use std::fmt;

/// A place on a surface found by a [`SurfaceQuery`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfaceHit {
    /// The place.
    pub point: Point3<f64>,
    /// The face it lies on; one of them if it lies on an edge or a corner.
    pub face: u32,
    /// Its distance from where the question started, in the unit of the points.
    pub distance: f64,
}

/// Volume and centre of a closed mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solid {
    /// Volume inside, in cubed units of the points; negative if the faces look inwards.
    pub volume: f64,
    /// Centre of the volume.
    pub centroid: Point3<f64>,
}

/// A mesh prepared for many questions about nearest points and rays.
pub struct SurfaceQuery {
    shape: parry3d_f64::shape::TriMesh,
}

impl fmt::Debug for SurfaceQuery {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("SurfaceQuery")
            .field("faces", &self.shape.indices().len())
            .finish()
    }
}

impl SurfaceQuery {
    /// Builds the search tree.
    ///
    /// # Errors
    /// [`ErrorKind::Body`](crate::ErrorKind::Body) if the mesh has no faces.
    ///
    /// # Cost
    /// O(n log n); the points and faces are copied.
    pub fn new(mesh: &TriMesh) -> Result<Self> {
        let points = mesh.points().iter().map(to_parry).collect();
        parry3d_f64::shape::TriMesh::new(points, mesh.faces().to_vec())
            .map(|shape| Self { shape })
            .map_err(|_| Error::body("the mesh has no faces, so nothing can be found on it"))
    }

    /// The point of the surface nearest to `to`; `None` if `to` is not finite.
    #[must_use]
    pub fn closest_point(&self, to: &Point3<f64>) -> Option<SurfaceHit> {
        let (found, (face, _)) = self
            .shape
            .project_local_point_and_get_location_with_max_dist(to_parry(to), false, f64::MAX)?;
        let point = from_parry(found.point);
        Some(SurfaceHit {
            point,
            face,
            distance: nalgebra::distance(to, &point),
        })
    }

    /// Where a ray first meets the surface, from either side, no farther than `reach`.
    #[must_use]
    pub fn ray_hit(
        &self,
        from: &Point3<f64>,
        direction: &Unit<Vector3<f64>>,
        reach: f64,
    ) -> Option<SurfaceHit> {
        let ray = Ray::new(
            to_parry(from),
            to_parry(&Point3::from(direction.into_inner())),
        );
        let found = self
            .shape
            .cast_local_ray_and_get_normal(&ray, reach, false)?;
        Some(SurfaceHit {
            point: from + direction.into_inner() * found.time_of_impact,
            face: found.subshape,
            distance: found.time_of_impact,
        })
    }
}

impl TriMesh {
    /// Volume and centroid of the space inside.
    ///
    /// Meaningful for a closed, evenly oriented mesh only, see [`TriMesh::signed_volume`].
    /// `None` if the volume is too small for a centre to be told.
    #[must_use]
    pub fn solid(&self) -> Option<Solid> {
        if self.points().is_empty() {
            return None;
        }
        let points: Vec<Vector> = self.points().iter().map(to_parry).collect();
        let (volume, centroid) = trimesh_signed_volume_and_center_of_mass(&points, self.faces());
        let centroid = from_parry(centroid);
        let told = volume.abs() > 0.0 && centroid.iter().all(|value| value.is_finite());
        told.then_some(Solid { volume, centroid })
    }
}

fn to_parry(point: &Point3<f64>) -> Vector {
    Vector::new(point.x, point.y, point.z)
}

fn from_parry(point: Vector) -> Point3<f64> {
    Point3::new(point.x, point.y, point.z)
}

#[cfg(test)]
mod tests {
    use super::super::samples::{cube, icosphere, mesh};
    use super::*;
    use nalgebra::Translation3;

    #[test]
    fn the_nearest_point_of_a_cube_is_told_with_its_face() {
        let cube = mesh(cube());
        let query = SurfaceQuery::new(&cube).unwrap();
        let hit = query.closest_point(&Point3::new(0.25, -0.5, 3.0)).unwrap();
        // By hand: straight down onto the side z = 1.
        assert!((hit.point - Point3::new(0.25, -0.5, 1.0)).norm() < 1e-15);
        assert!((hit.distance - 2.0).abs() < 1e-15);
        let on_top = |point: &Point3<f64>| (point.z - 1.0).abs() < 1e-15;
        assert!(cube.corners(hit.face as usize).iter().all(on_top));
        assert_eq!(query.closest_point(&Point3::new(f64::NAN, 0.0, 0.0)), None);
    }

    #[test]
    fn a_ray_stops_at_the_first_wall_from_outside_and_inside() {
        let query = SurfaceQuery::new(&mesh(cube())).unwrap();
        let along = Vector3::x_axis();
        let outside = Point3::new(-5.0, 0.3, 0.2);
        let hit = query.ray_hit(&outside, &along, 100.0).unwrap();
        assert!((hit.point - Point3::new(-1.0, 0.3, 0.2)).norm() < 1e-14);
        let hit = query
            .ray_hit(&Point3::new(0.0, 0.3, 0.2), &along, 100.0)
            .unwrap();
        assert!((hit.distance - 1.0).abs() < 1e-14);
        assert_eq!(query.ray_hit(&outside, &along, 3.9), None);
        assert_eq!(query.ray_hit(&outside, &-along, 100.0), None);
    }

    #[test]
    fn two_ways_to_the_volume_agree() {
        // The library sums from the mean point, ours from the first: two roundings of one sum of
        // 5120 terms, each good to a few 2^-53 of the whole.
        let far = Translation3::new(300.0, -200.0, 900.0);
        let ball = mesh(icosphere(4)).map_points(|point| far * point).unwrap();
        let solid = ball.solid().unwrap();
        // Coordinates near 900 are known to 1.1e-13.
        assert!((solid.volume - ball.signed_volume()).abs() < 1e-11);
        assert!((solid.centroid - Point3::new(300.0, -200.0, 900.0)).norm() < 1e-11);
    }

    #[test]
    fn an_empty_or_flat_mesh_has_no_answer() {
        assert!(SurfaceQuery::new(&TriMesh::default()).is_err());
        assert_eq!(TriMesh::default().solid(), None);
        let flat = mesh((cube().0, vec![[0, 1, 2], [0, 2, 1]]));
        assert_eq!(flat.solid(), None);
    }
}
