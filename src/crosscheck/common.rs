//! What all girths share: how large it is, and whether heights and lengths show it too.

use super::Verdict;
use super::compare::Pair;
use crate::length::Length;
use crate::length::LengthUnit;
use crate::measure::{Definition, Mode, Unit};
use explain::Facts;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod explain;

pub use explain::{Evidence, Explanation, Shared, Sign, Support};

/// Fewest girths from which a common shift is estimated: with three, two
/// slips would already be the median.
const LEAST_PAIRS: usize = 4;

/// A shift counts from this many standard deviations on.
const CLEAR: f64 = 2.0;

/// A shift of all tape readings against the scan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Shift {
    /// The tape reads so many times the scan.
    Factor {
        /// Tape over scan.
        factor: f64,
        /// Its standard uncertainty.
        sd: f64,
    },
    /// The tape reads so much more than the scan.
    Offset {
        /// Tape minus scan.
        offset_mm: Length,
        /// Its standard uncertainty.
        sd_mm: Length,
    },
}

/// A shift shared by the girths of a sheet.
///
/// Estimated by weighted medians, so that a few readings may be slips; as
/// factor or offset, whichever leaves the smaller distances. Called shared
/// only if more than half of the girths agree with the scan once it is taken
/// out, and no fewer than before.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Common {
    /// How large.
    pub shift: Shift,
    /// Girths it was estimated from.
    pub pairs: usize,
    /// True if the heights show it too, false if they do not; absent if they cannot tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heights_too: Option<bool>,
    /// The same for lengths over the body, such as the back from neck to waist.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lengths_too: Option<bool>,
    /// What may have caused it, each graded with its evidence: first what something speaks
    /// for, then what is open, then what something speaks against.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub explanations: Vec<Explanation>,
}

impl Common {
    /// A tape value with the shift taken out.
    #[must_use]
    pub fn corrected(&self, tape: Length) -> Length {
        match self.shift {
            Shift::Factor { factor, .. } => tape / factor,
            Shift::Offset { offset_mm, .. } => tape - offset_mm,
        }
    }

    /// What explains the shift best and is not ruled out, in the order of [`Self::explanations`].
    pub fn likely(&self) -> impl Iterator<Item = &Explanation> {
        self.explanations
            .iter()
            .filter(|explanation| explanation.support == Support::For)
    }
}

/// A value with its weight 1/sd².
struct Weighed {
    value: f64,
    weight: f64,
}

/// The shift that the girths share, if there are enough and it is clear.
pub(crate) fn estimate(pairs: &[Pair<'_>]) -> Option<Common> {
    let girths: Vec<&Pair<'_>> = pairs
        .iter()
        .filter(|pair| pair.id().key.definition().is_girth() && has_ratio(pair))
        .collect();
    if girths.len() < LEAST_PAIRS {
        return None;
    }
    let (log_factor, log_sd) = log_ratio(&girths)?;
    let differences: Vec<Weighed> = girths
        .iter()
        .map(|pair| Weighed {
            value: pair.tape_mm() - pair.scan_mm(),
            weight: pair.sd_mm().powi(-2),
        })
        .collect();
    let (offset, offset_sd) = weighted_median(differences)?;
    let factor = log_factor.exp();
    let left = |corrected: &dyn Fn(f64) -> f64| -> f64 {
        girths
            .iter()
            .map(|pair| pair.z_of(corrected(pair.tape_mm())).abs())
            .sum()
    };
    let by_factor = left(&|tape| tape / factor);
    let by_offset = left(&|tape| tape - offset);
    let (shift, clear) = if by_factor <= by_offset {
        let sd = factor * log_sd;
        let clear = log_factor.abs() > CLEAR * log_sd;
        (Shift::Factor { factor, sd }, clear)
    } else {
        let offset_mm = Length::from_mm(offset);
        let sd_mm = Length::from_mm(offset_sd);
        let clear = offset.abs() > CLEAR * offset_sd;
        (Shift::Offset { offset_mm, sd_mm }, clear)
    };
    let heights_too = follow(pairs, log_factor, |row| row.mode == Mode::Height);
    let lengths_too = follow(pairs, log_factor, is_length);
    let explanations = explain::explanations(&Facts {
        shift,
        log_factor,
        log_sd,
        // Which form fits is told apart from one expected spread on.
        form_is_clear: (by_factor - by_offset).abs() > 1.0,
        heights_too,
        lengths_too,
        in_inches: girths.iter().all(|pair| all_in_inches(pair)),
    });
    let common = Common {
        shift,
        pairs: girths.len(),
        heights_too,
        lengths_too,
        explanations,
    };
    (clear && is_shared(&girths, &common)).then_some(common)
}

fn is_shared(girths: &[&Pair<'_>], common: &Common) -> bool {
    let agree = |z: &dyn Fn(&Pair<'_>) -> f64| {
        girths
            .iter()
            .filter(|pair| Verdict::of(z(pair)) == Verdict::Agrees)
            .count()
    };
    let before = agree(&|pair| pair.z());
    let after = agree(&|pair| pair.z_of(common.corrected(pair.value.value).mm()));
    2 * after > girths.len() && after >= before
}

/// A length over the body, taken by tape from point to point.
fn is_length(row: &Definition) -> bool {
    let by_tape = matches!(row.mode, Mode::TautPath | Mode::Surface);
    by_tape && row.unit() == Unit::Mm && !row.is_girth()
}

fn all_in_inches(pair: &Pair<'_>) -> bool {
    let readings = &pair.value.readings;
    readings.iter().all(|r| r.unit == LengthUnit::Inch)
}

/// Whether other measures follow the girths' factor; `None` if their own is too uncertain to tell.
fn follow(pairs: &[Pair<'_>], log_factor: f64, which: fn(&Definition) -> bool) -> Option<bool> {
    let others: Vec<&Pair<'_>> = pairs
        .iter()
        .filter(|pair| which(pair.id().key.definition()) && has_ratio(pair))
        .collect();
    let (log_other, sd) = log_ratio(&others)?;
    let (from_same, from_none) = ((log_other - log_factor).abs(), log_other.abs());
    // Told apart if "same factor" and "none" lie four standard deviations from
    // each other, and these go with one of them: a slip goes with neither.
    let apart = log_factor.abs() > 2.0 * CLEAR * sd;
    (apart && from_same.min(from_none) <= CLEAR * sd).then_some(from_same < from_none)
}

fn has_ratio(pair: &Pair<'_>) -> bool {
    pair.tape_mm() > 0.0 && pair.scan_mm() > 0.0
}

fn log_ratio(pairs: &[&Pair<'_>]) -> Option<(f64, f64)> {
    let ratios = pairs
        .iter()
        .map(|pair| Weighed {
            value: (pair.tape_mm() / pair.scan_mm()).ln(),
            weight: (pair.scan_mm() / pair.sd_mm()).powi(2),
        })
        .collect();
    weighted_median(ratios)
}

/// Weighted median and its standard uncertainty √(π/2 / Σw), that of the median of a normal spread.
fn weighted_median(mut values: Vec<Weighed>) -> Option<(f64, f64)> {
    values.sort_by(|a, b| a.value.total_cmp(&b.value));
    let total: f64 = values.iter().map(|v| v.weight).sum();
    let mut below = 0.0;
    let median = values.iter().find_map(|v| {
        below += v.weight;
        (2.0 * below >= total).then_some(v.value)
    })?;
    Some((median, (std::f64::consts::FRAC_PI_2 / total).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weighted_median_by_hand() {
        let of = |values: &[(f64, f64)]| {
            let values = values
                .iter()
                .map(|&(value, weight)| Weighed { value, weight })
                .collect();
            weighted_median(values)
        };
        let (median, sd) = of(&[(9.0, 1.0), (1.0, 1.0), (2.0, 1.0)]).unwrap();
        assert!((median - 2.0).abs() < 1e-12);
        assert!((sd - (std::f64::consts::PI / 6.0).sqrt()).abs() < 1e-12);
        let (median, _) = of(&[(9.0, 5.0), (1.0, 1.0), (2.0, 1.0)]).unwrap();
        assert!((median - 9.0).abs() < 1e-12);
        assert!(of(&[]).is_none());
    }
}
