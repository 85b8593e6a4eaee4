//! The line a body stands along, from its skin alone: for files none of whose axes is up.

use crate::mesh::TriMesh;
use nalgebra::{Matrix3, Point3, Vector3};

/// Points at which the skin is looked at: some 20 mm apart on a body.
const POINTS: usize = 4096;
/// The body's core is within this share of its length of the line through it: head, trunk and legs, of 1.7 m
/// 255 mm to every side. Looked for from wide to narrow, so that the line may come from afar; what reaches
/// farther out (arms held out to one side, the rest of a ground) does not turn it.
const CORES: [f64; 6] = [0.5, 0.35, 0.25, 0.15, 0.15, 0.15];

/// Points evenly over the skin of a mesh, the same for the same faces.
///
/// By area, and not by vertices or faces: a ground of two triangles counts for what it is, and so does a
/// finely meshed face.
pub(super) fn skin(mesh: &TriMesh) -> Vec<Point3<f64>> {
    let area = |face: usize| {
        let [a, b, c] = mesh.corners(face);
        (b - a).cross(&(c - a)).norm()
    };
    let total: f64 = (0..mesh.faces().len()).map(area).sum();
    #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
    let step = total / POINTS as f64;
    let mut points = Vec::with_capacity(POINTS);
    let mut next = step / 2.0;
    let mut sum = 0.0;
    // Within a face they follow a sequence without gaps or clusters (Roberts' R2: powers of the plastic number).
    let (mut u, mut v) = (0.5_f64, 0.5_f64);
    for face in 0..mesh.faces().len() {
        sum += area(face);
        while next < sum && points.len() < POINTS {
            let [a, b, c] = mesh.corners(face);
            let (s, t) = if u + v > 1.0 {
                (1.0 - u, 1.0 - v)
            } else {
                (u, v)
            };
            points.push(a + (b - a) * s + (c - a) * t);
            u = (u + 0.754_877_666_246_692_7).fract();
            v = (v + 0.569_840_290_998_053_3).fract();
            next += step;
        }
    }
    points
}

/// The line along which the core of a body lies, looked for from a direction up to some 50 degrees off; length one,
/// the same sense.
///
/// A standing body's is within 4 degrees of its upright, most of it forwards or backwards.
pub(super) fn core(skin: &[Point3<f64>], from: &Vector3<f64>) -> Vector3<f64> {
    // From afar the first look can end beside the line; the second does not.
    narrowed(skin, &narrowed(skin, from))
}

fn narrowed(skin: &[Point3<f64>], from: &Vector3<f64>) -> Vector3<f64> {
    let mut along = *from;
    let mut middle = mean(skin.iter());
    for share in CORES {
        let (low, high) = skin
            .iter()
            .map(|p| along.dot(&(p - middle)))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
                (l.min(x), h.max(x))
            });
        let reach = share * (high - low);
        let near = || {
            skin.iter().filter(|p| {
                let away = **p - middle;
                (away - along * along.dot(&away)).norm() < reach
            })
        };
        if near().count() < 3 {
            break;
        }
        let centre = mean(near());
        let line = directions(near(), &centre)[0];
        along = if line.dot(&along) < 0.0 { -line } else { line };
        middle = centre;
    }
    along
}

/// The directions in which the skin is spread, longest first. A wide ground is spread more than the body that stands
/// on it, which then lies along the last.
pub(super) fn spread(skin: &[Point3<f64>]) -> [Vector3<f64>; 3] {
    directions(skin.iter(), &mean(skin.iter()))
}

fn directions<'p>(
    points: impl Iterator<Item = &'p Point3<f64>>,
    middle: &Point3<f64>,
) -> [Vector3<f64>; 3] {
    let spread: Matrix3<f64> = points.fold(Matrix3::zeros(), |sum, p| {
        let away = p - middle;
        sum + away * away.transpose()
    });
    let found = spread.symmetric_eigen();
    let mut order = [0, 1, 2];
    order.sort_by(|&i, &j| found.eigenvalues[j].total_cmp(&found.eigenvalues[i]));
    order.map(|k| found.eigenvectors.column(k).into_owned())
}

fn mean<'p>(points: impl Iterator<Item = &'p Point3<f64>>) -> Point3<f64> {
    let (sum, count) = points.fold((Vector3::zeros(), 0.0), |(sum, count), p| {
        (sum + p.coords, count + 1.0)
    });
    Point3::from(sum / f64::max(count, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::samples::{cube, icosphere, mesh};
    use nalgebra::Rotation3;

    /// The second moment of a cube's skin along an edge: four faces lie along it (1/12 of the squared edge), two
    /// stand at its ends (1/4).
    #[test]
    fn points_lie_evenly_over_the_skin() {
        let cube = mesh(cube());
        let points = skin(&cube);
        assert_eq!(points.len(), POINTS);
        let bounds = cube.bounds().unwrap();
        let (centre, side) = (bounds.centre(), bounds.extent().x);
        for k in 0..3 {
            let count = points.len() as f64;
            let mean = points.iter().map(|p| p[k] - centre[k]).sum::<f64>() / count;
            let square = points
                .iter()
                .map(|p| (p[k] - centre[k]).powi(2))
                .sum::<f64>()
                / count;
            assert!(mean.abs() < 0.005 * side, "{mean}");
            let spread = 1.0 / 12.0 * (2.0 / 3.0) + 0.25 * (1.0 / 3.0);
            assert!((square / side.powi(2) - spread).abs() < 0.003, "{square}");
        }
    }

    /// The main directions of an ellipsoid are its axes, and an arm held out to one side does not turn its core.
    #[test]
    fn a_core_is_found_from_afar_and_past_an_arm() {
        let (shape, faces) = icosphere(4);
        let part = |middle: [f64; 3], half: [f64; 3]| {
            shape
                .iter()
                .map(move |p| Point3::from([0, 1, 2].map(|k| middle[k] + half[k] * p[k])))
        };
        let count = u32::try_from(shape.len()).unwrap();
        let points: Vec<Point3<f64>> = part([0.0; 3], [170.0, 110.0, 850.0])
            .chain(part([480.0, 0.0, 500.0], [300.0, 40.0, 40.0]))
            .collect();
        let all = faces
            .iter()
            .copied()
            .chain(faces.iter().map(|f| f.map(|v| v + count)));
        let body = TriMesh::new(points, all.collect()).unwrap();
        let skin = skin(&body);
        let whole = main_directions_of(&skin);
        assert!(
            whole.angle(&Vector3::z()).to_degrees() > 5.0,
            "the arm weighs nothing"
        );
        for from in [0.0, 30.0, -55.0] {
            let start = Rotation3::from_axis_angle(&Vector3::y_axis(), f64::to_radians(from))
                * Vector3::z();
            let off = core(&skin, &start).angle(&Vector3::z()).to_degrees();
            assert!(off < 2.0, "from {from}: {off}");
        }
    }

    fn main_directions_of(skin: &[Point3<f64>]) -> Vector3<f64> {
        let [long, ..] = spread(skin);
        if long.z < 0.0 { -long } else { long }
    }
}
