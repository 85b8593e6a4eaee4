//! Plane cuts of a mesh, as ordered contours.
//!
//! ```text
//! mesh + plane -> faces the plane crosses -> cut points keyed by mesh edge -> chains -> contours
//! ```
//!
//! A vertex is above the plane if its height is `>=` the plane's, below
//! otherwise, so none is ever *on* it and flat facets need no special case.
//! A cut point belongs to a mesh edge, not to a place: two faces that share
//! an edge share the point, bit for bit, and contours are chained without
//! comparing coordinates.

use crate::error::{Error, Result};
use crate::mesh::TriMesh;
use crate::parallel::map_indices;
use nalgebra::{Point3, Unit, Vector3};

mod bridge;
mod chain;
mod contour;
mod curve;
mod hull;
mod outline;
mod smooth;
mod sweep;

pub use bridge::BridgeLimits;
pub(crate) use contour::contains;
pub use contour::{Closure, Contour};
pub use hull::Hull;

/// A closed contour of these points, for tests elsewhere.
#[cfg(test)]
pub(crate) fn closed_for_tests(points: Vec<[f64; 2]>) -> Contour {
    Contour::new(points, true)
}

/// Coordinate axes of a family of parallel planes: `normal` points up, `u` and `v` lie in the plane.
///
/// `u`, `v`, `normal` are right-handed. For level planes `u` is the body's x
/// (to the wearer's right) and `v` its y (forward).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneAxes {
    /// First direction in the plane.
    pub u: Unit<Vector3<f64>>,
    /// Second direction in the plane.
    pub v: Unit<Vector3<f64>>,
    /// Direction along which heights are counted, from the origin of the mesh's coordinates.
    pub normal: Unit<Vector3<f64>>,
}

impl PlaneAxes {
    /// Level planes: heights above the floor.
    pub const LEVEL: Self = Self {
        u: Unit::new_unchecked(Vector3::new(1.0, 0.0, 0.0)),
        v: Unit::new_unchecked(Vector3::new(0.0, 1.0, 0.0)),
        normal: Unit::new_unchecked(Vector3::new(0.0, 0.0, 1.0)),
    };

    /// Planes square to `normal`, with `u` as near to x as it can be (to y if `normal` is near x).
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if `normal` has no length or is not finite.
    pub fn square_to(normal: Vector3<f64>) -> Result<Self> {
        let normal = Unit::try_new(normal, f64::MIN_POSITIVE)
            .filter(|n| n.iter().all(|c| c.is_finite()))
            .ok_or_else(|| Error::options("the plane's normal has no direction"))?;
        let start = if normal.x.abs() < 0.9 {
            Vector3::x()
        } else {
            Vector3::y()
        };
        let u = Unit::new_normalize(start - *normal * normal.dot(&start));
        let v = Unit::new_unchecked(normal.cross(&u));
        Ok(Self { u, v, normal })
    }

    /// The point of space at `uv` in the plane at `height`.
    #[must_use]
    pub fn point(&self, uv: [f64; 2], height: f64) -> Point3<f64> {
        Point3::from(*self.u * uv[0] + *self.v * uv[1] + *self.normal * height)
    }

    /// Coordinates in the plane of a point of space.
    #[must_use]
    pub fn uv(&self, point: &Point3<f64>) -> [f64; 2] {
        [self.u.dot(&point.coords), self.v.dot(&point.coords)]
    }
}

/// Planes that are cut one after the other.
const FEW: usize = 3;

/// All contours in which one plane cuts a mesh.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Height of the plane along the normal, in mm.
    pub height_mm: f64,
    /// Contours in `u`, `v` of the plane, in a fixed order that depends on the mesh alone. Of a body in
    /// [pieces](TriMesh::is_in_pieces) those that overlap are one: the outline of them all.
    pub contours: Vec<Contour>,
}

/// Cuts one mesh at many planes of one direction.
///
/// # Units
/// Those of the mesh (mm in the body frame).
///
/// # Accuracy
/// Exact for the facets but for round-off (about 1e-13 of the coordinates).
/// A smooth round body is undershot by its facets: π²/6n² of the girth for n
/// equal ones, 0.02 % at 90.
///
/// # Cost
/// Linear in faces plus cut points, for one plane as for a thousand.
///
/// # Examples
/// ```
/// use girthwise::{mesh::TriMesh, section::Slicer};
/// use nalgebra::Point3;
/// // A pyramid with a square base of side 200 and its tip at 100.
/// let points = [[-100., -100., 0.], [100., -100., 0.], [100., 100., 0.], [-100., 100., 0.], [0., 0., 100.]];
/// let faces = vec![[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]];
/// let mesh = TriMesh::new(points.map(Point3::from).to_vec(), faces)?;
/// let section = Slicer::level(&mesh).cut(50.0);
/// assert_eq!(section.contours.len(), 1);
/// assert!((section.contours[0].surface_girth_mm() - 400.0).abs() < 1e-9);
/// # Ok::<(), girthwise::Error>(())
/// ```
#[derive(Clone, Debug)]
pub struct Slicer<'m> {
    mesh: &'m TriMesh,
    axes: PlaneAxes,
    slabs: Option<sweep::Slabs>,
    bridges: BridgeLimits,
}

impl<'m> Slicer<'m> {
    /// For level planes, heights above the floor of the mesh's frame.
    #[must_use]
    pub fn level(mesh: &'m TriMesh) -> Self {
        Self::along(mesh, PlaneAxes::LEVEL)
    }

    /// For planes of any direction.
    #[must_use]
    pub fn along(mesh: &'m TriMesh, axes: PlaneAxes) -> Self {
        Self {
            mesh,
            axes,
            slabs: None,
            bridges: BridgeLimits::default(),
        }
    }

    /// Sorted by height, so that each single [`cut`](Self::cut) costs no more than what it
    /// crosses. Worth it from about five single cuts on; [`cut_many`](Self::cut_many) needs none.
    #[must_use]
    pub fn indexed(mut self) -> Self {
        let (faces, points) = (self.mesh.faces(), self.mesh.points());
        self.slabs = Some(sweep::Slabs::fill(faces, points, |p| self.height(p)));
        self
    }

    /// With other limits for closing gaps where skin is missing.
    #[must_use]
    pub fn bridging(mut self, limits: BridgeLimits) -> Self {
        self.bridges = limits;
        self
    }

    /// The axes of the planes.
    #[must_use]
    pub fn axes(&self) -> &PlaneAxes {
        &self.axes
    }

    /// Cuts at one height.
    #[must_use]
    pub fn cut(&self, height_mm: f64) -> Section {
        if let Some(slabs) = &self.slabs {
            return self.section(height_mm, slabs.faces_near(height_mm));
        }
        let (faces, points) = (self.mesh.faces(), self.mesh.points());
        let crossing = sweep::crossing(faces, points, |p| self.height(p), height_mm);
        self.section(height_mm, crossing.iter().map(Vec::as_slice))
    }

    /// Cuts at many heights, in any order; sections come in the order of `heights_mm`.
    #[must_use]
    pub fn cut_many(&self, heights_mm: &[f64]) -> Vec<Section> {
        // Sorting the faces by plane pays from about as many planes on.
        if heights_mm.len() <= FEW {
            return heights_mm.iter().map(|&height| self.cut(height)).collect();
        }
        let (faces, points) = (self.mesh.faces(), self.mesh.points());
        let buckets = sweep::Buckets::fill(faces, points, |p| self.height(p), heights_mm);
        map_indices(heights_mm.len(), |plane| {
            self.section(heights_mm[plane], buckets.faces_at(plane))
        })
    }

    /// Height of a point along the normal: worked out where it is needed, since the point must be
    /// fetched anyway and a table of heights would cost a pass over the mesh for each direction.
    fn height(&self, point: &Point3<f64>) -> f64 {
        self.axes.normal.dot(&point.coords)
    }

    fn section<'f>(&self, height_mm: f64, faces: impl Iterator<Item = &'f [u32]>) -> Section {
        let mut chainer = chain::Chainer::default();
        let points = self.mesh.points();
        for &face in faces.flatten() {
            let corners = self.mesh.faces()[face as usize];
            let above = corners.map(|v| self.height(&points[v as usize]) >= height_mm);
            chainer.add(corners, above);
        }
        let chains = chainer.finish();
        let contours = chains
            .into_iter()
            .map(|chain| self.contour(height_mm, &chain))
            .collect();
        let mut contours = bridge::close(contours, &self.bridges);
        if self.mesh.is_in_pieces() {
            contours = outline::outlines(contours);
        }
        Section {
            height_mm,
            contours,
        }
    }

    fn contour(&self, height_mm: f64, chain: &chain::Chain) -> Contour {
        let points = chain
            .edges
            .iter()
            .map(|&edge| self.cut_point(edge, height_mm))
            .collect();
        let first = chain.edges.first().map_or(0, |edge| edge.vertices()[0]);
        Contour::new(points, chain.closed).of_piece(self.mesh.piece_of(first))
    }

    /// Where the plane cuts a mesh edge. The lower-numbered vertex leads, so
    /// that both faces at the edge get the same bits.
    fn cut_point(&self, edge: chain::EdgeKey, height_mm: f64) -> [f64; 2] {
        let [a, b] = edge.vertices();
        let (pa, pb) = (&self.mesh.points()[a], &self.mesh.points()[b]);
        let (ha, hb) = (self.height(pa), self.height(pb));
        let t = (height_mm - ha) / (hb - ha);
        self.axes.uv(&(pa + (pb - pa) * t))
    }
}

/// Cuts one mesh at one plane; for several planes of one direction a [`Slicer`] is faster.
#[must_use]
pub fn cut_at(mesh: &TriMesh, axes: PlaneAxes, height_mm: f64) -> Section {
    Slicer::along(mesh, axes).cut(height_mm)
}
