//! Measures every body of a folder and scores the values against its truth file.
//!
//! ```text
//! cargo run --release --example score_bodies [FOLDER [CHANGED...]]
//! ```
//!
//! The folder (`data/bodies` if none is given) holds `NAME.ply` in mm beside
//! `NAME.truth.json`. The table has one row a measure: number of values, how
//! many were withheld, mean error, standard deviation, mean absolute error,
//! 95th percentile and greatest absolute error, the 95 % interval of the mean
//! and what ISO 20685-1 says of it. Left and right of a paired measure count as
//! two values, so the interval of a paired measure is somewhat too narrow: the
//! sides of one body err together.
//!
//! Each `CHANGED` is a folder of scans made from those bodies (noise, holes, other
//! facets, turned) with a record `FILE.perturb.json` beside them: `input` (the body's
//! file), `preset` (what was done, or else the end of the file's name after `--`),
//! `unit`, `sides_swapped` and `matrix` (body frame to file). Each kind of change gets
//! tables of its own. Lengths over the skin are scored once more with both their ends pinned to
//! the truth's own points, which shows the path without the landmarks. Last comes how well the
//! stated uncertainties foretell the errors.
#![expect(clippy::print_stdout, reason = "the table is what the program is for")]

use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::landmark::{LandmarkKey, Pin, PinPlace, Pins};
use girthwise::length::Length;
use girthwise::measure::Key;
use girthwise::measure::accuracy::{Coverage, ErrorSummary, Verdict};
use girthwise::scan::{Scan, ScanOptions, measure_scan_with};
use girthwise::side::Side;
use serde_json::Value;
use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};

mod scored;
#[path = "../tests/common/truth.rs"]
mod truth;

use scored::Told;
use truth::Basis;

/// Errors of one measure with their stated uncertainties, and how often it was withheld.
#[derive(Default)]
struct Score {
    errors: Vec<(f64, f64)>,
    withheld: usize,
}

/// Scores by what the values are held against, and measure.
type Scores = BTreeMap<(Basis, Key), Score>;

/// Scans as the bodies' own files have them.
const CLEAN: &str = "bodies as they are";

fn main() -> Result<(), Box<dyn Error>> {
    let home = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies");
    let mut folders = std::env::args_os().skip(1).map(PathBuf::from);
    let bodies = folders.next().unwrap_or(home);
    let (mut clean, mut pinned) = (Scores::new(), Scores::new());
    for path in files(&bodies)? {
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        match scored::measure(&path, &FrameOptions::default()) {
            Ok(scan) => score(&name, &truth_of(&path), &scan, &mut clean),
            Err(error) => println!("{name}: not measured: {error}"),
        }
        match measure_pinned(&path) {
            Ok(scan) => score_paths(&truth_of(&path), &scan, &mut pinned),
            Err(error) => println!("{name}: not measured with pins: {error}"),
        }
    }
    let mut kinds = BTreeMap::from([(CLEAN.to_owned(), clean)]);
    for folder in folders {
        changed(&bodies, &folder, &mut kinds)?;
    }
    for (kind, scores) in &kinds {
        for basis in [Basis::Skin, Basis::Model] {
            println!("\n{kind}. {}\n", title(basis));
            print_table(scores.iter().filter(|((b, _), _)| *b == basis));
        }
    }
    println!("\nLengths between the truth's own points, put by pins: the path alone (mm).\n");
    print_table(pinned.iter());
    println!(
        "\nErrors within one and two of their stated standard uncertainties, and the worst:\n"
    );
    print_coverage(&kinds);
    Ok(())
}

/// Scores the changed scans of a folder, by kind of change.
fn changed(
    bodies: &Path,
    folder: &Path,
    kinds: &mut BTreeMap<String, Scores>,
) -> Result<(), Box<dyn Error>> {
    for (path, record) in scored::broken(folder)? {
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        let input = record["input"].as_str().ok_or("a record without input")?;
        let ending = name.split_once("--").map_or("changed", |(_, kind)| kind);
        let kind = record["preset"].as_str().unwrap_or(ending);
        let scores = kinds.entry(kind.to_owned()).or_default();
        match scored::measure_changed(&path, &record) {
            Told::Alone(scan) => score(&name, &truth_of(&bodies.join(input)), &scan, scores),
            Told::Asked(scan, error) => {
                println!("{name}: asked: {error}");
                score(&name, &truth_of(&bodies.join(input)), &scan, scores);
            }
            Told::Refused(error) => println!("{name}: not measured: {error}"),
        }
    }
    Ok(())
}

/// Landmarks that lengths over the skin end at, and their names in truth files (`{}` is R or L).
const ENDS: &[(LandmarkKey, &str)] = &[
    (LandmarkKey::BackNeckPoint, "back_neck_point"),
    (LandmarkKey::FrontNeckPoint, "front_neck_point"),
    (LandmarkKey::SideNeckPoint, "side_neck_point_{}"),
    (LandmarkKey::ShoulderPoint, "shoulder_point_{}"),
    (LandmarkKey::BustPoint, "bust_point_{}"),
];

/// Lengths between them, and down to the narrowest waist.
const PATHS: &[Key] = &[
    Key::ShoulderPointBreadth,
    Key::ShoulderLength,
    Key::ShoulderSlope,
    Key::NeckToBustLength,
    Key::FrontWaistLength,
    Key::BackWaistLength,
];

/// Measures a body with the ends of its lengths put where the truth file has them.
fn measure_pinned(path: &Path) -> Result<Scan, Box<dyn Error>> {
    let truth = truth::read(&truth_of(path));
    let mm = |place: String| truth.pointer(&place).and_then(Value::as_f64);
    let mut pins = Pins::NONE;
    for &(key, name) in ENDS {
        for &side in key.sides() {
            let letter = if side == Some(Side::Left) { "L" } else { "R" };
            let name = name.replace("{}", letter);
            let point = [0, 1, 2].map(|k| mm(format!("/landmarks/{name}/point/{k}")));
            if let [Some(x), Some(y), Some(z)] = point {
                let place = PinPlace::FilePoint([x, y, z]);
                let at = Pin::at_height(key, side, Length::ZERO);
                pins.add(Pin { place, ..at })?;
            }
        }
    }
    if let Some(height) = mm("/levels/waist_narrowest/height".to_owned()) {
        let height = Length::from_mm(height);
        pins.add(Pin::at_height(LandmarkKey::WaistNarrowest, None, height))?;
    }
    let options = ScanOptions {
        pins,
        ..ScanOptions::default()
    };
    let raw = read_scan(path, &Limits::default())?;
    Ok(measure_scan_with(raw, &options, |_| {})?)
}

/// Scores the lengths between pinned points.
fn score_paths(truth: &Path, scan: &Scan, scores: &mut Scores) {
    let truth = truth::references(&truth::read(truth));
    for reference in truth.iter().filter(|r| PATHS.contains(&r.id.key)) {
        let score = scores
            .entry((reference.basis, reference.id.key))
            .or_default();
        match scan.measures.get(reference.id) {
            Some(found) => {
                let error = found.value - reference.value;
                score.errors.push((error, found.spread.sd));
            }
            None => score.withheld += 1,
        }
    }
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
fn files(folder: &Path) -> Result<Vec<PathBuf>, Box<dyn Error>> {
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

/// An error worth a line of its own: over three times the limit of the class (15 mm without one).
const GROSS: f64 = 3.0;

fn score(name: &str, truth: &Path, scan: &Scan, scores: &mut Scores) {
    for reference in truth::references(&truth::read(truth)) {
        let id = reference.id;
        let score = scores.entry((reference.basis, id.key)).or_default();
        if let Some(found) = scan.measures.get(id) {
            let error = found.value - reference.value;
            score.errors.push((error, found.spread.sd));
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
        let errors: Vec<f64> = score.errors.iter().map(|e| e.0).collect();
        let Some(summary) = ErrorSummary::of(&errors) else {
            let only = errors.first().map_or("–".to_owned(), |e| format!("{e:.2}"));
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

/// One row a measure over all kinds of change, values that rest on the skin first; then all together,
/// and each kind of change by itself.
fn print_coverage(kinds: &BTreeMap<String, Scores>) {
    println!("| measure | held against | n | within 1 | within 2 | worst |");
    println!("| --- | --- | ---: | ---: | ---: | ---: |");
    let mut pooled: BTreeMap<(Basis, Key), Vec<(f64, f64)>> = BTreeMap::new();
    for (key, score) in kinds.values().flatten() {
        pooled.entry(*key).or_default().extend(&score.errors);
    }
    for basis in [Basis::Skin, Basis::Model] {
        let rows = pooled.iter().filter(|((b, _), _)| *b == basis);
        let all: Vec<(f64, f64)> = rows
            .clone()
            .flat_map(|(_, errors)| errors.clone())
            .collect();
        for ((_, key), errors) in rows {
            print_cover(key.definition().name, basis, errors);
        }
        print_cover("all", basis, &all);
        for (kind, scores) in kinds {
            let of_kind = scores.iter().filter(|((b, _), _)| *b == basis);
            let errors: Vec<(f64, f64)> = of_kind
                .flat_map(|(_, score)| score.errors.clone())
                .collect();
            print_cover(&format!("all, {kind}"), basis, &errors);
        }
    }
}

fn print_cover(name: &str, basis: Basis, errors: &[(f64, f64)]) {
    let basis = match basis {
        Basis::Skin => "shape",
        Basis::Model => "model",
    };
    if let Some(found) = Coverage::of(errors) {
        println!(
            "| {name} | {basis} | {} | {:.0} % | {:.0} % | {:.1} |",
            found.n,
            100.0 * found.within_one,
            100.0 * found.within_two,
            found.worst
        );
    }
}
