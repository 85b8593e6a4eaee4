//! Joining points that are the same to the last bit.

use super::TriMesh;
use nalgebra::Point3;
use std::collections::HashMap;

/// A mesh after [`TriMesh::weld_exact`], and what the weld did.
#[derive(Clone, Debug, PartialEq)]
pub struct Weld {
    /// The welded mesh.
    pub mesh: TriMesh,
    /// Points that were copies of an earlier one.
    pub merged_points: usize,
    /// Faces that had two corners at one place, and are gone.
    pub dropped_faces: usize,
}

impl TriMesh {
    /// Joins points with equal coordinates, as triangle soup needs before faces have neighbours.
    ///
    /// Equal means bit for bit, with -0 as 0: no tolerance, so no feature of the skin can be
    /// lost. The first copy stays, and points keep their order. Faces left with a repeated corner
    /// are dropped; they have no area.
    ///
    /// # Cost
    /// O(points + faces), one hash table of the distinct points.
    #[must_use]
    pub fn weld_exact(&self) -> Weld {
        // The table is only asked, never walked, so its order cannot reach the result.
        let mut seen: HashMap<[u64; 3], u32> = HashMap::new();
        let mut points = Vec::new();
        let new_index: Vec<u32> = self
            .points()
            .iter()
            .map(|point| {
                *seen.entry(key(point)).or_insert_with(|| {
                    points.push(*point);
                    last_index(&points)
                })
            })
            .collect();
        let faces: Vec<[u32; 3]> = self
            .faces()
            .iter()
            .map(|face| face.map(|at| new_index[at as usize]))
            .filter(|&[a, b, c]| a != b && b != c && c != a)
            .collect();
        Weld {
            merged_points: self.points().len() - points.len(),
            dropped_faces: self.faces().len() - faces.len(),
            mesh: Self::from_sound(points, faces),
        }
    }
}

fn key(point: &Point3<f64>) -> [u64; 3] {
    // Adding 0 turns -0 into 0 and changes nothing else.
    [point.x, point.y, point.z].map(|value| (value + 0.0).to_bits())
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "faces index points with u32, so points past u32::MAX are used by no face"
)]
fn last_index(points: &[Point3<f64>]) -> u32 {
    (points.len() - 1) as u32
}

#[cfg(test)]
mod tests {
    use super::super::samples::{icosphere, mesh};
    use super::*;

    /// Every face with three points of its own.
    fn soup(body: &TriMesh) -> TriMesh {
        let points: Vec<_> = (0..body.faces().len())
            .flat_map(|face| body.corners(face))
            .collect();
        let faces = (0..u32::try_from(points.len()).unwrap() / 3)
            .map(|face| [3 * face, 3 * face + 1, 3 * face + 2])
            .collect();
        TriMesh::new(points, faces).unwrap()
    }

    #[test]
    fn soup_becomes_a_closed_mesh_again() {
        let ball = mesh(icosphere(2));
        let soup = soup(&ball);
        assert_eq!(soup.stats().components, 320);
        let weld = soup.weld_exact();
        assert_eq!(weld.merged_points, 3 * 320 - 162);
        assert_eq!(weld.dropped_faces, 0);
        assert!(weld.mesh.stats().closed);
        assert_eq!(
            weld.mesh.signed_volume().total_cmp(&0.0),
            std::cmp::Ordering::Greater
        );
        for face in 0..320 {
            assert_eq!(weld.mesh.corners(face), ball.corners(face));
        }
    }

    #[test]
    fn zero_has_one_sign_and_near_points_stay_apart() {
        let next = f64::from_bits(1.0_f64.to_bits() + 1);
        let points = [
            [0.0, 0.0, 0.0],
            [1.0, 0.0, 0.0],
            [0.0, 1.0, 0.0],
            [-0.0, 0.0, -0.0],
            [next, 0.0, 0.0],
        ];
        let points = points.into_iter().map(Point3::from).collect();
        let weld = TriMesh::new(points, vec![[0, 1, 2], [3, 4, 2], [0, 3, 1]])
            .unwrap()
            .weld_exact();
        assert_eq!(weld.mesh.points().len(), 4);
        assert_eq!(weld.mesh.faces(), [[0, 1, 2], [0, 3, 2]]);
        assert_eq!(weld.dropped_faces, 1);
    }
}
