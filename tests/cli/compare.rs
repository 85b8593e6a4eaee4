//! `girthwise compare`: the demo's profile against itself and against changed copies of it.

use crate::run::{Ran, SCAN, file, folder, girthwise};
use serde_json::Value;

fn profile() -> Value {
    girthwise(["measure", SCAN, "--json"]).json()
}

/// `name` is the test's own, as tests run side by side.
fn compared(name: &str, [before, after]: [&Value; 2], more: &[&str]) -> Ran {
    let folder = folder(name);
    let a = file(&folder, "before.json", before.to_string());
    let b = file(&folder, "after.json", after.to_string());
    girthwise([&["compare", &a, &b], more].concat())
}

/// Changes one girth by so many mm.
fn changed(profile: &Value, key: &str, by: f64) -> Value {
    let mut profile = profile.clone();
    for row in profile["measures"].as_array_mut().unwrap() {
        if row["key"] == key {
            row["value"] = (row["value"].as_f64().unwrap() + by).into();
        }
    }
    profile
}

#[test]
fn a_profile_has_not_changed_from_itself() {
    let profile = profile();
    let changes = compared("compare-same", [&profile, &profile], &["--json"]).json();
    let rows = changes["measures"].as_array().unwrap();
    assert_eq!(rows.len(), profile["measures"].as_array().unwrap().len());
    assert!(rows.iter().all(|row| row["sureness"] == "within"));
    assert!(changes["gone"].as_array().unwrap().is_empty());
    assert!(changes["findings"].as_array().unwrap().is_empty());
    let text = compared("compare-same", [&profile, &profile], &[]).well();
    assert!(
        text.contains("no change beyond what can be measured"),
        "{text}"
    );
    assert!(!text.contains("Changed\n"), "{text}");
}

#[test]
fn a_planted_change_is_named_and_a_hair_is_not() {
    let profile = profile();
    let fuller = changed(&profile, "hip_girth", 30.0);
    let text = compared("compare-fuller", [&profile, &fuller], &["--show", "in"]).well();
    assert!(text.starts_with("Changed\n"), "{text}");
    let row = text
        .lines()
        .find(|line| line.trim_start().starts_with("hip girth"));
    // 30 mm are 1.18 in, shown to the nearest eighth.
    assert!(
        row.is_some_and(|row| row.contains("1 1/8 in more")),
        "{text}"
    );

    let same = compared(
        "compare-hair",
        [&profile, &changed(&profile, "hip_girth", 2.0)],
        &["--json"],
    )
    .json();
    let rows = same["measures"].as_array().unwrap();
    assert!(rows.iter().all(|row| row["sureness"] == "within"));
}

/// Every height 1 % more and nothing else: the second scan's height scale, not eight changes of a body.
#[test]
fn a_height_scale_is_told_once() {
    let profile = profile();
    let mut taller = profile.clone();
    for row in taller["measures"].as_array_mut().unwrap() {
        let key = row["key"].as_str().unwrap();
        if key.ends_with("_height") || key == "stature" || key.ends_with("side_leg_length") {
            row["value"] = (1.01 * row["value"].as_f64().unwrap()).into();
        }
    }
    let text = compared("compare-taller", [&profile, &taller], &[]).well();
    assert!(
        text.contains("1.0 %") && text.contains("one share"),
        "{text}"
    );
    assert!(!text.contains("Changed\n"), "{text}");
    let fuller = changed(&taller, "hip_girth", 30.0);
    let changes = compared("compare-taller", [&profile, &fuller], &["--json"]).json();
    assert_eq!(changes["findings"].as_array().unwrap().len(), 1);
    assert!(changes["heights"]["factor"].is_object() || changes["heights"]["factor"].is_number());
    let rows = changes["measures"].as_array().unwrap();
    let told: Vec<_> = rows
        .iter()
        .filter(|row| row["sureness"] == "changed")
        .collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0]["key"], "hip_girth");
}

#[test]
fn what_is_no_profile_is_refused_by_name() {
    let ran = compared(
        "compare-other",
        [&profile(), &serde_json::json!({"schema": 99})],
        &[],
    );
    assert_eq!(ran.code, 1);
    assert!(
        ran.err.contains("after.json") && ran.err.contains("version 99"),
        "{}",
        ran.err
    );
}
