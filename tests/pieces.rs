//! Bodies that come as several closed pieces, and what stands beside a body.
//!
//! The body is `data/bodies/body-05`, whose truth file was cut and measured by code that shares nothing with this
//! project; it is cut into closed pieces here, which run 25 mm into each other.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;

use common::body::{data, load, measured, raw};
use common::solid::{ellipsoid, prism_of, together};
use common::truth::{Basis, read, references};
use girthwise::frame::FrameOptions;
use girthwise::measure::{Key, MeasureId};
use girthwise::mesh::TriMesh;
use girthwise::scan::{Scan, measure_scan};
use girthwise::section::Slicer;
use girthwise::side::Side;
use nalgebra::{Point3, Vector3};
use std::collections::{BTreeMap, HashMap};

const BODY: &str = "bodies/body-05.ply";
/// How far pieces run into each other, in mm.
const OVER: f64 = 25.0;

/// What of a closed mesh lies where `normal` · p >= `least`, closed by a fan at each place where the plane cuts it.
fn cut_off(mesh: &TriMesh, normal: [f64; 3], least: f64) -> TriMesh {
    let normal = Vector3::from(normal);
    let over = |at: u32, points: &[Point3<f64>]| normal.dot(&points[at as usize].coords) - least;
    let mut points = mesh.points().to_vec();
    let (mut faces, mut rim) = (Vec::new(), BTreeMap::new());
    let mut cuts = HashMap::new();
    for &face in mesh.faces() {
        let mut kept: Vec<(u32, bool)> = Vec::new();
        for (a, b) in [(face[0], face[1]), (face[1], face[2]), (face[2], face[0])] {
            let (at_a, at_b) = (over(a, &points), over(b, &points));
            if at_a >= 0.0 {
                kept.push((a, false));
            }
            if (at_a >= 0.0) != (at_b >= 0.0) {
                let key = (a.min(b), a.max(b));
                let cut = *cuts.entry(key).or_insert_with(|| {
                    let (p, q) = (points[key.0 as usize], points[key.1 as usize]);
                    let share =
                        over(key.0, &points) / (over(key.0, &points) - over(key.1, &points));
                    points.push(p + (q - p) * share);
                    u32::try_from(points.len() - 1).unwrap()
                });
                kept.push((cut, true));
            }
        }
        for k in 1..kept.len().saturating_sub(1) {
            faces.push([kept[0].0, kept[k].0, kept[k + 1].0]);
        }
        for k in 0..kept.len() {
            let (one, two) = (kept[k], kept[(k + 1) % kept.len()]);
            if one.1 && two.1 {
                rim.insert(one.0, two.0);
            }
        }
    }
    while let Some((&first, _)) = rim.iter().next() {
        let mut way = vec![first];
        while let Some(next) = rim
            .remove(way.last().unwrap())
            .filter(|&next| next != first)
        {
            way.push(next);
        }
        let middle = way
            .iter()
            .map(|&at| points[at as usize].coords)
            .sum::<Vector3<f64>>();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred points")]
        points.push(Point3::from(middle / way.len() as f64));
        let top = u32::try_from(points.len() - 1).unwrap();
        for k in 0..way.len() {
            faces.push([way[(k + 1) % way.len()], way[k], top]);
        }
    }
    let piece = TriMesh::new(points, faces)
        .unwrap()
        .without_loose_points()
        .0;
    assert!(piece.stats().closed);
    piece
}

/// Head, trunk, arms and legs, each closed.
fn pieces() -> Vec<TriMesh> {
    let body = load(BODY);
    let (shoulder, crotch, neck) = (215.0, 858.0, 1530.0);
    let arms = [[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0]].map(|out| cut_off(&body, out, shoulder));
    let inner = [[-1.0, 0.0, 0.0], [1.0, 0.0, 0.0]]
        .iter()
        .fold(body, |rest, &inwards| {
            cut_off(&rest, inwards, -shoulder - OVER)
        });
    let legs = cut_off(&inner, [0.0, 0.0, -1.0], -crotch);
    let upper = cut_off(&inner, [0.0, 0.0, 1.0], crotch - OVER);
    let head = cut_off(&upper, [0.0, 0.0, 1.0], neck - OVER);
    let trunk = cut_off(&upper, [0.0, 0.0, -1.0], -neck);
    let [right, left] = arms;
    vec![left, head, legs, trunk, right]
}

fn moved(mesh: &TriMesh, by: [f64; 3]) -> TriMesh {
    let by = Vector3::from(by);
    mesh.clone().map_points(|p| p + by).unwrap()
}

fn told<'s>(scan: &'s Scan, topic: &str) -> Option<&'s str> {
    let mut findings = scan.measures.findings.iter();
    Some(
        findings
            .find(|finding| finding.topic == topic)?
            .text
            .as_str(),
    )
}

/// The same girths as of the body in one piece, and against the truth: nothing that the skin alone
/// shows errs by more than three of its own uncertainties and by more than 5 mm (a limit of our own).
#[test]
fn a_body_in_closed_pieces_measures_as_in_one() {
    let whole = measured(load(BODY));
    let scan = measured(together(&pieces()));
    assert!(scan.body.mesh().is_in_pieces() && !whole.body.mesh().is_in_pieces());
    assert!(told(&scan, "pieces").unwrap().contains("6 pieces"));
    let both = Side::BOTH;
    let ids = [
        Key::Stature,
        Key::WaistNarrowestGirth,
        Key::HipGirth,
        Key::BustGirth,
    ]
    .map(MeasureId::from);
    let limbs = [Key::ThighGirth, Key::UpperArmGirth, Key::CalfGirth];
    let limbs = limbs
        .iter()
        .flat_map(|&key| both.map(|side| MeasureId::new(key, side)));
    for id in ids.into_iter().chain(limbs) {
        let (one, other) = (
            whole.measures.get(id).unwrap(),
            scan.measures.get(id).unwrap(),
        );
        // The planes of the pieces run through places between these levels; the midline may move a little.
        assert!(
            (one.value - other.value).abs() < 1.0,
            "{id}: {} {}",
            one.value,
            other.value
        );
    }
    let truth = read(&data("bodies/body-05.truth.json"));
    let shown = references(&truth)
        .into_iter()
        .filter(|r| r.basis == Basis::Skin);
    let mut measured = 0;
    for reference in shown {
        let Some(found) = scan.measures.get(reference.id) else {
            continue;
        };
        measured += 1;
        let error = (found.value - reference.value).abs();
        let limit = (3.0 * found.spread.sd).max(5.0);
        assert!(
            error <= limit,
            "{}: {error:.1} mm, stated {:.1}",
            found.id,
            found.spread.sd
        );
    }
    assert!(measured >= 40, "{measured}");
}

/// A second person is refused, in one piece or in many, apart or with room for the other's arms in its box.
#[test]
fn two_people_are_refused() {
    let parts = pieces();
    for apart in [2000.0, 800.0] {
        let second = together(
            &parts
                .iter()
                .map(|part| moved(part, [apart, 250.0, 0.0]))
                .collect::<Vec<_>>(),
        );
        for first in [load(BODY), together(&parts)] {
            let both = together(&[first, second.clone()]);
            let error = measure_scan(raw(both), &FrameOptions::default(), |_| {}).unwrap_err();
            assert!(error.to_string().contains("two bodies"), "{apart}: {error}");
        }
    }
}

/// A stool of five pieces beside a body of six goes, and is told; the body is what it was.
#[test]
fn a_stool_beside_the_body_goes() {
    let leg = ellipsoid([25.0, 25.0, 240.0], 16, 12);
    let legs = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
        .map(|[x, y]| moved(&leg, [900.0 + 150.0 * x, 150.0 * y, 240.0]));
    let seat = moved(
        &ellipsoid([190.0, 190.0, 40.0], 32, 16),
        [900.0, 0.0, 470.0],
    );
    let body = together(&pieces());
    let alone = measured(body.clone());
    let scan = measured(together(&[vec![body, seat], legs.to_vec()].concat()));
    assert!(told(&scan, "debris").unwrap().contains("5 loose pieces"));
    for key in [Key::Stature, Key::HipGirth, Key::WaistNarrowestGirth] {
        let [one, other] = [&alone, &scan].map(|scan| scan.measures.get(key).unwrap().value);
        assert!((one - other).abs() < 0.01, "{key:?}: {one} {other}");
    }
}

/// Two upright tubes of radius r, their middles d < 2r apart: around them goes a taut tape of 2d + 2πr and,
/// along the skin, 4r·(π − acos(d/2r)). Inner pieces add nothing, whichever way they are wound.
#[test]
fn a_level_goes_round_the_outside_of_pieces() {
    use std::f64::consts::PI;
    let (r, d, n) = (60.0, 70.0, 720);
    let tube = |x: f64, radius: f64| {
        prism_of(
            &common::solid::ellipse(radius, radius, n, [x, 0.0]),
            0.0,
            100.0,
            4,
        )
    };
    let mut inner = tube(5.0, 20.0);
    inner.flip_faces();
    let mesh = together(&[tube(0.0, r), tube(d, r), inner, tube(400.0, 30.0)]);
    assert_eq!(Slicer::level(&mesh).cut(50.0).contours.len(), 4);
    let mesh = mesh.in_pieces();
    for height in [12.5, 50.0, 75.0] {
        let section = Slicer::level(&mesh).cut(height);
        let [one, other] = &section.contours[..] else {
            panic!("{} contours", section.contours.len());
        };
        let outline = if one.area_mm2() > other.area_mm2() {
            one
        } else {
            other
        };
        // Polygons of n sides inscribed in the circles are short by less than π²/6n² of them: 0.002 mm.
        let taut = 2.0 * d + 2.0 * PI * r;
        let skin = 4.0 * r * (PI - (d / (2.0 * r)).acos());
        assert!(
            (taut - outline.taut_girth_mm()).abs() < 0.003,
            "{}",
            outline.taut_girth_mm()
        );
        assert!(
            (skin - outline.surface_girth_mm()).abs() < 0.01,
            "{}",
            outline.surface_girth_mm()
        );
    }
}
