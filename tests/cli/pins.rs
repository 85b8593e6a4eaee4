//! Landmarks put by hand, from the command line to text, profile and table.

use crate::run::{SCAN, TAPE, girthwise};

fn height_of(profile: &serde_json::Value, key: &str) -> (f64, String) {
    let rows = profile["measures"].as_array().unwrap();
    let row = rows.iter().find(|row| row["key"] == key).unwrap();
    (
        row["value"].as_f64().unwrap(),
        row["source"].as_str().unwrap().to_owned(),
    )
}

/// The inch has 25.4 mm: 40 1/2 in are 1028.7 mm, 44.5 cm are 445 mm.
#[test]
fn pins_in_either_unit_reach_the_profile() {
    let pins = [
        "--pin",
        "Waist_narrowest=40 1/2 in",
        "--pin",
        "left knee = 44.5 cm",
    ];
    let profile = girthwise(["measure", SCAN, "--json"].iter().chain(&pins)).json();
    let (waist, source) = height_of(&profile, "waist_narrowest_height");
    assert!((waist - 1028.7).abs() < 1e-6, "{waist}");
    assert_eq!(source, "pinned");
    let (knee, source) = height_of(&profile, "knee_height");
    assert!((knee - 445.0).abs() < 1e-6, "{knee}");
    assert_eq!(source, "pinned");
    assert_eq!(height_of(&profile, "hip_height").1, "scan");

    let text = girthwise(["measure", SCAN].iter().chain(&pins)).well();
    assert!(
        text.contains("pin: the narrowest waist is put by hand, 102.9 cm"),
        "{text}"
    );
    let row = text
        .lines()
        .find(|line| line.starts_with(" narrowest waist girth "));
    assert!(row.unwrap().ends_with("pinned"), "{row:?}");
}

/// A tape that agrees with a pinned scan does not hide that it was pinned.
#[test]
fn a_merged_value_keeps_its_mark() {
    let pin = ["--pin", "hip level = 80.2 cm"];
    let args = ["crosscheck", SCAN, "--tape", TAPE, "--json"];
    let profile = girthwise(args.iter().chain(&pin)).json();
    let rows = profile["measures"].as_array().unwrap();
    let hip = rows.iter().find(|row| row["key"] == "hip_girth").unwrap();
    assert_eq!(hip["source"], "merged");
    assert_eq!(hip["scan"]["pinned"], true);
    let bust = rows.iter().find(|row| row["key"] == "bust_girth").unwrap();
    assert!(bust["scan"].get("pinned").is_none());
}

#[test]
fn a_table_tells_its_pins() {
    let pin = ["--pin", "knee = 44 cm"];
    let table = girthwise(["batch", SCAN].iter().chain(&pin)).well();
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let at = reader
        .headers()
        .unwrap()
        .iter()
        .position(|name| name == "pinned");
    let row = reader.records().next().unwrap().unwrap();
    assert_eq!(&row[at.unwrap()], "left knee; right knee");
}

#[test]
fn pins_that_do_not_fit_are_refused_with_what_to_do() {
    for (pins, word) in [
        (&["waist=104.3"][..], "write 104.3 cm"),
        (&["left nee=48 cm"], "did you mean \"left knee\"?"),
        (&["waist"], "no ="),
        (&["waist=10 cm"], "not on the trunk"),
        (&["waist=180 cm"], "no place on a body of"),
        (&["waist=100 cm", "hip=100.5 cm"], "correct one of the two"),
        (&["waist=100 cm", "waist=100.5 cm"], "pinned twice"),
        (&["left knee = 9, 0, 48 cm"], "the wearer's right"),
        (&["left knee = -90, 3, 48 cm"], "check its axes and unit"),
    ] {
        let pins = pins.iter().flat_map(|pin| ["--pin", pin]);
        let said = girthwise(["measure", SCAN].into_iter().chain(pins)).refusal(2);
        assert!(said.contains(word), "{word} is missing in: {said}");
    }
}
