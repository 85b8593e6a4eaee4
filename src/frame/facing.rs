//! Which way the body faces: the mid-sagittal plane, then votes for its front.

use super::levels::{self, Level, Loop};
use super::midline::{self, Midline, median};
use crate::error::{Error, Result};
use crate::mesh::TriMesh;
use crate::section::PlaneAxes;
use nalgebra::Vector2;

/// Trunk and thighs: from above the knees to below the armpits.
const TRUNK: (f64, f64) = (0.33, 0.72);
/// Where the middle of the trunk counts as its own, not the thighs' or arms'.
const WAISTWARD: (f64, f64) = (0.50, 0.66);
/// Front to back, no trunk of a standing person is as deep as this share of the height
/// (a girth of 1.5 m at 1.6 m gives 0.3); a thigh that lies level is 0.45 of a sitting one's.
const SITTING: f64 = 0.38;
/// Levels wider than this share of the trunk's usual breadth hold an arm.
const ARM_JUMP: f64 = 1.35;

/// Sine of the turn from which the thighs are left out of the midline: 3 degrees, many times what
/// it is sure to on a body that stands square.
const STEPPING: f64 = 0.05;

/// A vote on where the front is: by how much, in mm, it lies towards the candidate, and how much that counts.
#[derive(Clone, Debug)]
struct Vote {
    what: &'static str,
    mm: f64,
    /// Amount at which the vote counts in full, in mm.
    full_mm: f64,
    weight: f64,
}

impl Vote {
    fn value(&self) -> f64 {
        self.weight * (self.mm / self.full_mm).clamp(-1.0, 1.0)
    }
}

/// The facing found: straight ahead in level coordinates, and what speaks for it.
#[derive(Clone, Debug)]
pub(super) struct Facing {
    pub(super) ahead: Vector2<f64>,
    pub(super) midline: Midline,
    /// Plain sentences, strongest first.
    pub(super) evidence: Vec<String>,
    /// What speaks against it.
    pub(super) against: Vec<String>,
    /// Sum of the votes: the sign is settled by it, over 5.5 at most.
    pub(super) total: f64,
    /// True if one foot stands ahead of the other, so that the midline was laid through the trunk alone.
    pub(super) stepped: bool,
}

/// Finds the mid-sagittal plane and the front of an upright body of `height` mm on the floor.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if no trunk is found.
pub(super) fn find_facing(mesh: &TriMesh, height: f64) -> Result<Facing> {
    let cut = |shares: &[f64]| levels::cut(mesh, PlaneAxes::LEVEL, (0.0, height), shares);
    let trunk = cut(&levels::shares(TRUNK.0, TRUNK.1, 36));
    let legs = cut(&levels::shares(0.08, 0.36, 15));
    let starts = starts(&trunk, &legs);
    let armless = without_arms(&trunk);
    let mut midline = midline::fit(&armless, &starts).ok_or_else(|| {
        Error::body("no trunk: between knees and armpits the skin goes all the way round at too few levels; scan again from all sides")
    })?;
    let stepping = trunk_alone(&armless, starts.last().copied(), &midline);
    let stepped = stepping.is_some();
    midline = stepping.unwrap_or(midline);
    let ahead = Vector2::new(-midline.angle.sin(), midline.angle.cos());
    let feet = cut(&levels::shares(0.012, 0.09, 14));
    check_standing(&trunk, ahead, height)?;
    let head = cut(&levels::shares(0.82, 0.97, 26));
    let mut votes = vec![
        toes(&feet, ahead),
        calves(&legs, &feet, ahead),
        hollow_back(&trunk, &midline, ahead),
        face(&head, ahead),
    ];
    votes.retain(|v| v.mm.is_finite());
    let total: f64 = votes.iter().map(Vote::value).sum();
    let sign = if total < 0.0 { -1.0 } else { 1.0 };
    votes.sort_by(|a, b| b.value().abs().total_cmp(&a.value().abs()));
    let tell = |v: &Vote| format!("{}: {:.0} mm", v.what, sign * v.mm);
    let (with, against): (Vec<&Vote>, Vec<&Vote>) =
        votes.iter().partition(|v| sign * v.value() > 0.0);
    Ok(Facing {
        ahead: ahead * sign,
        midline,
        evidence: with.into_iter().map(tell).collect(),
        against: against.into_iter().map(tell).collect(),
        total: total.abs(),
        stepped,
    })
}

/// The plane through the trunk alone, if the thighs turn it away: one foot stands ahead of the other.
///
/// `start` is where the lateral axis may lie by the trunk's own breadth.
fn trunk_alone(levels: &[Level], start: Option<f64>, with_thighs: &Midline) -> Option<Midline> {
    let above: Vec<Level> = levels
        .iter()
        .filter(|l| l.share > WAISTWARD.0)
        .cloned()
        .collect();
    let alone = midline::fit(&above, &[start?])?;
    // A plane is the same half a turn on.
    let turned = (alone.angle - with_thighs.angle).sin().abs();
    (turned > STEPPING && alone.misfit <= with_thighs.misfit).then_some(alone)
}

/// Refuses a body that sits.
fn check_standing(trunk: &[Level], ahead: Vector2<f64>, height: f64) -> Result<()> {
    let length = |part: &Loop| {
        let (low, high) = along(&part.points, ahead);
        high - low
    };
    let deepest = trunk
        .iter()
        .filter(|l| l.share < 0.6)
        .flat_map(|l| l.loops.iter())
        .map(length)
        .fold(0.0_f64, f64::max);
    if deepest > SITTING * height {
        return Err(Error::body(format!(
            "the body seems to sit: from front to back it reaches over {:.0} % of its height; it must stand upright to be measured",
            100.0 * deepest / height
        )));
    }
    Ok(())
}

/// Where the lateral axis may lie: from leg to leg, and along the trunk's greater breadth.
fn starts(trunk: &[Level], legs: &[Level]) -> Vec<f64> {
    let mut doubled = Vector2::zeros();
    for [a, b] in legs.iter().filter_map(Level::pair) {
        doubled += doubled_direction(Vector2::from(a.centre) - Vector2::from(b.centre));
    }
    let mut found = Vec::new();
    if doubled.norm() > 0.0 {
        found.push(doubled.y.atan2(doubled.x) / 2.0);
    }
    let mut inertia = Vector2::zeros();
    let waist = trunk
        .iter()
        .filter(|l| (WAISTWARD.0..=WAISTWARD.1).contains(&l.share));
    for level in waist {
        if let Some(main) = level.loops.first() {
            let centre = Vector2::from(main.centre);
            for p in &main.points {
                inertia += doubled_direction(Vector2::from(*p) - centre);
            }
        }
    }
    found.push(inertia.y.atan2(inertia.x) / 2.0);
    found
}

/// A direction without sign: the vector at twice the angle, as long as the direction is.
fn doubled_direction(d: Vector2<f64>) -> Vector2<f64> {
    let length = d.norm().max(f64::MIN_POSITIVE);
    Vector2::new(d.x * d.x - d.y * d.y, 2.0 * d.x * d.y) / length
}

/// Drops levels whose main loop is so much longer than usual that an arm must hang in it.
fn without_arms(trunk: &[Level]) -> Vec<Level> {
    let length = |l: &Level| {
        let main = l.loops.first();
        main.map_or(0.0, |m| m.size(0).hypot(m.size(1)))
    };
    let mut usual: Vec<f64> = trunk
        .iter()
        .filter(|l| (WAISTWARD.0..=WAISTWARD.1).contains(&l.share))
        .map(length)
        .collect();
    let limit = ARM_JUMP * median(&mut usual);
    trunk
        .iter()
        .filter(|l| length(l) < limit)
        .cloned()
        .collect()
}

fn along(points: &[[f64; 2]], ahead: Vector2<f64>) -> (f64, f64) {
    points
        .iter()
        .map(|&p| ahead.dot(&Vector2::from(p)))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
            (l.min(x), h.max(x))
        })
}

/// How much farther the feet reach ahead of the ankles than behind them.
fn toes(feet: &[Level], ahead: Vector2<f64>) -> Vote {
    let ankle = middle(feet.iter().filter(|l| l.share > 0.055), ahead);
    let (mut back, mut front) = (f64::INFINITY, f64::NEG_INFINITY);
    for part in feet
        .iter()
        .filter(|l| l.share < 0.04)
        // The feet; a third loop there is no part of them.
        .flat_map(|l| l.loops.iter().take(2))
    {
        let (low, high) = along(&part.points, ahead);
        back = back.min(low);
        front = front.max(high);
    }
    Vote {
        what: "the feet reach farther ahead of the ankles than behind",
        mm: (front - ankle) - (ankle - back),
        full_mm: 40.0,
        weight: 3.0,
    }
}

/// How far the calves bulge backwards from the ankles and knees.
fn calves(legs: &[Level], feet: &[Level], ahead: Vector2<f64>) -> Vote {
    let ankle = middle(feet.iter().filter(|l| l.share > 0.06), ahead);
    let knee = middle(
        legs.iter().filter(|l| (0.26..0.31).contains(&l.share)),
        ahead,
    );
    let calf = middle(
        legs.iter().filter(|l| (0.17..0.23).contains(&l.share)),
        ahead,
    );
    Vote {
        what: "the calves lie behind the line from ankles to knees",
        mm: f64::midpoint(ankle, knee) - calf,
        full_mm: 15.0,
        weight: 0.8,
    }
}

/// Mean position ahead of the loops of some levels, by area.
fn middle<'l>(levels: impl Iterator<Item = &'l Level>, ahead: Vector2<f64>) -> f64 {
    let (mut area, mut sum) = (0.0, 0.0);
    for part in levels.flat_map(|l| l.loops.iter().take(2)) {
        area += part.area;
        sum += part.area * ahead.dot(&Vector2::from(part.centre));
    }
    sum / area
}

/// How much deeper the profile behind is hollowed between seat and shoulder blades than the one before.
fn hollow_back(trunk: &[Level], midline: &Midline, ahead: Vector2<f64>) -> Vote {
    let across = Vector2::new(midline.angle.cos(), midline.angle.sin());
    let profile: Vec<(f64, f64, f64)> = trunk
        .iter()
        .filter(|l| l.share > 0.46)
        .filter_map(|l| {
            let points: Vec<[f64; 2]> = l
                .loops
                .first()?
                .points
                .iter()
                .copied()
                .filter(|&p| (across.dot(&Vector2::from(p)) - midline.offset).abs() < 90.0)
                .collect();
            let (back, front) = along(&points, ahead);
            back.is_finite().then_some((l.share, back, front))
        })
        .collect();
    let hollow = |side: &dyn Fn(&(f64, f64, f64)) -> f64| {
        let most = |low: f64, high: f64| {
            profile
                .iter()
                .filter(|p| (low..high).contains(&p.0))
                .map(|p| (side(p), p.0))
                .fold(
                    (f64::NEG_INFINITY, 0.0),
                    |a, b| if b.0 > a.0 { b } else { a },
                )
        };
        let (seat, low) = most(0.46, 0.55);
        let (blades, high) = most(0.66, 0.73);
        profile
            .iter()
            .filter(|p| p.0 > low && p.0 < high)
            .map(|p| seat + (blades - seat) * (p.0 - low) / (high - low) - side(p))
            .fold(0.0_f64, f64::max)
    };
    Vote {
        what: "the back is hollowed between seat and shoulder blades more than the front",
        mm: hollow(&|p| -p.1) - hollow(&|p| p.2),
        full_mm: 30.0,
        weight: 0.9,
    }
}

/// How far the head lies ahead of the neck.
fn face(head: &[Level], ahead: Vector2<f64>) -> Vote {
    let neck = head
        .iter()
        .filter(|l| l.share < 0.9 && l.single().is_some())
        .min_by(|a, b| a.area().total_cmp(&b.area()))
        .and_then(Level::single);
    let neck = neck.map_or(f64::NAN, |n| ahead.dot(&Vector2::from(n.centre)));
    Vote {
        what: "the head lies ahead of the neck",
        mm: middle(head.iter().filter(|l| l.share > 0.9), ahead) - neck,
        full_mm: 20.0,
        weight: 0.8,
    }
}

/// Least sum of the votes, of 5.5, by which a front counts as known.
pub(super) const LEAST_TOTAL: f64 = 0.8;

/// True if the front is known, but not beyond doubt.
pub(super) fn is_contested(facing: &Facing) -> bool {
    facing.total < 2.0 || facing.against.len() >= 2
}
