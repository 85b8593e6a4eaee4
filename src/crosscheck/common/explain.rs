//! What may lie behind a shift that all girths share, graded by what the sheet shows.

use super::{CLEAR, Shift};
use crate::length::{Length, LengthUnit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod say;

/// What may shift all girths of a sheet alike.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Shared {
    /// The scan is too large or too small: everything by one factor, heights as well.
    ScanScale,
    /// The tape is stretched, and reads less, or has shrunk, and reads more: all it measures by one factor.
    TapeScale,
    /// The hand pulls the tape tight, or lays it loose: girths alone.
    Hand,
    /// Clothes on the scan if the tape reads less, clothes under the tape if it reads more: girths
    /// alone, all by the same length.
    Clothes,
    /// Every reading was begun at the 1 inch mark.
    StartedAtOne,
}

/// How an explanation stands.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Support {
    /// Something speaks for it and nothing against.
    For,
    /// Nothing tells.
    Open,
    /// Something speaks against it.
    Against,
}

/// What the sheet shows.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Sign {
    /// The heights show the same factor.
    HeightsFollow,
    /// The heights agree with the scan.
    HeightsAgree,
    /// The lengths over the body show the same factor.
    LengthsFollow,
    /// The lengths over the body agree with the scan.
    LengthsAgree,
    /// Girths large and small are off by one factor, not by one length.
    OneFactor,
    /// Girths large and small are off by one length, not by one factor.
    OneLength,
    /// The shift is larger than this cause makes.
    TooLarge,
    /// The length is an inch, and the readings are in inches.
    AnInch,
}

/// A sign and which way it points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub struct Evidence {
    /// What the sheet shows.
    pub sign: Sign,
    /// True if it speaks for the explanation, false if against.
    pub speaks_for: bool,
}

/// One cause a shift may have.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Explanation {
    /// The cause.
    pub what: Shared,
    /// How it stands: against if anything speaks against it.
    pub support: Support,
    /// What that rests on.
    pub evidence: Vec<Evidence>,
}

/// More than a hand's habit makes: three times the 2.0 % that accreditation
/// allows two measurers (from memory), read as three standard deviations.
const MOST_BY_HAND: f64 = 0.06;

/// More than a tape of cloth or coated fibre stretches or shrinks (assumption).
const MOST_BY_TAPE: f64 = 0.03;

/// What is known of a shift.
pub(super) struct Facts {
    pub(super) shift: Shift,
    pub(super) log_factor: f64,
    pub(super) log_sd: f64,
    pub(super) form_is_clear: bool,
    pub(super) heights_too: Option<bool>,
    pub(super) lengths_too: Option<bool>,
    pub(super) in_inches: bool,
}

/// Every cause, what something speaks for first.
pub(super) fn explanations(facts: &Facts) -> Vec<Explanation> {
    let mut found: Vec<Explanation> = [
        Shared::ScanScale,
        Shared::TapeScale,
        Shared::Hand,
        Shared::Clothes,
        Shared::StartedAtOne,
    ]
    .into_iter()
    .filter(|&what| what != Shared::StartedAtOne || facts.is_an_inch())
    .map(|what| facts.explanation(what))
    .collect();
    found.sort_by_key(|explanation| explanation.support);
    found
}

impl Facts {
    fn explanation(&self, what: Shared) -> Explanation {
        let evidence: Vec<Evidence> = self
            .signs(what)
            .into_iter()
            .filter_map(|sign| {
                let speaks_for = speaks_for(what, sign)?;
                Some(Evidence { sign, speaks_for })
            })
            .collect();
        let support = if evidence.iter().any(|e| !e.speaks_for) {
            Support::Against
        } else if evidence.is_empty() {
            Support::Open
        } else {
            Support::For
        };
        Explanation {
            what,
            support,
            evidence,
        }
    }

    fn signs(&self, what: Shared) -> Vec<Sign> {
        let told = |known: Option<bool>, yes, no| known.map(|is| if is { yes } else { no });
        let form = match self.shift {
            Shift::Factor { .. } => Sign::OneFactor,
            Shift::Offset { .. } => Sign::OneLength,
        };
        let most = match what {
            Shared::Hand => MOST_BY_HAND,
            Shared::TapeScale => MOST_BY_TAPE,
            _ => f64::INFINITY,
        };
        let is_too_large = self.log_factor.abs() > most + CLEAR * self.log_sd;
        [
            told(self.heights_too, Sign::HeightsFollow, Sign::HeightsAgree),
            told(self.lengths_too, Sign::LengthsFollow, Sign::LengthsAgree),
            self.form_is_clear.then_some(form),
            is_too_large.then_some(Sign::TooLarge),
            self.is_an_inch().then_some(Sign::AnInch),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    fn is_an_inch(&self) -> bool {
        let Shift::Offset { offset_mm, sd_mm } = self.shift else {
            return false;
        };
        let from_inch = offset_mm - Length::from_mm(LengthUnit::Inch.in_mm());
        self.in_inches && from_inch.abs().mm() <= CLEAR * sd_mm.mm()
    }
}

/// Which way a sign points for a cause; `None` if it tells nothing of it.
///
/// Heights that agree rule no stretched tape out: they may be taken with a rule.
/// A layer of even thickness t makes every convex section 2πt longer (closed
/// form), large or small; scale and tension go with the girth.
const fn speaks_for(what: Shared, sign: Sign) -> Option<bool> {
    use Shared as S;
    match (what, sign) {
        (_, Sign::TooLarge) => Some(false),
        (S::ScanScale | S::TapeScale, Sign::HeightsFollow | Sign::LengthsFollow)
        | (S::Hand | S::Clothes, Sign::HeightsAgree | Sign::LengthsAgree)
        | (S::Hand, Sign::OneFactor)
        | (S::Clothes, Sign::OneLength)
        | (S::StartedAtOne, Sign::AnInch) => Some(true),
        (S::ScanScale, Sign::HeightsAgree | Sign::LengthsAgree | Sign::OneLength)
        | (S::TapeScale, Sign::LengthsAgree | Sign::OneLength)
        | (S::Hand | S::Clothes, Sign::HeightsFollow | Sign::LengthsFollow) => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facts(factor: f64, heights_too: Option<bool>, lengths_too: Option<bool>) -> Facts {
        Facts {
            shift: Shift::Factor { factor, sd: 0.005 },
            log_factor: factor.ln(),
            log_sd: 0.005,
            form_is_clear: false,
            heights_too,
            lengths_too,
            in_inches: false,
        }
    }

    fn support(facts: &Facts, what: Shared) -> Option<Support> {
        let found = explanations(facts);
        found.iter().find(|e| e.what == what).map(|e| e.support)
    }

    /// What can follow what: scale takes heights and lengths along, tension neither.
    #[test]
    fn heights_and_lengths_tell_causes_apart() {
        use Support::{Against, For, Open};
        let all = |facts: &Facts| {
            [
                Shared::ScanScale,
                Shared::TapeScale,
                Shared::Hand,
                Shared::Clothes,
            ]
            .map(|what| support(facts, what).unwrap())
        };
        assert_eq!(all(&facts(0.98, None, None)), [Open; 4]);
        assert_eq!(
            all(&facts(0.98, Some(true), None)),
            [For, For, Against, Against]
        );
        assert_eq!(
            all(&facts(0.98, Some(false), Some(true))),
            [Against, For, Against, Against]
        );
        assert_eq!(
            all(&facts(0.98, Some(false), Some(false))),
            [Against, Against, For, For]
        );
        assert_eq!(
            all(&facts(0.90, None, None)),
            [Open, Against, Against, Open]
        );
    }

    #[test]
    fn an_inch_is_told_in_inches_alone() {
        let mut facts = facts(1.03, None, None);
        facts.shift = Shift::Offset {
            offset_mm: Length::from_mm(27.0),
            sd_mm: Length::from_mm(2.0),
        };
        assert_eq!(support(&facts, Shared::StartedAtOne), None);
        facts.in_inches = true;
        assert_eq!(support(&facts, Shared::StartedAtOne), Some(Support::For));
        facts.form_is_clear = true;
        assert_eq!(support(&facts, Shared::ScanScale), Some(Support::Against));
        assert_eq!(support(&facts, Shared::Clothes), Some(Support::For));
    }
}
