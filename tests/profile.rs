//! The profile as a document: every fault named in one go, and nothing lost on the way through.
//!
//! That what is written fits the JSON Schema is judged by the crate `jsonschema`, which shares no
//! code with this project.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;

use common::body::{load, measured};
use girthwise::measure::catalogue::CATALOGUE;
use girthwise::measure::{Cause, MeasureId, MeasureSet, Source, Spread};
use girthwise::profile::{Entry, Input, Profile};
use girthwise::schema::Document;
use girthwise::tape::{TapeSet, pool, read_tape};
use girthwise::{ErrorKind, LengthUnit, Side, error::Spot, measure::Measure};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::fs;
use std::sync::OnceLock;

fn tape() -> TapeSet {
    let sheet = fs::read(common::body::data("demo/tape.csv")).unwrap();
    pool(&read_tape(&sheet[..], "tape.csv", LengthUnit::Inch).unwrap())
}

/// The demo: its scan with its tape.
fn demo() -> &'static Profile {
    static DEMO: OnceLock<Profile> = OnceLock::new();
    DEMO.get_or_init(|| Profile::of(&measured(load("demo/scan.ply")), &tape()))
}

/// The demo's document with the value at each pointer changed.
fn changed(changes: &[(&str, Value)]) -> String {
    let mut document: Value = serde_json::from_str(&demo().to_json().unwrap()).unwrap();
    for (at, value) in changes {
        *document.pointer_mut(at).unwrap_or_else(|| panic!("{at}")) = value.clone();
    }
    serde_json::to_string_pretty(&document).unwrap()
}

/// Pointer and place of every fault.
fn faults(text: &str) -> Vec<(String, Option<(u64, u64)>)> {
    let error = Profile::from_json("p.json", text).unwrap_err();
    let ErrorKind::Sheet { faults, .. } = error.kind() else {
        panic!("{error}");
    };
    faults
        .iter()
        .map(|fault| match &fault.place.spot {
            Spot::Value { pointer, at } => (pointer.clone(), *at),
            // The count of those that are not listed.
            Spot::Whole => (String::new(), None),
            other => panic!("{other:?}"),
        })
        .collect()
}

#[test]
fn profiles_of_this_crate_check_and_come_back_the_same() {
    for profile in [
        demo().clone(),
        Profile::of(&measured(load("demo/scan.ply")), &TapeSet::default()),
        Profile::of(&measured(load("bodies/body-05.ply")), &TapeSet::default()),
        Profile::assemble(&MeasureSet::default(), &tape()),
        Profile::assemble(&MeasureSet::default(), &TapeSet::default()),
    ] {
        profile.check().unwrap();
        let text = profile.to_json().unwrap();
        let back = Profile::from_json("p.json", &text).unwrap();
        assert!(back.others.is_empty());
        assert_eq!(back.to_json().unwrap(), text);
        assert_eq!(back, profile);
    }
}

/// A value out of bounds, in the wrong unit, or at odds with another: each at its place.
#[test]
fn each_fault_has_its_pointer() {
    for (at, value) in [
        ("/measures/0/value", json!(1e300)),
        ("/measures/0/value", json!(-3)),
        ("/measures/0/unit", json!("deg")),
        ("/measures/0/spread/sd", json!(-1)),
        ("/measures/0/scan/sd", json!(-1)),
        ("/measures/0/level_mm", json!(1e9)),
        ("/withheld/0/reason", json!(" ")),
        ("/checks/0/difference_mm", json!(500)),
        ("/asymmetry/0/difference", json!(500)),
        ("/asymmetry/0/sd", json!(-1)),
        ("/landmarks/0/point_mm/2", json!(99_999)),
        ("/landmarks/0/sd_mm", json!(-1)),
        ("/curves/0/taut_mm", json!([1])),
        ("/curves/0/heights_mm/1", json!(0)),
        ("/provenance/digest", json!("abc")),
        ("/provenance/frame/front/value/direction", json!([0, 0, 0])),
    ] {
        // Some measures have no level of their own: there the field is put in.
        let text = if at.ends_with("level_mm") {
            let mut document: Value = serde_json::from_str(&changed(&[])).unwrap();
            document["measures"][0]["level_mm"] = value;
            document.to_string()
        } else {
            changed(&[(at, value)])
        };
        let found = faults(&text);
        assert_eq!(found.len(), 1, "{at}: {found:?}");
        assert_eq!(found[0].0, at);
    }
}

/// What refers to something must find it, once.
#[test]
fn references_are_followed() {
    let document = |change: fn(&mut Value)| {
        let mut document: Value = serde_json::from_str(&changed(&[])).unwrap();
        change(&mut document);
        let found = faults(&document.to_string());
        found.into_iter().map(|(at, _)| at).collect::<Vec<_>>()
    };
    let last = demo().measures.len();
    let twice = document(|d| {
        let first = d["measures"][0].clone();
        d["measures"].as_array_mut().unwrap().push(first);
    });
    assert_eq!(twice, [format!("/measures/{last}")]);
    let withheld = document(|d| {
        let key = d["measures"][0]["key"].clone();
        d["withheld"][0] = json!({ "key": key, "reason": "no head" });
    });
    assert_eq!(withheld, ["/withheld/0"]);
    let both = document(|d| d["measures"] = json!([]));
    assert!(both.contains(&"/checks/0".to_owned()), "{both:?}");
    assert!(both.contains(&"/asymmetry/0".to_owned()), "{both:?}");
    let unchecked = document(|d| {
        let list = d["checks"].as_array_mut().unwrap();
        list.retain(|check| check["verdict"] == "agrees");
    });
    assert!(
        unchecked[0].starts_with("/again/0/settles/"),
        "{unchecked:?}"
    );
    let sides = document(|d| {
        let of = |paired| {
            CATALOGUE
                .iter()
                .position(|row| row.paired == paired)
                .unwrap()
        };
        let row = &CATALOGUE[of(false)];
        d["withheld"][0] = json!({ "key": row.text, "side": "left", "reason": "hidden" });
        d["withheld"][1] = json!({ "key": CATALOGUE[of(true)].text, "reason": "hidden" });
    });
    assert!(sides.contains(&"/withheld/0/side".to_owned()), "{sides:?}");
    assert!(sides.contains(&"/withheld/1".to_owned()), "{sides:?}");
}

#[test]
fn all_faults_come_in_one_go_with_line_and_column() {
    let changes = [
        ("/measures/1/value", json!(-3)),
        ("/measures/2/unit", json!("furlong")),
        ("/landmarks/0/sd_mm", json!(-1)),
        ("/findings/0", json!(7)),
    ];
    let text = changed(&changes);
    let found = faults(&text);
    let pointers: Vec<_> = found.iter().map(|(at, _)| at.as_str()).collect();
    let wanted = [
        "/measures/1/value",
        "/measures/2",
        "/landmarks/0/sd_mm",
        "/findings/0",
    ];
    assert_eq!(pointers, wanted);
    // Where a text editor finds them, counted here by another way: by looking for what stands there.
    for ((_, at), stands) in found.iter().zip(["-3", "{", "-1", "7"]) {
        let (line, column) = at.unwrap();
        let line = text
            .lines()
            .nth(usize::try_from(line).unwrap() - 1)
            .unwrap();
        let there: String = line
            .chars()
            .skip(usize::try_from(column).unwrap() - 1)
            .collect();
        assert!(there.starts_with(stands), "{line}, column {column}");
    }
    let told = Profile::from_json("p.json", &text).unwrap_err().to_string();
    assert!(told.starts_with("p.json: 4 faults\n"), "{told}");
    assert!(
        told.contains("/measures/1/value: \"-3\" is not between 0 and 10000"),
        "{told}"
    );
}

#[test]
fn a_flood_of_faults_is_counted_not_listed() {
    let rows = vec![json!(7); 5000];
    let text = changed(&[("/findings", json!(rows))]);
    let told = Profile::from_json("p.json", &text).unwrap_err().to_string();
    assert!(told.contains("4960 more"), "{told}");
    assert!(told.lines().count() < 60);
}

#[test]
fn a_field_that_stands_twice_is_a_fault() {
    let text = changed(&[]).replacen("\"withheld\":", "\"curves\": [], \"withheld\":", 1);
    let told = Profile::from_json("p.json", &text).unwrap_err().to_string();
    assert!(told.contains("duplicate field `curves`"), "{told}");
}

#[test]
fn what_others_added_stays_with_what_it_is_about() {
    let mut document: Value = serde_json::from_str(&changed(&[])).unwrap();
    let last = document["measures"].as_array().unwrap().len() - 1;
    document["studio"] = json!({ "shelf": [1, null, "b"] });
    document["measures"][last]["colour"] = json!("blue");
    document["measures"][last]["spread"]["hand"] = json!(null);
    document["provenance"]["frame"]["up"]["seen"] = json!(true);
    let mut profile = Profile::from_json("p.json", &document.to_string()).unwrap();
    assert_eq!(serde_json::to_value(&profile).unwrap(), document);
    // The row moves up, and its fields with it; those of a part that is gone go as well.
    profile.measures.drain(..last);
    profile.checks.clear();
    profile.again.clear();
    profile.asymmetry.clear();
    profile.provenance = None;
    let written: Value = serde_json::from_str(&profile.to_json().unwrap()).unwrap();
    assert_eq!(written["studio"]["shelf"][2], "b");
    assert_eq!(written["measures"][0]["colour"], "blue");
    assert!(
        written["measures"][0]["spread"]
            .as_object()
            .unwrap()
            .contains_key("hand")
    );
    assert!(written.get("provenance").is_none());
}

/// Some measures of the catalogue, with values as a body has them.
fn entries() -> impl Strategy<Value = Vec<Entry>> {
    let rows = CATALOGUE.len();
    let row = (0..rows, 0.1..3000.0, 0.0..50.0, 0..3_u8, any::<bool>());
    proptest::collection::vec(row, 0..40).prop_map(|rows| {
        let mut entries: Vec<Entry> = Vec::new();
        for (row, size, sd, source, left) in rows {
            let row = &CATALOGUE[row];
            let side = row
                .paired
                .then_some(if left { Side::Left } else { Side::Right });
            let id = MeasureId::new(row.key, side);
            let value = if row.unit().sign() == "deg" {
                size / 10.0
            } else {
                size
            };
            let input = Some(Input {
                value,
                sd,
                pinned: false,
            });
            if entries.iter().all(|entry| entry.measure.id != id) {
                entries.push(Entry {
                    measure: Measure {
                        id,
                        value,
                        unit: row.unit(),
                        spread: Spread::of([(Cause::Level, sd), (Cause::Tape, sd / 3.0)]),
                        source: [Source::Scan, Source::Tape, Source::Merged][usize::from(source)],
                        level_mm: None,
                    },
                    scan: input.filter(|_| source != 1),
                    second: input.filter(|_| source != 1 && left),
                    tape: input.filter(|_| source != 0),
                    rule: None,
                    undecided: false,
                });
            }
        }
        entries
    })
}

/// Anything another program may write.
fn anything() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        (-1e12..1e12).prop_map(Value::from),
        ".{0,8}".prop_map(Value::from),
    ];
    leaf.prop_recursive(3, 16, 4, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
            proptest::collection::btree_map(".{0,4}", inner, 0..4).prop_map(Value::from_iter),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Read and written again it is the same document, with what others added, and fits the Schema.
    #[test]
    fn round_trip(
        entries in entries(),
        added in proptest::collection::vec((any::<prop::sample::Index>(), "[a-z]{1,6}~?/?", anything()), 0..6),
    ) {
        let empty = Profile::assemble(&MeasureSet::default(), &TapeSet::default());
        let profile = Profile { measures: entries, ..empty };
        profile.check().unwrap();
        let text = profile.to_json().unwrap();
        prop_assert_eq!(&Profile::from_json("p.json", &text).unwrap(), &profile);

        let mut document: Value = serde_json::from_str(&text).unwrap();
        for (index, name, value) in added {
            // The document itself, a measure, or a measure's spread; names of our own begin otherwise.
            let rows = document["measures"].as_array().unwrap().len();
            let place = match index.index(1 + 2 * rows) {
                0 => &mut document,
                n if n <= rows => &mut document["measures"][n - 1],
                n => &mut document["measures"][n - 1 - rows]["spread"],
            };
            place[format!("x-{name}")] = value;
        }
        let read = Profile::from_json("p.json", &document.to_string()).unwrap();
        let written: Value = serde_json::from_str(&read.to_json().unwrap()).unwrap();
        prop_assert_eq!(&written, &document);
        let schema = jsonschema::validator_for(&Document::Profile.schema()).unwrap();
        prop_assert!(schema.is_valid(&written));
    }

    /// Any text at all: read or refused, without a panic.
    #[test]
    fn edits_do_not_panic(at in any::<prop::sample::Index>(), text in ".{0,6}") {
        let good = demo().to_json().unwrap();
        let mut at = at.index(good.len());
        while !good.is_char_boundary(at) {
            at -= 1;
        }
        let bad = format!("{}{text}{}", &good[..at], &good[at..]);
        if let Err(error) = Profile::from_json("p.json", &bad) {
            prop_assert!(error.to_string().starts_with("p.json"), "{}", error);
        }
    }
}
