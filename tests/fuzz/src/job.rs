//! A mannequin to which random bytes do anything, through the whole job: measured or refused, told,
//! written and read again, and planned for.

#[path = "../../common/mannequin.rs"]
#[allow(dead_code, reason = "its tests use more of it")]
mod mannequin;

use crate::bytes::Bytes;
use girthwise::LengthUnit;
use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::frame::{Axis, FrameOptions};
use girthwise::ingest::{Format, RawMesh};
use girthwise::length::text::Shown;
use girthwise::mesh::TriMesh;
use girthwise::profile::Profile;
use girthwise::report::{plan_text, profile_text};
use girthwise::scan::measure_scan;
use girthwise::tape::TapeSet;
use mannequin::{Pose, mannequin};
use nalgebra::{Point3, Rotation3, Vector3};
use std::hint::black_box;
use std::sync::OnceLock;

type Mesh = (Vec<Point3<f64>>, Vec<[u32; 3]>);

/// The whole job with what the bytes say; false if they make no mesh at all.
pub fn run(bytes: &[u8]) -> bool {
    let mut bytes = Bytes(bytes);
    let options = options(&mut bytes);
    let mut mesh = base().clone();
    for _ in 0..8 {
        if bytes.is_spent() {
            break;
        }
        hurt(&mut mesh, &mut bytes);
    }
    let Ok(mesh) = TriMesh::new(mesh.0, mesh.1) else {
        return false;
    };
    job(mesh, &options);
    true
}

fn job(mesh: TriMesh, options: &FrameOptions) {
    let raw = RawMesh {
        mesh,
        format: Format::Ply,
        unit_hint: None,
        digest: String::new(),
        bytes: 0,
        findings: Vec::new(),
    };
    let scan = match measure_scan(raw, options, |_| ()) {
        Ok(scan) => scan,
        Err(error) => {
            assert!(error.to_string().len() > 10);
            return;
        }
    };
    let profile = Profile::of(&scan, &TapeSet::default());
    let text = profile.to_json().expect("all values are numbers");
    assert_eq!(Profile::from_json("p.json", &text).expect("reads"), profile);
    black_box(profile_text(&profile, Shown::InchEighths));
    let sheet = include_str!("../../../data/demo/garment.toml");
    let garment = read_garment("garment.toml", sheet).expect("the demo's sheet");
    if let Ok(plan) = LevelFit::default().plan(&profile, &garment) {
        black_box(plan_text(&plan, Shown::Centimetres));
    }
}

/// About 3000 faces: a small figure on the mannequin's grid, made large again.
fn base() -> &'static Mesh {
    static BASE: OnceLock<Mesh> = OnceLock::new();
    BASE.get_or_init(|| {
        let small = Pose {
            stature: 850.0,
            stance: 110.0,
            arms_deg: 30.0,
            ..Pose::default()
        };
        let (points, faces) = mannequin(small);
        let points = points.iter().map(|p| p * 2.0).collect();
        (points, faces)
    })
}

fn options(bytes: &mut Bytes<'_>) -> FrameOptions {
    let axes = [
        Axis::PlusX,
        Axis::MinusX,
        Axis::PlusY,
        Axis::MinusY,
        Axis::PlusZ,
        Axis::MinusZ,
    ];
    let units = [
        LengthUnit::Millimetre,
        LengthUnit::Centimetre,
        LengthUnit::Metre,
        LengthUnit::Inch,
    ];
    let told = bytes.byte();
    FrameOptions {
        unit: (told & 3 == 3).then(|| units[bytes.below(4)]),
        up: (told & 12 == 12).then(|| axes[bytes.below(6)]),
        front: (told & 48 == 48).then(|| axes[bytes.below(6)]),
        mirrored: told & 192 == 192,
    }
}

/// One thing that goes wrong with scans, or with their files.
fn hurt((points, faces): &mut Mesh, bytes: &mut Bytes<'_>) {
    let kind = bytes.byte() % 14;
    let low = 1800.0 * bytes.share();
    let high = low + 900.0 * bytes.share();
    let is_in = |p: &Point3<f64>| (low..=high).contains(&p.z);
    let (from, count) = (bytes.below(faces.len().max(1)), bytes.below(2000));
    let run = from..(from + count).min(faces.len());
    let [a, b, c] = [0; 3].map(|_| bytes.signed());
    match kind {
        0 => each(points, |p| {
            p.coords =
                p.coords
                    .component_mul(&Vector3::new(1.0 + a / 2.0, 1.0 + b / 2.0, 1.0 + c / 2.0))
        }),
        1 => each(points, |p| {
            *p += Vector3::new(a, b, c) * if is_in(p) { 300.0 } else { 0.0 }
        }),
        2 => each(points, |p| {
            if is_in(p) {
                p.x *= 1.0 + a;
                p.y *= 1.0 + b
            }
        }),
        3 => faces.retain(|face| {
            !face
                .iter()
                .any(|&at| is_in(&points[at as usize]) && points[at as usize].x * a > b * 200.0)
        }),
        4 => drop(faces.drain(run)),
        5 => faces[run].iter_mut().for_each(|face| face.swap(0, 1)),
        6 => faces.extend_from_within(run),
        7 => {
            let mut state = u64::from(a.to_bits() as u32) | 1;
            let mut noise = || {
                state = state
                    .wrapping_mul(6_364_136_223_846_793_005)
                    .wrapping_add(1);
                (state >> 40) as f64 / f64::from(1 << 24) - 0.5
            };
            each(points, |p| {
                *p += Vector3::new(noise(), noise(), noise()) * b * 60.0
            });
        }
        8 => {
            let grid = 0.1 + 100.0 * a.abs();
            each(points, |p| {
                p.coords.apply(|x| *x = (*x / grid).round() * grid)
            });
        }
        9 => {
            let turn = Rotation3::from_euler_angles(a * 3.2, b * 3.2, c * 3.2);
            each(points, |p| *p = turn * *p);
        }
        10 => {
            let to = [0.1, 0.001, 1.0 / 25.4, 1e-30, 1e30, -1.0][from % 6];
            each(points, |p| *p *= to);
        }
        11 => {
            let at = points.len() as u32;
            let corner = Point3::new(a, b, c) * 2000.0;
            points.push(corner);
            points.extend((0..3).map(|axis| {
                let mut point = corner;
                point[axis] += low - 900.0;
                point
            }));
            faces.extend(
                [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]
                    .map(|face: [u32; 3]| face.map(|v| v + at)),
            );
        }
        12 => {
            let at = from % points.len();
            points[at] = Point3::new(a, b, c) * [1e3, 1e6, 1e30, 1e300][count % 4];
        }
        _ => {
            let at = points.len() as u32;
            if at < 20_000 {
                points.extend_from_within(..);
                each(&mut points[at as usize..], |p| {
                    *p += Vector3::new(a, b, c) * 2000.0
                });
                let copy: Vec<_> = faces[run].iter().map(|face| face.map(|v| v + at)).collect();
                faces.extend(copy);
            }
        }
    }
}

fn each(points: &mut [Point3<f64>], to: impl FnMut(&mut Point3<f64>)) {
    points.iter_mut().for_each(to);
}
