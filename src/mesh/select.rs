//! Some of a mesh's faces as a mesh of their own.

use super::TriMesh;
use crate::parallel::{map_chunks, map_slice};
use nalgebra::Point3;

/// Faces looked through at a time.
const BLOCK: usize = 1 << 16;

impl TriMesh {
    /// The faces for which `keep` holds, in order; points in the order in which these first name them.
    pub(crate) fn select(&self, keep: impl Fn(&[u32; 3]) -> bool + Sync + Send) -> Self {
        const NONE: u32 = u32::MAX;
        let kept = map_chunks(self.faces(), BLOCK, |_, faces| {
            let kept = faces.iter().filter(|face| keep(face));
            kept.copied().collect::<Vec<_>>()
        });
        let mut faces = kept.concat();
        let mut points = Vec::new();
        let mut pieces = Vec::new();
        let mut number = vec![NONE; self.points().len()];
        let mut next = 0;
        for at in faces.as_flattened_mut() {
            let place = &mut number[*at as usize];
            if *place == NONE {
                *place = next;
                next += 1;
                points.push(self.points()[*at as usize]);
                pieces.extend(self.pieces.get(*at as usize));
            }
            *at = *place;
        }
        Self {
            points,
            faces,
            pieces,
        }
    }

    /// The faces that lie wholly in a box: cuts of a limb need no more.
    pub(crate) fn within(&self, low: Point3<f64>, high: Point3<f64>) -> Self {
        let inside = map_slice(self.points(), |p| {
            (0..3).all(|k| low[k] <= p[k] && p[k] <= high[k])
        });
        self.select(|face| face.iter().all(|&v| inside[v as usize]))
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{icosphere, mesh};
    use super::*;

    #[test]
    fn half_a_ball_has_half_the_faces_and_their_corners() {
        let ball = mesh(icosphere(3));
        let upper = |face: &[u32; 3]| {
            let heights = face.map(|v| ball.points()[v as usize].z);
            heights.iter().sum::<f64>() > 0.0
        };
        let half = ball.select(upper);
        let corners: Vec<_> = (0..half.faces().len()).map(|f| half.corners(f)).collect();
        let expected: Vec<_> = (0..ball.faces().len())
            .filter(|&f| upper(&ball.faces()[f]))
            .map(|f| ball.corners(f))
            .collect();
        assert_eq!(corners, expected);
        assert_eq!(half.stats().loose_vertices, 0);
        assert_eq!(ball.select(|_| false), TriMesh::default());
    }

    #[test]
    fn a_box_holds_what_lies_wholly_in_it() {
        let ball = mesh(icosphere(3));
        let cap = ball.within(Point3::new(-2.0, -2.0, 0.5), Point3::new(2.0, 2.0, 2.0));
        assert!(!cap.faces().is_empty());
        assert!(cap.points().iter().all(|p| p.z >= 0.5));
        assert!(
            ball.within(Point3::origin(), Point3::origin())
                .faces()
                .is_empty()
        );
    }
}
