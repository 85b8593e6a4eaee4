//! Turning faces so that all agree on which side is outside.

use super::TriMesh;
use super::sides::{Side, between, edges};
use crate::finding::Finding;

/// Turns faces so that neighbours agree, in parts where some do not, and the part's volume is
/// positive.
pub(super) fn turned(mesh: TriMesh, marked: &[bool], findings: &mut Vec<Finding>) -> TriMesh {
    let disagree = |edge: &[Side]| edge.len() == 2 && edge[0].upwards == edge[1].upwards;
    if !edges(&between(&mesh, marked)).any(disagree) {
        return mesh;
    }
    let mut parts = Parts::new(mesh.faces().len());
    let mut twisted = 0_usize;
    let all = vec![true; mesh.points().len()];
    for edge in edges(&between(&mesh, &all)).filter(|edge| edge.len() == 2) {
        let agree = parts.join(edge[0].face, edge[1].face, disagree(edge));
        twisted += usize::from(!agree);
    }
    let turn = parts.outwards(&mesh);
    let count = turn.iter().filter(|&&turn| turn).count();
    findings.push(Finding::note(
        "faces",
        format!(
            "{count} faces ({:.1} %) looked the other way than the skin around them and were turned.",
            100.0 * share(count, turn.len())
        ),
    ));
    if twisted > 0 {
        findings.push(Finding::look(
            "faces",
            format!(
                "At {twisted} mesh edges inside and outside run into each other, which no turning \
                 mends; look whether the body is whole there."
            ),
        ));
    }
    let faces = mesh.faces().iter().zip(turn);
    let faces = faces
        .map(|(&[a, b, c], turn)| if turn { [a, c, b] } else { [a, b, c] })
        .collect();
    TriMesh::from_sound(mesh.points().to_vec(), faces)
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a share to be shown in a tenth of a per cent"
)]
fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole as f64
}

/// Faces joined into parts, each knowing if it runs against the face it hangs on.
struct Parts {
    above: Vec<u32>,
    against: Vec<bool>,
    /// Parts, by their root, in which two faces disagreed.
    mixed: Vec<bool>,
}

impl Parts {
    fn new(faces: usize) -> Self {
        Self {
            above: (0..=u32::MAX).take(faces).collect(),
            against: vec![false; faces],
            mixed: vec![false; faces],
        }
    }

    /// The root of a face's part, and if the face runs against it. Shortens the way there.
    fn root(&mut self, start: u32) -> (u32, bool) {
        let (mut at, mut against) = (start, false);
        while self.above[at as usize] != at {
            against ^= self.against[at as usize];
            at = self.above[at as usize];
        }
        let (root, sum) = (at, against);
        let (mut at, mut rest) = (start, against);
        while self.above[at as usize] != root && at != root {
            let next = self.above[at as usize];
            let own = std::mem::replace(&mut self.against[at as usize], rest);
            self.above[at as usize] = root;
            rest ^= own;
            at = next;
        }
        (root, sum)
    }

    /// Joins the parts of two faces that disagree or do not; false if that cannot be.
    fn join(&mut self, a: u32, b: u32, disagree: bool) -> bool {
        let ((a, a_against), (b, b_against)) = (self.root(a), self.root(b));
        let against = a_against ^ b_against ^ disagree;
        let (low, high) = (a.min(b), a.max(b));
        self.mixed[low as usize] |= disagree | self.mixed[high as usize];
        if a == b {
            return !against;
        }
        self.above[high as usize] = low;
        self.against[high as usize] = against;
        true
    }

    /// Which faces to turn: in mixed parts, those against the way that makes the volume positive.
    fn outwards(&mut self, mesh: &TriMesh) -> Vec<bool> {
        let ways: Vec<_> = (0..=u32::MAX)
            .take(self.above.len())
            .map(|at| self.root(at))
            .collect();
        let mut volumes = vec![0.0; ways.len()];
        // Any apex will do for a closed part; the middle of the mesh serves one with holes best.
        let middle = mesh
            .bounds()
            .map_or_else(nalgebra::Point3::origin, |b| b.centre());
        for (face, &(root, against)) in ways.iter().enumerate() {
            let [a, b, c] = mesh.corners(face).map(|p| p - middle);
            let volume = a.dot(&b.cross(&c));
            volumes[root as usize] += if against { -volume } else { volume };
        }
        let turn = |&(root, against): &(u32, bool)| {
            self.mixed[root as usize] && against != (volumes[root as usize] < 0.0)
        };
        ways.iter().map(turn).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{icosphere, mesh};
    use super::super::sides::unsettled;
    use super::*;

    #[test]
    fn a_band_with_a_twist_is_told() {
        // Five points and five triangles, each of three points in a row: the least band of one side.
        let points = (0..5_u8)
            .map(|k| {
                let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 5.0).sin_cos();
                [cos, sin, f64::from(k % 2)]
            })
            .collect();
        let faces = (0..5).map(|k| [k, (k + 1) % 5, (k + 2) % 5]).collect();
        let band = mesh((points, faces));
        let mut findings = Vec::new();
        let marked = unsettled(&band);
        let left = turned(band, &marked, &mut findings);
        assert_eq!(left.stats().misoriented_edges, 1);
        assert!(
            findings[1].text.starts_with("At 1 mesh edges"),
            "{findings:?}"
        );
    }

    #[test]
    fn most_faces_turned_over_are_turned_back_all_the_same() {
        let (points, mut faces) = icosphere(2);
        faces.iter_mut().take(300).for_each(|face| face.swap(0, 1));
        let spoilt = mesh((points, faces));
        let mut findings = Vec::new();
        let mended = turned(spoilt.clone(), &unsettled(&spoilt), &mut findings);
        assert!(mended.signed_volume() > 4.0);
        assert!(
            findings[0].text.starts_with("300 faces (93.8 %)"),
            "{findings:?}"
        );
    }
}
