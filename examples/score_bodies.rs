//! Measures every body of a folder and scores the values against its truth file.
//!
//! ```text
//! cargo run --release --example score_bodies [FOLDER]
//! ```
//!
//! The folder (`data/bodies` if none is given) holds `NAME.ply` in mm beside
//! `NAME.truth.json`. The table has one row a measure: number of values, how
//! many were withheld, mean error, standard deviation, mean absolute error,
//! 95th percentile and greatest absolute error, the 95 % interval of the mean
//! and what ISO 20685-1 says of it. Left and right of a paired measure count as
//! two values, so the interval of a paired measure is somewhat too narrow: the
//! sides of one body err together.
#![expect(clippy::print_stdout, reason = "the table is what the program is for")]

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::measure::Key;
use girthwise::measure::accuracy::{ErrorSummary, Verdict};
use girthwise::scan::{Scan, measure_scan};
use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};

#[path = "../tests/common/truth.rs"]
mod truth;

use truth::Basis;

/// Errors of one measure, and how often it was withheld.
#[derive(Default)]
struct Score {
    errors: Vec<f64>,
    withheld: usize,
}

fn main() -> Result<(), Box<dyn Error>> {
    let home = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies");
    let folder = std::env::args_os().nth(1).map_or(home, PathBuf::from);
    let mut scores: BTreeMap<(Basis, Key), Score> = BTreeMap::new();
    for path in bodies(&folder)? {
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        match measure(&path) {
            Ok(scan) => score(&name, &path, &scan, &mut scores),
            Err(error) => println!("{name}: not measured: {error}"),
        }
    }
    for basis in [Basis::Skin, Basis::Model] {
        println!("\n{}\n", title(basis));
        print_table(scores.iter().filter(|((b, _), _)| *b == basis));
    }
    Ok(())
}

const fn title(basis: Basis) -> &'static str {
    match basis {
        Basis::Skin => "Against levels found on the shape alone (mm; slope in degrees):",
        Basis::Model => {
            "Against vertices and joints of the model that drew the bodies: its definitions, \
             not anatomy, so an offset here is no fault by itself (mm; slope in degrees):"
        }
    }
}

/// Scans of a folder that have a truth file beside them, in the order of their names.
fn bodies(folder: &Path) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == "ply") && truth_of(&path).exists() {
            paths.push(path);
        }
    }
    if paths.is_empty() {
        return Err(format!("{}: no .ply with a .truth.json beside it", folder.display()).into());
    }
    paths.sort();
    Ok(paths)
}

fn truth_of(path: &Path) -> PathBuf {
    path.with_extension("truth.json")
}

fn measure(path: &Path) -> girthwise::Result<Scan> {
    let raw = read_scan(path, &Limits::default())?;
    measure_scan(raw, &FrameOptions::default(), |_| {})
}

/// An error worth a line of its own: over three times the limit of the class (15 mm without one).
const GROSS: f64 = 3.0;

fn score(name: &str, path: &Path, scan: &Scan, scores: &mut BTreeMap<(Basis, Key), Score>) {
    for reference in truth::references(&truth::read(&truth_of(path))) {
        let id = reference.id;
        let score = scores.entry((reference.basis, id.key)).or_default();
        if let Some(found) = scan.measures.get(id) {
            let error = found.value - reference.value;
            score.errors.push(error);
            let limit = id.key.definition().class.limit_mm().unwrap_or(5.0);
            if reference.basis == Basis::Skin && error.abs() > GROSS * limit {
                println!(
                    "{name}: {id} {:.1} where {:.1} is true (± {:.1})",
                    found.value, reference.value, found.spread.sd
                );
            }
            continue;
        }
        score.withheld += 1;
        let why = scan.measures.withheld().find(|withheld| withheld.id == id);
        let why = why.map_or("NO REASON GIVEN", |withheld| withheld.reason.as_str());
        println!("{name}: {id} withheld: {why}");
    }
}

fn print_table<'s>(scores: impl Iterator<Item = (&'s (Basis, Key), &'s Score)>) {
    println!(
        "| measure | n | withheld | bias | SD | MAE | p95 | max | 95 % interval of the mean | limit | verdict |"
    );
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | --- | ---: | --- |");
    for ((_, key), score) in scores {
        let row = key.definition();
        print!(
            "| {} | {} | {} |",
            row.name,
            score.errors.len(),
            score.withheld
        );
        let Some(summary) = ErrorSummary::of(&score.errors) else {
            let only = score
                .errors
                .first()
                .map_or("–".to_owned(), |e| format!("{e:.2}"));
            println!(" {only} | – | – | – | – | – | – | too few |");
            continue;
        };
        let (low, high) = summary.bias.interval();
        let (limit, verdict) = match row.class.limit_mm() {
            Some(limit) => (format!("{limit}"), word(summary.bias.verdict(limit))),
            None => ("–".to_owned(), "–"),
        };
        println!(
            " {:.2} | {:.2} | {:.2} | {:.2} | {:.2} | {low:.2} … {high:.2} | {limit} | {verdict} |",
            summary.bias.mean,
            summary.bias.sd,
            summary.mean_absolute,
            summary.p95,
            summary.greatest
        );
    }
}

const fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
    }
}
