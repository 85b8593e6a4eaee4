//! Mending what a file got wrong about a surface, before anything is measured on it.
//!
//! Only what has one meaning is mended: corners at one place become one point, faces that are
//! there twice or have no area go, a triangle that stands on the skin by one edge goes, and faces
//! are turned to agree with their neighbours. Holes stay holes. A sound mesh is passed through
//! after one look at its faces.

use super::sides::{between, edges, unsettled};
use super::turn::turned;
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
    if mesh.has_copies(&marked, None) {
        let exact = mesh.weld_marked(&marked, None);
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
    if mesh.has_copies(&marked, Some(reach)) {
        let near = mesh.weld_marked(&marked, Some(reach));
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
pub(super) fn copies(mesh: &TriMesh, marked: &[bool]) -> Vec<u32> {
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

#[cfg(test)]
mod tests {
    use super::super::samples::{icosphere, mesh};
    use super::*;
    use crate::section::Slicer;
    use nalgebra::Point3;

    type Shape = (Vec<Point3<f64>>, Vec<[u32; 3]>);
    /// What is done to a ball, and the topics of what must be told of it.
    type Case<'a> = (&'a dyn Fn(&mut Shape), &'a [&'a str]);

    /// A ball of 1280 faces, radius 1.
    fn ball() -> TriMesh {
        mesh(icosphere(3))
    }

    fn spoilt(spoil: impl Fn(&mut Shape)) -> Cleaned {
        let ball = ball();
        let mut shape = (ball.points().to_vec(), ball.faces().to_vec());
        spoil(&mut shape);
        TriMesh::new(shape.0, shape.1).unwrap().clean()
    }

    fn soup((points, faces): &mut Shape) {
        *points = faces
            .as_flattened()
            .iter()
            .map(|&at| points[at as usize])
            .collect();
        *faces = (0..u32::try_from(faces.len()).unwrap())
            .map(|face| [3 * face, 3 * face + 1, 3 * face + 2])
            .collect();
    }

    fn twice((_, faces): &mut Shape) {
        for at in (0..1280).step_by(10) {
            let [a, b, c] = faces[at];
            faces.push(if at % 20 == 0 { [b, c, a] } else { [b, a, c] });
        }
    }

    fn turned_over((_, faces): &mut Shape) {
        for face in faces.iter_mut().step_by(7) {
            face.swap(0, 1);
        }
    }

    /// A needle along one edge in ten, and a triangle standing on one in twenty.
    fn strays((points, faces): &mut Shape) {
        for at in (0..1280).step_by(10) {
            let [a, b, _] = faces[at];
            let middle = nalgebra::center(&points[a as usize], &points[b as usize]);
            let next = u32::try_from(points.len()).unwrap();
            points.push(if at % 20 == 0 { middle * 1.05 } else { middle });
            faces.push([a, b, next]);
        }
    }

    /// The points of every second face moved by less than rounding to 16 bits would.
    fn rounded(shape: &mut Shape) {
        soup(shape);
        for face in shape.0.chunks_mut(3).step_by(2) {
            face.iter_mut().for_each(|point| point.x += 4e-5);
        }
    }

    fn girths(mesh: &TriMesh) -> Vec<f64> {
        let sections = Slicer::level(mesh).cut_many(&[-0.613, 0.0421, 0.377]);
        let girth = |section: &crate::section::Section| {
            assert_eq!(section.contours.len(), 1);
            assert!(section.contours[0].is_closed());
            section.contours[0].surface_girth_mm()
        };
        sections.iter().map(girth).collect()
    }

    #[test]
    fn whatever_was_done_to_a_ball_its_girths_are_the_same() {
        let sound = girths(&ball());
        // Closed form: a circle at height h has girth 2 pi sqrt(1 - h^2); the facets of this ball
        // lie up to 1 % inside it.
        for (girth, height) in sound.iter().zip([-0.613, 0.0421, 0.377_f64]) {
            let circle = 2.0 * std::f64::consts::PI * (1.0 - height * height).sqrt();
            assert!((girth / circle - 0.995).abs() < 0.005, "{girth} {circle}");
        }
        let all = |shape: &mut Shape| {
            turned_over(shape);
            twice(shape);
            strays(shape);
            soup(shape);
        };
        let spoilers: [Case; 5] = [
            (&soup, &["welding"]),
            (&twice, &["faces twice"]),
            (&turned_over, &["faces"]),
            (&strays, &["faces without area", "fins"]),
            (
                &all,
                &[
                    "welding",
                    "faces twice",
                    "faces without area",
                    "fins",
                    "faces",
                ],
            ),
        ];
        for (spoil, told) in spoilers {
            let cleaned = spoilt(spoil);
            let topics: Vec<_> = cleaned.findings.iter().map(|f| f.topic.as_str()).collect();
            assert_eq!(topics, told);
            assert_eq!(cleaned.mesh.faces().len(), 1280);
            let stats = cleaned.mesh.stats();
            assert!(stats.closed && stats.evenly_oriented());
            assert!(cleaned.mesh.signed_volume() > 0.0);
            for (one, other) in girths(&cleaned.mesh).iter().zip(&sound) {
                assert!((one - other).abs() < 1e-9, "{told:?}: {one} {other}");
            }
        }
    }

    #[test]
    fn seams_left_open_by_rounding_are_closed_within_the_reach() {
        let cleaned = spoilt(rounded);
        assert!(cleaned.mesh.stats().closed);
        assert!(
            cleaned
                .findings
                .iter()
                .any(|f| f.text.contains("file units"))
        );
        // No point moves by more than the reach, 5e-5 of a diagonal of 2 sqrt 3: 1.8e-4.
        for (one, other) in girths(&cleaned.mesh).iter().zip(girths(&ball())) {
            assert!((one - other).abs() < 2.0 * std::f64::consts::PI * 1.8e-4);
        }
    }

    #[test]
    fn a_gap_wider_than_the_reach_stays_open_and_a_sound_mesh_stays_as_it_is() {
        let wide = spoilt(|shape| {
            soup(shape);
            for point in &mut shape.0[..1920] {
                point.x += 1e-3;
            }
        });
        assert!(wide.mesh.stats().boundary_edges > 0);
        let sound = ball().clean();
        assert_eq!((sound.mesh, sound.findings), (ball(), Vec::new()));
        assert_eq!(TriMesh::default().clean().findings, []);
    }

    #[test]
    fn a_sheet_too_long_for_a_fin_stays_and_is_told() {
        let cleaned = spoilt(|(points, faces)| {
            points.push(Point3::new(3.0, 0.0, 0.0));
            faces.push([faces[0][0], faces[0][1], 642]);
        });
        assert_eq!(cleaned.mesh.faces().len(), 1281);
        assert_eq!(cleaned.findings[0].topic, "crowded edges");
    }
}
