//! Measures every body of a folder and scores the values against its truth file.
//!
//! ```text
//! cargo run --release --example score_bodies [FOLDER[:FIRST-LAST] [CHANGED...]]
//! ```
//!
//! The folder (`data/bodies` if none is given) holds `NAME.ply` or `NAME.ply.gz` in mm beside
//! `NAME.truth.json`; `:60-79` takes those whose name ends in such a number, so that rules are chosen on some bodies and
//! judged on others. The table has one row a measure: number of values, how
//! many were withheld, mean error, standard deviation,
//! 95th percentile and greatest absolute error, the 95 % interval of the mean
//! and what ISO 20685-1 says of it, and the share of errors within two and three of their stated standard
//! uncertainties. Left and right of a paired measure count as
//! two values, so the interval of a paired measure is somewhat too narrow: the
//! sides of one body err together.
//!
//! Each `CHANGED` is a folder of scans made from those bodies (noise, holes, other
//! facets, turned) with a record `FILE.perturb.json` beside them: `input` (the body's
//! file), `preset` (what was done, or else the end of the file's name after `--`),
//! `unit`, `sides_swapped` and `matrix` (body frame to file). Each kind of change gets
//! tables of its own. Lengths over the skin are scored once more with both their ends pinned to
//! the truth's own points, which shows the path without the landmarks.
//!
//! Last come the *silent gross errors* of each kind, one line each: values more than 10 mm (degrees) and more than three
//! stated standard uncertainties off. There should be none.
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

/// Beyond so many mm and so many stated standard uncertainties an error is gross and silent.
const GROSS: (f64, f64) = (10.0, 3.0);

/// Scans of one kind.
#[derive(Default)]
struct Kind {
    scores: Scores,
    bodies: usize,
    /// A line for each silent gross error, by body.
    gross: BTreeMap<String, Vec<String>>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let chosen = Chosen::of(arguments.next().as_deref())?;
    let (mut clean, mut pinned) = (Kind::default(), Scores::new());
    for path in chosen.files()? {
        let name = name_of(&path);
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
    for folder in arguments {
        changed(&chosen, Path::new(&folder), &mut kinds)?;
    }
    for (kind, found) in &kinds {
        for basis in [Basis::Skin, Basis::Model, Basis::Hanging] {
            let mut rows = found
                .scores
                .iter()
                .filter(|((b, _), _)| *b == basis)
                .peekable();
            if rows.peek().is_some() {
                println!("\n{kind}. {}\n", title(basis));
                print_table(rows);
            }
        }
    }
    println!("\nLengths between the truth's own points, put by pins: the path alone (mm).\n");
    print_table(pinned.iter());
    println!(
        "\nErrors within one and two of their stated standard uncertainties, and the worst:\n"
    );
    print_coverage(&kinds);
    print_gross(&kinds);
    Ok(())
}

/// The bodies of a folder that are scored.
struct Chosen {
    folder: PathBuf,
    numbers: Option<(u32, u32)>,
}

impl Chosen {
    /// From `FOLDER` or `FOLDER:FIRST-LAST`.
    fn of(argument: Option<&str>) -> Result<Self, Box<dyn Error>> {
        let Some(argument) = argument else {
            let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/bodies");
            return Ok(Self {
                folder,
                numbers: None,
            });
        };
        let Some((folder, range)) = argument.rsplit_once(':') else {
            return Ok(Self {
                folder: argument.into(),
                numbers: None,
            });
        };
        let (first, last) = range.split_once('-').ok_or("a range is written as 60-79")?;
        let numbers = Some((first.parse()?, last.parse()?));
        Ok(Self {
            folder: folder.into(),
            numbers,
        })
    }

    /// True if a body is one of them.
    fn has(&self, path: &Path) -> bool {
        let name = name_of(path);
        let digits = name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let number: Option<u32> = name[digits..].parse().ok();
        self.numbers
            .is_none_or(|(first, last)| number.is_some_and(|n| (first..=last).contains(&n)))
    }

    /// Scans that have a truth file beside them, in the order of their names.
    fn files(&self) -> Result<Vec<PathBuf>, Box<dyn Error>> {
        let mut paths = Vec::new();
        for entry in std::fs::read_dir(&self.folder)? {
            let path = entry?.path();
            let name = path.to_string_lossy();
            let is_scan = name.ends_with(".ply") || name.ends_with(".ply.gz");
            if is_scan && truth_of(&path).exists() && self.has(&path) {
                paths.push(path);
            }
        }
        if paths.is_empty() {
            return Err(format!(
                "{}: no scan with a .truth.json beside it",
                self.folder.display()
            )
            .into());
        }
        paths.sort();
        Ok(paths)
    }
}

/// Scores the changed scans of a folder, by kind of change.
fn changed(
    chosen: &Chosen,
    folder: &Path,
    kinds: &mut BTreeMap<String, Kind>,
) -> Result<(), Box<dyn Error>> {
    for (path, record) in scored::broken(folder)? {
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        let input = record["input"].as_str().ok_or("a record without input")?;
        let body = chosen.folder.join(input);
        if !chosen.has(&body) {
            continue;
        }
        let ending = name.split_once("--").map_or("changed", |(_, kind)| kind);
        let preset = record["preset"].as_str().unwrap_or(ending);
        let kind = kinds.entry(preset.to_owned()).or_default();
        match scored::measure_changed(&path, &record) {
            Told::Alone(scan) => score(&name, &truth_of(&body), &scan, kind),
            Told::Asked(scan, error) => {
                println!("{name}: asked: {error}");
                score(&name, &truth_of(&body), &scan, kind);
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
        Basis::Hanging => {
            "Against the model's own points on the same body with its arms hanging: scatter counts, \
             an offset is a definition (mm):"
        }
    }
}

/// A body's name: that of its file up to the first dot.
fn name_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.split('.').next().unwrap_or_default().to_owned()
}

fn truth_of(path: &Path) -> PathBuf {
    path.with_file_name(format!("{}.truth.json", name_of(path)))
}

fn score(name: &str, truth: &Path, scan: &Scan, kind: &mut Kind) {
    kind.bodies += 1;
    for reference in truth::references(&truth::read(truth)) {
        let id = reference.id;
        let score = kind.scores.entry((reference.basis, id.key)).or_default();
        if let Some(found) = scan.measures.get(id) {
            let (error, sd) = (found.value - reference.value, found.spread.sd);
            score.errors.push((error, sd));
            let gross = error.abs() > GROSS.0 && error.abs() > GROSS.1 * sd;
            if gross && reference.basis != Basis::Hanging {
                kind.gross.entry(name.to_owned()).or_default().push(format!(
                    "{id} {:.1} where {:.1} is true: {error:+.1}, {:.1} sd of {sd:.1} ({})",
                    found.value,
                    reference.value,
                    error.abs() / sd,
                    basis_name(reference.basis),
                ));
            }
            continue;
        }
        score.withheld += 1;
        let why = scan.measures.withheld().find(|withheld| withheld.id == id);
        let why = why.map_or("NO REASON GIVEN", |withheld| withheld.reason.as_str());
        if reference.basis != Basis::Hanging {
            println!("{name}: {id} withheld: {why}");
        }
    }
}

const fn basis_name(basis: Basis) -> &'static str {
    match basis {
        Basis::Skin => "shape",
        Basis::Model => "model",
        Basis::Hanging => "hanging",
    }
}

/// Silent gross errors by kind, counted and listed.
fn print_gross(kinds: &BTreeMap<String, Kind>) {
    println!(
        "\nSilent gross errors (over {} mm and {} stated sd):\n",
        GROSS.0, GROSS.1
    );
    println!("| kind | bodies | with one | values |\n| --- | ---: | ---: | ---: |");
    for (kind, found) in kinds {
        let values: usize = found.gross.values().map(Vec::len).sum();
        println!(
            "| {kind} | {} | {} | {values} |",
            found.bodies,
            found.gross.len()
        );
    }
    println!();
    for (name, lines) in kinds.values().flat_map(|kind| &kind.gross) {
        for line in lines {
            println!("{name}: {line}");
        }
    }
}

fn print_table<'s>(scores: impl Iterator<Item = (&'s (Basis, Key), &'s Score)>) {
    println!(
        "| measure | n | withheld | bias | SD | p95 | max | 95 % interval of the mean | limit | verdict | in 2 sd | in 3 sd |"
    );
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | --- | ---: | --- | ---: | ---: |");
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
            println!(" {only} | – | – | – | – | – | too few | – | – |");
            continue;
        };
        let (low, high) = summary.bias.interval();
        let (limit, verdict) = match row.class.limit_mm() {
            Some(limit) => (format!("{limit}"), word(summary.bias.verdict(limit))),
            None => ("–".to_owned(), "–"),
        };
        let held = Coverage::of(&score.errors).map_or("– | –".to_owned(), |held| {
            let percent = |share: f64| 100.0 * share;
            format!(
                "{:.0} % | {:.0} %",
                percent(held.within_two),
                percent(held.within_three)
            )
        });
        println!(
            " {:.2} | {:.2} | {:.2} | {:.2} | {low:.2} … {high:.2} | {limit} | {verdict} | {held} |",
            summary.bias.mean, summary.bias.sd, summary.p95, summary.greatest
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
fn print_coverage(kinds: &BTreeMap<String, Kind>) {
    println!("| measure | held against | n | within 1 | within 2 | worst |");
    println!("| --- | --- | ---: | ---: | ---: | ---: |");
    let mut pooled: BTreeMap<(Basis, Key), Vec<(f64, f64)>> = BTreeMap::new();
    for (key, score) in kinds.values().flat_map(|kind| &kind.scores) {
        pooled.entry(*key).or_default().extend(&score.errors);
    }
    for basis in [Basis::Skin, Basis::Model, Basis::Hanging] {
        let rows = pooled.iter().filter(|((b, _), _)| *b == basis);
        let all: Vec<(f64, f64)> = rows
            .clone()
            .flat_map(|(_, errors)| errors.clone())
            .collect();
        for ((_, key), errors) in rows {
            print_cover(key.definition().name, basis, errors);
        }
        print_cover("all", basis, &all);
        for (kind, found) in kinds {
            let of_kind = found.scores.iter().filter(|((b, _), _)| *b == basis);
            let errors: Vec<(f64, f64)> = of_kind
                .flat_map(|(_, score)| score.errors.clone())
                .collect();
            print_cover(&format!("all, {kind}"), basis, &errors);
        }
    }
}

fn print_cover(name: &str, basis: Basis, errors: &[(f64, f64)]) {
    let basis = basis_name(basis);
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
