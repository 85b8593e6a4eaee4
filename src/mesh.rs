//! Placeholder until ingest lands.
use nalgebra::Point3;

/// Triangle mesh.
#[derive(Clone, Debug, Default)]
pub struct TriMesh {
    points: Vec<Point3<f64>>,
    faces: Vec<[u32; 3]>,
}
impl TriMesh {
    /// New.
    pub fn new(points: Vec<Point3<f64>>, faces: Vec<[u32; 3]>) -> crate::Result<Self> {
        Ok(Self { points, faces })
    }
    /// Points.
    #[must_use]
    pub fn points(&self) -> &[Point3<f64>] {
        &self.points
    }
    /// Faces.
    #[must_use]
    pub fn faces(&self) -> &[[u32; 3]] {
        &self.faces
    }
}
