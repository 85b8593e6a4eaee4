//! `girthwise export`, and what goes into a profile that is handed on or joined from more.

use crate::run::{SCAN, TAPE, bytes, file, folder, girthwise};
use girthwise::ingest::{Limits, read_scan_bytes};
use serde_json::Value;
use std::fmt::Write;

/// The demo's profile in a file of the test's own.
fn profile(name: &str) -> (Value, String) {
    let text = girthwise(["crosscheck", SCAN, "--tape", TAPE, "--json"]).well();
    let path = file(&folder(name), "profile.json", &text);
    (serde_json::from_str(&text).unwrap(), path)
}

/// Read by another parser than wrote it: the rows, cell by cell, are those of the profile.
#[test]
fn the_table_has_a_row_for_every_measure() {
    let (profile, path) = profile("export-csv");
    let table = girthwise(["export", "csv", &path]).well();
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let held = |list: &str| profile[list].as_array().unwrap().clone();
    assert_eq!(rows.len(), held("measures").len() + held("withheld").len());
    let find = |row: &Value| {
        let side = row["side"].as_str().unwrap_or_default();
        let found = rows.iter().find(|r| row["key"] == r[0] && side == &r[1]);
        found.unwrap_or_else(|| panic!("no row of {row}"))
    };
    for entry in held("measures") {
        let row = find(&entry);
        assert_eq!(
            row[3].parse::<f64>().ok(),
            entry["value"].as_f64(),
            "{row:?}"
        );
        assert_eq!(entry["unit"], row[4]);
        assert_eq!(row[5].parse::<f64>().ok(), entry["spread"]["sd"].as_f64());
        assert_eq!(row[13].parse::<f64>().ok(), entry["tape"]["value"].as_f64());
        assert_eq!(&row[8] == "yes", entry["undecided"] == true);
    }
    for withheld in held("withheld") {
        let row = find(&withheld);
        assert!(
            row[3].is_empty() && withheld["reason"] == row[16],
            "{row:?}"
        );
    }
    assert!(rows.iter().any(|row| &row[8] == "yes"), "the demo has one");
}

/// Up is y, forward z, the wearer's left +x: the frame of ISO/IEC 19774, metres.
#[test]
fn landmarks_by_open_names() {
    let (profile, path) = profile("export-hanim");
    let document = girthwise(["export", "hanim", &path]).json();
    let marks = document["landmarks"].as_array().unwrap();
    let at = |name: &str, axis: usize| {
        let mark = marks.iter().find(|mark| mark["name"] == name).unwrap();
        mark["translation"][axis].as_f64().unwrap()
    };
    let stature = at("skull_vertex", 1);
    assert!((1.56..1.58).contains(&stature), "{stature}");
    assert!(at("l_thelion", 0) > 0.05 && at("r_thelion", 0) < -0.05);
    assert!(
        at("l_thelion", 2) > at("cervicale", 2),
        "the bust is in front"
    );
    assert!(at("l_acromion", 1) > at("l_thelion", 1));
    let unnamed = document["without_a_name"].as_array().unwrap();
    let all = profile["landmarks"].as_array().unwrap();
    assert_eq!(marks.len() + unnamed.len(), all.len());
}

#[test]
fn a_profile_handed_on_leads_back_to_nobody() {
    let sheet = "# measured_by = Ottilie\n# date = 2031-05-04\nmeasure,reading,who,Brunhild\nhip girth,84 cm,Kunigunde,\n";
    let folder = folder("export-unnamed");
    let tape = file(&folder, "tape.csv", sheet);
    let args = ["crosscheck", SCAN, "--tape", &tape, "--json"];
    let whole = girthwise(args).well();
    let names = [
        "Ottilie",
        "2031-05-04",
        "Brunhild",
        "digest",
        "taut_mm",
        "point_mm",
    ];
    assert!(names.iter().all(|name| whole.contains(name)), "{whole}");
    let direct = girthwise(args.iter().copied().chain(["--unnamed"])).well();
    let path = file(&folder, "profile.json", &whole);
    let exported = girthwise(["export", "unnamed", &path]).well();
    assert_eq!(direct, exported);
    for name in names.iter().chain(&["Kunigunde", "tape.csv", "scan.ply"]) {
        assert!(!direct.contains(name), "{name} is left in");
    }
    let (whole, bare): (Value, Value) = (
        serde_json::from_str(&whole).unwrap(),
        serde_json::from_str(&direct).unwrap(),
    );
    assert_eq!(whole["measures"], bare["measures"]);
    // A plan needs no more.
    let path = file(&folder, "unnamed.json", &direct);
    let garment = ["--garment", "data/demo/garment.toml", "--json"];
    let plan = |profile: &str| girthwise(["fit", profile].into_iter().chain(garment)).json();
    assert_eq!(
        plan(&path),
        plan(&file(&folder, "whole.json", whole.to_string()))
    );
    let said = girthwise(["export", "hanim", &path]).refusal(1);
    assert!(said.contains("holds no landmarks"), "{said}");
}

/// The demo's tape lies 3 1/4 in above the scan at the waist: asked for, it is taken and decided.
#[test]
fn scan_or_tape_is_taken_as_asked() {
    let check = |more: &[&str]| {
        let args = ["crosscheck", SCAN, "--tape", TAPE, "--json"];
        girthwise(args.iter().chain(more)).json()
    };
    let of = |profile: &Value, key: &str| {
        let rows = profile["measures"].as_array().unwrap();
        rows.iter().find(|row| row["key"] == key).unwrap().clone()
    };
    let plain = check(&[]);
    assert_eq!(of(&plain, "waist_narrowest_girth")["undecided"], true);
    let asked = check(&["--prefer", "waist = tape", "--prefer", "hip=scan"]);
    let waist = of(&asked, "waist_narrowest_girth");
    assert_eq!(waist["source"], "tape");
    assert!((waist["value"].as_f64().unwrap() - 28.25 * 25.4).abs() < 1e-9);
    assert!(waist.get("undecided").is_none());
    assert_eq!(of(&asked, "hip_girth")["source"], "scan");
    assert_eq!(of(&asked, "bust_girth"), of(&plain, "bust_girth"));

    let asked = check(&["--prefer", "knee girth = tape"]);
    let findings = asked["findings"].as_array().unwrap();
    let told = |row: &&Value| row["text"].as_str().unwrap().contains("has no value there");
    assert_eq!(findings.iter().filter(told).count(), 1, "{findings:?}");

    let refused = |choice: &str| {
        let args = ["crosscheck", SCAN, "--tape", TAPE, "--prefer", choice];
        girthwise(args).refusal(2)
    };
    assert!(refused("wast = tape").contains("did you mean"));
    assert!(refused("waist = eye").contains("scan or tape"));
}

/// The demo, made larger by a factor, as a mesh of its own.
fn larger(factor: f64) -> String {
    let mesh = read_scan_bytes(SCAN, &bytes(SCAN), &Limits::default())
        .unwrap()
        .mesh;
    let mut text = String::new();
    for point in mesh.points() {
        let [x, y, z] = [point.x, point.y, point.z].map(|value| value * factor);
        writeln!(text, "v {x} {y} {z}").unwrap();
    }
    for [a, b, c] in mesh.faces() {
        writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1).unwrap();
    }
    text
}

#[test]
fn two_scans_are_joined_where_they_agree() {
    let folder = folder("export-two");
    let joined = |second: &str| girthwise(["measure", SCAN, "--second", second, "--json"]).json();
    let rows = |profile: &Value| profile["measures"].as_array().unwrap().clone();
    let once = girthwise(["measure", SCAN, "--json"]).json();
    let twice = joined(SCAN);
    assert_eq!(rows(&twice).len(), rows(&once).len());
    for (row, before) in rows(&twice).iter().zip(rows(&once)) {
        let [value, alone] = [row, &before].map(|row| row["value"].as_f64().unwrap());
        assert!((value - alone).abs() < 1e-9, "{row}");
        assert_eq!(row["scan"], row["second"]);
        assert!(row["spread"]["sd"].as_f64() <= before["spread"]["sd"].as_f64());
    }
    assert_eq!(twice["second_scan"], twice["provenance"]);
    // 3 % larger: heights that are sure to a millimetre cannot agree, and it is told that a scale is off.
    let large = joined(&file(&folder, "large.obj", larger(1.03)));
    let stature = &rows(&large)[0];
    assert_eq!(
        (&stature["key"], &stature["undecided"]),
        (&"stature".into(), &true.into())
    );
    let findings = large["findings"].as_array().unwrap();
    let told = |topic: &str, words: &str| {
        let of = |row: &&Value| row["topic"] == topic;
        let mut rows = findings.iter().filter(of);
        rows.any(|row| row["text"].as_str().unwrap().contains(words))
    };
    assert!(told("scale", "3.0 % larger"), "{findings:?}");
    assert!(told("two scans", "stature"), "{findings:?}");
}
