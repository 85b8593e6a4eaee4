//! The hand girth: round the palm over the knuckles, the thumb left out.

use super::{Taker, Why};
use crate::landmark::{LandmarkKey, cut_about};
use crate::measure::girth::{self, Reading, root_mean_square};
use crate::measure::{Cause, Key, MeasureId, Spread};
use crate::mesh::TriMesh;
use crate::section::{Contour, PlaneAxes, Section, Slicer};
use crate::side::Side;
use nalgebra::{Point3, Vector3};

/// Cuts down the hand and how far they are apart, as a share of the stature: 2 mm, from the wrist to
/// beyond the clefts of the fingers (ANSUR II: palm 0.067 ± 0.003, and a wrist that is thinnest up to
/// 0.01 above its crease).
const CUTS: i32 = 71;
const STEP: f64 = 0.0012;
/// Where the thumb parts from the palm, in shares of the stature below the wrist: a palm's length at most.
const THUMB: (f64, f64) = (0.02, 0.064);
/// Where fingers begin that lie so close that no cleft shows: ANSUR II palm length, 0.0668 ± 0.0030 and
/// 0.0663 ± 0.0029 of the stature.
const PALM: f64 = 0.0668;
/// The palm's taut girth falls by at least this share where a thumb or a finger parts
/// from it: a finger's breadth is a fifth of a palm's (from memory).
const FALL: f64 = 0.08;
/// An aslant plane spreads that fall over several cuts, of this share each at least: skin alone narrows by less.
const STEEP: f64 = 0.025;
/// It rises by no more than this from cut to cut, unless something else has joined it.
const RISE: f64 = 0.25;
/// A thumb that parts nearer to the fingers than this share of the stature, 10 mm, hides the knuckles.
const LEAST_SPAN: f64 = 0.006;
/// Half of the box about a hand, as a share of the stature: a spread hand's length.
const ROOM: f64 = 0.1;
/// A tape lies square to the hand to about this, as a standard deviation in degrees (common practice,
/// no source).
const TILT_SD_DEG: f64 = 5.0;

const TOUCHES: &str = "the hand touches the body or its own fingers before the knuckles are passed; scan again with the hand open and held away";
const TORN: &str = "skin is missing at the hand, or the hand is cut off";
const NO_THUMB: &str = "the thumb cannot be told apart from the palm, so that the girth would hold it; scan again with the thumb held away";

/// One cut of the hand, square to it.
struct Cut {
    /// How far below the wrist.
    at: f64,
    taut_mm: f64,
    centre: Point3<f64>,
}

/// Cuts from the wrist down.
struct Trace {
    cuts: Vec<Cut>,
    /// True if they end because something else joins the hand.
    joined: bool,
}

/// The palm over the knuckles.
struct Knuckles {
    reading: Reading,
    height_mm: f64,
    /// What another place between thumb and fingers does to the girth, and what a tilted tape does.
    slip: f64,
    tilt: f64,
}

impl Taker<'_, '_> {
    /// The hand girth of one side.
    pub(super) fn hand(&mut self, side: Side) {
        let id = MeasureId::new(Key::HandGirth, side);
        match self.knuckles(side) {
            Ok(found) => {
                let reading = found.reading;
                let parts = reading.spread(found.slip).parts;
                let parts = parts.into_iter().map(|part| (part.cause, part.sd));
                let spread = Spread::of(parts.chain([(Cause::Pose, found.tilt)]));
                let (girth, level) = (reading.taut_mm, found.height_mm);
                self.value(id, girth, spread, Some(level));
            }
            Err(why) => self.withhold(id, why),
        }
    }

    fn knuckles(&self, side: Side) -> Result<Knuckles, Why> {
        let mark = self.mark(LandmarkKey::Wrist, Some(side))?;
        let wrist = Point3::from(mark.point_mm);
        let axis = &girth::arm(self.survey, side)?.axis;
        let s = self.survey.stature_mm;
        let down = axis.point(axis.nearest(&wrist) + 0.5 * PALM * s) - wrist;
        let room = Vector3::repeat(ROOM * s);
        let middle = wrist + down;
        let region = |mesh: &TriMesh| mesh.within(middle - room, middle + room);
        let (outline, mesh) = (region(self.survey.outline), region(self.survey.mesh));
        knuckles(&outline, &mesh, &wrist, down, s)
    }
}

/// The greatest girth of the palm in the middle half of the way from the thumb's cleft to the fingers'.
///
/// The way down is that of the arm at first, then from the wrist to the middle of the palm found on it.
fn knuckles(
    outline: &TriMesh,
    mesh: &TriMesh,
    wrist: &Point3<f64>,
    down: Vector3<f64>,
    s: f64,
) -> Result<Knuckles, Why> {
    let look = |down: Vector3<f64>| {
        let axes = PlaneAxes::square_to(down).map_err(|_| TORN.to_owned())?;
        let trace = trace(&Slicer::along(outline, axes).indexed(), wrist, s)?;
        let (low, high) = trace.over_the_knuckles(s)?;
        let within = |cut: &Cut| (low..=high).contains(&cut.at);
        let cuts: Vec<Cut> = trace.cuts.into_iter().filter(within).collect();
        Ok::<_, Why>((axes, cuts))
    };
    let (_, first) = look(down)?;
    let palm = first.get(first.len() / 2).ok_or(NO_THUMB)?;
    let (axes, cuts) = look(palm.centre - wrist)?;
    let fullest = cuts
        .iter()
        .max_by(|a, b| a.taut_mm.total_cmp(&b.taut_mm))
        .ok_or(NO_THUMB)?;
    let cut = |normal: Vector3<f64>| {
        let axes = PlaneAxes::square_to(normal).ok()?;
        let cut = cut_about(&Slicer::along(mesh, axes), &fullest.centre)?;
        Some(Reading::of(&cut.contour))
    };
    let normal = axes.normal.into_inner();
    let reading = cut(normal).ok_or(TORN)?;
    let slip = root_mean_square(cuts.iter().map(|cut| cut.taut_mm), fullest.taut_mm);
    let aside = TILT_SD_DEG.to_radians().tan();
    let tilts = [
        *axes.u * aside,
        *axes.u * -aside,
        *axes.v * aside,
        *axes.v * -aside,
    ];
    let tilted = tilts.into_iter().filter_map(|by| cut(normal + by));
    let tilt = root_mean_square(tilted.map(|tilted| tilted.taut_mm), reading.taut_mm);
    Ok(Knuckles {
        reading,
        height_mm: fullest.centre.z,
        slip,
        tilt,
    })
}

/// Follows the hand from the wrist along the slicer's normal, the palm where a thumb or finger parts from it.
fn trace(slicer: &Slicer<'_>, wrist: &Point3<f64>, s: f64) -> Result<Trace, Why> {
    let axes = slicer.axes();
    let base = axes.normal.dot(&wrist.coords);
    let places: Vec<f64> = (0..CUTS).map(|i| f64::from(i) * STEP * s).collect();
    let heights: Vec<f64> = places.iter().map(|at| base + at).collect();
    let mut last = cut_about(slicer, wrist).ok_or(TORN)?.contour;
    let mut girth = last.taut_girth_mm();
    let mut trace = Trace {
        cuts: Vec::new(),
        joined: false,
    };
    for (at, section) in places.into_iter().zip(slicer.cut_many(&heights)) {
        let Some(next) = continues(&last, &section) else {
            break;
        };
        let taut_mm = next.settled().taut_girth_mm();
        if taut_mm > (1.0 + RISE) * girth {
            trace.joined = true;
            break;
        }
        let centre = axes.point(next.centroid(), section.height_mm);
        trace.cuts.push(Cut {
            at,
            taut_mm,
            centre,
        });
        (last, girth) = (next, taut_mm);
    }
    Ok(trace)
}

/// The largest contour of a section that goes on with another one; none if the skin about it is torn.
fn continues(last: &Contour, section: &Section) -> Option<Contour> {
    let centre = last.centroid();
    let (closed, torn): (Vec<&Contour>, Vec<&Contour>) =
        section.contours.iter().partition(|c| c.is_closed());
    let next = closed
        .into_iter()
        .filter(|c| c.contains(centre) || last.contains(c.centroid()))
        .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))?;
    (!torn.iter().any(|open| next.is_behind(open))).then(|| next.clone())
}

impl Trace {
    /// The middle half of the way from the thumb's cleft to those of the fingers.
    fn over_the_knuckles(&self, s: f64) -> Result<(f64, f64), Why> {
        let less = |a: &Cut, b: &Cut, share: f64| b.taut_mm < (1.0 - share) * a.taut_mm;
        let runs = self.cuts.chunk_by(|a, b| less(a, b, STEEP));
        let falls = runs.filter_map(|run| {
            let (first, last) = (run.first()?, run.last()?);
            less(first, last, FALL).then_some((first.at, last.at))
        });
        let mut falls = falls.skip_while(|fall| fall.1 < THUMB.0 * s);
        let last = self.cuts.last().map_or(0.0, |cut| cut.at);
        let ended = if self.joined { TOUCHES } else { TORN };
        let (_, thumb) = match falls.next() {
            Some(fall) if fall.1 <= THUMB.1 * s => fall,
            None if last < THUMB.1 * s => return Err(ended.to_owned()),
            _ => return Err(NO_THUMB.to_owned()),
        };
        let fingers = match falls.next() {
            Some((fingers, _)) => fingers,
            None if last < PALM * s => return Err(ended.to_owned()),
            None => PALM * s,
        };
        let span = fingers - thumb;
        if span < LEAST_SPAN * s {
            return Err(NO_THUMB.to_owned());
        }
        Ok((thumb + 0.25 * span, fingers - 0.25 * span))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Rotation3;
    use std::f64::consts::TAU;

    const STATURE: f64 = 1700.0;
    const POINTS: u32 = 360;

    /// An elliptic ring: how far down, half axes, middle aside.
    type Ring = (f64, f64, f64, f64);

    /// A wrist, a palm with the thumb's ball, a palm of 40 by 10 alone, and fingers as one.
    const HAND: [Ring; 8] = [
        (-60.0, 26.0, 18.0, 0.0),
        (0.0, 25.0, 17.0, 0.0),
        (40.0, 50.0, 16.0, 10.0),
        (74.0, 60.0, 14.0, 20.0),
        (75.0, 40.0, 10.0, 0.0),
        (110.0, 40.0, 10.0, 0.0),
        (111.0, 32.0, 8.0, 0.0),
        (190.0, 20.0, 6.0, 0.0),
    ];

    /// Rings joined into a closed skin, with more between so that no facet is long, turned about the wrist.
    fn hand(rings: &[Ring], turned: &Rotation3<f64>) -> TriMesh {
        let mut points = Vec::new();
        for (z, a, b, aside) in rings {
            points.extend((0..POINTS).map(|i| {
                let (sin, cos) = (TAU * f64::from(i) / f64::from(POINTS)).sin_cos();
                turned * Point3::new(aside + a * cos, b * sin, *z)
            }));
        }
        let mut faces = Vec::new();
        let count = u32::try_from(rings.len()).unwrap();
        for level in 1..count {
            let (above, below) = ((level - 1) * POINTS, level * POINTS);
            for i in 0..POINTS {
                let j = (i + 1) % POINTS;
                faces.push([above + i, below + j, above + j]);
                faces.push([above + i, below + i, below + j]);
            }
        }
        let end = (count - 1) * POINTS;
        for i in 1..POINTS - 1 {
            faces.push([0, i, i + 1]);
            faces.push([end, end + i + 1, end + i]);
        }
        TriMesh::new(points, faces).unwrap()
    }

    fn girth_of(rings: &[Ring], down: Vector3<f64>) -> Result<Knuckles, Why> {
        let turned = Rotation3::from_euler_angles(0.3, -0.5, 1.1);
        let mesh = hand(rings, &turned);
        knuckles(&mesh, &mesh, &Point3::origin(), turned * down, STATURE)
    }

    /// An ellipse of half axes 40 and 10 has a perimeter of 857.8421775156834 / 5 mm (elliptic integral,
    /// mpmath); 360 chords are short by less than 0.02. The arm comes in 6 degrees aslant.
    #[test]
    fn a_palm_of_known_girth() {
        let found = girth_of(&HAND, Vector3::new(0.08, 0.06, 1.0)).unwrap();
        let girth = 857.842_177_515_683_4 / 5.0;
        assert!(
            (found.reading.taut_mm - girth).abs() < 0.02,
            "{}",
            found.reading.taut_mm
        );
        assert!(found.slip < 0.01, "{}", found.slip);
        // A tilt by φ stretches the cut by 1/cos φ one way; two ways square to each other together
        // lengthen it by (1/cos φ − 1) of itself: 0.655 mm, of which the root mean square lies between a
        // half and 1/√2.
        let both = girth * (1.0 / TILT_SD_DEG.to_radians().cos() - 1.0);
        assert!(
            (0.49 * both..0.72 * both).contains(&found.tilt),
            "{}",
            found.tilt
        );
    }

    /// The girth of a palm that widens from 36 to 44 towards the fingers is taken three quarters down.
    #[test]
    fn the_greatest_of_the_middle_half() {
        let mut rings = HAND;
        (rings[4].1, rings[5].1) = (36.0, 44.0);
        let found = girth_of(&rings, Vector3::z()).unwrap();
        // Half axes 42 and 10: Ramanujan's second formula, within 1e-5 of the integral at 4 : 1.
        let (a, b) = (42.0_f64, 10.0_f64);
        let h = 3.0 * ((a - b) / (a + b)).powi(2);
        let girth = 0.5 * TAU * (a + b) * (1.0 + h / (10.0 + (4.0 - h).sqrt()));
        // Cuts are 2 mm apart, so that both ends of the way and the place on it are early by up to that:
        // 4 mm of way, 0.93 of half axis, four times that of girth.
        let off = found.reading.taut_mm - girth;
        assert!((-3.8..0.5).contains(&off), "{off}");
        assert!(found.slip > 1.0, "{}", found.slip);
    }

    #[test]
    fn what_hides_the_knuckles_is_told() {
        let why = |rings: &[Ring]| girth_of(rings, Vector3::z()).map(|_| ()).unwrap_err();
        // A mitten: no thumb parts from it.
        let mut mitten = HAND;
        (mitten[2], mitten[3]) = ((40.0, 40.0, 10.0, 0.0), (74.0, 40.0, 10.0, 0.0));
        assert_eq!(why(&mitten[..]), NO_THUMB);
        // A thumb that lies along the palm up to the fingers.
        let mut along = HAND;
        (along[3].0, along[4].0) = (103.0, 104.0);
        assert_eq!(why(&along[..]), NO_THUMB);
        // A hand that ends at half of the palm, and one that joins something wide there.
        assert_eq!(why(&HAND[..4]), TORN);
        let wide = [
            (95.0, 40.0, 10.0, 0.0),
            (95.5, 90.0, 80.0, 0.0),
            (150.0, 90.0, 80.0, 0.0),
        ];
        let joins = [&HAND[..5], &wide].concat();
        assert_eq!(why(&joins), TOUCHES);
    }
}
