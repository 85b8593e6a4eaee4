//! The shape that stands for a landmark.

/// Half the height of a marker, in metres.
const REACH: f32 = 0.006;

/// An octahedron about the origin: points in metres, faces outwards.
pub(super) fn octahedron() -> (Vec<[f32; 3]>, Vec<[u32; 3]>) {
    let r = REACH;
    let points = vec![
        [r, 0.0, 0.0],
        [-r, 0.0, 0.0],
        [0.0, r, 0.0],
        [0.0, -r, 0.0],
        [0.0, 0.0, r],
        [0.0, 0.0, -r],
    ];
    let faces = vec![
        [0, 2, 4],
        [2, 1, 4],
        [1, 3, 4],
        [3, 0, 4],
        [2, 0, 5],
        [1, 2, 5],
        [3, 1, 5],
        [0, 3, 5],
    ];
    (points, faces)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::TriMesh;
    use nalgebra::Point3;

    /// Volume of a regular octahedron with vertices at distance r from its centre: 4/3 r³; positive
    /// only if its faces look outwards.
    #[test]
    fn faces_look_outwards_and_close() {
        let (points, faces) = octahedron();
        let points = points
            .iter()
            .map(|&[x, y, z]| Point3::new(f64::from(x), f64::from(y), f64::from(z)))
            .collect();
        let mesh = TriMesh::new(points, faces).unwrap();
        let r = f64::from(REACH);
        let volume = 4.0 / 3.0 * r.powi(3);
        assert!((mesh.signed_volume() - volume).abs() < 1e-6 * volume);
    }
}
