//! Bodies that come home: however they stand, and whatever lies around them.

use super::mannequin::{Pose, mannequin};
use super::samples;
use super::{OPEN, add_disc, assert_home, bent, body, lowest, matrix, placed, turned, ways};
use girthwise::frame::{Body, FrameOptions, find_frame};
use girthwise::{LengthUnit, Weight};
use nalgebra::{Matrix4, Point3, Rotation3, Vector3};

#[test]
fn every_axis_unit_and_turn_comes_home() {
    let (points, faces) = mannequin(Pose::default());
    for (n, way) in ways().into_iter().enumerate() {
        let unit = LengthUnit::ALL[n % 4];
        let shift = Vector3::new(300.0, -1200.0, 77.0 * n as f64);
        let to_file = Matrix4::new_scaling(1.0 / unit.in_mm())
            * Matrix4::new_translation(&shift)
            * way.to_homogeneous()
            * turned(n as f64 * 137.5);
        let body = find_frame(placed(points.clone(), faces.clone(), &to_file), &OPEN).unwrap();
        assert_eq!(body.frame().unit.value, unit);
        assert_home(&body, &to_file, 0.2, 0.5);
        // The matrix told is the one applied.
        let file = to_file.transform_point(&points[100]);
        let moved = matrix(&body).transform_point(&file);
        let there = body
            .mesh()
            .points()
            .iter()
            .any(|p| (p - moved).norm() < 1e-6);
        assert!(there, "the matrix does not lead to the body's points");
    }
}

#[test]
fn arms_down_to_t_pose_and_feet_together_to_wide() {
    for arms_deg in [0.0, 8.0, 45.0, 90.0] {
        for stance in [55.0, 110.0, 220.0] {
            let pose = Pose {
                arms_deg,
                stance,
                ..Pose::default()
            };
            let to_file = turned(-63.0);
            let body = body(pose, &to_file, &OPEN)
                .unwrap_or_else(|e| panic!("arms {arms_deg}, stance {stance}: {e}"));
            assert_home(&body, &to_file, 0.3, 0.7);
        }
    }
}

#[test]
fn statures_from_short_to_tall() {
    // Least and greatest stature of ANSUR II, 1409 and 1993 mm.
    for stature in [1409.0, 1993.0] {
        let to_file = Matrix4::new_scaling(0.1);
        let body = body(
            Pose {
                stature,
                ..Pose::default()
            },
            &to_file,
            &OPEN,
        )
        .unwrap();
        assert_eq!(body.frame().unit.value, LengthUnit::Centimetre);
        assert_home(&body, &to_file, 0.2, 0.5);
    }
}

/// One breast 12 mm and one arm 12 mm thicker must not pull the middle over: half of the
/// difference is what a mid-breadth would be off.
#[test]
fn a_one_sided_difference_leaves_the_middle() {
    let body = body(
        Pose {
            right_extra: 12.0,
            ..Pose::default()
        },
        &turned(20.0),
        &OPEN,
    )
    .unwrap();
    assert_home(&body, &turned(20.0), 0.6, 1.5);
    assert!(body.frame().midline_sd_mm < 1.5);
}

#[test]
fn a_mirrored_file_swaps_sides_only_when_told() {
    let mirror = Matrix4::new_nonuniform_scaling(&Vector3::new(-1.0, 1.0, 1.0));
    let pose = Pose {
        right_extra: 15.0,
        ..Pose::default()
    };
    let widths = |body: &Body| {
        let x = |p: &Point3<f64>| p.x;
        let xs = body
            .mesh()
            .points()
            .iter()
            .filter(|p| (1150.0..1300.0).contains(&p.z))
            .map(x);
        xs.fold((0.0_f64, 0.0_f64), |(l, r), x| (l.max(-x), r.max(x)))
    };
    let (points, mut faces) = mannequin(pose);
    for face in &mut faces {
        face.swap(1, 2);
    }
    let seen = find_frame(placed(points.clone(), faces.clone(), &mirror), &OPEN).unwrap();
    let told = FrameOptions {
        mirrored: true,
        ..OPEN
    };
    let swapped = find_frame(placed(points, faces, &mirror), &told).unwrap();
    let ((left, right), (left_told, right_told)) = (widths(&seen), widths(&swapped));
    assert!(
        left > right + 5.0 && right_told > left_told + 5.0,
        "{left} {right} {left_told} {right_told}"
    );
    for body in [&seen, &swapped] {
        assert!(body.mesh().signed_volume() > 0.0);
        assert!(!body.frame().faces_turned);
        assert!(body.findings().iter().any(|f| f.topic == "left and right"));
    }
    assert!(swapped.frame().mirrored && matrix(&swapped).determinant() < 0.0);
}

#[test]
fn inward_faces_are_turned() {
    let (points, mut faces) = mannequin(Pose::default());
    for face in &mut faces {
        face.swap(0, 1);
    }
    let body = find_frame(placed(points, faces, &Matrix4::identity()), &OPEN).unwrap();
    assert!(body.frame().faces_turned && body.mesh().signed_volume() > 0.0);
}

/// Leans of 7 and 10 degrees, forwards and sideways.
#[test]
fn a_lean_shows_in_the_soles() {
    for axis in [Vector3::x_axis(), Vector3::y_axis()] {
        for degrees in [-10.0_f64, -7.0, 7.0, 10.0] {
            let lean = Rotation3::from_axis_angle(&axis, degrees.to_radians()).to_homogeneous();
            let body = body(Pose::default(), &lean, &OPEN).unwrap();
            let home = matrix(&body) * lean;
            // Facets of 14 mm cut the round soles' lowest line short by 14²/(8·30) = 0.8 mm over 175 mm: 0.3
            // degrees, either end.
            let off = home[(2, 2)].clamp(-1.0, 1.0).acos().to_degrees();
            assert!(off < 0.6, "{degrees} about {axis:?}: {home}");
            let told = |f: &girthwise::Finding| f.topic == "up" && f.weight == Weight::Look;
            assert!(body.findings().iter().any(told));
        }
    }
}

/// A back bent forwards by 35 degrees between waist and shoulders, the neck held up again by 20.
#[test]
fn a_slouched_body_comes_home() {
    let (points, faces) = mannequin(Pose::default());
    let slouched = bent(&points, &[(1560.0, 1460.0, 20.0), (1400.0, 1100.0, -35.0)]);
    // Walked from the top, it is the legs that lean; turned back, the trunk does.
    let upright = Rotation3::from_axis_angle(&Vector3::x_axis(), 15.0_f64.to_radians());
    let to_file = turned(75.0);
    let body = find_frame(
        placed(slouched, faces, &(to_file * upright.to_homogeneous())),
        &OPEN,
    )
    .unwrap();
    let home = matrix(&body) * to_file;
    let turn = home[(1, 0)].atan2(home[(0, 0)]).to_degrees();
    assert!(turn.abs() < 0.3 && home[(0, 0)] > 0.0, "{home}");
    assert!(home[(2, 2)] > 0.999, "{home}");
}

/// The left foot 200 mm ahead of the right one.
#[test]
fn one_foot_forward_comes_home() {
    let (points, faces) = mannequin(Pose::default());
    let stepped = points.iter().map(|p| {
        let share = if p.x < 0.0 {
            ((820.0 - p.z) / 820.0).max(0.0)
        } else {
            0.0
        };
        p + Vector3::new(0.0, 200.0 * share, 0.0)
    });
    let to_file = turned(-120.0);
    let body = find_frame(placed(stepped.collect(), faces, &to_file), &OPEN).unwrap();
    let home = matrix(&body) * to_file;
    // A step turns the thighs, which tell the midline together with the trunk.
    let turn = home[(1, 0)].atan2(home[(0, 0)]).to_degrees();
    assert!(turn.abs() < 2.0 && home[(0, 0)] > 0.0, "{turn}: {home}");
    assert!(home[(2, 2)] > 0.9999, "{home}");
}

#[test]
fn ground_grown_to_the_feet_goes() {
    let (body_points, body_faces) = mannequin(Pose::default());
    // A disc at the sole, as wide as a mat or a room, joined to it by sharing a point with the lowest vertex.
    let lowest = lowest(&body_points);
    for reach in [500.0, 2500.0] {
        let (mut points, mut faces) = (body_points.clone(), body_faces.clone());
        add_disc(&mut points, &mut faces, lowest, reach, 0.0);
        let to_file = turned(200.0);
        let body = find_frame(placed(points, faces, &to_file), &OPEN).unwrap();
        assert_home(&body, &to_file, 0.2, 0.5);
        let bounds = body.mesh().bounds().unwrap();
        assert!(bounds.extent().y < 400.0, "the disc is still there");
        assert!(body.findings().iter().any(|f| f.topic == "floor"));
    }
}

/// A scan fine enough to be looked at through a stand-in loses its ground and its debris, the ground grown
/// to the feet or not, and the scan itself comes home with it.
#[test]
fn a_fine_scan_loses_what_lies_around_it() {
    let (points, faces) = mannequin(Pose::default());
    let (bare_points, bare_faces) = (points.len(), faces.len());
    let mut corners: Vec<[f64; 3]> = points.iter().map(|p| p.coords.into()).collect();
    let mut faces = faces;
    while faces.len() < 400_000 {
        faces = samples::split(&mut corners, &faces);
    }
    let fine = corners.len();
    for grown in [true, false] {
        let mut points: Vec<Point3<f64>> = corners.iter().copied().map(Point3::from).collect();
        let mut faces = faces.clone();
        let middle = if grown {
            lowest(&points)
        } else {
            points.push(Point3::new(0.0, 0.0, -20.0));
            points.len() as u32 - 1
        };
        let height = points[middle as usize].z;
        add_disc(&mut points, &mut faces, middle, 1500.0, height);
        // A speck smaller than the stand-in's points are apart, below the floor.
        let speck = points.len() as u32;
        points.extend([0.0, 1.0, 2.0].map(|x| Point3::new(900.0 + x, x * x, -300.0)));
        faces.push([speck, speck + 1, speck + 2]);
        let to_file = turned(200.0);
        let body = find_frame(placed(points, faces, &to_file), &OPEN)
            .unwrap_or_else(|error| panic!("ground grown to the feet: {grown}: {error}"));
        assert_home(&body, &to_file, 0.2, 0.5);
        let bounds = body.mesh().bounds().unwrap();
        assert!(bounds.extent().y < 400.0, "the disc is still there");
        assert!(bounds.min.z > -0.1, "the speck is still there");
        assert!(body.mesh().faces().len() > 350_000);
        assert!(body.outline().faces().len() < 200_000);
        assert!(body.findings().iter().any(|f| f.topic == "debris"));
    }
    assert!(bare_points < fine && bare_faces < faces.len());
}
