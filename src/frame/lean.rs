//! Small leans of a body's upright: the floor shows in a scanned ground, or in the soles.
//!
//! A scanner that knows the plumb line is better at it than two soles are, so
//! the file's axis is kept unless ground or soles and balance speak against it.
//! Where no axis is upright, ground or soles are all that tell.

use super::levels;
use super::way::Way;
use crate::error::Result;
use crate::finding::Finding;
use crate::mesh::TriMesh;
use crate::section::PlaneAxes;
use nalgebra::{Matrix4, Rotation3, Unit, Vector2, Vector3};
use std::collections::BTreeMap;

/// Ground and soles are looked for up to this share of the height; at 10
/// degrees a foot 0.2 heights away is 0.035 higher.
const LOW: f64 = 0.1;
/// Ground leans no more than this from the axis: cosine of 14 degrees.
const NEAR_LEVEL: f64 = 0.97;
/// Level skin, in squared heights, above which there is ground; two soles come to 0.017.
const GROUND: f64 = 0.03;
/// Lean of a ground that is not worth a correction, in degrees: 0.3 mm over a foot's length.
const LEAST_GROUND_DEG: f64 = 0.1;
/// How far soles lie off level of themselves, sideways and to the front, as standard deviations in degrees: two feet
/// on one floor hold their line across well, but heels are rounder than toes. Over 350 scans that stood plumb (facets
/// of all sizes, torn soles, 1 mm of noise) 0.1 to 0.5 and 0.4 to 0.8; 2 mm of noise made 0.7 and 0.7.
const SOLES_SD_DEG: (f64, f64) = (0.5, 0.7);
/// Soles this many of those off level are as likely those of a file that leans as not. Files that lean are few
/// (of ten, one that leans anywhere within 5 degrees would come to 3.4), and a scanner's axis better than soles.
const EVEN_SOLES: f64 = 3.5;
/// How far upright may be out where soles lean and the body does not stand over them, in degrees: 2.5 at most.
const MOST_DOUBT_DEG: f64 = 2.5;
/// Sideways, the middle of a body on two feet is within this share of its height of theirs: 15 mm.
const ASIDE: f64 = 0.009;
/// Forwards and backwards it is over the feet, that is within a third of their length: 85 mm.
const AHEAD: f64 = 0.05;
/// The same where no axis of the file is an upright to compare; an arm held out may pull it: 45 mm.
const ASIDE_UNTOLD: f64 = 0.027;
/// Side of a cell in which one sole point is enough, as a share of the height: 2 mm.
const CELL: f64 = 0.0012;
/// Steepest slope of the soles that is tried.
const STEEPEST: f64 = 0.25;

/// The upright of a scanner's own axis is sure to about this, in degrees (common practice, no source).
const AXIS_SD_DEG: f64 = 0.5;

/// How far a body's length lies off upright, as a standard deviation in degrees. Ten bodies of known upright, in ten
/// states of damage, 0.1 to 3.9: a slouched one 3, others 1.
const LENGTH_SD_DEG: f64 = 2.0;
/// Turns of a body that was laid along its length, until its floor is level: the first may lean so much that not all
/// of both soles is among the lowest skin.
const TURNS: usize = 3;

/// Turns an upright body so that the floor is level; how surely it is, as a standard deviation in degrees.
///
/// # Errors
/// None of its own; those of moving a mesh.
pub(super) fn straighten(mut way: Way, findings: &mut Vec<Finding>) -> Result<(Way, f64)> {
    if let Some(normal) = ground(&way.mesh) {
        let lean = normal.z.acos().to_degrees();
        if lean > LEAST_GROUND_DEG {
            way = turn(way, &normal)?;
            findings.push(Finding::note(
                "up",
                format!("corrected by {lean:.1} degrees, to the ground that was scanned"),
            ));
        }
        return Ok((way, AXIS_SD_DEG));
    }
    let Some(soles) = soles(&way.mesh) else {
        return Ok((way, AXIS_SD_DEG));
    };
    let lean = soles.normal.z.acos().to_degrees();
    let across = across(&way.mesh);
    let leaning = leaning(&soles.normal, &across);
    // Whichever is taken, upright is out by the whole lean if it is the other.
    let doubt = lean * leaning.min(1.0 - leaning).sqrt();
    if leaning < 0.5 {
        return Ok((way, AXIS_SD_DEG.hypot(doubt)));
    }
    let from_feet = middle(&way.mesh) - soles.middle;
    let stands = Stand::over(&from_feet, &soles.normal, &across);
    if stands.is_balanced(&Stand::over(&from_feet, &Vector3::z(), &across), &way.mesh) {
        way = turn(way, &soles.normal)?;
        findings.push(Finding::look(
            "up",
            format!(
                "corrected by {lean:.1} degrees: the soles lie in a plane that leans so, and upright on it the body's middle is {:.0} mm beside the middle of the feet; levels may still be out by up to a degree; a scan with some floor around the feet would tell better",
                stands.aside.hypot(stands.ahead)
            ),
        ));
        Ok((way, soles_sd_deg().hypot(doubt)))
    } else {
        findings.push(Finding::look(
            "up",
            format!(
                "the soles are not level (by {lean:.1} degrees), but upright on them the body would not stand over its feet; the file's axis is kept. A lifted foot, a shorter leg or missing soles look like this"
            ),
        ));
        Ok((way, AXIS_SD_DEG.hypot(lean.min(MOST_DOUBT_DEG))))
    }
}

/// Turns a body that was laid along its own length so that its floor is level; how surely it is, as a standard
/// deviation in degrees.
///
/// A plate or ground that was scanned with it is the floor, else the plane of the soles is.
///
/// # Errors
/// None of its own; those of moving a mesh.
pub(super) fn settle(mut way: Way, findings: &mut Vec<Finding>) -> Result<(Way, f64)> {
    let start = way.matrix;
    let off_length = |way: &Way| {
        let direction = |matrix: &Matrix4<f64>| matrix.fixed_view::<1, 3>(2, 0).transpose();
        direction(&start)
            .angle(&direction(&way.matrix))
            .to_degrees()
    };
    let plate = way.plate.map(|square| square * square.z.signum());
    if let Some(plate) = plate.filter(|p| p.z > NEAR_LEVEL) {
        way = turn(way, &plate)?;
        findings.push(Finding::note(
            "up",
            format!(
                "square to a plate that was scanned with the body, {:.1} degrees off its length",
                off_length(&way)
            ),
        ));
        return Ok((way, AXIS_SD_DEG));
    }
    let grounded;
    (way, grounded) = level(way, ground)?;
    if grounded {
        findings.push(Finding::note(
            "up",
            format!(
                "square to the ground that was scanned, {:.1} degrees off the body's length",
                off_length(&way)
            ),
        ));
        return Ok((way, AXIS_SD_DEG));
    }
    (way, _) = level(way, |mesh| Some(soles(mesh)?.normal))?;
    if stands_over_soles(&way.mesh) {
        findings.push(Finding::look(
            "up",
            format!(
                "square to the plane of the soles, {:.1} degrees off the body's length; the file does not tell how the body stood to the plumb line, so levels may be out by up to a degree; a scan with some floor around the feet would tell better",
                off_length(&way)
            ),
        ));
        return Ok((way, soles_sd_deg()));
    }
    let back = start * way.matrix.try_inverse().unwrap_or_else(Matrix4::identity);
    way = way.go(back)?;
    findings.push(Finding::look(
        "up",
        format!(
            "along the body's length, as on the plane of its soles it would not stand over its feet; levels may be out by {:.0} degrees; a scan with some floor around the feet would tell better",
            2.0 * LENGTH_SD_DEG
        ),
    ));
    Ok((way, LENGTH_SD_DEG))
}

/// Turns a body until what shows the floor is level; true if anything does.
fn level(mut way: Way, normal: impl Fn(&TriMesh) -> Option<Vector3<f64>>) -> Result<(Way, bool)> {
    let mut shows = false;
    for _ in 0..TURNS {
        let Some(normal) = normal(&way.mesh) else {
            break;
        };
        shows = true;
        way = turn(way, &normal)?;
    }
    Ok((way, shows))
}

/// How surely upright is known from the plane of the soles, whichever way it leans.
fn soles_sd_deg() -> f64 {
    SOLES_SD_DEG.0.hypot(SOLES_SD_DEG.1) / 2.0_f64.sqrt()
}

/// True if the middle of an upright body is over its feet.
fn stands_over_soles(mesh: &TriMesh) -> bool {
    let (low, high) = super::extent(mesh, &Vector3::z());
    let tall = high - low;
    soles(mesh).is_some_and(|soles| {
        let from_feet = middle(mesh) - soles.middle;
        let stand = Stand::over(&from_feet, &Vector3::z(), &across(mesh));
        stand.aside < ASIDE_UNTOLD * tall && stand.ahead < AHEAD * tall
    })
}

/// How likely a file leans whose soles lie in a plane of a normal: soles off level of themselves in a normal
/// distribution against a lean of any size.
fn leaning(normal: &Vector3<f64>, across: &Vector3<f64>) -> f64 {
    let ahead = Vector3::z().cross(across);
    let squares = [(across, SOLES_SD_DEG.0), (&ahead, SOLES_SD_DEG.1)]
        .map(|(way, sd)| (normal.dot(way).asin().to_degrees() / sd).powi(2));
    let odds = (0.5 * (squares[0] + squares[1] - EVEN_SOLES * EVEN_SOLES)).exp();
    1.0 / (1.0 + 1.0 / odds)
}

/// Where the body's middle lies from the middle of its feet, along the floor.
struct Stand {
    aside: f64,
    ahead: f64,
}

impl Stand {
    fn over(from_feet: &Vector3<f64>, up: &Vector3<f64>, across: &Vector3<f64>) -> Self {
        Self {
            aside: from_feet
                .dot(&(across - up * across.dot(up)).normalize())
                .abs(),
            ahead: from_feet.dot(&up.cross(across).normalize()).abs(),
        }
    }

    /// A body that leans in its file stands over its feet once put right; one with a shorter leg stood so before.
    fn is_balanced(&self, as_is: &Self, mesh: &TriMesh) -> bool {
        let (low, high) = super::extent(mesh, &Vector3::z());
        let tall = high - low;
        self.aside < as_is.aside.max(ASIDE * tall) && self.ahead < AHEAD * tall
    }
}

/// From one leg to the other: x if they do not show apart.
fn across(mesh: &TriMesh) -> Vector3<f64> {
    let (low, high) = super::extent(mesh, &Vector3::z());
    let shares = levels::shares(0.1, 0.3, 11);
    let legs = levels::cut(mesh, PlaneAxes::LEVEL, (low, high - low), &shares);
    let mut sum = Vector3::zeros();
    for [a, b] in legs.iter().filter_map(levels::Level::pair) {
        let step = Vector3::new(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1], 0.0);
        sum += if step.dot(&sum) < 0.0 { -step } else { step };
    }
    sum.try_normalize(0.0).unwrap_or_else(Vector3::x)
}

fn turn(way: Way, up: &Vector3<f64>) -> Result<Way> {
    let turn = Rotation3::rotation_between(up, &Vector3::z()).unwrap_or_else(Rotation3::identity);
    way.go(turn.to_homogeneous())
}

/// Upward normal of a ground scanned with the feet.
fn ground(mesh: &TriMesh) -> Option<Vector3<f64>> {
    let (low, high) = super::extent(mesh, &Vector3::z());
    let tall = high - low;
    let mut normal = Vector3::z();
    // The second and third look keep what is within 2.5 degrees of the first.
    for cosine in [NEAR_LEVEL, 0.999, 0.999] {
        let mut sum = Vector3::zeros();
        for face in 0..mesh.faces().len() {
            let [a, b, c] = mesh.corners(face);
            if a.z.min(b.z).min(c.z) > low + LOW * tall {
                continue;
            }
            let square = (b - a).cross(&(c - a));
            let along = square.dot(&normal);
            if along.abs() > cosine * square.norm() {
                sum += square * (along.signum() / 2.0);
            }
        }
        if sum.norm() < GROUND * tall * tall {
            return None;
        }
        normal = Unit::new_normalize(sum).into_inner();
    }
    Some(normal)
}

/// The plane the soles rest on.
struct Soles {
    normal: Vector3<f64>,
    middle: Vector3<f64>,
}

/// The highest plane below all skin of the feet, measured at their middle: what a board pressed up from below does.
fn soles(mesh: &TriMesh) -> Option<Soles> {
    let (low, high) = super::extent(mesh, &Vector3::z());
    let feet = lowest_by_cell(mesh, low, high - low);
    let (least, most) = feet.iter().fold(
        (
            Vector3::repeat(f64::INFINITY),
            Vector3::repeat(f64::NEG_INFINITY),
        ),
        |(l, m), p| (l.inf(p), m.sup(p)),
    );
    let centre = (least + most).xy() / 2.0;
    let feet: Vec<Vector3<f64>> = feet.into_iter().map(|p| p - centre.push(0.0)).collect();
    let clear = |slope: Vector2<f64>| {
        feet.iter()
            .map(|p| p.z - slope.dot(&p.xy()))
            .fold(f64::INFINITY, f64::min)
    };
    // Concave in each slope, so that nested thirds find the highest.
    let best_y = |x: f64| highest(|y| clear(Vector2::new(x, y)));
    let (x, _) = highest(|x| best_y(x).1);
    let (y, height) = best_y(x);
    height.is_finite().then(|| Soles {
        normal: Vector3::new(-x, -y, 1.0).normalize(),
        middle: centre.push(height),
    })
}

/// Of the skin in each small cell of the floor the lowest point: no other can be met by a plane from below.
fn lowest_by_cell(mesh: &TriMesh, low: f64, tall: f64) -> Vec<Vector3<f64>> {
    let mut cells: BTreeMap<[i64; 2], Vector3<f64>> = BTreeMap::new();
    for p in mesh.points().iter().filter(|p| p.z < low + LOW * tall) {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "at most a few thousand cells each way; anything larger saturates"
        )]
        let cell = [p.x, p.y].map(|c| (c / (CELL * tall)).floor() as i64);
        let lowest = cells.entry(cell).or_insert(p.coords);
        if p.z < lowest.z {
            *lowest = p.coords;
        }
    }
    cells.into_values().collect()
}

/// Place and value of the maximum of a concave function of a slope.
fn highest(of: impl Fn(f64) -> f64) -> (f64, f64) {
    let (mut low, mut high) = (-STEEPEST, STEEPEST);
    // 2/3 to the 24th of half a unit: 3e-5, 2 hundredths of a degree.
    for _ in 0..24 {
        let third = (high - low) / 3.0;
        if of(low + third) < of(high - third) {
            low += third;
        } else {
            high -= third;
        }
    }
    let middle = f64::midpoint(low, high);
    (middle, of(middle))
}

/// Middle of the skin, by area.
fn middle(mesh: &TriMesh) -> Vector3<f64> {
    let (mut area, mut sum) = (0.0, Vector3::zeros());
    for face in 0..mesh.faces().len() {
        let [a, b, c] = mesh.corners(face);
        let part = (b - a).cross(&(c - a)).norm();
        area += part;
        sum += (a.coords + b.coords + c.coords) * (part / 3.0);
    }
    sum / area
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The odds of two hypotheses (Bayes): even at `EVEN_SOLES` standard deviations either way, e^-k²/2 of
    /// nothing there, and symmetric.
    #[test]
    fn soles_off_level_by_more_than_feet_are_speak_of_a_lean() {
        let across = Vector3::x();
        let seen = |aside: f64, ahead: f64| {
            let [x, y] = [aside, ahead].map(|degrees| degrees.to_radians().sin());
            leaning(&Vector3::new(x, y, (1.0 - x * x - y * y).sqrt()), &across)
        };
        let (aside, ahead) = SOLES_SD_DEG;
        for even in [
            seen(EVEN_SOLES * aside, 0.0),
            seen(0.0, -EVEN_SOLES * ahead),
            seen(0.6 * EVEN_SOLES * aside, 0.8 * EVEN_SOLES * ahead),
        ] {
            assert!((even - 0.5).abs() < 1e-9, "{even}");
        }
        let nothing = (-0.5 * EVEN_SOLES * EVEN_SOLES).exp();
        assert!((seen(0.0, 0.0) - nothing / (1.0 + nothing)).abs() < 1e-12);
        assert!(seen(8.0, 0.0) > 1.0 - 1e-9 && seen(3.0, 0.0) > 0.999);
        assert!(seen(0.5, 0.7) < 0.01);
    }
}
