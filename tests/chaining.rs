//! Chaining of random sections: no segment is lost or used twice, and a closed skin gives closed contours.

mod common;

use common::solid::{Dice, ellipsoid, noisy};
use girthwise::mesh::TriMesh;
use girthwise::section::{BridgeLimits, Contour, PlaneAxes, Slicer};
use nalgebra::{Point3, Vector3};
use proptest::prelude::*;

/// No gap is bridged, not even one of no length, so that contours show the mesh as it is.
/// A closed ball whose points are moved anywhere near it: it may cut through itself, but stays closed.
fn crumpled(n: u32, m: u32, by: f64, seed: u64) -> TriMesh {
    noisy(&ellipsoid([90.0, 120.0, 150.0], n, m), by, seed)
}

/// Whole numbers, so that planes meet vertices, edges and faces exactly.
fn snapped(mesh: TriMesh, grid: f64) -> TriMesh {
    mesh.map_points(|p| Point3::from(p.coords.map(|x| (x / grid).round() * grid)))
        .expect("finite")
}

fn axes(normal: [f64; 3]) -> Option<PlaneAxes> {
    let normal = Vector3::from(normal);
    (normal.norm() > 1e-3).then(|| PlaneAxes::square_to(normal).expect("a direction"))
}

/// Faces that the plane crosses and the length in which it cuts them, face by face, by the same half-open rule.
fn face_by_face(mesh: &TriMesh, axes: &PlaneAxes, height: f64) -> (usize, f64) {
    let level = |p: &Point3<f64>| axes.normal.dot(&p.coords) - height;
    let mut count = 0;
    let mut length = 0.0;
    for face in 0..mesh.faces().len() {
        let corners = mesh.corners(face);
        let ends: Vec<Point3<f64>> = [(0, 1), (1, 2), (2, 0)]
            .into_iter()
            .map(|(i, j)| (corners[i], corners[j]))
            .filter(|(a, b)| (level(a) >= 0.0) != (level(b) >= 0.0))
            .map(|(a, b)| a + (b - a) * (level(&a) / (level(&a) - level(&b))))
            .collect();
        if let [a, b] = ends[..] {
            count += 1;
            length += (a - b).norm();
        }
    }
    (count, length)
}

fn segments(contour: &Contour) -> usize {
    // Each point of a closed contour starts one; an open one has one fewer.
    contour.points().len() - usize::from(!contour.is_closed())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 192,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn each_segment_is_in_exactly_one_contour(
        n in 3_u32..24, m in 2_u32..16, by in 0.0..60.0_f64, seed in 1..u64::MAX,
        normal in [-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64],
        height in -140.0..140.0_f64,
        grid in prop_oneof![Just(0.0), Just(10.0), Just(50.0)],
        holes in 0.0..0.5_f64,
    ) {
        let mut mesh = crumpled(n, m, by, seed);
        let (mut height, mut normal) = (height, normal);
        if grid > 0.0 {
            // On the grid, level planes at whole steps: the worst case for planes through vertices.
            mesh = snapped(mesh, grid);
            normal = [0.0, 0.0, 1.0];
            height = (height / grid).round() * grid;
        }
        let Some(axes) = axes(normal) else { return Ok(()) };
        let mut dice = Dice::new(seed ^ 0x5bd1_e995);
        let whole = holes < 0.1;
        if !whole {
            let faces = mesh.faces().iter().filter(|_| dice.unit() > holes).copied().collect();
            mesh = TriMesh::new(mesh.points().to_vec(), faces).expect("in range");
        }
        let section = Slicer::along(&mesh, axes).bridging(BridgeLimits::NONE).cut(height);
        let (count, length) = face_by_face(&mesh, &axes, height);
        let chained: usize = section.contours.iter().map(segments).sum();
        prop_assert_eq!(chained, count);
        let total: f64 = section.contours.iter().map(Contour::surface_girth_mm).sum();
        prop_assert!((total - length).abs() <= 1e-9 * length.max(1.0), "{} and {}", total, length);
        let all_closed = section.contours.iter().all(Contour::is_closed);
        if whole || mesh.stats().closed {
            prop_assert!(all_closed);
        }
    }

    /// A rim that the plane crosses leaves ends, two for each open contour; where it crosses none, none is open.
    #[test]
    fn contours_are_open_only_at_rims(
        seed in 1..u64::MAX, height in -140.0..140.0_f64, gone in 1_usize..40,
    ) {
        let closed = crumpled(16, 12, 5.0, seed);
        let mut faces = closed.faces().to_vec();
        Dice::new(seed).shuffle(&mut faces);
        faces.truncate(closed.faces().len() - gone);
        let torn = TriMesh::new(closed.points().to_vec(), faces.clone()).expect("in range");
        let above = |v: u32| torn.points()[v as usize].z >= height;
        let mut sides = std::collections::BTreeMap::new();
        for [a, b, c] in faces {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                *sides.entry((from.min(to), from.max(to))).or_insert(0) += 1;
            }
        }
        let rims = sides
            .into_iter()
            .filter(|&((a, b), uses)| uses == 1 && above(a) != above(b))
            .count();
        let section = Slicer::level(&torn).bridging(BridgeLimits::NONE).cut(height);
        let open = section.contours.iter().filter(|c| !c.is_closed()).count();
        prop_assert_eq!(2 * open, rims);
    }

    /// Many planes at once give what one at a time gives, to the bit.
    #[test]
    fn many_planes_are_each_as_alone(
        seed in 1..u64::MAX, heights in prop::collection::vec(-160.0..160.0_f64, 0..20),
    ) {
        let mesh = crumpled(12, 9, 20.0, seed);
        let slicer = Slicer::level(&mesh);
        let together = slicer.cut_many(&heights);
        let alone: Vec<_> = heights.iter().map(|&h| slicer.cut(h)).collect();
        prop_assert_eq!(together, alone);
    }

    /// Loose triangles, some of them twice, turned over or without area: the worst a file can hold.
    #[test]
    fn soup_loses_no_segment(
        corners in prop::collection::vec([-4..5_i8, -4..5_i8, -4..5_i8], 3..40),
        picks in prop::collection::vec(any::<[prop::sample::Index; 3]>(), 1..80),
        twice in 0_usize..10, height in -5..6_i8, half in any::<bool>(),
    ) {
        let points: Vec<_> = corners.iter().map(|p| Point3::from(p.map(f64::from))).collect();
        let number = |at: prop::sample::Index| u32::try_from(at.index(points.len())).expect("few");
        let mut faces: Vec<[u32; 3]> = picks.iter().map(|pick| pick.map(number)).collect();
        let again: Vec<_> = faces.iter().take(twice).flat_map(|&[a, b, c]| [[a, b, c], [c, b, a]]).collect();
        faces.extend(again);
        let mesh = TriMesh::new(points, faces).expect("in range");
        let height = f64::from(height) + if half { 0.5 } else { 0.0 };
        let section = Slicer::level(&mesh).bridging(BridgeLimits::NONE).cut(height);
        let (count, length) = face_by_face(&mesh, &PlaneAxes::LEVEL, height);
        prop_assert_eq!(section.contours.iter().map(segments).sum::<usize>(), count);
        let total: f64 = section.contours.iter().map(Contour::surface_girth_mm).sum();
        prop_assert!((total - length).abs() <= 1e-9 * length.max(1.0), "{} and {}", total, length);
    }

    /// Which face comes first, and with which corner, is chance in a file: it shows in where a
    /// contour starts, and nowhere else.
    #[test]
    fn order_of_faces_and_corners_does_not_matter(
        n in 3_u32..20, m in 2_u32..14, by in 0.0..60.0_f64, seed in 1..u64::MAX, height in -140.0..140.0_f64,
    ) {
        let mesh = crumpled(n, m, by, seed);
        let cut = |faces: Vec<[u32; 3]>| {
            let mesh = TriMesh::new(mesh.points().to_vec(), faces).expect("in range");
            Slicer::level(&mesh).cut(height).contours
        };
        let plain = cut(mesh.faces().to_vec());
        let mut dice = Dice::new(seed);
        let mut faces = mesh.faces().to_vec();
        faces.iter_mut().for_each(|face| face.rotate_left(if dice.unit() < 0.5 { 1 } else { 2 }));
        prop_assert_eq!(&cut(faces.clone()), &plain);
        dice.shuffle(&mut faces);
        prop_assert_eq!(canonical(&cut(faces)), canonical(&plain));
    }

    /// The signed area that a closed skin encloses in the plane is that of its shadow from above:
    /// the skin above the plane and the cut are closed together, so their projected areas add up to
    /// nothing. Turned inside out it changes its sign.
    #[test]
    fn contours_run_round_as_the_skin_is_wound(
        n in 3_u32..20, m in 2_u32..14, by in 0.0..60.0_f64, seed in 1..u64::MAX,
        grid in prop_oneof![Just(0.0), Just(25.0)], step in -5..6_i8,
    ) {
        let height = 25.0 * f64::from(step);
        let mut mesh = crumpled(n, m, by, seed);
        if grid > 0.0 {
            mesh = snapped(mesh, grid);
        }
        let area = |mesh: &TriMesh| -> f64 {
            let section = Slicer::level(mesh).cut(height);
            section.contours.iter().map(|contour| shoelace(contour.points())).sum()
        };
        let shadow: f64 = (0..mesh.faces().len())
            .map(|face| shoelace(&part_above(mesh.corners(face), height)))
            .sum();
        // Rounding: some hundred terms of up to 1e5 mm² each.
        prop_assert!((area(&mesh) - shadow).abs() < 1e-7, "{} and {}", area(&mesh), shadow);
        let mut turned = mesh.clone();
        turned.flip_faces();
        prop_assert!((area(&turned) + shadow).abs() < 1e-7);
    }
}

/// Each contour from its least point on, the contours sorted: to the bit.
fn canonical(contours: &[Contour]) -> Vec<Vec<[u64; 2]>> {
    let mut all: Vec<Vec<_>> = contours
        .iter()
        .map(|contour| {
            let mut points: Vec<_> = contour
                .points()
                .iter()
                .map(|p| p.map(f64::to_bits))
                .collect();
            let least = (0..points.len()).min_by_key(|&at| points[at]).unwrap_or(0);
            points.rotate_left(least);
            points
        })
        .collect();
    all.sort_unstable();
    all
}

fn shoelace(points: &[[f64; 2]]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points
        .iter()
        .zip(next)
        .map(|(p, q)| (p[0] * q[1] - q[0] * p[1]) / 2.0)
        .sum()
}

/// The part of a triangle at or above a level, seen from above.
fn part_above(corners: [Point3<f64>; 3], height: f64) -> Vec<[f64; 2]> {
    let mut part = Vec::new();
    for (at, p) in corners.iter().enumerate() {
        let q = &corners[(at + 1) % 3];
        if p.z >= height {
            part.push([p.x, p.y]);
        }
        if (p.z >= height) != (q.z >= height) {
            let cut = p + (q - p) * ((height - p.z) / (q.z - p.z));
            part.push([cut.x, cut.y]);
        }
    }
    part
}
