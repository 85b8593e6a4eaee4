//! Left against right.

use super::{Cause, Key, Measure, Mode};
use crate::side::Side;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub mod usual;

pub use usual::{Usual, usual};

/// How large a difference between the sides is, by what can be measured and by what is usual.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// No larger than its uncertainty explains: there may be none.
    #[default]
    Within,
    /// There, and as about 95 of 100 healthy people have it.
    Usual,
    /// There; no survey of healthy people says how much is usual.
    Unsurveyed,
    /// There, and larger than about 95 of 100 healthy people have it. No diagnosis.
    Larger,
}

impl Grade {
    /// In plain words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Within => "within what can be measured",
            Self::Usual => "usual in healthy people",
            Self::Unsurveyed => "how much is usual is not known",
            Self::Larger => "larger than usual",
        }
    }

    /// The grade of a difference with its standard uncertainty, for what is known to be usual.
    ///
    /// It is larger than usual only where the uncertainty cannot explain that.
    #[must_use]
    pub fn of(left: f64, right: f64, sd: f64, usual: Option<Usual>) -> Self {
        let difference = (left - right).abs();
        let beyond = |limit: f64| difference - limit > BEYOND * sd;
        // A value that is no number is no difference.
        if !beyond(0.0) {
            return Self::Within;
        }
        match usual.and_then(|usual| usual.limit_of(left, right)) {
            None => Self::Unsurveyed,
            Some(limit) if beyond(limit) => Self::Larger,
            Some(_) => Self::Usual,
        }
    }
}

/// The difference between the two sides of a paired measure.
///
/// Some difference is the rule, not a fault: hardly anyone is alike on both sides.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SideDifference {
    /// The paired measure.
    pub key: Key,
    /// Value on the wearer's left, in the measure's unit.
    pub left: f64,
    /// Value on the wearer's right.
    pub right: f64,
    /// Left minus right.
    pub difference: f64,
    /// Standard uncertainty of the difference.
    #[schemars(range(min = 0))]
    pub sd: f64,
    /// True if the difference is larger than its uncertainty explains.
    pub beyond_uncertainty: bool,
    /// How large it is beside what healthy people have.
    #[serde(default)]
    pub grade: Grade,
}

/// Standard uncertainties a difference must exceed to count: 95 of 100
/// differences of a body alike on both sides stay below.
const BEYOND: f64 = 1.96;

/// No scan and no tape tells two sides apart by less, in the measure's unit (mm, degrees or ml): a tenth.
/// Where all that is unsure is shared, little more than round-off would be left.
const LEAST_SD: f64 = 0.1;

impl SideDifference {
    /// The difference between two values of one paired measure.
    ///
    /// The two are taken as independent but for the mid-sagittal plane, which
    /// takes from one side what it gives to the other, and for a base they
    /// share, which gives to both.
    #[must_use]
    pub fn between(left: &Measure, right: &Measure) -> Self {
        let root = |measure: &Measure, wanted: &dyn Fn(Cause) -> bool| {
            let parts = measure.spread.parts.iter();
            parts
                .filter(|part| wanted(part.cause))
                .map(|part| part.sd * part.sd)
                .sum::<f64>()
                .sqrt()
        };
        let both = |wanted: &dyn Fn(Cause) -> bool| (root(left, wanted), root(right, wanted));
        let apart = both(&|cause| !matches!(cause, Cause::Midline | Cause::Base));
        let midline = both(&|cause| cause == Cause::Midline);
        let base = both(&|cause| cause == Cause::Base);
        let sd = apart
            .0
            .hypot(apart.1)
            .hypot(midline.0 + midline.1)
            .hypot(base.0 - base.1)
            .max(LEAST_SD);
        let difference = left.value - right.value;
        Self {
            key: left.id.key,
            left: left.value,
            right: right.value,
            difference,
            sd,
            beyond_uncertainty: difference.abs() > BEYOND * sd,
            grade: Grade::of(left.value, right.value, sd, usual(left.id.key)),
        }
    }

    /// What that side is more of, in words: `larger`, or `farther forward` for a place.
    #[must_use]
    pub fn more(&self) -> &'static str {
        match self.key.definition().mode {
            Mode::Offset => "farther forward",
            _ => "larger",
        }
    }

    /// The larger side.
    #[must_use]
    pub fn larger(&self) -> Side {
        if self.difference > 0.0 {
            Side::Left
        } else {
            Side::Right
        }
    }
}

/// Left against right for every paired measure that has both values, in the order given.
#[must_use]
pub fn side_differences<'m>(
    measures: impl Iterator<Item = &'m Measure> + Clone,
) -> Vec<SideDifference> {
    measures
        .clone()
        .filter(|left| left.id.side == Some(Side::Left))
        .filter_map(|left| {
            let right = measures
                .clone()
                .find(|m| m.id.key == left.id.key && m.id.side == Some(Side::Right))?;
            Some(SideDifference::between(left, right))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{MeasureId, Source, Spread, Unit};

    fn half(side: Side, value: f64) -> Measure {
        Measure {
            id: MeasureId::new(Key::HipHalfGirth, side),
            value,
            unit: Unit::Mm,
            spread: Spread::of([(Cause::Midline, 3.0), (Cause::Noise, 1.0)]),
            source: Source::Scan,
            level_mm: None,
        }
    }

    /// 300 mm and 3 %: 9 mm are usual, and 1.96 standard deviations of 2 mm more may still be.
    #[test]
    fn grades() {
        let of = |apart: f64| {
            Grade::of(
                300.0 + apart / 2.0,
                300.0 - apart / 2.0,
                2.0,
                Some(usual::LIMB_GIRTH),
            )
        };
        assert_eq!(of(3.9), Grade::Within);
        assert_eq!(of(-4.0), Grade::Usual);
        assert_eq!(of(12.9), Grade::Usual);
        assert_eq!(of(13.0), Grade::Larger);
        assert_eq!(Grade::of(500.0, 400.0, 2.0, None), Grade::Unsurveyed);
        assert_eq!(
            Grade::of(500.0, 400.0, 2.0, Some(usual::BREAST_VOLUME)),
            Grade::Unsurveyed
        );
        assert_eq!(Grade::of(f64::NAN, 1.0, 2.0, None), Grade::Within);
    }

    /// A plane 3 mm off shifts both halves against each other by 6; noise adds in squares: √(36 + 2).
    #[test]
    fn the_midline_counts_twice() {
        let found = SideDifference::between(&half(Side::Left, 512.0), &half(Side::Right, 500.0));
        assert!((found.sd - 38.0_f64.sqrt()).abs() < 1e-12);
        assert!((found.difference - 12.0).abs() < 1e-12);
        assert!(!found.beyond_uncertainty);
        assert_eq!(found.larger(), Side::Left);
    }

    /// A base that moves one side by 40 and the other by 55 moves the difference by 15; noise adds in squares.
    #[test]
    fn a_shared_base_counts_by_its_difference() {
        let volume = |side, value, base| Measure {
            id: MeasureId::new(Key::BustVolume, side),
            unit: Unit::Millilitre,
            spread: Spread::of([(Cause::Base, base), (Cause::Noise, 2.0)]),
            ..half(side, value)
        };
        let (left, right) = (
            volume(Side::Left, 400.0, 40.0),
            volume(Side::Right, 450.0, 55.0),
        );
        let found = SideDifference::between(&left, &right);
        assert!((found.sd - 233.0_f64.sqrt()).abs() < 1e-12);
        assert!(found.beyond_uncertainty);
    }
}
