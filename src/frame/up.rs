//! Which way is up, from the shape: two legs below, one head above.

use super::Axis;
use super::core_line;
use super::cut_off;
use super::decision::Decision;
use super::levels::{self, Level, Loop};
use super::way::Way;
use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::mesh::TriMesh;
use crate::section::PlaneAxes;
use nalgebra::{Point3, Unit, Vector3};

/// Legs: between ankle and finger tips, the levels that show two like loops.
const LEGS: (f64, f64) = (0.10, 0.36);
/// Head: above the chin, below the crown (which may be missing).
const HEAD: (f64, f64) = (0.90, 0.985);
/// Neck: where a narrowing is looked for. Chin height is about 0.87 of stature, cervicale about 0.86.
const NECK: (f64, f64) = (0.78, 0.92);
/// Area of a head's level in squared heights: 0.15 m by 0.19 m at 1.7 m is 0.008; long hair doubles it.
const HEAD_AREA: (f64, f64) = (0.0025, 0.017);
/// An axis along which the mesh has less than this share of its greatest length is not its height.
/// The span of a T-pose is at most about 1.1 statures.
const TALL: f64 = 0.7;
/// With a room's floor grown to the feet, the height may be this share of the greatest length. Looked at only
/// if nothing taller is a body: seen from the side, a body 0.25 heights deep shows nothing like one.
const ON_WIDE_GROUND: f64 = 0.25;

/// Least sum of the evidence for a body, of 7.5. Legs may fail (thighs that
/// touch) or the neck (hair), not both; a head there must be.
const LEAST: f64 = 4.5;
/// Least lead over the next best direction.
const LEAD: f64 = 1.5;

/// Cosine of the angle between a file's axis and the body's core from which the axis is not its upright: 12
/// degrees. A standing body's core is within 4 degrees of its upright; soles put a lean of 14 right.
const OFF_AXIS: f64 = 0.978;
/// Directions nearer to each other than this are one: cosine of 25 degrees.
const ONE: f64 = 0.906;
/// Of all directions none is farther from the nearest axis than its space diagonal: cosine of 55 degrees.
const NEAREST: f64 = 0.573;

/// Which way is up in a file.
#[derive(Debug)]
pub(super) struct Up {
    /// The axis that is up, or the nearest to it.
    pub(super) decision: Decision<Axis>,
    /// Up itself, length one.
    pub(super) direction: Vector3<f64>,
    /// What it was taken from.
    pub(super) source: Source,
}

/// What an upright was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Source {
    /// An axis of the file.
    Axis,
    /// The way the body itself is long.
    Body,
}

/// A direction that may be up, length one, with the names of its upper and its lower end.
#[derive(Clone, Debug)]
struct Direction {
    up: Vector3<f64>,
    ends: [String; 2],
}

impl Direction {
    fn along(axis: Axis) -> Self {
        Self {
            up: axis.vector(),
            ends: [axis, axis.opposite()].map(|a| a.to_string()),
        }
    }

    fn of_length(up: Vector3<f64>) -> Self {
        Self {
            up,
            ends: ["one end of its length", "the other"].map(str::to_owned),
        }
    }
}

/// What speaks for one direction being up; each part from 0 to 1.
#[derive(Clone, Debug)]
struct Case {
    direction: Direction,
    legs: f64,
    head: f64,
    two_heads: f64,
    neck: f64,
    shoulders: f64,
    /// Areas: neck over head, shoulders over neck.
    narrowing: Option<[f64; 2]>,
}

impl Case {
    fn score(&self) -> f64 {
        3.0 * self.legs + 1.5 * (self.head + self.neck + self.shoulders)
    }

    fn convinces(&self) -> bool {
        self.score() >= LEAST && self.head >= 0.5
    }

    fn sentences(&self) -> Vec<String> {
        let [up, down] = &self.direction.ends;
        let percent = |x: f64| 100.0 * x;
        vec![
            format!(
                "towards {down}, {:.0} % of the levels show two like loops, the legs",
                percent(self.legs)
            ),
            format!(
                "towards {up}, {:.0} % of the levels show one loop as large as a head",
                percent(self.head)
            ),
            match self.narrowing {
                Some([neck, shoulders]) if self.neck > 0.0 => format!(
                    "below it a neck has {:.0} % of the head's area, and the shoulders have {shoulders:.1} times the neck's",
                    percent(neck)
                ),
                _ => "no neck shows below it".to_owned(),
            },
        ]
    }

    fn lacks(&self) -> Vec<&'static str> {
        let parts = [
            (self.legs, "two legs"),
            (self.head, "a head"),
            (self.neck, "a neck"),
            (self.shoulders, "shoulders"),
        ];
        parts
            .into_iter()
            .filter_map(|(x, name)| (x < 0.5).then_some(name))
            .collect()
    }
}

/// Finds up: an axis of the file if the body stands along it, else the way the body itself is long.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if no direction looks like a
/// standing body, or two do.
pub(super) fn find_up(way: &Way, given: Option<Axis>, findings: &mut Vec<Finding>) -> Result<Up> {
    let mesh = &way.mesh;
    let by_axis = given.map_or_else(|| found_axis(mesh), |axis| given_axis(mesh, axis));
    let skin = core_line::skin(mesh);
    let stands = by_axis.as_ref().is_ok_and(|(axis, _)| {
        let up = axis.value.vector();
        core_line::core(&skin, &up).dot(&up) > OFF_AXIS
    });
    if !stands && let Some(case) = along_length(way, &skin, given)? {
        return Ok(own_length(&case, given, findings));
    }
    let (decision, finding) = by_axis?;
    findings.push(finding);
    if !stands {
        findings.push(Finding::look(
            "up",
            format!(
                "the body is not long the way of {}, which was taken for up, and no other way shows clearly; look whether it stands upright",
                decision.value
            ),
        ));
    }
    Ok(Up {
        direction: decision.value.vector(),
        decision,
        source: Source::Axis,
    })
}

fn given_axis(mesh: &TriMesh, axis: Axis) -> Result<(Decision<Axis>, Finding)> {
    let lacks = case(mesh, Direction::along(axis), 0.0)?.map_or_else(Vec::new, |c| c.lacks());
    let text = format!("{axis} as given");
    let finding = if lacks.is_empty() {
        Finding::note("up", text.clone())
    } else {
        Finding::look(
            "up",
            format!(
                "{text}, but seen that way the shape does not show {}; check the axis and that the scan is whole",
                lacks.join(", ")
            ),
        )
    };
    Ok((Decision::given(axis, text), finding))
}

fn found_axis(mesh: &TriMesh) -> Result<(Decision<Axis>, Finding)> {
    let mut cases = cases(mesh, TALL)?;
    if !cases.first().is_some_and(Case::convinces) {
        let on_wide_ground = self::cases(mesh, ON_WIDE_GROUND)?;
        if on_wide_ground.first().is_some_and(Case::convinces) {
            cases = on_wide_ground;
        }
    }
    let Some(best) = cases.first() else {
        return Err(Error::body(
            "the mesh has no height along any axis; it is no body",
        ));
    };
    let up = &best.direction.ends[0];
    if !best.convinces() {
        if let Some(two) = cases.iter().find(|case| case.two_heads > 0.5) {
            return Err(Error::body(format!(
                "two bodies, or one cut off above the legs: towards {} most levels show two loops as large as heads; save each person as a file of their own, from the soles to the top of the head",
                two.direction.ends[0]
            )));
        }
        return Err(Error::body(format!(
            "no standing body, along an axis of the file or otherwise: seen with {up} up, which is nearest to one, the shape does not show {}. The scan should hold the whole person, standing; if it does, or was cut off on purpose (a torso, no head), give the direction, as in --up +z",
            best.lacks().join(", ")
        )));
    }
    if let Some(next) = cases.get(1).filter(|n| best.score() - n.score() < LEAD) {
        return Err(Error::body(format!(
            "up could be {up} or {}: legs, head, neck and shoulders speak for them by {:.1} and {:.1} of 7.5; give it, as in --up {up}",
            next.direction.ends[0],
            best.score(),
            next.score(),
        )));
    }
    let evidence = best.sentences();
    let finding = Finding::note("up", format!("{up}: {}", evidence.join("; ")));
    Ok((
        Decision::found(Axis::nearest(&best.direction.up), evidence),
        finding,
    ))
}

/// What speaks for a body that stands along none of the file's axes, if that is clear; only directions to which
/// `towards` is an axis as near as any are looked at, if it is given.
///
/// It must have feet: they say how it stood, and what is cut off looks like a body in too many ways.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if it has none and no axis is given.
fn along_length(way: &Way, skin: &[Point3<f64>], towards: Option<Axis>) -> Result<Option<Case>> {
    let seen = |up: Vector3<f64>| case(&way.mesh, Direction::of_length(up), 0.0);
    let seeds = core_line::spread(skin).into_iter().chain(way.plate);
    let directions = seeds
        .flat_map(|seed| [core_line::core(skin, &seed), seed])
        .flat_map(|line| [line, -line])
        .filter(|up| towards.is_none_or(|axis| axis.vector().dot(up) > NEAREST));
    let mut cases = Vec::new();
    for up in directions {
        cases.extend(seen(up)?);
    }
    cases.sort_by(|a, b| b.score().total_cmp(&a.score()));
    let Some(best) = cases.first().filter(|best| best.convinces()) else {
        return Ok(None);
    };
    // A line beside the core shows a body nearly as well.
    let by_core = seen(core_line::core(skin, &best.direction.up))?;
    let by_core = by_core.filter(|c| c.convinces() && c.score() > best.score() - LEAD);
    let best = by_core.unwrap_or_else(|| best.clone());
    let elsewhere = |up: &Vector3<f64>| up.dot(&best.direction.up) < ONE;
    let rival = cases.iter().any(|other| {
        let up = &other.direction.up;
        best.score() - other.score() < LEAD
            && elsewhere(up)
            && elsewhere(&core_line::core(skin, up))
    });
    if rival && towards.is_none() {
        return Ok(None);
    }
    let up = best.direction.up;
    let extent = super::extent(&way.mesh, &up);
    if cut_off::shows_feet(&way.mesh, PlaneAxes::square_to(up)?, extent) {
        return Ok(Some(best));
    }
    if towards.is_some() {
        return Ok(None);
    }
    Err(Error::body(
        "the body stands along no axis of the file, and its feet, which would tell how it stood, are not on the scan; turn it upright in a program for meshes and give the axis that is up, as in --up +z",
    ))
}

fn own_length(case: &Case, given: Option<Axis>, findings: &mut Vec<Finding>) -> Up {
    let direction = case.direction.up;
    let axis = given.unwrap_or_else(|| Axis::nearest(&direction));
    let evidence = case.sentences();
    findings.push(Finding::note(
        "up",
        format!(
            "no axis of the file, so the way up was taken from the body's own shape: it stands {:.0} degrees off the nearest axis, {axis}; {}",
            axis.vector().angle(&direction).to_degrees(),
            evidence.join("; ")
        ),
    ));
    Up {
        decision: Decision {
            value: axis,
            given: given.is_some(),
            evidence,
        },
        direction,
        source: Source::Body,
    }
}

/// True if an upright body has a head at its upper end.
///
/// # Errors
/// None of its own; those of making a plane.
pub(super) fn shows_head(mesh: &TriMesh) -> Result<bool> {
    let case = case(mesh, Direction::along(Axis::PlusZ), 0.0)?;
    Ok(case.is_some_and(|case| case.head >= 0.5 && case.neck.max(case.shoulders) > 0.0))
}

/// What speaks for each direction along which the mesh has at least `tall` of its greatest length, best first.
fn cases(mesh: &TriMesh, tall: f64) -> Result<Vec<Case>> {
    let mut cases = Vec::new();
    for axis in Axis::ALL {
        cases.extend(case(mesh, Direction::along(axis), tall)?);
    }
    cases.sort_by(|a, b| b.score().total_cmp(&a.score()));
    Ok(cases)
}

fn case(mesh: &TriMesh, direction: Direction, tall: f64) -> Result<Option<Case>> {
    let up = direction.up;
    let (low, high) = super::extent(mesh, &up);
    let greatest = [Axis::PlusX, Axis::PlusY, Axis::PlusZ]
        .map(|a| super::extent(mesh, &a.vector()))
        .into_iter()
        .fold(0.0_f64, |most, (l, h)| most.max(h - l));
    if high <= low || high - low < tall * greatest {
        return Ok(None);
    }
    let axes = PlaneAxes::square_to(Unit::new_normalize(up).into_inner())?;
    let cut = |shares: &[f64]| levels::cut(mesh, axes, (low, high - low), shares);
    let square = (high - low).powi(2);
    let is_head = |part: &Loop| {
        let slender = part.size(0) / part.size(1);
        (HEAD_AREA.0..=HEAD_AREA.1).contains(&(part.area / square))
            && (0.45..=2.2).contains(&slender)
    };
    let legs = cut(&levels::shares(LEGS.0, LEGS.1, 16));
    let top = cut(&levels::shares(0.66, HEAD.1, 40));
    // A fifth less area makes a neck, thrice the neck's makes shoulders.
    let narrowing = narrowing(&top);
    Ok(Some(Case {
        direction,
        legs: share_of(legs.iter(), |l| l.pair().is_some()),
        head: share_of(upper(&top), |l| l.single().is_some_and(is_head)),
        two_heads: share_of(upper(&top), |l| {
            l.pair().is_some_and(|two| two.into_iter().all(is_head))
        }),
        neck: narrowing.map_or(0.0, |[neck, _]| ((1.0 - neck) / 0.2).clamp(0.0, 1.0)),
        shoulders: narrowing.map_or(0.0, |[_, wider]| ((wider - 1.0) / 2.0).clamp(0.0, 1.0)),
        narrowing,
    }))
}

fn upper(top: &[Level]) -> impl Iterator<Item = &Level> {
    top.iter().filter(|l| l.share >= HEAD.0)
}

/// Share of the levels for which something holds. A level with missing skin may speak for it, not against.
fn share_of<'l>(levels: impl Iterator<Item = &'l Level>, holds: impl Fn(&Level) -> bool) -> f64 {
    let (mut count, mut held) = (0_u32, 0_u32);
    for level in levels {
        let holds = holds(level);
        count += u32::from(holds || !level.torn);
        held += u32::from(holds);
    }
    f64::from(held) / f64::from(count.max(3))
}

/// The narrowest level where a neck may be: its area over the head's, and that of the widest within
/// a tenth of the height below over its own.
fn narrowing(top: &[Level]) -> Option<[f64; 2]> {
    let neck = top
        .iter()
        .filter(|l| (NECK.0..=NECK.1).contains(&l.share) && !l.loops.is_empty())
        .min_by(|a, b| a.area().total_cmp(&b.area()))?;
    let widest = |low: f64, high: f64| {
        let between = top.iter().filter(|l| l.share > low && l.share < high);
        between.map(Level::area).fold(0.0_f64, f64::max)
    };
    let head = widest(neck.share, 1.0);
    let shoulders = widest(neck.share - 0.11, neck.share);
    (head > 0.0).then(|| [neck.area() / head, shoulders / neck.area()])
}
