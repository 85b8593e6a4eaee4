//! Which faces share which edges.

use crate::mesh::TriMesh;

/// No face, or no edge.
pub(super) const NONE: u32 = u32::MAX;

/// Edges of a mesh and the faces on either side.
#[derive(Clone, Debug)]
pub(super) struct Links {
    /// The edges of each face.
    pub(super) edges: Vec<[u32; 3]>,
    /// The two vertices of each edge.
    pub(super) ends: Vec<[u32; 2]>,
    /// The two faces at each edge, [`NONE`] where there is not exactly one more.
    faces: Vec<[u32; 2]>,
    /// Vertices at which skin is missing, or faces do not simply lie side by side.
    pub(super) rim: Vec<bool>,
}

impl Links {
    pub(super) fn of(mesh: &TriMesh) -> Self {
        let mut sides: Vec<(u32, u32, u32)> = Vec::with_capacity(3 * mesh.faces().len());
        for (&[a, b, c], face) in mesh.faces().iter().zip(0..) {
            for (p, q) in [(a, b), (b, c), (c, a)] {
                sides.push((p.min(q), p.max(q), face));
            }
        }
        sides.sort_unstable();
        let mut links = Self {
            edges: vec![[NONE; 3]; mesh.faces().len()],
            ends: Vec::new(),
            faces: Vec::new(),
            rim: vec![false; mesh.points().len()],
        };
        for (group, edge) in sides.chunk_by(|s, t| (s.0, s.1) == (t.0, t.1)).zip(0..) {
            let (p, q, _) = group[0];
            links.ends.push([p, q]);
            links.faces.push(match *group {
                [(.., one), (.., other)] => [one, other],
                _ => {
                    links.rim[p as usize] = true;
                    links.rim[q as usize] = true;
                    [NONE; 2]
                }
            });
            for &(.., face) in group {
                let corners = mesh.faces()[face as usize];
                let side = (0..3).find(|&k| {
                    let (v, w) = (corners[k], corners[(k + 1) % 3]);
                    (v.min(w), v.max(w)) == (p, q) && links.edges[face as usize][k] == NONE
                });
                if let Some(k) = side {
                    links.edges[face as usize][k] = edge;
                }
            }
        }
        links
    }

    /// The face on the other side of an edge; [`NONE`] if it is not crossed.
    pub(super) fn across(&self, edge: u32, face: u32) -> u32 {
        let [one, other] = self.faces[edge as usize];
        if one == face { other } else { one }
    }

    pub(super) fn has(&self, edge: u32, vertex: u32) -> bool {
        self.ends[edge as usize].contains(&vertex)
    }

    /// Edges and faces passed in turning about a vertex from one face to another, not over `not`;
    /// `Some(None)` if skin is missing there, `None` if the faces about the vertex do not close up.
    pub(super) fn fan(
        &self,
        vertex: u32,
        from: u32,
        not: u32,
        to: u32,
    ) -> Option<Option<Vec<(u32, u32)>>> {
        let (mut face, mut last) = (from, not);
        let mut passed = Vec::new();
        while face != to {
            let next = self.edges[face as usize]
                .into_iter()
                .find(|&edge| edge != last && self.has(edge, vertex))?;
            face = self.across(next, face);
            if face == NONE {
                return Some(None);
            }
            passed.push((next, face));
            last = next;
            if passed.len() > self.edges.len() {
                return None;
            }
        }
        Some(Some(passed))
    }
}
