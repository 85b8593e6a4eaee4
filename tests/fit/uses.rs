//! Which measures a plan reads, as told and as it does.

use crate::parts::{SLEEVED, TROUSERS};
use crate::trial::{body, full_sheet, plan, sheet};
use girthwise::Side;
use girthwise::fit::{CuttingPlan, FitRoutine, Garment, LevelFit, Stage, uses};
use girthwise::measure::asymmetry::side_differences;
use girthwise::measure::catalogue::CATALOGUE;
use girthwise::measure::{Key, Unit};
use girthwise::profile::Profile;
use serde_json::Value;

/// A body near the demo dress, every other length 300 mm; the right side is larger by 8 %.
fn everything() -> Profile {
    let known = [
        (Key::BustGirth, 37.0),
        (Key::WaistNarrowestGirth, 26.0),
        (Key::HipGirth, 36.0),
        (Key::BustHeight, 44.0),
        (Key::WaistNarrowestHeight, 39.5),
        (Key::HipHeight, 31.0),
        (Key::NeckToBustLength, 10.0),
        (Key::BackWaistLength, 16.5),
    ];
    let value = |key| {
        known
            .iter()
            .find(|row| row.0 == key)
            .map(|row| row.1 * 25.4)
    };
    let all: Vec<(Key, f64)> = CATALOGUE
        .iter()
        .map(|row| {
            let other = if row.unit() == Unit::Degree {
                20.0
            } else {
                300.0
            };
            (row.key, value(row.key).unwrap_or(other))
        })
        .collect();
    let mut profile = body(1.0, &all);
    for entry in &mut profile.measures {
        if entry.measure.id.side == Some(Side::Right) {
            entry.measure.value *= 1.2;
        }
    }
    with_sides(profile)
}

fn with_sides(mut profile: Profile) -> Profile {
    let measures = profile.measures.iter().map(|entry| &entry.measure);
    profile.asymmetry = side_differences(measures);
    profile
}

/// What a plan says in one stage.
fn of_stage(plan: &CuttingPlan, stage: Stage) -> (Vec<Value>, Value) {
    let name = serde_json::to_value(stage).unwrap();
    let whole = serde_json::to_value(plan).unwrap();
    let rows = |list: &str| whole[list].as_array().cloned().unwrap_or_default();
    let mut said: Vec<Value> = rows("steps").into_iter().chain(rows("withheld")).collect();
    said.retain(|row| row["stage"] == name);
    // Their order in the whole plan is no business of the stage.
    for row in &mut said {
        row["order"] = Value::Null;
    }
    let more = match stage {
        Stage::Size => whole["sizes"].clone(),
        Stage::Sides => whole["findings"].clone(),
        _ => Value::Null,
    };
    (said, more)
}

/// The demo's dress, and what it has none of: sleeves with a long back, and trousers.
fn garments() -> [Garment; 3] {
    [full_sheet(), sheet(SLEEVED), sheet(TROUSERS)]
}

#[test]
fn a_plan_reads_what_is_told_and_nothing_else() {
    let profile = everything();
    let garments = garments();
    let wholes = garments.each_ref().map(|garment| plan(&profile, garment));
    for row in CATALOGUE {
        let mut less = profile.clone();
        less.measures
            .retain(|entry| entry.measure.id.key != row.key);
        let less = with_sides(less);
        let withouts = garments.each_ref().map(|garment| plan(&less, garment));
        let told = uses(row.key);
        let read = withouts != wholes;
        assert_eq!(read, !told.is_empty(), "{}: {told:?}", row.text);
        for stage in told {
            let differs = wholes
                .iter()
                .zip(&withouts)
                .any(|(whole, without)| of_stage(without, stage) != of_stage(whole, stage));
            // The hem hangs from the lowest line that stands; a higher one moves it only where that is unknown.
            // What a back length says beside a front one belongs to the back.
            let may_not =
                stage == Stage::Hem || stage == Stage::Width || row.key == Key::BackWaistLength;
            assert!(differs || may_not, "{} is not read by {stage:?}", row.text);
        }
    }
    for garment in &garments {
        for need in LevelFit::default().needs(garment) {
            assert!(!uses(need.key).is_empty(), "{need} is needed and not told");
        }
    }
}
