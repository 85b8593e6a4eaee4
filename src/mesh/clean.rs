//! Mending what a file got wrong about a surface, before anything is measured on it.
//!
//! Only what has one meaning is mended: corners at one place become one point, faces that are
//! there twice or have no area go, a triangle that stands on the skin by one edge goes, and faces
//! are turned to agree with their neighbours. Holes stay holes. A sound mesh is passed through
//! after one look at its faces.

use super::sides::{Side, between, edges, unsettled};
use super::{TriMesh, stats::is_flat};
use crate::finding::Finding;

/// A mesh after [`TriMesh::clean`].
#[derive(Clone, Debug, PartialEq)]
pub struct Cleaned {
    /// The mended mesh.
    pub mesh: TriMesh,
    /// What was mended, and what could not be.
    pub findings: Vec<Finding>,
}

/// Points at a rim are joined if they are no farther apart than this share of the median edge
/// there, so that no detail a scanner could have meant is lost ...
const SHARE_OF_EDGE: f64 = 0.05;
/// ... nor than this share of the diagonal of the mesh: 0.1 mm on a person. Coordinates of 16 bits
/// differ by up to 0.03 mm where two parts meet that were rounded apart.
const SHARE_OF_SIZE: f64 = 5e-5;

impl TriMesh {
    /// Welds, takes out faces that are no part of a surface, and turns the rest one way.
    ///
    /// Points are joined first where they are the same to the last bit, then, among those still
    /// at a rim, where they are closer than 5 % of the median edge there and 0.005 % of the
    /// diagonal of the mesh. Faces are turned only in parts whose faces disagree, and then so that
    /// the part's volume is positive. All but the first look works only where something is the
    /// matter; what cancels by itself (a face and its mirror image on one edge) is not seen.
    ///
    /// # Cost
    /// O(points + faces); on a sound mesh one pass of a few additions for each face. Sides at
    /// faults are sorted.
    #[must_use]
    pub fn clean(self) -> Cleaned {
        let mut findings = Vec::new();
        let marked = unsettled(&self);
        if !marked.contains(&true) {
            return Cleaned {
                mesh: self,
                findings,
            };
        }
        let (mesh, marked) = welded(self, marked, &mut findings);
        let (mesh, marked) = without_strays(mesh, marked, &mut findings);
        let mesh = turned(mesh, &marked, &mut findings);
        let (mesh, _) = mesh.without_loose_points();
        Cleaned { mesh, findings }
    }
}

fn welded(
    mut mesh: TriMesh,
    mut marked: Vec<bool>,
    findings: &mut Vec<Finding>,
) -> (TriMesh, Vec<bool>) {
    let exact = mesh.weld_marked(&marked, None);
    if exact.merged_points > 0 {
        findings.push(Finding::note(
            "welding",
            format!(
                "{} corners stood at the place of another one and were joined with it, so that \
                 faces have neighbours.",
                exact.merged_points
            ),
        ));
        mesh = exact.mesh;
        marked = unsettled(&mesh);
    }
    let Some(reach) = reach(&mesh, &marked) else {
        return (mesh, marked);
    };
    let near = mesh.weld_marked(&marked, Some(reach));
    if near.merged_points > 0 {
        findings.push(Finding::note(
            "welding",
            format!(
                "{} points at rims stood within {reach:.2e} file units of another one, as \
                 rounding leaves them, and were joined with it.",
                near.merged_points
            ),
        ));
        mesh = near.mesh;
        marked = unsettled(&mesh);
    }
    (mesh, marked)
}

/// How far apart points at a rim may be to be one; `None` without a rim.
fn reach(mesh: &TriMesh, marked: &[bool]) -> Option<f64> {
    let sides = between(mesh, marked);
    let points = mesh.points();
    let mut lengths: Vec<f64> = edges(&sides)
        .filter(|edge| edge.len() == 1)
        .map(|edge| (points[edge[0].high as usize] - points[edge[0].low as usize]).norm())
        .collect();
    let middle = lengths.len().checked_sub(1)? / 2;
    let (_, &mut median, _) = lengths.select_nth_unstable_by(middle, f64::total_cmp);
    let size = mesh.bounds()?.extent().norm();
    let reach = (SHARE_OF_EDGE * median).min(SHARE_OF_SIZE * size);
    (reach > 0.0 && reach.is_finite()).then_some(reach)
}

/// Edges of a face at which something is the matter.
#[derive(Clone, Copy, Default)]
struct Around {
    /// Edges with no other face.
    rims: u8,
    /// Edges with three faces or more.
    crowded: u8,
}

/// A face longer than this share of the diagonal is no fin, however it stands.
const LONGEST_FIN: f64 = 0.05;

/// Takes out faces that are there twice, have no area, or stand on the skin by one edge.
fn without_strays(
    mut mesh: TriMesh,
    mut marked: Vec<bool>,
    findings: &mut Vec<Finding>,
) -> (TriMesh, Vec<bool>) {
    let longest = LONGEST_FIN * mesh.bounds().map_or(0.0, |bounds| bounds.extent().norm());
    let mut tell = |count: usize, topic: &str, what: &str| {
        if count > 0 {
            findings.push(Finding::note(topic, format!("{count} faces {what}.")));
        }
        count > 0
    };
    let copies = copies(&mesh, &marked);
    if tell(
        remove(&mut mesh, &copies),
        "faces twice",
        "were there twice; one of each was kept",
    ) {
        marked = unsettled(&mesh);
    }
    // A face without area that joins two others is left: without it the skin would have a slit.
    let flat = chosen(&mesh, &marked, |mesh, face, around| {
        around.rims + around.crowded > 0 && is_flat(&mesh.corners(face))
    });
    if tell(
        remove(&mut mesh, &flat),
        "faces without area",
        "had no area and were dropped",
    ) {
        marked = unsettled(&mesh);
    }
    let fins = chosen(&mesh, &marked, |mesh, face, around| {
        let [a, b, c] = mesh.corners(face);
        let length = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        around.rims == 2 && around.crowded == 1 && length <= longest
    });
    if tell(
        remove(&mut mesh, &fins),
        "fins",
        "stood on the skin by one edge and were dropped",
    ) {
        marked = unsettled(&mesh);
    }
    let crowded = edges(&between(&mesh, &marked))
        .filter(|edge| edge.len() > 2)
        .count();
    if crowded > 0 {
        findings.push(Finding::look(
            "crowded edges",
            format!(
                "At {crowded} mesh edges more than two faces meet, so it is open which of them are \
                 skin; look at girths near folds and where parts touch, or mend the scan in the \
                 program it comes from."
            ),
        ));
    }
    (mesh, marked)
}

/// Later faces with the three corners of an earlier one, in order.
fn copies(mesh: &TriMesh, marked: &[bool]) -> Vec<u32> {
    let mut sorted: Vec<([u32; 3], u32)> = mesh
        .faces()
        .iter()
        .zip(0..)
        .filter(|(face, _)| face.iter().all(|&at| marked[at as usize]))
        .map(|(&(mut face), at)| {
            face.sort_unstable();
            (face, at)
        })
        .collect();
    sorted.sort_unstable();
    let pairs = sorted.windows(2).filter(|pair| pair[0].0 == pair[1].0);
    let mut later: Vec<u32> = pairs.map(|pair| pair[1].1).collect();
    later.sort_unstable();
    later
}

/// Faces at faults that `fits` wants, in order.
fn chosen(
    mesh: &TriMesh,
    marked: &[bool],
    fits: impl Fn(&TriMesh, usize, Around) -> bool,
) -> Vec<u32> {
    let sides = between(mesh, marked);
    let mut faults: Vec<(u32, bool)> = edges(&sides)
        .filter(|edge| edge.len() != 2)
        .flat_map(|edge| edge.iter().map(|side| (side.face, edge.len() == 1)))
        .collect();
    faults.sort_unstable();
    faults
        .chunk_by(|one, other| one.0 == other.0)
        .filter(|of_face| {
            let mut around = Around::default();
            for &(_, rim) in *of_face {
                around.rims += u8::from(rim);
                around.crowded += u8::from(!rim);
            }
            fits(mesh, of_face[0].0 as usize, around)
        })
        .map(|of_face| of_face[0].0)
        .collect()
}

/// Takes out faces, given in order; says how many.
fn remove(mesh: &mut TriMesh, gone: &[u32]) -> usize {
    if !gone.is_empty() {
        let (points, faces) = (mesh.points().to_vec(), mesh.faces());
        let mut waiting = gone.iter().peekable();
        let kept = faces.iter().zip(0..);
        let kept = kept.filter(|&(_, at)| waiting.next_if(|&&next| next == at).is_none());
        let kept = kept.map(|(&face, _)| face).collect();
        *mesh = TriMesh::from_sound(points, kept);
    }
    gone.len()
}

/// Turns faces so that neighbours agree, in parts where some do not, and the part's volume is
/// positive.
fn turned(mesh: TriMesh, marked: &[bool], findings: &mut Vec<Finding>) -> TriMesh {
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
