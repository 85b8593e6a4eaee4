//! The places of a garment that the levels do not name: sleeve, shoulder, back, legs.

use super::plan::{Site, Stage};
use crate::measure::Key;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! parts {
    ($( $part:ident $section:literal $key:literal $ease:literal, $name:literal, $stage:ident, $body:ident, $doc:literal; )*) => {
        /// A place of the garment that the levels do not name, as the sheet measures it.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "snake_case")]
        #[non_exhaustive]
        pub enum Part {
            $( #[doc = $doc] $part, )*
        }

        const ROWS: &[Row] = &[
            $( Row {
                part: Part::$part, section: $section, key: $key, ease: $ease, name: $name,
                stage: Stage::$stage, body: Key::$body, about: $doc,
            }, )*
        ];
    };
}

struct Row {
    part: Part,
    section: &'static str,
    key: &'static str,
    ease: &'static str,
    name: &'static str,
    stage: Stage,
    body: Key,
    about: &'static str,
}

// Part, section and key in the sheet, its key under [ease] ("" if it takes none), name, stage, the
// body measure it is held against; what it is on the pattern.
parts! {
    BustPointHeight "bust_point" "height" "", "bust dart point", Bust, NeckToBustLength,
        "Side neck point down the front piece to the bust point that the pattern marks.";
    BustPointSpread "bust_point" "spread" "", "bust dart points", Bust, BustPointSpread,
        "From bust point to bust point, straight across both front halves.";
    ShoulderLength "shoulder" "length" "", "shoulder seam", Shoulders, ShoulderLength,
        "Shoulder seam from neck to armhole, of one side.";
    ShoulderDrop "shoulder" "drop" "", "armhole end of the shoulder seam", Shoulders, ShoulderSlope,
        "How far the armhole end of the shoulder seam lies below its neck end, square to the centre line.";
    ShoulderForward "shoulder" "forward" "", "shoulder seam at the armhole", Shoulders, ShoulderForward,
        "How far the armhole end of the shoulder seam lies before its neck end, below 0 if behind: half of what the front's end drops more than the back's, darts folded shut.";
    AcrossBack "back" "across" "across_back", "back from armhole to armhole", Back, AcrossBackWidth,
        "Across the whole back from armhole to armhole, halfway down the armhole.";
    AcrossFront "front" "across" "across_front", "front from armhole to armhole", Back, AcrossFrontWidth,
        "Across the whole front from armhole to armhole, halfway down the armhole.";
    ScyeDepth "back" "scye_depth" "scye_depth", "armhole depth", Back, ScyeDepth,
        "Back neck point down the centre back to the level of the armhole's lowest point.";
    Biceps "sleeve" "biceps" "biceps", "upper sleeve", Sleeve, UpperArmGirth,
        "Girth of the finished sleeve at the widest part of the upper arm.";
    Elbow "sleeve" "elbow" "elbow", "sleeve at the elbow", Sleeve, ElbowGirth,
        "Girth of the finished sleeve at the elbow.";
    Wrist "sleeve" "wrist" "wrist", "sleeve at the wrist", Sleeve, WristGirth,
        "Girth of the finished sleeve at the wrist, closed.";
    Armscye "sleeve" "armscye" "armscye", "armhole", Sleeve, ArmscyeGirth,
        "Armhole seam of front and back piece together, shoulder to shoulder.";
    SleeveToElbow "sleeve" "to_elbow" "", "sleeve above the elbow", Sleeve, UpperArmLength,
        "Top of the sleeve cap down to the elbow line.";
    SleeveLength "sleeve" "length" "sleeve_length", "sleeve below the elbow", Sleeve, ArmLength,
        "Top of the sleeve cap down to the finished edge.";
    CrotchDepth "trousers" "crotch_depth" "crotch_depth", "front and back above the crotch line", Trousers, CrotchHeight,
        "Top edge down to the crotch line, at the side, as drawn.";
    CrotchFront "trousers" "crotch_front" "", "front crotch seam", Trousers, CrotchLengthFront,
        "Front crotch seam from the top edge to the inseam.";
    CrotchBack "trousers" "crotch_back" "", "back crotch seam", Trousers, CrotchLengthBack,
        "Back crotch seam from the top edge to the inseam.";
    Thigh "trousers" "thigh" "thigh", "trouser leg at the thigh", Trousers, ThighGirth,
        "Girth of the finished leg right below the crotch line.";
    Knee "trousers" "knee" "knee", "trouser leg at the knee", Trousers, KneeGirth,
        "Girth of the finished leg at the knee.";
    Calf "trousers" "calf" "calf", "trouser leg at the calf", Trousers, CalfGirth,
        "Girth of the finished leg at the fullest part of the calf.";
    LegOpening "trousers" "leg_opening" "leg_opening", "leg opening", Trousers, HeelGirth,
        "Girth of the finished lower edge of the leg, closed.";
    Inseam "trousers" "inseam" "", "trouser leg", Trousers, InsideLegLength,
        "Crotch point down the inseam to the lower edge, drawn as the hem says.";
}

impl Part {
    /// Every part, in the order of work.
    pub fn all() -> impl Iterator<Item = Self> {
        ROWS.iter().map(|row| row.part)
    }

    fn row(self) -> &'static Row {
        &ROWS[self as usize]
    }

    /// Its name in steps: `upper sleeve`.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// What is measured on the pattern.
    #[must_use]
    pub fn about(self) -> &'static str {
        self.row().about
    }

    /// Where it stands in the garment sheet: table and key.
    #[must_use]
    pub fn in_sheet(self) -> (&'static str, &'static str) {
        (self.row().section, self.row().key)
    }

    /// Its key under `[ease]`, if an ease can be asked for.
    #[must_use]
    pub fn ease_key(self) -> Option<&'static str> {
        Some(self.row().ease).filter(|key| !key.is_empty())
    }

    /// The stage that judges it.
    #[must_use]
    pub fn stage(self) -> Stage {
        self.row().stage
    }

    /// The body measure it is held against before all others.
    #[must_use]
    pub fn body(self) -> Key {
        self.row().body
    }

    /// True for a girth of one arm or leg, which pattern pieces cut in pairs add up to twice.
    #[must_use]
    pub const fn is_limb_girth(self) -> bool {
        matches!(
            self,
            Self::Biceps
                | Self::Elbow
                | Self::Wrist
                | Self::Thigh
                | Self::Knee
                | Self::Calf
                | Self::LegOpening
        )
    }

    /// True for a place that may lie to either side of nought; any other part is a length above it.
    #[must_use]
    pub const fn is_signed(self) -> bool {
        matches!(self, Self::ShoulderForward)
    }

    /// Seam edges that share a change of its width; none if it is no width.
    pub(super) const fn edges(self) -> u32 {
        match self {
            // The underarm seam; the armhole edges.
            Self::Biceps | Self::Elbow | Self::Wrist | Self::AcrossBack | Self::AcrossFront => 2,
            // Inner and outer seam of a leg.
            Self::Thigh | Self::Knee | Self::Calf | Self::LegOpening => 4,
            _ => 0,
        }
    }

    pub(super) fn site(self) -> Site {
        Site::Part(self.name().to_owned())
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_has_a_place_of_its_own() {
        let parts: Vec<Part> = Part::all().collect();
        for (index, part) in parts.iter().enumerate() {
            assert_eq!(*part as usize, index);
            for other in &parts[..index] {
                assert_ne!(part.in_sheet(), other.in_sheet());
                assert_ne!(part.name(), other.name());
                assert!(part.ease_key().is_none() || part.ease_key() != other.ease_key());
            }
        }
    }
}
