//! What is told of a frame, and what is refused.

use super::mannequin::{Pose, mannequin};
use super::samples;
use super::{OPEN, bent, body, matrix, placed, turned};
use girthwise::frame::{Axis, Body, FrameOptions, find_frame};
use girthwise::{ErrorKind, LengthUnit, Weight};
use nalgebra::{Matrix4, Point3, Vector3};

#[test]
fn a_sitting_body_is_refused_as_such() {
    let (points, faces) = mannequin(Pose::default());
    // Thighs level from the hip joints on, shins plumb from the knees on.
    let sitting = bent(&points, &[(1000.0, 790.0, 90.0), (560.0, 350.0, -90.0)]);
    for options in [
        OPEN,
        FrameOptions {
            up: Some(Axis::PlusZ),
            ..OPEN
        },
    ] {
        let mesh = placed(sitting.clone(), faces.clone(), &turned(30.0));
        let error = find_frame(mesh, &options).expect_err("sits");
        assert!(matches!(error.kind(), ErrorKind::Body { .. }), "{error}");
        assert!(error.to_string().contains("stand"), "{error}");
    }
}

/// Cut off, a body is still put in its frame: upright, facing forward, left and right as they are;
/// what is missing is told, and the floor is only about where it belongs (5 % of the stature, a limit of our own).
#[test]
fn what_is_cut_off_is_told() {
    let to_file = turned(20.0);
    let cut = |pose: Pose, options: &FrameOptions| {
        body(pose, &to_file, options).unwrap_or_else(|error| panic!("{error}"))
    };
    let no_feet = Pose {
        feet: false,
        ..Pose::default()
    };
    let no_head = Pose {
        head: false,
        ..Pose::default()
    };
    let told = FrameOptions {
        up: Some(Axis::PlusZ),
        ..OPEN
    };
    for (pose, options, topic, ends) in [
        (no_feet, &OPEN, "feet", (true, false)),
        (no_head, &told, "head", (false, true)),
    ] {
        let found = cut(pose, options);
        assert_eq!((found.ends().head, found.ends().feet), ends);
        let home = matrix(&found) * to_file;
        let turn = home[(1, 0)].atan2(home[(0, 0)]).to_degrees();
        assert!(turn.abs() < 0.5, "{topic}: turned by {turn}");
        assert!((found.stature().mm() / 1700.0 - 1.0).abs() < 0.08);
        assert!(found.findings().iter().any(|f| f.topic == topic));
    }
    let whole = cut(Pose::default(), &OPEN);
    assert_eq!(whole.ends(), girthwise::frame::Ends::WHOLE);
}

/// A point 18 m off that one face ties to the chest: no measure may take it for a part of the body.
#[test]
fn what_hangs_far_off_a_body_is_refused() {
    let (mut points, mut faces) = mannequin(Pose::default());
    let far = points.len() as u32;
    let chest = faces
        .iter()
        .copied()
        .find(|face| {
            let corner = points[face[0] as usize];
            (1150.0..1250.0).contains(&corner.z) && corner.y > 50.0
        })
        .expect("a chest");
    points.push(Point3::new(0.0, 18_000.0, 1200.0));
    faces.push([chest[0], chest[1], far]);
    let told = FrameOptions {
        up: Some(Axis::PlusZ),
        unit: Some(LengthUnit::Millimetre),
        front: Some(Axis::PlusY),
        ..OPEN
    };
    let error = find_frame(placed(points, faces, &Matrix4::identity()), &told).unwrap_err();
    assert!(error.to_string().contains("18.0 m away"), "{error}");
}

#[test]
fn what_is_no_whole_body_is_refused_with_the_reason() {
    let whole = Matrix4::identity();
    let refused = |body: girthwise::Result<Body>, word: &str| {
        let error = body.expect_err(word);
        assert!(matches!(error.kind(), ErrorKind::Body { .. }), "{error}");
        assert!(
            error.to_string().contains(word),
            "\"{word}\" is not in: {error}"
        );
    };
    refused(
        body(
            Pose {
                head: false,
                ..Pose::default()
            },
            &whole,
            &OPEN,
        ),
        "head",
    );
    let (cube, faces) = samples::cube();
    let cube = cube.into_iter().map(Point3::from).collect();
    refused(
        find_frame(placed(cube, faces, &whole), &OPEN),
        "no standing body",
    );
    refused(
        find_frame(placed(Vec::new(), Vec::new(), &whole), &OPEN),
        "not a body",
    );
    refused(
        find_frame(
            placed(vec![Point3::origin(); 3], vec![[0, 1, 2]], &whole),
            &OPEN,
        ),
        "not a body",
    );

    for size in [1e200, 1e-200] {
        refused(
            body(Pose::default(), &Matrix4::new_scaling(size), &OPEN),
            "unit unknown",
        );
    }
    for apart in [700.0, 1500.0] {
        let (mut points, mut faces) = mannequin(Pose {
            arms_deg: 5.0,
            ..Pose::default()
        });
        let count = points.len() as u32;
        points.extend(
            points
                .clone()
                .iter()
                .map(|p| p + Vector3::new(apart, 0.0, 0.0)),
        );
        faces.extend(faces.clone().iter().map(|f| f.map(|v| v + count)));
        refused(
            find_frame(placed(points, faces, &whole), &OPEN),
            "two bodies",
        );
    }
}

#[test]
fn every_decision_is_told_with_its_evidence() {
    let body = body(Pose::default(), &Matrix4::new_scaling(0.1), &OPEN).unwrap();
    let text = |topic: &str| {
        let finding = body.findings().iter().find(|f| f.topic == topic);
        finding.map(|f| f.text.clone()).unwrap_or_default()
    };
    assert!(
        text("unit").starts_with("taken as cm: the body is 1"),
        "{}",
        text("unit")
    );
    assert!(text("unit").contains("m in m"), "{}", text("unit"));
    assert!(
        text("up").contains("the legs") && text("up").contains("neck"),
        "{}",
        text("up")
    );
    assert!(
        text("front").starts_with("+y: the feet reach"),
        "{}",
        text("front")
    );
    assert!(
        text("midline").contains("in two cases of three"),
        "{}",
        text("midline")
    );
    let frame = serde_json::to_string(body.frame()).unwrap();
    let back: girthwise::frame::FrameDecision = serde_json::from_str(&frame).unwrap();
    assert_eq!(&back.up, &body.frame().up);
}

#[test]
fn given_axes_are_kept_and_doubted() {
    let options = FrameOptions {
        up: Some(Axis::PlusZ),
        front: Some(Axis::MinusY),
        ..OPEN
    };
    let backwards = body(Pose::default(), &Matrix4::identity(), &options).unwrap();
    assert_eq!(backwards.frame().front.value.axis, Axis::MinusY);
    assert!(backwards.frame().front.given && backwards.frame().up.given);
    let doubted = |f: &&girthwise::Finding| f.topic == "front" && f.weight == Weight::Look;
    assert_eq!(backwards.findings().iter().filter(doubted).count(), 1);

    let across = FrameOptions {
        front: Some(Axis::PlusX),
        ..OPEN
    };
    let error = body(Pose::default(), &Matrix4::identity(), &across).unwrap_err();
    assert!(matches!(error.kind(), ErrorKind::Options { .. }), "{error}");
}
