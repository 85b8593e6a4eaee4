//! Bodies and garments of our own invention, and how to look a plan up.

use girthwise::Side;
use girthwise::fit::{CuttingPlan, FitRoutine, Garment, LevelFit, Site, Stage, Step, read_garment};
use girthwise::measure::{Cause, Key, Measure, MeasureId, MeasureSet, Source, Spread};
use girthwise::profile::{Entry, Profile};
use girthwise::tape::TapeSet;

/// A body of given measures, in mm, each with a standard deviation of `sd`.
pub(crate) fn body(sd: f64, measures: &[(Key, f64)]) -> Profile {
    let mut entries = Vec::new();
    for &(key, value) in measures {
        for &side in Side::of_pair(key.definition().paired) {
            entries.push(Entry::from(Measure {
                id: MeasureId::new(key, side),
                value,
                unit: key.definition().unit(),
                spread: Spread::of([(Cause::Tape, sd)]),
                source: Source::Tape,
                level_mm: None,
            }));
        }
    }
    Profile {
        measures: entries,
        ..Profile::assemble(&MeasureSet::default(), &TapeSet::default())
    }
}

pub(crate) fn inches(values: &[(Key, f64)]) -> Vec<(Key, f64)> {
    values
        .iter()
        .map(|&(key, inch)| (key, inch * 25.4))
        .collect()
}

pub(crate) fn sheet(text: &str) -> Garment {
    read_garment("trial.toml", text).unwrap()
}

pub(crate) fn plan(profile: &Profile, garment: &Garment) -> CuttingPlan {
    LevelFit::default().plan(profile, garment).unwrap()
}

pub(crate) fn step_of(plan: &CuttingPlan, stage: Stage, at: &Site) -> Option<Step> {
    plan.steps
        .iter()
        .find(|step| step.stage == stage && step.at == *at)
        .cloned()
}

pub(crate) fn amount(step: &Step) -> f64 {
    step.amount.unwrap().mm()
}

#[track_caller]
pub(crate) fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

pub(crate) const DRESS: &str = r#"
name = "Trial dress"
unit = "in"
sizes = ["12"]
waist_line = "seam"
[body]
bust = [36]
[finished]
bust = [39]
[seams]
bust = 2
[lines]
neck_to_bust = 10.5
bust_to_waist = 7
waist_to_hip = 8
hip_to_hem = "24 5/8"
[hem]
allowance = "5/8"
"#;

/// A body for [`DRESS`] whose lines the pattern meets, but for the waist: 1 in higher.
pub(crate) fn high_waist(hip_height: f64) -> Profile {
    let measures = [
        (Key::BustGirth, 36.0),
        (Key::NeckToBustLength, 10.5),
        (Key::BustHeight, 47.0),
        (Key::WaistNarrowestHeight, 41.0),
        (Key::HipHeight, hip_height),
    ];
    body(2.0, &inches(&measures))
}

pub(crate) fn full_sheet() -> Garment {
    read_garment("garment.toml", include_str!("../../data/demo/garment.toml")).unwrap()
}
