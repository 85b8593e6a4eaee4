//! Over the skin from the base of the neck: round it, out to the shoulders, down to the waist.

use super::{Taker, Why};
use crate::landmark::{Landmark, LandmarkKey, SHOULDER_SINE, SIDE_NECK_SINE, Survey};
use crate::measure::path::{self, Outward};
use crate::measure::{Key, MeasureId};
use crate::mesh::{Geodesics, TriMesh};
use crate::parallel::map_indices;
use crate::side::Side;
use nalgebra::{Point3, Vector3};

/// The box in which paths between neck, shoulders and armpits run, in shares of the stature: half its
/// breadth, its floor and its top.
const REGION: (f64, f64, f64) = (0.30, 0.62, 0.95);

/// An end of a path, and how far it may slip, one standard deviation, as a vector along the skin.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    pub(super) place: Point3<f64>,
    pub(super) slip: Vector3<f64>,
}

impl End {
    /// A point that does not slip.
    pub(super) fn fixed(place: Point3<f64>) -> Self {
        Self {
            place,
            slip: Vector3::zeros(),
        }
    }

    /// A point of the midline: known in height.
    fn midline(mark: &Landmark) -> Self {
        Self {
            place: Point3::from(mark.point_mm),
            slip: Vector3::z() * mark.sd_mm,
        }
    }

    /// A point of the shoulder's ridge, that falls outwards by an angle of this sine: known along it.
    pub(super) fn ridge(mark: &Landmark, side: Side, sine: f64) -> Self {
        let out = side.sign() * (1.0 - sine * sine).sqrt();
        Self {
            place: Point3::from(mark.point_mm),
            slip: Vector3::new(out, 0.0, -sine) * (mark.sd_mm / sine),
        }
    }

    /// What its slip does to the length of the paths from it to others, taken as straight.
    pub(super) fn pull(&self, to: &[Self]) -> f64 {
        let away = |other: &Self| (self.place - other.place).try_normalize(f64::MIN_POSITIVE);
        let towards: Vector3<f64> = to.iter().filter_map(away).sum();
        self.slip.dot(&towards).abs()
    }
}

/// The skin between neck, shoulders and armpits, to run shortest ways over.
pub(super) struct Skin<'s> {
    /// Of the outline, which is thinner than a fine scan.
    coarse: Geodesics,
    /// The scan itself, where that is finer.
    fine: Option<&'s TriMesh>,
}

impl<'s> Skin<'s> {
    fn of(survey: &Survey<'s>) -> Result<Self, Why> {
        let s = survey.stature_mm;
        let (out, low, high) = (REGION.0 * s, REGION.1 * s, REGION.2 * s);
        let region = survey.outline.within(
            Point3::new(-out, f64::MIN, low),
            Point3::new(out, f64::MAX, high),
        );
        Ok(Self {
            coarse: Geodesics::new(region).map_err(|_| NO_SKIN.to_owned())?,
            fine: (!std::ptr::eq(survey.outline, survey.mesh)).then_some(survey.mesh),
        })
    }

    /// Length of the shortest way. A thinned outline may have slits where the scan has none: there
    /// the scan itself is asked, about the ends.
    pub(super) fn distance(&self, a: &Point3<f64>, b: &Point3<f64>) -> Result<f64, Why> {
        self.coarse.distance(a, b).or_else(|why| {
            let mesh = self.fine.ok_or(why)?;
            let room = Vector3::from([(ROOM * (b - a).norm()).max(ROOM_MM); 3]);
            let about = mesh.within(a.inf(b) - room, a.sup(b) + room);
            let skin = Geodesics::new(about).map_err(|_| NO_SKIN.to_owned())?;
            skin.distance(a, b)
        })
    }
}

const NO_SKIN: &str = "there is no skin at the neck";
/// Room about the ends of a way over a fine scan: a share of their distance, and at least so many mm.
const ROOM: f64 = 0.4;
/// See [`ROOM`].
const ROOM_MM: f64 = 40.0;

impl Taker<'_, '_> {
    /// What runs over the skin between neck, shoulders and armpits: round the base of the neck, round
    /// the arms' roots, across the back from shoulder to shoulder, and from the back
    /// neck point over shoulder and elbow to the wrist.
    pub(super) fn over_the_skin(&mut self) {
        let skin = Skin::of(self.survey);
        let girth = skin.as_ref().map_err(Clone::clone);
        let girth = girth.and_then(|skin| self.neck_base_girth(skin));
        self.length(Key::NeckBaseGirth, girth);
        let halves = Side::BOTH.map(|side| {
            let skin = skin.as_ref().map_err(Clone::clone)?;
            self.neck_to_shoulder(skin, side)
        });
        let across = match &halves {
            [Ok((left, left_sd)), Ok((right, right_sd))] => {
                Ok((left + right, left_sd.hypot(*right_sd)))
            }
            [Err(why), _] | [_, Err(why)] => Err(why.clone()),
        };
        self.length(Key::AcrossBackShoulderWidth, across);
        for (side, half) in Side::BOTH.into_iter().zip(halves) {
            let to_wrist = half.and_then(|(half, half_sd)| {
                let (arm, wrist_sd) = self.over_the_elbow(side)?;
                // The shoulder point lies between the ends: what a slip takes from the one part it
                // gives to the other.
                Ok((half + arm, (0.5 * half_sd).hypot(wrist_sd)))
            });
            self.length(MeasureId::new(Key::BackNeckToWristLength, side), to_wrist);
        }
        self.scyes(&skin);
    }

    fn neck_base_girth(&self, skin: &Skin<'_>) -> Result<(f64, f64), Why> {
        use LandmarkKey as L;
        let back = End::midline(self.mark(L::BackNeckPoint, None)?);
        let front = End::midline(self.mark(L::FrontNeckPoint, None)?);
        let beside = |side: Side| {
            let mark = self.mark(L::SideNeckPoint, Some(side))?;
            Ok::<End, Why>(End::ridge(mark, side, SIDE_NECK_SINE))
        };
        let round = [back, beside(Side::Right)?, front, beside(Side::Left)?];
        let ways = map_indices(4, |at| {
            skin.distance(&round[at].place, &round[(at + 1) % 4].place)
        });
        let (mut length, mut variance) = (0.0, 0.0);
        for (at, way) in ways.into_iter().enumerate() {
            length += way?;
            let beside = [round[(at + 1) % 4], round[(at + 3) % 4]];
            variance += round[at].pull(&beside).powi(2);
        }
        Ok((length, variance.sqrt()))
    }

    fn neck_to_shoulder(&self, skin: &Skin<'_>, side: Side) -> Result<(f64, f64), Why> {
        use LandmarkKey as L;
        let neck = End::midline(self.mark(L::BackNeckPoint, None)?);
        let mark = self.mark(L::ShoulderPoint, Some(side))?;
        let shoulder = End::ridge(mark, side, SHOULDER_SINE);
        let length = skin.distance(&neck.place, &shoulder.place)?;
        let sd = neck.pull(&[shoulder]).hypot(shoulder.pull(&[neck]));
        Ok((length, sd))
    }

    /// From the front neck point down the midline to the narrowest waist.
    pub(super) fn front_waist(&mut self) {
        let found = self
            .mark(LandmarkKey::FrontNeckPoint, None)
            .and_then(|neck| {
                let (waist, sd) = self.front_at_waist(0.0)?;
                let from = Point3::from(neck.point_mm);
                let length = path::taut(self.survey.mesh, &from, &waist, Outward::Front)?;
                Ok((length, neck.sd_mm.hypot(sd)))
            });
        self.length(Key::FrontWaistLength, found);
    }

    /// From the side neck point over the bust point, then straight down to the narrowest waist.
    pub(super) fn over_the_bust(&mut self, side: Side) {
        use LandmarkKey as L;
        let found = self
            .both(L::SideNeckPoint, L::BustPoint, side)
            .and_then(|(neck, bust)| {
                let [a, b] = [neck, bust].map(|mark| Point3::from(mark.point_mm));
                let (waist, sd) = self.front_at_waist(b.x)?;
                let upper = path::taut(self.survey.mesh, &a, &b, Outward::Front)?;
                let lower = path::taut(self.survey.mesh, &b, &waist, Outward::Front)?;
                // The bust point lies between the ends, so its own height hardly matters.
                Ok((upper + lower, neck.sd_mm.hypot(sd)))
            });
        self.length(MeasureId::new(Key::NeckOverBustToWaistLength, side), found);
    }

    /// The front of the narrowest waist so far from the midline, and how surely its height is known.
    fn front_at_waist(&self, x: f64) -> Result<(Point3<f64>, f64), Why> {
        let (height, sd) = self.level(LandmarkKey::WaistNarrowest, None)?;
        let contour = self.survey.parts.trunk_at(&self.survey.level, height)?;
        let (_, front) = contour.across(x).ok_or("the waist lies beside it")?;
        Ok((Point3::new(x, front, height), sd))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slips of 1 mm: along a straight path its whole length, square to it nothing, at the top of a
    /// right angle between two equal legs √2 of it.
    #[test]
    fn pulls_of_known_size() {
        let end = |place: [f64; 3], slip: [f64; 3]| End {
            place: place.into(),
            slip: slip.into(),
        };
        let top = end([0.0, 0.0, 100.0], [0.0, 0.0, 1.0]);
        let below = end([0.0, 0.0, 0.0], [1.0, 0.0, 0.0]);
        assert!((top.pull(&[below]) - 1.0).abs() < 1e-12);
        assert!(below.pull(&[top]).abs() < 1e-12);
        let legs = [-100.0, 100.0].map(|x| end([x, 0.0, 0.0], [0.0; 3]));
        assert!((top.pull(&legs) - 2.0_f64.sqrt()).abs() < 1e-12);
    }
}
