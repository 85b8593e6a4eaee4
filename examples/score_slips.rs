//! Plants slips of every kind on tape sheets of bodies with known truth and counts which are named.
//!
//! ```text
//! cargo run --release --example score_slips [FOLDER] [KIND...]
//! ```
//!
//! The folder (`data/bodies` if none is given) holds `NAME.ply` in mm beside `NAME.truth.json`.
//! A slip is named if the reasons of its check have it first, or first or second. Which bodies,
//! measures and sizes are drawn depends on a fixed seed alone, so the table is the same each time.
//! Of each kind named after the folder (`TapeTilted`) every slip beyond three spreads is listed.
#![expect(clippy::print_stdout, reason = "the table is what the program is for")]

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::text::Shown;
use girthwise::scan::measure_scan;
use std::error::Error;
use std::path::{Path, PathBuf};

#[path = "../tests/common/slips/mod.rs"]
mod slips;
#[path = "../tests/common/truth.rs"]
mod truth;

use slips::{Case, Kind, Subject, Tally, score};

const SLIPS: usize = 12_000;
const CLEAN: usize = 4000;

fn main() -> Result<(), Box<dyn Error>> {
    let home = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies");
    let mut arguments = std::env::args();
    let folder = arguments.nth(1).map_or(home, PathBuf::from);
    let listed: Vec<String> = arguments.collect();
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
    println!("kind             planted  beyond 3 spreads  named first  first or second  or third");
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
    for case in &found.cases {
        if listed.contains(&format!("{:?}", case.kind)) {
            println!("{}", told(case, &paths[case.body]));
        }
    }
    Ok(())
}

fn subject(path: &Path) -> Result<Subject, Box<dyn Error>> {
    let raw = read_scan(path, &Limits::default())?;
    let mesh = raw.mesh.clone();
    let scan = measure_scan(raw, &FrameOptions::default(), |_| {})?;
    let truth = truth::read(&path.with_extension("truth.json"));
    Ok(Subject::new(scan, mesh, truth))
}

/// A slip, and the reasons given for it, likeliest first, each with its rank and what it leaves over.
fn told(case: &Case, path: &Path) -> String {
    let mut text = format!(
        "\n{:?} {} {}: {:.1} spreads; {}; {}",
        case.kind,
        path.file_stem().unwrap_or_default().to_string_lossy(),
        case.check.id,
        case.check.z,
        case.planted,
        case.rank.map_or_else(
            || "not named".to_owned(),
            |rank| format!("named {}", rank + 1)
        )
    );
    for reason in &case.check.reasons {
        let said = reason.say(Shown::Centimetres);
        text += &format!("\n    {:5.2} {:4.1}  {said}", reason.rank, reason.left_over);
    }
    text
}

fn row(kind: Kind, tally: Tally) -> String {
    format!(
        "{:<16} {:>7}  {:>16}  {:>9.1} %  {:>13.1} %  {:>6.1} %  {}",
        format!("{kind:?}"),
        tally.planted,
        tally.beyond,
        percent(tally.first, tally.beyond),
        percent(tally.second, tally.beyond),
        percent(tally.third, tally.beyond),
        remark(kind, tally)
    )
}

/// Why a kind is seldom seen or told from another.
fn remark(kind: Kind, tally: Tally) -> String {
    match kind {
        Kind::OtherLevel => format!(
            "of these {:.1} % by the name of a waist at that height",
            percent(tally.by_place, tally.beyond)
        ),
        Kind::PulledTight => {
            "at most 3 %: less than three spreads of a hand's ordinary error".to_owned()
        }
        Kind::AlongSkin => "hollows of most girths are shallower than the spread".to_owned(),
        Kind::TapeTilted => "reads like another level or a whole inch".to_owned(),
        Kind::StartedAtOne => "a whole inch too much is told as this".to_owned(),
        _ => String::new(),
    }
}

fn percent(part: u32, whole: u32) -> f64 {
    100.0 * f64::from(part) / f64::from(whole.max(1))
}
