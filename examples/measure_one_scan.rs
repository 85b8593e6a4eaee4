//! How large is this body, and how far can each number be trusted?
//!
//! `cargo run --example measure_one_scan -- MY_SCAN.ply`; without a name it takes the demo.
#![expect(clippy::print_stdout, reason = "an example talks to its reader")]

use girthwise::Weight;
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::measure::Key;
use girthwise::scan::measure_scan;
use std::path::PathBuf;

fn main() -> girthwise::Result<()> {
    let path = std::env::args_os().nth(1);
    let path = path.map_or_else(|| PathBuf::from("data/demo/scan.ply"), PathBuf::from);
    let raw = read_scan(&path, &Limits::default())?;
    // Unit, up and front are found. To give one: FrameOptions { up: Some(Axis::PlusZ), ..default() }.
    let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
    let shown = Shown::Centimetres;

    println!(
        "{}: {} tall",
        path.display(),
        shown.show(scan.body.stature())
    );
    for key in [Key::BustGirth, Key::WaistNarrowestGirth, Key::HipGirth] {
        let Some(girth) = scan.measures.get(key) else {
            continue; // It is among the withheld below, with its reason.
        };
        let level = girth.level_mm.map_or_else(String::new, |up| {
            format!(", taken {} above the floor", shown.show(up))
        });
        println!(
            "{}: {}, give or take {:.1} cm{level}",
            girth.id,
            shown.show(girth.length()),
            2.0 * girth.spread.sd / 10.0,
        );
        // The largest part of the uncertainty tells what a better scan would have to improve.
        let parts = girth.spread.parts.iter();
        if let Some(part) = parts.max_by(|a, b| a.sd.total_cmp(&b.sd)) {
            println!("  mostly for {:?}: ± {:.1} mm", part.cause, part.sd);
        }
    }
    for withheld in scan.measures.withheld() {
        println!("no {}: {}", withheld.id, withheld.reason);
    }
    let notable = scan
        .measures
        .findings
        .iter()
        .filter(|finding| finding.weight >= Weight::Look);
    for finding in notable {
        println!("look at {finding}");
    }
    Ok(())
}
