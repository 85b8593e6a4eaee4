//! Each command on the demo, in both units and as data.

use crate::run::{GARMENT, Ran, SCAN, TAPE, bytes, file, finish, folder, girthwise, program};
use girthwise::{fit::CuttingPlan, profile::Profile};
use serde_json::Value;
use std::collections::BTreeMap;
use std::io::Read;
use std::process::Stdio;

const ALL: [&str; 6] = ["all", SCAN, "--tape", TAPE, "--garment", GARMENT];

fn with<'a>(args: &[&'a str], more: &[&'a str]) -> Ran {
    girthwise(args.iter().chain(more))
}

/// Value by measure and side, in mm or degrees.
fn values(profile: &Value) -> BTreeMap<(String, String), f64> {
    let rows = profile["measures"].as_array().unwrap();
    rows.iter()
        .map(|row| {
            let word = |key: &str| row[key].as_str().unwrap_or_default().to_owned();
            ((word("key"), word("side")), row["value"].as_f64().unwrap())
        })
        .collect()
}

#[test]
fn measures_in_both_units() {
    let inches = with(&["measure", SCAN], &["--show", "in"]).well();
    let metric = with(&["measure", SCAN], &["--show", "cm"]).well();
    assert_eq!(with(&["measure", SCAN], &[]).well(), metric);
    for text in [&inches, &metric] {
        for part in [
            "Findings",
            "Measures",
            "Left against right",
            "Not a medical device",
        ] {
            assert!(text.contains(part), "{part} is missing in\n{text}");
        }
    }
    let stature = |text: &str| -> f64 {
        let row = text.lines().find(|line| line.starts_with(" stature "));
        let words: Vec<&str> = row.unwrap().split_whitespace().collect();
        let whole: f64 = words[1].parse().unwrap();
        match words[2].split_once('/') {
            Some((up, down)) => whole + up.parse::<f64>().unwrap() / down.parse::<f64>().unwrap(),
            None => whole,
        }
    };
    // An eighth and a millimetre at most lie between the two, each rounded on its own.
    let apart = stature(&inches) * 2.54 - stature(&metric);
    assert!(
        apart.abs() < 0.5 * (0.125 * 2.54 + 0.1) + 1e-9,
        "{apart} cm"
    );
}

#[test]
fn nothing_is_told_as_nought() {
    for show in ["cm", "in"] {
        let text = with(&ALL, &["--show", show]).well();
        for line in text.lines() {
            let nought = line
                .split("  ")
                .any(|cell| ["0 in", "0.0 cm"].contains(&cell.trim()));
            assert!(!nought && !line.contains(" by 0 in"), "{line}");
        }
        let widest = text
            .lines()
            .filter(|line| !line.contains("  "))
            .map(|l| l.chars().count());
        assert!(widest.max() <= Some(100), "a line runs out of the window");
    }
}

/// The demo's tape sheet has one slip: the waist was read where the tape had slid down.
#[test]
fn crosscheck_names_the_slip_and_its_reason() {
    let profile = with(&["crosscheck", SCAN, "--tape", TAPE], &["--json"]).json();
    let doubtful: Vec<&Value> = profile["checks"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|check| check["verdict"] != "agrees")
        .collect();
    assert_eq!(doubtful.len(), 1, "{doubtful:?}");
    assert_eq!(doubtful[0]["key"], "waist_narrowest_girth");
    assert_eq!(doubtful[0]["verdict"], "measure_again");
    // It slid to where the belly stands out most, 36 1/2 in up: a level with a name, told once. A tape that
    // hung down on one side would read alike.
    let reasons = &doubtful[0]["reasons"];
    assert_eq!(reasons[0]["why"], "other_waist");
    assert_eq!(reasons[0]["fits"], "belly_girth");
    assert!((reasons[0]["at_mm"].as_f64().unwrap() - 36.5 * 25.4).abs() < 3.2);
    assert_eq!(reasons[1]["why"], "tape_tilted");

    let text = with(&["crosscheck", SCAN, "--tape", TAPE], &["--show", "in"]).well();
    let said = "narrowest waist girth: measure again. The tape says 28 1/4 in";
    assert!(text.contains(said), "{text}");
    assert!(
        text.contains("the tape may have\n    lain there")
            || text.contains("the tape may have lain there"),
        "{text}"
    );
}

/// The demo's dress is drawn an inch too long between bust line and waist line, and its hem is
/// asked for at 17 in above the floor.
#[test]
fn all_gives_profile_and_plan() {
    let whole = with(&ALL, &["--json"]).json();
    assert_eq!(whole["profile"]["schema"], 1);
    let steps = whole["plan"]["steps"].as_array().unwrap();
    let amount = |action: &str| {
        let step = steps.iter().find(|step| step["action"] == action).unwrap();
        (
            step["at"].clone(),
            step["amount_mm"].as_f64().unwrap() / 25.4,
        )
    };
    let (at, fold) = amount("fold_out");
    assert_eq!(at["between"], serde_json::json!(["bust", "waist"]));
    assert!((fold - 1.0).abs() < 0.2, "folds out {fold} in");
    assert_eq!(amount("shorten").0, "hem");
    let hem = whole["plan"]["after"]["hem_above_floor_mm"]
        .as_f64()
        .unwrap();
    assert!((hem / 25.4 - 17.0).abs() < 1e-9, "hem at {hem} mm");
}

#[test]
fn out_writes_what_fit_reads() {
    let to = folder("out").join("made/for/it");
    let path = to.to_str().unwrap();
    let printed = with(&ALL, &["--out", path, "--json"]).json();
    let read = |name: &str| std::fs::read_to_string(to.join(name)).unwrap();
    let profile = Profile::from_json("profile.json", &read("profile.json")).unwrap();
    let plan: CuttingPlan = serde_json::from_str(&read("plan.json")).unwrap();
    assert_eq!(serde_json::to_value(&profile).unwrap(), printed["profile"]);
    assert_eq!(serde_json::to_value(&plan).unwrap(), printed["plan"]);

    let profile = to.join("profile.json");
    let fit = ["fit", profile.to_str().unwrap(), "--garment", GARMENT];
    assert_eq!(with(&fit, &["--json"]).json(), printed["plan"]);
    let text = with(&fit, &["--show", "in"]).well();
    assert!(
        text.starts_with("Cutting plan for Day dress with a waist seam\n"),
        "{text}"
    );

    // A file stands where the folder should.
    let there = to.join("plan.json/more");
    let said = with(&ALL, &["--out", there.to_str().unwrap()]).refusal(3);
    assert!(said.contains("plan.json"), "{said}");
}

/// A profile of the scan alone is enough for a plan.
#[test]
fn measure_feeds_fit() {
    let json = with(&["measure", SCAN], &["--json"]).well();
    let profile = file(&folder("feeds"), "profile.json", json);
    let plan = with(&["fit", &profile, "--garment", GARMENT], &["--json"]).json();
    assert!(!plan["steps"].as_array().unwrap().is_empty());
}

#[test]
fn same_bytes_on_any_number_of_cores() {
    let on = |threads: &str| {
        let mut command = program();
        finish(
            command
                .args(ALL)
                .arg("--json")
                .env("RAYON_NUM_THREADS", threads),
        )
        .well()
    };
    let one = on("1");
    assert!(one == on("4"), "the number of cores shows in the results");
    assert!(one == on("4"), "two runs differ");
}

#[test]
fn what_is_found_can_be_given() {
    let found = values(&with(&["measure", SCAN], &["--json"]).json());
    let given = [
        &["--unit", "cm"][..],
        &["--up", "y"],
        &["--front", "+z"],
        &["--unit", "cm", "--up", "+y", "--front", "z"],
    ];
    for given in given {
        let profile = with(&["measure", SCAN, "--json"], given).json();
        assert!(values(&profile) == found, "{given:?} changes a value");
    }
}

#[test]
fn mirrored_exchanges_left_and_right() {
    let plain = values(&with(&["measure", SCAN], &["--json"]).json());
    let mirrored = values(&with(&["measure", SCAN], &["--json", "--mirrored"]).json());
    let other = |side: &str| match side {
        "left" => "right".to_owned(),
        "right" => "left".to_owned(),
        whole => whole.to_owned(),
    };
    assert_eq!(plain.len(), mirrored.len());
    for ((key, side), value) in &plain {
        // What is signed by side changes its sign.
        let by_side = ["shoulder_tilt", "pelvis_tilt", "trunk_lean"].contains(&key.as_str());
        let sign = if by_side { -1.0 } else { 1.0 };
        let swapped = sign * mirrored[&(key.clone(), other(side))];
        // The other winding starts each contour elsewhere: more than round-off, less than a hair.
        assert!(
            (swapped - value).abs() < 0.1,
            "{side} {key}: {value} and {swapped}"
        );
    }
    let arm = |side: &str| plain[&("upper_arm_girth".to_owned(), side.to_owned())];
    assert!(
        arm("right") - arm("left") > 40.0,
        "the demo's right arm is the larger"
    );
}

/// The content decides; the name is remarked on.
#[test]
fn a_wrong_extension_is_read_and_told() {
    let path = file(&folder("extension"), "scan.obj", bytes(SCAN));
    let text = girthwise(["measure", &path]).well();
    assert!(text.contains("named as OBJ, but holds PLY"), "{text}");
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let mut child = program()
        .args(ALL)
        .arg("--json")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut said = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut said)
        .unwrap();
    assert!(child.wait().unwrap().success(), "{said}");
    assert_eq!(said, "");
}

#[test]
fn help_tells_exit_codes_and_options() {
    for command in ["measure", "crosscheck", "fit", "all"] {
        let help = girthwise([command, "--help"]).well();
        assert!(help.contains("Exit codes: 0 done; 1 "), "{help}");
        assert!(help.contains("--json") && help.contains("--show"), "{help}");
    }
}
