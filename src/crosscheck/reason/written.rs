//! Slips on the sheet: another unit, wrong digits, a whole mark, the tape begun at 1.

use super::{Reason, Why, gained, reason};
use crate::crosscheck::compare::Pair;
use crate::crosscheck::edit::Slip;
use crate::length::{Length, LengthUnit};
use crate::tape::Reading;
use crate::tape::repeat::count;

const COST_UNIT: f64 = 1.0;
const COST_DIGITS: f64 = 2.0;
const COST_STEP: f64 = 2.5;

const INCH_MM: f64 = LengthUnit::Inch.in_mm();

/// Every slip of this kind for every reading of a pair.
pub(super) fn reasons(pair: &Pair<'_>, sheet: &[Pair<'_>]) -> Vec<Reason> {
    let mut found = all_in_other_unit(pair);
    for (index, reading) in pair.value.readings.iter().enumerate() {
        found.extend(other_unit(pair, index, reading));
        found.extend(digits(pair, index, reading));
        found.extend(whole_step(pair, index, reading));
        found.extend(started_at_one(pair, sheet, index, reading));
    }
    found
}

/// The value the tape would have if one reading were `length`, and what that leaves.
fn without_slip(pair: &Pair<'_>, index: usize, length: Length) -> (Length, f64) {
    let value = pair.value.value_with(index, length);
    (value, pair.z_of(value.mm()).abs())
}

fn other_unit(pair: &Pair<'_>, index: usize, reading: &Reading) -> Vec<Reason> {
    in_other_units(reading)
        .map(|(meant, length)| {
            let (tape, left_over) = without_slip(pair, index, length);
            reason(unit_why(reading, meant), tape, left_over, COST_UNIT)
        })
        .collect()
}

/// Several readings, all written in the same wrong unit.
fn all_in_other_unit(pair: &Pair<'_>) -> Vec<Reason> {
    let [first, rest @ ..] = pair.value.readings.as_slice() else {
        return Vec::new();
    };
    if rest.is_empty() || rest.iter().any(|r| r.unit != first.unit) {
        return Vec::new();
    }
    in_other_units(first)
        .map(|(meant, _)| {
            let factor = meant.in_mm() / first.unit.in_mm();
            let tape = pair.value.value * factor;
            let left_over = pair.z_of(tape.mm()).abs();
            reason(unit_why(first, meant), tape, left_over, COST_UNIT)
        })
        .collect()
}

fn in_other_units(reading: &Reading) -> impl Iterator<Item = (LengthUnit, Length)> + '_ {
    let number = reading.length.mm() / reading.unit.in_mm();
    LengthUnit::ALL
        .into_iter()
        .filter(|&unit| unit != reading.unit)
        .map(move |unit| (unit, unit.length(number)))
}

fn unit_why(reading: &Reading, meant: LengthUnit) -> Why {
    Why::OtherUnit {
        row: reading.row,
        written: reading.text.clone(),
        taken: reading.unit,
        meant,
    }
}

/// The best fit of each kind of slip of the pen: the kinds that this text allows have their share of
/// the likelihood beforehand, and so has each text of a kind.
fn digits(pair: &Pair<'_>, index: usize, reading: &Reading) -> Vec<Reason> {
    let tried: Vec<Vec<(String, Length)>> = Slip::ALL
        .into_iter()
        .map(|slip| slip.undone(reading))
        .filter(|texts| !texts.is_empty())
        .collect();
    let kinds = count(tried.len());
    tried
        .into_iter()
        .filter_map(|texts| {
            let cost = COST_DIGITS + (kinds * count(texts.len())).ln();
            texts
                .into_iter()
                .map(|(meant, length)| {
                    let (tape, left_over) = without_slip(pair, index, length);
                    let why = Why::Digits {
                        row: reading.row,
                        written: reading.text.clone(),
                        meant,
                    };
                    reason(why, tape, left_over, cost)
                })
                .min_by(|a, b| a.rank.total_cmp(&b.rank))
        })
        .collect()
}

/// A whole inch too little, or one or ten centimetres either way: the marks that carry numbers.
fn whole_step(pair: &Pair<'_>, index: usize, reading: &Reading) -> Vec<Reason> {
    let steps: &[f64] = match reading.unit {
        LengthUnit::Inch => &[-INCH_MM],
        _ => &[-100.0, -10.0, 10.0, 100.0],
    };
    let cost = COST_STEP + steps_tried(reading.unit).ln();
    steps
        .iter()
        .map(|&step| {
            let over_mm = Length::from_mm(step);
            let (tape, left_over) = without_slip(pair, index, reading.length - over_mm);
            let why = Why::WholeStep {
                row: reading.row,
                written: reading.text.clone(),
                over_mm,
            };
            reason(why, tape, left_over, cost)
        })
        .collect()
}

/// Steps tried in a unit, both ways and [`started_at_one`] included.
const fn steps_tried(unit: LengthUnit) -> f64 {
    match unit {
        LengthUnit::Inch => 2.0,
        _ => 4.0,
    }
}

/// A whole inch too much. Who begins at the 1 mark does so at every reading,
/// so what the others of the sheet gain by the same inch speaks for or
/// against it.
fn started_at_one(
    pair: &Pair<'_>,
    sheet: &[Pair<'_>],
    index: usize,
    reading: &Reading,
) -> Option<Reason> {
    if reading.unit != LengthUnit::Inch {
        return None;
    }
    let inch = Length::from_mm(INCH_MM);
    let others: Vec<(f64, f64)> = sheet
        .iter()
        .filter(|other| other.id() != pair.id() && all_inches(other))
        .map(|other| (other.z(), other.z_of(other.tape_mm() - INCH_MM)))
        .collect();
    let all_alike = gained(others.iter().copied()).max(0.0);
    let cost = COST_STEP + steps_tried(reading.unit).ln() - all_alike;
    let (tape, left_over) = without_slip(pair, index, reading.length - inch);
    let why = Why::StartedAtOne {
        row: reading.row,
        written: reading.text.clone(),
        alike: others
            .iter()
            .filter(|(before, after)| after.abs() < before.abs())
            .count(),
        of: others.len(),
    };
    Some(reason(why, tape, left_over, cost))
}

fn all_inches(pair: &Pair<'_>) -> bool {
    let readings = &pair.value.readings;
    readings.iter().all(|r| r.unit == LengthUnit::Inch)
}
