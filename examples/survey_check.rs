//! Holds the bodies of a folder against a survey of people.
//!
//! ```text
//! cargo run --release --example survey_check [FOLDER]
//! ```
//!
//! The folder (`data/study` if none is given) holds `NAME.ply` or `NAME.ply.gz` in mm beside `NAME.truth.json`, which
//! tells sex and volume. One row a measure that the survey has: how far our values lie over what it has for women or men
//! of the same stature, mass and, for some, chest and buttock girth (`data/survey`): mean and standard deviation over
//! the bodies, beside the standard deviation of the survey's own people. A mean off nothing is a bias or another
//! definition; a scatter over the survey's is error of ours, or bodies less alike than people.
#![expect(clippy::print_stdout, reason = "the table is what the program is for")]

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::measure::Key;
use girthwise::scan::measure_scan;
use serde_json::Value;
use std::error::Error;
use std::path::{Path, PathBuf};

#[path = "../tests/common/survey.rs"]
mod survey;

fn main() -> Result<(), Box<dyn Error>> {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let folder = std::env::args_os().nth(1).map(PathBuf::from);
    let folder = folder.unwrap_or_else(|| data.join("study"));
    let rows = survey::regressions(&data.join("survey/regressions.csv"));
    let mut keys: Vec<Key> = rows.iter().map(|row| row.key).collect();
    keys.dedup();
    keys.truncate(rows.len() / 2);
    let mut offsets: Vec<Vec<f64>> = vec![Vec::new(); keys.len()];
    for (scan, truth) in bodies(&folder)? {
        let read = read_scan(&scan, &Limits::default())?;
        let truth: Value = serde_json::from_slice(&std::fs::read(truth)?)?;
        let measured = measure_scan(read, &FrameOptions::default(), |_| {})?;
        let Some(build) = survey::Build::of(&truth, &measured.measures) else {
            println!("{}: stature, bust or hip girth is missing", scan.display());
            continue;
        };
        for (key, offsets) in keys.iter().zip(&mut offsets) {
            offsets.extend(survey::offset(&rows, *key, &build, &measured.measures));
        }
    }
    println!("| measure | survey | n | mean off it | SD | people's SD | its definition |");
    println!("| --- | --- | ---: | ---: | ---: | ---: | --- |");
    for (key, offsets) in keys.iter().zip(&offsets) {
        let of_key: Vec<_> = rows.iter().filter(|row| row.key == *key).collect();
        let residuals: Vec<f64> = of_key.iter().map(|row| row.residual).collect();
        let cell = |value: f64| {
            if value.is_finite() {
                format!("{value:.1}")
            } else {
                "–".to_owned()
            }
        };
        println!(
            "| {} | {} | {} | {} | {} | {} | {} |",
            key.definition().name,
            of_key[0].dimension,
            offsets.len(),
            cell(survey::mean(offsets)),
            cell(survey::scatter(offsets)),
            cell(survey::mean(&residuals)),
            of_key[0].difference,
        );
    }
    Ok(())
}

/// Scans and truth files of a folder, by name.
fn bodies(folder: &Path) -> Result<Vec<(PathBuf, PathBuf)>, Box<dyn Error>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let stem = name
            .strip_suffix(".ply.gz")
            .or_else(|| name.strip_suffix(".ply"));
        if let Some(stem) = stem {
            let truth = folder.join(format!("{stem}.truth.json"));
            if truth.exists() {
                found.push((path, truth));
            }
        }
    }
    found.sort();
    Ok(found)
}
