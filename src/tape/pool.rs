//! From single readings to one value a measure, with an uncertainty.
//!
//! The model is Kouchi's: reading = true value + bias of the measurer +
//! random error. Repeats show only the random part (the technical error,
//! TEM); the measurer's bias, how tight and at what spot this hand lays the
//! tape, stays in the mean however often one measures. Both are carried.

use super::repeat::{LIMIT_OF_TWO, apart, centre, count, median, squares_within};
use super::{Reading, TapeSet, TapeSheet, TapeValue, TemSource};
use crate::finding::Finding;
use crate::length::Length;
use crate::measure::catalogue::{ErrorClass, Mode};
use crate::measure::{Cause, Key, MeasureId, Spread};
use std::collections::BTreeMap;

/// How much worse a person who measures alone is taken to be than a trained
/// measurer. An assumption: no study of the size of this factor was found.
const SELF_FACTOR: f64 = 1.5;

/// Trained, same hand, girths: TEM as a share of the girth. Accreditation
/// limit for one measurer, 1.0 % (from memory). With [`SELF_FACTOR`] 1.5 %;
/// beside it stand 1.4 % for the waist by one observer (Nordhamn 2000, read)
/// and below 10 mm (Gómez-Cabello 2012, read).
const GIRTH_TEM: f64 = 0.010;
/// Between hands, girths: 1.75 % is the middle of the accreditation range
/// 1.5 to 2.0 % (from memory); less the 1.0 % of one hand: √(1.75² − 1²) %.
const GIRTH_HAND: f64 = 0.0144;
/// Least TEM of any reading: a sixteenth of an inch, half the finest mark people read.
const LEAST_TEM_MM: f64 = 25.4 / 16.0;
/// Trained, same hand, stature: below 2.5 mm (Gómez-Cabello 2012, read).
const HEIGHT_TEM_MM: f64 = 2.5;
/// Between hands: stature 6.1, knee height 7.5 mm (same, read), less the same hand's 2.5.
const STATURE_HAND_MM: f64 = 5.6;
const HEIGHT_HAND_MM: f64 = 7.1;
/// Lengths over the body from point to point. Allowable differences of two
/// readings of a large survey, 3 to 5 mm (from memory, not verified), give 1
/// to 2 mm for experts who mark the points first; 3 mm without marks is assumed.
const LENGTH_TEM_MM: f64 = 3.0;
/// As large as the 5 mm that ISO 20685-1 grants segment lengths (secondary reading).
const LENGTH_HAND_MM: f64 = 5.0;
/// Quiet breath moves a trunk girth; a full breath from rest 30 to 70 mm
/// (from memory, not verified). A quiet one is taken as a tenth of that, 0.5 % of the girth.
const BREATH_SHARE: f64 = 0.005;

/// Degrees of freedom the expected TEM is worth against a sheet's own
/// repeats: four repeated pairs weigh as much as the expectation.
const PRIOR_FREEDOM: f64 = 4.0;

/// One group of repeats counts at most as if its error were this many times
/// the expected one, so that a single slip cannot excuse all other readings.
const GROUP_CAP: f64 = 2.0;

/// What a single reading of a measure is expected to err by, in mm.
struct Expected {
    tem: f64,
    hand: f64,
    breath: f64,
}

fn expected(key: Key, value_mm: f64) -> Expected {
    let row = key.definition();
    let trained_tem = match (row.mode, row.is_girth()) {
        (_, true) => GIRTH_TEM * value_mm,
        (Mode::Height, _) => HEIGHT_TEM_MM,
        _ => LENGTH_TEM_MM,
    };
    let hand = match (row.mode, row.is_girth()) {
        (_, true) => GIRTH_HAND * value_mm,
        (Mode::Height, _) if key == Key::Stature => STATURE_HAND_MM,
        (Mode::Height, _) => HEIGHT_HAND_MM,
        _ => LENGTH_HAND_MM,
    };
    Expected {
        tem: (SELF_FACTOR * trained_tem).max(LEAST_TEM_MM),
        hand,
        breath: breath(key, value_mm),
    }
}

/// What a quiet breath does to a measure from one taking to the next, in mm: it moves girths of the trunk.
pub(crate) fn breath(key: Key, value_mm: f64) -> f64 {
    let row = key.definition();
    if row.class == ErrorClass::LargeGirth && !row.paired {
        BREATH_SHARE * value_mm
    } else {
        0.0
    }
}

/// Joins the readings of each measure.
///
/// The TEM of a measure is its expected TEM times a factor f found from all
/// repeats of the sheet: f² = (ν₀ + Σ SSᵢ/TEMᵢ²) / (ν₀ + Σ νᵢ), the mean of a
/// scaled inverse-χ² belief with ν₀ = 4, where SSᵢ is the sum of squares
/// within measure i and νᵢ its readings less one. Without repeats f = 1.
///
/// Where two readings lie further apart than 2.77 TEM a finding asks for a
/// third, and the uncertainty is that of the readings themselves.
///
/// Angles and surface measures cannot stand in a [`TapeSheet`] that was read by [`super::read_tape`].
#[must_use]
pub fn pool(sheet: &TapeSheet) -> TapeSet {
    let mut groups: BTreeMap<MeasureId, Vec<Reading>> = BTreeMap::new();
    for reading in &sheet.readings {
        groups.entry(reading.id).or_default().push(reading.clone());
    }
    let (factor, tem_source) = hand_factor(&groups);
    let mut findings = sheet.findings.clone();
    let values = groups
        .into_iter()
        .map(|(id, readings)| {
            let value = join(id, readings, factor, tem_source);
            findings.extend(remark_on_repeats(&value));
            value
        })
        .collect();
    TapeSet { values, findings }
}

fn lengths(readings: &[Reading]) -> Vec<f64> {
    readings.iter().map(|r| r.length.mm()).collect()
}

/// How this hand's repeats compare with the expectation.
fn hand_factor(groups: &BTreeMap<MeasureId, Vec<Reading>>) -> (f64, TemSource) {
    let (mut ratio, mut freedom) = (0.0, 0);
    for (id, readings) in groups.iter().filter(|(_, readings)| readings.len() > 1) {
        let lengths = lengths(readings);
        let tem = expected(id.key, median(&lengths)).tem;
        let own = readings.len() - 1;
        ratio += (squares_within(&lengths) / (tem * tem)).min(GROUP_CAP * GROUP_CAP * count(own));
        freedom += own;
    }
    if freedom == 0 {
        return (1.0, TemSource::Expected);
    }
    let square = (PRIOR_FREEDOM + ratio) / (PRIOR_FREEDOM + count(freedom));
    (square.sqrt(), TemSource::Repeats { freedom })
}

fn join(id: MeasureId, readings: Vec<Reading>, factor: f64, tem_source: TemSource) -> TapeValue {
    let lengths = lengths(&readings);
    let expected_here = expected(id.key, median(&lengths));
    let tem = expected_here.tem * factor;
    let value = centre(&lengths, tem);
    let of_mean = tem.max(own_error(&lengths, tem)) / count(lengths.len()).sqrt();
    TapeValue {
        id,
        value: Length::from_mm(value),
        tem: Length::from_mm(tem),
        tem_source,
        spread: Spread::of([
            (Cause::Tape, of_mean),
            (Cause::Hand, expected_here.hand),
            (Cause::Breath, expected_here.breath),
        ]),
        readings,
    }
}

/// Error of one reading as these readings alone show it, where they lie apart; else 0.
///
/// Of two: their standard deviation. Of more: 1.4826 times the median
/// distance from the median, times √(π/2) for the lesser efficiency of a
/// median (both exact for a normal spread), so that a slip set aside does not widen it.
fn own_error(lengths: &[f64], tem: f64) -> f64 {
    if !apart(lengths, tem) {
        return 0.0;
    }
    if lengths.len() == 2 {
        return squares_within(lengths).sqrt();
    }
    let middle = median(lengths);
    let distances: Vec<f64> = lengths.iter().map(|l| (l - middle).abs()).collect();
    let robust = 1.4826 * median(&distances);
    robust.max(tem) * std::f64::consts::FRAC_PI_2.sqrt()
}

fn remark_on_repeats(value: &TapeValue) -> Option<Finding> {
    let lengths = lengths(&value.readings);
    if !apart(&lengths, value.tem.mm()) {
        return None;
    }
    let written: Vec<String> = value
        .readings
        .iter()
        .map(|r| format!("\"{}\" (row {})", r.text, r.row))
        .collect();
    let written = written.join(", ");
    let topic = value.id.to_string();
    let over = format!(
        "{written} differ by more than {LIMIT_OF_TWO:.2} times the error one hand is expected to make"
    );
    Some(if lengths.len() == 2 {
        Finding::act(
            topic,
            format!("{over}. Take a third reading and add it as a row of its own."),
        )
    } else {
        Finding::look(
            topic,
            format!("{over}. Their median is used, so that one slip does not count."),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::LengthUnit;

    fn reading(key: Key, row: u64, mm: f64) -> Reading {
        Reading {
            id: key.into(),
            length: Length::from_mm(mm),
            text: format!("{mm} mm"),
            unit: LengthUnit::Millimetre,
            row,
            repeat: None,
            note: String::new(),
        }
    }

    fn pooled(readings: Vec<Reading>) -> TapeSet {
        pool(&TapeSheet {
            readings,
            ..TapeSheet::default()
        })
    }

    fn part(value: &TapeValue, cause: Cause) -> f64 {
        value.spread.part(cause)
    }

    #[test]
    fn a_single_reading_has_the_expected_error() {
        let set = pooled(vec![reading(Key::HipGirth, 1, 1000.0)]);
        let hip = set.get(Key::HipGirth).unwrap();
        assert_eq!(hip.tem_source, TemSource::Expected);
        assert!((hip.tem.mm() - 15.0).abs() < 1e-9);
        assert!((part(hip, Cause::Hand) - 14.4).abs() < 1e-9);
        assert!((part(hip, Cause::Breath) - 5.0).abs() < 1e-9);
    }

    /// By hand: SS = 8²/2 = 32, TEM 15.06 (girth 1004), ratio 0.1411;
    /// f² = (4 + 0.1411) / 5.
    #[test]
    fn good_repeats_narrow_the_error_and_only_the_random_part() {
        let set = pooled(vec![
            reading(Key::HipGirth, 1, 1000.0),
            reading(Key::HipGirth, 2, 1008.0),
        ]);
        let hip = set.get(Key::HipGirth).unwrap();
        let tem = 15.06 * ((4.0 + 32.0 / (15.06 * 15.06)) / 5.0_f64).sqrt();
        assert!((hip.tem.mm() - tem).abs() < 1e-9);
        assert_eq!(hip.tem_source, TemSource::Repeats { freedom: 1 });
        assert!((part(hip, Cause::Tape) - tem / 2.0_f64.sqrt()).abs() < 1e-9);
        assert!((part(hip, Cause::Hand) - 0.0144 * 1004.0).abs() < 1e-9);
        assert!(set.findings.is_empty());
    }

    #[test]
    fn one_slip_asks_for_a_third_and_does_not_excuse_the_rest() {
        let mut rows = vec![
            reading(Key::HipGirth, 1, 1000.0),
            reading(Key::HipGirth, 2, 1300.0),
            reading(Key::BustGirth, 3, 900.0),
        ];
        let set = pooled(rows.clone());
        assert_eq!(set.findings.len(), 1);
        assert!(set.findings[0].text.contains("Take a third reading"));
        assert!(set.findings[0].text.contains("\"1300 mm\" (row 2)"));
        let hip = set.get(Key::HipGirth).unwrap();
        // The two readings' own standard deviation, 300/√2, over √2.
        assert!((part(hip, Cause::Tape) - 150.0).abs() < 1e-9);
        // f² is at most (4 + 4)/5 by the cap.
        let bust = set.get(Key::BustGirth).unwrap();
        assert!((bust.tem.mm() - 13.5 * 1.6_f64.sqrt()).abs() < 1e-9);

        rows.push(reading(Key::HipGirth, 4, 1004.0));
        let set = pooled(rows);
        let hip = set.get(Key::HipGirth).unwrap();
        assert!((hip.value.mm() - 1004.0).abs() < 1e-9);
        assert!(part(hip, Cause::Tape) < 20.0);
        assert!(set.findings[0].text.contains("median"));
    }

    #[test]
    fn values_come_in_catalogue_order() {
        let set = pooled(vec![
            reading(Key::HipGirth, 1, 1000.0),
            reading(Key::Stature, 2, 1700.0),
            reading(Key::BustGirth, 3, 900.0),
        ]);
        let keys: Vec<Key> = set.values.iter().map(|v| v.id.key).collect();
        assert_eq!(keys, [Key::Stature, Key::BustGirth, Key::HipGirth]);
    }
}
