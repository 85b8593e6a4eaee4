//! Where a mesh is not simply two faces to an edge, found in one pass.

use super::TriMesh;

/// A side of a face whose two points both stand out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Side {
    pub(super) low: u32,
    pub(super) high: u32,
    pub(super) face: u32,
    /// True if the face runs from the lower point to the higher.
    pub(super) upwards: bool,
}

/// Marks the points at which something is the matter: a rim, a fin, a face twice, a face turned
/// over. On a sound mesh none is marked.
///
/// Where two faces meet along an edge and agree on outside, one runs along it to and one fro. So
/// each point adds up a number for every point it is left towards, and takes it off for every
/// point it is reached from: nothing remains. The numbers are 64 scrambled bits, so that a
/// remainder does not vanish by chance. Faults that cancel by themselves are not seen: a face and
/// the same face turned over, or two sound shells that share an edge. They leave lengths alone or
/// have no one cure.
///
/// # Cost
/// O(points + faces), some ten additions for each face.
pub(super) fn unsettled(mesh: &TriMesh) -> Vec<bool> {
    let mut sums = vec![0_u64; mesh.points().len()];
    for &[a, b, c] in mesh.faces() {
        let [p, q, r] = [a, b, c].map(scramble);
        for (at, towards, from) in [(a, q, r), (b, r, p), (c, p, q)] {
            let sum = &mut sums[at as usize];
            *sum = sum.wrapping_add(towards).wrapping_sub(from);
        }
    }
    sums.into_iter().map(|sum| sum != 0).collect()
}

/// 64 bits of which each depends on all of the number (finaliser of splitmix64, Steele, Lea and
/// Flood 2014, doi 10.1145/2660193.2660195).
fn scramble(number: u32) -> u64 {
    let mut x = (u64::from(number) + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

/// All sides between marked points, those of one edge together, in the order of points and faces.
///
/// An edge at which something is the matter has both ends marked, so it is here with all its faces.
pub(super) fn between(mesh: &TriMesh, marked: &[bool]) -> Vec<Side> {
    let mut sides = Vec::new();
    for (&[a, b, c], face) in mesh.faces().iter().zip(0..) {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            if from != to && marked[from as usize] && marked[to as usize] {
                sides.push(Side {
                    low: from.min(to),
                    high: from.max(to),
                    face,
                    upwards: from < to,
                });
            }
        }
    }
    sides.sort_unstable();
    sides
}

/// The sides of one edge after the other.
pub(super) fn edges(sides: &[Side]) -> impl Iterator<Item = &[Side]> {
    sides.chunk_by(|one, other| (one.low, one.high) == (other.low, other.high))
}

#[cfg(test)]
mod tests {
    use super::super::samples::{icosphere, mesh};
    use super::*;

    #[test]
    fn a_sound_mesh_has_no_marks_and_a_fault_marks_its_edges() {
        let (points, faces) = icosphere(2);
        let sound = mesh((points.clone(), faces.clone()));
        assert!(unsettled(&sound).iter().all(|&marked| !marked));
        for spoil in [
            |faces: &mut Vec<[u32; 3]>| _ = faces.pop(),
            |faces: &mut Vec<[u32; 3]>| faces.push(faces[319]),
            |faces: &mut Vec<[u32; 3]>| faces[319].swap(0, 1),
        ] {
            let mut faces = faces.clone();
            let at = faces[319];
            spoil(&mut faces);
            let marked = unsettled(&mesh((points.clone(), faces)));
            let mut listed: Vec<_> = (0..).zip(&marked).filter(|m| *m.1).map(|m| m.0).collect();
            let mut expected = at.to_vec();
            listed.sort_unstable();
            expected.sort_unstable();
            assert_eq!(listed, expected);
        }
    }
}
