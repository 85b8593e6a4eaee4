//! Sections and volumes of a body against general-purpose geometry libraries and a truth file.
//!
//! References: `data/bodies/body-05.sections.json`, printed by the script beside it (trimesh
//! cuts, shapely chains, hulls and areas; versions in the file); `body-05.vtk.json`, printed by
//! `vtk_sections.py` in the same way; `body-05.truth.json`, made by code
//! that shares nothing with this project; and, in the test itself, the plane cuts and mass
//! properties of parry3d.

mod common;

use common::body::{data, load};
use girthwise::measure::{Key, Lower, MeasureId, Tilted};
use girthwise::mesh::TriMesh;
use girthwise::part::{Branch, Parts};
use girthwise::section::{Contour, Hull, PlaneAxes, Section, Slicer, cut_at};
use girthwise::side::Side;
use nalgebra::{Point3, Vector3};
use parry3d_f64::math::Vector;
use parry3d_f64::query::IntersectResult;
use serde_json::Value;
use std::collections::BTreeMap;

const BODY: &str = "bodies/body-05.ply";

fn json(name: &str) -> Value {
    common::truth::read(&data(name))
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

fn place(value: &Value) -> [f64; 2] {
    [number(&value[0]), number(&value[1])]
}

/// The contour whose centre of area lies nearest.
fn nearest(section: &Section, centre: [f64; 2]) -> &Contour {
    let far = |contour: &Contour| {
        let [u, v] = contour.centroid();
        (u - centre[0]).hypot(v - centre[1])
    };
    let found = section
        .contours
        .iter()
        .min_by(|a, b| far(a).total_cmp(&far(b)));
    found.unwrap_or_else(|| panic!("no contour at {}", section.height_mm))
}

fn relative(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (found / expected - 1.0).abs() <= tolerance,
        "{what}: {found} instead of {expected}"
    );
}

/// Loop by loop. The reference snaps ends of segments to 1e-7 mm so that they meet: over a loop
/// of n points that is at most n · 1e-7 mm of length, 2e-8 of a loop of 300 points and 500 mm,
/// and 1e-7 mm · length of area.
#[test]
fn sections_agree_with_a_mesh_library() {
    let mesh = load(BODY);
    let reference = json("bodies/body-05.sections.json");
    let planes = reference["planes"].as_array().unwrap();
    assert_eq!(planes.len(), 50);
    let mut loops = 0;
    for plane in planes {
        let normal = Vector3::from([0, 1, 2].map(|k| number(&plane["normal"][k])));
        let height = number(&plane["height_mm"]);
        let axes = if normal == Vector3::z() {
            PlaneAxes::LEVEL
        } else {
            PlaneAxes::square_to(normal).unwrap()
        };
        let section = cut_at(&mesh, axes, height);
        let expected = plane["loops"].as_array().unwrap();
        assert_eq!(
            section.contours.len(),
            expected.len(),
            "{normal:?} {height}"
        );
        for row in expected {
            let centre = place(&row["centroid_mm"]);
            let contour = nearest(&section, centre);
            assert!(contour.is_closed());
            let what = format!("{normal:?} {height} {centre:?}");
            relative(
                contour.surface_girth_mm(),
                number(&row["skin_mm"]),
                1e-7,
                &what,
            );
            relative(
                contour.taut_girth_mm(),
                number(&row["taut_mm"]),
                1e-7,
                &what,
            );
            relative(contour.area_mm2(), number(&row["area_mm2"]), 1e-7, &what);
            let [u, v] = contour.centroid();
            assert!(
                (u - centre[0]).hypot(v - centre[1]) < 1e-5,
                "{what}: {u} {v}"
            );
            loops += 1;
        }
    }
    assert!(loops > 100, "{loops} loops compared");
}

/// All contours of a plane together, level and oblique, and level ones exactly at a vertex.
#[test]
fn sections_agree_with_a_second_library() {
    let mesh = load(BODY);
    let reference = json("bodies/body-05.vtk.json");
    let planes = reference["planes"].as_array().unwrap();
    let heights: Vec<f64> = mesh.points().iter().map(|p| p.z).collect();
    let mut at_vertices = 0;
    for plane in planes {
        let normal = Vector3::from([0, 1, 2].map(|k| number(&plane["normal"][k])));
        let height = number(&plane["height_mm"]);
        let is_level = normal == Vector3::z();
        let axes = if is_level {
            PlaneAxes::LEVEL
        } else {
            PlaneAxes::square_to(normal).unwrap()
        };
        let section = cut_at(&mesh, axes, height);
        let length: f64 = section.contours.iter().map(Contour::surface_girth_mm).sum();
        relative(
            length,
            number(&plane["skin_mm"]),
            1e-9,
            &format!("{normal:?} {height}"),
        );
        if is_level && heights.iter().any(|z| z.to_bits() == height.to_bits()) {
            // Where contours touch in a vertex, one or two can be told.
            at_vertices += 1;
        } else {
            assert_eq!(
                section.contours.len() as u64,
                plane["loops"].as_u64().unwrap()
            );
        }
    }
    assert_eq!((planes.len(), at_vertices), (70, 20));
}

/// The same sums over the same facets, in another order: round-off only.
#[test]
fn volume_and_area_agree_with_a_mesh_library() {
    let mesh = load(BODY);
    let reference = json("bodies/body-05.sections.json");
    relative(
        mesh.signed_volume(),
        number(&reference["volume_mm3"]),
        1e-9,
        "volume",
    );
    relative(mesh.area(), number(&reference["area_mm2"]), 1e-9, "area");
    let solid = mesh.solid().unwrap();
    relative(
        mesh.signed_volume(),
        solid.volume,
        1e-9,
        "volume by parry3d",
    );
}

fn parry(mesh: &TriMesh) -> parry3d_f64::shape::TriMesh {
    let points = mesh.points().iter().map(|p| Vector::new(p.x, p.y, p.z));
    parry3d_f64::shape::TriMesh::new(points.collect(), mesh.faces().to_vec())
        .expect("a mesh with faces")
}

/// The taut girth of what parry3d cuts out at a plane through `middle`, of the loop about it alone: points
/// that share segments belong together, and of the loops the one whose mean lies nearest counts.
fn parry_taut(shape: &parry3d_f64::shape::TriMesh, axes: PlaneAxes, middle: &Point3<f64>) -> f64 {
    let normal = axes.normal;
    let axis = Vector::new(normal.x, normal.y, normal.z);
    let height = normal.dot(&middle.coords);
    let IntersectResult::Intersect(line) = shape.intersection_with_local_plane(axis, height, 1e-9)
    else {
        panic!("parry3d cuts nothing at {height}");
    };
    let mut loop_of: Vec<u32> = (0..).take(line.vertices().len()).collect();
    loop {
        let before = loop_of.clone();
        for &[a, b] in line.indices() {
            let least = loop_of[a as usize].min(loop_of[b as usize]);
            loop_of[a as usize] = least;
            loop_of[b as usize] = least;
        }
        if loop_of == before {
            break;
        }
    }
    let mut loops: BTreeMap<u32, Vec<[f64; 2]>> = BTreeMap::new();
    for (point, number) in line.vertices().iter().zip(&loop_of) {
        let uv = axes.uv(&Point3::new(point.x, point.y, point.z));
        loops.entry(*number).or_default().push(uv);
    }
    let [u, v] = axes.uv(middle);
    let far = |points: &Vec<[f64; 2]>| {
        #[expect(clippy::cast_precision_loss, reason = "some hundred points")]
        let n = points.len() as f64;
        let (x, y) = points
            .iter()
            .fold((0.0, 0.0), |(x, y), p| (x + p[0], y + p[1]));
        (x / n - u).hypot(y / n - v)
    };
    let nearest = loops.values().min_by(|a, b| far(a).total_cmp(&far(b)));
    Hull::of(nearest.expect("a loop")).perimeter()
}

/// How much longer a tape out of level gets, cut by parry3d: both cut the same facets. Where ours is absent
/// the plane runs into an arm, the other leg or missing skin.
#[test]
fn tilted_girths_agree_with_parry3d() {
    let mesh = load(BODY);
    let shape = parry(&mesh);
    let scan = common::body::measured(mesh.clone());
    let ids: Vec<MeasureId> = scan.measures.values().map(|measure| measure.id).collect();
    let tilts = scan.tilts(&ids);
    let mut compared = 0;
    for tilt in &tilts {
        let level = scan
            .measures
            .get(tilt.id)
            .and_then(|m| m.level_mm)
            .unwrap()
            .mm();
        let curve_level = cut_at(&mesh, PlaneAxes::LEVEL, level);
        let [x, y] = match tilt.id.side {
            None => [0.0, 60.0],
            Some(side) => [90.0 * side.sign(), 20.0],
        };
        let [x, y] = nearest(&curve_level, [x, y]).centroid();
        let middle = Point3::new(x, y, level);
        let (sin, cos) = tilt.degrees.to_radians().sin_cos();
        let normal = match tilt.lower {
            Lower::Front => Vector3::new(0.0, sin, cos),
            Lower::Back => Vector3::new(0.0, -sin, cos),
            Lower::Left => Vector3::new(-sin, 0.0, cos),
            Lower::Right => Vector3::new(sin, 0.0, cos),
        };
        let tilted = parry_taut(&shape, PlaneAxes::square_to(normal).unwrap(), &middle);
        let flat = parry_taut(&shape, PlaneAxes::LEVEL, &middle);
        // Ours is turned about the middle of the nearest followed level, up to 1.3 mm off.
        relative(tilt.grown, tilted / flat, 0.004, &format!("{tilt:?}"));
        compared += 1;
    }
    assert!(compared > 150, "{compared} planes compared");
    // The seat: a cylinder as round as the thigh would grow by 2.5 % at 18.75 degrees (closed form, θ²/4).
    let climbs = |tilt: &Tilted| {
        tilt.id.key == Key::ThighGirth && tilt.lower == Lower::Front && tilt.grown > 1.08
    };
    assert!(tilts.iter().any(climbs));
}

/// Total length of what parry3d cuts out, without its order: it returns all loops in one.
fn parry_length(shape: &parry3d_f64::shape::TriMesh, normal: &Vector3<f64>, height: f64) -> f64 {
    let axis = Vector::new(normal.x, normal.y, normal.z);
    match shape.intersection_with_local_plane(axis, height, 1e-9) {
        IntersectResult::Intersect(line) => line
            .indices()
            .iter()
            .map(|&[a, b]| (line.vertices()[a as usize] - line.vertices()[b as usize]).length())
            .sum(),
        _ => 0.0,
    }
}

/// Planes in many directions, away from vertices, where both rules say the same.
#[test]
fn total_lengths_agree_with_parry3d() {
    let mesh = load(BODY);
    let shape = parry(&mesh);
    let mut dice = common::solid::Dice::new(20_685);
    let mut compared = 0;
    for _ in 0..60 {
        let normal = Vector3::from([0, 1, 2].map(|_| dice.normal())).normalize();
        let through = Point3::new(0.0, 40.0, 200.0 + 1_400.0 * dice.unit());
        let height = normal.dot(&through.coords);
        let clear = |p: &Point3<f64>| (normal.dot(&p.coords) - height).abs() > 1e-6;
        if !mesh.points().iter().all(clear) {
            continue;
        }
        let section = cut_at(&mesh, PlaneAxes::square_to(normal).unwrap(), height);
        let ours: f64 = section.contours.iter().map(Contour::surface_girth_mm).sum();
        relative(
            ours,
            parry_length(&shape, &normal, height),
            1e-9,
            &format!("{normal:?} {height}"),
        );
        compared += 1;
    }
    assert!(compared > 40, "{compared} planes compared");
}

/// The part of the body a branch's contour near `centre` belongs to.
fn belongs(branch: &Branch, height: f64, step: f64, centre: [f64; 2]) -> bool {
    branch.nearest(height).is_some_and(|piece| {
        let [u, v] = piece.contour.centroid();
        // A level away, and limbs slope at most about 45 degrees.
        (piece.height_mm - height).abs() <= step
            && (u - centre[0]).hypot(v - centre[1]) < 3.0 * step
    })
}

/// Sections every 50 mm with the body part of each loop, to the four decimals they are printed with.
#[test]
fn truth_sections_and_their_parts() {
    let mesh = load(BODY);
    let truth = json("bodies/body-05.truth.json");
    let slicer = Slicer::level(&mesh);
    let parts = Parts::find(&slicer, number(&truth["body"]["stature"]));
    let mut named = 0;
    for level in truth["sections"].as_array().unwrap() {
        let height = number(&level["z"]);
        let section = slicer.cut(height);
        for row in level["loops"].as_array().unwrap() {
            let centre = place(&row["centroid"]);
            let contour = nearest(&section, centre);
            let what = format!("{} at {height}", row["part"]);
            let near = |found: f64, key: &str| {
                let expected = number(&row[key]);
                assert!(
                    (found - expected).abs() < 0.05,
                    "{what}: {key} {found} instead of {expected}"
                );
            };
            near(contour.taut_girth_mm(), "taut");
            near(contour.surface_girth_mm(), "skin");
            near(contour.breadth_mm(), "breadth");
            near(contour.depth_mm(), "depth");
            // 0.05 mm all round a loop of at most 1200 mm.
            assert!(
                (contour.area_mm2() - number(&row["area"])).abs() < 60.0,
                "{what}"
            );
            let [u, v] = contour.centroid();
            assert!((u - centre[0]).hypot(v - centre[1]) < 0.05, "{what}");

            // Fingers beside the hand, chin and nose beside the head: a part is followed by its largest loop.
            let all = level["loops"].as_array().unwrap();
            let rival = |other: &Value| {
                other["part"] == row["part"] && number(&other["area"]) > number(&row["area"])
            };
            if all.iter().any(rival) {
                continue;
            }
            let of = |branch: &Branch| belongs(branch, height, parts.step_mm, centre);
            let ours = match row["part"].as_str().unwrap() {
                "leg L" => of(parts.leg(Side::Left)),
                "leg R" => of(parts.leg(Side::Right)),
                "arm L" => of(parts.arm(Side::Left)),
                "arm R" => of(parts.arm(Side::Right)),
                // Above the lower armpit trunk and shoulders are one contour.
                "torso" => of(&parts.trunk) || of(&parts.upper),
                "head" => of(&parts.upper),
                part => panic!("no such part: {part}"),
            };
            assert!(ours, "{what} is not followed as such");
            named += 1;
        }
    }
    assert!(named > 70, "{named} loops named");
}
