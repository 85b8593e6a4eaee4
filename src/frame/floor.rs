//! The floor: the lowest skin, and what a scanner leaves of the ground below it.

use super::way::Way;
use crate::error::Result;
use crate::finding::Finding;
use crate::mesh::TriMesh;
use crate::parallel::map_slice;
use crate::section::{Contour, Slicer};

/// Ground is looked for up to this share of the height.
const LOW: f64 = 0.06;
/// A face is level if its normal leans from the plumb line by less than this cosine (11 degrees).
const LEVEL: f64 = 0.98;
/// Level skin near the soles, in squared heights, above which there must be ground. Two
/// soles, 0.15 by 0.055 heights each and full to the edge, come to 0.017.
const GROUND: f64 = 0.03;
/// Least area of a section at the end of a body, in squared heights: half a square
/// centimetre, 0.1 mm below the top of a crown of 80 mm radius.
const SOLID: f64 = 1.7e-5;
/// What stands out by less than this share of the height is the end itself, uneven or torn: 7 mm.
const SPIKE: f64 = 0.004;
/// Thickness of a slice in which level skin is gathered, as a share of the height.
const SLICE: f64 = 0.003;
/// Skin up to this share of the height above the ground goes with it: scan noise of 2 mm.
const NOISE: f64 = 0.0025;

/// Takes off a ground that is grown to the feet of an upright body.
///
/// Returns the body, the height of its floor (the ground's upper side, or the lowest skin), and how
/// uneven that is, as a standard deviation.
///
/// # Errors
/// Those of making a mesh, and of choosing the body from what is left.
pub(super) fn find_floor(way: Way, findings: &mut Vec<Finding>) -> Result<(Way, f64, f64)> {
    let way = way.catch_up()?;
    let (low, high) = super::extent(way.scan(), &nalgebra::Vector3::z());
    let tall = high - low;
    let slices = slices(&way.mesh, low, tall);
    if slices.iter().sum::<f64>() < GROUND * tall * tall {
        let floor = solid_end(&way, low, 0.02 * tall, tall);
        return Ok((way, floor, 0.0));
    }
    // Of a platform's two sides the upper one is the floor.
    let most = slices.iter().copied().fold(0.0_f64, f64::max);
    let Some(top) = slices.iter().rposition(|area| *area > 0.4 * most) else {
        return Ok((way, low, 0.0));
    };
    let area = slices[top];
    let (floor, uneven) = middle(way.scan(), low + tall * SLICE * index(top), tall * SLICE);
    let limit = floor + NOISE * tall;
    let matrix = way.matrix;
    let (mesh, _) = way.into_meshes();
    let above = map_slice(mesh.points(), |p| p.z > limit);
    let mesh = mesh.select(|face| face.iter().any(|&v| above[v as usize]));
    findings.push(Finding::note(
        "floor",
        format!(
            "took off a level ground grown to the feet, in all as wide as {:.1} times the body is tall; its upper side is the floor, and the soles are open",
            area.sqrt() / tall
        ),
    ));
    let before = matrix;
    let way = Way::of_body(mesh, matrix, &mut Vec::new())?;
    // Dropping what the ground held together may have moved and scaled the body.
    let moved = way.matrix
        * before
            .try_inverse()
            .unwrap_or_else(nalgebra::Matrix4::identity);
    let floor = moved
        .transform_point(&nalgebra::Point3::new(0.0, 0.0, floor))
        .z;
    Ok((way, floor, uneven * moved.fixed_view::<3, 1>(0, 0).norm()))
}

/// Highest point of the body, spikes and fins left out.
pub(super) fn find_crown(way: &Way) -> f64 {
    let (low, high) = super::extent(way.scan(), &nalgebra::Vector3::z());
    solid_end(way, high, -0.02 * (high - low), high - low)
}

/// From an end of the body inwards over `reach` the first height at which a section has area.
///
/// A spike or a single triangle that stands off the skin is no end of a body.
fn solid_end(way: &Way, end: f64, reach: f64, tall: f64) -> f64 {
    let near = way.is_fine().then(|| band(way.scan(), end, end + reach));
    let slicer = Slicer::level(near.as_ref().unwrap_or(way.scan()));
    let is_solid = |height: f64| {
        let section = slicer.cut(height);
        let area: f64 = section.contours.iter().map(Contour::area_mm2).sum();
        area > SOLID * tall * tall
    };
    if !is_solid(end + reach) {
        return end;
    }
    let (mut outside, mut inside) = (0.0, 1.0);
    // To 0.02 / 2^11 heights, 0.02 mm.
    for _ in 0..11 {
        let middle = f64::midpoint(outside, inside);
        if is_solid(end + middle * reach) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    let solid = end + outside * reach;
    if (solid - end).abs() < SPIKE * tall {
        end
    } else {
        solid
    }
}

/// The faces that reach between two heights.
fn band(mesh: &TriMesh, one: f64, other: f64) -> TriMesh {
    let (low, high) = (one.min(other), one.max(other));
    // Below, between, above: 1, 2, 4.
    let side = map_slice(mesh.points(), |p| {
        u8::from(p.z < low) | u8::from(p.z >= low && p.z <= high) << 1 | u8::from(p.z > high) << 2
    });
    mesh.select(|face| {
        let sides = face.iter().fold(0, |sides, &v| sides | side[v as usize]);
        sides & 2 != 0 || sides == 5
    })
}

/// Level skin by height, from the lowest point up.
fn slices(mesh: &TriMesh, low: f64, tall: f64) -> Vec<f64> {
    let mut slices = vec![0.0; 20];
    for face in 0..mesh.faces().len() {
        let [a, b, c] = mesh.corners(face);
        let square = (b - a).cross(&(c - a));
        let height = ((a.z + b.z + c.z) / 3.0 - low) / tall;
        if height > LOW || square.z.abs() <= LEVEL * square.norm() {
            continue;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and LOW / SLICE = 20, clamped by the lookup"
        )]
        let slice = (height / SLICE) as usize;
        if let Some(area) = slices.get_mut(slice) {
            *area += square.z.abs() / 2.0;
        }
    }
    slices
}

/// Mean height, by area, of the level skin between `from` and `from + thick`, and the standard
/// deviation of its corners about it.
fn middle(mesh: &TriMesh, from: f64, thick: f64) -> (f64, f64) {
    let (mut area, mut sum, mut squares) = (0.0, 0.0, 0.0);
    for face in 0..mesh.faces().len() {
        let corners = mesh.corners(face);
        let [a, b, c] = corners;
        let square = (b - a).cross(&(c - a));
        let height = (a.z + b.z + c.z) / 3.0;
        if (from..=from + thick).contains(&height) && square.z.abs() > LEVEL * square.norm() {
            area += square.z.abs();
            sum += square.z.abs() * (height - from);
            let spread: f64 = corners.iter().map(|p| (p.z - from).powi(2)).sum();
            squares += square.z.abs() * spread / 3.0;
        }
    }
    if area > 0.0 {
        let mean = sum / area;
        (from + mean, (squares / area - mean * mean).max(0.0).sqrt())
    } else {
        (from, 0.0)
    }
}

#[expect(clippy::cast_precision_loss, reason = "below 20")]
fn index(slice: usize) -> f64 {
    slice as f64
}
