//! Times level plane cuts of a scan file and prints the medians, and the sections' lengths, as JSON.
//!
//! ```sh
//! cargo run --release --example time_sections -- FILE [RUNS] [HEIGHTS]
//! ```
//! `HEIGHTS` is a file with one height a line, in the unit and along the z axis of the scan, for the
//! lengths. Cuts are timed at 1, 100 and 1000 planes spread evenly over the scan's height, on all
//! cores and on one. `benches/peers.py` lays the numbers beside those of other libraries.

use girthwise::ingest::{Limits, read_scan};
use girthwise::mesh::TriMesh;
use girthwise::section::{BridgeLimits, Contour, Slicer};
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;
use std::time::Instant;

#[expect(clippy::print_stdout, reason = "a program that prints JSON")]
fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let file = arguments.next().unwrap_or("data/bodies/body-05.ply".into());
    let runs = arguments.next().map_or(Ok(5), |text| text.parse())?;
    let heights = match arguments.next() {
        Some(list) => std::fs::read_to_string(list)?
            .split_whitespace()
            .map(str::parse)
            .collect::<Result<Vec<f64>, _>>()?,
        None => Vec::new(),
    };
    let load = || read_scan(Path::new(&file), &Limits::default());
    let mesh = load()?.mesh;
    let one_core = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
    let times = |serial: bool| {
        let mut named = json!({});
        let mut note = |name: &str, work: &(dyn Fn() + Sync)| {
            let timed = || median(runs, work);
            named[name] = if serial {
                one_core.install(timed)
            } else {
                timed()
            }
            .into();
        };
        note("load", &|| drop(load()));
        for planes in [1, 100, 1000] {
            let levels = even(&mesh, planes);
            note(&planes.to_string(), &|| {
                drop(Slicer::level(&mesh).cut_many(&levels))
            });
        }
        named
    };
    let printed = json!({
        "version": env!("CARGO_PKG_VERSION"),
        "faces": mesh.faces().len(),
        "runs": runs,
        "parallel_s": times(false),
        "serial_s": times(true),
        "lengths": lengths(&mesh, &heights),
    });
    println!("{printed}");
    Ok(())
}

/// Median of so many runs, in seconds.
fn median(runs: usize, work: impl Fn()) -> f64 {
    let mut times: Vec<f64> = (0..runs.max(1))
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// So many heights in the middles of equal steps.
fn even(mesh: &TriMesh, planes: u32) -> Vec<f64> {
    let heights = || mesh.points().iter().map(|p| p.z);
    let low = heights().fold(f64::INFINITY, f64::min);
    let high = heights().fold(f64::NEG_INFINITY, f64::max);
    let share = |plane: u32| (f64::from(plane) + 0.5) / f64::from(planes);
    (0..planes)
        .map(|plane| low + (high - low) * share(plane))
        .collect()
}

/// Length and number of the contours at each height; nothing is bridged.
fn lengths(mesh: &TriMesh, heights: &[f64]) -> Value {
    let sections = Slicer::level(mesh)
        .bridging(BridgeLimits::NONE)
        .cut_many(heights);
    let told = sections.iter().map(|section| {
        let length: f64 = section.contours.iter().map(Contour::surface_girth_mm).sum();
        json!([length, section.contours.len()])
    });
    told.collect()
}
