#![no_main]
//! Any mesh, cut at many levels, those of its vertices among them: every segment in which a face
//! is cut is in exactly one contour, to the bit, and a closed skin gives closed contours.

use girthwise::mesh::TriMesh;
use girthwise::section::{BridgeLimits, Contour, PlaneAxes, Slicer};
use girthwise_fuzz::bytes::Bytes;
use nalgebra::Vector3;
use std::hint::black_box;

/// Not even a gap of no length is bridged.
libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let mut bytes = Bytes(bytes);
    let direction = Vector3::from([0; 3].map(|_| bytes.signed()));
    let is_level = bytes.byte().is_multiple_of(2);
    let axes = PlaneAxes::square_to(direction)
        .ok()
        .filter(|_| !is_level)
        .unwrap_or(PlaneAxes::LEVEL);
    let between: Vec<f64> = (0..8).map(|_| bytes.share()).collect();
    let mesh = bytes.mesh();
    check(&mesh, axes, &between);
    let cleaned = mesh.clean().mesh;
    check(&cleaned, axes, &between);
});

fn check(mesh: &TriMesh, axes: PlaneAxes, between: &[f64]) {
    let heights: Vec<f64> = mesh
        .points()
        .iter()
        .map(|p| axes.normal.dot(&p.coords))
        .collect();
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if heights.is_empty() {
        return; // All faces were without area and went.
    }
    let mut levels: Vec<f64> = heights.iter().copied().take(24).collect();
    levels.extend(between.iter().map(|share| low + (high - low) * share));
    let slicer = Slicer::along(mesh, axes).bridging(BridgeLimits::NONE);
    let indexed = slicer.clone().indexed();
    let many = slicer.cut_many(&levels);
    assert_eq!(many.len(), levels.len());
    let is_closed = mesh.stats().closed;
    for (section, &level) in many.iter().zip(&levels) {
        assert_eq!(*section, slicer.cut(level));
        assert_eq!(*section, indexed.cut(level));
        let mut chained: Vec<_> = section.contours.iter().flat_map(segments).collect();
        let mut expected = face_by_face(mesh, &axes, &heights, level);
        chained.sort_unstable();
        expected.sort_unstable();
        assert_eq!(chained, expected);
        assert!(!is_closed || section.contours.iter().all(Contour::is_closed));
    }
    for section in Slicer::along(mesh, axes).cut_many(&levels) {
        section.contours.iter().for_each(read_off);
    }
}

type Segment = [[u64; 2]; 2];

/// The smaller end first, to the bit.
fn segment(a: [f64; 2], b: [f64; 2]) -> Segment {
    let mut ends = [a, b].map(|point| point.map(f64::to_bits));
    ends.sort_unstable();
    ends
}

fn segments(contour: &Contour) -> Vec<Segment> {
    let points = contour.points();
    let count = points.len() - usize::from(!contour.is_closed());
    (0..count)
        .map(|at| segment(points[at], points[(at + 1) % points.len()]))
        .collect()
}

/// The segments face by face, from the definition: above is `>=`, and an edge is cut from its
/// lower-numbered vertex.
fn face_by_face(mesh: &TriMesh, axes: &PlaneAxes, heights: &[f64], level: f64) -> Vec<Segment> {
    let above = |v: u32| heights[v as usize] >= level;
    let cut = |a: u32, b: u32| {
        let (a, b) = (a.min(b) as usize, a.max(b) as usize);
        let t = (level - heights[a]) / (heights[b] - heights[a]);
        let (p, q) = (mesh.points()[a], mesh.points()[b]);
        axes.uv(&(p + (q - p) * t))
    };
    let crossed = mesh.faces().iter().filter_map(|&[a, b, c]| {
        let ends: Vec<_> = [(a, b), (b, c), (c, a)]
            .into_iter()
            .filter(|&(a, b)| above(a) != above(b))
            .map(|(a, b)| cut(a, b))
            .collect();
        let &[one, other] = ends.as_slice() else {
            assert!(ends.is_empty());
            return None;
        };
        assert!(one.iter().chain(&other).all(|x| x.is_finite()));
        Some(segment(one, other))
    });
    crossed.collect()
}

/// Everything that is read off a contour is a number.
fn read_off(contour: &Contour) {
    let hull = contour.hull();
    let middle = contour.centroid();
    let (left, right) = hull.perimeter_sides(middle[0]);
    let (smooth, roughness) = contour.smoothed();
    black_box((contour.across(middle[0]), contour.contains(middle)));
    for number in [
        contour.surface_girth_mm(),
        contour.taut_girth_mm(),
        contour.area_mm2(),
        contour.breadth_mm(),
        contour.depth_mm(),
        contour.gap_mm(),
        contour.jitter_mm(),
        middle[0],
        middle[1],
        left,
        right,
        smooth.surface_girth_mm(),
        roughness,
    ] {
        assert!(number.is_finite(), "{number}");
    }
    let surface = contour.surface_girth_mm();
    if contour.is_closed() {
        assert!(contour.taut_girth_mm() <= surface * (1.0 + 1e-9));
    }
}
