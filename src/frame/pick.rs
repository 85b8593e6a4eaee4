//! Which pieces of the file are the body.

use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::mesh::TriMesh;
use nalgebra::{Matrix3, Point3, Vector3};

mod skin;

use skin::Skin;

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
    /// Share of its skin that shows in a view along its shortest direction, from both sides.
    flat: f64,
    /// True if its faces look all ways alike: it goes all round, as no front or back alone does.
    is_round: bool,
    /// The room its skin takes up, once it was asked for.
    skin: Skin,
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
/// Least share of its skin that a plate shows to those who look square at it: 0.86 for a disc or a square as thick as
/// a plate can be (1 / (1 + 2·THIN)), 0.64 for half a tube (2/π): the front of a slender body is no floor.
const FLAT: f64 = 0.85;
/// Shells of one body lie within this share of its height of each other.
const APART: f64 = 0.02;
/// What stands apart is a second body if it has this share of the first one's skin and of its length.
const SECOND: f64 = 0.5;
/// A piece is round if its faces, each as long as its area in the way it looks, sum to less than this share of
/// its skin: 0.64 for half a tube, 0.19 for five sixths of one (2·sin(θ/2)/θ for an arc of θ), 0 for a closed one.
const ROUND: f64 = 0.2;

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
    let is_solid =
        |piece: &Piece| piece.area > SMALL * body.area && !piece.is_plate() && !piece.is_rod();
    let mut whole = Group::of(body.clone());
    // Most files have one piece, or specks beside it.
    if pieces.iter().any(is_solid) {
        whole.bounds.skin = Skin::of(mesh, &faces[body.number as usize], gap);
        for piece in pieces.iter_mut().filter(|piece| is_solid(piece)) {
            piece.skin = Skin::of(mesh, &faces[piece.number as usize], gap);
        }
    }
    let dropped = whole.grow(pieces, |piece, whole| {
        let like = piece.area > SECOND * body.area && piece.sizes[0] > SECOND * body.sizes[0];
        // Two shells of one body, its front and its back, need not come near each other anywhere.
        let is_half = like && !(piece.is_round && body.is_round);
        let is_lining = like && piece.is_lining_of(&body);
        is_solid(piece)
            && !is_lining
            && piece.near(&whole.bounds, gap)
            && (is_half || piece.skin.touches(&whole.bounds.skin))
    });
    let apart = |piece: &&Piece| is_solid(piece) && !piece.is_lining_of(&whole.bounds);
    refuse_second(dropped.iter().filter(apart).cloned().collect(), &whole)?;
    if whole.kept.len() > 1 {
        findings.push(Finding::note(
            "pieces",
            format!(
                "the body is made of {} pieces; where they lie over each other, a girth goes round the outside of all, over clothes and hair that are pieces of their own too",
                whole.kept.len()
            ),
        ));
    }
    if dropped.is_empty() && specks == 0 {
        return Ok(Choice {
            parts: None,
            plate: None,
        });
    }
    let area = whole.bounds.area;
    let plate = dropped
        .iter()
        .find(|p| p.is_plate() && p.area > SMALL * area);
    findings.push(told(&dropped, specks, &body, area, plate.is_some()));
    Ok(Choice {
        parts: Some(whole.kept),
        plate: plate.map(|p| p.directions.row(2).transpose()),
    })
}

/// Says that there is a second body if some of the pieces beside the first hang together and are about as large.
fn refuse_second(mut pieces: Vec<Piece>, first: &Group) -> Result<()> {
    while !pieces.is_empty() {
        let mut other = Group::of(pieces.remove(0));
        pieces = other.grow(pieces, |piece, other| {
            piece.skin.touches(&other.bounds.skin)
        });
        let (one, two) = (&first.bounds, &other.bounds);
        if two.area > SECOND * one.area && two.diagonal() > SECOND * one.diagonal() {
            return Err(Error::body(format!(
                "two bodies: beside the first stands another with {:.0} % of its skin; save each person as a file of their own",
                100.0 * two.area / one.area
            )));
        }
    }
    Ok(())
}

/// Pieces that hang together.
struct Group {
    /// All of them as one.
    bounds: Piece,
    kept: Vec<u32>,
}

impl Group {
    fn of(piece: Piece) -> Self {
        Self {
            kept: vec![piece.number],
            bounds: piece,
        }
    }

    /// Takes in what belongs to it, again and again until nothing more does: an arm hangs on the trunk,
    /// a hand on the arm, a head on a neck that is smaller than it. Returns the rest, in order.
    fn grow(
        &mut self,
        mut pieces: Vec<Piece>,
        belongs: impl Fn(&Piece, &Self) -> bool,
    ) -> Vec<Piece> {
        loop {
            let before = pieces.len();
            let mut rest = Vec::with_capacity(before);
            for piece in pieces {
                if belongs(&piece, self) {
                    self.kept.push(piece.number);
                    self.bounds.join(piece);
                } else {
                    rest.push(piece);
                }
            }
            if rest.len() == before {
                return rest;
            }
            pieces = rest;
        }
    }
}

/// The first piece that is neither plate nor rod, or one about as large that lies around it.
fn outermost(pieces: &[Piece], first: usize) -> usize {
    let around = pieces
        .iter()
        .skip(first + 1)
        .position(|p| p.area > SECOND * pieces[first].area && pieces[first].is_lining_of(p));
    around.map_or(first, |n| first + 1 + n)
}

fn told(dropped: &[Piece], specks: usize, body: &Piece, area: f64, has_plate: bool) -> Finding {
    let share: f64 = dropped.iter().map(|p| p.area).sum::<f64>() / area;
    let lining = dropped
        .iter()
        .any(|p| p.area > SECOND * area && p.is_lining_of(body));
    let lining = if lining {
        ", a second skin inside the first among them"
    } else {
        ""
    };
    let what = if has_plate {
        ", a flat one like a floor or turntable among them"
    } else {
        ""
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
        !self.is_rod() && self.sizes[2] < THIN * self.sizes[0] && self.flat > FLAT
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

    fn diagonal(&self) -> f64 {
        (self.high - self.low).norm()
    }

    fn join(&mut self, other: Self) {
        self.low = self.low.inf(&other.low);
        self.high = self.high.sup(&other.high);
        self.area += other.area;
        self.skin.join(other.skin);
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
    let mut looks = Vector3::zeros();
    for [a, b, c] in faces.iter().map(corners) {
        let look = (b - a).cross(&(c - a)) / 2.0;
        let part = look.norm();
        area += part;
        looks += look;
        middle += (a.coords + b.coords + c.coords) * (part / 3.0);
    }
    let mut main: [(f64, Vector3<f64>); 3] = Default::default();
    let mut flat = 0.0;
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
        let short = main[2].1;
        let (shown, all) = some().fold((0.0, 0.0), |(shown, all), [a, b, c]| {
            let look = (b - a).cross(&(c - a));
            (shown + short.dot(&look).abs(), all + look.norm())
        });
        flat = shown / all;
    }
    Piece {
        number,
        area,
        directions: Matrix3::from_rows(&main.map(|(_, direction)| direction.transpose())),
        sizes: main.map(|(size, _)| size),
        low: Vector3::zeros(),
        high: Vector3::zeros(),
        flat,
        is_round: looks.norm() < ROUND * area,
        skin: Skin::default(),
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
        let topics: Vec<_> = findings.iter().map(|f| f.topic.as_str()).collect();
        assert_eq!(topics, ["pieces"]);
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
        assert!(findings.iter().any(|f| f.topic == "debris"));
    }

    /// The front and the back of a slender body are each as thin as a plate, and no floors: 0.045 of their length.
    #[test]
    fn halves_of_a_slender_body_stay() {
        let mesh = scene(&[([0.0; 3], [110.0, 75.0, 850.0])]);
        let front = |face: &[u32; 3]| face.iter().all(|&at| mesh.points()[at as usize].y >= 0.0);
        let back = |face: &[u32; 3]| face.iter().all(|&at| mesh.points()[at as usize].y < 0.0);
        let (front, back) = (mesh.select(front), mesh.select(back));
        let first = u32::try_from(front.points().len()).unwrap();
        let faces = front.faces().iter().copied();
        let faces = faces.chain(back.faces().iter().map(|face| face.map(|at| at + first)));
        let points = [front.points(), back.points()].concat();
        let (kept, findings) = kept(&TriMesh::new(points, faces.collect()).unwrap());
        assert_eq!(kept, None, "{findings:?}");
    }

    /// An arm that touches the body by its hand's neighbour only: each hangs on what was kept before.
    #[test]
    fn a_chain_of_shells_stays() {
        let hand = ([340.0, 0.0, 0.0], [50.0, 50.0, 50.0]);
        let (kept, _) = kept(&scene(&[TRUNK, hand, ARMS[0]]));
        assert_eq!(kept, None);
    }
}
