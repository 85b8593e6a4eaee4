//! From scan and tape to the value to work with.

use super::compare::joined;
use super::{Check, CrossCheck, MergeOptions, Prefer, Verdict};
use crate::measure::{Cause, Measure, MeasureId, MeasureSet, Source, Spread, Unit};
use crate::tape::{TapeSet, TapeValue};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A value with its standard deviation, as one side handed it in, in the unit of its measure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Input {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    #[schemars(range(min = 0))]
    pub sd: f64,
    /// True if it was measured on the scan at a landmark put by hand.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub pinned: bool,
}

/// A measure of the profile: the value taken, and both inputs it may come from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Entry {
    /// The value to work with.
    #[serde(flatten)]
    pub measure: Measure,
    /// What the scan says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scan: Option<Input>,
    /// What a second scan of the same body says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second: Option<Input>,
    /// What the tape says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tape: Option<Input>,
    /// How the value was chosen when both exist, in a sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule: Option<String>,
    /// True if scan and tape, or two scans, disagree: the value stands only until it is measured again.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub undecided: bool,
}

/// As [`merge_with`], with nothing decided by the user.
#[must_use]
pub fn merge(scan: &MeasureSet, tape: &TapeSet, cross: &CrossCheck) -> Vec<Entry> {
    merge_with(scan, tape, cross, &MergeOptions::default())
}

/// One entry for every measure that scan or tape has, in catalogue order.
///
/// Where both agree, the value is their mean weighted by inverse variance:
/// the best one for independent errors. Where they do not, a mean would be
/// wrong whichever of them is right; the scan's value stands, because it can
/// be retraced on the mesh and its curve while a tape reading cannot, and the
/// entry is marked undecided. Its spread then stays the scan's own: it says
/// how well the scan was measured, not whether it is right.
///
/// A measure that the user prefers from one side is that side's own, with its
/// own spread, agreed upon or not; it is decided, and the rule tells the distance.
///
/// The errors of the two sides are taken as independent: the scan's level is
/// found on the mesh, the tape's by hand and eye on the body, days apart as a
/// rule, so no landmark drives both. One case is different: a landmark pinned
/// by hand on the scan is put where the same person also lays the tape. How
/// far the two then err together is unknown, so the spread of their mean takes
/// level and hand as wholly dependent (they add, not their squares), which it
/// cannot exceed; the check keeps the spread of independence, the wider one
/// for a difference. Measures of one body that share a level do err together,
/// but no entry here sums two measures.
#[must_use]
pub fn merge_with(
    scan: &MeasureSet,
    tape: &TapeSet,
    cross: &CrossCheck,
    options: &MergeOptions,
) -> Vec<Entry> {
    let mut entries: BTreeMap<MeasureId, Entry> = scan
        .values()
        .map(|measure| (measure.id, scan_only(measure)))
        .collect();
    for value in &tape.values {
        let entry = match (scan.get(value.id), cross.get(value.id)) {
            (Some(measure), Some(check)) => match options.preferred(value.id) {
                Some(side) => preferred(measure, value, check, side),
                None => both(measure, value, check),
            },
            // A measure that could not be compared keeps the scan's value, with the tape beside it.
            (Some(measure), None) => Entry {
                tape: Some(tape_input(value)),
                ..scan_only(measure)
            },
            (None, _) => tape_only(value),
        };
        entries.insert(value.id, entry);
    }
    entries.into_values().collect()
}

impl From<Measure> for Entry {
    /// A decided value by itself, without what scan and tape say.
    fn from(measure: Measure) -> Self {
        Self {
            measure,
            scan: None,
            second: None,
            tape: None,
            rule: None,
            undecided: false,
        }
    }
}

impl Entry {
    /// Standard uncertainty to cut by: the value's own, and beside it, of one that is undecided, half
    /// the distance between the inputs, as any of them may be the true one.
    #[must_use]
    pub fn sd(&self) -> f64 {
        let own = self.measure.spread.sd;
        if !self.undecided {
            return own;
        }
        let inputs = [self.scan, self.second, self.tape].into_iter().flatten();
        let off = inputs.map(|input| (input.value - self.measure.value).abs());
        own.hypot(off.fold(0.0, f64::max) / 2.0)
    }
}

impl Input {
    /// What a scan says of a measure.
    pub(crate) fn of_scan(measure: &Measure) -> Self {
        Self {
            value: measure.value,
            sd: measure.spread.sd,
            pinned: measure.source == Source::Pinned,
        }
    }
}

fn scan_only(measure: &Measure) -> Entry {
    Entry {
        scan: Some(Input::of_scan(measure)),
        ..measure.clone().into()
    }
}

fn tape_input(value: &TapeValue) -> Input {
    Input {
        value: value.value.mm(),
        sd: value.spread.sd,
        pinned: false,
    }
}

fn tape_only(value: &TapeValue) -> Entry {
    let measure = Measure {
        id: value.id,
        value: value.value.mm(),
        unit: Unit::Mm,
        spread: value.spread.clone(),
        source: Source::Tape,
        level_mm: None,
    };
    Entry {
        tape: Some(tape_input(value)),
        ..measure.into()
    }
}

fn preferred(measure: &Measure, value: &TapeValue, check: &Check, side: Prefer) -> Entry {
    let (scan, tape) = (scan_only(measure), tape_only(value));
    let (name, taken) = match side {
        Prefer::Scan => ("scan", scan.measure.clone()),
        Prefer::Tape => ("tape", tape.measure),
    };
    Entry {
        measure: taken,
        tape: tape.tape,
        rule: Some(format!(
            "The {name}'s value was asked for; scan and tape lie {:.1} times as far apart as they usually do: {}.",
            check.z.abs(),
            check.verdict.words()
        )),
        ..scan
    }
}

fn both(measure: &Measure, value: &TapeValue, check: &Check) -> Entry {
    let entry = Entry {
        tape: Some(tape_input(value)),
        ..scan_only(measure)
    };
    if check.verdict != Verdict::Agrees {
        return Entry {
            rule: Some(rule_apart(check)),
            undecided: true,
            ..entry
        };
    }
    let share = scan_share(&measure.spread, &value.spread);
    let mean = share * measure.value + (1.0 - share) * value.value.mm();
    Entry {
        measure: Measure {
            value: mean,
            spread: of_mean(measure, share, &value.spread),
            source: Source::Merged,
            ..measure.clone()
        },
        rule: Some(format!(
            "Scan and tape agree and are averaged, the surer one counting for more: {:.0} % scan and {:.0} % tape.",
            100.0 * share,
            100.0 * (1.0 - share)
        )),
        ..entry
    }
}

/// Spread of the weighted mean, level and hand adding up if the level was put by hand.
fn of_mean(measure: &Measure, share: f64, tape: &Spread) -> Spread {
    let independent = joined(&measure.spread, share, tape, 1.0 - share);
    if measure.source != Source::Pinned {
        return independent;
    }
    let placed = independent.part(Cause::Level) + independent.part(Cause::Hand);
    let others = independent
        .parts
        .iter()
        .filter(|part| !matches!(part.cause, Cause::Level | Cause::Hand))
        .map(|part| (part.cause, part.sd));
    Spread::of(std::iter::once((Cause::Level, placed)).chain(others))
}

/// Weight of the scan in the mean: its inverse variance over the sum of both.
pub(super) fn scan_share(scan: &Spread, tape: &Spread) -> f64 {
    let (scan, tape) = (scan.sd * scan.sd, tape.sd * tape.sd);
    if scan + tape > 0.0 {
        tape / (scan + tape)
    } else {
        0.5
    }
}

fn rule_apart(check: &Check) -> String {
    let hint = check.reasons.first().map_or_else(
        || "No slip of the usual kinds explains it.".to_owned(),
        |reason| format!("Likeliest reason: {}.", reason.hint()),
    );
    format!(
        "Scan and tape lie {:.1} times as far apart as they usually do, so they are not averaged. {hint} It is undecided until measured again; the scan's value stands meanwhile, as it can be retraced on the scan.",
        check.z.abs()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::crosscheck::cross_check;
    use crate::length::{Length, LengthUnit};
    use crate::measure::{Cause, Key, Outcome};
    use crate::tape::{Reading, TapeSheet, pool};

    fn scan(value: f64, sd: f64) -> MeasureSet {
        MeasureSet {
            outcomes: vec![Outcome::Value(Measure {
                id: Key::BackWaistLength.into(),
                value,
                unit: Unit::Mm,
                spread: Spread::of([(Cause::Level, sd)]),
                source: Source::Scan,
                level_mm: None,
            })],
            ..MeasureSet::default()
        }
    }

    fn tape(key: Key, mm: f64) -> TapeSet {
        pool(&TapeSheet {
            readings: vec![Reading {
                id: key.into(),
                length: Length::from_mm(mm),
                text: format!("{mm} mm"),
                unit: LengthUnit::Millimetre,
                row: 1,
                repeat: None,
                note: String::new(),
            }],
            ..TapeSheet::default()
        })
    }

    /// Tape spread of a length: 4.5 and 5 mm, variance 45.25. With a scan
    /// of variance 36 the shares are 45.25/81.25 and 36/81.25 (by hand).
    #[test]
    fn inverse_variance() {
        let (scan, tape) = (scan(410.0, 6.0), tape(Key::BackWaistLength, 416.0));
        let entries = merge(&scan, &tape, &cross_check(&scan, &tape));
        let entry = &entries[0];
        assert!((entry.measure.value - (410.0 + 6.0 * 36.0 / 81.25)).abs() < 1e-9);
        assert!((entry.measure.spread.sd.powi(2) - 36.0 * 45.25 / 81.25).abs() < 1e-9);
        assert_eq!(entry.measure.source, Source::Merged);
        assert!(
            entry
                .rule
                .as_ref()
                .unwrap()
                .contains("56 % scan and 44 % tape")
        );
    }

    #[test]
    fn never_across_a_disagreement() {
        let (scan, tape) = (scan(410.0, 6.0), tape(Key::BackWaistLength, 445.0));
        let entries = merge(&scan, &tape, &cross_check(&scan, &tape));
        let entry = &entries[0];
        assert!(entry.undecided);
        assert!((entry.measure.value - 410.0).abs() < 1e-12);
        // Either may be true: half of 35 mm beside the scan's own 6.
        assert!((entry.sd() - 6.0_f64.hypot(17.5)).abs() < 1e-12);
        assert!((entry.tape.unwrap().value - 445.0).abs() < 1e-12);
        assert_eq!(entry.measure.source, Source::Scan);
        assert!(entry.rule.as_ref().unwrap().contains("measured again"));
    }

    /// 30 mm apart, four spreads: the tape's own value and spread of √45.25 mm all the same.
    #[test]
    fn what_was_asked_for_is_taken() {
        let (scan, tape) = (scan(410.0, 6.0), tape(Key::BackWaistLength, 445.0));
        let cross = cross_check(&scan, &tape);
        let mut options = MergeOptions::default();
        options
            .by_measure
            .insert(Key::BackWaistLength.into(), Prefer::Tape);
        let entry = &merge_with(&scan, &tape, &cross, &options)[0];
        assert!(!entry.undecided && entry.measure.source == Source::Tape);
        assert!((entry.measure.value - 445.0).abs() < 1e-12);
        assert!((entry.measure.spread.sd.powi(2) - 45.25).abs() < 1e-9);
        assert!((entry.scan.unwrap().value - 410.0).abs() < 1e-12);
        assert!(entry.rule.as_ref().unwrap().contains("measure again"));
    }

    /// By hand: shares s = 45.25/81.25 of level 6 and 1 − s of hand 5 add up; 4.5 of the tape stays apart.
    #[test]
    fn a_level_put_by_hand_errs_with_the_hand() {
        let (mut scan, tape) = (scan(410.0, 6.0), tape(Key::BackWaistLength, 416.0));
        if let Outcome::Value(measure) = &mut scan.outcomes[0] {
            measure.source = Source::Pinned;
        }
        let entry = &merge(&scan, &tape, &cross_check(&scan, &tape))[0];
        let s: f64 = 45.25 / 81.25;
        let square = (s * 6.0 + (1.0 - s) * 5.0).powi(2) + ((1.0 - s) * 4.5).powi(2);
        assert!((entry.measure.spread.sd.powi(2) - square).abs() < 1e-9);
        assert!(entry.measure.spread.sd < 6.0);
    }

    #[test]
    fn one_side_only() {
        let (one, none) = (scan(410.0, 6.0), TapeSet::default());
        let entries = merge(&one, &none, &CrossCheck::default());
        assert_eq!((entries.len(), entries[0].tape), (1, None));
        let tape = tape(Key::HipGirth, 1000.0);
        let entries = merge(&MeasureSet::default(), &tape, &CrossCheck::default());
        assert_eq!(entries[0].measure.source, Source::Tape);
        let entries = merge(&one, &tape, &cross_check(&one, &tape));
        let keys: Vec<Key> = entries.iter().map(|e| e.measure.id.key).collect();
        assert_eq!(keys, [Key::HipGirth, Key::BackWaistLength]);
    }
}
