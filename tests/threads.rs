//! The same bytes at any number of threads.
#![cfg(feature = "parallel")]

mod common;

use common::body::data;
use girthwise::LengthUnit;
use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::page::Page;
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::{TapeSet, pool, read_tape};

const BODY: &str = "bodies/body-05.ply";
const DEMO: &str = "demo/scan.ply";

fn profile_bytes(name: &str) -> Vec<u8> {
    let raw = read_scan(&data(name), &Limits::default()).expect("a scan");
    let scan = measure_scan(raw, &FrameOptions::default(), |_| {}).expect("a body");
    serde_json::to_vec_pretty(&Profile::of(&scan, &TapeSet::default())).expect("a document")
}

/// A page with everything on it, drawings and all.
fn page_bytes() -> Vec<u8> {
    let raw = read_scan(&data(DEMO), &Limits::default()).expect("a scan");
    let scan = measure_scan(raw, &FrameOptions::default(), |_| {}).expect("a body");
    let file = std::fs::File::open(data("demo/tape.csv")).expect("a tape sheet");
    let tape = read_tape(file, "tape.csv", LengthUnit::Inch).expect("readings");
    let profile = Profile::of(&scan, &pool(&tape));
    let sheet = std::fs::read_to_string(data("demo/garment.toml")).expect("a garment sheet");
    let garment = read_garment("garment.toml", &sheet).expect("a garment");
    let fit = LevelFit::default();
    let plan = fit.plan(&profile, &garment).expect("a plan");
    let page = Page {
        name: "scan",
        scan: &scan,
        profile: &profile,
        plan: Some((&garment, &plan)),
        fit: &fit,
        shown: Shown::Centimetres,
    };
    page.html().into_bytes()
}

/// The page is the same to the byte on one core, two and four.
#[test]
fn the_number_of_threads_does_not_matter_to_a_page() {
    let bytes = [1, 2, 4].map(|threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.expect("a pool").install(page_bytes)
    });
    assert!(bytes[0].len() > 100_000);
    assert!(bytes[0] == bytes[1] && bytes[1] == bytes[2]);
}

/// The document is the same to the byte on one core, two and eight.
#[test]
fn the_number_of_threads_does_not_matter() {
    for name in [BODY, DEMO] {
        let bytes = [1, 2, 8].map(|threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
            pool.expect("a pool").install(|| profile_bytes(name))
        });
        assert!(bytes[0].len() > 10_000);
        assert!(bytes[0] == bytes[1] && bytes[1] == bytes[2], "{name}");
    }
}
