//! One pair of scan and tape: distance, expected spread, and the level the tape's value belongs to.

use super::{AGREE, Check, Common, Repeats, Verdict, reason};
use crate::length::Length;
use crate::measure::curve::{CurvePart, GirthCurve};
use crate::measure::{Cause, Key, Measure, MeasureId, MeasureSet, Spread, Tilted, Unit};
use crate::tape::repeat::count;
use crate::tape::{TapeSet, TapeValue};
use std::collections::BTreeMap;

/// No tape and no scan is better than this; keeps a spread of zero out of a divisor.
const LEAST_SPREAD_MM: f64 = 1e-3;

/// How far from its level a tape may plausibly lie. Half the way from waist
/// to hip or from bust to waist of a tall body (common practice, no source).
const TRUNK_REACH_MM: f64 = 80.0;
/// The same for a leg, where kneecap and calf are easier to find.
const LEG_REACH_MM: f64 = 60.0;

/// Window of the slope: the width of a tape each way.
const SLOPE_REACH_MM: f64 = 15.0;

/// A measure that both sides have.
pub(crate) struct Pair<'a> {
    pub(crate) scan: &'a MeasureSet,
    pub(crate) tape: &'a TapeSet,
    pub(crate) measure: &'a Measure,
    pub(crate) value: &'a TapeValue,
    pub(crate) spread: Spread,
}

/// The level of a measure on its girth curve, and how far from it a tape may plausibly lie.
pub(crate) struct About<'a> {
    pub(crate) level: Length,
    pub(crate) reach: f64,
    pub(crate) curve: &'a GirthCurve,
}

/// Where the scan reads the tape's value.
pub(crate) struct TapeHeight {
    pub(crate) at: Length,
    /// Standard uncertainty of `at`: the spread of the difference over the slope.
    pub(crate) give: Length,
}

/// Every measure that both sides have, in catalogue order.
pub(crate) fn pairs<'a>(scan: &'a MeasureSet, tape: &'a TapeSet) -> Vec<Pair<'a>> {
    tape.values
        .iter()
        .filter_map(|value| {
            let measure = scan.get(value.id)?;
            (measure.unit == Unit::Mm).then(|| Pair {
                scan,
                tape,
                measure,
                value,
                spread: joined(
                    &measure.spread,
                    1.0,
                    &of_one_hand(value),
                    growth(measure, value),
                ),
            })
        })
        .collect()
}

/// The tape's spread as if its readings went together.
///
/// Two readings that lie far apart widen their mean's spread so much that it
/// would agree with any scan; here the question is whether one is a slip.
fn of_one_hand(value: &TapeValue) -> Spread {
    let n = value.readings.len();
    let of_mean = value.tem.mm() / count(n.max(1)).sqrt();
    Spread::of(value.spread.parts.iter().map(|part| {
        let sd = match part.cause {
            Cause::Tape if n == 2 => part.sd.min(of_mean),
            _ => part.sd,
        };
        (part.cause, sd)
    }))
}

/// What brings the tape's spread to the size of the scan.
///
/// The error of a tape grows with the girth. A reading that is wrong by a
/// whole unit would carry its own spread along, so it is taken as if the scan were right.
fn growth(measure: &Measure, value: &TapeValue) -> f64 {
    let (scan, tape) = (measure.value, value.value.mm());
    if measure.id.key.definition().is_girth() && scan > 0.0 && tape > 0.0 {
        scan / tape
    } else {
        1.0
    }
}

/// Spread of a weighted sum of two independent values, parts of one cause joined.
pub(crate) fn joined(a: &Spread, weight_a: f64, b: &Spread, weight_b: f64) -> Spread {
    let mut squares: BTreeMap<Cause, f64> = BTreeMap::new();
    for (spread, weight) in [(a, weight_a), (b, weight_b)] {
        for part in &spread.parts {
            *squares.entry(part.cause).or_default() += (weight * part.sd).powi(2);
        }
    }
    Spread::of(squares.into_iter().map(|(cause, sq)| (cause, sq.sqrt())))
}

impl Pair<'_> {
    pub(crate) fn id(&self) -> MeasureId {
        self.measure.id
    }

    pub(crate) fn scan_mm(&self) -> f64 {
        self.measure.value
    }

    pub(crate) fn tape_mm(&self) -> f64 {
        self.value.value.mm()
    }

    pub(crate) fn sd_mm(&self) -> f64 {
        self.spread.sd.max(LEAST_SPREAD_MM)
    }

    /// Distance of a tape value from the scan, in expected spreads.
    pub(crate) fn z_of(&self, tape_mm: f64) -> f64 {
        (tape_mm - self.scan_mm()) / self.sd_mm()
    }

    pub(crate) fn z(&self) -> f64 {
        self.z_of(self.tape_mm())
    }

    /// True if their distance asks for a reason.
    pub(crate) fn is_doubtful(&self) -> bool {
        self.z().abs() > AGREE
    }

    /// The check of one of a sheet's pairs, with what the scan has of tapes out of level.
    pub(crate) fn check(
        &self,
        sheet: &[Pair<'_>],
        common: Option<&Common>,
        tilts: &[Tilted],
    ) -> Check {
        let z = self.z();
        let height = self.tape_height(|_| true);
        let reasons = if self.is_doubtful() {
            reason::reasons(self, sheet, common, tilts)
        } else {
            Vec::new()
        };
        Check {
            id: self.id(),
            scan_mm: Length::from_mm(self.scan_mm()),
            tape_mm: self.value.value,
            difference_mm: Length::from_mm(self.tape_mm() - self.scan_mm()),
            spread: self.spread.clone(),
            z,
            verdict: Verdict::of(z),
            tape_height_mm: height.map(|height| height.at),
            repeats: Repeats::of_value(self.value),
            reasons,
        }
    }

    /// Where on the scan's curve the tape may plausibly have lain.
    pub(crate) fn about_level(&self) -> Option<About<'_>> {
        Some(About {
            level: self.measure.level_mm?,
            reach: match part_of(self.id())? {
                CurvePart::Trunk => TRUNK_REACH_MM,
                CurvePart::Leg(_) => LEG_REACH_MM,
            },
            curve: curve_of(self.scan, self.id())?,
        })
    }

    /// The height nearest to the level at which the scan's curve reads the tape's value, of those that
    /// count.
    ///
    /// `None` if there is none within reach, or if the curve is so flat there
    /// that the height cannot be told better than the reach.
    pub(crate) fn tape_height(&self, counts: impl Fn(Length) -> bool) -> Option<TapeHeight> {
        let About {
            level,
            reach,
            curve,
        } = self.about_level()?;
        let away = |height: Length| (height - level).abs().mm();
        let at = curve
            .heights_reading(self.value.value)
            .into_iter()
            .filter(|&height| away(height) <= reach && counts(height))
            .min_by(|&a, &b| away(a).total_cmp(&away(b)))?;
        let slope = curve.slope_at(at, Length::from_mm(SLOPE_REACH_MM))?;
        let give = self.sd_mm() / slope.abs();
        (give <= reach).then(|| TapeHeight {
            at,
            give: Length::from_mm(give),
        })
    }
}

/// The scan's curve that holds a level girth.
pub(crate) fn curve_of(scan: &MeasureSet, id: MeasureId) -> Option<&GirthCurve> {
    scan.curve(part_of(id)?)
}

/// The part of the body whose curve holds a level girth.
fn part_of(id: MeasureId) -> Option<CurvePart> {
    match id.key {
        Key::BustGirth
        | Key::UnderBustGirth
        | Key::WaistNarrowestGirth
        | Key::WaistMidwayGirth
        | Key::NavelGirth
        | Key::BellyGirth
        | Key::HighHipGirth
        | Key::HipGirth => Some(CurvePart::Trunk),
        Key::ThighGirth
        | Key::MidThighGirth
        | Key::KneeGirth
        | Key::LowerKneeGirth
        | Key::CalfGirth
        | Key::AnkleGirth => id.side.map(CurvePart::Leg),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 3-4-5 by hand, and weights square: 0.5·6 = 3, 2·2 = 4.
    #[test]
    fn spreads_join_cause_by_cause() {
        let a = Spread::of([(Cause::Level, 3.0)]);
        let b = Spread::of([(Cause::Level, 4.0), (Cause::Tape, 12.0)]);
        let both = joined(&a, 1.0, &b, 1.0);
        assert_eq!(both.parts.len(), 2);
        assert!((both.sd - 13.0).abs() < 1e-12);
        let c = Spread::of([(Cause::Level, 6.0)]);
        let d = Spread::of([(Cause::Hand, 2.0)]);
        assert!((joined(&c, 0.5, &d, 2.0).sd - 5.0).abs() < 1e-12);
    }
}
