//! A thinner stand-in for a fine mesh: enough to see where things are, not to measure them.

use super::TriMesh;
use super::components::DisjointSets;
use crate::parallel::{map_chunks, map_slice};
use nalgebra::{Point3, Vector3};

/// A mesh with fewer points, and which of them stands for each point of the mesh it was made from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Thinned {
    /// The stand-in.
    pub(crate) mesh: TriMesh,
    /// For each point of the fine mesh, the stand-in's point.
    pub(crate) stand_in: Vec<u32>,
    /// For each point of the stand-in, the connected part of the fine mesh it is of: numbered in
    /// the order of their first points.
    pub(crate) part: Vec<u32>,
    /// How many connected parts there are.
    pub(crate) parts: usize,
}

/// Cells along the longest side of the box at most, so that three cell numbers fit in one word.
const MOST_CELLS: f64 = 1000.0;
/// Faces looked through at a time.
const BLOCK: usize = 1 << 16;

impl TriMesh {
    /// Joins the points of each cell of a grid that edges within the cell connect; their mean
    /// stands for them.
    ///
    /// What is not connected within a cell stays apart, however near: two skins a millimetre
    /// from each other do not grow together, and connected parts stay what they are. A round
    /// surface of radius r is drawn in by about cell² / 12 r.
    ///
    /// `cell` is a length in the unit of the points; it is taken no smaller than a thousandth of
    /// the mesh.
    ///
    /// # Cost
    /// Linear.
    pub(crate) fn thinned(&self, cell: f64) -> Thinned {
        let cells = self.cells(cell);
        let mut sets = DisjointSets::new(self.points().len());
        for &[a, b, c] in self.faces() {
            let [p, q, r] = [a, b, c].map(|v| cells[v as usize]);
            if p == q {
                sets.join(a, b);
            }
            if q == r {
                sets.join(b, c);
            }
            if r == p && p != q {
                sets.join(c, a);
            }
        }
        let (stand_in, points) = self.means(&mut sets);
        let crossing = map_chunks(self.faces(), BLOCK, |_, faces| {
            let (mut kept, mut links) = (Vec::new(), Vec::new());
            for face in faces {
                let [a, b, c] = face.map(|v| stand_in[v as usize]);
                match (a != b, b != c, c != a) {
                    (true, true, true) => kept.push([a, b, c]),
                    (false, false, false) => {}
                    (false, ..) => links.push([b, c]),
                    _ => links.push([a, b]),
                }
            }
            (kept, links)
        });
        let mut joined = DisjointSets::new(points.len());
        let mut faces = Vec::with_capacity(crossing.iter().map(|(kept, _)| kept.len()).sum());
        for (kept, links) in crossing {
            for &[a, b, c] in &kept {
                joined.join(a, b);
                joined.join(b, c);
            }
            links.iter().for_each(|&[a, b]| joined.join(a, b));
            faces.extend(kept);
        }
        let (part, parts) = joined.numbered();
        let mesh = Self::from_sound(points, faces);
        Thinned {
            mesh: if self.is_in_pieces() {
                mesh.in_pieces()
            } else {
                mesh
            },
            stand_in,
            part,
            parts,
        }
    }

    /// The cell of each point.
    fn cells(&self, cell: f64) -> Vec<u32> {
        let Some(bounds) = self.bounds() else {
            return Vec::new();
        };
        let per_length = 1.0 / cell.max(bounds.extent().max() / MOST_CELLS);
        map_slice(self.points(), |p| {
            let place = (p - bounds.min) * per_length;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "at most a thousand cells to a side, three times ten bits"
            )]
            let [x, y, z] = [place.x as u32, place.y as u32, place.z as u32];
            x | y << 10 | z << 20
        })
    }

    /// The number of each point's set, and the mean of each set's points.
    fn means(&self, sets: &mut DisjointSets) -> (Vec<u32>, Vec<Point3<f64>>) {
        let (stand_in, count) = sets.numbered();
        let mut sums = vec![(Vector3::zeros(), 0.0); count];
        for (p, &at) in self.points().iter().zip(&stand_in) {
            let (sum, n) = &mut sums[at as usize];
            *sum += p.coords;
            *n += 1.0;
        }
        let means = sums.into_iter().map(|(sum, n)| Point3::from(sum / n));
        (stand_in, means.collect())
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{cube, icosphere, mesh};
    use super::*;

    /// A ball in cells of a fifth of its radius keeps its place, its faces' side, and its volume
    /// to about three times cell² / 12 r² = 1 %.
    #[test]
    fn a_ball_stays_a_ball() {
        let ball = mesh(icosphere(6));
        let thin = ball.thinned(0.2);
        assert!(thin.mesh.faces().len() * 8 < ball.faces().len());
        assert_eq!(thin.parts, 1);
        let volume = thin.mesh.signed_volume();
        let exact = 4.0 / 3.0 * std::f64::consts::PI;
        assert!((0.97..1.0).contains(&(volume / exact)), "{volume}");
        assert!(thin.mesh.stats().closed);
    }

    /// Two balls a twentieth of a cell apart stay two: nothing joins what no edge does.
    #[test]
    fn neighbours_do_not_grow_together() {
        let ball = mesh(icosphere(6));
        let mut points = ball.points().to_vec();
        points.extend(ball.points().iter().map(|p| p + Vector3::x() * 2.01));
        let count = u32::try_from(ball.points().len()).unwrap();
        let mut faces = ball.faces().to_vec();
        faces.extend(ball.faces().iter().map(|f| f.map(|v| v + count)));
        let thin = TriMesh::new(points, faces).unwrap().thinned(0.2);
        assert_eq!(thin.parts, 2);
        assert_eq!(thin.mesh.components().count(), 2);
        assert_eq!(thin.part[thin.stand_in[0] as usize], 0);
        assert_eq!(thin.part[thin.stand_in[count as usize] as usize], 1);
    }

    /// A part smaller than a cell keeps its number, though none of its faces are left.
    #[test]
    fn specks_are_counted() {
        let mut points: Vec<Point3<f64>> = mesh(icosphere(4)).points().to_vec();
        let mut faces = mesh(icosphere(4)).faces().to_vec();
        let first = u32::try_from(points.len()).unwrap();
        points.extend(
            cube()
                .0
                .iter()
                .map(|p| Point3::from(p.map(|x| 1e-3 * x)) + Vector3::new(3.03, 0.03, 0.03)),
        );
        faces.extend(cube().1.iter().map(|f| f.map(|v| v + first)));
        let thin = TriMesh::new(points, faces).unwrap().thinned(0.1);
        assert_eq!(thin.parts, 2);
        assert_eq!(thin.mesh.components().count(), 1);
    }

    #[test]
    fn nothing_thinned_is_nothing() {
        let thin = TriMesh::default().thinned(1.0);
        assert_eq!((thin.mesh, thin.parts), (TriMesh::default(), 0));
    }
}
