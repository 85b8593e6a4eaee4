//! The JSON Schemas: kept as made, sound by the rules of JSON Schema, and in agreement with what the
//! program writes and reads.
//!
//! The judge is the crate `jsonschema`, a validator for draft 2020-12 that shares no code with what
//! makes the Schemas.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;

use common::body::{load, measured};
use girthwise::LengthUnit;
use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::measure::MeasureSet;
use girthwise::profile::Profile;
use girthwise::schema::Document;
use girthwise::tape::{TapeSet, pool, read_tape};
use jsonschema::Validator;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data")
        .join(name)
}

fn validator(document: Document) -> Validator {
    jsonschema::validator_for(&document.schema()).unwrap()
}

/// Every fault of a document: where it lies, and what the validator says.
fn faults(document: Document, value: &Value) -> Vec<String> {
    validator(document)
        .iter_errors(value)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}

fn tape() -> TapeSet {
    let sheet = fs::read(data("demo/tape.csv")).unwrap();
    pool(&read_tape(&sheet[..], "tape.csv", LengthUnit::Inch).unwrap())
}

/// The demo: its scan with its tape.
fn demo() -> &'static Profile {
    static DEMO: OnceLock<Profile> = OnceLock::new();
    DEMO.get_or_init(|| Profile::of(&measured(load("demo/scan.ply")), &tape()))
}

/// Every garment sheet that ships, by name.
fn sheets() -> Vec<(String, String)> {
    let wardrobe = fs::read_dir(data("wardrobe")).unwrap();
    let mut paths: Vec<_> = wardrobe.map(|entry| entry.unwrap().path()).collect();
    paths.push(data("demo/garment.toml"));
    paths.retain(|path| path.extension().is_some_and(|end| end == "toml"));
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, fs::read_to_string(path).unwrap())
        })
        .collect()
}

fn as_json(toml: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(toml).unwrap()).unwrap()
}

#[test]
fn kept_schemas_are_those_the_types_make() {
    for document in Document::ALL {
        let name = document.name();
        let kept = fs::read_to_string(data(&format!("schema/{name}.schema.json"))).unwrap();
        let made = serde_json::to_string_pretty(&document.schema()).unwrap() + "\n";
        assert!(
            kept == made,
            "girthwise schema {name} > data/schema/{name}.schema.json, and tell what changed"
        );
    }
}

#[test]
fn schemas_are_sound_by_the_rules_of_json_schema() {
    for document in Document::ALL {
        let schema = document.schema();
        jsonschema::meta::validate(&schema).unwrap();
        assert_eq!(
            schema["$schema"],
            "https://json-schema.org/draft/2020-12/schema"
        );
    }
}

#[test]
fn what_the_program_writes_fits_its_schema() {
    let profiles = [
        demo().clone(),
        Profile::of(&measured(load("bodies/body-05.ply")), &TapeSet::default()),
        Profile::assemble(&MeasureSet::default(), &tape()),
    ];
    for profile in &profiles {
        let written = serde_json::from_str(&profile.to_json().unwrap()).unwrap();
        assert_eq!(faults(Document::Profile, &written), Vec::<String>::new());
        for (name, sheet) in sheets() {
            let garment = read_garment(&name, &sheet).unwrap();
            let plan = LevelFit::default().plan(profile, &garment).unwrap();
            let plan = serde_json::to_value(&plan).unwrap();
            assert_eq!(
                faults(Document::Plan, &plan),
                Vec::<String>::new(),
                "{name}"
            );
        }
    }
}

#[test]
fn garment_sheets_that_ship_fit_their_schema() {
    let sheets = sheets();
    assert!(sheets.len() > 5, "sheets are missing");
    for (name, sheet) in sheets {
        let found = faults(Document::Garment, &as_json(&sheet));
        assert_eq!(found, Vec::<String>::new(), "{name}");
    }
}

/// A profile changed at one place: the Schema says no, at that place.
#[test]
fn the_profile_schema_says_no() {
    let written = serde_json::to_value(demo()).unwrap();
    for (at, value) in [
        ("/schema", json!(2)),
        ("/measures", json!(null)),
        ("/measures/0/key", json!("length of the tail")),
        ("/measures/0/value", json!("98.2")),
        ("/measures/0/unit", json!("furlong")),
        ("/measures/0/spread/sd", json!(-1)),
        ("/measures/0/source", json!("guess")),
        ("/withheld/0/reason", json!(7)),
        ("/checks/0/verdict", json!("fine")),
        ("/landmarks/0/point_mm", json!([1.0, 2.0])),
        ("/landmarks/0/confidence", json!("blind")),
        ("/curves/0/part", json!("tail")),
        ("/findings/0/weight", json!("heavy")),
        ("/provenance/digest", json!("abc")),
        ("/provenance/bytes", json!(-3)),
        ("/provenance/frame/unit/value", json!("ell")),
    ] {
        let mut changed = written.clone();
        *changed.pointer_mut(at).unwrap() = value;
        let found = faults(Document::Profile, &changed);
        // Of a field that may be absent the validator names only the field.
        let lies_there = |fault: &String| {
            let path = fault.split(": ").next().unwrap();
            !path.is_empty() && at.starts_with(path)
        };
        assert!(found.iter().any(lies_there), "{at}: {found:?}");
        let text = changed.to_string();
        assert!(Profile::from_json("p.json", &text).is_err(), "{at} is read");
    }
    let mut more = written;
    more["measures"][0]["remark"] = json!("of another program");
    assert_eq!(faults(Document::Profile, &more), Vec::<String>::new());
}

/// A sheet changed at one place: Schema and reader both say no.
#[test]
fn the_garment_schema_says_no_where_the_reader_does() {
    let sheet = fs::read_to_string(data("wardrobe/coat.toml")).unwrap();
    let written: toml::Table = toml::from_str(&sheet).unwrap();
    for change in [
        "unit = \"ell\"",
        "name = \" \"",
        "sizes = []",
        "sizes = [\"S\", \"S\", \"L\", \"XL\"]",
        "waist_line = \"tight\"",
        "stretch = 101",
        "sleves = 3",
        "body = 3",
        "body = { bust = 3 }",
        "lines = { neck_to_bust = 0 }",
        "lines = { neck_to_bust = \"long\" }",
        "seams = { bust = -1 }",
        "seams = { bust = 17 }",
        "seams = { bust = { top = 2 } }",
        "hem = { drawn_to = \"fold\" }",
        "hem = { allowance = -1 }",
        "darts = { waist_front = 1.5 }",
        "piece = [{ name = \"front\" }]",
        "piece = [{ name = \"front\", cut = 2, half = \"left\" }]",
        "sleeve = { biceps = true }",
    ] {
        let mut changed = written.clone();
        changed.extend(toml::from_str::<toml::Table>(change).unwrap());
        let text = toml::to_string(&changed).unwrap();
        assert!(
            read_garment("coat.toml", &text).is_err(),
            "{change} is read"
        );
        let found = faults(Document::Garment, &as_json(&text));
        assert!(!found.is_empty(), "{change} fits the Schema");
    }
    for needed in ["name", "unit", "sizes", "waist_line"] {
        let mut less = written.clone();
        less.remove(needed).unwrap();
        let text = toml::to_string(&less).unwrap();
        assert!(!faults(Document::Garment, &as_json(&text)).is_empty());
    }
}
