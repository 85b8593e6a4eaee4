//! Two scans of one body: one set of measures from both.
//!
//! Two scans taken one after the other err apart where the scanner errs (noise, holes, facets), and
//! together where the body hides a level from the rule. Where they agree they are averaged; where
//! they do not, the tape may side with one of them.

use super::compare::joined;
use super::merge::{Input, scan_share};
use super::scale::{Pair, off_scale};
use super::{Entry, Verdict};
use crate::finding::Finding;
use crate::length::Length;
use crate::measure::{Cause, Measure, MeasureId, MeasureSet, Outcome, Source, Spread, Withheld};
use crate::tape::TapeSet;
use std::collections::BTreeMap;

/// Causes by which two scans of one body may err alike, as one rule reads both.
const SHARED: [Cause; 5] = [
    Cause::Level,
    Cause::Pose,
    Cause::Midline,
    Cause::Base,
    Cause::SideLine,
];

/// What two scans say of one body.
#[derive(Clone, Debug, Default)]
pub struct Twice {
    /// The measures of both together; what both withhold is withheld. Curves are the first scan's,
    /// the second's where the first has none.
    pub set: MeasureSet,
    told: BTreeMap<MeasureId, Told>,
}

/// Where a value comes from.
#[derive(Clone, Debug)]
struct Told {
    first: Option<Input>,
    second: Option<Input>,
    rule: String,
    undecided: bool,
}

impl Twice {
    /// Joins two scans of one body, taken on the same day in the same posture.
    ///
    /// Where they agree, the value is their mean weighted by inverse variance. Parts of its spread
    /// that the two may share (level, posture, midline) are taken as wholly dependent, so that the
    /// mean is no surer of them than either scan. Where they lie more than two spreads of
    /// their difference apart, the tape's reading decides if it agrees with one scan and not with
    /// the other; else the first scan's value stands, undecided.
    #[must_use]
    pub fn of(first: &MeasureSet, second: &MeasureSet, tape: &TapeSet) -> Self {
        let mut twice = Self::default();
        let mut pairs = Vec::new();
        let mut apart = Vec::new();
        for id in ids(first, second) {
            let (told, outcome) = match (first.get(id), second.get(id)) {
                (Some(a), Some(b)) => {
                    let pair = Pair::between(a, b);
                    let (told, measure) = both(a, b, &pair, tape);
                    pairs.push(pair);
                    if told.undecided {
                        apart.push(id.to_string());
                    }
                    (Some(told), Outcome::Value(measure))
                }
                (Some(a), None) => (Some(only(Some(a), None)), Outcome::Value(a.clone())),
                (None, Some(b)) => (Some(only(None, Some(b))), Outcome::Value(b.clone())),
                (None, None) => (None, Outcome::Withheld(neither(id, first, second))),
            };
            twice.told.extend(told.map(|told| (id, told)));
            twice.set.outcomes.push(outcome);
        }
        let more = second.curves.iter().filter(|curve| {
            let part = curve.part;
            first.curves.iter().all(|held| held.part != part)
        });
        twice.set.curves = first.curves.iter().chain(more).cloned().collect();
        let of_second = second.findings.iter().map(|finding| Finding {
            text: format!("On the second scan: {}", finding.text),
            ..finding.clone()
        });
        twice.set.findings = first.findings.iter().cloned().chain(of_second).collect();
        twice.set.findings.extend(off_scale(&pairs));
        twice.set.findings.extend(disagreement(&apart));
        twice
    }

    /// Puts both inputs into the entries that were merged from [`Self::set`].
    pub(crate) fn put_into(&self, entries: &mut [Entry]) {
        for entry in entries {
            let Some(told) = self.told.get(&entry.measure.id) else {
                continue;
            };
            entry.scan = told.first;
            entry.second = told.second;
            // What the user asked for by name is the tape's own and decided.
            entry.undecided |= told.undecided && entry.measure.source != Source::Tape;
            entry.rule = Some(match entry.rule.take() {
                Some(rule) => format!("{} {rule}", told.rule),
                None => told.rule.clone(),
            });
        }
    }
}

/// Every measure either scan answers for, in catalogue order.
fn ids(first: &MeasureSet, second: &MeasureSet) -> Vec<MeasureId> {
    let of = |set: &MeasureSet| {
        let values = set.values().map(|measure| measure.id);
        values
            .chain(set.withheld().map(|w| w.id))
            .collect::<Vec<_>>()
    };
    let mut all = [of(first), of(second)].concat();
    all.sort_unstable();
    all.dedup();
    all
}

/// How many spreads two values lie apart; nought of nought is no distance.
fn apart_by(difference: f64, sd: f64) -> f64 {
    let z = difference.abs() / sd;
    if z.is_nan() { 0.0 } else { z }
}

fn only(first: Option<&Measure>, second: Option<&Measure>) -> Told {
    let which = if first.is_some() { "first" } else { "second" };
    Told {
        first: first.map(Input::of_scan),
        second: second.map(Input::of_scan),
        rule: format!("Only the {which} scan shows it."),
        undecided: false,
    }
}

fn neither(id: MeasureId, first: &MeasureSet, second: &MeasureSet) -> Withheld {
    let reason = |set: &MeasureSet| {
        let row = set.withheld().find(|row| row.id == id);
        row.map(|row| row.reason.clone())
    };
    let reason = match (reason(first), reason(second)) {
        (Some(a), Some(b)) if a != b => format!("{a}; on the second scan, {b}"),
        (Some(why), _) | (None, Some(why)) => why,
        (None, None) => "neither scan was asked for it".to_owned(),
    };
    Withheld { id, reason }
}

fn both(a: &Measure, b: &Measure, pair: &Pair, tape: &TapeSet) -> (Told, Measure) {
    let z = apart_by(pair.difference(), pair.sd);
    let told = |rule: String, undecided| Told {
        first: Some(Input::of_scan(a)),
        second: Some(Input::of_scan(b)),
        rule,
        undecided,
    };
    if Verdict::of(z) == Verdict::Agrees {
        let share = scan_share(&a.spread, &b.spread);
        let rule = format!(
            "The two scans agree and are averaged, the surer one counting for more: {:.0} % of the first.",
            100.0 * share
        );
        return (told(rule, false), mean(a, b, share));
    }
    let distance = format!("The two scans lie {z:.1} times as far apart as two scans usually do");
    let sided = tape.get(a.id).and_then(|value| {
        let agrees = |scan: &Measure| {
            let sd = scan.spread.sd.hypot(value.spread.sd);
            Verdict::of(apart_by(value.value.mm() - scan.value, sd)) == Verdict::Agrees
        };
        match (agrees(a), agrees(b)) {
            (true, false) => Some(("first", a)),
            (false, true) => Some(("second", b)),
            _ => None,
        }
    });
    match sided {
        Some((which, measure)) => {
            let rule =
                format!("{distance}; the tape agrees with the {which} one alone, which is taken.");
            (told(rule, false), measure.clone())
        }
        None => {
            let rule = format!(
                "{distance}, so they are not averaged. It is undecided until measured again; the first scan's value stands meanwhile."
            );
            (told(rule, true), a.clone())
        }
    }
}

/// The weighted mean, what the two share adding up straight.
fn mean(a: &Measure, b: &Measure, share: f64) -> Measure {
    let rest = 1.0 - share;
    let independent = joined(&a.spread, share, &b.spread, rest);
    let alike = SHARED.into_iter().map(|cause| {
        (
            cause,
            share * a.spread.part(cause) + rest * b.spread.part(cause),
        )
    });
    let apart = independent
        .parts
        .iter()
        .filter(|part| !SHARED.contains(&part.cause));
    let level = a
        .level_mm
        .zip(b.level_mm)
        .map(|(a, b)| Length::from_mm(share * a.mm() + rest * b.mm()));
    let pinned = [a, b]
        .iter()
        .any(|measure| measure.source == Source::Pinned);
    Measure {
        value: share * a.value + rest * b.value,
        spread: Spread::of(alike.chain(apart.map(|part| (part.cause, part.sd)))),
        source: if pinned { Source::Pinned } else { Source::Scan },
        level_mm: level.or(a.level_mm).or(b.level_mm),
        ..a.clone()
    }
}

/// Most measures that are named; the rest are counted.
const MOST_NAMED: usize = 8;

fn disagreement(apart: &[String]) -> Option<Finding> {
    let (named, more) = apart.split_at(apart.len().min(MOST_NAMED));
    let more = match more.len() {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    (!named.is_empty()).then(|| {
        Finding::act(
            "two scans",
            format!(
                "the two scans disagree beyond their uncertainty about the {}{more}; measure these by tape, or scan once more in the same posture",
                named.join(", ")
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::crosscheck::{cross_check, merge};
    use crate::length::LengthUnit;
    use crate::measure::{Key, Unit};
    use crate::tape::{pool, read_tape};

    fn set(key: Key, value: f64, parts: &[(Cause, f64)]) -> MeasureSet {
        MeasureSet {
            outcomes: vec![Outcome::Value(Measure {
                id: key.into(),
                value,
                unit: Unit::Mm,
                spread: Spread::of(parts.iter().copied()),
                source: Source::Scan,
                level_mm: Some(Length::from_mm(value / 2.0)),
            })],
            ..MeasureSet::default()
        }
    }

    fn tape(text: &str) -> TapeSet {
        pool(&read_tape(text.as_bytes(), "t.csv", LengthUnit::Millimetre).unwrap())
    }

    fn entry(first: &MeasureSet, second: &MeasureSet, tape: &TapeSet) -> Entry {
        let twice = Twice::of(first, second, tape);
        let cross = cross_check(&twice.set, tape);
        let mut entries = merge(&twice.set, tape, &cross);
        twice.put_into(&mut entries);
        entries.remove(0)
    }

    /// By hand: variances 4² + 3² = 25 and 4² + 6² = 52, so 52/77 of the first; 4 of level stays 4,
    /// noise is √((52/77·3)² + (25/77·6)²).
    #[test]
    fn what_two_scans_share_is_not_averaged_away() {
        let parts = |noise| [(Cause::Level, 4.0), (Cause::Noise, noise)];
        let first = set(Key::CalfGirth, 380.0, &parts(3.0));
        let second = set(Key::CalfGirth, 384.0, &parts(6.0));
        let entry = entry(&first, &second, &TapeSet::default());
        let share = 52.0 / 77.0;
        assert!((entry.measure.value - (380.0 + 4.0 * 25.0 / 77.0)).abs() < 1e-9);
        let noise = (share * 3.0_f64).hypot((1.0 - share) * 6.0);
        assert!((entry.measure.spread.sd - noise.hypot(4.0)).abs() < 1e-9);
        let level = entry.measure.level_mm.unwrap().mm();
        assert!((level - entry.measure.value / 2.0).abs() < 1e-9);
        assert!(!entry.undecided && entry.measure.source == Source::Scan);
        let inputs = [entry.scan, entry.second].map(|input| input.unwrap().value);
        assert!((inputs[0] - 380.0).abs() < 1e-12 && (inputs[1] - 384.0).abs() < 1e-12);
        assert!(entry.rule.unwrap().contains("68 % of the first"));
    }

    #[test]
    fn scans_apart_are_decided_by_the_tape_or_not_at_all() {
        let at = |value| set(Key::BackWaistLength, value, &[(Cause::Level, 3.0)]);
        let (first, second) = (at(400.0), at(440.0));
        let alone = entry(&first, &second, &TapeSet::default());
        assert!(alone.undecided && (alone.measure.value - 400.0).abs() < 1e-12);
        let findings = Twice::of(&first, &second, &TapeSet::default()).set.findings;
        assert!(
            findings[0].text.contains("about the back waist length"),
            "{findings:?}"
        );

        let sided = entry(
            &first,
            &second,
            &tape("measure,reading\nback waist length,441\n"),
        );
        assert!(!sided.undecided && sided.measure.source == Source::Merged);
        assert!((440.0..441.0).contains(&sided.measure.value), "{sided:?}");
        let rule = sided.rule.unwrap();
        assert!(rule.contains("agrees with the second one alone"), "{rule}");
        assert!((sided.scan.unwrap().value - 400.0).abs() < 1e-12);

        let between = entry(
            &first,
            &second,
            &tape("measure,reading\nback waist length,350\n"),
        );
        assert!(between.undecided, "{between:?}");
    }

    #[test]
    fn one_scan_fills_the_others_gaps() {
        let full = set(Key::HipGirth, 980.0, &[(Cause::Level, 2.0)]);
        let gap = MeasureSet {
            outcomes: vec![Outcome::Withheld(Withheld {
                id: Key::HipGirth.into(),
                reason: "a hole is too wide".into(),
            })],
            ..MeasureSet::default()
        };
        let none = TapeSet::default();
        let filled = entry(&gap, &full, &none);
        assert_eq!(
            (filled.scan, filled.second.map(|input| input.value)),
            (None, Some(980.0))
        );
        assert!(filled.rule.unwrap().contains("Only the second scan"));
        assert_eq!(Twice::of(&gap, &gap, &none).set.withheld().count(), 1);
        assert_eq!(Twice::of(&full, &gap, &none).set.withheld().count(), 0);
    }
}
