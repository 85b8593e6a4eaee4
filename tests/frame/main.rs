//! Frame decisions on a mannequin whose frame is known because it was made in it.

#![expect(
    clippy::cast_possible_truncation,
    clippy::unwrap_used,
    reason = "a test stops at the first thing that is not as it should be; meshes are small"
)]

mod any;
mod home;
#[path = "../common/mannequin.rs"]
mod mannequin;
#[path = "../../src/mesh/samples.rs"]
#[allow(dead_code, reason = "only the cube is needed here")]
mod samples;
mod told;

use girthwise::frame::{Axis, Body, FrameOptions, find_frame};
use girthwise::mesh::TriMesh;
use mannequin::{Pose, mannequin};
use nalgebra::{Matrix3, Matrix4, Point3, Rotation3, Vector3};

const OPEN: FrameOptions = FrameOptions {
    unit: None,
    up: None,
    front: None,
    mirrored: false,
};

fn body(pose: Pose, to_file: &Matrix4<f64>, options: &FrameOptions) -> girthwise::Result<Body> {
    let (points, faces) = mannequin(pose);
    find_frame(placed(points, faces, to_file), options)
}

fn placed(points: Vec<Point3<f64>>, faces: Vec<[u32; 3]>, to_file: &Matrix4<f64>) -> TriMesh {
    let points = points.iter().map(|p| to_file.transform_point(p)).collect();
    TriMesh::new(points, faces).unwrap()
}

/// The vertex on which a body would stand if it stood on one.
fn lowest(points: &[Point3<f64>]) -> u32 {
    let lower = |&a: &usize, &b: &usize| points[a].z.total_cmp(&points[b].z);
    (0..points.len()).min_by(lower).unwrap() as u32
}

/// Adds a level disc about the body, its rim at a height, that shares its middle with a point.
fn add_disc(
    points: &mut Vec<Point3<f64>>,
    faces: &mut Vec<[u32; 3]>,
    middle: u32,
    reach: f64,
    height: f64,
) {
    let first = points.len() as u32;
    for n in 0..48 {
        let angle = std::f64::consts::TAU * f64::from(n) / 48.0;
        let (sin, cos) = angle.sin_cos();
        points.push(Point3::new(reach * cos, reach * sin, height));
        faces.push([middle, first + n, first + (n + 1) % 48]);
    }
}

fn matrix(body: &Body) -> Matrix4<f64> {
    let rows = body.frame().matrix;
    Matrix4::from_fn(|r, c| rows[r][c])
}

fn turned(degrees: f64) -> Matrix4<f64> {
    Rotation3::from_axis_angle(&Vector3::z_axis(), degrees.to_radians()).to_homogeneous()
}

/// All 24 ways to lay a right-handed frame along a file's axes.
fn ways() -> Vec<Matrix3<f64>> {
    let mut ways = Vec::new();
    for x in Axis::ALL {
        for y in Axis::ALL {
            if x.vector().dot(&y.vector()) == 0.0 {
                let z = x.vector().cross(&y.vector());
                ways.push(Matrix3::from_columns(&[x.vector(), y.vector(), z]));
            }
        }
    }
    assert_eq!(ways.len(), 24);
    ways
}

/// The way back from body to body coordinates must be a turn by less than `yaw` degrees and a shift
/// along y only, as y = 0 is a convention.
///
/// The mannequin mirrors itself; its mesh does so to about the height of a facet over its chord,
/// cell²/8r = 14²/(8·60) = 0.4 mm: that over half a breadth of 150 mm is 0.16 degrees.
fn assert_home(body: &Body, to_file: &Matrix4<f64>, yaw: f64, aside: f64) {
    let home = matrix(body) * to_file;
    let turn = home[(1, 0)].atan2(home[(0, 0)]).to_degrees();
    assert!(turn.abs() < yaw, "turned by {turn} degrees: {home}");
    assert!((home[(2, 2)] - 1.0).abs() < 1e-9, "up: {home}");
    assert!((home.determinant() - 1.0).abs() < 1e-9, "scale: {home}");
    assert!(home[(0, 3)].abs() < aside, "aside: {home}");
    // A ground's height is a mean over level skin, a little of the soles within.
    assert!(home[(2, 3)].abs() < 0.05, "floor: {home}");
}

/// Bends a body in the mid-sagittal plane: `turns` hold heights from the top down between which its
/// length turns forwards, and by how many degrees. Cross sections keep their shape.
fn bent(points: &[Point3<f64>], turns: &[(f64, f64, f64)]) -> Vec<Point3<f64>> {
    let angle = |z: f64| -> f64 {
        let share = |&(from, to, degrees): &(f64, f64, f64)| {
            degrees.to_radians() * ((from - z) / (from - to)).clamp(0.0, 1.0)
        };
        turns.iter().map(share).sum()
    };
    // The body's length, walked down from the top in steps of a millimetre.
    let mut line = vec![(0.0, 1700.0)];
    for step in 0..1700 {
        let (y, z) = line[step];
        let (sin, cos) = angle(1700.0 - step as f64).sin_cos();
        line.push((y + sin, z - cos));
    }
    let bend = |p: &Point3<f64>| {
        let (sin, cos) = angle(p.z).sin_cos();
        let (y, z) = line[(1700.0 - p.z).clamp(0.0, 1700.0).round() as usize];
        Point3::new(p.x, y + p.y * cos, z + p.y * sin)
    };
    points.iter().map(bend).collect()
}
