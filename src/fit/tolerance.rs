//! When a difference is worth a step, and when a step is too much for one place.

use super::level::Level;
use super::sheet::WaistLine;
use crate::error::{Error, Result};
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// Limits of the planner, each with where it comes from.
///
/// None of them is a standard; a sewist who works otherwise changes them.
/// "Common practice" means trade knowledge without a source that was read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Tolerances {
    /// Least width change at one seam edge that is proposed. Default 3 mm: cutting is true to
    /// 1–2 mm (common practice, no source).
    #[serde(rename = "least_per_edge_mm")]
    pub least_per_edge: Length,
    /// Most width change at one seam edge; a garment sheet may set its own. Default 12.7 mm
    /// (½ in; common practice, no source: ½ to 1 in).
    #[serde(rename = "most_per_edge_mm")]
    pub most_per_edge: Length,
    /// How far a bust line may sit off. Default 10 mm: the neck-to-bust-point difference from
    /// which a pattern is changed (inferred from a mean asymmetry of 3.2 %, Losken et al. 2005).
    #[serde(rename = "bust_line_mm")]
    pub bust_line: Length,
    /// How far a waist seam may sit off. Default 6.35 mm (¼ in; common practice, no source).
    #[serde(rename = "waist_seam_mm")]
    pub waist_seam: Length,
    /// How far a waist that is only shaped may sit off. Default 12.7 mm (½ in; common practice,
    /// no source).
    #[serde(rename = "waist_shaped_mm")]
    pub waist_shaped: Length,
    /// How far a hip line may sit off. Default 12.7 mm (½ in; common practice, no source).
    #[serde(rename = "hip_line_mm")]
    pub hip_line: Length,
    /// How far a hem may sit off. Default 6.35 mm (¼ in; common practice, no source).
    #[serde(rename = "hem_mm")]
    pub hem: Length,
    /// How far a part may sit off its ease or length: sleeve, shoulder seam, across the back, crotch
    /// seam, leg. Default 6.35 mm (¼ in; common practice, no source).
    #[serde(rename = "part_mm")]
    pub part: Length,
    /// How far the point of a bust dart may sit off. Default 6.35 mm (¼ in; common practice, no
    /// source).
    #[serde(rename = "dart_point_mm")]
    pub dart_point: Length,
    /// Least width moved between front and back. Default 12.7 mm: the body's side line itself is put
    /// ½ in behind the middle of the armhole (New Mexico State University Guide C-220), so less says
    /// little.
    #[serde(rename = "front_to_back_mm")]
    pub front_to_back: Length,
    /// Most length folded out or let in at one line. Default 38.1 mm (common practice, no
    /// source: 1 to 1½ in).
    #[serde(rename = "most_per_line_mm")]
    pub most_per_line: Length,
    /// Steepest grade from size to size: side-edge shift per length, a plain ratio. Default
    /// 0.15, three sizes of 1 in over two side seams within 5 in (own choice, no source).
    pub steepest_grade: f64,
    /// Bust less upper chest from which the size goes by the upper chest. Default 50.8 mm
    /// (2 in: state extension leaflet "Principles of Pattern Alteration").
    #[serde(rename = "bust_rule_mm")]
    pub bust_rule: Length,
    /// Hem change from which half goes above the hem. Default 101.6 mm (4 in: *The New
    /// Dressmaker*, about 1921).
    #[serde(rename = "most_at_hem_mm")]
    pub most_at_hem: Length,
    /// Standard deviations a step must exceed to be done without another look. Default 1.96
    /// (95 % of a normal error).
    pub sure_at_sd: f64,
}

impl Default for Tolerances {
    fn default() -> Self {
        Self {
            least_per_edge: Length::from_mm(3.0),
            most_per_edge: Length::from_inch(0.5),
            bust_line: Length::from_mm(10.0),
            waist_seam: Length::from_inch(0.25),
            waist_shaped: Length::from_inch(0.5),
            hip_line: Length::from_inch(0.5),
            hem: Length::from_inch(0.25),
            part: Length::from_inch(0.25),
            dart_point: Length::from_inch(0.25),
            front_to_back: Length::from_inch(0.5),
            most_per_line: Length::from_inch(1.5),
            steepest_grade: 0.15,
            bust_rule: Length::from_inch(2.0),
            most_at_hem: Length::from_inch(4.0),
            sure_at_sd: 1.96,
        }
    }
}

impl Tolerances {
    /// How far a level's line may sit off; `None` for a waist the garment does not shape.
    pub(super) const fn off_line(&self, level: Level, waist: WaistLine) -> Option<Length> {
        match (level, waist) {
            (Level::Bust, _) => Some(self.bust_line),
            (Level::Waist, WaistLine::Seam) => Some(self.waist_seam),
            (Level::Waist, WaistLine::Shaped) => Some(self.waist_shaped),
            (Level::Waist, WaistLine::None) => None,
            (Level::Hip, _) => Some(self.hip_line),
        }
    }

    /// Refuses limits that are no numbers or below nought.
    pub(super) fn check(&self) -> Result<()> {
        let all = [
            ("least_per_edge", self.least_per_edge.mm()),
            ("most_per_edge", self.most_per_edge.mm()),
            ("bust_line", self.bust_line.mm()),
            ("waist_seam", self.waist_seam.mm()),
            ("waist_shaped", self.waist_shaped.mm()),
            ("hip_line", self.hip_line.mm()),
            ("hem", self.hem.mm()),
            ("part", self.part.mm()),
            ("dart_point", self.dart_point.mm()),
            ("front_to_back", self.front_to_back.mm()),
            ("most_per_line", self.most_per_line.mm()),
            ("steepest_grade", self.steepest_grade),
            ("bust_rule", self.bust_rule.mm()),
            ("most_at_hem", self.most_at_hem.mm()),
            ("sure_at_sd", self.sure_at_sd),
        ];
        match all
            .iter()
            .find(|(_, value)| !value.is_finite() || *value < 0.0)
        {
            Some((name, value)) => Err(Error::options(format!(
                "tolerance {name} is {value}; give a number of 0 or more"
            ))),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tolerance_below_nought_is_refused_by_name() {
        let wrong = Tolerances {
            hip_line: Length::from_mm(-1.0),
            ..Tolerances::default()
        };
        let text = wrong.check().unwrap_err().to_string();
        assert!(text.contains("hip_line is -1"), "{text}");
        assert!(Tolerances::default().check().is_ok());
    }
}
