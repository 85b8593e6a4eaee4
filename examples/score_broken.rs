//! Measures scans broken on purpose and lists every value that is wrong and was not withheld.
//!
//! ```text
//! cargo run --release --example score_broken -- [BODIES [BROKEN...]]
//! ```
//!
//! `BODIES` holds `NAME.ply` in mm beside `NAME.truth.json`; each `BROKEN` is a folder of files with a
//! record `FILE.perturb.json` beside them: `input` (the body's file), `preset` (what was done to it),
//! `unit`, `sides_swapped` and `matrix` (body frame to file). A value is held against the truth where
//! the skin alone shows it, otherwise against what the unbroken body measures. It is *wrong* if it
//! errs by more than three of its own standard uncertainties and by more than 5 mm (degrees for a
//! slope): it should have been withheld or been less sure. A scan refused for its unit, up or front is
//! measured again with all three given. Last comes a table with one row a preset.
#![expect(clippy::print_stdout, reason = "the table is what the program is for")]

use girthwise::frame::FrameOptions;
use girthwise::measure::{Measure, MeasureId};
use serde_json::Value;
use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};

mod scored;
#[path = "../tests/common/truth.rs"]
mod truth;

use scored::{Told, broken, measure, measure_changed};
use truth::Basis;

/// Beyond so many standard uncertainties and so many mm a value is wrong.
const WRONG: (f64, f64) = (3.0, 5.0);

/// A value to hold against, and whether it rests on the skin alone.
type References = BTreeMap<MeasureId, (f64, &'static str)>;

/// What became of the files of one preset.
#[derive(Default)]
struct Row {
    files: usize,
    told: usize,
    refused: usize,
    measured: usize,
    withheld: usize,
    wrong: usize,
    /// Greatest error in standard uncertainties among those over 5 mm, with its words.
    worst: Option<(f64, String)>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut folders = std::env::args_os().skip(1).map(PathBuf::from);
    let home = || Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies");
    let bodies = folders.next().unwrap_or_else(home);
    let mut references: BTreeMap<String, References> = BTreeMap::new();
    let mut rows: BTreeMap<String, Row> = BTreeMap::new();
    for folder in folders {
        for (path, record) in broken(&folder)? {
            let input = record["input"].as_str().ok_or("a record without input")?;
            if !references.contains_key(input) {
                let found = unbroken(&bodies.join(input))?;
                references.insert(input.to_owned(), found);
            }
            let preset = record["preset"].as_str().unwrap_or("–").to_owned();
            score(
                &path,
                &record,
                &references[input],
                rows.entry(preset).or_default(),
            );
        }
    }
    print_table(&rows);
    Ok(())
}

/// The truth of a body where skin shows it, and its own values elsewhere.
fn unbroken(path: &Path) -> Result<References, Box<dyn Error>> {
    let scan = measure(path, &FrameOptions::default())?;
    let mut found: References = scan
        .measures
        .values()
        .map(|m| (m.id, (m.value, "unbroken")))
        .collect();
    let truth = truth::references(&truth::read(&path.with_extension("truth.json")));
    for reference in truth.into_iter().filter(|r| r.basis == Basis::Skin) {
        found.insert(reference.id, (reference.value, "truth"));
    }
    Ok(found)
}

fn score(path: &Path, record: &Value, references: &References, row: &mut Row) {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    row.files += 1;
    let scan = match measure_changed(path, record) {
        Told::Alone(scan) => scan,
        Told::Asked(scan, error) => {
            println!("{name}: asked: {error}");
            row.told += 1;
            scan
        }
        Told::Refused(error) => {
            println!("{name}: refused: {error}");
            row.told += 1;
            row.refused += 1;
            return;
        }
    };
    let verbose = std::env::var_os("SHOW").is_some();
    if verbose {
        for finding in &scan.measures.findings {
            println!("{name}: finding {}: {}", finding.topic, finding.text);
        }
    }
    for (id, (wanted, basis)) in references {
        let Some(found) = scan.measures.get(*id) else {
            row.withheld += 1;
            if verbose {
                let why = scan.measures.withheld().find(|w| w.id == *id);
                println!(
                    "{name}: {id} withheld: {}",
                    why.map_or("NO REASON GIVEN", |w| &w.reason)
                );
            }
            continue;
        };
        row.measured += 1;
        judge(&name, found, (*wanted, basis), row);
    }
}

fn judge(name: &str, found: &Measure, (wanted, basis): (f64, &str), row: &mut Row) {
    let error = found.value - wanted;
    let sds = error.abs() / found.spread.sd;
    if error.abs() <= WRONG.1 {
        return;
    }
    let words = format!("{} {error:+.0}", found.id);
    if row.worst.as_ref().is_none_or(|(most, _)| sds > *most) {
        row.worst = Some((sds, words));
    }
    if sds > WRONG.0 {
        row.wrong += 1;
        println!(
            "{name}: WRONG {} {:.1} where the {basis} says {wanted:.1}: {error:+.1}, {sds:.1} sd of {:.1}",
            found.id, found.value, found.spread.sd
        );
    }
}

fn print_table(rows: &BTreeMap<String, Row>) {
    println!(
        "\n| preset | files | frame told | refused | measured | withheld | wrong | worst error over 5 mm |"
    );
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | --- |");
    for (preset, row) in rows {
        let worst = row.worst.as_ref().map_or("–".to_owned(), |(sds, words)| {
            format!("{words}, {sds:.1} sd")
        });
        println!(
            "| {preset} | {} | {} | {} | {} | {} | {} | {worst} |",
            row.files, row.told, row.refused, row.measured, row.withheld, row.wrong
        );
    }
}
