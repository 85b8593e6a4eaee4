//! Joining points that are the same, to the last bit or to a reach.

use super::TriMesh;
use foldhash::HashMap;
use nalgebra::Point3;

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
        self.weld_marked(&vec![true; self.points().len()], None)
    }

    /// True if [`weld_marked`](Self::weld_marked) would join any points: asks the marked ones alone,
    /// of which a scan with a few holes has few.
    pub(super) fn has_copies(&self, marked: &[bool], reach: Option<f64>) -> bool {
        let mut table = Table::new(self, reach);
        let mut kept: Vec<Point3<f64>> = Vec::new();
        let mut points = self.points().iter().zip(marked);
        points.any(|(point, &marked)| {
            let next = next_index(&kept);
            let is_copy = marked && table.find_or_add(point, next, &kept) != next;
            if marked {
                kept.push(*point);
            }
            is_copy
        })
    }

    /// Joins marked points that are equal, or within `reach` of an earlier one that was kept.
    pub(super) fn weld_marked(&self, marked: &[bool], reach: Option<f64>) -> Weld {
        let mut table = Table::new(self, reach);
        let mut points: Vec<Point3<f64>> = Vec::with_capacity(self.points().len());
        let mut new_index = Vec::with_capacity(self.points().len());
        for (point, &marked) in self.points().iter().zip(marked) {
            let next = next_index(&points);
            let index = if marked {
                table.find_or_add(point, next, &points)
            } else {
                next
            };
            if index == next {
                points.push(*point);
            }
            new_index.push(index);
        }
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

/// The points kept so far. It is only asked, never walked, so its order cannot reach the result.
enum Table {
    Exact(HashMap<(u64, u64, u64), u32>),
    Near(Near),
}

impl Table {
    fn new(mesh: &TriMesh, reach: Option<f64>) -> Self {
        match reach {
            None => Self::Exact(HashMap::default()),
            Some(reach) => Self::Near(Near::new(mesh, reach)),
        }
    }

    fn find_or_add(&mut self, point: &Point3<f64>, next: u32, points: &[Point3<f64>]) -> u32 {
        match self {
            Self::Exact(seen) => *seen.entry(key(point)).or_insert(next),
            Self::Near(near) => near.find_or_add(point, next, points),
        }
    }
}

/// Points by the cells of a grid. Those of one cell are farther apart than its side, so there
/// are few.
struct Near {
    reach: f64,
    corner: Point3<f64>,
    cells: HashMap<[i64; 3], Vec<u32>>,
}

impl Near {
    fn new(mesh: &TriMesh, reach: f64) -> Self {
        Self {
            reach,
            corner: mesh
                .bounds()
                .map_or_else(Point3::origin, |bounds| bounds.min),
            cells: HashMap::default(),
        }
    }

    fn find_or_add(&mut self, point: &Point3<f64>, next: u32, points: &[Point3<f64>]) -> u32 {
        let cell = self.cell(point);
        // The earliest within reach: not the nearest, so that the order of asking does not matter.
        let mut found: Option<u32> = None;
        for step in 0..27 {
            let near = [
                cell[0].saturating_add(step % 3 - 1),
                cell[1].saturating_add(step / 3 % 3 - 1),
                cell[2].saturating_add(step / 9 - 1),
            ];
            let kept = self.cells.get(&near).into_iter().flatten();
            for &at in kept.filter(|&&at| (points[at as usize] - point).norm() <= self.reach) {
                found = Some(found.map_or(at, |earlier| earlier.min(at)));
            }
        }
        found.unwrap_or_else(|| {
            self.cells.entry(cell).or_default().push(next);
            next
        })
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "a cell too far to number is one with its neighbours; distances decide"
    )]
    fn cell(&self, point: &Point3<f64>) -> [i64; 3] {
        [0, 1, 2].map(|axis| ((point[axis] - self.corner[axis]) / self.reach).floor() as i64)
    }
}

fn key(point: &Point3<f64>) -> (u64, u64, u64) {
    // Adding 0 turns -0 into 0 and changes nothing else.
    let [x, y, z] = [point.x, point.y, point.z].map(|value| (value + 0.0).to_bits());
    (x, y, z)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "faces index points with u32, so points past u32::MAX are used by no face"
)]
fn next_index(points: &[Point3<f64>]) -> u32 {
    points.len() as u32
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
    fn copies_are_seen_before_anything_is_built() {
        let ball = mesh(icosphere(2));
        let all = |mesh: &TriMesh| vec![true; mesh.points().len()];
        assert!(!ball.has_copies(&all(&ball), None));
        let soup = soup(&ball);
        assert!(soup.has_copies(&all(&soup), None));
        assert!(!soup.has_copies(&vec![false; soup.points().len()], None));
        // The edges of this ball are about 0.3 long.
        assert!(!ball.has_copies(&all(&ball), Some(0.01)));
        assert!(ball.has_copies(&all(&ball), Some(0.5)));
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
