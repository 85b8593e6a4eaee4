//! The connected parts of a mesh: a body, a floor, debris.

use super::TriMesh;

/// Which connected part each face belongs to.
///
/// Two faces are of one component if a chain of faces joins them, each sharing a point with the
/// next. Components are numbered in the order of their first face. A mesh of triangle soup has as
/// many components as faces: [weld](TriMesh::weld_exact) it first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Components {
    of_face: Vec<u32>,
    sizes: Vec<usize>,
}

impl Components {
    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.sizes.len()
    }

    /// The component of each face.
    #[must_use]
    pub fn of_face(&self) -> &[u32] {
        &self.of_face
    }

    /// Number of faces of each component.
    #[must_use]
    pub fn sizes(&self) -> &[usize] {
        &self.sizes
    }

    /// The component with most faces, the earliest of equals; `None` without faces.
    #[must_use]
    pub fn largest(&self) -> Option<u32> {
        let most = *self.sizes.iter().max()?;
        (0..)
            .zip(&self.sizes)
            .find_map(|(at, &size)| (size == most).then_some(at))
    }
}

impl TriMesh {
    /// Finds the connected components.
    ///
    /// # Cost
    /// Linear but for the inverse Ackermann function (union-find with halved paths).
    #[must_use]
    pub fn components(&self) -> Components {
        const NONE: u32 = u32::MAX;
        let mut sets = self.joined_points();
        let mut number = vec![NONE; self.points().len()];
        let mut sizes = Vec::new();
        let mut next = 0;
        let of_face = self
            .faces()
            .iter()
            .map(|face| {
                let slot = &mut number[sets.root(face[0]) as usize];
                if *slot == NONE {
                    *slot = next;
                    next += 1;
                    sizes.push(0);
                }
                sizes[*slot as usize] += 1;
                *slot
            })
            .collect();
        Components { of_face, sizes }
    }

    /// The points that chains of faces join.
    fn joined_points(&self) -> DisjointSets {
        let mut sets = DisjointSets::new(self.points().len());
        for &[a, b, c] in self.faces() {
            sets.join(a, b);
            sets.join(b, c);
        }
        sets
    }

    /// True if it is one thing made of several pieces, so that where these lie over each other its skin
    /// is the outside of them all, and a cut's contours are outlines.
    ///
    /// False for a mesh as it is read; [`find_frame`](crate::frame::find_frame) finds it out of a body.
    #[must_use]
    pub fn is_in_pieces(&self) -> bool {
        !self.pieces.is_empty()
    }

    /// The same mesh, taken as one thing made of several pieces: its components.
    #[must_use]
    pub fn in_pieces(self) -> Self {
        let (pieces, _) = self.joined_points().numbered();
        Self { pieces, ..self }
    }

    /// Which piece of a body in pieces a point is of; 0 in a body that is one.
    pub(crate) fn piece_of(&self, point: usize) -> u32 {
        self.pieces.get(point).copied().unwrap_or(0)
    }

    /// The mesh of the listed components alone, with the points they use, in the old order.
    ///
    /// `components` must come from this mesh; numbers that do not exist select nothing.
    #[must_use]
    pub fn keep_components(&self, components: &Components, keep: &[u32]) -> Self {
        let mut wanted = vec![false; components.count()];
        for &number in keep {
            if let Some(slot) = wanted.get_mut(number as usize) {
                *slot = true;
            }
        }
        let faces = self.faces().iter().zip(components.of_face());
        let faces = faces
            .filter(|&(_, &number)| wanted[number as usize])
            .map(|(&face, _)| face)
            .collect();
        Self::from_sound(self.points().to_vec(), faces)
            .without_loose_points()
            .0
    }

    /// One mesh for each component, in the order of their numbers.
    ///
    /// `components` must come from this mesh. Points of each part come in the order its faces
    /// first name them; points that no face uses are left out.
    ///
    /// # Cost
    /// Linear, however many components there are.
    #[must_use]
    pub fn split(&self, components: &Components) -> Vec<Self> {
        const NONE: u32 = u32::MAX;
        let mut parts = vec![Self::default(); components.count()];
        // A point belongs to one component at most, so one table serves all parts.
        let mut new_index = vec![NONE; self.points().len()];
        let mut used = vec![0_u32; components.count()];
        for (face, &number) in self.faces().iter().zip(components.of_face()) {
            let part = &mut parts[number as usize];
            let used = &mut used[number as usize];
            part.faces.push(face.map(|at| {
                let slot = &mut new_index[at as usize];
                if *slot == NONE {
                    *slot = *used;
                    *used += 1;
                    part.points.push(self.points[at as usize]);
                }
                *slot
            }));
        }
        parts
    }
}

/// Union-find; the root is the smallest index of its set, so the outcome has one form only.
pub(super) struct DisjointSets {
    parent: Vec<u32>,
}

impl DisjointSets {
    pub(super) fn new(count: usize) -> Self {
        // Indices past u32 are beyond what a face can name.
        Self {
            parent: (0..=u32::MAX).take(count).collect(),
        }
    }

    fn root(&mut self, mut at: u32) -> u32 {
        while self.parent[at as usize] != at {
            let above = self.parent[self.parent[at as usize] as usize];
            self.parent[at as usize] = above;
            at = above;
        }
        at
    }

    pub(super) fn join(&mut self, a: u32, b: u32) {
        // Neighbours mostly hang on the same item already.
        if self.parent[a as usize] == self.parent[b as usize] {
            return;
        }
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b) as usize] = a.min(b);
    }

    /// For each item the number of its set, in the order of their first items, and how many there are.
    pub(super) fn numbered(&mut self) -> (Vec<u32>, usize) {
        let mut number: Vec<u32> = Vec::with_capacity(self.parent.len());
        let mut count = 0;
        for at in (0..=u32::MAX).take(self.parent.len()) {
            // The root is the smallest of its set, so it has its number already.
            let root = self.root(at);
            if root == at {
                number.push(count);
                count += 1;
            } else {
                number.push(number[root as usize]);
            }
        }
        (number, count as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{cube, icosphere, mesh};
    use super::*;
    use nalgebra::Point3;

    /// Cube, ball, cube, and a point of no face.
    fn three_parts() -> TriMesh {
        let mut points: Vec<Point3<f64>> = Vec::new();
        let mut faces = Vec::new();
        for part in [mesh(cube()), mesh(icosphere(1)), mesh(cube())] {
            let from = u32::try_from(points.len()).unwrap();
            points.extend(part.points());
            faces.extend(part.faces().iter().map(|face| face.map(|at| at + from)));
        }
        points.push(Point3::new(99.0, 0.0, 0.0));
        TriMesh::new(points, faces).unwrap()
    }

    #[test]
    fn components_are_numbered_by_first_face() {
        let found = three_parts().components();
        assert_eq!(found.sizes(), [12, 80, 12]);
        assert_eq!(found.largest(), Some(1));
        assert_eq!(found.of_face()[11..13], [0, 1]);
        assert_eq!(TriMesh::default().components().largest(), None);
    }

    #[test]
    fn one_can_keep_some_or_take_all_apart() {
        let all = three_parts();
        let found = all.components();
        let ball = all.keep_components(&found, &[1, 77]);
        assert_eq!(ball, mesh(icosphere(1)));
        let cubes = all.keep_components(&found, &[2, 0]);
        assert_eq!((cubes.points().len(), cubes.faces().len()), (16, 24));
        let parts = all.split(&found);
        assert_eq!(parts.len(), 3);
        for (part, whole) in parts.iter().zip([cube(), icosphere(1), cube()]) {
            let whole = mesh(whole);
            assert_eq!(part.points().len(), whole.points().len());
            for face in 0..whole.faces().len() {
                assert_eq!(part.corners(face), whole.corners(face));
            }
        }
    }
}
