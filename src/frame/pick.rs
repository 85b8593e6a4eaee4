//! Which piece of the file is the body.

use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::mesh::TriMesh;
use nalgebra::{Matrix3, Point3, Vector3};
use std::collections::HashSet;

/// A connected piece of a mesh.
#[derive(Clone, Debug)]
struct Piece {
    /// Its number among the parts.
    number: u32,
    area: f64,
    /// Its own main directions, longest first, as rows.
    directions: Matrix3<f64>,
    /// Its lengths along them.
    sizes: [f64; 3],
    /// Its box, in the main directions of the first body: boxes along a file's axes would depend on how the
    /// body lies in it.
    low: Vector3<f64>,
    high: Vector3<f64>,
}

/// What of a mesh is the body.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Choice {
    /// The parts that are; `None` if all are.
    pub(super) parts: Option<Vec<u32>>,
    /// Square to the largest plate that was left out, be it a floor, a turntable or a board.
    pub(super) plate: Option<Vector3<f64>>,
}

/// Pieces with less than this share of the body's skin are debris, whatever they are.
const SMALL: f64 = 0.01;
/// A piece thinner than this share of its length is a plate (a sheet, a turntable) if it is flat that way only,
/// a rod if it is so both ways. A body seen from one side only is still 0.09 of its height deep.
const THIN: f64 = 0.08;
/// Shells of one body lie within this share of its height of each other.
const APART: f64 = 0.02;
/// A piece that stands apart is a second body if it has this share of the first one's skin and of its length.
const SECOND: f64 = 0.5;

/// Chooses the parts that are the body, of `count` that `of_face` names. What is to be dropped is told.
///
/// A part too small for a face of its own is debris.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if there is no face with area, or a second body.
pub(super) fn choose(
    mesh: &TriMesh,
    of_face: &[u32],
    count: usize,
    findings: &mut Vec<Finding>,
) -> Result<Choice> {
    let faces = faces_of(of_face, count);
    let numbered = faces.iter().zip(0..);
    let mut pieces: Vec<Piece> = numbered
        .map(|(faces, number)| measure(mesh, faces, number))
        .collect();
    pieces.retain(|p| p.area > 0.0);
    let specks = count - pieces.len();
    pieces.sort_by(|a, b| b.area.total_cmp(&a.area));
    let first = pieces
        .iter()
        .position(|p| !p.is_plate() && !p.is_rod())
        .ok_or_else(|| {
            Error::body(
                "the mesh is flat, a line or a point, not a body; export the scan as a surface of triangles",
            )
        })?;
    if pieces.len() > 1 {
        let directions = pieces[first].directions;
        for piece in &mut pieces {
            piece.enclose(mesh, &faces[piece.number as usize], &directions);
        }
    }
    let body = pieces.remove(outermost(&pieces, first));
    let gap = APART * body.sizes[0];
    let mut whole = body.clone();
    let mut kept = vec![body.number];
    let mut dropped: Vec<Piece> = Vec::new();
    let is_solid =
        |piece: &Piece| piece.area > SMALL * body.area && !piece.is_plate() && !piece.is_rod();
    let mut skin = Skin::new(gap);
    // Most files have one piece, or specks beside it.
    if pieces.iter().any(is_solid) {
        skin.add(mesh, &faces[body.number as usize]);
    }
    // Largest first: an arm hangs on the trunk, a hand on the arm.
    for piece in pieces {
        let solid = is_solid(&piece);
        let like = piece.area > SECOND * body.area && piece.sizes[0] > SECOND * body.sizes[0];
        let beside = piece.near(&whole, gap);
        if solid && like && !beside {
            return Err(Error::body(format!(
                "two bodies: beside the largest piece stands another with {:.0} % of its skin; save each person as a file of their own",
                100.0 * piece.area / body.area
            )));
        }
        let own = &faces[piece.number as usize];
        let lining = like && piece.is_lining_of(&body);
        // Two shells of one body, its front and its back, need not come near each other anywhere.
        if solid && beside && !lining && (like || skin.touches(mesh, own)) {
            whole.join(&piece);
            skin.add(mesh, own);
            kept.push(piece.number);
        } else {
            dropped.push(piece);
        }
    }
    if dropped.is_empty() && specks == 0 {
        return Ok(Choice {
            parts: None,
            plate: None,
        });
    }
    findings.push(told(&dropped, specks, &body, whole.area));
    let plate = dropped
        .iter()
        .find(|p| p.is_plate() && p.area > SMALL * whole.area)
        .map(|p| p.directions.row(2).transpose());
    Ok(Choice {
        parts: Some(kept),
        plate,
    })
}

/// The first piece that is neither plate nor rod, or one about as large that lies around it.
fn outermost(pieces: &[Piece], first: usize) -> usize {
    let around = pieces
        .iter()
        .skip(first + 1)
        .position(|p| p.area > SECOND * pieces[first].area && pieces[first].is_lining_of(p));
    around.map_or(first, |n| first + 1 + n)
}

fn told(dropped: &[Piece], specks: usize, body: &Piece, area: f64) -> Finding {
    let plates = dropped
        .iter()
        .filter(|p| p.is_plate() && p.area > SMALL * area)
        .count();
    let share: f64 = dropped.iter().map(|p| p.area).sum::<f64>() / area;
    let lining = dropped
        .iter()
        .any(|p| p.area > SECOND * area && p.is_lining_of(body));
    let lining = if lining {
        ", a second skin inside the first among them"
    } else {
        ""
    };
    let what = match plates {
        0 => "",
        _ => ", a flat one like a floor or turntable among them",
    };
    let pieces = match dropped.len() + specks {
        1 => "one loose piece".to_owned(),
        n => format!("{n} loose pieces"),
    };
    Finding::note(
        "debris",
        format!(
            "left out {pieces} beside the body{what}{lining}; their skin comes to {:.1} % of the body's",
            100.0 * share
        ),
    )
}

impl Piece {
    fn is_rod(&self) -> bool {
        self.sizes[1] < THIN * self.sizes[0]
    }

    fn is_plate(&self) -> bool {
        !self.is_rod() && self.sizes[2] < THIN * self.sizes[0]
    }

    /// Lays its box along some directions.
    fn enclose(&mut self, mesh: &TriMesh, faces: &[usize], directions: &Matrix3<f64>) {
        let corners = faces.iter().flat_map(|&face| mesh.corners(face));
        (self.low, self.high) = corners.map(|p| directions * p.coords).fold(
            (
                Vector3::repeat(f64::INFINITY),
                Vector3::repeat(f64::NEG_INFINITY),
            ),
            |(low, high), p| (low.inf(&p), high.sup(&p)),
        );
    }

    fn near(&self, other: &Self, gap: f64) -> bool {
        (0..3).all(|k| self.low[k] < other.high[k] + gap && other.low[k] - gap < self.high[k])
    }

    fn is_lining_of(&self, other: &Self) -> bool {
        (0..3).all(|k| self.low[k] >= other.low[k] && self.high[k] <= other.high[k])
    }

    fn join(&mut self, other: &Self) {
        self.low = self.low.inf(&other.low);
        self.high = self.high.sup(&other.high);
        self.area += other.area;
    }
}

/// The space about the skin of what is kept, in cubes as wide as the gap that shells may leave.
///
/// Boxes about the pieces do not do: that of a body with its arms held out has room for lumps of
/// debris as large as a foot.
struct Skin {
    gap: f64,
    cubes: HashSet<[i64; 3]>,
}

impl Skin {
    fn new(gap: f64) -> Self {
        Self {
            gap,
            cubes: HashSet::new(),
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "a body is a few hundred gaps long; what is farther off saturates"
    )]
    fn cube(&self, p: &Point3<f64>) -> [i64; 3] {
        [p.x, p.y, p.z].map(|x| (x / self.gap).floor() as i64)
    }

    /// Corners and middles of faces: of facets wider than twice the gap some room is missed.
    fn places<'m>(mesh: &'m TriMesh, faces: &'m [usize]) -> impl Iterator<Item = Point3<f64>> + 'm {
        faces.iter().flat_map(|&face| {
            let [a, b, c] = mesh.corners(face);
            [
                a,
                b,
                c,
                Point3::from((a.coords + b.coords + c.coords) / 3.0),
            ]
        })
    }

    fn add(&mut self, mesh: &TriMesh, faces: &[usize]) {
        for place in Self::places(mesh, faces) {
            let cube = self.cube(&place);
            self.cubes.insert(cube);
        }
    }

    /// True if any of the faces lies in a cube of the skin or in one next to it.
    fn touches(&self, mesh: &TriMesh, faces: &[usize]) -> bool {
        let cubes: HashSet<[i64; 3]> = Self::places(mesh, faces).map(|p| self.cube(&p)).collect();
        let next = || -1..=1;
        let steps: Vec<[i64; 3]> = next()
            .flat_map(|i| next().flat_map(move |j| next().map(move |k| [i, j, k])))
            .collect();
        cubes.iter().any(|cube| {
            let beside = |step: &[i64; 3]| [0, 1, 2].map(|n| cube[n].saturating_add(step[n]));
            steps.iter().any(|step| self.cubes.contains(&beside(step)))
        })
    }
}

fn faces_of(of_face: &[u32], count: usize) -> Vec<Vec<usize>> {
    let mut groups = vec![Vec::new(); count];
    for (&number, face) in of_face.iter().zip(0..) {
        if let Some(group) = groups.get_mut(number as usize) {
            group.push(face);
        }
    }
    groups
}

fn measure(mesh: &TriMesh, faces: &[usize], number: u32) -> Piece {
    let corners = |face: &usize| mesh.corners(*face);
    let mut area = 0.0;
    let mut middle = Vector3::zeros();
    for [a, b, c] in faces.iter().map(corners) {
        let part = (b - a).cross(&(c - a)).norm() / 2.0;
        area += part;
        middle += (a.coords + b.coords + c.coords) * (part / 3.0);
    }
    let mut main: [(f64, Vector3<f64>); 3] = Default::default();
    if area > 0.0 {
        // What shape a piece is shows on some of its faces as on all.
        let some = || {
            faces
                .iter()
                .step_by(faces.len().div_ceil(SAMPLE))
                .map(corners)
        };
        let directions = main_directions(some(), middle / area);
        main = [0, 1, 2].map(|k| {
            let direction = directions.column(k).into_owned();
            let along = some().flatten().map(|p| direction.dot(&p.coords));
            let (least, most) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
                (l.min(x), h.max(x))
            });
            (most - least, direction)
        });
        main.sort_by(|a, b| b.0.total_cmp(&a.0));
    }
    Piece {
        number,
        area,
        directions: Matrix3::from_rows(&main.map(|(_, direction)| direction.transpose())),
        sizes: main.map(|(size, _)| size),
        low: Vector3::zeros(),
        high: Vector3::zeros(),
    }
}

/// Faces of a piece of which its lengths are taken; a body's are then 15 mm apart.
const SAMPLE: usize = 16_384;

fn main_directions(
    corners: impl Iterator<Item = [Point3<f64>; 3]>,
    middle: Vector3<f64>,
) -> Matrix3<f64> {
    let mut spread = Matrix3::zeros();
    for [a, b, c] in corners {
        let part = (b - a).cross(&(c - a)).norm();
        for p in [a, b, c] {
            let d = p.coords - middle;
            spread += d * d.transpose() * part;
        }
    }
    spread.symmetric_eigen().eigenvectors
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::samples::icosphere;

    /// Ellipsoids with their middles and half-axes, in mm.
    fn scene(parts: &[([f64; 3], [f64; 3])]) -> TriMesh {
        let (shape, faces) = icosphere(4);
        let mut points = Vec::new();
        let mut all = Vec::new();
        for (middle, half) in parts {
            let first = u32::try_from(points.len()).unwrap();
            let place = |p: &[f64; 3]| Point3::from([0, 1, 2].map(|k| middle[k] + half[k] * p[k]));
            points.extend(shape.iter().map(place));
            all.extend(faces.iter().map(|face| face.map(|corner| corner + first)));
        }
        TriMesh::new(points, all).unwrap()
    }

    fn kept(mesh: &TriMesh) -> (Option<Vec<u32>>, Vec<Finding>) {
        let (parts, mut findings) = (mesh.components(), Vec::new());
        let choice = choose(mesh, parts.of_face(), parts.count(), &mut findings).unwrap();
        (choice.parts, findings)
    }

    const TRUNK: ([f64; 3], [f64; 3]) = ([0.0; 3], [150.0, 100.0, 850.0]);
    /// 10 mm off the trunk, as where a scan is torn at the armpit, with 4 % of its skin.
    const ARMS: [([f64; 3], [f64; 3]); 2] = [
        ([220.0, 0.0, 0.0], [60.0, 60.0, 60.0]),
        ([-220.0, 0.0, 0.0], [60.0, 60.0, 60.0]),
    ];

    #[test]
    fn what_hangs_on_the_body_stays() {
        let (kept, findings) = kept(&scene(&[TRUNK, ARMS[0], ARMS[1]]));
        assert_eq!(kept, None);
        assert!(findings.is_empty());
    }

    /// Beside the shoulder, between trunk and arm as boxes go: 135 mm off the skin.
    #[test]
    fn a_lump_beside_the_body_goes() {
        let lump = ([280.0, 0.0, 700.0], [60.0, 60.0, 60.0]);
        let mesh = scene(&[TRUNK, ARMS[0], ARMS[1], lump]);
        let (kept, findings) = kept(&mesh);
        let bounds = mesh
            .keep_components(&mesh.components(), &kept.unwrap())
            .bounds()
            .unwrap();
        assert!((bounds.max.x - 280.0).abs() < 1e-6, "{bounds:?}");
        assert_eq!(findings[0].topic, "debris");
    }

    /// An arm that touches the body by its hand's neighbour only: each hangs on what was kept before.
    #[test]
    fn a_chain_of_shells_stays() {
        let hand = ([340.0, 0.0, 0.0], [50.0, 50.0, 50.0]);
        let (kept, _) = kept(&scene(&[TRUNK, hand, ARMS[0]]));
        assert_eq!(kept, None);
    }
}
