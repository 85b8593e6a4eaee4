//! Plants slips of every kind on tape sheets of bodies with known truth and counts which are named.
//!
//! ```text
//! cargo run --release --example score_slips [FOLDER]
//! ```
//!
//! The folder (`data/bodies` if none is given) holds `NAME.ply` in mm beside `NAME.truth.json`.
//! A slip is named if the reasons of its check have it first, or first or second. Which bodies,
//! measures and sizes are drawn depends on a fixed seed alone, so the table is the same each time.
#![expect(clippy::print_stdout, reason = "the table is what the program is for")]

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::scan::measure_scan;
use std::error::Error;
use std::path::{Path, PathBuf};

#[path = "../tests/common/slips.rs"]
mod slips;
#[path = "../tests/common/truth.rs"]
mod truth;

use slips::{Kind, Subject, Tally, score};

const SLIPS: usize = 1000;
const CLEAN: usize = 1000;

fn main() -> Result<(), Box<dyn Error>> {
    let home = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies");
    let folder = std::env::args_os().nth(1).map_or(home, PathBuf::from);
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.with_extension("truth.json").is_file()
            && path.extension().is_some_and(|e| e == "ply")
        {
            paths.push(path);
        }
    }
    paths.sort();
    let subjects = paths
        .iter()
        .map(|path| subject(path))
        .collect::<Result<Vec<_>, _>>()?;
    if subjects.is_empty() {
        return Err("the folder holds no body with a truth file beside it".into());
    }
    let found = score(&subjects, SLIPS, CLEAN);
    println!("{SLIPS} slips on {} bodies\n", subjects.len());
    println!("kind             planted  beyond 3 spreads  named first  first or second");
    for kind in Kind::ALL {
        let tally = found.kinds.get(&kind).copied().unwrap_or_default();
        println!("{}", row(kind, tally));
    }
    println!(
        "\nclean sheets: {} of {} hold a reading beyond three spreads ({:.1} %); readings: {} of {} ({:.2} %)",
        found.alarmed_sheets,
        found.clean_sheets,
        percent(found.alarmed_sheets, found.clean_sheets),
        found.alarms,
        found.clean_readings,
        percent(found.alarms, found.clean_readings)
    );
    Ok(())
}

fn subject(path: &Path) -> Result<Subject, Box<dyn Error>> {
    let raw = read_scan(path, &Limits::default())?;
    let mesh = raw.mesh.clone();
    let scan = measure_scan(raw, &FrameOptions::default(), |_| {})?;
    Ok(Subject {
        scan: scan.measures,
        mesh,
        truth: truth::read(&path.with_extension("truth.json")),
    })
}

fn row(kind: Kind, tally: Tally) -> String {
    format!(
        "{:<16} {:>7}  {:>16}  {:>9.0} %  {:>13.0} %  {}",
        format!("{kind:?}"),
        tally.planted,
        tally.beyond,
        percent(tally.first, tally.beyond),
        percent(tally.second, tally.beyond),
        remark(kind)
    )
}

/// Why a kind is seldom seen or told from another.
fn remark(kind: Kind) -> &'static str {
    match kind {
        Kind::PulledTight => "at most 3 %: less than three spreads of a hand's ordinary error",
        Kind::AlongSkin => "hollows of most girths are shallower than the spread",
        Kind::TapeTilted => "reads like another level or a shared inch",
        Kind::OtherSide => "sides differ by less than the spread on most bodies",
        Kind::StartedAtOne => "a whole inch too much is told as this",
        _ => "",
    }
}

fn percent(part: u32, whole: u32) -> f64 {
    100.0 * f64::from(part) / f64::from(whole.max(1))
}
