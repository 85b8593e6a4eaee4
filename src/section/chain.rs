//! Segments of a plane cut, linked into ordered chains by the mesh edges they share.

/// A mesh edge: both vertex numbers in one word, the lower one in the high half.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct EdgeKey(u64);

impl EdgeKey {
    fn new(a: u32, b: u32) -> Self {
        Self(u64::from(a.min(b)) << 32 | u64::from(a.max(b)))
    }

    /// The edge's vertices, lower number first.
    pub(super) fn vertices(self) -> [usize; 2] {
        [(self.0 >> 32) as usize, (self.0 & 0xffff_ffff) as usize]
    }
}

/// An ordered run of cut edges.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Chain {
    /// Cut edges in order; a closed chain does not repeat its first.
    pub(super) edges: Vec<EdgeKey>,
    /// True if the last meets the first.
    pub(super) closed: bool,
}

/// Collects the segments of one plane and links them.
#[derive(Debug, Default)]
pub(super) struct Chainer {
    /// Two ends a segment: where the plane enters the face, where it leaves.
    ends: Vec<EdgeKey>,
}

/// Marks an end without a neighbour.
const NONE: u32 = u32::MAX;

impl Chainer {
    /// Adds the segment in which the plane cuts a face; a face wholly on one side adds none.
    pub(super) fn add(&mut self, [a, b, c]: [u32; 3], above: [bool; 3]) {
        // The corner that is alone on its side has both cut edges. Walking
        // with the faces wound outward, what is above stays on one hand, so
        // that segments of well-wound faces run the same way round.
        let (alone, next, last, is_above) = match above {
            [true, false, false] => (a, b, c, true),
            [false, true, false] => (b, c, a, true),
            [false, false, true] => (c, a, b, true),
            [false, true, true] => (a, b, c, false),
            [true, false, true] => (b, c, a, false),
            [true, true, false] => (c, a, b, false),
            _ => return,
        };
        let pair = [EdgeKey::new(alone, next), EdgeKey::new(alone, last)];
        self.ends
            .extend(if is_above { pair } else { [pair[1], pair[0]] });
    }

    /// Links the segments. The order of chains and their starts depends only
    /// on the order in which segments were added.
    pub(super) fn finish(self) -> Vec<Chain> {
        let mate = self.mates();
        let count = self.ends.len() / 2;
        let mut used = vec![false; count];
        let mut chains = Vec::new();
        // Open chains first, each from a loose end: a closed walk could
        // otherwise begin in the middle of one.
        for end in 0..self.ends.len() {
            if mate[end] == NONE && !used[end / 2] {
                chains.push(self.walk(end, &mate, &mut used));
            }
        }
        for segment in 0..count {
            if !used[segment] {
                chains.push(self.walk(2 * segment, &mate, &mut used));
            }
        }
        chains
    }

    /// For each segment end the end it meets on the same mesh edge.
    ///
    /// Where more than two segments meet (a fin, a doubled face) they pair
    /// off in the order they came: entering with leaving ends first, so that
    /// well-wound sheets stay apart.
    fn mates(&self) -> Vec<u32> {
        let mut order: Vec<(EdgeKey, u32)> = self.ends.iter().copied().zip(0..).collect();
        order.sort_unstable();
        let mut mate = vec![NONE; self.ends.len()];
        let mut link = |a: u32, b: u32| {
            mate[a as usize] = b;
            mate[b as usize] = a;
        };
        for group in order.chunk_by(|x, y| x.0 == y.0) {
            match *group {
                [_] => {}
                [(_, a), (_, b)] => link(a, b),
                _ => {
                    let kind = |odd: u32| group.iter().map(|g| g.1).filter(move |e| e % 2 == odd);
                    kind(0).zip(kind(1)).for_each(|(a, b)| link(a, b));
                    let paired = kind(0).count().min(kind(1).count());
                    let rest: Vec<u32> = kind(0).skip(paired).chain(kind(1).skip(paired)).collect();
                    rest.chunks_exact(2).for_each(|two| link(two[0], two[1]));
                }
            }
        }
        mate
    }

    fn walk(&self, start: usize, mate: &[u32], used: &mut [bool]) -> Chain {
        let mut edges = vec![self.ends[start]];
        let mut end = start;
        loop {
            used[end / 2] = true;
            let out = end ^ 1;
            let next = mate[out];
            if next == NONE {
                edges.push(self.ends[out]);
                return Chain {
                    edges,
                    closed: false,
                };
            }
            if used[next as usize / 2] {
                return Chain {
                    edges,
                    closed: true,
                };
            }
            edges.push(self.ends[out]);
            end = next as usize;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chains(faces: &[[u32; 3]], above: &[bool]) -> Vec<Chain> {
        let mut chainer = Chainer::default();
        for face in faces {
            chainer.add(*face, face.map(|v| above[v as usize]));
        }
        chainer.finish()
    }

    /// Octahedron: belt 1-2-3-4, tip 5 above, tip 0 below.
    const OCTAHEDRON: [[u32; 3]; 8] = [
        [0, 2, 1],
        [0, 3, 2],
        [0, 4, 3],
        [0, 1, 4],
        [5, 1, 2],
        [5, 2, 3],
        [5, 3, 4],
        [5, 4, 1],
    ];

    #[test]
    fn a_closed_mesh_gives_closed_chains() {
        let found = chains(&OCTAHEDRON, &[false, false, false, false, false, true]);
        assert_eq!(found.len(), 1);
        assert!(found[0].closed);
        assert_eq!(found[0].edges.len(), 4);
    }

    #[test]
    fn a_missing_face_opens_the_chain_without_losing_a_segment() {
        for gone in 4..8 {
            let mut faces = OCTAHEDRON.to_vec();
            faces.remove(gone);
            let found = chains(&faces, &[false, false, false, false, false, true]);
            assert_eq!(found.len(), 1, "without face {gone}");
            assert!(!found[0].closed);
            assert_eq!(found[0].edges.len(), 4);
        }
    }

    #[test]
    fn turned_faces_change_nothing_but_the_direction() {
        let mut faces = OCTAHEDRON.to_vec();
        faces[5].reverse();
        faces[6].reverse();
        let found = chains(&faces, &[false, false, false, false, false, true]);
        assert_eq!(found.len(), 1);
        assert!(found[0].closed);
        assert_eq!(found[0].edges.len(), 4);
    }

    #[test]
    fn a_doubled_mesh_gives_each_chain_twice() {
        let faces = [OCTAHEDRON, OCTAHEDRON].concat();
        let found = chains(&faces, &[false, false, false, false, false, true]);
        let segments: usize = found.iter().map(|chain| chain.edges.len()).sum();
        assert_eq!(segments, 8);
        assert!(found.iter().all(|chain| chain.closed));
    }
}
