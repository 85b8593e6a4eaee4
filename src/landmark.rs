//! Landmarks: where on the body measures are taken.
//!
//! Every one is found from the shape of the skin alone, by the rule it
//! carries; survey statistics serve only as windows to look in. What the
//! shape does not show is missing, with the reason.

use crate::error::Result;
use crate::finding::Finding;
use crate::frame::Ends;
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

mod arm;
mod corner;
mod knee;
mod leg;
mod limb;
mod looking;
mod names;
mod neck;
mod order;
pub mod pin;
mod put;
mod root;
mod series;
mod shoulder;
mod survey;
mod trunk;
mod wave;
mod weights;

pub(crate) use arm::Arm;
pub(crate) use limb::cut_about;
pub use limb::{LimbAxis, SquareCut, square_cut};
pub(crate) use neck::{is_neck, thinnest as thinnest_neck};
pub use pin::{Pin, PinPlace, Pins};
pub(crate) use series::linear;
pub(crate) use shoulder::{RIDGE_LEAN_SD_DEG, SHOULDER_SINE, SIDE_NECK_SINE};
pub use survey::Survey;
pub(crate) use trunk::{MIDWAY_WINDOW, NAVEL_WINDOW};
pub(crate) use wave::Waves;
pub(crate) use weights::raised;

/// A landmark or level.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum LandmarkKey {
    /// Highest point of the head.
    Vertex,
    /// Where the neck meets the back (cervicale), as far as the skin shows it.
    BackNeckPoint,
    /// Pit of the throat, where the neck meets the breast, as far as the skin shows it.
    FrontNeckPoint,
    /// Where the side of the neck turns into the shoulder line.
    SideNeckPoint,
    /// Where the shoulder line turns down into the arm (acromion), as far as the skin shows it.
    ShoulderPoint,
    /// Highest level at which an arm is apart from the trunk.
    Armpit,
    /// Most forward point of the chest on one side.
    BustPoint,
    /// Lower fold of the bust.
    UnderBust,
    /// Level of least taut girth between bust and hip.
    WaistNarrowest,
    /// Lowest point of the ribs at the side, as far as the skin shows it.
    LowestRib,
    /// Highest point of the hip bone at the side, as far as the skin shows it.
    HipBone,
    /// Midway between lowest rib and top of the hip bone: the waist level of ISO 8559-1.
    WaistMidway,
    /// Middle of the navel.
    Navel,
    /// Level of the greatest forward projection of the belly.
    Belly,
    /// Midway between narrowest waist and hip level.
    HighHip,
    /// Level of the greatest rearward projection of the seat.
    Hip,
    /// Highest level at which the legs are apart.
    Crotch,
    /// Fold under the seat, where it meets the thigh.
    GlutealFold,
    /// Middle of the knee.
    Knee,
    /// Greatest girth of the lower leg.
    Calf,
    /// Least girth of the leg above the ankle bones.
    Ankle,
    /// Outer ankle bone (lateral malleolus): just below where the ankle is broadest over both bones.
    AnkleBone,
    /// Bend of the arm.
    Elbow,
    /// Least girth of the arm above the hand.
    Wrist,
}

impl LandmarkKey {
    /// Its name in words, without the side.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Vertex => "top of the head",
            Self::BackNeckPoint => "back neck point",
            Self::FrontNeckPoint => "front neck point",
            Self::SideNeckPoint => "side neck point",
            Self::ShoulderPoint => "shoulder point",
            Self::Armpit => "armpit",
            Self::BustPoint => "bust point",
            Self::UnderBust => "under-bust level",
            Self::WaistNarrowest => "narrowest waist",
            Self::LowestRib => "lowest rib",
            Self::HipBone => "top of the hip bone",
            Self::WaistMidway => "waist midway between rib and hip bone",
            Self::Navel => "navel",
            Self::Belly => "belly level",
            Self::HighHip => "high hip level",
            Self::Hip => "hip level",
            Self::Crotch => "crotch level",
            Self::GlutealFold => "gluteal fold",
            Self::Knee => "knee",
            Self::Calf => "calf",
            Self::Ankle => "ankle girth level",
            Self::AnkleBone => "outer ankle bone",
            Self::Elbow => "elbow",
            Self::Wrist => "wrist",
        }
    }
}

impl LandmarkKey {
    /// Why a body with these ends cannot show it, if so.
    fn unscanned(self, ends: Ends) -> Option<&'static str> {
        match self {
            Self::Vertex
            | Self::BackNeckPoint
            | Self::FrontNeckPoint
            | Self::SideNeckPoint
            | Self::ShoulderPoint => (!ends.head).then_some(NO_HEAD),
            Self::Knee | Self::Calf | Self::Ankle | Self::AnkleBone => {
                (!ends.feet).then_some(NO_FEET)
            }
            _ => None,
        }
    }
}

/// Why what lies at the upper end is withheld.
pub(crate) const NO_HEAD: &str = "there is no head on the scan, so the neck may be cut off as well; scan up to the top of the head";
/// Why what lies at the lower end is withheld.
pub(crate) const NO_FEET: &str =
    "there are no feet on the scan, so no height above the floor is known; scan down to the soles";

/// How clearly the shape shows a landmark.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Confidence {
    /// A feature of the surface stands for it, but only roughly (a bone under the skin).
    Rough,
    /// The feature is there but flat or weak.
    Fair,
    /// A clear extreme or fork of the surface.
    Clear,
    /// Put by hand, not asked of the shape.
    Given,
}

/// A landmark that was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Landmark {
    /// Which.
    pub key: LandmarkKey,
    /// The side of a paired one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Place in the body frame, mm: x to the wearer's right, y forward, z up from the floor.
    pub point_mm: [f64; 3],
    /// Standard uncertainty of its height, in mm.
    #[schemars(range(min = 0))]
    pub sd_mm: f64,
    /// How clearly the shape shows it.
    pub confidence: Confidence,
    /// The rule it was found by.
    pub rule: String,
}

impl Landmark {
    /// Height above the floor in mm.
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        self.point_mm[2]
    }

    /// True if it was put by hand.
    #[must_use]
    pub fn is_pinned(&self) -> bool {
        self.confidence == Confidence::Given
    }

    /// What it is, in words: `left knee`.
    #[must_use]
    pub fn name(&self) -> String {
        named(self.key, self.side)
    }
}

fn named(key: LandmarkKey, side: Option<Side>) -> String {
    match side {
        Some(side) => format!("{side} {}", key.name()),
        None => key.name().to_owned(),
    }
}

/// A landmark the shape does not show, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Missing {
    /// Which.
    pub key: LandmarkKey,
    /// The side of a paired one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Why, as the end of a sentence.
    pub reason: String,
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", named(self.key, self.side), self.reason)
    }
}

/// A landmark or the reason why there is none.
pub(crate) type Found = Result<Landmark, Missing>;

/// All landmarks of a body.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Landmarks {
    /// Found ones.
    pub found: Vec<Landmark>,
    /// Those the shape does not show.
    pub missing: Vec<Missing>,
    /// Remarks on those put by hand.
    pub findings: Vec<Finding>,
    /// What a person has put.
    pins: Pins,
}

impl Landmarks {
    /// Finds all landmarks of a surveyed body on its shape alone.
    #[must_use]
    pub fn find(survey: &Survey<'_>) -> Self {
        Self::look(survey, Vec::new())
    }

    /// Finds those that are not put by hand; what is looked for from a pinned one follows it.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if a pin lies outside the body or the part
    /// it belongs to, or if two of them are the wrong way up. A pin against what the shape shows is told.
    pub fn find_with(survey: &Survey<'_>, pins: &Pins) -> Result<Self> {
        let (pinned, told) = put::put(survey, pins)?;
        let mut all = Self::look(survey, pinned);
        let against = order::check(&all.found)?;
        all.findings.splice(0..0, told.into_iter().chain(against));
        all.pins = pins.clone();
        Ok(all)
    }

    fn look(survey: &Survey<'_>, pinned: Vec<Landmark>) -> Self {
        let mut all = looking::look(survey, pinned);
        all.drop_unscanned(survey.ends);
        let order = |key: LandmarkKey, side: Option<Side>| (key, side);
        all.found.sort_by_key(|l| order(l.key, l.side));
        all.missing.sort_by_key(|m| order(m.key, m.side));
        all
    }

    /// The landmark asked for.
    ///
    /// # Errors
    /// [`Missing`] with the reason if the shape does not show it.
    pub fn get(&self, key: LandmarkKey, side: Option<Side>) -> Result<&Landmark, Missing> {
        let found = self.found.iter().find(|l| l.key == key && l.side == side);
        found.ok_or_else(|| {
            let why = self.missing.iter().find(|m| m.key == key && m.side == side);
            why.cloned().unwrap_or_else(|| Missing {
                key,
                side,
                reason: "was not looked for".to_owned(),
            })
        })
    }

    /// What lies at an end that is not on the scan is missing, whatever the cut edge looks like.
    fn drop_unscanned(&mut self, ends: Ends) {
        let (kept, gone) = std::mem::take(&mut self.found)
            .into_iter()
            .partition(|mark| mark.is_pinned() || mark.key.unscanned(ends).is_none());
        self.found = kept;
        self.missing.extend(gone.into_iter().map(|mark| Missing {
            key: mark.key,
            side: mark.side,
            reason: String::new(),
        }));
        for missing in &mut self.missing {
            if let Some(why) = missing.key.unscanned(ends) {
                missing.reason = why.to_owned();
            }
        }
    }

    /// True if a person has put it at a point of the skin; one put at its height alone still follows the skin.
    pub(crate) fn is_at_pinned_point(&self, mark: &Landmark) -> bool {
        let mut pins = self.pins.iter();
        pins.any(|pin| (pin.key, pin.side) == (mark.key, mark.side) && pin.place.is_point())
    }

    /// True if a landmark was put by hand, or is worked out from one that was.
    #[must_use]
    pub fn rests_on_pin(&self, key: LandmarkKey, side: Option<Side>) -> bool {
        let mark = self.get(key, side);
        mark.is_ok_and(|mark| {
            let parents = key.made_of().iter();
            let mut of = parents.flat_map(|key| key.sides().iter().map(move |side| (key, side)));
            mark.is_pinned() || of.any(|(&key, &side)| self.rests_on_pin(key, side))
        })
    }
}
