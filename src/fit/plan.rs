//! The cutting plan as data: steps with sums, remarks, and what is withheld.

use super::after::After;
use super::level::{Level, Line};
use super::phrase::Phrase;
use super::size::SizeChoice;
use super::sum::Sum;
use crate::finding::{Finding, Weight};
use crate::length::{Length, text::Shown};
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A stage of the work, in the order a fitter takes them.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// A size for each region.
    Size,
    /// From size to size between the lines.
    Grade,
    /// Width at the seam edges.
    Width,
    /// Length between the level lines, from the shoulder down.
    Balance,
    /// The hem, judged after all lines above it.
    Hem,
    /// The bust points and the darts that point at them.
    Bust,
    /// Length, slope and padding of the shoulders, and how far forward they lie.
    Shoulders,
    /// Across back and front, and the back's own length.
    Back,
    /// The sleeve and its armhole.
    Sleeve,
    /// Crotch and legs of trousers.
    Trousers,
    /// Left against right.
    Sides,
}

impl Stage {
    /// In words: `width at the seam edges`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Size => "size",
            Self::Grade => "grade from size to size",
            Self::Width => "width at the seam edges",
            Self::Balance => "length between the lines",
            Self::Hem => "hem",
            Self::Bust => "bust points and darts",
            Self::Shoulders => "shoulders",
            Self::Back => "across back and front, back length",
            Self::Sleeve => "sleeve",
            Self::Trousers => "trousers",
            Self::Sides => "left against right",
        }
    }
}

/// Where on the pattern a step is done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Site {
    /// Along the seam edges at a level.
    Level(Level),
    /// Across the piece between two lines, upper line first.
    Between(Line, Line),
    /// At the hem.
    Hem,
    /// A part the levels do not name: `left sleeve`, `shoulder`.
    Part(String),
}

/// What is done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Action {
    /// Cut in this size.
    UseSize(String),
    /// Draw a smooth line from one size to the other, upper size first.
    Grade(String, String),
    /// Add width.
    Add,
    /// Take width in.
    TakeIn,
    /// Cut across and spread.
    LetIn,
    /// Fold across.
    FoldOut,
    /// Make the hem longer.
    Lengthen,
    /// Make the hem shorter.
    Shorten,
    /// Move an end of a seam, or the point of a dart, down.
    Lower,
    /// Move it up.
    Raise,
    /// Move the points of a pair of darts farther apart.
    MoveOut,
    /// Move them nearer to each other.
    MoveIn,
    /// Move an end of a seam towards the front.
    MoveForward,
    /// Move it towards the back.
    MoveBack,
    /// Move width from the back to the front at the side seams.
    ToFront,
    /// Move width from the front to the back at the side seams.
    ToBack,
    /// Cut left and right apart.
    CutApart,
    /// Pad one side.
    Pad,
}

/// How sure the plan is of a step.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Confidence {
    /// Larger than its uncertainty: do it.
    DoIt,
    /// No larger than its uncertainty, or resting on something assumed: check on the body first.
    CheckFirst,
}

/// How an amount is shared out.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Share {
    /// Over seam edges, each by the same amount.
    Edges {
        /// How many edges: two for each seam.
        edges: u32,
        /// Amount at each edge.
        #[serde(rename = "each_mm")]
        each: Length,
        /// Most that one edge should take.
        #[serde(rename = "limit_mm")]
        limit: Length,
    },
    /// On both sides of a crease; a fold takes half its amount on each.
    Crease {
        /// Amount on each side of the crease.
        #[serde(rename = "each_mm")]
        each: Length,
    },
    /// Half on each side of the body.
    Halves {
        /// Amount on each side.
        #[serde(rename = "each_mm")]
        each: Length,
    },
}

impl Share {
    /// True if an edge has more to take than its limit.
    #[must_use]
    pub fn is_over(&self) -> bool {
        match self {
            Self::Edges { each, limit, .. } => each.mm() > limit.mm() + ROUND_OFF_MM,
            Self::Crease { .. } | Self::Halves { .. } => false,
        }
    }
}

/// Differences below this are round-off of millimetre arithmetic, not cloth.
pub(super) const ROUND_OFF_MM: f64 = 1e-6;

/// One step of the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// Its place in the order of work, from 1.
    pub order: usize,
    /// The stage it belongs to.
    pub stage: Stage,
    /// What is done.
    pub action: Action,
    /// Where.
    pub at: Site,
    /// On which side only, the wearer's own; `None` for both.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// By how much in all, never below nought: the action says which way. `None` for sizes.
    #[serde(rename = "amount_mm", default, skip_serializing_if = "Option::is_none")]
    pub amount: Option<Length>,
    /// How the amount is shared out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share: Option<Share>,
    /// The sum the amount comes from.
    pub sum: Sum,
    /// Standard uncertainty of the amount, from the body measures in the sum.
    #[serde(rename = "sd_mm")]
    pub sd: Length,
    /// Do it, or check on the body first.
    pub confidence: Confidence,
    /// What else to mind, in sentences; empty if nothing.
    #[serde(default, skip_serializing_if = "Phrase::is_empty")]
    pub advice: Phrase,
}

impl Step {
    /// What the step does to the measure it is done on: more, or less below nought.
    pub(super) fn effect(&self) -> Length {
        let amount = self.amount.unwrap_or(Length::ZERO);
        match self.action {
            Action::Add
            | Action::LetIn
            | Action::Lengthen
            | Action::Lower
            | Action::MoveOut
            | Action::MoveForward
            | Action::ToFront => amount,
            Action::TakeIn
            | Action::FoldOut
            | Action::Shorten
            | Action::Raise
            | Action::MoveIn
            | Action::MoveBack
            | Action::ToBack => -amount,
            Action::UseSize(_) | Action::Grade(..) | Action::CutApart | Action::Pad => Length::ZERO,
        }
    }
}

/// A remark on the plan: a [`Finding`] whose lengths are still numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Remark {
    /// How much it matters.
    pub weight: Weight,
    /// What it is about.
    pub topic: String,
    /// The sentence.
    pub text: Phrase,
}

impl Remark {
    /// The remark with its lengths in one way.
    #[must_use]
    pub fn say(&self, shown: Shown) -> Finding {
        Finding {
            weight: self.weight,
            topic: self.topic.clone(),
            text: self.text.say(shown),
        }
    }
}

/// A step that could not be worked out, and why.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WithheldStep {
    /// The stage it would belong to.
    pub stage: Stage,
    /// Where it would be done.
    pub at: Site,
    /// Why it is withheld and what would give it.
    pub reason: Phrase,
}

/// What to cut differently, in the order of work, with the sums.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CuttingPlan {
    /// The garment's name.
    pub garment: String,
    /// The size that neck and shoulders are cut in and lengths are judged by; `None` if no level has a size.
    pub start_size: Option<String>,
    /// The size of each region and how it was chosen.
    pub sizes: Vec<SizeChoice>,
    /// The steps.
    pub steps: Vec<Step>,
    /// What could not be worked out.
    pub withheld: Vec<WithheldStep>,
    /// The garment with the plan carried out, against the body.
    pub after: After,
    /// Remarks, in the order of work.
    pub findings: Vec<Remark>,
}
