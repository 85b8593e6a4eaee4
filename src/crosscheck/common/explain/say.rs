//! A shared shift and its explanations in words.

use super::super::Common;
use super::{Explanation, Shared, Shift, Sign, Support};
use crate::length::text::Shown;
use std::f64::consts::TAU;

impl Common {
    /// The shift, what explains it, and what would tell open explanations apart.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        let way = if self.is_more() { "more" } else { "less" };
        let mut text = format!(
            "Over {} girths the tape reads {} {way} than the scan.",
            self.pairs,
            self.size(shown)
        );
        for (support, lead) in [
            (Support::For, "The sheet speaks for this:"),
            (Support::Open, "It leaves open:"),
        ] {
            let told: Vec<String> = self
                .explanations
                .iter()
                .filter(|explanation| explanation.support == support)
                .map(|explanation| self.say_explanation(explanation, shown))
                .collect();
            if !told.is_empty() {
                text.push_str(&format!(" {lead} {}.", told.join("; or ")));
            }
        }
        text.push(' ');
        text.push_str(self.remedy());
        text
    }

    /// True if the tape reads more than the scan.
    fn is_more(&self) -> bool {
        match self.shift {
            Shift::Factor { factor, .. } => factor > 1.0,
            Shift::Offset { offset_mm, .. } => offset_mm.mm() > 0.0,
        }
    }

    fn size(&self, shown: Shown) -> String {
        match self.shift {
            Shift::Factor { factor, sd } => format!(
                "{:.1} % (± {:.1} %)",
                (factor - 1.0).abs() * 100.0,
                sd * 100.0
            ),
            Shift::Offset { offset_mm, sd_mm } => format!(
                "{} (± {})",
                shown.show_some(offset_mm.abs()),
                shown.show_up(sd_mm)
            ),
        }
    }

    fn say_explanation(&self, explanation: &Explanation, shown: Shown) -> String {
        let signs: Vec<&str> = explanation
            .evidence
            .iter()
            .map(|evidence| evidence.sign.words())
            .collect();
        let cause = explanation.what.cause(self.is_more());
        let layer = match (explanation.what, self.shift) {
            (Shared::Clothes, Shift::Offset { offset_mm, .. }) => {
                format!(
                    ", an even layer of {}",
                    shown.show_some(offset_mm.abs() / TAU)
                )
            }
            _ => String::new(),
        };
        if signs.is_empty() {
            return format!("{cause}{layer}");
        }
        format!("{cause}{layer} ({})", signs.join(", "))
    }

    /// What to do: the measures that would tell, while there are none; else a rigid rule or one more try.
    fn remedy(&self) -> &'static str {
        match (self.heights_too, self.lengths_too) {
            (Some(true), _) | (_, Some(true)) => {
                "Hold the tape against a rigid rule, and check the unit and scale of the scan."
            }
            (None, None) => {
                "Measure a height or two with a rigid rule, and the back from neck to waist with the tape, to tell these apart."
            }
            _ => {
                "Take one girth again, tape level and touching without pressing, over what was worn for the scan."
            }
        }
    }
}

impl Shared {
    /// In words; `more` if the tape reads more than the scan.
    #[must_use]
    pub const fn cause(self, more: bool) -> &'static str {
        match (self, more) {
            (Self::ScanScale, true) => "the scan is too small",
            (Self::ScanScale, false) => "the scan is too large",
            (Self::TapeScale, true) => "the tape has shrunk",
            (Self::TapeScale, false) => "the tape has stretched",
            (Self::Hand, true) => "the tape lay loose or out of level",
            (Self::Hand, false) => "the tape was pulled tight",
            (Self::Clothes, true) => "the tape lay over clothes",
            (Self::Clothes, false) => "the scan shows clothes",
            (Self::StartedAtOne, _) => "every reading was begun at the 1 inch mark",
        }
    }
}

impl Sign {
    /// In words: `the heights show it too`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::HeightsFollow => "the heights show it too",
            Self::HeightsAgree => "the heights do not show it",
            Self::LengthsFollow => "the lengths over the body show it too",
            Self::LengthsAgree => "the lengths over the body do not show it",
            Self::OneFactor => "it grows with the girth",
            Self::OneLength => "it is the same for large and small girths",
            Self::TooLarge => "it is larger than that makes",
            Self::AnInch => "it is an inch",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::crosscheck::common::Evidence;
    use crate::length::Length;

    /// 25.4 mm over 2π is 4.04 mm, an even layer under 1/4 in.
    #[test]
    fn sentences_follow_the_unit() {
        let explained = |what, sign| Explanation {
            what,
            support: Support::For,
            evidence: vec![Evidence {
                sign,
                speaks_for: true,
            }],
        };
        let common = Common {
            shift: Shift::Offset {
                offset_mm: Length::from_mm(-25.4),
                sd_mm: Length::from_mm(6.35),
            },
            pairs: 5,
            heights_too: Some(false),
            lengths_too: None,
            explanations: vec![
                explained(Shared::Hand, Sign::HeightsAgree),
                explained(Shared::Clothes, Sign::OneLength),
            ],
        };
        let text = common.say(Shown::InchEighths);
        assert!(
            text.contains("5 girths the tape reads 1 in (± 1/4 in) less"),
            "{text}"
        );
        assert!(text.contains("pulled tight (the heights do not show it); or"));
        let cm = common.say(Shown::Centimetres);
        assert!(
            cm.contains("the scan shows clothes, an even layer of 0.4 cm"),
            "{cm}"
        );
        assert!((common.corrected(Length::from_mm(900.0)).mm() - 925.4).abs() < 1e-9);
    }
}
