//! What to measure again, and in which order.

use super::{AGREE, Check, Common, Verdict, Why};
use crate::measure::MeasureId;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// More is not done in front of a mirror.
const MOST: usize = 3;

/// How far down the list of a check's reasons the shared shift still counts as its explanation.
const LIKELY: usize = 2;

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Again {
    /// What to do.
    #[serde(flatten)]
    pub task: Task,
    /// The checks it settles.
    pub settles: Vec<MeasureId>,
    /// Doubt it takes away: by how many expected spreads those checks lie
    /// beyond what still agrees, summed.
    pub doubt: f64,
}

/// What to do again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "task", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Task {
    /// Find out what shifts all girths.
    FindShift,
    /// Measure again.
    Measure {
        /// What.
        #[serde(flatten)]
        id: MeasureId,
        /// The likeliest slip, in a few words.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        mind: Option<String>,
    },
    /// Measure both sides again, saying each side aloud.
    BothSides {
        /// Either side of the measure.
        #[serde(flatten)]
        id: MeasureId,
    },
    /// Look at a row of the sheet, and measure again if it says what it should.
    LookAtRow {
        /// Row of the sheet.
        row: u64,
        /// The measure.
        #[serde(flatten)]
        id: MeasureId,
        /// What may be wrong with it, in a few words.
        mind: String,
    },
}

impl Again {
    /// What to do, in a sentence.
    #[must_use]
    pub fn say(&self) -> String {
        match &self.task {
            Task::FindShift => format!(
                "Hold the tape against a rigid rule and measure your height and one girth again with care: that settles what shifts {} readings.",
                self.settles.len()
            ),
            Task::Measure {
                id,
                mind: Some(mind),
            } => format!("Measure the {id} again; {mind}."),
            Task::Measure { id, mind: None } => format!("Measure the {id} again."),
            Task::BothSides { id } => format!(
                "Measure the {} again on both sides and write each down as you go; left and right may be exchanged.",
                id.key.definition().name
            ),
            Task::LookAtRow { row, id, mind } => format!(
                "Look at row {row} of the sheet, {id}: {mind}. If the row is right, measure again."
            ),
        }
    }
}

/// The things that take most doubt away, each counted without what those before it settle.
///
/// Doubt is counted in expected spreads, so that a small girth far off comes
/// before a large one a little off; ties keep the order of the catalogue.
pub(super) fn order(checks: &[Check], common: Option<&Common>) -> Vec<Again> {
    let mut tasks = candidates(checks, common.is_some());
    let mut settled: BTreeSet<MeasureId> = BTreeSet::new();
    let mut chosen = Vec::new();
    while chosen.len() < MOST {
        for task in &mut tasks {
            task.settles.retain(|id| !settled.contains(id));
            task.doubt = doubt(checks, &task.settles);
        }
        tasks.retain(|task| !task.settles.is_empty());
        let most = tasks.iter().enumerate().reduce(|best, next| {
            if next.1.doubt > best.1.doubt {
                next
            } else {
                best
            }
        });
        let Some((index, _)) = most else { break };
        let next = tasks.remove(index);
        settled.extend(next.settles.iter().copied());
        chosen.push(next);
    }
    chosen
}

fn candidates(checks: &[Check], is_shifted: bool) -> Vec<Again> {
    let doubtful = || checks.iter().filter(|c| c.verdict != Verdict::Agrees);
    let of = |task, settles| Again {
        task,
        settles,
        doubt: 0.0,
    };
    let mut tasks = Vec::new();
    let shifted: Vec<MeasureId> = doubtful()
        .filter(|check| {
            check
                .reasons
                .iter()
                .take(LIKELY)
                .any(|r| r.why == Why::Common)
        })
        .map(|check| check.id)
        .collect();
    // One reading that the shift would explain is easier measured again itself.
    if is_shifted && shifted.len() > 1 {
        tasks.push(of(Task::FindShift, shifted));
    }
    for check in doubtful() {
        let other = check
            .id
            .side
            .map(|side| MeasureId::new(check.id.key, side.other()));
        let mut settles = vec![check.id];
        if is_exchanged(check) {
            settles.extend(doubtful().filter(|c| Some(c.id) == other).map(|c| c.id));
        }
        tasks.push(of(task_of(check), settles));
    }
    tasks
}

fn is_exchanged(check: &Check) -> bool {
    let first = check.reasons.first();
    first.is_some_and(|reason| matches!(reason.why, Why::OtherSide { .. }))
}

fn task_of(check: &Check) -> Task {
    let id = check.id;
    let Some(first) = check.reasons.first() else {
        return Task::Measure { id, mind: None };
    };
    match first.why {
        Why::OtherSide { .. } => Task::BothSides { id },
        Why::OtherUnit { row, .. } | Why::Digits { row, .. } => Task::LookAtRow {
            row,
            id,
            mind: first.hint(),
        },
        _ => Task::Measure {
            id,
            mind: Some(first.hint()),
        },
    }
}

fn doubt(checks: &[Check], ids: &[MeasureId]) -> f64 {
    let of_these = checks.iter().filter(|check| ids.contains(&check.id));
    // `max` takes a distance that is no number for none; the check stays doubtful all the same.
    of_these.map(|check| (check.z.abs() - AGREE).max(0.0)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::crosscheck::Reason;
    use crate::length::Length;
    use crate::measure::{Key, Spread};
    use crate::side::Side;

    fn check(id: impl Into<MeasureId>, z: f64, why: Option<Why>) -> Check {
        let reason = |why| Reason {
            why,
            tape_mm: None,
            left_over: 0.0,
            rank: 1.0,
        };
        Check {
            id: id.into(),
            scan_mm: Length::from_mm(500.0),
            tape_mm: Length::from_mm(500.0 + 10.0 * z),
            difference_mm: Length::from_mm(10.0 * z),
            spread: Spread::default(),
            z,
            verdict: Verdict::of(z),
            tape_height_mm: None,
            repeats: None,
            reasons: why.map(reason).into_iter().collect(),
        }
    }

    /// By hand: sides 1.5 + 1.5 = 3.0 beyond two spreads, bust 2.5, waist 1.0, hip 0.5; neck agrees.
    #[test]
    fn what_takes_most_doubt_away_comes_first() {
        let side = |side| MeasureId::new(Key::CalfGirth, side);
        let swapped = |reads| Some(Why::OtherSide { reads });
        let checks = [
            check(Key::BustGirth, 4.5, None),
            check(Key::WaistNarrowestGirth, -3.0, None),
            check(Key::HipGirth, 2.5, None),
            check(Key::NeckGirth, 1.5, None),
            check(side(Side::Left), 3.5, swapped(Side::Right)),
            check(side(Side::Right), -3.5, swapped(Side::Left)),
        ];
        let again = order(&checks, None);
        assert_eq!(again.len(), 3);
        assert_eq!(again[0].settles, [side(Side::Left), side(Side::Right)]);
        assert!((again[0].doubt - 3.0).abs() < 1e-12);
        assert!(again[0].say().contains("calf girth again on both sides"));
        assert_eq!(again[1].settles, [Key::BustGirth.into()]);
        assert_eq!(again[2].settles, [Key::WaistNarrowestGirth.into()]);
        assert!(order(&checks[3..4], None).is_empty());
    }
}
