//! Where do my two sides differ so much that I should cut them apart?
//!
//! `cargo run --example left_and_right -- MY_SCAN.ply`; without a name it takes the demo.
#![expect(clippy::print_stdout, reason = "an example talks to its reader")]

use girthwise::Length;
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::measure::asymmetry::side_differences;
use girthwise::measure::{Mode, Unit};
use girthwise::scan::measure_scan;
use std::path::PathBuf;

/// Less than this vanishes in the seams (common practice, no source).
const WORTH_CUTTING: Length = Length::from_mm(10.0);

fn main() -> girthwise::Result<()> {
    let path = std::env::args_os().nth(1);
    let path = path.map_or_else(|| PathBuf::from("data/demo/scan.ply"), PathBuf::from);
    let raw = read_scan(&path, &Limits::default())?;
    let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
    let shown = Shown::InchEighths;

    let mut pairs = side_differences(scan.measures.values());
    pairs.retain(|pair| {
        let definition = pair.key.definition();
        definition.unit() == Unit::Mm && definition.mode != Mode::Surface
    });
    pairs.sort_by(|a, b| b.difference.abs().total_cmp(&a.difference.abs()));

    println!("Left and right are the wearer's own; a difference is normal.");
    for pair in pairs {
        let difference = Length::from_mm(pair.difference.abs());
        let verdict = match (pair.beyond_uncertainty, difference >= WORTH_CUTTING) {
            (true, true) => "cut apart where the garment lies close",
            (true, false) => "there, but too little to cut for",
            (false, true) => "may be the scan: measure both sides by tape",
            (false, false) => continue,
        };
        println!(
            "{:<24} {:>5} larger by {:<11} (± {}): {verdict}",
            pair.key.definition().name,
            pair.larger(),
            shown.show_some(difference),
            shown.show_some(Length::from_mm(2.0 * pair.sd)),
        );
    }
    Ok(())
}
