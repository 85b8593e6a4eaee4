//! The same bytes at any number of threads.
#![cfg(feature = "parallel")]

mod common;

use common::body::data;
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::TapeSet;

const BODY: &str = "bodies/body-05.ply";
const DEMO: &str = "demo/scan.ply";

fn profile_bytes(name: &str) -> Vec<u8> {
    let raw = read_scan(&data(name), &Limits::default()).expect("a scan");
    let scan = measure_scan(raw, &FrameOptions::default(), |_| {}).expect("a body");
    serde_json::to_vec_pretty(&Profile::of(&scan, &TapeSet::default())).expect("a document")
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
