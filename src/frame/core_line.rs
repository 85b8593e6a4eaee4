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

/// The line along which the core of a body lies, looked for from a direction near it; length one, the same sense.
///
/// A standing body's is within 3 degrees of its upright, most of it forwards or backwards.
pub(super) fn core(skin: &[Point3<f64>], from: &Vector3<f64>) -> Vector3<f64> {
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

/// Lines along which a body may stand: the directions in which the skin is spread, each with the core it leads to,
/// cores first. A wide ground is spread more than the body that stands on it, and leads to it all the same.
pub(super) fn candidates(skin: &[Point3<f64>]) -> [Vector3<f64>; 6] {
    let [a, b, c] = directions(skin.iter(), &mean(skin.iter()));
    [core(skin, &a), core(skin, &b), core(skin, &c), a, b, c]
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
