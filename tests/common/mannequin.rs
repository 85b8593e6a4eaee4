//! A mannequin of round-sectioned bones under one smooth skin, in the body frame, to test on.
//!
//! Every bone is a cone with rounded ends; the skin is where the smallest distance to a bone is
//! zero, blended where bones meet, and is meshed by marching tetrahedra, so that it is closed.

#![expect(
    clippy::cast_possible_truncation,
    reason = "a grid of a few hundred thousand points, made here"
)]

use nalgebra::{Point3, Vector3};
use std::collections::BTreeMap;

/// What the mannequin looks like. Lengths in mm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pose {
    /// Height of the crown.
    pub(crate) stature: f64,
    /// Arms away from the body, in degrees; 0 hangs, 90 is a T.
    pub(crate) arms_deg: f64,
    /// Middle of an ankle from the mid-sagittal plane.
    pub(crate) stance: f64,
    /// Added to the radius of the right breast, upper arm and forearm.
    pub(crate) right_extra: f64,
    /// False leaves the feet off at the ankles.
    pub(crate) feet: bool,
    /// False leaves head and neck off.
    pub(crate) head: bool,
    /// Arms forward of the plane they are held out in, in degrees; 90 points ahead.
    pub(crate) forward_deg: f64,
    /// Thigh forward and shank backward of plumb, left and right, in degrees.
    pub(crate) knees_deg: [f64; 2],
    /// All above the hips bent forward, in degrees.
    pub(crate) bent_deg: f64,
}

impl Default for Pose {
    fn default() -> Self {
        Self {
            stature: 1700.0,
            arms_deg: 20.0,
            stance: 110.0,
            right_extra: 0.0,
            feet: true,
            head: true,
            forward_deg: 0.0,
            knees_deg: [0.0; 2],
            bent_deg: 0.0,
        }
    }
}

/// From `a` to `b`, with a radius at each end; `depth` is depth over breadth.
struct Bone {
    a: Vector3<f64>,
    b: Vector3<f64>,
    radius: [f64; 2],
    depth: f64,
}

/// Side of a cell of the grid, in mm.
const CELL: f64 = 14.0;
/// Over this length, in mm, two bones melt into each other.
const BLEND: f64 = 12.0;

/// The mannequin's points and faces, facing outwards, soles at z = 0.
pub(crate) fn mannequin(pose: Pose) -> (Vec<Point3<f64>>, Vec<[u32; 3]>) {
    let scale = pose.stature / 1700.0;
    let bones = bones(pose, scale);
    let (points, faces) = skin(&bones);
    let low = points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    let points = points
        .into_iter()
        .map(|p| Point3::new(p.x * scale, p.y * scale, (p.z - low) * scale));
    (points.collect(), faces)
}

/// At a stature of 1700.
fn bones(pose: Pose, scale: f64) -> Vec<Bone> {
    let mut bones = Vec::new();
    let mut add = |a: [f64; 3], b: [f64; 3], radius: [f64; 2], depth: f64| {
        bones.push(Bone {
            a: a.into(),
            b: b.into(),
            radius,
            depth,
        });
    };
    // Pelvis, waist, chest, seat.
    add(
        [-60.0, 0.0, 880.0],
        [60.0, 0.0, 880.0],
        [115.0, 115.0],
        0.85,
    );
    add([0.0, 5.0, 950.0], [0.0, 5.0, 1200.0], [125.0, 135.0], 0.72);
    add([-60.0, 0.0, 1290.0], [60.0, 0.0, 1290.0], [95.0, 95.0], 1.0);
    add(
        [-150.0, -10.0, 1390.0],
        [150.0, -10.0, 1390.0],
        [40.0, 40.0],
        1.0,
    );
    if pose.head {
        add([0.0, 0.0, 1400.0], [0.0, 15.0, 1500.0], [52.0, 52.0], 1.0);
        add([0.0, 30.0, 1560.0], [0.0, 25.0, 1612.0], [72.0, 80.0], 1.2);
    }
    for side in [-1.0, 1.0] {
        let extra = if side > 0.0 { pose.right_extra } else { 0.0 };
        let stance = side * pose.stance / scale;
        let hip = [side * 85.0, 0.0, 840.0];
        let knee = [side * 0.5 * (85.0 + side * stance), 5.0, 470.0];
        let ankle = [stance, -15.0, 85.0];
        // Straight where the knee is not bent; else turned about the hip, and back about the knee.
        let flex = pose.knees_deg[usize::from(side > 0.0)].to_radians();
        let thigh = |p: [f64; 3]| turned(p, hip, flex);
        let shank = |p: [f64; 3]| turned(thigh(p), thigh(knee), -2.0 * flex);
        add(hip, thigh(knee), [80.0, 55.0], 1.05);
        add(thigh(knee), shank([stance, -8.0, 330.0]), [55.0, 54.0], 1.0);
        add(
            shank([stance, -20.0, 340.0]),
            shank(ankle),
            [52.0, 35.0],
            1.0,
        );
        if pose.feet {
            // The foot stays level under the ankle.
            let [_, y, z] = shank(ankle);
            let under = |p: [f64; 3]| [p[0], p[1] + y - ankle[1], p[2] + z - ankle[2]];
            add(
                under([stance, -45.0, 35.0]),
                under([stance, 130.0, 28.0]),
                [35.0, 28.0],
                1.0,
            );
        }
        add(
            [side * 70.0, -55.0, 870.0],
            [side * 70.0, -55.0, 860.0],
            [75.0, 75.0],
            1.0,
        );
        add(
            [side * 85.0, 75.0, 1230.0],
            [side * 85.0, 75.0, 1230.0],
            [55.0 + extra, 55.0 + extra],
            1.0,
        );
        let (sin, cos) = pose.arms_deg.to_radians().sin_cos();
        let (ahead, down) = pose.forward_deg.to_radians().sin_cos();
        let along = |far: f64| {
            [
                side * (175.0 + far * sin),
                -10.0 + far * cos * ahead,
                1375.0 - far * cos * down,
            ]
        };
        add(along(0.0), along(290.0), [48.0 + extra, 40.0 + extra], 1.0);
        add(along(290.0), along(540.0), [40.0 + extra, 27.0], 1.0);
        add(along(540.0), along(690.0), [32.0, 22.0], 0.7);
    }
    let bend = pose.bent_deg.to_radians();
    if bend != 0.0 {
        let waist = [0.0, 0.0, 930.0];
        for bone in bones.iter_mut().filter(|bone| bone.a.z > 880.0) {
            bone.a = turned(bone.a.into(), waist, -bend).into();
            bone.b = turned(bone.b.into(), waist, -bend).into();
        }
    }
    bones
}

/// Turned about a line through `about` that runs from side to side: what lies below goes forward.
fn turned(p: [f64; 3], about: [f64; 3], angle: f64) -> [f64; 3] {
    let (sin, cos) = angle.sin_cos();
    let (y, z) = (p[1] - about[1], p[2] - about[2]);
    [
        p[0],
        about[1] + y * cos - z * sin,
        about[2] + y * sin + z * cos,
    ]
}

/// Closed skin of the bones, on a grid that mirrors itself in x = 0.
fn skin(bones: &[Bone]) -> (Vec<Point3<f64>>, Vec<[u32; 3]>) {
    let mut high = Vector3::repeat(f64::NEG_INFINITY);
    let mut low = Vector3::repeat(f64::INFINITY);
    for bone in bones {
        let reach = bone.radius[0].max(bone.radius[1]) * bone.depth.max(1.0) + 3.0 * BLEND;
        high = high.sup(&bone.a.sup(&bone.b).add_scalar(reach));
        low = low.inf(&bone.a.inf(&bone.b).add_scalar(-reach));
    }
    high.x = CELL * (high.x.max(-low.x) / CELL).ceil();
    low.x = -high.x;
    let count = [0, 1, 2].map(|k| ((high[k] - low[k]) / CELL).ceil() as usize + 1);
    let place = |at: usize| {
        let (i, j, k) = (
            at % count[0],
            at / count[0] % count[1],
            at / count[0] / count[1],
        );
        low + Vector3::new(i as f64, j as f64, k as f64) * CELL
    };
    let values: Vec<f64> = (0..count.iter().product())
        .map(|at| depth(bones, &place(at)))
        .collect();
    let mut points = Vec::new();
    let mut faces = Vec::new();
    let mut known: BTreeMap<(usize, usize), u32> = BTreeMap::new();
    let mut cross = |a: usize, b: usize| {
        let key = (a.min(b), a.max(b));
        *known.entry(key).or_insert_with(|| {
            let t = values[key.0] / (values[key.0] - values[key.1]);
            points.push(Point3::from(
                place(key.0) + (place(key.1) - place(key.0)) * t,
            ));
            points.len() as u32 - 1
        })
    };
    for k in 0..count[2] - 1 {
        for j in 0..count[1] - 1 {
            for i in 0..count[0] - 1 {
                let corner = |c: usize| {
                    i + (c & 1)
                        + (j + (c >> 1 & 1)) * count[0]
                        + (k + (c >> 2)) * count[0] * count[1]
                };
                // Six tetrahedra about the cell's long diagonal.
                for [a, b] in [[1, 3], [3, 2], [2, 6], [6, 4], [4, 5], [5, 1]] {
                    let tetrahedron = [0, a, b, 7].map(corner);
                    fill(tetrahedron, &values, &mut cross, &mut faces);
                }
            }
        }
    }
    (points, faces)
}

/// The faces in one tetrahedron, positively turned, seen from outside.
fn fill(
    corners: [usize; 4],
    values: &[f64],
    cross: &mut impl FnMut(usize, usize) -> u32,
    faces: &mut Vec<[u32; 3]>,
) {
    let inside = corners.map(|c| values[c] < 0.0);
    // Even orders of the four corners with the first `n` inside.
    let orders = [
        [0, 1, 2, 3],
        [0, 2, 3, 1],
        [0, 3, 1, 2],
        [1, 0, 3, 2],
        [1, 3, 2, 0],
        [1, 2, 0, 3],
        [2, 3, 0, 1],
        [2, 0, 1, 3],
        [2, 1, 3, 0],
        [3, 2, 1, 0],
        [3, 1, 0, 2],
        [3, 0, 2, 1],
    ];
    let count = inside.iter().filter(|i| **i).count();
    let Some(order) = orders
        .iter()
        .find(|o| (0..4).all(|n| inside[o[n]] == (n < count)))
    else {
        return;
    };
    let [a, b, c, d] = order.map(|n| corners[n]);
    match count {
        1 => faces.push([cross(a, b), cross(a, d), cross(a, c)]),
        2 => {
            let ring = [cross(a, c), cross(b, c), cross(b, d), cross(a, d)];
            faces.push([ring[0], ring[2], ring[1]]);
            faces.push([ring[0], ring[3], ring[2]]);
        }
        3 => faces.push([cross(a, d), cross(b, d), cross(c, d)]),
        _ => {}
    }
}

/// Signed distance to the skin, about: negative inside.
fn depth(bones: &[Bone], p: &Vector3<f64>) -> f64 {
    let distance = |bone: &Bone| {
        let squeeze = |v: &Vector3<f64>| Vector3::new(v.x, v.y / bone.depth, v.z);
        let (p, a, b) = (squeeze(p), squeeze(&bone.a), squeeze(&bone.b));
        let along = b - a;
        let t = ((p - a).dot(&along) / along.norm_squared().max(1e-9)).clamp(0.0, 1.0);
        (p - a - along * t).norm() - bone.radius[0] - (bone.radius[1] - bone.radius[0]) * t
    };
    let all: Vec<f64> = bones.iter().map(distance).collect();
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    least
        - BLEND
            * all
                .iter()
                .map(|d| ((least - d) / BLEND).exp())
                .sum::<f64>()
                .ln()
}
