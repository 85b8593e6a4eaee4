//! Landmarks: where on the body measures are taken.
//!
//! Every one is found from the shape of the skin alone, by the rule it
//! carries; survey statistics serve only as windows to look in. What the
//! shape does not show is missing, with the reason.

use crate::frame::Ends;
use crate::side::Side;
use serde::{Deserialize, Serialize};
use std::fmt;

mod arm;
mod leg;
mod limb;
mod neck;
mod series;
mod shoulder;
mod survey;
mod trunk;

pub(crate) use arm::Arm;
pub(crate) use limb::cut_about;
pub use limb::{LimbAxis, SquareCut, square_cut};
pub(crate) use neck::{is_neck, thinnest as thinnest_neck};
pub(crate) use shoulder::{SHOULDER_SINE, SIDE_NECK_SINE};
pub use survey::Survey;

/// A landmark or level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
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
    /// Midway between narrowest waist and hip level.
    HighHip,
    /// Level of the greatest rearward projection of the seat.
    Hip,
    /// Highest level at which the legs are apart.
    Crotch,
    /// Middle of the knee.
    Knee,
    /// Greatest girth of the lower leg.
    Calf,
    /// Least girth of the leg above the ankle bones.
    Ankle,
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
            Self::HighHip => "high hip level",
            Self::Hip => "hip level",
            Self::Crotch => "crotch level",
            Self::Knee => "knee",
            Self::Calf => "calf",
            Self::Ankle => "ankle girth level",
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
            Self::Knee | Self::Calf | Self::Ankle => (!ends.feet).then_some(NO_FEET),
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
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Confidence {
    /// A feature of the surface stands for it, but only roughly (a bone under the skin).
    Rough,
    /// The feature is there but flat or weak.
    Fair,
    /// A clear extreme or fork of the surface.
    Clear,
}

/// A landmark that was found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Landmark {
    /// Which.
    pub key: LandmarkKey,
    /// The side of a paired one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Place in the body frame, mm: x to the wearer's right, y forward, z up from the floor.
    pub point_mm: [f64; 3],
    /// Standard uncertainty of its height, in mm.
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
}

/// A landmark the shape does not show, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
        match self.side {
            Some(side) => write!(f, "{side} {}: {}", self.key.name(), self.reason),
            None => write!(f, "{}: {}", self.key.name(), self.reason),
        }
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
}

impl Landmarks {
    /// Finds all landmarks of a surveyed body.
    #[must_use]
    pub fn find(survey: &Survey<'_>) -> Self {
        let mut all = Self::default();
        all.take([trunk::vertex(survey), trunk::crotch(survey)]);
        let hip = all.add(trunk::hip(survey));
        let bust = Side::BOTH.map(|side| all.add(trunk::bust_point(survey, side)));
        let under_bust = all.add(trunk::under_bust(survey, &bust));
        let waist = all.add(trunk::waist_narrowest(
            survey,
            hip.as_ref(),
            under_bust.as_ref(),
        ));
        all.take([trunk::high_hip(survey, waist.as_ref(), hip.as_ref())]);
        let midline = survey.upright.cut(0.0).contours;
        all.take([
            neck::back_neck(survey, &midline),
            neck::front_neck(survey, &midline),
        ]);
        for side in Side::BOTH {
            all.take([trunk::armpit(survey, side)]);
            let (side_neck, shoulder) = shoulder::points(survey, side);
            let side_neck = all.add(side_neck);
            let shoulder = all.add(shoulder).or(side_neck);
            let shoulder = shoulder.filter(|_| survey.ends.head);
            all.take(arm::points(survey, side, shoulder.as_ref()));
            all.take(leg::points(survey, side));
        }
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
            .partition(|mark| mark.key.unscanned(ends).is_none());
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

    fn add(&mut self, outcome: Found) -> Option<Landmark> {
        match outcome {
            Ok(landmark) => {
                self.found.push(landmark.clone());
                Some(landmark)
            }
            Err(missing) => {
                self.missing.push(missing);
                None
            }
        }
    }

    fn take(&mut self, outcomes: impl IntoIterator<Item = Found>) {
        for outcome in outcomes {
            self.add(outcome);
        }
    }
}
