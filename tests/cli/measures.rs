//! The catalogue as the program prints it.

use crate::run::{bytes, girthwise};

/// The kept list is what the program says: `girthwise measures --format markdown > data/measures.md`.
#[test]
fn the_kept_list_is_up_to_date() {
    let printed = girthwise(["measures", "--format", "markdown"]).well();
    let kept = String::from_utf8(bytes("data/measures.md")).unwrap();
    assert!(printed == kept, "write data/measures.md anew");
}

#[test]
fn words_and_forms() {
    let text = girthwise(["measures", "bust", "arc"]).well();
    assert!(
        text.starts_with("bust front arc (bust_front_arc)\n"),
        "{text}"
    );
    assert!(!text.contains("hip front arc"), "{text}");
    let rows = girthwise(["measures", "knee_girth", "--format", "json"]).json();
    let keys: Vec<_> = rows
        .as_array()
        .unwrap()
        .iter()
        .map(|row| &row["key"])
        .collect();
    assert!(keys.iter().any(|key| *key == "knee_girth"), "{keys:?}");
    let all = |key: &&serde_json::Value| key.as_str().is_some_and(|text| text.contains("girth"));
    assert!(keys.len() < 10 && keys.iter().all(all), "{keys:?}");
    let table = girthwise(["measures", "--format", "csv"]).well();
    assert!(
        table.starts_with("key,name,sides,unit,definition,"),
        "{table}"
    );
    let said = girthwise(["measures", "bust_grith"]).refusal(2);
    assert!(said.contains("did you mean bust_girth?"), "{said}");
}
