//! The highest point of the body.

use super::{PEAK, missing};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::mesh::TriMesh;
use nalgebra::{Matrix2, Matrix6, Point3, Vector2, Vector3, Vector6};

pub(in crate::landmark) fn vertex(survey: &Survey<'_>) -> Found {
    let top = survey
        .mesh
        .points()
        .iter()
        .max_by(|a, b| a.z.total_cmp(&b.z));
    let top = top.ok_or_else(|| missing(LandmarkKey::Vertex, None, "the mesh is empty"))?;
    // A cap of few points shows no roughness: the head's contours below it do.
    let below = survey.parts.upper.noise_mm(top.z - HEAD_MM, top.z);
    let sd_mm = 1.0_f64.hypot(PEAK * crown_roughness(survey, top).max(below));
    let mark = |point: &Point3<f64>, sd_mm, confidence, rule: &str| Landmark {
        key: LandmarkKey::Vertex,
        side: None,
        point_mm: [point.x, point.y, point.z],
        sd_mm,
        confidence,
        rule: rule.to_owned(),
    };
    Ok(match Hole::at_crown(survey.mesh, top) {
        Some(hole) if survey.ends.head => {
            let cap = hole.cap(survey.mesh, top);
            let rise = cap.z - top.z;
            let sd = sd_mm
                .hypot(CAP_SD * rise)
                .hypot(LEAST_CAP_SD * hole.sagitta_mm());
            let rule = "top of the dome that the skin about the hole in the crown makes";
            mark(&cap, sd, Confidence::Fair, rule)
        }
        _ => mark(top, sd_mm, Confidence::Clear, "highest point of the body"),
    })
}

/// A hole is looked for so far below the highest skin, in mm: the rim of one of 100 mm in a head of radius 80 lies
/// 18 mm below its top.
const CROWN_DEPTH_MM: f64 = 25.0;
/// What is wider than this, in mm, is a hole in the crown and no crack.
const LEAST_HOLE_MM: f64 = 12.0;
/// Skin about the hole that shows the dome, in mm: so far out, and so far below the top.
const RIM_MM: f64 = 20.0;
const RIM_DEPTH_MM: f64 = 15.0;
/// A head is flatter on top than the paraboloid through a ring about its crown: it rises by so much of that. Chosen on
/// 30 study bodies without a crown, or with soles and crown unseen, or seen from three columns: 0.69, 0.66 and 0.62.
const SHARE_OF_DOME: f64 = 0.67;
/// Radius of a head's dome, in mm, to tell how much of it a hole may hide (ANSUR II: half of head breadth and length are
/// 73 to 77 and 94 to 100).
const DOME_MM: f64 = 85.0;
/// Standard uncertainty of the top as a share of its rise over the skin, and of how far a round head's would: the same
/// bodies' errors are 0.8 mm of 4 and 0.4 of 2.
const CAP_SD: f64 = 0.25;
const LEAST_CAP_SD: f64 = 0.08;

/// A hole in the crown.
struct Hole {
    centre: [f64; 2],
    radius_mm: f64,
}

impl Hole {
    /// Edges near the top of the head with skin on one side only, if they lie about a hole.
    fn at_crown(mesh: &TriMesh, top: &Point3<f64>) -> Option<Self> {
        let points = mesh.points();
        let high = |v: u32| points[v as usize].z > top.z - CROWN_DEPTH_MM;
        let mut edges: Vec<[u32; 2]> = mesh
            .faces()
            .iter()
            .filter(|face| face.iter().any(|&v| high(v)))
            .flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]])
            .filter(|edge| edge.iter().all(|&v| high(v)))
            .map(|[a, b]| [a.min(b), a.max(b)])
            .collect();
        edges.sort_unstable();
        let rim: Vec<u32> = edges
            .chunk_by(|a, b| a == b)
            .filter(|same| same.len() == 1)
            .flat_map(|same| same[0])
            .collect();
        #[expect(clippy::cast_precision_loss, reason = "points of a rim")]
        let n = rim.len() as f64;
        let at = |k: usize| rim.iter().map(move |&v| points[v as usize][k]);
        let centre = [at(0).sum::<f64>() / n, at(1).sum::<f64>() / n];
        let out = at(0)
            .zip(at(1))
            .map(|(x, y)| (x - centre[0]).hypot(y - centre[1]));
        let radius_mm = out.sum::<f64>() / n;
        (2.0 * radius_mm > LEAST_HOLE_MM).then_some(Self { centre, radius_mm })
    }

    /// How far a round head stands out beyond it, in mm.
    fn sagitta_mm(&self) -> f64 {
        self.radius_mm.powi(2) / (2.0 * DOME_MM)
    }

    /// The top of the paraboloid through the skin about it, no lower than the skin and no higher over it than twice what
    /// a round head would be.
    fn cap(&self, mesh: &TriMesh, top: &Point3<f64>) -> Point3<f64> {
        let reach = self.radius_mm + RIM_MM;
        let [x, y] = self.centre;
        let middle = Point3::new(x, y, top.z);
        let about = mesh.points().iter().map(|p| (p - middle) / reach);
        let skin: Vec<_> = about
            .filter(|d| d.xy().norm_squared() <= 1.0 && d.z * reach > -RIM_DEPTH_MM)
            .collect();
        let dome = paraboloid(&skin).and_then(|fit| {
            let bend = Matrix2::new(2.0 * fit[3], fit[4], fit[4], 2.0 * fit[5]);
            let place = -(bend.try_inverse()? * Vector2::new(fit[1], fit[2]));
            let is_top = bend.trace() < 0.0 && bend.determinant() > 0.0;
            let inside = place.norm() * reach <= self.radius_mm;
            let rise = reach * (fit[0] + 0.5 * (fit[1] * place.x + fit[2] * place.y));
            (is_top && inside).then_some((place * reach, rise))
        });
        // One that does not show has its top anywhere over the hole.
        let (place, rise) = dome.unwrap_or((Vector2::zeros(), self.sagitta_mm()));
        let rise = SHARE_OF_DOME * rise.clamp(0.0, 2.0 * self.sagitta_mm());
        Point3::new(x + place.x, y + place.y, top.z + rise)
    }
}

/// Skin about the top of the head that shows its roughness, in mm: a cap of 6 mm at a radius of 80 mm.
const CROWN_MM: f64 = 30.0;

/// How far below its top a head's contours tell how rough its skin is, in mm: down to the brows.
const HEAD_MM: f64 = 100.0;

/// Standard deviation of the crown's points about the paraboloid that fits them best, in mm.
fn crown_roughness(survey: &Survey<'_>, top: &Point3<f64>) -> f64 {
    let cap: Vec<_> = survey
        .mesh
        .points()
        .iter()
        .map(|p| (p - top) / CROWN_MM)
        .filter(|d| d.norm_squared() <= 1.0)
        .collect();
    let Some(fit) = paraboloid(&cap) else {
        return 0.0;
    };
    let square: f64 = cap.iter().map(|d| (d.z - terms(d).dot(&fit)).powi(2)).sum();
    #[expect(clippy::cast_precision_loss, reason = "points of a crown")]
    let freedom = cap.len() as f64 - 6.0;
    if freedom >= 1.0 {
        CROWN_MM * (square / freedom).sqrt()
    } else {
        0.0
    }
}

/// The paraboloid z = a + bx + cy + dx² + exy + fy² of least squares through points, if they fix one.
fn paraboloid(points: &[Vector3<f64>]) -> Option<Vector6<f64>> {
    let (mut normal, mut right) = (Matrix6::zeros(), Vector6::zeros());
    for d in points {
        normal += terms(d) * terms(d).transpose();
        right += terms(d) * d.z;
    }
    Some(normal.cholesky()?.solve(&right))
}

fn terms(d: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(1.0, d.x, d.y, d.x * d.x, d.x * d.y, d.y * d.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A dome of radius 85 that lies 1600 mm over the floor, as a grid in polar coordinates, without the skin
    /// within `hole` of its top.
    fn dome(hole: f64) -> TriMesh {
        let (rings, turns) = (40_u32, 72_u32);
        let point = |ring: u32, turn: u32| {
            let out = hole + (75.0 - hole) * f64::from(ring) / f64::from(rings);
            let angle = std::f64::consts::TAU * f64::from(turn) / f64::from(turns);
            let z = 1600.0 - 85.0 + (85.0_f64.powi(2) - out * out).sqrt();
            Point3::new(out * angle.cos(), 10.0 + out * angle.sin(), z)
        };
        let points = (0..=rings).flat_map(|ring| (0..turns).map(move |turn| point(ring, turn)));
        let faces = (0..rings).flat_map(|ring| {
            (0..turns).flat_map(move |turn| {
                let at = |r: u32, t: u32| (ring + r) * turns + (turn + t) % turns;
                [
                    [at(0, 0), at(1, 0), at(1, 1)],
                    [at(0, 0), at(1, 1), at(0, 1)],
                ]
            })
        });
        TriMesh::new(points.collect(), faces.collect()).unwrap()
    }

    fn highest(mesh: &TriMesh) -> Point3<f64> {
        let points = mesh.points().iter().copied();
        points.max_by(|a, b| a.z.total_cmp(&b.z)).unwrap()
    }

    /// Holes of 40, 60 and 80 mm in the crown of a sphere hide caps of r − √(r² − d²/4): 2.4, 5.5 and 10.0 mm.
    #[test]
    fn the_dome_over_a_hole_in_the_crown() {
        for (diameter, cap) in [(40.0, 2.39), (60.0, 5.47), (80.0, 10.0)] {
            let mesh = dome(0.5 * diameter);
            let top = highest(&mesh);
            assert!((1600.0 - top.z - cap).abs() < 0.02, "{top}");
            let hole = Hole::at_crown(&mesh, &top).unwrap();
            assert!((hole.radius_mm - 0.5 * diameter).abs() < 0.1);
            let found = hole.cap(&mesh, &top);
            // Two thirds of it, as a head is flatter.
            let rise = (found.z - top.z) / SHARE_OF_DOME;
            assert!((rise - cap).abs() < 0.3 * cap, "{found} {cap}");
        }
        // A pinhole is none.
        let mesh = dome(2.0);
        assert!(Hole::at_crown(&mesh, &highest(&mesh)).is_none());
    }
}
