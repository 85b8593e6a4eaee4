//! What changed from one profile to another: two dates, two scans, before and after.

use crate::crosscheck::scale::{Pair, is_upright, off_scale, part_of_shift, shift_of_heights};
use crate::crosscheck::{Shift, Verdict};
use crate::finding::Finding;
use crate::measure::{MeasureId, Source, Unit};
use crate::profile::{Entry, Profile};
use serde::Serialize;
use std::collections::BTreeMap;

/// How sure it is that a measure changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sureness {
    /// No larger than two of its standard uncertainties: there may be no change.
    Within,
    /// Between two and three: one measure in twenty-five shows so much without a change.
    Perhaps,
    /// Beyond three.
    Changed,
}

impl Sureness {
    /// In plain words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Within => "within what can be measured",
            Self::Perhaps => "perhaps changed",
            Self::Changed => "changed",
        }
    }

    /// The grade of a difference that is so many of its standard uncertainties large.
    fn of(z: f64) -> Self {
        // Nought of nought is no change.
        if z.is_nan() {
            return Self::Within;
        }
        match Verdict::of(z) {
            Verdict::Agrees => Self::Within,
            Verdict::LookAgain => Self::Perhaps,
            Verdict::MeasureAgain => Self::Changed,
        }
    }
}

/// One measure that both profiles hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Which measure.
    #[serde(flatten)]
    pub id: MeasureId,
    /// Unit of the values.
    pub unit: Unit,
    /// Value in the first profile.
    pub before: f64,
    /// Value in the second profile.
    pub after: f64,
    /// What changed: after less before.
    pub difference: f64,
    /// Standard uncertainty of the difference, the two values taken to err independently, with a quiet
    /// breath between them for girths of the trunk. Errors they share (of the same tape, of a landmark
    /// that the same body hides) make the true one smaller.
    pub sd: f64,
    /// What is left of the difference once what all heights differ by is taken off; absent where they share
    /// nothing, and for what is no height. The grade is that of what is left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left: Option<f64>,
    /// How sure the change is.
    pub sureness: Sureness,
    /// What to know before relying on it: the values come from different sources, or stand undecided.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mind: Option<String>,
}

impl Change {
    fn of(pair: &Pair, before: &Entry, after: &Entry, heights: Option<Shift>) -> Self {
        let (difference, sd) = (pair.difference(), pair.sd);
        let shift = heights.filter(|_| is_upright(pair.key));
        let shared = shift.map(|shift| part_of_shift(shift, pair.before));
        let left = shared.map(|(part, _)| difference - part);
        let sd_left = sd.hypot(shared.map_or(0.0, |(_, sd)| sd));
        let z = if sd_left > 0.0 {
            left.unwrap_or(difference) / sd_left
        } else {
            f64::NAN
        };
        Self {
            id: before.measure.id,
            unit: pair.unit,
            before: pair.before,
            after: pair.after,
            difference,
            sd,
            left,
            sureness: Sureness::of(z),
            mind: mind(before, after),
        }
    }

    /// How many of its standard uncertainties it is large, what all heights share taken off.
    #[must_use]
    pub fn z(&self) -> f64 {
        self.left.unwrap_or(self.difference) / self.sd
    }
}

fn mind(before: &Entry, after: &Entry) -> Option<String> {
    if before.undecided || after.undecided {
        let when = match (before.undecided, after.undecided) {
            (true, true) => "both times",
            (true, false) => "the first time",
            _ => "the second time",
        };
        return Some(format!(
            "scan and tape disagree {when}; measure it again before you rely on the change"
        ));
    }
    let said = |source| match source {
        Source::Scan => "the scan",
        Source::Tape => "the tape",
        Source::Merged => "scan and tape together",
        Source::Pinned => "a landmark put by hand",
    };
    let (a, b) = (before.measure.source, after.measure.source);
    let by_hand = |source| matches!(source, Source::Tape | Source::Pinned);
    (a != b && (by_hand(a) || by_hand(b))).then(|| {
        format!(
            "the first comes from {}, the second from {}: part of the change may be theirs",
            said(a),
            said(b)
        )
    })
}

/// A measure that only one of the two profiles holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lone {
    /// Which measure.
    #[serde(flatten)]
    pub id: MeasureId,
    /// Unit of the value.
    pub unit: Unit,
    /// Its value.
    pub value: f64,
    /// Why the other profile has none, if it says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// What changed from one profile to another.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Changes {
    /// Measures that both hold, the surest change first.
    pub measures: Vec<Change>,
    /// Held by the first only, in catalogue order.
    pub gone: Vec<Lone>,
    /// Held by the second only, in catalogue order.
    pub new: Vec<Lone>,
    /// What all heights differ by, from the first to the second: a scan's height scale or floor, and no
    /// change of a grown body.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heights: Option<Shift>,
    /// What many measures share.
    pub findings: Vec<Finding>,
}

impl Changes {
    /// Compares two profiles, of the same person unless the caller wants it otherwise.
    ///
    /// # Examples
    /// ```
    /// use girthwise::change::{Changes, Sureness};
    /// use girthwise::measure::MeasureSet;
    /// use girthwise::profile::Profile;
    /// use girthwise::tape::{pool, read_tape};
    /// use girthwise::LengthUnit;
    ///
    /// let read = |hip: &str| {
    ///     let text = format!("measure,reading\nhip,{hip}\n");
    ///     let sheet = read_tape(text.as_bytes(), "tape.csv", LengthUnit::Inch)?;
    ///     Ok::<_, girthwise::Error>(Profile::assemble(&MeasureSet::default(), &pool(&sheet)))
    /// };
    /// let changes = Changes::between(&read("40")?, &read("44")?);
    /// assert!((changes.measures[0].difference - 101.6).abs() < 1e-9);
    /// assert_eq!(changes.measures[0].sureness, Sureness::Changed);
    /// # Ok::<(), girthwise::Error>(())
    /// ```
    #[must_use]
    pub fn between(before: &Profile, after: &Profile) -> Self {
        let held = |profile: &'_ Profile| -> BTreeMap<MeasureId, usize> {
            let ids = profile.measures.iter().map(|entry| entry.measure.id);
            ids.zip(0..).collect()
        };
        let (first, second) = (held(before), held(after));
        let both = first.iter().filter_map(|(id, &at)| {
            let (a, b) = (&before.measures[at], &after.measures[*second.get(id)?]);
            (a.measure.unit == b.measure.unit).then_some((a, b))
        });
        let both: Vec<(&Entry, &Entry)> = both.collect();
        let pair = |&(a, b): &(&Entry, &Entry)| Pair::between(&a.measure, &b.measure);
        let pairs: Vec<Pair> = both.iter().map(pair).collect();
        // Two tapes show no scan's scale.
        let by_tape = |entry: &Entry| entry.measure.source == Source::Tape;
        let scanned = both.iter().filter(|(a, b)| !(by_tape(a) && by_tape(b)));
        let scanned: Vec<Pair> = scanned.map(pair).collect();
        let heights = shift_of_heights(&scanned);
        let of = |(pair, &(a, b)): (&Pair, &(&Entry, &Entry))| Change::of(pair, a, b, heights);
        let mut measures: Vec<Change> = pairs.iter().zip(&both).map(of).collect();
        let findings = off_scale(&scanned).into_iter().collect();
        let surest = |a: &Change, b: &Change| b.z().abs().total_cmp(&a.z().abs());
        measures.sort_by(|a, b| {
            b.sureness
                .cmp(&a.sureness)
                .then(surest(a, b))
                .then(a.id.cmp(&b.id))
        });
        Self {
            measures,
            gone: lone(before, after, &second),
            new: lone(after, before, &first),
            heights,
            findings,
        }
    }

    /// The measures of one grade, the surest first.
    pub fn graded(&self, sureness: Sureness) -> impl Iterator<Item = &Change> {
        self.measures
            .iter()
            .filter(move |change| change.sureness == sureness)
    }
}

fn lone(of: &Profile, other: &Profile, held: &BTreeMap<MeasureId, usize>) -> Vec<Lone> {
    let alone = of.measures.iter().map(|entry| &entry.measure);
    alone
        .filter(|measure| !held.contains_key(&measure.id))
        .map(|measure| Lone {
            id: measure.id,
            unit: measure.unit,
            value: measure.value,
            why: other
                .withheld
                .iter()
                .find(|withheld| withheld.id == measure.id)
                .map(|withheld| withheld.reason.clone()),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Cause, Key, Measure, Spread};
    use crate::side::Side;

    fn profile(values: &[(MeasureId, f64, f64)]) -> Profile {
        let mut profile = Profile::assemble(&Default::default(), &Default::default());
        profile.measures = values
            .iter()
            .map(|&(id, value, sd)| {
                Entry::from(Measure {
                    id,
                    value,
                    unit: id.key.definition().unit(),
                    spread: Spread::of([(Cause::Level, sd)]),
                    source: Source::Scan,
                    level_mm: None,
                })
            })
            .collect();
        profile
    }

    /// √(3² + 4²) = 5 for a limb, which does not breathe; √(25 + 5²) for a waist of 1 m, 0.5 % of it.
    #[test]
    fn grades_by_the_uncertainty_of_the_difference() {
        let knee = MeasureId::new(Key::KneeGirth, Side::Left);
        let waist = MeasureId::from(Key::WaistNarrowestGirth);
        let at = |knee_mm, waist_mm, sd| profile(&[(knee, knee_mm, sd), (waist, waist_mm, sd)]);
        for (more, sureness) in [
            (9.9, Sureness::Within),
            (10.1, Sureness::Perhaps),
            (15.1, Sureness::Changed),
            (-15.1, Sureness::Changed),
        ] {
            let changes = Changes::between(&at(380.0, 1000.0, 3.0), &at(380.0 + more, 1000.0, 4.0));
            let of = |id| {
                changes
                    .measures
                    .iter()
                    .find(|change| change.id == id)
                    .unwrap()
            };
            assert!((of(knee).sd - 5.0).abs() < 1e-9);
            assert_eq!(of(knee).sureness, sureness, "{more}");
            assert!((of(waist).sd - 50.0_f64.sqrt()).abs() < 1e-9);
            assert_eq!(of(waist).sureness, Sureness::Within);
            assert_eq!(
                changes.measures[0].id,
                if sureness == Sureness::Within {
                    changes.measures[0].id
                } else {
                    knee
                }
            );
        }
    }

    #[test]
    fn what_one_profile_lacks_is_told_with_its_reason() {
        let hip = MeasureId::from(Key::HipGirth);
        let before = profile(&[(hip, 960.0, 2.0)]);
        let mut after = profile(&[(Key::BustGirth.into(), 900.0, 2.0)]);
        after.withheld.push(crate::measure::Withheld {
            id: hip,
            reason: "an arm touches the trunk".to_owned(),
        });
        let changes = Changes::between(&before, &after);
        assert!(changes.measures.is_empty());
        assert_eq!(
            changes.gone[0].why.as_deref(),
            Some("an arm touches the trunk")
        );
        assert_eq!(
            (changes.new[0].id.key, changes.new[0].why.as_ref()),
            (Key::BustGirth, None)
        );
    }

    /// 1 % on everything is a scale; 1 % on girths alone is a body.
    #[test]
    fn a_scale_is_no_body() {
        use Key as K;
        let heights = [K::Stature, K::BustHeight, K::HipHeight, K::CrotchHeight];
        let girths = [
            K::BustGirth,
            K::WaistNarrowestGirth,
            K::HipGirth,
            K::NeckGirth,
        ];
        let body = |heights_by: f64, girths_by: f64| {
            let tall = heights.map(|key| (key.into(), 1000.0 * heights_by, 1.0));
            let round = girths.map(|key| (key.into(), 900.0 * girths_by, 1.0));
            profile(&[tall, round].concat())
        };
        let told =
            |heights, girths| Changes::between(&body(1.0, 1.0), &body(heights, girths)).findings;
        let scale = told(1.01, 1.01);
        assert!(scale[0].text.contains("1.0 % larger"), "{scale:?}");
        assert!(told(1.0, 1.01).is_empty() && told(1.0, 1.0).is_empty());
        assert!(told(0.99, 0.99)[0].text.contains("1.0 % smaller"));
    }

    /// 1 % on every height alone: the scan's height scale. The heights are no changes then, a waist that has
    /// moved by 40 mm beyond it is, and girths stand for themselves.
    #[test]
    fn a_height_scale_is_no_body() {
        use Key as K;
        let heights = [
            (K::Stature, 1660.0),
            (K::BustHeight, 1180.0),
            (K::HipHeight, 850.0),
            (K::CrotchHeight, 770.0),
            (K::BackNeckHeight, 1420.0),
        ];
        let body = |by: f64, waist: f64, hip: f64| {
            let mut rows: Vec<_> = heights.map(|(key, mm)| (key.into(), by * mm, 2.0)).to_vec();
            rows.push((K::WaistNarrowestHeight.into(), waist, 2.0));
            rows.push((K::HipGirth.into(), hip, 2.0));
            profile(&rows)
        };
        let changes = Changes::between(&body(1.0, 1040.0, 990.0), &body(1.01, 1090.4, 1020.0));
        let changed: Vec<_> = changes
            .graded(Sureness::Changed)
            .map(|c| c.id.key)
            .collect();
        assert_eq!(changed, [K::WaistNarrowestHeight, K::HipGirth]);
        let waist = &changes.measures[0];
        assert!((waist.difference - 50.4).abs() < 1e-9);
        assert!((waist.left.unwrap() - 40.0).abs() < 0.1);
        let told = &changes.findings[0].text;
        assert!(
            told.contains("1.0 %") && told.contains("one share"),
            "{told}"
        );
    }
}
