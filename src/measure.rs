//! Measures: what they mean, their values, and what could not be measured.

use crate::finding::Finding;
use crate::length::Length;
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

pub mod accuracy;
pub mod asymmetry;
pub mod catalogue;
pub mod curve;
mod gate;
mod girth;
pub mod path;
pub mod plausible;
mod take;
pub mod tilt;
mod waves;

pub use catalogue::{Definition, ErrorClass, Key, Mode};
pub use curve::{CurvePart, GirthCurve};
pub(crate) use gate::on_whole_skin;
pub use take::measure_body;
pub use tilt::{Lower, Tilted};

/// Which measure, and of which side if it is a paired one.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
pub struct MeasureId {
    /// The catalogue row.
    pub key: Key,
    /// The side; `None` for measures of the whole body.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
}

impl MeasureId {
    /// A measure of the whole body, or one side of a paired measure.
    #[must_use]
    pub fn new(key: Key, side: impl Into<Option<Side>>) -> Self {
        Self {
            key,
            side: side.into(),
        }
    }
}

impl From<Key> for MeasureId {
    fn from(key: Key) -> Self {
        Self { key, side: None }
    }
}

impl fmt::Display for MeasureId {
    /// `bust girth`, `left knee girth`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = self.key.definition().name;
        match self.side {
            Some(side) => f.pad(&format!("{side} {name}")),
            None => f.pad(name),
        }
    }
}

/// Unit of a measure's value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum Unit {
    /// Millimetres.
    #[serde(rename = "mm")]
    Mm,
    /// Degrees of arc.
    #[serde(rename = "deg")]
    Degree,
    /// Millilitres: cubic centimetres.
    #[serde(rename = "ml")]
    Millilitre,
}

impl Unit {
    /// As written in files and after a number in a table: `mm`, `deg`, `ml`.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Degree => "deg",
            Self::Millilitre => "ml",
        }
    }

    /// As said in a sentence: `mm`, `degrees`, `millilitres`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Degree => "degrees",
            Self::Millilitre => "millilitres",
        }
    }
}

/// Largest length of a body or a difference of two, in mm: guards against slips of the unit and crumpled skin.
pub(crate) const MOST_MM: f64 = 10_000.0;

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// Measured on the scan.
    Scan,
    /// Read by hand with a tape.
    Tape,
    /// Scan and tape together, weighted by their inverse variances.
    Merged,
    /// Measured on the scan at a landmark that the user put by hand.
    Pinned,
}

impl Source {
    /// As written in files: `scan`, `tape`, `merged`, `pinned`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Scan => "scan",
            Self::Tape => "tape",
            Self::Merged => "merged",
            Self::Pinned => "pinned",
        }
    }
}

/// What makes a value uncertain.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// The level or landmark may lie a little higher, lower or aside.
    Level,
    /// Roughness of the scanned skin.
    Noise,
    /// Skin missing from the scan and bridged.
    Gap,
    /// The body stood otherwise than the measure asks: arms held out, head nodded.
    Pose,
    /// Facets shorter than the curve they stand for.
    Facets,
    /// The mid-sagittal plane may lie a little to one side.
    Midline,
    /// The base that both sides are measured from may lie elsewhere; both then change alike.
    Base,
    /// The line down the side may be put a little more to the front or back.
    SideLine,
    /// The hand that holds the tape: technical error of measurement.
    Tape,
    /// The habit of that hand, the same at each repeat: where and how tight it lays the tape.
    Hand,
    /// The tape presses the skin, or the body breathes.
    Breath,
}

/// One part of a standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SpreadPart {
    /// What causes it.
    pub cause: Cause,
    /// Its standard deviation, in the unit of the value.
    #[schemars(range(min = 0))]
    pub sd: f64,
}

/// A standard uncertainty and what it is made of.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spread {
    /// Standard deviation, in the unit of the value: root of the sum of squares of the parts.
    #[schemars(range(min = 0))]
    pub sd: f64,
    /// The parts, taken as independent.
    pub parts: Vec<SpreadPart>,
}

impl Spread {
    /// Joins independent parts; parts of no size are left out.
    #[must_use]
    pub fn of(parts: impl IntoIterator<Item = (Cause, f64)>) -> Self {
        let parts: Vec<_> = parts
            .into_iter()
            .filter(|&(_, sd)| sd > 0.0)
            .map(|(cause, sd)| SpreadPart { cause, sd })
            .collect();
        let sd = parts
            .iter()
            .map(|part| part.sd * part.sd)
            .sum::<f64>()
            .sqrt();
        Self { sd, parts }
    }

    /// What a cause adds, as a standard deviation; nought if it adds nothing.
    #[must_use]
    pub fn part(&self, cause: Cause) -> f64 {
        let part = self.parts.iter().find(|part| part.cause == cause);
        part.map_or(0.0, |part| part.sd)
    }
}

/// A measured value with all that is needed to trust it or not.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measure {
    /// Which measure.
    #[serde(flatten)]
    pub id: MeasureId,
    /// Its value, in `unit`.
    pub value: f64,
    /// The unit of value and uncertainty.
    pub unit: Unit,
    /// Standard uncertainty and how it was got.
    pub spread: Spread,
    /// Where the value comes from.
    pub source: Source,
    /// Height above the floor of the level it was taken at, if it has one, in mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level_mm: Option<Length>,
}

impl Measure {
    /// The value as a length.
    ///
    /// # Panics
    /// In debug builds, if the measure is an angle or a volume.
    #[must_use]
    pub fn length(&self) -> Length {
        debug_assert_eq!(self.unit, Unit::Mm, "{} is no length", self.id);
        Length::from_mm(self.value)
    }
}

/// A measure that has no value, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Withheld {
    /// Which measure.
    #[serde(flatten)]
    pub id: MeasureId,
    /// Why, in a sentence.
    pub reason: String,
}

/// The answer to the question for one measure.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It was measured.
    Value(Measure),
    /// It was not, for a reason.
    Withheld(Withheld),
}

impl Outcome {
    /// Which measure it is of.
    #[must_use]
    pub fn id(&self) -> MeasureId {
        match self {
            Self::Value(measure) => measure.id,
            Self::Withheld(withheld) => withheld.id,
        }
    }
}

/// All that a scan says: values, what it withholds, and girth by height.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasureSet {
    /// One outcome for every row and side of the catalogue that was asked for, in catalogue order.
    pub outcomes: Vec<Outcome>,
    /// Girth by height of the trunk and the limbs.
    pub curves: Vec<GirthCurve>,
    /// Remarks on the whole.
    pub findings: Vec<Finding>,
}

impl MeasureSet {
    /// The measure asked for, if it has a value.
    #[must_use]
    pub fn get(&self, id: impl Into<MeasureId>) -> Option<&Measure> {
        let id = id.into();
        self.values().find(|measure| measure.id == id)
    }

    /// Every measure with a value.
    pub fn values(&self) -> impl Iterator<Item = &Measure> + Clone {
        self.outcomes.iter().filter_map(|outcome| match outcome {
            Outcome::Value(measure) => Some(measure),
            Outcome::Withheld(_) => None,
        })
    }

    /// Girth by height of a part, if the scan shows it.
    #[must_use]
    pub fn curve(&self, part: CurvePart) -> Option<&GirthCurve> {
        self.curves.iter().find(|curve| curve.part == part)
    }

    /// Every measure without one.
    pub fn withheld(&self) -> impl Iterator<Item = &Withheld> + Clone {
        self.outcomes.iter().filter_map(|outcome| match outcome {
            Outcome::Value(_) => None,
            Outcome::Withheld(withheld) => Some(withheld),
        })
    }
}
