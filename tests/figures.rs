//! Drawings: their words stay within them and clear of each other, in either unit.
#![cfg(feature = "pictures")]

mod common;

use common::body::data;
use common::drawn::Drawn;
use girthwise::LengthUnit;
use girthwise::figure::{Units, all, plan_lines};
use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::measure::Key;
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::{TapeSet, pool, read_tape};

/// A waist whose height is not known leaves its lengths unjudged: the drawing says so, for it would
/// look as if they were right.
#[test]
fn a_drawn_plan_tells_what_was_not_judged() {
    let sheet = std::fs::read_to_string(data("demo/garment.toml")).expect("a sheet");
    let garment = read_garment("garment.toml", &sheet).expect("a garment");
    let raw = read_scan(&data("demo/scan.ply"), &Limits::default()).expect("a scan");
    let scan = measure_scan(raw, &FrameOptions::default(), |_| {}).expect("a body");
    let mut profile = Profile::of(&scan, &TapeSet::default());
    for (unjudged, units) in [(false, Shown::Centimetres), (true, Shown::InchEighths)] {
        if unjudged {
            let keep = |key| key != Key::WaistNarrowestHeight;
            profile.measures.retain(|entry| keep(entry.measure.id.key));
        }
        let plan = LevelFit::default()
            .plan(&profile, &garment)
            .expect("a plan");
        let figure = plan_lines(&garment, &plan, Units::One(units)).expect("a drawing");
        let drawn = Drawn::of(&figure);
        drawn.check("a plan");
        let told = |text: &str| text.contains("could not be judged");
        assert_eq!(drawn.words.iter().any(|word| told(&word.what)), unjudged);
        assert_eq!(told(&figure.about), unjudged);
    }
}

/// Every drawing of the demo with its tape and dress, and of a model body without.
#[test]
fn words_stay_within_and_apart() {
    let sheet = std::fs::read_to_string(data("demo/garment.toml")).expect("a sheet");
    let garment = read_garment("garment.toml", &sheet).expect("a garment");
    let file = std::fs::File::open(data("demo/tape.csv")).expect("a tape sheet");
    let tape = read_tape(file, "tape.csv", LengthUnit::Inch).expect("readings");
    for (name, tape) in [
        ("demo/scan.ply", pool(&tape)),
        ("bodies/body-05.ply", TapeSet::default()),
    ] {
        let raw = read_scan(&data(name), &Limits::default()).expect("a scan");
        let scan = measure_scan(raw, &FrameOptions::default(), |_| {}).expect("a body");
        let profile = Profile::of(&scan, &tape);
        let plan = LevelFit::default()
            .plan(&profile, &garment)
            .expect("a plan");
        for shown in [Shown::Centimetres, Shown::InchEighths] {
            for figure in all(&scan, &profile, Some((&garment, &plan)), Units::One(shown)) {
                Drawn::of(&figure).check(&format!("{name}, {}, {shown:?}", figure.name));
            }
        }
    }
}
