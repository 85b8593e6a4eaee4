//! Drawings: their words stay within them and clear of each other, in either unit.
#![cfg(feature = "pictures")]

mod common;

use common::body::data;
use common::drawn::Drawn;
use girthwise::LengthUnit;
use girthwise::figure::{Units, all};
use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::{TapeSet, pool, read_tape};

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
