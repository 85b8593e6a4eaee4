//! Which of my tape readings should I take again before I cut?
//!
//! `cargo run --example scan_and_tape -- MY_SCAN.ply MY_SHEET.csv`; without names it takes the demo.
#![expect(clippy::print_stdout, reason = "an example talks to its reader")]

use girthwise::LengthUnit;
use girthwise::crosscheck::Verdict;
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan, read_scan_bytes};
use girthwise::length::text::Shown;
use girthwise::profile::Profile;
use girthwise::scan::measure_scan;
use girthwise::tape::{pool, read_tape};

/// The demo goes into the program: it runs in any folder.
const DEMO_SCAN: &[u8] = include_bytes!("../data/demo/scan.ply");
const DEMO_SHEET: &[u8] = include_bytes!("../data/demo/tape.csv");

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut names = std::env::args().skip(1);
    let (raw, sheet) = match (names.next(), names.next()) {
        (Some(scan), Some(sheet)) => {
            let bytes = std::fs::read(&sheet)?;
            let read = read_tape(bytes.as_slice(), &sheet, LengthUnit::Inch)?;
            (read_scan(scan.as_ref(), &Limits::default())?, read)
        }
        (None, _) => (
            read_scan_bytes("scan.ply", DEMO_SCAN, &Limits::default())?,
            read_tape(DEMO_SHEET, "tape.csv", LengthUnit::Inch)?,
        ),
        (Some(_), None) => return Err("name a scan and a tape sheet".into()),
    };
    let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
    let profile = Profile::of(&scan, &pool(&sheet));
    let shown = Shown::InchEighths;

    let agree = profile
        .checks
        .iter()
        .filter(|check| check.verdict == Verdict::Agrees);
    println!(
        "{} of {} readings agree with the scan.",
        agree.count(),
        profile.checks.len()
    );
    for check in profile
        .checks
        .iter()
        .filter(|check| check.verdict != Verdict::Agrees)
    {
        println!("{}", check.say(shown));
        for reason in &check.reasons {
            println!("  perhaps: {}", reason.say(shown));
        }
    }
    // Where both agree the profile holds their mean, by how much each is to be trusted.
    for entry in profile.measures.iter().filter(|entry| entry.tape.is_some()) {
        let state = if entry.undecided { ", not decided" } else { "" };
        println!(
            "{}: {}{state}",
            entry.measure.id,
            shown.show(entry.measure.length())
        );
    }
    Ok(())
}
