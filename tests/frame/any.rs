//! Bodies that stand along none of their file's axes, as photogrammetry leaves them.

use super::mannequin::{Pose, mannequin};
use super::{OPEN, add_disc, body, lowest, matrix, placed, turned};
use girthwise::frame::{Axis, Body, FrameOptions, find_frame};
use girthwise::{ErrorKind, LengthUnit, Weight};
use nalgebra::{Matrix4, Point3, Rotation3, Unit, UnitQuaternion, Vector3};
use proptest::prelude::*;

/// Degrees by which what the body says is up lies off its own, and by which it is turned from its own front.
fn astray(body: &Body, to_file: &Matrix4<f64>) -> (f64, f64) {
    let home = matrix(body) * to_file;
    let up = home.fixed_view::<3, 1>(0, 2).into_owned();
    (
        up.angle(&Vector3::z()).to_degrees(),
        home[(1, 0)].atan2(home[(0, 0)]).to_degrees(),
    )
}

/// The mannequin's soles are the undersides of capsules that touch the floor from end to end. Facets of 14 mm leave
/// them up to 14²/(8·28) = 0.9 mm above it, over 175 mm of a foot 0.3 degrees; between the feet it is less.
const SOLES_DEG: f64 = 0.3;

fn assert_upright(body: &Body, to_file: &Matrix4<f64>, degrees: f64, what: &str) {
    let (up, yaw) = astray(body, to_file);
    assert!(up < degrees, "{what}: up is {up} degrees off");
    assert!(yaw.abs() < 0.5, "{what}: turned by {yaw} degrees");
    let home = matrix(body) * to_file;
    assert!((home.determinant() - 1.0).abs() < 1e-9, "{what}: {home}");
    let text = |f: &&girthwise::Finding| f.topic == "up" && f.text.contains("own shape");
    assert_eq!(body.findings().iter().filter(text).count(), 1, "{what}");
}

fn about(axis: &Unit<Vector3<f64>>, degrees: f64) -> Matrix4<f64> {
    Rotation3::from_axis_angle(axis, degrees.to_radians()).to_homogeneous()
}

/// Turns whose way up is known in closed form: 45 degrees about one axis lays it between two axes, as a second turn
/// about another leaves it; about the two axes of a cube it is (1/2, −1/√2, 1/2); arccos(1/√3) lays it along a space diagonal.
fn turns() -> Vec<(&'static str, Matrix4<f64>, Vector3<f64>)> {
    let (x, y) = (Vector3::x_axis(), Vector3::y_axis());
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let diagonal = Unit::new_normalize(Vector3::new(-1.0, 1.0, 0.0));
    let third = 1.0 / 3.0_f64.sqrt();
    vec![
        (
            "45 about x",
            about(&x, 45.0),
            Vector3::new(0.0, -half, half),
        ),
        (
            "45 about x, then y",
            about(&y, 45.0) * about(&x, 45.0),
            Vector3::new(0.5, -half, 0.5),
        ),
        (
            "135 about x, then 45 about y",
            about(&y, 45.0) * about(&x, 135.0),
            Vector3::new(-0.5, -half, -0.5),
        ),
        (
            "along a space diagonal",
            about(&diagonal, third.acos().to_degrees()),
            Vector3::new(third, third, third),
        ),
        (
            "20 about y",
            about(&y, 20.0),
            Vector3::new(
                20.0_f64.to_radians().sin(),
                0.0,
                20.0_f64.to_radians().cos(),
            ),
        ),
    ]
}

#[test]
fn between_the_axes_in_every_unit_and_pose() {
    for (n, (what, turn, up)) in turns().into_iter().enumerate() {
        let there = turn.transform_vector(&Vector3::z());
        assert!((there - up).norm() < 1e-12, "{what}: {there}");
        for arms_deg in [5.0, 40.0, 90.0] {
            let unit = LengthUnit::ALL[n % 4];
            let to_file = Matrix4::new_scaling(1.0 / unit.in_mm())
                * Matrix4::new_translation(&Vector3::new(500.0, -2000.0, 90.0))
                * turn
                * turned(n as f64 * 137.5);
            let pose = Pose {
                arms_deg,
                ..Pose::default()
            };
            let what = format!("{what}, arms at {arms_deg}");
            let body = body(pose, &to_file, &OPEN).unwrap_or_else(|e| panic!("{what}: {e}"));
            assert_eq!(body.frame().unit.value, unit, "{what}");
            assert_upright(&body, &to_file, SOLES_DEG, &what);
            assert!(
                body.upright_sd_deg() > 0.5,
                "{what}: as sure as a plumb line"
            );
            let doubt = |f: &&girthwise::Finding| f.topic == "up" && f.weight == Weight::Look;
            assert_eq!(body.findings().iter().filter(doubt).count(), 1, "{what}");
            // The axis told is as near as any.
            let told = body.frame().up.value.vector().dot(&up);
            assert!((told - up.abs().max()).abs() < 0.02, "{what}: {told}");
        }
    }
}

/// A floor tells up to its own flatness, be it a loose plate or grown to the feet, however wide.
#[test]
fn a_floor_that_was_scanned_is_level() {
    let (body_points, body_faces) = mannequin(Pose::default());
    let lowest = lowest(&body_points);
    for (reach, grown) in [(400.0, false), (400.0, true), (900.0, true)] {
        let (mut points, mut faces) = (body_points.clone(), body_faces.clone());
        let middle = if grown {
            lowest
        } else {
            points.push(Point3::new(0.0, 0.0, -1.0));
            points.len() as u32 - 1
        };
        let height = points[middle as usize].z;
        add_disc(&mut points, &mut faces, middle, reach, height);
        for (what, turn, _) in turns() {
            let what = format!("{what}, a floor of {reach}, grown to the feet: {grown}");
            let to_file = turn * turned(200.0);
            let body = find_frame(placed(points.clone(), faces.clone(), &to_file), &OPEN)
                .unwrap_or_else(|e| panic!("{what}: {e}"));
            assert_upright(&body, &to_file, 1e-6, &what);
            assert!((body.upright_sd_deg() - 0.5).abs() < 1e-9, "{what}");
        }
    }
}

/// Told an axis, the way up is the body's own that is nearest to it; an axis across the body is left as it was told.
#[test]
fn an_axis_that_is_told_is_the_nearest() {
    let to_file = about(&Vector3::x_axis(), 40.0);
    let told = |up: Axis, front: Option<Axis>| FrameOptions {
        up: Some(up),
        front,
        ..OPEN
    };
    for options in [
        told(Axis::PlusZ, None),
        told(Axis::MinusY, None),
        told(Axis::PlusZ, Some(Axis::PlusY)),
    ] {
        let found = body(Pose::default(), &to_file, &options).unwrap();
        assert_upright(&found, &to_file, SOLES_DEG, "told");
        assert_eq!(Some(found.frame().up.value), options.up);
        assert!(found.frame().up.given);
    }
    let across = body(Pose::default(), &to_file, &told(Axis::PlusX, None));
    assert!(matches!(across, Err(e) if matches!(e.kind(), ErrorKind::Body { .. })));
}

/// Feet say how a body stood: what is cut off and lies along no axis is refused, and not guessed at.
#[test]
fn what_is_cut_off_is_not_put_upright_by_its_length() {
    let to_file = about(&Vector3::y_axis(), 45.0) * about(&Vector3::x_axis(), 45.0);
    for (feet, head) in [(false, true), (true, false), (false, false)] {
        let pose = Pose {
            feet,
            head,
            ..Pose::default()
        };
        let error = body(pose, &to_file, &OPEN).expect_err("cut off");
        assert!(matches!(error.kind(), ErrorKind::Body { .. }), "{error}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 16,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Any turn of space: a quaternion evenly from the ball is as likely to turn one way as another.
    #[test]
    fn any_turn_comes_home(q in proptest::array::uniform4(-1.0_f64..1.0), arms_deg in 0.0_f64..90.0) {
        prop_assume!((0.1..1.0).contains(&q.iter().map(|x| x * x).sum::<f64>()));
        let turn = UnitQuaternion::from_quaternion(q.into()).to_homogeneous();
        let pose = Pose { arms_deg, ..Pose::default() };
        let found = body(pose, &turn, &OPEN);
        let found = found.map_err(|error| TestCaseError::fail(error.to_string()))?;
        let (up, yaw) = astray(&found, &turn);
        // Near an axis that leans the axis may be kept, up to 3.5 standard deviations of soles.
        prop_assert!(up < 2.0 && yaw.abs() < 0.5, "up {up}, turned {yaw}");
    }
}
