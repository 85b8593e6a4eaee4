//! Prints how much memory reading and measuring take, as a multiple of the scan file's size.
//!
//! ```sh
//! cargo run --release --example peak_memory -- scan.ply scan.obj
//! ```
//! Without files it takes the demo scan. "Held" is the mesh after reading.

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::scan::measure_scan;
use peak_alloc::PeakAlloc;
use std::path::PathBuf;

/// Counts a list that moves as old and new together, so it never tells less than the system holds.
#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

#[expect(clippy::print_stdout, reason = "a program that prints a table")]
fn main() -> girthwise::Result<()> {
    let mut files: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    if files.is_empty() {
        files.push("data/demo/scan.ply".into());
    }
    println!(
        "| file | MB | faces | read | held | whole job |\n| --- | ---: | ---: | ---: | ---: | ---: |"
    );
    for file in files {
        let before = MEMORY.current_usage();
        MEMORY.reset_peak_usage();
        let raw = read_scan(&file, &Limits::default())?;
        let (size, faces) = (raw.bytes, raw.mesh.faces().len());
        let read = MEMORY.peak_usage() - before;
        let held = MEMORY.current_usage() - before;
        MEMORY.reset_peak_usage();
        let scan = measure_scan(raw, &FrameOptions::default(), |_| ())?;
        let whole = read.max(MEMORY.peak_usage() - before);
        drop(scan);
        let times = |bytes: usize| format!("{:.1}", bytes as f64 / size as f64);
        println!(
            "| {} | {:.1} | {faces} | {} | {} | {} |",
            file.display(),
            size as f64 / 1e6,
            times(read),
            times(held),
            times(whole),
        );
    }
    Ok(())
}
